"""Running cost: the range worked by hand for Weir, published degree-days, what saves most, and what is missing."""
from __future__ import annotations

import math

import pytest

from spareway.design.running import DRAUGHTS, Running
from spareway.physics import heat
from tests.scenarios.folders import design

WEIR = "weir-cottage"


def weir(overlay: str = "") -> Running:
    return Running(design(WEIR, "proposed", overlay))


def test_weir_from_least_to_as_recorded_by_hand() -> None:
    """SCENARIOS, "Running cost": 318 W/K x 1,700 and 412 W/K x 2,100, worked with whole W/K: 12,974 and 20,765 kWh, GBP 3,503 and 5,606."""
    year = weir()
    assert year.between_kwh is not None
    assert year.between_gbp is not None
    assert year.between_kwh.least == pytest.approx(12_974, rel=1.5e-3)               # 318.3 and not 318
    assert year.between_kwh.is_ == pytest.approx(20_765, rel=1.5e-3)                 # 412.4 and not 412
    assert year.between_gbp.least == pytest.approx(3_503, rel=1.5e-3)
    assert year.between_gbp.is_ == pytest.approx(5_606, rel=1.5e-3)
    assert round(year.season_w_per_k.value) == 412
    assert year.within_w_per_k.value == pytest.approx(4.23)
    assert {f.at for f in year.between_kwh.of} == {"fabric.outside-wall.u_w_per_m2k", "heating.main.air_share", "heating.main.degree_days_kd"}


def second_method(u: float, air: float, days: float) -> float:
    """Hour by hour and not by degree-days: the same home held so many kelvin above outside for 24 h of each day of a year, no formula shared."""
    rooms = [r for r in design(WEIR, "proposed", f"fabric.outside-wall.u_w_per_m2k = {u}").rooms.values() if r.is_heated]
    outward_w = [e.loss_w.value / (r.inside_c.value - r.outside_c.value) for r in rooms for n, e in r.elements.items() if n != "pantry"]
    air_w = [0.33 * r.room.air_changes_per_h.value * r.volume_m3.value * air for r in rooms]
    kelvin = days / 365
    return math.fsum(math.fsum([*outward_w, *air_w]) * kelvin / 1000 for _ in range(365 * 24))


def test_the_ends_by_a_second_method() -> None:
    """Least, as recorded and most, each hour added up."""
    between = weir().between_kwh
    assert between is not None
    assert [between.least, between.is_, between.most] == pytest.approx(
        [second_method(1.35, 0.5, 1700), second_method(1.7, 1, 2100), second_method(2.1, 1, 2100)], rel=1e-9)


@pytest.mark.parametrize(("days", "less_percent"), [(2265, 30), (1748, 45)])
def test_a_thermostat_turned_down(days: float, less_percent: int) -> None:
    """Sustainable Energy - without the hot air, page 293: from 3,188 degree-days at 20 C to 2,265 at 17 C is 30 % less, to 1,748 at 15 C 45 %.

    The first is 29.0 by its own numbers, printed in tens."""
    assert 100 * (1 - heat.heating_kwh(322, days) / heat.heating_kwh(322, 3188)) == pytest.approx(less_percent, abs=1.05)


# ---- what saves most ------------------------------------------------------------------------------------------------
def test_draughts_and_the_loft_by_hand() -> None:
    """102.3 W/K of air to half, and 49.41 m2 of ceiling from 0.4 to 0.16; each with the degree-days of either end."""
    first, second = weir().measures
    assert [first.says, second.says] == [DRAUGHTS, "300 mm of wool at the ceiling"]
    assert first.between_kwh is not None
    assert second.between_kwh is not None
    assert (first.between_kwh.least, first.between_kwh.most) == pytest.approx((0, 102.3009 * 0.5 * 50.4), rel=1e-6)
    area_m2 = 17.94 + 13.26 + 10.8 + 4.18 + 3.23
    assert (second.between_kwh.least, second.between_kwh.most) == pytest.approx((area_m2 * 0.24 * 40.8, area_m2 * 0.24 * 50.4), rel=1e-9)
    assert second.between_gbp is not None
    assert second.between_gbp.most == pytest.approx(area_m2 * 0.24 * 50.4 * 0.27, rel=1e-9)


def test_a_wall_improved_comes_first() -> None:
    """Walls from 1.35 to 2.1 down to 0.3 save more than anything else here: 122 m2 of them."""
    first, *_ = weir("fabric.outside-wall.could_be_w_per_m2k = 0.3").measures
    assert first.at == "fabric.outside-wall"
    assert first.says == "one-brick solid, about 1890 improved"
    assert first.between_kwh is not None
    assert first.between_kwh.least < first.between_kwh.is_ < first.between_kwh.most


def test_a_measure_that_is_no_better_saves_nothing() -> None:
    roof = {m.at: m for m in weir("fabric.roof.could_be_w_per_m2k = 0.5").measures}["fabric.roof"]
    assert roof.between_kwh is not None
    assert (roof.between_kwh.least, roof.between_kwh.most) == (0, 0)


def test_a_measure_of_what_no_room_has_is_unknown_and_last() -> None:
    last = weir("fabric.thatch = { could_be_w_per_m2k = 0.2 }").measures[-1]
    assert (last.at, last.saved_kwh.known, last.between_kwh, last.between_gbp) == ("fabric.thatch", False, None, None)
    assert last.saved_kwh.missing()[0].note == "no part of a heated room towards the outside is of it"


# ---- what is not known ----------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("overlay", "missing", "kwh"), [
    ('remove = ["heating.main.price_p_per_kwh"]', "heating.main.price_p_per_kwh", True),
    ('remove = ["heating.main.price_on"]', "heating.main.price_on", True),
    ('heating.main.price_p_per_kwh = { unknown = "he would not say" }', "heating.main.price_p_per_kwh", True),
    ('remove = ["heating.main.degree_days_kd"]', "heating.main.degree_days_kd", False),
    ('remove = ["heating.main.air_share"]', "heating.main.air_share", False),
    ('remove = ["rooms.living.elements.window"]', "rooms.living.elements.wall", False),
    ('remove = ["rooms.landing.elements.roof"]', "rooms.landing.elements", False),
    ('remove = ["heating.main"]', "heating.main.degree_days_kd", False)])
def test_what_is_missing_leaves_the_cost_unknown(overlay: str, missing: str, kwh: bool) -> None:
    """A price or its day: the kilowatt-hours stand. Anything of the heat: neither stands, and the gap is named."""
    year = weir(overlay)
    assert (year.heating_kwh.known, year.running_gbp.known) == (kwh, False)
    assert missing in {f.at for f in year.running_gbp.missing()}
    assert year.between_gbp is None


def test_one_number_is_no_answer() -> None:
    """Nothing has a range: no cost is told, and the heat has no ends."""
    year = weir("heating.main.degree_days_kd = 2100\nheating.main.air_share = 1\nfabric.outside-wall.u_w_per_m2k = 1.7")
    assert year.heating_kwh.known
    assert year.between_kwh is None
    assert "one number would be no answer" in year.running_gbp.missing()[0].note


def test_no_room_no_heat() -> None:
    names = ", ".join(f'"rooms.{r.room.name}"' for r in Running(design("granary-yard", "found", "")).rooms)
    empty = Running(design("granary-yard", "found", f"remove = [{names}]\nheating.main.degree_days_kd = 2000"))
    assert [gap.note for gap in empty.heating_kwh.missing()] == ["no heated room is recorded"]


def test_nobody_recorded_a_measure() -> None:
    """Granary says nothing of what could be better: nothing is proposed."""
    assert Running(design("granary-yard", "fitted", "")).measures == ()


def test_storage_heaters_are_named() -> None:
    """Their heat is bought at another price."""
    assert weir().storage == ()
    assert weir('equipment.heater-hall = { kind = "storage-heater", room = "hall", on = "heat-2", stamped_w = 1700, stamped_v = 230 }').storage == ("heater-hall",)


def test_a_price_that_may_move_widens_the_cost_alone() -> None:
    """24 to 31 p: the ends of the cost are those of the heat at the ends of the price; the heat is as it was."""
    year = weir("heating.main.price_p_per_kwh = { told = 27, least = 24, most = 31 }")
    assert year.between_gbp is not None
    assert year.between_kwh is not None
    assert (year.between_gbp.least, year.between_gbp.most) == pytest.approx((year.between_kwh.least * 0.24, year.between_kwh.most * 0.31))
    assert "heating.main.price_p_per_kwh" in {f.at for f in year.between_gbp.of}
