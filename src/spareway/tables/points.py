"""The time/current curve of a fuse as a fact: every point that stands in the table of currents, and how well it is known."""
from __future__ import annotations

from typing import Any

from spareway.fact import Fact, glossary, show
from spareway.tables.books import Books
from spareway.tables.look import DISPUTED, UNCERTAIN
from spareway.tables.table import TRUST, Row, table

__all__ = ["time_current"]

NAME, TABLE = "time_current_points", "ia_fuse"
Points = tuple[tuple[float, float], ...]


class _Points:
    """How the points were read: called with another fuse or rating it reads again."""
    __slots__ = ("books",)

    def __init__(self, books: Books) -> None:
        self.books = books

    def __call__(self, fuse: Any, rating_a: Any) -> Points:
        """Errors: ValueError where no point of that fuse stands in the table, or only disputed ones."""
        held = self.rows(fuse, rating_a)
        good = [row for row in held if row.trust != UNCERTAIN]
        if not good:
            raise ValueError(DISPUTED if held else _none(fuse, rating_a))
        return tuple(sorted((float(row.value), float(row.keys[2])) for row in good))

    def rows(self, fuse: Any, rating_a: Any) -> list[Row]:
        of = table(TABLE)
        device = of.same.get("device", {}).get(fuse, fuse)
        return [row for row in of.of(self.books) if row.keys[0] == device and row.keys[1] == rating_a]

    def line(self, fact: Fact[Any]) -> str:
        """`curve = Appendix 3 (fuse bs3036, 30 A) = 87 A 5 s, 210 A 0.4 s`."""
        asked = ", ".join(str(key) if glossary(key.name).unit else f"{glossary(key.name).symbol} {key}" for key in fact.inputs)
        read = "unknown" if fact.amount is None else ", ".join(f"{a:.6g} A {s:.6g} s" for a, s in fact.amount)
        held = self.rows(*(key.amount for key in fact.inputs))
        return f"{glossary(fact.name).symbol} = {held[0].place if held else table(TABLE).says} ({asked}) = {read}"


def _none(fuse: Any, rating_a: Any) -> str:
    return f"no point of a {show(rating_a)} A fuse {fuse} stands in the table"


def time_current(books: Books, fuse: Fact[str], rating: Fact[float]) -> Fact[Points]:
    """Every printed point of a fuse, (current in A, time in s), currents rising: `physics.curves.Curve(fact.value)`.

    Its trust is the worst of its points; a disputed point is left out and named in the note. Unknown where fuse or
    rating is, where no point stands in this edition, or where all are disputed. Source: BS 7671 Appendix 3."""
    reading, keys = _Points(books), (fuse, rating)
    if fuse.amount is None or rating.amount is None:
        missing = ", ".join(glossary(key.name).says for key in keys if key.amount is None)
        note = f"cannot be looked up without: {missing}"
        return Fact(NAME, None, "unknown", table(TABLE).says, note, inputs=keys, formula=reading)
    held = reading.rows(fuse.amount, rating.amount)
    good = [row for row in held if row.trust != UNCERTAIN]
    where = " and ".join(dict.fromkeys(row.where(books) for row in held)) or table(TABLE).says
    if not good:
        note = DISPUTED if held else _none(fuse.amount, rating.amount)
        return Fact(NAME, None, "unknown", where, note, UNCERTAIN if held else "", inputs=keys, formula=reading)
    left_out = [f"the point at {row.keys[2]:g} s is left out: {DISPUTED}" for row in held if row.trust == UNCERTAIN]
    note = "; ".join(dict.fromkeys([*left_out, *(row.bears(books) for row in good if row.bears(books))]))
    worst = max((row.trust for row in good), key=TRUST.index)
    return Fact(NAME, reading(fuse.amount, rating.amount), "table", where, note, worst, inputs=keys, formula=reading)
