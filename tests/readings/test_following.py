"""The reading to take next: the few that are worked out hold the best of all, and the bound that spares the rest is one."""
from __future__ import annotations

import math
import random

import pytest

from spareway.readings.following import KEPT as MOST
from spareway.readings.following import _bits, _most_bits, count_kept, following, to_take
from spareway.readings.rank import Ranked, rank
from spareway.readings.ring import ring
from spareway.readings.wired import Wired
from tests.readings.plainly import plain_ohm

COPPER = {"L": 7.41, "N": 7.41, "E": 12.1}                                      # mΩ/m at 20 °C, IEC 60228


def made() -> Wired:
    return ring([f"p{i}" for i in range(1, 6)], [4, 6, 5, 7, 3, 5], COPPER, dict.fromkeys("LN", 12.1 / 7.41))


def told_of(ranked: Ranked, name: str) -> list[tuple[float, bool, float, float]]:
    kept = ranked.believed[:count_kept([share for _, share in ranked.believed[:MOST]])]
    whole = math.fsum(share for _, share in kept)
    return [(share / whole, *each.foretold(name)) for each, share in kept]


@pytest.mark.parametrize("number", [0, 7, 60, 150, 230])
def test_the_best_of_all_are_among_those_worked_out(number: int) -> None:
    """Every reading that may be asked for worked out to the end, the most telling a minute first: the same three, the same bits."""
    wired = made()
    fault = wired.faults[number]
    ranked = rank(wired, {name: round(plain_ohm(wired, fault, wired.probes[name]), 2) for name in wired.standard})
    worth = {name: _bits(told_of(ranked, name)) for name in to_take(ranked)}
    order = sorted(worth, key=lambda name: -round(worth[name] / wired.probes[name].minutes, 9))
    found = following(ranked)
    assert [(p.probe, p.bits) for p in found] == [(name, worth[name]) for name in order[:3]]
    assert all(_most_bits(told_of(ranked, name)) >= bits - 1e-6 for name, bits in worth.items())


def test_the_bound_holds_for_any_mixture() -> None:
    """Of Gaussians at random places and widths, some over range: what is added up on a grid never exceeds what the variance allows."""
    rng = random.Random(3)
    near = 0
    for _ in range(300):
        parts = [(rng.random() + 0.01, rng.random() < 0.2, rng.uniform(-3, 3), rng.uniform(0.01, 0.5) ** 2) for _ in range(rng.randint(1, 8))]
        whole = math.fsum(share for share, *_ in parts)
        told = [(share / whole, *rest) for share, *rest in parts]
        assert _bits(told) <= _most_bits(told) + 1e-6                           # type: ignore[arg-type]
        near += _bits(told) > 0.5 * _most_bits(told)                            # type: ignore[arg-type]
    assert near > 30, "and it is no empty bound"


def test_one_width_in_one_place_tells_nothing() -> None:
    """By hand: two faults that foretell the same tell nothing; one over range and one not, at even chances, tell one bit."""
    assert _bits([(0.5, False, 0.0, 0.01), (0.5, False, 0.0, 0.01)]) == pytest.approx(0.0, abs=1e-6)
    assert _bits([(0.5, True, 0.0, 0.0), (0.5, False, 0.0, 0.01)]) == pytest.approx(1.0, abs=1e-6)
    assert _bits([(0.5, False, 0.0, 0.0001), (0.5, False, 1.0, 0.0001)]) == pytest.approx(1.0, abs=1e-3)
