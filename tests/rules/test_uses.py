"""What a circuit feeds, point by point: a point of which nothing is said is never judged by those of which something is."""
from __future__ import annotations

import pytest

from tests.design.test_landed import design, says, verdict

MCB = 'circuits.warmth.device = { kind = "mcb", curve = "B", rating_a = 16 }\nremove = ["equipment.radiator"]\n'
FIRST = 'circuits.warmth.points.p1 = { from = "way", feeds = "towel-rail", load_w = 200, length_m = 4 }\n'
SILENT = FIRST + 'circuits.warmth.points.p2 = { from = "p1", length_m = 4 }\n'
LAMP = FIRST + 'circuits.warmth.points.p2 = { from = "p1", feeds = "lamp", length_m = 4 }\n'


@pytest.mark.parametrize("rule", ["CI7", "CI8"])
def test_a_point_of_which_nothing_is_said_may_be_a_socket_or_a_lamp(rule: str) -> None:
    """Without a residual-current device one silent point leaves it not known; with one it does not matter."""
    assert verdict(design(MCB, FIRST), rule, "warmth") == "not applicable"
    assert verdict(design(MCB, SILENT), rule, "warmth") == "unknown"
    assert says(design(MCB, SILENT), rule, "warmth") == "Not known: what p2 feeds"
    assert verdict(design('remove = ["equipment.radiator"]\n', SILENT), rule, "warmth") == "within"


def test_equipment_at_the_far_end_says_what_the_last_point_feeds() -> None:
    """The radiator stands on the circuit, so on its last point; the point before it stays silent."""
    last = 'circuits.warmth.points.p1 = { from = "way", feeds = "towel-rail", length_m = 4 }\ncircuits.warmth.points.p2 = { from = "p1", length_m = 4 }\n'
    of = design(MCB.splitlines()[0] + "\n", last)
    assert of.circuits["warmth"].unsaid == ()
    assert design(MCB.splitlines()[0] + "\n", last + 'circuits.warmth.points.p3 = { from = "p2", length_m = 4 }\n').circuits["warmth"].unsaid == ("p2",)


@pytest.mark.parametrize(("metres", "said", "wanted"), [(20, "", "within"), (70, "", "unknown"), (70, 'feeds = "immersion"', "within"),
                                                        (70, 'feeds = "lights"', "fails"), (200, "", "fails")])
def test_the_limit_of_lighting_holds_until_the_use_is_said(metres: int, said: str, wanted: str) -> None:
    """2.5 mm2 at 18 mV/A/m (Table 4D5) and 8.70 A: 20 m drops 3.1 V, 70 m 11.0 V, 200 m 31.3 V, of 6.9 V for lighting and
    11.5 V for the rest (Appendix 4, 6.4); hand-worked."""
    line = f"circuits.warmth.cable.length_m = {metres}\ncircuits.warmth.load_w = 2000\n" + (f"circuits.warmth.{said}\n" if said else "")
    assert verdict(design(MCB, line), "CI4", "warmth") == wanted


def test_a_silent_fused_connection_unit_is_not_known() -> None:
    unit = 'circuits.plugs.points.p1 = { from = "way.a", feeds = "sockets", length_m = 4 }\ncircuits.plugs.points.p2 = { from = "p1", before = "fused-spur", spur_fuse_a = 13, length_m = 4 }\nremove = ["circuits.plugs.feeds"]\n'
    assert verdict(design(unit), "CI6", "plugs") == "unknown"
    assert "fused connection unit at p2" in says(design(unit), "CI6", "plugs")


@pytest.mark.parametrize(("watts", "wanted"), [(3000, "fails"), (1000, "within")])
def test_a_heater_recorded_as_a_thing_behind_a_fused_connection_unit(watts: int, wanted: str) -> None:
    """The radiator stands on the circuit whose last point is a 13 A unit: 3000 W by its plate."""
    unit = f'circuits.warmth.points.p1 = {{ from = "way", before = "fused-spur", spur_fuse_a = 13, length_m = 4 }}\nequipment.radiator.stamped_w = {watts}\n'
    assert verdict(design(unit), "CI6", "warmth") == wanted


def test_an_end_in_nothing_is_told_whatever_else_is_fed() -> None:
    """A lamp on the way, and behind it a blank plate: live, and it serves nothing. A joint on the way is no end."""
    dead = FIRST + 'circuits.warmth.points.p2 = { from = "p1", feeds = "nothing", length_m = 4 }\n'
    joint = dead + 'circuits.warmth.points.p3 = { from = "p2", feeds = "lamp", length_m = 4 }\n'
    assert verdict(design(MCB, dead), "CI13", "warmth") == "fails"
    assert verdict(design(MCB, joint), "CI13", "warmth") == "within"
    assert verdict(design(MCB, SILENT), "CI13", "warmth") == "unknown"
    assert verdict(design(MCB, LAMP), "CI13", "warmth") == "within"


@pytest.mark.parametrize(("watts", "wanted"), [("load_w = 3000", "within"), ("load_w = 7600", "fails"), ("load_w = 3", "unknown"), ("", "unknown")])
def test_a_fixed_appliance_on_sockets_of_which_no_power_is_known_is_no_nought(watts: str, wanted: str) -> None:
    """CI2: behind 32 A, 3 kW is 13 A and 7.6 kW 33 A; one of no power, or of 3 W where 3 kW was meant, draws nobody knows what."""
    point = f'circuits.plugs.points.p1 = {{ from = "way.a", length_m = 9, feeds = "immersion", back_to = "way.b", back_m = 9{f", {watts}" if watts else ""} }}\n'
    assert verdict(design(point), "CI2", "plugs") == wanted


def test_a_fixed_appliance_that_is_told_of_twice_counts_once() -> None:
    """20 A by its stamp and at the last point again; beside one that is too much by itself the unknown one changes nothing."""
    last = 'circuits.plugs.points.p1 = { from = "way.a", length_m = 9, feeds = "immersion", load_w = 4600, back_to = "way.b", back_m = 9 }\n'
    thing = 'equipment.tank = { kind = "immersion", on = "plugs", stamped_w = 4600, stamped_v = 230 }\n'
    assert verdict(design(last, thing), "CI2", "plugs") == "within"
    more = 'equipment.dryer = { kind = "appliance", on = "plugs" }\n'
    assert verdict(design(last, thing, more), "CI2", "plugs") == "unknown"
    assert verdict(design(last.replace("4600", "9200"), thing, more), "CI2", "plugs") == "fails"
