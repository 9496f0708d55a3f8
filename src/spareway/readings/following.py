"""The one reading to take next: the most that it is expected to tell of the fault, a minute of work."""
from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from spareway.readings.rank import Believed, Ranked

__all__ = ["Proposal", "best", "count_kept", "following", "to_take"]

KEPT, HELD = 40, 0.999                          # faults weighed: as many at most, and no more once they hold as much
GRID = 64                                       # places along the scale at which their sum is taken
SIGMAS = 4.0


@dataclass(frozen=True, slots=True)
class Proposal:
    """A reading to take: its name, how it is asked for, and what it is expected to tell (bits) in how long (minutes)."""
    probe: str
    says: str
    bits: float
    minutes: float


def following(ranked: Ranked, most: int = 3) -> tuple[Proposal, ...]:
    """The next readings, the most telling a minute first; none that was taken."""
    kept = ranked.believed[:count_kept([share for _, share in ranked.believed[:KEPT]])]
    probes = ranked.wired.probes
    out = [Proposal(name, probes[name].says, _bits(kept, name), probes[name].minutes) for name in to_take(ranked)]
    return best(out, most)


def to_take(ranked: Ranked) -> list[str]:
    """The readings that may be asked for: those not yet taken, but for what nobody is sent for."""
    return [name for name, probe in ranked.wired.probes.items() if name not in ranked.taken and probe.minutes < math.inf]


def count_kept(shares: Sequence[float]) -> int:
    """How many of the likeliest are weighed, their shares in order."""
    held = 0.0
    for number, share in enumerate(shares, 1):
        held += share
        if held >= HELD:
            return number
    return len(shares)


def best(proposals: Sequence[Proposal], most: int) -> tuple[Proposal, ...]:
    """The most telling a minute first; of equals the one that stands first."""
    return tuple(sorted(proposals, key=lambda p: -round(p.bits / p.minutes, 9))[:most])


def _bits(kept: Sequence[tuple[Believed, float]], probe: str) -> float:
    """How much this reading is expected to tell which fault it is: over range first, then where on the scale."""
    whole = math.fsum(share for _, share in kept)
    told = [(share / whole, *each.foretold(probe)) for each, share in kept]
    over = math.fsum(share for share, is_over, _, _ in told if is_over)
    bits = math.fsum(-p * math.log2(p) for p in (over, 1 - over) if p > 1e-12)
    shown = [(share / (1 - over), middle, math.sqrt(variance)) for share, is_over, middle, variance in told if not is_over] \
        if over < 1 - 1e-12 else []
    return bits + (1 - over) * max(_mixed(shown), 0.0) if shown else bits


def _mixed(shown: Sequence[tuple[float, float, float]]) -> float:
    """The entropy of the mixture less the mean of its parts' (bits)."""
    low = min(middle - SIGMAS * sd for _, middle, sd in shown)
    step = (max(middle + SIGMAS * sd for _, middle, sd in shown) - low) / (GRID - 1)
    narrowest = min(sd for _, _, sd in shown)
    count = GRID if step < 0.7 * narrowest else min(4 * GRID, int(GRID * step / (0.7 * narrowest)) + 1)
    step *= (GRID - 1) / (count - 1)
    heights = [math.fsum(share / sd * math.exp(-0.5 * ((low + i * step - middle) / sd) ** 2) for share, middle, sd in shown)
               / math.sqrt(2 * math.pi) for i in range(count)]
    mixed = -math.fsum(h * math.log2(h) for h in heights if h > 1e-300) * step
    return mixed - math.fsum(share * 0.5 * math.log2(2 * math.pi * math.e * sd * sd) for share, _, sd in shown)
