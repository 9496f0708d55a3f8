"""Comparing worked-out numbers, and picking from a list of sizes or devices."""
from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

CLOSE = 1e-9                                    # what a sum of floats may be out by: 0.1 + 0.2 is within 0.3


def at_most(value: float, limit: float) -> bool:
    """Whether a value is within a limit, to one part in a thousand million. Never so for nan."""
    return value <= limit + abs(limit) * CLOSE


def at_least(value: float, limit: float) -> bool:
    """Whether a value reaches a limit, to one part in a thousand million. Never so for nan."""
    return value >= limit - abs(limit) * CLOSE


def smallest_at_least(need: float, sizes: Iterable[float]) -> float | None:
    """The smallest of these that is not below what is needed; None if there is none."""
    return min((size for size in sizes if at_least(size, need)), default=None)


def smallest_carrying(need_a: float, it_by_size: Mapping[float, float]) -> float | None:
    """The smallest size (mm²) whose rating (A) is not below the current needed (A); None if there is none."""
    return min((size for size, it_a in it_by_size.items() if at_least(it_a, need_a)), default=None)


def device_between(load_a: float, iz_a: float, ratings_a: Iterable[float]) -> float | None:
    """The smallest device (A) that carries the load and protects the cable: Ib <= In <= Iz; None if there is none.

    Source: BS 7671 433.1.1."""
    return smallest_at_least(load_a, (rating for rating in ratings_a if at_most(rating, iz_a)))


def smallest_protected(load_a: float, it_by_size: Mapping[float, float], ratings_a: Sequence[float]) -> float | None:
    """The smallest size (mm²) that one of the devices (A) protects while it carries the load; None if there is none."""
    return min((size for size, it_a in it_by_size.items() if device_between(load_a, it_a, ratings_a) is not None),
               default=None)


def printed(value: float, places: int) -> float:
    """A number as a table prints it, halves up: 2.185 is 2.19. A last digit that is only float noise does not count."""
    return _to_places(value, places, "ROUND_HALF_UP")


def printed_down(value: float, places: int) -> float:
    """A limit as it is printed on the safe side, cut off and not rounded: 2.347 is 2.34, and 4.55 by 0.8 is 3.64."""
    return _to_places(value, places, "ROUND_FLOOR")


def _to_places(value: float, places: int, rounding: str) -> float:
    from decimal import Decimal  # only papers print limits: a check need not load it
    exact = Decimal(f"{value:.12g}")
    return float(exact.quantize(Decimal(1).scaleb(-places), rounding=rounding))
