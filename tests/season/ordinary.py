"""Ordinary homes, heated by something else than electricity, to set the season's appliances against what was measured of many homes."""
from __future__ import annotations

import math
from functools import cache

from spareway.season.draws import LIFE, drawn, events, mixed, planned
from spareway.season.gathered import Gathered
from spareway.season.home import DAY_MIN, Home, Season, Use, Weather
from spareway.season.of_people import in_the_dark, use
from spareway.tables import Books
from spareway.tables.books import editions
from spareway.tables.table import Row, table

NIGHT = "storage heaters"                                         # charged at night: a season's Daily, and no part of an evening
LIVELY = ((0.5, 0.25), (1.0, 0.5), (1.5, 0.25))                  # as the bundled scenarios have it
LAMP_W, LAMP_MIN = 60, 60
DARKER = 1.6                                                     # lamps in winter over lamps in the year: from memory
BOOKS = Books(editions()[-1].name)


@cache
def rows() -> dict[str, Row]:
    return {row.keys[0]: row for row in table("appliances").rows}


@cache
def of_table(name: str) -> Use:
    return use(name, Gathered(BOOKS))


@cache
def lamps() -> Use:
    """Starts of 60 W for an hour, of four such lamps as many as come to DARKER times what homes use for lighting on a day of the year."""
    kwh = next(row.value for row in table("yearly_use").rows if row.keys == ("lighting",))
    a_day = DARKER * kwh * 60_000 / (LAMP_W * LAMP_MIN) / 365 / 4
    return Use("lamps", LAMP_W, LAMP_MIN, a_day, in_the_dark(Gathered(BOOKS)))


def home(seed: int, number: int) -> Home:
    """What this home owns, by the share of homes that do; four lamps; what waits; what nobody could tell in the survey."""
    owned = [name for at, (name, row) in enumerate(rows().items()) if name != NIGHT
             and (mixed(seed, number, 0, LIFE, 100 + at) >> 11) / (1 << 53) < row.also["owned_share"]]
    untold = math.fsum(row.value for row in table("yearly_use").rows if row.keys[0] in ("unknown", "other"))
    base_w = math.fsum(rows()[name].also["standby_w"] for name in owned) + untold * 1000 / 8760
    uses = [of_table(name) for name in owned] + [lamps()] * 4
    return Home((), None, tuple(uses), (round(base_w),) * 24, activity=LIVELY)


def season(seed: int, number: int, days: int) -> Season:
    return Season(home(seed, number), Weather((5.0,) * (24 * days + 1)), seed=seed)


def starts(of: Season, number: int) -> list[tuple[int, int]]:
    """Every start of all its days: (minute from the first midnight, which use)."""
    plan, busy, out = planned(of), [0] * len(of.home.uses), []
    lively = drawn(of.home.activity, mixed(of.seed, number, 0, LIFE, 1))
    for day in range(of.days):
        out += [(day * DAY_MIN + minute, what) for minute, what in events(plan, of, number, day, lively, busy)]
        busy = [max(0, each - DAY_MIN) for each in busy]
    return out
