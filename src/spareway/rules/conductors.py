"""More rules of circuits: rings and their spurs, least sizes, protective conductors, what does not belong on a circuit."""
from __future__ import annotations

from spareway.design.circuit import CircuitDesign
from spareway.design.design import Design
from spareway.design.spurs import counted, on_ring, spurs
from spareway.rules.base import Answer, all_of, at_least, at_most, cannot_tell, does_not_apply, must_be_no, rule
from spareway.tables import look_up

NO_POINTS = "no way round is recorded by its points"
LARGE = ("cooker", "immersion", "shower", "storage-heater", "charge-point", "charge-point-two-way")


@rule("CI14", about="circuit", breach="advice", clause="533.1.2.3; 432.4", authority="common practice")
def rewirable_kept(circuit: CircuitDesign, design: Design) -> Answer:
    """A rewirable fuse protects this circuit.

    Why: wire of another size fits as well and nobody sees it; it opens late on small overloads and breaks little current.
    Remedial: none is due for age alone: see that the wire is of the size marked; a breaker when the board is renewed.
    Fires on: circuits.warmth.device = { kind = "rewirable", rating_a = 15 }
    Passes on: circuits.warmth.cable.length_m = 14
    """
    if not circuit.device.kind:
        return does_not_apply("what stands in its way is not recorded")
    return Answer(circuit.device.kind != "rewirable", f"in {circuit.circuit.way}" if circuit.device.kind == "rewirable" else
                  f"{circuit.device.kind} in {circuit.circuit.way}")


@rule("CI15", about="circuit", breach="fails", clause="411.3.1.1", since="16")
def no_protective_conductor(circuit: CircuitDesign, design: Design) -> Answer:
    """There is no protective conductor in the cable of this circuit.

    Why: a fault in a metal fitting leaves it live, and a residual-current device trips only once somebody touches it.
    Remedial: run one; until then no metal switch, fitting or lamp holder on it, and a label at the board that says so.
    Fires on: circuits.lamps.cable = { kind = "t&e", line_mm2 = 1.0, without_cpc = true, length_m = 30, method = "C", concealed = true }
    Passes on: circuits.lamps.cable.cpc_mm2 = 1.0
    """
    if circuit.cable.cpc_mm2.known:
        return Answer(True, f"Protective conductor: {circuit.cable.cpc_mm2}", (circuit.cable.cpc_mm2,))
    return must_be_no(circuit.cable.without_cpc) if circuit.cable.without_cpc.known else cannot_tell(circuit.cable.cpc_mm2)


@rule("CI16", about="circuit", breach="fails", clause="433.1.204")
def ring_conductor_small(circuit: CircuitDesign, design: Design) -> Answer:
    """The line conductor of this ring is smaller than a ring may have.

    Why: with one leg open, or the load near one end, a leg carries far more than half.
    Remedial: a smaller device with each leg a radial of its own, or a larger cable.
    Fires on: circuits.plugs.cable.line_mm2 = 1.5
    Passes on: circuits.plugs.cable.line_mm2 = 4
    """
    if not circuit.is_ring:
        return does_not_apply("not a ring")
    return at_least(circuit.cable.line_mm2, look_up("thresholds", design.books, design.case("ring_line_mm2")))


@rule("CI17", about="circuit", breach="fails", clause="433.1.204")
def ring_device_large(circuit: CircuitDesign, design: Design) -> Answer:
    """The device of this ring is larger than a ring may have.

    Why: what a ring is allowed to do, two small conductors behind one large device, holds up to that size only.
    Remedial: the device that a ring is meant for.
    Fires on: circuits.plugs.device.rating_a = 40
    Passes on: circuits.plugs.device.rating_a = 32
    """
    if not circuit.is_ring:
        return does_not_apply("not a ring")
    return at_most(circuit.rating_a, look_up("thresholds", design.books, design.case("ring_device_a")))


@rule("CI18", about="circuit", breach="fails", clause="433.1.204; On-Site Guide Appendix H")
def spur_feeds_several(circuit: CircuitDesign, design: Design) -> Answer:
    """An unfused spur of this ring feeds more than one point.

    Why: its one cable may then carry more than it can bear, and the device of the ring does not see it.
    Remedial: a fused connection unit of 13 A where the spur begins, or the points taken into the ring.
    Fires on: circuits.plugs.points.p1 = { from = "way.a", length_m = 10, feeds = "sockets", back_to = "way.b", back_m = 10 }
      circuits.plugs.points.p2 = { from = "p1", length_m = 3, feeds = "sockets" }
      circuits.plugs.points.p3 = { from = "p2", length_m = 3, feeds = "sockets" }
    Passes on: circuits.plugs.points.p1 = { from = "way.a", length_m = 10, feeds = "sockets", back_to = "way.b", back_m = 10 }
      circuits.plugs.points.p2 = { from = "p1", length_m = 3, feeds = "sockets" }
    """
    if not circuit.is_ring:
        return does_not_apply("not a ring")
    if not on_ring(circuit):
        return does_not_apply(NO_POINTS)
    most = look_up("thresholds", design.books, design.case("spur_points_n"))
    loose = [s for s in spurs(circuit) if not s.fused]
    answers = [Answer((a := at_most(s.points_n, most)).ok, f"{a.says} at {s.at}", a.facts, a.relation) for s in loose]
    return all_of(answers) if answers else Answer(True, "no unfused spur is among its points")


@rule("CI19", about="circuit", breach="fails", clause="433.1.204; On-Site Guide Appendix H")
def spur_conductor_small(circuit: CircuitDesign, design: Design) -> Answer:
    """An unfused spur is of a smaller conductor than the ring.

    Why: a socket at its end may take 20 A and more through it, and only the device of the ring protects it.
    Remedial: a fused connection unit where the spur begins, or cable of the ring's own size.
    Fires on: circuits.plugs.points.p1 = { from = "way.a", length_m = 10, feeds = "sockets", back_to = "way.b", back_m = 10 }
      circuits.plugs.points.p2 = { from = "p1", length_m = 3, feeds = "sockets", line_mm2 = 1.5 }
    Passes on: circuits.plugs.points.p1 = { from = "way.a", length_m = 10, feeds = "sockets", back_to = "way.b", back_m = 10 }
      circuits.plugs.points.p2 = { from = "p1", length_m = 3, feeds = "sockets", line_mm2 = 2.5 }
    """
    if not circuit.is_ring:
        return does_not_apply("not a ring")
    if not on_ring(circuit):
        return does_not_apply(NO_POINTS)
    least = look_up("thresholds", design.books, design.case("ring_line_mm2"))
    loose = [p for s in spurs(circuit) if not s.fused for p in s.points]
    answers = [at_least(p.line_mm2 if p.line_mm2.known else circuit.cable.line_mm2, least) for p in loose]
    return all_of(answers) if answers else Answer(True, "no unfused spur is among its points")


@rule("CI20", about="circuit", breach="fails", clause="On-Site Guide Appendix H", authority="common practice")
def more_spurs_than_points(circuit: CircuitDesign, design: Design) -> Answer:
    """The unfused spurs of this ring outnumber the points on the ring itself.

    Why: it is hardly a ring any more, and nobody can foresee how its two legs share the load.
    Remedial: take points into the ring, or give some a circuit of their own.
    Fires on: circuits.plugs.points.p1 = { from = "way.a", length_m = 10, feeds = "sockets", back_to = "way.b", back_m = 10 }
      circuits.plugs.points.p2 = { from = "p1", length_m = 3, feeds = "sockets" }
      circuits.plugs.points.p3 = { from = "p1", length_m = 3, feeds = "sockets" }
    Passes on: circuits.plugs.points.p1 = { from = "way.a", length_m = 10, feeds = "sockets", back_to = "way.b", back_m = 10 }
      circuits.plugs.points.p2 = { from = "p1", length_m = 3, feeds = "sockets" }
    """
    if not circuit.is_ring:
        return does_not_apply("not a ring")
    ring = on_ring(circuit)
    if not ring:
        return does_not_apply(NO_POINTS)
    loose = [s for s in spurs(circuit) if not s.fused]
    return at_most(counted("spurs_n", len(loose), circuit.at), counted("on_ring_n", len(ring), circuit.at))


@rule("CI21", about="installation", breach="advice", clause="421.1.7", since="18A2")
def arc_detection_not_fitted(design: Design, _: Design) -> Answer:
    """Some socket circuits have no arc fault detection.

    Why: in a single home it is recommended and not required; in shared houses, high-rise homes, student homes and care homes it is required.
    Remedial: ask which kind of home this is; in a single home offer it and record the answer.
    Fires on: circuits.plugs.device = { kind = "rcbo-2p", curve = "B", rating_a = 32, residual_ma = 30, residual_type = "A" }
    Passes on: circuits.plugs.device = { kind = "afdd", curve = "B", rating_a = 32, residual_ma = 30, residual_type = "A", one_way = false }
    """
    most = look_up("thresholds", design.books, design.case("arc_socket_a"))
    asked = [c for c in design.circuits.values() if c.feeds_sockets and at_most(c.rating_a, most).ok is not False]
    if not asked:
        return does_not_apply("no circuit of socket outlets of such a rating is recorded")
    without = [c.circuit.name for c in asked if c.device.kind != "afdd"]
    return Answer(not without, ", ".join(without) if without else "every socket circuit has it")


@rule("CI22", about="circuit", breach="advice", clause="433.1; 314.1; On-Site Guide Appendix H", authority="common practice")
def large_load_among_sockets(circuit: CircuitDesign, design: Design) -> Answer:
    """A large fixed appliance shares a circuit with socket outlets.

    Why: it takes what the sockets were reckoned to have, for hours at a time.
    Remedial: a circuit of its own for it.
    Fires on: circuits.plugs.points.p1 = { from = "way.a", length_m = 10, feeds = "immersion", load_w = 3000 }
    Passes on: circuits.plugs.points.p1 = { from = "way.a", length_m = 10, feeds = "sockets" }
    """
    if not circuit.feeds_sockets:
        return does_not_apply("no socket outlet is recorded on it")
    found = sorted(f for f in circuit.feeds if f in LARGE)
    return Answer(not found, ", ".join(found) if found else "no large fixed appliance is recorded on it")


@rule("CI23", about="circuit", breach="fails", clause="524.1 Table 52.3")
def line_below_least_size(circuit: CircuitDesign, design: Design) -> Answer:
    """The line conductor is smaller than such a circuit may ever have.

    Why: thinner conductors break at terminals, whatever current they could carry.
    Remedial: a larger cable.
    Fires on: circuits.warmth.cable.line_mm2 = 1.0
    Passes on: circuits.warmth.cable.line_mm2 = 1.5
    """
    if circuit.cable.kind not in ("t&e", "singles", "armoured", "triplex"):
        return does_not_apply("not a sheathed or single-core cable for fixed wiring") if circuit.cable.kind else \
            cannot_tell(circuit.cable.line_mm2)
    lighting = bool(circuit.feeds) and circuit.feeds <= {"lights", "lamp", "alarms", "nothing"}
    case = "least_lighting_mm2" if lighting else "least_power_mm2"
    answer = at_least(circuit.cable.line_mm2, look_up("thresholds", design.books, design.case(case)))
    if answer.ok is False and not circuit.feeds:
        return Answer(None, f"{answer.says}. Not known: what it feeds; for lighting a smaller one is enough", answer.facts)
    return answer


RULES = (rewirable_kept, no_protective_conductor, ring_conductor_small, ring_device_large, spur_feeds_several,
         spur_conductor_small, more_spurs_than_points, arc_detection_not_fitted, large_load_among_sockets, line_below_least_size)
