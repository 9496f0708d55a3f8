"""Two hundred input mistakes made from the declared fields by seed; each is told with its file, its line and its field."""
from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from spareway.doc import InputError
from spareway.job.fields import specs
from spareway.job.job import read_job
from spareway.job.rows import ROW_FILES
from spareway.job.types import JobFile, Kit, Parts, People
from tests.job.mistakes import TABLE_MISTAKES, WRONG, Mistake, mistakes
from tests.scenarios.folders import EXAMPLES

FOLDERS = {path.parent.name: {p.name: p.read_text("utf-8") for p in path.parent.iterdir() if p.suffix in (".toml", ".csv")}
           for path in EXAMPLES.glob("*/job.toml")}
MISTAKES = mistakes(FOLDERS, 200, 1)


def told(mistake: Mistake) -> list[str]:
    """What is said of this mistake at its file and line, naming its field and what was meant; everything, where nothing is."""
    with pytest.raises(InputError) as refused:
        read_job(mistake.files)
    return [str(f) for f in refused.value.faults if (f.file, f.line) == (mistake.file, mistake.line)
            and mistake.field in str(f) and (not mistake.near or f.nearest == mistake.near)]


@pytest.mark.parametrize("mistake", MISTAKES, ids=lambda m: f"{m.made}-{m.of}".replace(" ", "-"))
def test_a_mistake_is_told_where_it_was_made(mistake: Mistake) -> None:
    """File, line, field and, where something was misspelt, the word that was meant."""
    assert told(mistake)


def test_the_mistakes_come_from_everywhere() -> None:
    """Every type of table and of row, every type of field and every way to go wrong is among them."""
    assert len(MISTAKES) == 200
    tables = {cls for top in (Parts, JobFile, People, Kit) for cls in types_within(top)}
    assert {m.of.partition(".")[0] for m in MISTAKES} == {cls.__name__ for cls in (*tables, *ROW_FILES.values())}
    assert {m.holds for m in MISTAKES} == WRONG.keys()
    assert {m.made for m in MISTAKES} == {maker.__name__.replace("_", " ") for maker in TABLE_MISTAKES}


def types_within(cls: Any) -> Iterator[Any]:
    yield cls
    for spec in specs(cls):
        if spec.of:
            yield from types_within(spec.of)


def test_the_examples_have_no_fault() -> None:
    """Or else every mistake would be told."""
    assert len(FOLDERS) == 3
    for files in FOLDERS.values():
        read_job(files)
