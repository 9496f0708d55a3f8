"""Worked examples on circuits: resistance, loop, fault, cable, drop."""
from __future__ import annotations

from itertools import product
from types import SimpleNamespace as Given

from spareway.physics import cable, fault
from spareway.physics.choose import (
    at_least,
    at_most,
    device_between,
    printed,
    printed_down,
    smallest_at_least,
    smallest_carrying,
    smallest_protected,
)
from spareway.physics.earthing import half_mm2
from tools.published_base import Answer, by_number, covers, each
from tools.published_rules import number, rule, standard_sizes_mm2


# ---- resistance -----------------------------------------------------------------------------------------------------
@covers("conductor resistance", "length_m r1_mohm_per_m r2_mohm_per_m")
def both_conductors(g: Given) -> Answer:
    r1, r2 = cable.r1_ohm(g.r1_mohm_per_m, g.length_m), cable.r2_ohm(g.r2_mohm_per_m, g.length_m)
    return {"r1_ohm": r1, "r2_ohm": r2, "r1r2_ohm": cable.r1r2_ohm(r1, r2)}


@covers("conductor resistance", "length_m r_mohm_per_m")
def one_conductor(g: Given) -> Answer:
    return {"r_ohm": cable.r_ohm(g.r_mohm_per_m, g.length_m)}


@covers("conductor resistance", "r_mohm_per_m reading_ohm")
def length_of_a_reading(g: Given) -> Answer:
    return {"length_m": cable.length_of_reading_m(g.reading_ohm, g.r_mohm_per_m)}


@covers("conductor resistance", "r_mohm_per_m target_ohm")
def length_for_a_target(g: Given) -> Answer:
    return {"length_m": cable.length_of_reading_m(g.target_ohm, g.r_mohm_per_m)}


@covers("temperature correction", "alpha_per_k temperature_c[]")
def back_to_20(g: Given) -> Answer:
    return {"factor_to_20c": each(cable.to_20_factor, g.alpha_per_k, g.temperature_c)}


@covers("temperature correction", "ambient_c factor_20_to_70c factor_to_20c r1r2_measured_ohm")
def back_and_up(g: Given) -> Answer:
    cold = cable.r_at_20_ohm(g.r1r2_measured_ohm, g.factor_to_20c)
    return {"r_20c_ohm": cold, "r_70c_ohm": cable.r_hot_ohm(cold, g.factor_20_to_70c)}


# ---- loops ----------------------------------------------------------------------------------------------------------
@covers("loop impedance", "cpc_mm2 length_m line_mm2 r1r2_mohm_per_m temperature_multiplier ze_ohm")
def loop(g: Given) -> Answer:
    hot = cable.r_hot_ohm(cable.r1r2_of_length_ohm(g.r1r2_mohm_per_m, g.length_m), g.temperature_multiplier)
    return {"r1r2_ohm": hot, "zs_ohm": fault.zs_of_r1r2_ohm(g.ze_ohm, hot)}


@covers("loop impedance", "distances_m[] r1r2_mohm_per_m temperature_multiplier ze_ohm zs_limit_ohm")
def loop_at_points_hot(g: Given) -> Answer:
    points = each(cable.r1r2_of_length_ohm, g.r1r2_mohm_per_m, g.distances_m)
    end = max(points)
    zs = fault.zs_hot_ohm(g.ze_ohm, end, g.temperature_multiplier)
    return {"r1r2_at_points_ohm": points, "r1r2_end_hot_ohm": cable.r_hot_ohm(end, g.temperature_multiplier),
            "zs_end_ohm": zs, "passes": at_most(zs, g.zs_limit_ohm)}


@covers("loop impedance", "distances_m[] r1r2_mohm_per_m ze_ohm zs_limit_ohm")
def loop_at_points(g: Given) -> Answer:
    points = each(cable.r1r2_of_length_ohm, g.r1r2_mohm_per_m, g.distances_m)
    return {"r1r2_at_points_ohm": points, "zs_end_ohm": fault.zs_of_r1r2_ohm(g.ze_ohm, max(points))}


@covers("loop impedance verdict", "r1r2_20c_ohm temperature_multiplier ze_ohm zs_max_ohm")
def loop_hot_against_limit(g: Given) -> Answer:
    hot = fault.zs_hot_ohm(g.ze_ohm, g.r1r2_20c_ohm, g.temperature_multiplier)
    return {"zs_cold_ohm": fault.zs_of_r1r2_ohm(g.ze_ohm, g.r1r2_20c_ohm), "zs_hot_ohm": hot,
            "passes": at_most(hot, g.zs_max_ohm)}


@covers("loop impedance verdict", "r1r2_ohm site_factor ze_ohm zs_max_ohm")
def loop_cold_against_site_limit(g: Given) -> Answer:
    zs, limit = fault.zs_of_r1r2_ohm(g.ze_ohm, g.r1r2_ohm), fault.zs_site_limit_ohm(g.zs_max_ohm, g.site_factor)
    return {"zs_ohm": zs, "site_limit_ohm": limit, "passes": at_most(zs, limit)}


@covers("length limit from Zs", "r1r2_mohm_per_m site_factor ze_ohm zs_tabulated_ohm")
def length_by_site_limit(g: Given) -> Answer:
    limit = fault.zs_site_limit_ohm(g.zs_tabulated_ohm, g.site_factor)
    allowed = fault.r1r2_allowed_ohm(limit, g.ze_ohm)
    return {"zs_site_limit_ohm": limit, "r1r2_allowed_ohm": allowed,
            "length_m": cable.zs_length_m(allowed, g.r1r2_mohm_per_m, 1)}


@covers("length limit from Zs", "ia_a[] r1r2_mohm_per_m temperature_multiplier u0_v ze_ohm[]")
def length_by_current(g: Given) -> Answer:
    """No voltage factor is given, so none is applied: an older limit. Currents and supplies in pairs, or each with each."""
    limits = each(fault.zs_limit_ohm, 1, g.u0_v, g.ia_a)
    pairs = zip(limits, g.ze_ohm, strict=True) if len(limits) == len(g.ze_ohm) else product(limits, g.ze_ohm)
    allowed = [fault.r1r2_allowed_ohm(limit, ze) for limit, ze in pairs]
    return {"length_m": each(cable.zs_length_m, allowed, g.r1r2_mohm_per_m, g.temperature_multiplier)}


# ---- limits ---------------------------------------------------------------------------------------------------------
@covers("maximum Zs", "cmin ia_a[] u0_v zs_old_ohm[]")
def limits_old_and_new(g: Given) -> Answer:
    return {"zs_new_by_ratio_ohm": each(fault.zs_limit_now_ohm, g.zs_old_ohm, g.cmin),
            "zs_new_from_ia_ohm": each(fault.zs_limit_ohm, g.cmin, g.u0_v, g.ia_a)}


@covers("maximum Zs", "cmin ia_a site_factor u0_v")
def site_and_guide_limit(g: Given) -> Answer:
    exact = fault.zs_limit_ohm(g.cmin, g.u0_v, g.ia_a)
    guide = fault.zs_guide_limit_ohm(printed(exact, 2), rule("guide_divisor"))
    return {"site_limit_ohm": fault.zs_site_limit_ohm(exact, g.site_factor), "osg_printed_ohm": printed(guide, 2)}


@covers("maximum Zs", "cmin ia_a u0_v")
def limits_in_print(g: Given) -> Answer:
    exact = fault.zs_limit_ohm(g.cmin, g.u0_v, g.ia_a)
    divisor, factor = rule("guide_divisor"), rule("site_factor")
    return {"zs_max_ohm": exact,
            "osg_div_1p24_ohm": fault.zs_guide_limit_ohm(exact, divisor),
            "osg_div_1p24_of_printed_ohm": fault.zs_guide_limit_ohm(printed(exact, 2), divisor),
            "site_limit_unrounded_ohm": fault.zs_site_limit_ohm(exact, factor),
            "site_limit_of_printed_ohm": fault.zs_site_limit_ohm(printed(exact, 2), factor)}


@covers("maximum Zs", "cmin in_a[] multiple u0_v")
def limits_of_breakers(g: Given) -> Answer:
    return {"zs_max_ohm": each(fault.zs_limit_ohm, g.cmin, g.u0_v, each(fault.instant_a, g.multiple, g.in_a))}


@covers("maximum Zs", "cmin in_a multiple u0_v")
def limit_of_a_breaker(g: Given) -> Answer:
    limit = fault.zs_limit_ohm(g.cmin, g.u0_v, fault.instant_a(g.multiple, g.in_a))
    return {"zs_max_ohm": limit, "zs_site_limit_ohm": fault.zs_site_limit_ohm(limit, rule("site_factor"))}


@covers("maximum Zs", "cmin_now cmin_old ia_a u0_v")
def limit_now_and_then(g: Given) -> Answer:
    return {"zs_now_ohm": fault.zs_limit_ohm(g.cmin_now, g.u0_v, g.ia_a),
            "zs_old_ohm": fault.zs_limit_ohm(g.cmin_old, g.u0_v, g.ia_a)}


@covers("maximum Zs", "rounding site_factor zs_tabulated_ohm")
def site_limit_in_print(g: Given) -> Answer:
    exact = fault.zs_site_limit_ohm(g.zs_tabulated_ohm, g.site_factor)
    return {"zs_site_limit_ohm": printed_down(exact, 2) if g.rounding == "down" else printed(exact, 2)}


@covers("service fuse loop limit", "cmin ia_5s_a u0_v ze_ohm")
def service_fuse_limit(g: Given) -> Answer:
    limit = fault.zs_limit_ohm(g.cmin, g.u0_v, g.ia_5s_a)
    return {"ze_limit_ohm": fault.zs_limit_ohm(1, g.u0_v, g.ia_5s_a), "ze_limit_cmin_ohm": limit,
            "within": at_most(g.ze_ohm, limit)}


# ---- heat of a fault ------------------------------------------------------------------------------------------------
@covers("adiabatic", "cpc_mm2 fault_current_a k time_s")
def protective_conductor(g: Given) -> Answer:
    size = fault.least_size_mm2(g.fault_current_a, g.time_s, g.k)
    return {"s_min_mm2": size, "passes": at_least(g.cpc_mm2, size)}


@covers("adiabatic", "cpc_mm2 k time_s u0_v zs_ohm")
def protective_conductor_of_loop(g: Given) -> Answer:
    current = fault.fault_a(g.u0_v, g.zs_ohm)
    size = fault.least_size_mm2(current, g.time_s, g.k)
    return {"fault_current_a": current, "s_min_mm2": size, "passes": at_least(g.cpc_mm2, size)}


@covers("adiabatic", "csa_mm2 device_time_s fault_current_a k")
def time_to_the_limit(g: Given) -> Answer:
    limit_s = fault.time_to_limit_s(g.k, g.csa_mm2, g.fault_current_a)
    return {"time_to_limit_ms": limit_s * 1000, "passes": at_most(g.device_time_s, limit_s)}


@covers("adiabatic", "fault_current_a k time_s")
def least_size(g: Given) -> Answer:
    return {"s_min_mm2": fault.least_size_mm2(g.fault_current_a, g.time_s, g.k)}


@covers("adiabatic", "fault_current_a k times_s[]")
def least_sizes(g: Given) -> Answer:
    return {"s_min_mm2": each(fault.least_size_mm2, g.fault_current_a, g.times_s, g.k)}


@covers("adiabatic", "k[] line_csa_mm2 time_s u0_v zs_ohm")
def line_conductor(g: Given) -> Answer:
    """Protected by the record only where the worst of the factors given is met."""
    current = fault.fault_a(g.u0_v, g.zs_ohm)
    sizes = each(fault.least_size_mm2, current, g.time_s, g.k)
    return {"fault_current_a": current, "s_min_mm2": sizes, "line_protected": at_least(g.line_csa_mm2, max(sizes))}


@covers("adiabatic", "k time_s u0_v zs_ohm")
def least_size_of_loop(g: Given) -> Answer:
    current = fault.fault_a(g.u0_v, g.zs_ohm)
    return {"fault_current_a": current, "s_min_mm2": fault.least_size_mm2(current, g.time_s, g.k)}


@covers("adiabatic", "k times_s[] u0_v zs_ohm")
def least_sizes_of_loop(g: Given) -> Answer:
    current = fault.fault_a(g.u0_v, g.zs_ohm)
    sizes = each(fault.least_size_mm2, current, g.times_s, g.k)
    return {"fault_current_a": current, "s_min_mm2": sizes,
            "standard_csa_mm2": smallest_at_least(max(sizes), standard_sizes_mm2())}


@covers("adiabatic", "k times_s[] u_v z_ohm")
def least_sizes_of_impedance(g: Given) -> Answer:
    current = fault.prospective_a(g.u_v, g.z_ohm)
    return {"fault_current_a": current, "s_min_mm2": each(fault.least_size_mm2, current, g.times_s, g.k)}


@covers("adiabatic along a fuse curve", "fault_current_a[] k time_s[]")
def along_a_curve(g: Given) -> Answer:
    sizes = each(fault.least_size_mm2, g.fault_current_a, g.time_s, g.k)
    return {"s_min_mm2": sizes, "worst_s_min_mm2": max(sizes)}


@covers("energy withstand", "cpc_mm2[] k let_through_a2s")
def withstand_of_protective_conductors(g: Given) -> Answer:
    energies = each(fault.k2s2_a2s, g.k, g.cpc_mm2)
    return {"k2s2_a2s": energies, "passes": each(at_most, g.let_through_a2s, energies)}


@covers("energy withstand", "csa_mm2[] k")
def withstand(g: Given) -> Answer:
    return {"k2s2_a2s": each(fault.k2s2_a2s, g.k, g.csa_mm2)}


@covers("energy withstand", "csa_mm2 fault_current_a k let_through_a2s")
def withstand_at_a_current(g: Given) -> Answer:
    energy = fault.k2s2_a2s(g.k, g.csa_mm2)
    return {"k2s2_a2s": energy, "passes": at_most(g.let_through_a2s, energy)}


@covers("earthing and bonding sizes", "line_mm2[] standard_mm2[]")
def earthing_and_bonds(g: Given) -> Answer:
    """The line is taken as the supply's, its neutral like it."""
    least_mm2, most_mm2 = rule("least_bond_mm2"), rule("most_bond_mm2")

    def standard(sizes: list[float]) -> list[float | None]:
        return [smallest_at_least(size, g.standard_mm2) for size in sizes]
    earthing = [number("protective_conductor", line_mm2=line) for line in g.line_mm2]
    halves = [min(max(half_mm2(size), least_mm2), most_mm2) for size in earthing]
    pme = [number("main_bond_pme", neutral_mm2=line) for line in g.line_mm2]
    return {"earthing_mm2": standard(earthing), "bonding_not_pme_mm2": standard(halves),
            "bonding_pme_mm2": standard(pme)}


# ---- fault level ----------------------------------------------------------------------------------------------------
@covers("prospective fault current", "board_rating_ka u0_v z_ohm")
def against_a_rating(g: Given) -> Answer:
    current = fault.prospective_ka(g.u0_v, g.z_ohm)
    return {"fault_current_ka": current, "within_rating": at_most(current, g.board_rating_ka)}


@covers("prospective fault current", "cables[] isc_source_ka u_line_v")
def ends_of_cables(g: Given) -> Answer:
    """Each cable by itself, from the same busbar."""
    source = fault.source_ohm(g.u_line_v, g.isc_source_ka)
    ends = [cable.r_ohm(each["r20_mohm_per_m"], each["length_m"]) for each in g.cables]
    return {"isc_end_ka": each(fault.fault_three_phase_ka, g.u_line_v, source, ends),
            "isc_end_arithmetic_ka": each(fault.fault_arithmetic_ka, g.u_line_v, source, ends)}


@covers("prospective fault current", "le_ka ln_ka")
def greater_of_two(g: Given) -> Answer:
    return {"record_ka": max(g.le_ka, g.ln_ka)}


@covers("prospective fault current", "main_ka r_mohm_per_m service_m u0_v")
def after_the_service(g: Given) -> Answer:
    main = fault.main_loop_ohm(g.u0_v, g.main_ka)
    current = fault.prospective_ka(g.u0_v, fault.service_loop_ohm(main, g.r_mohm_per_m, g.service_m))
    return {"fault_current_ka": current, "below_16ka": current < rule("declared_fault_ka")}


@covers("prospective fault current", "u0_v ze_ohm[]")
def at_origins(g: Given) -> Answer:
    return {"fault_current_a": each(fault.prospective_a, g.u0_v, g.ze_ohm)}


# ---- ratings --------------------------------------------------------------------------------------------------------
@covers("rating factors", "ca cg ci it_a")
def rating_all(g: Given) -> Answer:
    return {"iz_a": cable.iz_a(g.it_a, g.ca, g.cg, g.ci, 1)}


@covers("rating factors", "ca it_a")
def rating_ambient(g: Given) -> Answer:
    return {"iz_a": cable.iz_a(g.it_a, g.ca, 1, 1, 1)}


@covers("rating factors", "cg it_a")
def rating_grouped(g: Given) -> Answer:
    return {"iz_a": cable.iz_a(g.it_a, 1, g.cg, 1, 1)}


@covers("rating factors", "cg fraction it_a")
def left_out_of_a_group(g: Given) -> Answer:
    return {"grouped_a": cable.iz_a(g.it_a, 1, g.cg, 1, 1),
            "threshold_a": cable.grouped_threshold_a(g.it_a, g.cg, g.fraction)}


@covers("rating factors", "cg_as_used cg_for_seven it_a")
def rating_of_seven(g: Given) -> Answer:
    return {"iz_as_printed_a": cable.iz_a(g.it_a, 1, g.cg_as_used, 1, 1),
            "iz_correct_a": cable.iz_a(g.it_a, 1, g.cg_for_seven, 1, 1)}


@covers("ambient factor", "ambient_c tp_c tr_c")
def ambient(g: Given) -> Answer:
    return {"ca_overload": cable.ca_overload(g.tp_c, g.ambient_c, g.tr_c, rule("overload_factor")),
            "ca_short_circuit_only": cable.ca_short_circuit(g.tp_c, g.ambient_c, g.tr_c)}


@covers("ambient factor", "ca it_a[] load_w u_v")
def ambient_and_load(g: Given) -> Answer:
    load, ratings = cable.load_a(g.load_w, g.u_v), each(cable.iz_a, g.it_a, g.ca, 1, 1, 1)
    return {"ib_a": load, "iz_a": ratings, "margin_a": each(cable.margin_a, ratings, load)}


@covers("part in thermal insulation", "ci in_a it_a")
def in_insulation(g: Given) -> Answer:
    rating = cable.iz_a(g.it_a, 1, 1, g.ci, 1)
    return {"iz_a": rating, "passes": at_most(g.in_a, rating)}


@covers("part in thermal insulation", "ci in_a it_method_a_a{} it_method_c_a{}")
def in_insulation_counted_twice(g: Given) -> Answer:
    """The factor belongs to the clipped rating; the in-wall rating already contains the insulation."""
    clipped, in_wall = by_number(g.it_method_c_a), by_number(g.it_method_a_a)
    need = cable.least_it_a(g.in_a, 1, 1, g.ci, 1)
    return {"it_required_a": need, "csa_double_counted_mm2": smallest_carrying(need, in_wall),
            "iz_1mm2_from_method_c_a": cable.iz_a(clipped[1], 1, 1, g.ci, 1),
            "csa_correct_mm2": smallest_carrying(need, clipped)}


@covers("ring final cable", "further_factor iz_by_method_a{} iz_min_a")
def ring_cable(g: Given) -> Answer:
    return {"passes": {method: at_least(iz, g.iz_min_a) for method, iz in g.iz_by_method_a.items()},
            "passes_with_factor": {method: at_least(cable.iz_a(iz, 1, g.further_factor, 1, 1), g.iz_min_a)
                                   for method, iz in g.iz_by_method_a.items()}}


# ---- choosing a cable -----------------------------------------------------------------------------------------------
@covers("cable selection", "ca cf in_bs3036_a in_bs88_a it_by_csa_a{} length_m load_w mv_per_a_m_by_csa{} phases u_v")
def by_kind_of_fuse(g: Given) -> Answer:
    sizes, drops = by_number(g.it_by_csa_a), by_number(g.mv_per_a_m_by_csa)
    load = cable.load_three_phase_a(g.load_w, g.u_v) if g.phases == 3 else cable.load_a(g.load_w, g.u_v)
    return {"ib_a": load,
            "csa_bs3036_mm2": smallest_carrying(cable.least_it_a(g.in_bs3036_a, g.ca, 1, 1, g.cf), sizes),
            "csa_bs88_mm2": smallest_carrying(cable.least_it_a(g.in_bs88_a, g.ca, 1, 1, 1), sizes),
            "vd_10mm2_v": cable.drop_v(drops[10], load, g.length_m),
            "vd_4mm2_v": cable.drop_v(drops[4], load, g.length_m)}


@covers("cable selection", "ca cg ci_in_method in_a it_by_csa_a{} length_m limit_v load_w mv_per_a_m_10mm2 u_v")
def by_rating(g: Given) -> Answer:
    load, need = cable.load_a(g.load_w, g.u_v), cable.least_it_a(g.in_a, g.ca, g.cg, 1, 1)
    return {"ib_a": load, "it_required_a": need, "csa_mm2": smallest_carrying(need, by_number(g.it_by_csa_a)),
            "vd_v": cable.drop_v(g.mv_per_a_m_10mm2, load, g.length_m)}


@covers("cable selection", "device_ratings_a[] it_method_100_a{} it_method_c_a{} load_w u_v")
def with_a_device(g: Given) -> Answer:
    load = cable.load_a(g.load_w, g.u_v)
    in_loft, clipped = by_number(g.it_method_100_a), by_number(g.it_method_c_a)
    return {"ib_a": load, "csa_method_c_mm2": smallest_protected(load, clipped, g.device_ratings_a),
            "csa_method_100_mm2": smallest_protected(load, in_loft, g.device_ratings_a),
            "device_for_10mm2_method_100_a": device_between(load, in_loft[10], g.device_ratings_a)}


@covers("load current", "load_w u_v")
def load_current(g: Given) -> Answer:
    return {"load_a": cable.load_a(g.load_w, g.u_v)}


@covers("outbuilding supply", "armour_mohm_per_m core_mohm_per_m k length_m load_a mv_per_a_m[] time_s u0_v ze_ohm")
def outbuilding(g: Given) -> Answer:
    core, armour = cable.r1_ohm(g.core_mohm_per_m, g.length_m), cable.r2_ohm(g.armour_mohm_per_m, g.length_m)
    zs = fault.zs_ohm(g.ze_ohm, core, armour)
    current = fault.fault_a(g.u0_v, zs)
    return {"zs_ohm": zs, "fault_current_a": current, "s_min_mm2": fault.least_size_mm2(current, g.time_s, g.k),
            "vd_v": each(cable.drop_v, g.mv_per_a_m, g.load_a, g.length_m)}


# ---- voltage drop ---------------------------------------------------------------------------------------------------
@covers("voltage drop", "length_m limit_v load_a mv_per_a_m")
def drop(g: Given) -> Answer:
    volts = cable.drop_v(g.mv_per_a_m, g.load_a, g.length_m)
    return {"vd_v": volts, "passes": at_most(volts, g.limit_v)}


@covers("voltage drop", "csa_mm2[] length_m load_w mv_per_a_m[] u_v")
def drop_by_size(g: Given) -> Answer:
    load = cable.load_a(g.load_w, g.u_v)
    drops = each(cable.drop_v, g.mv_per_a_m, load, g.length_m)
    return {"load_a": load, "vd_v": drops,
            "vd_percent_6mm2": cable.drop_percent(drops[g.csa_mm2.index(6)], g.u_v) if 6 in g.csa_mm2 else None}


@covers("voltage drop limit", "drop supply_tolerance u1_v u3_v")
def drop_limit(g: Given) -> Answer:
    return {"drop_1ph_v": cable.drop_limit_v(g.u1_v, g.drop), "drop_3ph_v": cable.drop_limit_v(g.u3_v, g.drop),
            "load_1ph_v": cable.load_v(g.u1_v, g.supply_tolerance, g.drop),
            "load_3ph_v": cable.load_v(g.u3_v, g.supply_tolerance, g.drop)}


@covers("voltage drop with conductor temperature", "ambient_c ca cg ib_a it_a limit_v mv_per_a_m tp_c")
def drop_cooler(g: Given) -> Answer:
    ct = cable.ct(g.tp_c, rule("reference_c"), rule("copper_zero_k"), g.ca, g.cg, g.ib_a, g.it_a)
    return {"ct": ct, "ring_length_m": cable.ring_drop_length_m(g.limit_v, g.mv_per_a_m, g.ib_a, ct)}


@covers("voltage drop with conductor temperature", "ib_a limit_v mv_per_a_m")
def drop_at_the_limit(g: Given) -> Answer:
    return {"ring_length_m": cable.ring_drop_length_m(g.limit_v, g.mv_per_a_m, g.ib_a, 1)}


@covers("ring final voltage drop", "length_m limit_v load_a mv_per_a_m")
def ring_drop_against_limit(g: Given) -> Answer:
    volts = cable.ring_drop_v(g.mv_per_a_m, g.load_a, g.length_m)
    return {"vd_ring_v": volts, "passes": at_most(volts, g.limit_v)}


@covers("ring final voltage drop", "length_m load_a mv_per_a_m")
def ring_drop(g: Given) -> Answer:
    return {"vd_if_radial_v": cable.drop_v(g.mv_per_a_m, g.load_a, g.length_m),
            "vd_ring_v": cable.ring_drop_v(g.mv_per_a_m, g.load_a, g.length_m)}
