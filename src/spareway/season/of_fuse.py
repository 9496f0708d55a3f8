"""From the service fuse on record to how its element warms: a ladder between what it must hold and what must open it.

A fuse lies somewhere between the quickest and the slowest that its standard allows. Where both are in print the quickest is
taken, which melts soonest; where only what opens it is, the slowest: then it melts no less often than is said.
"""
from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from spareway.fact import Fact
from spareway.season.gates import gates_of
from spareway.season.home import Ladder
from spareway.season.ladder import fitted
from spareway.tables import NoRow, look_up, time_current
from spareway.tables.points import conventional_s

if TYPE_CHECKING:
    from spareway.design.design import Design

__all__ = ["Element", "TakenAs", "element"]

TakenAs = Literal["quickest", "slowest"]
BETWEEN: dict[TakenAs, float] = {"quickest": 0.0, "slowest": 1.0}
ITSELF: dict[TakenAs, str] = {"quickest": "later", "slowest": "sooner"}
GENERAL, LEAST_N = ("bs88-2", "bs88-3"), 2


@dataclass(frozen=True, slots=True)
class Element:
    """ladder: how it warms, or None; said: what it is taken as, or why it is not known; facts: what it rests on.

    taken_as: which of those that its standard allows; None where there is no ladder. The slowest melts at most as often as the
    fuse itself, the quickest at least as often."""
    ladder: Ladder | None
    said: str
    facts: tuple[Fact[float], ...] = ()
    taken_as: TakenAs | None = None


def element(design: Design) -> Element:
    """The element of the service fuse of a design."""
    of = design.supply
    if not (of.fuse.known and of.fuse_a.known):
        return Element(None, "the standard or the rating of the service fuse was not read")
    try:
        return _between(design) if of.fuse.value in GENERAL else _slowest(design)
    except NoRow as none:
        return Element(None, str(none))
    except ValueError as problem:
        return Element(None, f"no ladder goes through what is in print of this fuse: {problem}")


def _taken(taken_as: TakenAs) -> Fact[float]:
    note = f"taken as the {taken_as} that its standard allows: the fuse itself may melt {ITSELF[taken_as]}"
    return Fact("between_share", BETWEEN[taken_as], "assumed", "the element of the service fuse", note)


def _between(design: Design) -> Element:
    """A fuse-link for general use: gates on both sides, and both conventional currents."""
    gates, taken = gates_of(design.supply.fuse, design.supply.fuse_a, design.books), _taken("quickest")
    if gates.gaps:
        return Element(None, gates.gaps[0].note)
    return Element(gates.ladder(taken.value), taken.note, (*gates.facts, taken), "quickest")


def _slowest(design: Design) -> Element:
    """Another fuse: the printed points at which it opens, and what it opens at within hours. Errors: NoRow, ValueError."""
    supply = design.supply
    hours = conventional_s.worked(look_up("conventional_time", design.books, supply.fuse, supply.fuse_a))
    points = time_current(design.books, supply.fuse, supply.fuse_a)
    if not points.known or not supply.fusing_a.known:
        return Element(None, points.note if not points.known else supply.fusing_a.note)
    opens = sorted(((amps, s) for amps, s in points.value), key=lambda point: point[1])
    if len(opens) < LEAST_N:
        return Element(None, f"{len(opens)} point of when it opens is in print, and a ladder wants {LEAST_N}")
    read = [Fact("ia_a", amps, "table", points.where, f"opens in {s:g} s", points.trust) for amps, s in opens]
    taken = _taken("slowest")
    return Element(fitted((), [*opens, (supply.fusing_a.value, hours.value)], taken.value), taken.note,
                   (*read, supply.fusing_a, hours, taken), "slowest")
