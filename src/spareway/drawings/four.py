"""The figures of demand side by side, each for itself, against the service fuse. What is not known is drawn as not known.

A hatched bar is a figure; a stroke across it another reading of a row of the book; a whisker the interval of what was simulated.
A broken frame with a question mark across the whole width is a figure that nobody knows: it may end anywhere.
"""
from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from spareway.drawings.axes import Axis, hatched, round_steps, spread
from spareway.drawings.demand import FuseLines, fuse_told, heavy, why
from spareway.drawings.graph import CAUTION, DASH, GRID, SMALL, Sheet, loose, marked
from spareway.drawings.letters import width
from spareway.drawings.symbols import PAPER, box, line, n, ring, text
from spareway.fact import Fact
from spareway.show import show

__all__ = ["Figure", "four_drawn"]

LEFT, RIGHT = 14.0, 26.0
ROW_H, BAR_H, NAME_H, TOP_H, BELOW = 48.0, 14.0, 20.0, 22.0, 36.0
ROOM, LABEL_W, POINT = 1.06, 78.0, 6.0


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure: what it is called, which question it answers, how much, and its other readings in words.

    span: the interval of a simulated one, where there is one; an end that nothing sets is infinite
    rests: what it rests on that nobody confirmed, where its fact does not hold that, as `graph.loose` says it"""
    name: str
    answers: str
    demand_a: Fact[float]
    others: tuple[tuple[str, Fact[float]], ...] = ()
    span: tuple[float, float] | None = None
    rests: str = ""

    def amounts(self) -> list[float]:
        known = [fact.value for fact in (self.demand_a, *(fact for _, fact in self.others)) if fact.known]
        return [*known, *filter(math.isfinite, self.span or ())]


def four_drawn(figures: Sequence[Figure], fuse: FuseLines, wide: bool = False, brief: bool = False,
               caution: str = CAUTION) -> str:
    """The drawing as SVG."""
    sheet = Sheet(wide, brief, caution)
    sheet.headline("Four figures of demand", _answer(figures, fuse))
    most = max([fuse.most_a(), *(a for figure in figures for a in figure.amounts()), 1.0]) * ROOM
    _graph(sheet, figures, fuse, Axis(0.0, most, LEFT, sheet.width - RIGHT))
    for number, figure in enumerate(figures, 1):
        sheet.say(_told(figure), str(number))
    sheet.say("They answer different questions and are never added or averaged.")
    fuse_told(sheet, fuse)
    return sheet.svg(f"Four figures of demand. {_answer(figures, fuse)}")


def _answer(figures: Sequence[Figure], fuse: FuseLines) -> str:
    unknown = [figure.name for figure in figures if not figure.demand_a.known]
    said = [f"Not known: {', '.join(unknown)}."] if unknown else []
    if not fuse.rating_a.known:
        return " ".join([*said, "The rating of the fuse is not known, so nothing is said against it."])
    known = [figure for figure in figures if figure.demand_a.known]
    for words, is_above in ((f"Above the {fuse.rating_a} of the fuse", True), ("Not above it", False)):
        picked = [figure.name for figure in known if (figure.demand_a.value > fuse.rating_a.value) is is_above]
        said += [f"{words}: {', '.join(picked)}."] if picked else []
    return " ".join(said)


def _told(figure: Figure) -> str:
    """What a figure answers, its other readings, why it is not known."""
    if not figure.demand_a.known:
        return f"{figure.answers} Not known: {why(figure.demand_a)}."
    own = figure.rests or loose(figure.demand_a)                # what all readings rest on is said of the first
    soft = f" {figure.demand_a}{own}." if own else ""
    others = "; ".join(f"{says} {fact}{loose(fact) if loose(fact) != own else ''}" for says, fact in figure.others if fact.known)
    return f"{figure.answers}{soft}{f' Read otherwise: {others}.' if others else ''}{_between(figure.span)}"


def _between(span: tuple[float, float] | None) -> str:
    """An interval in words: of an end that nothing sets it is said that it is open."""
    least, most = (show(end) if math.isfinite(end) else "" for end in span or (math.inf, math.inf))
    if least and most:
        return f" Between {least} and {most} A."
    if least:
        return f" At least {least} A; how high it may be so many winters do not tell."
    return f" At most {most} A; how low it may be so many winters do not tell." if most else ""


def _graph(sheet: Sheet, figures: Sequence[Figure], fuse: FuseLines, amps: Axis) -> None:
    top = sheet.room(TOP_H + ROW_H * len(figures) + BELOW) + TOP_H
    bottom = top + ROW_H * len(figures)
    taken = [amps.at(fact.value) for _, fact in fuse.lines()]
    for a in round_steps(amps.most, 4):
        if all(abs(amps.at(a) - x) > 4 for x in taken):
            sheet.put(line(f"M{n(amps.at(a))} {n(top)}V{n(bottom)}", width=GRID, dash="1 5"))
        sheet.put(text(amps.at(a), bottom + 16, f"{show(a)} A" if a else "0", size=SMALL, anchor="middle" if a else "start"))
    sheet.put(line(f"M{n(amps.start)} {n(top)}V{n(bottom)}", width=1.8))
    for row, figure in enumerate(figures):
        sheet.put(*_row(figure, amps, top + ROW_H * row))
    sheet.put(*_fuse(fuse, amps, top, bottom))
    for row, figure in enumerate(figures):                     # above the lines of the fuse, which would strike them through
        sheet.put(*_named(row + 1, figure, amps.start, top + ROW_H * row + NAME_H + 4))


def _fuse(fuse: FuseLines, amps: Axis, top: float, bottom: float) -> Iterator[str]:
    """The currents of the fuse as lines down over all figures, their words above."""
    lines = fuse.lines()
    xs = [amps.at(fact.value) for _, fact in lines]
    places = spread(xs, LABEL_W, amps.start + LABEL_W / 2, amps.end + RIGHT - LABEL_W / 2)
    for (says, fact), x, at in zip(lines, xs, places, strict=True):
        down = f"M{n(at)} {n(top - 6)}L{n(x)} {n(top + 2)}V{n(bottom)}"
        yield marked(f"{says} {fact}", line(down, width=heavy(says), dash=DASH if loose(fact) else ""))
        yield text(at, top - 9, f"{says} {fact}", size=SMALL, bold=says == "rated", anchor="middle")


def _named(number: int, figure: Figure, zero: float, y: float) -> Iterator[str]:
    """What a figure is called and how much it is, on paper of its own; y: the upper edge of its bar."""
    words = f"{figure.name}: {figure.demand_a if figure.demand_a.known else 'not known'}"
    yield line(f"M{n(zero + 26)} {n(y - 10)}h{n(width(words, SMALL, bold=True) + 4)}", cls="halo", colour=PAPER, width=SMALL + 2)
    yield ring(zero + 14, y - 10, str(number))
    yield text(zero + 28, y - 5, words, size=SMALL, bold=True)


def _row(figure: Figure, amps: Axis, top: float) -> Iterator[str]:
    y, zero = top + NAME_H + 4, amps.start
    amount = figure.demand_a
    if not amount.known:
        middle = (zero + amps.end) / 2
        yield marked("not known", box(zero, y, amps.end - zero, BAR_H, width=1.6, dash="4 3", radius=0))
        yield text(middle, y + 11.5, "?", size=SMALL, bold=True, anchor="middle")
        return
    end = amps.at(amount.value)
    hatching = line(hatched(zero, y, end, y + BAR_H), width=GRID)
    yield marked("figure", box(zero, y, end - zero, BAR_H, width=1.4, radius=0) + hatching)
    for says, other in figure.others:
        if other.known:
            yield marked(says, line(f"M{n(amps.at(other.value))} {n(y - 3)}v{n(BAR_H + 6)}", cls="halo", colour=PAPER, width=6)
                         + line(f"M{n(amps.at(other.value))} {n(y - 3)}v{n(BAR_H + 6)}", width=2))
    if figure.span:
        whisker = _whisker(figure.span, amps, y + BAR_H / 2)
        yield marked("interval", line(whisker, cls="halo", colour=PAPER, width=6) + line(whisker, width=2))


def _whisker(span: tuple[float, float], amps: Axis, middle: float) -> str:
    """From one end to the other, a stroke across each; one that nothing sets runs to the edge of the graph, to a point."""
    left, right = (amps.at(end) if math.isfinite(end) else edge for end, edge in zip(span, (amps.start, amps.end), strict=True))
    ends = "".join(f"M{n(x)} {n(middle - 4)}v8" if math.isfinite(end) else
                   f"M{n(x + inwards)} {n(middle - 4)}L{n(x)} {n(middle)}L{n(x + inwards)} {n(middle + 4)}"
                   for end, x, inwards in zip(span, (left, right), (POINT, -POINT), strict=True))
    return f"M{n(left)} {n(middle)}H{n(right)}{ends}"
