"""The season's appliances against what was measured: each one's year, and the demand of many homes together.

The whole is `studies/study_generators.py`; here each check is small enough to be run every time.
"""
from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from spareway.season.draws import asked_a_day, made_a_day
from spareway.season.home import DAY_MIN, Home, Season, Weather
from spareway.tables.table import table
from tests.season.ordinary import NIGHT, of_table, rows, season, starts

MORE = next(row.value for row in table("winter_settings").rows if row.keys == ("winter_more",))
NAMES = [name for name in rows() if name != NIGHT]


def a_year(name: str) -> float:
    """Starts in a year as the table has them, of the starts on a winter's day that a season is given."""
    of = of_table(name)
    return of.starts_a_day * 365 / (MORE if of.by_people else 1)


@pytest.mark.parametrize("name", NAMES)
def test_the_year_of_each_appliance_is_the_printed_one(name: str) -> None:
    """As many starts are made as asked for so that none is lost to a run still going on: kWh of the year within 1 % of the table's,
    by the chance of every minute of a day that repeats. The table's own sum allows 5 %."""
    of, also = of_table(name), rows()[name].also
    busy = of.minutes + of.rest_min
    made = made_a_day(asked_a_day(of.starts_a_day, busy, of.by_hour, name), busy, of.by_hour) / (MORE if of.by_people else 1)
    kwh = (of.watts - also["standby_w"]) * of.minutes * made * 365 / 60_000 + also["standby_w"] * 8.76
    assert kwh == pytest.approx(also["use_kwh"], rel=0.01)
    assert a_year(name) == pytest.approx(rows()[name].value, rel=1e-6)


def test_drawn_starts_come_to_as_many() -> None:
    """Two hundred days of a home with everything but a shower of 9 kW, beyond what a season adds up: each appliance's starts within 5 %, or within what chance allows of few."""
    days = 200
    uses = tuple(of_table(name) for name in NAMES if name != "electric shower")
    counted = [0] * len(uses)
    for _, what in starts(Season(Home((), None, uses, (0,) * 24), Weather((5.0,) * (24 * days + 1)), seed=2), 0):
        counted[what] += 1
    for use, seen in zip(uses, counted, strict=True):
        wanted = use.starts_a_day * days
        assert abs(seen - wanted) <= max(0.05 * wanted, 3.5 * math.sqrt(wanted)), use.name
    assert abs(math.fsum(counted) / math.fsum(use.starts_a_day * days for use in uses) - 1) < 0.02


def watts(number: int, days: int) -> NDArray[np.float64]:
    """The demand of each minute of an ordinary home."""
    of = season(3, number, days)
    change = np.zeros((days + 2) * DAY_MIN)
    for minute, what in starts(of, number):
        change[minute] += of.home.uses[what].watts
        change[minute + of.home.uses[what].minutes] -= of.home.uses[what].watts
    return change.cumsum()[:days * DAY_MIN] + of.home.base_w[0]


def test_many_homes_together_demand_less_each() -> None:
    """One, ten and a hundred homes over two winter days: the highest minute a home falls, and a hundred come to what the trial in
    London measured of classes of homes, 0.54 to 1.78 kW."""
    homes = [watts(number, 2) for number in range(100)]
    each = [float(np.mean([np.sum(homes[at:at + n], axis=0).max() / n for at in range(0, 100, n)])) for n in (1, 10, 100)]
    assert all(more > fewer for more, fewer in pairwise(each))
    least, most = (next(row.value for row in table("after_diversity").rows if row.keys == (f"measured, by people and income, {end}",))
                   for end in ("least", "most"))
    assert least * 1000 <= each[-1] <= most * 1000
    evening = np.mean(homes, axis=0).reshape(2, 24, 60).mean((0, 2))
    assert int(evening.argmax()) in range(16, 21)                # 16:00 to 20:00, as the report on diversity has it
