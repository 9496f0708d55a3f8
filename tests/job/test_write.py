"""An installation written flat reads back as the same data. `tomllib` and our reader are the judges."""
from __future__ import annotations

import datetime
import tomllib
from functools import cache
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from spareway.doc import read
from spareway.fact import HOW
from spareway.job.changes import changes
from spareway.job.fields import Spec, specs
from spareway.job.job import read_job
from spareway.job.types import Parts
from spareway.job.write import flat, inline
from tests.scenarios.folders import job

LAID_OUT = """\
[fabric]
wall = { says = "brick", u_w_per_m2k = { assumed = 1.7, least = 1.35, most = 2.1 } }

[equipment]
board = { kind = "board", bare_ways = [] }
meter = { kind = "meter", fuse_a = 0.5 }

[circuits.x]
way = "board.5"
points.p2 = { from = "way", length_m = { unknown = "under the \\"old\\" floor" } }
points.p1 = { from = "p2" }
device = { kind = "rcbo-2p", rating_a = { marked = 32 } }

[circuits.x.cable]
kind = "t&e"
stretches.clipped = { length_m = 1.5, method = "C" }
stretches.trunking = { length_m = { measured = 9.0 }, method = "B" }
"""


def test_the_layout() -> None:
    """Short things on a line, long ones under headers, points and stretches one a line and in order."""
    data = tomllib.loads(LAID_OUT)
    assert flat(data) == LAID_OUT


def test_a_table_is_headed_throughout_when_one_of_it_is_long() -> None:
    """Otherwise the long thing would move behind the short ones; the order of things is kept."""
    data = {"runs": {"a": {"kind": "tails"}, "b": {"kind": "tails", "colours": "x" * 120}, "c": {"kind": "tails"}}}
    text = flat(data)
    assert [line for line in text.split("\n") if line.startswith("[")] == ["[runs.a]", "[runs.b]", "[runs.c]"]
    assert list(tomllib.loads(text)["runs"]) == ["a", "b", "c"]


@pytest.mark.parametrize(("name", "stage"), [("weir-cottage", "found"), ("weir-cottage", "proposed"), ("granary-yard", "fitted"),
                                             ("ridge-annexe", "found"), ("ridge-annexe", "proposed")])
def test_a_finished_job_is_the_next_jobs_found(name: str, stage: str) -> None:
    """Written flat, read alone: the same data in the same order, no change between them, and a job that reads."""
    last = job(name).at(stage)
    text = flat(last.doc.data)
    again = read("found.toml", text)
    assert orders(again.data) == orders(dict(last.doc.data))
    assert flat(again.data) == text
    following = read_job({"job.toml": 'schema = 1\nbooks.bs7671 = "2018+A4"\n', "found.toml": text})
    assert changes(last, following.found) == ()


def orders(data: Any) -> Any:
    """Data with the order of the things of each table of things."""
    if not isinstance(data, dict):
        return data
    pairs = [(key, orders(value)) for key, value in data.items()]
    things = all(isinstance(value, dict) for value in data.values())
    return pairs if things else dict(pairs)


# ---- whatever the grammar can say ----------------------------------------------------------------------------------
WORDS = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=40)
NAMES = st.from_regex(r"[a-z][a-z0-9-]{0,12}", fullmatch=True)
NUMBERS = st.one_of(st.integers(-10**12, 10**12), st.floats(-1e12, 1e12).map(lambda x: x + 0.0))


def bare(spec: Spec) -> st.SearchStrategy[Any]:
    return {"number": NUMBERS, "text": st.sampled_from(spec.one_of) if spec.one_of else WORDS, "flag": st.booleans(),
            "numbers": st.lists(st.integers(1, 72), max_size=5)}[spec.holds]


def facts(spec: Spec) -> st.SearchStrategy[Any]:
    known = st.dictionaries(st.sampled_from(HOW), bare(spec), min_size=1, max_size=3)
    return st.one_of(bare(spec), known, st.builds(lambda known_, note: {**known_, "note": note}, known, WORDS),
                     st.builds(lambda why: {"unknown": why}, WORDS))


def values(spec: Spec) -> st.SearchStrategy[Any]:
    if spec.of:
        one = things(spec.of)
        return one if spec.holds == "table" else st.dictionaries(NAMES, one, max_size=4)
    if spec.is_fact:
        return facts(spec)
    return {"word": WORDS, "address": WORDS, "addresses": st.lists(WORDS, max_size=2), "names": st.lists(WORDS, max_size=3),
            "whole": st.integers(), "date": st.dates(), "wholes": st.dictionaries(WORDS, WORDS, max_size=3)}[spec.holds]


@cache
def things(cls: Any) -> st.SearchStrategy[dict[str, Any]]:
    """A table of this type with some of its fields."""
    one = [st.tuples(st.just(spec.key), values(spec)) for spec in specs(cls)]
    return st.lists(st.one_of(one), max_size=4).map(dict)


@given(things(Parts))
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_what_the_grammar_can_say_is_read_back(data: dict[str, Any]) -> None:
    """Any tables of declared fields, any text in them: equal after reading, and the same text when written again."""
    text = flat(data)
    assert tomllib.loads(text) == data
    assert flat(tomllib.loads(text)) == text
    assert max(len(line.encode()) for line in text.split("\n")) <= 4096


ANYTHING = st.recursive(
    st.one_of(WORDS, NUMBERS, st.booleans(), st.dates(), st.times(), st.datetimes(), st.just("")),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3), st.dictionaries(st.one_of(NAMES, WORDS, st.just("")), inner, max_size=3)),
    max_leaves=12)


@given(st.dictionaries(st.one_of(NAMES, WORDS), ANYTHING, max_size=5))
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_any_toml_data_is_read_back(data: dict[str, Any]) -> None:
    """Lists in lists, tables in lists, quoted and empty keys, dates and times: nothing is lost."""
    assert tomllib.loads(flat(data)) == data


@given(st.floats(allow_nan=False, allow_infinity=False))
@settings(max_examples=300)
def test_every_number_comes_back_to_the_last_bit(amount: float) -> None:
    """Shortest decimals, no exponent, a float still a float; -0.0 is written as 0.0, which we do read."""
    back = tomllib.loads(f"x = {inline(amount)}")["x"]
    assert (type(back), back) == (float, amount)
    assert "e" not in inline(amount)
    assert inline(-0.0) == "0.0"


@pytest.mark.parametrize("length", [999, 1000, 1001, 4000, 20_000])
def test_long_texts_keep_within_a_lines_budget(length: int) -> None:
    """Spaces, quotes, backslashes and line breaks at every seam of a text in pieces come back; our reader takes it."""
    said = ('a b  "c"\\\n\t ' * length)[:length]
    text = flat({"runs": {"r": {"colours": said}, "s": {"colours": {"told": said}}}})
    assert read("found.toml", text).data == {"runs": {"r": {"colours": said}, "s": {"colours": {"told": said}}}}


def test_long_lists_and_deep_tables_keep_within_the_budgets() -> None:
    """A list goes over several lines; tables are headed, and at the greatest depth of a key they stand on a line."""
    many = [f"runs.tails-{n}" for n in range(900)]
    assert read("work.toml", flat({"remove": many})).data == {"remove": many}
    deep: Any = {"x": 1}
    for level in range(10):
        deep = {f"k{level}": deep, "text": "x" * 100}
    assert read("found.toml", flat(deep)).data == deep


@pytest.mark.parametrize("amount", [float("nan"), float("inf"), float("-inf")])
def test_what_is_no_number_is_not_written(amount: float) -> None:
    """A file of ours never holds nan or inf."""
    with pytest.raises(ValueError, match="not a number"):
        flat({"runs": {"r": {"size_mm2": amount}}})


@pytest.mark.parametrize("value", [None, {1, 2}, b"x", 1j])
def test_what_toml_cannot_say_is_an_error(value: object) -> None:
    """Nothing is left out in silence."""
    with pytest.raises(TypeError, match="TOML has no"):
        inline(value)


def test_dates_and_times() -> None:
    """As TOML writes them, without quotes."""
    assert inline(datetime.date(2026, 12, 4)) == "2026-12-04"
    assert inline(datetime.datetime(2026, 12, 4, 9, 5, tzinfo=datetime.UTC)) == "2026-12-04T09:05:00+00:00"
    assert inline(datetime.time(9, 5)) == "09:05:00"
