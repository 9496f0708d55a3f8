"""A rule's answer: what passes, what does not, what cannot be told; decisions of persons."""
from __future__ import annotations

import dataclasses
import math

import pytest

from spareway import bundled
from spareway.design.design import Design
from spareway.fact import Fact, unknown
from spareway.job.job import read_job
from spareway.rules import all_rules, rule_of
from spareway.rules.base import Answer, all_of, at_least, at_most, below, best_of, cannot_tell, is_one_of, judge, must_be_no, rule
from spareway.rules.crash import RuleCrash

JOB = 'schema = 1\nbooks.bs7671 = "2018+A4"\n'
LIMIT = Fact("zs_limit_ohm", 1.09, "table")


def zs(amount: float | None) -> Fact[float]:
    return Fact("zs_ohm", amount, "measured") if amount is not None else unknown("zs_ohm", "not read")


@pytest.mark.parametrize(("ask", "below_it", "at_it", "above_it"), [
    (at_most, True, True, False), (at_least, False, True, True), (below, True, False, False)])
def test_just_below_at_and_above_the_limit(ask: object, below_it: bool, at_it: bool, above_it: bool) -> None:
    """The nearest numbers to either side of a limit fall on their own sides."""
    near = [math.nextafter(1.09, 0), 1.09, math.nextafter(1.09, 2)]
    answers = [ask(zs(v), LIMIT).ok for v in near]          # type: ignore[operator]
    assert answers == [below_it, at_it, above_it]


def test_nothing_unordered_or_unknown_passes() -> None:
    for ask in (at_most, at_least, below):
        assert ask(zs(None), LIMIT).ok is None
        assert ask(zs(1.0), unknown("zs_limit_ohm")).ok is None
    assert is_one_of(unknown("seal"), "present").ok is None
    assert must_be_no(unknown("water")).ok is None
    assert is_one_of(Fact("seal", "broken", "stated"), "present").ok is False
    assert must_be_no(Fact("water", True, "stated")).ok is False
    assert cannot_tell(zs(None)).says == "Not known: earth fault loop impedance: not read"


def test_the_sentence_says_by_how_much() -> None:
    assert at_most(zs(1.31), LIMIT).says == \
        "Earth fault loop impedance 1.31 Ω; limit 1.09 Ω (greatest earth fault loop impedance for the device). Over by 0.22 Ω"


def test_several_answers_turn_together() -> None:
    """Any of two holds while one does; all of two only while both do; a gap is a gap unless the rest decides."""
    low, high = zs(0.5), zs(2.0)
    good, bad, gap = at_most(low, LIMIT), at_most(high, LIMIT), at_most(zs(None), LIMIT)
    assert (best_of([bad, good]).ok, all_of([bad, good]).ok) == (True, False)
    assert (best_of([bad, gap]).ok, all_of([good, gap]).ok, all_of([bad, gap]).ok) == (None, None, False)
    assert best_of([bad, good]).again({low: 3.0}) is False
    assert all_of([bad, good]).again({high: 0.2}) is True
    assert best_of([gap, bad]).again({high: 3.0}) is None
    assert Answer(True).again({low: 9.0}) is True
    assert len(list(all_of([best_of([bad, good]), good]).leaves())) == 3


def test_a_rule_says_all_its_headings() -> None:
    with pytest.raises(TypeError, match="a rule says its fault"):
        @rule("X1", about="circuit", breach="fails", clause="1")
        def undocumented(_c: object, _d: Design) -> Answer:
            """Something."""
            return Answer(True)


@pytest.mark.parametrize("raised", [ZeroDivisionError("by zero"), AssertionError("by zero"), AttributeError("by zero"), KeyError("by zero")])
def test_a_rule_that_breaks_ends_the_run(raised: Exception) -> None:
    """A fault of the program is no missing measurement: no finding is given, and rule, subject and cause are named (decision 012)."""
    bo1 = rule_of("BO1")
    assert bo1

    def crash(*_: object) -> Answer:
        raise raised
    found = read_job({"job.toml": JOB, "found.toml": bundled.text("rules/specimen.toml")}).found
    with pytest.raises(RuleCrash, match=r"rule BO1 broke on equipment.unit .*by zero.*fault of the program") as told:
        judge(Design(found), (dataclasses.replace(bo1, ask=crash),))
    assert told.value.__cause__ is raised
    assert (told.value.rule, told.value.subject) == ("BO1", "equipment.unit")


def test_a_row_that_is_not_there_is_unknown() -> None:
    """A size that the tables do not hold leaves one circuit unknown, by its size, and the others judged."""
    ci3 = rule_of("CI3")
    assert ci3
    files = {"job.toml": JOB, "found.toml": bundled.text("rules/specimen.toml")}
    found = read_job(files, [("o.toml", "circuits.oven.cable.line_mm2 = 7.7")]).found
    findings = judge(Design(found), (ci3,))
    told = {(f.rule, f.subject): f for f in findings}
    assert told["CI3", "circuits.oven"].verdict == "unknown"
    assert "7.7" in told["CI3", "circuits.oven"].says
    assert told["CI3", "circuits.lamps"].verdict == "within"


def test_decisions() -> None:
    """One is shown beside its finding; a stop cannot be decided away; one about nothing is a finding."""
    said = 'choice = "accepted"\nwho = "owner"\non = 2026-11-27\nwhy = "cost"\n'
    job = JOB + "".join(f'[decisions.{n}]\nabout = "{a}"\n{said}' for n, a in
                        (("one", "BO4 equipment.unit"), ("two", "BO1 equipment.unit"), ("three", "CI2 circuits.oven")))
    files = {"job.toml": job, "found.toml": bundled.text("rules/specimen.toml")}
    overlay = 'equipment.unit.material = "plastic"\nequipment.unit.bare_ways = [7]\n'
    findings = judge(Design(read_job(files, [("o.toml", overlay)]).found), all_rules())
    told = {(f.rule, f.subject): f for f in findings}
    assert told["BO4", "equipment.unit"].decision == "accepted by owner on 2026-11-27: cost"
    assert told["BO1", "equipment.unit"].verdict == "stop"
    assert told["BO1", "equipment.unit"].decision == ""
    assert told["DE1", "decisions.two"].verdict in ("fails", "unknown")
    assert "cannot be decided away" in told["DE1", "decisions.two"].says
    assert told["DE1", "decisions.three"].verdict == "advice"
