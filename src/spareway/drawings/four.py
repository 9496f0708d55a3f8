"""The figures of demand side by side, each for itself, against the service fuse. What is not known is drawn as not known.

A hatched bar is a figure; a stroke across it another reading of a row of the book; a whisker the interval of what was simulated.
A broken frame with a question mark across the whole width is a figure that nobody knows: it may end anywhere.
"""
from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from spareway.drawings.axes import Axis, hatched, round_steps, spread
from spareway.drawings.demand import FuseLines, fuse_told, heavy, why
from spareway.drawings.graph import DASH, GRID, SMALL, Sheet, loose, marked
from spareway.drawings.symbols import PAPER, box, line, n, ring, text
from spareway.fact import Fact
from spareway.show import show

__all__ = ["Figure", "four_drawn"]

LEFT, RIGHT = 14.0, 26.0
ROW_H, BAR_H, NAME_H, TOP_H, BELOW = 48.0, 14.0, 20.0, 22.0, 36.0
ROOM, LABEL_W = 1.06, 78.0


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure: what it is called, which question it answers, how much, and its other readings in words.

    span: the interval of a simulated one, where there is one"""
    name: str
    answers: str
    demand_a: Fact[float]
    others: tuple[tuple[str, Fact[float]], ...] = ()
    span: tuple[float, float] | None = None

    def amounts(self) -> list[float]:
        known = [fact.value for fact in (self.demand_a, *(fact for _, fact in self.others)) if fact.known]
        return [*known, *(self.span or ())]


def four_drawn(figures: Sequence[Figure], fuse: FuseLines, wide: bool = False, brief: bool = False) -> str:
    """The drawing as SVG."""
    sheet = Sheet(wide, brief)
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
    others = "; ".join(f"{says} {fact}" for says, fact in figure.others if fact.known)
    between = f" Between {show(figure.span[0])} and {show(figure.span[1])} A." if figure.span else ""
    return f"{figure.answers}{f' Read otherwise: {others}.' if others else ''}{between}"


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
        sheet.put(*_row(row + 1, figure, amps, top + ROW_H * row))
    sheet.put(*_fuse(fuse, amps, top, bottom))


def _fuse(fuse: FuseLines, amps: Axis, top: float, bottom: float) -> Iterator[str]:
    """The currents of the fuse as lines down over all figures, their words above."""
    lines = fuse.lines()
    xs = [amps.at(fact.value) for _, fact in lines]
    places = spread(xs, LABEL_W, amps.start + LABEL_W / 2, amps.end + RIGHT - LABEL_W / 2)
    for (says, fact), x, at in zip(lines, xs, places, strict=True):
        down = f"M{n(at)} {n(top - 6)}L{n(x)} {n(top + 2)}V{n(bottom)}"
        yield marked(f"{says} {fact}", line(down, width=heavy(says), dash=DASH if loose(fact) else ""))
        yield text(at, top - 9, f"{says} {fact}", size=SMALL, bold=says == "rated", anchor="middle")


def _row(number: int, figure: Figure, amps: Axis, top: float) -> Iterator[str]:
    y, zero = top + NAME_H + 4, amps.start
    amount = figure.demand_a
    yield ring(zero + 14, y - 10, str(number))
    yield text(zero + 28, y - 5, f"{figure.name}: {amount if amount.known else 'not known'}", size=SMALL, bold=True)
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
        a, b, middle = amps.at(figure.span[0]), amps.at(figure.span[1]), y + BAR_H / 2
        whisker = f"M{n(a)} {n(middle)}H{n(b)}M{n(a)} {n(middle - 4)}v8M{n(b)} {n(middle - 4)}v8"
        yield marked("interval", line(whisker, cls="halo", colour=PAPER, width=6) + line(whisker, width=2))
