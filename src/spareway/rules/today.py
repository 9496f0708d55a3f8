"""What must be made safe as it stands: of what is only proposed that is what was found, whatever the work will cure."""
from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from spareway.design.design import Design
from spareway.job.job import Job
from spareway.rules import all_rules
from spareway.rules.base import Finding, judge
from spareway.rules.eyes import seen

__all__ = ["stops_as_found", "told"]

TOLD = ("rule", "name", "verdict", "subject", "where", "says", "clause", "authority", "remedial", "decision")


def stops_as_found(job: Job, stage: str, found: Design | None = None) -> list[Finding]:
    """The stops of the installation as found, where `stage` is only proposed; none at another stage, which says its own.

    found: the design of the job as found, where somebody has it already."""
    if stage != "proposed":
        return []
    design = found or Design(job.found)
    return [f for f in judge(design, [r for r in all_rules() if r.breach == "stop"], seen(design)) if f.verdict == "stop"]


def told(findings: list[Finding]) -> list[Mapping[str, Any]]:
    """The same as plain data, as the document of a check has a finding, without its working."""
    return [{name: getattr(f, name) for name in TOLD} for f in findings]
