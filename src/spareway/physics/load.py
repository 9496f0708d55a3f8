"""What an appliance takes at a voltage other than the one stamped on it."""
from __future__ import annotations

from spareway.fact import formula


@formula("Ohm's law")
def element_w(stamped_w: float, stamped_v: float, u0_v: float) -> float:
    """Power of a resistive element at another voltage.

    Range: an element whose resistance does not change: 216 to 253 V.
    Case: published/load.toml#element-at-230
    """
    return stamped_w * u0_v ** 2 / stamped_v ** 2
