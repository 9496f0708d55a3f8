"""Every fact of every example, deleted in turn: what then reads better than before, or cannot be worked.

A fact is a field of a thing in premises, found, work or fitted, one of the ways in which a quantity is known, or a row of
readings. Words that say what there is (`joins`, `way`, `kind` and their like) are deleted too: without them a thing may be
refused, but nothing about it may read better.
"""
from __future__ import annotations

import random
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

from spareway.doc import InputError, is_fact
from tests.properties.homes import HOMES, PARTS_FILES, STAGES, Verdicts, as_it_is, fields_of, judged, texts, toml

BAD = ("stop", "fails", "unknown")
BETTER = ("within", "advice", "not applicable")
FROM_STAGE = {"work.toml": "proposed", "fitted.toml": "fitted"}        # the first stage that a file has a say in


@dataclass(frozen=True, slots=True)
class Deletion:
    """One thing taken out of one file: a trail through its tables, or the number of a row."""
    home: str
    file: str
    at: tuple[str, ...] = ()
    row: int = 0

    def __str__(self) -> str:
        return f"{self.home} {self.file} {'.'.join(self.at) or f'row {self.row}'}"

    def files(self) -> dict[str, str]:
        """The example's files without it."""
        text = texts(self.home)[self.file]
        if not self.at:
            lines = text.split("\n")
            return {**texts(self.home), self.file: "\n".join(lines[:self.row - 1] + lines[self.row:])}
        return {**texts(self.home), self.file: toml(_without(tomllib.loads(text), self.at))}


def _without(data: dict[str, Any], at: tuple[str, ...]) -> dict[str, Any]:
    inner = {k: v for k, v in data.items() if k != at[0]}
    return inner if len(at) == 1 else {**data, at[0]: _without(data[at[0]], at[1:])}


@cache
def deletions() -> tuple[Deletion, ...]:
    """Every one there is, in order of home and file."""
    return tuple(each for home in HOMES for each in of(home))


def of(home: str) -> Iterator[Deletion]:
    """Every one of one home."""
    for file in PARTS_FILES:
        if file in texts(home):
            data = tomllib.loads(texts(home)[file])
            for at, _ in fields_of(data):
                yield Deletion(home, file, at)
                value: Any = data
                for step in at:
                    value = value[step]
                if is_fact(value) and len(value) > 1:
                    yield from (Deletion(home, file, (*at, how)) for how in value)
    rows = texts(home).get("readings.csv", "").split("\n")
    yield from (Deletion(home, "readings.csv", row=number) for number, line in enumerate(rows, 1) if number > 1 and line)


def some(n: int, seed: int) -> list[Deletion]:
    """`n` of them in the order of a seed; all when there are fewer."""
    return random.Random(seed).sample(deletions(), min(n, len(deletions())))


def faults(deletion: Deletion) -> list[str]:
    """What reads better without this fact, and what cannot be worked. A folder that is refused says nothing better."""
    stages = STAGES[STAGES.index(FROM_STAGE.get(deletion.file, "found")):]
    try:
        after = judged(deletion.files(), stages)
    except InputError as refused:
        return [] if refused.faults else ["refused without a fault"]
    return [f"{deletion}: {said}" for said in _compared(as_it_is(deletion.home), after)]


def _compared(before: Verdicts, after: Verdicts) -> Iterator[str]:
    for stage, findings in after.items():
        for key, now in findings.items():
            was = before[stage].get(key)
            if "could not be worked" in now.says:
                yield f"{stage} {' '.join(key)}: {now.says}"
            if was is not None and was.verdict in BAD and now.verdict in BETTER:
                yield f"{stage} {' '.join(key)}: {was.verdict} became {now.verdict}: {was.says} -> {now.says}"
