"""Rules of residual-current devices: type, delay, what stands in series, what TT rests on."""
from __future__ import annotations

from spareway.design.circuit import CircuitDesign
from spareway.design.design import Design
from spareway.design.guards import Guard, parts_neutral
from spareway.design.load import CHARGING
from spareway.design.supply import SupplyDesign
from spareway.design.told_twice import named_only, unseen
from spareway.job.types import Equipment
from spareway.kinds import kind
from spareway.rules.base import Answer, all_of, at_most, cannot_tell, does_not_apply, is_one_of, rule
from spareway.tables import look_up

PLAIN = ("resistive-heater", "immersion", "nothing")               # heat by a plain element: no direct current to be had
NOT_TRACED = "Not known: its device, or the way of the supply to it, is not recorded"


@rule("RC1", about="circuit", breach="fails", clause="531.3.3", since="18A2")
def type_ac_before_electronics(circuit: CircuitDesign, design: Design) -> Answer:
    """A residual-current device of type AC stands before equipment whose leakage may hold direct current.

    Why: direct current can keep its core from working, and then it does not trip when it must; age of the edition alone is no defect.
    Remedial: a device of type A at least, or of the type that the maker of the equipment asks for.
    Fires on: circuits.plugs.device.residual_type = "AC"
    Passes on: circuits.plugs.device.residual_type = "F"
    """
    guards = circuit.met
    if guards is None:
        return Answer(None, NOT_TRACED)
    if not guards:
        return does_not_apply("no residual-current device stands before it in the record")
    if circuit.feeds and all(f in PLAIN for f in circuit.feeds):
        return does_not_apply("only plain heating elements are recorded on it")
    return all_of([_named(guard, is_one_of(guard.residual_type, "A", "F", "B")) for guard in guards])


def _named(guard: Guard, answer: Answer) -> Answer:
    return Answer(answer.ok, f"{answer.says} ({guard.name})", answer.facts, answer.relation)


@rule("RC2", about="circuit", breach="fails", clause="722.531.3.101", since="2018")
def vehicle_without_direct_current_protection(circuit: CircuitDesign, design: Design) -> Answer:
    """A charge point has neither a type B device nor its own detection of smooth direct current.

    Why: a few milliamperes of direct current from a vehicle can blind every device of type A before it.
    Remedial: a device of type B for its circuit, or a charge point whose maker states detection at 6 mA.
    Fires on: circuits.car = { way = "unit.6", device = { kind = "rcbo-2p", curve = "B", rating_a = 32, residual_ma = 30, residual_type = "A", one_way = false } }
      equipment.charger = { kind = "charge-point", rating_a = 32, on = "car", dc_detection = false }
    Passes on: circuits.car = { way = "unit.6", device = { kind = "rcbo-2p", curve = "B", rating_a = 32, residual_ma = 30, residual_type = "A", one_way = false } }
      equipment.charger = { kind = "charge-point", rating_a = 32, on = "car", dc_detection = true }
    """
    if not any(f in CHARGING for f in circuit.feeds):
        return does_not_apply("no charge point is recorded on it") if circuit.feeds or circuit.is_submain else \
            Answer(None, "Not known: what it feeds")
    guards = circuit.guards
    if guards is None:
        return Answer(None, NOT_TRACED)
    if guards and guards[-1].residual_type.amount == "B":
        return Answer(True, f"Type B: {guards[-1].name}", (guards[-1].residual_type,))
    points = [e for e in circuit.stands_at_end if e.kind in CHARGING]
    points += [unseen(circuit, *told) for told in named_only(circuit) if told[2] in CHARGING]
    gaps = [e.dc_detection for e in points if not e.dc_detection.known]
    without = [e.name for e in points if e.dc_detection.amount is False]
    if without:
        return Answer(False, f"{', '.join(without)} has none, and no device of type B stands before it")
    return cannot_tell(*gaps) if gaps else Answer(True, "its own detection is recorded", tuple(e.dc_detection for e in points))


@rule("RC3", about="circuit", breach="fails", clause="722.531.3.1", since="17A1")
def vehicle_without_residual(circuit: CircuitDesign, design: Design) -> Answer:
    """A charge point is not protected by a residual-current device of 30 mA that opens line and neutral.

    Why: the car is touched by people standing on wet ground.
    Remedial: a two-pole residual-current device of 30 mA for this circuit alone.
    Fires on: circuits.car = { way = "unit.6", feeds = "charge-point", device = { kind = "mcb", curve = "B", rating_a = 32 } }
    Passes on: circuits.car = { way = "unit.6", feeds = "charge-point", device = { kind = "rcbo-2p", curve = "B", rating_a = 32, residual_ma = 30, residual_type = "A" } }
    """
    if not any(f in CHARGING for f in circuit.feeds):
        return does_not_apply("no charge point is recorded on it")
    guards = circuit.guards
    if guards is None:
        return Answer(None, NOT_TRACED)
    if not guards:
        return Answer(False, "no residual-current device stands before it in the record")
    last = guards[-1]
    if last.thing is circuit.device and circuit.device_kind is not None and not parts_neutral(circuit):
        return Answer(False, f"{circuit.device_kind.says} leaves its neutral joined")
    return _named(last, at_most(last.residual_ma, look_up("thresholds", design.books, design.case("vehicle_residual_ma"))))


@rule("RC4", about="equipment", breach="advice", clause="536.4.1.4")
def residual_devices_do_not_grade(thing: Equipment, design: Design) -> Answer:
    """Residual-current devices stand behind this one, and it has no time delay.

    Why: either may go first, and a fault on one circuit then puts out every other; milliamperes alone do not grade.
    Remedial: a device with a time delay (type S) nearer to the supply, or none there where nothing needs it.
    Fires on: equipment.front = { kind = "rcd-before-all", rating_a = 100, residual_ma = 100, residual_type = "A", delayed = false, one_way = false, damage = "none" }
      runs.feed-3.joins = ["arrester.bottom", "front.in"]
      runs.feed-4 = { joins = ["front.out", "unit.in"], kind = "tails", size_mm2 = 25, length_m = 0.3, method = "C" }
    Passes on: equipment.front = { kind = "rcd-before-all", rating_a = 100, residual_ma = 100, residual_type = "A", delayed = true, one_way = false, damage = "none" }
      runs.feed-3.joins = ["arrester.bottom", "front.in"]
      runs.feed-4 = { joins = ["front.out", "unit.in"], kind = "tails", size_mm2 = 25, length_m = 0.3, method = "C" }
    """
    if not kind(thing.kind).residual:
        return does_not_apply("no residual-current device")
    behind = []
    for name, circuit in design.circuits.items():
        guards = circuit.met or ()
        before = [g for g in guards[:-1] if g.name == thing.name]
        behind += [(name, before[0].delayed)] if before else []
    if not behind and design.bars_unsaid:
        return Answer(None, f"Not known: which ways stand on which bar of {', '.join(design.bars_unsaid)}")
    if not behind:
        return does_not_apply("no residual-current device stands behind it in the record")
    delayed = behind[0][1]
    if not delayed.known:
        return cannot_tell(delayed)
    return Answer(delayed.value, f"Time delay: {delayed}; behind it {', '.join(n for n, _ in behind)}", (delayed,))


@rule("RC5", about="installation", breach="fails", clause="314.1; 531.3.2", since="17")
def one_residual_device_for_all(design: Design, _: Design) -> Answer:
    """One and the same residual-current device protects every circuit.

    Why: one fault, or the leakage of all together, puts out light, heat, alarms and freezer at once.
    Remedial: a residual-current breaker for each circuit, or the circuits divided among several devices.
    Fires on: equipment.front = { kind = "rcd-before-all", rating_a = 100, residual_ma = 30, residual_type = "A", delayed = false, one_way = false, damage = "none" }
      runs.feed-3.joins = ["arrester.bottom", "front.in"]
      runs.feed-4 = { joins = ["front.out", "unit.in"], kind = "tails", size_mm2 = 25, length_m = 0.3, method = "C" }
      circuits.plugs.device = { kind = "mcb", curve = "B", rating_a = 32 }
      circuits.lamps.device = { kind = "mcb", curve = "B", rating_a = 6 }
      circuits.oven.device = { kind = "mcb", curve = "B", rating_a = 32 }
      circuits.warmth.device = { kind = "mcb", curve = "B", rating_a = 16 }
    Passes on: circuits.plugs.device.residual_ma = 30
    """
    asked = [c for c in design.circuits.values() if not c.is_surge and not c.is_submain]
    if len(asked) < 2:
        return does_not_apply("fewer than two circuits are recorded")
    known = [g for c in asked if (g := c.guards) is not None]
    last = {g[-1].name if g else "" for g in known}
    if len(last) > 1 or last == {""}:
        return Answer(True, "the circuits do not all hang on one device" if len(last) > 1 else
                      "no residual-current device stands before them in the record")
    if len(known) < len(asked):
        return Answer(None, "Not known: the devices of some circuits, or the way of the supply to them, are not recorded")
    return Answer(False, f"{len(asked)} circuits behind {', '.join(last)}")


@rule("RC6", about="circuit", breach="fails", clause="411.3.2.2 Table 41.1; 411.5.3", since="17")
def delayed_device_alone_on_tt(circuit: CircuitDesign, design: Design) -> Answer:
    """On TT only a time-delayed residual-current device clears a fault on this final circuit.

    Why: a final circuit there is to be cleared in 0.2 s, and a delayed device may wait longer than that by design.
    Remedial: a device without delay for the circuit, behind the delayed one.
    Fires on: supplies.main.earthing = "TT"
      circuits.warmth.device.delayed = true
    Passes on: supplies.main.earthing = "TT"
      circuits.plugs.device.delayed = false
      circuits.lamps.device.delayed = false
      circuits.oven.device.delayed = false
      circuits.warmth.device.delayed = false
    """
    if (answer := _not_tt(design, circuit)) is not None:
        return answer
    guards = circuit.guards
    if guards is None:
        return Answer(None, NOT_TRACED)
    if not guards:
        return does_not_apply("no residual-current device stands before it: RC7 asks")
    if any(g.delayed.amount is False for g in guards):
        return Answer(True, "a device without delay stands before it", tuple(g.delayed for g in guards))
    gaps = [g.delayed for g in guards if not g.delayed.known]
    return cannot_tell(*gaps) if gaps else Answer(False, f"delayed: {', '.join(g.name for g in guards)}",
                                                 tuple(g.delayed for g in guards))


@rule("RC7", about="circuit", breach="fails", clause="411.5.2", since="17")
def tt_without_residual(circuit: CircuitDesign, design: Design) -> Answer:
    """On TT no residual-current device protects this circuit.

    Why: through an electrode so little current flows that a fuse or breaker may never open, and metalwork stays live.
    Remedial: leave the circuit off until a residual-current device protects it.
    Fires on: supplies.main.earthing = "TT"
      circuits.warmth.device = { kind = "mcb", curve = "B", rating_a = 16 }
    Passes on: supplies.main.earthing = "TT"
    """
    if (answer := _not_tt(design, circuit)) is not None:
        return answer
    guards = circuit.guards
    if guards is None:
        return Answer(None, NOT_TRACED)
    return Answer(bool(guards), f"behind {', '.join(g.name for g in guards)}" if guards else "none stands before it in the record")


def _not_tt(design: Design, circuit: CircuitDesign) -> Answer | None:
    """Why a rule of TT final circuits has nothing to say, or cannot; None where it has."""
    supply: SupplyDesign = design.supply
    if not supply.earthing.known:
        return cannot_tell(supply.earthing)
    if supply.earthing.amount != "TT":
        return does_not_apply(f"the supply is {supply.earthing}")
    return does_not_apply("a submain, not a final circuit") if circuit.is_submain else None


@rule("RC8", about="circuit", breach="fails", clause="461.2; 462; 537", by_layout=True)
def neutral_stays_joined_on_tt(circuit: CircuitDesign, design: Design) -> Answer:
    """On TT neither the device of this circuit nor the main switch of its board parts its neutral from the supply.

    Why: the neutral of a TT supply may stand well above the earth that people stand on.
    Remedial: a device that opens line and neutral, or a two-pole main switch, opened for any work.
    Fires on: supplies.main.earthing = "TT"
      equipment.unit = { kind = "board-rewirable-1p", rating_a = 60, ways_n = 12 }
      circuits.plugs.way = "unit.1"
      circuits.lamps.way = "unit.2"
      circuits.oven.way = "unit.3"
      circuits.warmth = { way = "unit.4", device = { kind = "rewirable", rating_a = 15 } }
      runs.feed-3.joins = ["arrester.bottom", "unit.in"]
      runs.earth-2.joins = ["terminal.b", "unit.in"]
    Passes on: supplies.main.earthing = "TT"
      circuits.warmth.device = { kind = "mcb", curve = "B", rating_a = 16 }
    """
    earthing = design.supply.earthing
    if not earthing.known:
        return cannot_tell(earthing)
    if earthing.amount != "TT":
        return does_not_apply(f"the supply is {earthing}")
    if parts_neutral(circuit):
        return Answer(True, "its own device opens line and neutral")
    left = design.boards[circuit.board].switch_leaves_neutral
    if left is False:
        return Answer(True, f"the main switch of {circuit.board} opens line and neutral: for work on this circuit open that")
    if circuit.device_kind is None:
        return Answer(None, "Not known: what stands in its way of the board")
    return Answer(False, f"{kind(circuit.device.kind).says} in {circuit.circuit.way}; the neutral bar of {circuit.board} stays joined")


RULES = (type_ac_before_electronics, vehicle_without_direct_current_protection, vehicle_without_residual,
         residual_devices_do_not_grade, one_residual_device_for_all, delayed_device_alone_on_tt, tt_without_residual,
         neutral_stays_joined_on_tt)
