"""Invented homes for the tests of a season: every kind of thing that can be in one, in four seasons of three days."""
from __future__ import annotations

from dataclasses import replace

from spareway.season.home import Case, Daily, Home, Hours, Room, Season, Spread, Sun, Use, Water, Weather, hourly_c
from spareway.season.ladder import fitted

DAYTIME = (.3, .2, .2, .15, .15, .2, .3, .7, .8, .6, .5, .5, .6, .5, .5, .6, .9, 1.4, 1.6, 1.4, 1.2, 1., .7, .4)
NOT_AT_NIGHT = (0.0,) * 6 + (1.0,) * 17 + (0.0,)
MORNING_AND_EVENING: Hours = ((390, 540), (960, 1350))
KEEPERS: Spread = ((-45, 0.2), (-15, 0.3), (0, 0.25), (30, 0.25))
WARMER: Spread = ((-1.0, 0.3), (0.0, 0.4), (1.5, 0.3))
LIVELY: Spread = ((0.6, 0.3), (1.0, 0.4), (1.5, 0.3))
# an 80 A gG fuse-link: BS EN 60269-1, currents held and opened at, as in our tables
HOLDS, OPENS = ((610.0, 0.1), (215.0, 10.0), (100.0, 7200.0)), ((1100.0, 0.1), (425.0, 5.0), (128.0, 7200.0))
LADDER = fitted(HOLDS, OPENS)


def rooms(count: int = 4, warm: Hours = MORNING_AND_EVENING) -> tuple[Room, ...]:
    return tuple(Room(f"room {k}", 15.0 + 5 * k, (15.0 + 5 * k) * (12 + 3 * k), 500 + 250 * k, 20.5 - k % 2, 3.0 + k % 2, 0.6, 20.0,
                      1, warm) for k in range(count))


def of_two(each: Room) -> Room:
    """The same room as air and fabric, its heater on for three minutes at least."""
    return replace(each, least_on_min=3, store_wh_per_k=25.0, fabric_wh_per_k=each.store_wh_per_k, to_fabric_w_per_k=70.0,
                   direct_w_per_k=6.0)


USES = (Use("kettle", 2800, 3, 5.0, DAYTIME), Use("oven", 2100, 45, 0.8, NOT_AT_NIGHT), Use("shower", 9000, 7, 1.3, DAYTIME),
        Use("washing", 2000, 75, 0.6, NOT_AT_NIGHT), Use("refrigerator", 110, 18, 16.755, rest_min=36, by_people=False),
        Use("pump", 60, 200, 3.0, by_people=False))
TANK = Water(3000, 150.0, 2.0, 55.0, 15.0, 6.0, DAYTIME)
HOME = Home(rooms(), TANK, USES, tuple(120 + 10 * hour for hour in range(24)), 230.0, 80.0, LADDER, KEEPERS, WARMER, LIVELY)
CHARGE = Daily("car", 7400, 0.7, ((1100, 0.5), (30, 0.5)), ((240, 0.5), (600, 0.5)))
SUN = Sun(4000, (0.0,) * 9 + (0.2, 0.5, 0.8, 0.8, 0.5, 0.2) + (0.0,) * 9, ((0.1, 0.5), (0.9, 0.5)))
COLD = Weather(hourly_c((-2.0, -4.0, 1.0), 6.0))
SEASONS = {
    "one store": Season(HOME, COLD, seed=7),
    "two stores": Season(replace(HOME, rooms=tuple(of_two(each) for each in HOME.rooms), fuse_a=60.0), COLD, seed=8, sampled_every=1),
    "power away": Season(replace(HOME, fuse_a=None, rooms=(of_two(rooms()[0]), *rooms()[1:])), COLD,
                         Case(((400, 700), (3000, 3001)), 5.0, 12.0, True, (CHARGE,)), seed=2**62),
    "sun": Season(replace(HOME, rooms=rooms(3, ((0, 30), (375, 1440))), water=replace(TANK, may_heat=((0, 425), (1380, 1440))), ladder=LADDER,
                          base_w=(90,) * 24), COLD, Case(daily=(CHARGE, replace(CHARGE, watts=1000)), sun=SUN), settle_days=1),
}
