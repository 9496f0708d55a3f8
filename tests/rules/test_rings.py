"""Rules of rings just below, at and above their limits; each test names where its figure stands."""
from __future__ import annotations

import pytest

from tests.rules.test_routes import found

HOME = 'back_to = "way.b", back_m = 20'


def plugs(rule: str, example: str) -> str:
    return found(rule, "circuits.plugs", example).verdict


def ring(*rests: str) -> str:
    """A ring whose points lie 10 m apart, the last one 20 m from home."""
    lines = []
    for n, rest in enumerate(rests, 1):
        before = f"p{n - 1}" if n > 1 else "way.a"
        home = f", {HOME}" if n == len(rests) else ""
        lines.append(f'circuits.plugs.points.p{n} = {{ from = "{before}", length_m = 10, feeds = "sockets"{home}{rest} }}')
    return 'circuits.plugs.cable = { kind = "t&e", line_mm2 = 2.5, cpc_mm2 = 1.5, method = "C", concealed = true }\n' + "\n".join(lines) + "\n"


# ---- RI1, RI2 -------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("line_mm2", "small", "two"), [(1.5, "fails", "advice"), (2.5, "within", "within"), (4, "within", "advice")])
def test_a_length_of_the_ring_of_another_size(line_mm2: float, small: str, two: str) -> None:
    """433.1.204: 2.5 mm² at least, all the way round."""
    lines = ring("", f", line_mm2 = {line_mm2}", "")
    assert (plugs("RI1", lines), plugs("RI2", lines)) == (small, two)


def test_a_spur_of_another_size_is_no_part_of_the_ring() -> None:
    spur = ring("", "") + 'circuits.plugs.points.s1 = { from = "p1", length_m = 3, feeds = "sockets", line_mm2 = 1.5 }'
    assert (plugs("RI1", spur), plugs("RI2", spur)) == ("not applicable", "not applicable")
    assert plugs("CI19", spur) == "fails"


# ---- RI3 ------------------------------------------------------------------------------------------------------------
SPUR = 'circuits.plugs.points.s1 = {{ from = "p1", length_m = {}, feeds = "sockets" }}'


@pytest.mark.parametrize(("spur_m", "verdict"), [(3, "within"), (5, "advice"), ('{ unknown = "in the floor" }', "unknown")])
def test_a_spur_within_the_rule_of_thumb_or_within_the_drop(spur_m: object, verdict: str) -> None:
    """70 m round: 0.018 x 32 x 70 / 4 is 10.08 V; 5 m more at 32 A 2.88, so above 11.5; an eighth of 35 - 10 m is 3.125 m.

    The specimen's tails lose 0.31 V. With a spur of 3 m the rule of thumb holds; where the ring is 40 m round the drop does."""
    of = found("RI3", "circuits.plugs", ring("", "", "", "", "") + SPUR.format(spur_m))
    assert of.verdict == verdict
    if isinstance(spur_m, int):
        assert "up to 3.13 m" in of.says
    short = found("RI3", "circuits.plugs", ring("", "") + SPUR.format(spur_m))
    assert short.verdict == ("unknown" if verdict == "unknown" else "within")


def test_a_fused_spur_is_not_judged_by_the_ring() -> None:
    assert plugs("RI3", ring("", "") + SPUR.format(50).replace('feeds', 'before = "fused-spur", spur_fuse_a = 13, feeds')) == "not applicable"
    assert plugs("RI3", "circuits.plugs.cable.length_m = 50") == "not applicable"


# ---- RI4, RI5 -------------------------------------------------------------------------------------------------------
def test_a_ring_comes_home_once() -> None:
    broken = ring("", "").replace(f", {HOME}", "")
    assert (plugs("RI4", broken), plugs("RI5", broken)) == ("unknown", "not applicable")
    assert "2 points recorded" in found("RI4", "circuits.plugs", broken).says
    assert (plugs("RI4", ring("", "")), plugs("RI5", ring("", ""))) == ("within", "within")
    crossed = ring("", "") + f'circuits.plugs.points.p9 = {{ from = "p1", length_m = 9, feeds = "sockets", {HOME} }}'
    assert (plugs("RI4", crossed), plugs("RI5", crossed)) == ("within", "advice")
    assert plugs("RI4", "circuits.plugs.cable.length_m = 50") == "not applicable"


# ---- RI6, RI7 -------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("width_m", "verdict"), [(9.9, "within"), (10, "within"), (10.1, "advice")])
def test_a_hundred_square_metres_a_ring(width_m: float, verdict: str) -> None:
    """On-Site Guide Table H2.1: 100 m²; 10 m by so much. A room counts once, however many points are in it."""
    assert plugs("RI6", ring(', room = "barn"', ', room = "barn"') + f"rooms.barn.size = {{ length_m = 10, width_m = {width_m} }}") == verdict


def test_floor_that_nobody_measured_is_unknown() -> None:
    size = "rooms.barn.size = { length_m = 10, width_m = 5 }"
    assert plugs("RI6", ring(', room = "barn"', "") + size) == "unknown"
    assert plugs("RI6", ring(', room = "barn"', ', room = "loft"') + size + '\nrooms.loft.floor = "first"') == "unknown"
    assert plugs("RI6", ring("", "").replace('"sockets"', '"alarms"')) == "unknown"


@pytest.mark.parametrize(("rating_a", "width_m", "verdict"), [
    (20, 5, "within"), (20, 5.1, "advice"), (16, 5.1, "advice"), (32, 7.5, "within"), (32, 7.6, "advice"), (25, 7.5, "within"),
    (40, 2, "not applicable")])
def test_floor_of_a_radial_goes_by_its_device(rating_a: int, width_m: float, verdict: str) -> None:
    """On-Site Guide Table H2.1: 50 m² at 20 A, 75 m² at 32 A; 10 m by so much."""
    lines = f'circuits.bench = {{ way = "unit.6", device = {{ kind = "mcb", curve = "B", rating_a = {rating_a} }}, ' \
            'points.p1 = { from = "way", feeds = "sockets", room = "barn" } }\n' \
            f"rooms.barn.size = {{ length_m = 10, width_m = {width_m} }}"
    assert found("RI7", "circuits.bench", lines).verdict == verdict
    nobody = lines.replace(f"rating_a = {rating_a}", 'rating_a = { unknown = "worn off" }')
    assert found("RI7", "circuits.bench", nobody).verdict == "unknown"


# ---- RI8, RI9 -------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("load_w", "fixed", "with_rest"), [(3000, "within", "within"), (6000, "within", "advice"), (7500, "fails", "advice")])
def test_a_load_near_one_end(load_w: int, fixed: str, with_rest: str) -> None:
    """Two metres from the board on 45 m: 43/45 of it goes the short way. 7.5 kW: 31.2 A on 27 (Table 4D5); 6 kW 24.9, and half of the rest."""
    lines = ring(f', line_mm2 = 2.5 }}\ncircuits.plugs.points.w = {{ from = "p1", length_m = 4, feeds = "water-heater", load_w = {load_w}', "", "", "")
    lines = lines.replace('{ from = "way.a", length_m = 10', '{ from = "way.a", length_m = 2').replace("back_m = 20", "back_m = 13")
    leg, both = (found(rule, "circuits.plugs", lines) for rule in ("RI8", "RI9"))
    assert (leg.verdict, both.verdict) == (fixed, with_rest)
    drawn = load_w / 230
    assert leg.facts[0].value == pytest.approx(drawn * 43 / 45)
    assert both.facts[0].value == pytest.approx(drawn * 43 / 45 + max(0, 32 - drawn) / 2)


def test_legs_cannot_be_told_without_lengths_loads_or_one_size() -> None:
    heater = ring(', load_w = 3000', "").replace('"sockets", load_w', '"water-heater", load_w')
    assert plugs("RI8", heater) == "within"
    for what, instead in (("load_w = 3000", 'load_w = { unknown = "plate worn" }'), ("length_m = 10", 'length_m = { unknown = "floor" }'),
                          (f', {HOME}', f", {HOME}, line_mm2 = 4")):
        assert plugs("RI8", heater.replace(what, instead, 1)) == "unknown", what
    assert plugs("RI8", ring("", "")) == "not applicable"


# ---- RI10 -----------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("length_m", "verdict"), [(70, "within"), (79, "within"), (100, "within"), (106, "fails"), ('{ unknown = "" }', "unknown")])
def test_a_ring_by_the_handbook(length_m: object, verdict: str) -> None:
    """On-Site Guide 7.2: 106 m printed, from the board; the tails of the specimen take 0.27 V of it. By 32 A at the middle 79.9 m."""
    assert plugs("RI10", f"circuits.plugs.cable.length_m = {length_m}") == verdict
    assert plugs("CI4", f"circuits.plugs.cable.length_m = {length_m}") == ("not applicable" if length_m in (79, 100) else verdict)   # by the tables 78 m


def test_a_ring_too_long_by_the_tables_is_left_to_the_handbook() -> None:
    assert ". RI10 reckons it as warm as its load makes it: Voltage drop " in found("CI4", "circuits.plugs", "circuits.plugs.cable.length_m = 100").says
    bare = ring("", "").replace(f", {HOME}", "").replace("length_m = 10", "length_m = 90")
    assert plugs("CI4", bare) == "unknown"


def test_a_ring_behind_a_rewirable_fuse_is_reckoned_hot_and_a_large_one_not_at_all() -> None:
    """0.018 x 26 x 98.3 / 4 is 11.5 V: 98.3 m is the answer without Ct (reference, TE041), less what the tails lose."""
    wire = 'circuits.plugs.device = { kind = "rewirable", rating_a = 30 }\ncircuits.plugs.cable.length_m = %s'
    assert (plugs("RI10", wire % 95), plugs("RI10", wire % 99)) == ("within", "fails")
    assert plugs("RI10", "circuits.plugs.device.rating_a = 40") == "not applicable"
    assert plugs("CI4", "circuits.plugs.device.rating_a = 40\ncircuits.plugs.cable.length_m = 90") == "fails"         # by the tables alone
    assert plugs("RI10", ring("", "").replace(f", {HOME}", "")) == "unknown"


# ---- RI11, RI12 -----------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("load_w", "verdict"), [(1500, "within"), (1501, "advice"), ('{ unknown = "" }', "unknown")])
def test_fixed_heaters_on_a_ring_add_up(load_w: object, verdict: str) -> None:
    """Common practice: up to 3 kW fixed on a ring by a fused unit; two of 1.5 kW are just that."""
    lines = ring(", load_w = 1500", f", load_w = {load_w}").replace('"sockets"', '"panel-heater"')
    assert plugs("RI11", lines) == verdict
    assert plugs("RI11", ring("", "")) == "not applicable"


def test_the_worst_of_several_counts_on_a_ring() -> None:
    assert plugs("RI1", ring("", ", line_mm2 = 4", ", line_mm2 = 1.5")) == "fails"
    far = ring("", "", "", "", "")
    spurs = "\n".join(f'circuits.plugs.points.s{n} = {{ from = "p1", length_m = {m}, feeds = "sockets" }}' for n, m in ((1, 2), (2, 9)))
    said = found("RI3", "circuits.plugs", far + spurs)
    assert (said.verdict, "points.s2" in said.says) == ("advice", True)
    assert "p2" in found("RI4", "circuits.plugs", ring("", "")).says


def test_a_rule_of_rings_is_silent_on_what_is_none() -> None:
    warm = 'circuits.warmth.points.p1 = { from = "way", length_m = 4, feeds = "panel-heater", load_w = 5000, line_mm2 = 1.5 }\n' \
           'circuits.warmth.points.p2 = { from = "p1", length_m = 4 }'
    for rule in ("RI1", "RI2", "RI3", "RI4", "RI5", "RI6", "RI7", "RI8", "RI9", "RI10", "RI11", "RI12"):
        assert found(rule, "circuits.warmth", warm).verdict == "not applicable", rule
    for rule in ("RI1", "RI2", "RI3", "RI4", "RI5", "RI6", "RI7", "RI8", "RI9", "RI12"):
        assert plugs(rule, "circuits.plugs.cable.length_m = 40") == "not applicable", rule
    lights = ring("", "").replace('"sockets"', '"lamp"') + 'circuits.plugs.feeds = "lights"'
    assert (plugs("RI6", lights), plugs("RI7", lights), plugs("RI12", lights)) == ("not applicable",) * 3
    bench = 'circuits.bench = { way = "unit.6", feeds = "sockets", device = { kind = "mcb", curve = "B", rating_a = 20 } }'
    assert [found(rule, "circuits.bench", bench).verdict for rule in ("RI7", "RI11", "RI12")] == ["not applicable", "not applicable", "within"]
    assert "no fixed heater" in found("RI12", "circuits.bench", bench).says


def test_what_a_ring_rule_cannot_know() -> None:
    unread = 'circuits.plugs.device = { kind = "mcb", curve = "B", rating_a = { unknown = "worn" } }'
    assert plugs("RI10", unread) == "unknown"
    size = ring("", ", line_mm2 = 2.5").replace("line_mm2 = 2.5, cpc", 'line_mm2 = { unknown = "painted" }, cpc', 1)
    assert (plugs("RI1", size), plugs("RI2", size)) == ("within", "unknown")
    heater = ring(", load_w = 3000", "").replace('"sockets", load_w', '"water-heater", load_w').replace(', feeds = "sockets", ' + HOME, f", {HOME}")
    heater += 'circuits.plugs.feeds = ""'
    assert [plugs(rule, heater) for rule in ("RI8", "RI9")] == ["unknown", "unknown"]
    assert plugs("RI8", heater.replace("3000", "12000")) == "fails"
