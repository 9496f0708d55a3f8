"""The strokes that every drawing is made of: metal by its potential, sleeves, ends, symbols, terminals. SVG text.

Presentation attributes carry the print colours, so no style sheet is needed; classes let one re-colour a drawing:
`dwg` the whole; `ink` strokes; `halo` paper under and between them; `frame` a thing; `box` a symbol with paper inside; `dot` what
is full ink; `core` with `bn bu rd bk gy gnye ye` by its insulation, or `halo` where that is bare or not known; `tag` a sleeve,
`tag full` that of a line; `t` words, `on` words on full ink; `thing` what belongs to one; `touch` a link, `asked` its corners.
Symbol shapes follow IEC 60617 in our own strokes; letters of insulation colours are IEC 60757. One unit is one pixel.
"""
from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from spareway.wiring.potentials import EARTH, LINE, NEUTRAL, NO_PATH, NOT_KNOWN, THROUGH_A_LOAD

__all__ = [
    "FONT", "HUES", "INK", "LOOKS", "PAPER", "SHAPES", "Look", "Spot", "box", "cap", "cut", "dot", "escaped", "frame",
    "line", "linked", "n", "polyline", "residual_ring", "ring", "ring_width", "sleeve", "svg", "symbol", "terminal", "text",
    "untraced", "wire"]

Spot = tuple[float, float]
INK, PAPER = "#15201c", "#ffffff"
YELLOW, YELLOW_DASH = "#f4d629", "4 5"                          # over green: the one insulation of two colours
HUES = {"BN": "#8a4a1c", "BU": "#2f86d6", "RD": "#cf2430", "BK": "#262626", "GY": "#8d9196", "GNYE": "#2c8a43",
        "": PAPER}                                              # bare, lead-sheathed or not known: a core of paper
FONT = "Arial, Liberation Sans, Roboto, sans-serif"
TICK_EVERY, TICK_WIDTH = 16.0, 2.4                           # measured in grey: tests/drawings/test_grey.py
Strokes = tuple[tuple[float, str], ...]                         # (width, dash) from the back to the front


@dataclass(frozen=True, slots=True)
class Look:
    """How a potential is shown: its letter, the ink around an insulated core, the core, and bare metal."""
    letter: str
    casing: Strokes
    core: tuple[float, str]
    bare: Strokes


LOOKS = {
    LINE: Look("L", ((9, ""),), (3.6, ""), ((5, ""),)),
    NEUTRAL: Look("N", ((5.4, ""),), (3, ""), ((2.2, ""),)),
    EARTH: Look("E", ((5.4, ""),), (3, ""), ((1.6, ""),)),
    THROUGH_A_LOAD: Look("(L)", ((11, "10 8"), (5.2, "")), (2.8, ""), ((6, "7 6"), (1.6, ""))),
    NOT_KNOWN: Look("?", ((7.6, "2 3.4"),), (2.8, ""), ((4, "2 3"),)),
    NO_PATH: Look("–", ((4.4, "9 6"),), (2.2, "9 6"), ((1.6, "6 4"),)),
}


@dataclass(frozen=True, slots=True)
class Shape:
    """A symbol about its middle: what is filled with paper, what is stroked over it, with which stroke."""
    filled: str
    strokes: str
    width: float = 1.6
    dash: str = ""


SHAPES = {
    "pole": Shape("", "M-6-15h12", 3),
    "pole open": Shape("", "M-6-15h12M0 14L-13-9", 3),
    "breaker": Shape("", "M-5-20L5-10M5-20L-5-10", 2.4),
    "breaker open": Shape("", "M-5-20L5-10M5-20L-5-10M0 14L-13-9", 2.4),
    "contactor": Shape("M-13 6h8v16h-8z", "M-5 14h5M-6-15h12", 2),
    "contactor open": Shape("M-13 6h8v16h-8z", "M-5 14h5M-6-15h12M0 14L-13-9", 2),
    "plug": Shape("", "M-7-6a7 7 0 0 1 14 0", 2.4),
    "plug open": Shape("", "M-7-10a7 7 0 0 1 14 0M0 14V4", 2.4),
    "fuse": Shape("M-5-12h10v24h-10z", "M0-16v32"),
    "fuse open": Shape("", "M-6-12h12v24h-12z", dash="3 3"),
    "bare": Shape("", "M-7-15h14M-7 15h14M0-15v6M0 15v-6", 2.4),
    "surge": Shape("M-8-13h16v26h-16z", "M-12 9h4L8-9h4"),
    "meter": Shape("M-22-11h44v22h-44z", "M-22-5h44"),
    "lamp": Shape("M10 0A10 10 0 1 1-10 0A10 10 0 1 1 10 0z", "M-7-7L7 7M-7 7L7-7"),
    "heater": Shape("M-8-16h16v32h-16z", "M-8-8h16M-8 0h16M-8 8h16"),
    "load": Shape("M-8-16h16v32h-16z", ""),
    "socket": Shape("M-10-12h20v24h-20z", "M-6 4a6 6 0 0 1 12 0"),
    "source": Shape("M13 0A13 13 0 1 1-13 0A13 13 0 1 1 13 0z", "M-8 0q4-9 8 0t8 0", 2),
    "electrode": Shape("", "M0-20v16M-13-4h26M-8.5 3h17M-4 10h8M0 10v14M-5 18L0 25L5 18", 2.2),
    "earthed metal": Shape("M-12-8h24v16h-24z", "M-12-8L-4 8M-4-8L4 8M4-8L12 8"),
}


@lru_cache(8192)
def n(value: float) -> str:
    """A coordinate: at most one decimal, no trailing noughts, the same everywhere."""
    short = f"{value:.1f}".removesuffix(".0")
    return "0" if short == "-0" else short


def escaped(words: str) -> str:
    """Words as they may stand in SVG."""
    return words.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace('"', "&quot;")


# ---- plain strokes --------------------------------------------------------------------------------------------------
def line(d: str, *, cls: str = "ink", colour: str = INK, width: float = 1.8, dash: str = "", fill: str = "none") -> str:
    """A path."""
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return f'<path class="{cls}" fill="{fill}" stroke="{colour}" stroke-width="{n(width)}"{dashed} d="{d}"/>'


def text(x: float, y: float, words: str, *, size: float = 14, bold: bool = False, anchor: str = "start",
         cls: str = "t", fill: str = INK) -> str:
    """Words, left as text."""
    return (f'<text class="{cls}" x="{n(x)}" y="{n(y)}" font-size="{n(size)}" font-weight="{700 if bold else 400}" '
            f'text-anchor="{anchor}" fill="{fill}">{escaped(words)}</text>')


def box(x: float, y: float, w: float, h: float, *, cls: str = "frame", width: float = 2, fill: str = "none",
        dash: str = "", radius: float = 2) -> str:
    """A rectangle."""
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return (f'<rect class="{cls}" x="{n(x)}" y="{n(y)}" width="{n(w)}" height="{n(h)}" rx="{n(radius)}" fill="{fill}" '
            f'stroke="{INK}" stroke-width="{n(width)}"{dashed}/>')


def frame(x: float, y: float, w: float, h: float, theirs: bool = False) -> str:
    """A thing. Double: not yours to open."""
    inner = box(x + 4, y + 4, w - 8, h - 8, width=1.2) if theirs else ""
    return box(x, y, w, h) + inner


def polyline(points: Sequence[Spot], radius: float = 0) -> str:
    """A path along points; upright and level parts meet in a curve where a radius is given."""
    d = f"M{n(points[0][0])} {n(points[0][1])}"
    for a, b, c in zip(points, points[1:], points[2:], strict=False):
        if radius:
            before, after = _towards(b, a, radius), _towards(b, c, radius)
            d += f"L{n(before[0])} {n(before[1])}Q{n(b[0])} {n(b[1])} {n(after[0])} {n(after[1])}"
        else:
            d += f"L{n(b[0])} {n(b[1])}"
    return d + f"L{n(points[-1][0])} {n(points[-1][1])}"


def _towards(here: Spot, there: Spot, radius: float) -> Spot:
    dx, dy = there[0] - here[0], there[1] - here[1]
    step = min(radius, max(abs(dx), abs(dy)) / 2)
    return here[0] + step * ((dx > 0) - (dx < 0)), here[1] + step * ((dy > 0) - (dy < 0))


# ---- conductors -----------------------------------------------------------------------------------------------------
def wire(branches: Iterable[Sequence[Spot]], potential: str, insulation: str | None = None, radius: float = 6) -> str:
    """One conductor, with all its branches, at a potential.

    insulation: letters of IEC 60757 (BN, GNYE, ...), "" where its colour is not known; None for metal inside a thing.
    """
    return _wire(tuple(tuple(points) for points in branches), potential, insulation, radius)


@lru_cache(4096)                                                # most wires of a picture stay when a switch is changed over
def _wire(parts: tuple[tuple[Spot, ...], ...], potential: str, insulation: str | None, radius: float) -> str:
    look = LOOKS[potential]
    d = "".join(polyline(points, radius) for points in parts)
    out = [line(d, cls="halo", colour=PAPER, width=9 if insulation is None else 14)]
    if potential == EARTH and (ticks := _ticks(parts, 3.5 if insulation is None else 6.5)):
        out.append(line(ticks, width=TICK_WIDTH))
    out += [line(d, width=width, dash=dash) for width, dash in (look.bare if insulation is None else look.casing)]
    if insulation is not None:
        width, dash = look.core
        out.append(line(d, cls=f"core {insulation.lower() or 'halo'}", colour=HUES[insulation], width=width, dash=dash))
        if insulation == "GNYE":
            out.append(line(d, cls="core ye", colour=YELLOW, width=width, dash=YELLOW_DASH))
    return "".join(out)


def _ticks(branches: Iterable[Sequence[Spot]], half: float) -> str:
    """Cross ticks along the straight parts, as along a rail."""
    d = ""
    for a, b in (pair for points in branches for pair in pairwise(points)):
        count = int((abs(a[0] - b[0]) + abs(a[1] - b[1])) // TICK_EVERY)
        for i in range(count):
            x, y = (a[k] + (b[k] - a[k]) * (i + 0.5) / count for k in (0, 1))
            d += f"M{n(x)} {n(y - half)}v{n(2 * half)}" if a[1] == b[1] else f"M{n(x - half)} {n(y)}h{n(2 * half)}"
    return d


def sleeve(x: float, y: float, potential: str, more: float = 0) -> str:
    """A marker sleeve strung on a wire: a letter, in a frame that differs without it too. `more`: wider by so much."""
    full, width = potential == LINE, (24 if potential == THROUGH_A_LOAD else 18) + more
    return box(x - width / 2, y - 9.5, width, 19, cls="tag full" if full else "tag", fill=INK if full else PAPER,
               width=1.2 if potential == NO_PATH else 2, dash="2.5 2" if potential == NOT_KNOWN else "",
               radius=9 if potential == NEUTRAL else 1.5) \
        + text(x, y + 5.2, LOOKS[potential].letter, size=14.5, bold=True, anchor="middle", cls="on" if full else "t",
               fill=PAPER if full else INK)


def ring_width(number: str) -> float:
    """Across a numbered ring."""
    return 17 + 8.0 * (len(number) - 1)


def ring(x: float, y: float, number: str) -> str:
    """A number in a ring on a wire: what it stands for is said under the drawing."""
    wide = ring_width(number)
    return box(x - wide / 2, y - 8.5, wide, 17, cls="tag", fill=PAPER, width=1.2, radius=8.5) + text(
        x, y + 4.8, number, size=13.5, anchor="middle")


# ---- ends -----------------------------------------------------------------------------------------------------------
def terminal(x: float, y: float, landed: bool = True) -> str:
    """A terminal: a full disc with a conductor landed, a ring without."""
    return (f'<circle class="{"dot" if landed else "box"}" cx="{n(x)}" cy="{n(y)}" r="4.2" '
            f'fill="{INK if landed else PAPER}" stroke="{INK}" stroke-width="1.6"/>')


def dot(x: float, y: float) -> str:
    """A junction inside a thing. A crossing never has one."""
    return f'<circle class="dot" cx="{n(x)}" cy="{n(y)}" r="3.4" fill="{INK}"/>'


def cap(x: float, y: float) -> str:
    """The capped end of a lifted conductor."""
    return line(f"M{n(x - 8)} {n(y)}h16", width=2.6)


def cut(x: float, y: float) -> str:
    """Where a conductor was cut and left."""
    return line(f"M{n(x - 7)} {n(y + 4)}l14-6m-14 0l14-6")


def untraced(x: float, y: float) -> str:
    """An end that nobody traced: it may be a source."""
    return (f'<circle class="box" cx="{n(x)}" cy="{n(y)}" r="10" fill="{PAPER}" stroke="{INK}" stroke-width="2" '
            f'stroke-dasharray="3 2.5"/>{text(x, y + 5, "?", size=14.5, bold=True, anchor="middle")}')


# ---- symbols --------------------------------------------------------------------------------------------------------
def symbol(name: str, x: float, y: float, opened: bool = False) -> str:
    """A symbol of `SHAPES` about its middle, upright; a switching one in the state it is in.

    A closed blade is metal: draw it as a `wire`, from 14 below the middle to 15 above.
    """
    shape = SHAPES[f"{name} open" if opened and f"{name} open" in SHAPES else name]
    out = line(shape.filled, cls="box", fill=PAPER) if shape.filled else ""
    if shape.strokes:
        out += line(shape.strokes, width=shape.width, dash=shape.dash)
    if name in ("pole", "breaker", "contactor"):
        out += '<circle class="dot" cx="0" cy="14" r="3" fill="' + INK + '"/>'
    if name == "meter":
        out += text(0, 7.5, "kWh", size=12, anchor="middle")
    return f'<g transform="translate({n(x)} {n(y)})">{out}</g>'


def linked(xs: Sequence[float], y: float, opened: bool = False) -> str:
    """The dashed bar of poles that move together; it leans with open blades."""
    shift = -6 if opened else 0
    return line(f"M{n(min(xs) + shift)} {n(y)}H{n(max(xs) + shift)}", width=1.6, dash="3 3")


def residual_ring(x_from: float, x_to: float, y: float) -> str:
    """The ring that a residual-current device puts round all its conductors."""
    d = f"M{n(x_from - 12)} {n(y)}a12 5 0 0 1 12-5H{n(x_to)}a12 5 0 0 1 0 10H{n(x_from)}a12 5 0 0 1-12-5"
    return line(d, width=1.6)


def svg(width: float, height: float, title: str, describes: str, body: str, *, top: float = 0,
        links: bool = False) -> str:
    """A whole drawing, the same bytes each run. `describes` says in words what is to be seen; `links`: it can be touched."""
    role = "group" if links else "img"
    return (f'<svg xmlns="http://www.w3.org/2000/svg" class="dwg" viewBox="0 {n(-top)} {n(width)} {n(height + top)}" '
            f'width="{n(width)}" height="{n(height + top)}" role="{role}" font-family="{FONT}">'
            f"<title>{escaped(title)}</title><desc>{escaped(describes)}</desc>{body}</svg>\n")
