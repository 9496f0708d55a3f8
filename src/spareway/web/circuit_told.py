"""One circuit as a screen tells it: its checks and its quantities as rows, each with what opens beneath it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from spareway.design.circuit import CircuitDesign
from spareway.drawings.marks import CLASSES, mark
from spareway.drawings.strip import strip
from spareway.rules.grouped import WORDS
from spareway.show import exact, show

__all__ = ["check", "holds", "made_of", "quantity", "sorted_out", "worst"]

Said = Mapping[str, Any]
BY_HOW = {"measured": "firm", "marked": "one", "enquiry": "one", "declared": "one", "stated": "one", "assumed": "loose"}
BY_TRUST = {"confirmed": "firm", "one source": "one", "from memory": "loose", "uncertain": "loose"}


# ---- what it is made of -------------------------------------------------------------------------------------------------
def made_of(circuit: CircuitDesign) -> str:
    """Cable, then device, as far as they are recorded."""
    return f"{_cable(circuit)}; {_device(circuit)}"


def _cable(circuit: CircuitDesign) -> str:
    cable = circuit.cable
    if not cable.kind:
        return "cable not recorded"
    ring = ", ring" if circuit.is_ring else ""
    return f"{cable.kind} {_amount(cable.line_mm2)} / {_amount(cable.cpc_mm2)} mm²{ring}"


def _device(circuit: CircuitDesign) -> str:
    device = circuit.device
    if not device.kind:
        return "device not recorded"
    curve = str(device.curve.amount) if device.curve.known else ""
    residual = f", {device.residual_ma}" if device.residual_ma.known else ""
    return f"{device.kind.replace('-', ' ')} {curve}{_amount(device.rating_a)} A{residual}"


def _amount(fact: Any) -> str:
    return show(fact.amount) if fact.known else "?"


# ---- its verdict and how far it is from turning -----------------------------------------------------------------------------
def worst(findings: Sequence[Said]) -> dict[str, str]:
    """The worst of its checks as mark and word; what does not apply says nothing either way."""
    verdict = next((f["verdict"] for f in findings if f["verdict"] != "not applicable"), "unknown")
    return {"cls": CLASSES[verdict], "mark": mark(verdict), "word": WORDS[verdict]}


def holds(findings: Sequence[Said], name: str) -> str:
    """`21 m, holds to 53 m: drop above limit`: the length at which a check turns next, or turned last."""
    turns = [(f["verdict"], t["turns_at"], f["name"], t["is"]) for f in findings for t in f.get("flips_at", ())
             if t["quantity"] == "length_m" and t["at"].startswith(f"circuits.{name}.")]  # fmt: skip
    over = [(at, why, now) for verdict, at, why, now in turns if verdict in ("stop", "fails", "advice") and at < now]
    ahead = [(at, why, now) for verdict, at, why, now in turns if verdict == "within" and at > now]
    if over:
        at, why, now = min(over)
        return f"{exact(now)} m, holds at {_down(at)} m or less: {_spaced(why)}"
    if ahead:
        at, why, now = min(ahead)
        return f"{exact(now)} m, holds to {_down(at)} m: {_spaced(why)}"
    return ""


def _down(length_m: float) -> str:
    """A length at which something turns, never rounded up past it."""
    return exact(math.floor(length_m * 10) / 10)


def _spaced(name: str) -> str:
    return name.replace("_", " ")


def sorted_out(findings: Sequence[Said]) -> tuple[list[Said], list[Said], list[Said]]:
    """What is not within, worst first; what is within by its numbers; what is within by what was recorded alone."""
    within = [f for f in findings if f["verdict"] == "within"]
    bad = [f for f in findings if f["verdict"] not in ("within", "not applicable")]
    return bad, [f for f in within if _by_number(f)], [f for f in within if not _by_number(f)]


def _by_number(finding: Said) -> bool:
    return finding.get("limit") is not None and finding.get("value") is not None


# ---- rows that open -----------------------------------------------------------------------------------------------------------
def check(finding: Said) -> dict[str, Any]:
    """A check as a row: mark, word and sentence; beneath it the strip, what to do, and the working."""
    verdict = finding["verdict"]
    return {
        "id": f"check-{finding['rule'].lower()}",
        "cls": CLASSES[verdict],
        "mark": mark(verdict),
        "word": "" if verdict == "within" else WORDS[verdict],
        "rule": f"{finding['rule']}: {finding['clause'] or 'no clause'} ({finding['authority']})",
        "says": finding["says"],
        "strip": _strip(finding) if _by_number(finding) and min(finding["value"], finding["limit"]) >= 0 else "",
        "do": finding.get("remedial", ""),
        **_beneath(finding),
    }


def _strip(finding: Said) -> str:
    return strip(finding["value"], finding["limit"], finding["relation"], finding["unit"], finding["verdict"])


def quantity(said: Said) -> dict[str, Any]:
    """A quantity as a row: its words, its amount on its ground; beneath it working, page, and where verdicts turn on it."""
    known = said["amount"] is not None
    return {
        "id": f"of-{said['quantity']}",
        "says": said["says"],
        "known": known,
        "amount": said["is"].removesuffix(f" {said['unit']}") if known else "",
        "unit": said["unit"],
        "ground": _ground(said),
        **_beneath(said),
    }


def _ground(said: Said) -> str:
    if said.get("rests_on"):
        return "loose"
    return BY_TRUST.get(said.get("trust", ""), BY_HOW.get(said["how"], "derived"))


def _beneath(said: Said) -> dict[str, list[Any]]:
    return {
        "working": list(said.get("working", ())),
        "turns": list(_turns(said)),
        "missing": [", ".join(filter(None, (g["says"], g["at"], g["why"]))) for g in said.get("missing", ())],
        "grounds": [(f"{g['says']} {g['is']}", g["how"]) for g in said.get("rests_on", ())],
        "sources": list(said.get("sources", ())),
    }


def _turns(said: Said) -> Iterator[str]:
    for turn in said.get("flips_at", ()):
        yield f"Turns at {show(turn['turns_at'])} {turn['unit']}: {turn['at']} is {show(turn['is'])} {turn['unit']}."
