"""A ring with its readings: the way round from leg A to leg B, what is suspect on it, and what was read at each point.

The board is at the foot. Line lies outside, neutral between, protective conductor inside. Under it stand the readings taken
round the ring, each with what it should have been; where nothing was read, nothing is drawn.
"""
from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import inf

from spareway.drawings.axes import Axis, round_steps, spread
from spareway.drawings.graph import GRID, SIZE, SMALL, Sheet, marked
from spareway.drawings.letters import in_lines, width
from spareway.drawings.symbols import Spot, box, dot, frame, line, n, polyline, ring, ring_width, text, wire
from spareway.readings.pictured import Pictured, Stands, Suspect
from spareway.show import show
from spareway.wiring.potentials import EARTH, LINE, NEUTRAL

__all__ = ["ring_drawn"]

CORES = {"L": (-12.0, LINE), "N": (0.0, NEUTRAL), "E": (12.0, EARTH)}
SIDE, ABOVE, BOARD_H = 84.0, 68.0, 30.0         # from the edge of the sheet to the middle of the ring; the board
APART, LEAST_H = 31.0, 120.0                    # between two points; how high the ring is at least
NUMBER, METRES, RAISED = 27.0, 38.0, 15.0              # outwards from the middle of the ring: the number of a point; the lengths
LEFT, RIGHT, PLOT_H, BELOW = 44.0, 14.0, 112.0, 42.0
ROOM = 1.15
BAR = 5.0                                       # half as wide as the interval of a reading is drawn
CROSS = {"ring_ln_ohm": "Line to neutral, ends joined crosswise", "ring_le_ohm": "Line to earth, ends joined crosswise"}
ENDS = {"ring_r1_ohm": "line", "ring_rn_ohm": "neutral", "ring_r2_ohm": "protective conductor"}
_SIDES = {"high": "above", "low": "below", "far high": "far above", "far low": "far below"}
MOST_SUSPECTS, MOST_OUTSIDE = 6, 3              # told one by one


def ring_drawn(of: Pictured, brief: bool = False) -> str:
    """The drawing as SVG, as wide as a phone. brief: without what holds of every such drawing."""
    sheet = Sheet(False, brief)
    answer = _answer(of)
    if not brief:
        sheet.headline(f"Readings of {of.name}", answer)
    if not of.points:
        sheet.say("No ring is drawn: no single way round is recorded.")
    else:
        _Way(sheet, of).put()
    named = [f"{i} {name.replace('-', ' ')}" for i, name in enumerate(of.points, 1) if name != f"p{i}"]
    if named:
        sheet.say(f"Points: {', '.join(named)}.")
    for suspect in of.suspects[:0 if of.told_apart else MOST_SUSPECTS]:
        sheet.say(f"{_hundred(suspect.share)}: {suspect.says}", mark=line("M-8 0h16", width=7.6, dash="2 3.4"), mark_w=16)
    if (more := len(of.suspects) - MOST_SUSPECTS) > 0:
        sheet.say(f"and {more} more that these readings leave")
    for quantity, says in CROSS.items():
        shown = [each for each in of.stands if each.row.quantity == quantity and each.stop is not None]
        if shown:
            _graph(sheet, of, says, shown)
    for each in of.stands:
        if each.row.quantity in ENDS:
            sheet.say(f"{ENDS[each.row.quantity].capitalize()} end to end: {_told(each)}")
    _legs(sheet, of)
    sheet.always("Box: from the least to the most that a sound ring should read; stroke: what the record makes of it.")
    return sheet.svg(f"Readings of {of.name}. {answer}")


def _answer(of: Pictured) -> str:
    if not of.stands:
        return "Nothing was read yet that this can draw."
    if of.suspects and of.told_apart:
        return f"Suspect, {_hundred(of.suspects[0].share)}: {of.suspects[0].says}."
    if of.suspects:
        return f"{len(of.suspects)} places are suspect; these readings do not tell them apart."
    if of.why_not:
        return f"No fault is sought: {of.why_not}."
    return "No place is suspect by these readings. That proves no more than they can show."


def _hundred(share: float) -> str:
    return f"{max(min(round(100 * share), 99), 1)} in 100"


def _told(each: Stands) -> str:
    """A reading in words, and by how much it lies outside what it should be."""
    read = each.row.shown if each.row.value is not None else each.row.over_words
    if each.expected is None:
        return read
    said = f"{read}; expected {show(each.expected.least)} to {show(each.expected.most)}"
    if not each.outside:
        return said
    return f"{said}: {f'{show(each.off_ohm, 2)} Ω ' if each.off_ohm else ''}{_SIDES[each.fell]}"


def _legs(sheet: Sheet, of: Pictured) -> None:
    for each in of.stands:
        if each.row.quantity == "leg_ohm" and each.stop:
            sheet.say(f"Leg A to {of.points[each.stop - 1]}, {each.row.a.rpartition('.')[2]}, ends open: {_told(each)}")


# ---- the way round ----------------------------------------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class _Track:
    """The middle of the ring: up from leg A, across, down to leg B. `at` turns a way along it into a spot."""
    left: float
    right: float
    top: float
    foot: float

    @property
    def whole(self) -> float:
        return 2 * self.up + self.across

    @property
    def up(self) -> float:
        return self.foot - self.top

    @property
    def across(self) -> float:
        return self.right - self.left

    def at(self, way: float, inwards: float = 0.0) -> Spot:
        """The spot so far along it, and so far inwards of it."""
        if way <= self.up:
            return self.left + inwards, max(self.foot - way, self.top + inwards)
        if way <= self.up + self.across:
            x = self.left + way - self.up
            return min(max(x, self.left + inwards), self.right - inwards), self.top + inwards
        return self.right - inwards, max(self.top + way - self.up - self.across, self.top + inwards)

    def stretch(self, start: float, end: float, inwards: float) -> list[Spot]:
        """The corners of a line along it from one way to another."""
        turns = [w for w in (self.up, self.up + self.across) if start < w < end]
        spots = [self.at(start, inwards), *(self._corner(w, inwards) for w in turns), self.at(end, inwards)]
        return [spots[0], *(b for a, b in pairwise(spots) if a != b)]

    def _corner(self, way: float, inwards: float) -> Spot:
        return (self.left + inwards if way == self.up else self.right - inwards), self.top + inwards


class _Way:
    """The three conductors round, the points on them, how far apart they are, and what is suspect."""

    def __init__(self, sheet: Sheet, of: Pictured) -> None:
        self.sheet, self.of = sheet, of
        across = sheet.width - 2 * SIDE
        high = max(LEAST_H, ((len(of.points) + 1) * APART - across) / 2 + 8)
        top = sheet.room(ABOVE + high + BOARD_H + 10) + ABOVE
        self.track = _Track(SIDE, sheet.width - SIDE, top, top + high)
        self.stops = self._stops()

    def _stops(self) -> list[float]:
        """Where each stop is along the way, leg A first and leg B last: by length where every length is known."""
        count, whole = len(self.of.points), self.track.whole
        metres = self.of.at_m
        even = [whole * i / (count + 1) for i in range(count + 2)]
        wanted = [whole * m / metres[-1] for m in metres] if metres and metres[-1] > 0 else even
        return [0.0, *spread(wanted[1:-1], APART - 2, APART * 0.8, whole - APART * 0.8), whole]

    def put(self) -> None:
        put = self.sheet.put
        for core, (inwards, potential) in CORES.items():
            put(wire([self.track.stretch(0.0, self.track.whole, inwards)], potential, radius=0))
            put(*(self._stretch(core, inwards, s) for s in self.of.suspects if core in s.cores and len(s.stops) == 2))
        for i in range(1, len(self.of.points) + 1):
            put(*(dot(*self.track.at(self.stops[i], inwards)) for inwards, _ in CORES.values()))
            put(*(self._ringed(i) for s in self.of.suspects if s.stops == (i,)))
            put(ring(*self.track.at(self.stops[i], -NUMBER), str(i)))
        put(*self._lengths(), *self._board(), *self._inside())

    def _stretch(self, core: str, inwards: float, suspect: Suspect) -> str:
        """A stretch of one conductor in rungs: not known to be whole. Two points that are no neighbours are ringed."""
        a, b = sorted(suspect.stops)
        if b != a + 1:
            return "".join(self._ringed(stop) for stop in (a, b)) if core == suspect.cores[0] else ""
        spots = self.track.stretch(self.stops[a] + 5, self.stops[b] - 5, inwards)
        d = polyline(spots)
        return marked(f"suspect {core} {a} {b}", line(d, cls="halo", colour="#ffffff", width=8)
                      + line(d, width=9, dash="2 3.4"))

    def _ringed(self, stop: int) -> str:
        x, y = self.track.at(self.stops[stop])
        return marked(f"suspect at {stop}", box(x - 21, y - 21, 42, 42, cls="ink", width=2, dash="3 2.5", radius=21))

    def _lengths(self) -> Iterator[str]:
        """How long each stretch is, outside the numbers, at its middle."""
        beside, end = self.track.up, 0.0
        for (a, b), metres in zip(pairwise(self.stops), self.of.lengths_m, strict=True):
            middle, words = (a + b) / 2, str(metres) if metres.known else "? m"
            x, y = self.track.at(middle, -METRES)
            if not beside < middle <= beside + self.track.across:
                yield text(x, y + 4.5, words, size=SMALL, anchor="end" if middle <= beside else "start")
                continue
            half = width(words, SMALL) / 2
            raised = x - half < end + 4                         # over the one before it
            end = 0.0 if raised else x + half
            yield text(x, y - (RAISED if raised else 0), words, size=SMALL, anchor="middle")

    def _board(self) -> Iterator[str]:
        """The board at the foot, with both legs and the letters of their conductors."""
        left, right, y = self.track.left, self.track.right, self.track.foot
        yield frame(left - 40, y, right - left + 80, BOARD_H)
        for core, (inwards, _) in CORES.items():
            yield text(left + inwards, y + 20, core, size=SMALL, bold=True, anchor="middle")
            yield text(right - inwards, y + 20, core, size=SMALL, bold=True, anchor="middle")
        yield text(left + 24, y + 20, "leg A", size=SIZE)
        yield text(right - 24, y + 20, "leg B", size=SIZE, anchor="end")

    def _inside(self) -> Iterator[str]:
        """What it comes to, in the middle of the ring."""
        if not self.of.suspects:
            return
        words = self.of.suspects[0].says if self.of.told_apart else f"{len(self.of.suspects)} places not told apart"
        middle = (self.track.left + self.track.right) / 2
        lines = list(in_lines(words, SIZE, self.track.across - 44))
        y = (self.track.top + 16 + self.track.foot) / 2 - 9 * len(lines) + 13
        for k, part in enumerate(lines):
            yield text(middle, y + 18 * k, part, size=SIZE, anchor="middle")


# ---- the readings round it ----------------------------------------------------------------------------------------------
def _graph(sheet: Sheet, of: Pictured, says: str, shown: Sequence[Stands]) -> None:
    """What was read at each point, over the way round, with what it should have been."""
    sheet.say(f"{says}, Ω", bold=True)
    ends = [each.expected.most for each in shown if each.expected is not None]
    numbers = [v for v in (*ends, *(each.row.value for each in shown)) if v is not None and v < inf]
    most = max(numbers, default=1.0) * ROOM or 1.0
    top = sheet.room(PLOT_H + BELOW + 10) + 10
    ohms = Axis(0.0, most, top + PLOT_H, top)
    xs = _places(of, sheet.width)
    put = sheet.put
    put(line(f"M{n(LEFT)} {n(top)}V{n(top + PLOT_H)}H{n(sheet.width - RIGHT)}", width=1.4))
    for v in round_steps(most, 4):
        put(text(LEFT - 6, ohms.at(v) + 4.5, show(v, 2), size=SMALL, anchor="end"))
        put(line(f"M{n(LEFT)} {n(ohms.at(v))}H{n(sheet.width - RIGHT)}", width=GRID, dash="1 5") if v else "")
    put(*_expected(ohms, xs, shown))
    for each in shown:
        put(*_reading(ohms, xs[each.stop or 0], each))
    for stop in sorted({each.stop or 0 for each in shown}):
        put(line(f"M{n(xs[stop])} {n(ohms.start)}v5", width=1.4))
        put(ring(xs[stop], ohms.start + 16, str(stop)) if len(of.points) < 10 else
            text(xs[stop], ohms.start + 21, str(stop), size=SMALL, anchor="middle"))
    put(text(sheet.width - RIGHT, ohms.start + 38, "points from leg A to leg B", size=SMALL, anchor="end"))
    outside = [e for e in shown if e.outside]
    for each in outside[:MOST_OUTSIDE]:
        sheet.say(_told(each), str(each.stop))
    if (more := len(outside) - MOST_OUTSIDE) > 0:
        sheet.say(f"and {more} more outside what is to be expected: framed above")


def _places(of: Pictured, wide: float) -> list[float]:
    """Across a graph, where each stop is: as far apart as the numbers under them need."""
    count, metres = len(of.points), of.at_m
    start, end = LEFT + 6, wide - RIGHT - 6
    share = [m / metres[-1] for m in metres] if metres and metres[-1] > 0 else [i / (count + 1) for i in range(count + 2)]
    apart = ring_width(str(count)) - (8.0 if count >= 10 else 0.0) + 2
    return [start, *spread([start + (end - start) * s for s in share[1:-1]], apart, start + 6, end - 6), end]


def _expected(ohms: Axis, xs: Sequence[float], shown: Sequence[Stands]) -> Iterator[str]:
    """The interval of each reading as a box with a stroke across, and a thin line from one to the next."""
    known = [(xs[each.stop or 0], each.expected) for each in shown if each.expected is not None and each.expected.most < inf]
    for x, should in known:
        high, low = ohms.at(should.most), ohms.at(should.least)
        drawn = box(x - BAR, high, 2 * BAR, low - high, cls="ink", width=GRID, radius=0)
        middle = should.fact.amount
        stroke = line(f"M{n(x - BAR)} {n(ohms.at(middle))}h{n(2 * BAR)}", width=1.8) if middle is not None else ""
        yield marked("expected", drawn + stroke)
    spots = [(x, ohms.at(should.fact.value)) for x, should in known if should.fact.known]
    if len(spots) > 1:
        yield line(polyline(spots), width=GRID, dash="4 3")


def _reading(ohms: Axis, x: float, each: Stands) -> Iterator[str]:
    """A disc where it was read; ringed where it lies outside; an arrow where it went over range."""
    if each.row.value is None:
        yield marked("over range", line(f"M{n(x)} {n(ohms.end + 22)}V{n(ohms.end)}m-6 8l6-8 6 8", width=2.4))
        return
    y = ohms.at(each.row.value)
    outside = line(f"M{n(x - 9)} {n(y - 9)}h18v18h-18z", width=1.8) if each.outside else ""
    yield marked("read", dot(x, y) + outside)
