"""How homes use electricity, as gathered: what an appliance takes in a year recomputed, shares that come to a whole."""
from __future__ import annotations

import math

import pytest

from spareway.tables.table import Row, table
from tests.tables.reference import appliance, lines

COLUMNS = {"cycle_min": "mean_cycle_min", "cycle_w": "mean_cycle_w", "standby_w": "standby_w", "owned_share": "ownership_fraction",
           "rest_min": "restart_delay_min",
           "use_kwh": "kwh_per_year", "activity": "activity_profile"}


def row(name: str, *keys: object) -> Row:
    return next(r for r in table(name).rows if r.keys == keys)


def test_what_stands_beside_the_starts_is_as_gathered() -> None:
    """Minutes, watts and the rest of each appliance are those of its gathered line."""
    for line in lines("appliance_cycle_parameters"):
        also = row("appliances", appliance(line)).also
        assert {ours: str(also[ours]) if ours == "activity" else float(also[ours]) for ours in COLUMNS} == {
            ours: line[theirs] if ours == "activity" else float(line[theirs]) for ours, theirs in COLUMNS.items()}


@pytest.mark.parametrize("of", table("appliances").rows, ids=lambda r: r.keys[0])
def test_the_year_of_an_appliance_follows_from_its_cycles(of: Row) -> None:
    """(power - standby) x starts x minutes + standby x the year is what the page prints, to its last digit."""
    also = of.also
    kwh = (also["cycle_w"] - also["standby_w"]) * of.value * also["cycle_min"] / 60_000 + also["standby_w"] * 8.76
    assert kwh == pytest.approx(also["use_kwh"], abs=0.051)


def test_buildings_stand_as_gathered() -> None:
    """The two stores of heat and the two ways to them of each building, and what they give in series, as the page prints it."""
    for line in lines("low_order_building_parameters"):
        also = row("simple_buildings", line["type"]).also
        assert also["fabric_kj_per_k"] * 1000 == pytest.approx(float(line["c_fabric_j_per_k"]))
        assert also["inside_kj_per_k"] * 1000 == pytest.approx(float(line["c_inside_j_per_k"]))
        assert also["floor_m2"] == float(line["floor_area_m2"])
        series = 1 / (1 / also["outside_w_per_k"] + 1 / also["inside_w_per_k"])
        assert line["check"].startswith(f"fabric in series {series:.1f} ")


def test_the_uses_of_a_year_come_to_the_printed_sum() -> None:
    """4,094 kWh in all, and each share is that of its use, as printed."""
    rows = table("yearly_use").rows
    total = next(float(line["kwh_per_year"]) for line in lines("annual_electricity_use") if line["item"].startswith("total"))
    assert math.fsum(r.value for r in rows) == total
    assert all(abs(100 * r.value / total - r.also["share_percent"]) < 0.051 for r in rows)


def test_settings_of_all_homes_are_all_homes() -> None:
    """Nobody is left out: the shares come to one, to the printed digits."""
    assert math.fsum(r.value for r in table("thermostat_settings").rows) == pytest.approx(1, abs=0.001)


def test_a_day_has_twenty_four_hours_of_each_activity() -> None:
    """Every activity has each hour once and comes to a whole day; people are up in the evening and asleep at night."""
    rows = table("hours_of_use").rows
    for of in {r.keys[0] for r in rows}:
        day = {r.keys[1]: r.value for r in rows if r.keys[0] == of}
        assert [*day] == [f"{hour:02d}:00" for hour in range(24)]
        assert math.fsum(day.values()) == pytest.approx(1, abs=1e-9)
    up = {r.keys[1]: r.value for r in rows if r.keys[0] == "active occupancy"}
    assert max(up, key=lambda hour: up[hour]) in ("18:00", "19:00", "20:00", "21:00")
    assert min(up, key=lambda hour: up[hour]) in ("02:00", "03:00", "04:00")


def test_every_activity_of_an_appliance_has_its_hours() -> None:
    """What an appliance is used for is a day of its own, or goes on at all hours, or is charged at night."""
    have = {r.keys[0] for r in table("hours_of_use").rows} | {"level", "storage charge"}
    assert {r.also["activity"] for r in table("appliances").rows} <= have
