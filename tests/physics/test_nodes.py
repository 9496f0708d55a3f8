"""2,000 random circuits of each family against the nodes of their network, and the comparison itself sees a difference."""
from __future__ import annotations

import numpy as np
import pytest

from tests.physics.nodes import FAMILIES, apart

SAME = 1e-9


@pytest.mark.parametrize("family", FAMILIES)
def test_two_thousand_circuits(family: str) -> None:
    """Every one within a billionth; the study has a hundred thousand."""
    found = FAMILIES[family](np.random.default_rng(5), 2000)
    assert found.shape == (2000,)
    assert float(found.max()) <= SAME


def test_a_difference_is_seen() -> None:
    """Two billionths in one of three numbers of one circuit, and a nought that is none."""
    ours = np.array([[1.0, 2.0, 0.0], [1.0, 2.0 * (1 + 2e-9), 0.0], [1.0, 2.0, 1e-9]])
    nodes = np.array([[1.0, 2.0, 0.0]] * 3)
    assert (apart(ours, nodes) > SAME).tolist() == [False, True, True]
