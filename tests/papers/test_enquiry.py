"""The report to the operator of its own equipment: every defect of the record with who saw it, what nobody looked at, danger first."""
from __future__ import annotations

from typing import Any

import pytest

from spareway.design.design import Design
from spareway.doc import InputError
from spareway.job.job import read_job
from spareway.job.rows import EVENTS
from spareway.papers.enquiry import AS_FOUND, CHANGED, URGENT
from spareway.papers.enquiry import DONE as IN_WORDS
from spareway.papers.letter import OFF
from tests.papers.made import reader, texts, words
from tests.papers.never import found_in, printed
from tests.papers.overlays import overlays
from tests.papers.quick import filled, of, typeset
from tests.papers.test_letter import HOME, JOB, KEY, text_of
from tests.papers.test_report import SPECIMEN

SEEN = "id,where,place,code,photo,says,by,at,strikes,eye,answer\n" \
    "o1,equipment.cutout,gable cabinet,C2,f7,lower cover gone: bare terminals within reach,surveyor,2026-09-01T09:00,,,\n" \
    "o2,equipment.unit,hall,C2,,lid cracked,surveyor,2026-09-01T09:05,,,\n"


def report(found: str, **more: str) -> dict[str, Any]:
    return filled("operator-report", {"job.toml": JOB, "found.toml": found, **more})


def test_every_defect_stands_with_who_saw_it() -> None:
    """Seal, harm, what a person coded; a thing of ours is not reported to them."""
    broken = HOME.replace('meter    = { kind = "meter", seal = "present"', 'meter    = { kind = "meter", seal = { marked = "missing", note = "by torchlight" }') \
        .replace('owner = "network operator", damage = "none"', 'owner = "network operator", damage = "browned"')
    facts = report(broken, **{"observations.csv": SEEN})
    assert [(row["where"], row["says"], row["how"]) for row in facts["defects"]] == [
        ("Cutout", "the cutout is browned", "seen or stated"), ("Meter", "the seal of the meter is missing", "read on it, by torchlight"),
        ("Cutout", "lower cover gone: bare terminals within reach (C2)", "seen by surveyor, 1 September 2026, 09:00, gable cabinet; photo f7")]
    assert (facts["to"], facts["head"], facts["urgent"]) == ("To operator-south", "What is noted of your equipment", URGENT)
    assert [row["q"] for row in facts["things"]] == ["cutout", "meter"]
    assert "seal present; heat or harm browned; fuse inside 60 A; carrier marked 100 A" in text_of(facts["things"][0])
    assert len(facts["wanted"]) == 2
    files = {"job.toml": JOB, "found.toml": broken, "observations.csv": SEEN}
    made = typeset("operator-report", files)
    text = words(made)
    assert (len(reader(made).pages), found_in(text)) == (1, [])
    assert all(owed in text for owed in ("ring the network operator, 105, at once", "Fire: 999", "draft, not sent", "Signature, date",
                                         "Prove dead at the point of work, every time."))


def test_what_nobody_looked_at_is_not_called_sound() -> None:
    """Nothing noted is said by the record alone; seals and harm that were not looked at are listed with why."""
    gaps = HOME.replace('seal = "present", owner = "network operator", damage = "none"', 'owner = "network operator", damage = { unknown = "behind a panel" }')
    facts = report(gaps)
    assert (facts["defects"], facts["head"], facts["wanted"]) == ([], "Nothing is noted of your equipment, by the record", [])
    assert facts["not_seen"] == ["cutout: seal, heat or harm: behind a panel"]
    assert report(HOME)["not_seen"] == []


DONE = "id,kind,address,value,unit,kit,by,second,at,strikes\n" \
    "e1,lock,equipment.cutout,,,,fitter,,2026-09-03T08:00,\ne2,torque,equipment.unit,2.5,N·m,,fitter,,2026-09-03T09:00,\n" \
    "e3,seal,the cabinet outside,,,,operator-south,,2026-09-03T10:00,\ne4,prove,far side of the Meter,,,,fitter,,2026-09-03T08:10,\n" \
    "e5,lock,equipment.meter,,,,fitter,,2026-09-03T08:20,\ne6,,,,,,fitter,,2026-09-03T08:30,e5\n"


def test_that_nobody_changed_it_is_said_only_where_the_record_says_nothing_else() -> None:
    """A larger fuse, its cover opened for new tails, a lock on its fuse: each stands there, and the sentence somebody signs does not."""
    assert (report(HOME)["changed"], report(HOME)["says"][0]) == ([], AS_FOUND)
    ours = report(HOME, **{"work.toml": "runs.feed-3.size_mm2 = 16\n"})
    assert (ours["changed"], ours["says"][0]) == ([], AS_FOUND)
    fuse = report(HOME, **{"work.toml": "equipment.cutout.fuse_a = { enquiry = 80 }\n"})
    assert [(row["where"], row["says"], row["how"]) for row in fuse["changed"]] == [
        ("Cutout", "rated current of the fuse in the supply: 60 A as found, 80 A as proposed",
         "enquiry; the operator alone raises its fuse, and no answer of it about that is on record")]
    gone = report(HOME, **{"work.toml": 'remove = ["runs.feed-2"]\n'})
    assert [(row["where"], row["says"], row["how"]) for row in gone["changed"]] == [("Feed 2", "was there as found, and is not as proposed", "")]
    done = report(HOME, **{"events.csv": DONE})
    assert [(row["where"], row["says"], row["how"]) for row in done["changed"]] == [
        ("Cutout", "locked off", "by fitter, 3 September 2026, 08:00"), ("The cabinet outside", "sealed", "by operator-south, 3 September 2026, 10:00"),
        ("Far side of the Meter", "proved dead", "by fitter, 3 September 2026, 08:10")]
    for facts in (fuse, gone, done):
        assert facts["says"][0] == CHANGED
        assert "Nobody here is recorded" not in str(facts)
    assert {*IN_WORDS} == {*EVENTS}
    text = words(typeset("operator-report", {"job.toml": JOB, "found.toml": HOME, "work.toml": "equipment.cutout.fuse_a = 80\n"}))
    assert "60 A as found, 80 A as proposed" in text
    assert KEY in text


@pytest.mark.parametrize(("place", "is_theirs"), [
    ("far side of the Meter", True), ("meter, left screw", True), ("behind the meter", True), ("the cut-out outside", True), ("cutout, top", True),
    ("perimeter wall", False), ("gas meter cupboard", False), ("the water meter", False), ("the gas meter beside the meter", True),
    ("parameters of the loop", False), ("equipment.meter", True), ("equipment.unit", False)])
def test_a_place_in_words_names_a_thing_by_whole_words(place: str, is_theirs: bool) -> None:
    """A wall and another service's meter are no equipment of this operator's; what was done at its meter is told, however it is called."""
    row = f"id,kind,address,value,unit,kit,by,second,at,strikes\ne1,lock,{place!r},,,,fitter,,2026-09-03T08:00,\n".replace("'", '"')
    changed = report(HOME, **{"events.csv": row})["changed"]
    assert [each["says"] for each in changed] == (["locked off"] if is_theirs else [])


def test_the_fuse_for_the_work_and_the_leave_on_record() -> None:
    work = {"work.toml": "runs.feed-2.size_mm2 = 25\n"}
    assert report(HOME, **work)["wanted"] == [OFF]
    leave = JOB + '[permissions.pull]\npart = "cutout.fuse"\nby = "operator-south"\nref = "S-1"\nuntil = 2026-12-04\n'
    facts = filled("operator-report", {"job.toml": leave, "found.toml": HOME, **work})
    assert (facts["wanted"], [(row["q"], row["a"], row["how"]) for row in facts["leave"]]) == (
        [], [("Leave to open cutout.fuse", "by operator-south, reference S-1", "until 4 December 2026")])


@pytest.mark.parametrize("name", ["weir-cottage", "granary-yard", "ridge-annexe"])
def test_of_an_example(name: str) -> None:
    """None has a defect of the operator's on record; each says what nobody looked at, and no name of a person."""
    facts = filled("operator-report", texts(name))
    assert facts["defects"] == []
    assert any("heat or harm" in each for each in facts["not_seen"])
    assert found_in("\n".join(printed(facts))) == []


def test_any_job_near_it_has_its_report() -> None:
    told = 0
    for overlay in overlays(read_job(SPECIMEN).at(None).doc.data, 5):
        try:
            job = read_job(SPECIMEN, [("overlay.toml", overlay)])
        except InputError:
            continue                                                       # no job any more
        assert found_in("\n".join(printed(of("operator-report", job, Design(job.at()))))) == [], overlay
        told += 1
        if told == 12:
            break
