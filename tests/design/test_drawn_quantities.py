"""What the two drawings of a circuit are made of: on every circuit of the three homes it agrees with what the rules compare."""
from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from spareway.design.along import along
from spareway.design.circuit import CircuitDesign
from spareway.design.design import Design
from spareway.design.timing import timing
from spareway.folder import read_folder
from spareway.job.job import read_job
from spareway.tables import NoRow

ROOT = Path(__file__).parents[2] / "examples"
STAGES = [("weir-cottage", "found"), ("weir-cottage", "proposed"), ("granary-yard", "found"), ("granary-yard", "fitted"),
          ("ridge-annexe", "found"), ("ridge-annexe", "proposed")]


def circuits(home: str, stage: str) -> Iterator[CircuitDesign]:
    design = Design(read_job(read_folder(ROOT / home)).at(stage))
    return (c for c in design.circuits.values() if not c.is_surge)


@pytest.mark.parametrize(("home", "stage"), STAGES)
def test_the_way_ends_where_the_drop_is_judged(home: str, stage: str) -> None:
    """The last leg ends at the drop from the origin; at the length it reaches the limit is met, worked out once more by hand."""
    told = 0
    for circuit in circuits(home, stage):
        try:
            way = along(circuit)
        except NoRow:
            continue
        last = way.legs[-1].ends_v
        assert last.amount == pytest.approx(circuit.drop_from_origin_v.amount)
        if way.reach_m.known and circuit.drop_v.known and not circuit.cable.stretches:
            told += 1
            before = circuit.drop_from_origin_v.value - circuit.drop_v.value
            by_hand = circuit.length_m.value * (circuit.drop_limit_v.value - before) / circuit.drop_v.value
            assert way.reach_m.value == pytest.approx(by_hand, rel=1e-3)
        for place in way.places:
            assert place.after == "" or place.after in {p.name for p in way.places}
    assert told or home == "weir-cottage" and stage == "found"


@pytest.mark.parametrize(("home", "stage"), STAGES)
def test_what_opens_and_what_bears(home: str, stage: str) -> None:
    """Points of a fuse fall in time as current rises; a conductor bears k²S² where it meets what opens it."""
    for circuit in circuits(home, stage):
        of = timing(circuit)
        for opening in (of.device, of.service):
            known = [p for p in opening.points if p.known] if opening else []
            assert [p.a for p in known] == sorted(p.a for p in known)
            assert [p.s for p in known] == sorted((p.s for p in known), reverse=True)
        for bears in of.bears:
            if bears.meets and bears.meets.known and bears.energy_a2s.known:
                assert bears.meets.a ** 2 * bears.meets.s == pytest.approx(bears.energy_a2s.value, rel=1e-3)
