"""What starts when, compiled: a day's starts are drawn one winter after the other and told to their hours; at an hour's beginning
they become changes of watts and draws of water in its minutes, and what runs on beyond it is told to the hour in which it stops.

So only an hour of a block's watts is open at once, and stays in the machine's nearest memory; a day of them would not.
What is made of this file is kept on disk with `season_block`: it says by which text (`STARTS`), and a test holds them together.
"""
from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar, cast

import numba
import numpy as np

from spareway.season.draws import BITS, CUTS, LN2, OWN, SHARED, SLOPES
from spareway.season.home import DAY_MIN

__all__ = ["AHEAD", "LANES", "RING", "SHARES", "W", "compiled", "day_begins", "f4", "hour_begins", "i8", "u8"]

F = TypeVar("F", bound=Callable[..., Any])
f4, u8 = np.float32, np.uint64
i8: Any = np.int64
INNER: dict[str, Any] = {"nogil": True, "error_model": "numpy", "no_cpython_wrapper": True, "no_cfunc_wrapper": True}
LANES = 128
W = u8(LANES)                                   # unsigned, for then numba looks for no index from the end
HOUR = u8(60 * LANES)                           # places of an hour; one more follows, which nothing reads
CUTS_, SLOPES_ = np.array(CUTS), np.array(SLOPES) * 2.0 ** -44        # a slope is multiplied by 44 bits
SHARES = 256                                    # cells of the table that says at which hour to begin looking
AHEAD = 64                                      # numbers drawn at once, at the most
RING = 48                                       # hours to which it is told what comes and goes
WATTS, MINUTES, BUSY, DRAW, OF_USE = (u8(k) for k in range(5))         # of each use, in one flat array


def compiled(function: F) -> F:
    """Within `block` only: without the wrappers of one that Python calls, which cost as long to make as the function."""
    return cast(F, numba.njit(**INNER)(function))


@compiled
def _mixed(seed: int, winter: int, day: int, stream: int, count: int) -> Any:
    z = (u8(seed) * u8(0x9E3779B97F4A7C15) + u8(winter) * u8(0xBF58476D1CE4E5B9) + u8(day) * u8(0x94D049BB133111EB)
         + ((u8(stream) << u8(32)) + u8(count)) * u8(0xD6E8FEB86659FD93))
    z = (z ^ (z >> u8(30))) * u8(0xBF58476D1CE4E5B9)
    z = (z ^ (z >> u8(27))) * u8(0x94D049BB133111EB)
    return z ^ (z >> u8(31))


@compiled
def _waited(z: Any) -> Any:
    """As `draws.waited`: the number's own bits say how often it was halved and in which cell it lies."""
    bits = np.float64(float(z >> u8(BITS)) * 2.0 + 1.0).view(u8)
    cell, rest = i8((bits >> u8(44)) & u8(255)), bits & u8((1 << 44) - 1)
    return (CUTS_[cell] + (float(rest) * SLOPES_[cell])) + float(41 + 1022 - i8(bits >> u8(52))) * LN2


@compiled
def _drawn(seed: int, winter: int, day: int, count: int, n: int, per_wait: float, words: Any, waits: Any) -> None:
    """The next n of what people ask for: bits to choose by, and the wait before. No number waits for another."""
    for k in range(n):
        z = _mixed(seed, winter, day, SHARED, count + k)
        words[u8(k)] = z
        waits[u8(k)] = _waited(z) * per_wait


@compiled
def _chosen(n: int, share: float, lane: int, words: Any, waits: Any, marks: Any, pairs: Any, places: Any,
            guide: Any) -> tuple[int, float]:
    """What is asked for and when, in place of the words: minute of the day; use; minute of the hour and lane, in one number.

    Gives how many there are before the day ends, and the share of its asking that is reached."""
    for k in range(n):
        share += waits[u8(k)]
        if share >= 1.0:
            return k, share
        at = u8(guide[u8(i8(share * SHARES))])
        at += u8(2) if marks[at + u8(2)] <= share else u8(0)           # all but always enough; the next line costs nothing then
        while marks[at + u8(2)] <= share:
            at += u8(2)
        minute = min(i8((share - marks[at]) * marks[at + u8(1)]), 59)
        scaled = (words[u8(k)] & u8((1 << BITS) - 1)) * places
        pair = pairs[(at >> u8(1)) * places + (scaled >> u8(BITS))]
        use = (pair >> 32) & 0xFFFF if i8(scaled & u8((1 << BITS) - 1)) < (pair & 0xFFFFFFFF) else pair >> 48
        words[u8(k)] = u8((30 * i8(at) + minute) << 40 | use << 13 | minute * LANES | lane)
    return n, share


@compiled
def _begun(n: int, lane: int, words: Any, uses: Any, busy: Any, starts: Any, n_starts: Any) -> None:
    """What is asked for and does not run is told to its hour. Masks and no branch: it cannot be foreseen."""
    for k in range(n):
        each = i8(words[u8(k)])
        minute, use = each >> 40, u8((each >> 13) & 0xFFFF)
        was = i8(busy[u8(lane), use])
        idle = (was - minute - 1) >> 63                                 # all ones, or nothing
        busy[u8(lane), use] = was + ((minute + uses[use * OF_USE + BUSY] - was) & idle)
        hour = u8(minute) // u8(60)
        at = n_starts[hour]
        starts[hour, u8(at & (starts.shape[1] - 1))] = each & 0xFFFFFFFF
        n_starts[hour] = at - idle


@compiled
def _by_people(seed: int, first: int, day: int, asked: float, lively: Any, marks: Any, pairs: Any, guide: Any, uses: Any,
               busy: Any, starts: Any, n_starts: Any, words: Any, waits: Any) -> None:
    """A day's starts asked for by people. In three turns, for the machine looks ahead only so far: draw, choose, start."""
    places = u8(pairs.shape[0]) // u8(24)
    for lane in range(LANES):
        share, count, each = 0.0, 0, asked * lively[lane]
        while share < 1.0:
            more = min(i8((1.0 - share) * each) + 6, AHEAD)
            _drawn(seed, first + lane, day, count, more, 1.0 / each, words, waits)
            count += more
            n, share = _chosen(more, share, lane, words, waits, marks, pairs, places, guide)
            _begun(n, lane, words, uses, busy, starts, n_starts)


@compiled
def _by_itself(seed: int, winter: int, day: int, lane: int, n: int, asked: float, ends: Any, per: Any, use_of: Any, uses: Any,
               busy: Any, starts: Any, n_starts: Any) -> None:
    """A day's starts of the use with stream n, which goes by itself: it waits only while it is idle."""
    use, share, count, per_wait = use_of[n], 0.0, 0, 1.0 / asked
    free = int(busy[lane, use])
    while free < DAY_MIN:
        hour = free // 60
        share = max(share, ends[n, hour] + (ends[n, hour + 1] - ends[n, hour]) * (float(free - 60 * hour) / 60.0))
        share += _waited(_mixed(seed, winter, day, OWN + n - 1, count)) * per_wait
        count += 1
        if share >= 1.0:
            break
        while ends[n, hour + 1] <= share:
            hour += 1
        minute = min(int((share - ends[n, hour]) * per[n, hour]), 59)
        starts[hour, n_starts[hour] & (starts.shape[1] - 1)] = use << 13 | minute * LANES + lane
        n_starts[hour] += 1
        free = 60 * hour + minute + uses[use * i8(OF_USE) + i8(BUSY)]
    busy[lane, use] = free


@compiled
def _move(minute: Any, lane: int, watts: Any, base: int, moves: Any, n_moves: Any) -> None:
    """Watts that come or go in a minute from the day's first on, told to their hour of the two days."""
    hour = u8(minute) // u8(60)
    row, hour = u8(minute) - u8(60) * hour, hour + u8(base)
    hour = hour - u8(RING) if hour >= u8(RING) else hour
    moves[hour, u8(n_moves[hour])] = watts << 16 | i8(row) * LANES + lane
    n_moves[hour] += 1


@compiled
def _once_a_day(day: int, daily: Any, free: Any, base: int, moves: Any, n_moves: Any) -> None:
    """What starts in one day of one winter and is not running; daily: (thing, watts or when or how long, day, winter)."""
    for n in range(daily.shape[0]):
        for lane in range(LANES):
            watts, at, minutes = i8(daily[n, 0, day, lane]), i8(daily[n, 1, day, lane]), i8(daily[n, 2, day, lane])
            if watts > 0 and free[n, lane] <= day * DAY_MIN + at:
                free[n, lane] = day * DAY_MIN + at + minutes
                _move(at, lane, watts, base, moves, n_moves)
                _move(at + minutes, lane, -watts, base, moves, n_moves)


@compiled
def day_begins(seed: int, first: int, day: int, asked: Any, lively: Any, ends: Any, per: Any, use_of: Any, marks: Any, pairs: Any,
               guide: Any, uses: Any, busy: Any, daily: Any, free: Any, starts: Any, n_starts: Any, moves: Any, n_moves: Any,
               words: Any, waits: Any) -> None:
    """All that starts in a day is told to its hour. asked, ends, per, use_of: of people first, then of each use by itself."""
    if asked[0] > 0.0:
        _by_people(seed, first, day, asked[0], lively, marks, pairs, guide, uses, busy, starts, n_starts, words, waits)
    for n in range(1, asked.shape[0]):
        for lane in range(LANES):
            _by_itself(seed, first + lane, day, lane, n, asked[n], ends, per, use_of, uses, busy, starts, n_starts)
    for lane in range(LANES):
        for use in range(busy.shape[1]):
            busy[lane, use] = max(busy[lane, use] - DAY_MIN, 0)
    _once_a_day(day, daily, free, (day & 1) * 24, moves, n_moves)


@compiled
def hour_begins(day: int, hour: int, K: Any, wet: Any, uses: Any, starts: Any, n_starts: Any, moves: Any, n_moves: Any) -> bool:
    """What comes and goes in each minute of an hour, in K, and its draws of water. False: more starts than there is room for."""
    for i in range(HOUR):
        K[i] = 0.0
    for i in range(HOUR):
        wet[i] = 0
    now, room = u8((day & 1) * 24 + hour), starts.shape[1]
    for n in range(n_moves[now]):
        each = moves[now, u8(n)]
        K[u8(each & 0xFFFF)] += f4(each >> 16)
    n_moves[now] = 0
    count = n_starts[hour]
    n_starts[hour] = 0
    for n in range(min(count, room)):
        each = starts[u8(hour), u8(n)]
        row, at = u8(each & 0x1FFF), u8(each >> 13) * OF_USE
        watts, stop = uses[at + WATTS], row + u8(uses[at + MINUTES]) * W
        wet[row] += uses[at + DRAW]
        K[row] += f4(watts)
        K[min(stop, HOUR)] -= f4(watts)
        later = stop // HOUR
        then = now + later
        then = then - u8(RING) if then >= u8(RING) else then
        to = n_moves[then]
        moves[then, u8(to)] = -watts << 16 | i8(stop - later * HOUR)    # within the hour: not counted, so written over
        n_moves[then] = to + (1 if later > u8(0) else 0)
    return bool(count <= room)
