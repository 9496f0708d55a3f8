"""How warm the element of a fuse gets, and when it melts: shares of heat that each come and go in a time of their own.

Heat goes with the current squared. At a steady current I the element comes to (I / least)² of what melts it, `least` being its
minimum fusing current; it gets there as a sum of shares, each 1 - exp(-t / its time). A share that comes slowly goes slowly: the
element cools between loads. A sum of spent fractions of a printed time never cools, and so is wrong for loads that come and go.

No standard prints such times. What is printed are gates: a current that the fuse must hold for a time and one at which it must
open within a time. A ladder is laid between them, so every number of it is an assumption; `between` says where it lies, from the
quickest fuse that its standard allows to the slowest.
"""
from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from spareway.physics.equations import solved
from spareway.season.home import Ladder

__all__ = ["fitted"]

POLES = 5
RISEN = 1 - math.exp(-4.0)                      # of all heat, what is there at the conventional time at least
Spots = Sequence[tuple[float, float]]           # (current in A, time in s), times rising; the last is the conventional one


def fitted(holds: Spots, opens: Spots, between: float = 0.5) -> Ladder:
    """A ladder that holds every spot of `holds` for its time and opens at every spot of `opens` within its time.

    between   0: the quickest such fuse, for which `opens` may be empty; 1: the slowest, for which `holds` may be. In between the
              spots are taken in pairs, and the ladder melts between the two
    Errors: ValueError where spots are missing, do not fall, or have no ladder with shares above 0."""
    curve = _between(holds, opens, between)
    (least_a, conventional_s), short = curve[-1], curve[:-1]
    if not 2 <= len(short) < POLES or any(s >= t or a <= b for (a, s), (b, t) in itertools.pairwise(curve)):
        raise ValueError(f"two to {POLES - 1} spots before the conventional one, their currents falling with time")
    rises = [*((after_s, (least_a / current_a) ** 2) for current_a, after_s in short), (conventional_s, RISEN)]
    slowest_s, quickest_s = conventional_s / 4, short[0][1] / 1.5
    after_s = [quickest_s * (slowest_s / quickest_s) ** (k / (POLES - 1)) for k in range(POLES)]
    at_s = _times_s([after for _, after in short], slowest_s)
    rows = [[1 - math.exp(-at / after) for after in after_s] + [_on_line(rises, at)] for at in at_s]
    shares = solved([*rows, [1.0] * (POLES + 1)])
    if min(shares) <= 0:
        raise ValueError("no ladder of shares above 0 goes between these spots")
    return Ladder(least_a, tuple(after_s), tuple(shares))


def _between(holds: Spots, opens: Spots, between: float) -> list[tuple[float, float]]:
    """Where the ladder melts, the conventional spot as its minimum fusing current: of what opens within the conventional time a
    little below that current, for then not all of the heat is there yet."""
    if not 0 <= between <= 1:
        raise ValueError("between is 0 to 1")
    slow = [*opens[:-1], (opens[-1][0] * math.sqrt(RISEN), opens[-1][1])] if opens else []
    quick = list(holds)
    if between == 0 and quick:
        return quick
    if between == 1 and slow:
        return slow
    if not quick or len(quick) != len(slow):
        raise ValueError("what the fuse holds and what it opens at are both needed, spot for spot")
    return [(_mean(a, b, between), _mean(s, t, between)) for (a, s), (b, t) in zip(quick, slow, strict=True)]


def _times_s(spots_s: list[float], slowest_s: float) -> list[float]:
    """Times at which the shares are fixed: those of the spots, and the middle of the widest gap until there are enough."""
    times = list(spots_s)
    while len(times) < POLES - 1:
        ends = [*times, slowest_s]
        at = max(range(len(times)), key=lambda k: ends[k + 1] / ends[k])
        times.insert(at + 1, math.sqrt(ends[at] * ends[at + 1]))
    return times[:POLES - 1]


def _mean(low: float, high: float, between: float) -> float:
    return math.exp((1 - between) * math.log(low) + between * math.log(high))


def _on_line(rises: list[tuple[float, float]], at_s: float) -> float:
    """Share of the heat that is there after a time: a straight line on the log-log print between two spots."""
    for (s, low), (t, high) in itertools.pairwise(rises):
        if at_s <= t:
            return low * math.exp(math.log(high / low) * math.log(at_s / s) / math.log(t / s))
    return rises[-1][1]
