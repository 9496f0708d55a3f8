"""Physics that is no single formula: networks of resistors, ranks and chances, choosing, printing, insulation."""
from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spareway.physics import board, choose, heat, ring, supply, surge, testing
from tools.published_supply import at_least_on, cookers_apart_a

RESISTANCE = st.floats(0.01, 100)


# ---- networks -------------------------------------------------------------------------------------------------------
def test_resistors_in_series_in_parallel_and_in_a_bridge() -> None:
    """By hand: 2 and 3 in series; 3 beside 6; a balanced bridge, whose middle carries nothing."""
    assert ring.between_ohm([("a", "b", 2), ("b", "c", 3)], "a", "c") == pytest.approx(5)
    assert ring.between_ohm([("a", "b", 3), ("a", "b", 6)], "a", "b") == pytest.approx(2)
    bridge = [("a", "b", 1), ("b", "d", 2), ("a", "c", 2), ("c", "d", 4), ("b", "c", 7)]
    assert ring.between_ohm(bridge, "a", "d") == pytest.approx(2)
    assert ring.between_ohm([("a", "a", 5), ("a", "b", 2)], "a", "b") == pytest.approx(2)


def test_no_path_no_way_and_no_resistance() -> None:
    """Parted nodes are infinitely far apart, a node is nowhere from itself, and nought is refused as a resistance."""
    assert ring.between_ohm([("a", "b", 2), ("c", "d", 2)], "a", "c") == math.inf
    assert ring.between_ohm([("a", "b", 2)], "a", "z") == math.inf
    assert ring.between_ohm([("a", "b", 2)], "a", "a") == 0
    for wrong in (0, -1, math.nan):
        with pytest.raises(ValueError, match="not a resistance"):
            ring.between_ohm([("a", "b", wrong)], "a", "b")


@settings(max_examples=60)
@given(st.lists(st.tuples(st.integers(0, 5), st.integers(0, 5), RESISTANCE), min_size=4, max_size=12), RESISTANCE)
def test_laws_of_resistance(links: list[tuple[int, int, float]], added_ohm: float) -> None:
    """The same both ways, never a detour longer than its parts, and never more after a resistor is added."""
    net = [(str(a), str(b), ohm) for a, b, ohm in links]
    there = ring.between_ohm(net, "0", "1")
    assert ring.between_ohm(net, "1", "0") == pytest.approx(there, rel=1e-9)
    assert there <= ring.between_ohm(net, "0", "2") + ring.between_ohm(net, "2", "1") + 1e-9
    assert ring.between_ohm([*net, ("0", "1", added_ohm)], "0", "1") <= min(there, added_ohm) * (1 + 1e-9)


@settings(max_examples=60)
@given(RESISTANCE, RESISTANCE, st.floats(0.01, 0.99))
def test_a_sound_ring_is_the_network_it_stands_for(r1_ohm: float, r2_ohm: float, at: float) -> None:
    """Formula against elimination, and never above the quarter of the sum."""
    links = [("x", "P", at * r1_ohm), ("x", "Q", (1 - at) * r1_ohm), ("y", "Q", at * r2_ohm), ("y", "P", (1 - at) * r2_ohm)]
    reading = ring.ring_le_at_ohm(r1_ohm, r2_ohm, at)
    assert reading == pytest.approx(ring.between_ohm(links, "x", "y"), rel=1e-9)
    assert reading <= (r1_ohm + r2_ohm) / 4 * (1 + 1e-9)
    assert ring.ring_ln_at_ohm(r1_ohm, r2_ohm, at) == reading


def test_a_bridge_that_carries_nothing_leaves_the_ring_as_it_was() -> None:
    """An all but infinite bridge changes no reading; a short one leaves the rest of the ring."""
    sound = ring.bridged_ln_ohm(0.6, 0.6, 1e12, (0.2, 0.7), [0.1, 0.5, 0.9])
    assert sound == pytest.approx([0.3, 0.3, 0.3], rel=1e-9)
    assert ring.bridged_end_ohm(0.6, 0.5, 1e12) == pytest.approx(0.6)
    assert ring.bridged_end_ohm(0.6, 0.5, 1e-12) == pytest.approx(0.3)


def test_legs_of_two_rings() -> None:
    rings = {"1": 0.6, "2": 0.8}
    assert ring.end_to_end(rings, ("1A", "1B")) == pytest.approx(0.6)
    assert ring.end_to_end(rings, ("1A", "2B")) == math.inf
    assert ring.spread_percent([0.4, 0.41, 0.402]) == pytest.approx(2.5)


# ---- demand ---------------------------------------------------------------------------------------------------------
def test_a_fuse_stands_for_less_power_behind_a_lagging_load() -> None:
    """By hand: 100 A at 230 V is 23 kVA, and nine tenths of that is power."""
    assert supply.capacity_kw(100, 230, 0.9) == pytest.approx(20.7)


def test_demand_by_rank() -> None:
    """The largest whole, the others by their share, in whatever order they come; without shares there is no answer."""
    for loads in itertools.permutations([32.0, 20.0, 16.0]):
        assert supply.demand_by_rank_a(list(loads), [1, 0.4]) == pytest.approx(32 + 0.4 * 36)
        assert supply.demand_by_rank_a(list(loads), [1, 0.8, 0.6]) == pytest.approx(32 + 16 + 9.6)
    assert supply.demand_by_rank_a([], [1]) == 0
    with pytest.raises(ValueError, match="no share"):
        supply.demand_by_rank_a([32.0], [])


def test_a_shop_of_a_textbook() -> None:
    """From memory of a sixteenth edition guide, the example of a shop: 25 + 20 + 10 A of cookers, 135 A of eight rings."""
    amperes = [supply.load_of_kw_a(kw, 240) for kw in (6, 6, 4)]
    assert supply.demand_by_rank_a(amperes, [1, 0.8, 0.6]) == pytest.approx(55)
    assert supply.demand_by_rank_a([30.0] * 8, [1, 0.5]) == pytest.approx(135)


@settings(max_examples=100)
@given(st.floats(1, 200), st.integers(1, 4), st.floats(0.1, 1), st.sampled_from([0.0, 5.0]))
def test_cookers_backwards(circuit_a: float, appliances: int, share: float, socket_a: float) -> None:
    """The greatest load that a circuit carries, put through the rule forwards, gives the circuit again."""
    circuit_a += socket_a
    load = supply.cooker_load_a(circuit_a, appliances, 10, share, socket_a)
    assert supply.cooker_demand_a(load, 10 * appliances, share, socket_a) == pytest.approx(circuit_a)


def test_a_load_within_its_first_amperes_counts_whole_and_no_more() -> None:
    """On-Site Guide Table A2: of 8 A, with the first 10 whole, there is no rest to take a share of."""
    assert supply.cooker_demand_a(8, 10, 0.3, 0) == 8
    assert supply.first_and_rest_a(8, 10, 0.5) == 8


def test_what_is_always_on_is_on() -> None:
    assert [at_least_on(1.0, 3, on) for on in (2, 3, 4)] == [1, 1, 0]


def test_cookers_apart_count_their_socket_once() -> None:
    assert cookers_apart_a([11, 26], 10, 0.3, 5) == pytest.approx(10.3 + 14.8 + 5)


@settings(max_examples=60)
@given(st.floats(0, 1), st.integers(1, 9), st.integers(-1, 11))
def test_chance_that_so_many_are_on(duty: float, heaters: int, on: int) -> None:
    """Against every pattern of on and off, counted out."""
    chance = math.fsum(math.prod(duty if here else 1 - duty for here in pattern)
                       for pattern in itertools.product((True, False), repeat=heaters) if pattern.count(True) >= on)
    assert at_least_on(duty, heaters, on) == pytest.approx(chance, abs=1e-12)


# ---- choosing and printing ------------------------------------------------------------------------------------------
def test_limits_bear_the_noise_of_floats_and_no_more() -> None:
    """0.1 + 0.2 is within 0.3; what is truly above is not; nan is never within."""
    assert choose.at_most(0.1 + 0.2, 0.3)
    assert choose.at_least(0.3, 0.1 + 0.2)
    assert not choose.at_most(0.3000001, 0.3)
    assert not choose.at_least(0.2999999, 0.3)
    assert choose.at_most(-0.3, -0.3)
    assert choose.at_most(0.0, 0.0)                                    # at nought there is no noise to bear, and nought is within it
    assert choose.at_least(0.0, 0.0)
    assert not choose.at_most(-0.2999, -0.3)
    for compare in (choose.at_most, choose.at_least):
        assert not compare(math.nan, 1)
        assert not compare(1, math.nan)


def test_choosing_sizes_and_devices() -> None:
    """The smallest that does, whatever the order; none where none does; a device between load and cable."""
    it_a = {10.0: 57.0, 4.0: 32.0, 6.0: 41.0}
    assert choose.smallest_at_least(4.1, [16, 6, 10]) == 6
    assert choose.smallest_at_least(17, [16, 6, 10]) is None
    assert choose.smallest_carrying(33, it_a) == 6
    assert choose.smallest_carrying(58, it_a) is None
    assert choose.device_between(20, 27, [16, 25, 32]) == 25
    assert choose.device_between(20, 24, [16, 25, 32]) is None
    assert choose.smallest_protected(28, it_a, [32, 40]) == 4
    assert choose.smallest_protected(33, it_a, [32, 40]) == 6
    assert choose.smallest_protected(50, it_a, [32, 40]) is None


@pytest.mark.parametrize(("value", "nearest", "down"), [
    (218.5 / 100, 2.19, 2.18), (1.37 * 0.8, 1.10, 1.09), (4.55 * 0.8, 3.64, 3.64), (7.28 * 0.8, 5.82, 5.82), (0.0, 0, 0),
    (218.5 / 160, 1.37, 1.36), (-1.234, -1.23, -1.24),
])
def test_printing_limits(value: float, nearest: float, down: float) -> None:
    """A half goes up, a limit on the safe side goes down, and the last digit of a float decides neither."""
    assert choose.printed(value, 2) == nearest
    assert choose.printed_down(value, 2) == down


# ---- insulation, leakage, boards ------------------------------------------------------------------------------------
def test_insulation_together_and_what_is_left() -> None:
    """Conductances add; nought makes all nought; what the rest must have adds back to the board, or is nothing at all."""
    assert testing.together_mohm([5, 20, 10, 20, 2]) == pytest.approx(1 / 0.9)
    assert testing.together_mohm([5, 0]) == 0
    assert testing.remaining_mohm(1, [2]) == pytest.approx(2)
    assert testing.together_mohm([testing.remaining_mohm(0.7, [3, 5]), 3, 5]) == pytest.approx(0.7)
    assert testing.remaining_mohm(2000, [2000.002]) == pytest.approx(2000 * 2000.002 / 0.002, rel=1e-6)        # at any scale
    assert testing.remaining_mohm(2, [2]) == math.inf
    assert testing.remaining_mohm(2, [1]) == math.inf


def test_trip_windows() -> None:
    assert testing.rcd_in_window(300, 0, 300)
    assert not testing.rcd_in_window(301, 0, 300)
    assert not testing.rcd_in_window(129, 130, 500)
    assert testing.rcd_in_window(2000, 1990, math.inf)
    assert not testing.rcd_in_window(math.nan, 0, 300)


def test_leakage_and_pairs() -> None:
    assert testing.leakage_ma([0.75, 3.5], [4, 2]) == 10
    assert testing.leakage_ma([0.75, 3.5]) == 4.25
    with pytest.raises(ValueError, match="shorter"):
        testing.leakage_ma([0.75, 3.5], [4])
    budgets = ((9, 0.75), (9, 3.5), (0.3 * 30, 0.9), (0.3, 0.1))
    assert [testing.items_within(limit, each) for limit, each in budgets] == [12, 2, 10, 3]
    assert [testing.pairs_to_prove(n) for n in (2, 3, 5)] == [1, 3, 10]


def test_boards_and_surge_back_up() -> None:
    """Ratings alone show no overload, demands do; a fuse of its own where the supply's is larger or the fault is greater."""
    assert board.sum_of_ways_a([6, 32.5]) == 38.5
    assert not board.overload_shown((), 100)
    assert not board.overload_shown([60, 40], 100)
    assert board.overload_shown([60, 41], 100)
    assert board.carries([61, 76, 87], 76) == [False, True, True]
    assert not surge.own_fuse_needed(100, 125, 1.2, 6)
    assert surge.own_fuse_needed(126, 125, 1.2, 6)
    assert surge.own_fuse_needed(100, 125, 6.1, 6)


def test_an_hour_has_3600_seconds() -> None:
    """3.6 kJ in an hour is 1 W: 3600 J over 3600 s."""
    assert heat.air_w_per_m3k(3.6) == 1
