"""The second method: plain arithmetic on figures typed here from the published tables. Nothing of the program is used.

Resistance of copper at 20 °C: IEC 60228 class 1 and 2. Breakers: five times In opens a type B at once (IEC 60898-1).
0.95 x 230 V: BS 7671 411.4.4. k: BS 7671 Tables 54.2 and 54.3. mV/A/m: BS 7671 Tables 4D1B and 4D5.
"""
from __future__ import annotations

import math

MOHM_PER_M = {1.0: 18.1, 1.5: 12.1, 2.5: 7.41, 6.0: 3.08, 16.0: 1.15}
DROP_MV = {("t&e", 1.5): 29.0, ("t&e", 2.5): 18.0, ("t&e", 6.0): 7.3, ("tails", 16.0): 2.8}
LEAST_V = 0.95 * 230


def r1r2_ohm(length_m: float, line_mm2: float, cpc_mm2: float, ring: bool = False) -> float:
    """Both conductors to the far end of a radial, or to the middle of a ring: each half of it twice in parallel."""
    if not ring:
        return length_m * (MOHM_PER_M[line_mm2] + MOHM_PER_M[cpc_mm2]) / 1000
    half = length_m / 2 * (MOHM_PER_M[line_mm2] + MOHM_PER_M[cpc_mm2]) / 1000
    return half * half / (half + half)


def cold_limit_ohm(rating_a: float) -> float:
    """What may be read on a cold circuit behind a type B breaker: 0.8 of the limit."""
    return LEAST_V / (5 * rating_a) * 0.8


def rounded_down(amount: float, digits: int = 2) -> str:
    """As limits are printed: the last digit never rounds up to more than is allowed."""
    return f"{math.floor(amount * 10 ** digits + 1e-9) / 10 ** digits:.{digits}f}"


def drop_v(kind: str, size_mm2: float, length_m: float, current_a: float, ring: bool = False) -> float:
    """Lost on the way to the far end; on a ring half the current takes each half of the way."""
    share = 0.5 if ring else 1.0
    return DROP_MV[kind, size_mm2] / 1000 * (length_m * share) * (current_a * share)


def hottest_mm2(current_a: float, time_s: float, k: float) -> float:
    """The least conductor that stands this current for this time, found by halving and not by the root."""
    low, high = 0.0, 1000.0
    while high - low > 1e-9:
        middle = (low + high) / 2
        low, high = (middle, high) if (k * middle) ** 2 < current_a ** 2 * time_s else (low, middle)
    return high


def loop_before_ohm(name: str, times: float = 1.0) -> float:
    """The loop at the board of an example, its riser so many times as long."""
    riser = r1r2_ohm(13 * times, 16, 6)
    return {"weir-cottage": 0.34, "granary-yard": 0.19 + riser, "ridge-annexe": 88.4}[name]
