"""The same questions answered in other ways, slowly and on the raw links: nothing here uses the code under test.

`potentials` searches link by link from each source. `by_current` asks networkx what metal joins and solves the loads as
resistors: what is not held and still rises above zero is live. `EveryState` answers all states of the controls at once,
one bit a state, by passing marks along the links until nothing changes; `lock_off` reads every subset from it.
"""
from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import networkx
import numpy

from spareway.kinds.joints import Link

WORD = {"L": "line", "?": "not known", "N": "neutral", "E": "earth"}      # worst first
OPENABLE = ("ordinary", "skilled", "operator")


@dataclass(frozen=True)
class Case:
    """A network, and what is asked of it."""
    links: tuple[Link, ...]
    sources: Mapping[str, str]
    controls: Mapping[str, str]
    permitted: frozenset[str]
    parts: tuple[str, ...]
    by: str
    leave_neutral: bool

    @property
    def terminals(self) -> list[str]:
        return list(dict.fromkeys([*self.sources, *(end for link in self.links for end in (link.a, link.b))]))

    @property
    def lifts(self) -> list[str]:
        return sorted({link.lift for link in self.links if link.lift})

    def dead(self) -> set[str]:
        return {"no path in the record", "earth"} | ({"neutral"} if self.leave_neutral else set())

    def may_open(self) -> list[str]:
        """Sorted; what closes or opens by itself, or is another's, never."""
        rank = OPENABLE.index(self.by)
        return sorted(name for name, role in self.controls.items() if role in OPENABLE and (
            OPENABLE.index(role) <= rank or (name in self.permitted and rank >= 1)))


def is_open(case: Case, link: Link, opened: Collection[str]) -> bool:
    return link.lift in opened or (link.control in opened and case.controls[link.control] in OPENABLE)


def made_by_supply(case: Case, link: Link) -> bool:
    return sorted((case.sources.get(link.a, ""), case.sources.get(link.b, ""))) == ["E", "N"]


def closed(case: Case, joint: str, opened: Collection[str]) -> Iterator[tuple[str, str]]:
    for link in case.links:
        if link.joint == joint and not is_open(case, link, opened) and not made_by_supply(case, link):
            yield link.a, link.b


def spread(starts: set[str], beside: Mapping[str, set[str]], stop: Collection[str] = ()) -> set[str]:
    """All that can be reached, entering nothing in `stop`."""
    seen, todo = set(starts), list(starts)
    while todo:
        for there in beside.get(todo.pop(), ()):
            if there not in seen and there not in stop:
                seen.add(there)
                todo.append(there)
    return seen


def neighbours(pairs: Iterator[tuple[str, str]]) -> dict[str, set[str]]:
    beside: dict[str, set[str]] = {}
    for a, b in pairs:
        beside.setdefault(a, set()).add(b)
        beside.setdefault(b, set()).add(a)
    return beside


def potentials(case: Case, opened: Collection[str] = ()) -> dict[str, str]:
    """By searching outwards from each kind of source over the terminals themselves."""
    metal = neighbours(closed(case, "-", opened))
    loads = neighbours(closed(case, "=", opened))
    at = {mark: spread({t for t, letter in case.sources.items() if letter[0] == mark}, metal) for mark in WORD}
    held = at["N"] | at["E"]

    def fed(starts: set[str]) -> set[str]:
        seen = set(starts)
        while True:
            across = {there for here in seen for there in loads.get(here, ()) if there not in held}
            grown = seen | spread(across, metal)
            if grown == seen:
                return seen
            seen = grown

    by_line, by_any = fed(at["L"]), fed(at["L"] | at["?"])
    answers = {}
    for terminal in case.terminals:
        metal_words = [word for mark, word in WORD.items() if terminal in at[mark]]
        through = "line through a load" if terminal in by_line else "not known" if terminal in by_any else ""
        answers[terminal] = (metal_words or [through or "no path in the record"])[0]
    return answers


def by_current(case: Case, opened: Collection[str] = ()) -> dict[str, str]:
    """By voltage: sources at 1 and 0, loads of one ohm, a leak of a megohm from everything; what floats up is live."""
    graph = networkx.Graph()
    graph.add_nodes_from(case.terminals)
    graph.add_edges_from(closed(case, "-", opened))
    pieces = [frozenset(piece) for piece in networkx.connected_components(graph)]
    number = {terminal: i for i, piece in enumerate(pieces) for terminal in piece}
    letters = [{case.sources[t][0] for t in piece if t in case.sources} for piece in pieces]
    loads = [(number[a], number[b]) for a, b in closed(case, "=", opened) if number[a] != number[b]]
    by_line, by_any = volts(letters, loads, {"L"}), volts(letters, loads, {"L", "?"})
    words = []
    for i, held in enumerate(letters):
        metal = [word for mark, word in WORD.items() if mark in held]
        through = "line through a load" if by_line[i] > 1e-3 else "not known" if by_any[i] > 1e-3 else ""
        words.append((metal or [through or "no path in the record"])[0])
    return {terminal: words[i] for terminal, i in number.items()}


def volts(letters: Sequence[set[str]], loads: Sequence[tuple[int, int]], feeding: set[str]) -> list[float]:
    """Kirchhoff's current law at every piece that nothing holds."""
    size = len(letters)
    conductance = numpy.diag(numpy.full(size, 1e-6))
    for a, b in loads:
        conductance[[a, b], [a, b]] += 1
        conductance[[a, b], [b, a]] -= 1
    fixed = {i: 1.0 if held & feeding else 0.0 for i, held in enumerate(letters) if held & (feeding | {"N", "E"})}
    loose = [i for i in range(size) if i not in fixed]
    found = numpy.zeros(size)
    for i, level in fixed.items():
        found[i] = level
    if loose:
        push = -conductance[numpy.ix_(loose, list(fixed))] @ numpy.array([*fixed.values()]) if fixed else 0.0
        found[loose] = numpy.linalg.solve(conductance[numpy.ix_(loose, loose)], numpy.zeros(len(loose)) + push)
    return list(found)


class EveryState:
    """Bit s of a terminal's mark: it has the mark in state s, in which control i is open while bit i of s is set."""

    def __init__(self, case: Case, controls: Sequence[str]) -> None:
        self.size = 1 << len(controls)
        self.all = (1 << self.size) - 1
        shut = {"": self.all}
        for i, control in enumerate(controls):
            block = (1 << (1 << i)) - 1                # control i is closed in the low half of every 2 << i states
            shut[control] = repeated(block, 2 << i, self.size)
        links = [link for link in case.links if not made_by_supply(case, link)]
        self.metal = [(k.a, k.b, shut.get(k.control, self.all)) for k in links if k.joint == "-"]
        self.loads = [(k.a, k.b, shut.get(k.control, self.all)) for k in links if k.joint == "="]
        self.joined = {mark: self.passed({t: self.all for t, held in case.sources.items() if held[0] == mark})
                       for mark in WORD}
        marks = self.joined
        held = {t: marks["N"].get(t, 0) | marks["E"].get(t, 0) for t in case.terminals}
        feeds = {t: marks["L"].get(t, 0) | marks["?"].get(t, 0) for t in case.terminals}
        bad = self.passed_on(feeds, held)
        self.live = {t: bad[t] | (0 if case.leave_neutral else marks["N"].get(t, 0)) for t in case.terminals}

    def passed(self, marks: dict[str, int]) -> dict[str, int]:
        """Marks carried along closed metal until nothing changes."""
        changed = True
        while changed:
            changed = False
            for a, b, shut in self.metal:
                both = (marks.get(a, 0) | marks.get(b, 0)) & shut
                for end in (a, b):
                    if both & ~marks.get(end, 0):
                        marks[end] = marks.get(end, 0) | both
                        changed = True
        return marks

    def passed_on(self, marks: dict[str, int], held: Mapping[str, int]) -> dict[str, int]:
        """And through loads into what is not held, until nothing changes."""
        before: dict[str, int] = {}
        while before != marks:
            before = dict(marks)
            for a, b, shut in self.loads:
                marks[a], marks[b] = marks[a] | marks[b] & shut & ~held[a], marks[b] | marks[a] & shut & ~held[b]
            marks = self.passed(marks)
        return marks


def repeated(block: int, period: int, size: int) -> int:
    """The bits of `block` at the start of every period."""
    while period < size:
        block |= block << period
        period *= 2
    return block


def lock_off(case: Case) -> tuple[str, ...] | None:
    """The first of all subsets, in order of size and of names, in which no part is live."""
    controls = case.may_open()
    live = EveryState(case, controls).live
    any_live = 0
    for part in case.parts:
        any_live |= live[part]
    for size in range(len(controls) + 1):
        for chosen in combinations(range(len(controls)), size):
            if not any_live >> sum(1 << i for i in chosen) & 1:
                return tuple(controls[i] for i in chosen)
    return None


def undone_by(case: Case, opened: Collection[str]) -> tuple[str, ...]:
    """Every single further opening tried."""
    further = {name for name, role in case.controls.items() if role in OPENABLE} | set(case.lifts)
    return tuple(sorted(name for name in further - set(opened)
                        if any(potentials(case, {*opened, name})[part] not in case.dead() for part in case.parts)))
