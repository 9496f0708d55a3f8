"""What shares a bundle by the record, and which of it counts towards grouping."""
from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from spareway.design.route import StretchDesign, settled
from spareway.design.spurs import counted
from spareway.fact import Fact
from spareway.physics import cable
from spareway.tables import look_up

if TYPE_CHECKING:
    from spareway.design.design import Design


def members(bundle: str, design: Design) -> Iterator[tuple[str, StretchDesign, Fact[float] | None]]:
    """(address, its stretch there, what it carries) of everything that the record lays in a bundle, each cable once.

    Of a run nobody states what it carries: None. A ring counts once: which of its legs lie there is not in the record."""
    for circuit in design.circuits.values():
        yield from ((circuit.at, s, circuit.load_a) for s in circuit.route.stretches if s.bundle == bundle)
    for run in design.runs.values():
        if run.carries_load:
            yield from ((run.at, s, None) for s in run.route.stretches if s.bundle == bundle)


def grouped_with(at: str, bundle: str, design: Design) -> tuple[Fact[float], tuple[str, ...]]:
    """How many count in a bundle for the cable at this address, itself always, and which are left out.

    Left out may be what never carries more than 30 % of its own rating in the whole group (Table 4C1, notes); a cable
    of which that is not known counts, and so does each in the ground, for which no such note is printed."""
    inside = list({address: (stretch, load) for address, stretch, load in members(bundle, design)}.items())
    together = look_up("cg", design.books, counted("grouped_n", len(inside), bundle))
    share = look_up("thresholds", design.books, settled("case", "group_fraction", "Table 4C1, notes"))
    light = []
    for address, (stretch, load) in inside:
        if address != at and load is not None and load.amount is not None and not stretch.is_buried:
            most = cable.grouped_threshold_a.worked(stretch.it_a, together, share)
            if most.amount is not None and load.amount <= most.amount:
                light.append(address)
    return counted("grouped_n", len(inside) - len(light), bundle), tuple(light)
