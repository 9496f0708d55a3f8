"""The ways of a board: which are taken, which a person said are empty, which nobody answered for."""
from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from spareway.job.job import Installation

__all__ = ["free_ways", "taken_ways", "ways_in_words", "ways_unsaid"]


def taken_ways(inst: Installation, board: str) -> set[int]:
    """The ways of a board that a circuit stands in."""
    lands = (circuit.way.partition(".") for circuit in inst.circuits.values())
    return {int(way) for name, _, way in lands if name == board and way}


def free_ways(inst: Installation, board: str) -> set[int]:
    """The ways that a person said no cable comes to, its contacts bare or covered, and those that the work took a circuit out of;
    without what a circuit was put in since."""
    thing = inst.equipment[board]
    said = {*(thing.empty_ways.amount or ()), *(thing.bare_ways.amount or ())}
    return (said | _taken_out(inst, board)) - taken_ways(inst, board)


def _taken_out(inst: Installation, board: str) -> set[int]:
    """Of a board that stays, the ways in which something stood as found."""
    at, before = ("equipment", board, "kind"), inst.before
    if before is None or before.doc.places.get(at) != inst.doc.places.get(at):
        return set()
    return taken_ways(before, board)


def ways_unsaid(inst: Installation, board: str) -> tuple[int, ...] | None:
    """The ways that nobody answered for: no circuit stands there and nobody said that nothing does. None where nobody counted."""
    ways_n = inst.equipment[board].ways_n
    if not ways_n.known:
        return None
    said = taken_ways(inst, board) | free_ways(inst, board)
    return tuple(way for way in range(1, int(ways_n.value) + 1) if way not in said)


def ways_in_words(ways: Sequence[int]) -> str:
    """`way 3`, `ways 3 to 6`, `ways 3, 5 and 6`; ways in their order, at least one."""
    if len(ways) == 1:
        return f"way {ways[0]}"
    if len(ways) > 2 and [*ways] == [*range(ways[0], ways[-1] + 1)]:
        return f"ways {ways[0]} to {ways[-1]}"
    return f"ways {', '.join(map(str, ways[:-1]))} and {ways[-1]}"
