"""Shared neutrals: what proves them, and both halves of whether a device trips. Figures of SCENARIOS; the halves are of BS EN 61008."""
from __future__ import annotations

from dataclasses import replace

import pytest

from spareway.design.design import Design
from spareway.fact import Fact, unknown
from spareway.readings.borrowed import borrowers, proof, trips
from spareway.rules.specimen import with_example
from tests.scenarios.folders import job


def lamp(load_w: float) -> Fact[float]:
    return Fact("load_w", load_w, "marked", at="circuits.lamps.points.p1.load_w")


# 30 mA: may from 15, must at 30. 3.45 W is 15.0 mA and 6.9 W is 30.0 mA at 230 V
@pytest.mark.parametrize(("load_w", "may", "must"), [(9, True, True), (3, False, False), (5, True, False), (3.45, True, False),
                                                     (6.9, True, True), (6.89, True, False), (3.44, False, False)])
def test_both_halves_are_said(load_w: float, may: bool, must: bool) -> None:
    """Scenario Weir: 9 W is 39 mA and trips both; 3 W is 13 mA and may not."""
    found = trips(lamp(load_w), with_example("").circuits["lamps"])
    assert (found.may, found.must) == (may, must)
    assert found.current.value == pytest.approx(load_w / 230 * 1000)
    assert ("must trip" in found.says, "may trip" in found.says, "must not trip" in found.says) == (must, may and not must, not may)


def test_weir_as_read_and_as_recorded() -> None:
    """Weir: neutral to neutral 0.00 MΩ; the landing lamp of 9 W is the borrower, and behind 30 mA it would trip both."""
    found, proposed = (Design(job("weir-cottage").at(stage)) for stage in ("found", "proposed"))
    assert proof(found, "lights-ground", "lights-first").joined is True
    (who, whose, power), = borrowers(found)
    assert (who, whose) == ("lights-ground", "lights-first")
    for name in ("lights-ground", "lights-first"):
        assert trips(power, proposed.circuits[name]).must is True
    assert f"{trips(power, proposed.circuits['lights-first']).current.value:.0f}" == "39"


def test_what_is_not_known_is_said_to_be() -> None:
    design = with_example("")
    assert trips(unknown("load_w", at="circuits.lamps.load_w"), design.circuits["lamps"]).must is None
    without = with_example('circuits.lamps.device = { kind = "mcb", curve = "B", rating_a = 6 }')
    assert trips(lamp(9), without.circuits["lamps"]).may is None
    assert proof(design, "lamps", "oven").joined is None


@pytest.mark.parametrize(("said", "joined"), [("value = 0.99", True), ("value = 1.0", False), ('over = ">200"', False),
                                              ('over = ">0.5"', None), ('over = "yes"', None)])
def test_the_reading_decides(said: str, joined: bool | None) -> None:
    """BS 7671 Table 64: 1.0 MΩ. A range that ends below that tells nothing."""
    row = f'{{ quantity = "insulation_mohm", a = "circuits.oven.N", b = "circuits.lamps.N", {said} }}'
    assert proof(with_example(f"readings = [{row}]"), "lamps", "oven").joined is joined


def test_a_whole_circuit_may_borrow() -> None:
    assert [(a, b) for a, b, _ in borrowers(with_example('circuits.lamps.neutral = "warmth"'))] == [("lamps", "warmth")]


def test_read_as_found_is_no_proof_of_what_is_proposed() -> None:
    """Work joins neutrals and parts them: at a later stage an earlier reading decides nothing, and it is said so."""
    row = 'quantity = "insulation_mohm", a = "circuits.oven.N", b = "circuits.lamps.N"'
    later = replace(with_example(f"readings = [{{ {row}, value = 80 }}]").inst, stage="fitted")
    said = proof(Design(later), "lamps", "oven")
    assert said.joined is None
    assert said.says.endswith("read as found only, not at this stage")
