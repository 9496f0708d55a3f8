"""A current minute by minute, from a log or a simulation: the worst day, what is above a rating, how long it is how much."""
from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from spareway.design.logged import MINUTE, Log

__all__ = ["DAY_MIN", "Above", "Day", "Steps", "above", "day_of", "duration", "longer_than", "minutes_of", "worst_day"]

DAY_MIN = 24 * 60
Amps = Sequence[float | None]                                   # one a minute; None where it is not known
Steps = tuple[tuple[int, float], ...]                           # (minutes, current): for so many minutes at least so much


@dataclass(frozen=True, slots=True)
class Day:
    """A day of minutes from midnight. highest_min: the minute of the highest current, the first of equals.

    of_days_n: out of how many days; missing_n: minutes of it that are not known"""
    says: str
    amps: tuple[float | None, ...]
    highest_a: float
    highest_min: int
    missing_n: int
    of_days_n: int


@dataclass(frozen=True, slots=True)
class Above:
    """Of the minutes above a rating: how many, and the longest run of them with the minute it began. A gap ends a run."""
    minutes_n: int
    longest_n: int
    began_min: int


def day_of(says: str, amps: Amps, of_days_n: int = 1) -> Day:
    """A day out of its 1,440 minutes. Errors: ValueError for another number of them, or where none is known."""
    known = [(a, -i) for i, a in enumerate(amps) if a is not None]
    if len(amps) != DAY_MIN or not known:
        raise ValueError(f"{len(amps)} minutes, {len(known)} of them known, are no day")
    highest, at = max(known)
    return Day(says, tuple(amps), highest, -at, DAY_MIN - len(known), of_days_n)


def above(amps: Amps, rating_a: float) -> Above:
    """What of them is above a rating."""
    longest, began, whole, i = 0, 0, 0, 0
    for over, run in groupby(amps, key=lambda a: a is not None and a > rating_a):
        many = len([*run])
        if over:
            whole += many
            if many > longest:
                longest, began = many, i
        i += many
    return Above(whole, longest, began)


def worst_day(log: Log) -> Day | None:
    """The day of its highest minute, the first of equals; None where the log gives no highest minute."""
    if not log.highest.known:
        return None
    days: dict[datetime.date, list[float | None]] = {}
    for at, amps in log.minutes:
        days.setdefault(at.date(), [None] * DAY_MIN)[at.hour * 60 + at.minute] = amps
    on, _ = max(log.minutes, key=lambda each: each[1])
    return day_of(f"{on:%Y-%m-%d}", days[on.date()], len(days))


def duration(amps: Amps) -> Steps:
    """For how many minutes it is at least how much, from the highest current downwards, each current once."""
    out: list[tuple[int, float]] = []
    minutes = 0
    for current, many in sorted(Counter(a for a in amps if a is not None).items(), reverse=True):
        minutes += many
        out.append((minutes, current))
    return tuple(out)


def longer_than(steps: Steps, rating_a: float) -> int:
    """For how many minutes it is above a rating."""
    return max((minutes for minutes, current in steps if current > rating_a), default=0)


def minutes_of(log: Log) -> list[float] | None:
    """The currents of a log in its order; None where its rows are no minutes."""
    return None if log.step > MINUTE else [amps for _, amps in log.minutes]
