"""What is left open, in words; the circuits are those of the tests of rings and radials."""
from __future__ import annotations

import math
from dataclasses import replace

import pytest

from spareway.readings.following import following
from spareway.readings.in_words import cannot_tell_apart, not_explained, only_looking_tells
from spareway.readings.radial import HOME, Reached, radial
from spareway.readings.rank import further, rank
from spareway.readings.ring import ring
from tests.readings.made import plain, true_ohm
from tests.readings.test_radial_faults import COPPER, SMALLER, tree


def test_a_loose_neutral_somewhere_in_a_ring() -> None:
    """SCENARIOS, Weir at 20 °C: kinds are told, places counted; a reading is there to be taken, so nothing needs opening yet."""
    points = [f"p{i}" for i in range(1, 10)]
    wired = ring(points, [4, 5, 5, 7, 6, 6, 5, 6, 4, 4], COPPER, SMALLER)
    read = {"L end to end": 0.38, "N end to end": 0.82, "E end to end": 0.63} | {f"L-N {p}": 0.26 for p in points}
    ranked = rank(wired, read | {f"L-E {p}": 0.25 for p in points})
    said = cannot_tell_apart(ranked)
    assert said.startswith("a loose joint in the neutral, at one of ")
    assert "p1" not in said
    assert only_looking_tells(ranked, following(ranked)) == ""


def test_a_branch_without_earth_is_told_by_looking_only() -> None:
    """The last cable open, or its earth off the accessory: once line and neutral are known not to be changed over, only looking tells."""
    whole = {"L-E p1": 0.12, "L-E p2": 0.20, "L-E p3": 0.22, "L-E p4": math.inf, "L-N p1": 0.10, "L-N p2": 0.16, "L-N p3": 0.17, "L-N p4": 0.28}
    ranked = rank(tree(), whole)
    assert "line and neutral changed over at p4" in cannot_tell_apart(ranked)
    assert only_looking_tells(ranked, following(ranked)) == ""
    ranked = further(ranked, {"lead L p4": 0.14})
    said = cannot_tell_apart(ranked)
    assert sorted(said.split("; or ")) == ["an open protective conductor between p3 and p4", "the protective conductor off an accessory at p4"]
    assert only_looking_tells(ranked, following(ranked)) == \
        "No further reading tells these apart. Locked off and proved dead, open p4 and p3 and look at the terminals."


def test_one_fault_is_nothing_to_tell_apart() -> None:
    """A circuit of one cable, read right: it is sound, and that is said elsewhere."""
    wired = radial([Reached("p1", HOME, 10, COPPER, {})])
    ranked = rank(wired, {"L-E p1": 0.20, "L-N p1": 0.15})
    assert cannot_tell_apart(ranked) == ""
    assert only_looking_tells(ranked, following(ranked)) == ""


def test_two_faults_are_explained_by_none() -> None:
    """A neutral loose between p1 and p2 (1 Ω) and an earth open between p3 and p4, read of the true network: that no one
    fault explains the readings comes first, before any place. With either alone there is nothing to say."""
    points, metres = ["p1", "p2", "p3", "p4"], [4.0, 5, 6, 5, 4]
    wired, sound = ring(points, metres, COPPER, SMALLER), plain(points, metres, {"L": "2.5", "N": "2.5", "E": "1.5"})
    loose, cut = {("N.p1", "N.p2"): 1.0}, {("E.p3", "E.p4"): math.inf}
    for more, explained in ((loose, True), (cut, True), (loose | cut, False)):
        made = replace(sound, wires=[(a, b, ohm + more.get((a, b), 0.0)) for a, b, ohm in sound.wires])
        ranked = rank(wired, {probe: round(true_ohm(made, probe), 2) for probe in wired.standard})
        assert ranked.explained is explained
        assert (not_explained(ranked) == "") is explained
        assert (ranked.faults[0][0].kind != "several") is explained
        assert sum(share for _, share in ranked.faults) == pytest.approx(1.0)
        assert explained or cannot_tell_apart(ranked).startswith("more than one thing")


def test_a_reading_that_cannot_be_is_not_explained() -> None:
    """A cable of 10 m read as 0.20 Ω with its far end over range by another way of linking, then as 5 Ω by the long lead."""
    wired = radial([Reached("p1", HOME, 10, COPPER, {})])
    assert rank(wired, {"L-E p1": 0.20, "L-N p1": 0.15}).explained
    assert not rank(wired, {"L-E p1": 0.20, "L-N p1": 0.15, "lead L p1": 5.0, "lead N p1": 5.0}).explained
