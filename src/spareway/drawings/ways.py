"""The ways of a board as SVG: busbars, devices in the state they are in, terminals, the letters of what their cores carry."""
from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import groupby

from spareway.drawings.board import DEVICE_Y, LEAST, LEFT, NAME, NUMBER_H, ROW_H, ROWS, STUB, BoardBox, Slot
from spareway.drawings.face import symbol_of
from spareway.drawings.symbols import INK, LOOKS, PAPER, Spot, box, line, n, polyline, text
from spareway.kinds.joints import inside
from spareway.wiring.potentials import WORDS

__all__ = ["cell", "core_words", "rail_svg", "worst"]

HALF = 13.0                                     # from the middle of a device to its leads
ROW_WORDS = {"L": "line", "N": "neutral", "E": "earth"}
SMALL = {"fuse": "M-4-10h8v20h-8z", "fuse open": "M-4-10h8v20h-8z", "breaker": "M-4-13l8 8m0-8l-8 8", "pole": "M-4-9h8",
         "contactor": "M-4-9h8M-7 3h4v8h-4z", "plug": "M-4-5a4 4 0 0 1 8 0"}
BLADE = "M0 11L-5-6"


def worst(words: Collection[str]) -> str:
    """The most dangerous of several potentials."""
    order = ("line", "line through a load", "not known", "neutral", "earth", "no path in the record")
    assert set(order) == set(WORDS)
    return min(words, key=order.index)


def core_words(slot: Slot, conductor: str, potentials: Mapping[str, str]) -> str:
    """What the cores of a way carry: beyond the board where there are any, else at its terminal; "" for none."""
    held = [t for t in slot.cores.get(conductor, ()) if t] or [t for c, t in slot.ends.items() if c == conductor]
    borrowed = conductor in slot.ends and not slot.lifts.get(conductor) and not slot.cores.get(conductor) and not slot.bare
    return "" if borrowed or not held else worst([potentials[t] for t in held])


def rail_svg(box_: BoardBox, potentials: Mapping[str, str], opened: Collection[str], landed: Collection[str]) -> Iterator[str]:
    """All ways of a board, from the top left corner of its frame."""
    yield from _bars(box_, potentials)
    for slot in box_.slots:
        y = box_.rails[slot.rail]
        yield from _slot(slot, y, potentials, opened, landed)
        yield from _name(slot, y, box_)
    for rail, y in enumerate(box_.rails):
        here = [slot for slot in box_.slots if slot.rail == rail]
        if any(slot.ends and not slot.routed for slot in here):
            yield from _letters(here, y, potentials)


# ---- busbars --------------------------------------------------------------------------------------------------------
def _bars(box_: BoardBox, potentials: Mapping[str, str]) -> Iterator[str]:
    """Busbars run through; a lead that passes one is interrupted there, and has a dot where it joins its own."""
    assert box_.shown
    last = len(box_.rails) - 1
    for k, (bar, level) in enumerate(box_.levels.items()):
        inner, riser = box_.shown.terminals[bar.partition(".")[2]][0], box_.width - 12 - 9.0 * k
        for rail, y in enumerate(box_.rails):
            ways = [slot.xs[c] for slot in box_.slots if slot.rail == rail for c, b in slot.bars.items() if b == bar]
            xs = ways + [inner] * (rail == last) + [riser] * (last > 0)
            if len(set(xs)) > 1:
                yield thin([(min(xs), y + level), (max(xs), y + level)], potentials[bar])
            for x in ways:
                yield from _lead_down(box_, x, y + DEVICE_Y + HALF, y, bar, potentials)
                yield _joint(x, y + level)
        yield from _lead_down(box_, inner, box_.inner_y, box_.rails[-1], bar, potentials)
        if last:
            yield from _lead_down(box_, riser, box_.rails[0] + level, box_.rails[-1], bar, potentials)


def _lead_down(box_: BoardBox, x: float, start: float, rail: float, bar: str, potentials: Mapping[str, str]) -> Iterator[str]:
    """An upright lead from `start` to the level of its busbar in a rail, open where it passes the other busbars."""
    at = (x, start, rail, bar)
    if at not in box_.leads:                                            # the same in every state of the switches
        box_.leads[at] = _edges(box_, *at)
    edges = box_.leads[at]
    for top, bottom in zip(edges[::2], edges[1::2], strict=True):
        if bottom > top:
            yield thin([(x, bottom), (x, top)], potentials[bar])


def _edges(box_: BoardBox, x: float, start: float, rail: float, bar: str) -> list[float]:
    """Where the parts of such a lead begin and end, from the top."""
    end = rail + box_.levels[bar]
    low, high = min(start, end), max(start, end)
    passed = sorted(r + level for r in box_.rails for other, level in box_.levels.items()
                    if other != bar and low < r + level < high and _spans(box_, other, r, x))
    return [low, *(at for y in passed for at in (y - 4, y + 4)), high]


def _spans(box_: BoardBox, bar: str, rail: float, x: float) -> bool:
    """Whether a busbar of a rail reaches over this x."""
    assert box_.shown
    number, last = box_.rails.index(rail), len(box_.rails) - 1
    xs = [slot.xs[c] for slot in box_.slots if slot.rail == number for c, b in slot.bars.items() if b == bar]
    xs += [box_.shown.terminals[bar.partition(".")[2]][0]] * (number == last)
    xs += [box_.width - 12 - 9.0 * list(box_.levels).index(bar)] * (last > 0)
    return bool(xs) and min(xs) <= x <= max(xs)


def _joint(x: float, y: float) -> str:
    return f'<circle class="dot" cx="{n(x)}" cy="{n(y)}" r="2.2" fill="{INK}"/>'


def thin(points: Sequence[Spot], potential: str) -> str:
    """Bare metal by its potential where there is no room for a halo; an earth has one tick in its middle."""
    return _thin(tuple(points), potential)


@lru_cache(8192)                                # most of a board stays when a switch is changed over
def _thin(points: tuple[Spot, ...], potential: str) -> str:
    (ax, ay), (bx, by) = points[0], points[-1]
    x, y = (ax + bx) / 2, (ay + by) / 2
    long = abs(ax - bx) + abs(ay - by)
    out = [line(polyline(points), width=width, dash=dash) for width, dash in LOOKS[potential].bare]
    if potential == "earth" and long > 9:
        out.append(line(f"M{n(x)} {n(y - 3)}v6" if ay == by else f"M{n(x - 3)} {n(y)}h6", width=1.4))
    return "".join(out)


# ---- one way --------------------------------------------------------------------------------------------------------
def _slot(slot: Slot, y: float, potentials: Mapping[str, str], opened: Collection[str], landed: Collection[str]) -> Iterator[str]:
    middle = y + DEVICE_Y
    poles = _poles(slot)
    if not slot.bars and not slot.ends:
        yield box(slot.x + 3, middle - HALF, slot.width - 6, 2 * HALF, width=1.2)          # a blank
    surge = slot.device is not None and slot.device.family == "surge"
    for c in slot.bars:
        x = slot.xs[c]
        if surge and c != "E":
            yield from _surge(x, slot.xs.get("E", x), middle)
        elif slot.bare and slot.ends.get(c, "").endswith(".bare.L"):
            yield line(f"M{n(x - 5)} {n(middle - 9)}h10M{n(x - 5)} {n(middle + 9)}h10M{n(x)} {n(middle + 9)}v4", width=2.4)
            yield _disc(x, middle + HALF, False)
        else:
            yield from _lead(slot, c, (x, y), potentials, opened, poles.get(c, ""))
    for c, end in slot.ends.items():
        if not end.endswith(".bare.L"):
            yield from _terminal(slot, c, (slot.xs[c], y), potentials, opened, landed)
    if slot.device is not None and slot.device.residual:
        xs = [slot.xs[c] for c in slot.bars if c != "E"]
        left, right = n(min(xs)), n(max(xs))
        start = f"M{n(min(xs) - 4)} {n(middle + 14)}"
        yield line(f"{start}a4 2.6 0 0 1 4-2.6H{right}a4 2.6 0 0 1 0 5.2H{left}a4 2.6 0 0 1-4-2.6", width=1.2)


def _poles(slot: Slot) -> dict[str, str]:
    """The control in each conductor of a device: {"L": "switch"}; its inner joints are passed over."""
    found: dict[str, str] = {}
    for link in inside("", slot.device.wiring) if slot.device else ():
        if link.control:
            found.setdefault(link.a.rpartition(".")[2], link.control[1:])
    return found


def _lead(slot: Slot, c: str, at: tuple[float, float], potentials: Mapping[str, str], opened: Collection[str],
          control: str) -> Iterator[str]:
    """From the busbar lead up to the terminal, through the device where it has a pole."""
    (x, y), above = at, potentials[slot.ends[c]] if c in slot.ends else potentials[slot.bars[c]]
    middle = y + DEVICE_Y
    if not control and slot.device is None and c == "L" and slot.way:
        yield thin([(x, middle + HALF), (x, y)], above)
        yield box(x - 5, middle - 9, 10, 18, cls="box", width=1.4, fill=PAPER, dash="2.5 2")
        yield text(x, middle + 5, "?", size=NAME, anchor="middle")
        return
    if not control or slot.device is None:
        yield thin([(x, middle + HALF), (x, y)], above)
        return
    is_open = f"{slot.way}.{control}" in opened and slot.device.controls[control] not in ("itself", "other")
    name = symbol_of(slot.device, control)
    yield thin([(x, middle - HALF), (x, y)], above)
    if name == "fuse":
        if not is_open:
            yield thin([(x, middle + HALF), (x, middle - HALF)], above)
        yield _at(x, middle, line(SMALL["fuse"], width=1.4, dash="2.5 2") if is_open
                  else line(SMALL["fuse"], cls="box", width=1.4, fill=PAPER))
        yield "" if is_open else _at(x, middle, line("M0-13v26", width=1.4))
        return
    if not is_open:
        yield thin([(x, middle + HALF), (x, middle - 9)], above)
    yield _at(x, middle, line(SMALL[name], width=2) + (line(BLADE, width=2.4) if is_open else ""))
    yield _joint(x, middle + 11)


def _at(x: float, y: float, what: str) -> str:
    return f'<g transform="translate({n(x)} {n(y)})">{what}</g>'


def _surge(x: float, earth_x: float, middle: float) -> Iterator[str]:
    """A surge module between its busbar and the earth lead."""
    yield line(f"M{n(x)} {n(middle - 9)}V{n(middle - 16)}H{n(earth_x)}", width=1.4)
    yield _at(x, middle, line("M-3-9h6v22h-6z", cls="box", width=1.2, fill=PAPER) + line("M-5 9L5-5", width=1.2))
    yield _disc(x, middle + HALF, True)


def _terminal(slot: Slot, c: str, at: tuple[float, float], potentials: Mapping[str, str], opened: Collection[str],
              landed: Collection[str]) -> Iterator[str]:
    """The terminal, and the beginning of the core that is landed on it, or that was lifted off."""
    x, y = at
    lifts = slot.lifts.get(c, ())
    routed = slot.ends[c] in landed
    lifted = bool(lifts) and all(name in opened for name in lifts)
    if lifts and not routed:
        potential = core_words(slot, c, potentials)
        low = y - 8 if lifted else y
        yield thin([(x, low), (x, y - STUB)], potential)
        if lifted:
            yield line(f"M{n(x - 4)} {n(low)}h8", width=2.2)
    yield _disc(x, y, routed or bool(lifts) and not lifted)


def _disc(x: float, y: float, landed: bool) -> str:
    return (f'<circle class="{"dot" if landed else "box"}" cx="{n(x)}" cy="{n(y)}" r="2.8" fill="{INK if landed else PAPER}" '
            f'stroke="{INK}" stroke-width="1.2"/>')


# ---- letters and names ----------------------------------------------------------------------------------------------
def row_y(y: float, row: int) -> float:
    """The middle of a row of letters, above the edge of a rail."""
    return y - STUB - ROW_H * (row + 0.5)


def _letters(here: list[Slot], y: float, potentials: Mapping[str, str]) -> Iterator[str]:
    """Rows of letters, line lowest. Neighbours at one potential share one."""
    for row, c in enumerate(ROWS):
        middle = row_y(y, row)
        yield text(LEFT - 4, middle + 4.5, ROW_WORDS[c], size=NAME, anchor="end")
        for word, group in groupby(here, lambda slot, c=c: "" if slot.routed else core_words(slot, c, potentials)):  # type: ignore[misc]
            slots = list(group)
            if word:
                yield cell(slots[0].x + 1, slots[-1].x + slots[-1].width - 1, middle, word)


def cell(x_from: float, x_to: float, y: float, word: str) -> str:
    """A marker sleeve over the cores of one way or of several."""
    full = word == "line"
    return box(x_from, y - 9, x_to - x_from, 18, cls="tag full" if full else "tag", fill=INK if full else PAPER,
               width=1.2 if word == "no path in the record" else 1.8, dash="2.5 2" if word == "not known" else "",
               radius=9 if word == "neutral" else 1.5) \
        + text((x_from + x_to) / 2, y + 4.7, LOOKS[word].letter, size=13, bold=True, anchor="middle",
               cls="on" if full else "t", fill=PAPER if full else INK)


def _name(slot: Slot, y: float, box_: BoardBox) -> Iterator[str]:
    """The number of a way and, turned, what it feeds."""
    top = y - (box_.head - NUMBER_H - box_.names_h)
    x = slot.x + (slot.width - LEAST / 2 if slot.routed else slot.width / 2)
    if slot.label:
        yield text(x, top - 4, slot.label, size=NAME, bold=True, anchor="middle")
    if slot.words:
        words = text(0, 0, slot.words, size=NAME, bold=slot.bare)
        yield f'<g transform="translate({n(x + 4.5)} {n(top - NUMBER_H - 2)}) rotate(-90)">{words}</g>'
