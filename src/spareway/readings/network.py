"""A circuit as a network of resistors, built link by link; each fault is a few links of it changed.

Of every two nodes that are joined it keeps how much of the way from a common node their ways share, as a resistance: a link to
a new node lengthens a way, a link between two joined nodes closes a loop. The resistance between any two places of the changed
network follows from that (Woodbury), and how it moves with the length of each stretch from the current through that stretch.
So hundreds of faults cost one network. Nothing is left to a leak or to a great resistance: what is not joined reads over range.
"""
from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from operator import mul

__all__ = ["OPEN_OHM", "Across", "Edit", "Laid", "Link", "Network", "Shift", "dot", "inverted"]

OPEN_OHM = math.inf
BRIDGE = 1e-9                                   # of a link's own resistance: with less beside it, nothing else joins its ends
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


@dataclass(frozen=True, slots=True, eq=False)      # told apart as themselves: they are looked up by the thousand
class Edit:
    """One link made otherwise: from `old_ohm` (None where none was) to `new_ohm`, which itself is known to `own_ohm` only.

    grows: how many times as much it moves with its unknown as the link that was there."""
    a: int
    b: int
    new_ohm: float
    old_ohm: float | None = None
    own_ohm: float = 0.0
    grows: float = 1.0

    @property
    def kept_ohm(self) -> float:
        """One over the change of its conductance."""
        return 1 / (1 / self.new_ohm - (1 / self.old_ohm if self.old_ohm else 0.0))


@dataclass(frozen=True, slots=True)
class Shift:
    """A resistance in the changed network (Ω), and how it moves with each unknown and with the edit's own (Ω a unit)."""
    ohm: float
    by_unknown_ohm: tuple[float, ...]
    by_own_ohm: float


@dataclass(frozen=True, slots=True)
class Laid:
    """The sound network with links laid. shared_ohm: node by node; part: nodes of one part are joined."""
    shared_ohm: list[Row]
    part: list[int]


@dataclass(frozen=True, slots=True)
class _Column:
    """For 1 A in at one node and out at another: potentials (V), those across each moving link of that part, the sound Shift."""
    at: Row
    across: Row
    shift: Shift


@dataclass(frozen=True, slots=True)
class _Edited:
    """Of edits in one part: the inverse of their small matrix, what each does to the moving links, what these then weigh."""
    solved: list[Row]
    rows: list[Row]
    kept: Row
    weights: Row
    bridge: bool


class Network:
    """A sound network; `between` asks it with links laid across its ends and with edits made."""

    def __init__(self, nodes: int, links: Sequence[Link]) -> None:
        if wrong := [link.ohm for link in links if not link.ohm > 0]:
            raise ValueError(f"not a resistance: {wrong[0]}")
        self.nodes, self.links, self.unknowns = nodes, tuple(links), 1 + max((link.unknown for link in links), default=-1)
        self._laid: dict[Across, Laid] = {}
        self._moving: dict[tuple[Across, int], list[Link]] = {}
        self._columns: dict[tuple[Across, int, int], _Column] = {}
        self._edited: dict[tuple[Across, tuple[Edit, ...]], _Edited] = {}
        self._over = Shift(math.inf, (0.0,) * self.unknowns, 0.0)

    def laid(self, across: Across = ()) -> Laid:
        """The sound network with these links laid."""
        if across not in self._laid:
            if across:
                before = self.laid(across[:-1])
                of = Laid([[*row] for row in before.shared_ohm], [*before.part])
                _add(of, *across[-1])
            else:
                of = Laid([[0.0] * self.nodes for _ in range(self.nodes)], [*range(self.nodes)])
                for link in self.links:
                    _add(of, link.a, link.b, link.ohm)
            self._laid[across] = of
        return self._laid[across]

    def between(self, a: int, b: int, across: Across = (), edits: tuple[Edit, ...] = ()) -> Shift:
        """What an instrument would show between two nodes, with these links laid across and these edits made: infinite where
        nothing joins them. Errors: ValueError for a link cut along with other edits, or edits that join what was apart."""
        part = self.laid(across).part
        if part[a] != part[b]:
            return self._over
        column = self._column(across, a, b)
        here = tuple(edit for edit in edits if part[edit.a] == part[a])      # no current reaches the others
        if not here:
            return column.shift
        of = self._solved(across, here)
        falls = [column.at[e.a] - column.at[e.b] for e in here]
        if of.bridge:                                                         # then the whole current goes through it, or none
            return self._over if abs(falls[0]) > 0.5 * here[0].old_ohm else column.shift     # type: ignore[operator]
        x = [dot(line, falls) for line in of.solved]
        ohm = column.shift.ohm - dot(falls, x)
        volts = column.across
        for share, row in zip(x, of.rows, strict=True):
            volts = [v - share * w for v, w in zip(volts, row, strict=True)]
        amps = [k * share / e.new_ohm for e, k, share in zip(here, of.kept, x, strict=True)]
        own = math.fsum(amp * amp * e.own_ohm for e, amp in zip(here, amps, strict=True) if e.own_ohm)
        return Shift(ohm, self._moved(volts, of.weights, self._movers(across, part[a])), own)

    def _moved(self, volts: Row, weights: Row, movers: Sequence[Link]) -> tuple[float, ...]:
        out = [0.0] * self.unknowns
        for v, weight, link in zip(volts, weights, movers, strict=True):
            out[link.unknown] += v * v * weight
        return tuple(out)

    def _movers(self, across: Across, part: int) -> list[Link]:
        """The links of a part that move with an unknown."""
        key = (across, part)
        if key not in self._moving:
            parts = self.laid(across).part
            self._moving[key] = [link for link in self.links if link.unknown >= 0 and parts[link.a] == part]
        return self._moving[key]

    def _column(self, across: Across, a: int, b: int) -> _Column:
        key = (across, a, b)
        if key not in self._columns:
            of = self.laid(across)
            at = [x - y for x, y in zip(of.shared_ohm[a], of.shared_ohm[b], strict=True)]
            movers = self._movers(across, of.part[a])
            volts = [at[link.a] - at[link.b] for link in movers]
            moved = self._moved(volts, [link.per_unit_ohm / link.ohm ** 2 for link in movers], movers)
            self._columns[key] = _Column(at, volts, Shift(at[a] - at[b], moved, 0.0))
        return self._columns[key]

    def _solved(self, across: Across, edits: tuple[Edit, ...]) -> _Edited:
        key = (across, edits)
        if key not in self._edited:
            part = self.laid(across).part
            if any(part[e.b] != part[e.a] for e in edits) or len(edits) > 1 and any(e.new_ohm == math.inf for e in edits):
                raise ValueError("a cut stands alone, and an edit joins what is joined already")
            columns, kept = [self._column(across, e.a, e.b) for e in edits], [e.kept_ohm for e in edits]
            small = [[column.at[e.a] - column.at[e.b] + (kept[i] if i == j else 0.0) for j, column in enumerate(columns)]
                     for i, e in enumerate(edits)]
            by_ends = {frozenset((e.a, e.b)): e for e in edits if e.old_ohm is not None}
            weights = []
            for link in self._movers(across, part[edits[0].a]):
                edit = by_ends.get(frozenset((link.a, link.b)))
                weights.append(link.per_unit_ohm * edit.grows / edit.new_ohm ** 2 if edit else link.per_unit_ohm / link.ohm ** 2)
            bridge = edits[0].new_ohm == math.inf and abs(small[0][0]) < BRIDGE * abs(kept[0])
            rows = [column.across for column in columns]
            self._edited[key] = _Edited([] if bridge else inverted(small), rows, kept, weights, bridge)
        return self._edited[key]


def _add(of: Laid, a: int, b: int, ohm: float) -> None:
    """One link more: two parts joined into one, or a loop closed."""
    z, part = of.shared_ohm, of.part
    if part[a] == part[b]:
        here = [i for i, each in enumerate(part) if each == part[a]]
        u = [x - y for x, y in zip(z[a], z[b], strict=True)]
        whole = ohm + u[a] - u[b]
        for i in here:
            share = u[i] / whole
            z[i] = [x - share * y for x, y in zip(z[i], u, strict=True)]
        return
    if part.count(part[a]) < part.count(part[b]):
        a, b = b, a
    there, here = ([i for i, each in enumerate(part) if each == part[end]] for end in (a, b))
    at_b, beyond = z[b], ohm + z[a][a] + z[b][b]
    inner = [[z[i][j] - at_b[i] - at_b[j] + beyond for j in here] for i in here]
    for i, row in zip(here, inner, strict=True):
        z[i] = [*z[a]]                            # from any node of the one part, the way to the other goes by the link
        for j, x in zip(here, row, strict=True):
            z[i][j] = x
    for j in there:
        for i in here:
            z[j][i] = z[j][a]
    for i in here:
        part[i] = part[a]


def dot(a: Sequence[float], b: Sequence[float]) -> float:
    """The sum of products."""
    return math.fsum(map(mul, a, b))


def inverted(rows: list[Row]) -> list[Row]:
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
