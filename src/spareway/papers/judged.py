"""What was found wrong, not known, or within the limit checked; which readings would settle what is not known."""
from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any

from spareway.fact import Fact, apart, glossary
from spareway.job.job import Installation
from spareway.papers.words import Pieces, counted, ground, joined, label, listed, plain
from spareway.rules.base import VERDICTS, Finding
from spareway.show import show

__all__ = ["Judged", "by_rule", "settling", "within"]

Judged = tuple[Finding, Mapping[str, Any]]         # a finding, and the same in the document of a check
Rules = Mapping[str, Mapping[str, Any]]
FEW = 3


def by_rule(judged: Sequence[Judged], verdict: str, rules: Rules, inst: Installation) -> list[dict[str, Any]]:
    """The findings of one verdict, those of one rule together; unknown ones first that would be worst."""
    these = sorted((j for j in judged if j[0].verdict == verdict), key=lambda j: _breach(j[0], rules))
    return [_group(list(own), rules.get(code, {}), inst) for code, own in groupby(these, key=lambda j: j[0].rule)]


def _breach(finding: Finding, rules: Rules) -> tuple[int, int, str]:
    """Fire and shock at the intake before the rest: by what a breach would be, then by the rule's own code."""
    breach = rules.get(finding.rule, {}).get("breach", "unknown")
    return (VERDICTS.index(breach), 0, finding.rule)


def _group(own: Sequence[Judged], rule: Mapping[str, Any], inst: Installation) -> dict[str, Any]:
    first, fault = own[0][0], rule.get("says", "")
    common = _common([_rest(f, fault) for f, _ in own])
    rows: dict[str, dict[str, Any]] = {}
    for finding, said in own:
        row = _row(finding, said, fault, common, inst)
        same = rows.setdefault(str([row["says"], row["turns"], row["decided"]]), {**row, "what": [], "where": []})
        same["what"].append(row["what"])
        same["where"].append(row["where"])
    return {"verdict": first.verdict, "code": first.rule, "title": _title(first, fault), "clause": first.clause or "no clause",
            "authority": first.authority,
            "places": _places([label(inst, f.subject) for f, _ in own]), "rows": [_merged(r) for r in rows.values()],
            "common": ". ".join(common), "rests": _rests(own, inst), "todo": first.remedial if first.verdict != "unknown" else "",
            "why": rule.get("why", ""), "would": rule.get("breach", "") if first.verdict == "unknown" else ""}


def _places(names: Sequence[str]) -> str:
    return "; ".join(names) if len(names) <= FEW else f"{counted(len(names), 'place')}"


def _merged(row: Mapping[str, Any]) -> dict[str, Any]:
    """A row of what several subjects have in common: few are named before it, many stand in it."""
    what, where = row["what"], row["where"]
    if len(what) < FEW:
        return {**row, "what": "; ".join(what), "where": "; ".join(where), "also": ""}
    addresses = [each.partition(" [")[0] for each in where]
    return {**row, "what": counted(len(what), "place"), "where": ", ".join(addresses), "also": "; ".join(what)}


def _title(finding: Finding, fault: str) -> str:
    low = fault[:1].lower() + fault[1:] if fault[1:2].islower() or fault[1:2] == " " else fault
    if finding.verdict == "unknown":
        return f"Cannot tell whether {low}" if low else finding.says
    return fault or finding.says


def _rest(finding: Finding, fault: str) -> str:
    """What a finding says beyond its rule's sentence."""
    return finding.says.removeprefix(fault).strip() if fault else ""


def _common(said: Sequence[str]) -> list[str]:
    """The sentences that every one of several findings says: they stand once."""
    first = [] if len(said) < FEW else said[0].split(". ")
    return [s for s in first if s and all(s in each.split(". ") for each in said)]


def _row(finding: Finding, said: Mapping[str, Any], fault: str, common: Sequence[str],
         inst: Installation) -> dict[str, Any]:
    own = ". ".join(s for s in _rest(finding, fault).split(". ") if s not in common)
    gaps = said.get("missing", ())
    if finding.verdict == "unknown" and gaps and own.startswith("Not known:"):
        own = f"Missing: {joined(dict.fromkeys(g['says'] for g in gaps))}"
    return {"what": label(inst, finding.subject), "where": f"{finding.subject} [{finding.where}]",
            "says": _grounded(finding, own),
            "turns": [_turn(t, inst) for t in said.get("flips_at", ())], "decided": finding.decision}


def _compares(finding: Finding) -> bool:
    """Whether it sets a known number against a known limit."""
    return bool(finding.relation) and all(f.known for f in finding.facts[:2])


def _grounded(finding: Finding, text: str) -> Pieces:
    """The two numbers of a comparison on their grounds, wherever the sentence says them."""
    if not _compares(finding):
        return plain(text) if text else []
    value, limit = finding.facts[:2]
    left, right = apart(value.value, limit.value)
    out: Pieces = []
    for fact, number in ((value, left), (limit, right)):
        unit = glossary(fact.name).unit
        shown = f"{number} {unit}".strip()
        before, found, after = text.partition(f" {shown}")
        if not found or after[:1].isdigit():
            return [*out, {"t": text}]
        out += [{"t": f"{before} "}, {"t": shown, "g": ground(fact)}]
        text = after
    return [*out, {"t": text}] if text else out


def _turn(turn: Mapping[str, Any], inst: Installation) -> str:
    says, unit = glossary(turn["quantity"]).says, turn["unit"]
    return f"turns where the {says} is {show(turn['turns_at'])} {unit} ({label(inst, turn['at'])}; now {show(turn['is'])} {unit})"


def _rests(own: Sequence[Judged], inst: Installation) -> list[str]:
    """What the findings of a rule rest on that nobody confirmed, each once, with where the verdict turns."""
    out: dict[str, dict[str, None]] = {}
    for finding, said in own:
        for each in said.get("rests_on", ()):
            table = each["at"] if not each["at"].startswith(("circuits.", "runs.", "equipment.", "supplies.")) else ""
            why = ", ".join(filter(None, (table, each["note"])))
            turns = out.setdefault(f"{each['says']} {each['is']}, {each['how']}{f' ({why})' if why else ''}", {})
            if each["turns_at"] is not None:
                turns[f"at {show(each['turns_at'])} for {label(inst, finding.subject)}"] = None
    return [f"{rest}{f', turns {joined(turns)}' if turns else ''}" for rest, turns in out.items()]


# ---- within ---------------------------------------------------------------------------------------------------------
def within(judged: Sequence[Judged], rules: Rules, inst: Installation) -> list[dict[str, Any]]:
    """What stays within the limit checked, a line a rule; which of it rests on what nobody confirmed is marked."""
    these = sorted((j for j in judged if j[0].verdict == "within"), key=lambda j: j[0].rule)
    out = []
    for code, own in groupby(these, key=lambda j: j[0].rule):
        group = list(own)
        loose = [label(inst, f.subject) for f, said in group if said.get("within")]
        out.append({"code": code, "title": rules.get(code, {}).get("says", code), "clause": group[0][0].clause or "no clause",
                    "rows": listed([_short(f, inst) for f, _ in group]),
                    "loose": f"limit or value not confirmed: {'all of these' if len(loose) == len(group) else '; '.join(loose)}"
                    if loose else ""})
    return out


def _short(finding: Finding, inst: Installation) -> Pieces:
    who = label(inst, finding.subject)
    if not _compares(finding):
        return plain(who)
    value, limit = finding.facts[:2]
    left, right = apart(value.value, limit.value)
    units = [f" {u}" if (u := glossary(f.name).unit) else "" for f in (value, limit)]
    word = "at least" if finding.relation == "at least" else "limit"
    return [{"t": f"{who}: "}, {"t": f"{left}{units[0]}", "g": ground(value)}, {"t": f", {word} "},
            {"t": f"{right}{units[1]}", "g": ground(limit)}]


# ---- what would settle the unknowns ---------------------------------------------------------------------------------
def settling(judged: Sequence[Judged], inst: Installation) -> list[dict[str, str]]:
    """Each thing that is missing, with its places and why; first what settles most findings by one reading."""
    waiting: dict[tuple[str, str], dict[str, set[tuple[str, str]]]] = {}
    for finding in (f for f, _ in judged if f.verdict == "unknown"):
        for gap in finding.missing():
            place = gap.at.removesuffix(f".{gap.name}") or finding.subject
            why = gap.note if gap.note != "not recorded" else ""
            waiting.setdefault((gap.name, why), {}).setdefault(place, set()).add((finding.rule, finding.subject))
    ordered = sorted(waiting.items(), key=lambda item: -max(len(found) for found in item[1].values()))
    return [_settles(name, why, places, inst) for (name, why), places in ordered]


def _settles(name: str, why: str, places: Mapping[str, set[tuple[str, str]]], inst: Installation) -> dict[str, str]:
    waits = len(set().union(*places.values()))
    rules = dict.fromkeys(sorted(code for found in places.values() for code, _ in found))
    return {"what": glossary(name).says, "where": "; ".join(label(inst, p) for p in places), "why": why,
            "waits": f"{counted(waits, 'finding waits', 'findings wait')}: {', '.join(rules)}"}


def sources(findings: Sequence[Finding]) -> Iterator[tuple[str, Fact[Any], str]]:
    """(trust, row of a table, code of the rule) of every published number that a finding stands on."""
    for finding in findings:
        for fact in finding.facts:
            for root in fact.roots():
                if root.how == "table" and root.known and root.formula is not None:     # one without was settled, not looked up
                    yield root.trust or "confirmed", root, finding.rule
