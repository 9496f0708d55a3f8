"""What the supply should read: loops at the origin and at points, fault current, voltage, electrode."""
from __future__ import annotations

from math import inf
from typing import TYPE_CHECKING

from spareway.design.route import renamed
from spareway.fact import Fact, highest, total, unknown
from spareway.physics import fault
from spareway.readings.band import Expected, at_temperature, figure, in_doubt, read_so
from spareway.readings.conductors import Wire
from spareway.readings.instrument import Accuracy, accuracy
from spareway.tables import look_up

if TYPE_CHECKING:
    from spareway.design.circuit import CircuitDesign
    from spareway.design.design import Design

__all__ = ["at_electrode", "fault_current", "loop_at_origin", "loop_at_point", "neutral_loop", "voltage"]


def _stiffest_ohm(design: Design) -> float:
    """The least loop there is: that behind the greatest fault level which networks declare."""
    return float(design.supply.u0_v.value / figure("thresholds", "declared_fault_ka", design.books).value / 1000)


# ---- loops ----------------------------------------------------------------------------------------------------------
def loop_at_origin(design: Design, of: Accuracy) -> Expected:
    """Ze: up to what the network declares for this earthing; on TT the electrode, and the network's own behind it."""
    supply = design.supply
    if supply.earthing.amount == "TT":
        return _electrode_loop(design, of)
    declared = supply.ze_ohm.by("declared")
    if not declared.known:
        declared = look_up("ze_declared", design.books, supply.earthing)
    if declared.amount is None:
        return Expected(declared, 0.0, inf, "the earthing arrangement is not known")
    stiffest = _stiffest_ohm(design)
    return Expected(declared, max(stiffest - of.error(stiffest), 0.0), declared.value, "up to what the network declares, as the "
                    "rule has it that judges it; no less than its greatest fault level leaves")


def _electrode_loop(design: Design, of: Accuracy) -> Expected:
    own = _electrodes(design)
    network = figure("thresholds", "network_electrode_ohm", design.books)
    least = figure("thresholds", "tt_least_plausible_ohm", design.books)
    if len(own) == 1:
        both = total("ze_ohm", [own[0], network], "one after another")
        error = _error("electrode_ohm", own[0].value, design)
        return read_so(both, own[0].value - error, both.value + error, of, "the electrode as it was read, and the network's own")
    stable = figure("thresholds", "electrode_stable_ohm", design.books)
    gap = unknown("ze_ohm", "no single electrode was read", at=design.supply.at)
    return read_so(gap, least.value, stable.value + network.value, of, "up to what counts as stable, and the network's electrode")


def _electrodes(design: Design) -> list[Fact[float]]:
    """Every electrode that was read."""
    found = [e.electrode_ohm for e in design.inst.equipment.values()]
    found += [e.electrode_ohm for e in design.inst.earthing.values()]
    return [ohm.by("measured") for ohm in found if ohm.by("measured").known]


def _error(name: str, value: float, design: Design) -> float:
    """How far a value that was itself read with an instrument may be out."""
    of = accuracy(name, "", design.books)
    return of.error(value) if of else 0.0


TN = ("TN-S", "TN-C-S")


def neutral_loop(design: Design, of: Accuracy) -> Expected:
    """Line to neutral at the origin. Nobody declares it: up to the greatest that is declared to earth, common practice."""
    own = design.supply.earthing
    kinds = (own.value,) if own.known and own.value in TN else TN
    most = max(float(row.value) for row in (look_up("ze_declared", design.books, _earthing(kind)) for kind in kinds))
    gap = unknown("loop_ln_ohm", "no network declares the loop to neutral", at=design.supply.at)
    return read_so(gap, _stiffest_ohm(design), most, of, "nobody declares it; no more than is declared to earth, common practice")


def _earthing(kind: str) -> Fact[str]:
    return Fact("earthing", kind, "table", "declared values")


def _was_read(circuit: CircuitDesign) -> bool:
    return circuit.design.supply.ze_ohm.how == "measured"


def _ze_band(circuit: CircuitDesign) -> tuple[float, float, str]:
    """Between what the loop at the board may lie: read, by the instrument's error; else from the stiffest to the declared."""
    design, ze = circuit.design, circuit.ze_ohm
    origin = design.supply.ze_ohm
    before = ze.value - origin.value if origin.known else 0.0
    if _was_read(circuit):
        error = _error("ze_ohm", origin.value, design)
        return max(ze.value - error, 0.0), ze.value + error, "Ze as it was read"
    return _stiffest_ohm(design) + before, ze.value, f"Ze {origin.how}, the most it may be"


def loop_at_point(circuit: CircuitDesign, wire: Wire, temp_c: float | None, of: Accuracy) -> Expected:
    """Zs: the loop at the board, and line and protective conductor from there at their temperature."""
    site, ze = at_temperature(wire, "r1r2_ohm", temp_c, circuit.books), circuit.ze_ohm
    zs = renamed(fault.zs_of_r1r2_ohm.worked(ze, site.fact), "zs_ohm")
    if ze.amount is None:
        return Expected(zs, 0.0, inf, ze.note or "the loop at the board is not known")
    low, high, by = _ze_band(circuit)
    if zs.amount is None or not _was_read(circuit):
        return read_so(zs, low + site.least, high + site.most, of, f"{by}; {site.why}")
    return in_doubt(zs, site, of, f"{by}; {site.why}", high - ze.value)


# ---- fault current, voltage, electrode ------------------------------------------------------------------------------
def fault_current(design: Design, name: str, setup: str, of: Accuracy) -> Expected:
    """At the origin, from the loops as they were read; the greater of the two, or the one that `setup` names."""
    supply, u0 = design.supply, design.supply.u0_v
    loops = {"earth": supply.ze_ohm.by("measured"), "neutral": supply.supply.loop_ln_ohm.by("measured")}
    named = [to for to in loops if f"to {to}" in setup] or [*loops]
    known = [z for to, z in loops.items() if z.known and to in named]
    most_ka = figure("thresholds", "declared_fault_ka", design.books).value
    if not known:
        gap = unknown(name, "no loop was read at the origin", at=supply.at)
        return Expected(gap, 0.0, most_ka, "up to the declared fault level")
    ka = highest(name, [fault.prospective_ka.worked(u0, z) for z in known], "643.7.3.201: the greater is recorded")
    least_ohm = min(z.value - _error(z.name, z.value, design) for z in known)
    most_ohm = min(z.value + _error(z.name, z.value, design) for z in known)
    low_v, high_v = _volts(design)
    return read_so(ka, low_v / most_ohm / 1000, high_v / least_ohm / 1000 if least_ohm > 0 else most_ka, of,
                   "from the loops as they were read, at any voltage within the band")


def _volts(design: Design) -> tuple[float, float]:
    low, high = (figure("supply_voltage", f"{side} limit", design.books).value for side in ("lower", "upper"))
    return float(low), float(high)


def voltage(design: Design, cores: str, drop_v: Fact[float] | None, of: Accuracy) -> Expected:
    """Between two conductors: the declared band with line, little without. drop_v: what may be lost on the way to a point."""
    if "L" not in cores:
        most = figure("reading_doubt", "neutral to earth", design.books)
        gap = unknown("supply_v", "it depends on the load", at=design.supply.at)
        return read_so(gap, 0.0, most.value, of, "no line among them")
    low, high = _volts(design)
    lost = drop_v.value if drop_v is not None and drop_v.known else 0.0
    return read_so(renamed(design.supply.u0_v, "supply_v"), low - lost, high, of, "the declared band"
                   + (", less what a circuit may lose" if lost else ""))


def at_electrode(design: Design, of: Accuracy) -> Expected:
    """From the loop as it was read on TT, less what the network's electrode may have; else up to what counts as stable."""
    least = figure("thresholds", "tt_least_plausible_ohm", design.books).value
    ze = design.supply.ze_ohm.by("measured")
    if design.supply.earthing.amount == "TT" and ze.known:
        network, error = figure("thresholds", "network_electrode_ohm", design.books).value, _error("ze_ohm", ze.value, design)
        return read_so(renamed(ze, "electrode_ohm"), max(ze.value - network - error, 0.0), ze.value + error, of,
                       "the loop as it was read, less the network's electrode at most")
    stable = figure("thresholds", "electrode_stable_ohm", design.books).value
    gap = unknown("electrode_ohm", "nothing in the record leads to it")
    return read_so(gap, least, stable, of, "up to what counts as stable")
