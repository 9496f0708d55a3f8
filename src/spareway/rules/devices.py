"""Rules of devices: what opens on which fault, what stands in series, what a rating has to bear, what leaks behind it."""
from __future__ import annotations

from spareway.design import device as devices
from spareway.design.board import BoardDesign
from spareway.design.circuit import CircuitDesign
from spareway.design.design import Design
from spareway.design.device import INVERTERS
from spareway.design.guards import Guard
from spareway.design.load import CHARGING
from spareway.fact import Fact, show
from spareway.job.types import Equipment
from spareway.kinds import kind
from spareway.rules.base import Answer, all_of, at_least, at_most, below, cannot_tell, does_not_apply, is_one_of, rule
from spareway.rules.residual import NOT_TRACED
from spareway.tables import look_up

FUSES = ("rewirable", "cartridge")
FOR_GENERAL_USE = ("bs88-2", "bs88-3")
GRADED = (*FOR_GENERAL_USE, "bs1361", "bs1361-1", "bs1361-2")     # fuses for which the ratio is told
NO_RESIDUAL = does_not_apply("no residual-current device stands before it in the record")


@rule("DV1", about="circuit", breach="advice", clause="411.4.4; 411.4.5", authority="common practice")
def residual_device_clears_alone(circuit: CircuitDesign, design: Design) -> Answer:
    """On a fault to earth only the residual-current device opens in time: the loop is too high for the fuse or breaker.

    Why: it may be allowed so, but then one device is all there is, and its test button has to be pressed.
    Remedial: where it is easily had, a larger protective conductor or a shorter route, so that either of the two opens.
    Fires on: circuits.warmth.cable.length_m = 110
    Passes on: circuits.warmth.cable.length_m = 60
    """
    if design.supply.earthing.amount == "TT":
        return does_not_apply("on TT it is meant to be so")
    if not circuit.protected_by:
        return NO_RESIDUAL if design.has_residual(circuit) is False else Answer(None, NOT_TRACED)
    return at_most(circuit.zs_ohm, circuit.zs_limit_ohm)


@rule("DV2", about="circuit", breach="advice", clause="411.4.4 Table 41.3", authority="common practice")
def curve_slower_than_loop_allows(circuit: CircuitDesign, design: Design) -> Answer:
    """The loop would open a breaker of curve B at once, and not the one that is fitted.

    Why: C and D are for loads that surge when switched on, and ask a much lower loop for it.
    Remedial: a breaker of curve B of the same rating, unless the load wants the other.
    Fires on: circuits.warmth.device.curve = "C"
      circuits.warmth.cable.length_m = 60
    Passes on: circuits.warmth.device.curve = "C"
    """
    if circuit.device_kind is not None and "curve" not in circuit.device_kind.facts:
        return does_not_apply("not a breaker")
    if circuit.device.curve.amount == "B":
        return does_not_apply("it is of curve B")
    own = at_most(circuit.zs_ohm, circuit.zs_limit_ohm)
    quicker = at_most(circuit.zs_ohm, devices.limit_by_curve_ohm(circuit, "B"))
    return does_not_apply("the loop is too high for curve B as well: CI1 judges it") if own.ok is False and quicker.ok is False else own


@rule("DV3", about="circuit", breach="advice", clause="536.4.1; 314.1", authority="common practice")
def device_not_below_one_before(circuit: CircuitDesign, design: Design) -> Answer:
    """The device is rated for as much as the fuse or breaker before its board, or for more.

    Why: an overload or fault on this one circuit may open that first, and the whole board is out.
    Remedial: a smaller device where the load allows; otherwise tell whoever lives there what may go out.
    Fires on: circuits.oven.device.rating_a = 63
    Passes on: circuits.oven.device.rating_a = 50
    """
    of = circuit.device_kind
    if of is not None and (of.family != "device" or not design.protects(circuit.serves)):
        return does_not_apply("no overcurrent device stands in its way")
    return below(circuit.device.rating_a, design.boards[circuit.board].fuse_a)


@rule("DV4", about="equipment", breach="advice", clause="536.4.1; fuse makers' guidance, gG before gG", authority="common practice")
def fuse_does_not_grade(thing: Equipment, design: Design) -> Answer:
    """The fuse before this one is not enough larger for this one to go first.

    Why: a fault beyond it may take both, and the other is the operator's to replace.
    Remedial: a smaller fuse here where the load allows; if it does not, say that the two do not grade.
    Fires on: equipment.apart = { kind = "switch-fuse", rating_a = 100, fuse = "bs88-3", fuse_a = 45 }
      runs.feed-2.joins = ["meter.out", "apart.top"]
      runs.feed-4 = { joins = ["apart.bottom", "arrester.top"], kind = "tails", size_mm2 = 25, length_m = 0.3, method = "C" }
    Passes on: equipment.apart = { kind = "switch-fuse", rating_a = 100, fuse = "bs88-3", fuse_a = 32 }
      runs.feed-2.joins = ["meter.out", "apart.top"]
      runs.feed-4 = { joins = ["apart.bottom", "arrester.top"], kind = "tails", size_mm2 = 25, length_m = 0.3, method = "C" }
    """
    if kind(thing.kind).family == "cut-out" or "fuse_a" not in kind(thing.kind).facts or thing.on:
        return does_not_apply("no fuse of its own behind another")
    before, rating = design.rating_before_a(devices.before_thing(thing.name, design))
    if before and before not in design.inst.equipment:
        return does_not_apply("a breaker of a circuit stands before it: DV6 asks of those")
    return _graded(_fuse_of(before, design), rating, thing.fuse, thing.fuse_a, design)


@rule("DV5", about="circuit", breach="advice", clause="536.4.1; fuse makers' guidance, gG before gG", authority="common practice")
def fuse_of_circuit_does_not_grade(circuit: CircuitDesign, design: Design) -> Answer:
    """The fuse before its board is not enough larger for the fuse of this circuit to go first.

    Why: a fault on this one circuit may take both, and the whole board is out.
    Remedial: a smaller fuse here where the load allows; if it does not, say that the two do not grade.
    Fires on: circuits.oven.device = { kind = "cartridge", fuse = "bs88-3", rating_a = 45 }
    Passes on: circuits.oven.device = { kind = "cartridge", fuse = "bs88-3", rating_a = 32 }
    """
    if circuit.device.kind != "cartridge":
        return does_not_apply("no cartridge fuse stands in its way") if circuit.device_kind is not None else cannot_tell(circuit.device.fuse)
    before, rating = design.rating_before_a(design.before(f"{circuit.board}.in.L"))
    if before and before not in design.inst.equipment:
        return does_not_apply("a breaker or fuse of a circuit stands before its board: DV6 asks of breakers")
    return _graded(_fuse_of(before, design), rating, circuit.device.fuse, circuit.rating_a, design)


def _fuse_of(before: str, design: Design) -> Fact[str]:
    return design.inst.equipment[before].fuse if before else design.supply.fuse


def _graded(fuse_before: Fact[str], before_a: Fact[float], fuse: Fact[str], rating_a: Fact[float], design: Design) -> Answer:
    """By the ratio of the two ratings, which is told of fuses for general use and of no others."""
    gaps = [f for f in (fuse_before, fuse) if not f.known]
    if gaps:
        return cannot_tell(*gaps)
    other = [f for f in (fuse_before, fuse) if f.amount not in GRADED]
    if other:
        return Answer(None, f"Not known: the ratio is told of fuses for general use, and one is {other[0]}", tuple(other))
    return at_least(devices.fuse_ratio(before_a, rating_a), look_up("thresholds", design.books, design.case("gg_over_gg")))


@rule("DV6", about="board", breach="advice", clause="536.4.1; BS EN 60898-1", authority="common practice")
def breakers_both_open(board: BoardDesign, design: Design) -> Answer:
    """A short circuit at this board may open the breaker before it at once, together with the one of the circuit or instead of it.

    Why: then a fault on one circuit puts out everything behind it, and somebody has to walk to the other board.
    Remedial: a breaker before it of a slower curve or larger rating where the loop and the cable allow, or a fuse whose maker says the two grade.
    Fires on: equipment.shed = { kind = "board", rating_a = 63, ways_n = 4 }
      circuits.out = { way = "unit.6", feeds = "shed.in", device = { kind = "mcb", curve = "C", rating_a = 40 }, cable = { kind = "armoured", line_mm2 = 6, cpc_mm2 = 6, length_m = 10, method = "C" } }
      circuits.bench = { way = "shed.1", feeds = "sockets", device = { kind = "mcb", curve = "B", rating_a = 16 } }
    Passes on: equipment.shed = { kind = "board", rating_a = 63, ways_n = 4 }
      circuits.out = { way = "unit.6", feeds = "shed.in", device = { kind = "mcb", curve = "C", rating_a = 40 }, cable = { kind = "armoured", line_mm2 = 6, cpc_mm2 = 6, length_m = 150, method = "C" } }
      circuits.bench = { way = "shed.1", feeds = "sockets", device = { kind = "mcb", curve = "B", rating_a = 16 } }
    """
    before = devices.circuit_before(board)
    if before is None:
        return does_not_apply("no device of a circuit stands before it")
    if before.device.kind in FUSES:
        return does_not_apply("a fuse stands before it: energies that only the makers state would tell")
    return at_most(devices.fault_at_board_a(board), devices.holds_a(before))


@rule("DV7", about="circuit", breach="advice", clause="411.4 Tables 41.2 to 41.4; Appendix 3", authority="common practice")
def rating_not_made(circuit: CircuitDesign, design: Design) -> Answer:
    """The recorded rating is none in which such devices are made.

    Why: a figure misread by one step changes every verdict of the circuit; an older breaker has limits of its own.
    Remedial: read it again on the device; a breaker of an older standard is judged by that standard or replaced.
    Fires on: circuits.oven.device.rating_a = 30
    Passes on: circuits.oven.device.rating_a = 32
    """
    of, rating = circuit.device_kind, circuit.device.rating_a
    if of is not None and (of.family != "device" or not design.protects(circuit.serves)):
        return does_not_apply("no overcurrent device stands in its way")
    if of is None or not rating.known or circuit.device.kind == "cartridge" and not circuit.device.fuse.known:
        return cannot_tell(circuit.device.fuse if rating.known else rating)
    made = devices.ratings_made(circuit)
    return Answer(rating.amount in made, f"{rating}; such are made for {', '.join(show(a) for a in made)} A", (rating,))


@rule("DV8", about="equipment", breach="fails", clause="536.4.202")
def switch_below_fuse(thing: Equipment, design: Design) -> Answer:
    """A switch or residual-current device before the boards is rated for less than the fuse before it.

    Why: whatever that fuse lets through for hours goes over its contacts, and nothing opens when it is too much.
    Remedial: one of at least that rating, or a smaller fuse, which is the operator's to fit.
    Fires on: equipment.arrester.rating_a = 40
    Passes on: equipment.arrester.rating_a = 63
    """
    if not devices.carries_tails(thing.name, design):
        return does_not_apply("no switch or residual-current device before the boards")
    return at_least(thing.rating_a, design.rating_before_a(devices.before_thing(thing.name, design))[1])


@rule("DV9", about="circuit", breach="fails", clause="536.4.202; 536.4.201")
def residual_device_in_way_below_fuse(circuit: CircuitDesign, design: Design) -> Answer:
    """A residual-current device without overcurrent protection stands in its way and is rated for less than the fuse before it.

    Why: it opens on a leak and on nothing else; an overload heats its contacts and no one sees it.
    Remedial: a residual-current breaker in its place, or one rated for what the fuse before it lets through.
    Fires on: circuits.oven.device = { kind = "rcd-in-way", rating_a = 40, residual_ma = 30, residual_type = "A" }
    Passes on: circuits.oven.device = { kind = "rcd-in-way", rating_a = 63, residual_ma = 30, residual_type = "A" }
    """
    if circuit.device.kind != "rcd-in-way":
        return does_not_apply("no residual-current device by itself stands in its way") if circuit.device_kind is not None else \
            cannot_tell(circuit.device.rating_a)
    return at_least(circuit.device.rating_a, circuit.rating_a)


@rule("DV10", about="circuit", breach="fails", clause="531.3.3; 712.531.3.5.1 (clause from memory)", since="2018")
def inverter_without_type_b(circuit: CircuitDesign, design: Design) -> Answer:
    """The residual-current device before an inverter is not of the type that its direct current asks for.

    Why: an inverter without separation can send smooth direct current to earth, which keeps other types from working.
    Remedial: a device of type B, or the written word of the inverter's maker that another type will do.
    Fires on: circuits.panels = { way = "unit.6", feeds = "solar-inverter", device = { kind = "rcbo-2p", curve = "B", rating_a = 20, residual_ma = 30, residual_type = "AC", one_way = false } }
    Passes on: circuits.panels = { way = "unit.6", feeds = "solar-inverter", device = { kind = "rcbo-2p", curve = "B", rating_a = 20, residual_ma = 30, residual_type = "B", one_way = false } }
    """
    if (skip := _not_among(circuit, INVERTERS, "inverter")) is not None:
        return skip
    met = circuit.met
    if not met:
        return Answer(None, NOT_TRACED) if met is None else NO_RESIDUAL
    answer = all_of([is_one_of(guard.residual_type, "B") for guard in met])
    if answer.ok is not False or any(guard.residual_type.amount == "AC" for guard in met):
        return answer
    reply = design.reply_about("DV10", circuit.at)
    if reply is None or reply.about == circuit.at or not reply.allows.known:
        return Answer(None, f"Not known: {answer.says}; the word of the inverter's maker would settle it", answer.facts)
    return Answer(reply.allows.value, f"{answer.says}; {reply.by}: {reply.says or reply.allows}", (*answer.facts, reply.allows))


def _not_among(circuit: CircuitDesign, kinds: tuple[str, ...], word: str) -> Answer | None:
    """Why a rule about one sort of thing has nothing to say, or cannot tell; None where one is on the circuit or behind it."""
    if any(f in kinds for f in circuit.feeds) or devices.gives_or_takes_whole(circuit, kinds):
        return None
    if circuit.device_kind is None and "." in circuit.circuit.feeds:
        return Answer(None, f"Not known: what it feeds by {circuit.circuit.feeds}, for no device is recorded through which to trace it")
    return does_not_apply(f"no {word} is recorded on it") if circuit.feeds or circuit.is_submain else Answer(None, "Not known: what it feeds")


@rule("DV11", about="circuit", breach="fails", clause="722.531.3.1", since="17A1")
def vehicle_shares_residual_device(circuit: CircuitDesign, design: Design) -> Answer:
    """The residual-current device that protects a charge point protects other circuits as well.

    Why: what a vehicle sends to earth adds to the rest, blinds the device or trips it, and the house goes dark with the car.
    Remedial: a residual-current device for the charge point alone.
    Fires on: circuits.car = { way = "unit.6", feeds = "charge-point", device = { kind = "mcb", curve = "B", rating_a = 32 } }
      equipment.front = { kind = "rcd-before-all", rating_a = 100, residual_ma = 30, residual_type = "A" }
      runs.feed-3.joins = ["arrester.bottom", "front.in"]
      runs.feed-4 = { joins = ["front.out", "unit.in"], kind = "tails", size_mm2 = 25, length_m = 0.3, method = "C" }
    Passes on: circuits.car = { way = "unit.6", feeds = "charge-point", device = { kind = "rcbo-2p", curve = "B", rating_a = 32, residual_ma = 30, residual_type = "A" } }
    """
    if (skip := _not_among(circuit, CHARGING, "charge point")) is not None:
        return skip
    guards = circuit.guards
    if not guards:
        return Answer(None, NOT_TRACED) if guards is None else does_not_apply("none stands before it: RC3 asks")
    last = guards[-1]
    others = [c.circuit.name for c in devices.behind(last.name, design) if c is not circuit]
    return Answer(not others, f"{last.name} stands before {', '.join(others)} too" if others else f"{last.name} is its own")


@rule("DV12", about="circuit", breach="fails", clause="531.3.3", since="2018", authority="common practice")
def type_b_behind_another(circuit: CircuitDesign, design: Design) -> Answer:
    """A residual-current device of type B stands behind one of another type.

    Why: the direct current for which type B was chosen flows through the other as well, and keeps that from working.
    Remedial: take this circuit from before the other, or make that one of type B.
    Fires on: circuits.warmth.device.residual_type = "B"
      equipment.front = { kind = "rcd-before-all", rating_a = 100, residual_ma = 100, residual_type = "A", delayed = true }
      runs.feed-3.joins = ["arrester.bottom", "front.in"]
      runs.feed-4 = { joins = ["front.out", "unit.in"], kind = "tails", size_mm2 = 25, length_m = 0.3, method = "C" }
    Passes on: circuits.warmth.device.residual_type = "B"
      equipment.front = { kind = "rcd-before-all", rating_a = 100, residual_ma = 100, residual_type = "B", delayed = true }
      runs.feed-3.joins = ["arrester.bottom", "front.in"]
      runs.feed-4 = { joins = ["front.out", "unit.in"], kind = "tails", size_mm2 = 25, length_m = 0.3, method = "C" }
    """
    met = circuit.met
    if met is None:
        return Answer(None, NOT_TRACED)
    if len(met) < 2:
        return does_not_apply("no two residual-current devices stand in series before it")
    if not met[-1].residual_type.known:
        return cannot_tell(met[-1].residual_type)
    if met[-1].residual_type.amount != "B":
        return does_not_apply(f"the last of them is of type {met[-1].residual_type}")
    return all_of([is_one_of(guard.residual_type, "B") for guard in met[:-1]])


@rule("DV13", about="equipment", breach="advice", clause="536.4.1.4", since="17")
def residual_devices_too_close(thing: Equipment, design: Design) -> Answer:
    """A delayed residual-current device is less than three times as large as the next one behind it.

    Why: a delay alone does not part them where both see the same small leak; the two are graded by time and by rating.
    Remedial: a delayed device of at least three times the rating of those behind it.
    Fires on: equipment.front = { kind = "rcd-before-all", rating_a = 100, residual_ma = 50, residual_type = "A", delayed = true }
      runs.feed-3.joins = ["arrester.bottom", "front.in"]
      runs.feed-4 = { joins = ["front.out", "unit.in"], kind = "tails", size_mm2 = 25, length_m = 0.3, method = "C" }
    Passes on: equipment.front = { kind = "rcd-before-all", rating_a = 100, residual_ma = 100, residual_type = "A", delayed = true }
      runs.feed-3.joins = ["arrester.bottom", "front.in"]
      runs.feed-4 = { joins = ["front.out", "unit.in"], kind = "tails", size_mm2 = 25, length_m = 0.3, method = "C" }
    """
    if not kind(thing.kind).residual:
        return does_not_apply("no residual-current device")
    pairs = devices.next_behind(thing.name, design)
    if not pairs and design.bars_unsaid:
        return Answer(None, f"Not known: which ways stand on which bar of {', '.join(design.bars_unsaid)}")
    if not pairs:
        return does_not_apply("no residual-current device stands behind it in the record")
    before = pairs[0][0]
    if before.delayed.amount is False:
        return does_not_apply("it has no time delay: RC4 says so")
    least = look_up("thresholds", design.books, design.case("residual_over_residual"))
    ratio = all_of([at_least(devices.residual_ratio(*pair), least) for pair in pairs])
    return ratio if ratio.ok or before.delayed.known else cannot_tell(before.delayed)


@rule("DV14", about="circuit", breach="advice", clause="531.3.2(iii)", since="2018")
def leakage_above_share(circuit: CircuitDesign, design: Design) -> Answer:
    """What stands on this circuit may leak more than its residual-current device should bear in ordinary use.

    Why: it may trip from half its rating; with so much leaking all the time a damp day is enough.
    Remedial: divide what is on it among more circuits, or measure what it leaks.
    Fires on: circuits.warmth.device.residual_ma = 10
      equipment.radiator.stamped_w = 5000
    Passes on: circuits.warmth.device.residual_ma = 30
    """
    if circuit.device_kind is not None and not circuit.device_kind.residual:
        return does_not_apply("its device has no residual-current part")
    known, without = devices.leaks(circuit)
    if not known:
        return does_not_apply("no figure of what leaks is known for anything on it") if circuit.feeds and not circuit.use_unsaid else \
            Answer(None, "Not known: what it feeds")
    return _share(known, without, circuit.device.residual_ma, design)


@rule("DV15", about="equipment", breach="advice", clause="531.3.2(iii)", since="2018")
def leakage_of_all_above_share(thing: Equipment, design: Design) -> Answer:
    """What stands behind this residual-current device may leak more, all together, than it should bear in ordinary use.

    Why: it may trip from half its rating, and everything behind it goes with it.
    Remedial: a residual-current breaker for each circuit, or the circuits divided among several devices.
    Fires on: equipment.front = { kind = "rcd-before-all", rating_a = 100, residual_ma = 10, residual_type = "A", delayed = false }
      runs.feed-3.joins = ["arrester.bottom", "front.in"]
      runs.feed-4 = { joins = ["front.out", "unit.in"], kind = "tails", size_mm2 = 25, length_m = 0.3, method = "C" }
    Passes on: equipment.front = { kind = "rcd-before-all", rating_a = 100, residual_ma = 100, residual_type = "A", delayed = true }
      runs.feed-3.joins = ["arrester.bottom", "front.in"]
      runs.feed-4 = { joins = ["front.out", "unit.in"], kind = "tails", size_mm2 = 25, length_m = 0.3, method = "C" }
      remove = ["circuits.plugs", "circuits.lamps"]
    """
    if len(kind(thing.kind).residual) != 1:
        return does_not_apply("no one residual-current device before circuits")
    on = devices.behind(thing.name, design)
    if not on:
        return does_not_apply("no circuit stands behind it in the record") if not design.bars_unsaid else Answer(None, NOT_TRACED)
    each = [devices.leaks(circuit) for circuit in on]
    return _share([leak for known, _ in each for leak in known], [word for _, without in each for word in without], thing.residual_ma, design)


def _share(known: list[Fact[float]], without: list[str], residual_ma: Fact[float], design: Design) -> Answer:
    """No where what has a figure is already too much; yes only where everything has one."""
    answer = at_most(devices.leakage_ma(known), devices.leakage_limit_ma(residual_ma, design))
    return Answer(None, f"Not known: {', '.join(without)}, of which no figure is known. Of the rest: {answer.says}", answer.facts) \
        if without and answer.ok else answer


@rule("DV16", about="circuit", breach="fails", clause="433.1.1")
def unit_fuse_above_cable(circuit: CircuitDesign, design: Design) -> Answer:
    """The fuse of a fused connection unit is larger than the cable behind it carries.

    Why: that fuse is all that protects the thinner cable against overload.
    Remedial: a smaller fuse in the unit, or a larger cable behind it.
    Fires on: circuits.plugs.cable.method = "103"
      circuits.plugs.points.p1 = { from = "way.a", length_m = 9, feeds = "appliance", before = "fused-spur", spur_fuse_a = 13, line_mm2 = 1.0 }
    Passes on: circuits.plugs.points.p1 = { from = "way.a", length_m = 9, feeds = "appliance", before = "fused-spur", spur_fuse_a = 13, line_mm2 = 1.0 }
    """
    units = [p for p in circuit.circuit.points.values() if p.before.startswith("fused-spur") and p.line_mm2.known]
    answers = [Answer((a := at_most(p.spur_fuse_a, devices.behind_unit_iz_a(circuit, p))).ok, f"{a.says} at {p.name}", a.facts, a.relation)
               for p in units]
    return all_of(answers) if answers else does_not_apply("no fused connection unit with a cable of its own size is recorded on it")


@rule("DV17", about="circuit", breach="fails", clause="433.1.1(i); 722.311; 551.7.2")
def rating_of_what_it_feeds_above_device(circuit: CircuitDesign, design: Design) -> Answer:
    """A charge point or inverter on this circuit is rated for more than its device.

    Why: it gives or takes its full rating for hours, and the device opens or runs hot.
    Remedial: a device and cable for its rating, or its own limit of current set lower and recorded.
    Fires on: circuits.panels = { way = "unit.6", device = { kind = "rcbo-2p", curve = "B", rating_a = 10, residual_ma = 30, residual_type = "B", one_way = false } }
      equipment.roof = { kind = "solar-inverter", rating_a = 16, on = "panels" }
    Passes on: circuits.panels = { way = "unit.6", device = { kind = "rcbo-2p", curve = "B", rating_a = 20, residual_ma = 30, residual_type = "B", one_way = false } }
      equipment.roof = { kind = "solar-inverter", rating_a = 16, on = "panels" }
    """
    if (skip := _not_among(circuit, (*INVERTERS, *CHARGING), "charge point or inverter")) is not None:
        return skip
    things = devices.gives_or_takes_whole(circuit, (*INVERTERS, *CHARGING))
    return all_of([at_most(thing.rating_a, circuit.rating_a) for thing in things])


@rule("DV18", about="circuit", breach="advice", clause="314.1; BS 5839-6 (from memory)", authority="common practice")
def alarms_out_with_sockets(circuit: CircuitDesign, design: Design) -> Answer:
    """A residual-current device without delay stands before the alarms and before socket outlets.

    Why: a faulty kettle then takes the mains from the smoke alarms, and their batteries are left to do the rest.
    Remedial: a residual-current breaker for the alarms alone, or with lights that are missed when they go out.
    Fires on: circuits.alarms = { way = "unit.6", feeds = "alarms", device = { kind = "mcb", curve = "B", rating_a = 6 } }
      equipment.front = { kind = "rcd-before-all", rating_a = 100, residual_ma = 30, residual_type = "A" }
      runs.feed-3.joins = ["arrester.bottom", "front.in"]
      runs.feed-4 = { joins = ["front.out", "unit.in"], kind = "tails", size_mm2 = 25, length_m = 0.3, method = "C" }
    Passes on: circuits.alarms = { way = "unit.6", feeds = "alarms", device = { kind = "rcbo-2p", curve = "B", rating_a = 6, residual_ma = 30, residual_type = "A" } }
    """
    if (skip := _not_among(circuit, ("alarms",), "alarm")) is not None:
        return skip
    if not circuit.met:
        return Answer(None, NOT_TRACED) if circuit.met is None else NO_RESIDUAL
    if circuit.feeds_sockets:
        return Answer(False, "socket outlets are recorded on the circuit itself")
    answers = [_kept_apart(guard, circuit, design) for guard in circuit.met if guard.delayed.amount is not True]
    return all_of(answers) if answers else Answer(True, "all that stand before it have a time delay")


def _kept_apart(guard: Guard, circuit: CircuitDesign, design: Design) -> Answer:
    """Whether no socket outlet hangs on the same device, as far as it is recorded what does."""
    others = [c for c in devices.behind(guard.name, design) if c is not circuit]
    with_sockets = [c.circuit.name for c in others if c.feeds_sockets]
    if with_sockets:
        says = f"{guard.name} stands before {', '.join(with_sockets)} too"
        return Answer(False, says) if guard.delayed.known else Answer(None, f"Not known: {says}, and nobody recorded whether it has a time delay")
    unsaid = [c.circuit.name for c in others if c.use_unsaid]
    return Answer(None, f"Not known: what {', '.join(unsaid)} feeds, behind {guard.name} too") if unsaid else \
        Answer(True, f"no socket outlet is recorded behind {guard.name}")


@rule("DV19", about="circuit", breach="advice", clause="536.4.1; BS EN 60269-1 Table 7", authority="common practice")
def let_through_melts_fuse_before(circuit: CircuitDesign, design: Design) -> Answer:
    """What the breaker lets through on a short circuit may melt the fuse before its board.

    Why: both then go, and where that fuse is the operator's the home is dark until somebody comes.
    Remedial: the fuse maker's own energy for that link, a breaker that lets less through, or tell whoever lives there.
    Fires on: equipment.cutout.fuse = "bs88-3"
      equipment.cutout.fuse_a = { marked = 63 }
    Passes on: equipment.cutout.fuse = "bs88-3"
      equipment.cutout.fuse_a = { marked = 100 }
    """
    if not circuit.device.let_through_a2s.known:
        return does_not_apply("the maker's let-through is not recorded: nothing else tells which of the two opens")
    before, rating = design.rating_before_a(design.before(f"{circuit.board}.in.L"))
    if before and before not in design.inst.equipment:
        return does_not_apply("a device of a circuit stands before its board: DV6 asks of breakers")
    fuse = _fuse_of(before, design)
    if fuse.known and fuse.amount not in FOR_GENERAL_USE:
        return does_not_apply(f"no energy is known of a fuse {fuse}")
    return below(devices.let_through_a2s(circuit), devices.pre_arcing_a2s(fuse, rating, design))


RULES = (residual_device_clears_alone, curve_slower_than_loop_allows, device_not_below_one_before, fuse_does_not_grade,
         fuse_of_circuit_does_not_grade, breakers_both_open, rating_not_made, switch_below_fuse, residual_device_in_way_below_fuse,
         inverter_without_type_b, vehicle_shares_residual_device, type_b_behind_another, residual_devices_too_close, leakage_above_share,
         leakage_of_all_above_share, unit_fuse_above_cable, rating_of_what_it_feeds_above_device,
         alarms_out_with_sockets, let_through_melts_fuse_before)
