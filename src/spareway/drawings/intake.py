"""The intake as it hangs on the wall, street at the foot, drawn from the record in the state chosen.

A drawing of a record. It never takes the place of proving dead at the point of work, and says so.
"""
from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from itertools import groupby

from spareway.design.leftovers import open_output
from spareway.drawings.board import BoardBox
from spareway.drawings.boxes import WORD, Box, Rect
from spareway.drawings.cores import CUT, STREET, UNTRACED, Core
from spareway.drawings.face import metal_svg, theirs
from spareway.drawings.labels import Places
from spareway.drawings.layout import Plan, plan
from spareway.drawings.letters import in_lines, width
from spareway.drawings.symbols import (
    INK,
    LOOKS,
    PAPER,
    Spot,
    box,
    cap,
    cut,
    escaped,
    frame,
    n,
    ring,
    ring_width,
    sleeve,
    svg,
    text,
    untraced,
    wire,
)
from spareway.drawings.touch import touches
from spareway.drawings.ways import rail_svg, worst
from spareway.job.job import Installation
from spareway.wiring.expand import wire as wired
from spareway.wiring.network import Network

__all__ = ["CAUTION", "intake", "picture"]

CAUTION = "By the record only. Prove dead at the point of work, every time."
UNSEEN = "Drawn in part as such a home usually is: nobody has looked yet."
GAP_LIFTED = 14.0
INWARD = 15.0                                        # of a number that stands between two terminals of a thing
HEAD_H, LINE_H = 24.0, 18.0
SIZE = 14.0
MOST_KEPT = 4
_KEPT: list[tuple[Installation, Plan]] = []          # by identity: an installation never changes


Href = Callable[[str], str]


def intake(inst: Installation, network: Network | None = None, opened: Collection[str] = (), touch: Href | None = None,
           touched: str = "") -> str:
    """The intake of an installation as SVG, with these controls open and these conductors lifted.

    network: its wired record, where one is at hand. touch: the address of what a touch on a thing, a switch or a part asks
    for; `touched` gets four corners. Errors: UnknownName for a name that is neither control nor conductor.
    """
    network = network or wired(inst)
    return picture(inst, network, kept_plan(inst, network), opened, touch, touched)


def kept_plan(inst: Installation, network: Network) -> Plan:
    """The plan of an installation, made once: what a phone asks for again and again are states of one and the same."""
    for it, drawn in _KEPT:
        if it is inst:
            return drawn
    drawn = plan(inst, network)
    _KEPT.insert(0, (inst, drawn))
    del _KEPT[MOST_KEPT:]
    return drawn


def picture(inst: Installation, network: Network, drawn: Plan, opened: Collection[str] = (), touch: Href | None = None,
            touched: str = "") -> str:
    """The same on a plan made before: a switch changes only casings, letters and blades."""
    return Picture(inst, network, drawn, opened).svg(touch, touched)


class Picture:
    """One state of a plan."""

    def __init__(self, inst: Installation, network: Network, drawn: Plan, opened: Collection[str]) -> None:
        self.inst, self.network, self.drawn, self.opened = inst, network, drawn, frozenset(opened)
        self.potentials = network.potential(opened)
        for core in drawn.cores:
            if core.run.startswith(f"{STREET} "):
                self.potentials[core.a] = self.potentials[core.b]
        self.ends = {core.name: self.lifted(core) for core in drawn.cores}
        self.landed = {t for core in drawn.cores for t in (core.a, core.b) if t and self.ends[core.name][1] != t}
        self.own: dict[str, dict[str, str]] = {}         # thing -> its terminal -> potential
        for t, p in self.potentials.items():
            thing, _, terminal = t.partition(".")
            self.own.setdefault(thing, {})[terminal] = p
        self.numbered: list[str] = []                    # said under the drawing, by the number of a ring on the wire
        self.unplaced: list[str] = []                    # said there by name alone

    def lifted(self, core: Core) -> tuple[str, str]:
        """(potential of a core, terminal it was lifted off). The record does not say which end: the worse one hangs free."""
        far = core.b or core.at
        if core.name not in self.opened:
            return worst([self.potentials[core.a], self.potentials[far]]), ""
        kept = worst([self.potentials[core.a], self.potentials[far]]) if core.b else self.potentials[far]
        return kept, core.b if core.b and kept == self.potentials[core.a] else core.a

    def points(self, core: Core) -> list[Spot]:
        """Where a core runs in this state: a lifted end stands clear of its terminal."""
        points, off = list(self.drawn.routes.points[core.name]), self.ends[core.name][1]
        if off:
            at, towards = (0, 1) if off == core.a else (-1, -2)
            up = points[towards][1] < points[at][1]
            points[at] = (points[at][0], points[at][1] + (-GAP_LIFTED if up else GAP_LIFTED))
        return points

    # ---- all of it ------------------------------------------------------------------------------------------------
    def svg(self, touch: Href | None = None, touched: str = "") -> str:
        wires = {core.name: self.points(core) for core in self.drawn.cores}
        body = [*self.wires(wires), *(part for b in self.drawn.boxes.values() for part in self.thing(b)), *self.shared(),
                *self.loose(wires), *self.open_outputs(), *self.sleeves(wires)]
        if touch is not None:
            body += touches(self.drawn.boxes, self.opened, self.network.controls, touch, touched)
        head, foot = list(self.headline()), list(self.foot())
        body += [text(8, -HEAD_H - LINE_H * (len(head) - 1 - i) + 14, words, size=16 if i == 0 else SIZE, bold=i == 0)
                 for i, words in enumerate(head)]
        y = self.drawn.height + 8
        for part, high in foot:
            body.append(f'<g transform="translate(0 {n(y)})">{part}</g>')
            y += high
        top = HEAD_H + LINE_H * (len(head) - 1) + 4
        title = f"{head[0]}: {self.inst.about.says}".strip(": ")
        return svg(self.drawn.width, y + 4, title, self.described(), "".join(body), top=top, links=touch is not None)

    def headline(self) -> Iterator[str]:
        """What is shown, in which state."""
        yield f"Intake, {self.inst.stage}"
        lifts = sorted(self.opened & self.lifts())
        switched = sorted(self.opened - self.lifts())
        said = f"Open: {', '.join(switched)}." if switched else "Nothing open."
        never = [c for c in switched if self.network.controls.get(c) in ("itself", "other")]
        said += f" Lifted: {', '.join(lifts)}." if lifts else ""
        said += f" Never counts as open: {', '.join(never)}." if never else ""
        yield from in_lines(said, SIZE, self.drawn.width - 16)
        inst = self.inst
        looked = [*(s.looked for s in inst.supplies.values()), *(e.looked for e in inst.equipment.values()),
                  *(r.looked for r in inst.runs.values())]
        if any(fact.amount is False for fact in looked):
            yield from in_lines(UNSEEN, SIZE, self.drawn.width - 16)

    def lifts(self) -> frozenset[str]:
        return self.network.record.lifts

    def described(self) -> str:
        """Every terminal of what is drawn, in words."""
        said = [f"{t}: {p}" for t, p in self.potentials.items() if t.partition(".")[0] in self.drawn.boxes]
        return f"{CAUTION} {'; '.join(said)}"

    # ---- wires ----------------------------------------------------------------------------------------------------
    def wires(self, wires: Mapping[str, Sequence[Spot]]) -> Iterator[str]:
        """Earth last, over the rest."""
        for core in sorted(self.drawn.cores, key=lambda core: self.ends[core.name][0] == "earth"):
            yield wire([wires[core.name]], self.ends[core.name][0], core.insulation)

    def loose(self, wires: Mapping[str, Sequence[Spot]]) -> Iterator[str]:
        for core in self.drawn.cores:
            x, y = wires[core.name][-1]
            if core.loose:
                yield cut(x, y) if core.loose == CUT else untraced(x, y) if core.loose == UNTRACED else ""
            if off := self.ends[core.name][1]:
                yield cap(*wires[core.name][0 if off == core.a else -1])

    # ---- things ---------------------------------------------------------------------------------------------------
    def thing(self, b: Box) -> Iterator[str]:
        yield f'<g class="thing" transform="translate({n(b.x)} {n(b.y)})">'
        if b.shown is not None:
            yield f"<title>{escaped(f'{b.name}: {b.shown.of.says}')}</title>"
            yield frame(0, 0, b.width, b.height, theirs(b.shown.of))
            name = b.name
            own = self.own.get(name, {})
            opened = {c for c in b.shown.of.controls if f"{name}.{c}" in self.opened}
            landed = {t for t in b.shown.terminals if f"{name}.{t}" in self.landed}
            if isinstance(b, BoardBox):
                landed |= {t for t, (_, y) in b.shown.terminals.items() if y == 0}
                yield from rail_svg(b, self.potentials, self.opened, self.landed)
                yield f'<g transform="translate(0 {n(b.inner_y)})">{metal_svg(b.shown, own, opened, landed)}</g>'
            else:
                yield metal_svg(b.shown, own, opened, landed)
        yield from (text(x, y, words, size=WORD, bold=bold) for x, y, words, bold in b.words)
        yield "</g>"

    def shared(self) -> Iterator[str]:
        """A terminal that holds several cores is as wide as they need."""
        at: dict[str, list[float]] = {}
        for core in self.drawn.cores:
            points = self.drawn.routes.points[core.name]
            for end, spot in ((core.a, points[0]), (core.b, points[-1])):
                if end and self.ends[core.name][1] != end:
                    at.setdefault(end, []).append(spot[0])
        for end, xs in at.items():
            if len(xs) > 1:
                y = self.drawn.boxes[end.partition(".")[0]].at(end)[1]
                yield box(min(xs) - 4.2, y - 4.2, max(xs) - min(xs) + 8.4, 8.4, cls="dot", width=1.6, fill=INK, radius=4.2)

    def open_outputs(self) -> Iterator[str]:
        """A number between the terminals of a switched output that nothing is landed on; it is said under the drawing."""
        for b in self.drawn.boxes.values():
            if b.shown is None or not open_output(b.name, self.inst):
                continue
            ends = {t.rpartition(".")[2]: b.at(f"{b.name}.{t}") for t in b.shown.terminals if t.startswith("switched.")}
            now = ", ".join(f"{c} {self.potentials[f'{b.name}.switched.{c}']}" for c in sorted(ends))
            self.numbered.append(f"{b.name}.switched: open terminals, {now}. They come alive at their hour; "
                                 "the operator's to make safe")
            xs, y = [x for x, _ in ends.values()], next(iter(ends.values()))[1]
            inward = INWARD if y < b.y + b.height / 2 else -INWARD
            yield f"<g>{ring((min(xs) + max(xs)) / 2, y + inward, str(len(self.numbered)))}</g>"      # of the thing, on no wire

    # ---- sleeves --------------------------------------------------------------------------------------------------
    def walls(self) -> Iterator[Rect]:
        for b in self.drawn.boxes.values():
            if b.shown is not None:
                yield b.x - 2, b.y - b.head - 2, b.x + b.width + 2, b.y + b.height + 2
            else:
                yield from ((b.x + x, b.y + y - 12, b.x + x + width(words, WORD), b.y + y + 4) for x, y, words, _ in b.words)
        for core in self.drawn.cores:
            if core.loose:
                x, y = self.drawn.routes.points[core.name][-1]
                yield x - 12, y - 12, x + 12, y + 12

    def sleeves(self, wires: Mapping[str, Sequence[Spot]]) -> Iterator[str]:
        """A letter on every core first; then the sizes of runs."""
        places = self.places(wires)
        for core in sorted(self.drawn.cores, key=lambda core: core.b.endswith(".E")):
            potential = self.ends[core.name][0]
            w = 26 if potential == "line through a load" else 20
            at = places.put([core.name], w, 21) or places.put([core.name, *self.beside(core)], w, 21)
            if at is None and core.loose:
                at = places.beyond(*wires[core.name][-1], w, 21)
            yield sleeve(*at, potential) if at else self.ringed(places, [core.name], f"{core.name} {potential}")
        for run, group in groupby(self.drawn.cores, key=lambda core: core.run):
            if not run.startswith(f"{STREET} "):
                yield self.size(places, run, list(group))

    def places(self, wires: Mapping[str, Sequence[Spot]]) -> Places:
        """With no sleeve yet; kept with the plan for each set of wires that hang free, as long as these are few."""
        kept, lifted = self.drawn.places, frozenset((name, off) for name, (_, off) in self.ends.items() if off)
        if lifted not in kept:
            if len(kept) == MOST_KEPT:
                kept.clear()
            kept[lifted] = Places(self.walls(), wires, self.drawn.width)
        return kept[lifted].anew()

    def beside(self, core: Core) -> list[str]:
        """The cores on a terminal of this one that carry the same: a letter across them is true of each."""
        mine = {core.a, core.b} - {""}
        return [other.name for other in self.drawn.cores if other is not core and mine & {other.a, other.b}
                and self.ends[other.name][0] == self.ends[core.name][0]]

    def size(self, places: Places, run: str, own: Sequence[Core]) -> str:
        lines = [own[0].size] + [" ".join(core.insulation or "?" for core in own)] * any(core.insulation for core in own)
        w, h = 10 + max(width(words, SIZE) for words in lines), 4 + 16.0 * len(lines)
        names = [core.name for core in own]
        tried = (places.put(some, w, h) for some in (names[:2], *([name] for name in names)))
        at = next((spot for spot in tried if spot), None)
        if at is None:
            return self.ringed(places, names, f"{run} {', '.join(lines)}")
        x, y = at
        return box(x - w / 2, y - h / 2, w, h, cls="tag", width=1.2, fill=PAPER) + "".join(
            text(x, y - h / 2 + 15 + 16 * i, words, size=SIZE, anchor="middle") for i, words in enumerate(lines))

    def ringed(self, places: Places, names: Sequence[str], said: str) -> str:
        """A number in a ring on the first of these wires with room for one; what it stands for is said under the drawing."""
        number = str(len(self.numbered) + 1)
        at = next((spot for name in names if (spot := places.put([name], ring_width(number) + 1, ring_width("1") + 1))), None)
        if at is None:
            self.unplaced.append(said)
            return ""
        self.numbered.append(said)
        return ring(*at, number)

    # ---- foot -----------------------------------------------------------------------------------------------------
    def foot(self) -> Iterator[tuple[str, float]]:
        """What the letters mean, what found no place on its wire, and the caution."""
        shown = {p for p, _ in self.ends.values()}
        shown |= {p for t, p in self.potentials.items() if t.partition(".")[0] in self.drawn.boxes}
        x, row = 8.0, list[str]()
        for word in (w for w in LOOKS if w in shown):
            wide = 34 + width(word, SIZE) + 14
            if x + wide > self.drawn.width and row:
                yield "".join(row), 24
                x, row = 8.0, []
            row.append(sleeve(x + 13, 10, word) + text(x + 30, 15, word, size=SIZE))
            x += wide
        yield "".join(row), 26
        for number, words in enumerate(self.numbered, 1):
            wide = ring_width(str(number))
            for k, part in enumerate(in_lines(words, SIZE, self.drawn.width - 24 - wide)):
                mark = ring(8 + wide / 2, 9, str(number)) if k == 0 else ""
                yield mark + text(14 + wide, 14, part, size=SIZE), LINE_H + 2
        for words in ([f"No room on the wire: {'; '.join(self.unplaced)}."] if self.unplaced else []) + [CAUTION]:
            bold = words == CAUTION
            for part in in_lines(words, SIZE, self.drawn.width - 16, bold):
                yield text(8, 13, part, size=SIZE, bold=bold), LINE_H
