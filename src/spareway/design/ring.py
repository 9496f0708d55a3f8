"""A ring where its loads stand: the way round, how each load splits between the legs, its spurs, its drop, the floor served."""
from __future__ import annotations

from collections.abc import Mapping
from math import fsum
from typing import TYPE_CHECKING

from spareway.design.load import before_v, draws
from spareway.design.points import fused
from spareway.design.route import settled
from spareway.design.spurs import on_ring, spurs
from spareway.design.told_twice import alone, stands
from spareway.fact import Fact, chosen, highest, total, unknown
from spareway.job.types import Point
from spareway.physics import cable, heat
from spareway.physics.sharing import Tap, legs_a
from spareway.tables import look_up

if TYPE_CHECKING:
    from spareway.design.circuit import CircuitDesign

SPLIT = "the greater: each load splits between its two ways home in inverse proportion to their lengths"


def round_the_ring(circuit: CircuitDesign) -> tuple[Point, ...]:
    """The points on the ring from its first leg to the way home; none where no point leads home, or more than one does."""
    points = circuit.circuit.points
    home = [p for p in points.values() if p.back_to]
    if len(home) != 1:
        return ()
    order, here = [home[0]], home[0].from_
    while here in points and points[here] not in order:
        order.append(points[here])
        here = points[here].from_
    return tuple(order[::-1])


def ways_home(circuit: CircuitDesign) -> list[str]:
    """The points from which a cable is recorded to lead home."""
    return [p.name for p in circuit.circuit.points.values() if p.back_to]


def own_size(circuit: CircuitDesign) -> list[Point]:
    """The points on the ring itself to which a conductor of a size of its own leads."""
    return [p for name in on_ring(circuit) if (p := circuit.circuit.points[name]).line_mm2.known]


def _to_m(order: tuple[Point, ...]) -> dict[str, Fact[float]]:
    """The way from the first end of the ring to each of its points."""
    return {p.name: total("length_m", [q.length_m for q in order[:i + 1]], "point to point") for i, p in enumerate(order)}


# ---- what each leg carries ------------------------------------------------------------------------------------------
def fixed_loads(circuit: CircuitDesign) -> list[tuple[Fact[float], Fact[float]]]:
    """(current, way from the first end) of every fixed appliance on the ring or on a spur of it, which counts where its spur
    begins; equipment that stands on the circuit counts at its last point."""
    order, u0 = round_the_ring(circuit), circuit.design.supply.u0_v
    to_m = _to_m(order)
    joint = {p.name: p.name for p in order}
    for spur in spurs(circuit):
        joint |= {p.name: spur.points[0].from_ for p in spur.points}
    found = [(p, p.load_w) for p in alone(circuit) if draws(p, circuit)]
    last = [*circuit.circuit.points.values()][-1:]
    found += [(p, power) for _, power in stands(circuit) for p in last]
    nowhere: Fact[float] = unknown("length_m", "no way round leads to it", at=circuit.at)
    return [(cable.load_a.worked(power, u0), to_m.get(joint.get(p.name, ""), nowhere)) for p, power in found]


def worst_leg_a(circuit: CircuitDesign, rest_too: bool = False) -> Fact[float]:
    """What the leg that carries more has to carry from the fixed appliances; `rest_too`: with the rest of the device's rating
    drawn evenly all round.

    Range: one size and one metal all round; the two legs are two resistances in parallel to each load."""
    if any(p.line_mm2.value != circuit.cable.line_mm2.amount for p in own_size(circuit)):
        return unknown("load_a", "its legs are not of one size", at=circuit.at)
    loads = fixed_loads(circuit)
    amps, to_m = [a for a, _ in loads], [m for _, m in loads]

    def greater(whole_m: float, rating_a: float, *known: float) -> float:
        drawn = known[:len(amps)]
        legs = legs_a([Tap(to / whole_m, a) for a, to in zip(drawn, known[len(amps):], strict=True)])
        return max(legs) + (max(0.0, rating_a - fsum(drawn)) / 2 if rest_too else 0.0)
    why = f"{SPLIT}; the rest of the rating is drawn evenly all round, half by each leg" if rest_too else SPLIT
    inputs = [circuit.length_m, circuit.rating_a, *amps, *to_m]
    return chosen("load_a", greater, inputs, "both legs", why, "two paths in parallel")


# ---- spurs ----------------------------------------------------------------------------------------------------------
def spur_ends(circuit: CircuitDesign) -> list[tuple[str, Fact[float], Fact[float], Fact[float]]]:
    """(address, length of the spur, the most by the rule of thumb, drop from the origin to its end) of each unfused spur.

    The drop counts the device's whole rating at the middle of the ring and again along the spur: the most it can be."""
    order = round_the_ring(circuit)
    to_m, points = _to_m(order), circuit.circuit.points
    share = look_up("thresholds", circuit.books, settled("case", "spur_share", "On-Site Guide 7.2.4"))
    found = []
    for spur in spurs(circuit):
        if not spur.fused and spur.points[0].from_ in to_m:
            lengths = [_along(p, points, to_m) for p in spur.points if not fused(p, circuit)]
            length = highest("length_m", lengths, "the farthest point of the spur")
            most = chosen("spur_m", lambda whole, to, part: part * abs(whole / 2 - to),
                          [circuit.length_m, to_m[spur.points[0].from_], share], "the run",
                          "this share of the run from where it begins to the middle of the ring, its farthest point",
                          "On-Site Guide 7.2.4")
            found.append((spur.at, length, most, _drop_to_end_v(circuit, length)))
    return found


def _along(point: Point, points: Mapping[str, Point], ring: Mapping[str, Fact[float]]) -> Fact[float]:
    """The cable from the ring to a point of a spur."""
    chain: dict[str, Fact[float]] = {}
    here = point.name
    while here not in ring and here in points and here not in chain:
        chain[here] = points[here].length_m
        here = points[here].from_
    return total("length_m", [*chain.values()][::-1], "point to point")


def _drop_to_end_v(circuit: CircuitDesign, spur_m: Fact[float]) -> Fact[float]:
    own = cable.drop_v.worked(circuit.route.mv_per_a_m, circuit.rating_a, spur_m)
    ring = cable.ring_drop_v.worked(circuit.route.mv_per_a_m, circuit.rating_a, circuit.length_m)
    return total("drop_v", [before_v(circuit), ring, own], "one after another")


# ---- drop as the handbook reckons a ring ----------------------------------------------------------------------------
def handbook_drop_v(circuit: CircuitDesign) -> Fact[float]:
    """From the origin to the middle of a ring of 32 A or less: 20 A there and 12 A spread evenly count as 26 A there, and the
    cable is as warm as these make legs of 20 A. Behind a rewirable fuse as if at its limit."""
    books, mv = circuit.books, circuit.route.mv_per_a_m
    ib = look_up("thresholds", books, settled("case", "ring_design_load_a", "On-Site Guide 7.2"))
    both = total("it_a", [circuit.leg_least_a, circuit.leg_least_a], "two legs of the least that is allowed")
    zero, reference = (look_up("thresholds", books, settled("case", c, "Appendix 4, 6.1"))
                       for c in ("copper_zero_k", "reference_c"))
    legs = [before_v(circuit)]
    for s in circuit.route.stretches:
        ct = settled("ct", 1.0, "not behind a rewirable fuse") if circuit.device.kind == "rewirable" else \
            cable.ct.worked(settled("limit_c", 70.0, "Tables 4D1A to 4D5"), reference, zero, s.ca_from_30, s.cg, ib, both)
        length = s.length_m if circuit.cable.stretches else circuit.length_m
        legs.append(cable.cooler_drop_v.worked(cable.ring_drop_v.worked(mv, ib, length), ct))
    return total("drop_v", legs, "one after another")


# ---- the floor it serves --------------------------------------------------------------------------------------------
def floor_m2(circuit: CircuitDesign) -> Fact[float]:
    """The floor of every room in which it has a socket outlet, each room once; unknown where a room or its size is."""
    rooms = circuit.design.inst.rooms
    sockets = [p for p in circuit.circuit.points.values() if (p.feeds or circuit.circuit.feeds) == "sockets"]
    if not sockets:
        return unknown("area_m2", "none of its points is recorded as a socket outlet", at=circuit.at)
    areas = []
    for name in dict.fromkeys(p.room for p in sockets):
        size = rooms[name].size if name in rooms else None
        areas.append(heat.area_m2.worked(size.length_m, size.width_m) if size is not None else
                     unknown("area_m2", f"the size of {name or 'the room of a point'} is not recorded", at=circuit.at))
    return total("area_m2", areas, "every room it serves")
