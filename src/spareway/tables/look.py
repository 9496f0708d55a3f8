"""A look-up as a fact: the number, the page it came from, how well it is known, and the keys it was asked by."""
from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from spareway.fact import Fact, chosen, glossary, show
from spareway.tables.books import Book, Books, all_books
from spareway.tables.table import NoRow, Row, Table, said, table

__all__ = ["Print", "look_up", "next_size", "print_of", "rows"]

UNCERTAIN, THRESHOLDS = "uncertain", "thresholds"
DISPUTED = "the printed value is disputed: read it off your own copy, enter it and sign for it"


class Reading:
    """How a fact was read off a table: called with the amounts of other keys it reads again."""
    __slots__ = ("books", "table")

    def __init__(self, of: Table, books: Books) -> None:
        self.table, self.books = of, books

    def __call__(self, *amounts: Any) -> Any:
        """What the table gives for these. Errors: ValueError where no row stands or its value is disputed."""
        try:
            value, trust = self.table.value(self.books, amounts)
        except NoRow as none:
            raise ValueError(str(none)) from none
        if trust == UNCERTAIN:
            raise ValueError(DISPUTED)
        return value

    def line(self, fact: Fact[Any]) -> str:
        """`It = table 4D5 (2.5 mm², method C) = 27 A`; a single number as `Cmin = 0.95 (411.4.4)`."""
        entry = glossary(fact.name)
        value = "unknown" if fact.amount is None else f"{_printed(fact.amount)} {entry.unit}".rstrip()
        if self.table.name == THRESHOLDS:
            return f"{entry.symbol} = {value} ({_place(self, fact)})"
        return f"{entry.symbol} = {_place(self, fact)} ({', '.join(map(_key, fact.inputs))}) = {value}"


def _place(reading: Reading, fact: Fact[Any]) -> str:
    """The page, as it stands inside a line; the table's own words where the row has no place."""
    amounts = tuple(key.amount for key in fact.inputs)
    try:
        place = reading.table.find(reading.books, amounts).place if None not in amounts else ""
    except NoRow:
        place = ""
    place = place or reading.table.says
    return place[0].lower() + place[1:] if place.startswith("Table") else place


def _printed(amount: Any) -> str:
    """As the table prints it; a number worked out between rows to four digits."""
    text = said(amount)
    return text if len(text) <= 9 else show(amount, 4)


def _key(fact: Fact[Any]) -> str:
    """`2.5 mm²`, `method C`; of a case, what it says."""
    if fact.name == "case" or glossary(fact.name).unit and fact.amount is not None:
        return str(fact)
    return f"{glossary(fact.name).symbol} {fact}"


def look_up(name: str, books: Books, *keys: Fact[Any]) -> Fact[Any]:
    """What a table gives for these keys, in its order, in the chosen edition; the fact keeps its keys as inputs.

    An unknown key, or a row whose value is disputed, gives an unknown fact. Errors: NoRow outside rows or edition;
    FileNotFoundError for a table that is none; TypeError for a wrong number of keys or one in another unit."""
    asked = (name, books.bs7671, *[(key.name, key.amount) for key in keys])
    found = _found.get(asked)
    if found is None:
        of = table(name)
        _fit(of, [key.name for key in keys])
        reading = Reading(of, books)
        amounts = tuple(key.amount for key in keys)
        if None in amounts:
            return _not_known(of, reading, keys)
        row = of.find(books, amounts)
        if len(_found) >= _KEPT:
            _found.clear()
        found = _found[asked] = row, row.where(books), row.bears(books), reading
    row, where, bears, reading = found
    if row.trust == UNCERTAIN:
        return Fact(row.gives, None, "unknown", where, f"{DISPUTED}{'; ' if bears else ''}{bears}", UNCERTAIN,
                    inputs=keys, formula=reading)
    return Fact(row.gives, row.value, "table", where, bears, row.trust, "", None, (), keys, reading)


_KEPT = 8192
_found: dict[tuple[Any, ...], tuple[Row, str, str, Reading]] = {}


def _fit(of: Table, names: Sequence[str]) -> None:
    if len(names) != len(of.keys):
        raise TypeError(f"table {of.name} is read by {', '.join(of.keys)}: {len(of.keys)} keys, not {len(names)}")
    for name, key in zip(names, of.keys, strict=True):
        if glossary(name).unit != glossary(key).unit:
            raise TypeError(f"table {of.name}: {name} is in {glossary(name).unit!r}, "
                            f"{key} wants {glossary(key).unit!r}")


def _not_known(of: Table, reading: Reading, keys: Sequence[Fact[Any]]) -> Fact[Any]:
    missing = [f"{glossary(key.name).says}{f' ({key.at})' if key.at else ''}" for key in keys if key.amount is None]
    return Fact(of.gives, None, "unknown", of.says, f"cannot be looked up without: {', '.join(missing)}",
                inputs=tuple(keys), formula=reading)


@dataclass(frozen=True, slots=True)
class Print:
    """Where a row is printed: the book, the edition it is judged by where the book has editions, the place in it."""
    book: Book
    edition: str
    place: str


def print_of(fact: Fact[Any]) -> Print | None:
    """Where the row stands off which a fact was read; None of a fact that is no look-up, or for whose keys no row stands."""
    reading, amounts = fact.formula, tuple(key.amount for key in fact.inputs)
    if not isinstance(reading, Reading) or None in amounts:
        return None
    try:
        row = reading.table.find(reading.books, amounts)
    except NoRow:
        return None
    book = all_books()[row.book]
    return Print(book, reading.books.edition.called if book.editions else "", row.place)


def rows(name: str, books: Books) -> list[dict[str, Any]]:
    """The rows of the chosen edition for a search: keys, value, gives, where, trust, note; a disputed value is None."""
    of = table(name)
    return [{**dict(zip(of.keys, row.keys, strict=True)), **row.also,
             "value": None if row.trust == UNCERTAIN else row.value, "gives": row.gives, "where": row.where(books),
             "trust": row.trust, "note": row.bears(books)} for row in of.of(books)]


def next_size(books: Books, least: Fact[float], name: str = "standard_sizes") -> Fact[float]:
    """The smallest standard size at or above `least`; unknown beyond the largest.

    `name` is a table whose values are sizes: `standard_sizes` of conductors, `standard_ratings` of breakers."""
    of = table(name)
    ladder = sorted(row.value for row in of.of(books))

    def smallest(amount: float) -> float:
        for size in ladder:
            if size >= amount * (1 - 1e-9):
                return float(size)
        raise ValueError(f"above the largest standard size, {said(ladder[-1])}")
    tried = ", ".join(map(said, ladder))
    return chosen(of.gives, smallest, [least], tried, "the smallest that is not less", of.says)
