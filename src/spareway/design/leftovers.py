"""What two rates leave behind: how the home was metered, and what of it still hangs on the supply and serves nothing.

Each question is answered in one place, for the rules and for whoever lists what is left: yes, no, or cannot tell.
"""
from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from spareway.design.around import LIVE
from spareway.design.beyond import (
    boards_beyond,
    by_itself_before,
    circuits_beyond,
    hand_switches_before,
    in_use,
    leaves_untraced,
)
from spareway.kinds import kind

if TYPE_CHECKING:
    from spareway.design.board import BoardDesign
    from spareway.design.design import Design
    from spareway.design.run import RunDesign
    from spareway.job.job import Installation
    from spareway.job.types import Equipment

NIGHT_BOARD = "board-night"
NO_LINE = "no line leads to it in the record"
LINKED, IDLE_BOARD, IDLE_SWITCH, CUT = LEFTOVERS = (
    "linked straight through", "a board that serves nothing", "a switch or meter with nothing behind it", "tails cut and left")


OWN_CLOCK = "one meter, and a time switch of the customer's own behind the main switch"


@dataclass(frozen=True, slots=True)
class Seen:
    """Whether something still serves (ok), is left over (no), or cannot be told; applies: whether the question is one here."""
    ok: bool | None
    says: str
    applies: bool = True


@dataclass(frozen=True, slots=True)
class Leftover:
    """what: one of LEFTOVERS; at: its address; sure: whether it is one, or whether that cannot be told."""
    what: str
    at: str
    says: str
    sure: bool


# ---- the four questions ---------------------------------------------------------------------------------------------
def night_board(board: BoardDesign, design: Design) -> Seen:
    """A board of the night rate: does anything switch it still?"""
    if board.thing.kind != NIGHT_BOARD:
        return Seen(None, "not a board of the night rate", applies=False)
    into = f"{board.thing.name}.in.L"
    if not design.links_to(into):
        return Seen(None, "Not known: no line leads to it in the record")
    switched = by_itself_before(into, design)
    return Seen(bool(switched), f"switched by {', '.join(switched)}" if switched else
                "nothing between the meter and this board opens by itself")


def idle_board(board: BoardDesign, design: Design) -> Seen:
    """A board on the supply: does any circuit of it serve anything?"""
    circuits = [c for c in design.circuits.values() if c.board == board.thing.name and not c.is_surge]
    if not circuits:
        return Seen(None, "no circuit of it is recorded", applies=False)
    if not design.links_to(f"{board.thing.name}.in.L"):
        return Seen(None, NO_LINE, applies=False)
    used = [c.circuit.name for c in circuits if in_use(c) or not c.feeds]
    return Seen(bool(used), f"in use or not known to be idle: {', '.join(used)}" if used else
                f"{', '.join(c.circuit.name for c in circuits)} feed nothing")


def idle_switch(thing: Equipment, design: Design) -> Seen:
    """A meter or time switch on the supply: does anything in use lie beyond it, or beyond what it switches?"""
    of, name = kind(thing.kind), thing.name
    if of.family != "meter":
        return Seen(None, "neither a meter nor a time switch", applies=False)
    alone = [c for c, who in of.controls.items() if who == "itself"]
    asked = f"{name}.{alone[0]}" if alone else name
    if not any(t.startswith(f"{name}.") for t in design.reached):
        return Seen(None, NO_LINE, applies=False)
    if open_output(name, design.inst):
        return Seen(False, f"nothing is landed on {name}.switched, whose terminals come alive at their hour and lie open: "
                    "the operator's to make safe")
    used = [c.circuit.name for c in circuits_beyond(asked, design) if in_use(c) or not c.feeds]
    if used:
        return Seen(True, f"beyond {asked}: {', '.join(used)}")
    bare = [b for b in boards_beyond(asked, design) if not any(c.board == b for c in design.circuits.values())]
    if bare or leaves_untraced(name, design):
        return Seen(None, f"Not known: the circuits of {', '.join(bare)} are not recorded" if bare else
                    "Not known: a run that leaves it was not traced")
    return Seen(False, f"beyond {asked} no circuit is in use")


def cut_tails(run: RunDesign, design: Design) -> Seen:
    """A run that carries load: is an end of it cut and still on the supply?"""
    if not run.carries_load:
        return Seen(None, "it carries no load", applies=False)
    if "?" in run.run.joins:
        return Seen(None, "Not known: one of its ends was not traced")
    if len(run.run.joins) != 1:
        return Seen(True, "both its ends are recorded")
    now = design.network.potential()
    live = [t for t in now if t.startswith(f"{run.run.name}.cut.") and now[t] in LIVE]
    return Seen(not live, f"{', '.join(live)}: {now[live[0]]}" if live else "its cut end has no line in the record")


def open_output(name: str, inst: Installation) -> bool:
    """Whether a thing switches an output of its own on which nothing is landed."""
    return "switched" in kind(inst.equipment[name].kind).face and not switched_is_landed(name, inst)


def switched_is_landed(name: str, inst: Installation) -> bool:
    """Whether anything lands on the switched terminals of a meter."""
    return any(end.startswith(f"{name}.switched") for run in inst.runs.values() for end in run.joins)


# ---- all of them ----------------------------------------------------------------------------------------------------
def leftovers(design: Design) -> list[Leftover]:
    """All that is left over or may be, in the order of the record."""
    return [Leftover(what, at, seen.says, seen.ok is False) for what, at, seen in _asked(design) if seen.applies and not seen.ok]


def _asked(design: Design) -> Iterator[tuple[str, str, Seen]]:
    for board in design.boards.values():
        yield LINKED, board.at, night_board(board, design)
        yield IDLE_BOARD, board.at, idle_board(board, design)
    for name, thing in design.inst.equipment.items():
        yield IDLE_SWITCH, f"equipment.{name}", idle_switch(thing, design)
    for run in design.runs.values():
        yield CUT, run.at, cut_tails(run, design)


def layouts(design: Design) -> list[str]:
    """How the record says that two rates are metered, in words; none where it shows one rate.

    A meter of two registers that switches nothing looks like any other: it is told by its maker's marks alone."""
    meters = [n for n, e in design.inst.equipment.items() if kind(e.kind).family == "meter" and _on_supply(n, design)]
    clocks = [n for n in meters if design.inst.equipment[n].kind == "time-switch"]
    said = ["two separate meters"] if len(meters) - len(clocks) > 1 else []
    said += ["a meter with a switched output" for n in meters
             if "switched" in design.kind_of(n).face and switched_is_landed(n, design.inst)]
    own = [bool(hand_switches_before(f"{clock}.in.L", design)) for clock in clocks if not said]
    return [*dict.fromkeys([*said, *(OWN_CLOCK if behind else "a time switch beside the meter" for behind in own)])]


def _on_supply(name: str, design: Design) -> bool:
    return any(t.startswith(f"{name}.") for t in design.reached)
