"""Where the inside of a thing is drawn: its terminals on the edges, its metal in columns and rails, its poles in rows.

Made from the wiring and the sides of a kind alone, so a kind needs no drawing of its own. Metal lies in levels, one
above the other; what joins two pieces of metal stands upright between their levels; terminals drop or rise to the level
of theirs. Levels that hold several pieces have a rail for each, in the order that crosses least.
"""
from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations, permutations

from spareway.drawings.symbols import Spot
from spareway.kinds import Kind, kind
from spareway.kinds.joints import Link, inside
from spareway.wiring.sections import fused

__all__ = ["Face", "Placed", "face"]

LEFT, PITCH, FEWEST = 22, 26, 4                     # x of the first column, between columns, least number of columns
ROW, LANE, BAND, MARGIN = 64, 18, 12, 12            # heights: a row of poles, rail to rail, a level, the ends
HALF = 16                                           # from the middle of a symbol to where its leads begin
ALONE = 36                                          # room for the symbol of a single earthed thing
CONDUCTORS = ("L", "L1", "L2", "L3", "N", "E")      # from left to right
SOURCE = "source"                                   # a joint of drawings only: what gives a kind its potential


@dataclass(frozen=True, slots=True)
class Placed:
    """Something that stands between two pieces of metal: "-" a pole, "~" a surge module, "=" a load, "source"."""
    joint: str
    control: str
    below: str                                      # a terminal of the metal at its lower end, and at its upper
    above: str
    at: Spot


@dataclass(frozen=True, slots=True)
class Face:
    """A thing drawn from its top left corner, downwards. Metal is named after its first terminal."""
    of: Kind
    width: float
    height: float
    terminals: Mapping[str, Spot]                   # those on the edges, where conductors land
    metal: Mapping[str, tuple[tuple[Spot, ...], ...]]
    dots: tuple[Spot, ...]
    placed: tuple[Placed, ...]


@dataclass(slots=True)
class Joint:
    """A joint while it is being placed: pieces of metal at its lower and upper end, its row and column."""
    link: Link
    low: int
    high: int
    row: int = 0
    column: int = -1


@cache
def face(name: str) -> Face:
    """The face of a kind. Errors: UnknownKind."""
    return Layout(kind(name)).face()


class Layout:
    """Levels, then columns, then rails, then places."""

    def __init__(self, of: Kind) -> None:
        self.of = of
        links = [Link(k.a[1:], k.b[1:], k.joint, k.control[1:]) for k in inside("", of.wiring)]
        self.terminals = tuple(dict.fromkeys(t for link in links for t in (link.a, link.b)))
        at = {t: i for i, t in enumerate(self.terminals)}
        fixed = [(at[k.a], at[k.b]) for k in links if k.joint == "-" and not k.control]
        self.piece = dict(zip(self.terminals, fused(len(at), fixed), strict=True))
        self.pieces = tuple(dict.fromkeys(self.piece.values()))
        joints = [k for k in links if k.joint != "-" or k.control] + list(sources(of))
        self.joints = [Joint(k, *self.low_and_high(k)) for k in joints]
        self.level = self.levels()
        self.column, self.columns = columns(of, self.terminals)
        for joint in self.joints:
            joint.row = max(self.level[j.low] for j in self.joints if self.ganged(j, joint))
        for joint in self.joints:
            joint.column = self.free_column(joint)
        self.columns = max([self.columns, *(j.column + 1 for j in self.joints)])
        self.lane = self.lanes()

    # ---- levels ---------------------------------------------------------------------------------------------------
    def edge(self, terminal: str) -> str:
        return self.of.face[terminal.partition(".")[0]].partition(" ")[0]

    def ends(self, piece: int, edge: str) -> list[str]:
        return [t for t in self.terminals if self.piece[t] == piece and self.edge(t) == edge]

    def low_and_high(self, link: Link) -> tuple[int, int]:
        a, b = self.piece[link.a], self.piece[link.b]
        if link.joint == "~":
            return (b, a) if self.ends(b, "bottom") else (a, b)
        rank = [0 if self.ends(p, "bottom") else 2 if self.ends(p, "top") else 1 for p in (a, b)]
        return (b, a) if link.joint == "-" and rank[1] < rank[0] else (a, b)

    def levels(self) -> dict[int, int]:
        """Each piece of metal above all that joins it from below. What ends in a top terminal goes to the top."""
        level = dict.fromkeys(self.pieces, 0)
        for _ in self.pieces:
            for joint in self.joints:
                level[joint.high] = max(level[joint.high], level[joint.low] + 1)
        lows, highs = {j.low for j in self.joints}, {j.high for j in self.joints}
        for piece in highs - lows:
            if self.ends(piece, "top"):
                level[piece] = max(level.values())
        return level

    @staticmethod
    def ganged(a: Joint, b: Joint) -> bool:
        return a is b or bool(a.link.control) and a.link.control == b.link.control

    # ---- columns --------------------------------------------------------------------------------------------------
    def uprights(self) -> Iterator[tuple[int, int, int]]:
        """(column, first row, last row) of all that stands or rises so far; rows -1 and `top` are the margins."""
        top = max(self.level.values())
        for terminal, column in self.column.items():
            level = self.level[self.piece[terminal]]
            yield (column, -1, level - 1) if self.edge(terminal) == "bottom" else (column, level, top)
        for joint in self.joints:
            if joint.column >= 0:
                yield joint.column, self.level[joint.low], self.level[joint.high] - 1

    def free_column(self, joint: Joint) -> int:
        """The column where it stands: in line with a terminal of both its ends, of one, or as near as there is room."""
        first, last = self.level[joint.low], self.level[joint.high] - 1
        taken = {c for c, lowest, highest in self.uprights() if lowest <= last and first <= highest}
        ends = [{self.column[t] for t in self.column if self.piece[t] == p} | {
            j.column for j in self.joints if j.column >= 0 and p in (j.low, j.high)} for p in (joint.low, joint.high)]
        wanted = [*sorted(ends[0] & ends[1]), *sorted(ends[0]), *sorted(ends[1])]
        near = wanted[0] if wanted else 0
        room = range(self.columns + len(self.joints))
        others = sorted(room, key=lambda c: (c >= self.columns, c < near, abs(c - near)))
        return next(c for c in [*wanted, *others] if c not in taken)

    # ---- rails ----------------------------------------------------------------------------------------------------
    def reach(self, piece: int) -> list[int]:
        """The columns that a piece of metal has to reach."""
        return [c for t, c in self.column.items() if self.piece[t] == piece] + [
            j.column for j in self.joints if piece in (j.low, j.high)]

    def lanes(self) -> dict[int, int]:
        """A lane for each piece that needs a rail, lowest first; the order of a level is the one that crosses least."""
        lane: dict[int, int] = {}
        for level in range(max(self.level.values()) + 1):
            rails = [p for p in self.pieces if self.level[p] == level and len(set(self.reach(p))) > 1]
            tried: list[dict[int, int]] = [{p: i for i, p in enumerate(order)} for order in permutations(rails)]
            best: dict[int, int] = min(tried, key=self.crossings)
            lane |= best
        return lane

    def crossings(self, lane: Mapping[int, int]) -> int:
        """How often the uprights of one of these pieces meet the rail of another; along one column they may not."""
        met = 0
        for rail, other in ((a, b) for pair in combinations(lane, 2) for a, b in (pair, pair[::-1])):
            here = self.reach(rail)
            for column, up in self.leaving(other):
                if min(here) <= column <= max(here) and (lane[rail] > lane[other]) == up:
                    met += 100 if (column, not up) in self.leaving(rail) or column in here else 1
        return met

    def leaving(self, piece: int) -> list[tuple[int, bool]]:
        """(column, whether upwards) of all that leaves the rail of a piece."""
        return [(c, self.edge(t) == "top") for t, c in self.column.items() if self.piece[t] == piece] + [
            (j.column, j.low == piece) for j in self.joints if piece in (j.low, j.high)]

    # ---- places ---------------------------------------------------------------------------------------------------
    def face(self) -> Face:
        """All of it in units from the top left corner."""
        tops = self.tops()
        height = tops[0] + self.band(0) + MARGIN + (ALONE if self.of.family == "earth" and len(self.column) == 1 else 0)
        terminals = {t: (x_of(c), height if self.edge(t) == "bottom" else 0.0) for t, c in self.column.items()}
        placed, leads = [], dict[int, list[Spot]]()
        for t, spot in terminals.items():
            leads.setdefault(self.piece[t], []).append(spot)
        for j in self.joints:
            x, y = x_of(j.column), tops[j.row] - ROW / 2
            placed.append(Placed(j.link.joint, j.link.control, self.name(j.low), self.name(j.high), (x, y)))
            leads.setdefault(j.low, []).append((x, y + HALF))
            leads.setdefault(j.high, []).append((x, y - HALF))
        metal, dots = {}, list[Spot]()
        for piece in self.pieces:
            lane = self.lane.get(piece)
            y = tops[self.level[piece]] + self.band(self.level[piece]) - BAND / 2 - LANE * (lane or 0)
            metal[self.name(piece)], met = branches(leads.get(piece, []), y)
            dots += met
        width = x_of(self.columns - 1) + LEFT - 4
        return Face(self.of, width, height, terminals, metal, tuple(dots), tuple(placed))

    def name(self, piece: int) -> str:
        return self.terminals[piece]

    def band(self, level: int) -> float:
        lanes = [lane for piece, lane in self.lane.items() if self.level[piece] == level]
        return BAND + LANE * max([0, *lanes])

    def tops(self) -> dict[int, float]:
        """The upper end of each level."""
        found, y = dict[int, float](), float(MARGIN)
        for level in range(max(self.level.values()), -1, -1):
            found[level] = y
            y += self.band(level) + ROW
        return found


def sources(of: Kind) -> Iterator[Link]:
    """What gives a kind its potential, drawn between its line and its neutral."""
    line, neutral = ([t for t, letter in of.sources.items() if letter == wanted] for wanted in "LN")
    for a, b in zip(line, neutral, strict=True):
        yield Link(a, b, SOURCE)


def columns(of: Kind, terminals: Sequence[str]) -> tuple[dict[str, int], int]:
    """The column of each terminal on an edge, and how many columns there are.

    Sides on the right are mirrored, so that what goes in and comes out on one edge nests. Earth stands at the far end,
    unless another conductor has that place on either edge.
    """
    left: dict[str, list[str]] = {"bottom": [], "top": []}
    right: dict[str, list[str]] = {"bottom": [], "top": []}
    has = {side: [f"{side}.{c}" for c in CONDUCTORS if f"{side}.{c}" in terminals] for side in of.face}
    outermost = [has[side][0] for side, where in of.face.items() if where.endswith("right")][-1:]
    far_earth = all(end.endswith(".E") for end in outermost)
    for side, where in of.face.items():
        edge, _, end = where.partition(" ")
        if end == "right":
            right[edge] += reversed(has[side])
        elif edge != "inside":
            apart = not end and far_earth and len(has[side]) > 2
            left[edge] += has[side][:-1] if apart else has[side]
            right[edge] += has[side][-1:] if apart else []
    count = max(FEWEST, *(len(left[edge]) + len(right[edge]) for edge in left))
    column: dict[str, int] = {}
    for edge in left:
        column |= {t: i for i, t in enumerate(left[edge])}
        column |= {t: count - len(right[edge]) + i for i, t in enumerate(right[edge])}
    return column, count


def x_of(column: int) -> float:
    return float(LEFT + PITCH * column)


def branches(ends: Sequence[Spot], rail_y: float) -> tuple[tuple[tuple[Spot, ...], ...], list[Spot]]:
    """The strokes of a piece of metal that reaches these ends, and its junctions."""
    xs = sorted({x for x, _ in ends})
    if not xs:
        return (), []
    if len(xs) == 1:
        ys = [y for _, y in ends]
        return (((xs[0], max(ys)), (xs[0], min(ys) if len(ys) > 1 else rail_y)),), []
    corner = [next(end for end in ends if end[0] == x) for x in (xs[0], xs[-1])]
    main = (corner[0], (xs[0], rail_y), (xs[-1], rail_y), corner[1])
    rest = [end for end in ends if end not in corner]
    return (main, *((end, (end[0], rail_y)) for end in rest)), [*dict.fromkeys((x, rail_y) for x, _ in rest)]
