"""Rules of the service chain that no other topic asks: blocks and meters, a fault at the end of a long run, another fuse."""
from __future__ import annotations

from spareway.design import device as devices
from spareway.design import service
from spareway.design.board import BoardDesign
from spareway.design.design import Design
from spareway.job.types import Equipment
from spareway.kinds import kind
from spareway.rules.base import Answer, at_least, at_most, cannot_tell, does_not_apply, rule
from spareway.rules.earthing import FROM_NETWORK


@rule("SV1", about="equipment", breach="fails", clause="133.2.2; 433.1.1; 526.1")
def block_below_fuse(thing: Equipment, design: Design) -> Answer:
    """A connector block, time switch or meter before the boards is rated for less than the fuse before it.

    Why: everything the home takes goes through its screws, and nothing opens while they run hot.
    Remedial: a block of at least that rating; a meter or time switch is its operator's to change, so ask before the fuse is raised.
    Fires on: equipment.split = { kind = "blocks", rating_a = 50 }
      runs.feed-2.joins = ["meter.out", "split.1"]
      runs.feed-4 = { joins = ["split.2", "arrester.top"], kind = "tails", size_mm2 = 25, length_m = 0.3, method = "C" }
    Passes on: equipment.split = { kind = "blocks", rating_a = 100 }
      runs.feed-2.joins = ["meter.out", "split.1"]
      runs.feed-4 = { joins = ["split.2", "arrester.top"], kind = "tails", size_mm2 = 25, length_m = 0.3, method = "C" }
    """
    family = kind(thing.kind).family
    if family not in ("block", "meter"):
        return does_not_apply("no connector block, time switch or meter")
    if family == "meter" and not thing.rating_a.known and "rating_a" not in kind(thing.kind).facts:
        return does_not_apply("what a meter is rated for is its operator's to say: asked with a raise of the fuse")
    before = devices.before_thing(thing.name, design)
    if not before:
        return does_not_apply("no line leads to it in the record")
    return at_least(thing.rating_a, design.rating_before_a(before)[1])


@rule("SV2", about="board", breach="advice", clause="411.3.2.3 Table 41.4", authority="common practice")
def service_fuse_slow_at_board(board: BoardDesign, design: Design) -> Answer:
    """A fault to earth at the end of a long run, or of tails longer than usual, may not open the service fuse within 5 s.

    Why: the run adds its own loop to that of the supply, tails theirs with what earths the board, and nothing but that fuse would open.
    Remedial: a device of its own where the run begins, or a larger conductor; a raise of the fuse makes it slower still.
    Fires on: runs.feed-3 = { joins = ["arrester.bottom", "unit.in"], kind = "t&e", size_mm2 = 10, cpc_mm2 = 4, length_m = 60, method = "C" }
    Passes on: runs.feed-3 = { joins = ["arrester.bottom", "unit.in"], kind = "t&e", size_mm2 = 16, cpc_mm2 = 6, length_m = 13, method = "C" }
    """
    if not board.is_reached:
        return Answer(None, "Not known: the record shows no way from the supply to this board")
    if not board.adds_ohm:
        return does_not_apply("its loop is that of the supply, of which EA6 asks")
    earthing, cutout = design.supply.earthing, design.supply.cutout
    before = design.rating_before_a(design.before(f"{board.thing.name}.in.L"))[0]
    if cutout is None or before != cutout.name:
        return does_not_apply("a device of its own stands before it")
    if not earthing.known:
        return cannot_tell(earthing)
    if earthing.amount not in FROM_NETWORK:
        return does_not_apply(f"on {earthing} a residual-current device clears faults to earth")
    return at_most(service.far_loop_ohm(board), design.supply.ze_fuse_limit_ohm)


@rule("SV3", about="equipment", breach="fails", clause="ESQCR 2002 reg 24; 132.16", authority="network operator")
def work_counts_on_another_fuse(thing: Equipment, design: Design) -> Answer:
    """The work counts on another service fuse than was found, and the network operator did not agree to it.

    Why: the fuse is the operator's; until it changes it, everything was chosen behind a fuse that is not there.
    Remedial: file its answer with the amperes that it names; until then choose everything behind the fuse that was found.
    Fires on: equipment.cutout.fuse_a = { enquiry = 80 }
      supplies.main.operator = "operator-east"
      replies.more = { about = "equipment.cutout", answers = ["service fuse"], by = "operator-east", ref = "Q-4", on = 2026-11-02, allows = false }
    Passes on: equipment.cutout.fuse_a = { enquiry = 80 }
      supplies.main.operator = "operator-east"
      replies.more = { about = "equipment.cutout", answers = ["service fuse"], by = "operator-east", ref = "Q-4", on = 2026-11-02, allows = true, raised_fuse_a = 80 }
    """
    if kind(thing.kind).family != "cut-out":
        return does_not_apply("no service fuse is in it")
    if not design.operator.in_work(("equipment", thing.name), ("fuse_a",)):
        return does_not_apply("its rating is as found")
    if not thing.fuse_a.known:
        return cannot_tell(thing.fuse_a)
    said = service.changed(design, thing)
    return does_not_apply("its rating is that which was found") if said is None else Answer(*said, (thing.fuse_a,))


RULES = (block_below_fuse, service_fuse_slow_at_board, work_counts_on_another_fuse)
