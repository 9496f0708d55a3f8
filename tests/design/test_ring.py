"""How a ring shares its load, against a network of resistors solved node by node; the handbook's ring against its printed length."""
from __future__ import annotations

import random

import numpy as np
import pytest

from spareway.design.ring import fixed_loads, handbook_drop_v, round_the_ring, spur_ends, worst_leg_a
from spareway.rules.specimen import with_example

CABLE = 'circuits.plugs.cable = { kind = "t&e", line_mm2 = 2.5, cpc_mm2 = 1.5, method = "C" }\n'


def legs_a(gaps_m: list[float], loads_a: list[float]) -> list[float]:
    """Current of both legs by nodal analysis: the board is one node at 0 V, each point draws its load."""
    n = len(loads_a)
    y = np.zeros((n, n))
    for i, gap in enumerate(gaps_m):
        for a, b in ((i - 1, i), (i, i - 1)):
            if 0 <= a < n:
                y[a, a] += 1 / gap
                if 0 <= b < n:
                    y[a, b] -= 1 / gap
    v = np.linalg.solve(y, -np.array(loads_a))
    return [-v[0] / gaps_m[0], -v[-1] / gaps_m[-1]]


def test_legs_agree_with_a_nodal_solve() -> None:
    """Forty rings of one to eight loads at random places: the greater leg is the nodal one to 1e-9."""
    draw = random.Random(20261125)
    for _ in range(40):
        n = draw.randint(1, 8)
        gaps, watts = [draw.uniform(0.5, 20) for _ in range(n + 1)], [draw.uniform(100, 3000) for _ in range(n)]
        lines = [f'circuits.plugs.points.p{i} = {{ from = "{f"p{i - 1}" if i else "way.a"}", length_m = {gaps[i]}, feeds = "appliance", load_w = {watts[i]}'
                 + (f', back_to = "way.b", back_m = {gaps[n]}' if i == n - 1 else "") + " }" for i in range(n)]
        circuit = with_example(CABLE + "\n".join(lines)).circuits["plugs"]
        assert worst_leg_a(circuit).value == pytest.approx(max(legs_a(gaps, [w / 230 for w in watts])), rel=1e-9)


def test_the_points_in_their_order_round_and_a_spur_s_load_where_it_begins() -> None:
    circuit = with_example(CABLE + """circuits.plugs.points.c = { from = "b", length_m = 6, feeds = "sockets", back_to = "way.b", back_m = 7 }
circuits.plugs.points.a = { from = "way.a", length_m = 4, feeds = "sockets" }
circuits.plugs.points.b = { from = "a", length_m = 5, feeds = "sockets" }
circuits.plugs.points.s = { from = "b", length_m = 3, feeds = "sockets" }
circuits.plugs.points.t = { from = "s", length_m = 2, feeds = "appliance", load_w = 2300 }""").circuits["plugs"]
    assert [p.name for p in round_the_ring(circuit)] == ["a", "b", "c"]
    assert [(a.value, m.value) for a, m in fixed_loads(circuit)] == [(10, 9)]
    assert worst_leg_a(circuit).value == pytest.approx(10 * 13 / 22)
    (at, length, most, drop), = spur_ends(circuit)
    assert (at, length.value, most.value) == ("circuits.plugs.points.s", 5, 2 / 8)
    assert drop.value == pytest.approx(circuit.drop_from_origin_v.value + 0.018 * 32 * 5)


def test_equipment_on_a_ring_stands_at_its_last_point() -> None:
    circuit = with_example(CABLE + """circuits.plugs.points.a = { from = "way.a", length_m = 4, feeds = "sockets" }
circuits.plugs.points.b = { from = "a", length_m = 5, back_to = "way.b", back_m = 1 }
equipment.radiator.on = "plugs"
circuits.warmth.feeds = "nothing\"""").circuits["plugs"]
    assert [(f"{a.value:.2f}", m.value) for a, m in fixed_loads(circuit)] == [("10.87", 9)]


@pytest.mark.parametrize(("length_m", "within"), [(106, True), (107, False)])
def test_the_printed_length_of_a_ring(length_m: int, within: bool) -> None:
    """On-Site Guide Table 7.1, print of about 2018: 106 m for 32 A, 2.5 mm²: 0.018 x 26 x 106 / 4 x 0.9230 is 11.45 V of 11.5."""
    circuit = with_example(f"circuits.plugs.cable.length_m = {length_m}").circuits["plugs"]
    own = handbook_drop_v(circuit).inputs[1]
    assert (own.value <= 0.05 * 230) is within
    assert own.value == pytest.approx(0.018 * 26 * length_m / 4 * (300 - (1 - (26 / 40) ** 2) * 40) / 300)
