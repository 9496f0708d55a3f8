"""A second source that the door told of and nobody recorded: no rule, lock-off, picture or page says that none is there."""
from __future__ import annotations

import pytest

from spareway import bundled
from spareway.api import check, isolate, live, pocket_page
from spareway.design.design import Design
from spareway.job.job import read_job
from spareway.rules.specimen import _JOB as JOB
from spareway.web.pages.picture import answer

TOLD = "a second source was told of at the door and is not in the record"
OPEN = "whether there is a second source was not answered at the door"
# a yes of these rests on there being no second source
ASKED = ("SO1", "SO2", "SO3", "SO10", "BO7", "IN6", "IN7")


def files(said: str, more: str = "") -> dict[str, str]:
    """The specimen with these answers at its door."""
    door = f"\n[doorstep]\n{said}\n" if said else ""
    return {"job.toml": f"{JOB}{door}", "found.toml": f"{bundled.text('rules/specimen.toml')}\n{more}"}


def verdicts(job: dict[str, str]) -> dict[str, list[str]]:
    out: dict[str, list[str]] = {}
    for each in check(job, full=True)["findings"]:
        out.setdefault(each["rule"], []).append(each["verdict"])
    return out


def told_of(job: dict[str, str]) -> str:
    return Design(read_job(job).at(None)).source_told_of


@pytest.mark.parametrize(("said", "words"), [
    ('second = "yes"', TOLD), ('medical = "no"', OPEN), ('second = "unknown: nobody could say"', f"{OPEN} (unknown: nobody could say)")])
def test_what_the_door_told_is_no_yes_anywhere(said: str, words: str) -> None:
    """Rules that rest on there being none are unknown; live, isolate, check, the pocket page and the picture say it first."""
    job = files(said)
    found = verdicts(job)
    better = {code: {*found[code]} & {"within", "not applicable"} for code in ASKED}
    assert {code for code, v in better.items() if v} <= {"IN7"}      # the operator's own parts are not ours to change
    assert "within" not in found["IN7"]
    assert told_of(job) == words
    for document in (live(job), isolate(job, "circuits.oven", "skilled"), check(job)):
        assert words in document["caution"][0].lower()
        assert "Find it, and isolate it too" in document["caution"][0]
    page = pocket_page(job)
    locks = page.count("Lock off <b>")
    assert locks
    assert page.count(f"<b>and whatever else feeds it</b>: {words}") == locks
    design = Design(read_job(job).at(None))
    shown = answer(design, [*design.network.may_open("skilled")], "unit")
    assert shown["arm"].endswith("not known")
    assert any(words in line.lower() for line in shown["lines"])


PANELS = '[circuits.panels]\nway = "unit.6"\n[equipment.roof]\nkind = "solar-inverter"\nrating_a = 16\non = "panels"\n'


@pytest.mark.parametrize("said", ["", 'second = "no"\nmedical = "yes"'])
def test_a_job_without_a_door_and_one_that_said_no_stay_as_they_are(said: str) -> None:
    """Nothing asked, or answered no: these rules say yes of a record without a source, and no line tells of one."""
    job = files(said)
    assert told_of(job) == ""
    assert not any("second source was" in line for line in check(job)["caution"])
    found = verdicts(job)
    assert {v for code in ("SO1", "SO2", "SO3", "BO7") for v in found[code]} == {"within"}
    design = Design(read_job(job).at(None))
    assert str(answer(design, [*design.network.may_open("skilled")], "unit")["arm"]).endswith("no line by the record")


def test_a_source_that_is_recorded_needs_no_word_from_the_door() -> None:
    """Panels are in the record: yes at the door adds nothing, and takes nothing away."""
    assert told_of(files('second = "yes"', PANELS)) == ""
    assert verdicts(files('second = "yes"', PANELS)) == verdicts(files("", PANELS))
