"""A circuit as a network of resistors, solved once; each fault is a few links of it changed.

The resistance between any two places of the changed network follows from the inverse of the sound one (Woodbury), and how it
moves with the length of each stretch from the current through that stretch. So hundreds of faults cost one inverse.
"""
from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

__all__ = ["LEAK_S", "OPEN_OHM", "Across", "Edit", "Link", "Network", "Shift"]

OPEN_OHM = 5e3                                  # an open joint: over a tester's range, and not so far that digits are lost
LEAK_S = 2e-6                                   # from each node to nowhere: loose parts stay solvable, and read over range
Row = list[float]
Across = tuple[tuple[int, int, float], ...]       # links laid for one test: (node, node, Ω)


@dataclass(frozen=True, slots=True)
class Link:
    """Two nodes, the resistance between them (Ω), the unknown it moves with (-1 for none) and by how much (Ω for one unit)."""
    a: int
    b: int
    ohm: float
    unknown: int = -1
    per_unit_ohm: float = 0.0


@dataclass(frozen=True, slots=True)
class Edit:
    """One link made otherwise: from `old_ohm` (None where none was) to `new_ohm`, which itself is known to `own_ohm` only."""
    a: int
    b: int
    new_ohm: float
    old_ohm: float | None = None
    own_ohm: float = 0.0


@dataclass(frozen=True, slots=True)
class Shift:
    """A resistance in the changed network (Ω), and how it moves with each unknown and with the edit's own (Ω a unit)."""
    ohm: float
    by_unknown_ohm: tuple[float, ...]
    by_own_ohm: float


class Network:
    """A sound network; `between` asks it with links laid across its ends and with edits made."""

    def __init__(self, nodes: int, links: Sequence[Link]) -> None:
        self.links, self.unknowns = tuple(links), 1 + max((link.unknown for link in links), default=-1)
        self._moving = tuple(link for link in links if link.unknown >= 0)
        self._z: dict[Across, list[Row]] = {(): _inverse(nodes, links)}
        self._columns: dict[tuple[object, int, int], tuple[Row, Row]] = {}
        self._edited: dict[object, tuple[list[Row], list[Row], list[float]]] = {}

    def between(self, a: int, b: int, across: Across = (), edits: tuple[Edit, ...] = ()) -> Shift:
        """What an instrument would show between two nodes, with these links laid across and these edits made."""
        at, moving = self._column(across, a, b)
        solved, rows, kept = self._solved(across, edits)
        falls = [at[e.a] - at[e.b] for e in edits]
        x = [math.fsum(map(float.__mul__, line, falls)) for line in solved]
        ohm = at[a] - at[b] - math.fsum(map(float.__mul__, falls, x))
        volts = moving
        for share, row in zip(x, rows, strict=True):
            volts = [v - share * w for v, w in zip(volts, row, strict=True)]
        cut = {frozenset((e.a, e.b)) for e in edits if e.old_ohm is not None and e.new_ohm >= OPEN_OHM}
        out = [0.0] * self.unknowns
        for link, v in zip(self._moving, volts, strict=True):
            if not cut or frozenset((link.a, link.b)) not in cut:          # the length of a cut stretch no longer matters
                out[link.unknown] += (v / link.ohm) ** 2 * link.per_unit_ohm
        own = math.fsum((k * share / e.new_ohm) ** 2 * e.own_ohm for e, k, share in zip(edits, kept, x, strict=True))
        return Shift(ohm, tuple(out), own)

    def _base(self, across: Across) -> list[Row]:
        """The inverse with these links laid, one added after another to that without."""
        if across not in self._z:
            z, (a, b, ohm) = self._base(across[:-1]), across[-1]
            u = [row[a] - row[b] for row in z]
            share = [x / (ohm + u[a] - u[b]) for x in u]
            self._z[across] = [[v - s * y for v, y in zip(row, u, strict=True)] for row, s in zip(z, share, strict=True)]
        return self._z[across]

    def _column(self, across: Across, a: int, b: int) -> tuple[Row, Row]:
        """The potentials (V) of all nodes, and across each link that moves, for 1 A in at a and out at b."""
        key = (across, a, b)
        if key not in self._columns:
            at = [row[a] - row[b] for row in self._base(across)]
            self._columns[key] = at, [at[link.a] - at[link.b] for link in self._moving]
        return self._columns[key]

    def _solved(self, across: Across, edits: tuple[Edit, ...]) -> tuple[list[Row], list[Row], list[float]]:
        """Of the edits: the inverse of their small matrix, what each does to the links that move, 1 / change of conductance."""
        key = (across, edits)
        if key not in self._edited:
            columns = [self._column(across, e.a, e.b) for e in edits]
            kept = [1 / (1 / e.new_ohm - (1 / e.old_ohm if e.old_ohm else 0.0)) for e in edits]
            small = [[column[e.a] - column[e.b] + (kept[i] if i == j else 0.0) for j, (column, _) in enumerate(columns)]
                     for i, e in enumerate(edits)]
            self._edited[key] = _inverted(small), [moving for _, moving in columns], kept
        return self._edited[key]


def _inverse(nodes: int, links: Sequence[Link]) -> list[Row]:
    """The inverse of the node matrix (S), every node leaking a little. Errors: ValueError for a resistance not above 0."""
    rows = [[LEAK_S if i == j else 0.0 for j in range(nodes)] for i in range(nodes)]
    for link in links:
        if not link.ohm > 0:
            raise ValueError(f"not a resistance: {link.ohm}")
        siemens = 1 / link.ohm
        for i, j in ((link.a, link.b), (link.b, link.a)):
            rows[i][i] += siemens
            rows[i][j] -= siemens
    return _inverted(rows)


def _inverted(rows: list[Row]) -> list[Row]:
    """The inverse of a square matrix by elimination, the greatest pivot first."""
    size = len(rows)
    work = [[*row, *(1.0 if i == j else 0.0 for j in range(size))] for i, row in enumerate(rows)]
    for step in range(size):
        best = max(range(step, size), key=lambda i: abs(work[i][step]))
        work[step], work[best] = work[best], work[step]
        pivot = work[step][step]
        lead = work[step] = [x / pivot for x in work[step]]
        for i in range(size):
            factor = work[i][step]
            if i != step and factor:
                work[i] = [x - factor * y for x, y in zip(work[i], lead, strict=True)]
    return [row[size:] for row in work]
