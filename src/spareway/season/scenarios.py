"""What a winter is like and what happens in it, as a file says it. Scenarios differ by files, never by code.

Those that come with the package lie in `scenarios/`; a firm or a job may bring its own. What a file does not say is looked up
among assumed figures, so that nothing is left to silence; every fault of a file is one sentence with its line.
"""
from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from spareway.doc import Doc, Fault, InputError, nearest, read
from spareway.fact import Fact
from spareway.job.fields import names, number, record, table, tables, text, whole, word
from spareway.job.read import Faults, build, hidden_characters

__all__ = ["Scenario", "named", "read_scenario", "scenarios"]

Amount = Fact[float]
SETTINGS = ("as designed", "as people set them")
MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
          "November", "December")
WHOLE = 1e-6                                        # shares come to one within this
MOST_DAYS = 366


@record
class Weather:
    """What it is like outside: months one after another, or so many days about one mean."""
    months: tuple[str, ...] = names("the months of it, in order", ["October", "November"])
    days_n: int = whole("days of it, where no months are named", 14, 0, MOST_DAYS, default=0)
    mean_c: Amount = number("mean outside over those days; that of the design day where nothing says it", 1, -40, 30)
    swing_k: Amount = number("from the coldest to the warmest hour of a day", 6, 0, 40)
    spread_k: Amount = number("spread of the mean of a day", 3, 0, 15)
    day_on_day: Amount = number("how far a day is like the one before, 0 to 1", 0.8, 0, 0.99)
    cold_days_n: int = whole("days on end, about the coldest, as cold as heating is designed for", 3, 0, MOST_DAYS, default=3)
    colder_k: Amount = number("how much colder than that those days are", 5, 0, 30)
    draw: int = whole("which of the many winters of this kind", 1, 0, 1_000_000, default=1)


@record
class Span:
    """From an hour of the day until another: `warm.day`."""
    name: str = ""
    from_h: Amount = number("from, hours since midnight", 6.5, 0, 24)
    to_h: Amount = number("until, hours since midnight", 22.5, 0, 24)


@record
class Later:
    """On a share of the days the home wakes later, or before its time: `later.weekend`."""
    name: str = ""
    shift_min: Amount = number("minutes later; below nought, earlier", 60, -720, 720)
    draw_share: Amount = number("share of the days", 0.3, 0, 1)


@record
class People:
    """In a share of the winters more or less is used: `people.many`."""
    name: str = ""
    liveliness: Amount = number("times as much as on the whole", 1.5, 0.05, 20)
    draw_share: Amount = number("share of the winters", 0.25, 0, 1)


@record
class Begin:
    """On a share of the days it begins at this hour: `charging.begins.evening`."""
    name: str = ""
    at_h: Amount = number("hours since midnight", 18, 0, 23.999)
    draw_share: Amount = number("share of the days on which it begins at all", 0.5, 0, 1)


@record
class Outage:
    """Without power for a while; then everything is cold and comes back at once."""
    from_h: Amount = number("from, hours since the midnight before the first day that counts", 8, 0, 8_784)
    for_h: Amount = number("for so many hours", 10, 0.0166, 720)


@record
class Charging:
    """A vehicle that is charged. By the charge point of the record, or by one that is asked about."""
    charge_kwh: Amount = number("energy of a charge", 10, 0.1, 200)
    draw_share: Amount = number("share of the days with a charge", 0.7, 0, 1)
    asked_w: Amount = number("power, where the record has no charge point: what if", 7_360, 100, 22_000, quantity="load_w")
    begins: Mapping[str, Begin] = tables(Begin, "when a charge begins")


@record
class Clear:
    """On a share of the days the sun gives so much: `sun.days.dull`."""
    name: str = ""
    clear_share: Amount = number("share of what it could give", 0.3, 0, 1)
    draw_share: Amount = number("share of the days", 0.5, 0, 1)


@record
class Sun:
    """A solar array behind the same fuse. By the inverter of the record, or by one that is asked about."""
    asked_w: Amount = number("most it feeds in, where the record has no inverter: what if", 3_680, 100, 20_000, quantity="sun_w")
    from_h: Amount = number("sunrise, hours since midnight", 8, 0, 24)
    to_h: Amount = number("sunset, hours since midnight", 16, 0, 24)
    days: Mapping[str, Clear] = tables(Clear, "how clear days are")


@record
class Scenario:
    """A season's file."""
    says: str = word("what it is, in a sentence", "an ordinary heating season, October to April", needed=True)
    weather: Weather | None = table(Weather, "what it is like outside")
    settings: str = word("how warm rooms are kept", "as designed", SETTINGS, default="as designed")
    set_back_c: Amount = number("temperature outside the warm hours", 16, 0, 30)
    warm: Mapping[str, Span] = tables(Span, "hours in which rooms are kept warm")
    later: Mapping[str, Later] = tables(Later, "days that begin later")
    one_timer: Fact[str] = text("whether one timer rules all, so that no day begins later", "yes", ("yes", "no"), quantity="case")
    people: Mapping[str, People] = tables(People, "winters in which more or less is used")
    water_hours: Mapping[str, Span] = tables(Span, "hours in which stored water may be heated; all day where none are said")
    storage_hours: Mapping[str, Span] = tables(Span, "hours in which storage heaters are charged")
    outage: Outage | None = table(Outage, "without power for a while")
    charging: Charging | None = table(Charging, "a vehicle that is charged")
    sun: Sun | None = table(Sun, "a solar array")


@dataclass(frozen=True, slots=True)
class Named:
    """A scenario with the name of its file."""
    file: str
    scenario: Scenario


def scenarios() -> dict[str, str]:
    """The scenarios of the package and what each is, by name. It lists a folder: for those who ask, not for a check."""
    from spareway.bundled import names as files
    found = [file.removesuffix(".toml") for file in files("season/scenarios") if file.endswith(".toml")]
    return {name: named(name).scenario.says for name in sorted(found, key=lambda name: (name != "ordinary", name))}


def named(name: str) -> Named:
    """A scenario of the package. Errors: InputError for a name that is none."""
    from spareway.bundled import text as bundled
    try:
        said = bundled(f"season/scenarios/{name}.toml") if name.replace("-", "").isalnum() else ""
    except FileNotFoundError:
        said = ""
    if not said:
        known = scenarios()
        raise InputError([Fault("command line", None, "scenario", name, f'there is no scenario "{name}"',
                                f"one of {', '.join(known)}, or a file of your own", nearest(name, known))])
    return Named(name, read_scenario(f"{name}.toml", said))


def read_scenario(file: str, said: str) -> Scenario:
    """A scenario out of its text. Errors: InputError with a sentence for every fault."""
    doc = read(file, said)
    faults: Faults = [*hidden_characters(doc, said)]
    made = build(Scenario, doc.data, (), doc, faults)
    if not faults:
        faults += _wrong(made, doc)
    if faults:
        raise InputError(sorted(faults, key=lambda f: f.line or 0))
    return made


# ---- what does not hold together -------------------------------------------------------------------------------------
def _wrong(of: Scenario, doc: Doc) -> Iterator[Fault]:
    yield from _wrong_weather(of, doc)
    for what in ("warm", "water_hours", "storage_hours"):
        yield from _wrong_spans(what, getattr(of, what), doc)
    for what, shares in (("later", of.later), ("people", of.people)):
        yield from _wrong_shares((what,), shares.values(), doc)
    if of.charging:
        if not of.charging.begins:
            yield doc.fault(("charging",), "", "a charge has an hour at which it begins",
                            "write [charging.begins.evening] with at_h = 18 and draw_share = 1, or leave charging out")
        yield from _wrong_shares(("charging", "begins"), of.charging.begins.values(), doc)
    if of.sun:
        yield from _wrong_shares(("sun", "days"), of.sun.days.values(), doc)
        if not (of.sun.from_h.known and of.sun.to_h.known and of.sun.from_h.value < of.sun.to_h.value):
            yield doc.fault(("sun",), "", "sunrise is before sunset", "write from_h = 8 and to_h = 16")
    yield from _wrong_outage(of, doc)
    yield from _unknowns(doc.data, doc)


def _wrong_outage(of: Scenario, doc: Doc) -> Iterator[Fault]:
    """It ends before the days do: what comes back after it is what is asked about."""
    if of.outage is None:
        return
    if not (of.outage.from_h.known and of.outage.for_h.known):
        yield doc.fault(("outage",), "", "an outage has a beginning and a length", "write from_h = 8 and for_h = 10")
        return
    ends_h, days_n = of.outage.from_h.value + of.outage.for_h.value, _days_n(of)
    if days_n and ends_h >= 24 * days_n:
        says = f"the outage ends {ends_h:g} hours after the first midnight, and {days_n} days are {24 * days_n} hours"
        yield doc.fault(("outage", "from_h"), of.outage.from_h.value, says, "it ends before the days do")


def _days_n(of: Scenario) -> int:
    """Days that count; 0 where the weather of the file does not say."""
    from spareway.tables.table import table
    weather = of.weather or Weather()
    days = {row.keys[0]: float(row.also["days"]) for row in table("month_means").rows}
    return weather.days_n or (int(math.fsum(days[month] for month in weather.months)) if {*weather.months} <= {*days} else 0)


def _wrong_weather(of: Scenario, doc: Doc) -> Iterator[Fault]:
    weather = of.weather
    if weather is None or bool(weather.months) == bool(weather.days_n):
        yield doc.fault(("weather",), "", "weather has either months or a number of days",
                        'write months = ["January"], or days_n = 14')
        return
    for month in weather.months:
        if month not in MONTHS:
            yield doc.fault(("weather", "months"), month, f'there is no month "{month}"', f"one of {', '.join(MONTHS)}",
                            nearest(month, MONTHS))
    if len(weather.months) > 12:
        yield doc.fault(("weather", "months"), len(weather.months), f"{len(weather.months)} months", "at most 12")


def _wrong_spans(what: str, spans: Mapping[str, Span], doc: Doc) -> Iterator[Fault]:
    """Hours run forward and apart from one another; one across midnight is written as two."""
    last = -1.0
    for name, span in sorted(spans.items(), key=lambda each: each[1].from_h.amount or 0.0):
        if not (span.from_h.known and span.to_h.known) or span.from_h.value >= span.to_h.value:
            yield doc.fault((what, name), "", "hours run from an earlier to a later one of the same day",
                            "write those across midnight as two")
        elif span.from_h.value < last:
            yield doc.fault((what, name), span.from_h.value, f"begins at {span.from_h} while another still runs", "part them")
        last = max(last, span.to_h.amount or 0.0)


def _wrong_shares(at: tuple[str, ...], of: Iterable[Later | People | Begin | Clear], doc: Doc) -> Iterator[Fault]:
    shares: Sequence[float] = [each.draw_share.amount or 0.0 for each in of]
    if shares and abs(math.fsum(shares) - 1) > WHOLE:
        yield doc.fault(at, math.fsum(shares), f"the shares come to {math.fsum(shares):g}", "they come to 1")


def _unknowns(data: object, doc: Doc, at: tuple[str, ...] = ()) -> Iterator[Fault]:
    """A season is made of numbers: what nobody knows of it is left out, and then assumed and named."""
    if isinstance(data, dict):
        if "unknown" in data:
            yield doc.fault(at, data["unknown"], "a season's file says no unknown", "leave it out: it is assumed then, and told")
        for key, value in data.items():
            yield from _unknowns(value, doc, (*at, key))
