"""What a cable carries in the ground, and in a group whose circuits are not all overloaded at once."""
from __future__ import annotations

from spareway.fact import formula, most, sqrt


# ---- in the ground --------------------------------------------------------------------------------------------------
@formula("BS 7671 Appendix 4, Table 4B2, by the formula of Table 4B1")
def ca_ground(limit_c: float, ground_c: float, ground_reference_c: float) -> float:
    """Factor for the temperature of the ground around a buried cable.

    Range: 10 to 40 °C; the reference is 20 °C. The printed table was not seen: this is the formula behind it.
    Case: published/rating.toml#warm-ground
    """
    return sqrt((limit_c - ground_c) / (limit_c - ground_reference_c))


@formula("BS 7671 Appendix 4, 5.1")
def iz_buried_a(it_a: float, ca_ground: float, cg: float, cs: float, cd: float, cc: float) -> float:
    """What a cable carries in the ground or in a duct in it.

    Range: method D; cg counts circuits in the same ground; cc holds 0.9 where the device protects against overload.
    Case: published/rating.toml#armoured-in-wet-ground
    """
    return it_a * ca_ground * cg * cs * cd * cc


@formula("BS 7671 Appendix 4, 5.1")
def least_it_buried_a(rating_a: float, ca_ground: float, cg: float, cs: float, cd: float, cc: float) -> float:
    """Least tabulated rating of a buried cable that the device protects against overload.

    Range: as iz_buried_a.
    Case: published/rating.toml#least-rating-in-the-ground
    """
    return rating_a / (ca_ground * cg * cs * cd * cc)


@formula("BS 7671 Appendix 4, 5.1.1")
def cc_together(cc: float, buried_cc: float) -> float:
    """The factor of a rewirable fuse and that of a buried cable, where both apply.

    Case: published/rating.toml#rewirable-fuse-before-a-buried-cable
    """
    return cc * buried_cc


# ---- groups ---------------------------------------------------------------------------------------------------------
@formula("BS 7671 Appendix 4, 5.1.2")
def least_it_not_together_a(rating_a: float, load_a: float, ca: float, cg: float, ci: float, cc: float) -> float:
    """Least tabulated rating in a group of which no two circuits are overloaded at once.

    Range: above ground; every circuit of the group has its own overload protection and a stated design current, and nothing
    overloads two at once. cc, 0.725 behind a rewirable fuse, bears on the overload alone. Below the rating that counts the whole
    device it may go, never below its own load in the group.
    Case: published/rating.toml#group-not-overloaded-together
    """
    return most(load_a / cg, sqrt(rating_a ** 2 / cc ** 2 + 0.48 * load_a ** 2 * (1 - cg ** 2) / cg ** 2)) / (ca * ci)


@formula("BS 7671 Appendix 4, 2.3.3.1")
def cg_mixed(circuits_n: float) -> float:
    """Grouping factor of cables of different sizes in one conduit or trunking, by their number alone.

    Range: on the safe side for the small ones, and for large ones it may waste metal; the circuit itself counts.
    Case: published/rating.toml#sizes-mixed
    """
    return 1 / sqrt(circuits_n)
