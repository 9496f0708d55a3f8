"""Linear equations by elimination: by hand, put back into the equations, and by numpy."""
from __future__ import annotations

import random

import numpy as np
import pytest

from spareway.physics.equations import solved


def test_three_by_hand() -> None:
    """x = 2, y = -1, z = 3; nought stands where the first pivot would be. Own arithmetic."""
    assert solved([[0, 2, 1, 1], [1, 1, 1, 4], [3, -1, -2, 1]]) == pytest.approx([2, -1, 3], abs=1e-12)


def test_any_are_as_numpy_has_them() -> None:
    """A hundred at random, two to six unknowns: a second method, and put back into the equations."""
    chance = random.Random(5)
    for _ in range(100):
        size = chance.randint(2, 6)
        rows = [[chance.uniform(-9, 9) for _ in range(size + 1)] for _ in range(size)]
        whole = np.array(rows)
        assert solved(rows) == pytest.approx(np.linalg.solve(whole[:, :-1], whole[:, -1]).tolist(), rel=1e-6, abs=1e-9)
        assert (whole[:, :-1] @ np.array(solved(rows))).tolist() == pytest.approx(whole[:, -1].tolist(), rel=1e-6, abs=1e-6)


def test_without_a_single_answer_there_is_none() -> None:
    """The same line twice, and one that contradicts another."""
    for rows in ([[1, 2, 3], [2, 4, 6]], [[1, 2, 3], [1, 2, 4]]):
        with pytest.raises(ZeroDivisionError):
            solved(rows)
