"""A paper without the check beside it: what fills it, and as it is typeset. `api.paper` itself is tried on small jobs."""
from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from typing import Any

from spareway.api import CAUTION, NEUTRAL
from spareway.design.design import Design
from spareway.job.job import Job, read_job
from spareway.papers import PAPERS
from spareway.press.typst import set_in_type

NO_CHECK = {"caution": [*CAUTION, NEUTRAL], "books": {"bs7671": "2018+A4"}, "nation": "England"}
NO_DRAWING = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 10"><title>none</title></svg>'


def filled(paper: str, files: Mapping[str, str], stage: str | None = None) -> dict[str, Any]:
    """What fills a paper that rests on no finding."""
    job = read_job(files)
    return of(paper, job, Design(job.at(stage)))


def of(paper: str, job: Job, design: Design) -> dict[str, Any]:
    facts: dict[str, Any] = import_module(f"spareway.papers.{PAPERS[paper]}").facts_for(job, design, [], NO_CHECK, {})
    return facts


def typeset(paper: str, files: Mapping[str, str], stage: str | None = None) -> bytes:
    made = {"facts": filled(paper, files, stage), "check": {}, "drawing": NO_DRAWING, "template": f"{PAPERS[paper]}.typ"}
    return set_in_type(made, files)
