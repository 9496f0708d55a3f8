"""Rule books, their editions in order, and which edition of each a job is judged by."""
from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Any

from spareway.bundled import text
from spareway.doc import Fault, InputError, nearest
from spareway.plain_toml import loads

__all__ = ["Book", "Books", "Edition", "all_books", "editions", "editions_on", "nations"]


@dataclass(frozen=True, slots=True)
class Edition:
    """One edition of a rule book: how it is cited, from which day it may be used, when it was withdrawn."""
    name: str
    called: str
    from_: datetime.date
    until: datetime.date | None = None
    also: str = ""
    caution: str = ""


@dataclass(frozen=True, slots=True)
class Book:
    """A rule book, a standard or a guide that table rows come from. Only `bs7671` has editions to choose from."""
    name: str
    title: str
    publisher: str
    called: str = ""
    editions: tuple[Edition, ...] = ()


@cache
def _content() -> dict[str, Any]:
    return loads(text("tables/books.toml"))


def nations() -> tuple[str, ...]:
    """Whose law may hold."""
    return tuple(_content()["nations"])


@cache
def all_books() -> Mapping[str, Book]:
    """Every book by its short name."""
    found = {}
    for name, entry in _content().items():
        if name != "nations":
            editions = tuple(_edition(each, held) for each, held in entry.get("editions", {}).items())
            found[name] = Book(name, entry["title"], entry["publisher"], entry.get("called", ""), editions)
    return found


def _edition(name: str, held: Mapping[str, Any]) -> Edition:
    return Edition(name, held["called"], held["from"], held.get("until"), held.get("also", ""), held.get("caution", ""))


def editions() -> tuple[Edition, ...]:
    """The editions of BS 7671, oldest first."""
    return all_books()["bs7671"].editions


def editions_on(day: datetime.date) -> list[str]:
    """Editions of BS 7671 to choose from on that day: the newest, then those whose withdrawal is recorded as later."""
    begun = [e for e in reversed(editions()) if e.from_ <= day]
    return [e.name for e in begun if e is begun[0] or e.until is not None and day < e.until]


@cache
def _order() -> Mapping[str, int]:
    """Edition, by either of its names, to its place in the order."""
    order = {edition.name: i for i, edition in enumerate(editions())}
    return order | {edition.also: i for i, edition in enumerate(editions()) if edition.also}


def place_in_order(edition: str) -> int:
    """0 for the oldest edition. Errors: KeyError for a name that is none."""
    return _order()[edition]


@dataclass(frozen=True)
class Books:
    """The editions a job is judged by: `Books(bs7671="2018+A4", nation="England")`. An empty nation was not stated.

    Errors: InputError for an edition or a nation that is none, with the nearest there is."""
    bs7671: str
    nation: str = "England"

    def __post_init__(self) -> None:
        faults = []
        if self.bs7671 not in _order():
            says = f"no edition is called {self.bs7671}" if self.bs7671 else "no edition is stated"
            faults.append(_fault("books.bs7671", self.bs7671, says, [e.name for e in editions()]))
        else:
            object.__setattr__(self, "bs7671", editions()[_order()[self.bs7671]].name)
        if self.nation and self.nation not in nations():
            faults.append(_fault("nation", self.nation, "not a nation whose law is known here", list(nations())))
        if faults:
            raise InputError(faults)

    @cached_property
    def edition(self) -> Edition:
        """The chosen edition of BS 7671."""
        return editions()[_order()[self.bs7671]]

    def within(self, since: str = "", until: str = "") -> bool:
        """Is the chosen edition one of those from `since` on and before `until`? Empty means no bound.

        Errors: KeyError for an edition that is none."""
        order = _order()
        here = order[self.bs7671]
        return (not since or order[since] <= here) and (not until or here < order[until])

    def cited(self, book: str) -> str:
        """How a print names a book: `BS 7671:2018+A4`. Errors: KeyError."""
        return self.edition.called if book == "bs7671" else all_books()[book].called


def _fault(field: str, read: str, says: str, known: list[str]) -> Fault:
    return Fault("job.toml", None, field, read, says, f"one of {', '.join(known)}", nearest(read, known))
