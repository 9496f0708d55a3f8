"""The voltage along a circuit: what is lost by each metre from the origin, and the limit that it must not reach.

Nought is at the top and the loss goes down, as the voltage does; the limit is a line and the ground beyond it is hatched.
A ring goes from the board and back to it, and loses most at its middle.
"""
from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from spareway.design.along import Along, Leg
from spareway.drawings.axes import Axis, hatched, round_steps, spread
from spareway.drawings.graph import DASH, GRID, SMALL, Sheet, loose, marked
from spareway.drawings.symbols import Spot, dot, line, n, polyline, ring, ring_width, text, untraced
from spareway.fact import glossary
from spareway.show import show

__all__ = ["drop"]

LEFT, RIGHT, NUMBERS_H, PLOT_H = 44.0, 46.0, 40.0, 190.0
BELOW = 40.0                                     # the ticks of the metres and their words
BY_LOADS = "2 4"
CLEAR = 15.0                                     # between two figures on an axis
ROOM = 1.12                                      # the greatest stands so far short of the edge
FAR = 2.6                                        # so many times its length the way is drawn on, to where it meets the limit


def drop(of: Along, name: str, wide: bool = False, brief: bool = False) -> str:
    """The drawing of a way, as `design.along` tells it, as SVG; `name` of the circuit. wide: for a page, not a phone;
    brief: without what holds of every such drawing. It draws what is known and says what is not."""
    sheet = Sheet(wide, brief)
    sheet.headline(f"Voltage along {name}", _answer(of))
    if of.legs and of.legs[-1].ends_m.known and of.legs[-1].ends_m.value > 0 and of.limit_v.known and of.u0_v.known:
        _graph(sheet, of)
    else:
        sheet.say("No graph: how long the way is, or its limit, is not known.")
    for number, leg in enumerate(of.legs, 1):
        sheet.say(_told(leg, of.ring), str(number))
    if of.reach_m.known:
        sheet.say(f"Meets the limit where the circuit is {of.reach_m} long, everything else as it is.")
    sheet.always("The load of a ring counts as at its middle." if of.ring else "The whole load counts as at the far end.")
    if any(p.at_v is not None and p.at_v.known for p in of.places):
        sheet.say("Dotted: with each load where it is.")
    return sheet.svg(f"Voltage along {name}. {_answer(of)}")


def _answer(of: Along) -> str:
    if of.total_v.known and of.limit_v.known:
        return f"Lost from the origin: {of.total_v}; limit {of.limit_v}."
    gaps = of.total_v.missing() or of.limit_v.missing()
    return f"Not known: {'; '.join(dict.fromkeys(f'{glossary(g.name).says}, {g.at}: {g.note}' for g in gaps))}."


def _told(leg: Leg, ring_: bool) -> str:
    round_ = " right round" if ring_ and leg.own else ""
    long = f"{leg.length_m}{round_}" if leg.length_m.known else "length not known"
    if not leg.lost_v.known:
        return f"{leg.name}: {long}; what it loses is not known"
    return f"{leg.name}: {long}, loses {leg.lost_v} at {leg.carries_a}{loose(leg.lost_v)}"


# ---- the graph ------------------------------------------------------------------------------------------------------
def _graph(sheet: Sheet, of: Along) -> None:
    most_v = max([of.limit_v.value, *(leg.ends_v.value for leg in of.legs if leg.ends_v.known)]) * ROOM
    plot_h = sheet.high(PLOT_H)
    top = sheet.room(NUMBERS_H + plot_h + BELOW) + NUMBERS_H
    metres = Axis(0.0, _far_m(of), LEFT, sheet.width - RIGHT)
    volts = Axis(0.0, most_v, top, top + plot_h)
    sheet.put(*_edges(metres, volts), *_volts(metres, volts, of), *_metres(metres, volts, of.ring), *_limit(metres, volts, of))
    start: Spot | None = (0.0, 0.0)                              # where a leg begins; none past a gap
    for leg in of.legs:
        if start is not None:
            sheet.put(*_profile(metres, volts, start, leg, of.ring and leg.own))
        start = (leg.ends_m.value, leg.ends_v.value) if leg.ends_v.known else None
    sheet.put(*_places(metres, volts, of), *_numbers(metres, volts, of))


def _far_m(of: Along) -> float:
    """Where the metres end: a little past the end of the way, or where it would meet the limit if that is not far."""
    end = of.legs[-1].ends_m.value
    near = of.meets_m.known and end < of.meets_m.value <= FAR * end and not of.ring
    return of.meets_m.value * 1.05 if near else end * 1.02


def _edges(metres: Axis, volts: Axis) -> Iterator[str]:
    yield line(f"M{n(metres.start)} {n(volts.start)}V{n(volts.end)}H{n(metres.end)}V{n(volts.start)}", width=1.4)
    yield line(f"M{n(metres.start)} {n(volts.start)}H{n(metres.end)}", width=1.8)


def _volts(metres: Axis, volts: Axis, of: Along) -> Iterator[str]:
    """Volts left and per cent of the nominal voltage right; the limit bold on both sides."""
    u0_v, limit_v = of.u0_v.value, of.limit_v.value
    left, right = metres.start - 6, metres.end + 6
    percent = round_steps(volts.most / u0_v * 100, 5)
    steps = [(v, show(v) if v else "0 V", left, "end") for v in round_steps(volts.most, 5)]
    steps += [(share * u0_v / 100, f"{show(share)} %", right, "start") for share in percent]
    for v, words, x, anchor in steps:
        if v and anchor == "end":
            yield line(f"M{n(metres.start)} {n(volts.at(v))}H{n(metres.end)}", width=GRID, dash="1 5")
        if abs(volts.at(v) - volts.at(limit_v)) > CLEAR:
            yield text(x, volts.at(v) + 4.5, words, size=SMALL, anchor=anchor)
    for x, words, anchor in ((left, show(limit_v), "end"), (right, f"{show(limit_v / u0_v * 100)} %", "start")):
        yield text(x, volts.at(limit_v) + 4.5, words, size=SMALL, bold=True, anchor=anchor)


def _metres(metres: Axis, volts: Axis, ring_: bool) -> Iterator[str]:
    for m in round_steps(metres.most, 5):
        yield line(f"M{n(metres.at(m))} {n(volts.end)}v5", width=1.4)
        yield text(metres.at(m), volts.end + 18, show(m), size=SMALL, anchor="middle")
    words = f"metres from the origin{', round and back' if ring_ else ''}"
    yield text(metres.end, volts.end + 34, words, size=SMALL, anchor="end")


def _limit(metres: Axis, volts: Axis, of: Along) -> Iterator[str]:
    """The line and the hatching beyond it; where the way would meet it, a dotted line on from its end and a stroke."""
    y, last = volts.at(of.limit_v.value), of.legs[-1]
    yield line(hatched(metres.start, y, metres.end, volts.end), width=GRID)
    yield marked("limit", line(f"M{n(metres.start)} {n(y)}H{n(metres.end)}", width=4))
    if of.ring or not (of.meets_m.known and last.ends_v.known and last.ends_m.value < of.meets_m.value <= metres.most):
        return
    x = metres.at(of.meets_m.value)
    yield line(f"M{n(metres.at(last.ends_m.value))} {n(volts.at(last.ends_v.value))}L{n(x)} {n(y)}", width=1.8, dash="1.5 5")
    yield marked("meets", line(f"M{n(x)} {n(y - 9)}v18", width=2.4))


def _profile(metres: Axis, volts: Axis, start: Spot, leg: Leg, ring_: bool) -> Iterator[str]:
    """The loss along one leg, with a disc at its end; a ring comes back to what it began at."""
    a = metres.at(start[0]), volts.at(start[1])
    if not leg.ends_v.known:
        yield untraced(*a)
        return
    far, back = volts.at(leg.ends_v.value), metres.at(leg.ends_m.value)
    spots: list[Spot] = [a, ((a[0] + back) / 2, far), (back, a[1])] if ring_ else [a, (back, far)]
    yield marked("leg", line(polyline(spots), width=3.4 if leg.own else 2.4, dash=DASH if leg.lost_v.doubtful() else ""))
    yield from (dot(*spot) for spot in spots[1:])


def _places(metres: Axis, volts: Axis, of: Along) -> Iterator[str]:
    """Points of the circuit by their distance, as strokes on the upper edge; a dotted line where each load is counted there."""
    own = next(i for i, leg in enumerate(of.legs) if leg.own)
    board = of.legs[own - 1] if own else None
    before = {p.name: p for p in of.places}
    for place in of.places:
        if not place.at_m.known:
            continue
        x = metres.at(place.at_m.value)
        yield line(f"M{n(x)} {n(volts.start - 6)}v6", width=1.6)
        if place.at_v is None or not place.at_v.known:
            continue
        came = before.get(place.after)
        ends = (came.at_m, came.at_v) if came else (board.ends_m, board.ends_v) if board else None
        a = (metres.at(ends[0].value), volts.at(ends[1].value)) if ends and ends[1] is not None else (metres.start, volts.start)
        yield marked("by loads", line(polyline([a, (x, volts.at(place.at_v.value))]), width=1.8, dash=BY_LOADS))


def _numbers(metres: Axis, volts: Axis, of: Along) -> Iterator[str]:
    """A number over each leg, and a dotted line where one leg ends and the next begins."""
    ends = [metres.start, *(metres.at(leg.ends_m.value) for leg in of.legs)]
    middles = [(a + b) / 2 for a, b in pairwise(ends)]
    apart = ring_width(str(len(middles))) + 4
    for number, (x, middle) in enumerate(zip(spread(middles, apart, metres.start + 8, metres.end - 8), middles, strict=True), 1):
        yield line(f"M{n(x)} {n(volts.start - 19)}L{n(middle)} {n(volts.start - 8)}", width=GRID)
        yield ring(x, volts.start - 28, str(number))
    for x in ends[1:-1]:
        yield line(f"M{n(x)} {n(volts.start)}V{n(volts.end)}", width=GRID, dash="1 5")
