"""What it is like outside, hour by hour: days about their month's mean, the coldest as cold as heating is designed for.

Nothing of it is a forecast: one winter of a kind, drawn once, the same for every home that is lived through it.
"""
from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from spareway.design.route import settled
from spareway.fact import Fact
from spareway.season.home import hourly_c
from spareway.season.scenarios import Weather
from spareway.tables import Books, look_up, rows

if TYPE_CHECKING:
    from spareway.season.gathered import Gathered

__all__ = ["SETTLE_DAYS", "day_means_c", "outside"]

SETTLE_DAYS = 2                                     # lived before the first day that counts, as cold as it is then


def outside(of: Weather, outside_c: Fact[float], books: Books, gathered: Gathered) -> tuple[float, ...]:
    """°C at every hour, two days more than are counted at the beginning; empty where a number is not known."""
    swing, spread, alike = (gathered.said_or_assumed(fact, name) for fact, name in (
        (of.swing_k, "swing_k"), (of.spread_k, "spread_k"), (of.day_on_day, "day_on_day")))
    design = gathered.take(outside_c)
    colder = gathered.take(of.colder_k) if of.colder_k.known else 0.0
    means = _means(of, outside_c, books, gathered)
    if gathered.gaps:
        return ()
    days = day_means_c(means, spread, alike, of.draw, of.cold_days_n, design - colder)
    return hourly_c((*days[:1] * SETTLE_DAYS, *days), swing)


def _means(of: Weather, outside_c: Fact[float], books: Books, gathered: Gathered) -> list[float]:
    """The mean that each day lies about."""
    if not of.months:
        return [gathered.take(of.mean_c if of.mean_c.known else outside_c)] * of.days_n
    days = {row["month"]: row["days"] for row in rows("month_means", books)}
    means = []
    for month in of.months:
        mean = gathered.take(look_up("month_means", books, settled("month", month, "the season's file")))
        means += [mean] * int(days[month])
    return means


def day_means_c(means: Sequence[float], spread_k: float, day_on_day: float, draw: int, cold_days_n: int, cold_c: float
                ) -> tuple[float, ...]:
    """The mean of each day: about its month's, leaning on the day before; the coldest run of days no warmer than `cold_c`.

    A day's deviation is day_on_day times that of the day before and a fresh part of the same spread: the sum of twelve even draws
    less six, whose spread is one. common practice, no source."""
    from random import Random
    chance, fresh = Random(int(draw)), math.sqrt(1 - day_on_day * day_on_day)
    days, off = [], 0.0
    for mean in means:
        off = day_on_day * off + fresh * spread_k * (math.fsum(chance.random() for _ in range(12)) - 6)
        days.append(mean + off)
    n = min(cold_days_n, len(days))
    first = min(range(len(days) - n + 1), key=lambda at: (math.fsum(days[at:at + n]), at))
    return tuple(round(min(day, cold_c) if first <= at < first + n else day, 3) for at, day in enumerate(days))
