"""Time against current for one circuit: its device, the service fuse behind it, what its conductors bear, its own currents.

Both axes are logarithmic. What stands in print is drawn and nothing beyond it: a fuse by its points and straight lines between
them, a breaker as the area in which it may open by its standard. What rests on a value nobody confirmed is dashed.
"""
from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from spareway.design.timing import HOUR_S, LONGEST_S, SHORTEST_S, Band, Bears, Opening, Spot, Timing
from spareway.drawings.axes import Axis, decades, hatched, nice_range, spread
from spareway.drawings.boxes import Rect, hit
from spareway.drawings.graph import DASH, GRID, SMALL, Sheet, loose, marked
from spareway.drawings.letters import width
from spareway.drawings.symbols import PAPER, box, dot, line, n, polyline, ring, sleeve, text
from spareway.drawings.symbols import Spot as Place
from spareway.fact import Fact, glossary, sqrt

__all__ = ["CURRENTS", "DECIDES", "LEVEL", "curves"]

LEFT, RIGHT, PLOT_H, BELOW, LEADER = 48.0, 22.0, 296.0, 40.0, 16.0
FROM_S, TO_S = 0.02, 20_000.0                    # of the axis of times
APART, CLEAR = 15.0, 13.0                        # between two labels on end, between two figures on an axis
TICK, TICK_EVERY = 3.5, 12.0
POTENTIAL = {"line": "line", "earth": "earth"}
CALLED = {"line": "line", "earth": "protective conductor"}
STYLES = {"Ib": (1.6, ""), "In": (2.2, ""), "Iz": (1.6, "9 3"), "far end": (1.8, ""), "board": (1.8, "3 3"),
          "any fault": (2.8, "1.5 4")}
CURRENTS = ("Fault currents are to earth, at the far end and at the board: the least warm and at the lowest voltage, the most "
            "cold and on the loop as it was read. Any fault: the greatest there can be at the board, also from line to neutral.")
RESIDUAL = ("The least fault at the far end does not reach what opens the device at once. What opens on residual current is not "
            "drawn.")
DECIDES = "Beyond the square on a conductor's line the energy that the device lets through decides, and not its time."
LEVEL = "the longest that a fault to earth may last"
FIRST = {"": "", "device": "; at each point of its curve the fuse opens sooner",
         "conductor": "; at each point of its curve the conductor is too hot before the fuse opens"}
MEANS = {"Ib": "load", "In": "device", "Iz": "cable"}


def curves(of: Timing, name: str, wide: bool = False, brief: bool = False) -> str:
    """The drawing of what `design.timing` tells, as SVG; `name` of the circuit. wide: for a page, not a phone;
    brief: without what holds of every such drawing."""
    sheet = Sheet(wide, brief)
    sheet.headline(f"Time and current of {name}", f"{of.device.name}: {of.device.why or _opens(of.device)}.")
    drawn = [band for band in of.currents if _drawn(band)]
    if drawn or of.device.points or of.device.opens:
        _Graph(sheet, of, drawn).draw()
    _key(sheet, of)
    return sheet.svg(f"Time and current of {name}. {'; '.join(_told(band) for band in of.currents)}.")


def _drawn(band: Band) -> bool:
    return any(f.known and f.value > 0 for f in (band.least_a, band.most_a))


def _told(band: Band) -> str:
    """`Ib 12.0 A`; `far end 263 to 307 A`."""
    least, most = band.least_a, band.most_a
    if least is most or not (least.known and most.known):
        both = [f"{word}{fact}" for word, fact in (("least ", least), ("most ", most)) if fact.known]
        return f"{band.name} {least}" if least is most else f"{band.name} {', '.join(both) or 'unknown'}"
    return f"{band.name} {str(least).removesuffix(' A')} to {most}"


def _opens(of: Opening) -> str:
    if of.points:
        return ", ".join(f"{s.time} at {s.current}" for s in of.points)
    return f"opens within {of.opens[-1].time} from {of.opens[-1].current}"


# ---- under the graph ------------------------------------------------------------------------------------------------
def _key(sheet: Sheet, of: Timing) -> None:
    for number, device in (("1", of.device), ("2", of.service)):
        sheet.say(_device(device), number)
    for each in of.bears:
        sheet.say(_bears(each), mark=sleeve(0, 0, POTENTIAL[each.what]), mark_w=20)
    if any(each.meets is not None and each.meets.time.how != "solved" for each in of.bears):
        sheet.always(DECIDES)
    if of.within_s.known:
        sheet.always(f"Level line: {of.within_s}, {LEVEL}{loose(of.within_s)}.")
    sheet.always(CURRENTS)
    for words in _notes(of, sheet.brief):
        sheet.say(words)


def _device(of: Opening) -> str:
    """What stands in print of it: `holds 18.1 A for 1 h; may open at once from 48 A; opens within 1 h at 23.2 A, ...`."""
    warm = [s for s in of.holds if s.time.name == "conventional_h"]
    said = [of.why] if of.why else []
    said += [_listed("opens in ", of.points)] if of.points else []
    said += [f"holds {s.current} for {s.time}{loose(s.current)}" for s in warm]
    said += [f"may open at once from {s.current}{loose(s.current)}" for s in of.holds if s not in warm]
    said += [_listed("opens within ", of.opens)] if of.opens else []
    area = ". Hatched: where it may open" if of.opens and not of.points and not of.why else ""
    return f"{of.name}: {'; '.join(said)}{area}."


def _listed(lead: str, spots: Sequence[Spot]) -> str:
    return lead + "; ".join(f"{s.time} at {s.current}{loose(s.current)}" for s in spots)


def _bears(of: Bears) -> str:
    called = CALLED[of.what]
    if not of.energy_a2s.known:
        return f"{called}: the energy it bears is not known."
    said = f"{called} {of.size_mm2}: {of.energy_a2s}{loose(of.energy_a2s)}"
    if of.meets is None:
        return f"{said}{FIRST[of.first]}."
    if of.meets.time.how == "solved":
        return f"{said}; meets the fuse's line at {of.meets.current} and {of.meets.time}{loose(of.meets.current)}."
    return f"{said}; for {of.meets.time} up to {of.meets.current}."


def _notes(of: Timing, brief: bool) -> Iterator[str]:
    """What is not known and why, briefly without its reason; which faults rest on what nobody confirmed; what is not drawn."""
    gaps: dict[str, dict[str, None]] = {}
    for band in of.currents:
        for fact in (band.least_a, band.most_a):
            if not fact.known:
                gaps.setdefault(band.name, {})[fact.note or _missing(fact)] = None
    said = [name if brief else f"{name}, {'; '.join(why)}" for name, why in gaps.items()]
    if said:
        yield f"Not known and not drawn: {', '.join(said) if brief else '. '.join(said)}."
    soft = [f"{band.name}{loose(f)}" for band in of.currents for f in dict.fromkeys((band.least_a, band.most_a))
            if band.name not in MEANS and f.known and loose(f)]
    if soft:
        yield f"Dashed, resting on what nobody confirmed: {'; '.join(dict.fromkeys(soft))}."
    least = next((b.least_a for b in of.currents if b.name == "far end"), None)
    if of.device.opens and not of.device.points and least is not None and least.known and least.value < of.device.opens[-1].a:
        yield RESIDUAL


def _missing(fact: Fact[float]) -> str:
    said = dict.fromkeys(f"{glossary(g.name).says} {g.note}" for g in fact.missing() if g is not fact)
    return "; ".join(said) or "not recorded"


# ---- the graph ------------------------------------------------------------------------------------------------------
class _Graph:
    """Axes, what stands on them, and the places that letters have taken."""

    def __init__(self, sheet: Sheet, of: Timing, drawn: Sequence[Band]) -> None:
        self.sheet, self.of, self.drawn = sheet, of, drawn
        self.labels = sorted(self.upright(), key=lambda label: label[0])
        high = max((width(words, SMALL) for _, words in self.labels), default=0.0) + LEADER + 8
        plot_h = sheet.high(PLOT_H)
        self.top = sheet.room(high + plot_h + BELOW) + high
        least, most = nice_range(list(self.amps()))
        self.x = Axis(least, most, LEFT, sheet.width - RIGHT, log=True)
        self.y = Axis(FROM_S, TO_S, self.top + plot_h, self.top, log=True)
        self.taken: list[Rect] = []

    def amps(self) -> Iterator[float]:
        """Every current that must have room."""
        yield from (f.value for band in self.drawn for f in (band.least_a, band.most_a) if f.known)
        for device in (self.of.device, self.of.service):
            yield from (s.a for s in (*device.points, *device.holds, *device.opens))
        yield from (sqrt(each.energy_a2s.value / SHORTEST_S) for each in self.of.bears if each.energy_a2s.known)

    def draw(self) -> None:
        put = self.sheet.put
        put(*self.edges(), *self.area(self.of.device))
        for band in self.drawn:
            put(*self.verticals(band))
        put(*self.asked(), *(part for each in self.of.bears for part in self.bears(each)))
        for device, thick in ((self.of.service, 2.2), (self.of.device, 3.4)):
            put(*self.fuse(device, thick), *self.spots(device))
        put(*self.leaders(), *self.letters())

    def at(self, amps: float, time_s: float) -> Place:
        return self.x.at(amps), self.y.at(time_s)

    # ---- axes -------------------------------------------------------------------------------------------------------
    def edges(self) -> Iterator[str]:
        left, right, top, bottom = self.x.start, self.x.end, self.y.end, self.y.start
        yield from self.amperes(top, bottom)
        yield from self.times(left, right)
        yield line(f"M{n(left)} {n(top)}V{n(bottom)}H{n(right)}V{n(top)}", width=1.4)
        yield text(right, bottom + 36, "amperes", size=SMALL, anchor="end")

    def amperes(self, top: float, bottom: float) -> Iterator[str]:
        """Ticks below, each power of ten with its figure and a line, others where there is room."""
        free = 0.0
        for value, words in decades(self.x):
            x, half = self.x.at(value), width(words, SMALL) / 2
            yield line(f"M{n(x)} {n(bottom)}v{'7' if words else '4'}", width=1.4 if words else GRID)
            if words and x - half >= free:
                free = x + half + 4
                yield line(f"M{n(x)} {n(top)}V{n(bottom)}", width=GRID, dash="1 5")
                yield text(x, bottom + 20, words, size=SMALL, anchor="middle")

    def times(self, left: float, right: float) -> Iterator[str]:
        """Figures at the left: in bold the time asked and those of hours, then the powers of ten that stand clear of these."""
        hours = [s.time for s in (*self.of.device.opens, *self.of.service.opens) if s.time.name == "conventional_h"]
        bold = [(self.of.within_s.value, str(self.of.within_s))] if self.of.within_s.known else []
        bold += dict.fromkeys((hour.value * HOUR_S, str(hour)) for hour in hours)
        placed: list[float] = []
        for value, words in [*bold, *((v, f"{w} s") for v, w in decades(self.y) if w)]:
            y, strong = self.y.at(value), (value, words) in bold
            if not strong:
                yield line(f"M{n(left)} {n(y)}H{n(right)}", width=GRID, dash="1 5")
            if any(abs(y - other) <= CLEAR for other in placed) or width(words, SMALL, strong) > left - 8:
                continue
            placed.append(y)
            yield text(left - 6, y + 4.5, words, size=SMALL, bold=strong, anchor="end")
            yield line(f"M{n(left - 4)} {n(y)}h8", width=2.2) if strong else ""

    def asked(self) -> Iterator[str]:
        if self.of.within_s.known:
            y = self.y.at(self.of.within_s.value)
            yield marked(f"within {self.of.within_s}", line(f"M{n(self.x.start)} {n(y)}H{n(self.x.end)}", width=2.2, dash="14 3"))

    # ---- currents ---------------------------------------------------------------------------------------------------
    def upright(self) -> Iterator[tuple[float, str]]:
        for band in self.drawn:
            known = [f for f in (band.least_a, band.most_a) if f.known and f.value > 0]
            soft = loose(band.least_a) if band.name in MEANS else ""
            yield known[0].value, f"{MEANS.get(band.name, '')} {_told(band)}{soft}".strip()

    def verticals(self, band: Band) -> Iterator[str]:
        thick, dash = STYLES[band.name]
        known = [f for f in dict.fromkeys((band.least_a, band.most_a)) if f.known and f.value > 0]
        for fact in known:
            drawn = line(f"M{n(self.x.at(fact.value))} {n(self.y.end)}V{n(self.y.start)}", width=thick,
                         dash=DASH if fact.doubtful() else dash)
            yield marked(f"{band.name} {fact}", drawn)
        if len(known) > 1:
            yield line(f"M{n(self.x.at(known[0].value))} {n(self.y.end + 5)}H{n(self.x.at(known[1].value))}", width=3)

    def leaders(self) -> Iterator[str]:
        """The labels on end over the graph, each with a stroke to its line."""
        wanted = [self.x.at(value) for value, _ in self.labels]
        for x, line_x, (_, words) in zip(spread(wanted, APART, LEFT - 30, self.x.end - 4), wanted, self.labels, strict=True):
            yield line(f"M{n(x)} {n(self.top - LEADER)}L{n(line_x)} {n(self.top)}", width=1.4)
            turned = f"translate({n(x + 4.5)} {n(self.top - LEADER - 3)}) rotate(-90)"
            yield f'<g transform="{turned}">{text(0, 0, words, size=SMALL)}</g>'

    # ---- devices ----------------------------------------------------------------------------------------------------
    def area(self, of: Opening) -> Iterator[str]:
        """Where a breaker may open: no sooner than it holds, no later than it opens, current by current."""
        if of.points or of.why or not of.holds:
            return
        edges = sorted({s.a for s in (*of.holds, *of.opens)} | {self.x.most})
        hatch, low, high = "", list[Place](), list[Place]()
        for a, b in pairwise(edges):
            least_s = max([s.s for s in of.holds if s.a >= b * (1 - 1e-9)], default=FROM_S)
            most_s = min([s.s for s in of.opens if s.a <= a * (1 + 1e-9)], default=TO_S)
            (left, top), (right, bottom) = self.at(a, most_s), self.at(b, least_s)
            hatch += hatched(left, top, right, bottom)
            low += [(left, bottom), (right, bottom)]
            high += [(left, top), (right, top)]
        start = (low[0][0], self.y.at(of.holds[0].s))
        dash = DASH if any(s.current.doubtful() for s in (*of.holds, *of.opens)) else ""
        yield line(hatch, width=GRID)
        yield marked(f"{of.name}: no sooner", line(polyline([start, *low]), width=2.4, dash=dash))
        yield marked(f"{of.name}: no later", line(polyline(high), width=3.4, dash=dash))

    def fuse(self, of: Opening, thick: float) -> Iterator[str]:
        """Straight lines between its points, dashed where one of the two is from memory."""
        for a, b in pairwise(of.points):
            dash = DASH if a.current.doubtful() or b.current.doubtful() else ""
            yield marked(of.name, line(polyline([self.at(a.a, a.s), self.at(b.a, b.s)]), width=thick, dash=dash))

    def spots(self, of: Opening) -> Iterator[str]:
        """The points themselves; at its conventional time a stroke rightwards where it opens, leftwards where it holds."""
        yield from (dot(*self.at(s.a, s.s)) for s in of.points)
        for spots, towards in ((of.opens, 9), (of.holds, -9)):
            for s in spots if of.points or of.why else ():
                x, y = self.at(s.a, s.s)
                yield marked(f"{of.name} {s.current} {s.time}", line(f"M{n(x)} {n(y - 7)}v14m0-7h{towards}", width=2.2))

    # ---- conductors -------------------------------------------------------------------------------------------------
    def bears(self, of: Bears) -> Iterator[str]:
        """I²t = k²S² from 5 s down to 0.1 s, as far as it is on the sheet; that of the protective conductor is ticked."""
        if not of.energy_a2s.known:
            return
        ends = [(max(sqrt(of.energy_a2s.value / t), self.x.least)) for t in (LONGEST_S, SHORTEST_S)]
        a, b = (self.at(amps, of.energy_a2s.value / amps ** 2) for amps in ends)
        earth = of.what == "earth"
        drawn = line(polyline([a, b]), width=1.8 if earth else 2.8, dash=DASH if of.energy_a2s.doubtful() else "")
        yield marked(f"{CALLED[of.what]} bears {of.energy_a2s}", drawn)
        if earth:
            yield line(_ticks(a, b), width=1.8)
        if of.meets is not None and self.x.holds(of.meets.a):
            x, y = self.at(of.meets.a, of.meets.s)
            drawn = box(x - 5, y - 5, 10, 10, cls="box", width=2, fill=PAPER)
            yield marked(f"{CALLED[of.what]} meets {of.meets.current}", drawn)

    # ---- letters ----------------------------------------------------------------------------------------------------
    def letters(self) -> Iterator[str]:
        """A number on each device and a letter on each conductor's line, none over another."""
        for number, device in (("1", self.of.device), ("2", self.of.service)):
            if at := self.free(self._on(device), 10):
                yield ring(*at, number)
        for each in self.of.bears:
            if each.energy_a2s.known:
                times = [0.3, 0.25, 0.5, 0.8, 1.2, 2.0, 3.0, 4.0] if each.what == "earth" else [3.0, 2.0, 1.2, 4.0, 0.8, 0.5, 0.3]
                amps = [sqrt(each.energy_a2s.value / t) for t in times]
                if at := self.free([self.at(a, each.energy_a2s.value / a ** 2) for a in amps if self.x.holds(a)], 11):
                    yield sleeve(*at, POTENTIAL[each.what])

    def _on(self, of: Opening) -> list[Place]:
        if len(of.points) > 1:
            ends = [self.at(s.a, s.s) for s in of.points]
            return [(a[0] * (1 - k) + b[0] * k, a[1] * (1 - k) + b[1] * k) for k in (0.5, 0.3, 0.7) for a, b in pairwise(ends)]
        if of.points:
            x, y = self.at(of.points[0].a, of.points[0].s)
            return [(x + 18, y), (x + 18, y - 14), (x - 18, y), (x, y - 20)]
        if not (of.opens and of.holds) or of.why:
            return []
        x = (self.x.at(of.opens[0].a) + self.x.at(of.holds[-1].a)) / 2
        return [(x, self.y.at(t)) for t in (200, 60, 600, 20, 8)]

    def free(self, places: Sequence[Place], half: float) -> Place | None:
        """The first of these places where nothing stands yet; it is taken."""
        for x, y in places:
            me = (x - half, y - half, x + half, y + half)
            if not any(hit(me, other) for other in self.taken) and self.x.start < me[0] and me[2] < self.x.end:
                self.taken.append(me)
                return x, y
        return None


def _ticks(a: Place, b: Place) -> str:
    """Short strokes across a line."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    long = sqrt(dx * dx + dy * dy) or 1.0
    across = (-dy / long * TICK, dx / long * TICK)
    out = ""
    for i in range(1, int(long / TICK_EVERY) + 1):
        x, y = a[0] + dx * i * TICK_EVERY / long, a[1] + dy * i * TICK_EVERY / long
        out += f"M{n(x - across[0])} {n(y - across[1])}L{n(x + across[0])} {n(y + across[1])}"
    return out
