"""SARIF 2.1.0: the members, words and pairs that the standard demands, and each finding at its file and line.

Written out here from the standard and compared with its published schema by hand: OASIS SARIF 2.1.0, clauses 3.4 (artifactLocation), 3.8
(property bags), 3.11 and 3.12 (messages), 3.13 (log), 3.14 (run), 3.18 and 3.19 (tool), 3.27 (result), 3.28 to 3.30 (locations), 3.33
(logicalLocation), 3.49 (rules). Every object is closed: a member that the standard does not name is an error there and here."""
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
TEXT_HERE = {"text": {"type": "string", "minLength": 1}}
BAG: dict[str, Any] = {"type": "object", "properties": {"tags": {"type": "array", "items": {"type": "string"}, "uniqueItems": True}}}


def closed(required: str, more: str = "", **properties: Any) -> dict[str, Any]:
    """An object of the standard: what it must have, what it may have besides, and nothing else (`additionalProperties` is false there)."""
    named = {name: {} for name in (*required.split(), *more.split())}
    return {"type": "object", "required": required.split(), "additionalProperties": False, "properties": {**named, "properties": BAG, **properties}}


MESSAGE = closed("text", "markdown id arguments", **TEXT_HERE)
WORDS = closed("text", "markdown", **TEXT_HERE)                        # multiformatMessageString, 3.12.3: text is a must
REGION = closed("startLine", "startColumn endLine endColumn charOffset charLength byteOffset byteLength snippet message sourceLanguage",
                startLine={"type": "integer", "minimum": 1})
# a reference by RFC 3986: only what may stand in one, a percent sign before two digits of a byte; no leading stroke, so relative
FILE = closed("uri", "uriBaseId index description", uri={"type": "string", "pattern": r"^(?!/)([A-Za-z0-9._~/-]|%[0-9A-F]{2})+$"})
PLACE = closed("artifactLocation", "address region contextRegion", artifactLocation=FILE, region=REGION)
LOGICAL = closed("", "name index fullyQualifiedName decoratedName parentIndex kind", fullyQualifiedName={"type": "string", "minLength": 1})
LOCATION = closed("", "id message annotations relationships", physicalLocation=PLACE, logicalLocations={"type": "array", "items": LOGICAL})
RESULT = closed(
    "ruleId ruleIndex kind level message locations",
    "rule analysisTarget guid correlationGuid occurrenceCount partialFingerprints fingerprints stacks codeFlows graphs graphTraversals "
    "relatedLocations suppressions baselineState attachments hostedViewerUri workItemUris provenance fixes taxa webRequest webResponse",
    ruleId={"type": "string"}, ruleIndex={"type": "integer", "minimum": 0}, message=MESSAGE,
    rank={"type": "number", "minimum": 0, "maximum": 100}, locations={"type": "array", "minItems": 1, "maxItems": 1, "items": LOCATION},
    kind={"enum": ["notApplicable", "pass", "fail", "review", "open", "informational"]},
    level={"enum": ["none", "note", "warning", "error"]}) | {
    # 3.27.10: any other kind than `fail` has the level `none`; and here a fail is never without one
    "if": {"properties": {"kind": {"const": "fail"}}}, "then": {"properties": {"level": {"enum": ["note", "warning", "error"]}}},
    "else": {"properties": {"level": {"const": "none"}}}}
RULE = closed("id", "deprecatedIds guid deprecatedGuids name deprecatedNames fullDescription messageStrings defaultConfiguration helpUri relationships",
              id={"type": "string", "minLength": 1}, name={"type": "string", "pattern": "^[A-Z]"}, shortDescription=WORDS, help=WORDS)
DRIVER = {"type": "object", "required": ["name", "rules"], "properties": {
    "name": {"type": "string", "minLength": 1}, "version": {"type": "string", "minLength": 1}, "properties": BAG,
    "rules": {"type": "array", "uniqueItems": True, "items": RULE}}}
RUN = closed(
    "tool results", "invocations conversion versionControlProvenance originalUriBaseIds artifacts logicalLocations graphs automationDetails "
    "runAggregates baselineGuid redactionTokens defaultEncoding defaultSourceLanguage newlineSequences externalPropertyFileReferences "
    "threadFlowLocations taxonomies addresses translations policies webRequests webResponses specialLocations",
    tool=closed("driver", "extensions", driver=DRIVER), results={"type": "array", "items": RESULT},
    language={"type": "string", "pattern": "^[a-z]{2}-[A-Z]{2}$"}, columnKind={"enum": ["utf16CodeUnits", "unicodeCodePoints"]})
LOG = closed("version runs", "inlineExternalProperties", **{
    "$schema": {"type": "string", "pattern": "^https://"}, "version": {"const": "2.1.0"}, "runs": {"type": "array", "items": RUN}})
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
        assert (result["kind"] == "open") is (finding["verdict"] == "unknown"), "what cannot be told is open, and nothing else is"
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
    {"kind": "open", "level": "error"}, {"kind": "pass", "level": "note"}, {"kind": "fail", "level": "none"}, {"kind": "unknown"}, {"level": "stop"},
    {"message": {"text": ""}}, {"message": {}}, {"message": {"text": "a", "says": "b"}}, {"locations": []}, {"rank": 101}, {"verdict": "fails"},
    {"properties": {"tags": ["a", "a"]}}, {"ruleIndex": -1},
    *({"locations": [{"physicalLocation": {"artifactLocation": {"uri": uri}}}]} for uri in ("/found.toml", "a b", "a%2", "c:\\found", "")),
    *({"locations": [{"physicalLocation": {"artifactLocation": {"uri": "a"}, "region": {"startLine": line}}}]} for line in (0, -1, "1"))])
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
