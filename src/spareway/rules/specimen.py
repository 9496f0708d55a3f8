"""The home on which every rule shows its two examples, with an example laid over it."""
from __future__ import annotations

import tomllib
from collections.abc import Sequence
from functools import cache

from spareway.bundled import text
from spareway.design.design import Design
from spareway.fact import glossary
from spareway.job.fields import by_key
from spareway.job.job import Job, read_job
from spareway.job.rows import Observation, Reading, header
from spareway.job.types import JobFile

_JOB = 'schema = 1\nsays = "specimen"\nnation = "England"\nbooks.bs7671 = "2018+A4"\n'
_DATES = 'dates.survey = "2026-11-09"'
OF_STAGE = {"proposed": "work.toml", "fitted": "fitted.toml"}


@cache
def specimen() -> Job:
    """The specimen as it stands: every rule is kept, or has nothing to say."""
    return read_job({"job.toml": _about([]), "found.toml": text("rules/specimen.toml")})


def with_example(example: str) -> Design:
    """The specimen with an example's lines laid over it; lines about replies and decisions go to its job.toml, `readings` and
    `observations` are rows, `kit` is what they were taken with. What is found, unless a line says at which stage it is."""
    about: list[str] = []
    parts: list[str] = []
    rows: list[str] = []
    sights: list[str] = []
    kit: list[str] = []
    stage = "found"
    for line in example.splitlines():
        said = tomllib.loads(line)
        key = next(iter(said))
        if key == "readings":
            rows += [_row(n, row) for n, row in enumerate(said[key], 1)]
        elif key == "observations":
            sights += [_sight(n, row) for n, row in enumerate(said[key], 1)]
        elif key == "kit":
            kit.append(line)
        elif key == "stage":
            stage = said[key]
        else:
            (about if key in by_key(JobFile) else parts).append(line)
    files = {"job.toml": _about(about), "found.toml": text("rules/specimen.toml")}
    if rows:
        files["readings.csv"] = "\n".join([",".join(header(Reading)), *rows, ""])
    if kit:
        files["kit.toml"] = "\n".join(kit)
    if sights:
        files["observations.csv"] = "\n".join([",".join(header(Observation)), *sights, ""])
    laid = "\n".join(parts)
    if stage != "found":
        return Design(read_job(files | {OF_STAGE[stage]: laid}).at(stage))
    return Design(read_job(files, [("example.toml", laid)]).found)


def _about(lines: Sequence[str]) -> str:
    """Its job.toml: the day of the survey stands there unless an example says its own days."""
    days = () if any(line.startswith("dates") for line in lines) else (_DATES,)
    return _JOB + "\n".join([*days, *lines])


def _row(n: int, said: dict[str, object]) -> str:
    """A line of readings.csv: what the example leaves out is the same for all."""
    usual = {"id": f"r{n}", "stage": "found", "unit": glossary(str(said["quantity"])).unit, "by": "a", "at": "2026-11-09T09:00"}
    return ",".join(str((usual | said).get(name, "")) for name in header(Reading))


def _sight(n: int, said: dict[str, object]) -> str:
    """A line of observations.csv."""
    usual = {"id": f"o{n}", "by": "a", "at": "2026-11-09T09:00"}
    return ",".join(f'"{(usual | said).get(name, "")}"' for name in header(Observation))
