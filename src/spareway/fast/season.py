"""Seasons compiled: as many winters as wanted, in any order, by any number of workers, with equal bytes.

`spareway.season` says what a season is; `season_block` lives its winters side by side. Here a season becomes arrays, and blocks
of winters become `Winters`.
"""
from __future__ import annotations

import math
from array import array
from collections.abc import Iterator
from concurrent.futures import FIRST_COMPLETED, ThreadPoolExecutor, wait
from itertools import accumulate, pairwise

import numpy as np
from numpy.typing import NDArray

from spareway.fast.season_block import COLUMNS, OF_ROOM, ROWS, WT, WTH, block
from spareway.fast.season_starts import AHEAD, LANES, RING, SHARES
from spareway.season.draws import BITS, DAILY, LIFE, TODAY, WORD, Stream, edges, planned
from spareway.season.home import DAY_MIN, SLOW_SHARES, Hours, Season, Spread
from spareway.season.steps import RoomStep, Steps, WaterStep, stepped
from spareway.season.sums import BINS, Winters, joined

__all__ = ["LANES", "minutes", "parts", "winters"]

Words = NDArray[np.uint64]
Minutes = NDArray[np.int32]


class Ready:
    """A season in arrays: made once, read by every block.

    rooms    (room, constant): keep, lift, watts; of the fabric keep; what air and fabric take of each other; its lift
    levels   (K warmer or not, room, which): °C of air at which it closes and opens when set back, and when warm
    kinds    (room, number): timer, least minutes on, whether it has two stores
    outside  (room, store, minute): K that a minute brings from outside and from gains
    hours    (timer, spell, from and to); a spell of nothing is 0 to 0.
    uses     (use, number), all in one row: watts, minutes, minutes it is busy, 1 for draws of water, which come last
    asked, ends, per, use_of   (stream), (stream, hour's edge), (stream, hour), (stream): of people, then of each use by itself
    marks    of people, for each hour: its edge, and minutes to a share of the day's asking. guide: where in it to look first
    pairs    of people, (hour, place) in one row: up to where the first is meant, the first use, the other
    room     starts of a block there is room for in an hour; more is made where it was too little"""

    def __init__(self, season: Season) -> None:
        self.season, self.days = season, season.weather.days
        self.steps, plan = stepped(season), planned(season)
        steps, home, sun, uses = self.steps, season.home, season.case.sun, season.home.uses
        self.rooms = np.array([_room(step) for step in steps.rooms], np.float32).reshape(-1, 7)
        self.kinds = _whole([(step.timer, step.least_on_min, step.two) for step in steps.rooms], 3)
        self.outside = _outside(season, steps)
        spells = max((len(timer.warm) for timer in steps.timers), default=0)
        hours = [_hours(timer.warm, spells) for timer in steps.timers]
        self.hours = np.array(hours, np.int64).reshape(len(hours), spells, 2)
        self.levels = _levels(season, steps)
        self.off = _whole(season.case.off, 2)
        self.may_heat = _whole(steps.water.may_heat if steps.water else (), 2)
        self.water = np.array(_water(steps.water) if steps.water else (), np.float32)
        self.base_w = np.array(home.base_w, np.float32)
        self.sun_w = np.array([sun.peak_w * each for each in sun.by_hour] if sun else [0.0] * 24, np.float32)
        self.ladder, self.exact_min = _ladder(steps), _exact_min(season)
        streams = [plan.shared or Stream(0.0, (0.0,) * 25, (0.0,) * 24, (), ((),) * 24), *plan.own]
        people = streams[0]
        of_uses = [(u.watts, u.minutes, busy, 0) for u, busy in zip(uses, plan.busy_min, strict=True)]
        self.uses = np.array([*of_uses, (0, 0, 0, 1)], np.int64).ravel()
        self.asked, self.ends = np.array([each.asked for each in streams]), np.array([each.ends for each in streams])
        self.per = np.array([each.per for each in streams])
        self.use_of = np.array([each.what[0] if each.what else 0 for each in streams], np.int64)
        self.marks = np.array([*zip(people.ends, (*people.per, 0.0), strict=True)]).ravel()
        self.pairs = np.array([upto | people.what[at] << 32 | people.what[other] << 48
                               for picks in people.picks for at, (upto, other) in enumerate(picks)], np.int64)
        self.guide = 2 * np.searchsorted(self.ends[0, 1:-1], np.arange(SHARES) / SHARES, side="right").astype(np.int64)
        self.room = _room_for(streams, max(lively for lively, _ in home.activity))

    def block(self, first: int, lanes: int, days: int, keep: int = 0) -> tuple[Winters, Minutes]:
        """Winters from `first` on, `lanes` of them counted, and the minutes of the first `keep`."""
        room = self.room
        while (lived := self._lived(first, lanes, days, keep, room)) is None:
            room *= 2
        self.room = max(self.room, room)
        return lived

    def _lived(self, first: int, lanes: int, days: int, keep: int, room: int) -> tuple[Winters, Minutes] | None:
        season, things, uses = self.season, len(self.season.case.daily), len(self.uses) // 4
        drawn = _Drawn(season, self.steps, first, days)
        warmth = drawn.rooms(self.levels).ravel()
        state, rooms, watts, wet = _lined(ROWS * LANES, len(warmth), 60 * LANES + 1, 15 * LANES)
        rooms[:] = warmth
        drawn.cylinder(state)
        starts, n_starts = np.empty((24, room), np.int32), np.zeros(24, np.int64)
        # in an hour: the stop of a use that began before; a daily thing's start and stops of two days; one that is written over
        moves, n_moves = np.empty((RING, (uses + 3 * things) * LANES + 1), np.int32), np.zeros(RING, np.int64)
        busy, free = np.zeros((LANES, uses), np.int32), np.zeros((things, LANES), np.int32)
        out, hottest = np.zeros((COLUMNS, LANES), np.int64), np.zeros(LANES, np.float32)
        histogram = np.zeros(BINS, np.int64)
        minutes_w = np.zeros(((days - season.settle_days) * DAY_MIN if keep else 0, keep), np.int32)
        if not block(season.seed, first, lanes, season.settle_days, state, rooms, watts, wet.view(np.int8), starts,
                     n_starts, moves, n_moves, np.zeros(AHEAD, np.uint64), np.zeros(AHEAD), busy, free, self.rooms, self.kinds,
                     self.outside, self.hours, drawn.later.astype(np.float32), drawn.lively,
                     drawn.turns(), self.off, self.water, self.may_heat, self.base_w, self.sun_w, drawn.clear, self.ladder,
                     np.float32(self.steps.limit_w), self.asked, self.ends, self.per, self.use_of, self.marks, self.pairs,
                     self.guide, self.uses, drawn.daily(), season.sampled_every, self.exact_min, out, hottest, histogram,
                     minutes_w):
            return None
        top, top_day, over, longest, taken, given, heat, water, hot_day = (array("q", row[:lanes].tobytes()) for row in out)
        number = array("q", range(first, first + lanes))
        return Winters(number, top, top_day, over, longest, taken, given, heat, water, array("f", hottest[:lanes].tobytes()),
                       hot_day, array("q", histogram.tobytes())), minutes_w


class _Drawn:
    """What chance decides once a winter or once a day, for a block of winters: (day, winter) arrays."""

    def __init__(self, season: Season, steps: Steps, first: int, days: int) -> None:
        self.season, self.steps = season, steps
        self.winters, self.days = np.arange(first, first + LANES, dtype=np.uint64), np.arange(days, dtype=np.uint64)[:, None]
        home, sun = season.home, season.case.sun
        self.shift, self.lively = _place(home.set_shift_k, self._once(0)), _value(home.activity, self._once(1))
        shift_min = ((0.0, 1.0),) if season.case.all_alike else home.shift_min
        self.later = np.trunc(_value(shift_min, self._daily(TODAY, 0))).astype(np.int64)
        clear = _value(sun.clear, self._daily(TODAY, 1)) if sun else np.ones((days, LANES))
        self.clear = clear.astype(np.float32)

    def _once(self, count: int) -> Words:
        return _mixed(self.season.seed, self.winters, np.uint64(0), LIFE, count)

    def _daily(self, stream: int, count: int) -> Words:
        return _mixed(self.season.seed, self.winters, self.days, stream, count)

    def rooms(self, levels: NDArray[np.float32]) -> NDArray[np.float32]:
        """(room, what, winter), as `season_block` names it; no thermostat is on at first."""
        season, steps = self.season, self.steps
        out = np.zeros((len(steps.rooms), OF_ROOM, LANES), np.float32)
        out[:, 5], out[:, 6:] = 1.0, levels[self.shift].transpose(1, 2, 0)
        start_c, outside_c = season.case.start_c, season.weather.hourly_c[0]
        if start_c is not None:
            out[:, 0], out[:, 2] = start_c, start_c
            return out
        warmer_k = np.array([value for value, _ in season.home.set_shift_k], np.float64)[self.shift]
        later = self.later[0].tolist()
        offsets = []
        for timer in steps.timers:
            back_k = {each: 0.0 if timer.is_warm(0, each) else timer.back_k for each in {*later}}
            offsets.append((warmer_k - np.array([back_k[each] for each in later])).astype(np.float32))
        for at, (step, row) in enumerate(zip(steps.rooms, out, strict=True)):
            air_c = step.low_c + (step.high_c - step.low_c) * _share(self._once(10 + at)) + offsets[step.timer]
            row[0], row[2] = air_c, outside_c + (air_c - outside_c) * step.fabric_share
        return out

    def cylinder(self, state: NDArray[np.float32]) -> None:
        step, start_c = self.steps.water, self.season.case.water_start_c
        if step is not None:
            by_chance = step.low_c + (step.high_c - step.low_c) * _share(self._once(2))
            wt, wth = int(WT), int(WTH)
            state[wt:wt + LANES], state[wth:wth + LANES] = by_chance if start_c is None else start_c, step.low_c

    def turns(self) -> NDArray[np.int8]:
        """(day, minute): where a chunk ends. 1: an hour, power or the cylinder's timer; 2: a room's timer in any winter."""
        out = np.zeros((len(self.days), DAY_MIN + 1), np.int8)
        out[:, ::60] = 1
        for edge in (edge for spell in (self.steps.water.may_heat if self.steps.water else ()) for edge in spell):
            out[:, edge] = 1
        for edge in (edge for spell in self.season.case.off for edge in spell if edge < len(self.days) * DAY_MIN):
            out[edge // DAY_MIN, edge % DAY_MIN] = 1
        out[:, 0] = 2
        edges = [edge for timer in self.steps.timers for spell in timer.warm for edge in spell if 0 < edge < DAY_MIN]
        for later in {0, *(int(shift_min) for shift_min, _ in self.season.home.shift_min)} if edges else ():
            turned = np.flatnonzero((self.later == later).any(axis=1))
            for edge in edges:
                if 0 < later + edge < DAY_MIN:
                    out[turned, later + edge] = 2
        return out

    def daily(self) -> NDArray[np.int32]:
        """(thing, what, day, winter): its watts or 0, when it starts, how long it runs."""
        things = self.season.case.daily
        out = np.zeros((len(things), 3, len(self.days), LANES), np.int32)
        for at, (each, row) in enumerate(zip(things, out, strict=True)):
            starts = _low(self._daily(DAILY + at, 0)) < round(each.share_of_days * (1 << BITS))
            row[0] = np.where(starts, each.watts, 0)
            row[1] = np.trunc(_value(each.start_min, self._daily(DAILY + at, 1)))
            row[2] = np.trunc(_value(each.minutes, self._daily(DAILY + at, 2)))
        return out


def _mixed(seed: int, winter: Words, day: Words | np.uint64, stream: int, count: int) -> Words:
    """As `draws.mixed`, for many at once; 64 bits go round."""
    fixed = (seed * 0x9E3779B97F4A7C15 + ((stream << 32) + count) * 0xD6E8FEB86659FD93) & WORD
    with np.errstate(over="ignore"):
        z = np.uint64(fixed) + winter * np.uint64(0xBF58476D1CE4E5B9) + day * np.uint64(0x94D049BB133111EB)
        z = (z ^ (z >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
        z = (z ^ (z >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
        return np.asarray(z ^ (z >> np.uint64(31)))


def _low(z: Words) -> NDArray[np.int64]:
    return (z & np.uint64((1 << BITS) - 1)).astype(np.int64)


def _share(z: Words) -> NDArray[np.float64]:
    return _low(z) / (1 << BITS)


def _place(spread: Spread, z: Words) -> NDArray[np.int64]:
    """Which value of a spread, for each."""
    at, place = _low(z), np.zeros(z.shape, np.int64)
    for edge in edges([share for _, share in spread])[:-1]:
        place += at >= edge
    return place


def _value(spread: Spread, z: Words) -> NDArray[np.float64]:
    """A value of a spread for each."""
    return np.array([value for value, _ in spread], np.float64)[_place(spread, z)]


def parts(season: Season, first: int, count: int, workers: int = 1) -> Iterator[Winters]:
    """Winters from `first` on, `count` of them, a block at a time as they are done: `joined` puts them together in any order.

    Whoever stops asking waits for no more than the blocks that were begun. Errors: ValueError for a count or workers below 1."""
    if count < 1 or workers < 1 or first < 0:
        raise ValueError("one winter and one worker at least, numbered from 0")
    ready, blocks = Ready(season), iter(range(first, first + count, LANES))
    with ThreadPoolExecutor(workers) as pool:
        going = {pool.submit(ready.block, at, min(LANES, first + count - at), ready.days)
                 for _, at in zip(range(2 * workers), blocks, strict=False)}
        try:
            while going:
                done, going = wait(going, return_when=FIRST_COMPLETED)
                for _, at in zip(done, blocks, strict=False):
                    going.add(pool.submit(ready.block, at, min(LANES, first + count - at), ready.days))
                for each in done:
                    yield each.result()[0]
        finally:
            pool.shutdown(wait=True, cancel_futures=True)


def winters(season: Season, first: int, count: int, workers: int = 1) -> Winters:
    """The same, all together."""
    return joined(parts(season, first, count, workers))


def minutes(season: Season, first: int, count: int = 1, days: int | None = None) -> Minutes:
    """The demand of each counted minute in W (minute, winter), drawn again from the seed: `days` counted days or all.

    Errors: ValueError for more winters than a block holds."""
    if not 1 <= count <= LANES:
        raise ValueError(f"1 to {LANES} winters")
    return Ready(season).block(first, count, season.settle_days + (season.days if days is None else days), count)[1]


def _room_for(streams: list[Stream], most_lively: float) -> int:
    """A power of 2: twice the starts asked for in the busiest hour of the liveliest winters, and some."""
    rates = [[each.asked * most_lively * (b - a) for a, b in pairwise(each.ends)] for each in streams]
    return 1 << int(2 * LANES * math.fsum(max(rate) for rate in rates) + LANES).bit_length()


def _lined(*sizes: int) -> list[NDArray[np.float32]]:
    """Arrays of nothing, each from the edge of a line of memory (64 bytes) on: a vector across two costs two reads."""
    starts = [*accumulate((-(-size // 16) * 16 for size in sizes), initial=0)]
    whole = np.zeros(starts[-1] + 16, np.float32)
    edge = -whole.ctypes.data // whole.itemsize % 16
    return [whole[edge + start:edge + start + size] for start, size in zip(starts, sizes, strict=False)]


def _whole(rows: object, columns: int) -> NDArray[np.int64]:
    return np.array(rows, np.int64).reshape(-1, columns)


def _hours(hours: Hours, spells: int) -> list[list[int]]:
    return [[a, b] for a, b in hours] + [[0, 0]] * (spells - len(hours))


def _room(step: RoomStep) -> list[float]:
    return [step.keep[0], step.lift[0], step.heater_w, step.keep[1], *step.cross, step.lift[1]]


def _water(step: WaterStep) -> list[float]:
    return [step.low_c, step.high_c, step.keep, step.lift, step.heater_w, step.less, step.around, step.more, step.most]


def _ladder(steps: Steps) -> NDArray[np.float32]:
    if steps.ladder is None:
        return np.zeros((0, SLOW_SHARES), np.float32)
    out = np.zeros((3, SLOW_SHARES), np.float32)
    out[0, :2] = steps.ladder.scale, steps.ladder.at_once
    out[1, :len(steps.ladder.keep)], out[2, :len(steps.ladder.take)] = steps.ladder.keep, steps.ladder.take
    return out


def _exact_min(season: Season) -> int:
    """Minutes, whole hours that part a day evenly, in which a single counts every watt-minute there may be."""
    home, most_w = season.home, [season.case.sun.peak_w if season.case.sun else 0, max(season.home.base_w)]
    most_w += [room.heater_w for room in home.rooms] + [use.watts for use in home.uses]
    most_w += [each.watts for each in season.case.daily]
    whole_w = math.fsum(most_w) + (home.water.heater_w if home.water else 0)
    return 60 * max(hours for hours in (1, 2, 3, 4, 6, 8, 12, 24) if hours == 1 or hours * 60 * whole_w < 1 << 24)


def _levels(season: Season, steps: Steps) -> NDArray[np.float32]:
    """Temperatures at which a thermostat turns, found once: a winter's minute compares and subtracts nothing.

    Errors: ValueError naming a room whose thermostat would open where it closes."""
    shifts_k = np.array([value for value, _ in season.home.set_shift_k], np.float64)
    out = np.zeros((len(shifts_k), len(steps.rooms), 4), np.float32)
    for at, (room, step) in enumerate(zip(season.home.rooms, steps.rooms, strict=True)):
        for which, back_k in enumerate((steps.timers[step.timer].back_k, 0.0)):
            offset_k = (shifts_k - back_k).astype(np.float32)
            for k, turn_c in enumerate((step.low_c, step.high_c)):
                out[:, at, 2 * which + k] = _least(offset_k, np.float32(turn_c))
        if not (out[:, at, 0::2] < out[:, at, 1::2]).all():
            raise ValueError(f"{room.name}: a dead band too narrow to be counted in single precision")
    return out


def _least(offset_k: NDArray[np.float32], turn_c: np.float32) -> NDArray[np.float32]:
    """The lowest temperatures that, less the offset and rounded, are not below turn_c; by halving all singles in their order."""
    def single(order: NDArray[np.int64]) -> NDArray[np.float32]:
        return np.where(order >= 0, order, (1 << 31) - order).astype(np.uint32).view(np.float32)
    low, high = np.full(offset_k.shape, -0x7F7FFFFF), np.full(offset_k.shape, 0x7F7FFFFF)
    while (high - low > 1).any():
        middle = (low + high) // 2
        enough = single(middle) - offset_k >= turn_c
        low, high = np.where(enough, low, middle), np.where(enough, middle, high)
    return single(high)


def _outside(season: Season, steps: Steps) -> NDArray[np.float32]:
    """As `at_minute` and `minute` have it: each sum and product in double precision, rounded once at the end."""
    hour, part = np.divmod(np.arange(season.weather.days * DAY_MIN), 60)
    hourly_c = np.array(season.weather.hourly_c)
    outside_c = hourly_c[hour] + (hourly_c[hour + 1] - hourly_c[hour]) * (part / 60.0)
    out = np.zeros((len(steps.rooms), 2, len(outside_c)), np.float32)
    for row, step in zip(out, steps.rooms, strict=True):
        for store in range(2):
            row[store] = step.outside[store] * outside_c + step.gained[store]
    return out
