"""A room that cools while a heater is held off: the heat that is missing, its store, how much colder for how long."""
from __future__ import annotations

import math

from spareway.fact import formula, most


@formula("ISO 13790:2008, 12.3.1.2")
def store_wh_per_k(store_kj_per_m2k: float, floor_m2: float) -> float:
    """Heat that a room stores, a kelvin, by its floor.

    Range: rooms of one way of building; 1 Wh is 3.6 kJ.
    Case: published/cooling.toml#store-of-a-room
    """
    return store_kj_per_m2k * floor_m2 / 3.6


@formula("difference, nought at least")
def missing_w(loss_w: float, given_w: float, left_w: float) -> float:
    """Heat that a room lacks because heaters are held off, beyond what it lacked with all of them on.

    Range: the design day; what a heater gives beyond the loss is missed by nobody.
    Case: published/cooling.toml#missing-heat
    """
    return most(loss_w - left_w, 0) - most(loss_w - given_w, 0)


@formula("heat missed is lost by the store or not lost to outside")
def fall_k(missing_w: float, held_h: float, loss_w_per_k: float, cooled_kh: float, store_wh_per_k: float) -> float:
    """How much colder a room is at the end, from how much colder it was for how long.

    Case: published/cooling.toml#fall-at-the-end
    """
    return (missing_w * held_h - loss_w_per_k * cooled_kh) / store_wh_per_k


def cooled_kh(missing_w: float, held_h: float, loss_w_per_k: float, store_wh_per_k: float) -> float:
    """How much colder a room is for how long (K·h) while so much heat is missing, from the moment it begins.

    One store that cools towards what the missing heat comes to: C dθ/dt = Φ − H θ from θ = 0, and its area over the time.
    Errors: ZeroDivisionError for a room that loses or stores nothing."""
    lag_h = store_wh_per_k / loss_w_per_k
    return missing_w / loss_w_per_k * (held_h + lag_h * math.expm1(-held_h / lag_h))


def balance_wh(cooled_kh: float, missing_w: float, held_h: float, loss_w_per_k: float,
               store_wh_per_k: float) -> tuple[float, float]:
    """Both sides of the balance of heat (Wh): what was not lost to outside with what the store gave, and what was missed."""
    gave_wh = store_wh_per_k * missing_w / loss_w_per_k * -math.expm1(-held_h * loss_w_per_k / store_wh_per_k)
    return loss_w_per_k * cooled_kh + gave_wh, missing_w * held_h
