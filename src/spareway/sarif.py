"""A check as SARIF 2.1.0 (OASIS), so that an editor marks each finding at its file and line.

The standard's own words: `open` is what cannot be told; every kind but `fail` has the level `none`. What only a person can see
stands in no result until somebody has looked and said no.
"""
from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from spareway.rules import all_rules
from spareway.rules.eyes import items

__all__ = ["sarif"]

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
KINDS = {"stop": "fail", "fails": "fail", "unknown": "open", "advice": "informational", "within": "pass",
         "not applicable": "notApplicable"}
LEVELS = {"stop": "error", "fails": "error"}
RANKS = {"stop": 100, "fails": 75}
UNRESERVED = frozenset("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-._~/")


def sarif(document: Mapping[str, Any]) -> dict[str, Any]:
    """A SARIF log with one run, from the document that `api.check` gives. No paths, no clock: the same bytes anywhere."""
    found: Sequence[Mapping[str, Any]] = document["findings"]
    rules = list(_rules(found))
    at = {rule["id"]: i for i, rule in enumerate(rules)}
    driver = {"name": "Spareway", "version": document["spareway"], "rules": rules}
    run = {"tool": {"driver": driver}, "language": "en-GB", "columnKind": "unicodeCodePoints",
           "results": [_result(each, at[each["rule"]]) for each in found],
           "properties": {"stage": document["stage"], "verdict": document["verdict"], "books": dict(document["books"]),
                          "nation": document["nation"], "caution": list(document["caution"]),
                          "byEyeUnknown": len(document["by_eye"]["unknown"])}}
    return {"$schema": SCHEMA, "version": "2.1.0", "runs": [run]}


def _rules(found: Sequence[Mapping[str, Any]]) -> Iterator[dict[str, Any]]:
    """Every rule that ran, then what was seen by eye or is about a decision."""
    met = {each["rule"]: each for each in found}
    for rule in all_rules():
        yield _rule(rule.code, rule.name, rule.says, f"{rule.headings['Why']} {rule.headings['Remedial']}",
                    {"clause": rule.clause, "authority": rule.authority, "breach": rule.breach})
    known = {rule.code for rule in all_rules()}
    looked = {item.code: item for item in items()}
    for code, each in met.items():
        if code in looked:
            item = looked[code]
            yield _rule(code, each["name"], f"By eye: {item.says}", f"Look: {item.look}",
                        {"clause": item.clause, "authority": item.authority, "breach": item.breach})
        elif code not in known:
            yield _rule(code, each["name"], each["name"].replace("_", " "), each.get("remedial", "") or each["says"],
                        {"clause": each["clause"], "authority": each["authority"]})


def _rule(code: str, name: str, says: str, helps: str, more: Mapping[str, str]) -> dict[str, Any]:
    called = "".join(word.capitalize() for word in name.split("_"))
    return {"id": code, "name": called, "shortDescription": {"text": says}, "help": {"text": helps}, "properties": dict(more)}


def _result(finding: Mapping[str, Any], index: int) -> dict[str, Any]:
    verdict = finding["verdict"]
    more = {"verdict": verdict, "clause": finding["clause"], "authority": finding["authority"]}
    more |= {key: finding[key] for key in ("within", "decision") if finding.get(key)}
    out = {"ruleId": finding["rule"], "ruleIndex": index, "kind": KINDS[verdict], "level": LEVELS.get(verdict, "none"),
           "message": {"text": _text(finding["says"])}, "locations": [_location(finding)], "properties": more}
    return out | ({"rank": RANKS[verdict]} if verdict in RANKS else {})


def _location(finding: Mapping[str, Any]) -> dict[str, Any]:
    """The line where the subject is written; the first of the file where it is about the whole of it."""
    file, _, line = finding["where"].rpartition(":")
    if not line.isdecimal():
        file, line = finding["where"], "1"
    physical = {"artifactLocation": {"uri": _uri(file or "found.toml")}, "region": {"startLine": int(line)}}
    return {"physicalLocation": physical, "logicalLocations": [{"fullyQualifiedName": finding["subject"]}]}


def _text(says: str) -> str:
    """Braces are doubled, for the standard reads a single one as a place to fill in; a text is never empty."""
    return says.replace("{", "{{").replace("}", "}}") or "Nothing more is said."


def _uri(file: str) -> str:
    """A file's name as a relative reference: what has a meaning in one is written as its bytes."""
    return "".join(c if c in UNRESERVED else "".join(f"%{byte:02X}" for byte in c.encode("utf-8")) for c in file)
