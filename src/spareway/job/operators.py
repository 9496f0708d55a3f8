"""A firm's own file of what network operators want: `[operators.NAME]`, as a job's own copies of it, each with its day."""
from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from spareway.doc import InputError, nearest, read
from spareway.job.fields import record, tables
from spareway.job.job import Installation, Job
from spareway.job.read import Faults, build, hidden_characters
from spareway.job.types import Operator

__all__ = ["FILE", "Operators", "read_operators", "with_operators"]

FILE = "operators.toml"


@record
class Operators:
    """operators.toml: what a firm keeps of network operators."""
    operators: Mapping[str, Operator] = tables(Operator, "what network operators want asked and told, each with its day")


def read_operators(file: str, text: str) -> dict[str, Operator]:
    """The operators of a file by their names. Errors: InputError with every fault of it."""
    doc = read(file, text)
    faults: Faults = [*hidden_characters(doc, text)]
    faults += [doc.fault((key,), "", f"there is no table {key} here", "[operators.a-name]", nearest(key, ["operators"]))
               for key in doc.data if key != "operators"]
    named = doc.data.get("operators", {})
    if not isinstance(named, dict):
        faults.append(doc.fault(("operators",), named, "named things are wanted here", "write [operators.a-name]"))
        named = {}
    found = {name: build(Operator, entry, ("operators", name), doc, faults) for name, entry in named.items()}
    if faults:
        raise InputError(sorted(dict.fromkeys(faults), key=lambda fault: fault.line or 0))
    return found


def with_operators(job: Job, known: Mapping[str, Operator]) -> Job:
    """The same job with what a firm's file says of operators beside its own copies, which come first."""
    def told(inst: Installation) -> Installation:
        return replace(inst, about=replace(inst.about, operators={**known, **inst.about.operators}))
    return replace(job, found=told(job.found), proposed=told(job.proposed) if job.proposed else None,
                   fitted=told(job.fitted) if job.fitted else None)
