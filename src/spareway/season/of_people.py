"""What people use in a home, from the record where it says something and from tables of ordinary homes where it does not."""
from __future__ import annotations

from collections.abc import Mapping, Sequence

from spareway.design.route import settled
from spareway.fact import Fact, total
from spareway.physics import winter
from spareway.season.gathered import Gathered
from spareway.season.home import DAY_MIN, Use, Water
from spareway.season.of_file import hours
from spareway.season.scenarios import Scenario
from spareway.tables import look_up, rows

__all__ = ["appliances", "by_hour", "cooking", "in_the_dark", "lamps", "other", "showers", "starts", "untold", "water"]

TABLE = "appliances"
FIXED = ("immersion", "instantaneous point heater", "electric shower", "storage heaters", "other electric space heating", "hob",
         "oven")
LEVEL, UP = "level", "active occupancy"
EVENLY = "what nobody in a survey could name, evenly day and night: in fewer hours it would come to more at a time"
OVEN, HOB, SHOWER = "oven", "hob", "electric shower"


def by_hour(activity: str, gathered: Gathered) -> tuple[float, ...]:
    """How starts lie over the hours of a day; evenly for what goes by itself."""
    if activity == LEVEL:
        return (1.0,) * 24
    if activity not in gathered.hours:
        at = [look_up("hours_of_use", gathered.books, settled("activity", activity, "the table of appliances"),
                      settled("hour_of_day", f"{hour:02d}:00", "the clock")) for hour in range(24)]
        gathered.hours[activity] = tuple(gathered.take(each) for each in at)
    return gathered.hours[activity]


def starts(appliance: str, gathered: Gathered) -> Fact[float]:
    """Its starts in a year."""
    return look_up(TABLE, gathered.books, settled("appliance", appliance, "an ordinary home"))


def _column(appliance: str, quantity: str, gathered: Gathered) -> Fact[float]:
    return gathered.column(TABLE, "appliance", appliance, quantity, quantity)


def use(appliance: str, gathered: Gathered, load_w: Fact[float] | None = None, name: str = "") -> Use:
    """An appliance of the table; at the power on record where one is given, and then so seldom that it uses as much."""
    row = next(row for row in rows(TABLE, gathered.books) if row["appliance"] == appliance)
    year = starts(appliance, gathered)
    power, minutes = (_column(appliance, each, gathered) for each in ("cycle_w", "cycle_min"))
    if load_w is not None:
        year = winter.kept_starts_a_year.worked(year, power, load_w)
    watts, a_day = gathered.take(power if load_w is None else load_w), winter.starts_a_day.worked(year)
    if row["activity"] != LEVEL:
        a_day = in_winter(a_day, gathered)
    return Use(name or appliance, round(watts), round(gathered.take(minutes)), gathered.take(a_day),
               by_hour(row["activity"], gathered), round(float(row["rest_min"])), row["activity"] != LEVEL)


def in_winter(a_day: Fact[float], gathered: Gathered) -> Fact[float]:
    """Starts on a day of the heating season, of starts on a day of the year."""
    return winter.winter_starts_a_day.worked(a_day, gathered.assumed_fact("winter_more"))


def appliances(gathered: Gathered) -> tuple[list[Use], float]:
    """What is plugged in, which nobody recorded: what enough homes own; and what all of it takes while it waits (W)."""
    least = gathered.assumed("owned_from_share")
    owned = [row["appliance"] for row in rows(TABLE, gathered.books)
             if row["owned_share"] >= least and row["appliance"] not in FIXED]
    gathered.tell(f"what is plugged in nobody recorded: counted are {', '.join(owned)}")
    waiting = total("standby_w", [_column(name, "standby_w", gathered) for name in owned], "all that waits")
    return [use(name, gathered) for name in owned], gathered.take(waiting)


def untold(gathered: Gathered) -> Fact[float]:
    """What nobody in a survey of homes could name, taken as going on day and night: nothing is in print of its hours."""
    uses = [look_up("yearly_use", gathered.books, settled("use_of", name, "an ordinary home")) for name in ("unknown", "other")]
    evenly = Fact("on_share", 1.0, "assumed", "what a survey could not name", EVENLY)
    return winter.base_w.worked(total("use_kwh", uses, "what nobody could name"), evenly)


def cooking(recorded_w: Sequence[Fact[float]], gathered: Gathered) -> list[Use]:
    """Cookers on record: an oven as printed, and all plates at once with the rest of the power, as seldom as uses as much."""
    if not recorded_w:
        gathered.tell("no cooker is recorded: nothing is cooked by electricity but by what is plugged in")
    out: list[Use] = []
    for n, power in enumerate(recorded_w, 1):
        rest = winter.rest_w.worked(power, _column(OVEN, "cycle_w", gathered))
        if not rest.known:
            gathered.take(power)
        elif rest.value <= 0:                           # a small one: all of it at its own power
            out.append(use(HOB, gathered, power, f"cooker {n}"))
        else:
            gathered.tell("a cooker has an oven and plates, all plates on at once")
            out += [use(OVEN, gathered, None, f"oven {n}"), use(HOB, gathered, rest, f"hob {n}")]
    return out


def showers(recorded_w: Sequence[Fact[float]], gathered: Gathered) -> list[Use]:
    """Electric showers on record, each as often as printed of one, at its own power."""
    if not recorded_w:
        gathered.tell("no electric shower is recorded: nobody washes under one")
    minutes = round(_column(SHOWER, "cycle_min", gathered).value)
    a_day = in_winter(winter.starts_a_day.worked(starts(SHOWER, gathered)), gathered)
    return [Use(f"shower {n}", round(gathered.take(power)), minutes, gathered.take(a_day), by_hour("washing/dressing", gathered))
            for n, power in enumerate(recorded_w, 1)]


def in_the_dark(gathered: Gathered) -> tuple[float, ...]:
    """How lamps lie over the hours of a winter's day: while people are up, but for the hours that are light."""
    light = range(round(gathered.assumed("light_from_h")), round(gathered.assumed("light_to_h")))
    return tuple(0.0 if hour in light else share for hour, share in enumerate(by_hour(UP, gathered)))


def lamps(recorded_w: Sequence[Fact[float]], gathered: Gathered) -> list[Use]:
    """The lamps of each circuit: a share of them at once, on and off in hours while people are up and it is dark."""
    if not recorded_w:
        gathered.tell("no lamps are recorded: none is counted")
    dark = in_the_dark(gathered)
    share, minutes, a_day = (gathered.assumed_fact(name) for name in ("lamps_share", "lamps_min", "lamps_a_day"))
    return [Use(f"lamps {n}", round(gathered.take(winter.lamps_w.worked(power, share))), round(gathered.take(minutes)),
                gathered.take(a_day), dark) for n, power in enumerate(recorded_w, 1)]


def other(found: Mapping[str, Sequence[Fact[float]]], gathered: Gathered) -> list[Use]:
    """Fixed appliances of no kind that the table has: each on for a while once a day."""
    out = []
    for what, powers in found.items():
        for n, power in enumerate(powers, 1):
            gathered.tell(f"{what}: counted as on for an hour, once a day while people are up")
            out.append(Use(f"{what} {n}", round(gathered.take(power)), round(gathered.assumed("other_min")),
                           gathered.assumed("other_a_day"), by_hour(UP, gathered)))
    return out


def water(recorded_w: Sequence[Fact[float]], of: Scenario, gathered: Gathered) -> Water | None:
    """Stored water: all its heaters together on one thermostat, drawn when people wash."""
    if not recorded_w:
        gathered.tell("no heater of stored water is recorded: none is heated by electricity")
        return None
    power = total("load_w", recorded_w, "heaters of stored water")
    draws = winter.draws_a_day.worked(gathered.assumed_fact("water_l_a_day"), gathered.assumed_fact("draw_l"))
    return Water(round(gathered.take(power)), gathered.assumed("store_l"), gathered.assumed("water_loss_w_per_k"),
                 gathered.assumed("water_set_c"), min(gathered.take(draws), float(DAY_MIN)), gathered.assumed("draw_l"),
                 by_hour("washing/dressing", gathered), gathered.assumed("water_band_k"), gathered.assumed("cold_water_c"),
                 may_heat=hours(of.water_hours, gathered))
