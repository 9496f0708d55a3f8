"""What readings prove and what they do not: each way through the rules of proof. Rows are invented, limits named."""
from __future__ import annotations

from dataclasses import replace

import pytest

from spareway.design.design import Design
from spareway.rules import all_rules
from spareway.rules.base import judge
from spareway.survey.flags import NOT_YET
from tests.rules.test_measured import found
from tests.rules.test_tested import laid

OUT = 'loads = "out"'


def insulation(value: str, more: str = "", a: str = "circuits.oven") -> str:
    return f'quantity = "insulation_mohm", a = "{a}", {value}' + (f", {more}" if more else "")


def day(n: int, hour: int = 9) -> str:
    return f'at = "2026-11-{n:02}T{hour:02}:00"'


# ---- beyond a break -------------------------------------------------------------------------------------------------
def test_insulation_of_a_broken_circuit() -> None:
    """A radial that reads open: its insulation, however good, is no pass. A ring is asked elsewhere; one of the two alone says nothing."""
    broken = 'quantity = "r1r2_ohm", a = "circuits.oven", over = ">99.9"'
    assert found("PR1", "circuits.oven", broken, insulation('over = ">200"')).verdict == "fails"
    assert found("PR1", "circuits.oven", broken).verdict == "not applicable"
    assert found("PR1", "circuits.oven", insulation("value = 80")).verdict == "not applicable"
    ring = 'quantity = "r1r2_ohm", a = "circuits.plugs", over = ">99.9"'
    assert found("PR1", "circuits.plugs", ring, insulation("value = 80", a="circuits.plugs")).verdict == "not applicable"


# ---- a repair not read again ----------------------------------------------------------------------------------------
LOW, GOOD = insulation("value = 0.4", f"{OUT}, {day(9)}"), insulation("value = 80", f"{OUT}, {day(12)}")
AGAIN = ('quantity = "r1r2_ohm", a = "circuits.oven", value = 0.08, {}', 'quantity = "zs_ohm", a = "circuits.oven", value = 0.5, {}',
         'quantity = "trip_ms", a = "circuits.oven", value = 24, {}')


def test_all_that_mending_undoes_read_again() -> None:
    """BS 7671 643.1: what was read before the repair does not count, and what is missing is named."""
    assert found("PR2", "circuits.oven", LOW, GOOD, *(row.format(day(12)) for row in AGAIN)).verdict == "within"
    before = found("PR2", "circuits.oven", LOW, GOOD, *(row.format(day(9)) for row in AGAIN))
    assert before.verdict == "fails"
    assert "not read again: continuity, zs, residual" in before.says


def test_on_one_day_the_hour_decides() -> None:
    """Bad at nine, good at noon: what was read at ten was read before it was put right."""
    rows = insulation("value = 0.4", f"{OUT}, {day(9)}"), insulation("value = 80", f"{OUT}, {day(9, 12)}")
    assert found("PR2", "circuits.oven", *rows, *(row.format(day(9, 10)) for row in AGAIN)).verdict == "fails"
    assert found("PR2", "circuits.oven", *rows, *(row.format(day(9, 13)) for row in AGAIN)).verdict == "within"


def test_the_same_circuit_without_its_load_is_no_repair() -> None:
    """Scenario Weir: 0.62 MΩ with the cooker, 180 without: nothing was mended. Nor by a reading that stays low, or one that falls."""
    apart = insulation("value = 0.62", f'loads = "in", {day(9)}'), insulation("value = 180", f"{OUT}, {day(12)}")
    assert found("PR2", "circuits.oven", *apart).verdict == "not applicable"
    still = insulation("value = 0.4", f"{OUT}, {day(9)}"), insulation("value = 0.5", f"{OUT}, {day(12)}")
    assert found("PR2", "circuits.oven", *still).verdict == "not applicable"
    falls = insulation("value = 80", f"{OUT}, {day(9)}"), insulation("value = 0.5", f"{OUT}, {day(12)}")
    assert found("PR2", "circuits.oven", *falls).verdict == "not applicable"


def test_a_conductor_made_whole() -> None:
    """A radial that was open and reads again: as a cable mended."""
    rows = [f'quantity = "r1r2_ohm", a = "circuits.oven", {said}, {when}' for said, when in (('over = ">99.9"', day(9)), ("value = 0.08", day(12)))]
    assert "insulation, zs, residual" in found("PR2", "circuits.oven", *rows).says


# ---- a board below its circuits -------------------------------------------------------------------------------------
# 40 and 60 MΩ side by side are 24; an instrument of BS EN 61557-2 may be 30 % out: 16.8
@pytest.mark.parametrize(("whole", "verdict"), [("value = 16.7", "unknown"), ("value = 16.9", "within"), ('over = ">200"', "within")])
def test_a_board_against_its_circuits(whole: str, verdict: str) -> None:
    rows = insulation("value = 40", a="circuits.lamps"), insulation("value = 60", a="circuits.oven")
    answer = found("PR3", "equipment.unit", insulation(whole, a="equipment.unit"), *rows)
    assert answer.verdict == verdict
    assert ("Not read alone: plugs, warmth" in answer.says) == (verdict == "unknown")


def test_a_board_with_no_circuit_read_is_not_known() -> None:
    assert found("PR3", "equipment.unit", insulation("value = 22", a="equipment.unit")).verdict == "unknown"
    assert found("PR3", "equipment.unit", insulation("value = 22")).verdict == "not applicable"


# BS 7671 Table 64: 1.0 MΩ
@pytest.mark.parametrize(("whole", "verdict"), [("value = 0.99", "fails"), ("value = 1", "within"), ('over = ">0.5"', "unknown")])
def test_a_board_against_the_limit(whole: str, verdict: str) -> None:
    assert found("PR6", "equipment.unit", insulation(whole, a="equipment.unit")).verdict == verdict
    assert found("PR6", "equipment.unit", insulation(whole)).verdict == "not applicable"


# GN3: 2 MΩ is looked into
@pytest.mark.parametrize(("said", "verdict"), [("value = 1", "advice"), ("value = 1.9", "advice"), ("value = 2", "within"),
                                               ("value = 0.9", "not applicable"), ('over = "yes"', "not applicable"), ('over = ">1"', "not applicable"),
                                               ('over = ">2"', "within")])
def test_low_and_above_the_limit(said: str, verdict: str) -> None:
    """Advice only: it is never unknown, so that a record that says less of it reads no better."""
    assert found("PR7", "circuits.oven", insulation(said, OUT)).verdict == verdict


# ---- neutrals -------------------------------------------------------------------------------------------------------
ATTIC = 'circuits.attic = { way = "unit.6", feeds = "lights", device = { kind = "rcbo-2p", curve = "B", rating_a = 6, residual_ma = 30, residual_type = "A", one_way = false } }'
BETWEEN = 'quantity = "insulation_mohm", a = "circuits.attic.N", b = "circuits.lamps.N", {}'


@pytest.mark.parametrize(("said", "verdict"), [('over = ">200"', "within"), ("value = 1", "within"), ("value = 0", "not applicable"),
                                               ('over = "yes"', "advice")])
def test_neutrals_of_lights(said: str, verdict: str) -> None:
    """Apart at 1 MΩ (BS 7671 Table 64); joined is for CI10; a range without an end tells nothing."""
    assert found("PR4", "circuits.attic", BETWEEN.format(said), more=ATTIC).verdict == verdict


def test_lights_alone_or_without_a_device_that_would_trip() -> None:
    row = insulation("value = 80")
    assert found("PR4", "circuits.lamps", row).verdict == "not applicable"
    assert found("PR4", "circuits.oven", row, more=ATTIC).verdict == "not applicable"
    plain = ATTIC.replace("rcbo-2p", "mcb").replace(', residual_ma = 30, residual_type = "A", one_way = false', "")
    assert found("PR4", "circuits.attic", row, more=plain).verdict == "not applicable"
    assert found("PR4", "circuits.attic", row, more=ATTIC).verdict == "advice"


# ---- flags ----------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("says", "verdict"), [("indicator green", "unknown"), ("Red flag up", "unknown"), ("button white", "unknown"),
                                               ("indicator green; maker: in order", "within"), ("green door", "not applicable"),
                                               ("flag up", "not applicable")])
def test_no_verdict_from_colour_alone(says: str, verdict: str) -> None:
    """Feature 71: what the maker says a colour means stands beside it, or it says nothing."""
    more = f'observations = [{{ where = "equipment.arrester", says = "{says}" }}]'
    assert found("PR5", "installation", insulation("value = 80"), more=more).verdict == verdict


@pytest.mark.parametrize(("says", "verdict"), [
    ("indicator green; what its maker says is not known", "unknown"), ("indicator green; maker:", "unknown"), ("indicator green; maker: ;", "unknown"),
    ("indicator green; the maker was rung", "unknown"), (f"shows green; {NOT_YET}", "unknown"), ("shows red; its maker: spent (sheet, page 2)", "within")])
def test_only_the_makers_words_explain_a_colour(says: str, verdict: str) -> None:
    """A mention of a maker is none of what the maker says; what the phone files is of a flag, whatever it is called."""
    more = f'observations = [{{ where = "equipment.arrester", says = "{says}" }}]'
    assert found("PR5", "installation", insulation("value = 80"), more=more).verdict == verdict


@pytest.mark.parametrize(("says", "verdict"), [("it is red", "unknown"), ("blue conductor loose", "not applicable"), ("cracked", "not applicable")])
def test_a_colour_at_a_device(says: str, verdict: str) -> None:
    """At a device a colour is of its flag; of a conductor it tells nothing of the device."""
    more = f'observations = [{{ where = "circuits.oven.device", says = "{says}" }}]'
    assert found("PR5", "installation", insulation("value = 80"), more=more).verdict == verdict


# ---- another stage, another device ----------------------------------------------------------------------------------
def later(rule: str, subject: str, row: str, more: str = "", stage: str = "fitted") -> tuple[str, str]:
    """What a rule says at this stage of a row that was read as found."""
    design = Design(replace(laid((row,), more).inst, stage=stage))
    finding = next(f for f in judge(design, [r for r in all_rules() if r.code == rule]) if f.subject == subject)
    return finding.verdict, finding.says


def test_a_board_read_as_found_is_no_board_as_fitted() -> None:
    for value, stage, verdict in (("value = 12", "fitted", "unknown"), ("value = 12", "found", "within"), ("value = 0.4", "fitted", "unknown")):
        assert later("PR6", "equipment.unit", insulation(value, a="equipment.unit"), stage=stage)[0] == verdict
    assert "read as found only, not at this stage" in later("PR6", "equipment.unit", insulation("value = 12", a="equipment.unit"))[1]


def test_neutrals_apart_as_found_are_not_apart_as_fitted() -> None:
    verdict, says = later("PR4", "circuits.attic", BETWEEN.format("value = 80"), ATTIC)
    assert verdict == "advice"
    assert "read as found only" in says
    assert later("PR4", "circuits.attic", BETWEEN.format("value = 80"), ATTIC, "found")[0] == "within"


def test_a_device_that_nobody_recorded_may_trip() -> None:
    """Known to be plain: it does not apply. Unknown: cannot be told, unless the neutrals were read apart."""
    unsaid = 'circuits.attic = { way = "unit.6", feeds = "lights" }'
    assert found("PR4", "circuits.attic", insulation("value = 80"), more=unsaid).verdict == "unknown"
    assert found("PR4", "circuits.attic", BETWEEN.format("value = 80"), more=unsaid).verdict == "within"
    blank = ATTIC.replace("residual_ma = 30, ", "")
    assert found("PR4", "circuits.attic", insulation("value = 80"), more=blank).verdict == "advice"
