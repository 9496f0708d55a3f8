"""Rules of devices at their limits, and where they must not answer."""
from __future__ import annotations

import pytest

from spareway.design.design import Design
from spareway.design.device import fault_at_board_a, holds_a
from spareway.rules import all_rules
from spareway.rules.base import Finding, judge
from spareway.rules.specimen import with_example
from tests.design.test_landed import FRONT, design, says, verdict
from tests.rules.test_faults import breaker

SHED = """equipment.shed = { kind = "board", rating_a = 63, ways_n = 4 }
circuits.bench = { way = "shed.1", feeds = "sockets", device = { kind = "mcb", curve = "B", rating_a = 16 } }
"""
APART = """runs.feed-2.joins = ["meter.out", "apart.top"]
runs.feed-4 = { joins = ["apart.bottom", "arrester.top"], kind = "tails", size_mm2 = 25, length_m = 0.3, method = "C" }
"""


def of_thing(of: Design, rule: str, name: str) -> str:
    return next(f.verdict for f in judge(of, [r for r in all_rules() if r.code == rule]) if f.subject == f"equipment.{name}")


def feed(device: str, metres: float = 10) -> str:
    return SHED + f'circuits.out = {{ way = "unit.6", feeds = "shed.in", device = {{ {device} }}, ' \
        f'cable = {{ kind = "armoured", line_mm2 = 6, cpc_mm2 = 6, length_m = {metres}, method = "C" }} }}\n'


# ---- what opens on a fault to earth ---------------------------------------------------------------------------------
@pytest.mark.parametrize(("metres", "wanted"), [(103, "within"), (104, "advice")])
def test_where_only_the_residual_device_opens(metres: int, wanted: str) -> None:
    """0.3 + 1.2 x 19.51 mOhm/m x L against 0.95 x 230/80 = 2.731 Ohm: L = 103.8 m (Tables 41.3 and I1, hand-worked)."""
    assert verdict(design(f"circuits.warmth.cable.length_m = {metres}\n"), "DV1", "warmth") == wanted


def test_where_no_residual_device_stands_or_it_is_tt() -> None:
    long = "circuits.warmth.cable.length_m = 110\n"
    assert verdict(design(breaker(rating_a=16), long), "DV1", "warmth") == "not applicable"
    assert verdict(design(long, 'supplies.main.earthing = "TT"\n'), "DV1", "warmth") == "not applicable"


@pytest.mark.parametrize(("curve", "metres", "wanted"), [("C", 45, "within"), ("C", 46, "advice"), ("D", 46, "advice"), ("C", 104, "not applicable"),
                                                          ("B", 104, "not applicable")])
def test_a_loop_that_is_right_for_curve_b_only(curve: str, metres: int, wanted: str) -> None:
    """C16 asks 1.366 Ohm: 45.5 m; B16 2.731 Ohm: 103.8 m; beyond that no curve helps (Table 41.3, hand-worked)."""
    assert verdict(design(f'circuits.warmth.device.curve = "{curve}"\ncircuits.warmth.cable.length_m = {metres}\n'), "DV2", "warmth") == wanted


def test_a_curve_that_nobody_read_is_not_known() -> None:
    unread = 'circuits.warmth.device = { kind = "mcb", rating_a = 16 }\n'
    assert verdict(design(unread), "DV2", "warmth") == "unknown"


# ---- in series ------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("rating_a", "wanted"), [(50, "within"), (60, "advice"), (63, "advice")])
def test_a_device_as_large_as_the_fuse_before_it(rating_a: int, wanted: str) -> None:
    assert verdict(design(f"circuits.oven.device.rating_a = {rating_a}\n"), "DV3", "oven") == wanted


def test_what_only_leaks_open_is_not_graded_by_its_rating() -> None:
    by_leak = 'circuits.oven.device = { kind = "rcd-in-way", rating_a = 63, residual_ma = 30, residual_type = "A" }\n'
    assert verdict(design(by_leak), "DV3", "oven") == "not applicable"
    assert verdict(design(by_leak), "DV7", "oven") == "not applicable"
    assert verdict(design('circuits.oven.device = { kind = "rcd-in-way", residual_ma = 30, residual_type = "A" }\n'), "DV9", "oven") == "unknown"


# 60 A over 37.5 A is 1.6, the ratio of fuse makers' guidance for gG before gG (worked example C-057 has 80 over 50)
@pytest.mark.parametrize(("fuse", "fuse_a", "wanted"), [("bs88-3", "37.5", "within"), ("bs88-3", "38", "advice"), ("bs3036", "30", "unknown"),
                                                        ("bs88-3", '{ unknown = "not drawn" }', "unknown")])
def test_fuse_before_fuse(fuse: str, fuse_a: str, wanted: str) -> None:
    switch = f'equipment.apart = {{ kind = "switch-fuse", rating_a = 100, fuse = "{fuse}", fuse_a = {fuse_a} }}\n'
    assert of_thing(design(switch, APART), "DV4", "apart") == wanted


def test_the_service_fuse_is_behind_none() -> None:
    assert of_thing(design(), "DV4", "cutout") == "not applicable"
    assert of_thing(design(), "DV4", "unit") == "not applicable"


@pytest.mark.parametrize(("device", "wanted"), [('kind = "cartridge", fuse = "bs88-2", rating_a = 37.5', "within"), ('kind = "cartridge", fuse = "bs88-2", rating_a = 40', "advice"),
                                                ('kind = "cartridge", rating_a = 30', "unknown"), ('kind = "mcb", curve = "B", rating_a = 40', "not applicable")])
def test_fuse_of_a_circuit_behind_the_service_fuse(device: str, wanted: str) -> None:
    assert verdict(design(f"circuits.oven.device = {{ {device} }}\n"), "DV5", "oven") == wanted


def test_breaker_before_breaker() -> None:
    """A C40 holds to 5 x 40 = 200 A (BS EN 60898-1 Table 7). Behind 10 m of 6/6 mm2 armoured at 3.08 mOhm/m: to earth 0.3 + 0.0616, to
    neutral 0.25 + 0.0616 Ohm, so 738 A: both may open."""
    near = design(feed('kind = "mcb", curve = "C", rating_a = 40'))
    assert holds_a(near.circuits["out"]).value == pytest.approx(200)
    assert fault_at_board_a(near.boards["shed"]).value == pytest.approx(230 / (0.25 + 20 * 3.08e-3))
    assert of_thing(near, "DV6", "shed") == "advice"
    assert of_thing(near, "DV6", "unit") == "not applicable"


@pytest.mark.parametrize(("device", "wanted"), [('kind = "cartridge", fuse = "bs88-3", rating_a = 32', "not applicable"), ('kind = "mcb", rating_a = 40', "unknown")])
def test_what_the_bands_of_breakers_do_not_tell(device: str, wanted: str) -> None:
    assert of_thing(design(feed(device)), "DV6", "shed") == wanted


@pytest.mark.parametrize(("device", "wanted"), [
    ('kind = "mcb", curve = "B", rating_a = 30', "advice"), ('kind = "mcb", curve = "B", rating_a = 25', "within"),
    ('kind = "rewirable", rating_a = 30', "within"), ('kind = "rewirable", rating_a = 32', "advice"),
    ('kind = "cartridge", fuse = "bs1361", rating_a = 45', "within"), ('kind = "cartridge", fuse = "bs88-3", rating_a = 30', "advice"),
    ('kind = "cartridge", rating_a = 30', "unknown"), ('kind = "mcb", curve = "B"', "unknown")])
def test_ratings_that_are_made(device: str, wanted: str) -> None:
    """Tables 41.2 to 41.4 and the points of Appendix 3: 30 A is a rewirable fuse and no breaker."""
    assert verdict(design(f"circuits.oven.device = {{ {device} }}\n"), "DV7", "oven") == wanted


@pytest.mark.parametrize(("rating", "wanted"), [("60", "within"), ("59", "fails"), ('{ unknown = "plate gone" }', "unknown")])
def test_a_switch_before_the_boards(rating: str, wanted: str) -> None:
    assert of_thing(design(f"equipment.arrester.rating_a = {rating}\n"), "DV8", "arrester") == wanted


def test_a_switch_out_on_a_circuit_is_not_before_the_boards() -> None:
    assert of_thing(design('equipment.pull = { kind = "switch-20a-2p", rating_a = 20, on = "oven" }\n'), "DV8", "pull") == "not applicable"


# ---- residual current -----------------------------------------------------------------------------------------------
def panels(kind_of: str, rest: str = "") -> Design:
    return with_example('circuits.panels = { way = "unit.6", device = { kind = "rcbo-2p", curve = "B", rating_a = 20, residual_ma = 30, '
                        f'residual_type = "{kind_of}", one_way = false }} }}\nequipment.roof = {{ kind = "solar-inverter", rating_a = 16, on = "panels" }}\n{rest}')


def word(allows: str, about: str = "DV10 circuits.panels") -> str:
    return f'replies.separation = {{ about = "{about}", by = "maker", allows = {allows} }}'


@pytest.mark.parametrize(("kind_of", "reply", "wanted"), [
    ("B", "", "within"), ("A", "", "unknown"), ("F", "", "unknown"), ("AC", "", "fails"), ("A", word("true"), "within"), ("A", word("false"), "fails"),
    ("AC", word("true"), "fails"), ("A", word("true", "circuits.panels"), "unknown")])
def test_the_type_before_an_inverter(kind_of: str, reply: str, wanted: str) -> None:
    """Type B, or the word of the maker about this very thing; a word about something else on the circuit is none."""
    assert verdict(panels(kind_of, reply), "DV10", "panels") == wanted


def test_a_source_that_feeds_in_behind_a_switch_counts() -> None:
    """The inverter hangs on a switch that the circuit feeds, not on the circuit itself."""
    switched = ('equipment.pull = { kind = "isolator-2p", rating_a = 20 }\n'
                'circuits.panels = { way = "unit.6", feeds = "pull.bottom", device = { kind = "rcbo-2p", curve = "B", rating_a = 10, residual_ma = 30, residual_type = "AC" } }\n'
                'equipment.roof = { kind = "solar-inverter", rating_a = 16 }\n'
                'runs.last = { joins = ["pull.top", "roof.in"], kind = "singles", size_mm2 = 2.5, length_m = 1, method = "B" }\n')
    assert verdict(design(switched), "DV10", "panels") == "fails"
    assert verdict(design(switched), "DV17", "panels") == "fails"


def test_a_charge_point_that_is_only_a_word() -> None:
    """No thing, so no rating; and on a circuit of which nothing is said, one may stand."""
    car = 'circuits.car = { way = "unit.6", feeds = "charge-point", device = { kind = "mcb", curve = "B", rating_a = 32 } }\n'
    assert verdict(design(car), "DV17", "car") == "unknown"
    assert verdict(design(car), "DV11", "car") == "not applicable"
    assert verdict(design(car.replace('feeds = "charge-point", ', "")), "DV11", "car") == "unknown"


@pytest.mark.parametrize(("front", "behind", "wanted"), [("A", "B", "fails"), ("B", "B", "within"), ("A", "A", "not applicable"), ("", "B", "unknown"), ("A", "", "unknown")])
def test_type_b_behind_another_type(front: str, behind: str, wanted: str) -> None:
    said = {"front": f'residual_type = "{front}"' if front else "delayed = true", "behind": f'"{behind}"' if behind else '{ unknown = "not read" }'}
    series = FRONT.replace('residual_type = "A"', said["front"]) + f'circuits.warmth.device.residual_type = {said["behind"]}\n'
    assert verdict(design(series), "DV12", "warmth") == wanted
    if not behind:
        assert "circuits.warmth.device.residual_type" in says(design(series), "DV12", "warmth")


@pytest.mark.parametrize(("front_ma", "delayed", "wanted"), [("90", "delayed = true", "within"), ("89", "delayed = true", "advice"), ("100", "rating_a = 100", "within"),
                                                            ("50", "rating_a = 100", "unknown"), ("50", "delayed = false", "not applicable")])
def test_three_to_one_with_a_delay(front_ma: str, delayed: str, wanted: str) -> None:
    """536.4.1.4: delayed, and three times the rating. Without a recorded delay a ratio below three is not known, and RC4 asks for the delay."""
    series = FRONT.replace("rating_a = 100, residual_ma = 30", f"{delayed}, residual_ma = {front_ma}")
    assert of_thing(design(series), "DV13", "front") == wanted


# ---- what leaks -----------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("watts", "wanted"), [(4000, "within"), (4001, "advice")])
def test_leakage_of_an_element_against_its_share(watts: int, wanted: str) -> None:
    """0.75 mA a kW (common practice, from memory): 4 kW is 3 mA, and 0.3 of 10 mA is 3 mA (531.3.2)."""
    assert verdict(design(f"circuits.warmth.device.residual_ma = 10\nequipment.radiator.stamped_w = {watts}\n"), "DV14", "warmth") == wanted


def test_what_nobody_has_a_figure_of() -> None:
    """Lights alone: nothing is told. Beside an element: not known, unless the element is already too much. A silent point: not known."""
    assert verdict(design(), "DV14", "lamps") == "not applicable"
    beside = 'circuits.warmth.points.p1 = { from = "way", feeds = "lamp", length_m = 4 }\ncircuits.warmth.points.p2 = { from = "p1", length_m = 4 }\n'
    assert verdict(design(beside), "DV14", "warmth") == "unknown"
    assert "lamp of circuits.warmth.points.p1" in says(design(beside), "DV14", "warmth")
    assert verdict(design(beside, "circuits.warmth.device.residual_ma = 6\n"), "DV14", "warmth") == "advice"
    assert verdict(design('remove = ["equipment.radiator"]\n'), "DV14", "warmth") == "unknown"


def test_all_that_leaks_behind_one_device() -> None:
    """Oven 6 kW 4.5 mA and heater 2.5 kW 1.875 mA: 6.375 mA; of lights and sockets nothing is known, so 30 mA is not known and 20 mA too little."""
    assert of_thing(design(FRONT), "DV15", "front") == "unknown"
    assert of_thing(design(FRONT.replace("residual_ma = 30", "residual_ma = 20")), "DV15", "front") == "advice"
    assert of_thing(design(), "DV15", "arrester") == "not applicable"


def test_a_leakage_from_memory_says_so_in_what_the_verdict_rests_on() -> None:
    found = next(f for f in judge(design(), [r for r in all_rules() if r.code == "DV14"]) if f.subject == "circuits.warmth")
    assert found.verdict == "within"
    assert {fact.trust for fact in found.rests_on()} == {"from memory"}


# ---- fused connection units -----------------------------------------------------------------------------------------
@pytest.mark.parametrize(("unit", "wanted"), [
    ('before = "fused-spur", spur_fuse_a = 13, line_mm2 = 1.0', "within"), ('before = "fused-spur", line_mm2 = 1.0', "unknown"),
    ('before = "fused-spur", spur_fuse_a = 13', "not applicable"), ("line_mm2 = 1.0", "not applicable")])
def test_the_cable_behind_a_fused_connection_unit(unit: str, wanted: str) -> None:
    """1.0 mm2 clipped carries 16 A (Table 4D5); where no other size is recorded it is the circuit's own, and CI3 judges that."""
    point = f'circuits.plugs.points.p1 = {{ from = "way.a", length_m = 9, feeds = "appliance", {unit} }}\n'
    assert verdict(design(point), "DV16", "plugs") == wanted


# ---- a kept circuit behind another device ---------------------------------------------------------------------------
def test_nothing_of_the_old_device_is_inherited() -> None:
    """A circuit of which nothing is recorded but its cable keeps it behind a new device of which only the kind is: whatever hung on the
    old device's rating, curve, energy or residual current is not known then, and nothing of that reads within."""
    before, after = design(), design('circuits.warmth.device = { kind = "rcbo-2p" }\n')
    was, now = ({f.rule: f for f in judge(of, all_rules()) if f.subject == "circuits.warmth"} for of in (before, after))
    hung, hangs = ({rule for rule, finding in of.items() if finding.verdict == "within" and _on_device(finding)} for of in (was, now))
    assert {"CI1", "CI2", "CI3", "CI5", "CI9", "CI12", "DV7", "FA4", "RC1"} <= hung
    assert hangs == set()
    assert {now[rule].verdict for rule in hung - {"RT9"}} <= {"unknown", "not applicable"}        # RT9: the drop is within by load and cable alone


def _on_device(finding: Finding) -> bool:
    return any(fact.at.startswith("circuits.warmth.device.") for each in finding.facts for fact in each.roots())


# ---- where there is nothing to ask, or nobody can tell --------------------------------------------------------------
BARE = 'circuits.bare = { way = "unit.6", feeds = "FED", cable = { kind = "t&e", line_mm2 = 2.5, cpc_mm2 = 1.5, length_m = 9, method = "C" } }\n'
FUSE = 'circuits.warmth.device = { kind = "rewirable", rating_a = 15 }\n'


@pytest.mark.parametrize(("rule", "fed"), [(rule, fed) for fed, rules in {
    "panel-heater": ("DV1", "DV2", "DV3", "DV5", "DV7", "DV9", "DV12", "DV14"), "solar-inverter": ("DV10", "DV17"), "charge-point": ("DV11", "DV17")}.items()
    for rule in rules])
def test_a_circuit_without_a_device_is_not_known(rule: str, fed: str) -> None:
    assert verdict(design(BARE.replace("FED", fed)), rule, "bare") == "unknown"


def test_a_rating_that_is_not_known_says_so_and_not_that_its_fuse_is() -> None:
    unread = design('circuits.oven.device = { kind = "mcb", curve = "B", rating_a = { unknown = "worn off" } }\n')
    assert says(unread, "DV7", "oven").endswith("circuits.oven.device.rating_a): worn off")
    unread = design('circuits.oven.device = { kind = "cartridge", rating_a = 30 }\n')
    assert "standard of the fuse" in says(unread, "DV7", "oven")


def test_what_a_fuse_is_not_asked() -> None:
    """Neither for its curve nor for what leaks behind it; and the type of a device that is not there is no matter."""
    assert verdict(design(FUSE), "DV2", "warmth") == "not applicable"
    assert verdict(design(FUSE), "DV14", "warmth") == "not applicable"
    panel = 'circuits.panels = { way = "unit.6", feeds = "solar-inverter", device = { kind = "mcb", curve = "B", rating_a = 20 } }\n'
    assert verdict(design(panel), "DV10", "panels") == "not applicable"


def test_the_nearer_fuse_is_the_one_before_a_circuit() -> None:
    """A rewirable one stands between the service fuse and the board: of it the ratio is not told."""
    switch = 'equipment.apart = { kind = "switch-fuse", rating_a = 100, fuse = "bs3036", fuse_a = 60 }\n'
    cartridge = 'circuits.oven.device = { kind = "cartridge", fuse = "bs88-3", rating_a = 32 }\n'
    assert verdict(design(cartridge), "DV5", "oven") == "within"
    assert verdict(design(cartridge, switch, APART), "DV5", "oven") == "unknown"


def test_type_ac_anywhere_before_an_inverter_fails() -> None:
    """The one ahead is of type AC, its own of type A: no word of a maker helps that."""
    behind = 'circuits.panels = { way = "unit.6", feeds = "solar-inverter", device = { kind = "rcbo-2p", curve = "B", rating_a = 20, residual_ma = 30, residual_type = "A" } }\n'
    assert verdict(design(FRONT.replace('residual_type = "A"', 'residual_type = "AC"'), behind), "DV10", "panels") == "fails"


def test_a_charge_point_s_own_device_is_named() -> None:
    car = 'circuits.car = { way = "unit.6", feeds = "charge-point", device = { kind = "rcbo-2p", curve = "B", rating_a = 32, residual_ma = 30, residual_type = "A" } }\n'
    assert says(design(car), "DV11", "car") == "car is its own"
    shared = design(FRONT, car.replace("rcbo-2p", "mcb").replace(', residual_ma = 30, residual_type = "A"', ""))
    assert says(shared, "DV11", "car").endswith("front stands before plugs, lamps, oven, warmth too")


def test_three_residual_devices_in_series() -> None:
    """Each but the last is asked for its type."""
    second = """equipment.second = { kind = "rcd-before-all", rating_a = 100, residual_ma = 100, residual_type = "B" }
runs.feed-3.joins = ["arrester.bottom", "second.in"]
runs.feed-5 = { joins = ["second.out", "front.in"], kind = "tails", size_mm2 = 25, length_m = 0.3, method = "C" }
circuits.warmth.device.residual_type = "B"
"""
    front = FRONT.replace('runs.feed-3.joins = ["arrester.bottom", "front.in"]\n', "")
    assert verdict(design(front, second), "DV12", "warmth") == "fails"
    assert verdict(design(front.replace('residual_type = "A"', 'residual_type = "B"'), second), "DV12", "warmth") == "within"


SPLIT = """equipment.unit = { kind = "board-split", rating_a = 100, ways_n = 12, residual_ma = 30, residual_type = "A" }
runs.feed-3.joins = ["arrester.bottom", "unit.in"]
runs.earth-2.joins = ["terminal.b", "unit.in"]
""" + "".join(f'circuits.{name}.way = "unit.{n}"\n' for n, name in enumerate(("plugs", "lamps", "oven", "warmth"), 1))


def test_ways_of_which_nobody_said_on_which_bar_they_stand() -> None:
    """Then nobody can tell what stands behind a residual-current device; where nothing does, there is nothing to ask."""
    idle = 'equipment.idle = { kind = "rcd-before-all", rating_a = 63, residual_ma = 100, residual_type = "A" }\n'
    assert [of_thing(design(idle), rule, "idle") for rule in ("DV13", "DV15")] == ["not applicable", "not applicable"]
    assert [of_thing(design(SPLIT, idle), rule, "idle") for rule in ("DV13", "DV15")] == ["unknown", "unknown"]


def test_a_lone_residual_device_is_in_series_with_none() -> None:
    """Nothing else stands behind it: the circuits have plain breakers."""
    plain = "".join(breaker(rating_a=a, circuit=name) for name, a in (("plugs", 32), ("lamps", 6), ("oven", 32), ("warmth", 16)))
    assert of_thing(design(FRONT, plain), "DV13", "front") == "not applicable"


def test_the_worst_of_several_behind_a_delayed_device_counts() -> None:
    series = FRONT.replace("residual_ma = 30", "residual_ma = 100, delayed = true") + "circuits.oven.device.residual_ma = 50\n"
    assert of_thing(design(series), "DV13", "front") == "advice"


def test_a_silent_point_beside_what_has_no_figure() -> None:
    """A lamp, and a point of which nothing is said: an element may stand there."""
    beside = 'circuits.lamps.points.p1 = { from = "way", feeds = "lamp", length_m = 4 }\ncircuits.lamps.points.p2 = { from = "p1", length_m = 4 }\n' \
        'remove = ["circuits.lamps.feeds"]\n'
    assert verdict(design(beside), "DV14", "lamps") == "unknown"


def test_one_circuit_behind_a_delayed_device() -> None:
    alone = FRONT.replace("residual_ma = 30", "residual_ma = 100, delayed = true") + 'remove = ["circuits.plugs", "circuits.lamps", "circuits.oven"]\n'
    assert of_thing(design(alone), "DV13", "front") == "within"


ALARMS = 'circuits.alarms = { way = "unit.6", feeds = "alarms", device = { kind = "KIND", curve = "B", rating_a = 6 } }\n'


@pytest.mark.parametrize(("ahead", "wanted"), [
    (FRONT, "advice"), (FRONT.replace("residual_ma = 30", "residual_ma = 100, delayed = true"), "within"),
    (FRONT.replace("residual_ma = 30", "residual_ma = 100"), "unknown"), (FRONT + 'remove = ["circuits.plugs"]\n', "within"),
    (FRONT + 'remove = ["circuits.plugs", "equipment.radiator"]\n', "unknown"), ("", "not applicable")])
def test_alarms_behind_what_sockets_trip(ahead: str, wanted: str) -> None:
    """30 mA has no delay; at 100 mA it must be recorded; a circuit of which nothing is said may be one of sockets."""
    assert verdict(design(ALARMS.replace("KIND", "mcb"), ahead), "DV18", "alarms") == wanted


def test_alarms_among_sockets_or_behind_nothing_recorded() -> None:
    beside = 'circuits.plugs.points.p1 = { from = "way.a", feeds = "alarms", length_m = 4 }\n'
    assert verdict(design(beside), "DV18", "plugs") == "advice"
    assert verdict(design('circuits.alarms = { way = "unit.6", feeds = "alarms" }\n'), "DV18", "alarms") == "unknown"
    assert verdict(design('circuits.alarms = { way = "unit.6", device = { kind = "rcbo-2p" } }\n'), "DV18", "alarms") == "unknown"


def service_fuse(fuse: str, fuse_a: str) -> str:
    return f'equipment.cutout.fuse = {fuse}\nequipment.cutout.fuse_a = {fuse_a}\n'


@pytest.mark.parametrize(("fuse", "let_through_a2s", "wanted"), [
    (service_fuse('"bs88-3"', "{ marked = 63 }"), 8999, "within"), (service_fuse('"bs88-3"', "{ marked = 63 }"), 9000, "advice"),
    (service_fuse('"bs88-3"', "{ marked = 60 }"), 100, "unknown"), (service_fuse('"bs88-3"', "{ marked = 60 }"), 20000, "unknown"),
    (service_fuse('"bs1361-2"', "{ marked = 60 }"), 20000, "not applicable"), (service_fuse('{ unknown = "not drawn" }', "{ marked = 63 }"), 20000, "unknown")])
def test_energy_of_a_breaker_against_the_fuse_before_it(fuse: str, let_through_a2s: int, wanted: str) -> None:
    """63 A gG melts at 9,000 A2s at the least (BS EN 60269-1 Table 7, from memory); as much is not below. 60 A is no row."""
    of = design(fuse, f"circuits.warmth.device.let_through_a2s = {let_through_a2s}\n")
    assert verdict(of, "DV19", "warmth") == wanted
    found = next(f for f in judge(of, [r for r in all_rules() if r.code == "DV19"]) if f.subject == "circuits.warmth")
    assert wanted not in ("within", "advice") or {fact.trust for fact in found.rests_on()} == {"from memory"}


def test_energies_that_nobody_recorded_or_that_stand_behind_a_breaker() -> None:
    assert verdict(design(service_fuse('"bs88-3"', "{ marked = 63 }"), breaker(rating_a=16)), "DV19", "warmth") == "not applicable"
    behind = feed('kind = "mcb", curve = "C", rating_a = 40').replace("rating_a = 16", "rating_a = 16, let_through_a2s = 9000")
    assert verdict(design(service_fuse('"bs88-3"', "{ marked = 63 }"), behind), "DV19", "bench") == "not applicable"
    cartridge = behind.replace('kind = "mcb", curve = "B", rating_a = 16', 'kind = "cartridge", fuse = "bs88-3", rating_a = 16')
    assert verdict(design(cartridge), "DV5", "bench") == "not applicable"
