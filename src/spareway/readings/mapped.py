"""Readings out of a plain CSV, by a small mapping that says which column is what. No maker's format: the mapping is the user's.

    separator = ";"                    a comma where left out
    decimal   = ","                    a point where left out
    over      = ["OL", "OFL"]          what stands for over range without an end; ">999" always does
    blank     = ["", "-"]              what stands for not read: nothing becomes of it

    [same]                             what every row gets
    stage = "fitted"
    by    = "fitter"

    [columns]                          a column of readings.csv = a column of the file
    at     = "Taken"
    temp_c = "Conductor"

    [place]                            where a line was read: the column, and what its words are called here
    column = "Circuit"
    names  = { "Sockets down" = "circuits.plugs" }

    [readings.series]                  one for each column that holds readings
    column   = "R1+R2"
    quantity = "r1r2_ohm"
    unit     = "Ω"
    behind   = "points.p4"             what follows the place, where it is not the whole
    setup    = "linked at the board"
"""
from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from spareway.doc import BUDGET, Doc, Fault, InputError, nearest, read, shorten
from spareway.job.cells import quantity_units
from spareway.job.fields import names as listed
from spareway.job.fields import record, table, tables, word, words
from spareway.job.rows import MOST_ROWS, Reading, header, read_rows

__all__ = ["MAPPING", "Mapped", "MappingFile", "mapped"]

MAPPING, FILE = "mapping.toml", "readings.csv"
TOP = ("separator", "decimal", "over", "blank", "same", "columns", "place", "readings")
OF_PLACE, OF_READING = ("column", "names"), ("column", "quantity", "unit", "behind", "setup", "loads")
SET_HERE = ("id", "quantity", "a", "value", "unit", "over", "strikes")           # these the mapping itself fills


@dataclass(frozen=True, slots=True)
class Mapped:
    """text: readings.csv with the sound rows after those that stood there; every fault of the file, line by line; how many cells
    held a reading and how many were blank."""
    text: str
    rows: tuple[Reading, ...]
    faults: tuple[Fault, ...]
    blank_n: int


@record
class PlaceColumn:
    """Where each line was read."""
    column: str = word("the column that says it", "Circuit", needed=True)
    names: Mapping[str, str] = words("what its words are called here", {"Sockets down": "circuits.plugs"})


@record
class ReadingColumn:
    """A column that holds readings: `readings.series`."""
    column: str = word("what the file calls it", "R1+R2", needed=True)
    quantity: str = word("what was measured, a name from the glossary", "r1r2_ohm", needed=True)
    unit: str = word("its unit", "Ω", needed=True)
    behind: str = word("what follows the place, where it is not the whole", "points.p4", default="")
    setup: str = word("how it was asked", "linked at the board", default="")
    loads: str = word("the loads: in, out, off", "out", default="")


@record
class MappingFile:
    """mapping.toml: which column of a plain CSV is what."""
    separator: str = word("what stands between two columns", ";", default=",")
    decimal: str = word("what stands before the decimals", ",", default=".")
    over: tuple[str, ...] = listed("what stands for over range without an end", ["OL"])
    blank: tuple[str, ...] = listed("what stands for not read", ["", "-"])
    same: Mapping[str, str] = words("what every row gets: a column of readings.csv and its text", {"stage": "found"})
    columns: Mapping[str, str] = words("a column of readings.csv, and what the file calls it", {"at": "Taken"})
    place: PlaceColumn | None = table(PlaceColumn, "where each line was read", needed=True)
    readings: Mapping[str, ReadingColumn] = tables(ReadingColumn, "one for each column that holds readings", needed=True)


@dataclass(slots=True)
class _Map:
    separator: str = ","
    decimal: str = "."
    over: Sequence[str] = ()
    blank: Sequence[str] = ("",)
    same: Mapping[str, str] = field(default_factory=dict)
    columns: Mapping[str, str] = field(default_factory=dict)
    place: Mapping[str, Any] = field(default_factory=dict)
    readings: Mapping[str, Mapping[str, str]] = field(default_factory=dict)


def mapped(standing: str, mapping: str, name: str, text: str, prefix: str) -> Mapped:
    """What a CSV adds to readings.csv. A line with a fault adds nothing, and is told; the others are taken.

    standing: readings.csv as it is, or ""; name: what the CSV is called in messages; prefix: of the new rows' ids.
    Errors: InputError for a mapping that does not hold together, or a file that is none of its kind: then nothing is taken."""
    of = _mapping(read(MAPPING, mapping))
    lines = _lines(name, text, of)
    columns = lines[0][1]
    _columns_there(name, columns, of)
    kept = standing or f"{','.join(header(Reading))}\n"
    taken, faults, blank_n = list[Reading](), list[Fault](), 0
    number = _free(prefix, standing)
    for line, cells in lines[1:]:
        wrong, rows, blanks = _line(name, line, dict(zip(columns, cells, strict=False)), len(cells) == len(columns), of)
        blank_n += blanks
        added = "".join(_written({"id": f"{prefix}-{number + n}"} | row, kept) for n, (_, row) in enumerate(rows))
        read_back, odd = read_rows(FILE, f"{kept.partition(chr(10))[0]}\n{added}", Reading) if rows else ((), ())
        wrong += [_told(each, name, line, rows[(each.line or 2) - 2][0], of) for each in odd]
        faults += wrong
        if not wrong:
            kept, number, taken = f"{kept.rstrip(chr(10))}\n{added}" if added else kept, number + len(rows), [*taken, *read_back]
    return Mapped(kept, tuple(taken), tuple(faults), blank_n)


# ---- the mapping ----------------------------------------------------------------------------------------------------
def _mapping(doc: Doc) -> _Map:
    """Errors: InputError with everything that is wrong with it."""
    faults = [doc.fault((key,), key, f"there is no {key} in a mapping", f"one of {', '.join(TOP)}", nearest(key, TOP))
              for key in doc.data if key not in TOP]
    faults += _shapes(doc)
    if not faults:
        faults += _named(doc)
    if faults:
        raise InputError(faults)
    return _Map(**doc.data)


def _shapes(doc: Doc) -> Iterator[Fault]:
    """Texts, lists of texts and tables where each belongs."""
    data = doc.data
    for key in ("separator", "decimal"):
        if key in data and (not isinstance(data[key], str) or len(data[key]) != 1):
            yield doc.fault((key,), data[key], "not one character", 'like ";"')
    if data.get("separator", ",") == data.get("decimal", "."):
        yield doc.fault(("decimal",), data.get("decimal", "."), "one character parts both columns and decimals",
                        "two that differ")
    for key in ("over", "blank"):
        if key in data and not (isinstance(data[key], list) and all(isinstance(each, str) for each in data[key])):
            yield doc.fault((key,), data[key], "not a list of texts", '["OL"]')
    for key in ("same", "columns"):
        yield from _texts(doc, (key,), data.get(key, {}), [c for c in header(Reading) if c not in SET_HERE])
    yield from _texts(doc, ("place",), data.get("place"), OF_PLACE)
    entries = data.get("readings")
    if not isinstance(entries, dict) or not entries:
        yield doc.fault(("readings",), entries, "no column of readings is named",
                        "[readings.series] with column, quantity and unit")
        return
    for name, entry in entries.items():
        yield from _texts(doc, ("readings", name), entry, OF_READING)


def _texts(doc: Doc, at: tuple[str, ...], held: Any, keys: Sequence[str]) -> Iterator[Fault]:
    """A table of texts under known keys; `names` of a place is a table of its own."""
    if not isinstance(held, dict):
        yield doc.fault(at, held, f"{'.'.join(at)} is missing or no table", f"a table of {', '.join(keys)}")
        return
    for key, value in held.items():
        if key not in keys:
            yield doc.fault((*at, key), key, f"there is no {key} here", f"one of {', '.join(keys)}", nearest(key, keys))
        elif key == "names" and not (isinstance(value, dict) and all(isinstance(v, str) for v in value.values())):
            yield doc.fault((*at, key), value, "not a table of addresses", '{ "Sockets down" = "circuits.plugs" }')
        elif key != "names" and not isinstance(value, str):
            yield doc.fault((*at, key), value, "not a text", 'in "quotes"')


def _named(doc: Doc) -> Iterator[Fault]:
    """What must be there, and quantities that there are."""
    for at, held, needed in [(("place",), doc.data["place"], ("column",)),
                             *((("readings", n), e, ("column", "quantity", "unit")) for n, e in doc.data["readings"].items())]:
        for key in needed:
            if not held.get(key):
                yield doc.fault((*at, key), "", f"{'.'.join(at)}.{key} is missing")
        quantity = held.get("quantity", "")
        if quantity and quantity not in quantity_units():
            yield doc.fault((*at, "quantity"), quantity, f'there is no quantity "{shorten(quantity)}"',
                            "a name from the glossary", nearest(quantity, quantity_units()))


# ---- the file -------------------------------------------------------------------------------------------------------
def _lines(name: str, text: str, of: _Map) -> list[tuple[int, list[str]]]:
    """(line, cells) of every line that holds something. Errors: InputError for a text too large, or with nothing in it."""
    raw = text.removeprefix("\ufeff").split("\n")
    size = len(text.encode("utf-8", "surrogatepass"))
    if size > BUDGET.size_bytes or len(raw) > MOST_ROWS:
        raise InputError([Fault(name, None, "", f"{size} bytes", f"{size} bytes, {len(raw)} lines",
                                f"at most {BUDGET.size_bytes} bytes and {MOST_ROWS} lines")])
    found = []
    for number, line in enumerate(raw, 1):
        if not line.strip():
            continue
        try:
            cells = next(csv.reader([line.rstrip("\r")], delimiter=of.separator, strict=True))
        except csv.Error:
            cells = []                                                       # told where its cells are counted
        found.append((number, [cell.strip() for cell in cells]))
    if not found:
        raise InputError([Fault(name, None, "", "", "an empty file", "the first line names the columns")])
    return found


def _columns_there(name: str, columns: Sequence[str], of: _Map) -> None:
    """Errors: InputError for a column that the mapping names and the file does not have, or has twice."""
    wanted = [of.place["column"], *of.columns.values(), *(each["column"] for each in of.readings.values())]
    faults = [Fault(name, 1, column, ",".join(columns), f'there is no column "{shorten(column)}"' if column not in columns else
                    f'"{shorten(column)}" stands {columns.count(column)} times', f"the columns are {', '.join(columns)}",
                    nearest(column, columns) if column not in columns else "")
              for column in dict.fromkeys(wanted) if columns.count(column) != 1]
    if faults:
        raise InputError(faults)


Rows = list[tuple[str, dict[str, str]]]


def _line(name: str, line: int, cell: Mapping[str, str], whole: bool, of: _Map) -> tuple[list[Fault], Rows, int]:
    """The faults of one line, its rows each with the column it came from, and how many of its readings are blank."""
    if not whole:
        return [Fault(name, line, "", str(len(cell)), "not as many cells as the first line names columns",
                      "an empty cell keeps its separator; a text with separators stands in quotes")], [], 0
    said = cell[of.place["column"]]
    names = of.place.get("names", {})
    at = names.get(said, said)
    if not at.startswith(("circuits.", "runs.", "equipment.", "supplies.")):
        return [Fault(name, line, of.place["column"], said, f'nothing says where "{shorten(said)}" is',
                      "add it to names under [place] of the mapping", nearest(said, names))], [], 0
    rows: Rows = []
    shared = {**of.same, **{own: cell[column] for own, column in of.columns.items()}}
    blanks = 0
    for each in of.readings.values():
        shown = cell[each["column"]]
        if shown in of.blank:
            blanks += 1
            continue
        value = shown.replace(of.decimal, ".") if of.decimal != "." else shown
        over = "yes" if shown in of.over else value if value.startswith(">") else ""
        place = f"{at}.{each['behind']}" if each.get("behind") else at
        own = {key: each[key] for key in ("quantity", "unit", "setup", "loads") if each.get(key)}
        rows.append((each["column"], shared | own | {"a": place, "value": "" if over else value, "over": over}))
    return [], rows, blanks


def _told(fault: Fault, name: str, line: int, column: str, of: _Map) -> Fault:
    """A fault of a row of ours as one of the line it came from, under what the file calls the column."""
    held = of.columns.get(fault.field, of.place["column"] if fault.field == "a" else
                          column if fault.field in ("value", "over", "unit") else fault.field)
    return Fault(name, line, held, fault.read, fault.says, fault.allowed, fault.nearest)


def _written(row: Mapping[str, str], kept: str) -> str:
    columns = next(csv.reader([kept.partition("\n")[0].removeprefix("\ufeff").rstrip("\r")]))
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerow([row.get(column, "") for column in columns])
    return out.getvalue()


def _free(prefix: str, standing: str) -> int:
    """The first number that no row of this prefix has."""
    cells = [cell.strip('"') for line in standing.split("\n") for cell in line.rstrip("\r").split(",")]
    numbers = [cell[len(prefix) + 1:] for cell in cells if cell.startswith(f"{prefix}-")]
    return max((int(each) for each in numbers if each.isascii() and each.isdigit()), default=0) + 1
