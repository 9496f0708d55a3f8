"""Winters side by side, compiled: `spareway.season.minute`, equal in every minute.

A block lives LANES winters at once, an hour after the other; `season_starts` says what starts in it. Within an hour, and
between two minutes at which anything turns, one room after the other is taken through the minutes: four at a time, so that a
temperature is read and written once for four. All stands in flat arrays in rows of one constant length and nothing branches
within a loop over winters, so that the compiler sees that no row touches another and makes vectors of it; sums and products
stay apart as they are written (no contraction), since they are the definition.
"""
from __future__ import annotations

import math
from typing import Any

import numba
import numpy as np

from spareway.fast.season_starts import LANES, W, compiled, day_begins, f4, hour_begins, i8, u8
from spareway.season.home import DAY_MIN, SLOW_SHARES
from spareway.season.sums import BIN_W, BINS

__all__ = ["COLUMNS", "OF_ROOM", "ROWS", "STARTS", "WT", "WTH", "block"]

STARTS = "0190cd09087c8736"                      # sha-256 of season_starts.py, its start: numba looks at this file only
Single = Any                                    # of numpy, float32; arrays too are Any: numba finds their types
NONE, ONE, ALWAYS = f4(0), f4(1), f4(1e6)
# places in the flat array of a block, in units of LANES
(WARM, PW, WT, WTH, TOPS, COVERED, TOPD, TAKEN, GIVEN, USED, WATER, OVER, RUN, LONG, HOTD,
 POLE) = (u8(LANES * k) for k in range(16))
POLE1, POLE2, POLE3 = (u8(LANES * k) for k in range(16, 19))
ROW1, ROW2, ROW3 = W, u8(2 * LANES), u8(3 * LANES)
ROWS = 15 + SLOW_SHARES
# and of each room: °C of its air; below which its heater is on; of its fabric; minutes to stay on; where its thermostat closes
# and where it opens; the same two when set back, and when warm
AIR, BELOW, FABRIC, LEFT, CLOSES, OPENS, BACK, BACK_OPENS, WARMTH, WARM_OPENS = (u8(LANES * k) for k in range(10))
OF_ROOM = 10
# columns of what is kept, whole numbers
TOP, TOP_DAY, C_OVER, C_LONG, C_TAKEN, C_GIVEN, C_HEAT, C_WATER, HOT_DAY, COLUMNS = range(10)


@compiled
def _turn(t: Single, below: Single, closes: Single, opens: Single, keep: Single, c: Single, c_on: Single,
          watts: Single) -> tuple[Single, Single, Single]:
    """A minute of a room with one store: its temperature, below which it heats next, its watts."""
    on = t < below
    return keep * t + (c_on if on else c), (opens if on else closes), (watts if on else NONE)


@compiled
def _room(R: Any, room: Any, K: Any, k: Any, C: Any, at: int, n: int, p: Any, power: Single) -> None:
    """One store, through n minutes; K gathers watts, C holds what comes from outside and from gains."""
    keep, lift, watts = p[0], p[1] * power, p[2] * power
    for four in range(n // 4):
        m, row = at + 4 * four, k + u8(4 * four) * W
        c0, c1, c2, c3 = C[m], C[m + 1], C[m + 2], C[m + 3]
        d0, d1, d2, d3 = c0 + lift, c1 + lift, c2 + lift, c3 + lift
        for i in range(W):
            t, x, closes, opens = R[room + AIR + i], R[room + BELOW + i], R[room + CLOSES + i], R[room + OPENS + i]
            t, x, w0 = _turn(t, x, closes, opens, keep, c0, d0, watts)
            t, x, w1 = _turn(t, x, closes, opens, keep, c1, d1, watts)
            t, x, w2 = _turn(t, x, closes, opens, keep, c2, d2, watts)
            t, x, w3 = _turn(t, x, closes, opens, keep, c3, d3, watts)
            K[row + i] += w0
            K[row + ROW1 + i] += w1
            K[row + ROW2 + i] += w2
            K[row + ROW3 + i] += w3
            R[room + AIR + i], R[room + BELOW + i] = t, x
    for left in range(n - n % 4, n):
        c0, row = C[at + left], k + u8(left) * W
        d0 = c0 + lift
        for i in range(W):
            t, x, closes, opens = R[room + AIR + i], R[room + BELOW + i], R[room + CLOSES + i], R[room + OPENS + i]
            t, x, w0 = _turn(t, x, closes, opens, keep, c0, d0, watts)
            R[room + AIR + i], R[room + BELOW + i] = t, x
            K[row + i] += w0


@compiled
def _turn_of_two(t: Single, f: Single, x: Single, left: Single, closes: Single, opens: Single, p: Any, c: Single, cf: Single,
                 stays: Single) -> tuple[Single, Single, Single, Single, Single]:
    """The same of a room with two stores, or with a heater that stays on for a while, or with both."""
    keep, lift, watts, keep_f, cross, cross_f, lift_f = p
    on = (t < x) | (left > NONE)
    left = stays if on & (x != opens) else max(left - ONE, NONE)
    return ((keep * t + cross * f) + (c + lift if on else c), (keep_f * f + cross_f * t) + (cf + lift_f if on else cf),
            (opens if on else closes), left, (watts if on else NONE))


@compiled
def _room_of_two(R: Any, room: Any, K: Any, k: Any, C: Any, CF: Any, at: int, n: int, p: Any, least: Single,
                 power: Single) -> None:
    """As `_room`, two minutes at a time; what more a room of two holds would not stay in the machine's registers for four."""
    q, stays = (p[0], p[1] * power, p[2] * power, p[3], p[4], p[5], p[6] * power), least - ONE
    for two in range(n // 2):
        m, row = at + 2 * two, k + u8(2 * two) * W
        c0, c1, cf0, cf1 = C[m], C[m + 1], CF[m], CF[m + 1]
        for i in range(W):
            t, x, f, left = R[room + AIR + i], R[room + BELOW + i], R[room + FABRIC + i], R[room + LEFT + i]
            closes, opens = R[room + CLOSES + i], R[room + OPENS + i]
            t, f, x, left, w0 = _turn_of_two(t, f, x, left, closes, opens, q, c0, cf0, stays)
            t, f, x, left, w1 = _turn_of_two(t, f, x, left, closes, opens, q, c1, cf1, stays)
            K[row + i] += w0
            K[row + ROW1 + i] += w1
            R[room + AIR + i], R[room + BELOW + i], R[room + FABRIC + i], R[room + LEFT + i] = t, x, f, left
    if n % 2:
        m, row = at + n - 1, k + u8(n - 1) * W
        for i in range(W):
            t, x, f, left = R[room + AIR + i], R[room + BELOW + i], R[room + FABRIC + i], R[room + LEFT + i]
            closes, opens = R[room + CLOSES + i], R[room + OPENS + i]
            t, f, x, left, w0 = _turn_of_two(t, f, x, left, closes, opens, q, C[m], CF[m], stays)
            R[room + AIR + i], R[room + BELOW + i], R[room + FABRIC + i], R[room + LEFT + i] = t, x, f, left
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
def _cylinder(S: Any, K: Any, k: Any, wet: Any, n: int, p: Any, power: Single) -> None:
    """Through n minutes, on to what stands in K."""
    q = (p[0], p[1], p[2], p[3] * power, p[4] * power, p[5], p[6], p[7], p[8])
    for four in range(n // 4):
        row = k + u8(4 * four) * W
        for i in range(W):
            w, th = S[WT + i], S[WTH + i]
            w, th, a = _heated(w, th, f4(wet[row + i]), q)
            w, th, b = _heated(w, th, f4(wet[row + ROW1 + i]), q)
            w, th, c = _heated(w, th, f4(wet[row + ROW2 + i]), q)
            w, th, d = _heated(w, th, f4(wet[row + ROW3 + i]), q)
            S[WT + i], S[WTH + i] = w, th
            K[row + i] += a
            K[row + ROW1 + i] += b
            K[row + ROW2 + i] += c
            K[row + ROW3 + i] += d
            S[WATER + i] += (a + b) + (c + d)
    for left in range(n - n % 4, n):
        row = k + u8(left) * W
        for i in range(W):
            S[WT + i], S[WTH + i], a = _heated(S[WT + i], S[WTH + i], f4(wet[row + i]), q)
            K[row + i] += a
            S[WATER + i] += a


@compiled
def _running(S: Any, K: Any, base_w: Single) -> None:
    """Of what comes and goes in an hour makes what runs, and adds what is always on."""
    for four in range(15):
        row = u8(4 * four) * W
        for i in range(W):
            a = S[PW + i] + K[row + i]
            b = a + K[row + ROW1 + i]
            c = b + K[row + ROW2 + i]
            d = c + K[row + ROW3 + i]
            S[PW + i] = d
            a, b, c, d = a + base_w, b + base_w, c + base_w, d + base_w
            K[row + i], K[row + ROW1 + i], K[row + ROW2 + i], K[row + ROW3 + i] = a, b, c, d
            S[USED + i] += (a + b) + (c + d)


@compiled
def _nothing(S: Any, K: Any, k: Any, n: int) -> None:
    """Without power: what would run is lost, and runs on where power comes back before its end."""
    for m in range(n):
        row = k + u8(m) * W
        for i in range(W):
            S[USED + i] -= K[row + i]
            K[row + i] = NONE


@compiled
def _shone(S: Any, K: Any, k: Any, n: int, sun_w: Single, clear: Any) -> None:
    """Through n minutes the sun gives what it can."""
    for m in range(n):
        row = k + u8(m) * W
        for i in range(W):
            whole = K[row + i]
            net = whole - f4(math.floor(sun_w * clear[i]))
            K[row + i] = net
            S[COVERED + i] += whole - max(net, NONE)


@compiled
def _counted(S: Any, K: Any) -> None:
    """An hour's energy and its highest minute (of two compared: where what stood there may stay, it is stored by a slow way)."""
    for four in range(15):
        row = u8(4 * four) * W
        for i in range(W):
            a, b, c, d = K[row + i], K[row + ROW1 + i], K[row + ROW2 + i], K[row + ROW3 + i]
            S[TAKEN + i] += (a + b) + (c + d)
            S[TOPS + i] = max(max(S[TOPS + i], a), max(max(b, c), d))


@compiled
def _counted_with_sun(S: Any, K: Any) -> None:
    """The same where the sun may give more than the home takes."""
    for m in range(60):
        row = u8(m) * W
        for i in range(W):
            net = K[row + i]
            S[GIVEN + i] += max(-net, NONE)
            S[TAKEN + i] += max(net, NONE)
            S[TOPS + i] = max(max(S[TOPS + i], net), -net)


@compiled
def _element(S: Any, K: Any, p: Any) -> None:
    """The fuse: a share of heat at once and four that last; constants in scalars, or they might stand in S."""
    scale, g = p[0, 0], p[0, 1]
    k0, k1, k2, k3 = p[1, 0], p[1, 1], p[1, 2], p[1, 3]
    g0, g1, g2, g3 = p[2, 0], p[2, 1], p[2, 2], p[2, 3]
    for two in range(30):
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


@compiled
def _above(S: Any, K: Any, limit: Single) -> None:
    """Minutes above the rating and the run that goes on; looked at only where a winter of the block is above it or was."""
    any_of = False
    for i in range(W):
        any_of |= (S[TOPS + i] > limit) | (S[RUN + i] > NONE)
        S[TOPD + i] = max(max(S[TOPD + i], S[TOPS + i]), NONE)
        S[TOPS + i] = NONE
    if any_of:
        for m in range(60):
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
        out[C_HEAT, i] += np.int32(S[TAKEN + i] + S[COVERED + i] - S[USED + i] - S[WATER + i])
        out[C_WATER, i] += np.int32(S[WATER + i])
        S[TAKEN + i] = S[GIVEN + i] = S[COVERED + i] = S[USED + i] = S[WATER + i] = NONE


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
def _sampled(K: Any, histogram: Any, first: int, every: int, lanes: int) -> None:
    """One minute in so many of each winter, the winters in turn; an hour from minute `first` of winter 0 on."""
    for m in range(60):
        i = -(first + m) & (every - 1)
        while i < lanes:
            histogram[min(max(int(K[u8(m * LANES + i)]), 0) // BIN_W, BINS - 1)] += 1
            i += every


@compiled
def _timers_turn(minute: int, later: Any, hours: Any, kinds: Any, S: Any, R: Any) -> None:
    """Where each room's thermostat closes and opens from this minute on. Hours that reach midnight stay there."""
    for timer in range(hours.shape[0]):
        for i in range(W):
            S[WARM + i] = NONE
        for k in range(hours.shape[1]):
            a, b = hours[timer, k, 0], hours[timer, k, 1]
            since, until = (ALWAYS if a == 0 else f4(minute - a)), (-ALWAYS if b == DAY_MIN else f4(minute - b))
            if a < b:
                for i in range(W):
                    S[WARM + i] = ONE if (since >= later[i]) & (until < later[i]) else S[WARM + i]
        for r in range(kinds.shape[0]):
            if kinds[r, 0] == timer:
                _room_turns(S, R, u8(OF_ROOM * r) * W)


@compiled
def _room_turns(S: Any, R: Any, room: Any) -> None:
    for i in range(W):
        on, warm = R[room + BELOW + i] == R[room + OPENS + i], S[WARM + i] > NONE
        closes, opens, a, b = R[room + BACK + i], R[room + BACK_OPENS + i], R[room + WARMTH + i], R[room + WARM_OPENS + i]
        closes, opens = (a if warm else closes), (b if warm else opens)
        R[room + CLOSES + i], R[room + OPENS + i], R[room + BELOW + i] = closes, opens, (opens if on else closes)


@compiled
def _rooms(K: Any, k: Any, R: Any, rooms: Any, kinds: Any, outside: Any, at: int, n: int, power: Single) -> None:
    """All rooms through n minutes from minute `at` of the season; their watts are added in K from k on."""
    for r in range(rooms.shape[0]):
        room, least = u8(OF_ROOM * r) * W, kinds[r, 1]
        if least <= 1 and kinds[r, 2] == 0:
            _room(R, room, K, k, outside[r, 0], at, n, rooms[r], power)
        else:
            _room_of_two(R, room, K, k, outside[r, 0], outside[r, 1], at, n, rooms[r], f4(max(least, 1)), power)


@compiled
def _within(spells: Any, minute: int) -> bool:
    found = False
    for k in range(spells.shape[0]):
        found |= spells[k, 0] <= minute < spells[k, 1]
    return found


@compiled
def _kept(K: Any, minutes_w: Any, at: int) -> None:
    for m in range(60 if minutes_w.shape[0] else 0):
        for i in range(minutes_w.shape[1]):
            minutes_w[at + m, i] = i8(K[m * LANES + i])


@compiled
def _hour_ends(S: Any, K: Any, sunny: bool, ladder: Any, limit: Single) -> None:
    if sunny:
        _counted_with_sun(S, K)
    else:
        _counted(S, K)
    if ladder.shape[0]:
        _element(S, K, ladder)
    _above(S, K, limit)


@numba.njit(nogil=True, error_model="numpy", cache=True)        # kept on disk between runs; other threads go on meanwhile
def block(seed: int, first: int, lanes: int, settle: int, S: Any, R: Any, K: Any, wet: Any, starts: Any,
          n_starts: Any, moves: Any, n_moves: Any, words: Any, waits: Any, busy: Any, free: Any, rooms: Any, kinds: Any,
          outside: Any, hours: Any, later: Any, lively: Any, turns: Any, off: Any, water: Any,
          may_heat: Any, base_w: Any, sun_w: Any, clear: Any, ladder: Any, limit: Any, asked: Any, ends: Any, per: Any,
          use_of: Any, marks: Any, pairs: Any, guide: Any, uses: Any, daily: Any, every: int, exact_min: int, out: Any,
          hottest: Any, histogram: Any, minutes_w: Any) -> bool:
    """Lives LANES winters from number `first` on through all days of `later`; keeps minutes where there is room for any.

    False, and nothing to go by, where `starts` had too little room. What else comes in is told in `season.Ready`; of a block's
    own, all but later, lively, turns, clear and daily is written. Nothing is allocated here and arrays come one by one
    for the sake of the compiler's time, which the first use costs. What it made is kept on disk until this file changes:
    whoever changes a constant of `draws` or `home` touches this file too."""
    room = True
    for day in range(later.shape[0]):
        if day == settle:
            _counting_begins(S, out, hottest)
        day_begins(seed, first, day, asked, lively, ends, per, use_of, marks, pairs, guide, uses, busy, daily, free, starts,
                   n_starts, moves, n_moves, words, waits)
        minute = 0
        for hour in range(24):
            room &= hour_begins(day, hour, K, wet, uses, starts, n_starts, moves, n_moves)
            _running(S, K, base_w[hour])
            while minute < 60 * hour + 60:
                n = 1
                while turns[day, minute + n] == 0:
                    n += 1
                at, k = day * DAY_MIN + minute, u8(minute - 60 * hour) * W
                if turns[day, minute] == 2:
                    _timers_turn(minute, later[day], hours, kinds, S, R)
                power = NONE if _within(off, at) else ONE
                _rooms(K, k, R, rooms, kinds, outside, at, n, power)
                if water.shape[0]:
                    _cylinder(S, K, k, wet, n, water, power if _within(may_heat, minute) else NONE)
                if power == NONE:
                    _nothing(S, K, k, n)
                elif sun_w[hour] > NONE:
                    _shone(S, K, k, n, sun_w[hour], clear[day])
                minute += n
            _hour_ends(S, K, sun_w[hour] > NONE, ladder, limit)
            if day >= settle:
                _sampled(K, histogram, first + 60 * hour, every, lanes)
                _kept(K, minutes_w, (day - settle) * DAY_MIN + 60 * hour)
            if minute % exact_min == 0:
                _hours_end(S, out)
        _day_ends(S, out, hottest, day)
    return room
