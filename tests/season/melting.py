"""A ladder in closed form: what a winter does minute by minute, for a steady current; the gates of a standard are held against it."""
from __future__ import annotations

import math

from spareway.season.home import Ladder


def heat_after(ladder: Ladder, current_a: float, seconds: float) -> float:
    """Heat of a cold element after a steady current; at 1 it melts."""
    rise = math.fsum(share * -math.expm1(-seconds / after) for share, after in zip(ladder.share, ladder.after_s, strict=True))
    return rise * (current_a / ladder.least_a) ** 2


def melts_after_s(ladder: Ladder, current_a: float) -> float:
    """Seconds in which a steady current melts a cold element; infinity at or below the minimum fusing current."""
    if current_a <= ladder.least_a:
        return math.inf
    low, high = 0.0, 1.0
    while heat_after(ladder, current_a, high) < 1:
        low, high = high, 2 * high
        if high > 1e9:
            return math.inf
    for _ in range(80):
        cut = (low + high) / 2
        low, high = (cut, high) if heat_after(ladder, current_a, cut) < 1 else (low, cut)
    return high
