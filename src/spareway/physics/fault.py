"""Fault loops and fault currents, the limits on them, and what a conductor withstands meanwhile."""
from __future__ import annotations

from spareway.fact import formula, sqrt


@formula("BS 7671 411.4.4")
def zs_ohm(ze_ohm: float, r1_ohm: float, r2_ohm: float) -> float:
    """Loop impedance of an earth fault at the far end of a circuit.

    Range: copper up to 35 mm², where resistance stands for impedance; all three at one temperature.
    Case: published/fault.toml#loop-of-a-circuit
    """
    return ze_ohm + r1_ohm + r2_ohm


@formula("BS 7671 411.4.4")
def zs_of_r1r2_ohm(ze_ohm: float, r1r2_ohm: float) -> float:
    """The same from one reading, or one row, of R1+R2.

    Range: as zs_ohm.
    Case: published/fault.toml#loop-of-one-reading
    """
    return ze_ohm + r1r2_ohm


@formula("BS 7671 411.4.4; On-Site Guide Appendix I")
def zs_hot_ohm(ze_ohm: float, r1r2_ohm: float, hot_factor: float) -> float:
    """The loop with the conductors of the circuit at their working temperature; the supply is taken as it was read.

    Range: R1+R2 at 20 °C.
    Case: published/fault.toml#loop-with-a-hot-cable
    """
    return ze_ohm + hot_factor * r1r2_ohm


@formula("Ohm's law")
def fault_a(u0_v: float, zs_ohm: float) -> float:
    """Current of an earth fault.

    Range: a fault without resistance of its own.
    Case: published/fault.toml#earth-fault-current
    """
    return u0_v / zs_ohm


@formula("Ohm's law")
def prospective_a(u0_v: float, loop_ohm: float) -> float:
    """Prospective fault current at a point whose loop was read, line to neutral or line to earth.

    Range: one phase.
    Case: published/fault.toml#prospective-current
    """
    return u0_v / loop_ohm


@formula("Ohm's law")
def prospective_ka(u0_v: float, loop_ohm: float) -> float:
    """The same in kiloamperes, as it is set against a breaking capacity.

    Range: one phase.
    Case: published/fault.toml#prospective-current-in-ka
    """
    return u0_v / loop_ohm / 1000


@formula("BS 7671 411.4.4")
def zs_limit_ohm(cmin: float, u0_v: float, ia_a: float) -> float:
    """Greatest loop impedance that still opens the device within its time.

    Range: Ia as published for that device and time. Cmin has stood in the standard since 2015; before, it was 1.
    Case: published/fault.toml#limit-of-a-breaker
    """
    return cmin * u0_v / ia_a


@formula("BS EN 60898-1")
def instant_a(instant_multiple: float, rating_a: float) -> float:
    """Current at which a breaker of that curve is bound to open at once.

    Range: circuit-breakers with a fixed multiple: 5 for B, 10 for C, 20 for D.
    Case: published/fault.toml#breaker-at-once
    """
    return instant_multiple * rating_a


@formula("BS 7671 Appendix 3")
def zs_site_limit_ohm(zs_limit_ohm: float, site_factor: float) -> float:
    """Greatest loop impedance that may be read on a cold installation.

    Range: a reading near 20 °C. Never together with a sum that already allows for temperature.
    Case: published/fault.toml#site-limit
    """
    return zs_limit_ohm * site_factor


@formula("ratio of the voltage factors")
def zs_limit_now_ohm(zs_limit_old_ohm: float, cmin: float) -> float:
    """A limit printed before the voltage factor, brought down by it.

    Range: only to compare prints: an old limit was rounded or cut off, so go by Ia.
    Case: published/fault.toml#old-limit-by-ratio
    """
    return zs_limit_old_ohm * cmin


@formula("On-Site Guide Appendix B")
def zs_guide_limit_ohm(zs_limit_ohm: float, guide_divisor: float) -> float:
    """The limit as the site guide prints it, for a reading on a cold cable.

    Range: the divisor of that guide.
    Case: published/fault.toml#guide-limit
    """
    return zs_limit_ohm / guide_divisor


@formula("BS 7671 411.4.4")
def r1r2_allowed_ohm(zs_limit_ohm: float, ze_ohm: float) -> float:
    """What the limit leaves for the conductors of the circuit.

    Range: limit and R1+R2 at the same temperature.
    Case: published/fault.toml#left-for-the-cable
    """
    return zs_limit_ohm - ze_ohm


@formula("BS 7671 411.5.3")
def electrode_limit_ohm(touch_v: float, residual_a: float) -> float:
    """Greatest resistance of electrode and protective conductors behind a residual current device.

    Range: TT. It is the limit for opening; a stable electrode has far less.
    Case: published/fault.toml#electrode-limit
    """
    return touch_v / residual_a


@formula("BS 7671 411.5.3")
def residual_limit_ma(touch_v: float, electrode_ohm: float) -> float:
    """Greatest rated residual current that an electrode allows.

    Range: TT.
    Case: published/fault.toml#residual-limit
    """
    return touch_v / electrode_ohm * 1000


@formula("Ohm's law")
def touch_at_residual_v(electrode_ohm: float, residual_ma: float) -> float:
    """Voltage on exposed metal while the rated residual current flows.

    Range: TT.
    Case: published/fault.toml#touch-voltage
    """
    return electrode_ohm * residual_ma / 1000


@formula("BS 7671 543.1.3")
def least_size_mm2(fault_a: float, clear_s: float, material_k: float) -> float:
    """Least conductor that takes the heat of a fault until the device opens.

    Range: 0.1 to 5 s. Below 0.1 s the let-through energy of the device decides.
    Case: published/fault.toml#least-size
    """
    return sqrt(fault_a ** 2 * clear_s) / material_k


@formula("BS 7671 434.5.2")
def k2s2_a2s(material_k: float, size_mm2: float) -> float:
    """Energy that a conductor withstands.

    Range: no heat lost meanwhile: up to 5 s.
    Case: published/fault.toml#withstand
    """
    return material_k ** 2 * size_mm2 ** 2


@formula("BS 7671 434.5.2")
def i2t_a2s(fault_a: float, clear_s: float) -> float:
    """Energy let through at a steady current.

    Range: from 0.1 s. Below that an upper bound for a breaker at or above its instantaneous current, and no bound
    for a fuse.
    Case: published/fault.toml#energy-of-a-fault
    """
    return fault_a ** 2 * clear_s


@formula("BS 7671 434.5.2")
def time_to_limit_s(material_k: float, size_mm2: float, fault_a: float) -> float:
    """How long a conductor may carry a fault.

    Range: 0.1 to 5 s.
    Case: published/fault.toml#time-to-limit
    """
    return material_k ** 2 * size_mm2 ** 2 / fault_a ** 2


# ---- fault level ----------------------------------------------------------------------------------------------------
@formula("Ohm's law")
def main_loop_ohm(u0_v: float, prospective_ka: float) -> float:
    """Loop impedance behind a stated fault level.

    Range: one phase.
    Case: published/fault.toml#loop-behind-a-fault-level
    """
    return u0_v / (prospective_ka * 1000)


@formula("resistances in series")
def service_loop_ohm(loop_ohm: float, r_mohm_per_m: float, service_m: float) -> float:
    """Loop at the end of a service cable, out by the line and back by a neutral like it.

    Range: added as plain numbers, which overstates the loop and understates the current: good for reading a
    declared maximum, not for choosing a breaking capacity near its limit.
    Case: published/fault.toml#loop-after-the-service
    """
    return loop_ohm + 2 * r_mohm_per_m * service_m / 1000


@formula("BS EN 60909, far from a generator")
def source_ohm(line_v: float, prospective_ka: float) -> float:
    """Impedance a phase behind a three-phase fault level.

    Range: a fault of all three lines.
    Case: published/fault.toml#source-a-phase
    """
    return sqrt(line_v ** 2 / 3) / (prospective_ka * 1000)


@formula("BS EN 60909, far from a generator")
def fault_three_phase_ka(line_v: float, source_ohm: float, r_ohm: float) -> float:
    """Three-phase fault current at the end of a cable: the source all reactance, the cable all resistance.

    Range: small cables behind a transformer, where this is closest.
    Case: published/fault.toml#end-of-a-cable
    """
    return sqrt(line_v ** 2 / 3) / sqrt(source_ohm ** 2 + r_ohm ** 2) / 1000


@formula("BS EN 60909, far from a generator")
def fault_arithmetic_ka(line_v: float, source_ohm: float, r_ohm: float) -> float:
    """The same with the two added as plain numbers: the least it can be.

    Range: as fault_three_phase_ka.
    Case: published/fault.toml#end-of-a-cable-added
    """
    return sqrt(line_v ** 2 / 3) / (source_ohm + r_ohm) / 1000


@formula("ESQCR 2002, regulation 27; IEC 60909-0 Table 1")
def greatest_fault_a(cmax: float, u0_v: float, loop_ohm: float) -> float:
    """Greatest fault current at a point: the supply as high as it may be declared, the conductors cold, the fault without
    resistance of its own.

    Range: one phase, loop near 20 °C, the lesser of line to neutral and line to earth. For breaking capacity and energy; a
    reading taken at the voltage of the day may be less.
    Case: published/fault.toml#greatest-current
    """
    return cmax * u0_v / loop_ohm


@formula("BS 7671 411.4.4")
def least_fault_a(cmin: float, u0_v: float, zs_hot_ohm: float) -> float:
    """Least current of an earth fault without resistance of its own: the supply as low as the factor says, the conductors warm.

    Range: for the time in which a device opens, and for energy behind a fuse, where less current may heat more.
    Case: published/fault.toml#least-current
    """
    return cmin * u0_v / zs_hot_ohm
