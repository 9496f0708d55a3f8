"""The operator's own equipment, burnt or cracked: nobody is told to mend it, and what comes first is to keep away and ring."""
from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from spareway import bundled
from spareway.api import check
from spareway.api_operator import told
from spareway.cli.operators import page
from spareway.design.operators_things import KEEP_AWAY, REPORT, THEIR_EYES
from spareway.rules.eyes import items
from spareway.rules.specimen import _JOB as JOB
from spareway.survey.looking import TOPICS, questions
from tests.web.test_serving import HOST, asked

HEAD = "id,where,place,code,photo,says,by,at,strikes,eye,answer\n"
FOUND = bundled.text("rules/specimen.toml")
MENDS = re.compile(r"make it (good|as it should)|put (it )?right|replace what|make the joint", re.IGNORECASE)
# of theirs: the thing itself, the cut-out looked at, the supply, a run of no kind of ours; each with what is to be done
GRAVE = ["o1,supplies.main,,,,looked at: not so,a,2026-11-09,,EY1,no", "o1,equipment.cutout,,C1,,cracked and burning,a,2026-11-09,,,",
         "o1,equipment.meter,,C2,,hot to the hand,a,2026-11-09,,,", "o1,supplies.main,,C1,,the head smokes,a,2026-11-09,,,"]
MILD = ["o1,equipment.cutout,,C3,,of an old kind,a,2026-11-09,,,", "o1,equipment.cutout,,FI,,nobody knows its age,a,2026-11-09,,,"]


def files(row: str = "", found: str = FOUND) -> dict[str, str]:
    return {"job.toml": JOB, "found.toml": found} | ({"observations.csv": f"{HEAD}{row}\n"} if row else {})


def to_do(job: dict[str, str]) -> dict[str, str]:
    """What each finding of a person, and of the operator's harm, tells to do."""
    return {f["rule"]: f["remedial"] for f in check(job, full=True)["findings"]
            if (f["rule"][:2] in ("EY", "OB") or f["rule"] in ("OP9", "BO11")) and f["verdict"] in ("stop", "fails", "unknown", "advice")}


@pytest.mark.parametrize("row", GRAVE)
def test_nobody_is_told_to_mend_what_is_the_operators(row: str) -> None:
    """Touch nothing, keep away, 105, 999: and no word of making it good; the operator's answer opens with it."""
    job = files(row)
    said = to_do(job)
    assert list(said.values()) == [KEEP_AWAY]
    assert not MENDS.search(KEEP_AWAY)
    now = told(job)["now"]
    assert now[-1].lower() == KEEP_AWAY.lower()
    assert len(now) == 2
    assert " ".join(page(told(job))).startswith("Now: ")


@pytest.mark.parametrize("row", MILD)
def test_what_can_wait_is_reported_and_not_mended(row: str) -> None:
    job = files(row)
    assert list(to_do(job).values()) == [REPORT]
    assert told(job)["now"] == []


@pytest.mark.parametrize("harm", ["browned", "burnt", "cracked"])
def test_harm_that_was_recorded_is_a_stop_of_the_operators(harm: str) -> None:
    """A cut-out so recorded: OP9 and not the rule that says to make the joint again; a board so recorded: the other way round."""
    cutout = FOUND.replace('owner = "network operator", damage = "none"', f'owner = "network operator", damage = "{harm}"')
    assert cutout != FOUND
    job = files(found=cutout)
    verdicts = {f["rule"]: f["verdict"] for f in check(job, full=True)["findings"]}
    assert (verdicts["OP9"], verdicts["BO11"]) == ("stop", "within")
    assert "105" in to_do(job)["OP9"]
    assert not MENDS.search(to_do(job)["OP9"])
    assert told(job)["now"][0] == f"equipment.cutout: the cutout is {harm}"
    board = files(found=FOUND.replace('water = false, damage = "none"', f'water = false, damage = "{harm}"'))
    verdicts = {f["rule"]: f["verdict"] for f in check(board, full=True)["findings"]}
    assert (verdicts["OP9"], verdicts["BO11"]) == ("within", "fails")
    assert told(board)["now"] == []


def test_what_is_ours_and_dangerous_is_made_safe_first() -> None:
    """A board's cover off, by eye and by a code: kept away from and made safe, then made good; a small thing is just made good."""
    for row in ("o1,equipment.unit,,,,cover off,a,2026-11-09,,EY14,no", "o1,equipment.unit,,C1,,cover off,a,2026-11-09,,,"):
        (said,) = to_do(files(row)).values()
        assert said.startswith("keep everybody off it, and have it taken out of use now by who may: switched off, locked off, proved dead")
        assert MENDS.search(said)
    (said,) = to_do(files("o1,equipment.unit,,C3,,no chart,a,2026-11-09,,,")).values()
    assert said.startswith("make it good")


def test_the_items_of_theirs_are_those_that_are_marked() -> None:
    assert tuple(i.code for i in items() if i.theirs) == THEIR_EYES
    (first,) = (i for i in items() if i.theirs)
    for words in ("touch nothing", "keep away", "105", "999"):
        assert words in first.caution


def test_the_operators_screen_opens_with_it(tmp_path: Path) -> None:
    """Above what is asked and ordered; nothing of the kind where nothing is recorded."""
    for name, row in (("bad", GRAVE[1]), ("good", "")):
        (tmp_path / name).mkdir()
        for file, text in files(row).items():
            (tmp_path / name / file).write_text(text, "utf-8")
    assert asked(tmp_path, "POST", "/app/this-phone", {**HOST, "sec-fetch-site": "same-origin"}, b"by=Ann")[0] == 303
    bad = asked(tmp_path, "GET", "/app/jobs/bad/operator", HOST)[2].decode()
    assert 0 < bad.index("Before anything else") < bad.index("Because")
    assert "Before anything else" not in asked(tmp_path, "GET", "/app/jobs/good/operator", HOST)[2].decode()


# ---- cautions of what is looked at -----------------------------------------------------------------------------------
INSIDE = re.compile(r"\b(behind|inside|carrier|bars?|roses|terminals?|every device|devices and board|ends of the tails|connector blocks)\b")
OUTSIDE = ("EY2", "EY17", "EY31", "EY32", "EY34", "EY39", "EY43", "EY52", "EY78")   # seen with every cover on, or on paper; EY39 follows a conductor


def test_whatever_takes_a_cover_off_is_proved_dead_first() -> None:
    """Each item that is looked at behind a cover, or in a carrier drawn, says so with its question."""
    cautions = {q.id: q.caution for place in TOPICS for q in questions(files(), place)}
    within = [i for i in items() if INSIDE.search(i.look) and i.code not in OUTSIDE]
    assert {i.code for i in within} >= {"EY4", "EY11", "EY20", "EY21", "EY26", "EY27", "EY51", "EY57"}
    assert [i.code for i in within if "dead" not in cautions[i.code]] == []


@pytest.mark.parametrize(("table", "field"), [("equipment", "fuse"), ("equipment", "fuse_a"), ("service", "carrier_a")])
def test_nothing_of_the_service_fuse_is_read_by_drawing_it(table: str, field: str) -> None:
    assert re.search(r"do not withdraw (it|the fuse)", tomllib.loads(bundled.text("survey/fields.toml"))[table][field]["caution"])


def test_harm_of_the_cut_out_is_asked_with_what_to_do_about_it() -> None:
    caution = tomllib.loads(bundled.text("survey/fields.toml"))["service"]["damage"]["caution"]
    for words in ("touch nothing", "keep away", "105", "999"):
        assert words in caution
