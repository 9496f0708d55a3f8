"""The example folders as jobs and designs, and what the rules find in them. Read once a run."""
from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from spareway.design.design import Design
from spareway.job.job import Job, read_job
from spareway.rules import all_rules
from spareway.rules.base import Finding, judge

EXAMPLES = Path(__file__).parents[2] / "examples"
CASES: list[dict[str, Any]] = tomllib.loads((Path(__file__).parent / "expected.toml").read_text("utf-8"))["case"]
LIVE = ("line", "not known", "line through a load")


def ways(home: str) -> dict[str, dict[str, str]]:
    """The rows of a home's table of ways, by circuit."""
    return {c["given"]["circuit"]: c["want"] for c in CASES if c["given"]["home"] == home and "circuit" in c["given"]}


def row(home: str, name: str) -> dict[str, str]:
    """What one row of a home's page says, as printed."""
    return next(c["want"] for c in CASES if c["given"] == {"home": home} and c["from"].endswith(f", {name}"))


@cache
def texts(name: str) -> dict[str, str]:
    """The texts of an example."""
    return {p.name: p.read_text("utf-8") for p in (EXAMPLES / name).iterdir() if p.suffix in (".toml", ".csv")}


@cache
def job(name: str) -> Job:
    """An example as a job."""
    return read_job(texts(name))


@cache
def design(name: str, stage: str, overlay: str = "") -> Design:
    """An example at a stage, with a few lines laid over it."""
    inst = job(name).at(stage)
    return Design(inst.altered(overlay) if overlay else inst)


@cache
def findings(name: str, stage: str, overlay: str = "") -> dict[tuple[str, str], Finding]:
    """What the rules find, by rule code and subject."""
    return {(f.rule, f.subject): f for f in judge(design(name, stage, overlay), all_rules())}


def overlay(name: str, file: str) -> str:
    """The text of an overlay that lies in the example's folder."""
    return (EXAMPLES / name / file).read_text("utf-8")


def still_live(of: Design, opened: list[str]) -> set[str]:
    """The things on the wall, and nothing fed by a way, that hold a terminal with line in this state."""
    return {t.partition(".")[0] for t, potential in of.network.potential(opened).items()
            if potential in LIVE and t.partition(".")[0] in of.inst.equipment}
