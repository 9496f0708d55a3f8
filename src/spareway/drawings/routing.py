"""Where each core runs: straight out of its terminal, along lanes of the channels, past shelves between their boxes."""
from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import fsum

from spareway.drawings.boxes import Box
from spareway.drawings.cores import Core
from spareway.drawings.lanes import TOUCHING, Part, in_lanes
from spareway.drawings.shelves import CHANNEL_PITCH, GAP, channel, owner
from spareway.drawings.symbols import Spot

__all__ = ["Routes", "routed"]

LEAST, EDGE, FOOT = 64.0, 18.0, 8.0                   # height of a channel with few wires; from a box to the nearest lane
AIRY = 18.0                                           # more above the lanes, where a letter finds room on a wire they all cross
LOOSE = 26.0                                          # and between a terminal and a loose end
SHARED, SPREAD = 11.0, 16.0                           # between two cores on one terminal; between the outermost of several
OUTSIDE = 35.0                                        # how far a core would rather go than pass left of all boxes
HALF_SLOT, KEPT = 10.0, 12                            # from the edge of a gap to a core in it; ways kept while choosing
NUDGES = (7.0, -7.0, 13.0, -13.0, 20.0, -20.0)        # how far a box may be moved so that nothing touches
STUB = 12.0                                           # half the width that a loose end takes


@dataclass(frozen=True, slots=True)
class Routes:
    """The points of each core, from its end `a`; where each core lands; the height of the drawing."""
    points: Mapping[str, tuple[Spot, ...]]
    height: float
    crossings: int


class Router:
    """Gaps, then slots in the gaps, then lanes."""

    def __init__(self, boxes: Mapping[str, Box], cores: Sequence[Core], wide: float) -> None:
        self.boxes, self.cores, self.wide = boxes, cores, wide
        self.shelves = max((box.shelf for box in boxes.values()), default=0) + 1
        self.rows = [sorted((b for b in boxes.values() if b.shelf == s), key=lambda b: b.x) for s in range(self.shelves)]
        self.shift = self.landings()
        self.gap: dict[tuple[int, int], int] = {}                  # (core, shelf) -> gap
        self.slots: dict[tuple[int, int], list[int]] = {}          # (shelf, gap) -> cores from left to right
        self.x: dict[tuple[int, int], float] = {}                  # (core, shelf) -> x
        self.column: dict[int, float] = {}                         # shelf -> how far from the left its boxes stay
        self.needs: list[list[float]] = []
        self.fixed: list[list[tuple[int, float, bool]]] = []       # ends of each core, once boxes have their places
        self.among: dict[int, list[int]] = {}                      # channel -> cores that run in it
        self.passed: dict[int, list[int]] = {}                     # shelves that each core passes
        self.kept: dict[int, tuple[dict[int, int], int, int]] = {}

    # ---- ends -----------------------------------------------------------------------------------------------------
    def landings(self) -> dict[tuple[int, str], float]:
        """How far beside its terminal a core lands where several share it."""
        at: dict[str, list[int]] = {}
        for i, core in enumerate(self.cores):
            for end in dict.fromkeys((core.a, core.b)):
                if end:
                    at.setdefault(end, []).append(i)
        apart = {end: min(SHARED, SPREAD / max(1, len(here) - 1)) for end, here in at.items()}
        return {(i, end): apart[end] * (n - (len(here) - 1) / 2) for end, here in at.items() for n, i in enumerate(here)}

    def end_x(self, i: int, end: str) -> float:
        return self.boxes[owner(end)].at(end)[0] + self.shift[i, end]

    def ends(self, i: int) -> list[tuple[int, float, bool]]:
        """(channel, x, whether it comes up into it) of both ends of a core, or of the one that it has."""
        return self.fixed[i] if self.fixed else self.ends_now(i)

    def ends_now(self, i: int) -> list[tuple[int, float, bool]]:
        core = self.cores[i]
        return [(channel(self.boxes[owner(t)], t), self.end_x(i, t), self.boxes[owner(t)].ends[t].up)
                for t in (core.a, core.b) if t]

    def crossed(self, i: int) -> list[int]:
        """The shelves that a core passes, in order from its end a."""
        if i not in self.passed:
            channels = [c for c, _, _ in self.ends(i)]
            shelves = list(range(min(channels), max(channels)))
            self.passed[i] = shelves if channels[0] == min(channels) else shelves[::-1]
        return self.passed[i]

    # ---- gaps -----------------------------------------------------------------------------------------------------
    def gaps(self, shelf: int) -> list[tuple[float, float]]:
        """The free stretches of a shelf, margins included."""
        edges = [0.0, *(x for box in self.rows[shelf] for x in (box.x, box.x + box.width)), self.wide]
        return list(zip(edges[::2], edges[1::2], strict=True))

    def choose_gaps(self) -> None:
        """For each core the gaps along which it has least to go sideways."""
        for i in range(len(self.cores)):
            shelves = self.crossed(i)
            if not shelves:
                continue
            (_, start, _), (_, end, _) = self.ends(i)
            if start == end and all(self.can_leave(start, shelf) for shelf in shelves):
                self.gap |= {(i, shelf): 0 for shelf in shelves}
                self.column |= {shelf: max(start + HALF_SLOT, self.column.get(shelf, 0.0)) for shelf in shelves}
                continue
            best: list[tuple[float, float, tuple[int, ...]]] = [(0.0, start, ())]
            for shelf in shelves:
                options = []
                for g, (left, right) in enumerate(self.gaps(shelf)):
                    for cost, at, way in best:
                        x = max(left + HALF_SLOT, min(right - HALF_SLOT, at))
                        options.append((cost + abs(x - at) + (OUTSIDE if g == 0 else 0.0), x, (*way, g)))
                best = sorted(options)[:KEPT]
            _, _, way = min((cost + abs(x - end), x, way) for cost, x, way in best)
            self.gap |= {(i, shelf): g for shelf, g in zip(shelves, way, strict=True)}
        for (i, shelf), g in self.gap.items():
            self.slots.setdefault((shelf, g), []).append(i)

    def can_leave(self, x: float, shelf: int) -> bool:
        """Whether the boxes of a shelf can all move right of this x, so that what stands in line below and above is straight."""
        passing = [i for i in range(len(self.cores)) if shelf in self.crossed(i)]
        width = x + HALF_SLOT + 8.0 + CHANNEL_PITCH * (len(passing) - 2)         # a pair of them is what goes straight
        for box in self.rows[shelf]:
            width += box.width + GAP
        return width <= self.wide

    def place_boxes(self) -> None:
        """Move the boxes of each shelf apart as far as their gaps need; what is over goes between them."""
        for shelf, row in enumerate(self.rows):
            needs = [max(GAP if 0 < g < len(row) else 8.0, CHANNEL_PITCH * len(self.slots.get((shelf, g), ())))
                     for g in range(len(row) + 1)]
            needs[0] = max(needs[0], self.column.get(shelf, 0.0))
            over = self.wide
            for part in (*needs, *(box.width for box in row)):
                over -= part
            between = over / (len(row) - 1) if len(row) > 1 and over > 0 else 0
            x = needs[0]
            for g, box in enumerate(row):
                box.x = float(int(x))
                x += box.width + needs[g + 1] + (between if g < len(row) - 1 else 0)
            self.needs.append(needs)
        for _ in range(2):
            for row, needs in zip(self.rows, self.needs, strict=True):
                self.align(row, needs)

    def align(self, row: Sequence[Box], needs: Sequence[float]) -> None:
        """Move each box, as far as its gaps allow, to where most of its cores run straight."""
        for g, box in enumerate(row):
            left = row[g - 1].x + row[g - 1].width if g else 0.0
            right = row[g + 1].x if g < len(row) - 1 else self.wide
            least, most = left + needs[g] - box.x, right - needs[g + 1] - box.width - box.x
            shifts = [shift for shift in self.straight(box) if least <= shift <= most]
            if shifts:
                box.x += max(sorted(set(shifts), key=abs), key=shifts.count)

    def straight(self, box: Box) -> list[float]:
        """How far a box would have to move for each core to run straight to another shelf."""
        out = []
        for i, core in enumerate(self.cores):
            if core.b and owner(core.a) != owner(core.b) and not self.crossed(i):
                mine, other = (core.a, core.b) if owner(core.a) == box.name else (core.b, core.a)
                if owner(mine) == box.name and self.boxes[owner(other)].shelf != box.shelf:
                    out += [self.end_x(i, other) - self.end_x(i, mine)] * (1 if core.b.endswith(".E") else 2)
        return out

    def place_slots(self, only: tuple[int, int] | None = None) -> None:
        for (shelf, g), here in self.slots.items():
            if only in (None, (shelf, g)):
                left, right = self.gaps(shelf)[g]
                pitch = min(CHANNEL_PITCH, (right - left) / len(here))
                x = left - pitch / 2
                for n, i in enumerate(here):
                    last = right - pitch * (len(here) - n - 0.5)
                    x = max(x + pitch, min(last, self.near(i, shelf)))
                    self.x[i, shelf] = x

    def near(self, i: int, shelf: int) -> float:
        """Where a core would best pass a shelf: in line with its end that is nearer."""
        return min(self.ends(i), key=lambda end: abs(end[0] - shelf - 0.5))[1]

    # ---- lanes ----------------------------------------------------------------------------------------------------
    def hops(self, i: int) -> list[tuple[int, tuple[float, bool], tuple[float, bool] | None]]:
        """(channel, where it enters, where it leaves) for each channel a core runs in; up: the lead goes upwards."""
        ends, shelves = self.ends(i), self.crossed(i)
        (here, x, up), upward = ends[0], len(ends) > 1 and ends[0][0] < ends[-1][0]
        out: list[tuple[int, tuple[float, bool], tuple[float, bool] | None]] = []
        lead = (x, not up)                                   # what comes up into a channel is a lead downwards of its lane
        for shelf in shelves:
            out.append((here, lead, (self.x[i, shelf], upward)))
            lead, here = (self.x[i, shelf], not upward), here + (1 if upward else -1)
        return [*out, (here, lead, (ends[1][1], not ends[1][2]) if len(ends) > 1 else None)]

    def through(self, c: int) -> list[int]:
        """The cores that run in a channel."""
        channels = [[end[0] for end in self.ends(i)] for i in range(len(self.cores))] if c not in self.among else []
        return self.among.setdefault(c, [i for i, both in enumerate(channels) if min(both) <= c <= max(both)])

    def parts(self, c: int) -> list[Part]:
        found = []
        for i in self.through(c):
            for at, lead, other in self.hops(i):
                if at == c:
                    if other is None:
                        found.append(Part(i, (lead,), (lead[0] - STUB, lead[0] + STUB)))
                    elif lead[0] == other[0] and lead[1] != other[1]:
                        found.append(Part(i, (lead, other), None))
                    else:
                        found.append(Part(i, (lead, other), (min(lead[0], other[0]), max(lead[0], other[0]))))
        return found

    def cost(self, channels: Sequence[int]) -> float:
        total = 0.0
        for c in channels:
            self.kept[c] = in_lanes(self.parts(c))
            total += self.kept[c][2] + 0.2 * self.kept[c][1]
        return total

    def order_slots(self) -> None:
        """Swap neighbours in a gap as long as that saves crossings."""
        for (shelf, g), here in self.slots.items():
            here.sort(key=self.aim)
            self.place_slots((shelf, g))
        for _ in range(3):
            better = False
            for (shelf, g), here in self.slots.items():
                least = self.cost((shelf, shelf + 1))
                for m, n in combinations(range(len(here)), 2):
                    here[m], here[n] = here[n], here[m]
                    self.place_slots((shelf, g))
                    if (now := self.cost((shelf, shelf + 1))) < least:
                        better, least = True, now
                    else:
                        here[m], here[n] = here[n], here[m]
                        self.place_slots((shelf, g))
            if not better:
                break

    def nudge(self) -> None:
        """Where uprights of two cores would touch, move a box aside, as far as its shelf allows, if that frees them."""
        least = self.whole()
        for row, needs in zip(self.rows, self.needs, strict=True):
            for g, box in enumerate(row):
                left = row[g - 1].x + row[g - 1].width if g else 0.0
                right = row[g + 1].x if g < len(row) - 1 else self.wide
                home = best = box.x
                for shift in NUDGES if least >= TOUCHING else ():
                    box.x = home + shift
                    if left + needs[g] <= box.x <= right - needs[g + 1] - box.width and (now := self.whole()) < least:
                        best, least = box.x, now
                box.x = best
        self.whole()

    def whole(self) -> float:
        """What everything costs with the boxes where they are."""
        self.fixed = [self.ends_now(i) for i in range(len(self.cores))]
        self.place_slots()
        return self.cost(range(self.shelves + 1))

    def aim(self, i: int) -> tuple[float, float]:
        xs = [x for _, x, _ in self.ends(i)]
        return min(xs) + max(xs), xs[0]

    # ---- all of it ------------------------------------------------------------------------------------------------
    def run(self) -> Routes:
        self.choose_gaps()
        self.place_boxes()
        self.fixed = [self.ends_now(i) for i in range(len(self.cores))]
        self.place_slots()
        self.order_slots()
        self.nudge()
        crossings = self.cost(range(self.shelves + 1))
        floor, y = dict[int, float](), 0.0                   # upwards from the foot
        for c in range(self.shelves + 1):
            floor[c] = y
            y += self.high(c)
            if c < self.shelves:
                for box in self.rows[c]:
                    box.y = -y - box.height
                y += max((box.height + box.head for box in self.rows[c]), default=0.0)
        for box in self.boxes.values():
            box.y += y
        points = {core.name: self.points(i, {c: y - f for c, f in floor.items()}) for i, core in enumerate(self.cores)}
        return Routes(points, y, int(crossings))

    def high(self, c: int) -> float:
        lanes = self.kept[c][1]
        if not lanes and c in (0, self.shelves):
            return FOOT
        return max(LEAST, CHANNEL_PITCH * (lanes - 1) + 2 * EDGE) + fsum(self.airy(c))

    def airy(self, c: int) -> tuple[float, float]:
        """What a channel has more below its lanes and above, so that letters find room.

        On a wire that goes straight through from box to box, above the lanes that cross it; between a terminal and a loose end.
        """
        here = self.parts(c)
        straight = [p.leads[0][0] for p in here if p.level is None and not self.crossed(p.core)]
        crossed = any(p.level and p.level[0] - HALF_SLOT < x < p.level[1] + HALF_SLOT for x in straight for p in here)
        loose = {up for p in here if len(p.leads) == 1 for _, up in p.leads}
        return LOOSE if False in loose else 0.0, max(AIRY if crossed else 0.0, LOOSE if True in loose else 0.0)

    def points(self, i: int, foot: Mapping[int, float]) -> tuple[Spot, ...]:
        core = self.cores[i]
        out = [(self.end_x(i, core.a), self.boxes[owner(core.a)].at(core.a)[1])]
        for c, lead, other in self.hops(i):
            lane, lanes = self.kept[c][0].get(i), self.kept[c][1]
            if lane is not None:
                below, above = self.airy(c)
                y = foot[c] - (self.high(c) + below - above) / 2 + CHANNEL_PITCH * ((lanes - 1) / 2 - lane)
                out += [(lead[0], y)] + ([(other[0], y)] if other and other[0] != lead[0] else [])
        if core.b:
            out.append((self.end_x(i, core.b), self.boxes[owner(core.b)].at(core.b)[1]))
        return tuple(out)


def routed(boxes: Mapping[str, Box], cores: Sequence[Core], wide: float) -> Routes:
    """Give every box its place and every core its points."""
    return Router(boxes, cores, wide).run()
