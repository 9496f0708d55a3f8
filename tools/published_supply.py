"""Worked examples on the supply, the board, surge devices and demand."""
from __future__ import annotations

from collections.abc import Sequence
from math import comb, fsum
from types import SimpleNamespace as Given

from spareway.physics import board, cable, fault, supply, surge
from spareway.physics.choose import at_least, at_most, printed
from tools.published_base import Answer, covers, each
from tools.published_rules import conventional_time_h, first_a, rule, share, socket_a


# ---- supply ---------------------------------------------------------------------------------------------------------
@covers("voltage limits", "minus_percent nominal_v plus_percent")
def voltage_limits(g: Given) -> Answer:
    return {"max_v": supply.highest_v(g.nominal_v, g.plus_percent),
            "min_v": supply.lowest_v(g.nominal_v, g.minus_percent)}


@covers("declared loop values", "load_a u0_old_v u_high_v u_low_v ze_tns_ohm")
def declared_loops(g: Given) -> Answer:
    return {"z_tncs_ohm": supply.declared_loop_ohm(g.u_high_v, g.u_low_v, g.load_a),
            "fault_current_tns_a": fault.prospective_a(g.u0_old_v, g.ze_tns_ohm)}


@covers("supply capacity", "fuse_a power_factor u_v")
def capacity(g: Given) -> Answer:
    return {"capacity_kw": supply.capacity_kw(g.fuse_a, g.u_v, g.power_factor)}


@covers("supply capacity", "fuse_a load_kw u_v")
def capacity_exceeded(g: Given) -> Answer:
    load = supply.load_of_kw_a(g.load_kw, g.u_v)
    return {"load_a": load, "exceeds": not at_most(load, g.fuse_a)}


@covers("supply capacity", "added_load_w existing_demand_a fuse_a u_v")
def capacity_after_addition(g: Given) -> Answer:
    added = cable.load_a(g.added_load_w, g.u_v)
    after = supply.new_demand_a(g.existing_demand_a, added)
    return {"added_a": added, "new_demand_a": after, "exceeds_before": not at_most(g.existing_demand_a, g.fuse_a),
            "exceeds_after": not at_most(after, g.fuse_a)}


@covers("service fuse in overload", "fusing_factor in_a nonfusing_factor")
def service_fuse(g: Given) -> Answer:
    return {"nonfusing_a": supply.nonfusing_a(g.in_a, g.nonfusing_factor),
            "fusing_a": supply.fusing_a(g.in_a, g.fusing_factor),
            "conventional_time_h": conventional_time_h("bs88-3", g.in_a)}


@covers("plug fuse", "fusing_factor in_a")
def plug_fuse(g: Given) -> Answer:
    return {"fusing_a": supply.fusing_a(g.in_a, g.fusing_factor),
            "within_min": conventional_time_h("bs1362", g.in_a) * 60}


@covers("generation threshold", "inverter_kw limit_a u_v")
def generation(g: Given) -> Answer:
    current = supply.generation_a(g.inverter_kw, g.u_v)
    return {"current_a": current, "route": route(current, g.limit_a)}


@covers("generation threshold", "per_phase_a u_v")
def generation_of_a_current(g: Given) -> Answer:
    return {"kw_per_phase": supply.generation_kw(g.per_phase_a, g.u_v),
            "route": route(g.per_phase_a, rule("sources_notify_a"))}


def route(current_a: float, limit_a: float) -> str:
    return "notify" if at_most(current_a, limit_a) else "apply"


# ---- boards and fuses -----------------------------------------------------------------------------------------------
@covers("board rating with generation", "board_ina_a service_fuse_a source_a[]")
def board_with_sources(g: Given) -> Answer:
    need = board.required_board_a(g.service_fuse_a, fsum(g.source_a))
    return {"required_ina_a": need, "board_ok": at_least(g.board_ina_a, need)}


@covers("board rating", "ina_a service_fuse_a ways_a[]")
def board_rating(g: Given) -> Answer:
    whole = board.sum_of_ways_a(g.ways_a)
    return {"sum_of_ways_a": whole, "sum_exceeds_ina": not at_most(whole, g.ina_a),
            "overload_met": at_least(g.ina_a, g.service_fuse_a)}


@covers("board rated diversity", "device_a loaded_adjacent rdf")
def board_diversity(g: Given) -> Answer:
    return {"continuous_a": board.continuous_a(g.device_a, g.rdf)}


@covers("board fit", "modules{} pitch_mm side_allowance_mm void_width_mm")
def board_fit(g: Given) -> Answer:
    modules = fsum(g.modules.values())
    width = board.board_width_mm(modules, g.pitch_mm, g.side_allowance_mm)
    return {"modules_total": modules, "outer_width_mm": width, "fits": at_most(width, g.void_width_mm)}


@covers("selectivity of fuses", "pairs_upstream_downstream_a[] ratio_min")
def selectivity(g: Given) -> Answer:
    ratios = [board.fuse_ratio(*pair) for pair in g.pairs_upstream_downstream_a]
    return {"ratio": ratios, "selective": each(at_least, ratios, g.ratio_min)}


@covers("meter tails", "it_16mm2_a{} load_kw[] u_v")
def tails(g: Given) -> Answer:
    whole = fsum(g.load_kw)
    load = supply.load_of_kw_a(whole, g.u_v)
    carries = board.carries(list(g.it_16mm2_a.values()), load)
    return {"total_kw": whole, "load_a": load, "carries": dict(zip(g.it_16mm2_a, carries, strict=True))}


# ---- surge devices --------------------------------------------------------------------------------------------------
@covers("surge device leads", "front_us inductance_uh_per_m surge_ka total_lead_m")
def surge_leads(g: Given) -> Answer:
    return {"lead_drop_kv": surge.lead_drop_kv(g.inductance_uh_per_m, g.total_lead_m, g.surge_ka, g.front_us)}


@covers("surge device leads", "front_us inductance_uh_per_m surge_ka total_lead_m up_kv withstand_kv")
def surge_level(g: Given) -> Answer:
    drop = surge.lead_drop_kv(g.inductance_uh_per_m, g.total_lead_m, g.surge_ka, g.front_us)
    level = surge.effective_kv(g.up_kv, drop)
    return {"lead_drop_kv": drop, "effective_kv": level, "within_withstand": at_most(level, g.withstand_kv),
            "within_0p5m": at_most(g.total_lead_m, rule("surge_lead_preferred_m")),
            "within_1p0m": at_most(g.total_lead_m, rule("surge_lead_limit_m"))}


@covers("surge device back-up", "cases[]")
def surge_backup(g: Given) -> Answer:
    return {"separate_device_needed": [
        surge.own_fuse_needed(case["service_fuse_a"], case["maker_max_fuse_a"], case["fault_current_ka"],
                              case["isccr_ka"]) for case in g.cases]}


# ---- demand ---------------------------------------------------------------------------------------------------------
def cooker_a(load_a: float, socket: bool) -> float:
    rest = share("household", "cooking", "rest")
    return supply.cooker_demand_a(load_a, first_a("cooking"), rest, socket_a(socket))


def rings_a(ring_a: list[float]) -> float:
    return supply.demand_by_rank_a(ring_a, shares("household", "standard circuits"))


def shares(premises: str, load: str) -> list[float]:
    """The share of the largest and of the others, where three are printed of the second too."""
    parts = ("first", "rest") if load == "standard circuits" else ("first", "second", "rest")
    return [share(premises, load, part) for part in parts]


def general_a(load_a: float) -> float:
    """Heating and power on general circuits of a household."""
    row = "heating and power"
    return supply.first_and_rest_a(load_a, first_a(row), share("household", row, "rest"))


def lighting_a(load_a: float, premises: str = "household") -> float:
    return supply.shared_demand_a(load_a, share(premises, "lighting", "first"))


@covers("cooker diversity", "appliances circuit_a socket u_v")
def cookers_of_a_circuit(g: Given) -> Answer:
    """Backwards: the greatest load whose demand the circuit carries, the first amperes of each appliance whole."""
    rest = share("household", "cooking", "rest")
    load = supply.cooker_load_a(g.circuit_a, g.appliances, first_a("cooking"), rest, socket_a(g.socket))
    kw = supply.capacity_kw(load, g.u_v, 1)
    each_a = load / g.appliances
    return {"combined_a": load, "combined_kw": kw, "each_a": each_a, "full_load_a": load, "full_load_kw": kw}


@covers("cooker diversity", "first_a load_w rest_fraction socket_a u_v")
def cooker_by_stated_rule(g: Given) -> Answer:
    load = cable.load_a(g.load_w, g.u_v)
    demand = supply.cooker_demand_a(load, g.first_a, g.rest_fraction, g.socket_a)
    return {"full_load_a": load, "after_diversity_a": demand}


@covers("cooker diversity", "full_load_a socket")
def cooker(g: Given) -> Answer:
    return {"after_diversity_a": cooker_a(g.full_load_a, g.socket)}


def cookers_apart_a(loads_a: Sequence[float], first_a: float, rest_share: float, socket_a: float) -> float:
    """The rule applied to each of several; the socket counts once."""
    return fsum([*(supply.cooker_demand_a(load, first_a, rest_share, 0.0) for load in loads_a), socket_a])


@covers("cooker diversity", "loads_a[] socket")
def cookers_two_ways(g: Given) -> Answer:
    apart = cookers_apart_a(g.loads_a, first_a("cooking"), share("household", "cooking", "rest"), socket_a(g.socket))
    return {"group_after_diversity_a": cooker_a(fsum(g.loads_a), g.socket), "per_appliance_after_diversity_a": apart}


@covers("maximum demand", "cooker_a cooker_socket lighting_device_a[] ring_a[] thermostatic_water_a")
def demand_of_ratings(g: Given) -> Answer:
    """Arithmetic of the handbook on ratings of devices, which is not how it is meant: said so in the answer."""
    parts = {"rings_a": rings_a(g.ring_a), "cooker_a": cooker_a(g.cooker_a, g.cooker_socket),
             "lighting_a": lighting_a(fsum(g.lighting_device_a)),
             "water_a": float(g.thermostatic_water_a)}
    return {**parts, "total_a": fsum(parts.values()), "inputs_are_device_ratings": hasattr(g, "lighting_device_a")}


@covers("maximum demand", "cooker_socket cooker_w lighting_a[] ring_a[] shower_w u_v")
def demand_of_a_house(g: Given) -> Answer:
    """As printed: the sum of parts that were each rounded to a tenth of an ampere."""
    parts = {"rings_a": rings_a(g.ring_a), "cooker_a": cooker_a(cable.load_a(g.cooker_w, g.u_v), g.cooker_socket),
             "lighting_a": lighting_a(fsum(g.lighting_a)),
             "shower_a": cable.load_a(g.shower_w, g.u_v)}
    return {**parts, "total_by_table_a": fsum(parts.values()),
            "total_as_printed_a": fsum(printed(part, 1) for part in parts.values())}


@covers("maximum demand", "device_ratings_a[] main_switch_a")
def demand_of_devices(g: Given) -> Answer:
    """Ratings are no demands: none is known here."""
    whole = board.sum_of_ways_a(g.device_ratings_a)
    return {"sum_a": whole, "sum_exceeds_switch": not at_most(whole, g.main_switch_a),
            "overload_by_this_alone": board.overload_shown((), g.main_switch_a)}


@covers("maximum demand", "diversified_a[]")
def demand_total(g: Given) -> Answer:
    return {"total_a": fsum(g.diversified_a)}


@covers("maximum demand", "ring_a[]")
def demand_of_rings(g: Given) -> Answer:
    return {"by_standard_circuit_row_a": rings_a(g.ring_a),
            "by_10a_plus_50_percent_row_a": fsum(map(general_a, g.ring_a))}


@covers("maximum demand: all electric", "cooker_socket cooker_w immersion_w lighting_w panel_heaters_w[] ring_a[] "
        "shower_w u_v")
def demand_all_electric(g: Given) -> Answer:
    heaters = cable.load_a(fsum(g.panel_heaters_w), g.u_v)
    parts = {"rings_a": rings_a(g.ring_a), "cooker_a": cooker_a(cable.load_a(g.cooker_w, g.u_v), g.cooker_socket),
             "immersion_a": cable.load_a(g.immersion_w, g.u_v), "shower_a": cable.load_a(g.shower_w, g.u_v),
             "lighting_a": lighting_a(cable.load_a(g.lighting_w, g.u_v))}
    return {**parts, "panel_heaters_a": heaters, "total_heaters_100_percent_a": fsum([*parts.values(), heaters]),
            "total_heaters_10a_plus_50_percent_a": fsum([*parts.values(), general_a(heaters)])}


@covers("maximum demand: shop", "cookers_kw[] discharge_factor discharge_lighting_kw instant_water_kw[] phases "
        "ring_a[] thermostatic_water_kw[] u_v")
def demand_of_a_shop(g: Given) -> Answer:
    """Instantaneous water heaters count in a shop as in a household."""
    def amps(kw: list[float]) -> list[float]:
        return [supply.load_of_kw_a(each, g.u_v) for each in kw]
    instant = shares("household", "instantaneous water heaters")
    lighting = supply.load_of_kw_a(g.discharge_lighting_kw * g.discharge_factor, g.u_v)
    parts = {
        "cookers_a": supply.demand_by_rank_a(amps(g.cookers_kw), shares("shop", "cooking")),
        "instant_a": supply.demand_by_rank_a(amps(g.instant_water_kw), instant),
        "thermostatic_a": fsum(amps(g.thermostatic_water_kw)),
        "lighting_a": lighting_a(lighting, "shop"),
        "rings_a": supply.demand_by_rank_a(g.ring_a, [1, share("shop", "standard circuits", "rest")])}
    whole = fsum(parts.values())
    return {**parts, "total_a": whole, "per_phase_a": whole / g.phases}


def at_least_on(duty_share: float, heaters_n: int, on_n: int) -> float:
    """Probability that at least so many of some heaters are on, each for a share of the time and for itself."""
    return fsum(comb(heaters_n, k) * duty_share ** k * (1 - duty_share) ** (heaters_n - k)
                for k in range(max(0, on_n), heaters_n + 1))


@covers("coincidence", "duty_each heaters independent")
def coincidence(g: Given) -> Answer:
    """Heaters that follow the same weather are on together: the share of one is the share of all."""
    def on(at_least_n: int) -> float:
        if g.independent:
            return at_least_on(g.duty_each, g.heaters, at_least_n)
        return g.duty_each if at_least_n <= g.heaters else 0.0
    return {"p_all_on": on(g.heaters), "p_at_least_5_on": on(5)}
