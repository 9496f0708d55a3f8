"""Rules of what circuits carry: appliances at the highest voltage and for hours, what shares a circuit, a fused unit, a board."""
from __future__ import annotations

from dataclasses import replace

from spareway.design import device, load
from spareway.design.board import BoardDesign
from spareway.design.circuit import CircuitDesign
from spareway.design.design import Design
from spareway.fact import total
from spareway.rules.base import Answer, all_of, at_least, at_most, does_not_apply, rule
from spareway.rules.circuits import tables_hold

NOT_RESISTIVE = does_not_apply("not all that is recorded on it is a heater")
WHAT = Answer(None, "Not known: what it feeds")


def _settled(circuit: CircuitDesign, answer: Answer) -> Answer:
    """What holds of the pieces on record is not known to hold while it is not said what a point feeds, or where an appliance stands."""
    loose = load.on_no_circuit(circuit.design)
    if answer.ok is False and circuit.use_unsaid:
        return replace(WHAT, says=f"{WHAT.says}; if nothing but heating: {answer.says}", facts=answer.facts)
    if answer.ok and (circuit.unsaid or loose):
        why = f"what {', '.join(circuit.unsaid)} feeds" if circuit.unsaid else f"whether {', '.join(loose)} stands on it"
        return Answer(None, f"Not known: {why}. As recorded: {answer.says}", answer.facts)
    return answer


@rule("LO1", about="circuit", breach="advice", clause="433.1.1; ESQCR 2002 reg 27", authority="common practice")
def heaters_above_device_at_highest_voltage(circuit: CircuitDesign, design: Design) -> Answer:
    """At the highest voltage the network may supply, the heaters on this circuit draw more than its device is rated for.

    Why: an element draws more the more volts it gets; at 253 V ten per cent more, for hours, through a device chosen at 230.
    Remedial: the next larger device where the cable carries it, or a heater on another circuit.
    Fires on: equipment.radiator.stamped_w = 3500
    Passes on: equipment.radiator.stamped_w = 3300
    """
    if not load.is_all(circuit, load.RESISTIVE):
        return NOT_RESISTIVE
    return _settled(circuit, at_most(load.at_highest_a(circuit), circuit.rating_a)) if circuit.feeds else WHAT


@rule("LO2", about="circuit", breach="fails", clause="523.1; ESQCR 2002 reg 27")
def heaters_above_cable_at_highest_voltage(circuit: CircuitDesign, design: Design) -> Answer:
    """At the highest voltage the network may supply, the heaters on this circuit draw more than its cable carries.

    Why: that voltage may stand for days, and the device lets it through.
    Remedial: a larger cable, another way for its weakest stretch, or a heater on another circuit.
    Fires on: circuits.warmth.cable = { kind = "t&e", line_mm2 = 2.5, cpc_mm2 = 1.5, length_m = 15, method = "103", concealed = true }
      equipment.radiator.stamped_w = 3000
    Passes on: circuits.warmth.cable = { kind = "t&e", line_mm2 = 2.5, cpc_mm2 = 1.5, length_m = 15, method = "103", concealed = true }
    """
    if not load.is_all(circuit, load.RESISTIVE):
        return NOT_RESISTIVE
    if circuit.is_ring:
        return does_not_apply("what a ring carries is shared between its legs")
    return _settled(circuit, tables_hold(circuit.cable.insulation_c, at_most(load.at_highest_a(circuit), circuit.route.carries_a)))


@rule("LO3", about="circuit", breach="advice", clause="314.1; On-Site Guide Appendix H", authority="common practice")
def water_heating_not_alone(circuit: CircuitDesign, design: Design) -> Answer:
    """A water heater, an immersion heater or a shower shares its circuit with something else.

    Why: it takes most of what the device lets through, and the other has to wait or the device opens.
    Remedial: a circuit of its own for it; a vessel of 15 litres or less may share.
    Fires on: circuits.warmth.points.p1 = { from = "way", feeds = "shower", load_w = 3000 }
      circuits.warmth.points.p2 = { from = "p1" }
    Passes on: circuits.warmth.points.p1 = { from = "way", feeds = "shower", load_w = 3000 }
      equipment.radiator.on = "lamps"
    """
    water = load.kinds_on(circuit, load.WATER)
    if not water:
        return does_not_apply("no water heater or shower is recorded on it")
    others = [at for at, _, _ in load.parts_of(circuit) if at != water[0]]
    others += ["socket outlets"] if circuit.feeds_sockets else []
    return Answer(not others, f"{water[0]}{' with ' if others else ' alone'}{', '.join(others)}")


@rule("LO4", about="circuit", breach="advice", clause="314.1; 526.1", authority="common practice")
def two_circuits_on_one_device(circuit: CircuitDesign, design: Design) -> Answer:
    """It shares its device with another circuit.

    Why: one fault takes both off, neither can be worked on or tested by itself, and two conductors under one screw work loose.
    Remedial: a way of its own for each; until then both names on the chart of the board.
    Fires on: circuits.lamps.lands.L = "unit.4.L"
    Passes on: circuits.lamps.load_w = 150
    """
    return Answer(not circuit.sharing, f"with {', '.join(circuit.sharing)}" if circuit.sharing else "nothing else is recorded on its device")


@rule("LO5", about="circuit", breach="fails", clause="433.1.1; On-Site Guide Table A2")
def cooking_with_socket_above_device(circuit: CircuitDesign, design: Design) -> Answer:
    """The cooking appliances, with the socket outlet on their switch, ask for more than the device.

    Why: plates, oven and kettle are on at once when it matters, and the device opens over a meal.
    Remedial: a larger device on a cable that carries it, or a second circuit.
    Fires on: circuits.oven = { feeds = "cooker", device = { kind = "mcb", curve = "B", rating_a = 20 }, points.p1 = { from = "way", feeds = "cooker", load_w = 9200 }, points.p2 = { from = "p1", feeds = "sockets" } }
    Passes on: circuits.oven = { feeds = "cooker", points.p1 = { from = "way", feeds = "cooker", load_w = 9200 }, points.p2 = { from = "p1", feeds = "sockets" } }
    """
    if circuit.unsaid and circuit.feeds & {"cooker", "sockets"} or not circuit.feeds and circuit.use_unsaid:
        return WHAT
    if not circuit.feeds >= {"cooker", "sockets"} or circuit.is_ring:
        return does_not_apply("no cooking appliance with a socket outlet beside it is recorded on it")
    cooking = [power for _, kind, power in load.parts_of(circuit) if kind == "cooker"]
    return at_most(load.cooking_with_socket_a(circuit, cooking), circuit.rating_a)


@rule("LO6", about="circuit", breach="advice", clause="311.1; 433.1.1", authority="common practice")
def board_behind_above_device(circuit: CircuitDesign, design: Design) -> Answer:
    """All circuits of the board behind it together ask for more than its device is rated for.

    Why: with everything on, the device before the board opens and takes the whole board with it.
    Remedial: say what is never on at once and state its load; else a larger device and cable, or less behind it.
    Fires on: equipment.shed = { kind = "board", rating_a = 63 }
      circuits.feed = { way = "unit.7", feeds = "shed.in", device = { kind = "mcb", curve = "B", rating_a = 20 } }
      circuits.bench = { way = "shed.1", feeds = "sockets", device = { kind = "mcb", curve = "B", rating_a = 16 } }
      circuits.kiln = { way = "shed.2", feeds = "appliance", load_w = 2000, device = { kind = "mcb", curve = "B", rating_a = 16 } }
    Passes on: equipment.shed = { kind = "board", rating_a = 63 }
      circuits.feed = { way = "unit.7", feeds = "shed.in", device = { kind = "mcb", curve = "B", rating_a = 20 } }
      circuits.bench = { way = "shed.1", feeds = "sockets", device = { kind = "mcb", curve = "B", rating_a = 16 } }
    """
    board = load.fed_board(circuit)
    if not board:
        return does_not_apply("no board is fed by it")
    if not any(c.board == board for c in design.circuits.values()):
        return does_not_apply("no circuit of the board behind it is recorded")
    return at_most(load.behind_board_a(circuit), circuit.rating_a)


@rule("LO7", about="circuit", breach="fails", clause="433.1.1; 314.1")
def fused_unit_overloaded(circuit: CircuitDesign, design: Design) -> Answer:
    """What stands behind one fused connection unit together takes more than its fuse.

    Why: the fuse runs hot for hours before it opens, and the unit browns.
    Remedial: a unit for each, or a circuit of their own.
    Fires on: circuits.plugs.points.p1 = { from = "way.a", length_m = 9, feeds = "appliance", before = "fused-spur", spur_fuse_a = 13, load_w = 2000 }
      circuits.plugs.points.p2 = { from = "p1", length_m = 2, feeds = "appliance", load_w = 1500 }
    Passes on: circuits.plugs.points.p1 = { from = "way.a", length_m = 9, feeds = "appliance", before = "fused-spur", spur_fuse_a = 13, load_w = 1400 }
      circuits.plugs.points.p2 = { from = "p1", length_m = 2, feeds = "appliance", load_w = 1500 }
    """
    answers = [replace(a, says=f"{a.says} at {head.name}") for head, behind in load.behind_fused_units(circuit)
               if (a := at_most(load.together_a(circuit, behind), head.spur_fuse_a))]
    return all_of(answers) if answers else does_not_apply("no fused connection unit with more than one appliance behind it is recorded")


@rule("LO8", about="circuit", breach="fails", clause="536.4.201; BS EN 61439-3 Table 101")
def lasting_load_on_warm_device(circuit: CircuitDesign, design: Design) -> Answer:
    """A load that lasts for hours is more than its device bears.

    Why: breakers side by side warm each other, open below their rating and age; only the maker's factor says how much is too much.
    Remedial: ask the board's maker for its rated diversity factor, or a larger device on a cable that carries it, or a gap beside it.
    Fires on: equipment.radiator.stamped_w = 3700
    Passes on: equipment.radiator.stamped_w = 2500
    """
    if not (circuit.feeds & {*load.LASTING} or circuit.use_unsaid) or circuit.feeds_sockets:
        return does_not_apply("no load that lasts for hours is all that is recorded on it")
    if circuit.device_kind is not None and "curve" not in circuit.device_kind.facts:
        return does_not_apply("no breaker stands in its way")
    among = at_most(circuit.load_a, load.lasting_limit_a(circuit))
    alone = at_most(circuit.load_a, circuit.rating_a)
    return _settled(circuit, among) if among.ok is not False else _settled(circuit, alone) if alone.ok is False else \
        Answer(None, f"Not known: {among.says}, among the others of this board by the factor assumed. The factor that the "
               "board's maker states decides", among.facts)


@rule("LO9", about="board", breach="advice", clause="536.4.201; 512.2", authority="common practice")
def lasting_loads_side_by_side(board: BoardDesign, design: Design) -> Answer:
    """Circuits that are loaded for hours stand side by side in this board.

    Why: each warms the other, and the two open early on the coldest night.
    Remedial: a light circuit, or a blank, between them, the next time the board is isolated and open.
    Fires on: circuits.bath = { way = "unit.5", feeds = "towel-rail", load_w = 600, device = { kind = "mcb", curve = "B", rating_a = 6 } }
    Passes on: circuits.bath = { way = "unit.6", feeds = "towel-rail", load_w = 600, device = { kind = "mcb", curve = "B", rating_a = 6 } }
    """
    if len(load.lasting(board)) < 2:
        return does_not_apply("fewer than two loads that last for hours are recorded on it")
    pairs = load.side_by_side(board)
    return Answer(not pairs, "; ".join(f"{a} and {b}" for a, b in pairs) or
                  f"apart from each other: {', '.join(c.circuit.name for c in load.lasting(board))}")


@rule("LO10", about="circuit", breach="advice", clause="314.1", authority="common practice")
def storage_heaters_share(circuit: CircuitDesign, design: Design) -> Answer:
    """More than one storage heater stands on this circuit.

    Why: all charge through the same hours, and none can be changed or switched off by itself.
    Remedial: a radial for each, with a two-pole switch beside the heater.
    Fires on: circuits.night = { way = "unit.5", device = { kind = "mcb", curve = "B", rating_a = 20 }, points.p1 = { from = "way", feeds = "storage-heater", load_w = 1700 }, points.p2 = { from = "p1", feeds = "storage-heater", load_w = 1700 } }
    Passes on: circuits.night = { way = "unit.5", device = { kind = "mcb", curve = "B", rating_a = 20 }, points.p1 = { from = "way", feeds = "storage-heater", load_w = 1700 } }
    """
    found = load.kinds_on(circuit, ("storage-heater",))
    return Answer(len(found) == 1, ", ".join(found)) if found else does_not_apply("no storage heater is recorded on it")


@rule("LO11", about="circuit", breach="advice", clause="132.1; 433.1", authority="common practice")
def storage_heater_cable_small(circuit: CircuitDesign, design: Design) -> Answer:
    """The cable of this storage heater carries less than the largest common heater takes.

    Why: a heater is changed for a larger one in an hour, and nobody looks at the cable.
    Remedial: when the cable is next renewed, one that carries the largest common size.
    Fires on: circuits.night = { way = "unit.5", feeds = "storage-heater", load_w = 1700, cable = { kind = "t&e", line_mm2 = 1.5, cpc_mm2 = 1.0, length_m = 9, method = "A" } }
    Passes on: circuits.night = { way = "unit.5", feeds = "storage-heater", load_w = 1700, cable = { kind = "t&e", line_mm2 = 2.5, cpc_mm2 = 1.5, length_m = 9, method = "A" } }
    """
    if not load.kinds_on(circuit, ("storage-heater",)) or circuit.is_ring:
        return does_not_apply("no storage heater is recorded on it")
    return at_least(circuit.route.carries_a, load.largest_storage_a(circuit))


@rule("LO12", about="circuit", breach="fails", clause="722.533.101; 314.1 (clause from memory)", since="17A1")
def charge_point_not_alone(circuit: CircuitDesign, design: Design) -> Answer:
    """A vehicle charge point shares its final circuit with something else.

    Why: it draws all it may for a night, and what shares the circuit overloads it or stands dark.
    Remedial: a circuit of its own for each charge point, or the maker's means that lowers the charge as the rest is drawn.
    Fires on: circuits.drive = { way = "unit.5", feeds = "charge-point", load_w = 7000, device = { kind = "mcb", curve = "B", rating_a = 40 }, points.p1 = { from = "way", feeds = "charge-point", load_w = 7000 }, points.p2 = { from = "p1", feeds = "lamp", load_w = 9 } }
    Passes on: circuits.drive = { way = "unit.5", feeds = "charge-point", load_w = 7000, device = { kind = "mcb", curve = "B", rating_a = 40 } }
    """
    charging = load.kinds_on(circuit, load.CHARGING)
    if not charging:
        return WHAT if circuit.use_unsaid else does_not_apply("no charge point is recorded on it")
    others = [at for at, _, _ in load.parts_of(circuit) if at != charging[0]]
    others += ["socket outlets"] if circuit.feeds_sockets else []
    if circuit.unsaid and not others:
        return Answer(None, f"Not known: what {', '.join(circuit.unsaid)} feeds")
    return Answer(not others, f"{charging[0]}{' with ' if others else ' alone'}{', '.join(others)}")


@rule("LO13", about="circuit", breach="advice", clause="311.1; 433.1.1", authority="common practice")
def stated_load_below_recorded(circuit: CircuitDesign, design: Design) -> Answer:
    """The load stated for this circuit is less than what is recorded on it, piece by piece.

    Why: device, cable and drop were judged by the smaller figure, and were found within by it.
    Remedial: find which is wrong; take the stated load out where the pieces are known.
    Fires on: circuits.warmth.load_w = 1000
    Passes on: circuits.warmth.load_w = 2500
    """
    pieces = [power for at, _, power in load.parts_of(circuit) if at != circuit.at and power.known]
    if not pieces or not circuit.circuit.load_w.known:
        return does_not_apply("no load is stated for the whole of it beside pieces whose power is known")
    return at_least(circuit.circuit.load_w, total("load_w", pieces, "the pieces whose power is known"))


@rule("LO14", about="installation", breach="advice", clause="311.1; 313.1", authority="common practice")
def appliance_on_no_circuit(design: Design, _: Design) -> Answer:
    """An appliance is recorded that stands on no circuit of the record.

    Why: its load is missing wherever it is fed from, and every figure there is too small by it.
    Remedial: trace what feeds it and record the circuit; what went off with a switch is not proved dead by that.
    Fires on: equipment.radiator = { kind = "panel-heater", stamped_w = 2500, stamped_v = 230 }
    Passes on: equipment.radiator.on = "warmth"
    """
    loose = load.on_no_circuit(design)
    return Answer(not loose, ", ".join(loose) or "each appliance of the record stands on a circuit")


@rule("LO15", about="circuit", breach="advice", clause="551.1; 525", authority="common practice")
def source_lifts_voltage(circuit: CircuitDesign, design: Design) -> Answer:
    """A source on this circuit lifts its own voltage by more than is usual between it and the origin.

    Why: on a sunny day with the street already high it switches off by itself again and again, and everything near it gets more volts.
    Remedial: a larger cable or a shorter way between the source and the origin; ask the maker what it bears.
    Fires on: circuits.panels = { way = "unit.6", device = { kind = "mcb", curve = "B", rating_a = 20 }, cable = { kind = "t&e", line_mm2 = 2.5, cpc_mm2 = 1.5, length_m = 12, method = "C" } }
      equipment.roof = { kind = "solar-inverter", rating_a = 16, on = "panels" }
    Passes on: circuits.panels = { way = "unit.6", device = { kind = "mcb", curve = "B", rating_a = 20 }, cable = { kind = "t&e", line_mm2 = 4, cpc_mm2 = 1.5, length_m = 9, method = "C" } }
      equipment.roof = { kind = "solar-inverter", rating_a = 16, on = "panels" }
    """
    sources = design.sources_on(circuit)
    if not sources and circuit.feeds & {*device.INVERTERS}:
        return Answer(None, "Not known: a source is recorded on it, and no way from it to the origin")
    if not sources:
        return does_not_apply("no source stands on it")
    return at_most(load.rise_at_source_v(circuit, sources), load.rise_limit_v(circuit))


RULES = (heaters_above_device_at_highest_voltage, heaters_above_cable_at_highest_voltage, water_heating_not_alone,
         two_circuits_on_one_device, cooking_with_socket_above_device, board_behind_above_device, fused_unit_overloaded,
         lasting_load_on_warm_device, lasting_loads_side_by_side, storage_heaters_share, storage_heater_cable_small,
         charge_point_not_alone, stated_load_below_recorded, appliance_on_no_circuit,
         source_lifts_voltage)
