"""A ring by its points: which stand on the ring itself, and what hangs on it by a spur."""
from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from spareway.fact import Fact
from spareway.job.types import Point

if TYPE_CHECKING:
    from spareway.design.circuit import CircuitDesign

COUNTED = "counted from the points of the record"


@dataclass(frozen=True, slots=True)
class Spur:
    """What hangs on a ring at one place: its first point, and all beyond it in order. `fused`: behind a fused unit."""
    at: str
    points: tuple[Point, ...]
    fused: bool

    @property
    def points_n(self) -> Fact[float]:
        """The points that something is fed from behind this spur, blank joints not counted."""
        return counted("points_n", len([p for p in self.points if p.feeds and p.feeds != "nothing"]), self.at)


def counted(name: str, n: int, at: str) -> Fact[float]:
    """A count of what is in the record."""
    return Fact(name, float(n), "drawing", "", COUNTED, at=at)


def on_ring(circuit: CircuitDesign) -> tuple[str, ...]:
    """The points on the ring itself: those on the way back from each point that leads home."""
    points, found = circuit.circuit.points, dict[str, None]()
    for point in points.values():
        here = point.name if point.back_to else ""
        while here in points and here not in found:
            found[here] = None
            here = points[here].from_
    return tuple(found)


def spurs(circuit: CircuitDesign) -> tuple[Spur, ...]:
    """Every spur of a ring whose points are recorded; none where the ring itself is not."""
    points, ring = circuit.circuit.points, on_ring(circuit)
    if not ring:
        return ()
    heads = [p for p in points.values() if p.name not in ring and (p.from_ in ring or p.from_ not in points)]
    return tuple(Spur(f"{circuit.at}.points.{head.name}", _beyond(head, points), head.before.startswith("fused-spur"))
                 for head in heads)


def _beyond(head: Point, points: Mapping[str, Point]) -> tuple[Point, ...]:
    """A point and all that come after it."""
    found = [head]
    for here in found:
        found += [p for p in points.values() if p.from_ == here.name and p not in found]
    return tuple(found)
