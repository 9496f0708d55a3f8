"""What a record of a home gives to a winter lived minute by minute: stores of heat, starts of appliances, draws of hot water."""
from __future__ import annotations

from spareway.fact import formula


# ---- two stores of heat ---------------------------------------------------------------------------------------------
@formula("what is not lost from the air itself")
def through_w_per_k(loss_w_per_k: float, direct_w_per_k: float) -> float:
    """Heat that a room loses through its walls and floors, a kelvin.

    Case: published/winter.toml#through-the-fabric
    """
    return loss_w_per_k - direct_w_per_k


@formula("by the area of the floor, from a simple building")
def air_store_wh_per_k(inside_kj_per_k: float, building_m2: float, floor_m2: float) -> float:
    """Heat that the air and the furnishings of a room store, as in a building of known stores.

    Case: published/winter.toml#air-and-furnishings
    """
    return inside_kj_per_k / 3.6 / building_m2 * floor_m2


@formula("two conductances in series")
def series_w_per_k(outside_fabric_w_per_k: float, fabric_inside_w_per_k: float) -> float:
    """Loss through the fabric of a simple building, in two steps, a kelvin.

    Case: published/winter.toml#two-steps
    """
    return 1 / (1 / outside_fabric_w_per_k + 1 / fabric_inside_w_per_k)


@formula("by the loss through the fabric, from a simple building")
def fabric_wh_per_k(fabric_kj_per_k: float, series_w_per_k: float, through_w_per_k: float) -> float:
    """Heat that walls and floors of a room store: as long-lived as those of a building of known stores.

    Case: published/winter.toml#walls-and-floors
    """
    return fabric_kj_per_k / 3.6 / series_w_per_k * through_w_per_k


@formula("by the loss through the fabric, from a simple building")
def to_fabric_w_per_k(fabric_inside_w_per_k: float, series_w_per_k: float, through_w_per_k: float) -> float:
    """Heat between the air of a room and its walls and floors, a kelvin.

    Case: published/winter.toml#air-to-walls
    """
    return fabric_inside_w_per_k / series_w_per_k * through_w_per_k


@formula("difference")
def set_back_k(inside_c: float, set_back_c: float) -> float:
    """How much cooler a room is kept outside its warm hours.

    Case: published/winter.toml#set-back
    """
    return inside_c - set_back_c


# ---- what people use ------------------------------------------------------------------------------------------------
@formula("365 days a year")
def starts_a_day(starts_a_year: float) -> float:
    """How often an appliance starts in a day.

    Case: published/winter.toml#kettle
    """
    return starts_a_year / 365


@formula("more in the heating season than over the year")
def winter_starts_a_day(starts_a_day: float, winter_more: float) -> float:
    """How often it starts on a day of the heating season.

    Case: published/winter.toml#kettle-in-winter
    """
    return starts_a_day * winter_more


@formula("the energy of a year, spread over its 8,760 hours or a share of them")
def base_w(use_kwh: float, on_share: float) -> float:
    """Power of what is used evenly in a share of a year's hours; in all of them, what never goes off.

    Case: published/winter.toml#what-nobody-named
    """
    return use_kwh / 8.76 / on_share


@formula("as much energy as printed, at the power on record")
def kept_starts_a_year(starts_a_year: float, cycle_w: float, load_w: float) -> float:
    """Starts at a greater power that use as much as those printed.

    Case: published/winter.toml#a-larger-hob
    """
    return starts_a_year * cycle_w / load_w


@formula("what is left of the power on record")
def rest_w(load_w: float, cycle_w: float) -> float:
    """Power of a cooker without its oven.

    Case: published/winter.toml#hob-of-a-cooker
    """
    return load_w - cycle_w


@formula("litres over litres")
def draws_a_day(water_l_a_day: float, draw_l: float) -> float:
    """How often hot water is drawn in a day.

    Case: published/winter.toml#draws
    """
    return water_l_a_day / draw_l


@formula("energy over power")
def charge_min(charge_kwh: float, load_w: float) -> float:
    """How long a charge takes.

    Case: published/winter.toml#a-charge
    """
    return charge_kwh * 60_000 / load_w


@formula("P = U I")
def taken_w(load_a: float, supply_v: float) -> float:
    """Power of what draws so much.

    Case: published/winter.toml#a-cooker
    """
    return load_a * supply_v


@formula("share of the lamps")
def lamps_w(load_w: float, demand_share: float) -> float:
    """Lamps that are on at once.

    Case: published/winter.toml#lamps
    """
    return load_w * demand_share


@formula("P = U I")
def sun_w(rating_a: float, supply_v: float) -> float:
    """What an inverter feeds in at the most.

    Case: published/winter.toml#an-inverter
    """
    return rating_a * supply_v
