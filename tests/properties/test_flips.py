"""Where a finding says it turns, the whole program turns: the job altered a little to either side gives other verdicts."""
from __future__ import annotations

import random
from functools import cache

from spareway.api import check
from spareway.design.design import Design
from spareway.fact import moved
from spareway.job.job import Installation, read_job
from spareway.rules import rule_of
from spareway.rules.base import judge
from tests.properties.homes import HOMES, as_it_is, texts

SEED = 31
WITHIN_SHARE = 0.01                         # the bar: one per cent
MOST = {"length_m": 2_000, "ze_ohm": 10_000, "load_w": 100_000, "lead_line_m": 20, "lead_neutral_m": 20, "lead_earth_m": 20}    # what a job may say
STAGES = ("found", "proposed")


@cache
def turns() -> list[tuple[str, str, str, str, str, float]]:
    """(home, stage, rule, subject, address, value) of everything that says where it turns."""
    out = []
    for home in HOMES:
        for stage in STAGES:
            for finding in check(texts(home), stage, full=True)["findings"]:
                in_force = {turn["at"]: turn for turn in reversed(finding["flips_at"])}    # what was declared too has the same address
                out += [(home, stage, finding["rule"], finding["subject"], turn["at"], turn["turns_at"])
                        for turn in in_force.values() if turn["turns_at"] * (1 + WITHIN_SHARE) < MOST[turn["quantity"]]]
    return out


@cache
def _as_it_is(home: str, stage: str) -> Installation:
    """A home at a stage; laying lines over it never changes it."""
    return read_job(texts(home)).at(stage)


def _verdict(home: str, stage: str, code: str, subject: str, at: str, value: float) -> str:
    rule = rule_of(code)
    assert rule is not None
    inst = _as_it_is(home, stage).altered(f"{at} = {{ measured = {value:.9f} }}")
    return next(f.verdict for f in judge(Design(inst), (rule,)) if f.subject == subject and f.rule == code)


def test_a_hundred_turning_points_are_where_the_whole_program_turns() -> None:
    """A hundred by seed: one per cent to one side and one to the other, the program as a whole gives two verdicts."""
    taken = random.Random(SEED).sample(turns(), 100)
    wrong = []
    for *named, value in taken:
        home, stage, code, subject, at = named
        sides = {_verdict(home, stage, code, subject, at, value * (1 + sign * WITHIN_SHARE)) for sign in (-1, 1)}
        if len(sides) != 2:
            wrong.append((*named, value, sides))
    assert wrong == []


def test_what_is_moved_is_worked_as_again() -> None:
    """Everything that is compared in the three homes, along everything it rests on, also where no number comes out: two ways, one answer."""
    asked = empty = 0
    for home in HOMES:
        for findings in as_it_is(home).values():
            compared = {fact: None for each in findings.values() if each.relation for fact in each.facts[:2] if fact.inputs}
            for fact in list(compared)[::5]:
                for root in [each for each in fact.roots() if not each.inputs and isinstance(each.amount, float)]:
                    run = moved(fact, root)
                    assert run is not None
                    for amount in (root.amount * 1.7, 0.0, -1.0, 1e300, None):
                        is_, was = run(amount), fact.again({root: amount})
                        assert is_ == was, (home, fact.name, root.name, amount)
                        asked, empty = asked + 1, empty + (was is None)
    assert asked > 1_000
    assert empty > 100
