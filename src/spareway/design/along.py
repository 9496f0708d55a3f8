"""The voltage along a circuit's way from the origin: what each run and stretch loses, and how long it holds."""
from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from spareway.design.route import RouteDesign
from spareway.fact import Fact, solved, total, unknown
from spareway.job.types import Point
from spareway.physics import cable

if TYPE_CHECKING:
    from spareway.design.circuit import CircuitDesign

__all__ = ["Along", "Leg", "Place", "along"]


@dataclass(frozen=True, slots=True)
class Leg:
    """One length of cable on the way. own: of the circuit itself, not of what leads to its board.

    length_m, lost_v, carries_a: of this leg alone; carries_a is what the drop is judged at. ends_m, ends_v: from the origin to
    its end; of a ring the metres go right round, and the volts are those at its middle."""
    name: str
    length_m: Fact[float]
    lost_v: Fact[float]
    carries_a: Fact[float]
    ends_m: Fact[float]
    ends_v: Fact[float]
    own: bool


@dataclass(frozen=True, slots=True)
class Place:
    """A point of the circuit: how far it is from the board, and from which point before it (of the board: "").

    at_m: from the origin. takes_a, at_v: what it takes, and the volts lost from the origin with every load where it is; None
    where that is not told point by point."""
    name: str
    after: str
    at_m: Fact[float]
    takes_a: Fact[float] | None
    at_v: Fact[float] | None


@dataclass(frozen=True, slots=True)
class Along:
    """The whole way. total_v and limit_v are those that the rules compare; the one meets the other where the circuit is reach_m
    long, which is meets_m from the origin."""
    legs: tuple[Leg, ...]
    places: tuple[Place, ...]
    ring: bool
    total_v: Fact[float]
    limit_v: Fact[float]
    u0_v: Fact[float]
    reach_m: Fact[float]
    meets_m: Fact[float]


def along(circuit: CircuitDesign) -> Along:
    """The way of a circuit from the origin to its far end; of a ring right round. Errors: NotKnown, NoRow as its quantities."""
    before, own = list(_before(circuit)), list(_own(circuit))
    legs, parts = list[Leg](), [*before, *own]
    for i, (name, length, lost, carries) in enumerate(parts, 1):
        ends_m = total("length_m", [part[1] for part in parts[:i]], "one after another")
        ends_v = total("drop_v", [part[2] for part in parts[:i]], "one after another")
        legs.append(Leg(name, length, lost, carries, ends_m, ends_v, i > len(before)))
    reach = reach_m(circuit)
    meets = total("length_m", [*(part[1] for part in before), reach], "what leads to its board, and the circuit")
    return Along(tuple(legs), tuple(_places(circuit, before)), circuit.is_ring, circuit.drop_from_origin_v,
                 circuit.drop_limit_v, circuit.design.supply.u0_v, reach, meets)


Part = tuple[str, Fact[float], Fact[float], Fact[float]]         # name, length, volts lost, current that it is judged at


def _before(circuit: CircuitDesign) -> Iterator[Part]:
    """What leads to its board, at what its fuse is rated at, as the drop is judged."""
    from spareway.design.run import RunDesign
    board = circuit.design.boards.get(circuit.board)
    for leg in board.fed_by if board else ():
        name, carries = (leg.run.name, leg.fuse_a) if isinstance(leg, RunDesign) else (leg.circuit.name, leg.load_a)
        yield name, leg.length_m, leg.drop_v, carries


def _own(circuit: CircuitDesign) -> Iterator[Part]:
    """The circuit itself, a leg for each of its stretches; a ring is one leg, right round."""
    stretches = [] if circuit.is_ring else circuit.route.stretches
    if len(stretches) < 2:
        yield circuit.circuit.name, circuit.length_m, circuit.drop_v, circuit.load_a
        return
    for each in stretches:
        lost = cable.drop_v.worked(circuit.route.mv_per_a_m, circuit.load_a, each.length_m)
        yield each.name, each.length_m, lost, circuit.load_a


# ---- how long it holds ----------------------------------------------------------------------------------------------
def reach_m(circuit: CircuitDesign) -> Fact[float]:
    """The length of the circuit at which its drop from the origin would meet the limit, everything else as it is."""
    board = circuit.design.boards.get(circuit.board)
    if board is None or circuit.apart("N") is not None:
        return unknown("length_m", "the record does not show what leads to its board", at=circuit.at)
    inputs = (circuit.drop_limit_v, board.drop_before_v, circuit.route.mv_per_a_m, circuit.load_a)
    halves = 4.0 if circuit.is_ring else 1.0

    def longest(limit_v: float, before_v: float, mv_per_a_m: float, load_a: float) -> float:
        if limit_v <= before_v:
            raise ValueError("what leads to its board loses the whole limit already")
        return (limit_v - before_v) * 1000 * halves / (mv_per_a_m * load_a)

    def sides(length_m: float, limit_v: float, before_v: float, mv_per_a_m: float, load_a: float) -> tuple[float, float]:
        return before_v + mv_per_a_m * load_a * length_m / halves / 1000, limit_v
    words = "drop before its board + mV/A/m × Ib × l" + (" / 4" if circuit.is_ring else "") + " = limit"
    return solved("length_m", longest, inputs, words, sides, "BS 7671 Appendix 4, 6.2, solved for the length")


# ---- point by point -------------------------------------------------------------------------------------------------
def _places(circuit: CircuitDesign, to_board: Sequence[Part]) -> Iterator[Place]:
    """Every point with its way from the origin; of a ring by its first way in."""
    takes = _takes(circuit)
    for name, point in circuit.circuit.points.items():
        chain = _chain(circuit, name)
        at_v = None
        if takes is not None:
            legs = [_leg_v(circuit, p, [takes[n] for n in takes if p in _chain(circuit, n)]) for p in chain]
            at_v = total("drop_v", [*(part[2] for part in to_board), *legs], "each leg at what lies beyond it")
        at_m = total("length_m", [*(part[1] for part in to_board), *(p.length_m for p in chain)], "point to point")
        yield Place(name, point.from_ if point.from_ in circuit.circuit.points else "", at_m,
                    takes[name] if takes is not None else None, at_v)


def _chain(circuit: CircuitDesign, name: str) -> list[Point]:
    """The points on the way to this one, the nearest to the board first, itself last."""
    points, here, chain = circuit.circuit.points, name, list[Point]()
    while here in points and points[here] not in chain:
        chain.append(points[here])
        here = points[here].from_
    return chain[::-1]


def _takes(circuit: CircuitDesign) -> dict[str, Fact[float]] | None:
    """What each point takes, where the circuit's load is made of its points alone and of each it is known."""
    points = circuit.circuit.points
    if not points or circuit.is_ring or circuit.circuit.load_w.known or circuit.circuit.load_a.known or circuit.stands_at_end \
            or circuit.feeds_sockets or circuit.is_submain:
        return None
    found = {name: cable.load_a.worked(circuit.point_w(p), circuit.design.supply.u0_v) for name, p in points.items()}
    return found if all(a.known for a in found.values()) else None


def _leg_v(circuit: CircuitDesign, point: Point, beyond: list[Fact[float]]) -> Fact[float]:
    """What the cable to a point loses with all that lies beyond it, in its own size where it has one."""
    route = circuit.route
    if point.line_mm2.known:
        route = RouteDesign(circuit.cable, point.line_mm2, circuit.books, circuit.at, circuit.cc)
    return cable.drop_v.worked(route.mv_per_a_m, total("load_a", beyond, "what lies beyond"), point.length_m)
