"""Readings of one thing over the years: each at 20 °C where that means something, with what its instrument leaves in doubt."""
from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import inf

from spareway.drawings.axes import Axis, round_steps, spread
from spareway.drawings.graph import GRID, SMALL, Sheet, marked
from spareway.drawings.symbols import dot, line, n, polyline, text
from spareway.fact import glossary
from spareway.readings.instrument import CONTINUITY
from spareway.readings.later import At
from spareway.show import show

__all__ = ["trend_drawn"]

LEFT, RIGHT, PLOT_H, BELOW = 52.0, 22.0, 130.0, 42.0
APART, HALF, ROOM = 44.0, 7.0, 1.15              # between two dates; half of a doubt's cross stroke; above the greatest
DAYS = (0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334)


def trend_drawn(points: Sequence[At], brief: bool = False) -> str:
    """The drawing as SVG, as wide as a phone. points: of one quantity at one place, oldest first, at least two.

    Errors: ValueError for fewer."""
    if len(points) < 2:
        raise ValueError(f"{len(points)} readings make no trend")
    row, sheet = points[0].row, Sheet(False, brief)
    of = glossary(row.quantity)
    title = f"{of.says[:1].upper()}{of.says[1:]}"
    where = " to ".join(each for each in (row.a, row.b) if each)
    sheet.headline(title, where)
    _graph(sheet, points, of.unit)
    for number, each in enumerate(points, 1):
        sheet.say(_told(each, of.unit), str(number))
    sheet.always("Bar: what the instrument and the temperature leave in doubt.")
    return sheet.svg(f"{title}. {where}.")


def _told(each: At, unit: str) -> str:
    day = each.at.partition("T")[0]
    if not each.value.known:
        return f"{day}: {each.row.over_words}"
    at_20 = " at 20 °C" if each.row.quantity in CONTINUITY else ""
    return f"{day}: {show(each.value.value)} {unit}{at_20}, {show(each.least)} to {show(each.most)}"


def years(at: str) -> float:
    """A date as years, near enough to be drawn: a year has 365 days. Errors: ValueError."""
    year, month, day = (int(part) for part in at.partition("T")[0].split("-"))
    return year + (DAYS[month - 1] + day - 1) / 365


def _graph(sheet: Sheet, points: Sequence[At], unit: str) -> None:
    most = max((each.most for each in points if each.value.known), default=1.0) * ROOM or 1.0
    sheet.say(f"{unit}, from nought", bold=True)
    top = sheet.room(PLOT_H + BELOW + 8) + 8
    scale, right = Axis(0.0, most, top + PLOT_H, top), sheet.width - RIGHT
    put = sheet.put
    put(line(f"M{n(LEFT)} {n(top)}V{n(top + PLOT_H)}H{n(right)}", width=1.4))
    for v in round_steps(most, 4):
        put(text(LEFT - 6, scale.at(v) + 4.5, show(v, 2), size=SMALL, anchor="end"))
        put(line(f"M{n(LEFT)} {n(scale.at(v))}H{n(right)}", width=GRID, dash="1 5") if v else "")
    xs = _places(points, right)
    known = [(x, scale.at(each.value.value)) for x, each in zip(xs, points, strict=True) if each.value.known]
    if len(known) > 1:
        put(line(polyline(known), width=1.8))
    for x, each in zip(xs, points, strict=True):
        put(*_point(scale, x, each))
    for x, words in _dates(points, xs):
        put(line(f"M{n(x)} {n(scale.start)}v5", width=1.4), text(x, scale.start + 20, words, size=SMALL, anchor="middle"))


def _places(points: Sequence[At], right: float) -> list[float]:
    """By date, as far apart as their discs need."""
    at = [years(each.at) for each in points]
    whole = at[-1] - at[0]
    start, end = LEFT + 14, right - 14
    wanted = [start + (end - start) * (y - at[0]) / whole if whole > 0 else start for y in at]
    return spread(wanted, 12, start, end)


def _dates(points: Sequence[At], xs: Sequence[float]) -> Iterator[tuple[float, str]]:
    """The year under each, where there is room for it."""
    last = -inf
    for x, each in zip(xs, points, strict=True):
        if x - last >= APART:
            yield x, each.at[:4]
            last = x


def _point(scale: Axis, x: float, each: At) -> Iterator[str]:
    """A disc on its bar; an arrow where it was over range."""
    if not each.value.known:
        yield marked("over range", line(f"M{n(x)} {n(scale.end + 20)}V{n(scale.end)}m-6 8l6-8 6 8", width=2.4))
        return
    high, low = scale.at(each.most), scale.at(each.least)
    across = "".join(f"M{n(x - HALF)} {n(y)}h{n(2 * HALF)}" for y in (high, low))
    yield marked("doubt", line(f"M{n(x)} {n(high)}V{n(low)}{across}", width=1.6))
    yield marked("read", dot(x, scale.at(each.value.value)))
