"""What stands in print of when a device opens, as a fact: the points of a fuse's time/current curve, the bounds of a breaker."""
from __future__ import annotations

from typing import Any

from spareway.fact import Fact, formula, glossary, show
from spareway.tables.books import Books
from spareway.tables.look import DISPUTED, UNCERTAIN, look_up
from spareway.tables.table import TRUST, Row, table

__all__ = ["breaker_bounds", "conventional_s", "time_current"]

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


@formula("definition: 3600 s an hour")
def conventional_s(conventional_h: float) -> float:
    """A conventional time in seconds."""
    return conventional_h * 3600


class _Bounds:
    """How the bounds of a breaker were made up: rating times a multiple, and the time that goes with it."""
    __slots__ = ()

    def __call__(self, rating_a: float, *pairs: float) -> Points:
        return tuple(sorted((rating_a * multiple, float(s)) for multiple, s in zip(pairs[::2], pairs[1::2], strict=True)))

    def line(self, fact: Fact[Any]) -> str:
        """`curve = 1.45 × 32 A 3600 s, 2.55 × 32 A 60 s, 5 × 32 A 0.1 s`."""
        rating, *pairs = fact.inputs
        said = [f"{multiple} × {rating} {s}" for multiple, s in zip(pairs[::2], pairs[1::2], strict=True)]
        return f"{glossary(fact.name).symbol} = {', '.join(said)}"


_BOUNDS = _Bounds()


def breaker_bounds(books: Books, curve: Fact[str], rating: Fact[float]) -> Fact[Points]:
    """The currents at and above which a breaker has surely opened, each with its time (A, s), currents rising.

    Its conventional tripping current, 2.55 times its rating, and the upper end of its instantaneous band. Each is a bound and no
    point of a curve: between them nothing is told, so ask `physics.curves.opens_by_s` and never draw a line. Unknown where
    curve or rating is. Errors: NoRow for a rating or a curve that the standard has not. Source: BS EN 60898-1 Table 7."""
    def case(name: str) -> Fact[Any]:
        return look_up("thresholds", books, Fact("case", name, "table", "BS EN 60898-1"))
    breaker = Fact("device", "breaker", "table", "BS EN 60898-1")
    conventional = conventional_s.worked(look_up("conventional_time", books, breaker, rating))
    pairs = [look_up("fuse_opens", books, breaker, rating), conventional, case("overload_test_multiple"),
             look_up("overload_time", books, rating), look_up("instant_multiple", books, curve), case("instant_s")]
    amounts: list[Any] = [rating.amount, *(each.amount for each in pairs)]
    points = None if None in amounts else _BOUNDS(*amounts)
    how = "unknown" if points is None else "worked"
    return Fact(NAME, points, how, "BS EN 60898-1 Table 7", inputs=(rating, *pairs), formula=_BOUNDS)
