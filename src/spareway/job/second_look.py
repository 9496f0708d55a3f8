"""A power far below what its kind draws is not taken: it was most likely read in kW and written as W. Asked, never corrected."""
from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

from spareway.fact import Fact, unknown
from spareway.job.types import Circuit, Equipment, Point
from spareway.show import exact

__all__ = ["looked_at_again"]


def looked_at_again(thing: Any) -> Any:
    """A thing or circuit of the record; its powers that cannot be those of its kind are unknown, and say what was read."""
    if isinstance(thing, Equipment):
        again = _power(thing.stamped_w, thing.kind)
        return thing if again is thing.stamped_w else replace(thing, stamped_w=again)
    if not isinstance(thing, Circuit):
        return thing
    whole = _power(thing.load_w, thing.feeds)
    points = {name: _point(point, thing.feeds) for name, point in thing.points.items()}
    same = whole is thing.load_w and all(points[name] is point for name, point in thing.points.items())
    return thing if same else replace(thing, load_w=whole, points=points)


def _point(point: Point, feeds: str) -> Point:
    again = _power(point.load_w, point.feeds or feeds)
    return point if again is point.load_w else replace(point, load_w=again)


def _power(said: Fact[float], what: str) -> Fact[float]:
    if said.amount is None or said.amount >= _least_w().get(what, 0.0):
        return said
    read = exact(said.amount)
    why = f"{read} W is far below what the least {what.replace('-', ' ')} draws ({exact(_least_w()[what])} W, from memory)"
    return unknown(said.name, f"{why}; was {read} kW meant?" if said.amount else why, said.where, said.at)


@cache
def _least_w() -> dict[str, float]:
    from spareway.tables.table import table
    return {row.keys[0]: row.value for row in table("least_draw").rows}
