"""Tails without a protective conductor of their own: what they add to the loop where they lead farther than usual.

Short ones add nothing: the supply's loop is taken as it was read, and nobody records at which end of them (decision 002).
"""
from __future__ import annotations

from collections.abc import Callable
from itertools import groupby
from typing import TYPE_CHECKING

from spareway.design.run import RunDesign
from spareway.fact import Fact, chosen, total, unknown
from spareway.physics import cable
from spareway.tables import look_up

if TYPE_CHECKING:
    from spareway.design.board import BoardDesign
    from spareway.design.circuit import CircuitDesign

LONGER = "longer than the usual condition for tails, so that they count with what earths their far end"


def brings_earth(leg: RunDesign | CircuitDesign) -> bool:
    """Whether a leg of the way to a board counts in the loop by itself."""
    return not isinstance(leg, RunDesign) or leg.brings_earth


def loop_ohm(board: BoardDesign) -> Fact[float] | None:
    """What plain tails to a board add to the loop to earth: their line, and what leads back from the board's earth.

    None where there are none, or none longer than usual. Unknown while a length or a size is."""
    return _where_long(board, lambda r1: cable.r1r2_ohm.worked(
        r1, _in_line("r2_ohm", _back(board), "from the earth of the board to that of the supply")))


def loop_ln_ohm(board: BoardDesign) -> Fact[float] | None:
    """What they add to the loop of line and neutral, which are alike."""
    return _where_long(board, lambda r1: total("r1r2_ohm", [r1, r1], "out by the line, back by a neutral like it"))


def _where_long(board: BoardDesign, loop: Callable[[Fact[float]], Fact[float]]) -> Fact[float] | None:
    """The loop of the pairs that are longer than usual; how long is asked first, and alone while it is not known."""
    pairs = [list(legs) for with_earth, legs in groupby(board.fed_by, brings_earth) if not with_earth]
    if not pairs:
        return None
    usual_m = look_up("thresholds", board.books, board.design.case("operator_tail_m"))
    said = [(_in_line("length_m", [leg.length_m for leg in legs], "tails one after another"), legs) for legs in pairs]
    long = [(of, legs) for of, legs in said if of.amount is None or of.amount > usual_m.value]
    if not long:
        return None
    r1 = _in_line("r1_ohm", [leg.r1_ohm for _, legs in long for leg in legs], "one after another")
    rest = [loop(r1)] if all(of.known for of, _ in long) else []
    inputs = [usual_m, *(of for of, _ in long), *rest]
    return chosen("r1r2_ohm", _adds, inputs, "counting them and leaving them out", LONGER, "decision 002")


def _in_line(name: str, facts: list[Fact[float]], source: str) -> Fact[float]:
    return facts[0] if len(facts) == 1 else total(name, facts, source)


def _adds(usual_m: float, *long_m_and_ohm: float) -> float:
    """What they add, given last, where one of the lengths before it is beyond the usual."""
    *long_m, loop_ohm = long_m_and_ohm
    return loop_ohm if any(length_m > usual_m for length_m in long_m) else 0.0


def _back(board: BoardDesign) -> list[Fact[float]]:
    """What leads back from the earth of a board to that of the supply: what is not yet counted with a run or circuit of the way
    there, nor in the supply's own loop."""
    design, counted = board.design, {leg.at for leg in board.fed_by if brings_earth(leg)}
    names = _on_the_way_back(board)
    runs = [run for name in names if (run := design.runs.get(name)) is not None and run.at not in counted]
    beyond = [run for run in runs if not design.is_earthing_conductor(run)] or runs
    circuits = [of for name in names if (of := design.circuits.get(name)) is not None and of.at not in counted]
    return [*(run.earth_ohm for run in beyond), *(of.r2_ohm for of in circuits)] or [unknown(
        "r2_ohm", "no conductor is known to lead from the earth of the board to that of the supply", at=board.at)]


def _on_the_way_back(board: BoardDesign) -> list[str]:
    """The runs and circuits by which metal leads from the earth of a board to that of the supply, where it is known to."""
    network, here = board.design.network, f"{board.thing.name}.in.E"
    if not network.joined([here], "E"):
        return []
    paths = [path for end, letter in network.sources.items() if letter == "E" and (path := network.path(here, end)) is not None]
    return list(dict.fromkeys(link.lift.partition(".")[0] for link in min(paths, key=len) if link.lift))
