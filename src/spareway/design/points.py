"""A circuit point by point, where one length and one size do not tell all: smaller cable, spurs, a ring without its way home."""
from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING

from spareway.design.route import RouteDesign
from spareway.design.spurs import on_ring, spurs
from spareway.design.told_twice import alone, stands
from spareway.fact import Fact, highest, total
from spareway.job.types import Point
from spareway.kinds import kind
from spareway.physics import cable, fault
from spareway.tables import look_up

if TYPE_CHECKING:
    from spareway.design.circuit import CircuitDesign

SIZES = ("line_mm2", "cpc_mm2")


def no_way_home(circuit: CircuitDesign) -> bool:
    """Called a ring, its points recorded, and none of them leads home."""
    points = circuit.circuit.points.values()
    return circuit.circuit.shape == "ring" and bool(points) and not any(p.back_to for p in points)


def fused(point: Point, circuit: CircuitDesign) -> bool:
    """Whether it stands behind a fused connection unit: its own fuse then protects what lies beyond."""
    points, here, met = circuit.circuit.points, point.name, set[str]()
    while here in points and here not in met:
        met.add(here)
        if points[here].before.startswith("fused-spur"):
            return True
        here = points[here].from_
    return False


def smaller(circuit: CircuitDesign, which: str) -> list[Point]:
    """Points reached by a smaller conductor than the cable, or perhaps smaller; not those behind a fuse of their own."""
    whole: Fact[float] = getattr(circuit.cable, which)
    said = [(p, getattr(p, which)) for p in circuit.circuit.points.values() if getattr(p, which).known and not fused(p, circuit)]
    return [p for p, size in said if whole.amount is None or size.amount < whole.amount]


def iz_at_a(circuit: CircuitDesign, point: Point) -> Fact[float]:
    """What the conductor to this point carries, laid as the circuit's cable is."""
    return RouteDesign(circuit.cable, point.line_mm2, circuit.books, f"{circuit.at}.points.{point.name}", circuit.cc).iz_a


def withstand_at_a2s(circuit: CircuitDesign, point: Point) -> Fact[float]:
    """What the protective conductor to this point withstands."""
    return fault.k2s2_a2s.worked(circuit.k, point.cpc_mm2)


def _leg_ohm(circuit: CircuitDesign, point: Point) -> Fact[float]:
    line, cpc = (getattr(point, w) if getattr(point, w).known else getattr(circuit.cable, w) for w in SIZES)
    r1 = cable.r1_ohm.worked(look_up("conductor_resistance", circuit.books, line), point.length_m)
    r2 = cable.r2_ohm.worked(look_up("conductor_resistance", circuit.books, cpc), point.length_m)
    return cable.r1r2_ohm.worked(r1, r2)


def _to(circuit: CircuitDesign, point: Point, start: Collection[str]) -> Fact[float]:
    """R1+R2 to a point from the nearest of these."""
    points, here, legs = circuit.circuit.points, point.name, dict[str, Fact[float]]()
    while here in points and here not in start and here not in legs:
        legs[here] = _leg_ohm(circuit, points[here])
        here = points[here].from_
    return total("r1r2_ohm", list(legs.values())[::-1], "point to point")


def zs_at_points_ohm(circuit: CircuitDesign) -> Fact[float] | None:
    """The loop at the worst point, each leg by its own size; for a spur the ring counts as at its middle, the most it may be.

    None where length and size of the circuit tell it all."""
    points = circuit.circuit.points
    ring = on_ring(circuit)
    off = [p for s in spurs(circuit) for p in s.points if not fused(p, circuit)]
    if ring and off:
        far = [total("r1r2_ohm", [circuit.r1r2_ohm, _to(circuit, p, ring)], "the middle of the ring, and the spur") for p in off]
    elif not circuit.is_ring and (smaller(circuit, "line_mm2") or smaller(circuit, "cpc_mm2")):
        far = [_to(circuit, p, ()) for p in points.values() if not fused(p, circuit)]
    else:
        return None
    worst = highest("r1r2_ohm", far, "the worst point governs")
    return fault.zs_hot_ohm.worked(circuit.ze_ohm, worst, circuit.hot_factor)


def fixed_a(circuit: CircuitDesign) -> Fact[float] | None:
    """What the fixed appliances on a circuit of sockets draw together; None where none is recorded with its power."""
    known = [power for power in _fixed_w(circuit) if power.known]
    together = total("load_w", known, "the fixed appliances on it")
    return cable.load_a.worked(together, circuit.design.supply.u0_v) if known else None


def fixed_unknown_w(circuit: CircuitDesign) -> list[Fact[float]]:
    """The powers of those of which nobody knows it."""
    return [power for power in _fixed_w(circuit) if not power.known]


def _fixed_w(circuit: CircuitDesign) -> list[Fact[float]]:
    """Of each by itself; one that is told of twice counts once."""
    on = [power for e, power in stands(circuit) if "stamped_w" in kind(e.kind).facts and "L" not in kind(e.kind).sources.values()]
    return [*on, *(circuit.point_w(p) for p in alone(circuit) if p.feeds not in ("", "sockets", "nothing"))]
