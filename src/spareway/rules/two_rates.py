"""Rules of two-rate supplies and what is left of them: boards, time switches, meters and pairs of tails without a purpose."""
from __future__ import annotations

from spareway.design import leftovers
from spareway.design.beyond import by_itself_before
from spareway.design.board import BoardDesign
from spareway.design.circuit import CircuitDesign
from spareway.design.design import Design
from spareway.design.leftovers import Seen
from spareway.job.types import Equipment
from spareway.rules.base import Answer, does_not_apply, rule
from spareway.wiring.expand import bar_of

DAYTIME = ("sockets", "lights", "lamp", "cooker", "alarms", "shower")       # what people expect to work at any hour


def answered(seen: Seen) -> Answer:
    """What was seen of a leftover, as an answer."""
    return Answer(seen.ok, seen.says) if seen.applies else does_not_apply(seen.says)


@rule("TR1", about="board", breach="advice", clause="132.16; 514.9.1", authority="common practice", by_layout=True)
def night_board_on_all_day(board: BoardDesign, design: Design) -> Answer:
    """A board of the night rate is live at all hours: what once switched it is gone.

    Why: its heaters now run at the day rate, and whoever knows it as off by day may put a hand in.
    Remedial: label it live at all hours; bring what is still used to the main board and take the rest out.
    Fires on: equipment.night = { kind = "board-night", rating_a = 60, ways_n = 4, bare_ways = [], open_entries = false, water = false, material = "metal", damage = "none", fault_rating_ka = 16 }
      runs.second = { joins = ["arrester.bottom", "night.in"], kind = "tails", size_mm2 = 16, length_m = 1, method = "C" }
    Passes on: equipment.clock = { kind = "time-switch", seal = "present", owner = "meter operator", damage = "none" }
      equipment.night = { kind = "board-night", rating_a = 60, ways_n = 4, bare_ways = [], open_entries = false, water = false, material = "metal", damage = "none", fault_rating_ka = 16 }
      runs.second = { joins = ["meter.out", "clock.in"], kind = "tails", size_mm2 = 16, length_m = 1, method = "C" }
      runs.third = { joins = ["clock.out", "night.in"], kind = "tails", size_mm2 = 16, length_m = 1, method = "C" }
    """
    return answered(leftovers.night_board(board, design))


@rule("TR2", about="board", breach="advice", clause="132.16", authority="common practice", by_layout=True)
def board_serves_nothing(board: BoardDesign, design: Design) -> Answer:
    """Every circuit of this board ends in nothing, and the board is still joined to the supply.

    Why: it is live, or will be at the next switching hour, for no purpose.
    Remedial: take board and tails out once the supply is off by whoever may do so.
    Fires on: equipment.other = { kind = "board", ways_n = 4, rating_a = 60 }
      runs.second = { joins = ["arrester.bottom", "other.in"], kind = "tails", size_mm2 = 16, length_m = 1, method = "C" }
      circuits.gone = { way = "other.1", feeds = "nothing", device = { kind = "rewirable", rating_a = 15 } }
    Passes on: equipment.unit.rating_a = 80
    """
    return answered(leftovers.idle_board(board, design))


@rule("TR3", about="equipment", breach="advice", clause="132.16", authority="common practice", by_layout=True)
def rate_switch_serves_nothing(thing: Equipment, design: Design) -> Answer:
    """A meter, time switch or switched output is still joined to the supply and nothing in use lies beyond it.

    Why: what hangs on it comes alive at its hour, for nobody; a second meter may still be charged for.
    Remedial: ask the meter operator to take it out, or to close off an output that nothing is landed on; until then count all beyond it as live.
    Fires on: equipment.clock = { kind = "time-switch", seal = "present", owner = "meter operator" }
      runs.second = { joins = ["meter.out", "clock.in"], kind = "tails", size_mm2 = 16, length_m = 1, method = "C" }
    Passes on: equipment.meter.seal = "present"
    """
    return answered(leftovers.idle_switch(thing, design))


@rule("TR4", about="circuit", breach="advice", clause="132.16; 314.1", authority="common practice", by_layout=True)
def daytime_load_behind_rate_switch(circuit: CircuitDesign, design: Design) -> Answer:
    """Something that people expect to work at any hour hangs behind a time switch.

    Why: it goes off by itself: a freezer thaws, an alarm falls back on its battery, somebody takes it for a fault.
    Remedial: move the circuit to a board that is live at all hours.
    Fires on: equipment.clock = { kind = "time-switch", seal = "present", owner = "meter operator" }
      runs.feed-1 = { joins = ["cutout.out", "meter.in"], kind = "tails", size_mm2 = 25, length_m = 0.4, method = "C" }
      runs.feed-2 = { joins = ["meter.out", "clock.in"], kind = "tails", size_mm2 = 25, length_m = 0.5, method = "C" }
      runs.feed-4 = { joins = ["clock.out", "arrester.top"], kind = "tails", size_mm2 = 25, length_m = 0.5, method = "C" }
    Passes on: circuits.plugs.cable.length_m = 44
    """
    expected = sorted(f for f in circuit.feeds if f in DAYTIME)
    if not expected:
        return does_not_apply("nothing that people expect to work at any hour is recorded on it")
    switched = by_itself_before(bar_of(design.inst, circuit.circuit.way)[0], design)
    return Answer(not switched, f"{', '.join(expected)} behind {', '.join(switched)}" if switched else
                  "no time switch stands before it in the record")


RULES = (night_board_on_all_day, board_serves_nothing, rate_switch_serves_nothing, daytime_load_behind_rate_switch)
