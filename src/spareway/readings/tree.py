"""The circuits of a board as a tree of leaks: each with its insulation, its share of what leaks in all, and what to take out."""
from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from spareway.fact import Fact
from spareway.readings.floor import insulation
from spareway.readings.insulation import Leak, Together, together
from spareway.tables import look_up

if TYPE_CHECKING:
    from spareway.design.design import Design

__all__ = ["Branch", "Tree", "tree"]


@dataclass(frozen=True, slots=True)
class Branch:
    """A circuit that was read. share: of what all that were read leak together; None where one of them stands at nought.

    over: its range ended there, so that it leaks no more than that. suspect: it, or what it feeds, is to be taken out."""
    circuit: str
    leak: Leak
    share: float | None
    over: bool
    suspect: bool


@dataclass(frozen=True, slots=True)
class Tree:
    """`least_mohm` is what the standard asks of each; `look_into_mohm` is where one looks for the cause although it is met."""
    board: str
    together: Together
    branches: tuple[Branch, ...]
    least_mohm: float
    look_into_mohm: Fact[float]


def tree(design: Design, board: str = "") -> Tree:
    """The standing insulation rows of the circuits of a board, of the home where none is named, the worst first."""
    of = together(design, board)
    out = {part.circuit for part in of.order}
    whole = of.sum.amount
    branches = [Branch(leak.circuit, leak, whole / leak.fact.value if whole else None, bool(leak.row.over), leak.circuit in out)
                for leak in of.leaks]
    look_into = look_up("thresholds", design.books, design.case("insulation_look_into_mohm"))
    return Tree(board, of, tuple(branches), insulation(design).least, look_into)
