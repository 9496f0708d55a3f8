"""Rules of boards: contacts within reach, openings, material, what they stand in a fault."""
from __future__ import annotations

from spareway.design.board import BoardDesign
from spareway.design.design import Design
from spareway.design.guards import guards_before
from spareway.design.operators_things import is_operators
from spareway.rules.base import Answer, all_of, at_least, at_most, cannot_tell, does_not_apply, is_one_of, must_be_no, rule
from spareway.tables import look_up


@rule("BO1", about="board", breach="stop", clause="416.2; 132.3; EAWR reg 7")
def bare_contacts_within_reach(board: BoardDesign, design: Design) -> Answer:
    """Bare contacts that are live, or may be, lie within reach in a way whose carrier is missing.

    Why: a finger, a child's toy or a coin meets line.
    Remedial: before you leave: keep people away, have the supply taken off the board by whoever may do so, prove dead, shroud or blank the ways; its own main switch leaves its terminals live.
    Fires on: equipment.unit.bare_ways = [9]
    Passes on: equipment.unit.bare_ways = []
    """
    bare = board.thing.bare_ways
    if not bare.known:
        return cannot_tell(bare)
    return Answer(not bare.value, f"ways {', '.join(map(str, bare.value))}" if bare.value else "none was found", (bare,))


@rule("BO2", about="board", breach="fails", clause="416.2.1; 416.2.2; 421.1.201")
def openings_in_enclosure(board: BoardDesign, design: Design) -> Answer:
    """The enclosure has openings a finger or water can enter.

    Why: live parts are reached, fire is not held in, water finds its way.
    Remedial: blank or gland every opening; on top nothing over 1 mm may pass.
    Fires on: equipment.unit.open_entries = true
    Passes on: equipment.unit.open_entries = false
    """
    return must_be_no(board.thing.open_entries)


@rule("BO3", about="board", breach="fails", clause="512.2; 522.3")
def water_in_enclosure(board: BoardDesign, design: Design) -> Answer:
    """There are signs of water in the board.

    Why: rust and wet make poor joints and bridges between them.
    Remedial: find and stop the water; replace what it touched.
    Fires on: equipment.unit.water = true
    Passes on: equipment.unit.water = false
    """
    return must_be_no(board.thing.water)


@rule("BO4", about="board", breach="advice", clause="421.1.201", since="17A3")
def enclosure_may_burn(board: BoardDesign, design: Design) -> Answer:
    """The board stands in an enclosure that may burn.

    Why: in a home an enclosure must not add to a fire that begins at a loose terminal; an older one need not go for its material alone.
    Remedial: a board in a steel enclosure when it is renewed; smoke detection and tight terminals until then.
    Fires on: equipment.unit.material = "plastic"
    Passes on: equipment.unit.material = "metal"
    """
    return is_one_of(board.thing.material, "metal")


@rule("BO5", about="board", breach="fails", clause="432.1; 434.5.1; 536.4.201")
def fault_above_board_rating(board: BoardDesign, design: Design) -> Answer:
    """The prospective fault current is more than the board is rated for.

    Why: its devices may burst; a conditional rating holds only for the tested assembly behind the stated fuse.
    Remedial: an assembly of sufficient rating, or the maker's word for these devices behind this fuse.
    Fires on: equipment.unit.fault_rating_ka = 0.5
    Passes on: equipment.unit.fault_rating_ka = 6
    """
    return at_most(board.fault_ka, board.thing.fault_rating_ka)


@rule("BO6", about="board", breach="fails", clause="536.4.202")
def board_below_fuse(board: BoardDesign, design: Design) -> Answer:
    """The board is rated for less than the fuse before it.

    Why: nothing then stops it from being overloaded for hours.
    Remedial: a board of higher rating, a smaller fuse by the operator, or a load that is shown never to reach it.
    Fires on: equipment.unit.rating_a = 50
    Passes on: equipment.unit.rating_a = 100
    """
    return at_least(board.thing.rating_a, board.fuse_a)


@rule("BO7", about="board", breach="fails", clause="551.7.2", by_layout=True)
def board_below_fuse_and_sources(board: BoardDesign, design: Design) -> Answer:
    """The board is rated for less than the fuse and every source behind it together.

    Why: sun and network can feed one busbar at the same time, and no fuse sees both.
    Remedial: a board of higher rating, or the source to the intake by a board of its own.
    Fires on: circuits.panels = { way = "unit.6" }
      equipment.roof = { kind = "solar-inverter", rating_a = 60, on = "panels" }
    Passes on: circuits.panels = { way = "unit.6" }
      equipment.roof = { kind = "solar-inverter", rating_a = 16, on = "panels" }
    """
    name = board.thing.name
    if not design.sources_behind(name):
        if design.source_told_of:
            return Answer(None, f"Not known: {design.source_told_of}")
        unsaid = design.unused(name)
        return Answer(None, f"Not known: what {', '.join(unsaid)} feeds") if unsaid else Answer(True, "no source stands behind it")
    return at_least(board.thing.rating_a, design.fuse_and_sources_a(board.thing.name))


@rule("BO8", about="board", breach="fails", clause="536.4.201; 536.4.203; BS EN 61439-3 Annex ZB")
def conditional_rating_behind_other_fuse(board: BoardDesign, design: Design) -> Answer:
    """Devices of this board break the fault current only as part of the tested assembly, and the service fuse is not one it was tested with.

    Why: the assembly's rating holds behind the fuse it was tested with, up to 100 A, and for no other.
    Remedial: devices that break the fault current by themselves, or the maker's word for this fuse.
    Fires on: equipment.cutout = { kind = "cut-out", fuse = "bs3036", fuse_a = { marked = 60 }, carrier_a = { marked = 60 } }
      supplies.main.joins = "cutout.in"
      supplies.main.fault_ka = 8
      runs.feed-1 = { joins = ["cutout.out", "meter.in"], kind = "tails", size_mm2 = 25, length_m = 0.4, method = "C" }
      runs.earth-1 = { joins = ["cutout.earth", "terminal.a"], kind = "earthing", size_mm2 = 16, length_m = 1 }
    Passes on: supplies.main.fault_ka = 8
    """
    devices = [c.device.fault_rating_ka for c in design.circuits.values() if c.board == board.thing.name and not c.is_surge]
    if not devices:
        return does_not_apply("no device in it is recorded")
    alone = all_of([at_least(rating, board.fault_ka) for rating in devices])
    if alone.ok:
        return Answer(True, f"each device by itself: {alone.says}", alone.facts)
    if alone.ok is None:
        return alone
    tested = is_one_of(design.supply.fuse, "bs1361", "bs1361-1", "bs1361-2", "bs88-2", "bs88-3")
    return all_of([tested, at_most(design.supply.fuse_a, look_up("thresholds", design.books, design.case("service_fuse_most_a")))])


@rule("BO9", about="board", breach="fails", clause="536.4.202", since="2018")
def fuse_above_domestic_board(board: BoardDesign, design: Design) -> Answer:
    """The service fuse is larger than a board for a home is made to stand behind.

    Why: such boards are built and tested for 100 A and no more.
    Remedial: an assembly rated for that fuse, or a smaller fuse by the operator.
    Fires on: equipment.cutout.fuse_a = { marked = 125 }
    Passes on: equipment.cutout.fuse_a = { marked = 100 }
    """
    return at_most(design.supply.fuse_a, look_up("thresholds", design.books, design.case("service_fuse_most_a")))


@rule("BO10", about="board", breach="advice", clause="411.5; 531.3", authority="common practice", by_layout=True)
def metal_board_on_tt(board: BoardDesign, design: Design) -> Answer:
    """On TT this board has a metal enclosure and no residual-current device stands before it.

    Why: a tail that chafes on the enclosure makes it live, and through an electrode the service fuse never opens.
    Remedial: short tails, glanded, clamped and with their sheath into the enclosure; else a delayed device ahead in an insulating one.
    Fires on: supplies.main.earthing = "TT"
    Passes on: supplies.main.earthing = "TT"
      equipment.unit.material = "plastic"
    """
    earthing, material = design.supply.earthing, board.thing.material
    if earthing.known and earthing.amount != "TT":
        return does_not_apply(f"the supply is {earthing}")
    if guards_before(f"{board.thing.name}.in.L", design):
        return Answer(True, "a residual-current device stands before it")
    if material.known and material.amount != "metal":
        return Answer(True, f"its enclosure is of {material}", (material,))
    return cannot_tell(*(f for f in (earthing, material) if not f.known)) if not (earthing.known and material.known) else \
        Answer(False, "", (earthing, material))


@rule("BO11", about="installation", breach="fails", clause="526.1; 134.1.1; 651.2")
def heat_or_harm(design: Design, _: Design) -> Answer:
    """Something of the customer's shows signs of heat or harm.

    Why: browned plastic is a joint that has been hot for years; it does not get better.
    Remedial: switch it off, find the joint, replace what was hot and make the joint again to the maker's torque.
    Fires on: equipment.unit.damage = "browned"
    Passes on: equipment.unit.damage = "none"
    """
    ours = {n: e for n, e in design.inst.equipment.items() if not is_operators(e)}
    asked = {n: e.damage for n, e in ours.items() if e.damage.known or "damage" in design.kind_of(n).facts}
    if not asked:
        return does_not_apply("nothing that is looked at for it is recorded")
    harmed = [f"{n} {d}" for n, d in asked.items() if d.known and d.amount != "none"]
    if harmed:
        return Answer(False, ", ".join(harmed), tuple(asked.values()))
    silent = [n for n, d in asked.items() if not d.known]
    return Answer(None, f"Not known: nothing is recorded of {', '.join(silent)}") if silent else \
        Answer(True, f"none at {', '.join(asked)}")



RULES = (bare_contacts_within_reach, openings_in_enclosure, water_in_enclosure, enclosure_may_burn, fault_above_board_rating,
         board_below_fuse, board_below_fuse_and_sources,
         conditional_rating_behind_other_fuse, fuse_above_domestic_board, metal_board_on_tt, heat_or_harm)
