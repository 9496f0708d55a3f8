"""The JSON Schema of each file: valid, complete, and of one mind with the reader. jsonschema is the outside judge."""
from __future__ import annotations

import datetime
import json
import random
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator, FormatChecker

from spareway.doc import Doc, Fault
from spareway.fact import HOW, glossary
from spareway.job.fields import specs
from spareway.job.read import build
from spareway.job.schema import SCHEMA_FILES, schema_for
from spareway.job.types import JobFile, Kit, Parts, People
from tests.scenarios.folders import EXAMPLES

# JSON Schema keywords that editors with TOML support show or check
SUBSET = {"$schema", "$defs", "$ref", "title", "description", "examples", "x-unit", "type", "properties", "additionalProperties",
          "required", "enum", "minimum", "maximum", "minLength", "items", "format", "oneOf", "anyOf", "dependentRequired"}
UNLIKE = ("job.toml", "people.toml", "kit.toml", "found.toml", "work.toml")
TYPES: dict[str, type] = {"job.toml": JobFile, "people.toml": People, "kit.toml": Kit}


def test_all_files_have_a_schema_and_overlays_the_same() -> None:
    """Three kinds of overlay share one; the base that is read with found.toml differs from it in its words alone."""
    assert {"fitted.toml", "option-a.toml", "premises.toml", *UNLIKE} == set(SCHEMA_FILES)
    assert schema_for("fitted.toml") == schema_for("option-a.toml") == schema_for("work.toml")
    words = {"title", "description"}
    premises, found = schema_for("premises.toml"), schema_for("found.toml")
    assert {key for key in premises if premises[key] != found[key]} == words


@cache
def judge(file: str) -> Draft202012Validator:
    return Draft202012Validator(schema_for(file), format_checker=FormatChecker())


def as_json(value: Any) -> Any:
    """TOML's data as a schema sees it: a date is a text."""
    if isinstance(value, dict):
        return {key: as_json(each) for key, each in value.items()}
    if isinstance(value, list):
        return [as_json(each) for each in value]
    return value.isoformat() if isinstance(value, datetime.date) else value


def parts(schema: Any) -> Iterator[dict[str, Any]]:
    """Every schema within a schema."""
    yield schema
    for key in ("properties", "$defs"):
        for each in schema.get(key, {}).values():
            yield from parts(each)
    for key in ("oneOf", "anyOf"):
        for each in schema.get(key, ()):
            yield from parts(each)
    for key in ("items", "additionalProperties"):
        if isinstance(schema.get(key), dict):
            yield from parts(schema[key])


@pytest.mark.parametrize("file", UNLIKE)
def test_the_schema_is_valid_and_keeps_to_the_subset(file: str) -> None:
    """Of 2020-12, with plain JSON in it, in the words editors understand; every reference leads somewhere."""
    schema = schema_for(file)
    Draft202012Validator.check_schema(schema)
    assert json.loads(json.dumps(schema)) == schema
    assert {key for part in parts(schema) for key in part} <= SUBSET
    named = {part["$ref"] for part in parts(schema) if "$ref" in part}
    assert named == {f"#/$defs/{name}" for name in schema["$defs"]}
    assert all(part["additionalProperties"] is False for part in parts(schema) if "properties" in part)


@pytest.mark.parametrize("file", UNLIKE)
def test_every_field_has_title_description_unit_and_example(file: str) -> None:
    """The unit stands in the description and by itself, and each example is one the schema takes."""
    schema = schema_for(file)
    for part in parts(schema):
        for name, field in part.get("properties", {}).items():
            assert field["title"], name
            assert field["description"], name
            for example in field.get("examples", ()):
                whole = {"$defs": schema["$defs"], **field}
                assert list(Draft202012Validator(whole).iter_errors(as_json(example))) == [], (name, example)


@pytest.mark.parametrize("cls", [Parts, JobFile, People, Kit])
def test_every_declared_field_is_there_with_its_unit(cls: type) -> None:
    """Walked by the declarations, against the schema: nothing is left out, nothing is more than declared."""
    file = next((name for name, of in TYPES.items() if of is cls), "found.toml")
    schema = schema_for(file)

    def walk(of: Any, body: dict[str, Any]) -> int:
        assert list(body["properties"]) == [spec.key for spec in specs(of)]
        assert body.get("required", []) == [spec.key for spec in specs(of) if spec.needed]
        seen = 0
        for spec in specs(of):
            field = body["properties"][spec.key]
            seen += 1
            assert field["examples"]
            assert spec.says in field["description"]
            if spec.holds == "number":
                unit = glossary(spec.quantity).unit
                assert field["x-unit"] == unit
                assert field["description"] == (f"{spec.says}, in {unit}" if unit else spec.says)
            else:
                assert "x-unit" not in field
            if spec.of:
                seen += walk(spec.of, schema["$defs"][spec.of.__name__])
        return seen
    assert walk(cls, schema) >= len(specs(cls))


def test_a_schema_is_only_for_toml() -> None:
    """Rows have columns, not a schema."""
    with pytest.raises(ValueError, match=r"readings\.csv has no schema"):
        schema_for("readings.csv")


def toml_files() -> list[Path]:
    return sorted(EXAMPLES.glob("*/**/*.toml"))


@pytest.mark.parametrize("path", toml_files(), ids=lambda p: str(p.relative_to(EXAMPLES)))
def test_the_examples_are_valid(path: Path) -> None:
    """Every file of every example, overlays as overlays."""
    content = as_json(tomllib.loads(path.read_text("utf-8")))
    assert [f"{e.json_path}: {e.message}" for e in judge(path.name).iter_errors(content)] == []


def test_an_overlay_needs_nothing_and_may_remove() -> None:
    """A thing moved in one line is valid over an installation, and is not an installation."""
    moved = {"remove": ["runs.a"], "runs": {"tails-2": {"joins": ["meter.out", "board.in"]}}}
    for file in ("work.toml", "fitted.toml", "option-solar.toml", "wrong-end.toml"):
        assert judge(file).is_valid(moved)
    assert not judge("found.toml").is_valid(moved)
    assert not judge("found.toml").is_valid({"runs": moved["runs"]})
    assert not judge("work.toml").is_valid({"runs": {"tails-2": {"join": []}}})


# ---- of one mind with the reader ------------------------------------------------------------------------------------
# right for some fields and wrong for others. A date is left out: a schema cannot tell it from a text that looks like one
VALUES: tuple[Any, ...] = (
    "text", "", "TT", 3, -1, 10**6, 2.5, -0.5, 1e11, True, [], [1], [0], ["a"], [True], {}, {"a": 1}, {"a": "b"}, {"a": {}},
    {"measured": 3}, {"marked": "B"}, {"told": True}, {"drawing": [3]}, {"unknown": "why"}, {"unknown": 3},
    {"unknown": "why", "note": "n"}, {"unknown": "why", "measured": 3}, {"note": "n"}, {"least": 1, "most": 2},
    {"assumed": 2, "least": 1, "most": 3}, {"assumed": 2, "least": 1}, {"assumed": 2, "most": 3}, {"measure": 3},
    {"measured": 3, "colour": 1}, {"measured": {"measured": 3}})


def example(cls: Any) -> dict[str, Any]:
    """A table with what it needs, at its examples."""
    return {spec.key: datetime.date.fromisoformat(spec.example) if spec.holds == "date" else spec.example
            for spec in specs(cls) if spec.needed}


def reader_takes(cls: Any, data: dict[str, Any]) -> bool:
    faults: list[Fault] = []
    build(cls, data, (), Doc(data), faults)
    return faults == []


def types_within(cls: type) -> Iterator[type]:
    yield cls
    for spec in specs(cls):
        if spec.of:
            yield from types_within(spec.of)


@pytest.mark.parametrize("top", [Parts, JobFile, People, Kit])
def test_schema_and_reader_agree_on_every_field(top: type) -> None:
    """Each declared field of each type, misspelt, left out and holding each of these values: both take it or both refuse."""
    schema = schema_for(next((name for name, of in TYPES.items() if of is top), "found.toml"))
    taken, rng = {True: 0, False: 0}, random.Random(2)
    for cls in dict.fromkeys(types_within(top)):
        inside = schema if cls is top else {"$defs": schema["$defs"], **schema["$defs"][cls.__name__]}
        schema_of, sound = Draft202012Validator(inside, format_checker=FormatChecker()), example(cls)
        for spec in specs(cls):
            tries = [{**sound, spec.key: value} for value in rng.sample(VALUES, 14)]
            tries += [{**sound, f"{spec.key}x": 1}, {key: value for key, value in sound.items() if key != spec.key}]
            for data in tries:
                assert schema_of.is_valid(as_json(data)) == reader_takes(cls, data), (cls, data)
                taken[reader_takes(cls, data)] += 1
    assert min(taken.values()) >= 2 * len(specs(top))


@pytest.mark.parametrize("how", HOW)
def test_each_way_of_knowing_is_taken(how: str) -> None:
    """By schema and reader alike, for a number, a word, a yes or no and a list."""
    data = {"equipment": {"e": {"kind": "board", "rating_a": {how: 100}, "marks": {how: "none"}, "water": {how: True},
                                "bare_ways": {how: [3]}}}}
    assert judge("found.toml").is_valid(data)
    assert reader_takes(Parts, data)
