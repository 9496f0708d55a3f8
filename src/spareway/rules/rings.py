"""Rules of rings and of what else feeds socket outlets: legs, spurs, load round the ring, the floor served."""
from __future__ import annotations

from dataclasses import replace

from spareway.design.around import HEATERS
from spareway.design.circuit import CircuitDesign
from spareway.design.design import Design
from spareway.design.load import parts_of
from spareway.design.points import no_way_home
from spareway.design.ring import fixed_loads, floor_m2, own_size, spur_ends, ways_home, worst_leg_a
from spareway.design.spurs import on_ring
from spareway.fact import Fact, total
from spareway.rules.base import Answer, all_of, at_least, at_most, best_of, cannot_tell, does_not_apply, rule
from spareway.rules.conductors import NO_POINTS
from spareway.rules.cooler import NO_RING, ring_by_handbook
from spareway.tables import look_up


@rule("RI1", about="circuit", breach="fails", clause="433.1.204")
def ring_leg_small(circuit: CircuitDesign, design: Design) -> Answer:
    """A length of the ring itself is of a smaller conductor than a ring may have.

    Why: whichever leg it is in may have to carry 20 A and more, and the device sees only what both carry together.
    Remedial: the ring's own size all the way round; else two radials, each behind the device its cable bears.
    Fires on: circuits.plugs.points.p1 = { from = "way.a", length_m = 20, feeds = "sockets" }
      circuits.plugs.points.p2 = { from = "p1", length_m = 5, line_mm2 = 1.5, feeds = "sockets", back_to = "way.b", back_m = 20 }
    Passes on: circuits.plugs.points.p1 = { from = "way.a", length_m = 20, feeds = "sockets" }
      circuits.plugs.points.p2 = { from = "p1", length_m = 5, line_mm2 = 2.5, feeds = "sockets", back_to = "way.b", back_m = 20 }
    """
    if not circuit.is_ring:
        return NO_RING
    least = look_up("thresholds", design.books, design.case("ring_line_mm2"))
    answers = [replace(a, says=f"{a.says} at {p.name}") for p in own_size(circuit) if (a := at_least(p.line_mm2, least))]
    return all_of(answers) if answers else does_not_apply("no size but the ring's own is recorded on it")


@rule("RI2", about="circuit", breach="advice", clause="433.1.204; 643.2.1", authority="common practice")
def ring_of_two_sizes(circuit: CircuitDesign, design: Design) -> Answer:
    """The ring is not of one size all round.

    Why: the thicker part draws current to itself, the legs no longer share as anyone would reckon, and end to end readings mislead.
    Remedial: note where the size changes and what is read; one size when that length is next renewed.
    Fires on: circuits.plugs.points.p1 = { from = "way.a", length_m = 20, feeds = "sockets" }
      circuits.plugs.points.p2 = { from = "p1", length_m = 5, line_mm2 = 4, feeds = "sockets", back_to = "way.b", back_m = 20 }
    Passes on: circuits.plugs.points.p1 = { from = "way.a", length_m = 20, feeds = "sockets" }
      circuits.plugs.points.p2 = { from = "p1", length_m = 5, line_mm2 = 2.5, feeds = "sockets", back_to = "way.b", back_m = 20 }
    """
    if not circuit.is_ring:
        return NO_RING
    own = own_size(circuit)
    if not own:
        return does_not_apply("no size but the ring's own is recorded on it")
    if not circuit.cable.line_mm2.known:
        return cannot_tell(circuit.cable.line_mm2)
    other = [f"{p.line_mm2} at {p.name}" for p in own if p.line_mm2.value != circuit.cable.line_mm2.value]
    return Answer(not other, f"{circuit.cable.line_mm2}{', but ' if other else ' all round'}{', '.join(other)}")


@rule("RI3", about="circuit", breach="advice", clause="On-Site Guide 7.2.4; 525")
def spur_long(circuit: CircuitDesign, design: Design) -> Answer:
    """An unfused spur of this ring is long for where it leaves, and the drop at its end may be above the limit.

    Why: what is lost along the spur comes on top of what the ring loses up to there.
    Remedial: a shorter spur, a larger cable for it, or its points taken into the ring.
    Fires on: circuits.plugs.points.p1 = { from = "way.a", length_m = 25, feeds = "sockets", back_to = "way.b", back_m = 20 }
      circuits.plugs.points.p2 = { from = "p1", length_m = 25, feeds = "sockets" }
    Passes on: circuits.plugs.points.p1 = { from = "way.a", length_m = 25, feeds = "sockets", back_to = "way.b", back_m = 20 }
      circuits.plugs.points.p2 = { from = "p1", length_m = 3, feeds = "sockets" }
    """
    if not circuit.is_ring:
        return NO_RING
    if not on_ring(circuit):
        return does_not_apply(NO_POINTS)
    answers = [replace(best_of([at_most(length, most), at_most(drop, circuit.drop_limit_v)]), says=f"{length} at {at}; by the rule of "
                       f"thumb up to {most}; drop at its end at most {drop}, limit {circuit.drop_limit_v}")
               for at, length, most, drop in spur_ends(circuit)]
    return all_of(answers) if answers else does_not_apply("no unfused spur hangs on a single way round")


@rule("RI4", about="circuit", breach="unknown", clause="433.1.204; 643.2.1")
def ring_not_home(circuit: CircuitDesign, design: Design) -> Answer:
    """None of the points of this ring leads home in the record.

    Why: a ring that is open, or never was one, is a radial of small cable behind a large device, and everything works.
    Remedial: locked off and proved dead, its ends out at the board, each core read end to end; then record where it comes home, or what it is.
    Fires on: circuits.plugs.points.p1 = { from = "way.a", length_m = 20, feeds = "sockets" }
    Passes on: circuits.plugs.points.p1 = { from = "way.a", length_m = 20, feeds = "sockets", back_to = "way.b", back_m = 25 }
    """
    if not circuit.is_ring:
        return NO_RING
    if not circuit.circuit.points:
        return does_not_apply(NO_POINTS)
    return Answer(not no_way_home(circuit), ", ".join(ways_home(circuit)) or f"{len(circuit.circuit.points)} points recorded")


@rule("RI5", about="circuit", breach="advice", clause="433.1.204; 643.2.1", authority="common practice")
def ring_crossed(circuit: CircuitDesign, design: Design) -> Answer:
    """More than one point of this ring leads home: a ring with a bridge across it, or two rings behind one device.

    Why: a break in one loop of it shows in no reading at the sockets, and nobody can say what each leg carries.
    Remedial: find the bridge by the readings and take it out, or give each ring a device of its own.
    Fires on: circuits.plugs.points.p1 = { from = "way.a", length_m = 20, feeds = "sockets", back_to = "way.b", back_m = 25 }
      circuits.plugs.points.p2 = { from = "p1", length_m = 20, feeds = "sockets", back_to = "way.b", back_m = 25 }
    Passes on: circuits.plugs.points.p1 = { from = "way.a", length_m = 20, feeds = "sockets", back_to = "way.b", back_m = 25 }
    """
    if not circuit.is_ring:
        return NO_RING
    home = ways_home(circuit)
    return Answer(len(home) == 1, ", ".join(home)) if home else does_not_apply(NO_POINTS)


@rule("RI6", about="circuit", breach="advice", clause="On-Site Guide Table H2.1; 433.1.204")
def ring_floor_large(circuit: CircuitDesign, design: Design) -> Answer:
    """The rooms that this ring serves are more floor than a ring of its kind is meant for.

    Why: the more floor, the more is plugged in at once, and its device opens on winter evenings.
    Remedial: a second ring or radial; where it has done well for years, a note to the owner.
    Fires on: circuits.plugs.points.p1 = { from = "way.a", length_m = 20, feeds = "sockets", room = "barn", back_to = "way.b", back_m = 25 }
      rooms.barn.size = { length_m = 14, width_m = 8 }
    Passes on: circuits.plugs.points.p1 = { from = "way.a", length_m = 20, feeds = "sockets", room = "barn", back_to = "way.b", back_m = 25 }
      rooms.barn.size = { length_m = 12, width_m = 8 }
    """
    if not circuit.is_ring or not circuit.feeds_sockets:
        return NO_RING
    return at_most(floor_m2(circuit), look_up("thresholds", design.books, design.case("ring_area_m2"))) if circuit.circuit.points else \
        does_not_apply(NO_POINTS)


@rule("RI7", about="circuit", breach="advice", clause="On-Site Guide Table H2.1")
def radial_floor_large(circuit: CircuitDesign, design: Design) -> Answer:
    """The rooms that this radial of socket outlets serves are more floor than its device is meant for.

    Why: the more floor, the more is plugged in at once, and its device opens on winter evenings.
    Remedial: a second circuit; a larger device only where the cable carries it.
    Fires on: circuits.bench = { way = "unit.6", device = { kind = "mcb", curve = "B", rating_a = 20 }, points.p1 = { from = "way", feeds = "sockets", room = "barn" } }
      rooms.barn.size = { length_m = 8, width_m = 8 }
    Passes on: circuits.bench = { way = "unit.6", device = { kind = "mcb", curve = "B", rating_a = 20 }, points.p1 = { from = "way", feeds = "sockets", room = "barn" } }
      rooms.barn.size = { length_m = 6, width_m = 8 }
    """
    if circuit.is_ring or not circuit.feeds_sockets:
        return does_not_apply("no radial of socket outlets")
    if not circuit.circuit.points:
        return does_not_apply("no point of it is recorded")
    up_to_20, up_to_32 = (at_most(circuit.rating_a, look_up("thresholds", design.books, design.case(c))) for c in ("heater_radial_2_5_a", "ring_device_a"))
    if up_to_32.ok is not True:
        return up_to_32 if up_to_32.ok is None else does_not_apply("no floor is given for so large a device")
    case = "radial_20_area_m2" if up_to_20.ok else "radial_32_area_m2"
    return at_most(floor_m2(circuit), look_up("thresholds", design.books, design.case(case)))


@rule("RI8", about="circuit", breach="fails", clause="433.1.204; 523.1")
def leg_overloaded(circuit: CircuitDesign, design: Design) -> Answer:
    """The fixed appliances on this ring load one of its legs with more than the leg carries.

    Why: most of a load near one end goes by the short leg, and the device of the ring sees only the sum of both.
    Remedial: a circuit of its own for what is named, or its point moved towards the middle of the ring.
    Fires on: circuits.plugs.points.p1 = { from = "way.a", length_m = 2, feeds = "water-heater", load_w = 7000 }
      circuits.plugs.points.p2 = { from = "p1", length_m = 20, feeds = "sockets", back_to = "way.b", back_m = 23 }
    Passes on: circuits.plugs.points.p1 = { from = "way.a", length_m = 2, feeds = "water-heater", load_w = 3000 }
      circuits.plugs.points.p2 = { from = "p1", length_m = 20, feeds = "sockets", back_to = "way.b", back_m = 23 }
    """
    return _legs(circuit, rest_too=False)


@rule("RI9", about="circuit", breach="advice", clause="433.1.204", authority="common practice")
def load_near_one_end(circuit: CircuitDesign, design: Design) -> Answer:
    """With everything else drawn evenly, what stands near one end loads that leg with more than it carries.

    Why: a ring is allowed small conductors because no part of it is likely to carry more for long; here one part is.
    Remedial: spread what is fixed, or give it a circuit of its own.
    Fires on: circuits.plugs.points.p1 = { from = "way.a", length_m = 2, feeds = "water-heater", load_w = 6000 }
      circuits.plugs.points.p2 = { from = "p1", length_m = 20, feeds = "sockets", back_to = "way.b", back_m = 23 }
    Passes on: circuits.plugs.points.p1 = { from = "way.a", length_m = 2, feeds = "water-heater", load_w = 3000 }
      circuits.plugs.points.p2 = { from = "p1", length_m = 20, feeds = "sockets", back_to = "way.b", back_m = 23 }
    """
    return _legs(circuit, rest_too=True)


def _legs(circuit: CircuitDesign, rest_too: bool) -> Answer:
    """The leg that carries more against what it carries."""
    if not circuit.is_ring:
        return NO_RING
    if not on_ring(circuit):
        return does_not_apply(NO_POINTS)
    if not fixed_loads(circuit):
        return does_not_apply("no fixed appliance is recorded on it")
    answer = at_most(worst_leg_a(circuit, rest_too), circuit.iz_a)
    return Answer(None, f"Not known: what {', '.join(circuit.unsaid)} feeds. As recorded: {answer.says}", answer.facts) \
        if answer.ok and circuit.unsaid else answer


@rule("RI10", about="circuit", breach="fails", clause="On-Site Guide 7.2; Appendix 4, 6.1")
def ring_drop_above_limit(circuit: CircuitDesign, design: Design) -> Answer:
    """The voltage drop to the middle of this ring is above the limit even as the handbook reckons it.

    Why: it counts 26 A at the middle and a cable no warmer than that makes it; by that a ring of 2.5 mm² may be about 106 m.
    Remedial: two rings, or radials; a larger cable.
    Fires on: circuits.plugs.cable.length_m = 115
    Passes on: circuits.plugs.cable.length_m = 100
    """
    return ring_by_handbook(circuit, design)


@rule("RI11", about="circuit", breach="advice", clause="433.1.204; Appendix 15", authority="common practice")
def heating_on_ring(circuit: CircuitDesign, design: Design) -> Answer:
    """The fixed heaters on this ring are together more load than a fused connection unit is meant for.

    Why: heating runs for hours all over the house at once; a ring is reckoned for what is plugged in here and there.
    Remedial: circuits of their own for the heaters.
    Fires on: circuits.plugs.points.p1 = { from = "way.a", length_m = 20, feeds = "panel-heater", before = "fused-spur", spur_fuse_a = 13, load_w = 2000 }
      circuits.plugs.points.p2 = { from = "p1", length_m = 5, feeds = "panel-heater", before = "fused-spur", spur_fuse_a = 13, load_w = 1500, back_to = "way.b", back_m = 20 }
    Passes on: circuits.plugs.points.p1 = { from = "way.a", length_m = 20, feeds = "panel-heater", before = "fused-spur", spur_fuse_a = 13, load_w = 2000, back_to = "way.b", back_m = 20 }
    """
    if not circuit.is_ring:
        return NO_RING
    heaters = _heaters(circuit)
    return at_most(total("load_w", heaters, "the fixed heaters on it"), look_up("thresholds", design.books, design.case("fused_unit_w"))) \
        if heaters else does_not_apply("no fixed heater is recorded on it")


@rule("RI12", about="circuit", breach="advice", clause="433.1; 314.1", authority="common practice")
def heating_on_socket_radial(circuit: CircuitDesign, design: Design) -> Answer:
    """A fixed heater stands on a radial of socket outlets.

    Why: what the heater takes for hours is missing at the outlets, and the device opens when a kettle comes on.
    Remedial: a circuit of its own for the heater.
    Fires on: circuits.bench = { way = "unit.6", device = { kind = "mcb", curve = "B", rating_a = 20 }, points.p1 = { from = "way", feeds = "sockets" }, points.p2 = { from = "p1", feeds = "panel-heater", load_w = 1500 } }
    Passes on: circuits.bench = { way = "unit.6", device = { kind = "mcb", curve = "B", rating_a = 20 }, points.p1 = { from = "way", feeds = "sockets" } }
    """
    if circuit.is_ring or not circuit.feeds_sockets:
        return does_not_apply("no radial of socket outlets")
    heaters = [at for at, kind, _ in parts_of(circuit) if kind in HEATERS]
    return Answer(not heaters, ", ".join(heaters) or "no fixed heater is recorded on it")


def _heaters(circuit: CircuitDesign) -> list[Fact[float]]:
    return [power for _, kind, power in parts_of(circuit) if kind in HEATERS]


RULES = (ring_leg_small, ring_of_two_sizes, spur_long, ring_not_home, ring_crossed, ring_floor_large, radial_floor_large,
         leg_overloaded, load_near_one_end, ring_drop_above_limit, heating_on_ring, heating_on_socket_radial)
