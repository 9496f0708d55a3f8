"""Curves side by side as SVG: told apart by stroke and by name, never by colour alone."""
from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

WIDE, HIGH, LEFT, TOP, GAP = 250.0, 200.0, 50.0, 92.0, 70.0
INK, DASH = ("#1f4e79", "#b45309", "#3f6212"), ("", "7 4", "2 3")


class Curve(NamedTuple):
    name: str
    points: Sequence[tuple[float, float]]


class Panel(NamedTuple):
    """ticks: (where along, what is written)."""
    title: str
    along: str
    up: str
    curves: Sequence[Curve]
    ticks: Sequence[tuple[float, str]]


def drawn(title: str, panels: Sequence[Panel]) -> str:
    """The panels in a row under one legend."""
    wide = LEFT + len(panels) * (WIDE + GAP)
    parts = [f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide:.0f} {TOP + HIGH + 60:.0f}" font-family="sans-serif" '
             f'font-size="12" role="img"><title>{title}</title><rect width="100%" height="100%" fill="#fff"/>',
             f'<text x="{LEFT:.0f}" y="18" font-size="13" font-weight="bold">{title}</text>']
    for number, curve in enumerate(panels[0].curves):
        x = LEFT + 140 * number
        parts += [_path([(x, 34.0), (x + 34, 34.0)], number), f'<text x="{x + 40:.0f}" y="38">{curve.name}</text>']
    for number, panel in enumerate(panels):
        parts += _panel(panel, LEFT + number * (WIDE + GAP))
    return "\n".join([*parts, "</svg>"]) + "\n"


def _panel(panel: Panel, left: float) -> list[str]:
    xs = [x for curve in panel.curves for x, _ in curve.points]
    low, high = min(xs), max(max(xs), min(xs) + 1e-9)
    top = _above(max(y for curve in panel.curves for _, y in curve.points))

    def at(x: float, y: float) -> tuple[float, float]:
        return left + WIDE * (x - low) / (high - low), TOP + HIGH * (1 - y / top)
    foot = TOP + HIGH
    parts = [f'<text x="{left:.0f}" y="{TOP - 26:.0f}" font-weight="bold">{panel.title}</text>',
             f'<text x="{left:.0f}" y="{TOP - 9:.0f}">{panel.up}</text>',
             f'<rect x="{left:.0f}" y="{TOP:.0f}" width="{WIDE:.0f}" height="{HIGH:.0f}" fill="none" stroke="#555"/>',
             f'<text x="{left + WIDE / 2:.0f}" y="{foot + 36:.0f}" text-anchor="middle">{panel.along}</text>']
    for x, says in panel.ticks:
        if low <= x <= high:
            parts.append(f'<text x="{at(x, 0)[0]:.1f}" y="{foot + 18:.0f}" text-anchor="middle">{says}</text>')
    for k in range(5):
        y = top * k / 4
        parts += [f'<text x="{left - 6:.0f}" y="{at(low, y)[1] + 4:.1f}" text-anchor="end">{y:.3g}</text>',
                  f'<path d="M{left:.1f} {at(low, y)[1]:.1f}h{WIDE:.0f}" stroke="#ddd"/>']
    return parts + [_path([at(x, y) for x, y in curve.points], number) for number, curve in enumerate(panel.curves)]


def _above(most: float) -> float:
    """A round number not below it."""
    size = 10.0 ** math.floor(math.log10(most)) if most > 0 else 1.0
    return next(size * k for k in (1, 1.2, 1.6, 2, 2.4, 3.2, 4, 6, 8, 10) if size * k >= most)


def _path(points: Sequence[tuple[float, float]], number: int) -> str:
    dash = f' stroke-dasharray="{DASH[number]}"' if DASH[number] else ""
    line = "L".join(f"{x:.1f} {y:.1f}" for x, y in points)
    return f'<path d="M{line}" fill="none" stroke="{INK[number]}" stroke-width="1.8"{dash}/>'
