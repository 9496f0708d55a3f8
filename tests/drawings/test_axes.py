"""Axes: a value stands where it belongs, labels keep apart, hatching stays where it is put."""
from __future__ import annotations

import math
import re
from itertools import pairwise
from random import Random

import pytest

from spareway.drawings.axes import Axis, decades, hatched, log_of_ten, nice_range, round_steps, spread


def test_the_logarithm_is_that_of_the_library() -> None:
    """A second method: the platform's own, which the drawings may not use since its last digit differs between machines."""
    dice = Random(1)
    for _ in range(5_000):
        value = 10 ** dice.uniform(-9, 12)
        assert log_of_ten(value) == pytest.approx(math.log10(value), abs=1e-12)
    for bad in (0.0, -1.0, math.inf, math.nan):
        with pytest.raises(ValueError, match="has no place"):
            log_of_ten(bad)


def test_a_value_stands_in_its_place() -> None:
    """On a logarithmic axis equal ratios take equal room; on a straight one equal differences; also drawn from top to bottom."""
    log = Axis(1.0, 1000.0, 40.0, 340.0, log=True)
    assert [round(log.at(v), 9) for v in (1, 10, 100, 1000)] == [40, 140, 240, 340]
    down = Axis(0.02, 20_000.0, 300.0, 0.0, log=True)
    assert down.at(0.2) == pytest.approx(250)
    assert Axis(0.0, 50.0, 10.0, 110.0).at(12.5) == pytest.approx(35)
    assert log.holds(1000)
    assert not log.holds(1001)


def test_labels_keep_apart_in_their_order() -> None:
    """Of 500 random rows: none nearer than asked, none outside, order kept, and one that has room is not moved."""
    dice = Random(2)
    for _ in range(500):
        wanted = sorted(dice.uniform(0, 300) for _ in range(dice.randint(1, 9)))
        placed = spread(wanted, 15, 0, 300)
        assert all(b - a >= 15 - 1e-6 for a, b in pairwise(placed))
        assert all(-1e-6 <= x <= 300 + 1e-6 for x in placed)
        if all(b - a >= 15 for a, b in pairwise(wanted)):
            assert placed == pytest.approx(wanted)
    pressed = spread([5.0] * 5, 15, 0, 40)
    assert all(b - a == pytest.approx(10) for a, b in pairwise(pressed)), "more than there is room for share it evenly"


def test_ends_and_steps_are_round() -> None:
    assert nice_range([12, 676]) == (5, 1000)
    assert nice_range([0.4]) == (0.2, 0.5)
    with pytest.raises(ValueError, match="nothing to put"):
        nice_range([0.0])
    assert round_steps(11.5, 5) == [0, 5, 10]
    assert round_steps(5.6, 5) == [0, 2, 4]
    assert len(round_steps(30.0, 5)) == 4
    with pytest.raises(ValueError, match="no steps"):
        round_steps(0.0, 5)
    said = dict(decades(Axis(5, 2000, 0, 300, log=True)))
    assert [value for value, words in said.items() if words] == [5, 10, 20, 50, 100, 200, 500, 1000, 2000] or {10, 100, 1000} <= {
        v for v, words in said.items() if words}


def test_hatching_fills_its_rectangle_and_no_more() -> None:
    """Of 200 random rectangles: no stroke outside, every stroke at 45 degrees, and those of a neighbour go on in the same lines."""
    dice = Random(3)
    for _ in range(200):
        left, top = dice.uniform(0, 300), dice.uniform(0, 300)
        right, bottom = left + dice.uniform(2, 120), top + dice.uniform(2, 120)
        for x0, y0, x1, y1 in strokes(hatched(left, top, right, bottom)):
            assert left - 0.06 <= x0 <= x1 <= right + 0.06
            assert top - 0.06 <= y1 <= y0 <= bottom + 0.06
            assert x0 + y0 == pytest.approx(x1 + y1, abs=0.21)
            assert (x0 + y0) / 9 == pytest.approx(round((x0 + y0) / 9), abs=0.03)
    assert len(strokes(hatched(0, 0, 90, 9))) == 10


def strokes(d: str) -> list[tuple[float, float, float, float]]:
    numbers = [float(each) for each in re.findall(r"-?[\d.]+", d)]
    return [(numbers[i], numbers[i + 1], numbers[i + 2], numbers[i + 3]) for i in range(0, len(numbers), 4)]
