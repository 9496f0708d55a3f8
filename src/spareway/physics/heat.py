"""Heat that a room loses and a heater gives."""
from __future__ import annotations

from spareway.fact import formula


# ---- U-values -------------------------------------------------------------------------------------------------------
@formula("BS EN ISO 6946")
def layer_r_m2k_per_w(thickness_m: float, conductivity_w_per_mk: float) -> float:
    """Thermal resistance of a layer.

    Case: published/heat.toml#resistance-of-a-layer
    """
    return thickness_m / conductivity_w_per_mk


@formula("BS EN ISO 6946")
def u_w_per_m2k(r_m2k_per_w: float) -> float:
    """Heat through a square metre a kelvin, from the total resistance with both surfaces.

    Case: published/heat.toml#u-value
    """
    return 1 / r_m2k_per_w


# ---- losses ---------------------------------------------------------------------------------------------------------
@formula("BS EN 12831-1")
def fabric_w_per_k(u_w_per_m2k: float, area_m2: float) -> float:
    """Heat through an element of the fabric, a kelvin.

    Range: say whether openings are taken off the area.
    Case: published/heat.toml#element-a-kelvin
    """
    return u_w_per_m2k * area_m2


@formula("BS EN 12831-1, temperature reduction factor")
def shared_w_per_k(fabric_w_per_k: float, of_dt: float) -> float:
    """Heat through an element towards a space that is neither heated nor outside, a kelvin between inside and outside.

    Range: of_dt is the share of that difference which stands across the element.
    Case: published/heat.toml#towards-a-pantry
    """
    return fabric_w_per_k * of_dt


@formula("BS EN 12831-1")
def bridging_w_per_k(exposed_m2: float, bridging_w_per_m2k: float) -> float:
    """Heat through bridges in the fabric, a kelvin, where nobody counted them one by one.

    Range: a flat addition to each square metre that faces outside.
    Case: published/heat.toml#bridges
    """
    return exposed_m2 * bridging_w_per_m2k


@formula("difference")
def net_area_m2(area_m2: float, openings_m2: float) -> float:
    """Area of a wall without its windows and doors.

    Case: published/heat.toml#wall-without-its-window
    """
    return area_m2 - openings_m2


@formula("share of an area")
def shared_area_m2(area_m2: float, of_dt: float) -> float:
    """Area of an element towards a space that is not heated, as so much that faces outside.

    Case: published/heat.toml#area-towards-a-pantry
    """
    return area_m2 * of_dt


@formula("BS EN 12831-1")
def fabric_w(u_w_per_m2k: float, area_m2: float, inside_c: float, outside_c: float) -> float:
    """Heat through an element of the fabric. Negative where the other side is warmer.

    Case: published/heat.toml#element
    """
    return u_w_per_m2k * area_m2 * (inside_c - outside_c)


@formula("heat carried by changed air")
def air_w_per_m3k(air_kj_per_m3k: float) -> float:
    """Heat of one air change an hour in a cubic metre, a kelvin.

    Range: 0.33 to 0.34 for the air of a home; 0.361 of older sheets is wrong.
    Case: published/heat.toml#air
    """
    return air_kj_per_m3k * 1000 / 3600


@formula("BS EN 12831-1")
def ventilation_w_per_k(air_w_per_m3k: float, air_changes_per_h: float, volume_m3: float) -> float:
    """Heat carried out with the air, a kelvin.

    Case: published/heat.toml#ventilation
    """
    return air_w_per_m3k * air_changes_per_h * volume_m3


@formula("BS EN 12831-1")
def design_loss_w(loss_w_per_k: float, inside_c: float, outside_c: float) -> float:
    """Heat lost on the design day.

    Case: published/heat.toml#design-day
    """
    return loss_w_per_k * (inside_c - outside_c)


@formula("BS EN 12831-1")
def saving_w(area_m2: float, u_w_per_m2k: float, improved_u_w_per_m2k: float, dt_k: float) -> float:
    """Heat no longer lost through an element that was improved.

    Case: published/heat.toml#saving
    """
    return area_m2 * (u_w_per_m2k - improved_u_w_per_m2k) * dt_k


# ---- over a year ----------------------------------------------------------------------------------------------------
@formula("share of the air of the design day")
def season_air_w_per_k(ventilation_w_per_k: float, air_share: float) -> float:
    """Heat carried out with the air of the whole season, a kelvin.

    Range: the air changes of the design day are those of a day when wind and cold drive most of it.
    Case: published/heat.toml#air-of-a-season
    """
    return ventilation_w_per_k * air_share


@formula("Sustainable Energy - without the hot air, page 292")
def heating_kwh(season_w_per_k: float, degree_days_kd: float) -> float:
    """Heat of a year that is not given by sun and people, from degree-days; by resistance as much electricity.

    Range: the degree-days are to the temperature at which nothing need be heated; a colder home has fewer.
    Case: published/heat.toml#degree-days-of-a-week
    """
    return season_w_per_k * degree_days_kd * 24 / 1000


@formula("energy times its price")
def running_gbp(heating_kwh: float, price_p_per_kwh: float) -> float:
    """Cost of that heat, without the standing charge.

    Case: published/heat.toml#cost-of-a-year
    """
    return heating_kwh * price_p_per_kwh / 100


@formula("BS EN 12831-1")
def saved_w_per_k(area_m2: float, u_w_per_m2k: float, improved_u_w_per_m2k: float) -> float:
    """Heat no longer lost through an element that was improved, a kelvin.

    Case: published/heat.toml#saved-a-kelvin
    """
    return area_m2 * (u_w_per_m2k - improved_u_w_per_m2k)


@formula("difference of two shares of the air of the design day")
def saved_air_w_per_k(ventilation_w_per_k: float, air_share: float, stopped_share: float) -> float:
    """Heat no longer carried out with the air once draughts are stopped, a kelvin.

    Case: published/heat.toml#draughts-stopped
    """
    return ventilation_w_per_k * (air_share - stopped_share)


@formula("conductances in series and in parallel")
def building_w_per_k(outside_fabric_w_per_k: float, fabric_inside_w_per_k: float, ventilation_w_per_k: float) -> float:
    """Loss of a simple building: through the fabric in two steps, and with the air beside it.

    Case: published/heat.toml#simple-building
    """
    return 1 / (1 / outside_fabric_w_per_k + 1 / fabric_inside_w_per_k) + ventilation_w_per_k


@formula("length times height")
def area_m2(length_m: float, height_m: float) -> float:
    """Area of a wall, a window, a floor.

    Case: published/heat.toml#area
    """
    return length_m * height_m


@formula("length times width times height")
def volume_m3(length_m: float, width_m: float, height_m: float) -> float:
    """Volume of a room.

    Case: published/heat.toml#volume
    """
    return length_m * width_m * height_m


# ---- older units ----------------------------------------------------------------------------------------------------
@formula("BS EN 12831-1 in older units")
def element_btu_per_h(u_btu_per_ft2_f_h: float, area_ft2: float, dt_f: float) -> float:
    """Heat through an element of the fabric, in older units.

    Case: published/heat.toml#element-in-older-units
    """
    return u_btu_per_ft2_f_h * area_ft2 * dt_f


@formula("definition: 1 Btu is 1055.05585262 J")
def watts_of_btu_w(btu_per_h: float) -> float:
    """Older units as watts.

    Case: published/heat.toml#watts
    """
    return btu_per_h * 1055.05585262 / 3600


@formula("share")
def loss_w_per_m2(loss_w: float, floor_m2: float) -> float:
    """Loss a square metre of floor, to see whether a sum can be right.

    Case: published/heat.toml#a-square-metre
    """
    return loss_w / floor_m2


# ---- heaters --------------------------------------------------------------------------------------------------------
@formula("margin for heating up")
def required_w(loss_w: float, margin_share: float) -> float:
    """Output wanted of a heater that is not on all day.

    Case: published/heat.toml#with-a-margin
    """
    return loss_w * (1 + margin_share)


@formula("current of a resistance goes with the voltage")
def heater_a(stamped_w: float, supply_v: float, stamped_v: float) -> float:
    """Current of a heater at another voltage than the one stamped on it.

    Case: published/heat.toml#heater-current
    """
    return stamped_w * supply_v / stamped_v ** 2


@formula("energy")
def stored_kwh(input_kw: float, charge_h: float) -> float:
    """Heat that a storage heater takes up in a charge.

    Case: published/heat.toml#charge
    """
    return input_kw * charge_h


@formula("mean over a day")
def mean_output_w(stored_kwh: float) -> float:
    """What a full charge gives on average over the 24 hours of a day.

    Case: published/heat.toml#mean-of-a-day
    """
    return stored_kwh * 1000 / 24
