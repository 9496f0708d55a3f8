"""Rules of circuits: load, rating, loop, drop, heat in the protective conductor, residual-current protection."""
from __future__ import annotations

from spareway.design.circuit import CircuitDesign
from spareway.design.design import Design
from spareway.design.device import INVERTERS
from spareway.design.guards import passed
from spareway.design.points import fixed_a, fixed_unknown_w, iz_at_a, no_way_home, smaller, withstand_at_a2s, zs_at_points_ohm
from spareway.design.route import settled
from spareway.fact import Fact, total
from spareway.job.types import Point
from spareway.rules.base import Answer, all_of, at_least, at_most, below, best_of, cannot_tell, does_not_apply, rule
from spareway.rules.cooler import drop_reckoned_cooler, not_at_thinner
from spareway.rules.eyes import answers
from spareway.rules.measured import zs_as_read
from spareway.tables import look_up


@rule("CI1", about="circuit", breach="fails", clause="411.4.4; 411.5.3", since="17A3")
def zs_above_limit(circuit: CircuitDesign, design: Design) -> Answer:
    """The earth fault loop impedance is above the limit for the device.

    Why: a fault to earth would not open it in time.
    Remedial: a larger protective conductor, a shorter route, or residual-current protection; on TT a better electrode, or a residual-current
      device of a lower rated current.
    Fires on: circuits.warmth.device = { kind = "mcb", curve = "B", rating_a = 16 }
      circuits.warmth.cable.length_m = 110
    Passes on: circuits.warmth.device = { kind = "mcb", curve = "B", rating_a = 16 }
      circuits.warmth.cable.length_m = 60
    """
    worked = _known_shape(circuit, _zs_as_worked(circuit, design))
    read = zs_as_read(circuit, design)
    return all_of([worked, *read]) if read else worked


def _known_shape(circuit: CircuitDesign, answer: Answer) -> Answer:
    """What holds for a ring says nothing good of one whose points lead nowhere home."""
    return Answer(None, f"Not known: called a ring, and none of its points leads home. As a ring: {answer.says}", answer.facts) \
        if no_way_home(circuit) else answer


def _zs_as_worked(circuit: CircuitDesign, design: Design) -> Answer:
    """By length and size; then at the worst point, where points have sizes of their own or hang on spurs."""
    answer = _zs_against(circuit, circuit.zs_ohm, design)
    at_points = zs_at_points_ohm(circuit)
    if at_points is None or not answer.ok:
        return answer
    worst = _zs_against(circuit, at_points, design)
    return Answer(None, f"Not known at the end of its spurs: {worst.says}, counted from the middle of the ring", worst.facts) \
        if worst.ok is False and circuit.is_ring else worst


def _zs_against(circuit: CircuitDesign, zs_ohm: Fact[float], design: Design) -> Answer:
    if circuit.opens_by_residual:
        return at_most(zs_ohm, circuit.electrode_limit_ohm)
    if not design.supply.earthing.known:
        return cannot_tell(design.supply.earthing)
    if design.supply.earthing.amount == "IT":
        return Answer(None, "Not known: an IT system is recorded and not judged", (design.supply.earthing,))
    by_device = at_most(zs_ohm, circuit.zs_limit_ohm)
    if not circuit.residual_ma.known:
        return by_device
    return best_of([by_device, at_most(zs_ohm, circuit.electrode_limit_ohm)])


@rule("CI2", about="circuit", breach="fails", clause="433.1.1(i)")
def load_above_device(circuit: CircuitDesign, design: Design) -> Answer:
    """The design current is more than the device is rated for.

    Why: it will open in ordinary use, or run hot for years.
    Remedial: split the load, or a larger device on a cable that carries it.
    Fires on: circuits.lamps.load_w = 1500
    Passes on: circuits.lamps.load_w = 1300
    """
    answer = at_most(circuit.load_a, circuit.rating_a)
    fixed, unsaid = (fixed_a(circuit), fixed_unknown_w(circuit)) if circuit.feeds_sockets else (None, [])
    answers = [answer, *([at_most(fixed, circuit.rating_a)] if fixed is not None else []), *_together(circuit, design)]
    answers += [cannot_tell(*unsaid)] if unsaid else []
    return all_of(answers) if len(answers) > 1 else answer


def _together(circuit: CircuitDesign, design: Design) -> list[Answer]:
    """The load of all circuits on one device; sockets and boards draw what is plugged in or fed, which is a person's to say."""
    if not circuit.sharing:
        return []
    on = [circuit, *(design.circuits[name] for name in circuit.sharing)]
    open_ended = [c.circuit.name for c in on if (c.feeds_sockets or c.is_submain) and not c.circuit.load_a.known and not c.circuit.load_w.known]
    if open_ended:
        return [Answer(None, f"Not known: on one device with {', '.join(circuit.sharing)}, and what {', '.join(open_ended)} draws with it "
                       "nobody stated")]
    return [at_most(total("load_a", [c.load_a for c in on], "every circuit on this device"), circuit.rating_a)]


@rule("CI3", about="circuit", breach="fails", clause="433.1.1(ii); 433.1.202; 433.1.204")
def device_above_cable(circuit: CircuitDesign, design: Design) -> Answer:
    """The device is rated for more than the cable carries where it runs worst.

    Why: an overload would heat the cable and not open the device.
    Remedial: a smaller device, a larger cable, or another route; a rewirable fuse counts for more than its rating.
    Fires on: circuits.warmth.cable.line_mm2 = 1.0
      circuits.warmth.cable.method = "103"
    Passes on: circuits.warmth.cable.line_mm2 = 1.5
    """
    answer = _known_shape(circuit, at_least(circuit.iz_a, circuit.leg_least_a)) if circuit.is_ring else \
        at_most(circuit.rating_a, circuit.iz_a)
    return all_of([tables_hold(circuit.cable.insulation_c, answer), *(_at_point(circuit, p) for p in smaller(circuit, "line_mm2"))])


def _at_point(circuit: CircuitDesign, point: Point) -> Answer:
    """A smaller conductor may be kept by what it feeds (433.2.2, 433.3.1), and that is a person's to say."""
    answer = at_most(circuit.rating_a, iz_at_a(circuit, point))
    return Answer(None, f"Not known at {point.name}: {answer.says}, unless what it feeds cannot overload it (433.2.2, 433.3.1)",
                  answer.facts) if answer.ok is False else answer


def tables_hold(insulation_c: Fact[float], answer: Answer) -> Answer:
    """The ratings are those of 70 °C: no good for insulation that bears less; right for a hotter cable on ordinary accessories."""
    if insulation_c.amount is None or not answer.ok:
        return answer
    holds = at_least(insulation_c, settled("limit_c", 70.0, "Tables 4D1A to 4D5"))
    return answer if holds.ok else Answer(None, f"Not known: {holds.says}; by the ratings of 70 °C: {answer.says}", (*answer.facts, insulation_c))


@rule("CI4", about="circuit", breach="fails", clause="525; Appendix 4, 6.4")
def drop_above_limit(circuit: CircuitDesign, design: Design) -> Answer:
    """The voltage drop from the origin is above the limit.

    Why: lamps dim, heaters give less than their plate, motors run hot.
    Remedial: a larger cable, a shorter route, or the load split.
    Fires on: circuits.warmth.cable.length_m = 90
    Passes on: circuits.warmth.cable.length_m = 30
    """
    by_table = _known_shape(circuit, _for_its_use(circuit))
    return not_at_thinner(circuit, by_table if by_table.ok or not circuit.drop_from_origin_v.known else _or_cooler(circuit, design, by_table))


def _or_cooler(circuit: CircuitDesign, design: Design, by_table: Answer) -> Answer:
    """Above the limit by the tables, which take the cable at its hottest: it stands aside where the cable is reckoned cooler and holds."""
    cooler = drop_reckoned_cooler(circuit, design)
    if not cooler.applies or no_way_home(circuit):
        return by_table
    if cooler.ok is False:                                   # a no by both turns where either holds
        return best_of([by_table, cooler]) if by_table.ok is False else by_table
    by = "RI10" if circuit.is_ring else "RT9"
    if cooler.ok:
        return Answer(None, f"by the tables, which take the cable at its hottest: {by_table.says}. {by} reckons it as warm as its load "
                      f"makes it: {cooler.says}", applies=False)
    return Answer(None, f"{cooler.says}. By the tables: {by_table.says}", cooler.facts)


def _for_its_use(circuit: CircuitDesign) -> Answer:
    """By the limit of what it feeds; where that is not all said, lighting may be on it, and its lesser limit must hold too."""
    answer = at_most(circuit.drop_from_origin_v, circuit.drop_limit_v)
    if not (circuit.use_unsaid and answer.ok):
        return answer
    least = at_most(circuit.drop_from_origin_v, circuit.drop_limit_of_lighting_v)
    return least if least.ok else Answer(None, f"{_not_said(circuit)}; for lighting: {least.says}", least.facts)


def _not_said(circuit: CircuitDesign) -> str:
    return f"Not known: what {', '.join(circuit.unsaid)} feed{'s' * (len(circuit.unsaid) == 1)}" if circuit.unsaid else \
        "Not known: what it feeds"


def _unless_protected(circuit: CircuitDesign, design: Design, says: str) -> Answer:
    """For a use that is not recorded: none, where all uses are said; no matter, where it is protected; else not known."""
    if not circuit.use_unsaid:
        return does_not_apply(says)
    return answer if circuit.feeds and (answer := _residual(circuit, design)).ok else Answer(None, _not_said(circuit))


@rule("CI5", about="circuit", breach="fails", clause="543.1.3; 434.5.2")
def cpc_too_hot(circuit: CircuitDesign, design: Design) -> Answer:
    """The protective conductor may not survive what the device lets through.

    Why: it must last until the device has opened, at the far end and at the near end, where the current is greatest.
    Remedial: the maker's let-through energy at the fault current here, a larger protective conductor, or a smaller device.
    Fires on: circuits.plugs.device.let_through_a2s = 45000
    Passes on: circuits.plugs.device.let_through_a2s = 18000
    """
    near, far = (at_least(circuit.withstand_a2s, energy) for energy in (circuit.energy_near_a2s, circuit.energy_far_a2s))
    if circuit.device.let_through_a2s.known or near.ok is not False and far.ok is not False:
        return all_of([near, far, *(_heat_at_point(circuit, p) for p in smaller(circuit, "cpc_mm2"))])
    return Answer(None, f"Near end: {near.says}. Far end: {far.says}. Current squared times the longest time is an upper "
                  f"bound, good for passing and never for failing: the maker's let-through at {circuit.fault_near_a} would settle it",
                  (*near.facts, *far.facts))


def _heat_at_point(circuit: CircuitDesign, point: Point) -> Answer:
    """At most what is let through at the board: good for passing a smaller protective conductor and never for failing it."""
    answer = at_least(withstand_at_a2s(circuit, point), circuit.energy_near_a2s)
    return Answer(None, f"Not known at {point.name}: {answer.says}, with the fault as near as the board", answer.facts) \
        if answer.ok is False else answer


@rule("CI6", about="circuit", breach="fails", clause="433.1; 559", authority="common practice")
def heater_on_plug_fuse(circuit: CircuitDesign, design: Design) -> Answer:
    """A fixed heater runs for hours through a 13 A fuse.

    Why: the fuse and its holder run hot for a whole winter; at 3 kW the current is above the fuse's own rating.
    Remedial: a circuit of its own with a 20 A two-pole switch beside it.
    Fires on: circuits.plugs.points.p1 = { from = "way.a", feeds = "panel-heater", before = "fused-spur", spur_fuse_a = 13, load_w = 3000, length_m = 4 }
    Passes on: circuits.plugs.points.p1 = { from = "way.a", feeds = "panel-heater", before = "fused-spur", spur_fuse_a = 13, load_w = 1500, length_m = 4 }
    """
    spurs = design.heaters_on_spurs(circuit)
    unsaid = [n for n in circuit.unsaid if circuit.circuit.points[n].before.startswith("fused-spur")]
    if unsaid and not spurs:
        return Answer(None, f"Not known: what stands behind the fused connection unit at {', '.join(unsaid)}")
    if not spurs:
        return does_not_apply("no fixed heater stands behind a fused connection unit on it")
    most = look_up("thresholds", design.books, design.case("spur_sustained_w"))
    answers = [all_of([below(power, most), at_most(design.spur_current_a(power), fuse)]) for _, power, fuse in spurs]
    worst = all_of([*answers, Answer(None, f"Not known: what stands behind {', '.join(unsaid)}")]) if unsaid else all_of(answers)
    over = [name for (name, _, _), a in zip(spurs, answers, strict=True) if a.ok is False]
    return Answer(worst.ok, worst.says + (f"; so at {', '.join(over)}" if over else ""),
                  tuple(f for a in answers for f in a.facts))


@rule("CI7", about="circuit", breach="fails", clause="411.3.3", since="17")
def sockets_without_residual(circuit: CircuitDesign, design: Design) -> Answer:
    """Socket outlets have no residual-current protection of 30 mA.

    Why: a damaged flex in a hand is then cleared by nothing quick enough.
    Remedial: a residual-current breaker for the circuit, or a device ahead of it.
    Fires on: circuits.plugs.device = { kind = "mcb", curve = "B", rating_a = 32 }
    Passes on: circuits.plugs.device.residual_ma = 30
    """
    return _residual(circuit, design) if circuit.feeds_sockets else \
        _unless_protected(circuit, design, "no socket outlet is recorded on it")


@rule("CI8", about="circuit", breach="fails", clause="411.3.4", since="18")
def lighting_without_residual(circuit: CircuitDesign, design: Design) -> Answer:
    """A lighting circuit of a home has no residual-current protection of 30 mA.

    Why: lamps are changed by people on chairs, and old fittings lose their earth.
    Remedial: a residual-current breaker when the circuit is renewed or altered; age alone is no defect.
    Fires on: circuits.lamps.device = { kind = "mcb", curve = "B", rating_a = 6 }
    Passes on: circuits.lamps.device.residual_ma = 30
    """
    return _residual(circuit, design) if circuit.feeds_lighting else \
        _unless_protected(circuit, design, "no lighting is recorded on it")


@rule("CI9", about="circuit", breach="fails", clause="522.6.202", since="17")
def concealed_without_residual(circuit: CircuitDesign, design: Design) -> Answer:
    """A cable at less than 50 mm in a wall has no residual-current protection of 30 mA.

    Why: a nail or a screw finds it.
    Remedial: a residual-current breaker, or earthed metal around the cable.
    Fires on: circuits.warmth.device = { kind = "mcb", curve = "B", rating_a = 16 }
    Passes on: circuits.warmth.device.residual_ma = 30
    """
    concealed = circuit.cable.concealed
    if concealed.amount is False:
        return does_not_apply("the cable is not concealed")
    answer = _residual(circuit, design)
    return answer if concealed.known or answer.ok else cannot_tell(concealed)


def _residual(circuit: CircuitDesign, design: Design) -> Answer:
    """Protected by a device of 30 mA at most: no device at all is a no, a device of unknown rating cannot be told."""
    most = look_up("thresholds", design.books, design.case("additional_protection_ma"))
    if circuit.protected_by:
        return best_of([at_most(guard.residual_ma, most) for guard in circuit.protected_by])
    if design.has_residual(circuit) is False:
        by = passed(circuit, design)
        return Answer(False, f"Another path leads past {', '.join(by)}, and no other residual-current device is recorded before it" if by
                      else "No residual-current device is recorded before it", (circuit.residual_ma, most))
    return cannot_tell(circuit.residual_ma)


@rule("CI10", about="circuit", breach="fails", clause="314.4; 521.8.1")
def neutral_shared(circuit: CircuitDesign, design: Design) -> Answer:
    """Its current returns on the neutral of another circuit.

    Why: with one of the two switched off the neutral of the other can be live through a lamp; residual-current breakers trip on it.
    Remedial: find where the two meet and give each its own neutral before anything new is energised.
    Fires on: circuits.lamps.neutral = "warmth"
    Passes on: circuits.lamps.load_w = 150
    """
    borrowed = design.borrowed_neutrals(circuit)
    least = look_up("thresholds", design.books, design.case("insulation_mohm"))
    read = [at_least(between, least) for between in design.neutral_readings(circuit)]
    together = [f"{a.facts[0].at}: {a.facts[0]} at {a.facts[0].where}" for a in read if a.ok is False]
    found = [*borrowed, *together]
    return Answer(not found, "; ".join(found) or "each neutral returns on its own way in the record",
                  tuple(f for a in read for f in a.facts))


@rule("CI11", about="circuit", breach="fails", clause="530.3.201; 551", since="18A3")
def source_behind_one_way_device(circuit: CircuitDesign, design: Design) -> Answer:
    """A source feeds back through a device marked for current in one direction.

    Why: its coil can burn while it tries to open, and then it never opens.
    Remedial: a device its maker states for both directions.
    Fires on: circuits.panels = { way = "unit.6", device = { kind = "rcbo-2p", curve = "B", rating_a = 20, residual_ma = 30, residual_type = "A", one_way = true } }
      equipment.roof = { kind = "solar-inverter", rating_a = 16, on = "panels" }
    Passes on: circuits.panels = { way = "unit.6", device = { kind = "rcbo-2p", curve = "B", rating_a = 20, residual_ma = 30, residual_type = "A", one_way = false } }
      equipment.roof = { kind = "solar-inverter", rating_a = 16, on = "panels" }
    """
    if not design.sources_on(circuit) and not circuit.feeds & {*INVERTERS}:
        if circuit.device_kind is None and "." in circuit.circuit.feeds:
            return Answer(None, f"Not known: what it feeds by {circuit.circuit.feeds}, for no device is recorded through which to trace it")
        return does_not_apply("no source stands on it") if circuit.feeds or circuit.is_submain else \
            Answer(None, "Not known: what it feeds")
    if circuit.device_kind is not None and circuit.device_kind.marked:
        return Answer(False, f"{circuit.device_kind.says} stands in {circuit.circuit.way}")
    if circuit.device_kind is not None and not circuit.device_kind.residual:
        return Answer(True, "its device has no residual-current part")
    if not circuit.device.one_way.known:
        return cannot_tell(circuit.device.one_way)
    return Answer(circuit.device.one_way.amount is False, f"Marked for one direction: {circuit.device.one_way}",
                  (circuit.device.one_way,))


@rule("CI12", about="circuit", breach="fails", clause="434.5.1; 536.4.201")
def fault_above_device_rating(circuit: CircuitDesign, design: Design) -> Answer:
    """The prospective fault current is more than its device breaks, by itself or in a board tested for it.

    Why: it may burst when it is needed.
    Remedial: a device of higher rating, or the board maker's conditional rating for it behind the service fuse.
    Fires on: circuits.oven.device.fault_rating_ka = 0.6
      equipment.unit.fault_rating_ka = 0.6
    Passes on: circuits.oven.device.fault_rating_ka = 6
    """
    board = design.boards[circuit.board]
    alone = at_least(circuit.device.fault_rating_ka, board.fault_ka)
    tested = at_least(board.thing.fault_rating_ka, board.fault_ka)
    if alone.ok or not tested.ok or _listed(board.at, circuit.at, design):
        return best_of([alone, tested])
    return Answer(None, f"Not known: {alone.says} by itself. The board's rating holds for the devices that its maker lists for it: "
                  "whether this is one wants an answer to EY22 or the maker's word", alone.facts)


def _listed(board: str, circuit: str, design: Design) -> bool:
    """Whether somebody saw that the maker of the board lists its devices, or the maker said so of this one."""
    seen = any(row.answer == "yes" and row.where == board for row in answers(design.inst.observations) if row.eye == "EY22")
    replies = [reply for at in (circuit, board) if (reply := design.reply_about("CI12", at)) is not None]
    return seen or any(reply.allows.amount is True for reply in replies)


@rule("CI13", about="circuit", breach="fails", clause="416.2; 526.5")
def live_ends_serve_nothing(circuit: CircuitDesign, design: Design) -> Answer:
    """The circuit ends, live, in nothing.

    Why: behind a blank plate somebody finds it with a screwdriver.
    Remedial: take it off at the board and make both ends off, or take the cable out.
    Fires on: circuits.warmth.feeds = "nothing"
      remove = ["equipment.radiator"]
    Passes on: circuits.warmth.cable.length_m = 16
    """
    if circuit.dead_ends:
        return Answer(False, f"{', '.join(circuit.dead_ends)}, behind {circuit.begins_at.rpartition('.')[0]}")
    return Answer(None, _not_said(circuit)) if circuit.use_unsaid else Answer(True, "something is recorded at each of its ends")


@rule("CI90", about="circuit", breach="fails", clause="314.1; 514.9; 531.3.1", authority="common practice")
def core_lands_elsewhere(circuit: CircuitDesign, design: Design) -> Answer:
    """A core of the circuit lands elsewhere than on its own way.

    Why: whoever opens the device of its way leaves it live; these rules judge it by the device that its line lands on.
    Remedial: land every core on its own way before anything is energised, and correct the record if the record is wrong.
    Fires on: circuits.lamps.lands.L = "unit.4.L"
    Passes on: circuits.lamps.load_w = 150
    """
    lands = circuit.circuit.lands
    away = [f"{core} on {end}" for core, end in (("L", lands.L), ("N", lands.N), ("E", lands.E)) if end] if lands else []
    return Answer(not away, ", ".join(away) if away else "every core is recorded on its own way")


RULES = (zs_above_limit, load_above_device, device_above_cable, drop_above_limit, cpc_too_hot, heater_on_plug_fuse,
         sockets_without_residual, lighting_without_residual, concealed_without_residual, neutral_shared,
         source_behind_one_way_device, fault_above_device_rating, live_ends_serve_nothing, core_lands_elsewhere)
