"""A table of published numbers as its TOML file holds it, checked when it is read, and how one of its rows is found."""
from __future__ import annotations

import math
import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any

from spareway.bundled import text
from spareway.plain_toml import loads
from spareway.tables.books import Books, all_books, editions, place_in_order

__all__ = ["NoRow", "Row", "Table", "TableError", "read_table", "table"]

TRUST = ("confirmed", "one source", "derived", "from memory", "uncertain")           # the best known first
SOURCED = TRUST[:3]
BETWEEN = ("refuse", "next-larger", "interpolate")
DEFAULTS = ("gives", "book", "place", "trust", "since", "until", "note")
_NUMBER = re.compile(r"-?[0-9]+(\.[0-9]+)?\Z")
_SAME = 1e-9                                                                          # relative, between number keys


class TableError(ValueError):
    """A table of ours that does not hold together: a slipped digit, two rows for one thing, a word that is none."""


class NoRow(LookupError):
    """Nothing stands in the table for these keys in this edition: which table, keys, edition, and the nearest rows."""

    def __init__(self, name: str, keys: Mapping[str, Any], edition: str, near: Sequence[str]) -> None:
        asked = ", ".join(f"{key} {said(amount)}" for key, amount in keys.items())
        there = f"nearest there: {'; '.join(near)}" if near else "no row is of this edition"
        super().__init__(f"table {name} has no row for {asked} in {edition}; {there}")
        self.table, self.keys, self.edition, self.nearest = name, dict(keys), edition, tuple(near)


@dataclass(frozen=True, slots=True)
class Row:
    """One row: its keys in the table's order, its value, and where and how well that is known."""
    keys: tuple[Any, ...]
    value: Any
    gives: str
    book: str
    place: str
    trust: str
    since: str
    until: str
    note: str
    also: Mapping[str, Any]

    def where(self, books: Books) -> str:
        """`BS 7671:2018+A4 Table 4D5`."""
        return f"{books.cited(self.book)} {self.place}".rstrip()

    def bears(self, books: Books) -> str:
        """What to bear in mind: the row's own note, and that nobody saw the number in that edition."""
        caution = books.edition.caution if self.book == "bs7671" else ""
        return "; ".join(each for each in (self.note, caution) if each)


@dataclass(frozen=True, slots=True)
class _Beside:
    """Rows that differ in their last key only, in the table's order; where that is a number, by its size as well."""
    rows: Sequence[Row]
    numbers: bool = False
    by_size: Sequence[Row] = ()
    sourced: Sequence[Row] = ()

    @classmethod
    def of(cls, rows: Sequence[Row]) -> _Beside:
        if not rows or not all(_is_number(row.keys[-1]) for row in rows):
            return cls(rows)
        by_size = sorted(rows, key=_last)
        return cls(rows, True, by_size, [row for row in by_size if row.trust in SOURCED])

    def near(self, amount: float) -> Row | None:
        """The row of this very number, within a billionth: of no row but those next to it can that be so."""
        at = bisect_left(self.by_size, amount, key=_last)
        return next((row for row in self.by_size[max(0, at - 1):at + 1] if _near(row.keys[-1], amount)), None)

    def above(self, amount: float) -> Row | None:
        at = bisect_right(self.by_size, amount, key=_last)
        return self.by_size[at] if at < len(self.by_size) and self.by_size[at].keys[-1] > amount else None

    def about(self, amount: float) -> tuple[Row, Row] | None:
        """The rows with a source on either side."""
        at = bisect_right(self.sourced, amount, key=_last)
        return (self.sourced[at - 1], self.sourced[at]) if 0 < at < len(self.sourced) else None


@dataclass(slots=True)
class Table:
    """A table. `same` reads one word of a key as another: a fuse of either type of a standard as that standard."""
    name: str
    says: str
    gives: str
    keys: tuple[str, ...]
    between_rows: str
    rows: tuple[Row, ...]
    same: Mapping[str, Mapping[str, str]]
    _editions: dict[str, dict[tuple[Any, ...], Row]] = field(default_factory=dict)
    _beside: dict[str, dict[tuple[Any, ...], _Beside]] = field(default_factory=dict)

    def of(self, books: Books) -> Iterator[Row]:
        """The rows of the chosen edition."""
        return iter(self._by_keys(books).values())

    def _by_keys(self, books: Books) -> dict[tuple[Any, ...], Row]:
        """The rows of the chosen edition by their keys, in the table's order."""
        found = self._editions.get(books.bs7671)
        if found is None:
            found = {row.keys: row for row in self.rows if books.within(row.since, row.until)}
            self._editions[books.bs7671] = found
        return found

    def _rows_of(self, books: Books, lead: tuple[Any, ...]) -> _Beside:
        """The rows of the chosen edition that differ from one another in their last key only: those with these keys before it."""
        groups = self._beside.get(books.bs7671)
        if groups is None:
            gathered: dict[tuple[Any, ...], list[Row]] = {}
            for row in self.of(books):
                gathered.setdefault(row.keys[:-1], []).append(row)
            groups = self._beside[books.bs7671] = {keys: _Beside.of(rows) for keys, rows in gathered.items()}
        found = groups.get(lead)
        if found and all(map(_same, found.rows[0].keys, lead)):     # 1 and true are one key to Python
            return found
        return _Beside.of([row for row in self.of(books) if all(map(_same, row.keys[:-1], lead))])

    def find(self, books: Books, amounts: tuple[Any, ...]) -> Row:
        """The row for these keys. Errors: NoRow, never a row from another edition or beyond the last one."""
        row, larger = self._found(books, amounts)
        if not larger:
            return row
        taken = f"the row of {said(row.keys[-1])}" if math.isfinite(row.keys[-1]) else "the last row"
        return replace(row, note="; ".join(each for each in (taken, row.note) if each))

    def value(self, books: Books, amounts: tuple[Any, ...]) -> tuple[Any, str]:
        """(value, trust) of the row for these keys, as `find` gives them: a search asks for thousands. Errors: NoRow."""
        row, _ = self._found(books, amounts)
        return row.value, row.trust

    def _found(self, books: Books, amounts: tuple[Any, ...]) -> tuple[Row, bool]:
        """The row for these keys, and whether it is the next larger one."""
        wanted = amounts
        if self.same:
            wanted = tuple([self.same[key].get(a, a) if key in self.same else a
                            for key, a in zip(self.keys, amounts, strict=True)])
        there = self._by_keys(books).get(wanted)
        if there and all(map(_same, there.keys, wanted)):          # 1 and true are one key to Python
            return there, False
        beside, last = self._rows_of(books, wanted[:-1]), wanted[-1]
        number = _is_number(last) and beside.numbers
        exact = beside.near(last) if number else next((row for row in beside.rows if _same(row.keys[-1], last)), None)
        if exact:
            return exact, False
        if number and self.between_rows == "next-larger" and (larger := beside.above(last)):
            return larger, True
        if number and self.between_rows == "interpolate" and (pair := beside.about(last)):
            return _between(*pair, last), False
        asked = dict(zip(self.keys, amounts, strict=True))
        raise NoRow(self.name, asked, books.cited("bs7671"), self._nearest(books, wanted))

    def _nearest(self, books: Books, wanted: tuple[Any, ...]) -> list[str]:
        """Up to four rows most like the one asked for, in words."""
        def unlike(row: Row) -> tuple[float, ...]:
            return tuple(_apart(key, amount) for key, amount in zip(row.keys, wanted, strict=True))
        return [", ".join(map(said, row.keys)) for row in sorted(self.of(books), key=unlike)[:4]]


def said(amount: Any) -> str:
    """A key or value in a message."""
    return f"{amount:.12g}" if isinstance(amount, float) else str(amount)


def _is_number(amount: Any) -> bool:
    return isinstance(amount, int | float) and not isinstance(amount, bool)


def _same(key: Any, amount: Any) -> bool:
    """Words exactly; numbers within a billionth."""
    if type(key) is type(amount) and key == amount:
        return True
    if type(key) is str or type(amount) is str:
        return False
    return _is_number(key) and _is_number(amount) and _near(key, amount)


def _near(key: float, amount: float) -> bool:
    """Numbers within a billionth of the less of them: what has no end is near nothing else."""
    return key == amount or abs(key - amount) <= _SAME * min(abs(key), abs(amount))


def _last(row: Row) -> Any:
    return row.keys[-1]


def _apart(key: Any, amount: Any) -> float:
    if _is_number(key) and _is_number(amount):
        return abs(float(key) - float(amount))
    return 0.0 if key == amount else math.inf


def _between(low: Row, high: Row, amount: float) -> Row:
    """On the straight line between two rows; no better known than the worse of them."""
    share = (amount - low.keys[-1]) / (high.keys[-1] - low.keys[-1])
    worse = max(low, high, key=lambda row: TRUST.index(row.trust))
    note = f"between {said(low.keys[-1])} and {said(high.keys[-1])}"
    return Row((*low.keys[:-1], amount), low.value + (high.value - low.value) * share, low.gives, low.book, low.place,
               worse.trust, low.since, low.until, note, {})


# ---- reading --------------------------------------------------------------------------------------------------------
@cache
def table(name: str) -> Table:
    """The table of this name, read when first asked for. Errors: FileNotFoundError, TableError."""
    return read_table(name, text(f"tables/{name}.toml"))


def read_table(name: str, written: str) -> Table:
    """A table from its TOML text. Errors: TableError with what does not hold together."""
    held = loads(written)
    between = held.get("between_rows", "refuse")
    if between not in BETWEEN:
        raise TableError(f"{name}: between_rows is {between!r}, not one of {', '.join(BETWEEN)}")
    rows = tuple(_ruled(name, held))
    _check_one_each(name, rows)
    _check_sum(name, rows, held.get("sum_of_values"))
    return Table(name, held["says"], held["gives"], tuple(held["keys"]), between, rows, held.get("same", {}))


def _ruled(name: str, held: Mapping[str, Any]) -> Iterator[Row]:
    """The rows, one a line under a line of column names, cells parted by |. An empty cell takes the table's default;
    a line after # is a heading; a column of words is named in `words`."""
    head, *body = [[cell.strip() for cell in line.split("|")] for line in held["rows"].strip().splitlines()
                   if line and not line.startswith("#")]
    keys, also, words = held["keys"], held.get("also", []), held.get("words", [])
    if odd := set(head) ^ {*keys, "value", *also, *(column for column in head if column in DEFAULTS)}:
        raise TableError(f"{name}: columns there or missing: {', '.join(sorted(odd))}")
    defaults, names = [held.get(column, "") for column in DEFAULTS], [edition.name for edition in editions()]
    for cells in body:
        if len(cells) != len(head):
            raise TableError(f"{name}: {len(cells)} cells under {len(head)} columns: {' | '.join(cells)}")
        cell = dict(zip(head, cells, strict=True))
        amounts = [cell[c] if c in words else _number(name, c, cell[c]) for c in (*keys, "value", *also)]
        rest = [cell.get(column) or default for column, default in zip(DEFAULTS, defaults, strict=True)]
        gives, book, place, trust, since, until, note = rest
        if trust not in TRUST or book not in all_books() or "" in amounts:
            raise TableError(f"{name}: a row without trust, book or a key: {' | '.join(cells)}")
        if unknown := {since, until} - set(names) - {""}:
            raise TableError(f"{name}: {', '.join(unknown)} is no edition")
        n = len(keys)
        yield Row(tuple(amounts[:n]), amounts[n], gives, book, place, trust, since, until, note,
                  dict(zip(also, amounts[n + 1:], strict=True)))


def _number(name: str, column: str, cell: str) -> float:
    if cell == "inf":
        return math.inf
    if not _NUMBER.match(cell):
        raise TableError(f"{name}: {column} is {cell!r}, not a number; a column of words is named in `words`")
    return float(cell) if "." in cell else int(cell)


def _check_one_each(name: str, rows: Sequence[Row]) -> None:
    """No edition has two rows for the same keys; every edition named is one."""
    spans: dict[tuple[Any, ...], list[tuple[int, int]]] = {}
    newest = len(editions())
    for row in rows:
        span = (place_in_order(row.since) if row.since else 0, place_in_order(row.until) if row.until else newest)
        held = spans.setdefault(row.keys, [])
        if span[0] >= span[1] or any(span[0] < end and start < span[1] for start, end in held):
            raise TableError(f"{name}: two rows for {', '.join(map(said, row.keys))} in one edition, or none")
        held.append(span)


def _check_sum(name: str, rows: Sequence[Row], wanted: float | None) -> None:
    """Catches a slipped digit. A table of words states no sum."""
    if all(_is_number(row.value) for row in rows):
        got = math.fsum(row.value for row in rows)
        if wanted is None or abs(got - wanted) > _SAME * max(1.0, abs(got)):
            raise TableError(f"{name}: sum_of_values is {wanted}, the values come to {said(got)}")
