"""Where an answer turns when one fact is otherwise: found to one part in a million, and in few steps."""
from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest

from spareway.fact import Fact, flips_at, formula, moved, unknown


@formula("own")
def zs_ohm(ze_ohm: float, r1_ohm: float, r2_ohm: float) -> float:
    """Fault loop."""
    return ze_ohm + r1_ohm + r2_ohm


@formula("own")
def fault_a(u0_v: float, zs_ohm: float) -> float:
    """Fault current."""
    return u0_v / zs_ohm


def stated(name: str, amount: Any, how: str = "stated") -> Fact[Any]:
    return Fact(name, amount, how, "found.toml:1")


@pytest.mark.parametrize("margin", [lambda by: by, lambda by: 0.0, lambda by: by ** 3, lambda by: math.copysign(1.0, by),
                                    lambda by: -by, lambda by: math.inf * by, lambda by: math.nan], ids=range(7))
def test_flips_at_finds_the_turn(margin: Callable[[float], float]) -> None:
    """To one part in a million above or below, whatever the margin says; none where it never turns, is not known or not positive.

    Asked at most once more than halving would ask."""
    asked: list[float] = []

    def within(limit: float) -> Any:
        def holds(amount: float) -> tuple[bool | None, float]:
            asked.append(amount)
            return None if amount > 1e4 else amount <= limit, margin(limit - amount)
        return holds
    root = stated("length_m", 21.0, "assumed")
    for limit in (52.0, 13.0, 21.0, 41.999, 20.999, 700.0):
        asked.clear()
        turn = flips_at(root, within(limit))
        assert turn == pytest.approx(limit, rel=2e-6)
        assert (turn <= limit) == (limit >= 21.0)
        assert len(asked) <= 11 + 11 + 21
    assert flips_at(root, within(0.001)) is None
    assert flips_at(root, lambda _: (True, 1.0)) is None
    assert flips_at(stated("length_m", 9000.0, "assumed"), within(1e9)) is None
    for other in (unknown("length_m"), stated("length_m", 0.0), stated("method", "C")):
        assert flips_at(other, lambda _: (True, 1.0)) is None


def test_where_a_smooth_margin_turns_is_found_in_few_steps() -> None:
    """Eight for a margin as of a voltage drop or a fault current; twenty by halving."""
    for turn, by in ((52.0, lambda x: 11.5 - 11.5 * x / 52.0), (31.0, lambda x: 230 / (0.2 + 0.01 * x) - 230 / 0.51)):
        asked: list[float] = []

        def holds(x: float, by: Callable[[float], float] = by, asked: list[float] = asked) -> tuple[bool, float]:
            asked.append(x)
            return by(x) >= 0, by(x)
        assert flips_at(stated("length_m", 21.0), holds) == pytest.approx(turn, rel=1e-6)
        assert len(asked) <= 11


def test_moved_is_again_laid_out_once() -> None:
    """As a fact worked out again with another amount, at every place where it can be; nothing where it does not rest on it."""
    ze = stated("ze_ohm", 0.21)
    whole = fault_a.worked(stated("u0_v", 230.0), zs_ohm.worked(ze, stated("r1_ohm", 0.1156), stated("r2_ohm", 0.1888)))
    for root in [f for f in whole.roots() if not f.inputs]:
        run = moved(whole, root)
        assert run is not None
        for amount in (0.1, 3.0, 0.0, None):
            assert run(amount) == whole.again({root: amount})
    assert moved(whole, stated("ze_ohm", 0.1)) is None
    same = moved(ze, ze)
    assert same is not None
    assert same(7.0) == 7.0
