"""The home on which every rule shows its two examples, with an example laid over it."""
from __future__ import annotations

import tomllib
from functools import cache

from spareway.bundled import text
from spareway.design.design import Design
from spareway.job.fields import by_key
from spareway.job.job import Job, read_job
from spareway.job.types import JobFile

_JOB = 'schema = 1\nsays = "specimen"\nnation = "England"\n[books]\nbs7671 = "2018+A4"\n'


@cache
def specimen() -> Job:
    """The specimen as it stands: every rule is kept, or has nothing to say."""
    return read_job({"job.toml": _JOB, "found.toml": text("rules/specimen.toml")})


def with_example(example: str) -> Design:
    """The specimen with an example's lines laid over it; lines about replies and decisions go to its job.toml."""
    about: list[str] = []
    parts: list[str] = []
    for line in example.splitlines():
        key = next(iter(tomllib.loads(line)))
        (about if key in by_key(JobFile) else parts).append(line)
    files = {"job.toml": _JOB.replace("[books]\nbs7671", "books.bs7671") + "\n".join(about), "found.toml": text("rules/specimen.toml")}
    return Design(read_job(files, [("example.toml", "\n".join(parts))]).found)



