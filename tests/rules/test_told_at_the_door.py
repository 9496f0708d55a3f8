"""A second source that the door told of and nobody recorded: no rule, lock-off, picture or page says that none is there."""
from __future__ import annotations

import pytest

from spareway.api import check, isolate, live, pocket_page
from spareway.design.design import Design
from spareway.job.job import read_job
from spareway.web.pages.picture import answer
from tests.papers.made import texts

TOLD = "a second source was told of at the door and is not in the record"
OPEN = "whether there is a second source was not answered at the door"
# a yes of these rests on there being no second source
ASKED = ("SO1", "SO2", "SO3", "SO10", "BO7", "IN6", "IN7")


def files(said: str, example: str = "weir-cottage") -> dict[str, str]:
    """An example with these answers at its door."""
    out = dict(texts(example))
    return {**out, "job.toml": f"{out['job.toml']}\n[doorstep]\n{said}\n"} if said else out


def verdicts(said: str, example: str = "weir-cottage", stage: str = "proposed") -> dict[str, list[str]]:
    out: dict[str, list[str]] = {}
    for each in check(files(said, example), stage, full=True)["findings"]:
        out.setdefault(each["rule"], []).append(each["verdict"])
    return out


def told_of(said: str, example: str = "weir-cottage") -> str:
    return Design(read_job(files(said, example)).at("proposed")).source_told_of


@pytest.mark.parametrize(("said", "words"), [
    ('second = "yes"', TOLD), ('medical = "no"', OPEN), ('second = "unknown: nobody could say"', f"{OPEN} (unknown: nobody could say)")])
def test_what_the_door_told_is_no_yes_anywhere(said: str, words: str) -> None:
    """Rules that rest on there being none are unknown; live, isolate, check, the pocket page and the picture say it first."""
    job = files(said)
    found = verdicts(said)
    better = {code: {*found[code]} & {"within", "not applicable"} for code in ASKED}
    assert {code for code, v in better.items() if v} <= {"IN7"}      # the operator's own parts are not ours to change
    assert "within" not in found["IN7"]
    assert words in Design(read_job(job).at("proposed")).source_told_of
    for document in (live(job, (), (), "proposed"), isolate(job, "circuits.cooker", "skilled", "proposed"), check(job, "proposed")):
        assert words in document["caution"][0].lower()
        assert "Find it, and isolate it too" in document["caution"][0]
    page = pocket_page(job, "proposed")
    locks = page.count("Lock off <b>")
    assert locks
    assert page.count(f"<b>and whatever else feeds it</b>: {words}") == locks
    design = Design(read_job(job).at("proposed"))
    every = design.network.may_open("skilled")
    shown = answer(design, [*every], "board.switch" if "board.switch" in design.network.controls else next(iter(every)))
    assert "no line by the record" not in shown["arm"]
    assert any(words in line.lower() for line in shown["lines"])


@pytest.mark.parametrize("said", ["", 'second = "no"\nmedical = "yes"'])
def test_a_job_without_a_door_and_one_that_said_no_stay_as_they_are(said: str) -> None:
    """Nothing asked, or answered no: the same findings, cautions and page as before."""
    plain = check(files(""), "proposed", full=True)
    assert check(files(said), "proposed", full=True)["findings"] == plain["findings"]
    assert told_of(said) == ""
    assert not any("second source was" in line for line in plain["caution"])
    assert {v for code in ("SO1", "BO7") for v in verdicts(said)[code]} == {"within"}


def test_a_source_that_is_recorded_needs_no_word_from_the_door() -> None:
    """The annexe has its panels, battery and car in the record: yes at the door adds nothing."""
    assert told_of('second = "yes"', "ridge-annexe") == ""
    assert verdicts('second = "yes"', "ridge-annexe") == verdicts("", "ridge-annexe")
