"""Loads round a ring: closed form against the nodes of the network, by numpy and by a general graph library."""
from __future__ import annotations

import itertools
import math
from typing import Any

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spareway.fact import Fact, total
from spareway.physics import cable
from spareway.physics.sharing import (
    Tap,
    drop_at_v,
    leg_start_a,
    legs_a,
    legs_if_open_a,
    ring_drop_by_load_v,
    sections_a,
    worst_drop,
)

TAPS = st.lists(st.builds(Tap, st.integers(1, 99).map(lambda n: n / 100), st.floats(0, 32)), min_size=1, max_size=10,
                unique_by=lambda t: t.at)


def solved(taps: list[Tap], mv_per_a_m: float, ring_length_m: float) -> tuple[dict[float, float], list[float]]:
    """Nodal analysis: the drop at each load, and the current in each section. Both ends of the ring stand at 0 V."""
    ranked = sorted(taps, key=lambda t: t.at)
    stops = [0.0, *(t.at for t in ranked), 1.0]
    g = [1000 / (mv_per_a_m * ring_length_m * (b - a)) for a, b in itertools.pairwise(stops)]
    n = len(ranked)
    matrix = np.zeros((n, n))
    for i in range(n):
        matrix[i, i] = g[i] + g[i + 1]
        if i:
            matrix[i, i - 1] = matrix[i - 1, i] = -g[i]
    drops = np.linalg.solve(matrix, np.array([t.load_a for t in ranked]))
    levels = [0.0, *drops, 0.0]
    currents = [g[i] * (levels[i + 1] - levels[i]) for i in range(n + 1)]
    return {t.at: float(v) for t, v in zip(ranked, drops, strict=True)}, currents


@settings(max_examples=60)
@given(TAPS, st.floats(1, 50), st.floats(5, 200))
def test_against_the_nodes_of_the_network(taps: list[Tap], mv: float, length_m: float) -> None:
    """Drop at each load and current in each section, to a billionth; the worst drop is the greatest of them."""
    drops, currents = solved(taps, mv, length_m)
    close = {"rel": 1e-9, "abs": 1e-9}
    for tap in taps:
        assert drop_at_v(taps, tap.at, mv, length_m) == pytest.approx(drops[tap.at], **close)
    assert sections_a(taps) == pytest.approx(currents, rel=1e-7, abs=1e-7)
    first, second = legs_a(taps)
    assert (first, -second) == pytest.approx((currents[0], currents[-1]), rel=1e-7, abs=1e-7)
    assert first + second == pytest.approx(math.fsum(t.load_a for t in taps), **close)
    at, lost = worst_drop(taps, mv, length_m)
    assert lost == pytest.approx(max(drops.values()), **close)
    everywhere = [drop_at_v(taps, n / 40, mv, length_m) for n in range(41)]
    assert lost >= max(everywhere) * (1 - 1e-9)
    assert at in drops


def test_against_a_graph_library() -> None:
    """networkx: the ring as a graph whose Laplacian gives the potentials by its pseudo-inverse; line and neutral each on their own."""
    taps, mv, length_m = [Tap(0.1, 13.0), Tap(0.35, 3.0), Tap(0.6, 9.0), Tap(0.95, 7.0)], 18.0, 60.0
    ring: nx.Graph[Any] = nx.Graph()
    stops = [0.0, *(t.at for t in taps), 1.0]
    for one, other in itertools.pairwise(stops):
        half_ohm = mv / 1000 / 2 * length_m * (other - one)
        ring.add_edge(one % 1, other % 1, weight=1 / half_ohm)
    nodes = sorted(ring)
    laplacian = nx.laplacian_matrix(ring, nodelist=nodes).toarray().astype(float)
    drawn = np.array([-sum(t.load_a for t in taps), *(t.load_a for t in taps)])
    potential = np.linalg.pinv(laplacian) @ drawn
    for tap in taps:
        both = 2 * (potential[nodes.index(tap.at)] - potential[0])
        assert drop_at_v(taps, tap.at, mv, length_m) == pytest.approx(both, rel=1e-9)


def test_the_load_of_a_32_a_ring_in_the_guide() -> None:
    """On-Site Guide 7.2: 20 A at the far point and 12 A spread evenly lose there what 26 A would lose."""
    spread = [Tap((n + 0.5) / 1000, 12 / 1000) for n in range(1000)]
    there = drop_at_v([Tap(0.5, 20), *spread], 0.5, 18, 100)
    assert there == pytest.approx(cable.ring_drop_v(18, 26, 100), rel=1e-6)


def test_a_single_load_in_the_middle_and_at_the_board() -> None:
    """The quarter of a radial in the middle; nothing at the board, and then the whole load in one leg."""
    assert drop_at_v([Tap(0.5, 26)], 0.5, 18, 40) == pytest.approx(cable.drop_v(18, 26, 40) / 4)
    assert drop_at_v([Tap(0, 26)], 0.5, 18, 40) == 0
    assert legs_a([Tap(0, 26)]) == (26, 0)
    assert legs_a([Tap(0.5, 20), Tap(0.5, 6)]) == (13, 13)


def test_loads_near_one_end_overload_a_leg() -> None:
    """By hand: 30 A at a tenth of the way put 27 A on the first leg, above the 20 A that it must carry; in the middle, 15 A each."""
    assert legs_a([Tap(0.1, 30)]) == pytest.approx((27, 3))
    assert legs_a([Tap(0.5, 30)]) == pytest.approx((15, 15))
    assert sections_a([Tap(0.1, 30)]) == pytest.approx([27, -3])


def test_a_broken_ring_carries_each_side_by_one_leg() -> None:
    """All on one leg where the break lies at an end; whatever lies at the break is on the first side."""
    taps = [Tap(0.2, 10), Tap(0.5, 12), Tap(0.9, 8)]
    assert [legs_if_open_a(taps, at) for at in (0, 0.2, 0.4, 0.5, 1)] == [(0, 30), (10, 20), (10, 20), (22, 8), (30, 0)]


def test_of_two_places_alike_the_nearer_to_the_first_leg_is_named() -> None:
    assert worst_drop([Tap(0.75, 8), Tap(0.25, 8)], 18, 40) == (0.25, pytest.approx(18 * 8 * 40 / 4 / 1000))


def test_the_ends_of_a_ring_are_on_it() -> None:
    """A load at the board by either leg loses nothing and is carried by that leg; a load of nothing is one."""
    for at, legs in ((0, (6, 0)), (1, (0, 6))):
        assert legs_a([Tap(at, 6), Tap(0.5, 0)]) == legs
        assert drop_at_v([Tap(at, 6)], at, 18, 40) == 0
        assert drop_at_v([Tap(0.5, 6)], at, 18, 40) == 0


def test_off_the_ring_there_is_no_answer() -> None:
    for wrong in ((-0.1, 5), (1.1, 5), (0.5, -1), (0.5, math.inf), (math.nan, 5), (0.5, math.nan)):
        with pytest.raises(ValueError, match="a load on a ring"):
            Tap(*wrong)
    for at in (-0.01, 1.01, math.nan):
        with pytest.raises(ValueError, match="a place on a ring"):
            drop_at_v([Tap(0.5, 5)], at, 18, 40)
        with pytest.raises(ValueError, match="a break in a ring"):
            legs_if_open_a([Tap(0.5, 5)], at)
    with pytest.raises(ValueError, match="without loads"):
        worst_drop([], 18, 40)
    assert legs_a([]) == (0, 0)
    assert sections_a([]) == [0]


def test_the_same_on_facts() -> None:
    """One formula a load, the parts totalled: the working names every load."""
    loads = [(Fact("load_a", a, "stated"), Fact("load_position", x, "stated")) for a, x in ((13.0, 0.1), (9.0, 0.6))]
    mv, length, at = Fact("mv_per_a_m", 18.0, "stated"), Fact("ring_length_m", 60.0, "stated"), Fact("ring_position", 0.6, "stated")
    lost = total("drop_v", [ring_drop_by_load_v.worked(mv, length, load, where, at) for load, where in loads])
    assert lost.value == pytest.approx(drop_at_v([Tap(0.1, 13), Tap(0.6, 9)], 0.6, 18, 60))
    assert lost.working()[0].line == "ΔU = mV × l × Ib × least(xb, x) × (1 - most(xb, x)) / 1000 = " \
        "18 × 60 × 13 × least(0.1, 0.6) × (1 - most(0.1, 0.6)) / 1000 = 0.562 V"
    first = total("leg_start_a", [leg_start_a.worked(load, where) for load, where in loads])
    assert first.value == pytest.approx(legs_a([Tap(0.1, 13), Tap(0.6, 9)])[0])
