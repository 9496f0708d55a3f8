"""SARIF 2.1.0: the members, words and pairs that the standard demands, and each finding at its file and line.

The essentials are written out here from the standard (OASIS SARIF 2.1.0, clauses 3.13, 3.14, 3.19, 3.27, 3.28, 3.49)."""
from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from jsonschema import Draft202012Validator

from spareway.api import check
from spareway.cli.verbs import spareway
from spareway.sarif import KINDS, _uri, sarif

EXAMPLES = Path(__file__).parents[1] / "examples"
TEXT = {"type": "object", "required": ["text"], "properties": {"text": {"type": "string", "minLength": 1}}}
REGION = {"type": "object", "required": ["startLine"], "properties": {"startLine": {"type": "integer", "minimum": 1}}}
PHYSICAL = {"type": "object", "required": ["artifactLocation", "region"], "additionalProperties": False, "properties": {
    "artifactLocation": {"type": "object", "required": ["uri"], "properties": {"uri": {"type": "string", "pattern": r"^[A-Za-z0-9._~/%-]+$"}}},
    "region": REGION}}
RESULT = {
    "type": "object", "required": ["ruleId", "ruleIndex", "kind", "level", "message", "locations"],
    "properties": {
        "ruleIndex": {"type": "integer", "minimum": 0}, "message": TEXT, "rank": {"type": "number", "minimum": 0, "maximum": 100},
        "kind": {"enum": ["notApplicable", "pass", "fail", "review", "open", "informational"]},
        "level": {"enum": ["none", "note", "warning", "error"]},
        "locations": {"type": "array", "minItems": 1, "items": {"type": "object", "required": ["physicalLocation"],
                                                               "properties": {"physicalLocation": PHYSICAL}}}},
    "if": {"properties": {"kind": {"not": {"const": "fail"}}}}, "then": {"properties": {"level": {"const": "none"}}}}
RULE = {"type": "object", "required": ["id"], "properties": {"id": {"type": "string"}, "shortDescription": TEXT, "help": TEXT}}
LOG = {
    "type": "object", "required": ["version", "runs"], "additionalProperties": False,
    "properties": {"$schema": {"type": "string"}, "version": {"const": "2.1.0"}, "runs": {"type": "array", "items": {
        "type": "object", "required": ["tool", "results"], "properties": {
            "tool": {"type": "object", "required": ["driver"], "properties": {"driver": {
                "type": "object", "required": ["name", "rules"], "properties": {"name": {"type": "string"},
                                                                               "rules": {"type": "array", "items": RULE}}}}},
            "results": {"type": "array", "items": RESULT}}}}}}
VALID = Draft202012Validator(LOG)


def files(name: str) -> dict[str, str]:
    return {p.name: p.read_text("utf-8") for p in (EXAMPLES / name).iterdir() if p.suffix in (".toml", ".csv")}


@pytest.mark.parametrize(("home", "stage"), [("weir-cottage", "found"), ("granary-yard", "found"), ("ridge-annexe", "proposed")])
def test_a_check_as_sarif(home: str, stage: str) -> None:
    """The essentials hold; every finding is there once, at a line its file has, under the rule it names."""
    texts = files(home)
    said = check(texts, stage)
    log = sarif(said)
    assert list(VALID.iter_errors(log)) == []
    run = log["runs"][0]
    assert len(run["results"]) == len(said["findings"])
    for result, finding in zip(run["results"], said["findings"], strict=True):
        assert run["tool"]["driver"]["rules"][result["ruleIndex"]]["id"] == result["ruleId"] == finding["rule"]
        assert result["kind"] == KINDS[finding["verdict"]]
        place = result["locations"][0]["physicalLocation"]
        assert place["region"]["startLine"] <= texts[place["artifactLocation"]["uri"]].count("\n")
        if ":" in finding["where"]:
            assert f"{place['artifactLocation']['uri']}:{place['region']['startLine']}" == finding["where"]
    assert len({rule["id"] for rule in run["tool"]["driver"]["rules"]}) == len(run["tool"]["driver"]["rules"])


def test_unknown_is_open_and_no_unknown_by_eye_is_a_result() -> None:
    """What cannot be told is `open`; within is `pass`; what nobody has looked at is counted apart."""
    said = check(files("granary-yard"), "found")
    run = sarif(said)["runs"][0]
    kinds = [result["kind"] for result in run["results"]]
    assert kinds.count("open") == said["counts"]["unknown"] > 0
    assert kinds.count("fail") == said["counts"]["fails"] + said["counts"]["stop"] > 0
    assert run["properties"]["byEyeUnknown"] == len(said["by_eye"]["unknown"]) > 50


@pytest.mark.parametrize("spoil", [
    {"kind": "open", "level": "error"}, {"kind": "unknown"}, {"message": {"text": ""}}, {"locations": []}, {"rank": 101}])
def test_the_essentials_notice_what_the_standard_forbids(spoil: dict[str, Any]) -> None:
    log = sarif(check(files("granary-yard"), "found"))
    log["runs"][0]["results"][0] |= spoil
    assert not VALID.is_valid(log)


def test_file_names_and_braces_are_written_as_the_standard_reads_them() -> None:
    """A space and an umlaut in a name as their bytes, braces in a text doubled."""
    assert _uri("a b/ü.toml") == "a%20b/%C3%BC.toml"
    said = check(files("granary-yard"), "found")
    said["findings"][0]["says"] = "write { marked = 80 }"
    assert sarif(said)["runs"][0]["results"][0]["message"]["text"] == "write {{ marked = 80 }}"


def test_the_command_prints_one_document_with_the_exit_code_of_the_check() -> None:
    """`check --sarif` is the same judgement; with --json as well it is refused as usage."""
    done = CliRunner().invoke(spareway, ["check", str(EXAMPLES / "granary-yard"), "--stage", "found", "--sarif"])
    assert done.exit_code == 1
    assert list(VALID.iter_errors(json.loads(done.stdout))) == []
    assert CliRunner().invoke(spareway, ["check", str(EXAMPLES / "granary-yard"), "--sarif", "--json"]).exit_code == 2
