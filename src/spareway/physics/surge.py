"""Surge protective devices: what their leads add, and whether they need a fuse of their own."""
from __future__ import annotations

from spareway.fact import formula
from spareway.physics.choose import at_most


@formula("inductance of a straight lead")
def lead_drop_kv(inductance_uh_per_m: float, lead_m: float, surge_ka: float, front_us: float) -> float:
    """Voltage that the leads of a surge device add while the surge rises.

    Range: line and earth lead together; current rising evenly over the front; 1 µH a metre for a straight lead.
    Case: published/surge.toml#leads-of-half-a-metre
    """
    return inductance_uh_per_m * lead_m * surge_ka / front_us


@formula("BS 7671 534.4.4, 534.4.8")
def effective_kv(up_kv: float, lead_drop_kv: float) -> float:
    """What the equipment sees: the protection level of the device and the drop of its leads.

    Range: equipment close by.
    Case: published/surge.toml#level-with-leads
    """
    return up_kv + lead_drop_kv


def own_fuse_needed(service_fuse_a: float, maker_max_fuse_a: float, fault_ka: float, isccr_ka: float) -> bool:
    """Whether a surge device needs protection of its own before it: the fuse in the supply (A) is larger than its maker
    allows, or the fault current (kA) is above what it withstands.

    Source: BS 7671 534.4.5."""
    return not at_most(service_fuse_a, maker_max_fuse_a) or not at_most(fault_ka, isccr_ka)
