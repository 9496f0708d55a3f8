"""What a live voltage calls for, by the conductors between which it was read."""
from __future__ import annotations

from dataclasses import replace

import pytest

from spareway.api_readings import entered_at
from spareway.design.design import Design
from spareway.job.rows import Reading
from spareway.readings.at_once import BAD_NEUTRAL, NEUTRAL_OFF_EARTH, NO_EARTH, NO_LINE, NO_TRIP, TOO_MUCH, at_once
from spareway.rules.specimen import with_example


@pytest.fixture(scope="module")
def design() -> Design:
    return with_example("")


def reading(quantity: str, value: float | None, a: str, b: str = "", setup: str = "", over: str = "") -> Reading:
    return Reading(id="r1", stage="found", quantity=quantity, a=a, b=b, setup=setup, value=value, over=over, by="a", at="2026-11-10T09:00")


@pytest.mark.parametrize(("ends", "setup", "value", "says"), [
    ((".N", ".E"), "", 231, NEUTRAL_OFF_EARTH), ((".E", ".N"), "", 231, NEUTRAL_OFF_EARTH), ((".N", ".E"), "", 0.4, ""),
    (("", ""), "neutral to earth", 90, NEUTRAL_OFF_EARTH), (("", ""), "neutral to earth", 0, ""),
    ((".L", ".N"), "", 0, NO_LINE), ((".L", ".N"), "", 400, TOO_MUCH), ((".L", ".E"), "", 0, NO_LINE), ((".L", ".N"), "", 231, ""),
    (("", ""), "", 0, NO_LINE), (("", ""), "", 400, TOO_MUCH), (("", ""), "", 231, ""), ((".N", ""), "", 0, NO_LINE)])
def test_a_voltage_by_its_two_ends(design: Design, ends: tuple[str, str], setup: str, value: float, says: str) -> None:
    """Only between neutral and earth is little what it should be; where no core is named it is taken for line to neutral."""
    for place in ("circuits.oven", "circuits.oven.points.p1"):
        a, b = (f"{place}{end}" if end else "" for end in ends)
        row = reading("supply_v", value, a or place, b, setup)
        assert entered_at(Design(replace(design.inst, readings=(row,))), row)["at_once"] == says


def test_a_place_that_ends_in_a_letter_of_a_core_is_no_core() -> None:
    """A supply called N-E has no line in its name, and is a supply all the same."""
    assert at_once(reading("supply_v", 0, "supplies.N", "supplies.E"), "far low") == NO_LINE


@pytest.mark.parametrize(("quantity", "a", "says"), [
    ("zs_ohm", "circuits.oven", NO_EARTH), ("ze_ohm", "supplies.main", NO_EARTH), ("loop_ln_ohm", "supplies.main", BAD_NEUTRAL),
    ("ramp_ma", "circuits.oven", NO_TRIP), ("r1r2_ohm", "circuits.oven", "")])
def test_over_range_calls_for_it_whatever_the_record_tells(quantity: str, a: str, says: str) -> None:
    assert at_once(reading(quantity, None, a, over="yes"), "") == says
