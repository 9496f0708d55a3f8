"""Sleeves on wires: each finds a stretch of its own wire where it covers no box, no other wire and no other sleeve."""
from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import pairwise

from spareway.drawings.boxes import Rect
from spareway.drawings.symbols import Spot

__all__ = ["Places"]

STEP = 8.0                                            # from one place that is tried to the next
Segment = tuple[Spot, Spot]
Asked = tuple[str | float, ...]                       # cores or a spot, then width and height
Known = dict[Asked, tuple[Spot | None, "Known"]]
HALF_WIRE, SHORT = 6.0, 80.0
BEYOND = (24.0, 32.0)                                 # from a loose end to a letter past it


class Places:
    """What is taken so far: boxes and words, wires by core, sleeves.

    What was found is kept by all that was asked before it, so that another state of the same wires, whose sleeves are mostly as
    wide, is not searched again."""

    def __init__(self, walls: Iterable[Rect], wires: Mapping[str, Sequence[Spot]], wide: float) -> None:
        self.walls, self.wide = list(walls), wide
        self.segments: dict[str, list[Segment]] = {name: sorted((s for s in pairwise(points) if s[0] != s[1]), key=_short_last)
                                                   for name, points in wires.items()}
        self.fat = {name: [_around(s) for s in found] for name, found in self.segments.items()}
        self.taken: list[Rect] = []
        self.known: Known = {}
        self.next = self.known

    def anew(self) -> Places:
        """Nothing is taken by a sleeve any more."""
        self.taken, self.next = [], self.known
        return self

    def free(self, me: Rect, own: Sequence[str]) -> bool:
        """Whether this rectangle covers nothing but these cores."""
        if me[0] <= 1 or me[2] >= self.wide - 1 or _covers_any(me, self.walls) or _covers_any(me, self.taken):
            return False
        return all(name in own or not _covers_any(me, rects) for name, rects in self.fat.items())

    def beyond(self, x: float, y: float, w: float, h: float) -> Spot | None:
        """Take a place past a loose end, for a wire too short to carry a letter: where it would have gone on, or beside that."""
        around = ((x + dx, y + dy) for far in BEYOND for dx, dy in ((0.0, -far), (0.0, far), (far, 0.0), (-far, 0.0)))
        return self._first(around, (), (x, y, w, h), w, h)

    def put(self, own: Sequence[str], w: float, h: float) -> Spot | None:
        """Take the first free place on the wire of the first core, across the others where they run beside it."""
        return self._first(self.spots(own, w, h), own, (*own, w, h), w, h)

    def _first(self, spots: Iterable[Spot], own: Sequence[str], asked: Asked, w: float, h: float) -> Spot | None:
        """Take the first of these that is free."""
        if asked not in self.next:
            self.next[asked] = (next((at for at in spots if self.free(_about(at, w, h), own)), None), {})
        at, self.next = self.next[asked]
        if at:
            self.taken.append(_about(at, w, h))
        return at

    def spots(self, own: Sequence[str], w: float, h: float) -> Iterator[Spot]:
        """Places along straight parts, those where no bend is covered first."""
        found = [(s, part) for s in self.segments[own[0]] for part in _parts(_long(s))]
        for (a, b), part in sorted(found, key=lambda f: _over_a_bend(f[0], f[1], w, h)):
            x, y = a[0] + (b[0] - a[0]) * part, a[1] + (b[1] - a[1]) * part
            upright = a[0] == b[0]
            beside = [c[0] if upright else c[1] for name in own[1:] for c, d in self.segments[name]
                      if (c[0] == d[0]) == upright and _covers(c, d, (x, y), upright)]
            near = [at for at in beside if 0 < abs(at - (x if upright else y)) < min(60.0, w if upright else h)]
            if near:
                x, y = ((x + near[0]) / 2, y) if upright else (x, (y + near[0]) / 2)
            yield x, y


def _about(at: Spot, w: float, h: float) -> Rect:
    return at[0] - w / 2, at[1] - h / 2, at[0] + w / 2, at[1] + h / 2


def _covers_any(me: Rect, others: Sequence[Rect]) -> bool:
    """Whether a rectangle overlaps any of these: written out, because it is asked thousands of times a drawing."""
    left, top, right, bottom = me
    for x0, y0, x1, y1 in others:                         # noqa: SIM110 -- a generator would take twice as long
        if left < x1 and x0 < right and top < y1 and y0 < bottom:
            return True
    return False


def _long(s: Segment) -> float:
    return abs(s[0][0] - s[1][0]) + abs(s[0][1] - s[1][1])


def _parts(long: float) -> Iterator[float]:
    """Where along a straight part a sleeve may be tried: the middle first, then to both sides."""
    if long < SHORT:
        yield from (0.28, 0.72)                           # a letter and a size share it
    count = int(long / STEP / 2)
    for k in range(count + 1):
        yield 0.5 + k * STEP / long if long else 0.5
        if k:
            yield 0.5 - k * STEP / long


def _over_a_bend(s: Segment, part: float, w: float, h: float) -> bool:
    """Whether a sleeve there reaches beyond the straight part."""
    return min(part, 1 - part) * _long(s) < 5 + (w if s[0][1] == s[1][1] else h) / 2


def _short_last(s: Segment) -> float:
    return -_long(s)


def _around(s: Segment) -> Rect:
    (ax, ay), (bx, by) = s
    return min(ax, bx) - HALF_WIRE, min(ay, by) - HALF_WIRE, max(ax, bx) + HALF_WIRE, max(ay, by) + HALF_WIRE


def _covers(c: Spot, d: Spot, at: Spot, upright: bool) -> bool:
    k = 1 if upright else 0
    return min(c[k], d[k]) <= at[k] <= max(c[k], d[k])
