"""What a supply gives and what a home asks of it: voltage, declared loop, demand after diversity, service fuse."""
from __future__ import annotations

import math
from collections.abc import Sequence

from spareway.fact import formula, least, most


# ---- voltage and loop -----------------------------------------------------------------------------------------------
@formula("ESQCR 2002, regulation 27")
def highest_v(nominal_v: float, plus_percent: float) -> float:
    """Highest voltage that may be declared.

    Case: published/supply.toml#highest-voltage
    """
    return nominal_v * (1 + plus_percent / 100)


@formula("ESQCR 2002, regulation 27")
def lowest_v(nominal_v: float, minus_percent: float) -> float:
    """Lowest voltage that may be declared.

    Range: minus_percent as a plain number, 6 for six below.
    Case: published/supply.toml#lowest-voltage
    """
    return nominal_v * (1 - minus_percent / 100)


@formula("Ohm's law")
def declared_loop_ohm(highest_v: float, lowest_v: float, load_a: float) -> float:
    """Loop that would use up the whole band of the supply voltage at a load: where a declared 0.35 Ω comes from.

    Case: published/supply.toml#loop-of-the-band
    """
    return (highest_v - lowest_v) / load_a


# ---- capacity -------------------------------------------------------------------------------------------------------
@formula("power")
def capacity_kw(fuse_a: float, u0_v: float, power_factor: float) -> float:
    """Power that a service fuse stands for.

    Case: published/supply.toml#capacity-of-a-fuse
    """
    return fuse_a * u0_v * power_factor / 1000


@formula("power")
def load_of_kw_a(load_kw: float, u0_v: float) -> float:
    """Current of a single-phase load given in kilowatts.

    Range: power factor 1.
    Case: published/supply.toml#current-of-kilowatts
    """
    return load_kw * 1000 / u0_v


@formula("sum")
def new_demand_a(demand_a: float, added_a: float) -> float:
    """Demand with something added.

    Case: published/supply.toml#demand-with-more
    """
    return demand_a + added_a


@formula("EREC G98: rated current a phase")
def generation_a(inverter_kw: float, u0_v: float) -> float:
    """Current of a generator from its rated power.

    Range: the continuous a.c. rating; add every source and storage inverter on the phase.
    Case: published/supply.toml#current-of-an-inverter
    """
    return inverter_kw * 1000 / u0_v


@formula("EREC G98: rated current a phase")
def generation_kw(generation_a: float, u0_v: float) -> float:
    """Power of a generator from its current.

    Case: published/supply.toml#power-of-a-current
    """
    return generation_a * u0_v / 1000


@formula("BS EN 60269-1")
def nonfusing_a(rating_a: float, nonfusing_factor: float) -> float:
    """Current that a fuse holds for its conventional time.

    Range: a fuse that has not blown proves nothing below its fusing current.
    Case: published/supply.toml#fuse-holds
    """
    return rating_a * nonfusing_factor


@formula("BS EN 60269-1")
def fusing_a(rating_a: float, fusing_factor: float) -> float:
    """Current at which a fuse opens within its conventional time.

    Case: published/supply.toml#fuse-opens
    """
    return rating_a * fusing_factor


@formula("difference, nought at least")
def in_hand_a(fuse_a: float, demand_a: float) -> float:
    """What a figure of demand leaves of a fuse; nought where it leaves nothing.

    Case: published/supply.toml#amperes-in-hand
    """
    return most(fuse_a - demand_a, 0)


@formula("difference, nought at least")
def over_fuse_a(fuse_a: float, demand_a: float) -> float:
    """By how much a figure of demand is above a fuse; nought where it is not.

    Case: published/supply.toml#over-the-fuse
    """
    return most(demand_a - fuse_a, 0)


@formula("fuse makers' guidance, gG before gG")
def graded_a(fuse_a: float, fuse_ratio: float) -> float:
    """Greatest rating of a fuse behind another that is known to open first.

    Case: published/supply.toml#greatest-that-grades
    """
    return fuse_a / fuse_ratio


@formula("difference")
def capped_a(demand_a: float, held_off_a: float) -> float:
    """Demand with some of it held off.

    Case: published/supply.toml#with-some-held-off
    """
    return demand_a - held_off_a


@formula("current of a resistance goes with the voltage")
def capped_at_a(capped_a: float, supply_v: float, u0_v: float) -> float:
    """What is left at another voltage, were all of it resistive: the most that it can be.

    Case: published/supply.toml#at-the-highest-voltage
    """
    return capped_a * supply_v / u0_v


# ---- demand after diversity -----------------------------------------------------------------------------------------
@formula("On-Site Guide Table A2, cooking appliances")
def cooker_demand_a(load_a: float, first_a: float, rest_share: float, socket_a: float) -> float:
    """Demand of a cooking appliance: the first amperes whole, a share of the rest, and its socket.

    Range: a household; socket_a is 0 where the control unit has none.
    Case: published/supply.toml#cooker-with-a-socket
    """
    return least(load_a, first_a) + rest_share * most(load_a - first_a, 0) + socket_a


@formula("On-Site Guide Table A2, cooking appliances, solved for the load")
def cooker_load_a(circuit_a: float, appliances_n: float, first_a: float, rest_share: float, socket_a: float) -> float:
    """Greatest load of cooking appliances whose demand a circuit carries, each with its own first amperes.

    Range: a household; a circuit of the first amperes of all of them carries just that.
    Case: published/supply.toml#cookers-on-a-circuit
    """
    return least(circuit_a - socket_a, appliances_n * first_a) \
        + most(circuit_a - socket_a - appliances_n * first_a, 0) / rest_share


@formula("On-Site Guide Table A2")
def first_and_rest_a(load_a: float, first_a: float, rest_share: float) -> float:
    """Demand of heating and power on general circuits: the first amperes whole, a share of the rest.

    Range: a household. Not for rings, storage heating or heaters on circuits of their own.
    Case: published/supply.toml#first-and-rest
    """
    return least(load_a, first_a) + rest_share * most(load_a - first_a, 0)


@formula("On-Site Guide Table A2")
def shared_demand_a(load_a: float, demand_share: float) -> float:
    """Demand of a load of which a share is on at once: lighting, thermostatic heating.

    Case: published/supply.toml#share-of-a-load
    """
    return load_a * demand_share


def demand_by_rank_a(loads_a: Sequence[float], shares: Sequence[float]) -> float:
    """Demand (A) of loads of one kind: the largest by the first share, the next by the second, all others by the last.

    Source: On-Site Guide Table A2. Errors: ValueError without shares."""
    if not shares:
        raise ValueError("no share to apply")
    ranked = sorted(loads_a, reverse=True)
    return math.fsum(load * shares[min(i, len(shares) - 1)] for i, load in enumerate(ranked))
