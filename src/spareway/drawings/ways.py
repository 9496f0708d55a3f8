"""The ways of a board as SVG: busbars, devices in the state they are in, terminals, the letters of what their cores carry."""
from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from itertools import groupby

from spareway.drawings.board import DEVICE_Y, LEAST, LEFT, NAME, NUMBER_H, ROW_H, ROWS, STUB, BoardBox, Slot
from spareway.drawings.face import symbol_of
from spareway.drawings.letters import width
from spareway.drawings.symbols import INK, LOOKS, PAPER, box, line, n, text, wire
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
        yield from _slot(slot, y, potentials, opened, landed, box_)
        yield from _name(slot, y, box_)
    for rail, y in enumerate(box_.rails):
        here = [slot for slot in box_.slots if slot.rail == rail]
        if any(slot.ends for slot in here):
            yield from _letters(here, y, potentials)


# ---- busbars --------------------------------------------------------------------------------------------------------
def _bars(box_: BoardBox, potentials: Mapping[str, str]) -> Iterator[str]:
    """Leads down to the busbars first, then the busbars over them: what crosses never looks joined."""
    assert box_.shown
    leads, levels = [], []
    for k, (bar, level) in enumerate(box_.levels.items()):
        inner = box_.shown.terminals[bar.partition(".")[2]][0]
        riser = box_.width - 12 - 9.0 * k
        for rail, y in enumerate(box_.rails):
            xs = [slot.xs[c] for slot in box_.slots if slot.rail == rail for c, b in slot.bars.items() if b == bar]
            last = rail == len(box_.rails) - 1
            xs += [inner] if last else []
            xs += [riser] if len(box_.rails) > 1 else []
            if len(set(xs)) > 1:
                levels.append(wire([[(min(xs), y + level), (max(xs), y + level)]], potentials[bar], None))
        leads.append(wire([[(inner, box_.inner_y), (inner, box_.rails[-1] + level)]], potentials[bar], None))
        if len(box_.rails) > 1:
            leads.append(wire([[(riser, box_.rails[-1] + level), (riser, box_.rails[0] + level)]], potentials[bar], None))
    for slot in box_.slots:
        y = box_.rails[slot.rail]
        leads += [wire([[(slot.xs[c], y + DEVICE_Y + HALF), (slot.xs[c], y + box_.levels[bar])]], potentials[bar], None)
                  for c, bar in slot.bars.items() if bar in box_.levels]
    yield from leads
    yield from reversed(levels)


# ---- one way --------------------------------------------------------------------------------------------------------
def _slot(slot: Slot, y: float, potentials: Mapping[str, str], opened: Collection[str], landed: Collection[str],
          box_: BoardBox) -> Iterator[str]:
    middle = y + DEVICE_Y
    poles = _poles(slot)
    if not slot.bars:
        yield box(slot.x + 3, middle - HALF, slot.width - 6, 2 * HALF, width=1.2)          # a blank
    surge = slot.device is not None and slot.device.family == "surge"
    for c, bar in slot.bars.items():
        x = slot.xs[c]
        if surge and c != "E":
            yield from _surge(x, slot.xs.get("E", x), middle, potentials.get(bar, ""))
        elif slot.bare:
            yield line(f"M{n(x - 5)} {n(middle - 9)}h10M{n(x - 5)} {n(middle + 9)}h10M{n(x)} {n(middle + 9)}v4", width=2.4)
            yield _disc(x, middle + HALF, False)
        else:
            yield from _lead(slot, c, (x, y), potentials, opened, poles.get(c, ""))
        if c in slot.ends and not slot.bare:
            yield from _terminal(slot, c, (x, y), potentials, opened, landed)
    if slot.device is not None and slot.device.residual:
        xs = [slot.xs[c] for c in slot.bars if c != "E"]
        yield line(f"M{n(min(xs) - 4)} {n(middle + 14)}a4 2.6 0 0 1 4-2.6H{n(max(xs))}a4 2.6 0 0 1 0 5.2H{n(min(xs))}a4 2.6 0 0 1-4-2.6",
                   width=1.2)


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
    below, middle = potentials[slot.bars[c]], y + DEVICE_Y
    if not control and slot.device is None and c == "L" and slot.way:
        yield wire([[(x, middle + HALF), (x, y)]], above, None)
        yield box(x - 5, middle - 9, 10, 18, width=1.4, fill=PAPER, dash="2.5 2") + text(x, middle + 5, "?", size=13, anchor="middle")
        return
    if not control or slot.device is None:
        yield wire([[(x, middle + HALF), (x, y)]], above, None)
        return
    is_open = f"{slot.way}.{control}" in opened and slot.device.controls[control] not in ("itself", "other")
    name = symbol_of(slot.device, control)
    yield wire([[(x, middle - HALF), (x, y)]], above, None)
    if name == "fuse":
        if not is_open:
            yield wire([[(x, middle + HALF), (x, middle - HALF)]], above, None)
        yield _at(x, middle, line(SMALL["fuse"], width=1.4, dash="2.5 2" if is_open else "", fill="none" if is_open else PAPER))
        yield "" if is_open else _at(x, middle, line("M0-13v26", width=1.4))
        return
    if not is_open:
        yield wire([[(x, middle + HALF), (x, middle - 9)]], above, None)
    yield _at(x, middle, line(SMALL[name], width=2) + (line(BLADE, width=2.4) if is_open else ""))
    yield f'<circle class="dot" cx="{n(x)}" cy="{n(middle + 11)}" r="2.4" fill="{INK}"/>' if below else ""


def _at(x: float, y: float, what: str) -> str:
    return f'<g transform="translate({n(x)} {n(y)})">{what}</g>'


def _surge(x: float, earth_x: float, middle: float, potential: str) -> Iterator[str]:
    """A surge module between its busbar and the earth lead."""
    yield wire([[(x, middle - 9), (x, middle - 16), (earth_x, middle - 16)]], "earth" if False else "no path in the record", None) if False else line(
        f"M{n(x)} {n(middle - 9)}V{n(middle - 16)}H{n(earth_x)}", width=1.4)
    yield _at(x, middle, line("M-2.600-9h5.200v22h-5.200z".replace("00", ""), width=1.2, fill=PAPER) + line("M-4.500 9L4.500-5".replace("00", ""), width=1.2))
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
        yield wire([[(x, low), (x, y - STUB)]], potential, None)
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
        yield f'<g transform="translate({n(x + 4.5)} {n(top - NUMBER_H - 2)}) rotate(-90)">{text(0, 0, slot.words, size=NAME, bold=slot.bare)}</g>'
    assert width(slot.words, NAME) <= box_.names_h
