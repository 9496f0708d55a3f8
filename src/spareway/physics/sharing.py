"""How the loads of a ring share its two legs, and the drop at each point: every load by itself, the parts added.

A place on a ring is the share of its way from the first leg to the second, 0 to 1, by resistance: by length where the cable
is of one size. A load on a spur stands where the spur leaves, and its own stretch is a radial.
"""
from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from spareway.fact import formula, least, most

__all__ = ["Tap", "drop_at_v", "leg_end_a", "leg_start_a", "legs_a", "legs_if_open_a", "ring_drop_by_load_v",
           "ring_r1r2_at_ohm", "sections_a", "worst_drop"]


@dataclass(frozen=True, slots=True)
class Tap:
    """A load (A) at a place of a ring (0 to 1). Errors: ValueError for a place off the ring or a load below nought."""
    at: float
    load_a: float

    def __post_init__(self) -> None:
        if not (0 <= self.at <= 1 and 0 <= self.load_a < math.inf):
            raise ValueError("a load on a ring stands between 0 and 1 of its way and takes no less than nought")


@formula("two paths in parallel")
def leg_start_a(load_a: float, ring_position: float) -> float:
    """What one load draws through the first leg of a ring.

    Range: both legs whole; one size of cable. The parts of all loads add.
    Case: published/sharing.toml#load-at-a-quarter
    """
    return load_a * (1 - ring_position)


@formula("two paths in parallel")
def leg_end_a(load_a: float, ring_position: float) -> float:
    """What one load draws through the second leg of a ring.

    Range: as leg_start_a.
    Case: published/sharing.toml#load-at-a-quarter-by-the-second-leg
    """
    return load_a * ring_position


@formula("two paths in parallel; BS 7671 Appendix 4, 6.2")
def ring_drop_by_load_v(mv_per_a_m: float, ring_length_m: float, load_a: float, load_position: float,
                        ring_position: float) -> float:
    """Voltage lost at one place of a ring by a load at another. The parts of all loads add.

    Range: the length right round the ring; one size of cable; both legs whole. In the middle of a ring with all its load
    there this is the quarter of the drop of a radial as long.
    Case: published/sharing.toml#load-in-the-middle
    """
    return mv_per_a_m * ring_length_m * load_a * least(load_position, ring_position) \
        * (1 - most(load_position, ring_position)) / 1000


@formula("two paths in parallel for each conductor")
def ring_r1r2_at_ohm(ring_r1_ohm: float, ring_r2_ohm: float, ring_position: float) -> float:
    """Line and protective conductor of a ring in service, from the board to a place on it.

    Range: both legs whole, no spur; r1 and r2 end to end. Most in the middle, where it is the quarter of r1 + r2; by the test's
    crosswise joint another number is read elsewhere.
    Case: published/sharing.toml#in-service-at-a-quarter
    """
    return ring_position * (1 - ring_position) * (ring_r1_ohm + ring_r2_ohm)


def legs_a(taps: Sequence[Tap]) -> tuple[float, float]:
    """The currents (A) in the first and the second leg of a ring. Source: two paths in parallel."""
    return math.fsum(leg_start_a(t.load_a, t.at) for t in taps), math.fsum(leg_end_a(t.load_a, t.at) for t in taps)


def sections_a(taps: Sequence[Tap]) -> list[float]:
    """The current (A) in each section between the loads in the order of the ring, the first leg first and away from it positive:
    one more than there are loads. The last is the second leg, negative where it feeds towards the loads."""
    first, _ = legs_a(taps)
    ranked = sorted(taps, key=lambda t: t.at)
    return [math.fsum([first, *(-t.load_a for t in ranked[:i])]) for i in range(len(ranked) + 1)]


def drop_at_v(taps: Sequence[Tap], at: float, mv_per_a_m: float, ring_length_m: float) -> float:
    """Voltage (V) lost at a place of a ring by all its loads. Errors: ValueError for a place off the ring."""
    if not 0 <= at <= 1:
        raise ValueError("a place on a ring lies between 0 and 1 of its way")
    return math.fsum(ring_drop_by_load_v(mv_per_a_m, ring_length_m, t.load_a, t.at, at) for t in taps)


def worst_drop(taps: Sequence[Tap], mv_per_a_m: float, ring_length_m: float) -> tuple[float, float]:
    """Where on a ring most voltage is lost and how much: (place, V). It is always at a load; of two
    alike the nearer to the first leg. Errors: ValueError without loads."""
    if not taps:
        raise ValueError("a ring without loads loses nothing anywhere")
    drops = [(drop_at_v(taps, t.at, mv_per_a_m, ring_length_m), t.at) for t in taps]
    lost_v, at = max(drops, key=lambda pair: (pair[0], -pair[1]))
    return at, lost_v


def legs_if_open_a(taps: Sequence[Tap], break_at: float) -> tuple[float, float]:
    """The currents (A) in the two legs of a ring with a conductor broken at a place: each carries all that lies on its side.

    A load at the very break counts on the first side. Errors: ValueError for a place off the ring."""
    if not 0 <= break_at <= 1:
        raise ValueError("a break in a ring lies between 0 and 1 of its way")
    return (math.fsum(t.load_a for t in taps if t.at <= break_at), math.fsum(t.load_a for t in taps if t.at > break_at))
