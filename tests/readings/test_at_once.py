"""What a live voltage calls for, by the conductors between which it was read."""
from __future__ import annotations

from dataclasses import replace

import pytest

from spareway.api_readings import entered_at
from spareway.design.design import Design
from spareway.doc import InputError
from spareway.job.rows import Reading
from spareway.readings.at_once import BAD_NEUTRAL, NEUTRAL_OFF_EARTH, NO_EARTH, NO_LINE, NO_TRIP, TOO_MUCH, at_once
from spareway.rules import all_rules
from spareway.rules.base import judge
from spareway.rules.measured import zs_as_read
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


# ---- what is never nought -----------------------------------------------------------------------------------------------
OPEN_ORIGIN = "supplies.main.ze_ohm = { declared = 0.8 }\nsupplies.main.loop_ln_ohm = { unknown = \"to be read\" }\n"


def rows_of(ze: str, neutral: str, zs: str) -> str:
    return (f'{OPEN_ORIGIN}readings = [{{ quantity = "ze_ohm", a = "supplies.main", value = "{ze}" }}, '
            f'{{ quantity = "loop_ln_ohm", a = "supplies.main", value = "{neutral}" }}, {{ quantity = "zs_ohm", a = "circuits.oven", value = "{zs}" }}]')


def test_a_loop_of_nought_is_kept_and_not_used() -> None:
    """No loop has no resistance: 0.00 at the origin leaves Ze unknown, so nothing that rests on it is within; a small one is a reading."""
    nought, little = with_example(rows_of("0.00", "0.0", "0")), with_example(rows_of("0.02", "0.02", "0.05"))
    assert [f.known for f in (nought.supply.ze_ohm, nought.supply.loop_ln_read_ohm, nought.supply.fault_ka)] == [False] * 3
    assert [f.known for f in (little.supply.ze_ohm, little.supply.loop_ln_read_ohm, little.supply.fault_ka)] == [True] * 3
    assert "0.00 Ω was read" in nought.supply.ze_ohm.note
    assert len(nought.inst.readings) == 3
    verdicts = [{(f.rule, f.subject): f.verdict for f in judge(each, all_rules())} for each in (nought, little)]
    for rule, subject in (("EA1", "supplies.main"), ("EA2", "supplies.main"), ("CI1", "circuits.oven"), ("BO5", "equipment.unit")):
        assert (verdicts[0][rule, subject], verdicts[1][rule, subject] != "unknown") == ("unknown", True), rule
    assert all(answer.ok is None for answer in zs_as_read(nought.circuits["oven"], nought))


@pytest.mark.parametrize(("quantity", "at"), [("ze_ohm", "supplies.main"), ("loop_ln_ohm", "supplies.main"), ("fault_ka", "supplies.main"), ("zs_ohm", "circuits.oven")])
def test_nought_is_never_as_expected(design: Design, quantity: str, at: str) -> None:
    """What is said after the entry is to take it again, with no range beside it in which nought would lie."""
    nought, little = (reading(quantity, value, at) for value in (0.0, 0.3))
    said = entered_at(Design(replace(design.inst, readings=(nought,))), nought)
    assert (said["expected"], said["fell"], "take it again" in said["at_once"]) == (None, "far low", True)
    assert "take it again" not in entered_at(Design(replace(design.inst, readings=(little,))), little)["at_once"]


@pytest.mark.parametrize("field", ["ze_ohm", "loop_ln_ohm", "fault_ka"])
def test_nought_in_found_toml_is_refused_with_its_line(field: str) -> None:
    with pytest.raises(InputError) as told:
        with_example(f"supplies.main.{field} = {{ measured = 0 }}")
    assert [(fault.field, fault.file) for fault in told.value.faults] == [(f"supplies.main.{field}.measured", "example.toml")]
