"""More rules of the intake: the fuse and its carrier, poles, whose space it is, isolation before the boards."""
from __future__ import annotations

from spareway.design.beyond import hand_switches_before
from spareway.design.board import BoardDesign
from spareway.design.design import Design
from spareway.design.guards import neutral_alone
from spareway.design.run import RunDesign
from spareway.design.supply import SupplyDesign
from spareway.job.types import Equipment
from spareway.kinds import kind
from spareway.rules.base import Answer, at_least, at_most, cannot_tell, does_not_apply, must_be_no, rule
from spareway.tables import look_up
from spareway.wiring.parts import NOT_OURS


@rule("IN12", about="equipment", breach="fails", clause="533.1; ESQCR 2002 reg 24", authority="network operator")
def fuse_above_carrier(thing: Equipment, design: Design) -> Answer:
    """The service fuse is rated for more than the cut-out it stands in.

    Why: the cut-out then runs hotter than it was made for, behind a seal where nobody sees it.
    Remedial: tell the network operator; fuse and cut-out are its own to change.
    Fires on: equipment.cutout.carrier_a = { marked = 30 }
    Passes on: equipment.cutout.carrier_a = { marked = 60 }
    """
    if kind(thing.kind).family != "cut-out":
        return does_not_apply("not a cut-out")
    if not thing.carrier_a.known:
        return cannot_tell(thing.carrier_a)
    return at_most(design.supply.fuse_a if thing is design.supply.cutout else thing.fuse_a, thing.carrier_a)


@rule("IN13", about="equipment", breach="fails", clause="132.14.1; 530.3.2", by_layout=True)
def pole_in_neutral_alone(thing: Equipment, design: Design) -> Answer:
    """A fuse or a single pole stands in the neutral by itself.

    Why: with the neutral open and the line joined, everything beyond looks dead and is live through the loads.
    Remedial: at a cut-out tell the network operator, which replaces it with a solid link; elsewhere take it out of the neutral.
    Fires on: equipment.cutout = { kind = "cut-out-fused-neutral", fuse = "bs1361-2", fuse_a = { marked = 60 }, carrier_a = { marked = 60 } }
      supplies.main.joins = "cutout.in"
      runs.feed-1 = { joins = ["cutout.out", "meter.in"], kind = "tails", size_mm2 = 25, length_m = 0.4, method = "C" }
      runs.earth-1 = { joins = ["cutout.earth", "terminal.a"], kind = "earthing", size_mm2 = 16, length_m = 1 }
    Passes on: equipment.cutout.carrier_a = { marked = 60 }
    """
    of = kind(thing.kind)
    if not of.controls:
        return does_not_apply("nothing in it opens")
    alone = neutral_alone(of)
    return Answer(not alone, f"{', '.join(alone)} in {of.says}" if alone else "nothing in it opens the neutral by itself")


@rule("IN14", about="equipment", breach="advice", clause="ENA EREC G87; operator's own rule", authority="network operator")
def ours_in_operators_space(thing: Equipment, design: Design) -> Answer:
    """A thing of the customer's stands in the space kept for the cut-out and the meter.

    Why: network and meter operators keep that space for their own work and may ask for it to be moved, at the customer's cost.
    Remedial: a cabinet of its own beside that space; ask the operator where there is none.
    Fires on: equipment.cutout.space = "cabinet"
      equipment.arrester.space = "cabinet"
    Passes on: equipment.cutout.space = "cabinet"
      equipment.arrester.space = "beside"
    """
    if kind(thing.kind).family in NOT_OURS or thing.kind in ("electrode", "service-pipe"):
        return does_not_apply("it is the operator's, or stands outside")
    if thing.owner.amount in ("network operator", "meter operator"):
        return does_not_apply(f"it is the {thing.owner}'s")
    if not thing.space:
        return does_not_apply("the space it stands in is not recorded")
    theirs = [n for n, e in design.inst.equipment.items() if e.space == thing.space and kind(e.kind).family in NOT_OURS]
    return Answer(not theirs, f"in {thing.space} with {', '.join(theirs)}" if theirs else f"in {thing.space}, apart from them")


@rule("IN15", about="board", breach="advice", clause="462; 537", authority="common practice", by_layout=True)
def no_isolator_before_board(board: BoardDesign, design: Design) -> Answer:
    """Nothing that a skilled person may open stands between the meter and this board.

    Why: whoever works on the board or its tails then has to wait for the service fuse to be drawn, or is tempted not to.
    Remedial: a two-pole isolator after the meter; the meter operator may fit one on request.
    Fires on: equipment.arrester = { kind = "main-earthing-terminal" }
      remove = ["runs.earth-3", "runs.feed-2"]
      runs.feed-3 = { joins = ["meter.out", "unit.in"], kind = "tails", size_mm2 = 25, length_m = 2, method = "C" }
    Passes on: equipment.unit.rating_a = 80
    """
    into = f"{board.thing.name}.in.L"
    if not design.links_to(into):
        return Answer(None, "Not known: no line leads to it in the record")
    found = hand_switches_before(into, design)
    return Answer(bool(found), f"{', '.join(found)} opens line and neutral before it" if found else
                  "only the main switch of a board parts anything")


@rule("IN16", about="run", breach="advice", clause="operator's own rule", authority="network operator")
def tails_below_usual_size(run: RunDesign, design: Design) -> Answer:
    """These tails are smaller than network operators usually accept behind their fuse.

    Why: they may carry the load and still be refused; the fuse may be changed for a larger one after you have gone.
    Remedial: larger tails, or the operator's answer in writing.
    Fires on: runs.feed-2.size_mm2 = 10
    Passes on: runs.feed-2.size_mm2 = 16
    """
    if run.run.kind != "tails" or not run.before:
        return does_not_apply("not tails that the supply reaches")
    if not run.protected_by_service_fuse:
        return does_not_apply("it has a protective device of its own")
    return at_least(run.run.size_mm2, look_up("thresholds", design.books, design.case("least_tails_mm2")))


@rule("IN17", about="run", breach="stop", clause="416.2; 526.5; EAWR reg 7")
def bare_live_end(run: RunDesign, design: Design) -> Answer:
    """The cut end of this run is bare and live, or may be.

    Why: it can kill whoever brushes against it.
    Remedial: before you leave: have it made dead by whoever may do so, or made off and shut behind a cover; do not walk away from it.
    Fires on: runs.old = { joins = ["arrester.bottom"], kind = "tails", size_mm2 = 16, bare_ends = true }
    Passes on: runs.old = { joins = ["arrester.bottom"], kind = "tails", size_mm2 = 16, bare_ends = false }
    """
    if len(run.run.joins) != 1 or not run.carries_load:
        return does_not_apply("it has no cut end")
    bare = run.run.bare_ends
    if not bare.known:
        return cannot_tell(bare)
    if not bare.value:
        return Answer(True, "its end is made off", (bare,))
    now = design.network.potential()
    live = [t for t in now if t.startswith(f"{run.run.name}.cut.") and now[t] in ("line", "not known", "line through a load")]
    return Answer(not live, f"{', '.join(live)}: {now[live[0]]}" if live else "bare, with no line at it in the record", (bare,))


@rule("IN18", about="supply", breach="advice", clause="ESQCR 2002 reg 24", authority="network operator")
def service_loops_on(supply: SupplyDesign, design: Design) -> Answer:
    """The service loops on to a neighbour.

    Why: the fuse and the service carry both homes; more demand here may want a service of its own, and drawing it may put a neighbour off.
    Remedial: ask the network operator before demand rises or anything is applied for.
    Fires on: supplies.main.looped = true
    Passes on: supplies.main.looped = false
    """
    return must_be_no(supply.supply.looped)


@rule("IN19", about="installation", breach="unknown", clause="ESQCR 2002 reg 24; EAWR reg 14", authority="network operator")
def leave_not_the_operators(design: Design, _: Design) -> Answer:
    """Leave to open an operator's part is on record, and whoever gave it is not known to be its operator.

    Why: only the operator, or whoever it appoints, can give that leave.
    Remedial: record whose network it is; leave of anybody else opens nothing, and is to be asked for.
    Fires on: permissions.pull = { part = "cutout.fuse", by = "the-neighbour", ref = "E-1", until = 2026-12-04 }
    Passes on: permissions.pull = { part = "cutout.fuse", by = "operator-east", ref = "E-1", until = 2026-12-04 }
      supplies.main.operator = "operator-east"
    """
    about, network = design.inst.about, design.network
    asked = [p for p in about.permissions.values() if network.controls.get(p.part, "operator") == "operator" or p.part in network.permitted]
    known = {s.supply.operator.amount for s in design.supplies.values() if s.supply.operator.known}
    wrong = [f"permissions.{p.name} by {p.by}" for p in asked if p.by not in known]
    return Answer(not wrong, ", ".join(wrong) if wrong else
                  f"by {', '.join(dict.fromkeys(p.by for p in asked))}" if asked else "no such leave is on record")


RULES = (fuse_above_carrier, pole_in_neutral_alone, ours_in_operators_space,
         no_isolator_before_board, tails_below_usual_size, bare_live_end, service_loops_on, leave_not_the_operators)
