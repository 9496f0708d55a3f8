"""Wrong uses and misprints that worked examples are known for: what to say beside the right value.

A warning is made from the inputs and the answer alone, as the answer is from the inputs; it names the wrong use, and the number
that the wrong use gives where that is arithmetic. A misprint is named when the inputs are those of the page that has it.
"""
from __future__ import annotations

from collections.abc import Callable, Mapping
from types import SimpleNamespace as Given
from typing import Any

from spareway.tables.table import table
from tools.published_base import Answer, Shape, by_number, shape_of, shown

Warn = Callable[[Given, Answer], str]
WARNS: dict[Shape, Warn] = {}


def warns(topic: str, names: str) -> Callable[[Warn], Warn]:
    """Over a function of inputs and answer that gives a warning, or nothing where the use is right."""
    def keep(function: Warn) -> Warn:
        WARNS[topic, frozenset(names.split())] = function
        return function
    return keep


def warning(topic: str, inputs: Mapping[str, Any], got: Answer) -> str:
    """What to bear in mind of this answer; nothing where no wrong use is known."""
    found = WARNS.get(shape_of(topic, inputs))
    return found(Given(**inputs), got) if found else ""


# ---- circuits -------------------------------------------------------------------------------------------------------
@warns("ring final resistance", "r1_end_to_end_ohm r2_to_r1_ratio")
def parallel_conductors(g: Given, got: Answer) -> str:
    r1, r2 = g.r1_end_to_end_ohm, got["r2_end_to_end_ohm"]
    return f"line and protective conductor are no pair in parallel: r1 × r2 / (r1 + r2) = {shown(r1 * r2 / (r1 + r2))} Ω " \
        "is not the reading at the middle, which is a quarter of r1 + r2"


@warns("ring final voltage drop", "length_m load_a mv_per_a_m")
def radial_figure(_: Given, got: Answer) -> str:
    return f"{shown(got['vd_if_radial_v'])} V is the drop of a radial as long; a ring loses a quarter of it to its middle"


@warns("rating factors", "cg_as_used cg_for_seven it_a")
def circuit_itself_not_counted(g: Given, got: Answer) -> str:
    if g.cg_as_used == g.cg_for_seven:
        return ""
    return "the circuit itself counts in its group: six others make seven, " \
        f"{shown(g.cg_for_seven)} and not {shown(g.cg_as_used)}; {shown(got['iz_as_printed_a'])} A leaves it out"


@warns("part in thermal insulation", "ci in_a it_method_a_a{} it_method_c_a{}")
def insulation_twice(g: Given, got: Answer) -> str:
    if got["csa_double_counted_mm2"] == got["csa_correct_mm2"]:
        return ""
    clipped, alone = got["iz_1mm2_from_method_c_a"], by_number(g.it_method_a_a)[1]
    return "a factor for insulation on top of the column of an insulated wall counts the insulation twice, and asks for " \
        f"{shown(got['csa_double_counted_mm2'])} mm²: it belongs to the clipped rating ({shown(clipped)} A), " \
        f"or the column stands alone ({shown(alone)} A)"


@warns("energy withstand", "csa_mm2[] k")
def digit_slipped(g: Given, _: Answer) -> str:
    if g.k == 115 and 2.5 in g.csa_mm2:
        return "82,856 A²s is in print for 2.5 mm² at k = 115: a slipped digit, k²S² is 82,656.25"
    return ""


@warns("voltage drop with conductor temperature", "ambient_c ca cg ib_a it_a limit_v mv_per_a_m tp_c")
def ct_near_one(g: Given, got: Answer) -> str:
    share = (g.ib_a / g.it_a) ** 2
    if (g.ca * g.cg) ** 2 - share < 0.01:
        return ""
    return f"0.9999 is in print for a Ct like this: the load's share of the heat is (Ib/It)² = {shown(share)}, so the " \
        f"conductor runs well below its limit and Ct is {shown(got['ct'])}; of a ring, It is that of both legs"


@warns("adiabatic", "fault_current_a k time_s")
def table_current(g: Given, _: Answer) -> str:
    return f"good only where {shown(g.fault_current_a)} A is the current of the fault: the current that a table gives for the " \
        "device is right as arithmetic and no design, for the real current is another and so is its time"


@warns("length limit from Zs", "r1r2_mohm_per_m site_factor ze_ohm zs_tabulated_ohm")
def five_second_limit(g: Given, _: Answer) -> str:
    times = {row.keys[2] for row in table("zs_fuse").rows if row.value == g.zs_tabulated_ohm}
    if times != {5}:
        return ""
    return f"{shown(g.zs_tabulated_ohm)} Ω is a limit for 5 s: right for a distribution circuit, and it gives a final circuit " \
        "far more length than it may have"


# ---- demand ---------------------------------------------------------------------------------------------------------
@warns("maximum demand", "cooker_a cooker_socket lighting_device_a[] ring_a[] thermostatic_water_a")
def ratings_for_loads(_: Given, __: Answer) -> str:
    return "the inputs are ratings of devices: diversity starts from the currents that the loads are expected to take"


@warns("maximum demand", "device_ratings_a[] main_switch_a")
def sum_of_ratings(g: Given, got: Answer) -> str:
    if not got["sum_exceeds_switch"]:
        return ""
    return f"ratings that add up to {shown(got['sum_a'])} A behind a switch of {shown(g.main_switch_a)} A are no overload and " \
        "no fault: what the circuits take is not in them"


@warns("maximum demand", "ring_a[]")
def wrong_row_for_rings(_: Given, got: Answer) -> str:
    return f"{shown(got['by_10a_plus_50_percent_row_a'])} A is by the row for heating and power on general circuits, which " \
        "must not be used for rings: theirs is the row of standard circuits"
