"""Voltage drop where the power factor counts, and where a conductor is so large that its reactance does.

A three-phase row of a table goes into the same formulas and gives the drop between lines, to be set against a share of the
voltage between lines.
"""
from __future__ import annotations

from spareway.fact import formula, sqrt


@formula("BS 7671 Appendix 4, 6.2 and 6.3")
def drop_at_power_factor_v(mv_per_a_m: float, ct: float, power_factor: float, load_a: float, length_m: float) -> float:
    """Voltage lost by a load that lags, along conductors whose reactance does not count.

    Range: up to 16 mm²; ct is 1 at the limiting temperature. Where nobody states the power factor take 1: the most.
    Case: published/drop.toml#small-cable-at-0-8
    """
    return mv_per_a_m * ct * power_factor * load_a * length_m / 1000


@formula("BS 7671 Appendix 4, 6.2 and 6.3")
def drop_with_reactance_v(r_mv_per_a_m: float, x_mv_per_a_m: float, ct: float, power_factor: float, load_a: float,
                          length_m: float) -> float:
    """Voltage lost by a load that lags, along conductors with a printed resistive and reactive part.

    Range: above 16 mm²; ct, 1 at the limiting temperature, takes from the resistive part alone.
    Case: published/drop.toml#large-cable-at-0-8
    """
    return (ct * power_factor * r_mv_per_a_m + sqrt(1 - power_factor ** 2) * x_mv_per_a_m) * load_a * length_m / 1000


@formula("BS 7671 Appendix 4, 6.2: where the two parts add to the impedance")
def worst_power_factor(r_mv_per_a_m: float, x_mv_per_a_m: float) -> float:
    """The power factor at which such a cable loses most: there the drop is that of the printed impedance.

    Range: a load that lags. Between this and 1 the drop moves by less than the impedance exceeds its resistive part.
    Case: published/drop.toml#worst-power-factor
    """
    return r_mv_per_a_m / sqrt(r_mv_per_a_m ** 2 + x_mv_per_a_m ** 2)


@formula("BS 7671 Appendix 4, 6.2")
def impedance_mv_per_a_m(r_mv_per_a_m: float, x_mv_per_a_m: float) -> float:
    """The impedance of both parts, as the table prints it beside them.

    Range: the print rounds to two figures, mostly upward: go by the parts.
    Case: published/drop.toml#impedance-of-both-parts
    """
    return sqrt(r_mv_per_a_m ** 2 + x_mv_per_a_m ** 2)
