"""Which controls a heater needs under the law of local space heaters: points for each, and every least set that is enough.

What a heater on offer scores is its maker's to say. By a page, that law leaves out towel rails and heaters against frost.
"""
from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations

from spareway.tables import Books, rows

FIXED = "fixed, above 250 W"


@dataclass(frozen=True, slots=True)
class Controls:
    """What is wanted of a kind of heater (points), where that stands, and the sets that reach it and can spare no control."""
    kind: str
    wanted: float
    where: str
    trust: str
    sets: tuple[tuple[str, ...], ...]


def controls(books: Books, kind: str = FIXED) -> Controls:
    """The controls wanted of this kind. Errors: KeyError for a kind of which nothing is wanted."""
    table = {row["control"]: row for row in rows("heater_controls", books)}
    wanted = table[f"wanted: {kind}"]
    points = {name: float(row["value"]) for name, row in table.items()}
    one_of = ["", *(name for name, row in table.items() if row["taken"] == "one of")]
    extras = [name for name, row in table.items() if row["taken"] == "extra"]
    enough = [each for each in _all_sets(one_of, extras) if _score(each, points) >= wanted["value"]]
    least = [each for each in enough if not any({*other} < {*each} for other in enough)]
    return Controls(kind, wanted["value"], wanted["where"], wanted["trust"], tuple(least))


def _all_sets(one_of: list[str], extras: list[str]) -> list[tuple[str, ...]]:
    """One control or none, with any of the extras: those with the fewest first."""
    every = [tuple(filter(None, (first, *more))) for n in range(len(extras) + 1) for more in combinations(extras, n)
             for first in one_of]
    return sorted(every, key=len)


def _score(controls_: tuple[str, ...], points: Mapping[str, float]) -> float:
    return math.fsum([points["base"], *(points[each] for each in controls_)])
