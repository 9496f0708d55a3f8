"""Path sets, states kept up to date one control at a time, and counts, against all states at once. Second method."""
from __future__ import annotations

from itertools import product
from random import Random

import pytest

from spareway.kinds.joints import Link
from spareway.wiring.network import Network
from spareway.wiring.paths import CAP, Trace, path_sets, smallest, states
from spareway.wiring.potentials import MARKS
from spareway.wiring.sections import fused
from tests.wiring.invented import house, tangle
from tests.wiring.oracle import OPENABLE, Case, EveryState

CASES = [(house if seed % 2 else tangle)(seed) for seed in range(5000, 5120)]


def asked(case: Case) -> Network:
    return Network(case.links, case.sources, case.controls, case.permitted)


def openable(case: Case) -> list[str]:
    return sorted(name for name, role in case.controls.items() if role in OPENABLE)


@pytest.mark.parametrize("letter", ["L", "N", "E"])
def test_counts_are_those_of_every_state(letter: str) -> None:
    for case in CASES:
        every = EveryState(case, openable(case))
        counts = {t: every.joined[letter].get(t, 0).bit_count() for t in case.terminals}
        assert asked(case).counts(letter) == counts


@pytest.mark.parametrize("cap", [CAP, 0])
def test_after_any_toggles_what_is_joined_is_what_that_state_says(cap: int) -> None:
    """With paths and, above the cap, by plain search."""
    random = Random(3)
    for case in CASES:
        names = openable(case)
        line = EveryState(case, names).joined["L"]
        net = asked(case)
        trace = Trace(net.record, net.sections(), MARKS["L"], path_sets(net.sections(), MARKS["L"], cap))
        state = 0
        for control in random.choices(names, k=12) if names else ():
            trace.toggle(control)
            state ^= 1 << names.index(control)
            live = {t for t in case.terminals if line.get(t, 0) >> state & 1}
            assert set(trace.live_terminals()) == live
            assert {t for t in case.terminals if trace.live(t)} == live
        assert set(trace.opened) == {name for i, name in enumerate(names) if state >> i & 1}
        assert trace.potential() == net.potential(trace.opened)


def test_paths_are_not_counted_above_the_cap(monkeypatch: pytest.MonkeyPatch) -> None:
    both = {"s": "skilled", "t": "skilled"}
    net = Network([Link("a", "b", control="s"), Link("a", "b", control="t")], {"a": "L"}, both)
    assert path_sets(net.sections(), MARKS["L"], 3) == [[0], [1, 2]]
    assert path_sets(net.sections(), MARKS["L"], 2) is None
    assert net.count("b") == 3
    monkeypatch.setattr("spareway.wiring.network.path_sets", lambda sections, marks: None)
    assert Network(net.links, net.sources, net.controls).count("b") is None


def test_what_is_kept_is_smallest() -> None:
    """Also where a second pole of the same switch is the shorter way to a terminal than a second switch."""
    gang = [Link("a", "b", control="s"), Link("b", "c", control="t"), Link("b", "c", control="s")]
    net = Network(gang, {"a": "L"}, {"s": "skilled", "t": "skilled"})
    assert path_sets(net.sections(), MARKS["L"]) == [[0], [1], [1]]
    for case in CASES:
        for paths in path_sets(asked(case).sections(), MARKS["L"]) or ():
            assert sorted(paths) == sorted(smallest(paths))


def test_ganged_poles_are_one_control() -> None:
    """Out by one pole and back by the other of the same switch is one thing to open, not two."""
    links = [Link("a", "b", control="s"), Link("b", "c"), Link("c", "d", control="s")]
    net = Network(links, {"a": "L"}, {"s": "skilled"})
    assert net.count("d") == 1
    assert net.lock_off(["d"]).controls == ("s",)


def test_states_are_counted_as_by_trying_them_all() -> None:
    random = Random(4)
    for _ in range(200):
        controls = random.randint(1, 9)
        paths = smallest(random.randrange(1 << controls) for _ in range(random.randint(0, 14)))
        tried = [any(path & closed == path for path in paths) for closed in range(1 << controls)]
        assert states(paths, controls) == tried.count(True)


def test_fused_joins_what_the_pairs_join_and_nothing_else() -> None:
    assert fused(6, [(5, 4), (4, 3), (1, 0)]) == [0, 0, 2, 3, 3, 3]
    for size, pairs in product((1, 4), ([], [(0, 0)])):
        assert fused(size, pairs) == list(range(size))
