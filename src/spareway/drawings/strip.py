"""A value against its limit, to scale: the limit is a line, the ground beyond it is hatched, the value stands to one side."""
from __future__ import annotations

from spareway.drawings.symbols import escaped, n
from spareway.show import apart

__all__ = ["strip"]

LEFT, RIGHT, MIDDLE, HIGH = 4.0, 332.0, 34.0, 66
ROOM = 1.3                                  # the greater of the two stands so far short of the end
HATCH, LABEL = 9.0, 44.0                    # between two strokes; half a label


def strip(value: float, limit: float, relation: str, unit: str, verdict: str) -> str:
    """value and limit in `unit`, zero at the left; relation "at most", "at least" or "below", what must hold. As SVG, 336 by 66.

    Errors: ValueError for another relation, or for what is no length along a line."""
    if relation not in ("at most", "at least", "below") or not (value >= 0 and limit >= 0):
        raise ValueError(f"{value} {relation} {limit} is not drawn")
    whole = max(value, limit) * ROOM or 1.0
    at, line = (LEFT + (RIGHT - LEFT) * each / whole for each in (value, limit))
    shown, bound = apart(value, limit)
    told = f"{shown} {unit}".strip(), f"{'least' if relation == 'at least' else 'limit'} {bound} {unit}".strip()
    title = f"{told[0]}, {told[1]}"
    return (f'<svg class="strip" viewBox="0 0 336 {HIGH}" role="img"><title>{escaped(title)}</title>{_beyond(line, relation)}'
            f'<path class="base" d="M{n(LEFT)} {n(MIDDLE)}H{n(RIGHT)}"/><path class="limit" d="M{n(line)} 21v26"/>'
            f'{_value(at, line, verdict)}'
            f'<text x="{n(_inside(line))}" y="60" text-anchor="middle">{escaped(told[1])}</text>'
            f'<text class="v" x="{n(_inside(at))}" y="15" text-anchor="middle">{escaped(told[0])}</text></svg>')


def _inside(x: float) -> float:
    return min(max(x, LEFT + LABEL), RIGHT - LABEL)


def _beyond(line: float, relation: str) -> str:
    """Hatching on the side where the value must not be."""
    start, end = (line + 5, RIGHT - 10) if relation != "at least" else (LEFT, line - 14)
    strokes = "".join(f"M{n(start + HATCH * i)} 41l10-14" for i in range(int(max(0.0, end - start) / HATCH) + 1) if start <= end)
    return f'<path class="beyond" fill="none" d="{strokes}"/>' if strokes else ""


def _value(at: float, line: float, verdict: str) -> str:
    """A disc where it keeps its side, a wedge that points past the limit where it does not, a broken ring where nobody knows."""
    if verdict in ("stop", "fails"):
        tip = 10 if at >= line else -10
        return f'<path class="value" d="M{n(at - tip)} 24L{n(at + tip)} {n(MIDDLE)}L{n(at - tip)} 44z"/>'
    looks = "maybe" if verdict == "unknown" else "value"
    return f'<circle class="{looks}" cx="{n(at)}" cy="{n(MIDDLE)}" r="8"/>'
