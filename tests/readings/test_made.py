"""The generator itself: each class often enough, its arithmetic by hand, and nothing of the engine in it."""
from __future__ import annotations

import ast
import math
from collections import Counter
from pathlib import Path

import numpy as np
import pytest

from tests.readings import made, made_board, made_radial
from tests.readings.made import KINDS, PER_M, drawn_ring, made_ring, plain, shown, true_ohm
from tests.readings.made_board import PAIRS, joined_mohm, shown_mohm
from tests.readings.made_radial import HOME, KINDS_RADIAL, MadeRadial, drawn_radial, lead_ohm, linked_ohm

MANY, LEAST = 1200, 0.05


def test_it_shares_nothing_with_the_engine() -> None:
    """None of the three imports anything of ours but one another."""
    for each in (made, made_board, made_radial):
        tree = ast.walk(ast.parse(Path(each.__file__).read_text(encoding="utf-8")))
        names = {n.module or "" for n in tree if isinstance(n, ast.ImportFrom)}
        assert not [name for name in names if name.startswith("spareway")]
        assert {name for name in names if name.startswith("tests")} <= {"tests.readings.made"}


@pytest.mark.parametrize(("drawn", "kinds"), [(drawn_ring, KINDS), (drawn_radial, KINDS_RADIAL)])
def test_every_class_comes_often_enough(drawn: object, kinds: tuple[str, ...]) -> None:
    """Issue 6: each class of fault one time in twenty or more, sound ones too, loads left in and leads not nulled as well."""
    rng = np.random.default_rng(11)
    some = [drawn(rng) for _ in range(MANY)]                                    # type: ignore[operator]
    seen = Counter(each.kind for each in some)
    assert set(seen) == {"sound", *kinds}
    assert min(seen.values()) >= LEAST * MANY, seen
    assert sum(bool(each.loads) for each in some) >= LEAST * MANY
    assert sum(each.unnulled and each.kind != "lead not nulled" for each in some) >= LEAST * MANY
    assert sum(abs(told / real - 1) > 0.2 for each in some for told, real in zip(each.told_m, each.real_m, strict=True)) > 0.2 * MANY
    assert {len(each.points) for each in some} == set(range(4 if drawn is drawn_ring else 3, 15 if drawn is drawn_ring else 13))
    if drawn is drawn_ring:
        assert sum(each.sizes["E"] != each.sizes["L"] for each in some) > MANY / 2


def test_how_often_kinds_are_met_is_whole() -> None:
    """The shares by which results are weighed are one altogether, of every kind, none below one in twenty."""
    for kinds, met in ((KINDS, made.MET), (KINDS_RADIAL, made_radial.MET_RADIAL)):
        assert set(met) == set(kinds)
        assert math.fsum(met.values()) == pytest.approx(1)
        assert min(met.values()) >= LEAST


def test_boards_leak_in_none_to_three_circuits() -> None:
    """6 to 24 circuits, each number of leaking ones one time in twenty or more, loads left in as well."""
    rng = np.random.default_rng(12)
    boards = [made_board.made_board(rng) for _ in range(400)]
    assert {len(b.circuits) for b in boards} == set(range(6, 25))
    counts = Counter(len(b.bad) for b in boards)
    assert set(counts) == {0, 1, 2, 3}
    assert min(counts.values()) >= LEAST * len(boards)
    assert sum(bool(b.loaded) for b in boards) >= LEAST * len(boards)
    assert {b.pair for b in boards} == {"L-E", "N-E"}


def test_the_granary_ring_by_hand() -> None:
    """SCENARIOS, Granary: with the protective conductor broken after 5 the reading there is r1 × 14 + r2 × 24 = 0.386 Ω, at 6 0.317:
    of 38 m of line a share lies in each of two ways, and the earth has one."""
    metres = [3.0, 5, 5, 4, 7, 5, 5, 4]
    ring = plain([f"p{i}" for i in range(1, 8)], metres, {"L": "2.5", "N": "2.5", "E": "1.5"})
    ring.wires = [(a, b, math.inf if (a, b) == ("E.p5", "E.p6") else ohm) for a, b, ohm in ring.wires]
    r1, r2 = PER_M["2.5"], PER_M["1.5"]
    for point, earth_m, line_m in (("p5", 24, 14), ("p6", 38 - 29, 29)):
        assert true_ohm(ring, f"L-E {point}") == pytest.approx(earth_m * r2 + line_m * r1, abs=1e-3)
    assert true_ohm(ring, "L-N p3") == pytest.approx(38 * r1 / 2, abs=1e-3)
    assert true_ohm(ring, "E end to end") == math.inf
    assert true_ohm(ring, "leg A E p5") == pytest.approx(24 * r2, abs=1e-3)


def test_a_radial_by_hand() -> None:
    """R1 + R2 is a sum along the way there; an open earth is over range behind it alone; a load left in joins line and neutral."""
    tree = MadeRadial(["p1", "p2", "p3"], [4.0, 5, 6], [4.0, 5, 6], {"L": "2.5", "N": "2.5", "E": "1.5"}, "sound",
                      parents=[HOME, "p1", "p1"])
    made_radial.lay(np.random.default_rng(1), tree)
    both = PER_M["2.5"] + PER_M["1.5"]
    assert linked_ohm(tree, "LE", "p3") == pytest.approx(10 * both, abs=0.04)
    assert lead_ohm(tree, "N", "p2") == pytest.approx(9 * PER_M["2.5"], abs=0.03)
    tree.wires = [(a, b, math.inf if (a, b) == ("E.p1", "E.p3") else ohm) for a, b, ohm in tree.wires]
    assert linked_ohm(tree, "LE", "p3") == math.inf
    assert linked_ohm(tree, "LE", "p2") == pytest.approx(9 * both, abs=0.04)
    assert lead_ohm(tree, "L", "p1") < 0.05
    tree.wires += [(f"E.{HOME}", "E.p3", 1.0)]                                  # a pipe past the break
    assert linked_ohm(tree, "LE", "p3") == pytest.approx(1 + 10 * PER_M["2.5"], abs=0.03)
    tree.wires = [(a, b, math.inf if (a, b) == ("N.p1", "N.p3") else ohm) for a, b, ohm in tree.wires] + [("L.p3 contact", "N.p3 contact", 18.0)]
    assert linked_ohm(tree, "LN", "p3") == pytest.approx(18.0, abs=0.01)


def test_insulation_adds_as_conductance_by_hand() -> None:
    """SCENARIOS, Weir: 0.62, 1.9, 45, 60 and two at 200 MΩ together are 0.46 MΩ; without the cooker 1.7."""
    weir = {"cooker": 0.62, "immersion": 1.9, "lights": 45.0, "first": 60.0, "ring": 200.0, "spare": 200.0}
    board = made_board.MadeBoard(list(weir), dict.fromkeys(PAIRS, weir), frozenset(), "L-E", 999.0, {})
    assert joined_mohm(board, "L-E", weir) == pytest.approx(0.46, abs=0.005)
    assert joined_mohm(board, "L-E", set(weir) - {"cooker"}) == pytest.approx(1.7, abs=0.05)
    assert joined_mohm(board, "L-E", []) == math.inf


def test_the_displays_end() -> None:
    """Over range is no number; two digits and 3 % either way, whatever the null."""
    rng = np.random.default_rng(5)
    assert shown(rng, 100.0, 0.0) == math.inf
    assert shown_mohm(rng, 201.0, 200.0) == math.inf
    assert all(abs(shown(rng, 0.5, 0.1) - 0.6) <= 0.5 * 0.03 + 0.02 + 0.005 for _ in range(200))
    assert all(abs(shown_mohm(rng, 0.46, 200.0) - 0.46) <= 0.46 * 0.03 + 0.02 + 0.005 for _ in range(200))


def test_one_seed_one_ring() -> None:
    """The same seed gives the same circuit and the same readings."""
    one, other = (made_ring(np.random.default_rng(4), "bridge") for _ in range(2))
    assert one == other
