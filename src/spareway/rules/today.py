"""What stands today, of what is only proposed or fitted since: what must be made safe, and what failed and was not shown cured."""
from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from spareway.design.design import Design
from spareway.job.job import Job
from spareway.rules import all_rules
from spareway.rules.base import Finding, judge
from spareway.rules.eyes import seen

__all__ = ["fails_as_found", "stops_as_found", "told"]

TOLD = ("rule", "name", "verdict", "subject", "where", "says", "clause", "authority", "remedial", "decision")


def stops_as_found(job: Job, stage: str, found: Design | None = None) -> list[Finding]:
    """The stops of the installation as found, where `stage` is only proposed; none at another stage, which says its own.

    found: the design of the job as found, where somebody has it already."""
    if stage != "proposed":
        return []
    design = found or Design(job.found)
    return [f for f in judge(design, [r for r in all_rules() if r.breach == "stop"], seen(design)) if f.verdict == "stop"]


def fails_as_found(job: Job, stage: str, now: Iterable[Mapping[str, Any]], found: Design | None = None) -> list[Finding]:
    """What fails as found and is not known at a later stage: a bad reading stands until it is read again, whatever is proposed
    beside it. now: the findings of that stage, as the document of a check has them."""
    open_now = {(f["rule"], f["subject"]) for f in now if f["verdict"] == "unknown"}
    asked = [r for r in all_rules() if r.breach == "fails" and any(r.code == rule for rule, _ in open_now)]
    if stage == "found" or not asked:
        return []
    judged = judge(found or Design(job.found), asked)
    return [f for f in judged if f.verdict == "fails" and (f.rule, f.subject) in open_now]


def told(findings: list[Finding]) -> list[Mapping[str, Any]]:
    """The same as plain data, as the document of a check has a finding, without its working."""
    return [{name: getattr(f, name) for name in TOLD} for f in findings]
