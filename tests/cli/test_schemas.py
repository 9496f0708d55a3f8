"""What the verbs give with --json is what their published schemas say, and the schemas are strict enough to notice."""
from __future__ import annotations

import copy
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from spareway.cli.schema import OUTPUTS, output_schema
from tests.cli.cases import GRANARY, RIDGE, WEIR, WRONG_END, document

DAY = Path(__file__).parents[1] / "season" / "one-day.toml"
OUTPUT: dict[str, list[tuple[object, ...]]] = {
    "check": [("check", WEIR, "--stage", "found"), ("check", WEIR, "--full"), ("check", GRANARY, "--full"),
              ("check", GRANARY, "--with", WRONG_END), ("check", RIDGE, "--full")],
    "circuit": [("circuit", WEIR), ("circuit", WEIR, "ring-ground", "--stage", "found"), ("circuit", GRANARY, "cooker"),
                ("circuit", RIDGE, "charging")],
    "new-circuit": [("circuit", WEIR, "--new", words) for words in ("7.2 kW cooker, 14 m, method 100", "3 kW immersion, 500 m, method C")],
    "new-circuits": [("circuit", WEIR, "--board"), ("circuit", GRANARY, "--board"), ("circuit", RIDGE, "--board")],
    "demand": [("demand", WEIR), ("demand", GRANARY, "--stage", "found"), ("demand", RIDGE),
               ("demand", WEIR, "--raise", "100", "--cap", "60"), ("demand", GRANARY, "--raise", "80", "--raise", "100"),
               ("demand", RIDGE, "--cap", "40", "--held", "4")],
    "foreseen": [("demand", home, "--simulate", "--slow", "--winters", "1", "--scenario", DAY, *more) for home, more in
                 ((WEIR, ()), (WEIR, ("--stage", "found")))],
    "heat": [("heat", WEIR), ("heat", GRANARY, "--stage", "found"), ("heat", RIDGE, "bath")],
    "readings": [("readings", WEIR, "--stage", "found"), ("readings", GRANARY, "ring", "--stage", "found"), ("readings", RIDGE)],
    "live": [("live", WEIR, "--stage", "found", "--lift", "lights-first.N"), ("live", RIDGE, "--open", "cutout.fuse")],
    "isolate": [("isolate", GRANARY, "isolator.surge"), ("isolate", GRANARY, "isolator.surge", "--with", WRONG_END),
                ("isolate", RIDGE, "board.bar.L"), ("isolate", WEIR, "met", "--as", "ordinary")],
    "changes": [("changes", WEIR), ("changes", GRANARY, "--to", "proposed"), ("changes", RIDGE, "--from", "proposed")],
    "explain": [("explain",), ("explain", "CI1")],
    "faults": [("check", "nowhere"), ("explain", "XX1"), ("isolate", WEIR, "cookr")],
    "schema": [("schema",)],
    "doctor": [("doctor",)],
}


@cache
def validator(verb: str) -> Draft202012Validator:
    return Draft202012Validator(output_schema(verb))


def wrong(verb: str, said: Any) -> list[str]:
    return [problem.message for problem in validator(verb).iter_errors(said)]


@pytest.mark.parametrize("verb", OUTPUTS)
def test_each_schema_is_one(verb: str) -> None:
    Draft202012Validator.check_schema(output_schema(verb))


@pytest.mark.parametrize("verb", OUTPUT)
def test_real_documents_are_as_published(verb: str) -> None:
    for words in OUTPUT[verb]:
        assert wrong(verb, document(*words)[1]) == [], words


def test_a_new_job_is_as_published(tmp_path: Path) -> None:
    said = document("new", tmp_path / "job", "--called", "x", "--nation", "England", "--earthing", "TT", "--fuse", "60",
                    "--on", "2026-11-25")[1]
    assert wrong("new", said) == []
    assert sorted(OUTPUTS) == sorted({*OUTPUT, "new"})


@pytest.mark.parametrize("verb", OUTPUT)
def test_a_document_with_a_member_missing_or_added_is_noticed(verb: str) -> None:
    """Take any member away at the top, or add one: the schema objects."""
    said = document(*OUTPUT[verb][0])[1]
    for member in said:
        shorter = {k: v for k, v in said.items() if k != member}
        assert not validator(verb).is_valid(shorter), member
    assert not validator(verb).is_valid({**said, "more": 1})


def test_a_finding_without_its_clause_or_with_another_verdict_is_noticed() -> None:
    """The members that the house promises of each finding are demanded of each."""
    said = document("check", WEIR, "--stage", "found")[1]
    for member in ("rule", "verdict", "subject", "says", "clause", "where"):
        spoiled = copy.deepcopy(said)
        del spoiled["findings"][0][member]
        assert not validator("check").is_valid(spoiled), member
    spoiled = copy.deepcopy(said)
    spoiled["findings"][0]["verdict"] = "pass"
    assert not validator("check").is_valid(spoiled)
