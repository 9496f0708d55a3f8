"""The rooms as bars: what each loses, the range of it, what is wanted of its heaters with the margin, and what they give.

The hatched bar is what the room loses as recorded; the whisker across it its range; the open box beyond it the margin for
heating up; the heavy stroke what the heaters give at 230 V. It reads without colour: the four differ in form.
"""
from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from spareway.drawings.axes import Axis, hatched, round_steps
from spareway.drawings.graph import GRID, SMALL, Sheet, marked
from spareway.drawings.symbols import PAPER, box, line, n, text
from spareway.show import show

__all__ = ["Bar", "rooms_drawn"]

LEFT, RIGHT = 14.0, 26.0
ROW_H, BAR_H, NAME_H = 46.0, 14.0, 20.0
BELOW = 36.0
ROOM = 1.06                                      # the longest stands so far short of the edge


@dataclass(frozen=True, slots=True)
class Bar:
    """A room: its loss (W) at the least, as recorded and at the most, or nothing where it is unknown, and then why.

    wanted_w: with the margin; given_w: by its heaters at the declared voltage. None: unknown
    short_at_most_w: what they lack at the most it may lose; negative where they give enough even then
    unsaid: the parts of its skin that nobody has answered: it loses at least what is drawn, and nothing meets that"""
    name: str
    loss_w: tuple[float, float, float] | None
    wanted_w: float | None
    given_w: float | None
    why: str = ""
    short_at_most_w: float | None = None
    unsaid: tuple[str, ...] = ()

    @property
    def is_met(self) -> bool:
        """Whether its heaters give what is wanted of them by what is recorded, of every part of it."""
        return not self.unsaid and self.wanted_w is not None and self.given_w is not None and self.given_w >= self.wanted_w

    @property
    def is_short_at_most(self) -> bool:
        """Whether they do so, and yet not at the most that the room may lose."""
        return self.is_met and self.short_at_most_w is not None and self.short_at_most_w > 0


def rooms_drawn(bars: Sequence[Bar], wide: bool = False, brief: bool = False) -> str:
    """The drawing as SVG. wide: for a page, not a phone; brief: without what holds of every such drawing."""
    sheet = Sheet(wide, brief)
    sheet.headline("Heat that each room loses", _answer(bars))
    longest = max([w for bar in bars for w in (*(bar.loss_w or ()), bar.wanted_w or 0.0, bar.given_w or 0.0)], default=0.0)
    if longest > 0:
        _graph(sheet, bars, Axis(0.0, longest * ROOM, LEFT, sheet.width - RIGHT))
    for bar in bars:
        if bar.loss_w is None:
            sheet.say(f"{bar.name}: not known: {bar.why or 'nothing is recorded'}")
    for bar in bars:
        if bar.is_short_at_most:
            sheet.say(f"{bar.name}: {bar.short_at_most_w:.0f} W short at the most it may lose")
    sheet.say("Hatched: the loss as recorded. Whisker: between the ends of what was given as a range. Open: the margin for "
              "heating up. Heavy stroke: what its heaters give at 230 V; none where that is not known.")
    sheet.always("An assumed wall is assumed.")
    return sheet.svg(f"Heat that each room loses. {_answer(bars)}")


def _answer(bars: Sequence[Bar]) -> str:
    gaps = [bar.name for bar in bars if bar.loss_w is None]
    short = [bar.name for bar in bars if bar.wanted_w is not None and bar.given_w is not None and bar.given_w < bar.wanted_w]
    said = [f"Not known: {', '.join(gaps)}."] if gaps else []
    said += [f"Heaters short of the output wanted: {', '.join(short)}."] if short else []
    met, barely = [bar for bar in bars if bar.is_met], [bar for bar in bars if bar.is_short_at_most]
    said += [f"Met at 230 V: {len(met)} of {len(bars)} rooms."] if bars else ["No heated room is recorded."]
    said += [f"Of these short at the most they may lose: {', '.join(bar.name for bar in barely)}."] if barely else []
    unsaid = [bar.name for bar in bars if bar.unsaid]
    said += [f"At least so much, not every part is answered: {len(unsaid)} of {len(bars)}."] if unsaid else []
    untold = len([bar for bar in bars if bar.given_w is None])
    said += [f"What the heaters give is not known: {untold} of {len(bars)}."] if untold else []
    return " ".join(said)


def _graph(sheet: Sheet, bars: Sequence[Bar], watts: Axis) -> None:
    known = [bar for bar in bars if bar.loss_w is not None]
    top = sheet.room(ROW_H * len(known) + BELOW)
    bottom = top + ROW_H * len(known)
    for w in round_steps(watts.most, 4):
        sheet.put(line(f"M{n(watts.at(w))} {n(top)}V{n(bottom)}", width=GRID, dash="1 5"),
                  text(watts.at(w), bottom + 16, f"{show(w) if w else '0'} W", size=SMALL, anchor="middle" if w else "start"))
    sheet.put(line(f"M{n(watts.start)} {n(top)}V{n(bottom)}", width=1.8))
    for row, bar in enumerate(known):
        sheet.put(*_bar(bar, watts, top + ROW_H * row))


def _bar(bar: Bar, watts: Axis, top: float) -> Iterator[str]:
    assert bar.loss_w is not None
    least, is_, most = bar.loss_w
    y, zero, end = top + NAME_H, watts.start, watts.at(is_)
    spread = f" ({least:.0f} to {most:.0f})" if most > least else ""
    yield text(zero + 3, y - 5, f"{bar.name}  {'at least ' if bar.unsaid else ''}{is_:.0f} W{spread}", size=SMALL, bold=True)
    hatching = line(hatched(zero, y, end, y + BAR_H), width=GRID)
    yield marked("loss", box(zero, y, end - zero, BAR_H, width=1.4, radius=0) + hatching)
    if bar.wanted_w is not None and bar.wanted_w > is_:
        yield marked("wanted", box(end, y, watts.at(bar.wanted_w) - end, BAR_H, width=1.4, radius=0))
    if most > least:
        a, b, middle = watts.at(least), watts.at(most), y + BAR_H / 2
        whisker = f"M{n(a)} {n(middle)}H{n(b)}M{n(a)} {n(middle - 4)}v8M{n(b)} {n(middle - 4)}v8"
        yield marked("range", line(whisker, cls="halo", colour=PAPER, width=6) + line(whisker, width=2)
                     + line(f"M{n(end)} {n(y)}v{n(BAR_H)}", width=2))
    if bar.given_w is not None:
        yield marked("heaters", line(f"M{n(watts.at(bar.given_w))} {n(y - 2)}v{n(BAR_H + 6)}", width=4))
