"""Rules of heat: whether a room's heaters meet what it loses at the voltage they get, how they hang on circuits, what they hang on."""
from __future__ import annotations

from dataclasses import replace

from spareway.design.around import HEATERS
from spareway.design.circuit import CircuitDesign
from spareway.design.design import Design
from spareway.design.heater_circuits import on_one_circuit, several_floors
from spareway.design.heaters import voltage
from spareway.design.load import STORED
from spareway.design.room import BY_NOTHING
from spareway.design.told_twice import told_twice
from spareway.fact import Fact, show
from spareway.job.types import Equipment, Room
from spareway.rules.base import Answer, all_of, at_least, at_most, below, cannot_tell, does_not_apply, rule
from spareway.tables import look_up

NOT_HEATED = "nothing is asked of its heat in the record"
NO_HEATER = "no heater of it is recorded; HE4 asks of that"
NO_FLOORS = "no room says which floor it is on"


def _meets(room: Room, design: Design, case: str, with_margin: bool = False) -> Answer:
    """Whether the heaters of a room give what it loses at a voltage of the supply; with the margin, what is wanted of them.

    Short of what is counted is short, whatever else is lost; enough for it is not known to be enough while a part is unsaid."""
    of = design.room_heaters.get(room.name)
    if of is None or not of.heaters:
        return does_not_apply(NOT_HEATED if of is None else NO_HEATER)
    supply, room_of = voltage(design, case), of.room
    answer = at_least(of.given_w(supply), room_of.counted_required_w if with_margin else room_of.counted_w)
    if answer.ok and room_of.unsaid:
        return cannot_tell(room_of.loss_w, beside=answer.facts)
    unsaid = room_of.unsaid if answer.ok is False else ()
    least = f"; so much at least, not answered: {', '.join(unsaid)}" if unsaid else ""
    return replace(answer, says=f"{answer.says}; at {supply}{least}")


@rule("HE1", about="room", breach="fails", clause="BS EN 12831-1; 132.1", authority="common practice")
def heaters_below_loss(room: Room, design: Design) -> Answer:
    """At the declared voltage the heaters of this room give less than it loses on the design day.

    Why: what is stamped for 240 V gives 8 per cent less at 230 V; the room stays cold on the days it is there for.
    Remedial: the next larger size, a second heater, or less loss: draughts and loft first.
    Fires on: heating.main = { outside_c = -3, bridging_w_per_m2k = 0, margin_share = 0.1 }
      rooms.den = { size = { length_m = 5, width_m = 4, height_m = 2.4 }, design_c = 21, air_changes_per_h = 2, elements.wall = { u_w_per_m2k = 2.1, area_m2 = 29 }, elements.window = { area_m2 = 0, cut_from = "wall" }, elements.door = { area_m2 = 0, cut_from = "wall" }, elements.above = { of_dt = 0 }, elements.below = { of_dt = 0 } }
      equipment.radiator = { kind = "panel-heater", room = "den", on = "warmth", stamped_w = 2300, stamped_v = 240 }
    Passes on: heating.main = { outside_c = -3, bridging_w_per_m2k = 0, margin_share = 0.1 }
      rooms.den = { size = { length_m = 5, width_m = 4, height_m = 2.4 }, design_c = 21, air_changes_per_h = 2, elements.wall = { u_w_per_m2k = 2.1, area_m2 = 29 }, elements.window = { area_m2 = 0, cut_from = "wall" }, elements.door = { area_m2 = 0, cut_from = "wall" }, elements.above = { of_dt = 0 }, elements.below = { of_dt = 0 } }
      equipment.radiator = { kind = "panel-heater", room = "den", on = "warmth", stamped_w = 2300, stamped_v = 230 }
    """
    return _meets(room, design, "declared voltage")


@rule("HE2", about="room", breach="advice", clause="ESQCR 2002 reg 27; BS EN 12831-1", authority="common practice")
def heaters_below_loss_at_lowest_voltage(room: Room, design: Design) -> Answer:
    """At the lowest voltage the network may supply, the heaters of this room give less than it loses on the design day.

    Why: the street is low on the coldest evening, and an element gives by the square of its volts: 12 per cent less there.
    Remedial: the next larger size where the voltage there is known to be low; measure it on a cold evening.
    Fires on: heating.main = { outside_c = -3, bridging_w_per_m2k = 0, margin_share = 0.1 }
      rooms.den = { size = { length_m = 5, width_m = 4, height_m = 2.4 }, design_c = 21, air_changes_per_h = 2, elements.wall = { u_w_per_m2k = 2.1, area_m2 = 30 }, elements.window = { area_m2 = 0, cut_from = "wall" }, elements.door = { area_m2 = 0, cut_from = "wall" }, elements.above = { of_dt = 0 }, elements.below = { of_dt = 0 } }
      equipment.radiator.room = "den"
    Passes on: heating.main = { outside_c = -3, bridging_w_per_m2k = 0, margin_share = 0.1 }
      rooms.den = { size = { length_m = 5, width_m = 4, height_m = 2.4 }, design_c = 21, air_changes_per_h = 2, elements.wall = { u_w_per_m2k = 2.1, area_m2 = 20 }, elements.window = { area_m2 = 0, cut_from = "wall" }, elements.door = { area_m2 = 0, cut_from = "wall" }, elements.above = { of_dt = 0 }, elements.below = { of_dt = 0 } }
      equipment.radiator.room = "den"
    """
    return _meets(room, design, "lower limit")


@rule("HE3", about="room", breach="advice", clause="BS EN 12831-1", authority="common practice")
def heaters_below_margin(room: Room, design: Design) -> Answer:
    """The heaters of this room give less than its loss with the margin for heating it up.

    Why: they hold the temperature, and do not bring it back within the hour after a night or a day away.
    Remedial: the next larger size, or heat that is not let go: then say a margin of nought.
    Fires on: heating.main = { outside_c = -3, bridging_w_per_m2k = 0, margin_share = 0.2 }
      rooms.den = { size = { length_m = 5, width_m = 4, height_m = 2.4 }, design_c = 21, air_changes_per_h = 2, elements.wall = { u_w_per_m2k = 2.1, area_m2 = 30 }, elements.window = { area_m2 = 0, cut_from = "wall" }, elements.door = { area_m2 = 0, cut_from = "wall" }, elements.above = { of_dt = 0 }, elements.below = { of_dt = 0 } }
      equipment.radiator.room = "den"
    Passes on: heating.main = { outside_c = -3, bridging_w_per_m2k = 0, margin_share = 0.2 }
      rooms.den = { size = { length_m = 5, width_m = 4, height_m = 2.4 }, design_c = 21, air_changes_per_h = 2, elements.wall = { u_w_per_m2k = 2.1, area_m2 = 20 }, elements.window = { area_m2 = 0, cut_from = "wall" }, elements.door = { area_m2 = 0, cut_from = "wall" }, elements.above = { of_dt = 0 }, elements.below = { of_dt = 0 } }
      equipment.radiator.room = "den"
    """
    answer = _meets(room, design, "declared voltage", with_margin=True)
    short = design.room_heaters[room.name].met("declared voltage").short_at_most_w if answer.ok else None
    if short is None or short <= 0:
        return answer
    return replace(answer, says=f"{answer.says}; with every range at its worst {show(short)} W short")


@rule("HE4", about="installation", breach="advice", clause="132.1", authority="common practice")
def room_without_heater(design: Design, _: Design) -> Answer:
    """Heat is asked for in a room in which no heater is recorded.

    Why: somebody will plug one in, and it then hangs on the sockets, where nobody counted it.
    Remedial: record what heats it, or plan a heater for it; take its temperature out where nothing is to heat it.
    Fires on: rooms.den = { design_c = 21 }
    Passes on: rooms.den = { design_c = 21 }
      equipment.radiator.room = "den"
    """
    if not design.room_heaters:
        return does_not_apply("nothing is asked of the heat of any room")
    bare, by = list[str](), dict[Fact[str], list[str]]()
    for name, of in design.room_heaters.items():
        if not of.heaters:
            heated_by = of.room.heated_by
            otherwise = of.room.is_heated_otherwise and heated_by.value != BY_NOTHING
            (by.setdefault(heated_by, []) if otherwise else bare).append(name)
    says = ", ".join(bare) or f"each {'other ' if by else ''}room of which heat is asked has one"
    told = "".join(f"; heated by {fact}, by the record: {', '.join(names)}" for fact, names in by.items())
    return Answer(not bare, says + told, () if bare else tuple(by))


@rule("HE5", about="room", breach="unknown", clause="BS EN 12831-1", authority="common practice")
def loss_not_known(room: Room, design: Design) -> Answer:
    """What this room loses is not known, so no heater can be chosen for it.

    Why: glass, a wall or a floor that nobody recorded is not nothing: it may be half of what the room loses.
    Remedial: what is missing is named: take its measure, or say that there is none, by a part of 0 m².
    Fires on: heating.main = { outside_c = -3, bridging_w_per_m2k = 0, margin_share = 0.1 }
      rooms.den = { size = { length_m = 5, width_m = 4, height_m = 2.4 }, design_c = 21, air_changes_per_h = 2, elements.wall = { u_w_per_m2k = 2.1, length_m = 9 }, elements.door = { area_m2 = 0, cut_from = "wall" }, elements.above = { of_dt = 0 }, elements.below = { of_dt = 0 } }
    Passes on: heating.main = { outside_c = -3, bridging_w_per_m2k = 0, margin_share = 0.1 }
      rooms.den = { size = { length_m = 5, width_m = 4, height_m = 2.4 }, design_c = 21, air_changes_per_h = 2, elements.wall = { u_w_per_m2k = 2.1, length_m = 9 }, elements.window = { u_w_per_m2k = 2.8, area_m2 = 0, cut_from = "wall" }, elements.door = { area_m2 = 0, cut_from = "wall" }, elements.above = { of_dt = 0 }, elements.below = { of_dt = 0 } }
    """
    of = design.room_heaters.get(room.name)
    if of is None or of.heaters:
        return does_not_apply(NOT_HEATED if of is None else "HE1 judges its heaters, and names what is missing")
    loss: Fact[float] = of.room.loss_w
    return Answer(True, f"it loses {loss}", (loss,)) if loss.known else cannot_tell(loss)


@rule("HE6", about="circuit", breach="advice", clause="314.1", authority="common practice")
def heaters_of_several_floors(circuit: CircuitDesign, design: Design) -> Answer:
    """Heaters of more than one floor hang on this circuit.

    Why: one fault takes heat from two floors, and whoever isolates it has to look in two places.
    Remedial: a circuit for each floor.
    Fires on: rooms.den = { floor = "ground" }
      rooms.nook = { floor = "first" }
      equipment.radiator.room = "den"
      equipment.fire = { kind = "panel-heater", room = "nook", on = "warmth", stamped_w = 500, stamped_v = 230 }
    Passes on: rooms.den = { floor = "ground" }
      rooms.nook = { floor = "ground" }
      equipment.radiator.room = "den"
      equipment.fire = { kind = "panel-heater", room = "nook", on = "warmth", stamped_w = 500, stamped_v = 230 }
    """
    on, floors = several_floors(circuit.circuit.name, design)
    if len(on) < 2:
        return does_not_apply("fewer than two fixed heaters are recorded on it")
    if not any(room.floor for room in design.inst.rooms.values()):
        return does_not_apply(NO_FLOORS)
    if "" in floors and len(floors) < 3:
        return Answer(None, f"Not known: which floor {', '.join(floors[''])} stands on")
    known = [f"{floor}: {', '.join(names)}" for floor, names in floors.items() if floor]
    return Answer(len(known) == 1, "; ".join(known))


@rule("HE7", about="installation", breach="advice", clause="314.1", authority="common practice")
def floor_on_one_circuit(design: Design, _: Design) -> Answer:
    """All heaters of a floor hang on one circuit.

    Why: one fault, or one trip while nobody is there, leaves the whole floor cold.
    Remedial: share them between two circuits, the heaters of a large room too.
    Fires on: rooms.den = { floor = "ground" }
      equipment.radiator.room = "den"
      equipment.fire = { kind = "panel-heater", room = "den", on = "warmth", stamped_w = 500, stamped_v = 230 }
    Passes on: rooms.den = { floor = "ground" }
      equipment.radiator.room = "den"
      circuits.warmth-2 = { way = "unit.6", device = { kind = "mcb", curve = "B", rating_a = 16 } }
      equipment.fire = { kind = "panel-heater", room = "den", on = "warmth-2", stamped_w = 500, stamped_v = 230 }
    """
    if not any(room.floor for room in design.inst.rooms.values()):
        return does_not_apply(NO_FLOORS)
    bad, unsure, good = on_one_circuit(design)
    if bad:
        return Answer(False, "; ".join(bad))
    if unsure:
        return Answer(None, f"Not known: {'; '.join(unsure)}")
    return Answer(True, f"shared: {', '.join(good)}") if good else does_not_apply("no floor with two heaters is recorded")


@rule("HE8", about="circuit", breach="advice", clause="433.1; 314.1; On-Site Guide Appendix H", authority="common practice")
def water_heater_on_plug_fuse(circuit: CircuitDesign, design: Design) -> Answer:
    """Stored water is heated for hours through a 13 A fuse.

    Why: it is allowed, and yet fuse and holder run hot while a cylinder heats up; 3 kW is above the fuse's own rating at 230 V.
    Remedial: a circuit of its own with a 20 A two-pole switch beside it.
    Fires on: circuits.plugs.points.p1 = { from = "way.a", feeds = "immersion", before = "fused-spur", spur_fuse_a = 13, load_w = 3000, length_m = 4 }
    Passes on: circuits.plugs.points.p1 = { from = "way.a", feeds = "immersion", before = "fused-spur", spur_fuse_a = 13, load_w = 1500, length_m = 4 }
    """
    spurs = design.heaters_on_spurs(circuit, STORED)
    if not spurs:
        return does_not_apply("no water heater stands behind a fused connection unit on it")
    most = look_up("thresholds", design.books, design.case("spur_sustained_w"))
    answers = [a for _, power, fuse in spurs for a in (below(power, most), at_most(design.spur_current_a(power), fuse))]
    return all_of(answers)


@rule("HE9", about="equipment", breach="advice", clause="512.1.1; ESQCR 2002 reg 27", authority="common practice")
def stamped_for_more_volts(thing: Equipment, design: Design) -> Answer:
    """This heater is stamped for more volts than the supply has.

    Why: it gives by the square of its volts: 8 per cent less than its plate says where that is for 240 V and the supply has 230 V.
    Remedial: reckon with what it gives at 230 V, as this program does; compare offers by that too.
    Fires on: equipment.radiator.stamped_v = 240
    Passes on: equipment.radiator.stamped_v = 230
    """
    if thing.kind not in HEATERS:
        return does_not_apply("no fixed heater")
    circuit = design.circuits.get(thing.on)
    if not thing.stamped_v.known and circuit is not None and told_twice(circuit) is not None and not thing.stamped_w.known:
        return does_not_apply("its power is told of its point, at the nominal voltage")
    return at_most(thing.stamped_v, design.supply.u0_v)


RULES = (heaters_below_loss, heaters_below_loss_at_lowest_voltage, heaters_below_margin, room_without_heater, loss_not_known,
         heaters_of_several_floors, floor_on_one_circuit, water_heater_on_plug_fuse, stamped_for_more_volts)
