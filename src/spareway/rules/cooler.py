"""The voltage drop of a cable no warmer than its load makes it, against its limit: where the tables at 70 °C say too much."""
from __future__ import annotations

from dataclasses import replace

from spareway.design.circuit import CircuitDesign
from spareway.design.design import Design
from spareway.design.load import before_v
from spareway.design.points import no_way_home, smaller
from spareway.design.ring import handbook_drop_v
from spareway.design.route import renamed, settled
from spareway.fact import lowest, total
from spareway.rules.base import Answer, at_most, cannot_tell, does_not_apply
from spareway.tables import look_up

NO_RING = does_not_apply("not a ring")


def drop_reckoned_cooler(circuit: CircuitDesign, design: Design) -> Answer:
    """A ring as the handbook reckons rings; any other circuit by Appendix 4, 6.1."""
    return not_at_thinner(circuit, ring_by_handbook(circuit, design) if circuit.is_ring else as_warm_as_its_load(circuit))


def ring_by_handbook(circuit: CircuitDesign, design: Design) -> Answer:
    """26 A at the middle, the cable as warm as that makes it (On-Site Guide 7.2)."""
    if not circuit.is_ring:
        return NO_RING
    known_to_32 = at_most(circuit.rating_a, look_up("thresholds", design.books, design.case("ring_device_a")))
    if known_to_32.ok is not True:
        return known_to_32 if known_to_32.ok is None else does_not_apply("the handbook reckons a ring of 32 A or less")
    answer = at_most(handbook_drop_v(circuit), circuit.drop_limit_v)
    return Answer(None, f"Not known: none of its points leads home. As a ring: {answer.says}", answer.facts) if no_way_home(circuit) else answer


def as_warm_as_its_load(circuit: CircuitDesign) -> Answer:
    """Where nobody recorded a load, as warm as the whole rating of its device makes it."""
    why = _not_cooler(circuit)
    if why:
        return does_not_apply(why)
    if circuit.device_kind is None or not circuit.route.hottest_c.known:
        return cannot_tell(circuit.rating_a, circuit.route.hottest_c, says="Not known: its device, or the temperature around it")
    device_a = renamed(circuit.rating_a, "load_a")                     # the most that its device lets through for long
    whole = not circuit.load_a.known or at_most(circuit.load_a, circuit.rating_a).ok is False
    amps = device_a if not circuit.load_a.known else circuit.load_a if not device_a.known else \
        lowest("load_a", [circuit.load_a, device_a], "no more for long than its device is rated for")
    cooler = total("drop_v", [before_v(circuit), circuit.route.cooler_drop_v(amps)], "one after another")
    answer, strict = (at_most(cooler, limit) for limit in (circuit.drop_limit_v, circuit.drop_limit_of_lighting_v))
    if answer.ok and circuit.use_unsaid and not strict.ok:
        return Answer(None, f"Not known: what it feeds; for lighting: {strict.says}", strict.facts)
    return replace(answer, says=f"{answer.says}, at the whole rating of its device") if whole and answer.relation else answer


def _not_cooler(circuit: CircuitDesign) -> str:
    """Why the drop may not be reckoned cooler; nothing where it may, or where that cannot be told."""
    if circuit.is_ring:
        return "a ring is reckoned by itself"
    if circuit.device.kind == "rewirable":
        return "not behind a rewirable fuse"
    if at_most(circuit.cable.line_mm2, settled("size_mm2", 16.0, "Appendix 4, 6.1")).ok is False:
        return "above 16 mm² only a part of the drop grows with temperature"
    return "in the ground its tables take another temperature around it" if any(s.is_buried for s in circuit.route.stretches) else ""


def not_at_thinner(circuit: CircuitDesign, answer: Answer) -> Answer:
    """What holds for the cable says nothing good of a smaller conductor that goes on from it."""
    thin = [p.name for p in smaller(circuit, "line_mm2")]
    return Answer(None, f"Not known at {', '.join(thin)}, by a smaller conductor than the rest: {answer.says}", answer.facts) \
        if thin and answer.ok else answer
