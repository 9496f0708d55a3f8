"""Rows that are only ever added: readings, what was seen, what was done, photos. A struck row stays, struck.

A row stands on one line, so that one broken row never swallows the next and two people's rows join by union.
"""
from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, TypeVar

from spareway.doc import BUDGET, Fault, nearest, shorten
from spareway.job.cells import Line, plain_units, quantity_units, read_cell, units_for
from spareway.job.fields import Spec, address, by_key, date, equal_record, flag, number, word
from spareway.job.types import STAGES
from spareway.show import exact

__all__ = ["MOST_ROWS", "ROW_FILES", "Event", "Observation", "Photo", "Reading", "header", "never_nought", "read_rows",
           "standing"]

MOST_ROWS = 20_000
CODES = ("C1", "C2", "C3", "FI")
ANSWERS = ("yes", "no", "not seen", "does not apply")
EVENTS = ("lock", "prove", "hold point", "torque", "core tag", "repair", "seal", "signature")


@equal_record
class Reading:
    """A row of readings.csv: what an instrument showed; `value` in the quantity's own unit, `said` as it was typed."""
    id: str = word("its own name, never used again", "r1", needed=True)
    stage: str = word("the stage it was taken at", "found", STAGES, needed=True)
    quantity: str = word("what was measured, a name from the glossary", "ze_ohm", needed=True)
    a: str = address("where, or the first of two places", "supplies.main", needed=True)
    b: str = address("the second of two places", "circuits.cooker.E", default="")
    setup: str = word("how it was asked", "ends cross-connected", default="")
    value: float | None = number("what the display showed", 0.34)
    unit: str = word("its unit", "Ω", default="")
    over: str = word("over range: yes, or > and the end of the range", ">200", default="")
    instrument: str = word("what it was taken with, a name from kit.toml", "tester-1", default="")
    nulled: bool | None = flag("the leads were nulled")
    loads: str = word("the loads: in, out, off", "out", default="")
    temp_c: float | None = number("temperature of the conductors", 12, -60, 150)
    by: str = word("who took it", "surveyor", needed=True)
    at: str = date("when", "2026-11-09T09:40", needed=True)
    strikes: str = word("the earlier row that it takes the place of, or takes back", "r0", default="")
    said: str = ""
    line: int = 0

    @property
    def shown(self) -> str:
        """What the display showed: the number or `>200` as it was typed, or OL; nothing where nothing is kept."""
        return "OL" if self.over == "yes" else self.said or self.over

    @property
    def over_words(self) -> str:
        """Of a row without a number, what a person is told of it."""
        return "OL: over range" if self.over == "yes" else f"over range ({self.over or 'no value'})"


@equal_record
class Observation:
    """A row of observations.csv: what a person saw."""
    id: str = word("its own name, never used again", "o1", needed=True)
    where: str = address("what it is about", "equipment.board", needed=True)
    place: str = word("where that is, in words", "pantry", default="")
    code: str = word("the code a person gave it", "C2", CODES, default="")
    photo: str = word("the photo that shows it, a name from photos.csv", "f1", default="")
    says: str = word("what was seen", "cover cracked", needed=True)
    by: str = word("who saw it", "surveyor", needed=True)
    at: str = date("when", "2026-11-09T09:20", needed=True)
    strikes: str = word("the earlier row that it takes the place of, or takes back", "o0", default="")
    eye: str = word("the thing to look at that this answers, by its code", "EY14", default="")
    answer: str = word("whether it is as it should be", "yes", ANSWERS, default="")
    line: int = 0


@equal_record
class Event:
    """A row of events.csv: what was done, by whom, with what."""
    id: str = word("its own name, never used again", "e1", needed=True)
    kind: str = word("what was done", "torque", EVENTS, needed=True)
    address: str = address("to what", "board.5.L", needed=True)
    value: float | None = number("the value set or read", 2.5)
    unit: str = word("its unit", "N·m", default="")
    kit: str = word("what with, a name from kit.toml", "driver-1", default="")
    by: str = word("who did it", "fitter", needed=True)
    second: str = word("the second person", "helper", default="")
    at: str = date("when", "2026-11-20T11:05", needed=True)
    strikes: str = word("the earlier row that it takes the place of, or takes back", "e0", default="")
    said: str = ""
    line: int = 0


@equal_record
class Photo:
    """A row of photos.csv: what a photo shows and may be used for."""
    id: str = word("its own name, never used again", "f1", needed=True)
    sha256: str = word("digest of the file", "64 hexadecimal digits", needed=True)
    address: str = address("what it shows", "equipment.board", needed=True)
    purpose: str = word("what it may be used for", "report", needed=True)
    consent: str = word("who agreed to it", "owner", default="")
    boxes: str = word("what to cover before it is shown: left top width height in thousandths, one after another by ;",
                      "120 80 300 150; 0 0 90 1000", default="")
    by: str = word("who took it", "surveyor", needed=True)
    at: str = date("when", "2026-11-09T09:21", needed=True)
    strikes: str = word("the earlier row that it takes the place of, or takes back", "f0", default="")
    line: int = 0


Row = TypeVar("Row", Reading, Observation, Event, Photo)
ROW_FILES: Mapping[str, type] = {"readings.csv": Reading, "observations.csv": Observation, "events.csv": Event,
                                 "photos.csv": Photo}
_MAY_LACK = ("eye", "answer")                    # columns that files written before them do not have
_FRAME = ("id", "by", "at", "strikes")           # a row with nothing else only takes another back


def _columns(cls: type) -> Mapping[str, Spec]:
    return by_key(cls)


def header(cls: type) -> tuple[str, ...]:
    """The columns of a file of such rows, in order."""
    return tuple(_columns(cls))


NEVER_NOUGHT = ("ze_ohm", "zs_ohm", "loop_ln_ohm", "loop_ohm", "fault_ka", "prospective_ka")


def never_nought(row: Reading) -> str:
    """Why a reading of nought is kept and not used, in words: no loop has no resistance, no current flows in none; else ""."""
    if row.value != 0 or row.quantity not in NEVER_NOUGHT:
        return ""
    return (f"{row.said or '0'} was read, which no loop and no fault current is: look at the leads, how they were nulled and the "
            "range, and take it again. It is kept, and not used")


def standing(rows: Iterable[Row]) -> tuple[Row, ...]:
    """The rows that no row strikes, and that say something themselves. What is struck once is struck for good:
    in a chain of corrections only the last one stands."""
    rows = tuple(rows)
    struck = {row.strikes for row in rows if row.strikes}
    return tuple(row for row in rows if row.id not in struck and not _only_strikes(row))


def _only_strikes(row: Any) -> bool:
    own = (key for key in header(row.__class__) if key not in _FRAME)
    return bool(row.strikes) and all(getattr(row, key) in ("", None) for key in own)


# ---- reading --------------------------------------------------------------------------------------------------------
def read_rows(file: str, text: str, cls: type[Row]) -> tuple[tuple[Row, ...], tuple[Fault, ...]]:
    """The sound rows of a file, struck ones among them (see `standing`), and every fault of it."""
    faults: list[Fault] = []
    lines = _lines(file, text, faults)
    if not lines:
        return (), tuple(faults)
    known = _columns(cls)
    whole = _named(Line(file, lines[0][0], faults), lines[0][1], known)
    columns = [known.get(name) for name in lines[0][1]]
    rows: list[Row] = []
    seen: dict[str, int] = {}
    for line, cells in lines[1:]:
        at = Line(file, line, [])
        values = _values(at, cells, columns)
        if whole and values:
            _agree(at, dict.fromkeys(known, "") | dict(zip(lines[0][1], cells, strict=True)), values, cls, seen)
            if not at.faults:
                rows.append(cls(**values, line=line))
        elif whole:
            seen.setdefault(cells[0], line)                       # so that what strikes it is not blamed too
        faults += at.faults
    return tuple(rows), tuple(faults)


def _lines(file: str, text: str, faults: list[Fault]) -> list[tuple[int, list[str]]]:
    """(line, cells) of every line that is not empty, the header first; none of a text that is over the budget."""
    raw = text.removeprefix("\ufeff").split("\n")                 # spreadsheets put a mark before the first letter
    size, many = len(text.encode("utf-8", "surrogatepass")), len(raw) - 1 - (not raw[-1])
    for count, most, what in ((size, BUDGET.size_bytes, "bytes"), (many, MOST_ROWS, "rows")):
        if count > most:
            faults.append(Fault(file, None, "", f"{count} {what}", f"{count} {what}", f"at most {most} {what}"))
            return []
    columns = [name.strip('"\r') for name in raw[0].split(",")]
    parted = ((line, _cells(Line(file, line, faults), words.removesuffix("\r"), columns)) for line, words in enumerate(raw, 1))
    found = [(line, cells) for line, cells in parted if cells]
    if not found and not faults:
        faults.append(Fault(file, None, "", "", "an empty file", "the first line names the columns"))
    return found


def _cells(at: Line, line: str, columns: Sequence[str]) -> list[str]:
    """The cells of a line; none, with a fault, where it cannot be parted into cells."""
    if len(line.encode("utf-8", "surrogatepass")) > BUDGET.line_bytes:
        at.fault("", line, "a line too long to read", f"at most {BUDGET.line_bytes} bytes a line")
    elif not line.isprintable():
        place, strange = next((i, c) for i, c in enumerate(line) if not c.isprintable())
        cell = "".join(line[:place].split('"')[::2]).count(",")              # commas outside quotes
        column = shorten(columns[cell]) if at.number > 1 and cell < len(columns) and columns[cell].isprintable() else ""
        at.fault(column, ascii(line), f"a character that cannot be printed, U+{ord(strange):04X}", "take it out")
    else:
        try:
            return next(csv.reader([line], strict=True), [])
        except csv.Error:
            at.fault("", line, "a quoted text that does not end as it should",
                     'a row stands on one line; a text with commas stands in "quotes", a quote within it twice')
    return []


def _named(at: Line, names: Sequence[str], known: Mapping[str, Spec]) -> bool:
    """Whether the first line names columns there are, each once, in any order, and all that a row needs; otherwise faults."""
    before = len(at.faults)
    missing = [key for key in known if key not in names and key not in _MAY_LACK]
    listed = f"the columns are {','.join(known)}"
    for name in names:
        if name not in known:
            at.fault(name, name, f'there is no column "{shorten(name)}"', listed, nearest(name, missing or known))
    for key in missing:
        if known[key].needed:
            at.fault(key, ",".join(names), f"column {key} is missing", listed,
                     nearest(key, [n for n in names if n not in known]))
    for key in known:
        if names.count(key) > 1:
            at.fault(key, key, f"column {key} stands {names.count(key)} times", "once is enough")
    return len(at.faults) == before


def _values(at: Line, cells: Sequence[str], columns: Sequence[Spec | None]) -> dict[str, Any]:
    """The cells of a row, each read as its column says; nothing, with a fault, where they are too many or too few."""
    if len(cells) != len(columns):
        at.fault("", ",".join(cells), f"{len(cells)} cells where the first line names {len(columns)}",
                 "a number has a point, not a comma" if len(cells) > len(columns) else "an empty cell keeps its comma")
        return {}
    pairs = [(spec, cell) for spec, cell in zip(columns, cells, strict=True) if spec]
    only_strikes = all(not cell or spec.key in _FRAME for spec, cell in pairs) and any(
        cell for spec, cell in pairs if spec.key == "strikes")
    return {spec.name: read_cell(at, spec, cell, spec.needed and (spec.key in _FRAME or not only_strikes))
            for spec, cell in pairs}


def _agree(at: Line, said: Mapping[str, str], values: dict[str, Any], cls: type, seen: dict[str, int]) -> None:
    """What the cells of a row must be to one another and to the rows above."""
    own, struck = said["id"], said["strikes"]
    if struck and struck not in seen:
        at.fault("strikes", struck, f'no earlier row is called "{shorten(struck)}"',
                 "a row strikes one that stands above it", nearest(struck, seen))
    if own in seen:
        at.fault("id", own, f'line {seen[own]} is called "{shorten(own)}" already', "give each row its own id")
    elif own:
        seen[own] = at.number
    if cls is Reading and said["quantity"]:
        _reading(at, said, values)
    elif cls is Event:
        _event(at, said, values)
    elif cls is Observation and bool(said.get("eye")) != bool(said.get("answer")):
        at.fault("answer" if said.get("eye") else "eye", "", "an item and its answer stand together",
                 f"name the item in eye, and one of {', '.join(ANSWERS)} in answer")


def _reading(at: Line, said: Mapping[str, str], values: dict[str, Any]) -> None:
    """A value or over range, in a unit of its quantity; both are brought to the quantity's own."""
    value, over, quantity = said["value"], said["over"], said["quantity"]
    if bool(value) == bool(over):
        at.fault("value", value, "both a value and over range" if value else "neither a value nor over range",
                 "write what the display showed")
    own, unit = quantity_units().get(quantity), plain_units(said["unit"])
    if own is None:
        return
    units = units_for(own)
    if unit not in units:
        at.fault("unit", unit, f'read "{shorten(unit)}"' if unit else "unit is missing",
                 f"{quantity} is in {' or '.join(units)}" if own else f"{quantity} has no unit")
    elif not at.faults:
        power = units[unit]
        values |= {"unit": own, "said": f"{value or over} {unit}".rstrip()}
        if value:
            values["value"] = float(f"{value}e{power}")           # moved as a decimal: 0.62 kΩ is 620 Ω to the last bit
        elif power and over.startswith(">"):
            values["over"] = f">{exact(float(f'{over[1:]}e{power}'))}"


def _event(at: Line, said: Mapping[str, str], values: dict[str, Any]) -> None:
    """A value and its unit stand together."""
    value, unit = said["value"], plain_units(said["unit"])
    if bool(value) != bool(unit):
        at.fault("unit" if value else "value", "", f"{'unit' if value else 'value'} is missing",
                 "a value and its unit stand together")
    values |= {"unit": unit, "said": f"{value} {unit}".strip()}
