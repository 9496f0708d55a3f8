"""What was promised against what came true, as a table and as a drawing: for the studies that end in probabilities."""
from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple

EDGES = (0.0, 0.2, 0.35, 0.5, 0.65, 0.8, 0.9, 0.97, 1.0001)
SIDE, LEFT, TOP, RADIUS = 280.0, 56.0, 34.0, 11.0
INK = ("#1f4e79", "#b45309")


class Said(NamedTuple):
    """One promise: its probability, whether it came true, how much it counts."""
    promised: float
    true: bool
    weight: float = 1.0


class Bin(NamedTuple):
    """Promises of about the same size: their mean, the share that came true, its doubt (one sigma), how many."""
    promised: float
    true: float
    sd: float
    count: int
    weight: float


def bins(said: Iterable[Said]) -> list[Bin]:
    """By size of the promise; the doubt by the sum of squared weights."""
    out = []
    some = list(said)
    for low, high in itertools.pairwise(EDGES):
        here = [s for s in some if low <= s.promised < high]
        if here:
            weight = math.fsum(s.weight for s in here)
            promised, true = mean(here)
            counted = weight ** 2 / math.fsum(s.weight ** 2 for s in here)
            out.append(Bin(promised, true, math.sqrt(max(true * (1 - true), 0.25 / counted) / counted), len(here), weight))
    return out


def mean(said: Sequence[Said]) -> tuple[float, float]:
    """Promised and true, on the whole."""
    weight = math.fsum(s.weight for s in said)
    return math.fsum(s.weight * s.promised for s in said) / weight, math.fsum(s.weight * s.true for s in said) / weight


def drawing(series: Sequence[tuple[str, Sequence[Said]]], title: str) -> str:
    """SVG: promised along, true up, the even line dashed; a disc's area is how many, its whisker one sigma either way."""
    wide, high, foot = LEFT + SIDE + 20, TOP + SIDE + 76, TOP + SIDE
    parts = [f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide:.0f} {high:.0f}" font-family="sans-serif" '
             f'font-size="12" role="img"><title>{title}</title><rect width="100%" height="100%" fill="#fff"/>',
             f'<text x="{LEFT:.0f}" y="20" font-size="13" font-weight="bold">{title}</text>',
             f'<rect x="{LEFT:.0f}" y="{TOP:.0f}" width="{SIDE:.0f}" height="{SIDE:.0f}" fill="none" stroke="#555"/>',
             f'<path d="M{_x(0):.1f} {_y(0):.1f}L{_x(1):.1f} {_y(1):.1f}" stroke="#555" stroke-dasharray="4 4"/>']
    for tick in range(0, 101, 20):
        parts += [_text(_x(tick / 100), foot + 16, "middle", str(tick)), _text(LEFT - 6, _y(tick / 100) + 4, "end", str(tick))]
    parts += [_text(_x(0.5), foot + 34, "middle", "promised, %"),
              f'<text transform="translate(16 {_y(0.5):.1f}) rotate(-90)" text-anchor="middle">came true, %</text>']
    for number, (name, said) in enumerate(series):
        found = bins(said)
        whole = math.fsum(b.weight for b in found)
        for b in found:
            low, top = (_y(min(max(b.true + k * b.sd, 0.0), 1.0)) for k in (-1, 1))
            parts.append(f'<path d="M{_x(b.promised):.1f} {low:.1f}V{top:.1f}" stroke="{INK[number]}"/>')
            parts.append(_disc(_x(b.promised), _y(b.true), 1.5 + RADIUS * math.sqrt(b.weight / whole), number))
        parts += [_disc(LEFT + 8, foot + 50 + 16 * number, 5, number), _text(LEFT + 20, foot + 54 + 16 * number, "start", name)]
    return "\n".join([*parts, "</svg>"]) + "\n"


def _disc(x: float, y: float, radius: float, number: int) -> str:
    """Filled for the first of the series, a ring for the second: told apart without colour."""
    fill = INK[number] if number == 0 else "none"
    return (f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}" fill="{fill}" fill-opacity="0.6" stroke="{INK[number]}" '
            'stroke-width="1.5"/>')


def _text(x: float, y: float, anchor: str, says: str) -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{says}</text>'


def _x(share: float) -> float:
    return LEFT + SIDE * share


def _y(share: float) -> float:
    return TOP + SIDE * (1 - share)
