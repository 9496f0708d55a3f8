"""The drawings of demand out of a Design and a log: the four figures, the worst day, how long it is at least how much."""
from __future__ import annotations

from typing import TYPE_CHECKING

from spareway.design.demand import GENERAL, OWN
from spareway.design.logged import Log
from spareway.design.minutes import Day, above, duration, minutes_of, worst_day
from spareway.design.recorded import SINCE, GivenLog, recorded
from spareway.drawings.demand import FuseLines, demand_drawn
from spareway.drawings.duration import Sampled, duration_drawn
from spareway.drawings.four import Figure, four_drawn
from spareway.drawings.graph import CAUTION, OF_A_MODEL, OF_BOTH
from spareway.drawings.of_foreseen import Foreseen
from spareway.fact import unknown

if TYPE_CHECKING:
    from spareway.design.design import Design

__all__ = ["day_drawn", "figures_drawn", "foreseen_day", "foreseen_length", "fuse_lines", "length_drawn"]

NOT_SIMULATED = "not simulated"
CONNECTED = "Every fixed appliance and lamp on at once; what is plugged in is not in it."
BOOK = "An allowance by a handbook's table, for homes not heated by electricity alone."
RECORDED = "The highest minute that a logger wrote"
FORESEEN = "The highest minute of simulated winters."


def fuse_lines(design: Design) -> FuseLines:
    """What is known of the service fuse."""
    supply = design.supply
    return FuseLines(supply.fuse_a, supply.holds_a, supply.fusing_a, supply.conventional_h)


def figures_drawn(design: Design, log: Log | None = None, foreseen: Foreseen | None = None, wide: bool = False,
                  brief: bool = False) -> str:
    """The four figures. log: else what is on record of one; foreseen: what a simulation said."""
    book, seen = design.demand, recorded(design, log)
    minute = seen.against(design.supply.fuse_a)
    others = (("with heaters as heating and power", book.book_a(GENERAL)), ("without any fixed heater", book.book_a("")))
    figures = (Figure("connected", CONNECTED, book.connected_a),
               Figure("by the book", BOOK, book.book_a(), others if any(line.row == OWN for line in book.book()) else ()),
               Figure("recorded", f"{RECORDED}, {seen.since(minute) or SINCE}.", minute),
               _foreseen(foreseen))
    simulated = foreseen is not None and foreseen.top_a.known
    return four_drawn(figures, fuse_lines(design), wide, brief, OF_BOTH if simulated else CAUTION)


def _foreseen(of: Foreseen | None) -> Figure:
    """Of which winters it is and what was lived through stands with it."""
    if of is None:
        return Figure("foreseen", FORESEEN, unknown("demand_a", NOT_SIMULATED))
    return Figure("foreseen", f"{FORESEEN.removesuffix('.')}: {of.says}.", of.top_a, span=of.top_a.span, rests=of.rests)


def day_drawn(design: Design, log: Log, wide: bool = False, brief: bool = False) -> str | None:
    """The worst day of a log; None where it gives no highest minute."""
    day = worst_day(log)
    return None if day is None else _day(design, day, wide, brief, since=GivenLog(log, design).not_in_it)


def _day(design: Design, day: Day, wide: bool, brief: bool, caution: str = CAUTION, since: str = "") -> str:
    rating = design.supply.fuse_a
    over = above(day.amps, rating.value) if rating.known else None
    return demand_drawn(day, fuse_lines(design), over, wide, brief, caution, since)


def foreseen_day(design: Design, foreseen: Foreseen, wide: bool = False, brief: bool = False) -> str | None:
    """The worst day of simulated winters; None where the document holds none."""
    return None if foreseen.day is None else _day(design, foreseen.day, wide, brief, OF_A_MODEL)


def foreseen_length(design: Design, foreseen: Foreseen, wide: bool = False, brief: bool = False) -> str | None:
    """How long all simulated winters together are at least how much; None where none was lived."""
    of, rating = foreseen.steps, design.supply.fuse_a
    if not of:
        return None
    sampled = Sampled(foreseen.sampled_every, foreseen.over_n(rating.value) if rating.known else None)
    return duration_drawn(of, fuse_lines(design), foreseen.says, wide, brief, OF_A_MODEL, sampled)


def length_drawn(design: Design, log: Log, wide: bool = False, brief: bool = False) -> str | None:
    """How long a log is at least how much; None where its rows are no minutes."""
    minutes = minutes_of(log)
    if minutes is None:
        return None
    since = GivenLog(log, design).not_in_it
    return duration_drawn(duration(minutes), fuse_lines(design), log.file, wide, brief, since=since)
