"""From a season's file to what happens in it: hours, days that begin later, an outage, charging, the sun."""
from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from spareway.design.heaters import voltage
from spareway.fact import Fact, total
from spareway.kinds import kind
from spareway.physics import winter
from spareway.season.gathered import Gathered
from spareway.season.home import ALWAYS, DAY_MIN, NOUGHT, ONE, Case, Daily, Hours, Spread, Sun
from spareway.season.outside import SETTLE_DAYS
from spareway.season.scenarios import Clear, Later, People, Scenario, Span
from spareway.tables import rows

if TYPE_CHECKING:
    from spareway.design.design import Design

__all__ = ["SOLAR", "base_case", "charged", "hours", "people", "shifts"]

SOLAR = "solar-inverter"
MIDDLE_C = 21                                       # the setting about which homes are spread: that of a living room


def _minute(fact: Fact[float], gathered: Gathered) -> int:
    return round(gathered.take(fact) * 60)


def hours(spans: Mapping[str, Span], gathered: Gathered) -> Hours:
    """Minutes of the day, in order; all day where none are said."""
    found = sorted((_minute(each.from_h, gathered), _minute(each.to_h, gathered)) for each in spans.values())
    return tuple(found) or ALWAYS


def spread(pairs: Iterable[tuple[Fact[float], Fact[float]]], gathered: Gathered, else_: Spread) -> Spread:
    """(value, share) of each; `else_` where there are none."""
    return tuple((gathered.take(value), gathered.take(share)) for value, share in pairs) or else_


def shifts(of: Scenario, gathered: Gathered) -> tuple[Spread, Spread]:
    """Minutes by which days begin later, and kelvin by which winters are kept warmer."""
    later: Sequence[Later] = [] if of.one_timer.amount == "yes" else [*of.later.values()]
    days = spread([(each.shift_min, each.draw_share) for each in later], gathered, NOUGHT)
    return days, _settings(gathered) if of.settings == "as people set them" else NOUGHT


def _settings(gathered: Gathered) -> Spread:
    """How much warmer than a living room is designed for homes are kept: each setting with its share of homes."""
    gathered.tell(f"rooms are kept warmer or cooler from winter to winter as homes are, about {MIDDLE_C} °C in a living room")
    out = []
    for row in rows("thermostat_settings", gathered.books):
        if row["setting_of"] == "room heating":
            share = Fact("homes_share", float(row["value"]), "table", row["where"], row["note"], row["trust"])
            out.append((float(row["setting"].removesuffix(" °C")) - MIDDLE_C, gathered.take(share)))
    whole = math.fsum(share for _, share in out)
    return tuple((value, share / whole) for value, share in out)


def people(of: Scenario, gathered: Gathered) -> Spread:
    """How much more or less is used, from winter to winter."""
    each: Sequence[People] = [*of.people.values()]
    return spread([(p.liveliness, p.draw_share) for p in each], gathered, ONE)


def charged(recorded_w: Sequence[Fact[float]], of: Scenario, gathered: Gathered) -> list[Daily]:
    """A vehicle's charge, by the power on record; by one asked about where none is on record and the file asks."""
    if of.charging is None:
        if recorded_w:
            gathered.tell("the season's file has no charging in it: the charge point on record draws nothing")
        return []
    asked = of.charging.asked_w
    if not recorded_w and not asked.known:
        return []
    if not recorded_w:
        gathered.tell(f"no charge point is recorded: one of {asked} is asked about")
    power = total("load_w", recorded_w, "charging on record") if recorded_w else asked
    minutes = winter.charge_min.worked(of.charging.charge_kwh, power)
    begins = spread([(b.at_h, b.draw_share) for b in of.charging.begins.values()], gathered, ())
    run_min = max(1, min(DAY_MIN, round(gathered.take(minutes))))
    return [Daily("charging", round(gathered.take(power)), gathered.take(of.charging.draw_share),
                  tuple((float(round(at * 60)), share) for at, share in begins), ((float(run_min), 1.0),))]


def base_case(of: Scenario, daily: Sequence[Daily], design: Design, gathered: Gathered) -> Case:
    """Outage, timer, what starts once a day, and the sun."""
    off: Hours = ()
    if of.outage:
        first = SETTLE_DAYS * DAY_MIN + _minute(of.outage.from_h, gathered)
        off = ((first, first + max(1, _minute(of.outage.for_h, gathered))),)
    return Case(off=off, all_alike=of.one_timer.amount == "yes", daily=tuple(daily), sun=_sun(of, design, gathered))


def _sun(of: Scenario, design: Design, gathered: Gathered) -> Sun | None:
    """What an array feeds in: half a sine from sunrise to sunset. common practice, no source"""
    own = [e for e in design.inst.equipment.values() if e.kind == SOLAR]
    if of.sun is None:
        for each in own:
            gathered.tell(f"equipment.{each.name}, {kind(SOLAR).says}: the season's file has no sun in it, so nothing is "
                          "taken off")
        return None
    if not own:
        gathered.tell(f"no inverter is recorded: one of {of.sun.asked_w} is asked about")
    peak = total("sun_w", [winter.sun_w.worked(e.rating_a, voltage(design, "declared voltage")) for e in own],
                 "inverters on record") if own else of.sun.asked_w
    rise, sets = gathered.take(of.sun.from_h), gathered.take(of.sun.to_h)
    by_hour = tuple(round(max(0.0, math.sin(math.pi * (hour + 0.5 - rise) / (sets - rise))), 6)
                    if rise <= hour + 0.5 <= sets else 0.0 for hour in range(24))
    clear: Sequence[Clear] = [*of.sun.days.values()]
    gathered.tell("what the sun gives is taken off at the same fuse; a battery is not in it")
    return Sun(round(gathered.take(peak)), by_hour, spread([(c.clear_share, c.draw_share) for c in clear], gathered, ONE))
