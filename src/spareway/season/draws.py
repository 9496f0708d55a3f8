"""What chance decides, by counting: a number made of (seed, winter, day, stream, count) is the same in any order of work.

The numbers come from a mixing of 64 bits (a counter through the finaliser of splitmix64: Steele, Lea and Flood 2014). Waiting
times are exponential by a table with straight lines between: plain additions and multiplications, so no mathematics library of a
machine has a say in the minute of a start.
"""
from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from spareway.season.home import DAY_MIN, Season, Spread

__all__ = ["BITS", "CUTS", "DAILY", "LIFE", "LN2", "OWN", "SHARED", "SLOPES", "TODAY", "WORD", "Plan", "Stream", "asked_a_day",
           "drawn", "events", "mixed", "planned", "waited"]

WORD, BITS = (1 << 64) - 1, 24                  # a choice is made by 24 bits, a wait by the other 40
SHARED, OWN, LIFE, TODAY, DAILY = 0, 1, 1000, 1001, 1002   # streams: of people; of a use by itself, each; of a winter; a day
CELLS = 256
LN2 = round(math.log(2.0), 12)
CUTS = tuple(round(-math.log(0.5 + k / (2 * CELLS)), 12) for k in range(CELLS + 1))      # -ln of 0.5 to 1, on the cell's edges
SLOPES = tuple(b - a for a, b in itertools.pairwise(CUTS))


def mixed(seed: int, winter: int, day: int, stream: int, count: int) -> int:
    """64 bits that look like chance."""
    z = (seed * 0x9E3779B97F4A7C15 + winter * 0xBF58476D1CE4E5B9 + day * 0x94D049BB133111EB
         + ((stream << 32) + count) * 0xD6E8FEB86659FD93) & WORD
    z = ((z ^ z >> 30) * 0xBF58476D1CE4E5B9) & WORD
    z = ((z ^ z >> 27) * 0x94D049BB133111EB) & WORD
    return z ^ z >> 31


def waited(z: int) -> float:
    """An exponential wait with a mean of 1, from the upper 40 bits."""
    part, halvings = math.frexp((z >> BITS) * 2.0 + 1.0)
    at = (part - 0.5) * (2 * CELLS)
    cell = int(at)
    return (CUTS[cell] + (at - cell) * SLOPES[cell]) + (41 - halvings) * LN2


def drawn(spread: Spread, z: int) -> float:
    """One value of a spread, by the lower 24 bits."""
    at = z & ((1 << BITS) - 1)
    return next(value for value, edge in zip((v for v, _ in spread), edges([s for _, s in spread]), strict=True) if at < edge)


def edges(shares: Sequence[float]) -> tuple[int, ...]:
    """Where each share ends on the scale of 24 bits; the last one always at its end."""
    whole = math.fsum(shares)
    out = [round(math.fsum(shares[:k + 1]) / whole * (1 << BITS)) for k in range(len(shares))]
    return (*out[:-1], 1 << BITS)


@dataclass(frozen=True, slots=True)
class Stream:
    """Starts asked for, over a day: `asked` on the whole, lying as `ends` says (25 shares of a day's asking at the hours' edges).

    per     minutes of each hour to a share of the day's asking
    what    numbers of the uses asked for here, the cylinder's draws after the last use
    picks   in each hour, for each place of `what`: up to where (of 24 bits) the place itself is meant, and which other above"""
    asked: float
    ends: tuple[float, ...]
    per: tuple[float, ...]
    what: tuple[int, ...]
    picks: tuple[tuple[tuple[int, int], ...], ...]


@dataclass(frozen=True, slots=True)
class Plan:
    """All streams of a season: of people, and each use that goes by itself; and how long each use is busy."""
    shared: Stream | None
    own: tuple[Stream, ...]
    busy_min: tuple[int, ...]


def planned(season: Season) -> Plan:
    """The streams of a season. Errors: ValueError naming a use that cannot start so often."""
    uses, water = season.home.uses, season.home.water
    asked = [asked_a_day(use.starts_a_day, use.minutes + use.rest_min, use.by_hour, use.name) for use in uses]
    people = [(a, asked[a], use.by_hour) for a, use in enumerate(uses) if use.by_people and asked[a]]
    if water is not None and water.draws_a_day:
        people.append((len(uses), water.draws_a_day, water.by_hour))
    own = tuple(_stream([(a, asked[a], use.by_hour)]) for a, use in enumerate(uses) if not use.by_people and asked[a])
    return Plan(_stream(people) if people else None, own, tuple(use.minutes + use.rest_min for use in uses))


def _stream(parts: list[tuple[int, float, tuple[float, ...]]]) -> Stream:
    rates = [[asked * by_hour[hour] / math.fsum(by_hour) for _, asked, by_hour in parts] for hour in range(24)]
    of_hour = [math.fsum(each) for each in rates]
    whole = math.fsum(of_hour)
    ends = (*(math.fsum(of_hour[:hour]) / whole for hour in range(24)), 1.0)
    per = tuple(60.0 / (b - a) if b > a else 0.0 for a, b in itertools.pairwise(ends))
    picks = tuple(_pairs(each if any(each) else [1.0] * len(each)) for each in rates)
    return Stream(whole, ends, per, tuple(what for what, _, _ in parts), picks)


def _pairs(rates: list[float]) -> tuple[tuple[int, int], ...]:
    """A choice by rates with one look: places equally likely, each shared by two at most (Walker 1977, Vose 1991)."""
    whole, count = math.fsum(rates), len(rates)
    left = [rate / whole * count for rate in rates]
    out = [((1 << BITS), place) for place in range(count)]
    small, large = [k for k in range(count) if left[k] < 1], [k for k in range(count) if left[k] >= 1]
    while small and large:
        low, high = small.pop(), large[-1]
        out[low] = (round(left[low] * (1 << BITS)), high)
        left[high] -= 1 - left[low]
        if left[high] < 1:
            small.append(large.pop())
    return tuple(out)


@cache
def asked_a_day(made: float, busy_min: int, by_hour: tuple[float, ...], name: str = "use") -> float:
    """Starts to be asked for in a day, that `made` of them are not dropped while the appliance is busy: found between two bounds.

    Errors: ValueError where so many cannot be."""
    if made == 0:
        return 0.0
    low, at_low, high = 0.0, 0.0, made
    while (at_high := made_a_day(high, busy_min, by_hour)) < made:
        low, at_low, high = high, at_high, 2 * high
        if high > 1e3 * made:
            raise ValueError(f"{name}: {made:g} starts a day of {busy_min} min each do not fit into its hours")
    while high - low > 1e-6 * high:
        share = min(max((made - at_low) / (at_high - at_low), 1e-3), 1 - 1e-3)
        cut = low + (high - low) * (0.9 * share + 0.05)              # a little inwards, so that both bounds come closer
        if (at_cut := made_a_day(cut, busy_min, by_hour)) < made:
            low, at_low = cut, at_cut
        else:
            high, at_high = cut, at_cut
    return round(high, 9)


def made_a_day(asked: float, busy_min: int, by_hour: tuple[float, ...]) -> float:
    """Starts made of those asked for, once days repeat: in each minute the idle share times the chance of being asked."""
    whole = math.fsum(by_hour)
    chance = [1 - math.exp(-asked * each / whole / 60) for each in by_hour]
    started, busy = [0.0] * (3 * DAY_MIN), 0.0
    for minute in range(3 * DAY_MIN):
        if minute >= busy_min:
            busy -= started[minute - busy_min]
        started[minute] = (1 - busy) * chance[minute % DAY_MIN // 60]
        busy += started[minute]
    return math.fsum(started[2 * DAY_MIN:])


def events(plan: Plan, season: Season, winter: int, day: int, lively: float, busy: list[int]) -> list[tuple[int, int]]:
    """(minute, what) of a day's starts as they are drawn, those dropped left out; `busy`, its end by use, goes on."""
    out = list[tuple[int, int]]()
    if (stream := plan.shared) is not None:
        share, hour, count = 0.0, 0, 0
        per_wait = 1.0 / (stream.asked * lively)
        while True:
            z = mixed(season.seed, winter, day, SHARED, count)
            count += 1
            share += waited(z) * per_wait
            if share >= 1.0:
                break
            hour, minute = _minute_at(stream, share, hour)
            place, at = divmod((z & ((1 << BITS) - 1)) * len(stream.what), 1 << BITS)
            upto, other = stream.picks[hour][place]
            what = stream.what[place if at < upto else other]
            if what == len(busy):
                out.append((minute, what))
            elif busy[what] <= minute:
                busy[what] = minute + plan.busy_min[what]
                out.append((minute, what))
    for number, stream in enumerate(plan.own):
        out += _by_itself(plan, stream, season.seed, winter, day, OWN + number, busy)
    return out


def _by_itself(plan: Plan, stream: Stream, seed: int, winter: int, day: int, key: int, busy: list[int]) -> list[tuple[int, int]]:
    """Of a use that goes by itself: waits only while it is idle, so that nothing is drawn to be dropped."""
    out, count, what = list[tuple[int, int]](), 0, stream.what[0]
    per_wait, hour, share = 1.0 / stream.asked, 0, 0.0
    while busy[what] < DAY_MIN:
        share = max(share, _share_at(stream.ends, busy[what]))
        share += waited(mixed(seed, winter, day, key, count)) * per_wait
        count += 1
        if share >= 1.0:
            break
        hour, minute = _minute_at(stream, share, hour)
        busy[what] = minute + plan.busy_min[what]
        out.append((minute, what))
    return out


def _share_at(ends: tuple[float, ...], minute: int) -> float:
    hour = max(minute, 0) // 60
    return ends[hour] + (ends[hour + 1] - ends[hour]) * ((max(minute, 0) - 60 * hour) / 60.0)


def _minute_at(stream: Stream, share: float, hour: int) -> tuple[int, int]:
    """(hour, minute of the day) at which this share of a day's asking is reached, looking from an hour on."""
    while stream.ends[hour + 1] <= share:
        hour += 1
    return hour, 60 * hour + min(int((share - stream.ends[hour]) * stream.per[hour]), 59)
