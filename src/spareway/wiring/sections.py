"""Terminals that nothing here opens are fused into sections; only openable controls and loads are left between them.

Everything is numbered: terminals in the order in which the record names them, openable controls by bit in the order of
their names. So a set of open controls is one integer, and ganged poles, which share a control, share its bit.
"""
from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from spareway.kinds.joints import Link
from spareway.wiring.potentials import BY_METAL, FEEDS, HOLDS, MARKS, NO_PATH, NOT_KNOWN, THROUGH_A_LOAD, L

JOINTS = METAL, LOAD, SURGE = "-", "=", "~"            # what joins only in a surge carries no potential


def fused(size: int, pairs: Iterable[tuple[int, int]]) -> list[int]:
    """For each of `size` things the lowest-numbered one that the pairs join it to."""
    root = list(range(size))
    for a, b in pairs:
        while root[a] != a:
            root[a] = a = root[root[a]]   # halve the way up, so that a long chain stays cheap
        while root[b] != b:
            root[b] = b = root[root[b]]
        if a < b:
            root[b] = a
        elif b < a:
            root[a] = b
    for i in range(size):                 # a root is never above its members, so one pass upwards is enough
        root[i] = root[root[i]]
    return root


@dataclass(frozen=True, slots=True)
class Record:
    """The links as numbers. `held` is the marks of the sources at a terminal; `mask` is 0 for what is never opened."""
    terminals: tuple[str, ...]
    at: Mapping[str, int]
    held: tuple[int, ...]
    bits: Mapping[str, int]                                   # openable control -> its bit, in order of names
    metal: tuple[tuple[int, int, int, str], ...]              # terminal, terminal, mask, lift
    loads: tuple[tuple[int, int, int, str], ...]
    lifts: frozenset[str]

    def sections(self, lifted: Collection[str] = ()) -> Sections:
        """What stays joined whatever is opened, with these conductors lifted."""
        metal = [link for link in self.metal if link[3] not in lifted] if lifted else self.metal
        root = fused(len(self.terminals), [(a, b) for a, b, mask, _ in metal if not mask])
        number: dict[int, int] = {}
        of = [number.setdefault(r, len(number)) for r in root]
        held = [0] * len(number)
        for terminal, marks in enumerate(self.held):
            if marks:
                held[of[terminal]] |= marks
        switches = {(of[a], of[b], mask): None for a, b, mask, _ in metal if mask and of[a] != of[b]}
        loads = {(of[a], of[b], mask): None for a, b, mask, lift in self.loads if lift not in lifted and of[a] != of[b]}
        return Sections(of, held, list(switches), list(loads))


def record(links: Sequence[Link], sources: Mapping[str, str], openable: Iterable[str]) -> Record:
    """Number the links of a network.

    A link straight between a neutral source and an earth source is the one that the supply makes itself (TN-C-S). Both
    ends hold their own potential already, so it is left out; else all earth would read as neutral.
    """
    names = dict.fromkeys(sources)
    for link in links:
        names[link.a] = names[link.b] = None
    at = {name: i for i, name in enumerate(names)}
    bits = {name: 1 << i for i, name in enumerate(sorted(openable))}
    metal: list[tuple[int, int, int, str]] = []
    loads: list[tuple[int, int, int, str]] = []
    for link in links:
        if link.joint not in (METAL, LOAD) or {sources.get(link.a), sources.get(link.b)} == {"N", "E"}:
            continue
        kept = metal if link.joint == METAL else loads
        kept.append((at[link.a], at[link.b], bits.get(link.control, 0), link.lift))
    held = tuple(MARKS[sources[name]] if name in sources else 0 for name in names)
    return Record(tuple(names), at, held, bits, tuple(metal), tuple(loads),
                  frozenset(link.lift for link in links if link.lift))


@dataclass(frozen=True, slots=True)
class Sections:
    """`of[terminal]` is its section, `held[section]` the marks of its sources; between two sections (a, b, mask)."""
    of: list[int]
    held: list[int]
    switches: list[tuple[int, int, int]]
    loads: list[tuple[int, int, int]]

    def pieces(self, opened: int) -> list[int]:
        """For each section the piece of metal it belongs to with these controls open."""
        return fused(len(self.held), [(a, b) for a, b, mask in self.switches if not mask & opened])

    def marks(self, piece: Sequence[int]) -> list[int]:
        """For each piece, at the number of its lowest section, the marks of every source that it touches."""
        marks = [0] * len(piece)
        for section, held in enumerate(self.held):
            if held:
                marks[piece[section]] |= held
        return marks

    def potentials(self, opened: int = 0) -> list[str]:
        """The word for each section with these controls open."""
        piece = self.pieces(opened)
        marks = self.marks(piece)
        words = [BY_METAL[m] for m in marks]
        across: dict[int, list[int]] = {}
        for a, b, mask in self.loads:
            if not mask & opened and (p := piece[a]) != (q := piece[b]):
                across.setdefault(p, []).append(q)
                across.setdefault(q, []).append(p)
        if across:
            for feeds, word in ((L, THROUGH_A_LOAD), (FEEDS, NOT_KNOWN)):
                for p in through_loads(across, marks, feeds):
                    if words[p] == NO_PATH:
                        words[p] = word
        return [words[p] for p in piece]


def through_loads(across: Mapping[int, Sequence[int]], marks: Sequence[int], feeds: int) -> set[int]:
    """Pieces that loads join to one that feeds: a piece solidly on neutral or earth holds, and passes nothing on."""
    reached = {p for p in across if marks[p] & feeds}
    todo = list(reached)
    for p in todo:
        for q in across[p]:
            if q not in reached and not marks[q] & HOLDS:
                reached.add(q)
                todo.append(q)
    return reached
