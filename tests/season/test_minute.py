"""A season in plain Python against physics done another way: closed forms, a finer step in double precision, counting by hand."""
from __future__ import annotations

import math
from array import array
from dataclasses import replace

import numpy as np
import pytest
from scipy.linalg import expm

from spareway.season.home import ALWAYS, DAY_MIN, Case, Daily, Home, Room, Season, Sun, Use, Water, Weather, hourly_c
from spareway.season.minute import _Room, _Water, live
from spareway.season.steps import WATER_WH_PER_L_K, Timer, at_minute, single, stepped
from tests.season.homes import DAYTIME, HOME, SEASONS, of_two

QUIET = Home((), None, (), (0,) * 24)
ROOM = Room("room", 30.0, 450.0, 1500, 20.0)
USUAL = Case()
EVEN = Weather((-2.0,) * (7 * 24 + 1))


def season(home: Home, weather: Weather = EVEN, case: Case = USUAL) -> Season:
    return Season(home, weather, case)


def states_c(room: Room, start_c: float, outside_c: float, minutes: int, power: bool = False) -> list[tuple[float, float]]:
    """Air and fabric of a room after each minute, its heater without power unless said."""
    step = stepped(season(replace(QUIET, rooms=(room,)))).rooms[0]
    state, cell, out = _Room(step, single(start_c), single(start_c)), array("f", [0.0] * 4), []
    for _ in range(minutes):
        state.minute(0.0, outside_c, power, cell)
        out.append((state.air_c, state.fabric_c))
    return out


def test_a_room_cools_as_newton_says() -> None:
    """20 °C to 3 °C outside over two days: T = To + (T0 - To) exp(-t loss / store), to the rounding of a single."""
    for minutes, (air_c, _) in enumerate(states_c(ROOM, 20.0, 3.0, 2880), 1):
        assert air_c == pytest.approx(3.0 + 17.0 * math.exp(-minutes / 60 * 30.0 / 450.0), abs=2e-3)


def test_a_room_of_two_stores_cools_as_its_matrix_says() -> None:
    """Against the exponential of the matrix of both balances, written anew here, over a day."""
    room = of_two(ROOM)
    link, direct = room.to_fabric_w_per_k, room.direct_w_per_k
    out = 1 / (1 / (room.loss_w_per_k - direct) - 1 / link)
    heat = np.array([[-(link + direct), link], [link, -(link + out)]])
    rate = heat / np.array([[room.store_wh_per_k], [room.fabric_wh_per_k]])
    got = states_c(room, 20.0, 3.0, DAY_MIN)
    for minutes in (1, 30, 300, DAY_MIN):
        assert got[minutes - 1] == pytest.approx(3.0 + expm(rate * minutes / 60) @ [17.0, 17.0], abs=5e-3)


def test_a_room_of_two_stores_warms_as_its_matrix_says() -> None:
    """The heater on throughout and 120 W of gains: towards rest, the air 1620 / 30 = 54 K above outside, by the same exponential."""
    room = replace(of_two(ROOM), set_c=90.0, gains_w=120.0)
    link, direct = room.to_fabric_w_per_k, room.direct_w_per_k
    out = 1 / (1 / (room.loss_w_per_k - direct) - 1 / link)
    rate = np.array([[-(link + direct), link], [link, -(link + out)]]) / np.array([[room.store_wh_per_k], [room.fabric_wh_per_k]])
    rest = np.linalg.solve(rate, [-1620.0 / room.store_wh_per_k, 0.0])
    assert rest[0] == pytest.approx(54.0)
    got = states_c(room, 10.0, -2.0, 600, power=True)
    for minutes in (1, 60, 600):
        assert got[minutes - 1] == pytest.approx(-2.0 + rest + expm(rate * minutes / 60) @ (12.0 - rest), abs=1e-2)


HEAVY = replace(of_two(ROOM), store_wh_per_k=150.0, least_on_min=1)


@pytest.mark.parametrize("room", [ROOM, HEAVY, replace(ROOM, gains_w=120.0), replace(HEAVY, gains_w=120.0)])
def test_heat_in_is_heat_lost(room: Room) -> None:
    """A week at -2 °C: the heater gives loss times the mean difference, less gains; the mean lies within half a band of what is set
    and what one minute overshoots, and what is stored at the beginning and not at the end is heat too."""
    lived = live(season(replace(QUIET, rooms=(replace(room, dead_band_k=0.2),)), case=Case(start_c=20.0)), 0)
    mean_w = lived.winter.heat_wmin / (7 * DAY_MIN)
    wanted_w = 30.0 * 22.0 - room.gains_w
    at_rest_k = 22.0 * (1 - 70.0 / (70.0 + 1 / (1 / 24 - 1 / 70))) if room.fabric_wh_per_k else 0.0
    off_by_w = 30.0 * (0.1 + 1500 / 60 / room.store_wh_per_k) + (150.0 + 450.0) * 0.3 / (7 * 24)
    assert mean_w == pytest.approx(wanted_w - room.fabric_wh_per_k * at_rest_k / (7 * 24), abs=off_by_w)


def test_a_week_of_heat_equals_a_finer_step_in_double_precision() -> None:
    """Three rooms with set-back through a week that swings: energy within 1 in 1000 of ten Euler steps a minute in double precision."""
    weather = Weather(hourly_c((-2.0, -4.0, -1.0, 2.0, 0.0, -3.0, 1.0), 7.0))
    rooms = tuple(replace(each, dead_band_k=0.3) for each in HOME.rooms[:3])
    lived = live(Season(replace(QUIET, rooms=rooms), weather, Case(start_c=17.0)), 0)
    energy_wmin = 0.0
    for room in rooms:
        air_c, on = 17.0, False
        for minute in range(7 * DAY_MIN):
            warm = any(a <= minute % DAY_MIN < b for a, b in room.warm)
            off_by = air_c - (room.set_c - (0.0 if warm else room.set_back_k))
            on = off_by < (0.15 if on else -0.15)
            energy_wmin += room.heater_w * on
            outside_c = at_minute(weather.hourly_c, minute)
            for _ in range(10):
                air_c += (room.heater_w * on + room.gains_w - room.loss_w_per_k * (air_c - outside_c)) / room.store_wh_per_k / 600
    assert lived.winter.heat_wmin == pytest.approx(energy_wmin, rel=1e-3)
    assert lived.winter.heat_wmin == math.fsum(lived.minutes_w) == lived.winter.taken_wmin


def test_a_heater_stays_on_for_its_least_time() -> None:
    """A band so narrow that a minute would do: every spell lasts ten minutes or more, and one lasts ten."""
    room = replace(ROOM, dead_band_k=0.01, store_wh_per_k=90.0, least_on_min=10)
    runs = [len(run) for run in "".join("1" if w else "0" for w in live(season(replace(QUIET, rooms=(room,))), 0).minutes_w).split("0") if run]
    assert min(runs[:-1]) == 10
    least_1 = replace(room, least_on_min=1)
    runs = [len(run) for run in "".join("1" if w else "0" for w in live(season(replace(QUIET, rooms=(least_1,))), 0).minutes_w).split("0") if run]
    assert min(runs) < 10


def test_a_cylinder_heats_by_its_water() -> None:
    """150 l from 10 °C by 3 kW: 52.33 K above is 9.13 kWh, 182.6 min; 1.163 Wh/(l K). Losing nothing, drawn from by nobody."""
    tank = Water(3000, 150.0, 0.0, 60.0, 0.0, 0.0, dead_band_k=4.667)
    lived = live(season(replace(QUIET, water=tank), case=Case(water_start_c=10.0)), 0)
    on_min = math.ceil((60.0 + 4.667 / 2 - 10.0) * 150.0 * WATER_WH_PER_L_K / 50.0)
    assert on_min == 183
    assert [*lived.minutes_w[:on_min + 2]] == [3000] * on_min + [0, 0]
    assert lived.winter.water_wmin == 3000 * on_min


def test_a_draw_mixes_and_a_store_loses() -> None:
    """40 l of 150 l at 60 °C replaced by 10 °C: 60 - 50 x 40 / 150 = 46.67 °C. A day's loss of 2 W/K towards 19 °C is exponential."""
    step = stepped(season(replace(QUIET, water=Water(0, 150.0, 0.0, 60.0, 1.0, 40.0)))).water
    assert step is not None
    state, cell = _Water(step, 60.0), array("f", [0.0] * 4)
    state.minute(1, 0, True, cell)
    assert state.store_c == pytest.approx(60 - 50 * 40 / 150, abs=1e-4)
    state.minute(9, 0, True, cell)
    assert state.store_c == pytest.approx(10.0, abs=1e-4)           # more than there is: all of it
    lossy = stepped(season(replace(QUIET, water=Water(0, 150.0, 2.0, 60.0, 1.0, 40.0)))).water
    assert lossy is not None
    state = _Water(lossy, 60.0)
    for minute in range(DAY_MIN):
        state.minute(0, minute, True, cell)
    assert state.store_c == pytest.approx(19 + 41 * math.exp(-24 * 2.0 / (150 * 1.163)), abs=5e-3)


def test_a_timer_holds_the_cylinder_back() -> None:
    tank = Water(3000, 150.0, 2.0, 55.0, 20.0, 6.0, may_heat=((120, 300),))
    minutes_w = live(season(replace(QUIET, water=tank)), 0).minutes_w
    on = {at % DAY_MIN for at, w in enumerate(minutes_w) if w}
    assert on
    assert min(on) >= 120
    assert max(on) < 300


def test_after_an_outage_everything_is_on_at_once() -> None:
    """Power away from 00:00 to 10:00 with rooms at 8 °C: nothing runs, and at 10:00 every heater and the cylinder do."""
    home = replace(HOME, uses=(), base_w=(100,) * 24, set_shift_k=((0.0, 1.0),))
    lived = live(Season(home, EVEN, Case(((0, 600),), 8.0, 12.0, True)), 0)
    assert [*lived.minutes_w[:600]] == [0] * 600
    assert lived.minutes_w[600] == math.fsum(room.heater_w for room in home.rooms) + 3000 + 100
    assert lived.winter.top_w == lived.minutes_w[600]


def test_what_is_always_on_and_what_runs_daily_are_counted_to_the_minute() -> None:
    """200 W, and 7 kW from 23:00 for 3 hours each day: a week of both, the last night cut off at the end; the longest run is 180 min."""
    home = replace(QUIET, base_w=(200,) * 24, fuse_a=20.0)
    lived = live(season(home, case=Case(daily=(Daily("car", 7000, 1.0, ((1380, 1.0),), ((180, 1.0),)),))), 3)
    assert lived.winter.taken_wmin == 200 * 7 * DAY_MIN + 7000 * (6 * 180 + 60)
    assert (lived.winter.over_min, lived.winter.longest_min, lived.winter.top_w) == (6 * 180 + 60, 180, 7200)
    assert lived.winter.top_day == 0
    none = live(season(home, case=Case(daily=(Daily("car", 7000, 0.0, ((1380, 1.0),), ((180, 1.0),)),))), 3)
    assert none.winter.taken_wmin == 200 * 7 * DAY_MIN
    overlong = live(season(home, case=Case(daily=(Daily("car", 7000, 1.0, ((1380, 1.0),), ((1440, 1.0),)),))), 3)
    assert overlong.winter.taken_wmin == 200 * 7 * DAY_MIN + 7000 * (6 * DAY_MIN + 60)


def test_the_sun_gives_what_the_home_does_not_take() -> None:
    """1000 W always on and 6000 W of panels at half their peak for six hours, half clear: 500 W go out then; in other hours 1000 come in."""
    sun = Sun(6000, (0.0,) * 9 + (0.5,) * 6 + (0.0,) * 9, ((0.5, 1.0),))
    lived = live(season(replace(QUIET, base_w=(1000,) * 24, fuse_a=4.5), case=Case(sun=sun)), 0)
    assert lived.winter.given_wmin == 7 * 360 * 500
    assert lived.winter.taken_wmin == 7 * (DAY_MIN - 360) * 1000
    assert lived.winter.top_w == 1000
    strong = live(season(replace(QUIET, base_w=(100,) * 24, fuse_a=4.5), case=Case(sun=replace(sun, clear=((1.0, 1.0),)))), 0)
    assert strong.winter.top_w == 2900                   # what goes out warms the fuse as well
    assert strong.winter.over_min == 7 * 360


def test_a_fuse_not_known_says_nothing_above_it() -> None:
    lived = live(season(replace(QUIET, base_w=(30_000,) * 24, fuse_a=None)), 0)
    assert (lived.winter.over_min, lived.winter.longest_min, lived.winter.top_w, lived.winter.hottest) == (0, 0, 30_000, 0.0)


def test_settling_days_are_lived_and_not_counted() -> None:
    """The last two days of three are the same minutes whether the first is counted or not."""
    whole = live(SEASONS["one store"], 5)
    late = live(replace(SEASONS["one store"], settle_days=1), 5)
    assert late.minutes_w == whole.minutes_w[DAY_MIN:]
    assert late.winter.taken_wmin == math.fsum(whole.minutes_w[DAY_MIN:])
    assert live(SEASONS["one store"], 5, days=1).minutes_w == whole.minutes_w[:DAY_MIN]


def test_the_histogram_takes_one_minute_in_so_many() -> None:
    lived = live(replace(SEASONS["two stores"], sampled_every=1), 0)
    assert math.fsum(lived.histogram) == 3 * DAY_MIN
    assert math.fsum(lived.histogram[8:]) == len([w for w in lived.minutes_w if w >= 2000])
    assert math.fsum(live(replace(SEASONS["two stores"], sampled_every=16), 0).histogram) == 3 * DAY_MIN / 16


def test_a_timer_by_hand() -> None:
    timer = Timer(((0, 30), (390, 540), (960, 1440)), 3.0)
    assert [timer.is_warm(m, 60) for m in (0, 89, 90, 449, 450, 599, 600, 1019, 1020, 1439)] == [
        True, True, False, False, True, True, False, False, True, True]
    assert timer.switches(-45) == [345, 495, 915]
    assert Timer(ALWAYS, 3.0).switches(60) == []
    assert Timer(ALWAYS, 3.0).is_warm(0, 90)


def test_outside_from_day_means() -> None:
    """Three days of -2, 4 and 1 °C with no swing: the mean at each noon, straight lines between; with one, warmest at 15:00."""
    flat = hourly_c((-2.0, 4.0, 1.0), 0.0)
    assert (flat[12], flat[24], flat[36], flat[60], flat[0], flat[72]) == (-2.0, 1.0, 4.0, 1.0, -2.0, 1.0)
    swung = hourly_c((0.0,), 6.0)
    assert max(swung) == swung[15] == 3.0
    assert min(swung) == swung[3] == -3.0
    assert at_minute((1.0, 3.0), 45) == 2.5


BAD = {
    "a number out of range": replace(HOME, rooms=(replace(ROOM, store_wh_per_k=0.0),)),
    "through the fabric goes something": replace(HOME, rooms=(replace(of_two(ROOM), to_fabric_w_per_k=24.0),)),
    "hours are minutes of the day": replace(HOME, rooms=(replace(ROOM, warm=((540, 390),)),)),
    "leave no time between them": replace(HOME, uses=(Use("x", 100, 600, 3.0),)),
    "watts, minutes or rest out of range": replace(HOME, uses=(Use("x", 100, 1441, 0.1),)),
    "by_hour is 24 numbers": replace(HOME, uses=(Use("x", 100, 10, 1.0, (1.0,)),)),
    "draws more than 200000 W": replace(HOME, uses=tuple(Use(f"use {n}", 30_000, 10, 1.0) for n in range(7))),
    "base_w: 24 numbers": replace(HOME, base_w=(1,)),
    "shares of a spread come to 1": replace(HOME, activity=((1.0, 0.5),)),
    "a value outside": replace(HOME, activity=((0.0, 1.0),)),
    "water: a number out of range": replace(HOME, water=Water(3000, 0.0, 2.0, 55.0, 15.0, 6.0, DAYTIME)),
    "volts_v and fuse_a are above 0": replace(HOME, volts_v=0.0),
}


@pytest.mark.parametrize("says", BAD)
def test_what_cannot_be_is_named(says: str) -> None:
    with pytest.raises(ValueError, match=says):
        season(BAD[says])


def test_a_season_is_checked_as_a_whole() -> None:
    """Every fault is named in one go."""
    with pytest.raises(ValueError, match=r"car: watts.*sun: by_hour.*weather: 24 temperatures.*settle_days.*seed: 0 or more"):
        Season(QUIET, Weather((1.0,)), Case(daily=(Daily("car", -1, 1.0, ((0, 1.0),), ((1, 1.0),)),), sun=Sun(1, (1.0,))), -1, 1)
