"""Findings grouped once for every face: nothing lost, worst first, margins of both sides, what would settle most first."""
from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest

from spareway.api import check
from spareway.cli.layout import TITLES
from spareway.folder import read_folder
from spareway.rules.base import VERDICTS
from spareway.rules.grouped import CODED, WORDS, alike, by_how_much, by_rule, needs, tally

EXAMPLES = Path(__file__).parents[2] / "examples"
HOMES = ("weir-cottage", "granary-yard", "ridge-annexe")


@cache
def found(home: str) -> list[dict[str, Any]]:
    findings: list[dict[str, Any]] = check(dict(read_folder(EXAMPLES / home)), "found")["findings"]
    return findings


def finding(rule: str, says: str, verdict: str = "unknown", **more: Any) -> dict[str, Any]:
    return {"rule": rule, "name": "two_people_disagree", "verdict": verdict, "subject": f"circuits.{len(says)}", "where": "found.toml:1",
            "says": says, "clause": "", "authority": "common practice", **more}


@pytest.mark.parametrize("home", HOMES)
def test_every_finding_is_in_one_group_and_nothing_that_it_says_is_lost(home: str) -> None:
    """Each index once; title, common sentences and its own give back every sentence of the finding."""
    groups = by_rule(found(home), VERDICTS)
    assert sorted(m.index for g in groups for m in g.members) == list(range(len(found(home))))
    for group in groups:
        for member in group.members:
            assert found(home)[member.index] is member.finding
            told = f"{group.title} {'. '.join(group.common)} {member.says}".replace(f"{member.finding['rule']}: ", "Seen: ")
            assert [s for s in member.finding["says"].split(". ") if s.rstrip(".") not in told] == []
        assert sorted(m.index for _, members in alike(group) for m in members) == [m.index for m in group.members]


def test_what_was_found_and_leaves_something_open_stands_as_it_is() -> None:
    """A cable without armour lies in the ground: that is known. Only what a rule could not ask is asked in the title."""
    lies = "A cable without armour lies in the ground, and whether in a duct is not in this record."
    met, = by_rule([finding("RT6", f"{lies} t&e, all of it (method D)")])
    gap, = by_rule([finding("RT6", "Not known: what sort of cable it is")])
    both, = by_rule([gap.members[0].finding, met.members[0].finding])
    assert (met.title, both.title) == (lies, lies)
    assert gap.title == f"Cannot tell whether a{lies[1:]}"
    assert met.members[0].says == "t&e, all of it (method D)"


def test_worst_first_and_of_the_unknown_first_what_would_be_worst() -> None:
    groups = by_rule(found("weir-cottage"))
    assert [g.verdict for g in groups] == sorted((g.verdict for g in groups), key=VERDICTS.index)
    would = [g.would for g in groups if g.verdict == "unknown"]
    assert would == sorted(would, key=lambda v: VERDICTS.index(v or "unknown"))
    assert groups[0].verdict == "stop"
    assert groups[0].todo
    assert WORDS == TITLES


def test_two_findings_without_a_rule_of_their_own_are_both_told() -> None:
    """Two disputes: neither hides behind the other's words. One alone is its own title."""
    [both] = by_rule([finding("DI1", "one said A"), finding("DI1", "another said B and more")])
    assert (both.title, [m.says for m in both.members]) == ("Two people disagree", ["one said A", "another said B and more"])
    [alone] = by_rule([finding("DI1", "one said A")])
    assert (alone.title, alone.members[0].says) == ("one said A", "")


@pytest.mark.parametrize(("value", "relation", "limit", "told"), [
    (76.0, "at least", 80.0, ("short by", "4 A")), (20.0, "at most", 14.5, ("over by", "5.5 A")), (32.0, "at most", 32.0, ("on the limit", "0 A")),
    (3.0, "below", 2.0, ("over by", "1 A")), (2.0, "below", 2.0, ("on the limit", "0 A")), (1.0, "at most", 1.37, ("to spare", "0.37 A"))])
def test_by_how_much(value: float, relation: str, limit: float, told: tuple[str, str]) -> None:
    """By the relation itself, whatever the verdict is called; to spare only where it is kept."""
    assert by_how_much(finding("CI3", "", value=value, relation=relation, limit=limit, unit="A")) == told


def test_nothing_compared_has_no_margin() -> None:
    """A missing value is no margin of nought, and never one to spare."""
    assert by_how_much(finding("CI3", "")) == by_how_much(finding("CI3", "", value=None, relation="at most", limit=32.0, unit="A")) == ("", "")


@pytest.mark.parametrize("home", HOMES)
def test_the_margin_is_the_one_that_the_finding_says(home: str) -> None:
    compared = [f for f in found(home) if by_how_much(f)[0] in ("over by", "short by", "to spare") and f["verdict"] in ("fails", "within")]
    assert compared
    for each in compared:
        word, much = by_how_much(each)
        assert f"{word.replace('to spare', 'to spare:')} {much}" in each["says"].lower().replace(much.lower(), much), each["rule"]


def test_what_settles_most_stands_first_and_no_gap_is_left_out() -> None:
    wanted = needs(found("weir-cottage"))
    most = [max(len(pairs) for pairs in need.places.values()) for need in wanted]
    assert most == sorted(most, reverse=True)
    gaps = {(f["rule"], f["subject"], gap["quantity"]) for f in found("weir-cottage") if f["verdict"] == "unknown" for gap in f["missing"]}
    assert {(rule, subject, need.quantity) for need in wanted for rule, subject in need.waiting} == gaps


def test_a_field_is_named_only_where_its_place_has_one() -> None:
    """A length is `length_m` of its cable; what nobody counted among the points of a circuit is no field of them."""
    wanted = {need.quantity: need for need in needs(found("weir-cottage"))}
    assert wanted["length_m"].field == "length_m"
    at = {"circuits.lights.points": "", "circuits.oven.load_w": "load_w", "circuits.oven.points.p1.load_w": "load_w", "circuits": "",
          "equipment.unit.empty_ways": "", "rooms.den": "", "supplies.main": "", "nothing.of.it": "", "circuits.oven.cable.load_w": ""}
    gaps = {"verdict": "unknown", "rule": "DM1", "subject": "supplies.main",
            "missing": [{"quantity": "load_w", "says": "power of a load", "at": each, "why": "x"} for each in at]}
    named = {place: need.field for need in needs([gaps]) for place in need.places}
    assert named == {place.removesuffix(".load_w"): field for place, field in at.items()}


def test_what_a_person_coded_stands_together_each_under_its_own_name() -> None:
    """Decisions are about `OB-o4 subject`: the row's name is never lost in the group."""
    [coded] = [g for g in by_rule(found("weir-cottage"), ["fails"]) if g.rule == CODED]
    assert len(coded.members) > 1
    assert all(m.says.startswith(f"{m.finding['rule']}: ") for m in coded.members)


def test_counted_in_words_worst_first() -> None:
    assert [each.says for each in tally({"unknown": 1, "stop": 2, "fails": 0, "advice": 13})] == [
        "two must be made safe now", "one is not known", "13 are advice"]
