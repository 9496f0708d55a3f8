"""One minute after the other, in plain Python: what a season is. The compiled path says the same, only sooner.

In a minute, in this order: timers, thermostats and rooms; draws and the cylinder; appliances and what is always on; the sun; the
fuse. Every sum and product of temperatures and of the fuse's heat is rounded to single precision; watts are whole.
"""
from __future__ import annotations

from array import array
from dataclasses import dataclass, field

from spareway.season.draws import BITS, DAILY, LIFE, TODAY, Plan, drawn, events, mixed, planned
from spareway.season.home import DAY_MIN, Season
from spareway.season.steps import LadderStep, RoomStep, Steps, WaterStep, at_minute, single, stepped
from spareway.season.sums import BIN_W, BINS, Winter

__all__ = ["Lived", "live"]


@dataclass(frozen=True, slots=True)
class Lived:
    """One winter: what is kept of it, the demand of each counted minute in W, and the sampled histogram."""
    winter: Winter
    minutes_w: array[int]
    histogram: array[int]


@dataclass(slots=True)
class _Room:
    step: RoomStep
    air_c: float
    fabric_c: float
    on: bool = False
    left_min: int = 0
    outside: tuple[float, float] = (0.0, 0.0)

    def minute(self, offset_k: float, outside_c: float, power: bool, cell: array[float]) -> int:
        """One minute on; returns the watts of its heater. `cell` rounds whatever is put into it."""
        step, air = self.step, self.air_c
        cell[0] = air - offset_k
        was = self.on
        self.on = cell[0] < (step.high_c if was else step.low_c) or self.left_min > 0
        if step.least_on_min > 1:
            self.left_min = step.least_on_min - 1 if self.on and not was else max(self.left_min - 1, 0)
        heats = self.on and power
        cell[0] = step.keep[0] * air
        if step.two:
            cell[1] = step.cross[0] * self.fabric_c
            cell[0] = cell[0] + cell[1]
        cell[1] = step.outside[0] * outside_c + step.gained[0]
        if heats:
            cell[1] = cell[1] + step.lift[0]
        cell[0] = cell[0] + cell[1]
        self.air_c = cell[0]
        if step.two:
            cell[0], cell[1] = step.keep[1] * self.fabric_c, step.cross[1] * air
            cell[0] = cell[0] + cell[1]
            cell[1] = step.outside[1] * outside_c + step.gained[1]
            if heats:
                cell[1] = cell[1] + step.lift[1]
            cell[0] = cell[0] + cell[1]
            self.fabric_c = cell[0]
        return step.heater_w if heats else 0


@dataclass(slots=True)
class _Water:
    step: WaterStep
    store_c: float
    on: bool = False

    def minute(self, draws: float, minute: int, power: bool, cell: array[float]) -> int:
        step = self.step
        draws = min(draws, step.most)
        cell[0], cell[1] = step.less * draws, step.more * draws
        cell[0], cell[1] = step.keep - cell[0], step.around + cell[1]
        cell[0] = cell[0] * self.store_c
        cell[0] = cell[0] + cell[1]
        self.on = cell[0] < (step.high_c if self.on else step.low_c)
        heats = self.on and power and any(a <= minute < b for a, b in step.may_heat)
        if heats:
            cell[0] = cell[0] + step.lift
        self.store_c = cell[0]
        return step.heater_w if heats else 0


@dataclass(slots=True)
class _Fuse:
    step: LadderStep
    heat: array[float]

    def minute(self, demand_w: int, cell: array[float]) -> float:
        """Heat of the element at the end of the minute; at 1 it melts."""
        cell[0] = demand_w * self.step.scale
        cell[0] = cell[0] * cell[0]
        cell[3] = self.step.at_once * cell[0]
        for at, (keep, take) in enumerate(zip(self.step.keep, self.step.take, strict=True)):
            cell[1], cell[2] = keep * self.heat[at], take * cell[0]
            self.heat[at] = cell[1] + cell[2]
            cell[3] = cell[3] + self.heat[at]
        return cell[3]


@dataclass(slots=True)
class _Tally:
    """What is counted of a winter as it goes."""
    top_w: int = 0
    top_day: int = 0
    over_min: int = 0
    run_min: int = 0
    longest_min: int = 0
    taken_wmin: int = 0
    given_wmin: int = 0
    heat_wmin: int = 0
    water_wmin: int = 0
    hottest: float = 0.0
    hottest_day: int = 0
    minutes_w: array[int] = field(default_factory=lambda: array("l"))
    histogram: array[int] = field(default_factory=lambda: array("q", [0] * BINS))

    def minute(self, day: int, demand_w: int, limit_w: float, hot: float) -> None:
        size_w = abs(demand_w)
        if size_w > self.top_w:
            self.top_w, self.top_day = size_w, day
        self.run_min = self.run_min + 1 if size_w > limit_w else 0
        self.over_min += size_w > limit_w
        self.longest_min = max(self.longest_min, self.run_min)
        self.taken_wmin += max(demand_w, 0)
        self.given_wmin += max(-demand_w, 0)
        if hot > self.hottest:
            self.hottest, self.hottest_day = hot, day
        self.minutes_w.append(demand_w)


def live(season: Season, number: int, steps: Steps | None = None, plan: Plan | None = None, days: int | None = None) -> Lived:
    """The winter of this number, from its first day on, `days` of those counted or all."""
    steps, plan = steps or stepped(season), plan or planned(season)
    life = _Life(season, number, steps, plan)
    tally = _Tally()
    for day in range(season.settle_days + (season.days if days is None else days)):
        life.day(day, tally if day >= season.settle_days else None)
    winter = Winter(number, tally.top_w, tally.top_day, tally.over_min, tally.longest_min, tally.taken_wmin, tally.given_wmin,
                    tally.heat_wmin, tally.water_wmin, tally.hottest, tally.hottest_day)
    return Lived(winter, tally.minutes_w, tally.histogram)


class _Life:
    """All that goes on from one minute to the next in one winter."""

    def __init__(self, season: Season, number: int, steps: Steps, plan: Plan) -> None:
        home, case = season.home, season.case
        self.season, self.number, self.steps, self.plan = season, number, steps, plan
        self.warmer_k = drawn(home.set_shift_k, self._chance(0, LIFE, 0))
        self.lively = drawn(home.activity, self._chance(0, LIFE, 1))
        self.busy, self.busy_daily = [0] * len(home.uses), [0] * len(case.daily)
        self.change_w, self.running_w = [0] * (2 * DAY_MIN), 0
        self.rooms = [self._room(at, step) for at, step in enumerate(steps.rooms)]
        self.water = self._cylinder(steps.water) if steps.water else None
        self.fuse = _Fuse(steps.ladder, array("f", [0.0] * len(steps.ladder.keep))) if steps.ladder else None
        self.cell = array("f", [0.0] * 4)

    def _chance(self, day: int, stream: int, count: int) -> int:
        return mixed(self.season.seed, self.number, day, stream, count)

    def _share(self, count: int) -> float:
        return (self._chance(0, LIFE, count) & ((1 << BITS) - 1)) / (1 << BITS)

    def _room(self, at: int, step: RoomStep) -> _Room:
        start_c = self.season.case.start_c
        if start_c is None:
            timer = self.steps.timers[step.timer]
            back_k = 0.0 if timer.is_warm(0, self._shift(0)) else timer.back_k
            start_c = step.low_c + (step.high_c - step.low_c) * self._share(10 + at) + single(self.warmer_k - back_k)
            outside_c = self.season.weather.hourly_c[0]
            return _Room(step, single(start_c), single(outside_c + (start_c - outside_c) * step.fabric_share))
        return _Room(step, single(start_c), single(start_c))

    def _cylinder(self, step: WaterStep) -> _Water:
        start_c = self.season.case.water_start_c
        return _Water(step, single(step.low_c + (step.high_c - step.low_c) * self._share(2) if start_c is None else start_c))

    def _shift(self, day: int) -> int:
        if self.season.case.all_alike:
            return 0
        return int(drawn(self.season.home.shift_min, self._chance(day, TODAY, 0)))

    def _starts(self, day: int) -> list[int]:
        """Puts the day's starts and stops into the changes of watts to come; returns the draws of water by minute."""
        wet, uses = [0] * DAY_MIN, self.season.home.uses
        for minute, what in events(self.plan, self.season, self.number, day, self.lively, self.busy):
            if what == len(uses):
                wet[minute] += 1
            else:
                self._runs(minute, uses[what].watts, uses[what].minutes)
        for at, daily in enumerate(self.season.case.daily):
            if self._chance(day, DAILY + at, 0) & ((1 << BITS) - 1) < round(daily.share_of_days * (1 << BITS)):
                minute = int(drawn(daily.start_min, self._chance(day, DAILY + at, 1)))
                minutes = int(drawn(daily.minutes, self._chance(day, DAILY + at, 2)))
                if self.busy_daily[at] <= minute:
                    self.busy_daily[at] = minute + minutes
                    self._runs(minute, daily.watts, minutes)
        return wet

    def _runs(self, minute: int, watts: int, minutes: int) -> None:
        self.change_w[minute] += watts
        self.change_w[minute + minutes] -= watts

    def day(self, day: int, tally: _Tally | None) -> None:
        season, steps, cell, shift_min = self.season, self.steps, self.cell, self._shift(day)
        wet, offsets = self._starts(day), list[float]()
        turns = {0}.union(*(timer.switches(shift_min) for timer in steps.timers))
        sun = season.case.sun
        clear = single(drawn(sun.clear, self._chance(day, TODAY, 1))) if sun else 0.0
        for minute in range(DAY_MIN):
            at = day * DAY_MIN + minute
            power = not any(a <= at < b for a, b in season.case.off)
            if minute in turns:
                offsets = [single(self.warmer_k - (0.0 if timer.is_warm(minute, shift_min) else timer.back_k))
                           for timer in steps.timers]
            outside_c = at_minute(season.weather.hourly_c, at)
            heat_w = 0
            for room in self.rooms:
                heat_w += room.minute(offsets[room.step.timer], outside_c, power, cell)
            water_w = self.water.minute(wet[minute], minute, power, cell) if self.water else 0
            self.running_w += self.change_w[minute]
            demand_w = heat_w + water_w + (self.running_w + season.home.base_w[minute // 60] if power else 0)
            if sun and power:
                cell[0] = sun.peak_w * sun.by_hour[minute // 60]
                cell[0] = cell[0] * clear
                demand_w -= int(cell[0])
            hot = self.fuse.minute(demand_w, cell) if self.fuse else 0.0
            if tally is not None:
                self._count(tally, day, minute, demand_w, heat_w, water_w, hot)
        self.change_w = self.change_w[DAY_MIN:] + [0] * DAY_MIN
        self.busy = [max(each - DAY_MIN, 0) for each in self.busy]
        self.busy_daily = [max(each - DAY_MIN, 0) for each in self.busy_daily]

    def _count(self, tally: _Tally, day: int, minute: int, demand_w: int, heat_w: int, water_w: int, hot: float) -> None:
        tally.minute(day, demand_w, self.steps.limit_w, hot)
        tally.heat_wmin += heat_w
        tally.water_wmin += water_w
        if (minute + self.number) % self.season.sampled_every == 0:
            tally.histogram[min(max(demand_w, 0) // BIN_W, BINS - 1)] += 1
