"""What may be moved on a circuit: what is typed is a number or is refused, and what is laid over changes that amount and no other."""
from __future__ import annotations

import math
from functools import cache

import pytest

from spareway.design.circuit import CircuitDesign
from spareway.design.design import Design
from spareway.web.moved import Slider, laid, read, sliders
from spareway.web.record import Record
from tests.web.phone import ROOT

EXAMPLES = ("weir-cottage", "granary-yard", "ridge-annexe")


@cache
def designed(name: str) -> Design:
    folder = ROOT / "examples" / name
    return Record({each.name: each.read_text("utf-8") for each in folder.iterdir() if each.suffix in (".toml", ".csv")}).design()


def circuits(design: Design) -> dict[str, CircuitDesign]:
    return {name: circuit for name, circuit in design.circuits.items() if not circuit.is_surge}


def after(design: Design, name: str, overlay: str) -> tuple[Slider, ...]:
    return sliders(Design(design.inst.altered(overlay)).circuits[name])


@pytest.mark.parametrize("example", EXAMPLES)
def test_what_is_moved_is_that_amount_and_no_other(example: str) -> None:
    """Each slider of each circuit moved alone: its amount is the new one, known as it was before; the other three stay."""
    design = designed(example)
    for name, circuit in circuits(design).items():
        known = sliders(circuit)
        assert [s.name.partition("_")[0] for s in known] == ["length", "load", "ze", "ambient"]
        for slider in known:
            to = round((slider.now or 20) * 1.1 + 1, 3)
            moved, faults = read({slider.name: f"{to}"}, known)
            assert (moved, faults) == ({slider.name: to}, [])
            now = after(design, name, laid(moved, known))
            assert {s.name: s.now for s in now} == {s.name: to if s is slider else s.now for s in known}, (name, slider.name)
            again = next(s for s in now if s.name == slider.name)
            assert [how for _, how in again.lines] == [how for _, how in slider.lines]


@pytest.mark.parametrize("example", EXAMPLES)
def test_a_slider_reaches_past_what_is_recorded(example: str) -> None:
    """Twice the recorded amount lies on it, and the steps lead from one end to the other."""
    for circuit in circuits(designed(example)).values():
        for slider in sliders(circuit):
            assert slider.least < slider.most <= slider.up_to
            if slider.now is not None and slider.name != "ambient_c":
                assert slider.least <= 2 * slider.now <= slider.most
            steps = (slider.most - slider.least) / slider.step
            assert math.isclose(steps, round(steps))
            assert 20 <= steps <= 500


@pytest.mark.parametrize("typed", ["1,9", "nan", "inf", "-3", "１２", "1e3", "9" * 400, "2000.1", "1.2.3", ".", "+4"])
def test_what_is_no_length_is_refused_and_moves_nothing(typed: str) -> None:
    known = sliders(designed("weir-cottage").circuits["cooker"])
    moved, faults = read({"length_m": typed}, known)
    assert moved == {}
    assert [(fault.field, fault.read[:3]) for fault in faults] == [("length_m", typed[:3])]


def test_what_is_left_as_it_is_moves_nothing() -> None:
    """Empty fields, and amounts equal to the record, lay nothing over."""
    circuit = designed("weir-cottage").circuits["cooker"]
    known = sliders(circuit)
    same = {s.name: "" if s.now is None else str(s.now) for s in known}
    assert read(same, known) == ({}, [])
    assert read({}, known) == ({}, [])
    assert laid({}, known) == ""


def test_of_a_cable_in_stretches_the_longest_is_moved() -> None:
    """A cable in two stretches: the longer one's line is laid over, and the whole length grows by as much."""
    design = designed("weir-cottage")
    two = """[circuits.cooker.cable]
stretches.clipped  = { length_m = 4, method = "C" }
stretches.trunking = { length_m = 9, method = "B", ambient_c = 35 }
"""
    inst = design.inst.altered('remove = ["circuits.cooker.cable.length_m", "circuits.cooker.cable.method"]\n').altered(two)
    circuit = Design(inst).circuits["cooker"]
    known = sliders(circuit)
    assert (known[0].says, known[0].now) == ("Length, trunking", 9)
    moved = Design(inst.altered(laid({"length_m": 15, "ambient_c": 45}, known))).circuits["cooker"]
    assert moved.length_m.value == 19
    assert [s.ambient_c.value for s in moved.route.stretches] == [45, 45]
