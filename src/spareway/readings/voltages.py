"""What the voltages of one point say together: line and neutral crossed, the neutral lost, the earth open, too much voltage.

Judged before any of them is taken for a slip of the pen: 231 V from neutral to earth is what a crossed supply reads. BS 7671
643.6 asks for polarity; what the signs mean is common practice, no source.
"""
from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import product
from math import inf
from typing import TYPE_CHECKING

from spareway.doc import trail
from spareway.job.rows import Reading
from spareway.readings.band import against
from spareway.readings.expected import cores, expected

if TYPE_CHECKING:
    from spareway.design.design import Design

__all__ = ["TOGETHER", "Point", "points", "sign_at", "signs"]

LIVE = ("LE", "LN")
FEW = ("LE", "NE")                             # without both of them nothing is shown of a point
CROSSED = "line and neutral are crossed, or the earth stands at line voltage: metal may be live, and a switch leaves line on"
NEUTRAL_LOST = "the neutral is open: it is lifted to line through whatever is switched on"
OFF_EARTH = "the neutral stands off earth: line and neutral may be crossed, or the neutral or the earth open"
EARTH_OPEN = "the earth is open, or stands off: a fault would not be cut off, and metal would stay live"
TOGETHER = (CROSSED, NEUTRAL_LOST, EARTH_OPEN)  # what one voltage alone does not show
TOO_MUCH = "more than a single phase has: a lost neutral can put this on whatever is plugged in"


@dataclass(frozen=True, slots=True)
class Read:
    """A voltage between two conductors (V, infinite where over range), on which side it fell, and the least it should be (V)."""
    pair: str
    fell: str
    value_v: float
    least_v: float


@dataclass(frozen=True, slots=True)
class Point:
    """The voltages that stand for one point, and what they say together: `sign` is empty where they say nothing bad.

    there: whether every one that was read is as it should be, those to earth among them; None where one lacks or is in doubt."""
    at: str
    rows: tuple[Reading, ...]
    fell: tuple[tuple[str, str], ...]          # between which conductors, and on which side it fell
    sign: str
    now: bool                                  # read at this stage

    @property
    def there(self) -> bool | None:
        if self.sign:
            return False
        sound = all(fell == "as expected" for _, fell in self.fell) and {*FEW} <= {pair for pair, _ in self.fell}
        return True if sound and self.now else None

    @property
    def read(self) -> str:
        """Each as it was read, and its row."""
        return ", ".join(f"{_pair(row)} {row.shown} (readings.csv:{row.line})" for row in self.rows)


def points(design: Design, under: str = "") -> tuple[Point, ...]:
    """Every point with a voltage on record, at or below an address; as found where none of it was read at this stage."""
    by: dict[str, list[Reading]] = {}
    for row in design.standing.get("supply_v", ()):
        at = _point(row.a)
        if (row.value is not None or row.over) and (not under or at == under or at.startswith(f"{under}.")):
            by.setdefault(at, []).append(row)
    return tuple(_judged(design, at, rows) for at, rows in by.items())


def signs(design: Design, under: str = "") -> tuple[Point, ...]:
    """The points whose voltages show a danger."""
    return tuple(each for each in points(design, under) if each.sign)


def sign_at(design: Design, row: Reading) -> str:
    """What the voltages of the point of this row say together; nothing where it is no voltage, or they say nothing bad."""
    if row.quantity != "supply_v":
        return ""
    return next((each.sign for each in points(design, _point(row.a)) if each.at == _point(row.a)), "")


def _point(address: str) -> str:
    """`supplies.main.N` is the point supplies.main."""
    at = trail(address)
    return address.rpartition(".")[0] if len(at) > 2 and at[-1] in ("L", "N", "E") else address


def _pair(row: Reading) -> str:
    return "-".join(sorted(cores(row.a, row.b, row.setup), key="LNE".index))


def _judged(design: Design, at: str, rows: Iterable[Reading]) -> Point:
    every = tuple(rows)
    now = tuple(row for row in every if row.stage == design.inst.stage)
    own = now or every
    read = tuple(_read(design, row) for row in own)
    return Point(at, own, tuple((each.pair, each.fell) for each in read), next(_said(read), ""), bool(now))


def _read(design: Design, row: Reading) -> Read:
    told = expected(design, row.quantity, row.a, row.b, row.setup)
    fell = against(row, told, design.books) if told else ""
    return Read(_pair(row).replace("-", ""), fell, inf if row.value is None else row.value, told.least if told else 0.0)


def _said(read: tuple[Read, ...]) -> Iterator[str]:
    """The gravest first. Far off alone counts, and only where one voltage gains what another lacks: a drop is none of these."""
    live = [each for each in read if each.pair in LIVE]
    if any(each.fell == "far high" for each in live):
        yield TOO_MUCH
    for off in (each for each in read if each.pair == "NE" and each.fell == "far high"):
        below = {each.pair for each in live if each.fell == "far low" and off.value_v >= each.least_v}
        yield CROSSED if "LE" in below else NEUTRAL_LOST if "LN" in below else OFF_EARTH
    for to_earth, to_neutral in product(live, live):
        if (to_earth.pair, to_neutral.pair, to_earth.fell) == ("LE", "LN", "far low") and to_neutral.fell != "far low":
            yield EARTH_OPEN
