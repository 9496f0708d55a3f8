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
YES = 'replies.sun = { about = "equipment.roof", answers = ["sources"], by = "operator-east", allows = true%s }\n'
ORDER = 'dates.order = "2026-09-10"\n'
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
    "answered after the order": ("OP1", ORDER + YES % ", on = 2026-09-11" + SUN % 25, "fails", "sun answered on 2026-09-11"),
    "answered that day": ("OP1", ORDER + YES % ", on = 2026-09-10" + SUN % 25, "within", "sun answered on 2026-09-10"),
    "answered, no day": ("OP1", ORDER + YES % "" + SUN % 25, "unknown", "on which day sun was answered"),
    "refused": ("OP1", ORDER + YES.replace("true", "false") % "" + SUN % 25, "fails", "roof: 25 A, above 16 A a phase"),
    "begun before it was ordered": ("OP1", ORDER + 'dates.work = "2026-09-01"\n' + YES % ", on = 2026-09-05" + SUN % 25, "fails", "2026-09-01; sun"),
    "nobody has to be asked": ("OP2", SUN % 16, "not applicable", ""),
    "answered without an enquiry": ("OP2", YES % "" + SUN % 25, "within", "apply: roof"),
    "asked of another thing": ("OP2", 'enquiries.x = { asks = ["tails"], to = "operator-east", by = "a" }\n' + SUN % 25, "advice", "apply: roof"),
    "nothing on record of the operator": ("OP3", SUN % 16, "not applicable", "nothing is on record"),
    "an answer that holds for good": ("OP4", ORDER + YES % "", "not applicable", ""),
    "no refusal": ("OP5", YES % "", "not applicable", ""),
    "a refusal that lapsed": ("OP5", ORDER + YES.replace("true", "false") % ", until = 2026-09-01" + SUN % 25, "not applicable", ""),
    "a refusal of what is there": ("OP5", YES.replace("true", "false") % "" + SUN % 17, "fails", "sun of operator-east: roof: 17 A"),
    "a refusal of something else": ("OP5", YES.replace("true", "false") % "" + HEAT, "within", "nothing of it is wanted now"),
    "a refusal of another thing": ("OP5", YES.replace("true", "false").replace("equipment.roof", "equipment.radiator") % "" + SUN % 17, "within", "nothing of it"),
    "told afterwards, not fitted": ("OP6", SUN % 16, "not applicable", ""),
    "the record says no work": ("OP7", "", "not applicable", "the record says no work"),
    "work on a circuit alone": ("OP7", HEAT, "within", "nothing of it stays live"),
    "who draws the fuse": ("OP7", EAST % ', seals = "its own people"' + "runs.feed-2.size_mm2 = 25\n", "advice", "arrester; its own people by what it said"),
    "no limit of its own": ("OP8", EAST % "", "not applicable", "no limit of this operator's own"),
    "nothing leads to the board": ("OP8", EAST % ", tail_m = 3" + 'remove = ["runs.feed-3"]\n', "not applicable", "no tails behind the service fuse"),
    "tails not measured": ("OP8", EAST % ", tail_m = 3" + 'runs.feed-3.length_m = { unknown = "in the wall" }\n', "unknown", "in the wall"),
    "its yes to this length": ("OP8", EAST % ", tail_m = 2" + 'replies.t = { about = "runs.feed-3", by = "operator-east", ref = "Q-2", allows = true, tail_m = 2.5 }\n',
                               "within", "operator-east agreed, Q-2"),
    "its yes to less": ("OP8", EAST % ", tail_m = 2" + 'replies.t = { about = "runs.feed-3", by = "operator-east", allows = true, tail_m = 2.4 }\n', "fails", "Over by 0.5 m"),
    "longer than usual, within what this operator said": ("IN9", EAST % ", tail_m = 6" + "runs.feed-3.length_m = 5\n", "within", "said on 2026-05-11 that it accepts 6 m"),
    "longer than that too": ("IN9", EAST % ", tail_m = 4" + "runs.feed-3.length_m = 5\n", "unknown", "not known until it answers in writing"),
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
