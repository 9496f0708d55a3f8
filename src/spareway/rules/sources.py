"""Rules of more than one source: what feeds back, and what must be said at the intake."""
from __future__ import annotations

from spareway.design.design import Design
from spareway.job.types import Equipment
from spareway.kinds import kind
from spareway.rules.base import Answer, cannot_tell, does_not_apply, must_be_no, rule


@rule("SO1", about="installation", breach="fails", clause="514.15.1; 551")
def second_source_without_notice(design: Design, _: Design) -> Answer:
    """A second source can feed this installation and no notice at the intake says so.

    Why: whoever opens the main switch believes it is off.
    Remedial: a notice of two supplies at the origin, at the meter, at the board and at each point of isolation.
    Fires on: circuits.panels = { way = "unit.6" }
      equipment.roof = { kind = "solar-inverter", rating_a = 16, on = "panels" }
    Passes on: circuits.panels = { way = "unit.6" }
      equipment.roof = { kind = "solar-inverter", rating_a = 16, on = "panels" }
      equipment.unit.notice = "two supplies"
      equipment.arrester.notice = "two supplies"
    """
    sources = design.second_sources
    if not sources:
        return Answer(True, "no second source is in the record")
    switches = design.points_of_isolation
    notices = [thing.notice for thing in switches]
    silent = [n for n in notices if n.known and n.amount != "two supplies"]
    if silent:
        return Answer(False, f"{', '.join(sources)}; no such notice at {', '.join(n.at.split('.')[1] for n in silent)}", tuple(notices))
    gaps = [n for n in notices if not n.known]
    return cannot_tell(*gaps) if gaps else Answer(True, f"{', '.join(sources)}: notices at every point of isolation",
                                                 tuple(notices))


@rule("SO2", about="installation", breach="stop", clause="132.12; 551.7; EAWR reg 13", authority="law")
def lead_feeds_back(design: Design, _: Design) -> Answer:
    """A lead with a plug at both ends joins two parts of the installation.

    Why: the pins of whichever plug is pulled first are live, and what you switched off comes back.
    Remedial: find who uses it, have it taken out by them from the live end, and destroy it.
    Fires on: equipment.lead = { kind = "double-ended-lead" }
    Passes on: equipment.unit.rating_a = 80
    """
    leads = [name for name in design.inst.equipment if design.kind_of(name).family == "lead"]
    return Answer(not leads, ", ".join(leads) if leads else "none is in the record")


@rule("SO3", about="installation", breach="advice", clause="462.2; EAWR reg 13", authority="law")
def comes_alive_by_itself(design: Design, _: Design) -> Answer:
    """Something in this installation closes by itself.

    Why: what a time switch, a meter or an inverter has opened may be live the next moment; it is never a means of isolation.
    Remedial: lock off by hand on the supply side of it, and prove dead; treat it as closed all the time.
    Fires on: circuits.panels = { way = "unit.6" }
      equipment.roof = { kind = "solar-inverter", rating_a = 16, on = "panels" }
    Passes on: equipment.unit.rating_a = 80
    """
    alone = [control for control, who in design.network.controls.items() if who == "itself"]
    return Answer(not alone, f"{', '.join(alone)}: counted as closed in every answer here" if alone else
                  "nothing that closes by itself is in the record")


@rule("SO4", about="supply", breach="unknown", clause="132.2", authority="common practice")
def three_phases(supply: object, design: Design) -> Answer:
    """The supply has more than one phase, which this version records and does not judge.

    Why: loads, faults and isolation between phases are not worked out here.
    Remedial: have it designed and checked by other means; findings about single circuits still hold for their own phase.
    Fires on: supplies.main.phases_n = 3
    Passes on: supplies.main.phases_n = 1
    """
    phases = design.supply.supply.phases_n
    if not phases.known:
        return does_not_apply("the number of phases was not recorded; worked out as one")
    return Answer(phases.amount == 1, f"Phases: {phases}", (phases,))


@rule("SO5", about="equipment", breach="fails", clause="531.3.3; 551", since="18A3")
def source_behind_one_way_thing(thing: Equipment, design: Design) -> Answer:
    """A source feeds back through a residual-current device or switch marked for current in one direction.

    Why: its coil can burn while it tries to open, and then it never opens.
    Remedial: a device its maker states for both directions, or the source on the other side of it.
    Fires on: circuits.panels = { way = "unit.6" }
      equipment.roof = { kind = "solar-inverter", rating_a = 16, on = "panels" }
      equipment.front = { kind = "rcd-before-all", rating_a = 100, residual_ma = 100, one_way = true }
      runs.feed-3.joins = ["arrester.bottom", "front.in"]
      runs.feed-4 = { joins = ["front.out", "unit.in"], kind = "tails", size_mm2 = 25, length_m = 0.3, method = "C" }
    Passes on: circuits.panels = { way = "unit.6" }
      equipment.roof = { kind = "solar-inverter", rating_a = 16, on = "panels" }
      equipment.front = { kind = "rcd-before-all", rating_a = 100, residual_ma = 100, one_way = false }
      runs.feed-3.joins = ["arrester.bottom", "front.in"]
      runs.feed-4 = { joins = ["front.out", "unit.in"], kind = "tails", size_mm2 = 25, length_m = 0.3, method = "C" }
    """
    of = kind(thing.kind)
    sources = design.sources_behind_thing(thing.name)
    if not of.residual and not of.marked or of.bars:
        return does_not_apply("neither a residual-current device nor a marked switch")
    if not sources:
        unsaid = design.unused()
        return Answer(None, f"Not known: what {', '.join(unsaid)} feeds") if unsaid else does_not_apply("no source feeds back through it")
    if of.marked:
        return Answer(False, f"{', '.join(sources)} through {of.says}")
    return must_be_no(thing.one_way)


RULES = (second_source_without_notice, lead_feeds_back, comes_alive_by_itself, three_phases,
         source_behind_one_way_thing)
