"""The service chain: every part that carries what the service fuse lets through, now and behind a fuse of another rating.

A raise is a what-if: the same installation behind another fuse, so that each quantity and each rule is asked again as it stands.
The fuse is the operator's. Its rating counts as read on it, and what another would be is an assumed fact that every answer names.
"""
from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from spareway.design.board import BoardDesign
from spareway.design.demand import GENERAL, OWN, Demand
from spareway.design.design import Design
from spareway.design.operator_answers import contradict, governing, speaks, unheard
from spareway.design.route import settled
from spareway.design.run import RunDesign
from spareway.design.supply import SupplyDesign
from spareway.fact import Fact, total
from spareway.physics import fault, supply
from spareway.tables import Books, look_up

if TYPE_CHECKING:
    from spareway.job.job import Installation
    from spareway.job.types import Equipment, Supply

ASKED = "asked: what if the operator fitted it"
SAME_STANDARD = "taken to be of the standard of the fuse that is there; the operator decides"


# ---- behind another fuse --------------------------------------------------------------------------------------------
class RaisedSupply(SupplyDesign):
    """A supply behind a fuse of another rating."""

    def __init__(self, of: Supply, inst: Installation, books: Books, to_a: float) -> None:
        super().__init__(of, inst, books)
        self.to_a = to_a

    @cached_property
    def fuse_a(self) -> Fact[float]:
        """The rating that is asked about."""
        return Fact("fuse_a", self.to_a, "assumed", "", ASKED, at=f"equipment.{self.supply.joins.partition('.')[0]}.fuse_a")

    @cached_property
    def fuse(self) -> Fact[str]:
        """The standard of the fuse that is there, where it was read: another one opens at other currents."""
        now = super().fuse
        return Fact("fuse", now.amount, "assumed", now.where, SAME_STANDARD, at=now.at) if now.known else now


class Raised(Design):
    """An installation behind a service fuse of another rating; everything else is as it was."""

    def __init__(self, inst: Installation, to_a: float, books: Books | None = None) -> None:
        super().__init__(inst, books)
        self.to_a = to_a

    @cached_property
    def supplies(self) -> dict[str, SupplyDesign]:
        """The first supply behind that fuse; no quantity is worked out from another one."""
        first = next(iter(self.inst.supplies), "")
        of = self.inst.supplies
        others = {name: SupplyDesign(s, self.inst, self.books) for name, s in of.items()}
        return others | {name: RaisedSupply(s, self.inst, self.books, self.to_a) for name, s in of.items() if name == first}


# ---- the chain ------------------------------------------------------------------------------------------------------
def chain(design: Design) -> list[str]:
    """The addresses of every part of the chain, from the street to the boards: what carries the load in its order, then the
    earthing of the supply, its bonds, the surge devices. Second sources are no part: the boards they feed into count them."""
    found: dict[str, None] = dict.fromkeys(f"supplies.{name}" for name in [*design.inst.supplies][:1])
    found |= dict.fromkeys(_landed(design))
    for board in boards_of_service(design):
        for name in on_the_way(board, design):
            found[name] = None
    found |= dict.fromkeys(run.at for run in design.runs.values() if run.carries_load and run.protected_by_service_fuse)
    found |= dict.fromkeys(run.at for run in design.runs.values() if design.is_earthing_conductor(run))
    found |= dict.fromkeys(run.at for run in design.runs.values() if run.run.kind == "bond")
    found |= dict.fromkeys(f"{'circuits' if name in design.circuits else 'equipment'}.{name}" for name in design.surges)
    return [*found]


def boards_of_service(design: Design) -> list[BoardDesign]:
    """The boards that no circuit of another board feeds, also those that the record shows no way to: they are unknown."""
    fed = {circuit.circuit.feeds.partition(".")[0] for circuit in design.circuits.values() if circuit.is_submain}
    return [board for board in design.boards.values() if board.thing.name not in fed
            and not any(name in design.circuits for name in design.runs_to(f"{board.thing.name}.in.L"))]


def _landed(design: Design) -> list[str]:
    """The thing on which the first supply lands."""
    name = next((supply.joins.partition(".")[0] for supply in design.inst.supplies.values()), "")
    return [f"equipment.{name}"] if name in design.inst.equipment else []


def on_the_way(board: BoardDesign, design: Design) -> list[str]:
    """The addresses of the things and runs between where the supply lands and a board, and the board."""
    found: dict[str, None] = dict.fromkeys(_landed(design))
    for link in design.links_to(f"{board.thing.name}.in.L"):
        run, things = link.lift.partition(".")[0], [end.partition(".")[0] for end in (link.a, link.b)]
        if run in design.inst.runs:                       # what it leads to follows with the next link, inside that thing
            found[f"runs.{run}"] = None
        else:
            found |= dict.fromkeys(f"equipment.{thing}" for thing in things if thing in design.inst.equipment)
    found.setdefault(f"equipment.{board.thing.name}", None)
    return [*found]


# ---- a fault at the far end -----------------------------------------------------------------------------------------
def is_before_origin(run: RunDesign, design: Design) -> bool:
    """Whether a run lies on the way to a board, before where the installation begins: the supply's loop is that behind it."""
    return any(run.run.name in design.runs_to(f"{board.thing.name}.in.L") and run not in board.runs_before
               for board in design.boards.values())


def far_loop_ohm(board: BoardDesign) -> Fact[float]:
    """The loop at a board that no circuit feeds, with everything before it at its working temperature."""
    hot = look_up("hot_factor", board.books, settled("case", "70C thermoplastic, cpc in cable or bunched", "kind of cable"))
    r1r2 = total("r1r2_ohm", board.adds_ohm, "one after another")
    return fault.zs_hot_ohm.worked(board.design.supply.ze_ohm, r1r2, hot)


# ---- a device of its own at the intake ------------------------------------------------------------------------------
def graded_a(design: Design) -> Fact[float]:
    """The most that a fuse at the intake may be rated at for the service fuse to be known to stay whole behind it."""
    ratio = look_up("thresholds", design.books, design.case("gg_over_gg"))
    return supply.graded_a.worked(design.supply.fuse_a, ratio)


# ---- amperes in hand ------------------------------------------------------------------------------------------------
def figures(demand: Demand, recorded: Fact[float] | None = None) -> tuple[tuple[str, Fact[float]], ...]:
    """Each figure of demand that there is, in words; they answer different questions. recorded: else by the logs on record."""
    readings = {OWN: "by the book, heaters whole", GENERAL: "by the book, heaters as heating and power"}
    by_book = [(says, demand.book_a(heaters)) for heaters, says in readings.items()]
    if not any(line.row == OWN for line in demand.book()):
        by_book = [("by the book", demand.book_a())]
    night = [("all that starts at the night hour", demand.at_night_a)] if demand.at_night_a is not None else []
    return (("connected", demand.connected_a), *by_book, ("lasting, as after an outage", demand.lasting_a), *night,
            ("recorded", demand.design.recorded.against(demand.design.supply.fuse_a) if recorded is None else recorded))


def stands_for_kw(design: Design) -> Fact[float]:
    """The power that the fuse stands for at the declared voltage, for those who think in kilowatts."""
    return supply.capacity_kw.worked(design.supply.fuse_a, design.supply.u0_v, settled("power_factor", 1.0, "heat by resistance"))


def in_hand_a(design: Design, demand_a: Fact[float]) -> Fact[float]:
    """What a figure of demand leaves of the fuse: nought where it leaves nothing. A spare way is not this."""
    return supply.in_hand_a.worked(design.supply.fuse_a, demand_a)


def over_a(design: Design, demand_a: Fact[float]) -> Fact[float]:
    """By how much a figure of demand is above the fuse: nought where it leaves something."""
    return supply.over_fuse_a.worked(design.supply.fuse_a, demand_a)


# ---- whose the fuse is ----------------------------------------------------------------------------------------------
def agreed(design: Design, to_a: float) -> tuple[bool | None, str]:
    """Whether the operator answered that it will put in such a fuse, and in words. None until it has: nobody else may.

    Its latest answer governs; of two of one day that contradict nobody knows which holds."""
    of = design.operator
    about = [reply for reply in design.inst.about.replies.values()
             if "service fuse" in reply.answers or not reply.answers and reply.raised_fuse_a.known]
    last = governing(of, about)
    if not last:
        others = "".join(f"; {reply.name}: {unheard(of, reply)}" for reply in about)
        return None, f"Not known: the operator alone raises its fuse, and no answer of it about that is on record{others}"
    reply = last[0]
    said = f"{reply.by} answered{f' ({reply.ref})' if reply.ref else ''}: {reply.says or reply.allows}"
    if contradict(last):
        return None, f"Not known: {' and '.join(each.name for each in last)} contradict, and which is the later is not known"
    if not all(of.holds(each) for each in last):
        return None, f"Not known: {said}, and the answer held until {reply.until}"
    if reply.allows.amount is False:
        return False, said
    if all(each.allows.amount is True and each.raised_fuse_a.known and each.raised_fuse_a.value >= to_a for each in last):
        return True, said
    return None, f"Not known: {said}; whether up to {to_a:g} A is not on record"


def changed(design: Design, thing: Equipment) -> tuple[bool | None, str] | None:
    """What the operator answered to the fuse that the work counts on, where that is not known to be the one that was found.

    None where it is, or where the work says nothing of it. Fitted without a word of the operator's: a no."""
    if not design.operator.in_work(("equipment", thing.name), ("fuse_a",)) or not thing.fuse_a.known:
        return None
    found = design.inst.before.equipment.get(thing.name) if design.inst.before else None
    was, now = None if found is None else as_read(found.fuse_a), as_read(thing.fuse_a)
    if was is not None and was == now:
        return None
    ok, says = agreed(design, thing.fuse_a.value)
    if ok is not None or design.inst.stage != "fitted" or _answered(design):
        return ok, says
    if was is None or now is None:
        return None, f"{says}; {'what was found there' if was is None else 'what was fitted'} was not read on the fuse"
    return False, f"{was:g} A was found, {now:g} A is fitted; {says.removeprefix('Not known: ')}"


def _answered(design: Design) -> bool:
    """Whether the recorded operator said anything about its fuse, be it what settles nothing."""
    return any("service fuse" in reply.answers and speaks(design.operator, reply) for reply in design.inst.about.replies.values())


def as_read(fuse_a: Fact[float]) -> float | None:
    """A rating as read on the fuse, or as its operator said; what somebody told, or took it to be, is none."""
    return next((said.value for how in ("marked", "enquiry") if (said := fuse_a.by(how)).known), None)
