"""What a rule is, what it answers, and how a Design is judged. A rule compares; it never computes."""
from __future__ import annotations

import math
import operator
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from spareway.fact import Fact, Holds, NotKnown, apart, glossary, moved, show
from spareway.rules.crash import CRASHES, RuleCrash
from spareway.tables import NoRow

if TYPE_CHECKING:
    from spareway.design.design import Design
    from spareway.job.types import Decision

VERDICTS = ("stop", "fails", "unknown", "advice", "within", "not applicable")        # worst first
AUTHORITIES = ("standard", "law", "network operator", "maker", "common practice")
HEADINGS = ("Why", "Remedial", "Fires on", "Passes on")


@dataclass(frozen=True, slots=True)
class Answer:
    """Yes (`ok`), no, or cannot tell (None); what was compared; whether the rule has anything to say here at all."""
    ok: bool | None
    says: str = ""
    facts: tuple[Fact[Any], ...] = ()
    relation: str = ""                     # "at most", "at least" or "below": facts are then (value, limit)
    applies: bool = True
    join: str = ""                         # "any" or "all" of `parts`, whose worst or best this answer is
    parts: tuple[Answer, ...] = ()

    def leaves(self) -> Iterator[Answer]:
        """The comparisons it rests on."""
        if self.parts:
            for part in self.parts:
                yield from part.leaves()
        elif self.relation:
            yield self

    def again(self, changed: Mapping[Fact[Any], Any]) -> bool | None:
        """What it would be if some facts were otherwise: {fact: other amount}."""
        if self.parts:
            said = [part.again(changed) for part in self.parts]
            decided = self.join == "any"
            return decided if decided in said else None if None in said else not decided
        if not self.relation:
            return self.ok
        value, limit = (fact.again(changed) for fact in self.facts[:2])
        return None if value is None or limit is None else bool(TESTS[self.relation](value, limit))

    def along(self, root: Fact[Any]) -> Holds | None:
        """What it would be, and by what share of its limit, for other amounts of one fact; None where it does not rest on it."""
        if not self.parts:
            return _along(self, root) if self.relation else None
        parts = [(part.along(root), part) for part in self.parts]
        if not any(asked for asked, _ in parts):
            return None
        held: list[Holds] = [asked or part._as_it_is() for asked, part in parts]
        decided, pick = (True, max) if self.join == "any" else (False, min)

        def holds(amount: float) -> tuple[bool | None, float]:
            said = [each(amount) for each in held]
            verdicts = [ok for ok, _ in said]
            margin = pick([by for ok, by in said if ok is not None], default=0.0)
            return decided if decided in verdicts else None if None in verdicts else not decided, margin
        return holds

    def _as_it_is(self) -> Holds:
        ok = self.again({})
        return lambda _: (ok, math.inf if ok else -math.inf)


def _along(leaf: Answer, root: Fact[Any]) -> Holds | None:
    value, limit = leaf.facts[:2]
    left, right = moved(value, root), moved(limit, root)
    if left is None and right is None:
        return None
    test, sign = TESTS[leaf.relation], 1.0 if leaf.relation == "at least" else -1.0
    share = sign / (abs(limit.amount or 0.0) or 1.0)

    def holds(amount: float) -> tuple[bool | None, float]:
        is_, at = left(amount) if left else value.amount, right(amount) if right else limit.amount
        return (None, 0.0) if is_ is None or at is None else (test(is_, at), (is_ - at) * share)
    return holds


TESTS: dict[str, Callable[[float, float], bool]] = {"at most": operator.le, "at least": operator.ge, "below": operator.lt}


def _compared(value: Fact[float], limit: Fact[float], relation: str) -> Answer:
    if value.amount is None or limit.amount is None:
        return cannot_tell(*(f for f in (value, limit) if f.amount is None), beside=(value, limit))
    good = bool(TESTS[relation](value.amount, limit.amount))
    left, right = apart(value.amount, limit.amount)
    unit = glossary(value.name).unit
    unit = f" {unit}" if unit else ""
    gap = show(abs(value.amount - limit.amount))
    gap = gap.rstrip("0").rstrip(".") if "." in gap else gap
    what, of = glossary(value.name).says, glossary(limit.name).says
    asked = "at least" if relation == "at least" else "limit" if relation == "at most" else "below"
    margin = f"To spare: {gap}{unit}" if good else f"{'Short' if relation == 'at least' else 'Over'} by {gap}{unit}"
    says = f"{_capital(what)} {left}{unit}; {asked} {right}{unit}{f' ({of})' if of != what else ''}. {margin}"
    return Answer(good, says, (value, limit), relation)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def at_most(value: Fact[float], limit: Fact[float]) -> Answer:
    """Yes only where the value is known not to exceed the limit."""
    return _compared(value, limit, "at most")


def at_most_with(least: Fact[float], whole: Fact[float], limit: Fact[float]) -> Answer:
    """The same of a whole of which only a part may be known: the least that it is says no where that alone is above, and never yes."""
    asked = at_most(whole, limit)
    low = at_most(least, limit) if not whole.known and least.known and limit.known else asked
    return replace(low, says=f"{low.says}, at the least. {asked.says}") if low.ok is False and asked.ok is None else asked


def at_least(value: Fact[float], limit: Fact[float]) -> Answer:
    """Yes only where the value is known to reach the limit."""
    return _compared(value, limit, "at least")


def below(value: Fact[float], limit: Fact[float]) -> Answer:
    """Yes only where the value is known to stay below the limit."""
    return _compared(value, limit, "below")


def is_one_of(fact: Fact[Any], *allowed: Any) -> Answer:
    """Yes where a recorded word is one of these."""
    if fact.amount is None:
        return cannot_tell(fact)
    return Answer(fact.amount in allowed, f"{_capital(glossary(fact.name).says)}: {fact}", (fact,))


def must_be_no(fact: Fact[bool]) -> Answer:
    """Yes where a recorded sign is not there."""
    if fact.amount is None:
        return cannot_tell(fact)
    return Answer(fact.amount is False, f"{_capital(glossary(fact.name).says)}: {fact}", (fact,))


def cannot_tell(*facts: Fact[Any], beside: Sequence[Fact[Any]] = (), says: str = "") -> Answer:
    """These facts are missing; `beside` holds all that was to be compared."""
    gaps = [gap for fact in facts for gap in fact.missing()] or list(facts)
    words = [f"{glossary(g.name).says}{f' ({g.at})' if g.at else ''}: {g.note or 'not recorded'}" for g in dict.fromkeys(gaps)]
    return Answer(None, says or f"Not known: {'; '.join(words)}", tuple(beside) or facts)


def not_looked_at(waits: Sequence[Fact[bool]]) -> Answer:
    """Nobody has looked yet at what a starting pattern wrote: it is no observation."""
    at = ", ".join(fact.at for fact in waits)
    return cannot_tell(*waits, says=f"Not known: nobody has looked yet at {at}. Look, then take `looked = false` out there")


@lru_cache(512)
def does_not_apply(why: str) -> Answer:
    return Answer(None, why, applies=False)


def all_of(answers: Sequence[Answer]) -> Answer:
    """The worst of several answers: no before cannot tell before yes."""
    rank = {False: 0, None: 1, True: 2}
    return replace(min(answers, key=lambda a: rank[a.ok]), join="all", parts=tuple(answers))


def best_of(answers: Sequence[Answer]) -> Answer:
    """The best of several ways to satisfy one rule: yes before cannot tell before no."""
    rank = {True: 0, None: 1, False: 2}
    return replace(min(answers, key=lambda a: rank[a.ok]), join="any", parts=tuple(answers))


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Rule:
    """A rule with its headings. `about` names the subjects it is asked of; `breach` what "no" is called.

    by_layout: its yes rests on what joins what, and is none while nobody has looked at that (decision 032)."""
    code: str
    name: str
    about: str
    breach: str
    clause: str
    authority: str
    since: str
    until: str
    says: str
    headings: dict[str, str]
    ask: Callable[[Any, Design], Answer]
    by_layout: bool = False


def rule(code: str, about: str, breach: str, clause: str, since: str = "", until: str = "",
         authority: str = "standard", by_layout: bool = False) -> Callable[[Callable[[Any, Design], Answer]], Rule]:
    """Declares a rule over its function; the docstring holds the fault in one sentence and the four headings."""
    def declare(ask: Callable[[Any, Design], Answer]) -> Rule:
        says, headings = _parsed(ask.__doc__ or "")
        if breach not in VERDICTS[:4] or authority not in AUTHORITIES or not says or set(headings) != set(HEADINGS):
            raise TypeError(f"{code} {ask.__name__}: a rule says its fault, {', '.join(HEADINGS)}, a breach and an authority")
        return Rule(code, ask.__name__, about, breach, clause, authority, since, until, says, headings, ask, by_layout)
    return declare


def _parsed(doc: str) -> tuple[str, dict[str, str]]:
    """The first sentence, and each heading's text; lines of an example keep their breaks."""
    first: list[str] = []
    headings: dict[str, list[str]] = {}
    into = first
    for line in doc.strip().splitlines():
        word, colon, rest = line.strip().partition(":")
        if colon and word in HEADINGS:
            into = headings.setdefault(word, [])
            line = rest
        if line.strip():
            into.append(line.strip())
    joined = {word: ("\n" if " on" in word else " ").join(lines) for word, lines in headings.items()}
    return " ".join(first), joined


@dataclass(frozen=True, slots=True)
class Finding:
    """What a rule found on one subject. `facts` carry the working; `decision` names a person's decision about it."""
    rule: str
    name: str
    verdict: str
    subject: str
    where: str
    says: str
    clause: str
    authority: str
    facts: tuple[Fact[Any], ...] = ()
    relation: str = ""
    remedial: str = ""
    decision: str = ""
    answer: Answer | None = None

    def rests_on(self) -> list[Fact[Any]]:
        """The assumptions and the table rows nobody confirmed."""
        return list(dict.fromkeys(each for fact in self.facts for each in fact.doubtful()))

    def missing(self) -> list[Fact[Any]]:
        return list(dict.fromkeys(each for fact in self.facts for each in fact.missing()))


def judge(design: Design, rules: Sequence[Rule], seen: Sequence[Finding] = (), only: str = "") -> list[Finding]:
    """Every rule of the edition asked of each of its subjects, and what was seen by eye; worst first, then by subject.

    only: the address of the one subject that is asked about, and no decision about another is then judged."""
    books = design.books
    asked: dict[str, list[tuple[str, str, Any]]] = {}       # address, file and line, subject: the same for every rule
    findings = []
    for each in rules:
        if books.within(each.since, each.until):
            if each.about not in asked:
                asked[each.about] = [(address, design.where(address), subject) for address, subject in design.subjects(each.about)
                                      if only in ("", address)]
            findings += [_find(each, address, where, subject, design) for address, where, subject in asked[each.about]]
    findings = [f for f in _decided(design, [*findings, *seen]) if only in ("", f.subject)]
    return sorted(findings, key=lambda f: (VERDICTS.index(f.verdict), f.rule, f.subject))


def _find(of: Rule, address: str, where: str, subject: Any, design: Design) -> Finding:
    try:
        answer = of.ask(subject, design)
        if of.by_layout and answer.ok and (waits := design.not_looked_at(address)):
            answer = not_looked_at(waits)
    except NotKnown as gap:
        answer = cannot_tell(gap.fact)
    except NoRow as outside:
        answer = Answer(None, f"Not known: {outside}")
    except CRASHES as crash:
        raise RuleCrash(of.code, address, crash) from crash
    verdict = "not applicable" if not answer.applies else \
        {True: "within", None: "unknown"}.get(answer.ok, of.breach)
    says = f"{of.says} {answer.says}".strip() if answer.ok is False else answer.says
    return Finding(of.code, of.name, verdict, address, where, says, of.clause, of.authority, answer.facts,
                   answer.relation, of.headings["Remedial"] if verdict in VERDICTS[:4] else "", answer=answer)


SETTLES = {"accepted": ("fails", "advice"), "declined": ("fails", "advice"), "departed": ("fails", "advice"),
           "limit agreed": ("unknown",)}                   # what a decision of each kind can be about; a stop none


def _decided(design: Design, findings: list[Finding]) -> list[Finding]:
    """Findings with the decision a person took, their verdict as it was; a decision that does not hold is itself a finding."""
    out = list(findings)
    for name, decision in design.inst.about.decisions.items():
        met = [i for i, f in enumerate(out) if f"{f.rule} {f.subject}" == decision.about and f.verdict in VERDICTS[:4]]
        wrong = _not_held(decision, [out[i].verdict for i in met])
        if wrong:
            out.append(_stale(name, decision.about, *wrong))
            continue
        for i in met:
            said = f"{out[i].decision}; " if out[i].decision else ""
            out[i] = replace(out[i], decision=f"{said}{decision.choice} by {decision.who} on {decision.on}: {decision.why}")
    return out


def _not_held(decision: Decision, verdicts: Sequence[str]) -> tuple[str, str] | None:
    """Why a decision does not hold, and what that is called; None where it does."""
    blank = [word for word, said in (("who", decision.who), ("on", decision.on), ("why", decision.why)) if not str(said or "").strip()]
    if blank:
        return f"it does not say {' and '.join(blank)}", "unknown"
    if not verdicts:
        return "nothing is found there now, so the decision is about nothing", "advice"
    if "stop" in verdicts:
        return "a stop cannot be decided away", "fails"
    if not set(verdicts) <= set(SETTLES.get(decision.choice, ())):
        return (f"{decision.choice} is no answer to what is not known: settle it, or agree a limit of the inspection"
                if "unknown" in verdicts else "a limit of the inspection is about what was not seen, and this was"), "unknown"
    return None


def _stale(name: str, about: str, why: str, verdict: str) -> Finding:
    return Finding("DE1", "decision_does_not_hold", verdict, f"decisions.{name}", "job.toml",
                   f"The decision about {about} does not hold: {why}.", "132.16; 120.3", "common practice",
                   remedial="take the decision out of job.toml, or say anew what it is about")


def subjects_of(named: dict[str, Any], table: str) -> Iterator[tuple[str, Any]]:
    """(address, subject) of every named thing of a table."""
    for name, each in named.items():
        yield f"{table}.{name}", each
