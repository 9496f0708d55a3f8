"""The quick ranking of faults against the plain one: the same shares, the same next reading, on invented circuits of every kind."""
from __future__ import annotations

import numpy as np
import pytest

from spareway.fast import faults as quick
from spareway.readings import following as plain_next
from spareway.readings import rank as plain
from spareway.readings.radial import HOME, Reached, radial
from spareway.readings.ring import ring
from spareway.readings.wired import Wired
from tests.readings.made import KINDS, PER_M, made_ring, shown, true_ohm

SMALLER = dict.fromkeys("LN", 12.1 / 7.41)
COPPER = {"L": 7.41, "N": 7.41, "E": 12.1}


def agree(ranked: plain.Ranked, counted: quick.Counted) -> None:
    """The same faults with the same shares, and the same reading next with as much to tell."""
    shares = {fault.name: share for fault, share in ranked.faults}
    assert {fault.name for fault, _ in counted.faults} == set(shares)
    for fault, share in counted.faults:
        assert share == pytest.approx(shares[fault.name], abs=1e-6)
    assert counted.amiss == pytest.approx(ranked.amiss, abs=1e-6)
    ours, theirs = plain_next.following(ranked), quick.following(counted)
    assert [p.probe for p in ours] == [p.probe for p in theirs]
    assert [p.bits for p in ours] == pytest.approx([p.bits for p in theirs], abs=1e-6)


@pytest.mark.parametrize("kind", [*KINDS, "sound"])
def test_of_a_ring(kind: str) -> None:
    """The usual readings, then one that was proposed."""
    rng = np.random.default_rng(5)
    made = made_ring(rng, kind, most=5)
    wired = ring(made.points, made.told_m, {c: PER_M[s] * 1000 for c, s in made.sizes.items()}, SMALLER)
    read = {p: shown(rng, true_ohm(made, p), made.null_ohm) for p in wired.standard}
    ranked, counted = plain.rank(wired, read), quick.rank(wired, read)
    agree(ranked, counted)
    probe = plain_next.following(ranked)[0].probe
    more = {probe: shown(rng, true_ohm(made, probe), made.null_ohm)}
    agree(plain.further(ranked, more), quick.further(counted, more))


def test_of_a_radial_with_a_load_left_in() -> None:
    """A tree; over range, a load's number where nothing should be shown, and hardly any reading at all."""
    wired = radial([Reached("p1", HOME, 6, COPPER, SMALLER), Reached("p2", "p1", 4, COPPER, {}), Reached("p3", "p1", 5, COPPER, SMALLER)])
    whole = {"L-E p1": 0.12, "L-E p2": 0.19, "L-E p3": float("inf"), "L-N p1": 0.09, "L-N p2": 0.15, "L-N p3": 44.0}
    for read in (whole, {"L-E p3": float("inf")}, {"lead L p3": 0.08}):
        agree(plain.rank(wired, read), quick.rank(wired, read))


def test_what_was_ranked_elsewhere_is_refused() -> None:
    """A strange reading, and a ranking that holds nothing to go on from."""
    wired: Wired = radial([Reached("p1", HOME, 6, COPPER, SMALLER)])
    with pytest.raises(ValueError, match="L-E p9"):
        quick.rank(wired, {"L-E p9": 0.1})
    bare = quick.Counted(wired, (), (), {}, 0.0)
    with pytest.raises(ValueError, match="another engine"):
        quick.further(bare, {"L-E p1": 0.1})
    with pytest.raises(ValueError, match="another engine"):
        quick.following(bare)
