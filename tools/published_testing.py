"""Worked examples on tests and readings: rings, insulation, residual current devices, instruments."""
from __future__ import annotations

from math import fsum
from types import SimpleNamespace as Given
from typing import Any

from spareway.physics import cable, fault, ring, supply, testing
from spareway.physics.choose import at_least, at_most
from tools.published_base import Answer, NotCovered, covers, each
from tools.published_rules import fusing_factor, rcd_window_ms, rule

HEALTHY, SPUR, OPEN = "healthy", "spur", "open"
SAME_LEGS = "same legs linked, repeat with opposite legs"
UNUSABLE = "readings not usable: instrument or leads first"


# ---- rings ----------------------------------------------------------------------------------------------------------
@covers("ring final resistance", "r1_end_to_end_ohm r2_to_r1_ratio")
def ring_from_ratio(g: Given) -> Answer:
    r2 = cable.ring_r2_ohm(g.r1_end_to_end_ohm, g.r2_to_r1_ratio)
    return {"r2_end_to_end_ohm": r2, "r1r2_midpoint_ohm": cable.ring_r1r2_ohm(g.r1_end_to_end_ohm, r2)}


@covers("ring final resistance", "r1_end_to_end_ohm r1_mohm_per_m r1r2_mohm_per_m r1r2_reading_ohm r2_end_to_end_ohm")
def ring_lengths(g: Given) -> Answer:
    middle = cable.ring_r1r2_ohm(g.r1_end_to_end_ohm, g.r2_end_to_end_ohm)
    return {"length_from_r1_m": cable.length_of_reading_m(g.r1_end_to_end_ohm, g.r1_mohm_per_m),
            "length_from_sum_m": ring.length_of_sum_m(g.r1_end_to_end_ohm, g.r2_end_to_end_ohm, g.r1r2_mohm_per_m),
            "r1r2_predicted_ohm": middle, "reading_low_percent": ring.reading_low_percent(g.r1r2_reading_ohm, middle)}


@covers("ring final: cpc ratio", "cpc_mm2 line_mm2 r1_end_to_end_ohm r_cpc_mohm_per_m r_line_mohm_per_m")
def ring_ratio(g: Given) -> Answer:
    by_area, by_table = g.line_mm2 / g.cpc_mm2, ring.r2_to_r1(g.r_line_mohm_per_m, g.r_cpc_mohm_per_m)
    return {"r2_by_area_ohm": cable.ring_r2_ohm(g.r1_end_to_end_ohm, by_area),
            "r2_by_table_ohm": cable.ring_r2_ohm(g.r1_end_to_end_ohm, by_table)}


@covers("ring final: healthy", "le_readings_ohm[] ln_readings_ohm[] positions_fraction[] r1_end_to_end_ohm "
        "r2_end_to_end_ohm rn_end_to_end_ohm")
def ring_readings(g: Given) -> Answer:
    r1, rn, r2 = g.r1_end_to_end_ohm, g.rn_end_to_end_ohm, g.r2_end_to_end_ohm
    ln = each(ring.ring_ln_at_ohm, r1, rn, g.positions_fraction)
    le = each(ring.ring_le_at_ohm, r1, r2, g.positions_fraction)
    same_legs = each(ring.ring_same_legs_ohm, r1, rn, g.positions_fraction)
    if agree(g.ln_readings_ohm, ln) and agree(g.le_readings_ohm, le):
        found = HEALTHY
    elif agree(g.ln_readings_ohm, same_legs):
        found = SAME_LEGS
    elif all(read > want - rule("ring_ends_apart_ohm") for read, want in zip(g.ln_readings_ohm, ln, strict=True)):
        found = SPUR
    else:
        found = UNUSABLE
    return {"ln_expected_ohm": ln, "le_expected_ohm": le, "le_max_ohm": cable.ring_r1r2_ohm(r1, r2), "diagnosis": found}


def agree(readings_ohm: list[float], expected_ohm: list[float]) -> bool:
    """Whether each reading lies where it should, to what readings of a ring usually agree within."""
    near = rule("ring_ends_apart_ohm")
    return all(abs(read - want) <= near for read, want in zip(readings_ohm, expected_ohm, strict=True))


@covers("ring final: spread in step 3", "positions_fraction[] r1_end_to_end_ohm r2_end_to_end_ohm")
def ring_spread(g: Given) -> Answer:
    le = each(ring.ring_le_at_ohm, g.r1_end_to_end_ohm, g.r2_end_to_end_ohm, g.positions_fraction)
    return {"le_expected_ohm": le, "spread_percent": ring.spread_percent(le)}


@covers("ring final: same-leg cross link", "positions_fraction[] r1_end_to_end_ohm r2_end_to_end_ohm rn_end_to_end_ohm")
def ring_same_legs(g: Given) -> Answer:
    ln = each(ring.ring_same_legs_ohm, g.r1_end_to_end_ohm, g.rn_end_to_end_ohm, g.positions_fraction)
    return {"ln_expected_ohm": ln, "diagnosis": SAME_LEGS}


@covers("ring final: line open", "break_fraction positions_fraction[] r1_cable_ohm r1_end_to_end_ohm r2_end_to_end_ohm "
        "rn_end_to_end_ohm")
def ring_line_open(g: Given) -> Answer:
    r1, rn = g.r1_cable_ohm, g.rn_end_to_end_ohm
    ln = [(ring.ring_open_before_ohm if at <= g.break_fraction else ring.ring_open_after_ohm)(r1, rn, at)
          for at in g.positions_fraction]
    return {"ln_expected_ohm": ln, "ratio_to_healthy": fsum(ln) / len(ln) / ring.ring_ln_ohm(r1, rn),
            "diagnosis": "line conductor open" if g.r1_end_to_end_ohm == OPEN else HEALTHY}


@covers("ring final: unfused spur", "r1_end_to_end_ohm r2_end_to_end_ohm r_cpc_mohm_per_m r_line_mohm_per_m "
        "rn_end_to_end_ohm spur_length_m")
def ring_spur(g: Given) -> Answer:
    ln = ring.ring_ln_ohm(g.r1_end_to_end_ohm, g.rn_end_to_end_ohm)
    le = cable.ring_r1r2_ohm(g.r1_end_to_end_ohm, g.r2_end_to_end_ohm)
    at_spur = ring.spur_end_ohm(ln, 2 * g.r_line_mohm_per_m, g.spur_length_m)
    return {"ln_ring_ohm": ln, "ln_spur_ohm": at_spur,
            "le_spur_tap_mid_ohm": ring.spur_end_ohm(le, g.r_line_mohm_per_m + g.r_cpc_mohm_per_m, g.spur_length_m),
            "diagnosis": SPUR if at_spur > ln else HEALTHY}


@covers("ring final: bridge inside the ring", "bridge_between_fraction[] bridge_ohm_each_core positions_fraction[] "
        "r1_cable_ohm")
def ring_bridge(g: Given) -> Answer:
    """Line and neutral are of one size, and each is bridged."""
    start, end = sorted(g.bridge_between_fraction)
    low = ring.bridged_end_ohm(g.r1_cable_ohm, end - start, g.bridge_ohm_each_core)
    whole = g.r1_cable_ohm
    ln = ring.bridged_ln_ohm(whole, whole, g.bridge_ohm_each_core, (start, end), g.positions_fraction)
    return {"r1_end_to_end_ohm": low, "ln_expected_ohm": ln,
            "diagnosis": "interconnection inside the ring" if low < g.r1_cable_ohm else HEALTHY}


@covers("ring final: legs of two rings swapped", "paired_as_labelled ring1_r1_ohm ring2_r1_ohm")
def rings_swapped(g: Given) -> Answer:
    """The labels pair a leg of one ring with a leg of the other; across the labels each ring closes."""
    rings = {"1": g.ring1_r1_ohm, "2": g.ring2_r1_ohm}
    as_paired = [word(ring.end_to_end(rings, pair)) for pair in (("1A", "2B"), ("2A", "1B"))]
    across = [ring.end_to_end(rings, pair) for pair in (("1A", "1B"), ("2A", "2B"))]
    swapped = as_paired == [OPEN, OPEN]
    return {"as_paired": as_paired, "cross_paired_ohm": across,
            "diagnosis": "re-pair the legs before step 2" if swapped else HEALTHY}


def word(ohm: float) -> Any:
    return OPEN if ohm == float("inf") else ohm


@covers("ring final: line and neutral reversed at one socket", "r1_end_to_end_ohm r2_end_to_end_ohm rn_end_to_end_ohm")
def ring_reversed(g: Given) -> Answer:
    """In step 3 line and protective conductors are joined; the socket's line contact is on the neutral, that is not."""
    links = [*ring.conductor("L", g.r1_end_to_end_ohm, [0.5]), *ring.conductor("E", g.r2_end_to_end_ohm, [0.5]),
             *ring.conductor("N", g.rn_end_to_end_ohm, [0.5]), ("L0", "E1", 1e-3), ("E0", "L1", 1e-3)]
    at_socket = word(ring.between_ohm(links, "N0.5", "E0.5"))
    return {"step2_ln_ohm": ring.ring_ln_ohm(g.r1_end_to_end_ohm, g.rn_end_to_end_ohm), "step3_le_at_socket": at_socket,
            "diagnosis": "line and neutral reversed at that socket" if at_socket == OPEN else HEALTHY}


@covers("ring final: implausible readings", "le_readings_ohm[] ln_readings_ohm[] r1_end_to_end_ohm r2_end_to_end_ohm "
        "r_line_mohm_per_m ratio_expected[] rn_end_to_end_ohm")
def ring_implausible(g: Given) -> Answer:
    r1, rn, r2 = g.r1_end_to_end_ohm, g.rn_end_to_end_ohm, g.r2_end_to_end_ohm
    ln, le, ratio = ring.ring_ln_ohm(r1, rn), cable.ring_r1r2_ohm(r1, r2), ring.r2_to_r1(r1, r2)
    offset = fsum(g.ln_readings_ohm) / len(g.ln_readings_ohm) - ln
    plausible = min(g.ratio_expected) <= ratio <= max(g.ratio_expected)
    usable = plausible and abs(offset) <= rule("ring_ends_apart_ohm")
    return {"ln_expected_ohm": ln, "le_expected_ohm": le, "ln_offset_ohm": offset, "r2_to_r1": ratio,
            "length_implied_m": cable.length_of_reading_m(r1, g.r_line_mohm_per_m), "ratio_plausible": plausible,
            "verdict": HEALTHY if usable else UNUSABLE}


# ---- insulation -----------------------------------------------------------------------------------------------------
@covers("insulation resistance in parallel", "circuits_mohm[] investigate_below_mohm limit_mohm")
def insulation_to_look_into(g: Given) -> Answer:
    total = testing.together_mohm(g.circuits_mohm)
    return {"total_mohm": total, "passes": at_least(total, g.limit_mohm),
            "investigate": not at_least(total, g.investigate_below_mohm)}


@covers("insulation resistance in parallel", "circuits_mohm[] limit_mohm")
def insulation_of_a_board(g: Given) -> Answer:
    total = testing.together_mohm(g.circuits_mohm)
    return {"total_mohm": total, "passes": at_least(total, g.limit_mohm),
            "any_single_below_limit": not all(at_least(each, g.limit_mohm) for each in g.circuits_mohm)}


@covers("insulation resistance in parallel", "good_circuits_mohm[] limit_mohm whole_board_mohm")
def insulation_of_the_rest(g: Given) -> Answer:
    rest = testing.remaining_mohm(g.whole_board_mohm, g.good_circuits_mohm)
    return {"remaining_mohm": rest, "remaining_fails": not at_least(rest, g.limit_mohm)}


# ---- residual current devices ---------------------------------------------------------------------------------------
@covers("TT and RCD", "idn_a[] touch_v")
def electrode_limits(g: Given) -> Answer:
    return {"ra_max_ohm": each(fault.electrode_limit_ohm, g.touch_v, g.idn_a)}


@covers("TT and RCD", "ia_a touch_v")
def bonding_limit(g: Given) -> Answer:
    return {"r_max_ohm": fault.electrode_limit_ohm(g.touch_v, g.ia_a)}


@covers("TT and RCD", "ra_ohm touch_v")
def residual_for_electrode(g: Given) -> Answer:
    return {"idn_max_ma": fault.residual_limit_ma(g.touch_v, g.ra_ohm)}


@covers("TT and RCD", "fuse_a idn_ma ra_ohm touch_v u0_v")
def fuse_or_residual(g: Given) -> Answer:
    """A fuse is not relied on below the current at which it opens at all."""
    current, touch = fault.prospective_a(g.u0_v, g.ra_ohm), fault.touch_at_residual_v(g.ra_ohm, g.idn_ma)
    return {"fault_current_a": current, "touch_at_idn_v": touch, "rcd_ok": at_most(touch, g.touch_v),
            "fuse_relies": at_least(current, supply.fusing_a(g.fuse_a, fusing_factor("bs88-3", g.fuse_a)))}


@covers("RCD time verdicts", "cases[]")
def trip_times(g: Given) -> Answer:
    passes = []
    for case in g.cases:
        window = rcd_window_ms(kind_of(case["kind"]), case["multiple"])
        if window is None:
            raise NotCovered(f"no trip time for {case['kind']} at {case['multiple']} times")
        passes.append(testing.rcd_in_window(case["time_ms"], *window))
    return {"passes": passes}


def kind_of(said: str) -> str:
    """The row of the table for a device as an example calls it."""
    name = said.casefold().replace("_", " ").replace("-", " ")
    words = name.split()
    if "4293" in name or "7288" in name:
        return "older"
    if {"s", "selective"} & set(words) or "delay" in name and not {"non", "no", "not", "without"} & set(words):
        return "delayed"
    if {"general", "non", "no", "instantaneous", "standard", "g", "ac", "a", "f", "b"} & set(words) or "6100" in name:
        return "general"
    raise NotCovered(f"no trip times for a device called {said}")


@covers("RCD test current window", "high_percent[] low_percent[] nominal_ma[]")
def test_currents(g: Given) -> Answer:
    """How far low is a distance, whichever sign it is written with."""
    return {"greatest_ma": each(testing.band_greatest, g.nominal_ma, g.high_percent),
            "least_ma": each(testing.band_least, g.nominal_ma, [abs(low) for low in g.low_percent])}


@covers("RCD leakage budget", "counts[] each_ma[] idn_ma share")
def leakage_of_counts(g: Given) -> Answer:
    return budget(testing.leakage_ma(g.each_ma, g.counts), g)


@covers("RCD leakage budget", "idn_ma items_ma[] share")
def leakage_of_items(g: Given) -> Answer:
    return budget(testing.leakage_ma(g.items_ma), g)


def budget(leakage_ma: float, g: Given) -> Answer:
    limit = testing.leakage_limit_ma(g.idn_ma, g.share)
    return {"sum_ma": leakage_ma, "limit_ma": limit, "within": at_most(leakage_ma, limit)}


@covers("RCD leakage budget", "each_ma limit_ma")
def leakage_items(g: Given) -> Answer:
    return {"max_items": testing.items_within(g.limit_ma, g.each_ma)}


@covers("RCD leakage budget", "each_ma idn_ma limit_share nontrip_share")
def leakage_of_alike(g: Given) -> Answer:
    may_trip, budgeted = (testing.leakage_limit_ma(g.idn_ma, share) for share in (g.nontrip_share, g.limit_share))
    return {"items_before_possible_trip": testing.items_within(may_trip, g.each_ma),
            "items_within_30_percent": testing.items_within(budgeted, g.each_ma),
            "sum_of_five_ma": testing.leakage_ma([g.each_ma], [5])}


# ---- instruments, dead tests ----------------------------------------------------------------------------------------
@covers("instrument error band", "percent true_value")
def error_band(g: Given) -> Answer:
    return {"greatest": testing.band_greatest(g.true_value, g.percent),
            "least": testing.band_least(g.true_value, g.percent)}


@covers("reading with instrument error", "digit[] digits limit[] limit_is_minimum percent")
def limiting_readings(g: Given) -> Answer:
    work = testing.least_reading if g.limit_is_minimum else testing.greatest_reading
    return {"reading": each(work, g.limit, g.percent, g.digits, g.digit)}


@covers("dead test count", "systems[]")
def dead_tests(g: Given) -> Answer:
    return {"combinations": [testing.pairs_to_prove(len(system.split())) for system in g.systems]}
