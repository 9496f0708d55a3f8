"""Insulation of a home: the sum of its circuits, the order of the hunt, and the questions. Figures of SCENARIOS, worked by hand."""
from __future__ import annotations

import math

import pytest

from spareway.design.design import Design
from spareway.readings.insulation import causes, hunt, instruction, pair_of, together
from spareway.readings.leaks import MINUTES
from spareway.rules.specimen import with_example
from tests.scenarios.folders import job


def read(*rows: str) -> Design:
    """The specimen with these insulation rows."""
    said = ", ".join(f'{{ quantity = "insulation_mohm", {row} }}' for row in rows)
    return with_example(f"readings = [{said}]")


def test_weir_cooker_first_then_the_immersion() -> None:
    """Scenario Weir, row Insulation: 0.46 MΩ together; with the cooker off 1.7; then look at the immersion."""
    found = together(Design(job("weir-cottage").at("found")))
    by_hand = 1 / math.fsum((1 / 0.62, 1 / 1.9, 1 / 45, 1 / 60, 2 / 200))
    assert found.sum.value == pytest.approx(by_hand, abs=1e-9)
    assert round(found.sum.value, 2) == 0.46
    assert [(part.circuit, part.only_loads) for part in found.order] == [("cooker", True), ("immersion", False)]
    assert f"{found.order[0].then.value:.1f}" == "1.7"
    assert [part.enough for part in found.order] == [False, True]
    assert sorted(found.not_read) == ["old-heater-1", "old-heater-2", "old-heater-3"]
    assert found.sum.working()[-1].source == "resistances in parallel"


def test_each_board_has_its_own() -> None:
    """The office board holds the immersion and three circuits that nobody read."""
    found = together(Design(job("weir-cottage").at("found")), "office")
    assert [leak.circuit for leak in found.leaks] == ["immersion"]
    assert found.sum.value == 1.9


def test_nothing_read_is_not_known_and_has_no_order() -> None:
    found = together(with_example(""))
    assert not found.sum.known
    assert (found.leaks, found.order) == ((), ())
    assert len(found.not_read) == 4


def test_a_circuit_at_nought_makes_all_nought() -> None:
    found = together(read('a = "circuits.lamps", value = 0', 'a = "circuits.oven", value = 40'))
    assert found.sum.value == 0
    assert [part.circuit for part in found.order] == ["lamps"]


def test_over_an_unwritten_range_counts_as_not_read() -> None:
    found = together(read('a = "circuits.lamps", over = "yes"'))
    assert "lamps" in found.not_read


@pytest.mark.parametrize(("said", "pair"), [
    ('a = "circuits.lamps"', "LN-E"), ('a = "circuits.lamps.L", b = "circuits.lamps.E"', "L-E"),
    ('a = "circuits.lamps.N", b = "circuits.lamps.L"', "L-N"), ('a = "circuits.lamps", setup = "neutral to earth"', "N-E"),
    ('a = "circuits.lamps", setup = "line to neutral"', "L-N"), ('a = "circuits.lamps", setup = "line to earth"', "L-E")])
def test_between_which_conductors(said: str, pair: str) -> None:
    design = read(f"{said}, value = 3")
    assert pair_of(design.inst.readings[0]) == pair


def first(said: str, circuit: str) -> str:
    design = read(said)
    return causes(design.circuits[circuit], design.inst.readings[0])[0].name


def test_the_likeliest_cause_goes_by_conductors_size_and_loads() -> None:
    """Loads in at a cooker: the cooker. Loads out and near nought: neutral on earth. A lamp between line and neutral: the lamp."""
    assert first('a = "circuits.oven", value = 0.62, loads = "in"', "oven") == "one-bad-appliance"
    assert first('a = "circuits.oven", value = 0.01, loads = "out"', "oven") == "neutral-on-earth"
    assert first('a = "circuits.lamps.L", b = "circuits.lamps.N", value = 0.05', "lamps") == "lamp-left-in"
    assert first('a = "circuits.plugs.L", b = "circuits.plugs.N", value = 0.0001, loads = "in"', "plugs") == "load-left-in"


def test_causes_add_up_and_ask() -> None:
    design = read('a = "circuits.oven", value = 0.3, loads = "out"')
    found = causes(design.circuits["oven"], design.inst.readings[0])
    assert math.fsum(each.share for each in found) == pytest.approx(1)
    assert all("?" in each.question or "read" in each.question for each in found)
    assert "surge-device-left-in" in [each.name for each in found]         # the specimen has one
    over = read('a = "circuits.oven", over = ">200"')
    assert causes(over.circuits["oven"], over.inst.readings[0]) == ()


def test_the_hunt_on_weir_s_house_board_ends_with_the_cooker() -> None:
    """Its circuits stand read one by one: the cooker leaks as connected, and the rest of the board reads well."""
    found = hunt(Design(job("weir-cottage").at("found")), "house")
    assert found.found == ["cooker"]
    assert not found.unproved
    assert found.parting == MINUTES["neutral"]                # rewirable fuses: neutrals have to be lifted


def test_a_hunt_goes_on_by_rows_as_it_proposes_them() -> None:
    """Each instruction names the place and setup of the row it wants; written down so, the rows carry the hunt to its end."""
    mohm = {"plugs": 300.0, "lamps": 250.0, "oven": 0.5, "warmth": 400.0}
    rows: list[str] = []
    parted = False
    for n in range(12):
        of = hunt(read(*rows) if rows else with_example(""), "unit")
        if (step := of.next()) is None:
            break
        says, a, setup = instruction(step, of, "unit")
        for words in ("any other source too", "proved dead, the neutral bar too", "nobody at", "surge devices and electronics out",
                      *(["parted in line and neutral (the neutral lifted"] if len(step.joined) < 4 else [])):
            assert words in says
        value = 1 / math.fsum(1 / mohm[name] for name in step.joined)
        rows.append(f'a = "{a}", setup = "{setup}", value = {value:.2f}, at = "2026-11-09T09:{n:02}"')
        parted = parted or "parted:" in setup
    assert parted                                             # a board with some parted is not the whole board
    assert len(together(read(*rows)).whole) == 1
    assert of.found == ["oven"]
    assert of.done
    assert len(rows) <= 5
