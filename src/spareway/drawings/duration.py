"""For how long the current is at least how much, against the fuse: the minutes that decide stand wide apart, at the left.

Minutes run on a logarithmic axis, for a fuse is opened by minutes and a home lives in hours. Half-hour means have no place here.
"""
from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from spareway.design.minutes import DAY_MIN, Steps, longer_than
from spareway.drawings.axes import Axis
from spareway.drawings.demand import FuseLines, amps_up, fuse_across, fuse_told, none_above, with_since
from spareway.drawings.graph import CAUTION, GRID, SMALL, Sheet, marked
from spareway.drawings.symbols import Spot, line, n, polyline, ring, text
from spareway.show import show

__all__ = ["Sampled", "duration_drawn"]

LEFT, RIGHT, PLOT_H, TOP_H, BELOW = 40.0, 96.0, 190.0, 26.0, 40.0
ROOM, LEAST_WIDE = 1.04, 30.0
TICKS = ((1, "1 min"), (10, "10"), (60, "1 h"), (600, "10 h"), (DAY_MIN, "1 d"), (7 * DAY_MIN, "7 d"), (70 * DAY_MIN, "70 d"),
         (365 * DAY_MIN, "1 y"), (3650 * DAY_MIN, "10 y"), (36_500 * DAY_MIN, "100 y"), (365_000 * DAY_MIN, "1,000 y"))


@dataclass(frozen=True, slots=True)
class Sampled:
    """Of a simulation, whose curve rests on one minute in so many: over_n, the minutes above the rating of the fuse, every one
    of them counted; None where they were not counted for this rating."""
    every_n: int
    over_n: int | None


def duration_drawn(steps: Steps, fuse: FuseLines, says: str = "", wide: bool = False, brief: bool = False,
                   caution: str = CAUTION, sampled: Sampled | None = None, since: str = "") -> str:
    """The drawing as SVG. steps: of `design.minutes.duration`; says: of what; since: of a log, what was connected after it
    (`recorded.GivenLog.not_in_it`). Errors: ValueError for no minute at all."""
    if not steps:
        raise ValueError("no minute is known, so there is nothing to draw")
    sheet = Sheet(wide, brief, caution)
    over = _over(steps, fuse, sampled)
    answer = with_since(_answer(steps, fuse, over, since), since)
    sheet.headline("How long it is at least how much", f"{says}{': ' if says else ''}{answer}")
    _graph(sheet, _anchored(steps, fuse, over) if sampled else steps, fuse, over or 0)
    if over:
        sheet.say(f"above the {fuse.rating_a} of the fuse for {_long(over)}, all of it together", "1")
    if sampled and sampled.every_n > 1:
        counted = "" if over is None else f"; above the {fuse.rating_a} every minute was counted"
        sheet.say(f"The curve: one minute in {sampled.every_n} looked at{counted}.")
    fuse_told(sheet, fuse)
    return sheet.svg(f"How long it is at least how much. {answer}")


def _over(steps: Steps, fuse: FuseLines, sampled: Sampled | None) -> int | None:
    """Minutes above the rating; None where it is not known, or where they were not counted for it."""
    if not fuse.rating_a.known:
        return None
    return sampled.over_n if sampled else longer_than(steps, fuse.rating_a.value)


def _anchored(steps: Steps, fuse: FuseLines, over: int | None) -> Steps:
    """The sampled minutes led through those that were counted: none longer above the rating, none shorter at or below it."""
    if not over:
        return steps
    rated = fuse.rating_a.value
    return (*((min(many, over), a) for many, a in steps if a > rated), (over, rated),
            *((max(many, over), a) for many, a in steps if a <= rated))


def _long(minutes: int) -> str:
    """Minutes as a person says them."""
    if minutes < 120:
        return f"{minutes} min"
    return f"{show(minutes / 60)} h" if minutes < 3 * DAY_MIN else f"{show(minutes / DAY_MIN)} days"


def _answer(steps: Steps, fuse: FuseLines, over: int | None, since: str) -> str:
    whole, highest = steps[-1][0], steps[0][1]
    said = f"Highest minute {show(highest)} A of {_long(whole)}"
    if not fuse.rating_a.known:
        return f"{said}. The rating of the fuse is not known."
    if over is None:
        return f"{said}. Minutes above the {fuse.rating_a} of the fuse: not counted for this rating."
    return f"{said}. Above the {fuse.rating_a} of the fuse for {_long(over)}." if over else f"{said}; {none_above(fuse, since)}."


def _graph(sheet: Sheet, steps: Steps, fuse: FuseLines, over: int) -> None:
    top = sheet.room(sheet.high(PLOT_H) + TOP_H + BELOW) + TOP_H
    amps = Axis(0.0, max(steps[0][1], fuse.most_a(), 1.0) * ROOM, top + sheet.high(PLOT_H), top)
    minutes = Axis(1.0, float(max(steps[-1][0], 10)), LEFT, sheet.width - RIGHT, log=True)
    last = -LEAST_WIDE
    for at, called in TICKS:
        if minutes.holds(at) and minutes.at(at) - last >= LEAST_WIDE:
            last = minutes.at(at)
            sheet.put(line(f"M{n(last)} {n(top)}V{n(amps.start + 4)}", width=GRID, dash="1 5"),
                      text(last, amps.start + 19, called, size=SMALL, anchor="middle"))
    words = "for so long, all minutes counted together"
    sheet.put(text((LEFT + minutes.end) / 2, amps.start + 35, words, size=SMALL, anchor="middle"))
    amps_up(sheet, amps)
    fuse_across(sheet, fuse, amps, minutes)
    sheet.put(*_curve(steps, amps, minutes))
    if over:
        x = min(max(minutes.at(over), LEFT + 12), minutes.end - 12)
        sheet.put(ring(x, amps.at(fuse.rating_a.value) - 14, "1"))


def _curve(steps: Steps, amps: Axis, minutes: Axis) -> Iterator[str]:
    """A stair downwards: at each current as far as the minutes for which it is at least so much. What falls on one place of the
    drawing is drawn once."""
    spots: list[Spot] = [(minutes.start, amps.at(steps[0][1]))]
    for many, current in steps:
        x, y = minutes.at(many), amps.at(current)
        if n(x) != n(spots[-1][0]) or n(y) != n(spots[-1][1]):
            spots += [(spots[-1][0], y), (x, y)]
    yield marked("duration", line(polyline(_thinned(spots)), width=2.2))


def _thinned(spots: list[Spot]) -> list[Spot]:
    """Without the steps too small to be seen: those that end less than half a unit from the last one kept."""
    kept = spots[:1]
    for spot in spots[1:-1]:
        if abs(spot[0] - kept[-1][0]) + abs(spot[1] - kept[-1][1]) >= 0.5:
            kept.append(spot)
    return [*kept, *spots[-1:]]
