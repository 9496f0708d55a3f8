"""What test instruments read and what their readings mean."""
from __future__ import annotations

import math
from collections.abc import Sequence

from spareway.fact import formula, least
from spareway.physics.choose import at_least, at_most


# ---- insulation -----------------------------------------------------------------------------------------------------
@formula("resistances in parallel")
def insulation_pair_mohm(one_insulation_mohm: float, other_insulation_mohm: float) -> float:
    """Insulation resistance of two circuits together.

    Case: published/testing.toml#two-circuits
    """
    return 1 / (1 / one_insulation_mohm + 1 / other_insulation_mohm)


def together_mohm(circuits_mohm: Sequence[float]) -> float:
    """Insulation resistance (MΩ) of circuits read together: their conductances add. One at nought makes all nought."""
    if 0 in circuits_mohm:
        return 0.0
    return 1 / math.fsum(1 / each for each in circuits_mohm)


def remaining_mohm(board_mohm: float, good_mohm: Sequence[float]) -> float:
    """Insulation resistance (MΩ) of what was not read alone, from the whole board (MΩ) and those that were.

    Infinite where the circuits read alone already account for the board: nothing is left to blame."""
    left = 1 / board_mohm - math.fsum(1 / each for each in good_mohm)
    return 1 / left if left > 1e-12 / board_mohm else math.inf


# ---- instruments ----------------------------------------------------------------------------------------------------
@formula("BS EN 61557, operating uncertainty")
def band_greatest(true_value: float, error_percent: float) -> float:
    """The most that an instrument may show.

    Range: inside its marked range; the error in per cent, as a plain number.
    Case: published/testing.toml#most-shown
    """
    return true_value * (1 + error_percent / 100)


@formula("BS EN 61557, operating uncertainty")
def band_least(true_value: float, error_percent: float) -> float:
    """The least that an instrument may show.

    Range: as band_greatest.
    Case: published/testing.toml#least-shown
    """
    return true_value * (1 - error_percent / 100)


@formula("instrument makers' tables of limiting readings")
def least_reading(limit_value: float, error_percent: float, digits_n: float, digit_value: float) -> float:
    """The least reading that still shows a value to be above its limit.

    Range: error in per cent and digits, as the maker states it.
    Case: published/testing.toml#least-to-read
    """
    return limit_value * (1 + error_percent / 100) + digits_n * digit_value


@formula("instrument makers' tables of limiting readings")
def greatest_reading(limit_value: float, error_percent: float, digits_n: float, digit_value: float) -> float:
    """The greatest reading that still shows a value to be below its limit.

    Range: as least_reading.
    Case: published/testing.toml#most-to-read
    """
    return limit_value * (1 - error_percent / 100) - digits_n * digit_value


def rcd_in_window(time_ms: float, least_ms: float, greatest_ms: float) -> bool:
    """Whether a trip time (ms) lies in its window. A device that must not trip has a window that begins where the test
    ends and has no end."""
    return at_least(time_ms, least_ms) and at_most(time_ms, greatest_ms)


@formula("BS EN 61008; BS EN 61009")
def ramp_ma(residual_ma: float, ramp_share: float) -> float:
    """Rising residual current at which a device trips, at one of its bounds.

    Range: the shares are of its type and of the shape of the test current.
    Case: published/testing.toml#ramp-bound
    """
    return residual_ma * ramp_share


# ---- leakage --------------------------------------------------------------------------------------------------------
@formula("BS 7671 531.3.2")
def leakage_limit_ma(residual_ma: float, leakage_share: float) -> float:
    """Standing leakage that a residual current device should have to bear at most.

    Case: published/testing.toml#leakage-limit
    """
    return residual_ma * leakage_share


@formula("common practice, from memory")
def heating_leakage_ma(leakage_ma_per_kw: float, load_kw: float, leakage_most_ma: float) -> float:
    """Standing leakage to allow for elements: so much a kilowatt, up to a most.

    Range: dry elements at work; damp ones leak more until they have dried.
    Case: published/testing.toml#leakage-of-an-element
    """
    return least(leakage_ma_per_kw * load_kw, leakage_most_ma)


@formula("Ohm's law")
def returns_ma(load_w: float, u0_v: float) -> float:
    """Current that is missing from both of two circuits, where a load of the one returns on the neutral of the other.

    Range: power factor 1; a small lamp of a poorer one takes more.
    Case: published/testing.toml#lamp-on-another-neutral
    """
    return load_w / u0_v * 1000


@formula("BS 7671 531.3.2")
def leakage_left_ma(leakage_limit_ma: float, leakage_ma: float) -> float:
    """What equipment yet to come may leak behind a residual current device. Below nought there is too much already.

    Range: leakages added as plain numbers: the most they can come to.
    Case: published/testing.toml#leakage-left
    """
    return leakage_limit_ma - leakage_ma


def leakage_ma(each_ma: Sequence[float], counts: Sequence[float] = ()) -> float:
    """Standing leakage (mA) of equipment; `counts` says how many there are of each. Errors: ValueError for lists that
    differ in length."""
    return math.fsum(ma * n for ma, n in zip(each_ma, counts or [1] * len(each_ma), strict=True))


def items_within(limit_ma: float, each_ma: float) -> int:
    """How many items of so much leakage (mA) stay within a limit (mA)."""
    return math.floor(limit_ma / each_ma * (1 + 1e-9))


def pairs_to_prove(conductors_n: int) -> int:
    """How many pairs of conductors to try when proving dead: each against each."""
    return math.comb(conductors_n, 2)
