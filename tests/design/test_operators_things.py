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
