"""Worked examples on heat loss, heaters and energy."""
from __future__ import annotations

from collections.abc import Sequence
from math import fsum
from types import SimpleNamespace as Given

from spareway.physics import heat, load
from spareway.physics.choose import at_least, smallest_at_least
from tools.published_base import Answer, covers
from tools.published_rules import number


# ---- U-values -------------------------------------------------------------------------------------------------------
@covers("U-value", "conductivity_w_per_mk surface_r_m2k_per_w thickness_m")
def u_of_a_layer(g: Given) -> Answer:
    layer = heat.layer_r_m2k_per_w(g.thickness_m, g.conductivity_w_per_mk)
    return u_of(fsum([g.surface_r_m2k_per_w, layer]), "r_m2k_per_w")


@covers("U-value", "layer_r_m2k_per_w[] r_inside_m2k_per_w r_outside_m2k_per_w")
def u_of_layers(g: Given) -> Answer:
    return u_of(fsum([g.r_inside_m2k_per_w, *g.layer_r_m2k_per_w, g.r_outside_m2k_per_w]), "r_total_m2k_per_w")


def u_of(r_m2k_per_w: float, name: str) -> Answer:
    return {name: r_m2k_per_w, "u_w_per_m2k": heat.u_w_per_m2k(r_m2k_per_w)}


# ---- losses ---------------------------------------------------------------------------------------------------------
def walls_m2(length_m: float, width_m: float, height_m: float) -> float:
    """Area of the four walls of a box, openings not taken off."""
    return 2 * (length_m + width_m) * height_m


def contributions_w_per_k(u_w_per_m2k_each: Sequence[float], area_m2_each: Sequence[float]) -> list[float]:
    """Heat a kelvin of each element. Errors: ValueError where the two lists differ in length."""
    return [heat.fabric_w_per_k(u, area) for u, area in zip(u_w_per_m2k_each, area_m2_each, strict=True)]


@covers("heat loss: element", "area_m2 inside_c outside_c u_w_per_m2k")
def element(g: Given) -> Answer:
    return {"loss_w": heat.fabric_w(g.u_w_per_m2k, g.area_m2, g.inside_c, g.outside_c)}


@covers("heat loss: element", "inside_c outside_c wall_gross_m2 wall_u_w_per_m2k window_m2 window_u_w_per_m2k")
def wall_with_a_window(g: Given) -> Answer:
    wall = heat.fabric_w(g.wall_u_w_per_m2k, g.wall_gross_m2 - g.window_m2, g.inside_c, g.outside_c)
    window = heat.fabric_w(g.window_u_w_per_m2k, g.window_m2, g.inside_c, g.outside_c)
    return {"wall_net_w": wall, "window_w": window, "total_w": fsum([wall, window])}


@covers("heat loss: room", "air_changes_per_h deduct_window factor_w_per_m3k floor_m2 floor_u_w_per_m2k room_m[] "
        "wall_gross_m2 wall_u_w_per_m2k window_m2 window_u_w_per_m2k")
def room(g: Given) -> Answer:
    wall_m2 = g.wall_gross_m2 - (g.window_m2 if g.deduct_window else 0)
    parts = {"ventilation_w_per_k": heat.ventilation_w_per_k(g.factor_w_per_m3k, g.air_changes_per_h,
                                                            heat.volume_m3(*g.room_m)),
             "glass_w_per_k": heat.fabric_w_per_k(g.window_u_w_per_m2k, g.window_m2),
             "wall_w_per_k": heat.fabric_w_per_k(g.wall_u_w_per_m2k, wall_m2),
             "floor_w_per_k": heat.fabric_w_per_k(g.floor_u_w_per_m2k, g.floor_m2)}
    return {**parts, "total_w_per_k": fsum(parts.values())}


@covers("heat loss: room", "inside_c outside_c total_w_per_k")
def design_day(g: Given) -> Answer:
    return {"design_loss_w": heat.design_loss_w(g.total_w_per_k, g.inside_c, g.outside_c)}


@covers("heat loss: room (imperial)", "elements[]")
def older_units(g: Given) -> Answer:
    losses = [heat.element_btu_per_h(e["u_btu_per_ft2_f_h"], e["area_ft2"], e["dt_f"]) for e in g.elements]
    whole = fsum(losses)
    return {"element_loss_btu_per_h": losses, "fabric_sum_btu_per_h": whole, "fabric_sum_w": heat.watts_of_btu_w(whole)}


@covers("heat loss: screening", "btu_per_h room_m[]")
def screening(g: Given) -> Answer:
    loss = heat.watts_of_btu_w(g.btu_per_h)
    return {"loss_w": loss, "w_per_m2": heat.loss_w_per_m2(loss, heat.area_m2(*g.room_m[:2]))}


@covers("heat loss: whole building", "air_changes_per_h door_m[] doors_n dt_k factor_w_per_m3k "
        "improved_wall_u_w_per_m2k size_m[] u_w_per_m2k{} window_m[] windows_n")
def whole_building(g: Given) -> Answer:
    """One door is the front door, any other a back door."""
    u, door_m2, windows_m2 = g.u_w_per_m2k, heat.area_m2(*g.door_m), g.windows_n * heat.area_m2(*g.window_m)
    wall_m2 = walls_m2(*g.size_m) - windows_m2 - g.doors_n * door_m2
    floor_m2, front_n = heat.area_m2(*g.size_m[:2]), min(1, g.doors_n)
    areas = {"wall": wall_m2, "window": windows_m2, "floor": floor_m2, "roof": floor_m2,
             "front_door": front_n * door_m2, "back_door": (g.doors_n - front_n) * door_m2}
    fabric = fsum(contributions_w_per_k([u[name] for name in areas], list(areas.values())))
    air = heat.ventilation_w_per_k(g.factor_w_per_m3k, g.air_changes_per_h, heat.volume_m3(*g.size_m))
    return {"wall_net_m2": wall_m2, "fabric_w_per_k": fabric, "ventilation_w_per_k": air,
            "total_w": heat.design_loss_w(fsum([fabric, air]), g.dt_k, 0),
            "saving_w": heat.saving_w(wall_m2, u["wall"], g.improved_wall_u_w_per_m2k, g.dt_k)}


@covers("heat loss: whole house", "area_m2[] u_w_per_m2k[]")
def whole_house(g: Given) -> Answer:
    parts = contributions_w_per_k(g.u_w_per_m2k, g.area_m2)
    return {"contributions_w_per_k": parts, "fabric_w_per_k": fsum(parts)}


@covers("building model design loss", "building h_bi_w_per_k h_ob_w_per_k h_v_w_per_k inside_c outside_c")
def simple_building(g: Given) -> Answer:
    whole = heat.building_w_per_k(g.h_ob_w_per_k, g.h_bi_w_per_k, g.h_v_w_per_k)
    return {"h_total_w_per_k": whole, "design_loss_w": heat.design_loss_w(whole, g.inside_c, g.outside_c)}


@covers("ventilation factor", "air_heat_capacity_kj_per_m3k")
def ventilation_factor(g: Given) -> Answer:
    return {"w_per_m3k_per_ach": heat.air_w_per_m3k(g.air_heat_capacity_kj_per_m3k)}


# ---- heaters --------------------------------------------------------------------------------------------------------
@covers("heater choice", "design_loss_w intermittent_margin ladder_w[] stamped_v supply_v")
def heater_choice(g: Given) -> Answer:
    """The size is chosen by what each gives at the supply's voltage; chosen as stamped it may fall short."""
    need = heat.required_w(g.design_loss_w, g.intermittent_margin)
    given = {load.element_w(size, g.stamped_v, g.supply_v): size for size in g.ladder_w}
    output = smallest_at_least(need, given)
    chosen = None if output is None else given[output]
    declared_v = number("supply_voltage", case="declared voltage")
    return {"required_w": need, "ladder_at_stamped_v_w": smallest_at_least(need, g.ladder_w), "chosen_w": chosen,
            "output_w": output, "output_of_1750_w": load.element_w(1750, g.stamped_v, g.supply_v),
            "current_at_230v_a": None if chosen is None else heat.heater_a(chosen, declared_v, g.stamped_v)}


@covers("storage heater", "charge_h input_kw")
def storage_heater(g: Given) -> Answer:
    stored = heat.stored_kwh(g.input_kw, g.charge_h)
    return {"stored_kwh": stored, "mean_output_24h_w": heat.mean_output_w(stored)}


@covers("ecodesign score", "base_percent open_window_percent pass_percent week_timer_percent")
def ecodesign(g: Given) -> Answer:
    score = fsum([g.base_percent, g.week_timer_percent, g.open_window_percent])
    return {"score_percent": score, "passes": at_least(score, g.pass_percent)}


# ---- energy ---------------------------------------------------------------------------------------------------------
def shares_percent(parts: Sequence[float]) -> list[float]:
    """Each part in per cent of all."""
    whole = fsum(parts)
    return [part / whole * 100 for part in parts]


@covers("annual energy by end use", "kwh_per_year{}")
def end_uses(g: Given) -> Answer:
    shares = shares_percent(list(g.kwh_per_year.values()))
    return {"total_kwh": fsum(g.kwh_per_year.values()), "share_percent": dict(zip(g.kwh_per_year, shares, strict=True))}


@covers("appliance annual energy", "appliance cycles_per_year mean_cycle_min mean_cycle_w standby_w")
def appliance(g: Given) -> Answer:
    cycles_kwh = (g.mean_cycle_w - g.standby_w) * g.cycles_per_year * g.mean_cycle_min / 60_000
    return {"energy_kwh_per_year": cycles_kwh + g.standby_w * 8.76}                       # standby all year round
