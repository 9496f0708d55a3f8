"""What a network operator asks of a figure: what was recorded, with what is connected since."""
from __future__ import annotations

from spareway.fact import formula, most


@formula("common practice, no source")
def risen_demand_a(demand_a: float, before_a: float, after_a: float) -> float:
    """Demand as recorded before the work, with all by which the connected load rises; nothing is taken off where it falls.

    Range: what was recorded with the old appliances; new ones may be on together more often than those were.
    Case: published/asked.toml#recorded-and-risen
    """
    return demand_a + most(after_a - before_a, 0)
