"""Each rule's two examples, laid over the specimen, do what its docstring says they do."""
from __future__ import annotations

import pytest

from spareway.design.design import Design
from spareway.rules import all_rules
from spareway.rules.base import VERDICTS, Rule, judge
from spareway.rules.specimen import specimen, with_example

RULES = all_rules()


def _verdicts(rule: Rule, design: Design) -> set[str]:
    return {f.verdict for f in judge(design, (rule,)) if f.rule == rule.code}


@pytest.mark.parametrize("rule", RULES, ids=lambda r: f"{r.code}-{r.name}")
def test_fires_on_its_first_example(rule: Rule) -> None:
    """The example breaks the rule, and the finding is called by the rule's own word."""
    design = with_example(rule.headings["Fires on"])
    fired = [f for f in judge(design, (rule,)) if f.verdict == rule.breach]
    assert fired, _verdicts(rule, design)
    assert all(f.clause and f.subject and f.says and f.remedial for f in fired)


@pytest.mark.parametrize("rule", RULES, ids=lambda r: f"{r.code}-{r.name}")
def test_passes_on_its_second_example(rule: Rule) -> None:
    """The example keeps the rule: it is within somewhere and worse nowhere."""
    verdicts = _verdicts(rule, with_example(rule.headings["Passes on"]))
    assert "within" in verdicts
    assert verdicts <= {"within", "not applicable"}


def test_specimen_keeps_every_rule() -> None:
    """Otherwise an example could fire for another reason than the one it shows."""
    bad = [(f.rule, f.subject, f.says) for f in judge(Design(specimen().found), RULES) if f.verdict in VERDICTS[:3]]
    assert not bad


def test_codes_and_names_are_used_once() -> None:
    assert len({r.code for r in RULES}) == len(RULES) == len({r.name for r in RULES})
    assert len(RULES) >= 25
