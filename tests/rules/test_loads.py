"""Rules of loads just below, at and above their limits; each test names where its figure stands."""
from __future__ import annotations

import pytest

from spareway.bundled import text
from spareway.design.design import Design
from spareway.job.job import read_job
from spareway.rules import all_rules
from spareway.rules.base import judge
from spareway.rules.specimen import _JOB
from tests.rules.test_routes import cable, found, warmth
from tests.scenarios.folders import findings

BENCH = 'circuits.bench = { way = "unit.6", device = { kind = "mcb", curve = "B", rating_a = 20 }, '


def bench(rule: str, rest: str) -> str:
    return found(rule, "circuits.bench", BENCH + rest).verdict


# ---- LO1, LO2 -------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("stamped_w", "stamped_v", "verdict"), [(3345, 230, "within"), (3346, 230, "advice"), (3642, 240, "within"), (3643, 240, "advice")])
def test_heaters_at_the_highest_voltage(stamped_w: int, stamped_v: int, verdict: str) -> None:
    """ESQCR regulation 27: 253 V. W x 253 / V² reaches 16 A at 3,345.5 W stamped for 230 V and at 3,642.7 W for 240 V."""
    lines = f"equipment.radiator.stamped_w = {stamped_w}\nequipment.radiator.stamped_v = {stamped_v}"
    said = found("LO1", "circuits.warmth", lines)
    assert said.verdict == verdict
    assert said.facts[0].value == pytest.approx(stamped_w * 253 / stamped_v ** 2)


@pytest.mark.parametrize(("stamped_w", "verdict"), [(2822, "within"), (2823, "fails"), ('{ unknown = "worn" }', "unknown")])
def test_the_cable_of_heaters_at_the_highest_voltage(stamped_w: object, verdict: str) -> None:
    """Table 4D5: 13.5 A by method 103; 2,822.7 W at 253 V."""
    assert warmth("LO2", cable('length_m = 9, method = "103"') + f"equipment.radiator.stamped_w = {stamped_w}") == verdict


def test_only_heaters_are_reckoned_at_the_highest_voltage() -> None:
    for rule in ("LO1", "LO2"):
        assert found(rule, "circuits.oven", "circuits.lamps.load_w = 200").verdict == "not applicable"
        mixed = 'circuits.warmth.points.p1 = { from = "way", feeds = "lamp" }'
        assert warmth(rule, mixed) == "not applicable"


# ---- what stands on a circuit ---------------------------------------------------------------------------------------
@pytest.mark.parametrize(("points", "verdict"), [
    ('points.p1 = { from = "way", feeds = "immersion" } }', "within"), ('feeds = "shower", load_w = 8500 }', "within"),
    ('points.p1 = { from = "way", feeds = "immersion" }, points.p2 = { from = "p1", feeds = "sockets" } }', "advice"),
    ('points.p1 = { from = "way", feeds = "water-heater" }, points.p2 = { from = "p1", feeds = "lamp" } }', "advice"),
    ('points.p1 = { from = "way", feeds = "shower" }, points.p2 = { from = "p1", feeds = "nothing" } }', "within"),
    ('points.p1 = { from = "way", feeds = "lamp" } }', "not applicable")])
def test_a_water_heater_alone(points: str, verdict: str) -> None:
    """Common practice: a vessel above 15 l has its own circuit."""
    assert bench("LO3", points) == verdict


@pytest.mark.parametrize(("points", "verdict"), [
    ('feeds = "charge-point" }', "within"), ('points.p1 = { from = "way", feeds = "charge-point" }, points.p2 = { from = "p1", feeds = "charge-point" } }', "fails"),
    ('points.p1 = { from = "way", feeds = "charge-point-two-way" }, points.p2 = { from = "p1", feeds = "sockets" } }', "fails"),
    ('feeds = "sockets" }', "not applicable")])
def test_a_charge_point_alone(points: str, verdict: str) -> None:
    assert bench("LO12", points) == verdict


def test_two_circuits_on_one_device_are_told_at_both() -> None:
    lines = 'circuits.lamps.lands.L = "unit.4.L"'
    assert (found("LO4", "circuits.lamps", lines).verdict, warmth("LO4", lines), found("LO4", "circuits.oven", lines).verdict) == \
        ("advice", "advice", "within")
    assert "nothing else" in found("LO4", "circuits.oven", lines).says


@pytest.mark.parametrize(("load_w", "rating_a", "verdict"), [(9200, 32, "within"), (6133, 20, "within"), (6134, 20, "fails"),
                                                             ('{ unknown = "plate worn" }', 32, "unknown")])
def test_cooking_with_a_socket(load_w: object, rating_a: int, verdict: str) -> None:
    """On-Site Guide Table A2: 10 A, 30 % of the rest, 5 A for the socket; 6,133.3 W make 20 A."""
    lines = f'points.p1 = {{ from = "way", feeds = "cooker", load_w = {load_w} }}, points.p2 = {{ from = "p1", feeds = "sockets" }} }}'
    assert found("LO5", "circuits.bench", BENCH.replace("20", str(rating_a)) + lines).verdict == verdict
    assert bench("LO5", 'feeds = "cooker", load_w = 6000 }') == "not applicable"
    assert bench("LO5", 'points.p1 = { from = "way", feeds = "lamp" }, points.p2 = { from = "p1" }, points.p3 = { from = "p2", feeds = "nothing" } }') == "not applicable"
    assert bench("LO5", 'points.p1 = { from = "way", feeds = "cooker" }, points.p2 = { from = "p1" } }') == "unknown"


def test_a_stated_load_below_its_pieces() -> None:
    """2,500 W stand on it; a piece of which nothing is known cannot make the stated load wrong."""
    assert [warmth("LO13", f"circuits.warmth.load_w = {w}") for w in (2499, 2500, 2501)] == ["advice", "within", "within"]
    assert warmth("LO13", 'circuits.warmth.load_w = 2400\ncircuits.warmth.points.p1 = { from = "way", feeds = "lamp" }\n'
                          'circuits.warmth.points.p2 = { from = "p1" }') == "advice"
    assert warmth("LO13", "circuits.lamps.load_w = 10") == "not applicable"


# ---- behind a board, behind a fused unit ----------------------------------------------------------------------------
SHED = 'equipment.shed = { kind = "board", rating_a = 63 }\ncircuits.feed = { way = "unit.7", feeds = "shed.in", device = { kind = "mcb", curve = "B", rating_a = 20 } }\n'
KILN = 'circuits.kiln = { way = "shed.2", feeds = "appliance", load_w = %s, device = { kind = "mcb", curve = "B", rating_a = 16 } }'


@pytest.mark.parametrize(("load_w", "verdict"), [(4600, "within"), (4601, "advice"), ('{ unknown = "" }', "unknown")])
def test_what_stands_behind_a_submain(load_w: object, verdict: str) -> None:
    """20 A at 230 V are 4,600 W."""
    assert found("LO6", "circuits.feed", SHED + KILN % load_w).verdict == verdict
    assert found("LO6", "circuits.feed", SHED).verdict == "not applicable"
    assert warmth("LO6", SHED + KILN % load_w) == "not applicable"


@pytest.mark.parametrize(("load_w", "verdict"), [(1490, "within"), (1491, "fails"), ('{ unknown = "" }', "unknown")])
def test_what_stands_behind_one_fused_unit(load_w: object, verdict: str) -> None:
    """13 A at 230 V are 2,990 W: 1,500 and 1,490. Socket outlets behind it are not reckoned, nor what stands before it."""
    lines = 'points.a = { from = "way", feeds = "appliance", load_w = 3000 }, points.b = { from = "a", feeds = "appliance", before = "fused-spur", spur_fuse_a = 13, load_w = 1500 }, ' \
            f'points.c = {{ from = "b", feeds = "appliance", load_w = {load_w} }}, points.d = {{ from = "c", feeds = "sockets" }} }}'
    assert bench("LO7", lines) == verdict
    assert bench("LO7", lines.replace('feeds = "appliance", load_w = ' + str(load_w), 'feeds = "sockets"')) == "not applicable"


PANELS = 'circuits.bench = {{ way = "unit.6", device = {{ kind = "mcb", curve = "B", rating_a = 20 }}, cable = {{ kind = "t&e", line_mm2 = 2.5, cpc_mm2 = 1.5, length_m = {}, method = "C" }} }}\n' \
         'equipment.roof = {{ kind = "solar-inverter", rating_a = {}, on = "bench" }}'


@pytest.mark.parametrize(("length_m", "rating_a", "verdict"), [
    (7.7, 16, "within"), (7.8, 16, "advice"), (7.7, '{ unknown = "" }', "unknown"), ('{ unknown = "" }', 16, "unknown")])
def test_what_a_source_lifts(length_m: object, rating_a: object, verdict: str) -> None:
    """1 % of 230 V is 2.3 V, from memory. 16 A through 2.5 m of 25 mm² tails (1.8 mV, Table 4D1B) lift 0.072 V; 18 mV over 7.74 m the rest."""
    said = found("LO15", "circuits.bench", PANELS.format(length_m, rating_a))
    assert said.verdict == verdict
    assert any(f.trust == "from memory" for f in said.rests_on())
    assert warmth("LO15", PANELS.format(length_m, rating_a)) == "not applicable"


# ---- for hours ------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("stamped_w", "more", "verdict"), [
    (2576, "", "within"), (2577, "", "unknown"), (3680, "", "unknown"), (3681, "", "fails"), (2576, 'circuits.a = { way = "unit.7" }\ncircuits.b = { way = "unit.8" }', "unknown"),
    (2208, 'circuits.a = { way = "unit.7" }\ncircuits.b = { way = "unit.8" }', "within"),
    (3000, 'circuits.warmth.device = { kind = "rewirable", rating_a = 15 }', "not applicable"),
    (3000, 'circuits.warmth.points.p1 = { from = "way", feeds = "sockets" }', "not applicable"),
    (2500, 'circuits.warmth.points.p1 = { from = "way", load_w = 20 }\ncircuits.warmth.points.p2 = { from = "p1" }', "unknown"),
    (2500, 'equipment.stray = { kind = "panel-heater", stamped_w = 500, stamped_v = 230 }', "unknown")])
def test_a_lasting_load_by_the_assumed_factor(stamped_w: int, more: str, verdict: str) -> None:
    """BS EN 61439-3 Table 101, from memory: 0.7 for four or five circuits, 0.6 for six to nine; 16 A give 11.2 and 9.6, 2,576 and 2,208 W."""
    said = found("LO8", "circuits.warmth", f"equipment.radiator.stamped_w = {stamped_w}\n{more}")
    assert said.verdict == verdict
    if verdict in ("within", "unknown"):
        assert any(f.trust == "from memory" for f in said.rests_on())


@pytest.mark.parametrize(("ways", "verdict"), [((5,), "advice"), ((6,), "within"), ((6, 8), "within"), ((6, 7), "advice"), ((), "not applicable")])
def test_lasting_loads_side_by_side(ways: tuple[int, ...], verdict: str) -> None:
    """The heaters of the specimen stand in way 4."""
    lines = "\n".join(f'circuits.h{n} = {{ way = "unit.{n}", feeds = "towel-rail", load_w = 500 }}' for n in ways) or "circuits.lamps.load_w = 150"
    said = found("LO9", "equipment.unit", lines)
    assert said.verdict == verdict
    assert said.says.startswith("apart from each other: ") is (verdict == "within")


@pytest.mark.parametrize(("rule", "feeds"), [
    ("LO2", 'feeds = "panel-heater", load_w = 4000, cable = { kind = "t&e", line_mm2 = 1.5, cpc_mm2 = 1.0, length_m = 9, method = "103" } }'),
    ("LO5", 'points.p1 = { from = "way", feeds = "cooker", load_w = 9200 }, points.p2 = { from = "p1", feeds = "sockets" } }'),
    ("LO8", 'feeds = "panel-heater", load_w = 6000 }'), ("LO8", 'feeds = "panel-heater", load_w = 4000 }'),
    ("LO12", 'points.p1 = { from = "way", feeds = "charge-point" }, points.p2 = { from = "p1", feeds = "lamp" } }')])
def test_nothing_reads_better_for_what_nobody_said(rule: str, feeds: str) -> None:
    """With a word of what it feeds taken out, what was bad is not known: never within, never not applicable."""
    assert bench(rule, feeds) in ("fails", "unknown")
    for word in ('feeds = "panel-heater", ', 'feeds = "cooker", ', ', feeds = "sockets"', ', feeds = "charge-point"', ', feeds = "lamp"'):
        if word in feeds:
            assert bench(rule, feeds.replace(word, "", 1)) == "unknown", word


def test_an_appliance_on_no_circuit_is_missed() -> None:
    stray = 'equipment.stray = { kind = "panel-heater", stamped_w = 500, stamped_v = 230 }'
    assert found("LO14", "installation", stray).verdict == "advice"
    assert "stray" in found("LO2", "circuits.warmth", stray).says
    none = found("LO14", "installation", "circuits.lamps.load_w = 150")
    assert (none.verdict, none.says) == ("within", "each appliance of the record stands on a circuit")


def test_storage_heaters() -> None:
    """Common practice: a radial for each, on a cable for 3.4 kW, which is 14.8 A: by method A 1.5 mm² carries 14.5 (Table 4D5)."""
    two = 'points.p1 = { from = "way", feeds = "storage-heater", load_w = 1700 }, points.p2 = { from = "p1", feeds = "storage-heater", load_w = 1700 } }'
    assert (bench("LO10", two), bench("LO10", 'feeds = "storage-heater" }'), bench("LO10", 'feeds = "lamp" }')) == ("advice", "within", "not applicable")
    laid = 'feeds = "storage-heater", cable = {{ kind = "t&e", line_mm2 = {}, cpc_mm2 = 1.0, length_m = 9, method = "A" }} }}'
    assert [bench("LO11", laid.format(s)) for s in (1.5, 2.5, '{ unknown = "" }')] == ["advice", "within", "unknown"]


def test_nothing_of_the_old_device_is_inherited_by_a_cable_that_stays() -> None:
    """What the old one let through, was rated at or bore is gone under the new one, laid over it; every rule is asked anew."""
    old = 'circuits.warmth.device = { kind = "rcbo-2p", curve = "B", rating_a = 16, residual_ma = 30, residual_type = "A", fault_rating_ka = 6, let_through_a2s = 9000 }'
    new = 'circuits.warmth.device = { kind = "mcb", curve = "C", rating_a = 32 }'
    files = {"job.toml": _JOB, "found.toml": text("rules/specimen.toml")}
    was, now = (Design(read_job(files, [(f"{n}.toml", t) for n, t in enumerate(over)]).found) for over in ((old,), (old, new)))
    kept = now.circuits["warmth"]
    assert (was.circuits["warmth"].device.let_through_a2s.value, kept.rating_a.value, kept.iz_a.value) == (9000, 32, 27)
    assert not any(f.known for f in (kept.device.let_through_a2s, kept.device.fault_rating_ka, kept.device.residual_ma))
    verdicts = [{f.rule: f.verdict for f in judge(d, [r for r in all_rules() if r.code in ("CI3", "CI5", "CI9", "CI12")])
                 if f.subject == "circuits.warmth"} for d in (was, now)]
    assert set(verdicts[0].values()) == {"within"}
    assert verdicts[1] == {"CI3": "fails", "CI5": "unknown", "CI9": "fails", "CI12": "unknown"}


def test_a_load_rule_is_silent_or_does_not_know() -> None:
    """A ring, a circuit without a device, one that fails whatever else is not said, two fused units of which one is too much."""
    ring = 'circuits.bench = {{ way = "unit.6", shape = "ring", device = {{ kind = "mcb", curve = "B", rating_a = 20 }}, {} }}'
    for rule, rest in (("LO2", 'feeds = "panel-heater", load_w = 1000'), ("LO11", 'feeds = "storage-heater"'),
                       ("LO5", 'points.p1 = { from = "way", feeds = "cooker", load_w = 9200 }, points.p2 = { from = "p1", feeds = "sockets" }')):
        assert found(rule, "circuits.bench", ring.format(rest)).verdict == "not applicable", rule
    bare = 'circuits.bench = { way = "unit.6", feeds = "panel-heater", load_w = 1000 }'
    assert found("LO8", "circuits.bench", bare).verdict == "unknown"
    stray = '\nequipment.stray = { kind = "panel-heater", stamped_w = 500, stamped_v = 230 }'
    assert warmth("LO2", cable('length_m = 9, method = "103"') + "equipment.radiator.stamped_w = 3000" + stray) == "fails"
    unit = 'points.{0} = {{ from = "way", feeds = "appliance", before = "fused-spur", spur_fuse_a = 13, load_w = {1} }}, points.{0}x = {{ from = "{0}", feeds = "appliance", load_w = 900 }}'
    two = f"{unit.format('a', 900)}, {unit.format('b', 2900)} }}"
    said = found("LO7", "circuits.bench", BENCH + two)
    assert (said.verdict, said.says.endswith("at b")) == ("fails", True)
    assert (bench("LO1", 'load_w = 100 }'), bench("LO1", 'feeds = "lamp", load_w = 100 }')) == ("unknown", "not applicable")
    assert "alone" in found("LO12", "circuits.bench", BENCH + 'feeds = "charge-point" }').says
    assert bench("LO12", 'points.p1 = { from = "way", feeds = "charge-point" }, points.p2 = { from = "p1" }, points.p3 = { from = "p2", feeds = "lamp" } }') == "fails"


def test_the_homes_that_were_worked_by_hand() -> None:
    """Scenarios. Weir, Reach, heat: 12.0 of 16 A is more than half, the maker's figure is wanted, and six lasting ways are never side
    by side; its borrowed neutral carries 6 A and 39 mA. Granary as found: 7 kW of heaters on the ring."""
    weir, granary = findings("weir-cottage", "proposed"), findings("granary-yard", "found")
    said = weir["LO8", "circuits.heat-1"]
    assert (said.verdict, f"{said.facts[0].value:.1f}", said.facts[1].value) == ("unknown", "12.0", 8)
    assert weir["LO8", "circuits.heat-3"].verdict == "within"
    assert weir["LO9", "equipment.board"].verdict == "within"
    assert f"{weir['RT12', 'circuits.lights-first'].facts[0].value:.3f}" == "6.039"
    heaters = granary["RI11", "circuits.ring"]
    assert (heaters.verdict, heaters.facts[0].value) == ("advice", 7000)
