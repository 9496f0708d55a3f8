"""Findings as people read them: counted in words, worst first, those of one rule together, and what would settle the unknown.

Made from the document of a check, so that command line, papers and phone group and count in one way.
"""
from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from spareway.doc import trail
from spareway.job.fields import by_key
from spareway.job.types import Parts
from spareway.rules import all_rules
from spareway.rules.base import TESTS, VERDICTS, Rule
from spareway.rules.eyes import CODED_NAME, item_of
from spareway.show import show

__all__ = ["BAD", "CODED", "WORDS", "Group", "Member", "Need", "Tally", "alike", "by_how_much", "by_rule", "code_of", "counted", "needs",
           "standing_words", "tally"]

Doc = Mapping[str, Any]                            # a finding, as the document of a check has it
BAD = VERDICTS[:4]
WORDS = {"stop": "Stop", "fails": "Fails", "unknown": "Unknown", "advice": "Advice",
         "within": "Within the limit checked", "not applicable": "Not applicable"}
_COUNTED = {"stop": ("must be made safe now", "must be made safe now"), "fails": ("fails", "fail"),
            "unknown": ("is not known", "are not known"), "advice": ("is advice", "are advice"),
            "within": ("is within the limit checked", "are within the limits checked"),
            "not applicable": ("does not apply", "do not apply")}
_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
CODED, CODED_TITLE = "OB", "Seen and coded by a person."             # rows of observations.csv stand together, each with its name
_SAID_BY_ALL = 3                                   # so many findings of a rule say a thing in common once


@dataclass(frozen=True, slots=True)
class Tally:
    """How many findings of one verdict there are: `says` is `two must be made safe now`."""
    verdict: str
    n: int
    says: str


@dataclass(frozen=True, slots=True)
class Member:
    """One finding of a group: its number in the document, what it says beyond its group, what it misses."""
    index: int
    finding: Doc
    says: str


@dataclass(frozen=True, slots=True)
class Group:
    """The findings of one rule with one verdict. `title` is the rule's sentence as it applies; `common` what all of them add.

    would: what it would be called if it were so, of an unknown one; todo and why: the rule's own, empty where there is no rule."""
    verdict: str
    rule: str
    title: str
    clause: str
    authority: str
    would: str
    todo: str
    why: str
    common: tuple[str, ...]
    members: tuple[Member, ...]

    @property
    def word(self) -> str:
        return WORDS[self.verdict]


@dataclass(frozen=True, slots=True)
class Need:
    """A thing that is missing, why, and where: place -> the (rule, subject) that wait for it.

    field: what it is called in the files, where its place has such a field; else nothing."""
    quantity: str
    field: str
    says: str
    why: str
    places: Mapping[str, frozenset[tuple[str, str]]]

    @property
    def waiting(self) -> frozenset[tuple[str, str]]:
        """Every (rule, subject) that waits for it, at whatever place."""
        return frozenset(pair for pairs in self.places.values() for pair in pairs)


# ---- counts ---------------------------------------------------------------------------------------------------------
def counted(number: int, one: str, many: str = "") -> str:
    """`three unknowns`: in words up to twelve."""
    said = _NUMBERS[number] if 0 <= number < len(_NUMBERS) else str(number)
    return f"{said} {one if number == 1 else many or f'{one}s'}"


def standing_words(n: int) -> str:
    """Above what failed as found: that it stands, though the stage that is looked at has no fail of it."""
    them, stand = ("it", "it stands") if n == 1 else ("them", "they stand")
    return f"As found {counted(n, 'fails', 'fail')}, and nothing since shows {them} cured: {stand} until read or looked at again"


def tally(counts: Mapping[str, int]) -> list[Tally]:
    """Each verdict that there is a finding of, worst first, in words."""
    return [Tally(verdict, n, counted(n, *_COUNTED[verdict])) for verdict in VERDICTS if (n := counts.get(verdict, 0))]


# ---- groups ---------------------------------------------------------------------------------------------------------
def by_rule(findings: Sequence[Doc], verdicts: Sequence[str] = BAD) -> list[Group]:
    """The findings of these verdicts, those of one rule together, worst first; unknown ones first that would be worst.

    findings: all of a document's, in its order, so that a member's index is its number there."""
    rules = {rule.code: rule for rule in all_rules()}
    held: dict[tuple[str, str], list[tuple[int, Doc]]] = {}
    for index, finding in enumerate(findings):
        if finding["verdict"] in verdicts:
            held.setdefault((finding["verdict"], code_of(finding)), []).append((index, finding))
    ordered = sorted(held, key=lambda key: (VERDICTS.index(key[0]), _breach(key[0], key[1], rules), key[1]))
    return [_group(key[0], held[key], rules.get(key[1])) for key in ordered]


def code_of(finding: Doc) -> str:
    """The code that its group goes by: its rule, or `OB` for what a person saw and coded."""
    return CODED if finding["name"] == CODED_NAME else str(finding["rule"])


def _breach(verdict: str, code: str, rules: Mapping[str, Rule]) -> int:
    return VERDICTS.index(_would(code, rules.get(code)) or verdict) if verdict == "unknown" else 0


def _would(code: str, rule: Rule | None) -> str:
    """What a rule or an item calls a "no"."""
    item = None if rule else item_of(code)
    return rule.breach if rule else item.breach if item else ""


def _group(verdict: str, own: Sequence[tuple[int, Doc]], rule: Rule | None) -> Group:
    first = own[0][1]
    coded = code_of(first) == CODED
    fault = "" if coded else _fault(first, rule) or (first["says"] if len(own) == 1 else "")
    rests = [f"{f['rule']}: {f['says'].removeprefix('Seen: ')}" if coded else _beyond(f["says"], fault) for _, f in own]
    common = () if coded else _common(rests)
    members = tuple(Member(index, finding, ". ".join(s for s in rest.split(". ") if s not in common))
                    for (index, finding), rest in zip(own, rests, strict=True))
    met = verdict == "unknown" and any(f["says"].startswith(fault) for _, f in own)      # what the rule asks is so, and leaves something open
    title = CODED_TITLE if coded else _applied(verdict, fault, rule is not None and not met) or first["name"].replace("_", " ").capitalize()
    would = _would(first["rule"], rule) if verdict == "unknown" else ""
    return Group(verdict, code_of(first), title, first["clause"], first["authority"], would, first.get("remedial", ""),
                 rule.headings["Why"] if rule else "", common, members)


def _fault(finding: Doc, rule: Rule | None) -> str:
    """The sentence that every finding of its rule or item begins with, where it is one that fails."""
    if rule:
        return rule.says
    item = item_of(finding["rule"])
    return f"Not so: {item.says}." if item and finding["says"].startswith("Not so: ") else ""


def _beyond(says: str, fault: str) -> str:
    """What a finding says beyond its rule's sentence."""
    return says.removeprefix(fault).strip() if fault else says


def _applied(verdict: str, fault: str, asked: bool) -> str:
    """A sentence as it applies: so, asked and not so, or nobody can tell."""
    low = fault[:1].lower() + fault[1:] if fault[1:2].islower() or fault[1:2] == " " else fault
    if not fault or not asked:
        return fault
    return f"Cannot tell whether {low}" if verdict == "unknown" else fault if verdict in BAD else f"Asked whether {low}"


def _common(said: Sequence[str]) -> tuple[str, ...]:
    """The sentences that every one of several findings says: they stand once."""
    first = said[0].split(". ") if len(said) >= _SAID_BY_ALL else ()
    return tuple(s for s in first if s and all(s in each.split(". ") for each in said))


def alike(group: Group) -> list[tuple[str, tuple[Member, ...]]]:
    """The members of a group by what they say: those that say the same, or miss the same, are told together."""
    same: dict[tuple[str, str], list[Member]] = {}
    for member in group.members:
        same.setdefault((_lacks(group, member), str(member.finding.get("decision", ""))), []).append(member)
    return [(says, tuple(members)) for (says, _), members in same.items()]


def _lacks(group: Group, member: Member) -> str:
    missing = member.finding.get("missing", ())
    if group.verdict == "unknown" and missing and member.says.startswith("Not known:"):
        return f"Missing: {', '.join(dict.fromkeys(gap['says'] for gap in missing))}"
    return member.says


def by_how_much(finding: Doc) -> tuple[str, str]:
    """(`over by`, `short by`, `to spare` or `on the limit`; how much with its unit). Both empty where nothing was compared."""
    value, limit, relation = (finding.get(key) for key in ("value", "limit", "relation"))
    if value is None or limit is None or relation not in TESTS:
        return "", ""
    if value == limit:
        return "on the limit", f"0 {finding['unit']}".strip()
    gap = show(abs(value - limit))                         # as the rule's own sentence says it
    gap = gap.rstrip("0").rstrip(".") if "." in gap else gap
    word = "to spare" if TESTS[relation](value, limit) else "short by" if relation == "at least" else "over by"
    return word, f"{gap} {finding['unit']}".strip()


# ---- what would settle the unknown ----------------------------------------------------------------------------------
def needs(findings: Sequence[Doc]) -> list[Need]:
    """Each thing that is missing with its places; first what settles most findings by one reading."""
    waiting: dict[tuple[str, str, str, str], dict[str, set[tuple[str, str]]]] = {}
    for finding, gap in _gaps(findings):
        place = (gap["at"] or finding["subject"]).removesuffix(f".{gap['quantity']}")
        why = gap["why"] if gap["why"] != "not recorded" else ""
        field = gap["quantity"] if _has_field(place, gap["quantity"]) else ""
        places = waiting.setdefault((gap["quantity"], field, gap["says"], why), {})
        places.setdefault(place, set()).add((finding["rule"], finding["subject"]))
    found = [Need(*key, {place: frozenset(pairs) for place, pairs in places.items()}) for key, places in waiting.items()]
    return sorted(found, key=lambda need: -max(len(pairs) for pairs in need.places.values()))


def _has_field(place: str, name: str) -> bool:
    """Whether something may be written under this name at a place of the record."""
    of: Any = Parts
    steps = iter(trail(place))
    for step in steps:
        spec = by_key(of).get(step)
        if spec is None or spec.of is None or spec.holds == "tables" and next(steps, None) is None:
            return False
        of = spec.of
    return name in by_key(of)


def _gaps(findings: Sequence[Doc]) -> Iterator[tuple[Doc, Doc]]:
    for finding in findings:
        for gap in finding.get("missing", ()) if finding["verdict"] == "unknown" else ():
            yield finding, gap
