"""Rules of circuits, branch by branch, on either side of their limits; each figure is worked by hand from the page that is named."""
from __future__ import annotations

import pytest

from spareway.api import check
from spareway.bundled import text
from spareway.rules.specimen import _JOB as JOB
from tests.design.test_landed import FRONT, design, says, verdict
from tests.rules.test_routes import found

BREAKER = 'circuits.warmth.device = { kind = "mcb", curve = "B", rating_a = 16 }\n'
TT = 'supplies.main.earthing = "TT"\nsupplies.main.ze_ohm = { measured = %s }\n'


# ---- CI1 ------------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("ze_ohm", "wanted"), [("0.3", "within"), ("80", "fails")])
def test_on_an_electrode_without_a_residual_device_the_breaker_has_to_open(ze_ohm: str, wanted: str) -> None:
    """411.5.4 and Table 41.3: 0.95 x 230 / 80 is 2.73 Ω for B16; 0.3 Ω of metal sheath is below it, an electrode of 80 Ω is not."""
    assert verdict(design(TT % ze_ohm, BREAKER), "CI1", "warmth") == wanted


@pytest.mark.parametrize(("residual", "wanted"), [("", "within"), ("circuits.warmth.device.residual_ma = 500\n", "within"), (BREAKER, "fails")])
def test_a_loop_above_the_breakers_limit_may_be_within_the_residual_parts(residual: str, wanted: str) -> None:
    """200 m of 2.5/1.5 mm²: 19.51 mΩ/m x 1.2 x 0.2 and 0.3 is 4.98 Ω, above 2.73; 50 V over 30 mA is 1667 Ω, over 500 mA 100 Ω."""
    assert verdict(design("circuits.warmth.cable.length_m = 200\n", residual), "CI1", "warmth") == wanted


@pytest.mark.parametrize(("earthing", "told"), [('"IT"', "an IT system"), ('{ unknown = "no label" }', "no label")])
def test_an_earthing_that_is_not_known_or_not_judged(earthing: str, told: str) -> None:
    of = design(f"supplies.main.earthing = {earthing}\n")
    assert verdict(of, "CI1", "warmth") == "unknown"
    assert told in says(of, "CI1", "warmth")


# ---- CI2 ------------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("lamps_w", "wanted"), [(1170, "within"), (1190, "fails")])
def test_two_circuits_on_one_device_load_it_together(lamps_w: int, wanted: str) -> None:
    """2500 W of heater and the lamps at 230 V: 16 A is 3680 W, so 1180 W is the limit for the lamps."""
    together = f'circuits.lamps.lands.L = "unit.4.L"\ncircuits.lamps.load_w = {lamps_w}\n'
    assert verdict(design(together), "CI2", "warmth") == verdict(design(together), "CI2", "lamps") == wanted


@pytest.mark.parametrize(("stated", "wanted"), [("", "unknown"), (", load_w = 1000", "within"), (", load_a = 4", "within"), (", load_a = 6", "fails")])
def test_what_sockets_draw_beside_it_is_a_persons_to_say(stated: str, wanted: str) -> None:
    """10.87 A of heater leaves 5.13 A of the 16."""
    bench = f'circuits.bench = {{ way = "unit.6", feeds = "sockets", lands.L = "unit.4.L"{stated} }}\n'
    assert verdict(design(bench), "CI2", "warmth") == wanted
    if not stated:
        assert "what bench draws with it nobody stated" in says(design(bench), "CI2", "warmth")


# ---- CI5 ------------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("let_through_a2s", "wanted"), [(13000, "within"), (13225, "within"), (13300, "unknown"), (30000, "fails")])
def test_a_smaller_protective_conductor_further_on_has_to_bear_it_too(let_through_a2s: int, wanted: str) -> None:
    """Table 54.3: k = 115, so 1.0 mm² bears 13,225 A²s and the 1.5 mm² before it 29,756. At the board's current an upper bound only."""
    lines = f"""circuits.warmth.points.p1 = {{ from = "way", length_m = 5, feeds = "panel-heater", line_mm2 = 2.5, cpc_mm2 = 1.0 }}
circuits.warmth.device.let_through_a2s = {let_through_a2s}
"""
    assert verdict(design(lines), "CI5", "warmth") == wanted
    if wanted == "unknown":
        assert "Not known at p1" in says(design(lines), "CI5", "warmth")


# ---- CI6 ------------------------------------------------------------------------------------------------------------
UNIT = 'circuits.plugs.points.p{n} = {{ from = "way.a", feeds = "{feeds}", before = "fused-spur", spur_fuse_a = {fuse}, load_w = {watts}, length_m = 4 }}\n'


def unit(n: int, watts: int, fuse: int = 13, feeds: str = "panel-heater") -> str:
    return UNIT.format(n=n, feeds=feeds, fuse=fuse, watts=watts)


def test_each_heater_behind_a_unit_counts_and_the_one_too_large_is_named() -> None:
    """3 kW at 230 V is 13.04 A, above 13; 1.5 kW is 6.5 A, above a fuse of 5."""
    assert verdict(design(unit(1, 1500), unit(2, 1500)), "CI6", "plugs") == "within"
    large = design(unit(1, 1500), unit(2, 3000))
    assert verdict(large, "CI6", "plugs") == "fails"
    assert says(large, "CI6", "plugs").endswith("; so at plugs.p2")
    assert verdict(design(unit(1, 1500, fuse=5)), "CI6", "plugs") == "fails"


def test_a_unit_of_which_nothing_is_said_beside_one_of_which_it_is() -> None:
    silent = 'circuits.plugs.points.p2 = { from = "p1", before = "fused-spur", spur_fuse_a = 13, length_m = 4 }\nremove = ["circuits.plugs.feeds"]\n'
    assert verdict(design(unit(1, 1500), silent), "CI6", "plugs") == "unknown"
    assert verdict(design(unit(1, 3000), silent), "CI6", "plugs") == "fails"
    assert verdict(design(), "CI6", "plugs") == "not applicable"


# ---- CI9 ------------------------------------------------------------------------------------------------------------
HIDDEN = "circuits.warmth.cable = {{ kind = \"t&e\", line_mm2 = 2.5, cpc_mm2 = 1.5, length_m = 15, method = \"C\"{} }}\n"


@pytest.mark.parametrize(("said", "guarded", "bare"), [(", concealed = true", "within", "fails"), (", concealed = false", "not applicable", "not applicable"),
                                                       ("", "within", "unknown")])
def test_whether_a_cable_is_concealed(said: str, guarded: str, bare: str) -> None:
    """522.6.202 asks of concealed cables; where 30 mA stands before it, it does not matter what nobody saw."""
    assert verdict(design(HIDDEN.format(said)), "CI9", "warmth") == guarded
    assert verdict(design(HIDDEN.format(said), BREAKER), "CI9", "warmth") == bare


@pytest.mark.parametrize(("residual_ma", "wanted"), [("30", "within"), ("100", "fails"), ('{ unknown = "worn" }', "unknown")])
def test_only_30_ma_is_additional_protection(residual_ma: str, wanted: str) -> None:
    """415.1.1."""
    of = design(f"circuits.warmth.device.residual_ma = {residual_ma}\n")
    assert verdict(of, "CI9", "warmth") == wanted


@pytest.mark.parametrize(("front_ma", "own_ma", "wanted"), [(100, 30, "within"), (30, 100, "within"), (100, 100, "fails")])
def test_of_two_residual_devices_in_series_one_of_30_ma_is_enough(front_ma: int, own_ma: int, wanted: str) -> None:
    of = design(FRONT.replace("residual_ma = 30", f"residual_ma = {front_ma}"), f"circuits.warmth.device.residual_ma = {own_ma}\n")
    assert verdict(of, "CI9", "warmth") == wanted


# ---- CI11 -----------------------------------------------------------------------------------------------------------
PANELS = 'circuits.panels = {{ way = "unit.6"{} }}\nequipment.roof = {{ kind = "solar-inverter", rating_a = 16, on = "panels" }}\n'
RCBO = ', device = {{ kind = "rcbo-2p", curve = "B", rating_a = 20, residual_ma = 30, residual_type = "B"{} }}'


@pytest.mark.parametrize(("device", "wanted"), [
    (RCBO.format(", one_way = true"), "fails"), (RCBO.format(", one_way = false"), "within"), (RCBO.format(""), "unknown"),
    (', device = { kind = "mcb", curve = "B", rating_a = 20 }', "within"), ("", "unknown")])
def test_which_way_current_may_go_through_the_device_of_a_source(device: str, wanted: str) -> None:
    """530.3.201: a marked device may not be fed backwards; what is not read is not known; a plain breaker has no such electronics."""
    assert verdict(design(PANELS.format(device)), "CI11", "panels") == wanted


@pytest.mark.parametrize(("one_way", "wanted"), [("true", "fails"), ("false", "within")])
def test_a_source_that_is_only_a_word_stands_on_it_all_the_same(one_way: str, wanted: str) -> None:
    word = f'circuits.panels = {{ way = "unit.6", feeds = "solar-inverter"{RCBO.format(f", one_way = {one_way}")} }}\n'
    assert verdict(design(word), "CI11", "panels") == wanted


@pytest.mark.parametrize(("rule", "wanted"), [("CI11", "unknown"), ("DV10", "unknown"), ("DV17", "unknown")])
def test_a_source_behind_a_switch_is_not_lost_with_the_device(rule: str, wanted: str) -> None:
    """Without a device nothing is traced through the way: that is no reason to say that no inverter is there."""
    lines = """equipment.roof-switch = { kind = "isolator-2p", rating_a = 20 }
equipment.roof = { kind = "solar-inverter", rating_a = 16 }
runs.flex = { joins = ["roof-switch.top", "roof.in"], kind = "singles", size_mm2 = 2.5, length_m = 1, method = "B" }
circuits.panels = { way = "unit.6", feeds = "roof-switch.bottom" }
"""
    assert verdict(design(lines), rule, "panels") == wanted


def test_where_no_source_stands_the_mark_does_not_matter_and_where_nothing_is_said_it_might() -> None:
    assert verdict(design("circuits.lamps.device.one_way = true\n"), "CI11", "lamps") == "not applicable"
    assert verdict(design('circuits.loose = { way = "unit.6" }\n'), "CI11", "loose") == "unknown"


@pytest.mark.parametrize("lines", [
    'circuits.loose = { way = "unit.6", feeds = "sockets" }\n',
    'equipment.shed = { kind = "board", ways_n = 4 }\ncircuits.loose = { way = "unit.6", feeds = "shed.in", device = { kind = "mcb", curve = "B", rating_a = 32 } }\n'])
def test_sockets_and_boards_are_no_source(lines: str) -> None:
    assert [verdict(design(lines), rule, "loose") for rule in ("CI11", "DV10", "DV17")] == ["not applicable"] * 3


# ---- CI10 -----------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("mohm", "wanted"), [("0.0", "fails"), ("0.99", "fails"), ("1.0", "within"), ("200", "within")])
def test_two_neutrals_that_read_together_are_one(mohm: str, wanted: str) -> None:
    """643.3.2: 1 MΩ between circuits that are apart."""
    row = f'readings = [{{ quantity = "insulation_mohm", a = "circuits.lamps.N", b = "circuits.oven.N", value = {mohm}, loads = "out" }}]'
    said = found("CI10", "circuits.lamps", row)
    assert (said.verdict, "each neutral returns on its own way" in said.says) == (wanted, wanted == "within")
    assert found("CI10", "circuits.plugs", row).verdict == "within"


# ---- CI12, CI90 -----------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("device_ka", "board_ka", "wanted"), [("0.9", "16", "unknown"), ("1", "0.9", "within"), ("0.9", "0.9", "fails"),
                                                               ("0.9", '{ unknown = "no label" }', "unknown"), ('{ unknown = "worn" }', "16", "unknown")])
def test_a_device_breaks_the_fault_or_the_board_that_is_tested_for_it(device_ka: str, board_ka: str, wanted: str) -> None:
    """230 V over 0.25 Ω line to neutral is 0.92 kA."""
    lines = f"circuits.oven.device.fault_rating_ka = {device_ka}\nequipment.unit.fault_rating_ka = {board_ka}\n"
    assert verdict(design(lines), "CI12", "oven") == wanted


@pytest.mark.parametrize(("where", "eye", "answer", "wanted"), [
    ("equipment.unit", "EY22", "yes", "within"), ("equipment.unit", "EY22", "no", "unknown"), ("equipment.meter", "EY22", "yes", "unknown"),
    ("equipment.unit", "EY23", "yes", "unknown")])
def test_only_a_yes_to_its_own_question_about_its_own_board_lends_the_rating(where: str, eye: str, answer: str, wanted: str) -> None:
    row = f"o1,{where},,,,seen,a,2026-11-09,,{eye},{answer}"
    files = {"job.toml": JOB, "found.toml": text("rules/specimen.toml"), "work.toml": "circuits.oven.device.fault_rating_ka = 0.6\n",
             "observations.csv": f"id,where,place,code,photo,says,by,at,strikes,eye,answer\n{row}\n"}
    told = check(files)
    assert [f["verdict"] for f in told["findings"] if (f["rule"], f["subject"]) == ("CI12", "circuits.oven")] == [wanted]


def test_a_core_that_lands_elsewhere_is_named() -> None:
    of = design('circuits.lamps.lands.N = "unit.4.N"\n')
    assert (verdict(of, "CI90", "lamps"), verdict(of, "CI90", "warmth")) == ("fails", "within")
    assert "N on unit.4.N" in says(of, "CI90", "lamps")


def test_a_source_that_is_only_a_word_lifts_the_voltage_by_nobody_knows_how_much() -> None:
    word = f'circuits.panels = {{ way = "unit.6", feeds = "solar-inverter"{RCBO.format("")} }}\n'
    assert verdict(design(word), "LO15", "panels") == "unknown"
    assert verdict(design('circuits.panels = { way = "unit.6", feeds = "solar-inverter" }\n'), "LO15", "panels") == "unknown"
    assert verdict(design(PANELS.format("")), "LO15", "panels") == "unknown"                      # a thing, and no device to trace it by
    assert verdict(design(), "LO15", "warmth") == "not applicable"
