"""Rules about the network operator, beyond their two examples: what leaves each without a say, unknown, or settled."""
from __future__ import annotations

from pathlib import Path

import pytest

from spareway.design.design import Design
from spareway.job.job import read_job
from spareway.rules import rule_of
from spareway.rules.base import Finding, judge
from spareway.rules.specimen import with_example

HOME = (Path(__file__).parents[1] / "design" / "asked_home.toml").read_text("utf-8")
SUN = 'circuits.panels = { way = "unit.6" }\nequipment.roof = { kind = "solar-inverter", rating_a = %s, on = "panels" }\n'
HEAT = 'circuits.warm-2 = { way = "unit.5" }\nequipment.heater-2 = { kind = "panel-heater", on = "warm-2", stamped_w = 3000, stamped_v = 230 }\n'
OURS = 'supplies.main.operator = "operator-east"\n'
YES = OURS + 'replies.sun = { about = "equipment.roof", answers = ["sources"], by = "operator-east", allows = true%s }\n'
NO = YES.replace("allows = true", "allows = false")
DAY = ", on = 2026-09-02"
LATE = "not answered: roof: 25 A, above 16 A a phase. On file, and settles nothing: sun: "
ORDER = 'dates.order = "2026-09-10"\n'
WORK = 'dates = { work = "2026-09-10", test = "2026-09-20" }\n'
FITTED = 'stage = "fitted"\n'
ASKED = OURS + 'enquiries.x = { asks = ["sources"], to = "operator-east", by = "a"%s }\n'
LONG = "runs.feed-3.length_m = 5\n"
TAILS = 'replies.long = { about = "runs.feed-3", by = "operator-east", allows = true%s }\n'
TAILS_NO = TAILS.replace("true", "false").replace("replies.long", "replies.then")
LEAVE = 'permissions.pull = { part = "cutout.fuse", by = "%s", ref = "E-1", until = 2026-12-04 }\n'
EAST = 'operators.operator-east = { asked = 2026-05-11%s }\nsupplies.main.operator = "operator-east"\n'


def found(code: str, example: str) -> Finding:
    """The one finding of a rule on the specimen with these lines; of a rule about runs, that of its longest."""
    rule = rule_of(code)
    assert rule is not None
    findings = [f for f in judge(with_example(example), (rule,)) if f.rule == code]
    return next((f for f in findings if f.subject == "runs.feed-3"), findings[0])


CASES = {
    "no order yet": ("OP1", SUN % 25, "not applicable", "no day of an order"),
    "ordered, nothing to ask": ("OP1", ORDER + SUN % 16, "not applicable", "nothing that has to be asked first"),
    "ordered, above by the book alone": ("OP1", ORDER + HEAT, "unknown", "Not known: whether this might be begun on 2026-09-10"),
    "ordered, rating not known": ("OP1", ORDER + SUN % '{ unknown = "no plate" }', "unknown", "Not known: whether"),
    "answered after the order": ("OP1", ORDER + 'dates.work = "2026-10-01"\n' + YES % ", on = 2026-09-11" + SUN % 25, "fails", "sun answered on 2026-09-11"),
    "answered after all days of the job": ("OP1", ORDER + YES % ", on = 2026-09-11" + SUN % 25, "fails",
                                           LATE + "it is of 2026-09-11, after the job's latest day, 2026-09-10"),
    "answered by the owner": ("OP1", ORDER + YES.replace('by = "operator-east"', 'by = "owner"') % DAY + SUN % 25, "fails",
                              LATE + "owner is not the recorded operator, operator-east"),
    "answered, and nobody knows whose network it is": ("OP1", ORDER + YES.replace(OURS, "") % DAY + SUN % 25, "fails",
                                                       LATE + "whose network it is is not recorded"),
    "answered that day": ("OP1", ORDER + YES % ", on = 2026-09-10" + SUN % 25, "within", "sun answered on 2026-09-10"),
    "answered, no day": ("OP1", ORDER + YES % "" + SUN % 25, "fails", LATE + "on which day it was said is not recorded"),
    "refused": ("OP1", ORDER + NO % "" + SUN % 25, "fails", "roof: 25 A, above 16 A a phase"),
    "begun before it was ordered": ("OP1", ORDER + 'dates.work = "2026-09-01"\n' + YES % ", on = 2026-09-05" + SUN % 25, "fails", "2026-09-01; sun"),
    "nobody has to be asked": ("OP2", SUN % 16, "not applicable", ""),
    "answered without an enquiry": ("OP2", YES % DAY + SUN % 25, "within", "apply: roof"),
    "asked of nobody knows whom": ("OP2", 'enquiries.x = { asks = ["sources"], to = "operator-east", by = "a" }\n' + SUN % 25, "advice", "apply: roof"),
    "asked of its operator": ("OP2", ORDER + ASKED % DAY + SUN % 25, "within", "a phase (enquiry x of 2026-09-02)"),
    "asked on the latest day of the job": ("OP2", ORDER + ASKED % ", on = 2026-09-10" + SUN % 25, "within", "apply: roof"),
    "asked after the latest day of the job": ("OP2", ORDER + ASKED % ", on = 2026-09-11" + SUN % 25, "advice",
                                              "enquiry x: it is of 2026-09-11, after the job's latest day, 2026-09-10"),
    "asked, no day": ("OP2", ORDER + ASKED % "" + SUN % 25, "advice", "enquiry x: on which day is not recorded"),
    "told on the day of the work": ("OP6", FITTED + WORK + ASKED % ", on = 2026-09-10" + SUN % 16, "within", "(enquiry x of 2026-09-10)"),
    "told before the work": ("OP6", FITTED + WORK + ASKED % ", on = 2026-09-09" + SUN % 16, "advice", "enquiry x: it is of 2026-09-09, before the work of 2026-09-10"),
    "told later than anything of the job": ("OP6", FITTED + WORK + ASKED % ", on = 2026-09-21" + SUN % 16, "advice", "after the job's latest day, 2026-09-20"),
    "told, no day": ("OP6", FITTED + WORK + ASKED % "" + SUN % 16, "advice", "enquiry x: on which day is not recorded"),
    "asked of another thing": ("OP2", 'enquiries.x = { asks = ["tails"], to = "operator-east", by = "a" }\n' + SUN % 25, "advice", "apply: roof"),
    "nothing on record of the operator": ("OP3", SUN % 16, "not applicable", "nothing is on record"),
    "an answer that holds for good": ("OP4", ORDER + YES % "", "not applicable", ""),
    "no refusal": ("OP5", YES % "", "not applicable", ""),
    "a refusal that lapsed": ("OP5", ORDER + NO % ", until = 2026-09-01" + SUN % 25, "not applicable", ""),
    "a refusal of what is there": ("OP5", NO % "" + SUN % 17, "fails", "sun of operator-east: roof: 17 A"),
    "a refusal of something else": ("OP5", NO % "" + HEAT, "within", "nothing of it is wanted now"),
    "a refusal of another thing": ("OP5", NO.replace("equipment.roof", "equipment.radiator") % "" + SUN % 17, "within", "nothing of it"),
    "a refusal that says not what it answers": ("OP5", NO.replace('answers = ["sources"], ', "") % "" + SUN % 17, "fails", "sun of operator-east: roof: 17 A"),
    "a refusal of the circuit on which it hangs": ("OP5", NO.replace('answers = ["sources"], ', "").replace("equipment.roof", "circuits.panels") % "" + SUN % 17,
                                                   "fails", "sun of operator-east: roof: 17 A"),
    "a refusal of one of two": ("OP5", NO.replace('answers = ["sources"], ', "") % "" + SUN % 9 + 'circuits.cells = { way = "unit.7" }\n'
                                'equipment.store = { kind = "battery-inverter", rating_a = 9, on = "cells" }\n', "fails", "18 A, above 16 A a phase"),
    "a refusal of nobody knows what": ("OP5", NO.replace('answers = ["sources"], ', "").replace("equipment.roof", "what we asked") % "" + SUN % 17, "unknown",
                                       "whether the no of sun stands against this: roof: 17 A"),
    "a refusal by nobody knows whom": ("OP5", NO.replace(OURS, "") % "" + SUN % 17, "unknown", "whether operator-east is the network operator is not on record"),
    "a refusal of another operator": ("OP5", NO.replace('by = "operator-east"', 'by = "operator-west"') % "" + SUN % 17, "unknown", "whether operator-west is the network"),
    "a maker's refusal": ("OP5", NO.replace('answers = ["sources"], by = "operator-east"', 'by = "maker"') % "" + SUN % 17, "not applicable", ""),
    "a no after a yes": ("OP5", YES % DAY + NO.replace(OURS, "").replace("replies.sun", "replies.then") % ", on = 2026-09-05" + SUN % 17, "fails", "then of operator-east"),
    "a yes after a no": ("OP5", NO % DAY + YES.replace(OURS, "").replace("replies.sun", "replies.then") % ", on = 2026-09-05" + SUN % 17, "within", "nothing of it"),
    "a yes and a no of one day": ("OP5", NO % DAY + YES.replace(OURS, "").replace("replies.sun", "replies.then") % DAY + SUN % 17, "unknown", "sun and then contradict"),
    "a no of no day and a yes": ("OP5", NO % "" + YES.replace(OURS, "").replace("replies.sun", "replies.then") % DAY + SUN % 17, "unknown", "sun and then contradict"),
    "a no, and a yes of after the job": ("OP5", NO % DAY + YES.replace(OURS, "").replace("replies.sun", "replies.then") % ", on = 2027-09-05" + SUN % 17, "fails",
                                         "sun of operator-east: roof"),
    "to be told afterwards, found": ("OP6", WORK + SUN % 16, "not applicable", "nothing that is told afterwards is fitted"),
    "to be told afterwards, proposed for a day to come": ("OP6", 'stage = "proposed"\n' + WORK + SUN % 16, "not applicable", "nothing that is told afterwards is fitted"),
    "fitted, nobody told, no day": ("OP6", FITTED + SUN % 16, "unknown", "on which day it was fitted (dates.work in job.toml). Not told by the record: roof: 16 A, within 16 A a phase"),
    "fitted, told, no day of the work": ("OP6", FITTED + 'dates.test = "2026-09-20"\n' + ASKED % DAY + SUN % 16, "unknown", "whether that was after the work is not known"),
    "fitted, answered, no day of the work": ("OP6", FITTED + 'dates.test = "2026-09-20"\n' + YES % DAY + SUN % 16, "within", "fitted; roof: 16 A"),
    "fitted, nobody told": ("OP6", FITTED + WORK + SUN % 16, "advice", "work on 2026-09-10; roof: 16 A"),
    "fitted, and nothing of it is told": ("OP6", FITTED + WORK + "runs.feed-3.size_mm2 = 25\n", "not applicable", ""),
    "the record says no work": ("OP7", "", "not applicable", "the record says no work"),
    "work on a circuit alone": ("OP7", HEAT, "within", "nothing of it stays live"),
    "who draws the fuse": ("OP7", EAST % ', seals = "its own people"' + "runs.feed-2.size_mm2 = 25\n", "advice", "arrester; its own people by what it said"),
    "who draws it, assumed": ("OP7", EAST % ', seals = { assumed = "its own people" }' + "runs.feed-2.size_mm2 = 25\n", "advice", "arrester"),
    "leave by the owner": ("OP7", OURS + LEAVE % "owner" + "runs.feed-2.size_mm2 = 25\n", "advice", "arrester; pull is leave by owner, who is not known to be the operator"),
    "leave while nobody knows whose network it is": ("OP7", LEAVE % "operator-east" + "runs.feed-2.size_mm2 = 25\n", "advice", "arrester; pull is leave by operator-east"),
    "leave of the operator's": ("OP7", OURS + LEAVE % "operator-east" + "runs.feed-2.size_mm2 = 25\n", "within", "leave by operator-east"),
    "the limit is assumed": ("OP8", EAST % ", tail_m = { assumed = 2 }", "not applicable", "no limit of this operator's own"),
    "no limit of its own": ("OP8", EAST % "", "not applicable", "no limit of this operator's own"),
    "nothing leads to the board": ("OP8", EAST % ", tail_m = 3" + 'remove = ["runs.feed-3"]\n', "not applicable", "no tails behind the service fuse"),
    "tails not measured": ("OP8", EAST % ", tail_m = 3" + 'runs.feed-3.length_m = { unknown = "in the wall" }\n', "unknown", "in the wall"),
    "its yes to this length": ("OP8", EAST % ", tail_m = 2" + 'replies.t = { about = "runs.feed-3", by = "operator-east", ref = "Q-2", on = 2026-09-02, allows = true, tail_m = 2.5 }\n',
                               "within", "operator-east agreed, Q-2"),
    "its yes to less": ("OP8", EAST % ", tail_m = 2" + 'replies.t = { about = "runs.feed-3", by = "operator-east", on = 2026-09-02, allows = true, tail_m = 2.4 }\n', "fails", "Over by 0.5 m"),
    "longer than usual, within what this operator said": ("IN9", EAST % ", tail_m = 6" + "runs.feed-3.length_m = 5\n", "within", "said on 2026-05-11 that it accepts 6 m"),
    "longer than that too": ("IN9", EAST % ", tail_m = 4" + "runs.feed-3.length_m = 5\n", "unknown", "not known until it answers in writing"),
    "longer than usual, within what we assume": ("IN9", EAST % ", tail_m = { assumed = 6 }" + "runs.feed-3.length_m = 5\n", "unknown", "not known until it answers"),
    "longer than usual, the owner's yes": ("IN9", EAST % "" + LONG + TAILS.replace("operator-east", "owner") % DAY, "unknown", "long: owner is not the recorded operator"),
    "longer than usual, a yes of no day": ("IN9", EAST % "" + LONG + TAILS % "", "unknown", "long: on which day it was said is not recorded"),
    "longer than usual, its yes": ("IN9", EAST % "" + LONG + TAILS % DAY, "within", "operator-east answered: yes"),
    "longer than usual, its yes to less": ("IN9", EAST % "" + LONG + TAILS % (DAY + ", tail_m = 4"), "fails", "up to 4 m"),
    "longer than usual, its yes that lapsed": ("IN9", EAST % "" + LONG + TAILS % (DAY + ", until = 2026-11-08"), "unknown", "held until 2026-11-08"),
    "longer than usual, its no after its yes": ("IN9", EAST % "" + LONG + TAILS % DAY + TAILS_NO % ", on = 2026-10-02", "fails", "operator-east answered: no"),
    "longer than usual, its yes and no of one day": ("IN9", EAST % "" + LONG + TAILS % DAY + TAILS_NO % DAY, "unknown", "long and then contradict"),
    "longer than usual, its yes to the sources": ("IN9", EAST % "" + LONG + TAILS % (DAY + ', answers = ["sources"]'), "unknown", "not known until it answers"),
    "longer than usual, and no limit of its own": ("IN9", EAST % "" + "runs.feed-3.length_m = 5\n", "unknown", "not known until it answers in writing"),
    "behind a switch-fuse": ("OP8", EAST % ", tail_m = 0.9" + 'equipment.first = { kind = "switch-fuse", fuse = "bs88-3", fuse_a = { marked = 50 } }\n'
                             'runs.feed-2.joins = ["meter.out", "first.top"]\nruns.feed-4 = { joins = ["first.bottom", "arrester.top"], kind = "tails", '
                             'size_mm2 = 25, length_m = 7, method = "C" }\n', "within", "To spare: 0.4 m"),
}


@pytest.mark.parametrize("case", CASES)
def test_what_each_rule_says(case: str) -> None:
    """The verdict, and the words that tell why."""
    code, example, verdict, says = CASES[case]
    finding = found(code, example)
    assert (finding.verdict, says in finding.says) == (verdict, True), (finding.verdict, finding.says)


@pytest.mark.parametrize(("code", "job"), [("OP3", 'operators.operator-south = { asked = 2026-05-11 }\n'),
                                           ("OP4", 'replies.r = { about = "x", by = "y", until = 2026-01-01 }\n')])
def test_a_job_without_a_day_leaves_its_age_unknown(code: str, job: str) -> None:
    """Neither a row of an operator nor an answer can be held against a day that nobody wrote down."""
    rule = rule_of(code)
    assert rule is not None
    read = read_job({"job.toml": f'schema = 1\nbooks.bs7671 = "2018+A4"\n{job}', "found.toml": HOME})
    (finding,) = judge(Design(read.found), (rule,))
    assert (finding.verdict, finding.says) == ("unknown", "Not known: the job names no day to hold against it")


def test_an_assumed_term_is_not_told_as_the_operators_word() -> None:
    """Who may break the seals, where we only assume it, is not what it said; nor is a leave that names nobody of it."""
    said = found("OP7", EAST % ', seals = { assumed = "its own people" }' + "runs.feed-2.size_mm2 = 25\n").says
    assert "by what it said" not in said
    assert "by what it said" in found("OP7", EAST % ', seals = { enquiry = "its own people" }' + "runs.feed-2.size_mm2 = 25\n").says
