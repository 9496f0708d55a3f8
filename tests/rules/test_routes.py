"""Rules of routes just below, at and above their limits; the ratings are those of the published tables that each test names."""
from __future__ import annotations

import pytest

from spareway.rules import all_rules
from spareway.rules.base import Finding, judge
from spareway.rules.specimen import with_example


def found(rule: str, subject: str, example: str) -> Finding:
    return next(f for f in judge(with_example(example), [r for r in all_rules() if r.code == rule]) if f.subject == subject)


def warmth(rule: str, example: str) -> str:
    return found(rule, "circuits.warmth", example).verdict


CABLE = 'circuits.warmth.cable = {{ kind = "{kind}", line_mm2 = {line}, cpc_mm2 = 1.5, concealed = true, {rest} }}\n'


def cable(rest: str, kind: str = "t&e", line: float = 2.5) -> str:
    return CABLE.format(kind=kind, line=line, rest=rest)


# ---- ring legs: issue 5, accepted when ------------------------------------------------------------------------------
@pytest.mark.parametrize(("method", "further", "verdict"), [
    ("101", "", "fails"), ("103", "", "fails"), ("100", "", "within"), ("102", "", "within"), ("C", "", "within"), ("A", "", "within"),
    ("100", "circuits.plugs.cable.ambient_c = 35", "fails"), ("102", "circuits.plugs.cable.ambient_c = 35", "fails"),
    ("100", "circuits.plugs.cable.grouped_n = 2", "fails"), ("102", "circuits.plugs.cable.grouped_n = 2", "fails"),
    ("A", "circuits.plugs.cable.ambient_c = 35", "fails"), ("C", "circuits.plugs.cable.ambient_c = 35", "within"),
])
def test_legs_of_a_household_ring(method: str, further: str, verdict: str) -> None:
    """433.1.204 asks 20 A of each leg; Table 4D5, 2.5 mm²: 17 A by 101 and 13.5 by 103; 21 by 100 and 102, less with 0.94 or 0.8."""
    assert found("CI3", "circuits.plugs", f'circuits.plugs.cable.method = "{method}"\n{further}').verdict == verdict


# ---- RT1, RT2 -------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("load_a", "verdict"), [(13.4, "within"), (13.5, "within"), (13.6, "fails")])
def test_a_load_is_held_against_the_weakest_stretch(load_a: float, verdict: str) -> None:
    """Table 4D5: 2.5 mm² by method 103 carries 13.5 A, clipped 27."""
    said = found("RT1", "circuits.warmth", cable('stretches.wall = { length_m = 9, method = "C" }, stretches.stud = { length_m = 3, method = "103" }')
                 + f"circuits.warmth.load_a = {load_a}")
    assert said.verdict == verdict
    assert "stretch stud, 3 m, method 103" in said.says


def test_a_rewirable_fuse_takes_nothing_from_what_the_metal_carries() -> None:
    """433.1.202: 0.725 asks for a larger cable; 16 A of load is no heat more than before on 20 A of Table 4D5 by method A."""
    fuse = 'circuits.warmth.device = { kind = "rewirable", rating_a = 15 }\ncircuits.warmth.load_a = 16\ncircuits.warmth.cable.method = "A"'
    assert warmth("RT1", fuse) == "within"
    assert warmth("CI3", fuse) == "fails"
    assert found("RT1", "circuits.warmth", fuse).facts[1].value == 20


def test_what_takes_from_a_rating_is_named() -> None:
    said = found("RT1", "circuits.warmth", cable(
        'stretches.loft = { length_m = 4, method = "C", ambient_c = 40, grouped_n = 2, in_insulation_mm = 100 }')).says
    assert "stretch loft, 4 m, method C, 2 bunched, 40 °C around it, 100 mm in insulation" in said


def test_a_stretch_that_alone_is_too_weak_is_named_and_two_are_not() -> None:
    one = 'stretches.wall = { length_m = 9, method = "C" }, stretches.stud = { length_m = 3, method = "103" }'
    said = found("RT2", "circuits.warmth", cable(one))
    assert (said.verdict, "Stretch stud" in said.says, "Everywhere else it carries 27 A" in said.says) == ("advice", True, True)
    assert warmth("RT2", cable(f'{one}, stretches.other = {{ length_m = 1, method = "103" }}')) == "not applicable"
    assert warmth("RT2", cable('stretches.wall = { length_m = 9 }, stretches.stud = { length_m = 3, method = "103" }')) == "unknown"


@pytest.mark.parametrize(("method", "verdict"), [("103", "advice"), ("100", "within")])
def test_a_stretch_of_a_ring_is_held_against_20_a_of_a_leg(method: str, verdict: str) -> None:
    """433.1.204; Table 4D5, 2.5 mm²: 27 A clipped, 21 A by 100, 13.5 A by 103. Its device of 32 A is not what a leg carries."""
    ways = f'stretches.wall = {{ length_m = 40, method = "C" }}, stretches.stud = {{ length_m = 5, method = "{method}" }}'
    assert found("RT2", "circuits.plugs", cable(ways).replace("warmth", "plugs")).verdict == verdict


# ---- RT3 to RT7 -----------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("ambient_c", "insulation", "verdict"), [
    (69, "", "within"), (70, "", "fails"), (70, ", insulation_c = 90", "within"), (90, ", insulation_c = 90", "fails"), (60, ", insulation_c = 60", "fails"),
    ('{ unknown = "behind the flue" }', "", "unknown")])
def test_ambient_against_insulation(ambient_c: object, insulation: str, verdict: str) -> None:
    assert warmth("RT3", cable(f'length_m = 9, method = "C", ambient_c = {ambient_c}{insulation}')) == verdict


@pytest.mark.parametrize(("inside", "verdict"), [
    ("499", "within"), ("500", "advice"), ("2000", "advice"), ("0", "not applicable"), ('{ unknown = "under the boards" }', "unknown")])
def test_half_a_metre_in_insulation(inside: str, verdict: str) -> None:
    """523.9 and Table 52.2: from 0.5 m on the factor is 0.5."""
    assert warmth("RT4", cable(f'stretches.loft = {{ length_m = 4, method = "C", in_insulation_mm = {inside} }}')) == verdict


@pytest.mark.parametrize("method", ["A", "100", "101", "102"])
def test_a_method_with_insulation_on_one_side_and_all_round_is_a_question(method: str) -> None:
    stretch = 'stretches.loft = {{ length_m = 4, method = "{}", in_insulation_mm = {} }}'
    assert warmth("RT5", cable(stretch.format(method, 400))) == "unknown"
    assert warmth("RT5", cable(stretch.format(method, 0))) == "within"
    assert warmth("RT4", cable(stretch.format(method, 4000))) == "not applicable"
    assert warmth("RT5", cable(stretch.format("103", 400))) == "not applicable"


def test_in_the_ground_only_with_armour() -> None:
    for kind, verdict in (("armoured", "within"), ("t&e", "unknown"), ("singles", "unknown"), ("flex", "unknown")):
        assert warmth("RT6", cable('length_m = 9, method = "D"', kind)) == verdict
    assert warmth("RT6", cable('length_m = 9, method = "E"', "flex")) == "not applicable"


@pytest.mark.parametrize(("ambient_c", "insulation", "verdict"), [
    (50, ", insulation_c = 90", "fails"), (50, "", "unknown"), (50, ", insulation_c = 70", "not applicable"),
    (40, ", insulation_c = 90", "within"), (60, ", insulation_c = 90", "fails")])
def test_ninety_degrees_at_terminals_of_seventy(ambient_c: int, insulation: str, verdict: str) -> None:
    """512.1.5: 1.5 mm² armoured is 21 A by Table 4D4A and 27 by 4E4A; at 50 °C 14.9 and 22.1 against 16 A; at 40 °C 18.3 will do."""
    assert warmth("RT7", cable(f'length_m = 9, method = "C", ambient_c = {ambient_c}{insulation}', "armoured", 1.5)) == verdict


# ---- RT8 ------------------------------------------------------------------------------------------------------------
def bunched(*counts: object) -> str:
    lines = []
    for name, count, rest in zip(("warmth", "oven", "lamps"), counts, ("line_mm2 = 2.5, cpc_mm2 = 1.5", "line_mm2 = 6, cpc_mm2 = 2.5", "line_mm2 = 1.5, cpc_mm2 = 1.0"),
                                 strict=False):
        said = f", grouped_n = {count}" if count else ""
        lines.append(f'circuits.{name}.cable = {{ kind = "t&e", {rest}, concealed = true, stretches.duct = {{ length_m = 9, method = "B", bundle = "hall"{said} }} }}')
    return "\n".join(lines)


def test_what_hardly_carries_is_not_counted_in_a_bundle() -> None:
    """Table 4C1, notes: 30 % of 0.7 x 16.5 A (Table 4D2A, 1.5 mm², B) is 3.47 A; lamps of 200 W draw 0.87 A, of 900 W 3.91 A."""
    said = found("RT8", "circuits.warmth", bunched(2, 2, 3))
    assert said.verdict == "within"
    assert "left out as little loaded: circuits.lamps" in said.says
    heavier = found("RT8", "circuits.warmth", bunched(2, 2, 3) + "\ncircuits.lamps.load_w = 900")
    assert heavier.verdict == "fails"
    assert "left out" not in heavier.says
    unknown = f'{bunched(2, 2, 3)}\nremove = ["circuits.lamps.points"]\ncircuits.lamps.load_w = {{ unknown = "not asked" }}'
    assert found("RT8", "circuits.warmth", unknown).verdict == "fails"


def test_the_cable_itself_always_counts_in_its_bundle() -> None:
    assert found("RT8", "circuits.lamps", bunched(2, 2, 3)).verdict == "within"
    assert found("RT8", "circuits.lamps", bunched(2, 2, 2)).verdict == "fails"
    assert found("RT8", "circuits.warmth", bunched(0, 2)).verdict == "unknown"
    assert warmth("RT8", "circuits.warmth.cable.grouped_n = 3") == "not applicable"


# ---- RT9 ------------------------------------------------------------------------------------------------------------
def test_a_drop_above_the_limit_by_the_tables_may_be_within_it_cooler() -> None:
    """Appendix 4, 6.1: 10.87 A on 27 A: Ct = (300 - (1 - 0.1621) 40) / 300 = 0.8883; 61 m drop 11.93 V by the table and 10.60 V so."""
    said = found("RT9", "circuits.warmth", "circuits.warmth.cable.length_m = 61")
    own = said.facts[0].inputs[1]
    load = 2500 / 230
    assert own.value == pytest.approx(18 * load * 61 / 1000 * (300 - (1 - (load / 27) ** 2) * 40) / 300, rel=1e-9)
    assert f"{own.value:.2f}" == "10.60"
    drop = found("CI4", "circuits.warmth", "circuits.warmth.cable.length_m = 61")
    assert (said.verdict, drop.verdict) == ("within", "not applicable")
    assert "at its hottest: Voltage drop 12.2 V; limit 11.5 V" in drop.says                               # each with the tails before it
    assert "RT9 reckons it as warm as its load makes it: Voltage drop 10.9 V; limit 11.5 V" in drop.says
    assert warmth("CI4", "circuits.warmth.cable.length_m = 66") == "fails"
    unread = found("CI4", "circuits.warmth", 'circuits.warmth.cable.length_m = 61\ncircuits.warmth.cable.ambient_c = { unknown = "boiler" }')
    assert (unread.verdict, "By the tables: Voltage drop 12.2 V" in unread.says) == ("unknown", True)
    ground = 'circuits.warmth.cable.length_m = 61\ncircuits.warmth.cable.method = "D"'
    assert (warmth("RT9", ground), warmth("CI4", ground)) == ("not applicable", "fails")                   # by the tables alone


def test_one_stretch_in_the_ground_is_enough_to_go_by_the_tables() -> None:
    ways = 'stretches.a = { length_m = 4, method = "D" }, stretches.b = { length_m = 4, method = "C" }'
    assert warmth("RT9", cable(ways, "armoured")) == "not applicable"


@pytest.mark.parametrize("ambient_c", [15, 25, 30])
def test_a_place_cooler_than_30_degrees_counts_as_30(ambient_c: int) -> None:
    """The formula of Appendix 4, 6.1 begins at 30 °C; cooler copper drops less, so its answer there is on the safe side. To leave the
    temperature out reads no better than to say it."""
    said = found("RT9", "circuits.warmth", f"circuits.warmth.cable.length_m = 61\ncircuits.warmth.cable.ambient_c = {ambient_c}")
    bare = found("RT9", "circuits.warmth", "circuits.warmth.cable.length_m = 61")
    assert (said.verdict, said.facts[0].value) == ("within", bare.facts[0].value)
    assert "whole rating" not in said.says
    assert warmth("RT9", "circuits.warmth.cable.length_m = 66") == "fails"


def test_a_drop_reckoned_cooler_says_nothing_good_of_a_thinner_leg() -> None:
    thin = 'circuits.warmth.points.p1 = { from = "way", length_m = 2, feeds = "panel-heater", line_mm2 = 1.0, cpc_mm2 = 1.0 }\n'
    assert (warmth("RT9", thin), warmth("CI4", thin)) == ("unknown", "unknown")
    assert warmth("RT9", f"{thin}circuits.warmth.cable.length_m = 200") == "fails"
    assert warmth("CI4", f"{thin}circuits.warmth.cable.length_m = 61") == "unknown"


def test_a_load_nobody_recorded_counts_as_the_whole_rating() -> None:
    """At 16 A the same 40 m drop 18 x 16 x 40 / 1000 = 11.52 V by the table, and with Ct 0.9135 10.52."""
    far = 'circuits.warmth.cable.length_m = %s\nequipment.radiator.stamped_w = { unknown = "plate worn" }'
    said = found("RT9", "circuits.warmth", far % 40)
    assert (said.verdict, "at the whole rating of its device" in said.says, f"{said.facts[0].inputs[1].value:.2f}") == ("within", True, "10.52")
    assert warmth("RT9", far % 45) == "fails"
    assert warmth("RT1", far % 40) == "within"
    assert warmth("RT1", far % 40 + '\ncircuits.warmth.cable.method = "103"') == "unknown"


@pytest.mark.parametrize(("lines", "verdict"), [
    ('circuits.warmth.device = { kind = "rewirable", rating_a = 15 }', "not applicable"), ("circuits.warmth.cable.ambient_c = 25", "within"),
    ('circuits.warmth.cable = { kind = "tails", line_mm2 = 25, cpc_mm2 = 16, length_m = 80, method = "C" }', "not applicable"),
    ('circuits.warmth.cable = { kind = "tails", line_mm2 = 16.5, cpc_mm2 = 16, length_m = 80, method = "C" }', "not applicable"),
    ('circuits.warmth.cable = { kind = "tails", line_mm2 = 16, cpc_mm2 = 16, length_m = 80, method = "C" }', "within"),
    ('circuits.warmth.cable.ambient_c = { unknown = "boiler" }', "unknown"), ('circuits.warmth.cable.length_m = { unknown = "" }', "unknown")])
def test_only_some_cables_may_be_reckoned_cooler(lines: str, verdict: str) -> None:
    """Appendix 4, 6.1: not behind BS 3036, not above 16 mm² (the reactance does not cool), not below the tables' 30 °C."""
    assert warmth("RT9", lines) == verdict


# ---- RT10 to RT12 ---------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("length_m", "through", "verdict"), [
    (3, "", "within"), (3.1, "", "unknown"), (9, "circuits.warmth.device.let_through_a2s = 13225", "within"),
    (9, "circuits.warmth.device.let_through_a2s = 13226", "fails"), (3, "circuits.warmth.device.let_through_a2s = 90000", "within")])
def test_a_thin_leg_is_short_or_bears_the_fault(length_m: float, through: str, verdict: str) -> None:
    """434.2.1: 3 m; else k²S² = 115² x 1.0² = 13,225 A²s (Table 43.1)."""
    leg = f'circuits.warmth.points.p1 = {{ from = "way", length_m = {length_m}, feeds = "panel-heater", line_mm2 = 1.0, cpc_mm2 = 1.0 }}\n'
    quiet = leg + (through or 'circuits.warmth.device.let_through_a2s = { unknown = "asked" }')
    assert warmth("RT10", quiet) == verdict


def test_a_fuse_before_a_thin_leg_is_its_own_protection() -> None:
    leg = 'circuits.warmth.points.p1 = { from = "way", length_m = 9, feeds = "panel-heater", line_mm2 = 1.0, before = "fused-spur", spur_fuse_a = 13 }'
    assert warmth("RT10", leg) == "not applicable"


@pytest.mark.parametrize("kind", ["flex", "mineral", "triplex", "other"])
def test_no_cable_passes_by_the_table_of_another_kind(kind: str) -> None:
    assert warmth("RT11", cable('length_m = 9, method = "C"', kind)) == "unknown"
    assert warmth("RT11", "circuits.warmth.cable = { kind = \"armoured\" }") == "within"


def test_currents_add_in_a_shared_neutral() -> None:
    """Table 4D5: 1.5 mm² clipped 20 A. 6 A of its own and 16 A of another make 22; a single lamp of 9 W makes 6.04."""
    said = found("RT12", "circuits.lamps", 'circuits.warmth.neutral = "lamps"')
    assert (said.verdict, said.facts[0].value, said.facts[1].value) == ("fails", 22, 20)
    lamp = 'circuits.warmth.points.p1 = { from = "way", length_m = 4, feeds = "lamp", load_w = 9, neutral = "lamps" }'
    said = found("RT12", "circuits.lamps", lamp)
    assert (said.verdict, f"{said.facts[0].value:.2f}", "warmth.p1" in said.says) == ("within", "6.04", True)
    landed = found("RT12", "circuits.lamps", 'circuits.warmth.lands.N = "unit.2.N"')
    assert (landed.verdict, landed.facts[0].value) == ("fails", 22)
    assert found("RT12", "circuits.plugs", 'circuits.warmth.neutral = "plugs"').verdict == "unknown"
    unknown = 'circuits.warmth.neutral = "lamps"\ncircuits.warmth.device = { kind = "rcbo-2p", curve = "B" }'
    assert found("RT12", "circuits.lamps", unknown).verdict == "unknown"


# ---- what is not known, and several at once -------------------------------------------------------------------------
LOFT = 'stretches.{0} = {{ length_m = 4, method = "C", in_insulation_mm = {1} }}'


def test_the_worst_of_several_counts() -> None:
    """Of two lengths in insulation, two bundles, two thin legs: one that holds excuses none that does not."""
    said = found("RT4", "circuits.warmth", cable(f"{LOFT.format('a', 200)}, {LOFT.format('b', 900)}"))
    assert (said.verdict, "stretch b" in said.says) == ("advice", True)
    ducts = 'stretches.a = { length_m = 4, method = "B", bundle = "hall", grouped_n = 2 }, stretches.b = { length_m = 4, method = "B", bundle = "loft", grouped_n = %s }'
    oven = 'circuits.oven.cable = { kind = "t&e", line_mm2 = 6, cpc_mm2 = 2.5, stretches.a = { length_m = 4, method = "B", bundle = "loft", grouped_n = 2 } }'
    assert [warmth("RT8", cable(ducts % n) + oven) for n in (1, 2)] == ["fails", "within"]
    leg = 'circuits.warmth.points.p%s = { from = "%s", length_m = %s, feeds = "panel-heater", line_mm2 = 1.0 }\n'
    assert [warmth("RT10", leg % (1, "way", 2) + leg % (2, "way", m)) for m in (3, 5)] == ["within", "fails"]
    assert [warmth("RT10", leg % (1, "way", 2) + leg % (2, "p1", m)) for m in (1, 1.1)] == ["within", "fails"]        # 3 m in all
    assert warmth("RT10", leg % (1, "way", '{ unknown = "" }')) == "unknown"
    cool = 'stretches.a = { length_m = 4, method = "C", ambient_c = %s }, stretches.b = { length_m = 4, method = "C" }'
    assert [warmth("RT9", cable(cool % c)) for c in (25, 30)] == ["within", "within"]


def test_no_cable_of_no_kind_is_judged() -> None:
    bare = 'circuits.bench = { way = "unit.6", feeds = "lamp", load_w = 9, device = { kind = "mcb", curve = "B", rating_a = 6 } }'
    assert [found(rule, "circuits.bench", bare).verdict for rule in ("RT1", "RT7", "RT9", "RT11")] == ["unknown"] * 4
    buried = bare[:-2] + ', cable = { kind = "t&e", method = "D" } }'
    assert found("RT6", "circuits.bench", buried).verdict == "unknown"
    assert "Weakest" not in found("RT1", "circuits.bench", bare).says
    unread = 'equipment.radiator.stamped_w = { unknown = "worn" }\ncircuits.warmth.cable.method = "103"'
    assert "Weakest" not in found("RT1", "circuits.warmth", unread).says
    assert "all of it lies in one way" in found("RT1", "circuits.warmth", bare).says


def test_what_a_rule_has_nothing_to_say_of() -> None:
    plain = "circuits.lamps.load_w = 150"
    assert (warmth("RT7", plain), found("RT7", "circuits.plugs", 'circuits.plugs.cable.kind = "armoured"').verdict) == ("not applicable", "not applicable")
    assert warmth("RT3", cable('length_m = 9, method = "C", ambient_c = 40, insulation_c = { unknown = "painted over" }')) == "unknown"
    assert found("RT1", "circuits.plugs", plain).verdict == found("RT9", "circuits.plugs", plain).verdict == "not applicable"
    assert "insulation is counted once" in found("RT5", "circuits.warmth", 'circuits.warmth.cable.method = "100"').says
    assert "t&e by its own table" in found("RT11", "circuits.warmth", plain).says
    assert "flex, read by Table 4D2A" in found("RT11", "circuits.warmth", cable('length_m = 9, method = "C"', "flex")).says.replace("BS 7671:2018+A4 ", "")


def test_no_drop_counts_more_than_the_device_lets_through_nor_less_than_is_not_said() -> None:
    """20 A behind 16 A count as 16; without a device nothing is known; lighting may be on what nobody described, and has 6.9 V."""
    over = found("RT9", "circuits.warmth", "circuits.warmth.load_a = 20\ncircuits.warmth.cable.length_m = 40")
    assert (f"{over.facts[0].inputs[1].value:.2f}", "at the whole rating" in over.says) == ("10.52", True)
    bench = 'circuits.bench = { way = "unit.6", load_a = 6, %scable = { kind = "t&e", line_mm2 = 1.5, cpc_mm2 = 1.0, length_m = %s, method = "C" } }'
    device = 'device = { kind = "mcb", curve = "B", rating_a = 6 }, '
    assert found("RT9", "circuits.bench", bench % ("", 20)).verdict == "unknown"
    assert [found("RT9", "circuits.bench", bench % (device, m)).verdict for m in (30, 50, 90)] == ["within", "unknown", "fails"]
    unread = 'circuits.warmth.device = { kind = "mcb", curve = "B", rating_a = { unknown = "worn" } }'
    assert "at the whole rating" not in found("RT9", "circuits.warmth", unread).says
