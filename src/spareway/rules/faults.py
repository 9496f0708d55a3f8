"""Rules of faults: what a short circuit does to the line conductor, whether it is cut at once, what breaks it again."""
from __future__ import annotations

from dataclasses import replace

from spareway.design.circuit import CircuitDesign
from spareway.design.design import Design
from spareway.design.route import renamed
from spareway.design.run import RunDesign
from spareway.rules.base import Answer, at_least, at_most, cannot_tell, does_not_apply, rule
from spareway.rules.circuits import device_above_cable
from spareway.tables import look_up

PRESUMED = "the device matches the cable for overload; where it also breaks the fault, which CI12 asks, that stands for the proof (435.1)"
UPPER_BOUND = "Current squared over 0.1 s is an upper bound, good for passing and never for failing: the maker's let-through would settle it"
FUSES = ("rewirable", "cartridge")
NO_LET_THROUGH = "the maker's let-through is not recorded"


@rule("FA1", about="circuit", breach="fails", clause="434.5.2; 435.1")
def line_too_hot(circuit: CircuitDesign, design: Design) -> Answer:
    """The line conductor may not survive what the device lets through, and the device does not match it for overload either.

    Why: where the device is larger than the cable carries, nothing shows that a short circuit leaves the cable as it was.
    Remedial: a device that the cable matches, a larger line conductor, or the maker's let-through energy at the fault current here.
    Fires on: circuits.warmth.device = { kind = "mcb", curve = "B", rating_a = 32, let_through_a2s = 45000, fault_rating_ka = 6 }
      circuits.warmth.cable = { kind = "t&e", line_mm2 = 1.5, cpc_mm2 = 1.0, length_m = 15, method = "103" }
    Passes on: circuits.warmth.device = { kind = "mcb", curve = "B", rating_a = 32, let_through_a2s = 18000, fault_rating_ka = 6 }
      circuits.warmth.cable = { kind = "t&e", line_mm2 = 1.5, cpc_mm2 = 1.0, length_m = 15, method = "103" }
    """
    matched = device_above_cable.ask(circuit, design)
    if matched.ok:
        return does_not_apply(PRESUMED)
    answer = at_least(circuit.heat.line_withstand_a2s, circuit.heat.line_energy_a2s)
    if answer.ok or circuit.device.let_through_a2s.known and matched.ok is False:
        return answer
    bound = f". {UPPER_BOUND}" if answer.ok is False else ""
    return Answer(None, f"{answer.says}. The device is not shown to match the cable for overload{bound}", answer.facts)


@rule("FA2", about="circuit", breach="advice", clause="434.5.2; 435.1")
def let_through_above_line(circuit: CircuitDesign, design: Design) -> Answer:
    """The maker's let-through is more than the line conductor withstands, although the device matches it for overload.

    Why: the standard lets a matching device stand for the proof, but not where there is doubt, and here a figure says otherwise.
    Remedial: ask the maker for the figure at the fault current here, which is less than at the device's full rating.
    Fires on: circuits.lamps.device.let_through_a2s = 35000
    Passes on: circuits.lamps.device.let_through_a2s = 6000
    """
    if not circuit.device.let_through_a2s.known:
        return does_not_apply(NO_LET_THROUGH)
    if not device_above_cable.ask(circuit, design).ok:
        return does_not_apply("the device is not shown to match the cable for overload: FA1 judges it")
    return at_least(circuit.heat.line_withstand_a2s, renamed(circuit.device.let_through_a2s, "i2t_a2s"))


@rule("FA3", about="circuit", breach="advice", clause="434.5.2; 411.4.4", authority="common practice")
def short_circuit_not_cut_at_once(circuit: CircuitDesign, design: Design) -> Answer:
    """A short circuit between line and neutral at the far end does not open the device at once.

    Why: no residual-current device sees it; it goes on as an overload, for seconds or a minute, and the cable heats meanwhile.
    Remedial: a larger cable, a shorter route, or a device of a quicker curve or smaller rating.
    Fires on: circuits.warmth.cable.length_m = 150
    Passes on: circuits.warmth.cable.length_m = 40
    """
    if circuit.device.kind == "rcd-in-way":
        return does_not_apply("no overcurrent device stands in its way")
    return at_most(circuit.heat.ln_far_hot_ohm, circuit.zs_limit_ohm)


@rule("FA4", about="circuit", breach="advice", clause="BS EN 60898-1, Icn and Ics; 434.5.1")
def fault_above_service_rating(circuit: CircuitDesign, design: Design) -> Answer:
    """The prospective fault current is more than the breaker breaks and stays fit for use.

    Why: up to its rated capacity it clears a fault once; only up to its service capacity is it meant to be switched on again.
    Remedial: after any short circuit test the breaker or replace it; a breaker of higher service capacity where faults are likely.
    Fires on: circuits.warmth.device.fault_rating_ka = 10
      supplies.main.fault_ka = 9
    Passes on: circuits.warmth.device.fault_rating_ka = 10
      supplies.main.fault_ka = 5
    """
    if circuit.device_kind is not None and "curve" not in circuit.device_kind.facts:
        return does_not_apply("not a breaker")
    return at_most(design.boards[circuit.board].fault_ka,
                   look_up("service_breaking", design.books, renamed(circuit.device.fault_rating_ka, "icn_ka")))


@rule("FA5", about="run", breach="fails", clause="434.2.1")
def reduced_conductor_long(run: RunDesign, design: Design) -> Answer:
    """A run carries less than the fuse before it, and is longer than a conductor may be without its own protection against a fault.

    Why: over a few metres, kept clear of harm and of what burns, a fault may wait for the fuse before it. Overload is asked by IN2.
    Remedial: a device where the conductor becomes smaller, a larger conductor, or the device moved nearer.
    Fires on: runs.feed-3 = { joins = ["arrester.bottom", "unit.in"], kind = "singles", size_mm2 = 6, length_m = 5, method = "B" }
    Passes on: runs.feed-3 = { joins = ["arrester.bottom", "unit.in"], kind = "singles", size_mm2 = 6, length_m = 2, method = "B" }
    """
    if not run.carries_load or not run.before:
        return does_not_apply("it carries no load from the supply")
    carries = at_most(run.fuse_a, run.iz_a)
    if carries.ok:
        return does_not_apply("it carries what the fuse before it is rated at")
    longest = at_most(run.length_m, look_up("thresholds", design.books, design.case("reduced_conductor_m")))
    if longest.ok:
        return replace(longest, says=f"{longest.says}, for a fault; overload is another question (IN2)")
    return longest if carries.ok is False else Answer(None, carries.says, (*carries.facts, *longest.facts))


@rule("FA6", about="circuit", breach="advice", clause="543.1.3; BS 6004", authority="common practice")
def protective_conductor_thin(circuit: CircuitDesign, design: Design) -> Answer:
    """The protective conductor is thinner than flat cable of this size is made with now.

    Why: older cable was made with less; a fuse of its day may have suited it, and a larger or slower device may not.
    Remedial: see what the heat of a fault asks behind the new device; read r2 to see that the record is right.
    Fires on: circuits.plugs.cable.cpc_mm2 = 1.0
    Passes on: circuits.plugs.cable.cpc_mm2 = 1.5
    """
    if circuit.cable.kind and circuit.cable.kind != "t&e":
        return does_not_apply("not flat twin and earth")
    if circuit.cable.without_cpc.amount is True:
        return does_not_apply("it has none: CI15 says so")
    return at_least(circuit.cable.cpc_mm2, circuit.heat.usual_cpc_mm2)


@rule("FA7", about="circuit", breach="fails", clause="543.1.3; Appendix 3")
def cpc_too_hot_before_fuse_opens(circuit: CircuitDesign, design: Design) -> Answer:
    """At the least fault current the protective conductor gets too hot before the fuse opens.

    Why: a fuse takes its time when the current is small; the far end of a long circuit may heat its conductor more than the near one.
    Remedial: a larger protective conductor, a shorter route, a smaller fuse, or a breaker with residual current protection.
    Fires on: circuits.plugs.device = { kind = "rewirable", rating_a = 30 }
      circuits.plugs.cable = { kind = "t&e", line_mm2 = 2.5, cpc_mm2 = 1.0, length_m = 150, method = "C" }
    Passes on: circuits.plugs.device = { kind = "rewirable", rating_a = 30 }
      circuits.plugs.cable = { kind = "t&e", line_mm2 = 2.5, cpc_mm2 = 1.5, length_m = 150, method = "C" }
    """
    if circuit.device_kind is not None and circuit.device.kind not in FUSES:
        return does_not_apply("no fuse stands in its way")
    ze_read = design.boards[circuit.board].ze_read_ohm
    read, bound = (at_least(circuit.withstand_a2s, energy) for energy in (circuit.heat.fuse_energy_a2s, circuit.heat.fuse_energy_most_a2s))
    shown = bound if read.ok is None else read
    if shown.ok and not ze_read.known:
        return cannot_tell(ze_read, says=f"Not known: Ze as it is; less than was declared sends more current. As declared: {shown.says}")
    if read.ok is not None or bound.ok is not False:
        return shown
    return Answer(None, f"{read.says}. By the last printed point: {bound.says}; that is an upper bound, good for passing only", bound.facts)


RULES = (line_too_hot, let_through_above_line, short_circuit_not_cut_at_once, fault_above_service_rating, reduced_conductor_long,
         protective_conductor_thin, cpc_too_hot_before_fuse_opens)
