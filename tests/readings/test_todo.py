"""What to find out next over a whole job: against brute force on the examples, and by judging Weir again with the answers in."""
from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from itertools import combinations

import pytest

from spareway.api import _found
from spareway.design.design import Design
from spareway.fact import Fact, total
from spareway.job.job import read_job
from spareway.readings.todo import acts_of, document, order, todo, turns
from spareway.rules.base import Answer, Finding, all_of, at_most, best_of
from spareway.rules.specimen import with_example
from tests.scenarios.folders import job, texts

HOMES = [(home, stage) for home in ("weir-cottage", "granary-yard", "ridge-annexe") for stage in ("found", "proposed")]
Name = tuple[str, str]


def unknown_of(findings: list[Finding]) -> set[str]:
    return {f"{f.rule} {f.subject}" for f in findings if f.verdict == "unknown" and not f.decision}


@pytest.mark.parametrize(("home", "stage"), HOMES)
def test_each_turn_is_the_best_there_is(home: str, stage: str) -> None:
    """Every group of up to three acts, in every turn: none decides more findings a minute. Then nothing is left over."""
    design = Design(job(home).at(stage))
    findings = _found(design)
    needs, acts = acts_of(design, findings)
    assert set(needs) == unknown_of(findings)
    minutes = {name: act.minutes for name, act in acts.items()}
    left: Mapping[str, frozenset[Name]] = needs

    def rate(group: frozenset[Name]) -> float:
        return len([1 for need in left.values() if need <= group]) / math.fsum(minutes[name] for name in group)
    for group in turns(needs, minutes):
        open_ = sorted({name for need in left.values() for name in need})
        brute = max(rate(frozenset(some)) for n in (1, 2, 3) for some in combinations(open_, n))
        assert rate(group) == pytest.approx(brute, rel=1e-12)
        left = {f: need - group for f, need in left.items() if not need <= group}
    assert not left
    assert sorted(order(needs, minutes)) == sorted(acts)
    last = todo(design, findings)[-1]
    assert last.share == pytest.approx(1)


def first_five(stage: str) -> tuple[float, list[str], set[str]]:
    """The share that the first five acts promise on Weir, what they say, and the findings they are to decide."""
    design = Design(job("weir-cottage").at(stage))
    five = todo(design, _found(design))[:5]
    return five[-1].share, [each.act.says for each in five], {f for each in five for f in each.frees}


# What the first five acts on Weir bring home, written by hand; invented, as is the home
CIRCUITS = ("ring-first", "lights-ground", "lights-first", "cooker", "ring-ground", "immersion", "old-heater-1", "old-heater-2", "old-heater-3")
ROOMS = ("living", "hall", "dining", "kitchen", "bed-1", "bed-2", "bed-3", "landing", "bath", "pantry")
BROUGHT = "\n".join([
    *(f"rooms.{room}.bath = {'true' if room == 'bath' else 'false'}" for room in ROOMS),
    *(f"circuits.{name}.cable.concealed = false" for name in CIRCUITS),
    *(f"circuits.{name}.device.fault_rating_ka = 2" for name in CIRCUITS),
    *(f"circuits.{name}.device.let_through_a2s = 9000" for name in CIRCUITS),
    *(f'equipment.{name}.damage = "none"' for name in ("cutout", "meter", "blocks", "house", "office")),
    *(f"equipment.{name}.{said}" for name in ("house", "office") for said in ("fault_rating_ka = 4", "rating_a = 60")),
    *(f'circuits.{name}.points.p1 = {{ from = "way", feeds = "nothing", room = "{room}" }}' for name, room in
      (("old-heater-1", "hall"), ("old-heater-2", "dining"), ("old-heater-3", "living"))),
    'circuits.lights-ground.points.porch.room = "hall"',
    *(f"equipment.house.{said}" for said in ("open_entries = false", "water = false", 'material = "wood"')), 'equipment.office.material = "wood"',
    'circuits.cooker.points.p1 = { from = "way", feeds = "cooker", load_w = 9200, room = "kitchen" }',
    'circuits.immersion.points.p1 = { from = "way", feeds = "immersion", load_w = 3000, room = "landing" }',
    "circuits.lights-first.points.alarms.load_w = 5", ""])


def test_weir_first_five_clear_57_per_cent_by_the_record_and_61_with_what_a_person_settles() -> None:
    """57 % by the record, 61 % with what a person settles: of 82 findings that are unknown as found, judged again with the answers in it.

    Issue 6 asks for 60 %: the record alone decides 47, which is less. Three more, which want the curve of a rewirable fuse beyond what is
    printed, have no place in the record: a person settles them with the maker's sheet in hand, 50. Nothing new becomes unknown."""
    share, says, decided = first_five("found")
    assert share >= 0.60, says
    before = unknown_of(_found(Design(job("weir-cottage").at("found"))))
    survey = {name: text for name, text in texts("weir-cottage").items() if name not in ("work.toml", "fitted.toml")}
    after = unknown_of(_found(Design(read_job(survey, [("brought.toml", BROUGHT)]).at("found"))))
    assert sorted(decided & after) == ["FA7 circuits.cooker", "FA7 circuits.ring-first", "FA7 circuits.ring-ground"]
    assert after <= before
    assert before - after == decided - after
    assert len(decided) >= 0.60 * len(before)
    assert (len(before), len(before - after), len(decided)) == (82, 47, 50)


def test_plain_data_says_where_the_record_has_no_place() -> None:
    """As proposed: the factor of the board's maker can be asked for, and only a decision can take it in."""
    design = Design(job("weir-cottage").at("proposed"))
    said = document(todo(design, _found(design)), most=3)
    assert said["unknown"] == len(unknown_of(_found(design)))
    assert len(said["next"]) == 3
    assert [each["no_place_in_the_record"] for each in said["next"] if "side by side" in each["says"]] == [True]
    assert all(each["minutes"] > 0 for each in said["next"])


def test_one_gap_may_be_enough_and_a_decision_takes_a_finding_out() -> None:
    """Of two ways to keep a rule either will do; what a person agreed to leave unknown is not asked for."""
    a, b = (Fact("length_m", None, "unknown", at=f"circuits.{name}.cable.length_m") for name in ("lamps", "oven"))
    most = Fact("length_m", 50.0, "stated")
    either = best_of([at_most(a, most), at_most(b, most)])
    both = all_of([at_most(a, most), at_most(b, most)])
    design = with_example("")
    for answer, enough in ((either, 2), (both, 2)):
        finding = Finding("XX1", "x", "unknown", "installation", "", "", "", "standard", (a, b), answer=answer)
        needs, acts = acts_of(design, [finding])
        assert len(needs["XX1 installation"]) == len(acts) == enough
    lone = Finding("XX1", "x", "unknown", "circuits.lamps", "", "", "", "standard", (a, b),
                   answer=Answer(None, "", (total("length_m", [most]), most), "at most"))
    assert len(acts_of(design, [lone])[1]) == 1
    settled = replace(finding, decision="limit agreed by a on 2026-11-09: because")
    assert todo(design, [settled]) == ()
    assert acts_of(design, [Finding("ZZ9", "z", "unknown", "installation", "", "", "", "standard")])[1][("person", "installation")].no_place
