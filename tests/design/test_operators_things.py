"""What the record says of an operator's equipment otherwise than it was found: each difference alone is told, and nothing else is."""
from __future__ import annotations

from pathlib import Path

import pytest

from spareway.design.design import Design
from spareway.design.operators_things import changes
from spareway.job.job import read_job
from spareway.kinds import kind

FOUND = (Path(__file__).parent / "asked_home.toml").read_text("utf-8")
JOB = 'schema = 1\nbooks.bs7671 = "2018+A4"\nnation = "England"\ndates.survey = "2026-09-01"\n'


def said(work: str = "", file: str = "work.toml") -> list[tuple[str, str]]:
    files = {"job.toml": JOB, "found.toml": FOUND, **({file: work} if work else {})}
    return [(each.at, each.says) for each in changes(Design(read_job(files).at()))]


@pytest.mark.parametrize(("work", "wants"), [
    ("equipment.cutout.fuse_a = { enquiry = 80 }", [("equipment.cutout", "rated current of the fuse in the supply: 60 A as found, 80 A as proposed")]),
    ('equipment.meter.seal = "missing"', [("equipment.meter", "the seal: present as found, missing as proposed")]),
    ('equipment.cutout.damage = { unknown = "hidden" }', [("equipment.cutout", "signs of heat or harm: none as found, not known as proposed")]),
    ('equipment.clock = { kind = "time-switch", owner = "meter operator" }', [("equipment.clock", "was not there as found, and is as proposed")]),
    ('runs.feed-2.size_mm2 = 16', [("runs.feed-2", "cross-section of a conductor: 25 mm² as found, 16 mm² as proposed")]),
    ("runs.feed-2.length_m = 9", [("runs.feed-2", "length of a cable: 0.5 m as found, 9 m as proposed")]),
    ("runs.feed-2 = { joins = ['meter.out', 'arrester.top'], kind = 'tails', size_mm2 = 25, method = 'C', stretches.a = { length_m = 0.2, method = 'C' }, "
     "stretches.b = { length_m = 8.8, method = 'B' } }", [("runs.feed-2", "length of a cable: 0.5 m as found, 9 m as proposed")]),
    ("runs.feed-2 = { joins = ['meter.out', 'arrester.top'], kind = 'tails', size_mm2 = 25, stretches.a = { length_m = 0.2, method = 'C' }, "
     "stretches.b = { length_m = 0.3, method = 'B' } }", []),                                           # as long as it was, written out
    ("runs.feed-2 = { joins = ['meter.out', 'arrester.top'], kind = 'tails', size_mm2 = 25, stretches.a = { length_m = { unknown = 'boxed in' }, method = 'C' } }",
     [("runs.feed-2", "length of a cable: 0.5 m as found, not known as proposed")]),
    ('runs.feed-2.joins = ["meter.out", "unit.in"]', [("runs.feed-2", "joins meter out to arrester top as found, meter out to unit in as proposed")]),
    ('runs.feed-2.joins = ["meter.out", "?"]', [("runs.feed-2", "joins meter out to arrester top as found, meter out to not traced as proposed")]),
    ('runs.feed-2 = { joins = ["meter.out", "arrester.top"], kind = "singles", size_mm2 = 16 }', [("runs.feed-2", "tails as found, singles as proposed")]),
    ('remove = ["runs.earth-1"]', [("runs.earth-1", "was there as found, and is not as proposed")]),
    ('equipment.cutout.kind = "cut-out-fused-neutral"\nsupplies.main.joins = "cutout.in"\nruns.feed-1.joins = ["cutout.out", "meter.in"]\n'
     'runs.earth-1.joins = ["cutout.earth", "terminal.a"]',
     [("equipment.cutout", f"{kind('cut-out').says} as found, {kind('cut-out-fused-neutral').says} as proposed")]),
    ('equipment.unit.damage = "browned"\nruns.feed-3.size_mm2 = 16\nruns.bond-1.length_m = 7', []),         # ours, and what ends on ours
    ('equipment.cutout.fuse_a = { marked = 60, told = 80 }\nruns.feed-2.method = "A"', []),                # read alike; how it lies opens nothing
])
def test_each_difference_is_told(work: str, wants: list[tuple[str, str]]) -> None:
    assert said(work) == wants


def test_by_its_stage_and_of_what_was_found_nothing() -> None:
    assert said() == []
    assert said("equipment.cutout.fuse_a = 80", "fitted.toml") == [("equipment.cutout", "rated current of the fuse in the supply: 60 A as found, 80 A as fitted")]
    found = read_job({"job.toml": JOB, "found.toml": FOUND}).at()
    laid = Design(found.altered('equipment.cutout.damage = "browned"'))
    assert [each.says for each in changes(laid)] == ["signs of heat or harm: none as found, browned by what is laid over it"]


def test_what_went_with_all_that_was_joined_to_it() -> None:
    gone = 'remove = ["equipment.meter", "runs.feed-1", "runs.feed-2"]\n'
    assert [at for at, says in said(gone) if says == "was there as found, and is not as proposed"] == ["equipment.meter", "runs.feed-1", "runs.feed-2"]


LAID = "stretches.clipped = { length_m = 0.2, method = 'C' }, stretches.trunking = { length_m = 0.3, method = 'B' }"


def stretched(now: str) -> list[str]:
    """What is told of tails that were found in two stretches, written otherwise by the work."""
    begins = "feed-2  = { joins = [\"meter.out\", \"arrester.top\"], kind = \"tails\", size_mm2 = 25,"
    found = FOUND.replace(f'{begins} length_m = 0.5, method = "C" }}', f"{begins} {LAID} }}")
    assert found != FOUND
    work = "runs.feed-2 = { joins = ['meter.out', 'arrester.top'], kind = 'tails', size_mm2 = 25, " + now + " }"
    return [each.says for each in changes(Design(read_job({"job.toml": JOB, "found.toml": found, "work.toml": work}).at()))]


@pytest.mark.parametrize(("now", "wants"), [
    (LAID, []),
    (LAID.replace("0.3", "9"), ["stretch trunking: length of a cable: 0.3 m as found, 9 m as proposed"]),
    (LAID.replace("0.3", "0.2").replace("0.2, method = 'C'", "0.3, method = 'C'"), [                        # as long as before, otherwise
        "stretch clipped: length of a cable: 0.2 m as found, 0.3 m as proposed", "stretch trunking: length of a cable: 0.3 m as found, 0.2 m as proposed"]),
    (LAID.replace("trunking", "loft"), ["stretch trunking: 0.3 m as found, none as proposed", "stretch loft: none as found, 0.3 m as proposed"]),
    (LAID.replace("0.3", "{ unknown = 'boxed in' }"), ["stretch trunking: length of a cable: 0.3 m as found, not known as proposed"]),
    ("length_m = 0.5, method = 'C'", []),
    ("length_m = 9, method = 'C'", ["length of a cable: 0.500 m as found, 9 m as proposed"])])
def test_each_stretch_that_differs_is_told(now: str, wants: list[str]) -> None:
    assert stretched(now) == wants
