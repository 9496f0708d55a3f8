"""What the examples' networks say, said again by a search and by currents that share no code with them."""
from __future__ import annotations

import pytest

from tests.scenarios.folders import design, overlay
from tests.wiring import oracle
from tests.wiring.oracle import Case

YARD_WRONG = overlay("granary-yard", "wrong-end.toml")
STATES = [("weir-cottage", "found", ""), ("weir-cottage", "proposed", ""), ("granary-yard", "found", ""),
          ("granary-yard", "fitted", ""), ("granary-yard", "fitted", YARD_WRONG), ("ridge-annexe", "found", ""),
          ("ridge-annexe", "proposed", "")]
NAMES = ["weir found", "weir proposed", "granary found", "granary fitted", "granary wrong end", "ridge found",
         "ridge proposed"]
PARTS = [("weir-cottage", "found", "", ("house.bar.L",)),
         ("weir-cottage", "proposed", "", ("board.16.in.L", "board.16.in.N")),
         ("granary-yard", "fitted", "", ("isolator.surge.L", "isolator.surge.N")),
         ("granary-yard", "fitted", YARD_WRONG, ("isolator.surge.L", "isolator.surge.N")),
         ("ridge-annexe", "found", "", ("old-board.main.L", "old-board.main.N")),
         ("ridge-annexe", "proposed", "", ("board.bar.L", "board.bar.N"))]


def case_of(name: str, stage: str, lines: str, parts: tuple[str, ...] = ()) -> Case:
    of = design(name, stage, lines).network
    return Case(of.links, of.sources, of.controls, of.permitted, parts, "skilled", False)


@pytest.mark.parametrize(("name", "stage", "lines"), STATES, ids=NAMES)
def test_each_opening_and_each_lifted_conductor(name: str, stage: str, lines: str) -> None:
    """Nothing open, each control open, each conductor lifted, everything open: every potential by search."""
    case, network = case_of(name, stage, lines), design(name, stage, lines).network
    for state in [[], *([c] for c in case.controls), *([c] for c in case.lifts), list(case.controls)]:
        assert network.potential(state) == oracle.potentials(case, state), state


@pytest.mark.parametrize(("name", "stage", "lines"), STATES, ids=NAMES)
def test_by_current(name: str, stage: str, lines: str) -> None:
    """The same by solving the loads as resistors: nothing open, and every switch of ours open."""
    case, network = case_of(name, stage, lines), design(name, stage, lines).network
    for state in ([], [c for c, who in case.controls.items() if who in ("ordinary", "skilled")], case.lifts[:3]):
        assert network.potential(state) == oracle.by_current(case, state), state


@pytest.mark.parametrize(("name", "stage", "lines", "parts"), PARTS, ids=[" ".join((*p[:2], p[3][0])) for p in PARTS])
def test_lock_off_is_the_smallest_there_is(name: str, stage: str, lines: str, parts: tuple[str, ...]) -> None:
    """No smaller lock-off is dead by search: every smaller set of what may be opened is tried."""
    case, network = case_of(name, stage, lines, parts), design(name, stage, lines).network
    found = network.lock_off(parts, "skilled").controls
    assert found == smallest(case)


def smallest(case: Case) -> tuple[str, ...] | None:
    """The first set, in order of size and name, that leaves every part dead; None when all open together do not.

    Sets of up to three are tried one by one; none of these homes needs more."""
    from itertools import combinations
    controls = case.may_open()

    def dead(opened: tuple[str, ...]) -> bool:
        now = oracle.potentials(case, opened)
        return all(now[part] in case.dead() for part in case.parts)
    for size in range(4):
        for chosen in combinations(controls, size):
            if dead(chosen):
                return chosen
    assert not dead(tuple(controls))
    return None
