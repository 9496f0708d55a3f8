"""Rules of the intake: seals, tails, what stays live, what nobody here may make dead."""
from __future__ import annotations

from spareway.design.board import BoardDesign
from spareway.design.design import Design
from spareway.design.leftovers import cut_tails
from spareway.design.operator_answers import contradict, governing, unheard
from spareway.design.run import RunDesign
from spareway.fact import Fact
from spareway.job.types import Equipment
from spareway.kinds import kind
from spareway.readings.voltages import Point, signs
from spareway.rules.base import Answer, at_least, at_most, cannot_tell, does_not_apply, is_one_of, rule
from spareway.rules.circuits import tables_hold
from spareway.tables import look_up
from spareway.wiring.parts import Part

SEALED = ("cut-out", "meter")


@rule("IN1", about="equipment", breach="advice", clause="ESQCR 2002 reg 24, 25", authority="law")
def seal_missing(thing: Equipment, design: Design) -> Answer:
    """A seal is missing or broken: it belongs to the network or meter operator, and so does putting it back.

    Why: what is behind it belongs to the operator; a seal missing before you came is better reported than explained.
    Remedial: photograph it as found, tell the operator whose it is, ask for a new one; never put one on or take one off without leave.
    Fires on: equipment.meter.seal = "missing"
    Passes on: equipment.meter.seal = "present"
    """
    if kind(thing.kind).family not in SEALED:
        return does_not_apply("nothing of the operator's is behind it")
    return is_one_of(thing.seal, "present")


@rule("IN2", about="run", breach="fails", clause="433.1.1; 433.2.2; 433.3.1")
def tails_below_fuse(run: RunDesign, design: Design) -> Answer:
    """The tails, or another run, carry less than the fuse or device before them, where they run worst.

    Why: it lets them run hotter than their insulation bears; that a fault in them may wait for it over a few metres (FA5) does not help.
    Remedial: larger conductors, another way of laying the weakest stretch, a smaller fuse from the operator, or one device at their far end.
    Fires on: runs.feed-3 = { joins = ["arrester.bottom", "unit.in"], kind = "tails", size_mm2 = 10, length_m = 2, method = "B" }
    Passes on: runs.feed-3 = { joins = ["arrester.bottom", "unit.in"], kind = "tails", size_mm2 = 16, length_m = 2, method = "B" }
    """
    if not run.carries_load or not run.before:
        return does_not_apply("it carries no load from the supply")
    answer = tables_hold(run.run.insulation_c, at_least(run.iz_a, run.fuse_a))
    weakest = run.route.weakest
    if weakest is not None and weakest.name:
        return Answer(answer.ok, f"{answer.says}; the weakest stretch is {weakest.name}", answer.facts, answer.relation)
    return answer


@rule("IN3", about="run", breach="fails", clause="132.16; 416.2; 526.5", by_layout=True)
def tails_cut_and_left(run: RunDesign, design: Design) -> Answer:
    """Conductors with an end joined to nothing are still joined to the supply.

    Why: they serve nothing and a hand will meet them one day; a live end that is not made off can kill.
    Remedial: keep people away and do not touch the ends; have the supply taken off by whoever may do so, prove dead, then take them out at both ends.
    Fires on: runs.old = { joins = ["arrester.bottom"], kind = "tails", size_mm2 = 16 }
    Passes on: runs.feed-3.length_m = 2.5
    """
    seen = cut_tails(run, design)
    return Answer(seen.ok, seen.says) if seen.applies else does_not_apply(seen.says)


@rule("IN4", about="run", breach="advice", clause="132.16; 514.9", authority="common practice", by_layout=True)
def tails_doubled(run: RunDesign, design: Design) -> Answer:
    """Two pairs of tails leave one place for different boards.

    Why: each pair may have a time switch in its past and no purpose left; both stay live when either board is off.
    Remedial: name what each pair still feeds; where nothing is left, take it out in the work.
    Fires on: equipment.other = { kind = "board", ways_n = 4, rating_a = 60, bare_ways = [], open_entries = false, water = false, material = "metal", damage = "none", fault_rating_ka = 16 }
      runs.second = { joins = ["arrester.bottom", "other.in"], kind = "tails", size_mm2 = 16, length_m = 1, method = "C" }
    Passes on: runs.feed-3.length_m = 2.5
    """
    if run.run.kind != "tails" or len(run.run.joins) != 2:
        return does_not_apply("not a pair of tails with two ends")
    twins = design.twins(run)
    if not twins:
        return Answer(True, "no other pair leaves where it leaves")
    return Answer(False, f"{', '.join(twins)} leaves there too; beyond this one: {design.fed_through(run) or 'nothing that uses it'}")


@rule("IN5", about="board", breach="fails", clause="462.1.201", by_layout=True)
def main_switch_leaves_neutral(board: BoardDesign, design: Design) -> Answer:
    """The main switch of the board leaves the neutral joined to the supply.

    Why: a main switch that people who are not electricians may operate has to break line and neutral together.
    Remedial: a two-pole main switch, or a new board.
    Fires on: equipment.unit = { kind = "board-rewirable-1p", rating_a = 60, ways_n = 12 }
      circuits.plugs.way = "unit.1"
      circuits.lamps.way = "unit.2"
      circuits.oven.way = "unit.3"
      circuits.warmth.way = "unit.4"
      runs.feed-3.joins = ["arrester.bottom", "unit.in"]
      runs.earth-2.joins = ["terminal.b", "unit.in"]
    Passes on: equipment.unit.rating_a = 80
    """
    left = board.switch_leaves_neutral
    if left is None:
        return Answer(False, "it has no main switch of its own")
    return Answer(not left, "its neutral busbar stays joined" if left else "its switch parts line and neutral")


@rule("IN6", about="installation", breach="advice", clause="514.11.1; 537.2", authority="standard", by_layout=True)
def stays_live_whatever_is_opened(design: Design, _: Design) -> Answer:
    """Beside the operators' own things, some terminals stay live whatever you may open.

    Why: whoever works there must know it before a hand goes in; an open switch looks like an answer and is none here.
    Remedial: shroud and label them; only the operator, or whoever has their leave, can take the supply off them.
    Fires on: equipment.arrester.rating_a = 80
    Passes on: permissions.pull = { part = "cutout.fuse", by = "operator-east", ref = "E-1", until = 2026-12-04 }
      dates.work = "2026-12-01"
    """
    if not design.start:
        return Answer(None, "Not known: no supply is recorded that lands on a line terminal")
    live = [t for t in design.live_whatever_opened("skilled") if design.is_ours(t)]
    if not live and design.source_told_of:
        return Answer(None, f"Not known: {design.source_told_of}")
    things = ", ".join(dict.fromkeys(t.rpartition(".")[0] for t in live))
    return Answer(not live, f"with every switch you may open: {things}" if live else "none in the record")


@rule("IN7", about="part", breach="fails", clause="462.2; 132.15; 537.2", by_layout=True)
def part_cannot_be_made_dead(part: Part, design: Design) -> Answer:
    """No switch that you may lock off makes this replaceable part dead by the record.

    Why: whoever changes it will do so live, or will trust a switch that does not serve it.
    Remedial: land the supply at the other end where the maker's marks allow it; where they do not, a second isolator ahead and a notice at it.
    Fires on: runs.feed-2.joins = ["meter.out", "arrester.bottom"]
      runs.feed-3.joins = ["arrester.top", "unit.in"]
    Passes on: runs.feed-3.length_m = 2.5
    """
    if not part.ours:
        return does_not_apply("it is the operator's to change")
    found = design.lock_off(part.terminals, "skilled")
    if found.controls is None:
        still = ", ".join(f"{terminal} {potential}" for terminal, potential in found.still)
        return Answer(False, f"With all you may open, still: {still}")
    if not found.controls:
        return Answer(None, "Not known: no path leads there in the record, so something may be missing from it")
    if design.source_told_of:
        return Answer(None, f"Not known: {design.source_told_of}; of what is recorded, lock off {' and '.join(found.controls)}")
    return Answer(True, f"Lock off {' and '.join(found.controls)}")


@rule("IN8", about="equipment", breach="fails", clause="134.1.1; 530.3.201", by_layout=True)
def marked_switch_fed_backwards(thing: Equipment, design: Design) -> Answer:
    """A switch whose maker marks line and load is fed at its load end.

    Why: what it does the other way round nobody has tested; the marks are part of the maker's instructions.
    Remedial: land the supply at the end marked line; if parts then stay live behind an open switch, add an isolator ahead and a notice.
    Fires on: equipment.arrester = { kind = "isolator-surge-bottom-marked", rating_a = 100 }
      runs.feed-2.joins = ["meter.out", "arrester.bottom"]
      runs.feed-3.joins = ["arrester.top", "unit.in"]
      runs.earth-3.joins = ["terminal.c", "arrester.earth"]
    Passes on: equipment.arrester = { kind = "isolator-surge-bottom-marked", rating_a = 100 }
      runs.feed-2.joins = ["meter.out", "arrester.top"]
      runs.feed-3.joins = ["arrester.bottom", "unit.in"]
      runs.earth-3.joins = ["terminal.c", "arrester.earth"]
    """
    if kind(thing.kind).family != "switch":
        return does_not_apply("not a switch")
    marked = kind(thing.kind).marked
    if not marked and thing.marks.known and thing.marks.amount == "none":
        return does_not_apply("it carries no line and load marks")
    if not marked:
        return cannot_tell(thing.marks)
    fed = design.fed_side(thing.name)
    if fed is None:
        return Answer(None, "Not known: which of its ends the supply lands on")
    return Answer(fed == marked["line"], f"the supply lands at its {fed}, the maker marks line at its {marked['line']}")


@rule("IN9", about="run", breach="fails", clause="434.3(iv); operator's own rule", authority="network operator")
def tails_longer_than_usual(run: RunDesign, design: Design) -> Answer:
    """Only the service fuse protects this run, and it is longer than network operators usually accept.

    Why: the operator may ask for a switch-fuse at the intake; whether it does is its own rule and not a clause.
    Remedial: ask in writing and file the answer; else a two-pole switch-fuse where the run begins.
    Fires on: runs.feed-3.length_m = 9
      supplies.main.operator = "operator-east"
      replies.long = { about = "IN9 runs.feed-3", by = "operator-east", allows = false }
    Passes on: runs.feed-3.length_m = 2.5
    """
    if not run.carries_load or not run.before or not run.protected_by_service_fuse:
        return does_not_apply("it has a protective device of its own")
    usual = look_up("thresholds", design.books, design.case("operator_tail_m"))
    within = at_most(run.length_m, usual)
    if within.ok is not False:
        return within
    of, own = design.operator, design.operator.term("tail_m")
    about = [reply for reply in design.inst.about.replies.values()
             if reply.about in (f"IN9 {run.at}", run.at) and (not reply.answers or "tails" in reply.answers)]
    last = governing(of, about)
    if not last and of.own is not None and at_most(run.length_m, own).ok:
        return Answer(True, f"{within.says}; {of.own.name} said on {of.own.asked} that it accepts {own}, see OP8", within.facts)
    if not last:
        others = "".join(f"; {reply.name}: {unheard(of, reply)}" for reply in about)
        return Answer(None, f"{within.says}. Three answers stand apart: overload is judged by IN2, clearing of a fault at its end by SV2; "
                      f"the operator's own limit is not known until it answers in writing{others}", within.facts)
    reply = last[0]
    said = f"{within.says}; {reply.by} answered: {reply.says or reply.allows}"
    if contradict(last):
        return Answer(None, f"Not known: {said}; {' and '.join(r.name for r in last)} contradict, and which is the later is not known",
                      within.facts)
    if not of.holds(reply):
        return Answer(None, f"Not known: {said}, and the answer held until {reply.until}", within.facts)
    if reply.allows.amount is True and reply.tail_m.known:
        up_to = at_most(run.length_m, reply.tail_m)
        return Answer(up_to.ok, f"{said}; up to {reply.tail_m}", within.facts)
    return Answer(reply.allows.amount, said, within.facts)


@rule("IN10", about="equipment", breach="unknown", clause="132.16", authority="common practice")
def fuse_not_read(thing: Equipment, design: Design) -> Answer:
    """The rating of the service fuse was not read on the fuse itself.

    Why: a carrier may say 100 and hold 60; everything about tails, demand and clearing rests on the fuse inside.
    Remedial: read the marking on the fuse link, by whoever may withdraw it, or ask the operator.
    Fires on: equipment.cutout.fuse_a = { told = 60 }
    Passes on: equipment.cutout.fuse_a = { marked = 80 }
    """
    if kind(thing.kind).family != "cut-out":
        return does_not_apply("no service fuse is in it")
    own = next((s for s in design.supplies.values() if s.cutout is thing), design.supply)
    rating: Fact[float] = own.fuse_a
    return Answer(True, f"{rating}, {rating.how}", (rating,)) if rating.known else cannot_tell(rating)


@rule("IN11", about="installation", breach="fails", clause="411.4; 543.4; 643.6", by_layout=True)
def conductors_meet(design: Design, _: Design) -> Answer:
    """Conductors meet or change places where they must not: line, neutral and earth, by metal, with nothing open.

    Why: metalwork on a neutral or a line is a shock; reversed polarity leaves a switched-off circuit live; a neutral joined to earth blinds residual-current devices.
    Remedial: find the core that landed on the wrong bar before anything is energised; correct the record if the record is wrong.
    Fires on: circuits.lamps.lands.E = "unit.bar.N"
    Passes on: circuits.lamps.load_w = 150
    """
    wrong = design.misplaced
    if not wrong and (read := signs(design)):
        return _read_otherwise(read)
    return Answer(not wrong, ", ".join(wrong[:6]) if wrong else "every conductor is where its name says, in the record")


def _read_otherwise(read: tuple[Point, ...]) -> Answer:
    """A record in order is no yes where voltages were read that it does not explain."""
    return Answer(None, f"Not known: the record shows none, and what was read does: {'; '.join(f'{p.at}: {p.sign} ({p.read})' for p in read)}")


@rule("IN20", about="installation", breach="stop", clause="416.1; 643.6; EAWR reg 7", by_layout=True)
def line_where_none_belongs(design: Design, _: Design) -> Answer:
    """A line is on an earth or a neutral, by the record.

    Why: metalwork that everybody touches is live, or what is switched off stays live behind its switch; it can kill.
    Remedial: keep away from metalwork; have the supply taken off before anything is touched, then find the core that landed wrong.
    Fires on: circuits.lamps.lands.E = "unit.bar.L"
    Passes on: circuits.lamps.load_w = 150
    """
    if not design.reached:
        return Answer(None, "Not known: no line of a supply is recorded")
    wrong = design.line_elsewhere
    if not wrong and (read := signs(design)):
        return _read_otherwise(read)
    return Answer(not wrong, ", ".join(wrong[:6]) if wrong else "no line is on a neutral or an earth, in the record")


@rule("IN21", about="installation", breach="stop", clause="643.6; EAWR reg 9", by_layout=True)
def neutral_lost(design: Design, _: Design) -> Answer:
    """A line comes here and its neutral leads nowhere, by the record.

    Why: every neutral beyond the gap is lifted to line through whatever is switched on, and two circuits in series can get far too much.
    Remedial: leave the main switch off; find the gap and make it good before anything is energised, or correct the record.
    Fires on: runs.feed-3.joins = ["arrester.bottom.L", "unit.in.L"]
    Passes on: circuits.lamps.load_w = 150
    """
    if not design.reached:
        return Answer(None, "Not known: no line of a supply is recorded")
    gone, unsure = design.neutral_gone
    if gone:
        return Answer(False, ", ".join(gone[:6]))
    if read := signs(design):
        return _read_otherwise(read)
    return Answer(None, f"Not known: whether a neutral leads from {', '.join(unsure)} to the supply") if unsure else \
        Answer(True, "every board that a line reaches has a neutral to the supply, in the record")


RULES = (seal_missing, tails_below_fuse, tails_cut_and_left, tails_doubled, main_switch_leaves_neutral,
         stays_live_whatever_is_opened, part_cannot_be_made_dead, marked_switch_fed_backwards, tails_longer_than_usual,
         fuse_not_read, conductors_meet, line_where_none_belongs, neutral_lost)
