"""The examples as texts that a test may alter, and every verdict of every stage they reach."""
from __future__ import annotations

import datetime
import json
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from spareway.api import no_collector
from spareway.design.design import Design
from spareway.job.fields import Spec, by_key
from spareway.job.job import read_job
from spareway.job.types import Parts
from spareway.rules import all_rules
from spareway.rules.base import Finding, judge

EXAMPLES = Path(__file__).parents[2] / "examples"
HOMES = ("granary-yard", "ridge-annexe", "weir-cottage")
OWN = ("two-feeds",)                        # homes that lie here, made for what the examples do not hold
STAGES = ("found", "proposed", "fitted")
PARTS_FILES = ("premises.toml", "found.toml", "work.toml", "fitted.toml")
Key = tuple[str, str]                       # rule code and subject
Verdicts = Mapping[str, Mapping[Key, Finding]]


@cache
def texts(home: str) -> Mapping[str, str]:
    """The files of an example, by name."""
    folder = Path(__file__).parent / home if home in OWN else EXAMPLES / home
    return {p.name: p.read_text("utf-8") for p in sorted(folder.iterdir()) if p.suffix in (".toml", ".csv")}


def judged(files: Mapping[str, str], stages: Iterable[str] = STAGES) -> dict[str, dict[Key, Finding]]:
    """What every rule finds, stage by stage. Errors: InputError where the texts are refused."""
    with no_collector():
        job = read_job(files)
        insts = {stage: getattr(job, stage) for stage in stages}
        return {stage: {(f.rule, f.subject): f for f in judge(Design(inst), all_rules())}
                for stage, inst in insts.items() if inst is not None}


@cache
def as_it_is(home: str) -> Verdicts:
    """What every rule finds in an example as it lies in the folder."""
    return judged(texts(home))


# ---- every field that is written ------------------------------------------------------------------------------------
def fields_of(data: Mapping[str, Any]) -> Iterator[tuple[tuple[str, ...], Spec]]:
    """(trail, spec) of every field written in a document of premises, found, work or fitted, inner ones after outer."""
    for table, things in data.items():
        if table != "remove":
            of = by_key(Parts)[table].of
            assert of is not None
            for name, entry in things.items():
                yield from _inside(of, entry, (table, name))


def _inside(of: type, entry: Mapping[str, Any], at: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], Spec]]:
    for key, value in entry.items():
        spec = by_key(of)[key]
        yield (*at, key), spec
        if spec.holds == "table" and spec.of:
            yield from _inside(spec.of, value, (*at, key))
        elif spec.holds == "tables" and spec.of:
            for name, each in value.items():
                yield from _inside(spec.of, each, (*at, key, name))


# ---- TOML again -----------------------------------------------------------------------------------------------------
def toml(data: Mapping[str, Any]) -> str:
    """These nested tables as TOML: one line for each thing of each table."""
    lines = [f"remove = {_said(data['remove'])}"] if "remove" in data else []
    for table, things in data.items():
        if isinstance(things, Mapping):
            lines += [f"[{_said(table)}]", *(f"{_said(name)} = {_said(entry)}" for name, entry in things.items())]
    return "\n".join(lines) + "\n"


def _said(value: Any) -> str:
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{_said(k)} = {_said(v)}" for k, v in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(_said, value)) + "]"
    if isinstance(value, datetime.date):
        return value.isoformat()
    return json.dumps(value, ensure_ascii=False)
