"""Which of two devices in series opens: by current, by energy, by the ratio of ratings. What curves do not tell is not told.

A device is held here as two currents: up to `holds_a` it surely does not open at once, from `opens_a` it surely does. A
breaker has the lower and the upper end of its instantaneous band; a gG fuse the two ends of its gate at 0.1 s; an older fuse
its conventional non-fusing current, and the current that opens it in 0.1 s where that stands in print (else infinity). Above
both devices' `opens_a` both may open: only energies say which does.
"""
from __future__ import annotations

import math
from dataclasses import dataclass

from spareway.fact import formula
from spareway.physics.choose import at_least, at_most

__all__ = ["Limits", "energy_ratio", "only_downstream_by_bounds", "only_downstream_by_current", "only_downstream_by_energy",
           "overload_ratio", "residual_ratio", "selective_up_to_a"]


@dataclass(frozen=True, slots=True)
class Limits:
    """The greatest current that a device lets pass without opening at once, and the least that opens it at once for sure (A).

    Errors: ValueError unless 0 < holds_a <= opens_a."""
    holds_a: float
    opens_a: float = math.inf

    def __post_init__(self) -> None:
        if not 0 < self.holds_a <= self.opens_a:
            raise ValueError("a device opens at no less than what it holds, and holds something")


def only_downstream_by_current(fault_a: float, upstream: Limits, downstream: Limits) -> bool | None:
    """Whether at this current the device behind opens and the one before it does not.

    True: the one behind opens at once and the one before surely holds. False: the one before opens at once and the one
    behind surely holds. None: the two bands do not tell, and so it is for every current above both.
    Source: BS EN 60898-1 Table 7 for breakers; BS EN 60269-1 Table 3 for what a fuse holds; BS 7671 536.4."""
    if at_least(fault_a, downstream.opens_a) and at_most(fault_a, upstream.holds_a):
        return True
    if at_least(fault_a, upstream.opens_a) and at_most(fault_a, downstream.holds_a):
        return False
    return None


def selective_up_to_a(upstream: Limits, downstream: Limits) -> float:
    """The current (A) up to which only the device behind opens at once, by their limits: what the one before holds.

    Errors: ValueError where the one behind need not open at once below that: their bands meet, and no current is told.
    Source: as only_downstream_by_current."""
    if not at_most(downstream.opens_a, upstream.holds_a):
        raise ValueError(f"the device behind opens at once for sure only from {downstream.opens_a:.6g} A, "
                         f"and the one before it holds only to {upstream.holds_a:.6g} A: currents alone do not part them")
    return upstream.holds_a


@formula("BS 7671 536.4; BS EN 60947-2 Annex A, by energy")
def energy_ratio(i2t_a2s: float, pre_arcing_a2s: float) -> float:
    """What the device behind lets through over what melts or trips the one before: below 1 only the one behind opens.

    Range: both at the same prospective current, as their makers state them for it; the least for the one before, the most for the
    one behind. Standards bound both, which shows a yes and never a no: see only_downstream_by_bounds.
    Case: published/selectivity.toml#energy-of-two-devices
    """
    return i2t_a2s / pre_arcing_a2s


@formula("BS EN 60898-1 Table 7; BS EN 60269-1")
def overload_ratio(nonfusing_a: float, fusing_a: float) -> float:
    """What the device before holds for its conventional time over what opens the one behind in its own: from 1 a long
    overload opens only the one behind.

    Range: overloads only; both conventional times of one length or the one before the longer.
    Case: published/selectivity.toml#fuse-before-a-breaker-on-overload
    """
    return nonfusing_a / fusing_a


@formula("BS 7671 536.4.1.4")
def residual_ratio(upstream_ma: float, downstream_ma: float) -> float:
    """Rated residual current before over that behind: with a delay before, in order from 3.

    Range: the one before must be time-delayed (type S) as well: the ratio alone parts nothing.
    Case: published/selectivity.toml#residual-devices-in-series
    """
    return upstream_ma / downstream_ma


def only_downstream_by_energy(let_through_a2s: float, pre_arcing_a2s: float) -> bool:
    """Whether the energy (A²s) that the device behind lets through stays below what melts or trips the one before.

    Equal is not below. Errors: ValueError unless both are above nought: an energy that nobody recorded is no nought.
    Source: BS 7671 536.4."""
    if not (let_through_a2s > 0 and pre_arcing_a2s > 0):
        raise ValueError("both energies must be recorded, for the same prospective current")
    return not at_least(let_through_a2s, pre_arcing_a2s)


def only_downstream_by_bounds(most_let_through_a2s: float, least_pre_arcing_a2s: float) -> bool | None:
    """The same from what standards allow: the most that a class lets through (A²s), the least that a fuse needs to melt (A²s).

    True where even these ends do not meet, up to the current for which the class holds. Else None: the very devices may still be
    selective, which their makers say. Errors: ValueError as above.
    Source: BS EN 60898-1 Annex ZA; BS EN 60269-1 Table 7."""
    return only_downstream_by_energy(most_let_through_a2s, least_pre_arcing_a2s) or None
