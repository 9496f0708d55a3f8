"""Rules of where a cable runs: which stretch governs, what is around it, what shares its way, what its table holds for."""
from __future__ import annotations

from dataclasses import replace

from spareway.design.bundle import grouped_with
from spareway.design.circuit import CircuitDesign
from spareway.design.design import Design
from spareway.design.load import line_withstand_a2s, reduced_m, returning_on
from spareway.design.points import smaller
from spareway.design.route import RATINGS_90, StretchDesign, assumed, half_from_mm, settled
from spareway.fact import Fact, total
from spareway.job.types import Point
from spareway.rules.base import Answer, all_of, at_least, at_most, below, best_of, cannot_tell, does_not_apply, rule
from spareway.rules.circuits import tables_hold
from spareway.rules.cooler import as_warm_as_its_load, not_at_thinner
from spareway.tables import look_up

TOUCHING = ("A", "100", "101", "102")                       # beside insulation on one side or more, and not lost in it
TABULATED = ("t&e", "singles", "armoured", "tails")         # kinds whose own table of ratings is here
NO_KIND = Answer(None, "Not known: what sort of cable it is")


@rule("RT1", about="circuit", breach="fails", clause="523.1; 433.1.1")
def load_above_cable(circuit: CircuitDesign, design: Design) -> Answer:
    """The cable carries more in ordinary use than it can bear where it runs worst.

    Why: it is hot all the time the load is on, whatever protects it, and its insulation ages in years instead of decades.
    Remedial: another way for the stretch named, a larger cable, or less load.
    Fires on: circuits.warmth.cable = { kind = "t&e", line_mm2 = 1.5, cpc_mm2 = 1.0, length_m = 15, method = "103", concealed = true }
    Passes on: circuits.warmth.cable.method = "103"
    """
    if circuit.is_ring:
        return does_not_apply("what a ring carries is shared between its legs")
    # whatever the load is, a device that protects the cable lets no more through for long
    either = best_of([at_most(circuit.load_a, circuit.route.carries_a), at_most(circuit.rating_a, circuit.iz_a)])
    answer = tables_hold(circuit.cable.insulation_c, either)
    worst = circuit.route.weakest
    return replace(answer, says=f"{answer.says}. Weakest: {worst.in_words}") if worst and answer.relation else answer


@rule("RT2", about="circuit", breach="advice", clause="523.8", authority="common practice")
def one_stretch_governs(circuit: CircuitDesign, design: Design) -> Answer:
    """One stretch alone keeps this cable from carrying what its device lets it.

    Why: a larger cable all along is dear when a few metres laid otherwise would do.
    Remedial: lead the stretch named another way, out of insulation, heat or bunch, before a larger cable is chosen.
    Fires on: circuits.warmth.cable = { kind = "t&e", line_mm2 = 2.5, cpc_mm2 = 1.5, concealed = true, stretches.wall = { length_m = 12, method = "C" }, stretches.loft = { length_m = 3, method = "103" } }
    Passes on: circuits.warmth.cable = { kind = "t&e", line_mm2 = 2.5, cpc_mm2 = 1.5, concealed = true, stretches.wall = { length_m = 12, method = "C" }, stretches.loft = { length_m = 3, method = "100" } }
    """
    if len(circuit.route.stretches) < 2:
        return does_not_apply("all of it lies in one way by the record")
    needed = circuit.leg_least_a if circuit.is_ring else circuit.rating_a
    whole, worst = at_least(circuit.iz_a, needed), circuit.route.weakest
    if worst is None or whole.ok is not False:
        return whole
    if at_least(circuit.route.elsewhere_a, needed).ok is False:
        return does_not_apply("more than one of its stretches carries too little")
    return Answer(False, f"{worst.in_words[:1].upper()}{worst.in_words[1:]}: {whole.says}. Everywhere else it carries "
                  f"{circuit.route.elsewhere_a} or more", (*whole.facts, circuit.route.elsewhere_a))


@rule("RT3", about="circuit", breach="fails", clause="522.1.1; 523.1")
def around_hotter_than_insulation(circuit: CircuitDesign, design: Design) -> Answer:
    """The place through which the cable runs is as hot as its insulation may ever be.

    Why: no current at all is left for it to carry, and it hardens even with nothing on.
    Remedial: another way, away from flue, boiler or hot pipe; else a cable made for that heat.
    Fires on: circuits.warmth.cable.ambient_c = 75
    Passes on: circuits.warmth.cable.ambient_c = 50
    """
    bears = circuit.cable.insulation_c
    if not bears.known and bears.note == "not recorded":
        bears = assumed("insulation_c", 70.0, "the usual insulation, none was recorded", bears.at)
    return below(circuit.route.hottest_c, bears)


@rule("RT4", about="circuit", breach="advice", clause="523.9")
def long_in_insulation(circuit: CircuitDesign, design: Design) -> Answer:
    """The cable lies in thermal insulation, surrounded by it, for half a metre or more.

    Why: it carries half of what it would in the open, and whoever lays more insulation later does not see it.
    Remedial: lead it above the insulation, or fix it to a joist or ceiling where one side of it stays free.
    Fires on: circuits.warmth.cable = { kind = "t&e", line_mm2 = 4, cpc_mm2 = 1.5, concealed = true, stretches.wall = { length_m = 12, method = "C" }, stretches.loft = { length_m = 3, method = "C", in_insulation_mm = 3000 } }
    Passes on: circuits.warmth.cable = { kind = "t&e", line_mm2 = 4, cpc_mm2 = 1.5, concealed = true, stretches.wall = { length_m = 12, method = "C" }, stretches.loft = { length_m = 3, method = "C", in_insulation_mm = 200 } }
    """
    inside = [(s, mm) for s in circuit.route.stretches if s.method.amount not in TOUCHING and (mm := _insulated_mm(s)) is not None]
    if not inside:
        return does_not_apply("no length of it is recorded in insulation")
    most = half_from_mm(design.books)
    return all_of([replace(a, says=f"{a.says} ({s.in_words})") if (a := below(mm, most)).relation else a for s, mm in inside])


def _insulated_mm(stretch: StretchDesign) -> Fact[float] | None:
    """The length of it in insulation, where one is recorded, or recorded as not known."""
    inside = stretch.in_insulation_mm
    return inside if inside is not None and inside.amount != 0 and (inside.known or inside.note != "not recorded") else None


@rule("RT5", about="circuit", breach="unknown", clause="523.9; Appendix 4, Table 4A2")
def insulation_told_twice(circuit: CircuitDesign, design: Design) -> Answer:
    """The cable is recorded as surrounded by insulation, and by its method one side of it is free.

    Why: the ratings of these methods hold the insulation once; a cable surrounded on every side carries less than they say.
    Remedial: look again: surrounded is method 103, or another method with the length in insulation; else take the length out.
    Fires on: circuits.warmth.cable = { kind = "t&e", line_mm2 = 2.5, cpc_mm2 = 1.5, concealed = true, stretches.loft = { length_m = 15, method = "100", in_insulation_mm = 400 } }
    Passes on: circuits.warmth.cable = { kind = "t&e", line_mm2 = 2.5, cpc_mm2 = 1.5, concealed = true, stretches.loft = { length_m = 15, method = "100", in_insulation_mm = 0 } }
    """
    touching = [s for s in circuit.route.stretches if s.method.amount in TOUCHING]
    if not touching:
        return does_not_apply("no method of it holds insulation on one side")
    twice = [s.in_words for s in touching if _insulated_mm(s) is not None]
    return Answer(not twice, "; ".join(twice) or "insulation is counted once, by its method")


@rule("RT6", about="circuit", breach="unknown", clause="522.8.10")
def buried_without_armour(circuit: CircuitDesign, design: Design) -> Answer:
    """A cable without armour lies in the ground, and whether in a duct is not in this record.

    Why: a spade goes through it; without earthed metal around it only a duct or conduit makes it right, and a record of methods holds none.
    Remedial: ask whoever laid it, or look where it comes up, whether it lies in a duct; no digging near it while live. Else armoured cable.
    Fires on: circuits.warmth.cable = { kind = "t&e", line_mm2 = 4, cpc_mm2 = 1.5, length_m = 15, method = "D", concealed = false }
    Passes on: circuits.warmth.cable = { kind = "armoured", line_mm2 = 4, cpc_mm2 = 4, length_m = 15, method = "D", concealed = false }
    """
    buried = [s for s in circuit.route.stretches if s.method.amount == "D"]
    if not buried:
        return does_not_apply("no part of it is recorded in the ground")
    if not circuit.cable.kind:
        return NO_KIND
    return Answer(circuit.cable.kind == "armoured", f"{circuit.cable.kind}, {buried[0].in_words}")


@rule("RT7", about="circuit", breach="fails", clause="512.1.5; 523.1")
def rated_hotter_than_terminals(circuit: CircuitDesign, design: Design) -> Answer:
    """Its device suits this cable only by the ratings of 90 °C, and the terminals at its ends are made for 70 °C.

    Why: at that current the cable brings its heat into switch, socket and breaker, and they burn before the cable does.
    Remedial: size it by the 70 °C table, or show the maker's word that every terminal on it bears 90 °C.
    Fires on: circuits.warmth.cable = { kind = "armoured", line_mm2 = 1.5, cpc_mm2 = 1.5, insulation_c = 90, ambient_c = 50, length_m = 15, method = "C", concealed = false }
    Passes on: circuits.warmth.cable = { kind = "armoured", line_mm2 = 2.5, cpc_mm2 = 2.5, insulation_c = 90, ambient_c = 50, length_m = 15, method = "C", concealed = false }
    """
    if circuit.cable.kind not in RATINGS_90 or circuit.is_ring:
        return does_not_apply("no cable with a table of 90 °C") if circuit.cable.kind else NO_KIND
    at_70 = at_most(circuit.rating_a, circuit.iz_a)
    if at_70.ok is not False:
        return at_70
    if not circuit.cable.insulation_c.known:
        return cannot_tell(circuit.cable.insulation_c)
    at_90 = at_most(circuit.rating_a, circuit.route.iz_at_90_a)
    if at_90.ok is False or not at_least(circuit.cable.insulation_c, settled("limit_c", 90.0, "Tables 4E1A to 4E4A")).ok:
        return does_not_apply("its device is above the ratings of 90 °C too")
    return replace(at_70, says=f"{at_70.says}. By 90 °C it would be {circuit.route.iz_at_90_a}", facts=(*at_70.facts, circuit.route.iz_at_90_a))


@rule("RT8", about="circuit", breach="fails", clause="523.5; Appendix 4, Table 4C1")
def more_bunched_than_counted(circuit: CircuitDesign, design: Design) -> Answer:
    """More cables share its bundle in the record than its rating was lowered for.

    Why: each warms the others, and the factor for two does not hold for five.
    Remedial: count again where they run; lead some another way; what never carries 30 % of its grouped rating need not count.
    Fires on: circuits.warmth.cable = { kind = "t&e", line_mm2 = 2.5, cpc_mm2 = 1.5, concealed = true, stretches.duct = { length_m = 15, method = "B", bundle = "hall", grouped_n = 1 } }
      circuits.oven.cable = { kind = "t&e", line_mm2 = 6, cpc_mm2 = 2.5, concealed = true, stretches.duct = { length_m = 8, method = "B", bundle = "hall", grouped_n = 2 } }
    Passes on: circuits.warmth.cable = { kind = "t&e", line_mm2 = 2.5, cpc_mm2 = 1.5, concealed = true, stretches.duct = { length_m = 15, method = "B", bundle = "hall", grouped_n = 2 } }
      circuits.oven.cable = { kind = "t&e", line_mm2 = 6, cpc_mm2 = 2.5, concealed = true, stretches.duct = { length_m = 8, method = "B", bundle = "hall", grouped_n = 2 } }
    """
    bundled = [s for s in circuit.route.stretches if s.bundle]
    return all_of([_counted_in(s, circuit, design) for s in bundled]) if bundled else \
        does_not_apply("no bundle that it shares is named")


def _counted_in(stretch: StretchDesign, circuit: CircuitDesign, design: Design) -> Answer:
    """What its rating counts against what the record lays in that bundle, little loaded ones left out."""
    with_it, light = grouped_with(circuit.at, stretch.bundle, design)
    out = f"; left out as little loaded: {', '.join(light)}" if light else ""
    if not stretch.grouped_n.known:
        return cannot_tell(stretch.grouped_n, beside=(stretch.grouped_n, with_it),
                           says=f"Not known: how many it was counted among in {stretch.bundle}; in this record {with_it}{out}")
    answer = at_least(stretch.grouped_n, with_it)
    return replace(answer, says=f"{answer.says} in {stretch.bundle}{out}")


@rule("RT9", about="circuit", breach="fails", clause="525; Appendix 4, 6.1 and 6.4")
def drop_above_limit_even_cool(circuit: CircuitDesign, design: Design) -> Answer:
    """The voltage drop is above the limit even with the cable only as warm as its load makes it.

    Why: the tables print the drop of a cable at 70 °C; what is above the limit by them may be within it cooler, and this is not.
    Remedial: a larger cable, a shorter route, or the load split.
    Fires on: circuits.warmth.cable.length_m = 80
    Passes on: circuits.warmth.cable.length_m = 61
    """
    return not_at_thinner(circuit, as_warm_as_its_load(circuit))


@rule("RT10", about="circuit", breach="fails", clause="434.2.1; 434.2.2; 433.2.2")
def thin_leg_too_long(circuit: CircuitDesign, design: Design) -> Answer:
    """A smaller conductor goes on for more than 3 m, and a fault at its beginning would be too much for it.

    Why: the device was chosen for the larger one; before it opens the smaller one can be hot enough to burn.
    Remedial: a fuse of its own where it begins, or the larger size up to the point.
    Fires on: circuits.warmth.points.p1 = { from = "way", length_m = 9, feeds = "panel-heater", line_mm2 = 1.0, cpc_mm2 = 1.0 }
      circuits.warmth.device.let_through_a2s = 15000
    Passes on: circuits.warmth.points.p1 = { from = "way", length_m = 9, feeds = "panel-heater", line_mm2 = 1.5, cpc_mm2 = 1.0 }
      circuits.warmth.device.let_through_a2s = 15000
    """
    thin = smaller(circuit, "line_mm2")
    names = [p.name for p in thin]
    return all_of([_reduced_at(circuit, p, reduced_m(circuit, p, names), design) for p in thin]) if thin else \
        does_not_apply("no smaller conductor is recorded on it, or a fuse of its own stands before it")


def _reduced_at(circuit: CircuitDesign, point: Point, length_m: Fact[float], design: Design) -> Answer:
    """Short enough to need no protection of its own, or proof against what the device lets through."""
    most = look_up("thresholds", design.books, design.case("reduced_conductor_m"))
    short = at_most(length_m, most)
    if short.ok or not circuit.device.let_through_a2s.known:
        return short if short.ok is not False else \
            Answer(None, f"Not known at {point.name}: {short.says}. The maker's let-through at the fault current here would settle it", short.facts)
    bears = at_least(line_withstand_a2s(circuit, point), circuit.energy_near_a2s)
    answer = best_of([bears, short])
    return replace(answer, says=f"At {point.name}: {answer.says}")


@rule("RT11", about="circuit", breach="unknown", clause="523.1; Appendix 4")
def rating_of_another_cable(circuit: CircuitDesign, design: Design) -> Answer:
    """The tables that its rating was read from are of another kind of cable.

    Why: flexible, mineral and old cables have ratings and drops of their own; what holds here holds by a neighbour's figures.
    Remedial: its own table or its maker's, read by a person and signed for; an old cable wants its insulation looked at first.
    Fires on: circuits.warmth.cable = { kind = "flex", line_mm2 = 2.5, cpc_mm2 = 2.5, length_m = 15, method = "C", concealed = false }
    Passes on: circuits.warmth.cable = { kind = "armoured", line_mm2 = 2.5, cpc_mm2 = 2.5, length_m = 15, method = "C", concealed = false }
    """
    if not circuit.cable.kind:
        return NO_KIND
    return Answer(circuit.cable.kind in TABULATED, f"{circuit.cable.kind}, read by {circuit.route.stretches[0].it_a.where}"
                  if circuit.cable.kind not in TABULATED else f"{circuit.cable.kind} by its own table")


@rule("RT12", about="circuit", breach="fails", clause="523.1; 314.4")
def shared_neutral_overloaded(circuit: CircuitDesign, design: Design) -> Answer:
    """What returns on its neutral adds up to more than the conductor carries.

    Why: two lines of one phase do not cancel in the neutral, they add, and no device looks at the neutral.
    Remedial: give each circuit its own neutral before anything new is energised.
    Fires on: circuits.warmth.neutral = "lamps"
    Passes on: circuits.lamps.neutral = "warmth"
    """
    guests = returning_on(circuit, design)
    if not guests:
        return does_not_apply("nothing else is recorded as returning on its neutral")
    if circuit.is_ring:
        return Answer(None, f"Not known: how the neutral of a ring shares what returns on it besides: {', '.join(n for n, _ in guests)}")
    both = total("rating_a", [circuit.rating_a, *(a for _, a in guests)], "its own device, and what returns on its neutral besides")
    answer = at_most(both, circuit.route.carries_a)
    return replace(answer, says=f"{answer.says}. Besides its own: {', '.join(f'{n} {a}' for n, a in guests)}")


RULES = (load_above_cable, one_stretch_governs, around_hotter_than_insulation, long_in_insulation, insulation_told_twice,
         buried_without_armour, rated_hotter_than_terminals, more_bunched_than_counted, drop_above_limit_even_cool,
         thin_leg_too_long, rating_of_another_cable, shared_neutral_overloaded)
