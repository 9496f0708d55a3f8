"""The one reading to take next: the most that it is expected to tell of the fault, a minute of work."""
from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from spareway.readings.rank import Ranked

__all__ = ["Proposal", "best", "count_kept", "following", "to_take"]

KEPT, HELD = 40, 0.999                          # faults weighed: as many at most, and no more once they hold as much
GRID = 64                                       # places along the scale at which their sum is taken
SIGMAS = 4.0
NEAR_BITS = 1e-3                                # a minute: what adding up on a grid may be out


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
    whole = math.fsum(share for _, share in kept)
    names = to_take(ranked)
    told = {name: [(share / whole, *each.foretold(name)) for each, share in kept] for name in names}
    return best(ranked, [_most_bits(told[name]) for name in names], lambda at: _bits(told[names[at]]), most)


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


def best(ranked: Ranked, at_most: Sequence[float], bits: Callable[[int], float], most: int) -> tuple[Proposal, ...]:
    """The most telling a minute first; of equals the one that stands first.

    at_most: bits that each reading of `to_take` tells at the very most; bits: what one of them tells, by its number, which is
    asked only of those that may be among the first."""
    probes, names, out = ranked.wired.probes, to_take(ranked), dict[int, Proposal]()
    for at in sorted(range(len(names)), key=lambda at: -at_most[at] / probes[names[at]].minutes):
        probe = probes[names[at]]
        told = sorted((p.bits / p.minutes for p in out.values()), reverse=True)
        if len(told) >= most and at_most[at] / probe.minutes < told[most - 1] - NEAR_BITS:
            break
        out[at] = Proposal(names[at], probe.says, bits(at), probe.minutes)
    in_turn = [out[at] for at in sorted(out)]
    return tuple(sorted(in_turn, key=lambda p: -round(p.bits / p.minutes, 9))[:most])


Told = Sequence[tuple[float, bool, float, float]]        # a fault's share, whether over range, mean and variance of log(Ω)


def _parted(told: Told) -> tuple[float, float, list[tuple[float, float, float]]]:
    """What over range or not tells; the share of those not over range, and these: share of them, mean, sd."""
    over = math.fsum(share for share, is_over, _, _ in told if is_over)
    bits = math.fsum(-p * math.log2(p) for p in (over, 1 - over) if p > 1e-12)
    if over >= 1 - 1e-12:
        return bits, 0.0, []
    return bits, 1 - over, [(share / (1 - over), middle, math.sqrt(variance)) for share, is_over, middle, variance in told
                            if not is_over]


def _bits(told: Told) -> float:
    """How much a reading is expected to tell which fault it is: over range first, then where on the scale."""
    bits, within, shown = _parted(told)
    return bits + within * max(_mixed(shown), 0.0) if shown else bits


def _most_bits(told: Told) -> float:
    """What it tells at the very most: of one variance nothing is spread as wide as a Gaussian, so the mixture is no wider."""
    bits, within, shown = _parted(told)
    if not shown:
        return bits
    middle = math.fsum(share * mean for share, mean, _ in shown)
    variance = math.fsum(share * (sd * sd + (mean - middle) ** 2) for share, mean, sd in shown)
    wide = 0.5 * math.log2(variance) - math.fsum(share * math.log2(sd) for share, _, sd in shown)
    return bits + within * max(wide, 0.0)


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
