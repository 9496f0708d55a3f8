"""Rules of readings as such, on the specimen: each way they answer, and that what is not known never reads as in order."""
from __future__ import annotations

from collections.abc import Sequence

import pytest

from spareway.design.design import Design
from spareway.rules import all_rules
from spareway.rules.base import judge
from spareway.rules.specimen import with_example

RING = ('quantity = "ring_r1_ohm", a = "circuits.plugs", value = 0.33', 'quantity = "ring_rn_ohm", a = "circuits.plugs", value = 0.33',
        'quantity = "ring_r2_ohm", a = "circuits.plugs", value = 0.54')
ZS = 'quantity = "zs_ohm", a = "circuits.plugs", value = 0.6'


def laid(rows: Sequence[str], more: str = "", temp_c: str = ", temp_c = 20") -> Design:
    return with_example(f"readings = [{', '.join('{ ' + row + temp_c + ' }' for row in rows)}]\n{more}")


def found(rule: str, subject: str, design: Design) -> tuple[str, str]:
    finding = next(f for f in judge(design, [r for r in all_rules() if r.code == rule]) if f.subject == subject)
    return finding.verdict, finding.says


# ---- TE1 ------------------------------------------------------------------------------------------------------------
def test_tests_are_due_where_a_day_of_testing_is_recorded_and_no_work() -> None:
    rows = ('quantity = "zs_ohm", a = "circuits.lamps", value = 1.2',)
    for dates, verdict in (('dates = { test = "2026-11-09" }', "unknown"), ('dates = { survey = "2026-11-09" }', "not applicable"),
                           ('dates = { test = "2026-11-09", work = "2026-11-08" }', "not applicable")):
        assert found("TE1", "circuits.lamps", laid(rows, dates))[0] == verdict


def test_what_is_missing_is_named() -> None:
    verdict, says = found("TE1", "circuits.plugs", laid((ZS, *RING), 'dates = { test = "2026-11-09" }'))
    assert verdict == "unknown"
    for words in ("ring: not read: line to neutral cross-connected at a point", "insulation between line and neutral", "residual current: not read"):
        assert words in says
    assert "loop" not in says


# ---- TE2, TE6: what the record does not lead to --------------------------------------------------------------------
NO_LENGTH = 'circuits.lamps.cable.length_m = { unknown = "under the floor" }'
LAMPS = 'quantity = "r1r2_ohm", a = "circuits.lamps", value = 0.95'


def test_without_a_length_nothing_is_in_order() -> None:
    """Delete a fact, and no verdict gets better: unknown, and never within or not applicable."""
    for rule, temp_c in (("TE2", ", temp_c = 20"), ("TE6", "")):
        assert found(rule, "circuits.lamps", laid((LAMPS,), temp_c=temp_c))[0] == "within"
        verdict, says = found(rule, "circuits.lamps", laid((LAMPS,), NO_LENGTH, temp_c))
        assert verdict == "unknown"
        assert "not recorded" in says or "under the floor" in says


def test_what_is_held_to_a_limit_is_never_called_far_off() -> None:
    """0.01 MΩ is bad and ME1's; there is no figure that it should have had."""
    assert found("TE2", "circuits.lamps", laid(('quantity = "insulation_mohm", a = "circuits.lamps", value = 0.01',)))[0] == "not applicable"


def test_an_open_end_of_a_ring_is_told_once() -> None:
    """ME6 says that it is open; here nothing is left to compare."""
    row = 'quantity = "ring_r2_ohm", a = "circuits.plugs", over = ">99.9"'
    assert found("TE2", "circuits.plugs", laid((row,)))[0] == "not applicable"


@pytest.mark.parametrize(("rule", "subject"), [("TE2", "circuits.lamps"), ("TE3", "circuits.lamps"), ("TE4", "installation"), ("TE5", "circuits.lamps"),
                                               ("TE6", "circuits.lamps"), ("TE7", "circuits.plugs"), ("TE8", "installation"), ("TE9", "installation"),
                                               ("TE10", "circuits.plugs")])
def test_where_nothing_was_read_there_is_nothing_to_say(rule: str, subject: str) -> None:
    assert found(rule, subject, with_example(""))[0] == "not applicable"


def test_a_temperature_that_would_not_matter_is_not_asked_for() -> None:
    """0.95 Ω of 0.906: in order at 5 °C and at 30 °C. 1.10 Ω is not at 5 °C."""
    assert found("TE6", "circuits.lamps", laid((LAMPS,), temp_c=""))[0] == "within"
    assert found("TE6", "circuits.lamps", laid((LAMPS.replace("0.95", "1.1"),), temp_c=""))[0] == "unknown"
    assert found("TE6", "circuits.lamps", laid((LAMPS.replace("0.95", "1.1"),)))[0] == "within"


# ---- TE5 ------------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("said", "verdict"), [(', nulled = "yes"', "within"), (', nulled = "no"', "advice"), ("", "unknown")])
def test_leads(said: str, verdict: str) -> None:
    assert found("TE5", "circuits.lamps", laid((LAMPS + said,)))[0] == verdict


# ---- TE7 ------------------------------------------------------------------------------------------------------------
def test_a_loop_on_a_ring_whose_conductors_were_not_read_is_not_known_to_prove_anything() -> None:
    assert found("TE7", "circuits.plugs", laid((ZS, *RING)))[0] == "within"
    assert found("TE7", "circuits.plugs", laid((ZS, *RING[:2])))[0] == "unknown"
    assert found("TE7", "circuits.plugs", laid((ZS,)))[0] == "unknown"
    assert found("TE7", "circuits.plugs", laid((ZS, *RING), "circuits.plugs.cable.cpc_mm2 = { unknown = \"painted over\" }"))[0] == "unknown"


@pytest.mark.parametrize("row", ['quantity = "ring_r2_ohm", a = "circuits.plugs", over = ">99.9"', 'quantity = "ring_r2_ohm", a = "circuits.plugs", value = 1.4'])
def test_open_or_badly_joined(row: str) -> None:
    verdict, says = found("TE7", "circuits.plugs", laid((ZS, *RING[:2], row)))
    assert verdict == "fails"
    assert "proves nothing" in says


def test_a_broken_ring_is_told_of_before_its_loop_is_read() -> None:
    """Take the loop's reading away, and what was bad is not better for it."""
    assert found("TE7", "circuits.plugs", laid((*RING[:2], 'quantity = "ring_r2_ohm", a = "circuits.plugs", over = ">99.9"')))[0] == "fails"
    assert found("TE7", "circuits.plugs", laid(RING))[0] == "not applicable"


# ---- TE8, TE9 -------------------------------------------------------------------------------------------------------
# BS EN 61008: 15 mA at least for type AC, 10.5 for A; a delayed device not within 130 ms; no trip at half
@pytest.mark.parametrize(("row", "more", "early", "late"), [
    ('quantity = "ramp_ma", a = "circuits.plugs", value = 8', "", "advice", "within"),
    ('quantity = "ramp_ma", a = "circuits.plugs", value = 22', "", "within", "within"),
    ('quantity = "ramp_ma", a = "circuits.plugs", value = 48', "", "within", "fails"),
    ('quantity = "ramp_ma", a = "circuits.plugs", over = ">50"', "", "within", "fails"),
    ('quantity = "trip_ms", a = "equipment.unit", value = 24', "equipment.unit.delayed = true", "advice", "not applicable"),
    ('quantity = "trip_ms", a = "equipment.unit", value = 220', "equipment.unit.delayed = true", "within", "not applicable"),
    ('quantity = "trip_ms", a = "equipment.unit", value = 220', "", "unknown", "not applicable"),
    ('quantity = "ramp_ma", a = "equipment.unit", value = 22', "", "unknown", "unknown")])
def test_a_device_on_either_side(row: str, more: str, early: str, late: str) -> None:
    design = laid((row,), more, "")
    assert (found("TE8", "installation", design)[0], found("TE9", "installation", design)[0]) == (early, late)


# ---- TE10: Guidance Note 3, 0.05 Ω ----------------------------------------------------------------------------------
@pytest.mark.parametrize(("rn", "verdict"), [("0.38", "within"), ("0.39", "unknown"), ("0.28", "within"), ("0.27", "unknown")])
def test_line_and_neutral_apart(rn: str, verdict: str) -> None:
    assert found("TE10", "circuits.plugs", laid((RING[0], RING[1].replace("0.33", rn))))[0] == verdict


def test_one_of_the_two_alone_tells_nothing() -> None:
    assert found("TE10", "circuits.plugs", laid(RING[2:]))[0] == "not applicable"
    assert found("TE10", "circuits.plugs", laid(RING[:1]))[0] == "unknown"
    assert found("TE10", "circuits.plugs", laid((RING[0], 'quantity = "ring_rn_ohm", a = "circuits.plugs", over = ">99.9"')))[0] == "unknown"


@pytest.mark.parametrize(("r1", "rn"), [("0.55", "0.5"), ("0.33", "0.28"), ("0.42", "0.37")])
def test_apart_by_just_so_much_is_within_whatever_the_binary_says(r1: str, rn: str) -> None:
    assert found("TE10", "circuits.plugs", laid((RING[0].replace("0.33", r1), RING[1].replace("0.33", rn))))[0] == "within"


# ---- TE11: BS 7671 643.1; the dates are those of kit.toml -----------------------------------------------------------------
READ = 'quantity = "r1r2_ohm", a = "circuits.lamps", value = 0.95, instrument = "tester-1"'


@pytest.mark.parametrize(("dates", "verdict", "says"), [
    ("calibrated = 2026-03-02, until = 2027-03-02", "within", "in calibration on its day"),
    ("calibrated = 2025-11-09, until = 2026-11-09", "within", "in calibration on its day"),           # the last day is still within
    ("calibrated = 2025-11-08, until = 2026-11-08", "unknown", "out of calibration on the day"),
    ("calibrated = 2026-11-10, until = 2027-11-10", "unknown", "out of calibration on the day"),       # checked only after it was used
    ("until = 2027-03-02", "unknown", "tester-1: when it was last calibrated is not in kit.toml"),
    ("until = 2026-11-09", "unknown", "tester-1: when it was last calibrated is not in kit.toml"),
    ("until = 2026-11-08", "unknown", "out of calibration on the day"),
    ("calibrated = 2026-03-02", "unknown", "tester-1: until when its calibration holds is not in kit.toml"),
    ("", "unknown", "no dates in kit.toml"),
])
def test_a_tester_out_of_calibration(dates: str, verdict: str, says: str) -> None:
    """Read on 9 November 2026."""
    kit = f'kit.tester-1 = {{ serial = "0042"{", " if dates else ""}{dates} }}'
    assert found("TE11", "installation", laid([READ], kit))[0] == verdict
    assert says in found("TE11", "installation", laid([READ], kit))[1]


def test_a_reading_that_names_no_tester_is_not_known_to_be_right() -> None:
    """Nor one that names a tester which is not in kit.toml; and nothing read is nothing to say."""
    verdict, says = found("TE11", "installation", laid([READ, READ.replace(', instrument = "tester-1"', "").replace("lamps", "oven")]))
    assert (verdict, "tester-1: no dates" in says, "1 readings name no tester" in says) == ("unknown", True, True)
    assert found("TE11", "installation", laid([]))[0] == "not applicable"
