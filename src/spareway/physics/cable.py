"""What a length of cable has: resistance, current it may carry, voltage it loses, and the lengths these allow."""
from __future__ import annotations

from spareway.fact import formula, sqrt


# ---- resistance -----------------------------------------------------------------------------------------------------
@formula("BS EN 60228")
def r_ohm(r_mohm_per_m: float, length_m: float) -> float:
    """Resistance of one conductor, end to end.

    Range: 20 °C, as the table is.
    Case: published/cable.toml#one-conductor
    """
    return r_mohm_per_m * length_m / 1000


@formula("BS EN 60228")
def r1_ohm(r1_mohm_per_m: float, length_m: float) -> float:
    """Resistance of the line conductor from the board to the far end of a radial.

    Range: 20 °C, as the table is.
    Case: published/cable.toml#line-conductor
    """
    return r1_mohm_per_m * length_m / 1000


@formula("BS EN 60228")
def r2_ohm(r2_mohm_per_m: float, length_m: float) -> float:
    """Resistance of the protective conductor from the board to the far end of a radial.

    Range: 20 °C, as the table is.
    Case: published/cable.toml#protective-conductor
    """
    return r2_mohm_per_m * length_m / 1000


@formula("BS 7671 411.4.4")
def r1r2_ohm(r1_ohm: float, r2_ohm: float) -> float:
    """Line and protective conductor of a circuit in series.

    Range: both at one temperature.
    Case: published/cable.toml#r1-and-r2
    """
    return r1_ohm + r2_ohm


@formula("On-Site Guide Appendix I")
def r1r2_of_length_ohm(r1r2_mohm_per_m: float, length_m: float) -> float:
    """R1+R2 of a length of cable from the pair's row.

    Range: 20 °C, as the table is.
    Case: published/cable.toml#pair-of-conductors
    """
    return r1r2_mohm_per_m * length_m / 1000


@formula("Guidance Note 3; On-Site Guide 10.3")
def ring_r1r2_ohm(ring_r1_ohm: float, ring_r2_ohm: float) -> float:
    """Line to earth at the middle of a ring, cross-connected as for the test: the greatest it can be on the ring.

    Range: r1 and r2 end to end; the same way round; no spur.
    Case: published/cable.toml#quarter-of-a-ring
    """
    return (ring_r1_ohm + ring_r2_ohm) / 4


@formula("ratio of the rows of BS EN 60228")
def ring_r2_ohm(ring_r1_ohm: float, r2_to_r1: float) -> float:
    """Protective conductor of a ring, end to end, as its line conductor leads to expect.

    Range: both conductors the same length. The table's ratio is exact; the ratio of areas runs 2 % high.
    Case: published/cable.toml#ring-protective-conductor
    """
    return ring_r1_ohm * r2_to_r1


@formula("BS EN 60228")
def length_of_reading_m(reading_ohm: float, r_mohm_per_m: float) -> float:
    """How long a conductor is that reads so much.

    Range: near 20 °C; leads taken off.
    Case: published/cable.toml#length-of-a-reading
    """
    return reading_ohm / r_mohm_per_m * 1000


@formula("On-Site Guide Appendix I; BS EN 60228")
def hot_factor(alpha_per_k: float, conductor_c: float) -> float:
    """How much more a conductor has at a temperature than at 20 °C.

    Range: -10 to 160 °C, linear.
    Case: published/cable.toml#hot-factor
    """
    return 1 + alpha_per_k * (conductor_c - 20)


@formula("BS EN 60228")
def to_20_factor(alpha_per_k: float, conductor_c: float) -> float:
    """What brings a reading at a temperature back to 20 °C.

    Range: -10 to 160 °C, linear.
    Case: published/cable.toml#back-to-twenty
    """
    return 1 / (1 + alpha_per_k * (conductor_c - 20))


@formula("BS EN 60228")
def r_at_20_ohm(reading_ohm: float, to_20_factor: float) -> float:
    """A reading brought back to 20 °C.

    Range: the whole conductor at the temperature of the factor.
    Case: published/cable.toml#reading-at-twenty
    """
    return reading_ohm * to_20_factor


@formula("On-Site Guide Appendix I")
def r_hot_ohm(r_at_20_ohm: float, hot_factor: float) -> float:
    """A resistance at 20 °C carried up to the temperature of the factor.

    Range: as hot_factor.
    Case: published/cable.toml#resistance-hot
    """
    return r_at_20_ohm * hot_factor


# ---- current --------------------------------------------------------------------------------------------------------
@formula("power")
def load_a(load_w: float, u0_v: float) -> float:
    """Current of a single-phase load.

    Range: power factor 1.
    Case: published/cable.toml#load-current
    """
    return load_w / u0_v


@formula("power")
def load_three_phase_a(load_w: float, line_v: float) -> float:
    """Line current of a balanced three-phase load.

    Range: power factor 1; voltage between lines.
    Case: published/cable.toml#three-phase-load
    """
    return load_w / sqrt(3 * line_v ** 2)


@formula("BS 7671 Appendix 4, 5.1")
def iz_a(it_a: float, ca: float, cg: float, ci: float, cc: float) -> float:
    """What a cable carries where it runs.

    Range: the worst stretch governs. A method that already contains the insulation takes no Ci on top.
    Case: published/cable.toml#rating-where-it-runs
    """
    return it_a * ca * cg * ci * cc


@formula("BS 7671 Appendix 4, 5.1")
def least_it_a(rating_a: float, ca: float, cg: float, ci: float, cc: float) -> float:
    """Least tabulated rating for a cable that the device protects against overload.

    Range: cc holds 0.725 for a rewirable fuse and 0.9 for a buried cable, multiplied where both apply.
    Case: published/cable.toml#least-tabulated-rating
    """
    return rating_a / (ca * cg * ci * cc)


@formula("BS 7671 Appendix 4, Table 4C1 notes")
def grouped_threshold_a(it_a: float, cg: float, group_fraction: float) -> float:
    """Current up to which a cable of a group may be left out of the count.

    Range: its share of the grouped rating, not of the tabulated one.
    Case: published/cable.toml#left-out-of-a-group
    """
    return group_fraction * cg * it_a


@formula("BS 7671 Appendix 4, Table 4B1")
def ca_short_circuit(limit_c: float, ambient_c: float, reference_c: float) -> float:
    """Ambient factor where only the steady temperature of the conductor counts.

    Range: short-circuit protection only, or above the reference temperature.
    Case: published/cable.toml#ambient-steady
    """
    return sqrt((limit_c - ambient_c) / (limit_c - reference_c))


@formula("BS 7671 Appendix 4, Table 4B1")
def ca_overload(limit_c: float, ambient_c: float, reference_c: float, overload_factor: float) -> float:
    """Ambient factor below the reference temperature, where an overload of 1.45 Iz must not run the conductor hotter
    than it would at the reference.

    Range: ambient below the reference temperature.
    Case: published/cable.toml#ambient-overload
    """
    return sqrt((reference_c + overload_factor ** 2 * (limit_c - reference_c) - ambient_c)
                / (limit_c - reference_c)) / overload_factor


@formula("difference")
def margin_a(iz_a: float, load_a: float) -> float:
    """What a cable carries beyond its load.

    Case: published/cable.toml#margin
    """
    return iz_a - load_a


# ---- voltage drop ---------------------------------------------------------------------------------------------------
@formula("BS 7671 Appendix 4, 6.2")
def drop_v(mv_per_a_m: float, load_a: float, length_m: float) -> float:
    """Voltage lost between the ends of a circuit, go and return together.

    Range: one load at the far end; the conductors at their limiting temperature.
    Case: published/cable.toml#drop-of-a-radial
    """
    return mv_per_a_m * load_a * length_m / 1000


@formula("On-Site Guide 7.2")
def ring_drop_v(mv_per_a_m: float, load_a: float, ring_length_m: float) -> float:
    """Voltage lost to the middle of a ring with all its load there.

    Range: the length right round the ring.
    Case: published/cable.toml#drop-of-a-ring
    """
    return mv_per_a_m * load_a * ring_length_m / 4 / 1000


@formula("ratio")
def drop_percent(drop_v: float, u0_v: float) -> float:
    """Voltage drop as a share of the nominal voltage.

    Case: published/cable.toml#drop-percent
    """
    return drop_v / u0_v * 100


@formula("BS 7671 Appendix 4, 6.1")
def ct(limit_c: float, reference_c: float, copper_zero_k: float, ca: float, cg: float, load_a: float,
       it_a: float) -> float:
    """How much less a cable drops because it runs cooler than its limit.

    Range: up to 16 mm²; not behind a rewirable fuse; copper_zero_k is 230 for copper.
    Case: published/cable.toml#cooler-cable
    """
    return (copper_zero_k + limit_c - (ca ** 2 * cg ** 2 - load_a ** 2 / it_a ** 2) * (limit_c - reference_c)) \
        / (copper_zero_k + limit_c)


@formula("BS 7671 Appendix 4, 6.1")
def cooler_drop_v(drop_v: float, ct: float) -> float:
    """Voltage drop of a cable that runs cooler than its limit.

    Range: as ct.
    Case: published/cable.toml#cooler-drop
    """
    return drop_v * ct


@formula("share")
def drop_limit_v(u0_v: float, drop_share: float) -> float:
    """Greatest voltage drop allowed, in volts.

    Case: published/cable.toml#drop-limit
    """
    return u0_v * drop_share


@formula("product of shares")
def load_v(u0_v: float, supply_share: float, drop_share: float) -> float:
    """Voltage left at a load when the supply is off nominal and the greatest drop is lost.

    Range: supply_share is negative for a supply below nominal; the drop is a share of what arrives.
    Case: published/cable.toml#voltage-at-the-load
    """
    return u0_v * (1 + supply_share) * (1 - drop_share)


# ---- lengths --------------------------------------------------------------------------------------------------------
@formula("BS 7671 Appendix 4, 6.2, solved for the length")
def drop_length_m(drop_limit_v: float, mv_per_a_m: float, load_a: float) -> float:
    """Longest radial within a voltage drop.

    Range: as drop_v.
    Case: published/cable.toml#longest-by-drop
    """
    return drop_limit_v * 1000 / (mv_per_a_m * load_a)


@formula("On-Site Guide 7.2, solved for the length")
def ring_drop_length_m(drop_limit_v: float, mv_per_a_m: float, load_a: float, ct: float) -> float:
    """Longest ring, right round, within a voltage drop.

    Range: as ring_drop_v; ct is 1 for a cable at its limit.
    Case: published/cable.toml#longest-ring-by-drop
    """
    return 4 * drop_limit_v * 1000 / (mv_per_a_m * load_a * ct)


@formula("BS 7671 411.4.4, solved for the length")
def zs_length_m(r1r2_allowed_ohm: float, r1r2_mohm_per_m: float, hot_factor: float) -> float:
    """Longest radial within a loop impedance.

    Range: hot_factor is 1 where the limit already allows for temperature.
    Case: published/cable.toml#longest-by-loop
    """
    return r1r2_allowed_ohm * 1000 / (r1r2_mohm_per_m * hot_factor)
