"""The wired record asked: what each terminal may carry, what joins what, where a path stops, what to open.

Everything here is by the record. It never takes the place of proving dead at the point of work.
"""
from __future__ import annotations

from collections import deque
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from spareway.kinds.joints import Link
from spareway.wiring.lockoff import LockOff, fewest, reaching
from spareway.wiring.names import PERSONS, ROLES, UnknownName, check
from spareway.wiring.paths import Trace, counts, path_sets
from spareway.wiring.potentials import MARKS
from spareway.wiring.sections import JOINTS, METAL, Record, Sections, record

__all__ = ["LockOff", "Network", "Stop", "UnknownName"]

LETTERS = tuple(letter for letter in MARKS if letter != "?")
MARKED = ("L", "N", "E")                                # phases share a mark
KEPT = 64                                               # sets of lifted conductors whose sections are remembered


@dataclass(frozen=True, slots=True)
class Stop:
    """Where metal that should have led somewhere gives out: all it reaches, and the ends at which nothing is landed."""
    reached: tuple[str, ...]
    free_ends: tuple[str, ...]


class Network:
    """Links, the letter that each source holds, and who may open each control.

    links:     as `spareway.kinds.joints.Link`; a link from a terminal to itself only names the terminal
    sources:   terminal -> L, L1, L2, L3, N, E, or "?" for an end or an earthing that is not known
    controls:  control -> ordinary, skilled, operator, or other, itself: the last two never count as open
    permitted: controls for whose opening the job records a permission
    Raises UnknownName for a letter, role or joint that is none, and for a control that is not among `controls`.
    """

    def __init__(self, links: Iterable[Link], sources: Mapping[str, str], controls: Mapping[str, str],
                 permitted: Collection[str] = ()) -> None:
        self.links, self.sources, self.controls = tuple(links), dict(sources), dict(controls)
        self.permitted = frozenset(permitted)
        for letter in self.sources.values():
            check("letter of a source", letter, MARKS)
        for role in self.controls.values():
            check("role", role, ROLES)
        for link in self.links:
            check("joint", link.joint, JOINTS)
            if link.control:
                check("control", link.control, self.controls)
        for name in self.permitted:
            check("control", name, self.controls)
        self._sections: dict[frozenset[str], Sections] = {}
        self._sets: dict[int, list[list[int]] | None] = {}

    # ---- what each terminal may carry -----------------------------------------------------------------------------
    def potential(self, opened: Collection[str] = ()) -> dict[str, str]:
        """Every terminal's word (`potentials.WORDS`) with these controls open and these conductors lifted.

        Raises UnknownName for a name that is neither.
        """
        mask, lifted = self.state(opened)
        sections = self.sections(lifted)
        words = sections.potentials(mask)
        return {name: words[s] for name, s in zip(self.record.terminals, sections.of, strict=True)}

    def conflicts(self) -> dict[str, str]:
        """Terminals at which metal joins letters that must not meet, nothing open: terminal -> "L+N".

        Neutral and earth meeting in the link between two sources is the supply's own (TN-C-S), and is none.
        """
        met = {piece: meeting(letters) for piece, letters in self._letters.items()}
        return {name: letters for name in self.record.terminals if (letters := met.get(self._piece(name), ""))}

    # ---- what joins what ------------------------------------------------------------------------------------------
    def joined(self, terminals: Collection[str], letter: str) -> bool | None:
        """Does metal lead from every one of these to a source of this letter, nothing open?

        None where it cannot be known: an end that is not traced, or an earthing that is not known, might be one.
        """
        check("letter", letter, LETTERS)
        if not terminals:
            raise ValueError("no terminal was named, so nothing can be said to be joined")
        answers = [self._reaches(terminal, letter) for terminal in terminals]
        if False in answers:
            return False
        return None if None in answers else True

    def path(self, a: str, b: str, opened: Collection[str] = ()) -> tuple[Link, ...] | None:
        """The fewest metal links that lead from one terminal to another, in order; None where none do."""
        self._check_terminals((a, b))
        mask, lifted = self.state(opened)
        came: dict[str, tuple[str, Link] | None] = {a: None}
        todo = deque([a])
        while todo and b not in came:
            here = todo.popleft()
            for there, link in self._metal_at.get(here, ()):
                if there not in came and link.lift not in lifted and not self.record.bits.get(link.control, 0) & mask:
                    came[there] = (here, link)
                    todo.append(there)
        return tuple(way_back(came, b)) if b in came else None

    def where_it_stops(self, a: str, letter: str) -> Stop | None:
        """Where the metal from `a` gives out before any source of this letter; None where it does reach one."""
        self._check_terminals((a,))
        check("letter", letter, LETTERS)
        if self._reaches(a, letter):
            return None
        here = self._piece(a)
        reached = tuple(name for name in self.record.terminals if self._piece(name) == here)
        return Stop(reached, tuple(name for name in reached if self._is_free_end(name, start=a)))

    # ---- what to open ---------------------------------------------------------------------------------------------
    def lock_off(self, parts: Collection[str], by: str = "skilled", leave_neutral: bool = False) -> LockOff:
        """The fewest controls that this person may open and that leave every one of these terminals dead by the record.

        by: ordinary, skilled or operator. leave_neutral: a terminal on neutral counts as dead too (a rule's to say).
        """
        check("person", by, PERSONS)
        self._check_terminals(parts)
        sets = self.path_sets(reaching(leave_neutral))
        return fewest(self.record, self.sections(), sets, tuple(dict.fromkeys(parts)), self.may_open(by), leave_neutral)

    def may_open(self, by: str) -> tuple[str, ...]:
        """The controls, in order of names, that this person may open and that make something dead when open."""
        check("person", by, PERSONS)
        rank = PERSONS.index(by)
        return tuple(name for name in self.record.bits if PERSONS.index(self.controls[name]) <= rank
                     or (rank and name in self.permitted))

    def trace(self, letter: str = "L") -> Trace:
        """What metal joins to L, N or E, to be toggled one control at a time: each call gives one with all closed."""
        check("letter", letter, MARKED)
        marks = MARKS[letter]
        return Trace(self.record, self.sections(), marks, self.path_sets(marks))

    def counts(self, letter: str = "L") -> dict[str, int] | None:
        """For every terminal in how many states of the openable controls metal joins it to L, N or E.

        None where there are more paths than are kept (`paths.CAP`).
        """
        check("letter", letter, MARKED)
        sets = self.path_sets(MARKS[letter])
        if sets is None:
            return None
        found = counts(sets, len(self.record.bits))
        return {name: found[s] for name, s in zip(self.record.terminals, self.sections().of, strict=True)}

    def count(self, terminal: str, letter: str = "L") -> int | None:
        """The same for one terminal."""
        self._check_terminals((terminal,))
        found = self.counts(letter)
        return found[terminal] if found else None

    # ---- inside ---------------------------------------------------------------------------------------------------
    @cached_property
    def record(self) -> Record:
        """The links as numbers."""
        return record(self.links, self.sources, [c for c, role in self.controls.items() if role in PERSONS])

    def sections(self, lifted: Collection[str] = ()) -> Sections:
        """What stays joined whatever is opened, with these conductors lifted."""
        key = frozenset(lifted)
        if key not in self._sections:
            if len(self._sections) >= KEPT:
                self._sections = {k: kept for k, kept in self._sections.items() if not k}
            self._sections[key] = self.record.sections(key)
        return self._sections[key]

    def path_sets(self, marks: int) -> list[list[int]] | None:
        """For each section its smallest sets of closed controls that join it to such a source; None if too many."""
        if marks not in self._sets:
            self._sets[marks] = path_sets(self.sections(), marks)
        return self._sets[marks]

    def state(self, opened: Collection[str]) -> tuple[int, frozenset[str]]:
        """Names of controls and of lifted conductors as a mask of the ones and a set of the others."""
        mask, lifted = 0, set()
        for name in opened:
            mask |= self.record.bits.get(name, 0)
            if name in self.record.lifts:
                lifted.add(name)
            elif name not in self.controls:
                raise UnknownName("control or conductor", name, (*self.controls, *sorted(self.record.lifts)))
        return mask, frozenset(lifted)

    def _check_terminals(self, names: Iterable[str]) -> None:
        for name in names:
            check("terminal", name, self.record.at)

    @cached_property
    def _pieces(self) -> list[int]:
        return self.sections().pieces(0)

    @cached_property
    def _metal_at(self) -> dict[str, list[tuple[str, Link]]]:
        at: dict[str, list[tuple[str, Link]]] = {}
        for link in self.links:
            if link.joint == METAL and {self.sources.get(link.a), self.sources.get(link.b)} != {"N", "E"}:
                at.setdefault(link.a, []).append((link.b, link))
                at.setdefault(link.b, []).append((link.a, link))
        return at

    @cached_property
    def _letters(self) -> dict[int, set[str]]:
        """For each piece of metal the letters of its sources, nothing open."""
        at: dict[int, set[str]] = {}
        for name, letter in self.sources.items():
            at.setdefault(self._piece(name), set()).add(letter)
        return at

    def _piece(self, name: str) -> int:
        return self._pieces[self.sections().of[self.record.at[name]]]

    def _reaches(self, terminal: str, letter: str) -> bool | None:
        self._check_terminals((terminal,))
        letters = self._letters.get(self._piece(terminal), set())
        if letter in letters or (letter == "L" and any(MARKS[held] == MARKS["L"] for held in letters)):
            return True
        return None if "?" in letters else False

    def _is_free_end(self, name: str, start: str) -> bool:
        """Nothing leads on from it: no conductor is landed there, or it is the loose end of one."""
        here = self._metal_at.get(name, [])
        landed = any(link.lift for _, link in here) or not self.record.lifts
        return not landed or (len(here) < 2 and name != start) or not here


def meeting(letters: Collection[str]) -> str:
    """The letters as "L+N" if they must not meet: two of line, neutral and earth, or two of the phases."""
    known = set(letters) - {"?"}
    if known & {"L1", "L2", "L3"}:
        known.discard("L")                # a line whose phase is not said may be the one that it meets
    return "+".join(sorted(known, key=LETTERS.index)) if len(known) > 1 else ""


def way_back(came: Mapping[str, tuple[str, Link] | None], end: str) -> Iterator[Link]:
    """The links that led to `end`, first to last."""
    links = []
    while step := came[end]:
        end, link = step
        links.append(link)
    return reversed(links)
