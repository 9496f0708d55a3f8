"""The hunt for the circuits of a board that leak: against plain integration, against invented boards, and what it may never say."""
from __future__ import annotations

import itertools
import math
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from spareway.readings import leaks
from spareway.readings.leaks import MINUTES, Hunt
from tests.readings.made_board import joined_mohm, made_board, shown_mohm

FOUR = {"a": 0.05, "b": 0.2, "c": 0.1, "d": 0.1}


def hunted(seed: int, circuits: int, leaking: int) -> tuple[set[str], set[str], float]:
    """What was found on an invented board, what is bad on it, and the minutes it took."""
    rng = np.random.default_rng([seed, circuits, leaking])
    board = made_board(rng, circuits, leaking)
    hunt, minutes, taken = Hunt(board.suspicion), 0.0, 0
    while (step := hunt.next()) is not None:
        minutes, taken = minutes + step.minutes, taken + 1
        hunt.reads(step.joined, shown_mohm(rng, joined_mohm(board, board.pair, step.joined), board.end_mohm), board.end_mohm)
        assert taken < 5 * circuits
    return set(hunt.found), set(board.bad), minutes


@pytest.mark.parametrize("leaking", [0, 1, 2, 3])
def test_invented_boards_end_with_the_circuits_that_leak(leaking: int) -> None:
    """No circuit is left out and none is blamed, in fewer minutes than the circuits take one by one.

    The boards share no code with the engine; studies/study_insulation.py goes through many more."""
    found, bad, minutes = hunted(5, 8, leaking)
    assert found == bad
    one_by_one = 1 + 8 * leaks.MINUTES["reading"] + (7 + 7 * 2) * leaks.MINUTES["way"]
    assert minutes <= one_by_one * (1 if leaking < 3 else 1.5)


def test_probabilities_agree_with_plain_integration() -> None:
    """A second method: leaks drawn at random over two readings, with no grid, no cells and no cutting.

    Where two readings differ by little the grid is the less sure of the two: the width of its cells counts in each reading."""
    rng = np.random.default_rng(3)
    readings = [({"a", "b", "c", "d"}, 0.30), ({"a", "b"}, 2.1)]
    hunt = Hunt(FOUR)
    for joined, mohm in readings:
        hunt._weigh(frozenset(joined), mohm, math.inf)
    drawn = 200_000

    def likely(bad: tuple[str, ...]) -> float:
        leak = {n: np.exp(rng.normal(np.log(4), 1.4, drawn)) for n in bad}
        us = {n: np.exp(rng.normal(-6.5, 1, drawn)) + leak.get(n, 0) for n in FOUR}
        kept = np.all([(leak[n] > 0.36) & (leak[n] < 220) for n in bad], axis=0) if bad else np.ones(drawn, bool)
        nats = np.zeros(drawn)
        for joined, mohm in readings:
            sigma = math.hypot(0.02, 0.02 / mohm)
            nats -= 0.5 * ((np.log(mohm) + np.log(sum(us[n] for n in joined))) / sigma) ** 2 + math.log(sigma)
        return float(np.exp(nats)[kept].mean()) * math.prod(FOUR[n] / (1 - FOUR[n]) for n in bad)

    weight = {frozenset(bad): likely(bad) for n in range(3) for bad in itertools.combinations(FOUR, n)}
    ours, whole = dict(hunt.sets()), math.fsum(weight.values())
    assert len([bad for bad, w in weight.items() if w > 0.02 * whole]) >= 2
    assert max(abs(ours.get(bad, 0) - w / whole) for bad, w in weight.items()) < 0.05


def test_one_is_called_bad_only_where_a_reading_shows_it() -> None:
    """However sure the weighing is: the one it parts must be read bad among none but good ones, and is else taken back."""
    hunt = Hunt({"a": 0.4, "b": 0.01, "c": 0.01})
    hunt.reads(["a", "b", "c"], 0.30)
    hunt.found = ["a"]                                         # as if it had been sure of the wrong one
    hunt.reads(["b", "c"], 0.30)
    while (step := hunt.next()) is not None:
        hunt.reads(step.joined, 0.30 if "c" in step.joined else math.inf, 999)
    assert hunt.found == ["c"]
    assert not hunt.unproved


def test_a_board_that_leaks_everywhere_blames_no_circuit() -> None:
    """Sixteen circuits of 20 MΩ read 1.25 MΩ together: below what is looked into, and none of them is bad."""
    hunt = Hunt({f"c{n}": 0.1 for n in range(16)})
    while (step := hunt.next()) is not None:
        hunt.reads(step.joined, 20 / len(step.joined))
    assert hunt.found == []
    assert hunt.everywhere


def test_nothing_to_look_for() -> None:
    """A board that reads well at once, and a board of no circuits."""
    hunt = Hunt(FOUR)
    assert hunt.next().joined == ("a", "b", "c", "d")
    hunt.reads(FOUR, 150)
    assert hunt.next() is None
    assert hunt.found == []
    assert not hunt.everywhere
    assert Hunt({}).next() is None


def test_a_dead_short_hides_nothing_for_good() -> None:
    """0.00 MΩ is a reading: the shorted one is parted, and the smaller leak behind it is found too."""
    hunt = Hunt(FOUR)
    mohm = {"a": 0.0, "b": 400.0, "c": 0.9, "d": 300.0}
    while (step := hunt.next()) is not None:
        some = [mohm[n] for n in step.joined]
        hunt.reads(step.joined, 0.0 if 0.0 in some else round(1 / math.fsum(1 / m for m in some), 2))
    assert sorted(hunt.found) == ["a", "c"]


def test_circuits_there_are_not_are_refused() -> None:
    with pytest.raises(ValueError, match="no circuits of this board: z"):
        Hunt(FOUR).reads(["a", "z"], 1)
    with pytest.raises(ValueError, match="none"):
        Hunt(FOUR).reads([], 1)


# ---- where parting is dear ----------------------------------------------------------------------------------------------
def test_a_lifted_neutral_is_read_by_itself_and_nothing_is_landed_to_be_read() -> None:
    """Neutrals lifted by hand (1.5 min each, common practice, no source): the bar, then one after another lifted and read by itself,
    the likeliest first; each costs its lift and its reading, and once the leak is found the rest is read on the bar as it stands."""
    chances = {"a": 0.3, "b": 0.2, "c": 0.1, "d": 0.1, "e": 0.1}
    leaks = {"b": 0.3}
    hunt, minutes, read = Hunt(chances, MINUTES["neutral"]), 0.0, []
    while (step := hunt.next()) is not None:
        shown = min([leaks[name] for name in step.joined if name in leaks], default=math.inf)
        hunt.reads(step.joined, shown, 200.0)
        minutes += step.minutes
        read.append(step.joined)
    assert read == [("a", "b", "c", "d", "e"), ("a",), ("b",), ("c", "d", "e")]
    assert hunt.found == ["b"]
    assert minutes == 1 + 2.5 + 2.5 + 1                                        # b is lifted already when the bar is read
    assert hunt.on_bar == {"c", "d", "e"}


def test_the_same_boards_whatever_the_order_of_a_set() -> None:
    """Two processes that hash words otherwise draw the same board: seeds are fixed."""
    draw = ("import numpy as np; from tests.readings.made_board import made_board; "
            "print(sorted(made_board(np.random.default_rng([7, 3]), 9, 3).mohm['L-E'].items()), made_board(np.random.default_rng([7, 3]), 9, 3).mohm['N-E'])")
    drawn = {subprocess.run([sys.executable, "-c", draw], capture_output=True, text=True, check=True, cwd=Path(__file__).parents[2],
                            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": "src:."}).stdout for seed in ("0", "1")}
    assert len(drawn) == 1
