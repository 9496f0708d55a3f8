"""Rules of what the network operator is asked, told and answers. What it wants is worked out in `design/operator.py`."""
from __future__ import annotations

from collections.abc import Sequence

from spareway.design.board import BoardDesign
from spareway.design.design import Design
from spareway.design.operator import APPLY, ASK, NEITHER, NOTIFY, Reason
from spareway.design.operator_answers import bears, is_unclear, speaks
from spareway.design.operators_things import harmed, is_operators
from spareway.fact import Fact, total
from spareway.rules.base import Answer, at_most, does_not_apply, rule

FIRST = (APPLY, ASK)
BY_A_LOG = ("demand", "service fuse")            # by the book above; what a logger records may be within


@rule("OP1", about="installation", breach="fails", clause="Distribution Code DPC5.2.1; 132.16", authority="network operator")
def ordered_before_the_answer(design: Design, _: Design) -> Answer:
    """Ordered or begun before the network operator answered what it has to be applied to for.

    Why: it may want works of its own first, or a smaller load; what was bought and fitted is then taken out again.
    Remedial: stop where it stands, apply now, and file the answer with its date and reference.
    Fires on: dates.order = "2026-09-10"
      circuits.panels = { way = "unit.6" }
      equipment.roof = { kind = "solar-inverter", rating_a = 25, on = "panels" }
    Passes on: dates.order = "2026-09-10"
      replies.sun = { about = "equipment.roof", answers = ["sources"], by = "operator-east", ref = "Q-4", on = 2026-09-02, allows = true, agreed_sources_a = 25 }
      supplies.main.operator = "operator-east"
      circuits.panels = { way = "unit.6" }
      equipment.roof = { kind = "solar-inverter", rating_a = 25, on = "panels" }
    """
    of, dates = design.operator, design.inst.about.dates
    days = [dates[name] for name in ("order", "work") if name in dates]
    wanted = [reason for reason in of.reasons if reason.wants in FIRST]
    if not days or not wanted:
        return does_not_apply("no day of an order or of the work is on record" if wanted else "nothing that has to be asked first")
    begun = min(days)
    left = [reason for reason in wanted if reason.reply is None]
    if sure := [reason for reason in left if reason.wants == APPLY and reason.topic not in BY_A_LOG]:
        return Answer(False, f"{begun}; not answered: {_said(sure)}{_doubts(sure)}", sure[0].facts)
    if left:
        return Answer(None, f"Not known: whether this might be begun on {begun}. Not answered: {_said(left)}{_doubts(left)}", left[0].facts)
    replies = [reason.reply for reason in wanted if reason.reply]
    late = [reply for reply in replies if reply.on and reply.on.isoformat() > begun]
    return Answer(not late, f"{begun}; {'; '.join(f'{r.name} answered on {r.on}' for r in late or replies)}")


@rule("OP2", about="installation", breach="advice", clause="Distribution Code DPC5.2.1; 132.16", authority="network operator")
def load_added_and_nobody_asked(design: Design, _: Design) -> Answer:
    """The network operator has to be asked before this is ordered, and no enquiry is on record.

    Why: its answer can take weeks, and what it wants may change what is ordered.
    Remedial: send the letter to the operator now, and record the enquiry: what was asked, by whom, on which day.
    Fires on: circuits.warm-2 = { way = "unit.5" }
      equipment.heater-2 = { kind = "panel-heater", on = "warm-2", stamped_w = 3000, stamped_v = 230 }
    Passes on: enquiries.more = { asks = ["demand", "earthing"], to = "operator-east", by = "surveyor", on = 2026-09-02 }
      supplies.main.operator = "operator-east"
      circuits.warm-2 = { way = "unit.5" }
      equipment.heater-2 = { kind = "panel-heater", on = "warm-2", stamped_w = 3000, stamped_v = 230 }
    """
    wanted = [reason for reason in design.operator.reasons if reason.wants in FIRST and reason.topic != "repair"]
    if not wanted:
        return does_not_apply("nothing that has to be asked first")
    silent = [reason for reason in wanted if reason.reply is None and reason.asked is None]
    said = "; ".join(f"{reason.wants}: {reason.says}{_asked(reason)}" for reason in silent or wanted)
    return Answer(not silent, f"{said}{_doubts(silent)}", silent[0].facts if silent else ())


@rule("OP3", about="supply", breach="advice", clause="operator's own rule", authority="common practice")
def operators_wants_are_old(_: object, design: Design) -> Answer:
    """What is on record of this network operator was said more than a year before this job.

    Why: operators change what they want and by which form.
    Remedial: ask again, and write down the day.
    Fires on: dates.survey = "2026-09-10"
      operators.operator-east = { asked = 2025-09-09, tail_m = 3 }
      supplies.main.operator = "operator-east"
    Passes on: dates.survey = "2026-09-10"
      operators.operator-east = { asked = 2025-09-10, tail_m = 3 }
      supplies.main.operator = "operator-east"
    """
    of = design.operator
    if of.own is None or not of.name.known:
        return does_not_apply("nothing is on record of what this operator wants")
    if of.is_old is None:
        return Answer(None, "Not known: the job names no day to hold against it")
    return Answer(not of.is_old, f"{of.name}, asked on {of.own.asked}; the job's latest day is {of.day}")


@rule("OP4", about="installation", breach="unknown", clause="operator's own rule", authority="network operator")
def answer_lapsed(design: Design, _: Design) -> Answer:
    """An answer on file held until a day that is past by the job's own dates.

    Why: what it allowed then is not known to be allowed now.
    Remedial: ask the operator whether its answer still holds, and file what it says.
    Fires on: dates.work = "2026-12-01"
      replies.more = { about = "circuits.warmth", by = "operator-east", ref = "Q-4", on = 2026-05-02, until = 2026-11-30, allows = true }
    Passes on: dates.work = "2026-12-01"
      replies.more = { about = "circuits.warmth", by = "operator-east", ref = "Q-4", on = 2026-05-02, until = 2026-12-01, allows = true }
    """
    replies = [reply for reply in design.inst.about.replies.values() if reply.until is not None]
    if not replies:
        return does_not_apply("no answer on file names a last day")
    if not design.operator.day:
        return Answer(None, "Not known: the job names no day to hold against it")
    past = [reply for reply in replies if not design.operator.holds(reply)]
    return Answer(not past, "; ".join(f"{reply.name} of {reply.by}, until {reply.until}" for reply in past or replies))


@rule("OP5", about="installation", breach="fails", clause="ESQCR 2002 reg 24; 132.16", authority="network operator")
def refused_and_still_there(design: Design, _: Design) -> Answer:
    """The network operator said no to something that the record still holds.

    Why: the service, the fuse or the street does not carry it, or the operator's terms do not allow it.
    Remedial: take it out of the work, change it until the operator agrees, or ask what works of its own it wants first.
    Fires on: replies.tails = { about = "runs.feed-3", answers = ["tails"], by = "operator-east", ref = "Q-7", on = 2026-09-02, allows = false }
      supplies.main.operator = "operator-east"
      runs.feed-3.length_m = 9
    Passes on: replies.tails = { about = "runs.feed-3", answers = ["tails"], by = "operator-east", ref = "Q-7", on = 2026-09-02, allows = false }
      supplies.main.operator = "operator-east"
      runs.feed-3.length_m = 2
    """
    of = design.operator
    refused = [reply for reply in design.inst.about.replies.values()
               if reply.allows.amount is False and not of.lapsed(reply) and speaks(of, reply) is not False]
    if not refused:
        return does_not_apply("no refusal of an operator is on file")
    wanted = [reason for reason in of.reasons if reason.wants != NEITHER and reason.reply is None]
    if left := [(reason.refusal, reason) for reason in wanted if reason.refusal]:
        return Answer(False, "; ".join(f"{reply.name} of {reply.by}: {reason.says}" for reply, reason in left))
    if unsure := [(reply, reason) for reason in wanted for reply in refused if bears(of, reply, reason) or is_unclear(of, reply)]:
        reply, reason = unsure[0]
        whose = "" if speaks(of, reply) else f"; whether {reply.by} is the network operator is not on record"
        return Answer(None, f"Not known: whether the no of {reply.name} stands against this: {reason.says}{whose}{_doubts([reason])}")
    return Answer(True, f"{', '.join(reply.name for reply in refused)}: nothing of it is wanted now")


@rule("OP6", about="installation", breach="advice", clause="EREC G98; operator's own rule", authority="network operator")
def operator_not_told(design: Design, _: Design) -> Answer:
    """What the network operator is to be told afterwards is fitted, and nothing on record says that it was told.

    Why: the operator counts what hangs on its street, and the days it gives are few.
    Remedial: tell it, and record the day, who told it and the reference it gave.
    Fires on: stage = "fitted"
      dates.work = "2026-09-10"
      circuits.panels = { way = "unit.6" }
      equipment.roof = { kind = "solar-inverter", rating_a = 16, on = "panels" }
    Passes on: stage = "fitted"
      dates = { work = "2026-09-10", test = "2026-09-12" }
      enquiries.sun = { asks = ["sources"], to = "operator-east", by = "surveyor", on = 2026-09-12 }
      supplies.main.operator = "operator-east"
      circuits.panels = { way = "unit.6" }
      equipment.roof = { kind = "solar-inverter", rating_a = 16, on = "panels" }
    """
    wanted = [reason for reason in design.operator.reasons if reason.wants == NOTIFY]
    if not wanted or design.inst.stage != "fitted":
        return does_not_apply("nothing that is told afterwards is fitted by the record")
    left, day = [reason for reason in wanted if reason.is_open], design.inst.about.dates.get("work", "")
    said = "; ".join(f"{reason.says}{_asked(reason)}" for reason in left or wanted)
    if left and not day:
        return Answer(None, f"Not known: on which day it was fitted (dates.work in job.toml). Not told by the record: {said}{_doubts(left)}",
                      left[0].facts)
    return Answer(not left, f"{f'work on {day}' if day else 'fitted'}; {said}{_doubts(left)}")


@rule("OP7", about="installation", breach="advice", clause="ESQCR 2002 reg 24, 25; EAWR reg 13, 14", authority="law")
def supply_off_and_no_leave(design: Design, _: Design) -> Answer:
    """The work touches what only the operator's fuse takes the supply off, and no leave to draw it is on record.

    Why: nobody but the operator, or whoever it names, may draw its fuse or break its seal; waiting for it can take weeks.
    Remedial: ask the operator who takes the supply off and when; record the leave with its reference and its last day.
    Fires on: runs.feed-2.size_mm2 = 25
    Passes on: permissions.pull = { part = "cutout.fuse", by = "operator-east", ref = "E-1", until = 2026-12-04 }
      supplies.main.operator = "operator-east"
      dates.work = "2026-12-01"
      runs.feed-2.size_mm2 = 25
    """
    of = design.operator
    if not of.touched:
        return does_not_apply("the record says no work")
    if of.live_at_work:
        seals = of.term("seals")
        who = f"; {seals} by what it said" if seals.known else ""
        others = "".join(f"; {p.name} is leave by {p.by}, who is not known to be the operator" for p in of.leave_of_others)
        return Answer(False, f"{', '.join(of.live_at_work)}{who}{others}")
    return Answer(True, f"leave by {', '.join(p.by for p in of.leave)}" if of.leave else "nothing of it stays live with your own switches open")


@rule("OP8", about="board", breach="fails", clause="operator's own rule", authority="network operator")
def tails_beyond_the_operators_own_limit(board: BoardDesign, design: Design) -> Answer:
    """The tails to this board are longer than this network operator said it accepts behind its fuse alone.

    Why: it may refuse to put the fuse back on them.
    Remedial: a two-pole switch-fuse where they begin, or the operator's yes to this length, in writing.
    Fires on: operators.operator-east = { asked = 2026-05-11, tail_m = 2 }
      supplies.main.operator = "operator-east"
    Passes on: operators.operator-east = { asked = 2026-05-11, tail_m = 3 }
      supplies.main.operator = "operator-east"
    """
    of = design.operator
    limit: Fact[float] = of.term("tail_m")
    runs = [run for run in board.runs_before if run.carries_load and run.protected_by_service_fuse]
    if not limit.known or not runs:
        return does_not_apply("no limit of this operator's own is on record" if runs else "no tails behind the service fuse alone lead to it")
    answer = at_most(total("length_m", [run.length_m for run in runs], "one after another"), limit)
    if answer.ok is not False:
        return answer
    reply = next((reason.reply for reason in of.reasons if reason.topic == "tails" and reason.reply
                  and {run.at for run in runs} & {*reason.at}), None)
    return answer if reply is None else Answer(True, f"{answer.says}; {reply.by} agreed, {reply.ref or 'no reference'}", answer.facts)


@rule("OP9", about="installation", breach="stop", clause="ESQCR 2002 reg 24; EAWR reg 4", authority="law")
def operators_equipment_harmed(design: Design, _: Design) -> Answer:
    """The operator's own equipment shows heat, cracks, water or openings.

    Why: it is live whatever anybody here switches off, and it can burn or kill while it waits.
    Remedial: touch nothing of it, keep everybody away, and ring the network operator now (105); flames, smoke or a burning that goes on: everybody out, and ring the fire brigade, 999. Nobody else opens or mends it.
    Fires on: equipment.cutout.damage = "burnt"
    Passes on: equipment.cutout.damage = "none"
      equipment.meter.damage = "none"
    """
    theirs = {name: thing.damage for name, thing in design.inst.equipment.items() if is_operators(thing)}
    if not theirs:
        return does_not_apply("nothing of an operator's is recorded")
    if found := harmed(design):
        return Answer(False, "; ".join(each.says for each in found), tuple(fact for each in found for fact in each.facts))
    asked = {n: d for n, d in theirs.items() if d.known or "damage" in design.kind_of(n).facts}
    if silent := [name for name, damage in (asked or theirs).items() if not damage.known]:
        return Answer(None, f"Not known: nothing is recorded of {', '.join(silent)}")
    return Answer(True, f"no sign of heat or harm at {', '.join(asked)}, by what was recorded", tuple(asked.values()))


def _said(reasons: Sequence[Reason]) -> str:
    return "; ".join(reason.says for reason in reasons)


def _asked(reason: Reason) -> str:
    """The day on which the operator was asked or told of it; nothing where no enquiry of a day that counts is on record."""
    return f" (enquiry {reason.asked.name} of {reason.asked.on})" if reason.asked else ""


def _doubts(reasons: Sequence[Reason]) -> str:
    """Why the answers and enquiries that are on file about these settle nothing."""
    said = dict.fromkeys(doubt for reason in reasons for doubt in reason.doubts)
    return f". On file, and settles nothing: {'; '.join(said)}" if said else ""


RULES = (ordered_before_the_answer, load_added_and_nobody_asked, operators_wants_are_old, answer_lapsed, refused_and_still_there,
         operator_not_told, supply_off_and_no_leave, tails_beyond_the_operators_own_limit, operators_equipment_harmed)
