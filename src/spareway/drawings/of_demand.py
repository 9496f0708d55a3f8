"""The drawings of demand out of a Design and a log: the four figures, the worst day, how long it is at least how much."""
from __future__ import annotations

from typing import TYPE_CHECKING

from spareway.design.demand import GENERAL, OWN
from spareway.design.logged import Log
from spareway.design.minutes import Day, above, duration, minutes_of, worst_day
from spareway.design.recorded import recorded
from spareway.drawings.demand import FuseLines, demand_drawn
from spareway.drawings.duration import duration_drawn
from spareway.drawings.four import Figure, four_drawn
from spareway.drawings.graph import CAUTION, OF_A_MODEL
from spareway.drawings.of_foreseen import Foreseen
from spareway.fact import Fact, unknown

if TYPE_CHECKING:
    from spareway.design.design import Design

__all__ = ["day_drawn", "figures_drawn", "foreseen_day", "foreseen_length", "fuse_lines", "length_drawn"]

NOT_SIMULATED = "not simulated"
CONNECTED = "Every fixed appliance and lamp on at once; what is plugged in is not in it."
BOOK = "An allowance by a handbook's table, for homes not heated by electricity alone."
RECORDED = "The highest minute that a logger wrote."
FORESEEN = "The highest minute of simulated winters."


def fuse_lines(design: Design) -> FuseLines:
    """What is known of the service fuse."""
    supply = design.supply
    return FuseLines(supply.fuse_a, design.demand.holds_a, supply.fusing_a)


def figures_drawn(design: Design, log: Log | None = None, foreseen_a: Fact[float] | None = None, wide: bool = False,
                  brief: bool = False) -> str:
    """The four figures. log: else what is on record of one; foreseen_a: a simulated fact with its interval."""
    book = design.demand
    others = (("with heaters as heating and power", book.book_a(GENERAL)), ("without any fixed heater", book.book_a("")))
    foreseen = unknown("demand_a", NOT_SIMULATED) if foreseen_a is None else foreseen_a
    figures = (Figure("connected", CONNECTED, book.connected_a),
               Figure("by the book", BOOK, book.book_a(), others if any(line.row == OWN for line in book.book()) else ()),
               Figure("recorded", RECORDED, recorded(design, log).against(design.supply.fuse_a)),
               Figure("foreseen", FORESEEN, foreseen, span=foreseen.span))
    return four_drawn(figures, fuse_lines(design), wide, brief)


def day_drawn(design: Design, log: Log, wide: bool = False, brief: bool = False) -> str | None:
    """The worst day of a log; None where it gives no highest minute."""
    day = worst_day(log)
    return None if day is None else _day(design, day, wide, brief)


def _day(design: Design, day: Day, wide: bool, brief: bool, caution: str = CAUTION) -> str:
    rating = design.supply.fuse_a
    return demand_drawn(day, fuse_lines(design), above(day.amps, rating.value) if rating.known else None, wide, brief, caution)


def foreseen_day(design: Design, foreseen: Foreseen, wide: bool = False, brief: bool = False) -> str | None:
    """The worst day of simulated winters; None where the document holds none."""
    return None if foreseen.day is None else _day(design, foreseen.day, wide, brief, OF_A_MODEL)


def foreseen_length(design: Design, foreseen: Foreseen, wide: bool = False, brief: bool = False) -> str | None:
    """How long all simulated winters together are at least how much; None where none was lived."""
    of = foreseen.steps
    return duration_drawn(of, fuse_lines(design), foreseen.says, wide, brief, OF_A_MODEL) if of else None


def length_drawn(design: Design, log: Log, wide: bool = False, brief: bool = False) -> str | None:
    """How long a log is at least how much; None where its rows are no minutes."""
    minutes = minutes_of(log)
    return None if minutes is None else duration_drawn(duration(minutes), fuse_lines(design), log.file, wide, brief)
