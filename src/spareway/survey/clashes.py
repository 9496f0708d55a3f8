"""What two people wrote of one thing, each alone, and no file shows as disputed: two circuits on a way, two values of a test."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from spareway.job.job import Job
from spareway.job.rows import Reading, standing

__all__ = ["Clash", "read_twice", "ways_twice"]

Key = tuple[str, str, str, str, str, str]


@dataclass(frozen=True, slots=True)
class Clash:
    """One reading of one circuit at one stage, read by two people as two values, of which neither strikes the other."""

    rows: tuple[Reading, ...]


def ways_twice(job: Job) -> Mapping[str, tuple[str, ...]]:
    """Way -> the circuits that the record of the furthest stage has on it, where they are two or more."""
    on: dict[str, tuple[str, ...]] = {}
    for name, circuit in job.at(None).circuits.items():
        if circuit.way:
            on[circuit.way] = (*on.get(circuit.way, ()), name)
    return {way: names for way, names in on.items() if len(names) > 1}


def read_twice(job: Job) -> tuple[Clash, ...]:
    """Readings that stand side by side: same test, place, setup, loads and stage, two values, two people."""
    groups: dict[Key, tuple[Reading, ...]] = {}
    for row in standing(job.readings):
        key = (row.stage, row.quantity, row.a, row.b, row.setup, row.loads)
        groups[key] = (*groups.get(key, ()), row)
    return tuple(Clash(rows) for rows in groups.values() if _differ(rows))


def _differ(rows: tuple[Reading, ...]) -> bool:
    return len({row.shown for row in rows}) > 1 and len({row.by for row in rows}) > 1
