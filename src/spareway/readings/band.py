"""What a reading should be, between which values it may lie, and on which side of them one fell."""
from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from math import inf

from spareway.design.route import renamed, settled
from spareway.fact import Fact
from spareway.job.rows import Reading, never_nought
from spareway.physics import cable
from spareway.readings.conductors import Wire, figure
from spareway.readings.instrument import Accuracy, accuracy, range_end
from spareway.tables import Books

__all__ = ["CANNOT_TELL", "FAR", "Expected", "Site", "against", "at_temperature", "factors", "figure", "in_doubt", "read_so"]

FAR = ("far high", "far low")
LIMITS = ("insulation_mohm", "trip_ms", "ramp_ma")          # of these a table gives a limit, and nothing what to expect
TIMED = ("trip_ms", "ramp_ma")
CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True)
class Expected:
    """What a reading should be, with its working; between `least` and `most` a sound one may lie, instrument and all.

    `fact` is unknown where the record does not lead to one figure; `most` is infinite where only a floor stands. Between
    `sure_to`, where there is one, and `most` it depends on what is not recorded, and nobody can tell."""
    fact: Fact[float]
    least: float
    most: float
    why: str
    sure_to: float = inf


def read_so(fact: Fact[float], least: float, most: float, of: Accuracy, why: str) -> Expected:
    """A range that the thing itself may lie in, with what the instrument may be out by in good order, downwards and upwards."""
    low = max(least - of.error(least), 0.0)
    return Expected(fact, low, most + of.error(most) if most < inf else inf, why)


def in_doubt(fact: Fact[float], site: Site, of: Accuracy, why: str, *more: float) -> Expected:
    """About one figure: doubts that have nothing to do with one another are taken together as the root of their squares, as
    BS EN 61557-1 takes influences on an instrument; joints only add. more: further doubts, in the unit of the reading."""
    if fact.amount is None:
        return read_so(fact, site.least, site.most, of, why)
    error = of.error(fact.value)
    low = fact.value - math.hypot(site.ohm - site.least, site.lead, error, *more)
    high = fact.value + math.hypot(site.most - site.ohm, site.lead, error, *more) + site.joints
    return Expected(fact, max(low, 0.0), high, why)


@lru_cache(64)
def factors(temp_c: float | None, books: Books) -> tuple[Fact[float], float, float]:
    """Resistance over that at 20 °C: at the temperature written down, or at 20 °C; and the least and the most it may be."""
    alpha = figure("thresholds", "alpha_per_k", books)
    if temp_c is None:
        at, ends = settled("conductor_c", 20.0, "no temperature was written down"), \
            [figure("reading_doubt", case, books).value for case in ("least", "most")]
    else:
        at, off = Fact("conductor_c", temp_c, "measured"), figure("reading_doubt", "as written", books).value
        ends = [temp_c - off, temp_c + off]
    least, most = (float(cable.hot_factor(alpha.value, end)) for end in ends)
    return cable.hot_factor.worked(alpha, at), least, most


@dataclass(frozen=True, slots=True)
class Site:
    """A resistance of conductors as it stands on site (Ω): at their temperature, the least and the most it may be by lengths
    and temperature, what is left of the leads, and what its joints, and leads that were not nulled, may add."""
    fact: Fact[float]
    least: float
    most: float
    lead: float
    joints: float
    why: str

    @property
    def ohm(self) -> float:
        return self.fact.amount or 0.0


def at_temperature(wire: Wire, name: str, temp_c: float | None, books: Books, nulled: bool | None = None) -> Site:
    """A resistance at 20 °C as it stands on site, under the name of the quantity that is read. nulled: whether the leads were
    taken off; where they surely were not they add to it."""
    factor, cold, warm = factors(temp_c, books)
    hot = cable.r_hot_ohm.worked(renamed(wire.ohm, "r_at_20_ohm"), factor)
    lead, joint = (float(figure("reading_doubt", case, books).value) for case in ("null", "joint"))
    when = f"at {temp_c:g} °C" if temp_c is not None else "temperature not written down"
    leads = float(figure("reading_doubt", "leads", books).value) if nulled is False else 0.0
    return Site(renamed(hot, name), wire.least_ohm * cold, wire.most_ohm * warm, lead, wire.joints_n * joint + leads,
                f"{wire.why}; {when}")


def against(row: Reading, expected: Expected, books: Books) -> str:
    """On which side a reading fell: "as expected", high, low, far high, far low, or that it cannot be told.

    Far: further than an instrument may be out at the worst its standard allows, on top of all that is in doubt. Never said of
    what is held to a limit alone: a low insulation resistance is bad news, not a strange one."""
    of = accuracy(row.quantity, row.setup, books)
    if of is None or row.value is None and not row.over:
        return CANNOT_TELL
    if never_nought(row):
        return "far low"
    fell, far = _fell(row, expected, of)
    limit_alone = row.quantity in LIMITS and (row.quantity != "insulation_mohm" or expected.most == inf)
    return f"far {fell}" if far and not limit_alone else fell


def _fell(row: Reading, expected: Expected, of: Accuracy) -> tuple[str, bool]:
    """The side, and whether far."""
    most = expected.most + of.worst(expected.most) if expected.most < inf else inf
    end = range_end(row, of)
    if end is not None and expected.most < inf:
        if not end:
            return CANNOT_TELL, False
        inside = CANNOT_TELL if row.quantity in TIMED else "as expected"           # where it ends nobody saw
        return (inside, False) if end < expected.most else ("high", end >= most)
    if expected.most == inf and not expected.fact.known and row.quantity != "insulation_mohm":
        return CANNOT_TELL, False               # the record gives no top: nothing read tells that it is sound
    value = inf if row.value is None else row.value
    if value < expected.least:
        return "low", value < expected.least - of.worst(expected.least)
    if expected.sure_to < value <= expected.most:
        return CANNOT_TELL, False
    return ("as expected", False) if value <= expected.most else ("high", value > most)
