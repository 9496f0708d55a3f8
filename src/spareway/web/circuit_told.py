"""One circuit as a screen tells it: its checks and its quantities as rows, each with what opens beneath it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby
from typing import Any

from spareway.drawings.marks import CLASSES, mark
from spareway.drawings.strip import strip
from spareway.rules.circuit_words import title_of, turn_words, turns_of, waiting
from spareway.rules.grouped import WORDS, counted

__all__ = ["check", "gaps", "ground_of", "marked", "quantities", "sorted_out", "tests", "wanting"]

Said = Mapping[str, Any]
BY_HOW = {"measured": "firm", "marked": "one", "enquiry": "one", "declared": "one", "stated": "one", "assumed": "loose"}
BY_TRUST = {"confirmed": "firm", "one source": "one", "from memory": "loose", "uncertain": "loose"}


def marked(verdict: str) -> dict[str, str]:
    """A verdict as mark and word."""
    return {"cls": CLASSES[verdict], "mark": mark(verdict), "word": WORDS[verdict]}


def gaps(fact: Said) -> list[str]:
    """What is missing of a figure, once each, as a person says it."""
    told = (", ".join(filter(None, (gap["says"], gap["at"], gap["why"]))) for gap in fact["missing"])
    return list(dict.fromkeys(told))


def sorted_out(findings: Sequence[Said]) -> tuple[list[Said], list[Said], list[Said]]:
    """What is known not to be within, worst first; what is within by its numbers; what is within by what was recorded alone."""
    within = [f for f in findings if f["verdict"] == "within"]
    bad = [f for f in findings if f["verdict"] not in ("within", "unknown", "not applicable")]
    return bad, [f for f in within if _by_number(f)], [f for f in within if not _by_number(f)]


def _by_number(finding: Said) -> bool:
    return finding.get("limit") is not None and finding.get("value") is not None


# ---- rows that open -----------------------------------------------------------------------------------------------------------
def check(finding: Said) -> dict[str, Any]:
    """A check as a row: mark, word and sentence; beneath it the strip, what to do, and the working."""
    verdict = finding["verdict"]
    return {
        "id": f"check-{finding['rule'].lower()}",
        **marked(verdict),
        "word": "" if verdict == "within" else WORDS[verdict],
        "rule": f"{finding['rule']}: {finding['clause'] or 'no clause'} ({finding['authority']})",
        "says": f"{finding['says']}{_assumed(finding)}",
        "strip": _strip(finding) if _by_number(finding) and min(finding["value"], finding["limit"]) >= 0 else "",
        "do": finding.get("remedial", ""),
        **_beneath(finding),
    }


def wanting(circuit: Said) -> list[dict[str, Any]]:
    """What nobody can tell, folded by what it waits for: each want is one row, which opens to the checks by what they ask."""
    return [
        {
            "id": f"waits-{number}",
            **marked("unknown"),
            "says": each.says,
            "n": counted(len(each.findings), "check"),
            "checks": [(title_of(f), f["rule"], f["remedial"]) for f in each.findings],
            "missing": list(dict.fromkeys(line for f in each.findings for line in gaps(f))),
        }
        for number, each in enumerate(waiting(circuit), 1)
    ]


def _assumed(finding: Said) -> str:
    """What a comparison rests on that somebody only assumed, in its own line."""
    of = [f"{ground['says']} {ground['is']}" for ground in finding.get("rests_on", ()) if ground["how"] == "assumed"]
    return f". Assumed: {', '.join(of)}" if of else ""


def _strip(finding: Said) -> str:
    return strip(finding["value"], finding["limit"], finding["relation"], finding["unit"], finding["verdict"])


def quantities(circuit: Said) -> list[tuple[str, list[dict[str, Any]]]]:
    """(heading, rows) in the order of a design; beneath each row its working, its page, and where verdicts turn on it."""
    return [
        (heading, [_quantity(each, circuit["findings"]) for each in under])
        for heading, under in groupby(circuit["quantities"], key=lambda q: str(q["heading"]))
    ]


def _quantity(said: Said, findings: Sequence[Said]) -> dict[str, Any]:
    known = said["amount"] is not None
    beneath = _beneath(said)
    return {
        "id": f"of-{said['quantity']}",
        "says": said["says"].replace(" °C", "\N{NO-BREAK SPACE}°C"),
        "known": known,
        "amount": said["is"].removesuffix(f" {said['unit']}") if known else "",
        "unit": said["unit"],
        "ground": ground_of(said),
        **beneath,
        "sources": [*([said["where"]] if said["how"] in ("worked", "total") else []), *beneath["sources"]],
        "turns": list(turns_of(said, findings)),
    }


def ground_of(said: Said) -> str:
    if said.get("rests_on"):
        return "loose"
    return BY_TRUST.get(said.get("trust", ""), BY_HOW.get(said["how"], "derived"))


def _beneath(said: Said) -> dict[str, list[Any]]:
    return {
        "working": list(said.get("working", ())),
        "turns": [turn_words(turn) for turn in said.get("flips_at", ())],
        "missing": [", ".join(filter(None, (g["says"], g["at"], g["why"]))) for g in said.get("missing", ())],
        "grounds": [(f"{g['says']} {g['is']}", g["how"]) for g in said.get("rests_on", ())],
        "sources": list(said.get("sources", ())),
    }


def tests(choice: Said) -> list[dict[str, Any]]:
    """The tests of the pair that was chosen, each as a row that opens to its working."""
    return [_test(each, "unknown" if each["ok"] is None else "within" if each["ok"] else "fails") for each in choice["tests"]]


def _test(said: Said, verdict: str) -> dict[str, Any]:
    return {
        "id": f"test-{said['test']}",
        **marked(verdict),
        "word": "",
        "says": said["says"],
        "strip": _strip({**said, "verdict": verdict}) if _by_number(said) else "",
        "do": "",
        "rule": "",
        "working": said["working"],
        **dict.fromkeys(("turns", "missing", "grounds", "sources"), ()),
    }
