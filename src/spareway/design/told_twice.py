"""What stands on a circuit among the equipment, and the point that tells of the same appliance once more.

Equipment that says which circuit it is on is joined to the far end, which is the last point. Where it names the same kind,
both lines of the record are of one appliance; it counts once, by the larger of what the two say it takes.

What a circuit or a point names and no equipment is (`named_only`) is there all the same, with nothing more known of it.
"""
from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from spareway.fact import Fact, highest, unknown
from spareway.job.fields import specs
from spareway.job.types import Equipment, Point
from spareway.physics import load

if TYPE_CHECKING:
    from spareway.design.circuit import CircuitDesign

__all__ = ["alone", "named_only", "stands", "told_twice", "unseen"]

NO_THING = "it is named by what the circuit feeds, and not recorded as a thing"


def stands(circuit: CircuitDesign) -> list[tuple[Equipment, Fact[float]]]:
    """The equipment that stands on it, each with its power at the nominal voltage."""
    own = [(e, load.element_w.worked(e.stamped_w, e.stamped_v, circuit.design.supply.u0_v)) for e in circuit.stands_at_end]
    point = told_twice(circuit)
    if point is None or not point.load_w.known:
        return own
    same = [e for e, _ in own if e.kind == _feeds(point, circuit)]
    return [(e, _larger(power, point.load_w) if same == [e] else power) for e, power in own]


def told_twice(circuit: CircuitDesign) -> Point | None:
    """The last point, where it names what stands there among the equipment too; None where it is something beside that: it takes
    more than several things of its kind together."""
    last = [*circuit.circuit.points.values()][-1:]
    same = [e for e in circuit.stands_at_end for point in last if e.kind == _feeds(point, circuit)]
    if not same:
        return None
    own = [load.element_w.worked(e.stamped_w, e.stamped_v, circuit.design.supply.u0_v).amount for e in same]
    known = [w for w in own if w is not None]
    beside = len(same) > 1 and last[0].load_w.known and len(known) == len(own) and last[0].load_w.value > math.fsum(known)
    return None if beside else last[0]


def alone(circuit: CircuitDesign) -> list[Point]:
    """The points that tell of nothing that stands among the equipment."""
    twice = told_twice(circuit)
    return [p for p in circuit.circuit.points.values() if p is not twice]


def named_only(circuit: CircuitDesign) -> list[tuple[str, str, str]]:
    """(address, name, kind) of what a circuit or one of its points feeds by name alone, and nothing among the equipment is.

    One place for every rule that asks after things of a kind: what is told by a name alone is asked too, and is no silent yes."""
    of = circuit.circuit
    whole = "" if circuit.is_submain else of.feeds
    found = [(f"{circuit.at}.points.{p.name}", f"{of.name}.{p.name}", what) for p in alone(circuit) if (what := p.feeds or whole)]
    there = {e.kind for e in circuit.stands_at_end} | {what for _, _, what in found}
    return [*found, (circuit.at, f"{of.name}.end", whole)] if whole and whole not in there else found


def unseen(circuit: CircuitDesign, at: str, name: str, what: str) -> Equipment:
    """The thing that such a name stands for: its kind and its circuit, all else unknown."""
    facts: dict[str, Any] = {s.name: unknown(s.quantity, NO_THING, at=at) for s in specs(Equipment) if s.is_fact}
    return Equipment(name=name, kind=what, on=circuit.circuit.name, **facts)


def _feeds(point: Point, circuit: CircuitDesign) -> str:
    return point.feeds or circuit.circuit.feeds


def _larger(stamped: Fact[float], told: Fact[float]) -> Fact[float]:
    """Of one appliance told twice: the larger, or the one that is known; as stamped where both say the same."""
    if not stamped.known or stamped.value >= told.value:
        return stamped if stamped.known else told
    return highest("load_w", [stamped, told], "stamped on it, and told of its point: the larger counts")
