"""What goes into a season: plain numbers with a unit each, filled in by whoever knows the job.

Watts are whole numbers, so that a demand is an exact sum in any order. Minutes of a day count from midnight, 0 to 1440. One home
is lived through many winters; what differs from winter to winter, or day to day, is drawn from a `Spread`.
"""
from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

__all__ = ["ALWAYS", "DAY_MIN", "SLOW_SHARES", "Case", "Daily", "Home", "Hours", "Ladder", "Room", "Season", "Spread", "Sun",
           "Use", "Water", "Weather", "hourly_c"]

DAY_MIN = 1440
SLOW_SHARES = 4                                 # of a fuse's heat, such that outlast a minute
MOST_W = 32_767                                 # what one thing may draw
MOST_HOME_W = 200_000                           # an hour of it in watt-minutes is still a whole number as a single
Hours = tuple[tuple[int, int], ...]             # (from, to) minutes of the day, in order, apart from one another
Spread = tuple[tuple[float, float], ...]        # (value, share), the shares together 1: a draw gives one of the values
ALWAYS: Hours = ((0, DAY_MIN),)
LEVEL = (1.0,) * 24
NOUGHT: Spread = ((0.0, 1.0),)
ONE: Spread = ((1.0, 1.0),)


@dataclass(frozen=True, slots=True)
class Room:
    """A room with one heater on a thermostat.

    loss_w_per_k      what it loses in all, W for each K above outside, steadily
    store_wh_per_k    heat that it stores, Wh/K: of the whole room, or of its air and furnishings where a fabric is said
    heater_w          what the heater takes while on, whole watts; 0: the room is not heated
    set_c             °C at the middle of the thermostat's band while warm
    set_back_k        K lower outside the warm hours; 0: the same all day
    dead_band_k       K between where the thermostat closes and where it opens: half below the middle, half above
    gains_w           heat from people, sun and appliances, all day, W
    least_on_min      minutes that the heater stays on once it is on; 1 or less: as the thermostat says
    warm              minutes of the day with the higher setting
    fabric_wh_per_k   Wh/K of walls and floors as a second store behind the first; 0: one store
    to_fabric_w_per_k W/K between the two stores; more than what is lost through the fabric
    direct_w_per_k    W/K lost from the air itself (ventilation, glass); what is left of loss_w_per_k goes through the fabric
    """
    name: str
    loss_w_per_k: float
    store_wh_per_k: float
    heater_w: int
    set_c: float
    set_back_k: float = 0.0
    dead_band_k: float = 0.6
    gains_w: float = 0.0
    least_on_min: int = 1
    warm: Hours = ALWAYS
    fabric_wh_per_k: float = 0.0
    to_fabric_w_per_k: float = 0.0
    direct_w_per_k: float = 0.0


@dataclass(frozen=True, slots=True)
class Water:
    """A cylinder of hot water, mixed through, with one heater on a thermostat.

    heater_w, store_l           whole watts; litres
    loss_w_per_k                what it loses to the room, W for each K
    set_c, dead_band_k          °C at the middle of the thermostat's band; K across it
    draws_a_day, draw_l         how often hot water is drawn, and litres a draw
    by_hour                     24 numbers: how the draws lie over the hours, in proportion
    cold_c, around_c            °C of the mains and around the cylinder
    may_heat                    minutes of the day in which the heater may run (a timer); a thermostat rules within
    """
    heater_w: int
    store_l: float
    loss_w_per_k: float
    set_c: float
    draws_a_day: float
    draw_l: float
    by_hour: tuple[float, ...] = LEVEL
    dead_band_k: float = 8.0
    cold_c: float = 10.0
    around_c: float = 19.0
    may_heat: Hours = ALWAYS


@dataclass(frozen=True, slots=True)
class Use:
    """An appliance that is started, runs so long at so many watts, and stops.

    watts, minutes    whole; minutes up to 1440
    starts_a_day      starts made in a day on the whole. Starts are asked for at random (Poisson), shaped by the hour; one asked
                      for while the appliance runs or rests is dropped, so more are asked for, that this many are made
    by_hour           24 numbers: how starts lie over the hours, in proportion
    rest_min          minutes after a run in which it does not start again (a refrigerator)
    by_people         True: asked for more often in a lively winter (`Home.activity`). False: goes by itself
    """
    name: str
    watts: int
    minutes: int
    starts_a_day: float
    by_hour: tuple[float, ...] = LEVEL
    rest_min: int = 0
    by_people: bool = True


@dataclass(frozen=True, slots=True)
class Daily:
    """What starts once a day or not at all: a car that is charged, a heater on a timer.

    watts             whole
    share_of_days     days on which it starts, 0 to 1
    start_min         minute of the day at which it starts (a spread)
    minutes           how long it runs (a spread), up to 1440; a new start while it runs is dropped
    """
    name: str
    watts: int
    share_of_days: float
    start_min: Spread
    minutes: Spread


@dataclass(frozen=True, slots=True)
class Sun:
    """What the sun feeds in behind the same fuse: peak_w times the hour's share times the day's clearness."""
    peak_w: int
    by_hour: tuple[float, ...]
    clear: Spread = ONE


@dataclass(frozen=True, slots=True)
class Ladder:
    """How the element of a fuse warms and cools: shares of its heat, each with a time of its own (`ladder.fitted` makes one).

    least_a           minimum fusing current, A: steadily at it the heat comes to 1, where the element melts
    after_s, share    seconds and share of each pole; the shares together 1
    """
    least_a: float
    after_s: tuple[float, ...]
    share: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Home:
    """A home behind one service fuse.

    base_w            24 whole numbers: watts always on in that hour (standing, and what is not among the uses)
    volts_v           to make amperes of watts, at a power factor of 1
    fuse_a            rated current of the service fuse, A; None: not known, and then no minute is said to be above it
    ladder            of that fuse, or None
    shift_min         drawn for each day: minutes by which all warm hours of rooms come later (below 0: earlier)
    set_shift_k       drawn for each winter: K by which the rooms are kept warmer
    activity          drawn for each winter: how much livelier people are, 1 on the whole
    """
    rooms: tuple[Room, ...]
    water: Water | None
    uses: tuple[Use, ...]
    base_w: tuple[int, ...]
    volts_v: float = 230.0
    fuse_a: float | None = None
    ladder: Ladder | None = None
    shift_min: Spread = NOUGHT
    set_shift_k: Spread = NOUGHT
    activity: Spread = ONE


@dataclass(frozen=True, slots=True)
class Weather:
    """°C outside at every hour: 24 a day and one more at the end. Between two hours a straight line; the same in every winter."""
    hourly_c: tuple[float, ...]

    @property
    def days(self) -> int:
        return (len(self.hourly_c) - 1) // 24


@dataclass(frozen=True, slots=True)
class Case:
    """What happens in a season besides: a scenario is a file with these, and a home and a weather changed, never code.

    off               minutes from the first midnight (from, to) without power: nothing runs, rooms and water cool
    start_c           °C of every room at the first minute; None: somewhere in the thermostat's band, by chance
    water_start_c     the same of the cylinder
    all_alike         True: nobody's hours are shifted: one timer for all
    daily, sun        charge points and the like; a solar array
    """
    off: Hours = ()
    start_c: float | None = None
    water_start_c: float | None = None
    all_alike: bool = False
    daily: tuple[Daily, ...] = ()
    sun: Sun | None = None


@dataclass(frozen=True, slots=True)
class Season:
    """A home in a weather and a case, and the seed of all chance in it.

    settle_days       days at the beginning of the weather that are lived and not counted
    sampled_every     the histogram takes one minute in so many of each winter, the winters in turn; 1: every minute
    Errors: ValueError naming every number that cannot be.
    """
    home: Home
    weather: Weather
    case: Case = Case()
    seed: int = 1
    settle_days: int = 0
    sampled_every: int = 64

    def __post_init__(self) -> None:
        if wrong := [*_wrong(self)]:
            raise ValueError("; ".join(wrong))

    @property
    def days(self) -> int:
        """Days that are counted."""
        return self.weather.days - self.settle_days


def hourly_c(day_means_c: tuple[float, ...], swing_k: float, warmest_hour: float = 15.0) -> tuple[float, ...]:
    """°C at every hour from the means of days and the swing of a day (K from its coldest to its warmest hour).

    Within a day a cosine lies on the straight line from the mean of one noon to that of the next. common practice, no source."""
    out = []
    for hour in range(24 * len(day_means_c) + 1):
        noons = hour / 24 - 0.5
        before = min(max(math.floor(noons), 0), len(day_means_c) - 1)
        after = min(before + 1, len(day_means_c) - 1)
        mean = day_means_c[before] + (day_means_c[after] - day_means_c[before]) * min(max(noons - before, 0.0), 1.0)
        out.append(round(mean + swing_k / 2 * math.cos(2 * math.pi * (hour - warmest_hour) / 24), 6))
    return tuple(out)


def _wrong(season: Season) -> Iterator[str]:
    home, case = season.home, season.case
    for room in home.rooms:
        yield from _wrong_room(room)
    yield from _wrong_water(home.water)
    for use in home.uses:
        if not (0 <= use.watts <= MOST_W and 1 <= use.minutes <= DAY_MIN and 0 <= use.rest_min <= DAY_MIN):
            yield f"{use.name}: watts, minutes or rest out of range"
        elif not 0 <= use.starts_a_day * (use.minutes + use.rest_min) < 0.95 * DAY_MIN:
            yield f"{use.name}: so many starts a day leave no time between them"
        yield from _wrong_hours_of_24(use.name, use.by_hour)
    for daily in case.daily:
        if not (0 <= daily.watts <= MOST_W and 0 <= daily.share_of_days <= 1):
            yield f"{daily.name}: watts or share of days out of range"
        yield from _wrong_spread(f"{daily.name}: start", daily.start_min, 0, DAY_MIN - 1)
        yield from _wrong_spread(f"{daily.name}: minutes", daily.minutes, 1, DAY_MIN)
    drawn = [use.watts for use in home.uses] + [daily.watts for daily in case.daily]
    if math.fsum([*drawn, max(home.base_w, default=0), *(room.heater_w for room in home.rooms)]) > MOST_HOME_W:
        yield f"the home draws more than {MOST_HOME_W} W together"
    if len(home.base_w) != 24 or min(home.base_w, default=0) < 0:
        yield "base_w: 24 numbers of 0 or more"
    if case.sun is not None:
        yield from _wrong_hours_of_24("sun", case.sun.by_hour)
        yield from _wrong_spread("sun: clear", case.sun.clear, 0, 1)
    yield from _wrong_spread("shift_min", home.shift_min, -DAY_MIN, DAY_MIN)
    yield from _wrong_spread("set_shift_k", home.set_shift_k, -30, 30)
    yield from _wrong_spread("activity", home.activity, 0.01, 100)
    if home.ladder is not None:
        yield from _wrong_ladder(home.ladder)
    if not home.volts_v > 0 or not (home.fuse_a is None or home.fuse_a > 0):
        yield "volts_v and fuse_a are above 0"
    hours = season.weather.hourly_c
    if len(hours) % 24 != 1 or len(hours) < 25 or not all(math.isfinite(each) for each in hours):
        yield "weather: 24 temperatures a day and one more"
    if not 0 <= season.settle_days < season.weather.days:
        yield "settle_days: fewer than the weather has days"
    if not (0 <= season.seed < 2**63 and season.sampled_every in (1, 2, 4, 8, 16, 32, 64, 128)):
        yield "seed: 0 or more; sampled_every: 1, 2, 4 ... 128"


def _wrong_ladder(ladder: Ladder) -> Iterator[str]:
    if not (ladder.least_a > 0 and len(ladder.after_s) == len(ladder.share) and min(ladder.after_s, default=0) > 0
            and abs(math.fsum(ladder.share) - 1) < 1e-6 and min(ladder.share) >= 0):
        yield "ladder: as many times above 0 as shares, which come to 1"
    if len([after_s for after_s in ladder.after_s if after_s >= 1.2]) > SLOW_SHARES:
        yield f"ladder: more than {SLOW_SHARES} shares that outlast a minute"


def _wrong_room(room: Room) -> Iterator[str]:
    if not (room.loss_w_per_k >= 0 and room.store_wh_per_k > 0 and 0 <= room.heater_w <= MOST_W and room.dead_band_k > 0
            and room.set_back_k >= 0 and math.isfinite(room.set_c + room.gains_w)):
        yield f"{room.name}: a number out of range"
    through = room.loss_w_per_k - room.direct_w_per_k
    if room.fabric_wh_per_k and not (room.fabric_wh_per_k > 0 and room.direct_w_per_k >= 0 < through < room.to_fabric_w_per_k):
        yield f"{room.name}: through the fabric goes something, and less than to_fabric_w_per_k"
    yield from _wrong_hours(room.name, room.warm)


def _wrong_water(water: Water | None) -> Iterator[str]:
    if water is None:
        return
    if not (0 <= water.heater_w <= MOST_W and water.store_l > 0 and water.loss_w_per_k >= 0 and water.dead_band_k > 0
            and 0 <= water.draw_l <= water.store_l and water.draws_a_day >= 0):
        yield "water: a number out of range"
    yield from _wrong_hours_of_24("water", water.by_hour)
    yield from _wrong_hours("water", water.may_heat)


def _wrong_hours(name: str, hours: Hours) -> Iterator[str]:
    flat = [minute for each in hours for minute in each]
    if flat != sorted(flat) or any(a >= b for a, b in hours) or (flat and not 0 <= flat[0] <= flat[-1] <= DAY_MIN):
        yield f"{name}: hours are minutes of the day, from and to, in order"


def _wrong_hours_of_24(name: str, by_hour: tuple[float, ...]) -> Iterator[str]:
    if len(by_hour) != 24 or min(by_hour) < 0 or not max(by_hour) > 0:
        yield f"{name}: by_hour is 24 numbers, none below 0, not all 0"


def _wrong_spread(name: str, spread: Spread, least: float, most: float) -> Iterator[str]:
    shares = [share for _, share in spread]
    if not spread or min(shares) < 0 or abs(math.fsum(shares) - 1) > 1e-6:
        yield f"{name}: shares of a spread come to 1"
    elif not all(least <= value <= most for value, _ in spread):
        yield f"{name}: a value outside {least:g} to {most:g}"
