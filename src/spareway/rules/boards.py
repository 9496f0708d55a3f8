"""Rules of boards: contacts within reach, openings, material, what they stand in a fault."""
from __future__ import annotations

from spareway.design.board import BoardDesign
from spareway.design.design import Design
from spareway.rules.base import Answer, at_least, at_most, cannot_tell, is_one_of, must_be_no, rule


@rule("BO1", about="board", breach="stop", clause="416.2; 132.3; EAWR reg 7")
def bare_contacts_within_reach(board: BoardDesign, design: Design) -> Answer:
    """Bare contacts that are live, or may be, lie within reach in a way whose carrier is missing.

    Why: a finger, a child's toy or a coin meets line.
    Remedial: before you leave: switch it off and shroud or blank the ways; do not walk away from it open.
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


@rule("BO7", about="board", breach="fails", clause="551.7.2")
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
        unsaid = design.unused(name)
        return Answer(None, f"Not known: what {', '.join(unsaid)} feeds") if unsaid else Answer(True, "no source stands behind it")
    return at_least(board.thing.rating_a, design.fuse_and_sources_a(board.thing.name))


RULES = (bare_contacts_within_reach, openings_in_enclosure, water_in_enclosure, enclosure_may_burn, fault_above_board_rating,
         board_below_fuse, board_below_fuse_and_sources)
