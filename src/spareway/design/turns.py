"""Where a choice turns: for each amount it rests on, how far it holds either way and what comes then."""
from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from spareway.design.route import GROUND_C
from spareway.fact import Fact, Formula

__all__ = ["TURNING", "Turn", "turns"]

TURNING = ("length_m", "load_w", "load_a", "ze_ohm", "ambient_c", "grouped_n", "in_insulation_mm")
STEP, STEPS, CLOSE = 2.0, 10, 1e-4                      # to a thousand times and to a thousandth; halved to 1 in 10,000
FINE_STEP, FINE_STEPS = 1.25, 31                        # for Ze, hard on the loop when high and on heat when low


@dataclass(frozen=True, slots=True)
class Turn:
    """An amount that the choice rests on. None where nothing turns as far as was sought.

    holds_to, holds_from: the greatest and the least with the same answer
    then, before: the answers beyond them; nothing where nothing conforms there, or a table ends"""
    root: Fact[Any]
    holds_to: float | None
    then: str
    holds_from: float | None
    before: str


def turns(choice: Fact[str]) -> list[Turn]:
    """For each given amount of its own that a choice rests on, and for Ze. Sought in steps, then halved; grouping by whole
    numbers. Range: what changes and changes back within a step is not seen: only Ze can, so its steps are quarters."""
    if not choice.known:
        return []
    roots = [root for root in choice.roots() if root.name in TURNING and not root.inputs
             and (root.name == "ze_ohm" or root.at.startswith(f"{choice.at}."))]
    if not any(root.name in ("load_w", "load_a") for root in roots):           # made up of appliances: the current they come to
        roots.insert(0, choice.inputs[0])
    found = []
    for root in roots:
        if isinstance(root.amount, int | float) and root.amount > 0:
            up, down = _sought(choice, root, up=True), _sought(choice, root, up=False)
            found.append(Turn(root, *up, *down))
    return found


def _sought(choice: Fact[str], root: Fact[Any], up: bool) -> tuple[float | None, str]:
    """The last amount with the same answer, and the next answer."""
    near, amounts = float(root.value), list(_amounts(root, up, _in_ground(choice, root)))
    if root.name != "ze_ohm" and (not amounts or choice.again({root: amounts[-1]}) == choice.amount):
        return None, ""                                 # worse is never smaller: the same at the far end is the same all the way
    for far in amounts:
        there = choice.again({root: far})
        if there != choice.amount:
            return (near, there or "") if root.name == "grouped_n" else _halved(choice, root, near, far)
        near = far
    return None, ""


def _in_ground(choice: Fact[str], root: Fact[Any]) -> bool:
    """Whether it is the temperature of the ground, whose factor is a formula good only within the range of its table."""
    return any(root in fact.inputs and isinstance(fact.formula, Formula) and fact.formula.name == "ca_ground"
               for fact in choice.roots())


def _amounts(root: Fact[Any], up: bool, in_ground: bool) -> Iterator[float]:
    if root.name == "grouped_n":
        yield from range(int(root.value) + 1, 31) if up else range(int(root.value) - 1, 0, -1)
        return
    far, (least, most) = float(root.value), GROUND_C if in_ground else (0.0, math.inf)
    step, steps = (FINE_STEP, FINE_STEPS) if root.name == "ze_ohm" else (STEP, STEPS)
    for _ in range(steps):
        if far in (least, most):
            return
        far = min(far * step, most) if up else max(far / step, least)
        yield far


def _halved(choice: Fact[str], root: Fact[Any], near: float, far: float) -> tuple[float, str]:
    while abs(far - near) > CLOSE * abs(near):
        middle = (near + far) / 2
        if choice.again({root: middle}) == choice.amount:
            near = middle
        else:
            far = middle
    return near, choice.again({root: far}) or ""
