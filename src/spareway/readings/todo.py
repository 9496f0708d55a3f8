"""What to find out next, over the whole job: the acts that decide the most findings a minute, in order.

An act is one visit to one place, one sheet of one maker, one question to one person: it may bring several facts. A finding is
decided when every act it wants is done. What is unknown counts as: findings whose verdict is `unknown` and of which no person
agreed that they stay so.
"""
from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations
from typing import TYPE_CHECKING, Any, Protocol

from spareway.bundled import text
from spareway.fact import Fact, glossary
from spareway.plain_toml import loads

if TYPE_CHECKING:
    from spareway.design.design import Design

__all__ = ["Act", "Todo", "acts_of", "document", "order", "todo", "turns"]

TRIED = (1e-6, 1e9)                             # a gap filled with the least and the most: where both decide, it alone is enough
PLACES = {"circuits": "each circuit", "main": "the supply", "met": "the main earthing terminal"}  # as an act says them


class Unknown(Protocol):
    """What is asked of a finding; the rules stand in a later room."""
    @property
    def rule(self) -> str: ...
    @property
    def verdict(self) -> str: ...
    @property
    def subject(self) -> str: ...
    @property
    def decision(self) -> str: ...
    @property
    def answer(self) -> Any: ...
    def missing(self) -> list[Fact[Any]]: ...


@dataclass(frozen=True, slots=True)
class Act:
    """One thing to do: how, where, `what` it brings in words; no_place: the record has no field for the answer."""
    how: str
    place: str
    what: tuple[str, ...]
    no_place: bool = False

    @property
    def name(self) -> tuple[str, str]:
        return self.how, self.place

    @property
    def minutes(self) -> float:
        said = _data()["how"][self.how]
        return float(said["first"] + said["each"] * len(self.what))

    @property
    def says(self) -> str:
        return str(_data()["how"][self.how]["says"]).format(place=PLACES.get(self.place, self.place), what="; ".join(self.what))


@dataclass(frozen=True, slots=True)
class Todo:
    """An act in its turn: the findings (rule and subject) it decides with those before it, and the share then gone."""
    act: Act
    frees: tuple[str, ...]
    share: float


Name = tuple[str, str]


@cache
def _data() -> dict[str, Any]:
    return loads(text("readings/todo.toml"))


def todo(design: Design, findings: Iterable[Unknown]) -> tuple[Todo, ...]:
    """Everything to find out, the most findings decided a minute first."""
    needs, acts = acts_of(design, findings)
    done: set[Name] = set()
    out: list[Todo] = []
    gone = 0
    for name in order(needs, {name: act.minutes for name, act in acts.items()}):
        before = {f for f, need in needs.items() if need <= done}
        done.add(name)
        frees = tuple(sorted(f for f, need in needs.items() if need <= done and f not in before))
        gone += len(frees)
        out.append(Todo(acts[name], frees, gone / len(needs)))
    return tuple(out)


def acts_of(design: Design, findings: Iterable[Unknown]) -> tuple[dict[str, frozenset[Name]], dict[Name, Act]]:
    """For each unknown finding the acts it wants, and every act with all that it is to bring."""
    needs: dict[str, frozenset[Name]] = {}
    brings: dict[Name, dict[str, None]] = {}
    homeless: dict[Name, bool] = {}
    for each in findings:
        if each.verdict == "unknown" and not each.decision:
            wanted = [_by_fact(gap, design) for gap in (*_enough(each), *_besides(each, design))] if each.missing() else \
                [_by_rule(each, design), *(_by_fact(gap, design) for gap in _besides(each, design))]
            needs[f"{each.rule} {each.subject}"] = frozenset(act.name for act in wanted)
            for act in wanted:
                brings.setdefault(act.name, {}).update(dict.fromkeys(act.what))
                homeless[act.name] = homeless.get(act.name, True) and act.no_place
    return needs, {name: Act(*name, tuple(what), homeless[name]) for name, what in brings.items()}


def _enough(finding: Unknown) -> list[Fact[Any]]:
    """The gaps that must be filled: one alone, where the answer is decided whatever it turns out to be; else all."""
    gaps = list(finding.missing())
    if len(gaps) > 1 and finding.answer is not None:
        for gap in gaps:
            if all(finding.answer.again({gap: amount}) is not None for amount in TRIED):
                return [gap]
    return gaps


def _besides(finding: Unknown, design: Design) -> list[Fact[Any]]:
    """What its rule will ask for once the gaps it names are filled, and is not known either."""
    name = _data()["rule"].get(finding.rule, {}).get("with", "")
    circuit = design.circuits.get(finding.subject.removeprefix("circuits."))
    if not name or circuit is None:
        return []
    return [gap for gap in getattr(circuit, name).missing() if gap not in finding.missing()]


def _by_fact(gap: Fact[Any], design: Design) -> Act:
    """How one missing fact is found out, and where one stands for that."""
    how = _data()["quantity"].get(gap.name, "look")
    parts = gap.at.split(".")
    circuit = design.circuits.get(parts[1]) if parts[0] == "circuits" and len(parts) > 1 else None
    place = "the home" if how in ("walk", "operator", "owner") else gap.at.rpartition(".")[0] or gap.at or "the home"
    if circuit is not None and "device" in parts:
        place = _device(circuit) if how == "maker" else circuit.board or place
    elif parts[0] in ("equipment", "runs", "rooms", "supplies") and len(parts) > 1:
        place = parts[1] if how not in ("walk", "operator", "owner") else "the home"
    return Act(how, place, (f"{glossary(gap.name).says}{f' ({gap.at})' if gap.at else ''}",))


def _by_rule(finding: Unknown, design: Design) -> Act:
    """What a rule lacks that names no fact: as its entry says; for a person to settle, where it has none."""
    entries: Mapping[str, Any] = _data()["rule"]
    said = entries.get(finding.rule.partition("-")[0])
    if said is None:
        return Act("person", finding.subject, (f"what {finding.rule} asks",), no_place=True)
    name = finding.subject.removeprefix("circuits.")
    circuit = design.circuits.get(name)
    place = {"home": "the home", "subject": finding.subject}.get(said["of"], "")
    if not place and circuit is not None:
        place = _device(circuit) if said["of"] == "device" else circuit.board
    return Act(said["how"], place or finding.subject, (said["what"],), said.get("no_place", False))


def _device(circuit: Any) -> str:
    """The kind of device in its way, which one sheet of its maker tells of."""
    of = circuit.device_kind
    return of.says if of is not None else f"the device of {circuit.circuit.name}"


# ---- order ----------------------------------------------------------------------------------------------------------
def order(needs: Mapping[str, frozenset[Name]], minutes: Mapping[Name, float]) -> list[Name]:
    """Every act, in the order in which the most findings are decided a minute."""
    out: list[Name] = []
    for group in turns(needs, minutes):
        alone = {name: len([1 for need in needs.values() if need - {*out} == {name}]) for name in group}
        out += sorted(group, key=lambda name: (-alone[name] / minutes[name], minutes[name], name))
    return out


def turns(needs: Mapping[str, frozenset[Name]], minutes: Mapping[Name, float]) -> list[frozenset[Name]]:
    """The groups of acts, in turn, that decide the most findings a minute: weighed is what one finding, or two, still want."""
    left = dict(needs)
    out: list[frozenset[Name]] = []
    while left:
        groups = dict.fromkeys(left.values())
        groups.update(dict.fromkeys(a | b for a, b in combinations(list(groups), 2) if a & b))
        best = max(groups, key=lambda group: (_rate(group, left, minutes), -_cost(group, minutes), sorted(group)))
        out.append(best)
        left = {finding: need - best for finding, need in left.items() if not need <= best}
    return out


def _cost(group: Iterable[Name], minutes: Mapping[Name, float]) -> float:
    return math.fsum(minutes[name] for name in group)


def _rate(group: frozenset[Name], left: Mapping[str, frozenset[Name]], minutes: Mapping[Name, float]) -> float:
    """Findings decided a minute by doing these."""
    return len([1 for need in left.values() if need <= group]) / _cost(group, minutes)


def document(todos: Sequence[Todo], most: int = 5) -> dict[str, Any]:
    """As plain data: the next acts with their minutes and what they decide, and how many findings are unknown."""
    every = len([f for each in todos for f in each.frees])
    return {"unknown": every, "acts": len(todos),
            "next": [{"says": each.act.says, "place": each.act.place, "minutes": each.act.minutes, "decides": list(each.frees),
                      "share": each.share, "no_place_in_the_record": each.act.no_place} for each in todos[:most]]}
