"""Winters side by side, compiled: `spareway.season.minute`, equal in every minute.

A block lives LANES winters at once. Within an hour, and between two minutes at which anything turns, one room after the other is
taken through the minutes: four at a time, so that a temperature is read and written once for four. All stands in flat arrays in
rows of one constant length and nothing branches within a loop over winters, so that the compiler sees that no row touches another
and makes vectors of it; sums and products stay apart as they are written (no contraction), since they are the definition.
"""
from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, TypeVar, cast

import numba
import numpy as np

from spareway.season.draws import BITS, CUTS, LN2, OWN, SHARED, SLOPES
from spareway.season.home import DAY_MIN, SLOW_SHARES
from spareway.season.sums import BIN_W, BINS

__all__ = ["COLUMNS", "LANES", "RING", "ROWS", "SHARES", "WT", "WTH", "block"]

F = TypeVar("F", bound=Callable[..., Any])
Single = Any                                    # of numpy, float32; arrays too are Any: numba finds their types
LANES = 128
f4, i8, u8 = np.float32, np.int64, np.uint64
NONE, ONE, ALWAYS = f4(0), f4(1), f4(1e6)
INNER: dict[str, Any] = {"nogil": True, "error_model": "numpy", "no_cpython_wrapper": True, "no_cfunc_wrapper": True}
CUTS_, SLOPES_, REST = np.array(CUTS), np.array(SLOPES), 2.0 ** -44
SHARES = 256                                    # cells of the table that says at which hour to begin looking
RING = 2 * DAY_MIN
# places in the flat array of a block, in units of LANES; unsigned, for then numba looks for no index from the end
W = u8(LANES)
(T, TH, OFF, TF, LEFT, PW, WT, WTH, CLEAR, LATER, TOPD, TAKEN, GIVEN, HEAT, WATER, OVER, RUN, LONG, HOTD,
 POLE) = (u8(LANES * k) for k in range(20))
POLE1, POLE2, POLE3 = (u8(LANES * k) for k in range(20, 23))
ROW1, ROW2, ROW3 = W, u8(2 * LANES), u8(3 * LANES)
ROWS = 19 + SLOW_SHARES
# columns of what is kept, whole numbers
TOP, TOP_DAY, C_OVER, C_LONG, C_TAKEN, C_GIVEN, C_HEAT, C_WATER, HOT_DAY, COLUMNS = range(10)


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
    return (CUTS_[cell] + (float(rest) * REST) * SLOPES_[cell]) + float(41 + 1022 - i8(bits >> u8(52))) * LN2


@compiled
def _low(z: Any) -> Any:
    return i8(z & u8((1 << BITS) - 1))


@compiled
def _runs(minute: int, lane: int, watts: int, minutes: int, change: Any, base: int) -> None:
    """Watts that come and go; `change` holds those of two days, round and round."""
    end = base + minute + minutes
    change[u8((base + minute) * LANES + lane)] += watts
    change[u8((end - RING if end >= RING else end) * LANES + lane)] -= watts


@compiled
def _shared_starts(seed: int, winter: int, day: int, lane: int, asked: float, ends: Any, per: Any, what: Any, picks: Any,
                   guide: Any, uses: Any, busy: Any, change: Any, wet: Any, base: int) -> None:
    """A day's starts asked for by people, in one winter. uses: (watts, minutes, busy minutes), last the cylinder of no watts."""
    share, count, cylinder, places = 0.0, 0, uses.shape[0] - 1, u8(picks.shape[1])
    per_wait = 1.0 / asked
    while True:
        z = _mixed(seed, winter, day, SHARED, count)
        count += 1
        share += _waited(z) * per_wait
        if share >= 1.0:
            break
        hour = guide[int(share * SHARES)]
        while ends[0, hour + 1] <= share:
            hour += 1
        minute = 60 * hour + min(int((share - ends[0, hour]) * per[0, hour]), 59)
        scaled = (z & u8((1 << BITS) - 1)) * places
        place = i8(scaled >> u8(BITS))
        use = what[0, place if _low(scaled) < picks[hour, place, 0] else picks[hour, place, 1]]
        free = busy[lane, use] <= minute                # no branch: which use it is and whether it runs cannot be foreseen
        busy[lane, use] = minute + uses[use, 2] if free else busy[lane, use]
        wet[u8(minute * LANES + lane)] += 1 if use == cylinder else 0
        _runs(minute, lane, uses[use, 0] if free else 0, uses[use, 1], change, base)


@compiled
def _own_starts(seed: int, winter: int, day: int, lane: int, n: int, asked: float, ends: Any, per: Any, what: Any, uses: Any,
                busy: Any, change: Any, base: int) -> None:
    """A day's starts of the use with stream n, which goes by itself: it waits only while it is idle."""
    use, share, count, per_wait = what[n, 0], 0.0, 0, 1.0 / asked
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
        minute = 60 * hour + min(int((share - ends[n, hour]) * per[n, hour]), 59)
        free = minute + uses[use, 2]
        _runs(minute, lane, uses[use, 0], uses[use, 1], change, base)
    busy[lane, use] = free


@compiled
def _turn(t: Single, th: Single, off: Single, low: Single, high: Single, keep: Single, c: Single, c_on: Single,
          watts: Single) -> tuple[Single, Single, Single]:
    """A minute of a room with one store: its temperature, where its thermostat turns next, its watts."""
    on = (t - off) < th
    return keep * t + (c_on if on else c), (high if on else low), (watts if on else NONE)


@compiled
def _room(R: Any, room: Any, offs: Any, timer: Any, K: Any, C: Any, at: int, n: int, p: Any, power: Single) -> None:
    """One store, through n minutes; K gathers watts, C holds what comes from outside and from gains."""
    low, high, keep, lift, watts = p[0], p[1], p[2], p[3] * power, p[4] * power
    for four in range(n // 4):
        m, row = at + 4 * four, u8(4 * four) * W
        c0, c1, c2, c3 = C[m], C[m + 1], C[m + 2], C[m + 3]
        d0, d1, d2, d3 = c0 + lift, c1 + lift, c2 + lift, c3 + lift
        for i in range(W):
            t, th, off = R[room + i], R[room + ROW1 + i], offs[timer + i]
            t, th, w0 = _turn(t, th, off, low, high, keep, c0, d0, watts)
            t, th, w1 = _turn(t, th, off, low, high, keep, c1, d1, watts)
            t, th, w2 = _turn(t, th, off, low, high, keep, c2, d2, watts)
            t, th, w3 = _turn(t, th, off, low, high, keep, c3, d3, watts)
            K[row + i] += w0
            K[row + ROW1 + i] += w1
            K[row + ROW2 + i] += w2
            K[row + ROW3 + i] += w3
            R[room + i], R[room + ROW1 + i] = t, th
    for left in range(n - n % 4, n):
        c0, row = C[at + left], u8(left) * W
        for i in range(W):
            t, th, w0 = _turn(R[room + i], R[room + ROW1 + i], offs[timer + i], low, high, keep, c0, c0 + lift, watts)
            R[room + i], R[room + ROW1 + i] = t, th
            K[row + i] += w0


@compiled
def _turn_of_two(t: Single, f: Single, th: Single, left: Single, off: Single, p: Any, c: Single, cf: Single,
                 stays: Single) -> tuple[Single, Single, Single, Single, Single]:
    """The same of a room with two stores, or with a heater that stays on for a while, or with both."""
    low, high, keep, lift, watts, keep_f, cross, cross_f, lift_f = p
    on = ((t - off) < th) | (left > NONE)
    left = stays if on & (th != high) else max(left - ONE, NONE)
    return ((keep * t + cross * f) + (c + lift if on else c), (keep_f * f + cross_f * t) + (cf + lift_f if on else cf),
            (high if on else low), left, (watts if on else NONE))


@compiled
def _room_of_two(R: Any, room: Any, offs: Any, timer: Any, K: Any, C: Any, CF: Any, at: int, n: int, p: Any, least: Single,
                 power: Single) -> None:
    """As `_room`, two minutes at a time; what more a room of two holds would not stay in the machine's registers for four."""
    q = (p[0], p[1], p[2], p[3] * power, p[4] * power, p[5], p[6], p[7], p[8] * power)
    stays = least - ONE
    for two in range(n // 2):
        m, row = at + 2 * two, u8(2 * two) * W
        c0, c1, cf0, cf1 = C[m], C[m + 1], CF[m], CF[m + 1]
        for i in range(W):
            t, th, f, left, off = R[room + i], R[room + ROW1 + i], R[room + ROW2 + i], R[room + ROW3 + i], offs[timer + i]
            t, f, th, left, w0 = _turn_of_two(t, f, th, left, off, q, c0, cf0, stays)
            t, f, th, left, w1 = _turn_of_two(t, f, th, left, off, q, c1, cf1, stays)
            K[row + i] += w0
            K[row + ROW1 + i] += w1
            R[room + i], R[room + ROW1 + i], R[room + ROW2 + i], R[room + ROW3 + i] = t, th, f, left
    if n % 2:
        m, row = at + n - 1, u8(n - 1) * W
        for i in range(W):
            t, th, f, left, off = R[room + i], R[room + ROW1 + i], R[room + ROW2 + i], R[room + ROW3 + i], offs[timer + i]
            t, f, th, left, w0 = _turn_of_two(t, f, th, left, off, q, C[m], CF[m], stays)
            R[room + i], R[room + ROW1 + i], R[room + ROW2 + i], R[room + ROW3 + i] = t, th, f, left
            K[row + i] += w0


@compiled
def _heated(w: Single, th: Single, draws: Single, p: Any) -> tuple[Single, Single, Single]:
    """A minute of the cylinder: draws and loss, thermostat, heater. What depends on the draws alone waits for nothing."""
    low, high, keep, lift, watts, less, around, more, most = p
    draws = min(draws, most)
    w = (keep - less * draws) * w + (around + more * draws)
    on = w < th
    return w + (lift if on else NONE), (high if on else low), (watts if on else NONE)


@compiled
def _cylinder(S: Any, K: Any, wet: Any, minute: int, n: int, p: Any, power: Single) -> None:
    """Through n minutes; the draws of those minutes are taken away. What stood in K before is the rooms' and counts as heat."""
    q = (p[0], p[1], p[2], p[3] * power, p[4] * power, p[5], p[6], p[7], p[8])
    for four in range(n // 4):
        row, at = u8(4 * four) * W, u8(minute + 4 * four) * W
        for i in range(W):
            w, th = S[WT + i], S[WTH + i]
            w, th, a = _heated(w, th, f4(wet[at + i]), q)
            w, th, b = _heated(w, th, f4(wet[at + ROW1 + i]), q)
            w, th, c = _heated(w, th, f4(wet[at + ROW2 + i]), q)
            w, th, d = _heated(w, th, f4(wet[at + ROW3 + i]), q)
            S[WT + i], S[WTH + i] = w, th
            k0, k1, k2, k3 = K[row + i], K[row + ROW1 + i], K[row + ROW2 + i], K[row + ROW3 + i]
            K[row + i], K[row + ROW1 + i], K[row + ROW2 + i], K[row + ROW3 + i] = k0 + a, k1 + b, k2 + c, k3 + d
            S[WATER + i] += (a + b) + (c + d)
            S[HEAT + i] += (k0 + k1) + (k2 + k3)
    for left in range(n - n % 4, n):
        row, at = u8(left) * W, u8(minute + left) * W
        for i in range(W):
            S[WT + i], S[WTH + i], a = _heated(S[WT + i], S[WTH + i], f4(wet[at + i]), q)
            S[HEAT + i] += K[row + i]
            K[row + i] += a
            S[WATER + i] += a
    for i in range(u8(minute) * W, u8(minute + n) * W):
        wet[i] = 0


@compiled
def _heat_alone(S: Any, K: Any, n: int) -> None:
    """Counts the rooms' heat where there is no cylinder."""
    for m in range(n):
        row = u8(m) * W
        for i in range(W):
            S[HEAT + i] += K[row + i]


@compiled
def _all(S: Any, K: Any, change: Any, first: int, n: int, base_w: Single) -> None:
    """Adds appliances and what is always on to the heat in K; counts energy and the day's highest minute."""
    for four in range(n // 4):
        row, at = u8(4 * four) * W, u8(first + 4 * four) * W
        for i in range(W):
            a = S[PW + i] + f4(change[at + i])
            b = a + f4(change[at + ROW1 + i])
            c = b + f4(change[at + ROW2 + i])
            d = c + f4(change[at + ROW3 + i])
            S[PW + i] = d
            a, b = K[row + i] + (a + base_w), K[row + ROW1 + i] + (b + base_w)
            c, d = K[row + ROW2 + i] + (c + base_w), K[row + ROW3 + i] + (d + base_w)
            K[row + i], K[row + ROW1 + i], K[row + ROW2 + i], K[row + ROW3 + i] = a, b, c, d
            S[TAKEN + i] += (a + b) + (c + d)
            S[TOPD + i] = max(S[TOPD + i], max(max(a, b), max(c, d)))
    for left in range(n - n % 4, n):
        row, at = u8(left) * W, u8(first + left) * W
        for i in range(W):
            a = S[PW + i] + f4(change[at + i])
            S[PW + i] = a
            a = K[row + i] + (a + base_w)
            K[row + i] = a
            S[TAKEN + i] += a
            S[TOPD + i] = max(S[TOPD + i], a)
    for i in range(u8(first) * W, u8(first + n) * W):
        change[i] = 0


@compiled
def _nothing(S: Any, change: Any, first: int, n: int) -> None:
    """Without power K stays empty; appliances that would run are lost, and run on where power comes back before their end."""
    for m in range(n):
        at = u8(first + m) * W
        for i in range(W):
            S[PW + i] += f4(change[at + i])
            change[at + i] = 0


@compiled
def _all_with_sun(S: Any, K: Any, change: Any, first: int, n: int, base_w: Single, sun_w: Single) -> None:
    """The same where the sun may give more than the home takes."""
    for m in range(n):
        row, at = u8(m) * W, u8(first + m) * W
        for i in range(W):
            running = S[PW + i] + f4(change[at + i])
            S[PW + i] = running
            change[at + i] = 0
            net = K[row + i] + (running + base_w) - f4(math.floor(sun_w * S[CLEAR + i]))
            K[row + i] = net
            S[GIVEN + i] += max(-net, NONE)
            S[TAKEN + i] += max(net, NONE)
            S[TOPD + i] = max(S[TOPD + i], abs(net))


@compiled
def _element(S: Any, K: Any, n: int, p: Any) -> None:
    """The fuse: a share of heat at once and four that last; constants in scalars, or they might stand in S."""
    scale, g = p[0, 0], p[0, 1]
    k0, k1, k2, k3 = p[1, 0], p[1, 1], p[1, 2], p[1, 3]
    g0, g1, g2, g3 = p[2, 0], p[2, 1], p[2, 2], p[2, 3]
    for two in range(n // 2):
        row = u8(2 * two) * W
        for i in range(W):
            a, b, c, d = S[POLE + i], S[POLE1 + i], S[POLE2 + i], S[POLE3 + i]
            x = K[row + i] * scale
            q = x * x
            a, b, c, d = k0 * a + g0 * q, k1 * b + g1 * q, k2 * c + g2 * q, k3 * d + g3 * q
            hot = (((g * q + a) + b) + c) + d
            x = K[row + ROW1 + i] * scale
            q = x * x
            a, b, c, d = k0 * a + g0 * q, k1 * b + g1 * q, k2 * c + g2 * q, k3 * d + g3 * q
            S[POLE + i], S[POLE1 + i], S[POLE2 + i], S[POLE3 + i] = a, b, c, d
            S[HOTD + i] = max(max(S[HOTD + i], hot), (((g * q + a) + b) + c) + d)
    if n % 2:
        row = u8(n - 1) * W
        for i in range(W):
            x = K[row + i] * scale
            q = x * x
            a, b = k0 * S[POLE + i] + g0 * q, k1 * S[POLE1 + i] + g1 * q
            c, d = k2 * S[POLE2 + i] + g2 * q, k3 * S[POLE3 + i] + g3 * q
            S[POLE + i], S[POLE1 + i], S[POLE2 + i], S[POLE3 + i] = a, b, c, d
            S[HOTD + i] = max(S[HOTD + i], (((g * q + a) + b) + c) + d)


@compiled
def _above(S: Any, K: Any, n: int, limit: Single) -> None:
    """Minutes above the rating and the run that goes on; looked at only where a winter of the block is above it or was."""
    any_of = False
    for i in range(W):
        any_of |= (S[TOPD + i] > limit) | (S[RUN + i] > NONE)
    if any_of:
        for m in range(n):
            row = u8(m) * W
            for i in range(W):
                above = abs(K[row + i]) > limit
                run = S[RUN + i] + ONE if above else NONE
                S[RUN + i] = run
                S[LONG + i] = max(S[LONG + i], run)
                S[OVER + i] += ONE if above else NONE


@compiled
def _hours_end(S: Any, out: Any) -> None:
    """Watt-minutes go to whole numbers before a single can no longer hold them exactly."""
    for i in range(W):
        out[C_TAKEN, i] += np.int32(S[TAKEN + i])
        out[C_GIVEN, i] += np.int32(S[GIVEN + i])
        out[C_HEAT, i] += np.int32(S[HEAT + i])
        out[C_WATER, i] += np.int32(S[WATER + i])
        S[TAKEN + i] = S[GIVEN + i] = S[HEAT + i] = S[WATER + i] = NONE


@compiled
def _day_ends(S: Any, out: Any, hottest: Any, day: int) -> None:
    for i in range(W):
        if S[TOPD + i] > out[TOP, i]:
            out[TOP, i], out[TOP_DAY, i] = i8(S[TOPD + i]), day
        if S[HOTD + i] > hottest[i]:
            hottest[i], out[HOT_DAY, i] = S[HOTD + i], day
        out[C_OVER, i], out[C_LONG, i] = i8(S[OVER + i]), i8(S[LONG + i])
        S[TOPD + i] = S[HOTD + i] = NONE


@compiled
def _counting_begins(S: Any, out: Any, hottest: Any) -> None:
    for i in range(W):
        S[OVER + i] = S[RUN + i] = S[LONG + i] = S[TOPD + i] = S[HOTD + i] = hottest[i] = NONE
        for column in range(COLUMNS):
            out[column, i] = 0


@compiled
def _sampled(K: Any, histogram: Any, first: int, minute: int, n: int, every: int, lanes: int) -> None:
    """One minute in so many of each winter, the winters in turn."""
    for m in range(n):
        i = (every - (first + minute + m) % every) % every
        while i < lanes:
            histogram[min(max(int(K[m * LANES + i]), 0) // BIN_W, BINS - 1)] += 1
            i += every


@compiled
def _offsets(minute: int, later: Any, hours: Any, back: Any, warmer: Any, S: Any, offs: Any) -> None:
    """K by which each winter's rooms are kept warmer in this minute, for each timer. Hours that reach midnight stay there."""
    for timer in range(hours.shape[0]):
        for i in range(W):
            S[OFF + i] = NONE
        for k in range(hours.shape[1]):
            a, b = hours[timer, k, 0], hours[timer, k, 1]
            since, until = (ALWAYS if a == 0 else f4(minute - a)), (-ALWAYS if b == DAY_MIN else f4(minute - b))
            if a < b:
                for i in range(W):
                    S[OFF + i] = ONE if (since >= later[i]) & (until < later[i]) else S[OFF + i]
        for i in range(W):
            offs[u8(timer) * W + i] = f4(warmer[i] - (0.0 if S[OFF + i] > NONE else back[timer]))


@compiled
def _rooms(K: Any, R: Any, offs: Any, rooms: Any, kinds: Any, outside: Any, at: int, n: int, power: Single) -> None:
    """All rooms through n minutes from minute `at` of the season; their watts and no others stand in K afterwards."""
    for i in range(u8(n) * W):
        K[i] = NONE
    for r in range(rooms.shape[0]):
        room, timer, least = u8(4 * r) * W, u8(kinds[r, 0]) * W, kinds[r, 1]
        if least <= 1 and kinds[r, 2] == 0:
            _room(R, room, offs, timer, K, outside[r, 0], at, n, rooms[r], power)
        else:
            _room_of_two(R, room, offs, timer, K, outside[r, 0], outside[r, 1], at, n, rooms[r], f4(max(least, 1)), power)


@compiled
def _within(spells: Any, minute: int) -> bool:
    found = False
    for k in range(spells.shape[0]):
        found |= spells[k, 0] <= minute < spells[k, 1]
    return found


@compiled
def _starts(seed: int, winter: int, day: int, lane: int, asked: Any, lively: float, ends: Any, per: Any, what: Any, picks: Any,
            guide: Any, uses: Any, busy: Any, change: Any, wet: Any, base: int) -> None:
    """All that starts in one day of one winter. asked, ends, what: of people first, then of each use by itself."""
    if asked[0] > 0.0:
        _shared_starts(seed, winter, day, lane, asked[0] * lively, ends, per, what, picks, guide, uses, busy, change, wet, base)
    for n in range(1, asked.shape[0]):
        _own_starts(seed, winter, day, lane, n, asked[n], ends, per, what, uses, busy, change, base)
    for use in range(busy.shape[1]):
        busy[lane, use] = max(busy[lane, use] - DAY_MIN, 0)


@compiled
def _once_a_day(day: int, lane: int, daily: Any, free: Any, change: Any, base: int) -> None:
    """What starts in one day of one winter and is not running; daily: (thing, watts or when or how long, day, winter)."""
    for n in range(daily.shape[0]):
        watts, at, minutes = daily[n, 0, day, lane], daily[n, 1, day, lane], daily[n, 2, day, lane]
        if watts > 0 and free[n, lane] <= day * DAY_MIN + at:
            free[n, lane] = day * DAY_MIN + at + minutes
            _runs(at, lane, watts, minutes, change, base)


@compiled
def _kept(K: Any, minutes_w: Any, at: int, n: int) -> None:
    for m in range(n if minutes_w.shape[0] else 0):
        for i in range(minutes_w.shape[1]):
            minutes_w[at + m, i] = i8(K[m * LANES + i])


@numba.njit(nogil=True, error_model="numpy", cache=True)        # kept on disk between runs; other threads go on meanwhile
def block(seed: int, first: int, lanes: int, settle: int, S: Any, R: Any, K: Any, wet: Any, change: Any, busy: Any, free: Any,
          offs: Any, rooms: Any, kinds: Any, outside: Any, hours: Any, back: Any, later: Any, warmer: Any, lively: Any,
          turns: Any, off: Any, water: Any, may_heat: Any, base_w: Any, sun_w: Any, clear: Any, ladder: Any, limit: Any,
          asked: Any, ends: Any, per: Any, what: Any, picks: Any, guide: Any, uses: Any, daily: Any, every: int,
          exact_min: int, out: Any, hottest: Any, histogram: Any, minutes_w: Any) -> None:
    """Lives LANES winters from number `first` on through all days of `later`; keeps minutes where there is room for any.

    What comes in is told in `season.Ready`; of a block's own, all but later, warmer, lively, turns, clear and daily is written.
    Nothing is allocated here and arrays come one by one for the sake of the compiler's time, which the first use costs. What it
    made is kept on disk until this file changes: whoever changes a constant of `draws` or `home` touches this file too."""
    for day in range(later.shape[0]):
        base = (day & 1) * DAY_MIN
        if day == settle:
            _counting_begins(S, out, hottest)
        for i in range(LANES):
            S[CLEAR + u8(i)] = clear[day, i]
            _starts(seed, first + i, day, i, asked, lively[i], ends, per, what, picks, guide, uses, busy, change, wet, base)
            _once_a_day(day, i, daily, free, change, base)
        minute = 0
        while minute < DAY_MIN:
            n = 1
            while turns[day, minute + n] == 0:
                n += 1
            at = day * DAY_MIN + minute
            if turns[day, minute] == 2:
                _offsets(minute, later[day], hours, back, warmer, S, offs)
            power = NONE if _within(off, at) else ONE
            _rooms(K, R, offs, rooms, kinds, outside, at, n, power)
            if water.shape[0]:
                _cylinder(S, K, wet, minute, n, water, power if _within(may_heat, minute) else NONE)
            else:
                _heat_alone(S, K, n)
            if power == NONE:
                _nothing(S, change, base + minute, n)
            elif sun_w[minute // 60] > NONE:
                _all_with_sun(S, K, change, base + minute, n, base_w[minute // 60], sun_w[minute // 60])
            else:
                _all(S, K, change, base + minute, n, base_w[minute // 60])
            if ladder.shape[0]:
                _element(S, K, n, ladder)
            _above(S, K, n, limit)
            if day >= settle:
                _sampled(K, histogram, first, minute, n, every, lanes)
                _kept(K, minutes_w, at - settle * DAY_MIN, n)
            minute += n
            if minute % exact_min == 0:
                _hours_end(S, out)
        _day_ends(S, out, hottest, day)
