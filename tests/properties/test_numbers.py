"""What is not a number is refused with its file and line, wherever it stands in the examples."""
from __future__ import annotations

import random
import tomllib
from functools import cache
from typing import Any

import pytest

from spareway.doc import InputError, is_fact
from spareway.job.job import read_job
from tests.properties.homes import HOMES, PARTS_FILES, fields_of, texts, toml

SEED = 4
NOT_NUMBERS = ("nan", "inf", "-inf", "-0", "-0.0", "1e999", "-1e999", '"2.5"', "2,5", "１２", "true")
MARK = 918273.645                           # stands for the number while the file is written again


@cache
def numbers() -> list[tuple[str, str, tuple[str, ...]]]:
    """(home, file, trail) of every number that an example states."""
    found = []
    for home in HOMES:
        for file in PARTS_FILES:
            for at, spec in fields_of(tomllib.loads(texts(home).get(file, ""))):
                if spec.holds == "number":
                    found.append((home, file, at))
    return found


def _put(data: Any, at: tuple[str, ...]) -> Any:
    if not at:
        ways = [k for k, v in data.items() if isinstance(v, int | float)] if is_fact(data) else []
        return {**data, ways[0]: MARK} if ways else MARK
    return {**data, at[0]: _put(data[at[0]], at[1:])}


@pytest.mark.parametrize("text", NOT_NUMBERS)
def test_what_is_not_a_number_is_refused_with_file_and_line(text: str) -> None:
    """Twenty numbers by seed, each replaced by this: one fault at least names the file and a line, and the field or the text."""
    for home, file, at in random.Random(SEED).sample(numbers(), 20):
        altered = toml(_put(tomllib.loads(texts(home)[file]), at)).replace(str(MARK), text)
        assert text in altered
        with pytest.raises(InputError) as refused:
            read_job({**texts(home), file: altered})
        line = next(i for i, said in enumerate(altered.split("\n"), 1) if text in said and at[1] in said)
        assert any(f.file == file and f.line == line for f in refused.value.faults), (at, [str(f) for f in refused.value.faults])
