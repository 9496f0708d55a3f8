"""What a network operator asks of a figure: what was recorded, with what is connected since."""
from __future__ import annotations

from spareway.fact import formula, most


@formula("difference, nought at least")
def added_a(before_a: float, after_a: float) -> float:
    """By how much what is connected has risen; nought where it fell.

    Case: published/asked.toml#connected-since
    """
    return most(after_a - before_a, 0)


@formula("common practice, no source")
def risen_demand_a(demand_a: float, added_a: float) -> float:
    """Demand as recorded before the work, with what is connected since.

    Range: what was recorded with the old appliances; new ones may be on together more often than those were.
    Case: published/asked.toml#recorded-and-risen
    """
    return demand_a + added_a
