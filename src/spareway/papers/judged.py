"""What was found wrong, not known, or within the limit checked; which readings would settle what is not known."""
from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from spareway.fact import Fact, apart, glossary
from spareway.job.job import Installation
from spareway.papers.words import Pieces, ground, joined, label, listed, plain, together
from spareway.rules.base import Finding
from spareway.rules.grouped import Group, Member, alike, by_rule, counted, needs
from spareway.show import show

__all__ = ["groups", "settling", "sources", "within"]

Docs = Sequence[Mapping[str, Any]]                 # the same findings, as in the document of a check
FEW = 3
RELATIONS = {"at most": "limit", "at least": "at least", "below": "below"}


def groups(findings: Sequence[Finding], docs: Docs, verdict: str, inst: Installation) -> list[dict[str, Any]]:
    """The findings of one verdict, those of one rule together; unknown ones first that would be worst."""
    return [_group(group, findings, inst) for group in by_rule(docs, [verdict])]


def _group(group: Group, findings: Sequence[Finding], inst: Installation) -> dict[str, Any]:
    subjects = [m.finding["subject"] for m in group.members]
    return {"verdict": group.verdict, "code": group.rule, "title": group.title, "clause": group.clause or "no clause",
            "authority": group.authority, "places": together(inst, subjects), "rows": _rows(group, findings, inst),
            "common": ". ".join(group.common), "rests": _rests(group.members, inst),
            "todo": group.todo.removesuffix(".") if group.verdict != "unknown" else "", "why": group.why, "would": group.would}


def _rows(group: Group, findings: Sequence[Finding], inst: Installation) -> list[dict[str, Any]]:
    """A line for each subject; those that say the same, and turn at the same, on one line."""
    same: dict[str, dict[str, Any]] = {}
    for says, members in alike(group):
        for member in members:
            doc = member.finding
            pieces = _grounded(findings[member.index], says)
            turns = [_turn(t, inst) for t in doc.get("flips_at", ())]
            row = same.setdefault(str([pieces, turns, doc.get("decision")]), {
                "says": pieces, "turns": turns, "decided": doc.get("decision", ""), "what": [], "where": []})
            row["what"].append(doc["subject"])
            row["where"].append(f"{doc['subject']} [{doc['where']}]")
    return [_merged(row, inst) for row in same.values()]


def _merged(row: Mapping[str, Any], inst: Installation) -> dict[str, Any]:
    """A row of what several subjects have in common. `shown` is where they stand, few of them: the check attached has all."""
    where = row["where"]
    return {**row, "what": together(inst, row["what"]), "where": "; ".join(where), "shown": "; ".join(where[:FEW - 1])
            + (f" and {len(where) - FEW + 1} more" if len(where) >= FEW else "")}


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


def _rests(own: Sequence[Member], inst: Installation) -> list[str]:
    """What the findings of a rule rest on that nobody confirmed, each once, with where the verdict turns."""
    out: dict[str, dict[str, None]] = {}
    for doc in (member.finding for member in own):
        for each in doc.get("rests_on", ()):
            table = each["at"] if not each["at"].startswith(("circuits.", "runs.", "equipment.", "supplies.")) else ""
            why = ", ".join(filter(None, (table, each["note"])))
            turns = out.setdefault(f"{each['says']} {each['is']}, {each['how']}{f' ({why})' if why else ''}", {})
            if each["turns_at"] is not None:
                turns[f"at {show(each['turns_at'])} for {label(inst, doc['subject'])}"] = None
    return [f"{rest}{f', turns {joined(turns)}' if turns else ''}" for rest, turns in out.items()]


# ---- within ---------------------------------------------------------------------------------------------------------
def within(findings: Sequence[Finding], docs: Docs, inst: Installation) -> list[dict[str, Any]]:
    """What stays within the limit checked, a line a rule; which of it rests on what nobody confirmed is marked."""
    out = []
    for group in by_rule(docs, ["within"]):
        own = [findings[member.index] for member in group.members]
        loose = [m.finding["subject"] for m in group.members if m.finding.get("within")]
        told = "all of these" if len(loose) == len(own) else together(inst, loose, brief=True)
        out.append({"code": group.rule, "title": group.title, "clause": group.clause or "no clause",
                    "rows": listed(_kept(own, inst)),
                    "loose": f"limit or value not confirmed: {told}" if loose else ""})
    return out


def _kept(findings: Sequence[Finding], inst: Installation) -> list[Pieces]:
    """Who keeps a rule; where it compares, by what value and limit, those of the same on one line."""
    same: dict[str, tuple[Pieces, list[str]]] = {}
    for finding in findings:
        pieces = _numbers(finding) if _compares(finding) else []
        same.setdefault(str(pieces), (pieces, []))[1].append(finding.subject)
    return [[{"t": f"{together(inst, who, brief=True)}{': ' if pieces else ''}"}, *pieces] for pieces, who in same.values()]


def _numbers(finding: Finding) -> Pieces:
    value, limit = finding.facts[:2]
    left, right = apart(value.value, limit.value)
    units = [f" {u}" if (u := glossary(f.name).unit) else "" for f in (value, limit)]
    return [{"t": f"{left}{units[0]}", "g": ground(value)}, {"t": f", {RELATIONS[finding.relation]} "},
            {"t": f"{right}{units[1]}", "g": ground(limit)}]


# ---- what would settle the unknowns ---------------------------------------------------------------------------------
def settling(docs: Docs, inst: Installation) -> list[dict[str, str]]:
    """Each thing that is missing, with its places and why; first what settles most findings by one reading."""
    return [{"what": need.says, "where": together(inst, list(need.places)), "why": need.why,
             "waits": f"{counted(len(need.waiting), 'finding waits', 'findings wait')}: "
                      f"{', '.join(sorted({code for code, _ in need.waiting}))}"} for need in needs(docs)]


def sources(findings: Sequence[Finding]) -> Iterator[tuple[str, Fact[Any], str]]:
    """(trust, row of a table, code of the rule) of every published number that a finding stands on."""
    for finding in findings:
        for fact in finding.facts:
            for root in fact.roots():
                if root.how == "table" and root.known and root.formula is not None:     # one without was settled, not looked up
                    yield root.trust or "confirmed", root, finding.rule
