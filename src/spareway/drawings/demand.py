"""The worst day minute by minute, against what the service fuse is rated for, what it holds and what opens it.

The line is the current, from the least to the most of the minutes that share a place on it, so that no peak of one minute is
lost; its heavy part stands above the rating. A broken foot is minutes that nobody wrote down.
"""
from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from spareway.design.blown import how_long, never_blew
from spareway.design.minutes import DAY_MIN, Above, Day
from spareway.drawings.axes import Axis, round_steps, spread
from spareway.drawings.graph import CAUTION, DASH, GRID, SMALL, Sheet, loose, marked
from spareway.drawings.symbols import Spot, line, n, polyline, ring, text
from spareway.fact import Fact
from spareway.show import show

__all__ = ["FuseLines", "amps_up", "clock", "demand_drawn", "fuse_across", "fuse_told", "heavy", "none_above", "why",
           "with_since"]

LEFT, RIGHT, PLOT_H, TOP_H, BELOW = 40.0, 96.0, 210.0, 26.0, 40.0
APART, ROOM = 15.0, 1.04
HOURS = (0, 6, 12, 18, 24)


@dataclass(frozen=True, slots=True)
class FuseLines:
    """The service fuse: its rating, what it holds for its conventional time, what opens it within that."""
    rating_a: Fact[float]
    holds_a: Fact[float]
    opens_a: Fact[float]
    conventional_h: Fact[float]

    def lines(self) -> list[tuple[str, Fact[float]]]:
        """Those that are known, from the lowest."""
        said = (("rated", self.rating_a), ("holds", self.holds_a), ("opens", self.opens_a))
        return sorted([each for each in said if each[1].known], key=lambda each: each[1].value)

    def most_a(self) -> float:
        return max((fact.value for _, fact in self.lines()), default=0.0)


def demand_drawn(day: Day, fuse: FuseLines, over: Above | None, wide: bool = False, brief: bool = False,
                 caution: str = CAUTION, since: str = "") -> str:
    """The drawing as SVG. over: what of the day is above the rating; None where the rating is not known. since: of a log, what
    was connected after it (`recorded.GivenLog.not_in_it`)."""
    sheet = Sheet(wide, brief, caution)
    answer = with_since(_answer(day, fuse, over, since), since)
    sheet.headline(f"Demand of the worst day, {day.says}", answer)
    _graph(sheet, day, fuse)
    sheet.say(f"{show(day.highest_a)} A at {clock(day.highest_min)}, the highest minute of {_days(day)}", "1")
    if day.missing_n:
        sheet.say(f"{day.missing_n} minutes of this day are missing; what they held is not known.")
    fuse_told(sheet, fuse)
    return sheet.svg(f"Demand of the worst day. {answer}")


def clock(minute: int) -> str:
    """A minute of a day as a clock says it."""
    return f"{minute // 60:02d}:{minute % 60:02d}"


def _days(day: Day) -> str:
    return f"{day.of_days_n} days" if day.of_days_n > 1 else "this one day"


def _answer(day: Day, fuse: FuseLines, over: Above | None, since: str) -> str:
    if over is None:
        return f"Highest minute {show(day.highest_a)} A. The rating of the fuse is not known, so nothing is said against it."
    if not over.minutes_n:
        return f"Highest minute {show(day.highest_a)} A; {none_above(fuse, since)}."
    longest = f", at most {over.longest_n} running, from {clock(over.began_min)}" if over.minutes_n > 1 else ""
    return f"Highest minute {show(day.highest_a)} A. Above the {fuse.rating_a} of the fuse for {over.minutes_n} min{longest}."


def none_above(fuse: FuseLines, since: str) -> str:
    """That nothing stands above the rating: of a log to which something was added it is said of what was logged alone."""
    return f"no {'logged' if since else 'known'} minute above the {fuse.rating_a} of the fuse"


def with_since(answer: str, since: str) -> str:
    """What a drawing says, and what is not in it."""
    return f"{answer} {since[0].upper()}{since[1:]}." if since else answer


def _graph(sheet: Sheet, day: Day, fuse: FuseLines) -> None:
    most = max(day.highest_a, fuse.most_a(), 1.0) * ROOM
    top = sheet.room(sheet.high(PLOT_H) + TOP_H + BELOW) + TOP_H
    amps = Axis(0.0, most, top + sheet.high(PLOT_H), top)
    hours = Axis(0.0, 24.0, LEFT, sheet.width - RIGHT)
    for hour in HOURS:
        x = hours.at(hour)
        sheet.put(line(f"M{n(x)} {n(top)}V{n(amps.start + 4)}", width=GRID, dash="1 5"),
                  text(x, amps.start + 19, f"{hour}", size=SMALL, anchor="middle"))
    sheet.put(text((LEFT + hours.end) / 2, amps.start + 35, "hour of the day", size=SMALL, anchor="middle"))
    amps_up(sheet, amps)
    fuse_across(sheet, fuse, amps, hours)
    sheet.put(*_current(day, amps, hours), *_heavy(day, fuse, amps, hours), *_gaps(day, amps, hours))
    x, y = hours.at(day.highest_min / 60), amps.at(day.highest_a)
    sheet.put(ring(min(max(x, LEFT + 12), hours.end - 12), y - 14, "1"))


def amps_up(sheet: Sheet, amps: Axis) -> None:
    """The axis of amperes, from nought."""
    sheet.put(line(f"M{n(LEFT)} {n(amps.end)}V{n(amps.start)}H{n(sheet.width - RIGHT)}", width=1.6))
    for a in round_steps(amps.most, 5):
        sheet.put(text(LEFT - 6, amps.at(a) + 4.5, show(a), size=SMALL, anchor="end"))
    sheet.put(text(LEFT - 6, amps.end - 12, "A", size=SMALL, anchor="end"))


def fuse_across(sheet: Sheet, fuse: FuseLines, amps: Axis, along: Axis) -> None:
    """A line across for each current of the fuse that is known, its words in the margin; dashed where nobody confirmed it."""
    lines = fuse.lines()[::-1]
    ys = [amps.at(fact.value) for _, fact in lines]
    for (says, fact), y, at in zip(lines, ys, spread(ys, APART, amps.end - 4, amps.start), strict=True):
        across = f"M{n(along.start)} {n(y)}H{n(along.end)}L{n(along.end + 8)} {n(at)}"
        sheet.put(marked(f"{says} {fact}", line(across, width=heavy(says), dash=DASH if loose(fact) else "")),
                  text(along.end + 12, at + 4.5, f"{says} {fact}", size=SMALL, bold=says == "rated"))


def heavy(says: str) -> float:
    """How heavy a line of the fuse is: that of its rating is what the current is judged by."""
    return 2.6 if says == "rated" else 1.6


def fuse_told(sheet: Sheet, fuse: FuseLines) -> None:
    """What the lines are, and which of them there is not."""
    holds = f"What it holds for {how_long(fuse.conventional_h)}"
    for says, fact in (("The rating of the fuse", fuse.rating_a), (holds, fuse.holds_a), ("What opens it", fuse.opens_a)):
        if not fact.known:
            sheet.say(f"{says} is not known: {why(fact)}.")
    blown = never_blew(fuse.rating_a, fuse.holds_a, fuse.opens_a, fuse.conventional_h)
    sheet.always(f"Rated: what it may carry without end. {blown} Dashed: from memory.")


def why(fact: Fact[float]) -> str:
    """Why nobody knows it, in the words of the record."""
    return "; ".join(dict.fromkeys(gap.note for gap in fact.missing() if gap.note)) or "not recorded"


# ---- the current ------------------------------------------------------------------------------------------------------
def columns(day: Day, hours: Axis) -> Iterator[tuple[float, float | None, float | None]]:
    """(place, least, most) of the minutes that share each unit of the drawing; None where none of them is known."""
    wide = int(hours.end - hours.start)
    for _, group in groupby(enumerate(day.amps), key=lambda each: each[0] * wide // DAY_MIN):
        minutes = [*group]
        known = [a for _, a in minutes if a is not None]
        x = hours.at((minutes[0][0] + minutes[-1][0] + 1) / 120)
        yield x, min(known, default=None), max(known, default=None)


def _current(day: Day, amps: Axis, hours: Axis) -> Iterator[str]:
    for known, run in groupby(columns(day, hours), key=lambda each: each[1] is not None):
        if known:
            spots: list[Spot] = []
            for x, least, most in run:
                assert least is not None
                assert most is not None
                spots += [(x, amps.at(most)), *([(x, amps.at(least))] if least < most else [])]
            drawn = polyline(spots) if len(spots) > 1 else f"M{n(spots[0][0])} {n(spots[0][1])}h1"
            yield marked("current", line(drawn, width=1.4))


def _heavy(day: Day, fuse: FuseLines, amps: Axis, hours: Axis) -> Iterator[str]:
    """What stands above the rating."""
    if not fuse.rating_a.known:
        return
    rated = fuse.rating_a.value
    strokes = "".join(f"M{n(x)} {n(amps.at(rated))}V{n(amps.at(most))}" for x, _, most in columns(day, hours)
                      if most is not None and most > rated)
    if strokes:
        yield marked("above the rating", line(strokes, width=3.4))


def _gaps(day: Day, amps: Axis, hours: Axis) -> Iterator[str]:
    i = 0
    for known, run in groupby(day.amps, key=lambda a: a is not None):
        many = len([*run])
        if not known:
            start, end = hours.at(i / 60), hours.at((i + many) / 60)
            foot = amps.start + 7
            yield marked("missing", line(f"M{n(start)} {n(foot)}H{n(max(end, start + 2))}", width=4, dash="2 2"))
        i += many
