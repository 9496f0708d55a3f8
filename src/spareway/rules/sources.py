"""Rules of more than one source: what feeds back, and what must be said at the intake."""
from __future__ import annotations

from spareway.design.beyond import hand_switches_before
from spareway.design.design import Design
from spareway.design.guards import opens, opens_neutral
from spareway.design.load import CHARGING
from spareway.design.supply import SupplyDesign
from spareway.job.types import Equipment
from spareway.kinds import kind
from spareway.rules.base import Answer, at_most, cannot_tell, does_not_apply, is_one_of, must_be_no, rule
from spareway.tables import look_up
from spareway.wiring.parts import NOT_OURS


def _told_of(design: Design) -> Answer | None:
    """Not known, where the door told of a source that the record does not hold, or nobody could answer there."""
    return Answer(None, f"Not known: {design.source_told_of}") if design.source_told_of else None


@rule("SO1", about="installation", breach="fails", clause="514.15.1; 551", by_layout=True)
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
        return _told_of(design) or Answer(True, "no second source is in the record")
    switches = design.points_of_isolation
    notices = [thing.notice for thing in switches]
    silent = [n for n in notices if n.known and n.amount != "two supplies"]
    if silent:
        return Answer(False, f"{', '.join(sources)}; no such notice at {', '.join(n.at.split('.')[1] for n in silent)}", tuple(notices))
    gaps = [n for n in notices if not n.known]
    return cannot_tell(*gaps) if gaps else Answer(True, f"{', '.join(sources)}: notices at every point of isolation",
                                                 tuple(notices))


@rule("SO2", about="installation", breach="stop", clause="132.12; 551.7; EAWR reg 13", authority="law", by_layout=True)
def lead_feeds_back(design: Design, _: Design) -> Answer:
    """A lead with a plug at both ends joins two parts of the installation.

    Why: the pins of whichever plug is pulled first are live, and what you switched off comes back.
    Remedial: isolate both ends and prove dead before anybody pulls a plug; then take it away and destroy it.
    Fires on: equipment.lead = { kind = "double-ended-lead" }
    Passes on: equipment.unit.rating_a = 80
    """
    leads = [name for name in design.inst.equipment if design.kind_of(name).family == "lead"]
    if not leads and (told := _told_of(design)):
        return told
    return Answer(not leads, ", ".join(leads) if leads else "none is in the record")


@rule("SO3", about="installation", breach="advice", clause="462.2; EAWR reg 13", authority="law", by_layout=True)
def comes_alive_by_itself(design: Design, _: Design) -> Answer:
    """Something in this installation closes by itself.

    Why: what a time switch, a meter or an inverter has opened may be live the next moment; it is never a means of isolation.
    Remedial: treat it as closed all the time; lock off by hand on the supply side of it where a switch of yours stands there, else by a switch of yours downstream, for upstream is only the operator; prove dead.
    Fires on: circuits.panels = { way = "unit.6" }
      equipment.roof = { kind = "solar-inverter", rating_a = 16, on = "panels" }
    Passes on: equipment.unit.rating_a = 80
    """
    alone = [control for control, who in design.network.controls.items() if who == "itself"]
    if not alone and (told := _told_of(design)):
        return told
    if not alone:
        return Answer(True, "nothing that closes by itself is in the record")
    theirs = [c for c in alone if (name := c.partition(".")[0]) in design.inst.equipment and design.kind_of(name).family in NOT_OURS
              and not hand_switches_before(f"{name}.in.L", design)]
    by_whom = f". {', '.join(theirs)}: by a switch of yours downstream; upstream only the operator" if theirs else ""
    return Answer(False, f"{', '.join(alone)}: counted as closed in every answer here{by_whom}")


@rule("SO4", about="supply", breach="unknown", clause="132.2", authority="common practice")
def three_phases(supply: SupplyDesign, design: Design) -> Answer:
    """The supply has more than one phase, which this version records and does not judge.

    Why: loads, faults and isolation between phases are not worked out here.
    Remedial: have it designed and checked by other means; findings about single circuits still hold for their own phase.
    Fires on: supplies.main.phases_n = 3
    Passes on: supplies.main.phases_n = 1
    """
    phases = supply.supply.phases_n
    if not phases.known:
        return does_not_apply("the number of phases was not recorded; worked out as one")
    return Answer(phases.amount == 1, f"Phases: {phases}", (phases,))


@rule("SO5", about="equipment", breach="fails", clause="530.3.201; 551", since="18A3", by_layout=True)
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
    if not sources and (told := _told_of(design)):
        return told
    if not sources:
        unsaid = design.unused()
        return Answer(None, f"Not known: what {', '.join(unsaid)} feeds") if unsaid else does_not_apply("no source feeds back through it")
    if of.marked:
        return Answer(False, f"{', '.join(sources)} through {of.says}")
    return must_be_no(thing.one_way)


@rule("SO6", about="source or charge point", breach="fails", clause="462.1; 462.1.201; 551.4", by_layout=True)
def source_without_switch(thing: Equipment, design: Design) -> Answer:
    """Between this source and the rest of the installation nothing opens line and neutral by hand.

    Why: what stops by itself may start by itself; nobody can lock it off.
    Remedial: a two-pole switch beside it, that can be locked off.
    Fires on: circuits.panels = { way = "unit.6" }
      equipment.roof = { kind = "solar-inverter", rating_a = 16, on = "panels" }
    Passes on: circuits.panels = { way = "unit.6", device = { kind = "rcbo-2p", curve = "B", rating_a = 20, residual_ma = 30, residual_type = "A", one_way = false } }
      equipment.roof = { kind = "solar-inverter", rating_a = 16, on = "panels" }
    """
    if "L" not in kind(thing.kind).sources.values():
        return does_not_apply("no source")
    between = design.between_source_and_supply(thing.name)
    if between is None:
        return Answer(None, "Not known: no metal joins it to the supply in the record")
    kinds = {n: design.kind_of(n) if n in design.inst.equipment else design.circuits[n].device_kind for n in between}
    boards = [i for i, of in enumerate(kinds.values()) if of is not None and of.bars]
    beside = [*kinds.items()][boards[-1] + 1 if boards else 0:]                  # what stands on its own side of the last board
    parting = [n for n, of in beside if of is not None and opens_neutral(of) and n != thing.name and of.family not in NOT_OURS]
    own = [c for c, who in kind(thing.kind).controls.items() if who == "ordinary" and {"L", "N"} <= opens(kind(thing.kind), c)]
    return Answer(bool(parting or own), f"parted by {', '.join([*parting, *own])}" if parting or own else
                  f"between it and the board: {', '.join(n for n, _ in beside if n != thing.name) or 'nothing'}")


@rule("SO7", about="source or charge point", breach="advice", clause="514.15.1; 551", authority="standard")
def no_notice_at_source(thing: Equipment, design: Design) -> Answer:
    """No notice at this source says that it feeds an installation with another supply.

    Why: whoever works at it may open the wrong switch and take it to part what it does not.
    Remedial: a notice of two supplies at the source and at its switch.
    Fires on: circuits.panels = { way = "unit.6" }
      equipment.roof = { kind = "solar-inverter", rating_a = 16, on = "panels", notice = "none" }
    Passes on: circuits.panels = { way = "unit.6" }
      equipment.roof = { kind = "solar-inverter", rating_a = 16, on = "panels", notice = "two supplies" }
    """
    if "L" not in kind(thing.kind).sources.values():
        return does_not_apply("no source")
    return is_one_of(thing.notice, "two supplies")


@rule("SO8", about="source or charge point", breach="fails", clause="722.411.4.1", since="17A1")
def vehicle_on_combined_earth(thing: Equipment, design: Design) -> Answer:
    """A charge point takes its earth from a supply whose neutral and earth are one, and nothing opens when that is lost.

    Why: with the combined conductor broken the car stands at line voltage, and people touch it standing on the ground.
    Remedial: a charge point or a device beside it that opens by itself then, by its maker's statement; or an earth of its own.
    Fires on: supplies.main.earthing = "TN-C-S"
      supplies.main.ze_ohm = { measured = 0.3 }
      circuits.car = { way = "unit.6" }
      equipment.charger = { kind = "charge-point", rating_a = 32, on = "car", open_neutral = false }
    Passes on: supplies.main.earthing = "TN-C-S"
      supplies.main.ze_ohm = { measured = 0.3 }
      circuits.car = { way = "unit.6" }
      equipment.charger = { kind = "charge-point", rating_a = 32, on = "car", open_neutral = true }
    """
    if thing.kind not in CHARGING:
        return does_not_apply("not a charge point")
    if thing.open_neutral.amount is True:
        return Answer(True, "it opens by itself when the combined conductor is lost", (thing.open_neutral,))
    earthing = design.supply.earthing
    if earthing.known and earthing.amount not in ("TN-C-S", "TN-C"):
        return does_not_apply(f"the supply is {earthing}")
    if not earthing.known or not thing.open_neutral.known:
        return cannot_tell(*(f for f in (earthing, thing.open_neutral) if not f.known))
    return Answer(False, f"the supply is {earthing}", (earthing, thing.open_neutral))


@rule("SO9", about="source or charge point", breach="stop", clause="551.6; ESQCR 2002 reg 21, 22", authority="law", by_layout=True)
def generator_meets_network(thing: Equipment, design: Design) -> Answer:
    """A generator can be joined to the network: no changeover switch stands between them.

    Why: it feeds the street where others work with the network off, and burns when it comes back.
    Remedial: take its plug out now; a changeover switch, whose one handle joins one of the two or neither.
    Fires on: circuits.standby = { way = "unit.6", feeds = "inlet.in" }
      equipment.inlet = { kind = "generator-inlet", rating_a = 16 }
    Passes on: equipment.inlet = { kind = "generator-inlet", rating_a = 16 }
      equipment.over = { kind = "changeover", rating_a = 63, damage = "none" }
      runs.feed-3.joins = ["arrester.bottom", "over.main"]
      runs.feed-4 = { joins = ["inlet.in", "over.standby"], kind = "tails", size_mm2 = 16, length_m = 2, method = "C" }
      runs.feed-5 = { joins = ["over.out", "unit.in"], kind = "tails", size_mm2 = 25, length_m = 1, method = "C" }
    """
    if thing.kind != "generator-inlet":
        return does_not_apply("no inlet for a generator")
    between = design.between_source_and_supply(thing.name)
    if between is None:
        return Answer(True, "no metal joins it to the network in the record")
    over = [n for n in between if n in design.inst.equipment and design.kind_of(n).one_of]
    return Answer(bool(over), f"{', '.join(over)} stands between them" if over else f"by way of {', '.join(between)}")


@rule("SO10", about="installation", breach="advice", clause="ENA EREC G98, G99", authority="network operator")
def sources_want_application(design: Design, _: Design) -> Answer:
    """The sources of this installation together are more than may be joined by notice alone.

    Why: above that size the network operator has to agree before anything is joined.
    Remedial: apply to the network operator and wait for its answer before ordering.
    Fires on: circuits.panels = { way = "unit.6" }
      equipment.roof = { kind = "solar-inverter", rating_a = 25, on = "panels" }
    Passes on: circuits.panels = { way = "unit.6" }
      equipment.roof = { kind = "solar-inverter", rating_a = 16, on = "panels" }
    """
    if not design.second_sources:
        return _told_of(design) or does_not_apply("no second source is in the record")
    return at_most(design.sources_a, look_up("thresholds", design.books, design.case("sources_notify_a")))

@rule("SO11", about="supply", breach="unknown", clause="132.2; 313.1", authority="common practice")
def supply_not_worked_out(supply: SupplyDesign, design: Design) -> Answer:
    """This is not the first supply of the record: it is drawn and traced, and its quantities are not worked out.

    Why: loops, fault currents and ratings beyond it are taken from the first supply, and may be wrong for it.
    Remedial: judge what it feeds in a job of its own, or by other means; a supply that is another household's is for its operator.
    Fires on: supplies.landlord = { joins = "cutout-2.in" }
      equipment.cutout-2 = { kind = "cut-out", fuse = "bs1361-2", fuse_a = { marked = 60 }, carrier_a = { marked = 100 }, seal = "present", damage = "none" }
    Passes on: supplies.main.phases_n = 1
    """
    first = supply.supply.name == design.supply.supply.name
    return Answer(first, "every quantity rests on it" if first else f"All is worked out from {design.supply.at} alone")


RULES = (second_source_without_notice, lead_feeds_back, comes_alive_by_itself, three_phases,
         source_behind_one_way_thing,
         source_without_switch, no_notice_at_source, vehicle_on_combined_earth, generator_meets_network, sources_want_application,
         supply_not_worked_out)
