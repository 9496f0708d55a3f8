"""Axes of a drawing with quantities along them: scales straight or logarithmic, their ticks, labels that keep apart."""
from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from spareway.show import plain

__all__ = ["Axis", "decades", "hatched", "log_of_ten", "nice_range", "round_steps", "spread"]

TERMS_N = 16                                    # of the series: 1e-13 at the ends of its range
LN_2 = 0.6931471805599453
LN_10 = 2.302585092994046
STEPS = (1.0, 2.0, 5.0, 10.0)
HATCH = 9.0                                     # between two strokes of a hatching, level


def log_of_ten(value: float) -> float:
    """The decimal logarithm by plain arithmetic, so that its last digit is the same on every machine.

    Errors: ValueError for what is not above nought."""
    if not (value > 0 and math.isfinite(value)):
        raise ValueError(f"{value} has no place on a logarithmic axis")
    mantissa, exponent = math.frexp(value)                      # exact: value = mantissa × 2^exponent, mantissa 0.5 to 1
    z = (mantissa - 0.75) / (mantissa + 0.75)
    term, terms = z, []
    for k in range(TERMS_N):
        terms.append(term / (2 * k + 1))
        term *= z * z
    return (2 * math.fsum(terms) + LN_075 + exponent * LN_2) / LN_10


LN_075 = -0.2876820724517809                    # ln 0.75, about which the series runs


@dataclass(frozen=True, slots=True)
class Axis:
    """From a quantity to a place: `least` stands at `start`, `most` at `end`, in units of the drawing."""
    least: float
    most: float
    start: float
    end: float
    log: bool = False

    def at(self, value: float) -> float:
        """Where a value stands; beyond the ends where it is beyond them. Errors: ValueError as `log_of_ten`."""
        if self.log:
            low, high, here = (log_of_ten(v) for v in (self.least, self.most, value))
        else:
            low, high, here = self.least, self.most, value
        return self.start + (self.end - self.start) * (here - low) / (high - low)

    def holds(self, value: float) -> bool:
        """Whether a value stands between its ends."""
        return self.least <= value <= self.most


def nice_range(values: Sequence[float]) -> tuple[float, float]:
    """The ends of a logarithmic axis for these values, each 1, 2 or 5 times a power of ten, with a little room beyond.

    Errors: ValueError where there is no value above nought."""
    known = [v for v in values if v > 0]
    if not known:
        raise ValueError("there is nothing to put on this axis")
    ladder = [float(f"{m:.0f}e{power}") for power in range(-3, 8) for m in STEPS[:3]]
    low, high = min(known) / 1.25, max(known) * 1.25
    return max(v for v in ladder if v <= low or v == ladder[0]), min(v for v in ladder if v >= high or v == ladder[-1])


def decades(axis: Axis) -> Iterator[tuple[float, str]]:
    """(value, what is said at it) along a logarithmic axis: powers of ten with their number, 2 and 5 times without one where
    there is no room; every line of the paper."""
    apart = abs(axis.at(10 * axis.least) - axis.at(axis.least))
    for power in range(-3, 8):
        for m in range(1, 10):
            value = float(f"{m}e{power}")
            if axis.least * (1 - 1e-9) <= value <= axis.most * (1 + 1e-9):
                yield value, plain(value) if m == 1 or m in (2, 5) and apart >= 110 else ""


def round_steps(most: float, about_n: int) -> list[float]:
    """From nought to `most` in round steps, about so many. Errors: ValueError where `most` is not above nought."""
    if not most > 0:
        raise ValueError(f"an axis to {most} has no steps")
    wanted = most / about_n
    power = int(f"{wanted:.2e}".partition("e")[2])
    step = next(s for s in (float(f"{m:.0f}e{power}") for m in STEPS) if s >= wanted * (1 - 1e-9))
    return [i * step for i in range(int(most / step * (1 + 1e-9)) + 1)]


def spread(wanted: Sequence[float], apart: float, low: float, high: float) -> list[float]:
    """Places as near as may be to those wanted, in their order, no two nearer than `apart`, all between `low` and `high`.

    wanted: rising. What does not fit between is pressed together evenly."""
    if len(wanted) > 1 and apart * (len(wanted) - 1) > high - low:
        apart = (high - low) / (len(wanted) - 1)
    groups: list[tuple[float, int]] = []                        # middle and number of those that stand shoulder to shoulder
    for x in wanted:
        middle, many = min(max(x, low), high), 1
        while groups and groups[-1][0] + apart * (groups[-1][1] + many) / 2 > middle:
            before, n_before = groups.pop()
            middle = (before * n_before + middle * many) / (n_before + many)
            many += n_before
            half = apart * (many - 1) / 2
            middle = min(max(middle, low + half), high - half)
        groups.append((middle, many))
    return [middle + apart * (i - (many - 1) / 2) for middle, many in groups for i in range(many)]


def hatched(left: float, top: float, right: float, bottom: float) -> str:
    """Strokes rising to the right that fill a rectangle, as the d of a path. They meet those of a rectangle beside it."""
    from spareway.drawings.symbols import n
    out = []
    first = math.ceil((left + top) / HATCH)
    for k in range(first, math.floor((right + bottom) / HATCH) + 1):
        total = k * HATCH                                       # the stroke on which x + y is this
        x0, x1 = max(left, total - bottom), min(right, total - top)
        if x1 - x0 > 0.5:
            out.append(f"M{n(x0)} {n(total - x0)}L{n(x1)} {n(total - x1)}")
    return "".join(out)
