"""Readings past their limits make findings, whatever was worked out; over-range rows read right. Rows are invented, limits named."""
from __future__ import annotations

import pytest

from spareway.rules import all_rules
from spareway.rules.base import Finding, judge
from spareway.rules.specimen import with_example


def found(rule: str, subject: str, *rows: str, more: str = "") -> Finding:
    """What a rule says of a subject of the specimen with these readings."""
    design = with_example(f"readings = [{', '.join('{ ' + row + ' }' for row in rows)}]\n{more}")
    return next(f for f in judge(design, [r for r in all_rules() if r.code == rule]) if f.subject == subject)


def zs(said: str, more: str = "") -> Finding:
    return found("CI1", "circuits.lamps", f'quantity = "zs_ohm", a = "circuits.lamps", {said}', more=more)


PLAIN = 'circuits.lamps.device = { kind = "mcb", curve = "B", rating_a = 6 }'


# BS 7671 Table 41.3: B6 7.28 Ω; 0.8 of it 5.82 (Appendix 3); Table 41.5: 30 mA 1667 Ω
@pytest.mark.parametrize(("said", "verdict"), [("value = 7.29", "fails"), ("value = 7.27", "unknown"), ("value = 5.82", "within"),
                                               ("value = 5.83", "unknown"), ('over = ">20"', "fails"), ('over = "yes"', "fails"),
                                               ('over = ">2"', "unknown")])
def test_a_loop_read_above_the_limit_beats_one_worked_out_below(said: str, verdict: str) -> None:
    """The lamps' loop is worked out as 1.1 Ω; a reading decides all the same, and a cold one may not use up the limit."""
    assert zs("value = 1.2", PLAIN).verdict == "within"
    assert zs(said, PLAIN).verdict == verdict


@pytest.mark.parametrize(("said", "verdict"), [("value = 40", "within"), ("value = 1668", "fails"), ('over = ">1999"', "fails")])
def test_behind_a_residual_device_the_loop_read_may_be_its_own(said: str, verdict: str) -> None:
    assert zs(said).verdict == verdict


# BS 7671 643.3.2 Table 64: 1.0 MΩ
@pytest.mark.parametrize(("said", "verdict"), [("value = 0.99", "fails"), ("value = 1.0", "within"), ('over = ">200"', "within"),
                                               ('over = ">0.5"', "unknown"), ('over = "yes"', "unknown")])
def test_insulation(said: str, verdict: str) -> None:
    assert found("ME1", "circuits.lamps", f'quantity = "insulation_mohm", a = "circuits.lamps", {said}').verdict == verdict


def test_low_with_loads_in_alone_is_never_lighter() -> None:
    """Nobody read it with the loads out, so the wiring cannot be called sound."""
    row = 'quantity = "insulation_mohm", a = "circuits.oven", loads = "in", value = 0.62'
    assert found("ME1", "circuits.oven", row).verdict == "fails"
    both = (row, 'quantity = "insulation_mohm", a = "circuits.oven", loads = "out", value = 180')
    assert found("ME1", "circuits.oven", *both).verdict == "within"
    assert found("ME2", "circuits.oven", *both).verdict == "advice"


# BS EN 61008: 300 ms at the rating, 40 ms at five times; type S 500 ms
@pytest.mark.parametrize(("said", "verdict"), [
    ("value = 300", "within"), ("value = 301", "fails"), ('over = ">1999"', "fails"), ('value = 41, setup = "5x; 0 degrees"', "fails"),
    ('value = 40, setup = "five times"', "within"), ('over = ">1999", setup = "half"', "not applicable")])
def test_trip_time_of_a_circuit_s_own_device(said: str, verdict: str) -> None:
    assert found("ME3", "circuits.plugs", f'quantity = "trip_ms", a = "circuits.plugs", {said}').verdict == verdict


@pytest.mark.parametrize(("delayed", "value", "verdict"), [("true", 480, "within"), ("true", 501, "fails"), ("false", 480, "fails")])
def test_trip_time_ahead_of_all(delayed: str, value: int, verdict: str) -> None:
    row = f'quantity = "trip_ms", a = "equipment.unit", value = {value}'
    assert found("ME4", "equipment.unit", row, more=f"equipment.unit.delayed = {delayed}").verdict == verdict
    assert found("ME4", "equipment.unit", 'quantity = "trip_ms", a = "equipment.unit", value = 480').verdict == "unknown"


# Guidance Note 3: 0.05 Ω for short bonds; BS EN 60228: 10 mm² 1.83 mΩ/m, so 6 m is 0.011 Ω
@pytest.mark.parametrize(("said", "verdict"), [("value = 0.05", "within"), ("value = 0.9", "unknown"), ('over = ">99.9"', "fails")])
def test_a_bond(said: str, verdict: str) -> None:
    assert found("ME5", "runs.bond-1", f'quantity = "r_ohm", a = "runs.bond-1", {said}').verdict == verdict


def test_a_long_bond_is_compared_with_its_length() -> None:
    """60 m of 10 mm² is 0.110 Ω: 0.1 Ω is what it should read."""
    row = 'quantity = "r_ohm", a = "runs.bond-1", value = 0.1'
    assert found("ME5", "runs.bond-1", row, more="runs.bond-1.length_m = 60").verdict == "within"


@pytest.mark.parametrize(("said", "verdict"), [('over = ">99.9"', "fails"), ('over = "yes"', "fails"), ("value = 0.54", "unknown")])
@pytest.mark.parametrize("which", ["r1", "rn", "r2"])
def test_a_ring_conductor_that_reads_open(which: str, said: str, verdict: str) -> None:
    """One that closes says nothing of the two that were not read; all three within is the rule's own second example."""
    assert found("ME6", "circuits.plugs", f'quantity = "ring_{which}_ohm", a = "circuits.plugs", {said}').verdict == verdict
