"""Time/current curves of fuses and breakers: how soon a device opens at a current, read between printed points only.

A curve is held as the points that stand in print. Between two neighbours a straight line is laid on the log-log print, as a ruler
would; beyond the first and the last there is no answer. A breaker has one point, which is a bound: at or above the current at
which it must open at once it opens within that time, and below it nothing is told.
"""
from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from spareway.fact import Fact, formula, glossary

__all__ = ["Curve", "Points", "current_a", "current_for", "instant_holds_a", "let_by_a2s", "opens_by_s", "opens_within",
           "opens_within_s"]

Points = tuple[tuple[float, float], ...]
CLOSE = 1e-9                                    # relative: a current that is a printed one but for the noise of floats


@dataclass(frozen=True, slots=True)
class Curve:
    """The printed points of one device: (current in A, time in s), the currents rising and the times falling.

    bound   its last time holds at every greater current and says no more than `within`: a breaker's instantaneous opening
    Errors: ValueError where the points do not rise and fall so, or are not above nought."""
    points: Points
    bound: bool = False

    def __post_init__(self) -> None:
        pairs = itertools.pairwise(self.points)
        if not self.points or any(not (a > 0 and s > 0) for a, s in self.points):
            raise ValueError("a curve has at least one point, each of a current and a time above nought")
        if any(a >= b or s <= t for (a, s), (b, t) in pairs):
            raise ValueError("along a curve the current rises and the time falls")

    def __str__(self) -> str:
        return ", ".join(f"{a:.6g} A {s:.6g} s" for a, s in self.points)


def opens_within_s(curve: Curve, fault_a: float) -> float:
    """Time (s) in which the device opens at a current (A): on a printed point, or on the straight line between two on the log-log
    print. Of a bound, its time at and above its current.

    Errors: ValueError outside the printed points. Source: BS 7671 Appendix 3; between its points common practice, no source."""
    if curve.bound and fault_a >= curve.points[-1][0]:
        return curve.points[-1][1]
    between = _between(curve.points, fault_a, 0)
    if between is None:
        raise ValueError(_outside(curve, f"{fault_a:.6g} A"))
    (low_a, slow_s), (high_a, fast_s) = between
    if low_a == high_a:
        return fast_s
    return float(fast_s * (slow_s / fast_s) ** (math.log(high_a / fault_a) / math.log(high_a / low_a)))


def current_a(curve: Curve, clear_s: float) -> float:
    """Current (A) at which the device opens in a time (s), read the same way; of a bound, also for every longer time.

    Errors: ValueError outside the printed points. Source: as opens_within_s."""
    if curve.bound and clear_s >= curve.points[0][1]:
        return curve.points[0][0]
    between = _between(curve.points, clear_s, 1)
    if between is None:
        raise ValueError(_outside(curve, f"{clear_s:.6g} s"))
    (low_a, slow_s), (high_a, fast_s) = between
    if low_a == high_a:
        return low_a
    return float(high_a * (low_a / high_a) ** (math.log(clear_s / fast_s) / math.log(slow_s / fast_s)))


def opens_by_s(curve: Curve, fault_a: float) -> float:
    """A time (s) by which the device has opened at a current (A): that of the greatest printed current it reaches.

    It holds above the last point too, where a fuse only opens sooner, and needs no line between two points. It is good for a
    disconnection time and no bound on energy.

    Errors: ValueError below the first point, where it may hold for long."""
    reached = [time_s for amps, time_s in curve.points if fault_a >= amps * (1 - CLOSE)]
    if not reached:
        raise ValueError(_outside(curve, f"{fault_a:.6g} A"))
    return reached[-1]


def let_by_a2s(curve: Curve, fault_a: float) -> float:
    """Energy (A²s) that a device lets through at a steady current (A), from the time of its curve.

    Range: 0.1 to 5 s, inside the printed points. Errors: ValueError outside them, where a fuse's energy is its maker's to say;
    and for a bound, whose time is no reading. Source: BS 7671 434.5.2."""
    if curve.bound:
        raise ValueError("the time of a breaker is a bound and not a reading: the energy let through is its maker's to say")
    return fault_a ** 2 * opens_within_s(curve, fault_a)


def _between(points: Points, asked: float, at: int) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """The two neighbours between whose currents (at 0) or times (at 1) it lies; on a printed point that one twice; else None."""
    on = next((point for point in points if abs(asked - point[at]) <= CLOSE * point[at]), None)
    if on is not None:
        return on, on
    return next((pair for pair in itertools.pairwise(points)
                 if min(pair[0][at], pair[1][at]) < asked < max(pair[0][at], pair[1][at])), None)


def _outside(curve: Curve, asked: str) -> str:
    below = ", and below that nothing is told" if curve.bound else ""
    many = "points are" if len(curve.points) > 1 else "point is"
    return f"{asked} is outside what is printed of this device: its {many} {curve}{below}"


@formula("BS EN 60898-1")
def instant_holds_a(instant_multiple: float, rating_a: float) -> float:
    """Current that a breaker of that curve lets pass without opening at once.

    Range: circuit-breakers with a fixed multiple: 3 for B, 5 for C, 10 for D. It may still open in time by its thermal part.
    Case: published/curves.toml#breaker-holds-against-opening-at-once
    """
    return instant_multiple * rating_a


# ---- on facts -------------------------------------------------------------------------------------------------------
class _Between:
    """How a time or a current was read off a curve, as a line that keys in again."""
    __slots__ = ("bound", "inverse")

    def __init__(self, bound: bool, inverse: bool) -> None:
        self.bound, self.inverse = bound, inverse

    def __call__(self, points: Points, asked: float) -> float:
        curve = Curve(points, self.bound)
        return current_a(curve, asked) if self.inverse else opens_within_s(curve, asked)

    def line(self, fact: Fact[Any]) -> str:
        """`t = 0.4 × (5/0.4)^(ln(220/150)/ln(220/125)) = 2.21 s`; a printed point as it is printed."""
        symbol, (points, asked) = glossary(fact.name).symbol, fact.inputs
        pair = None if fact.amount is None else _between(points.value, asked.value, int(self.inverse))
        if pair is None or pair[0] == pair[1]:
            word = "at most, by" if self.bound else "by"
            return f"{symbol} = {fact}: {word} the printed points, at {asked}"
        (low, slow), (high, fast) = pair
        if self.inverse:
            base, share = f"{high:.6g} × ({low:.6g}/{high:.6g})", f"ln({asked.amount:.6g}/{fast:.6g})/ln({slow:.6g}/{fast:.6g})"
        else:
            base, share = f"{fast:.6g} × ({slow:.6g}/{fast:.6g})", f"ln({high:.6g}/{asked.amount:.6g})/ln({high:.6g}/{low:.6g})"
        return f"{symbol} = {base}^({share}) = {fact}"


def opens_within(points: Fact[Points], fault: Fact[float], bound: bool = False) -> Fact[float]:
    """`clear_s` as a fact: the time in which the device of these points opens at this current. Unknown outside them, and why.

    `points` is what `tables.time_current` gives: its trust, and that of its rows, stays with the answer."""
    return _read("clear_s", points, fault, bound, inverse=False)


def current_for(points: Fact[Points], clear: Fact[float], bound: bool = False) -> Fact[float]:
    """`ia_a` as a fact: the current at which the device of these points opens in this time. Unknown outside them, and why."""
    return _read("ia_a", points, clear, bound, inverse=True)


def _read(name: str, points: Fact[Points], asked: Fact[float], bound: bool, inverse: bool) -> Fact[float]:
    inputs: Sequence[Fact[Any]] = (points, asked)
    if any(each.amount is None for each in inputs):
        return Fact(name, None, "unknown", points.where, inputs=tuple(inputs), formula=_Between(bound, inverse))
    recipe = _Between(bound, inverse)
    try:
        amount = recipe(points.value, asked.value)
    except ValueError as outside:
        return Fact(name, None, "unknown", points.where, str(outside), inputs=tuple(inputs), formula=recipe)
    return Fact(name, amount, "worked", points.where, inputs=tuple(inputs), formula=recipe)
