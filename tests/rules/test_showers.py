"""A circuit of a shower serves a room with a shower, whatever else is or is not said of its rooms (701.411.3.3)."""
from __future__ import annotations

import pytest

from spareway.rules import all_rules
from spareway.rules.base import judge
from tests.design.test_landed import design, says, verdict

MCB = 'device = { kind = "mcb", curve = "B", rating_a = 40 }'
RCBO = 'device = { kind = "rcbo-2p", curve = "B", rating_a = 40, residual_ma = 30, residual_type = "A" }'


def shower(device: str) -> str:
    return f'circuits.wet.way = "unit.6"\ncircuits.wet.{device}\n'


@pytest.mark.parametrize("told", ['circuits.wet.feeds = "shower"\n', 'circuits.wet.points.p1 = { from = "way", feeds = "shower" }\n',
                                  'equipment.jet = { kind = "shower", on = "wet" }\n'])
def test_a_shower_without_residual_protection_fails_by_what_it_is(told: str) -> None:
    assert verdict(design(shower(MCB), told), "BA1", "wet") == "fails"
    assert says(design(shower(MCB), told), "BA1", "wet").endswith("no residual-current device is recorded before it; it feeds a shower")
    assert verdict(design(shower(RCBO), told), "BA1", "wet") == "within"
    assert verdict(design(shower(RCBO.replace("30", "100")), told), "BA1", "wet") == "fails"


def test_a_shower_behind_a_device_that_nobody_recorded_is_not_known() -> None:
    assert verdict(design('circuits.wet = { way = "unit.6", feeds = "shower" }\n'), "BA1", "wet") == "unknown"


def test_what_is_no_shower_goes_by_its_rooms_as_before() -> None:
    assert verdict(design(shower(MCB), 'circuits.wet.feeds = "cooker"\n'), "BA1", "wet") == "unknown"


BATH = 'rooms.wash.bath = true\n'


@pytest.mark.parametrize(("lines", "wanted"), [
    ("", "not applicable"), (BATH, "unknown"), ('rooms.wash.floor = "ground"\n', "unknown"), ('rooms.wash.bath = false\n', "not applicable"),
    (BATH + 'circuits.plugs.points.p1 = { from = "way.a", length_m = 9, room = "hall", back_to = "way.b", back_m = 9 }\n', "not applicable"),
    (BATH + 'circuits.plugs.points.p1 = { from = "way.a", length_m = 9, back_to = "way.b", back_m = 9 }\n', "unknown"),
    (BATH + 'circuits.plugs.points.p1 = { from = "way.a", length_m = 9, room = "wash", from_zone_1_m = 1, back_to = "way.b", back_m = 9 }\n', "fails"),
    (BATH + 'equipment.outlet = { kind = "sockets", on = "plugs", room = "wash", from_zone_1_m = 3 }\n', "within"),
    (BATH + 'equipment.outlet = { kind = "sockets", on = "plugs" }\n', "unknown"),
    (BATH + 'circuits.plugs.feeds = "cooker"\n', "not applicable"), (BATH + 'circuits.plugs.feeds = ""\n', "unknown")])
def test_sockets_of_no_recorded_room_may_stand_beside_the_bath(lines: str, wanted: str) -> None:
    """BA2, 701.512.3: where a bath is on record, sockets of which nobody said where they stand are no answer."""
    hall = "rooms.hall.bath = false\n" if "hall" in lines else ""
    found = judge(design(hall + lines), [r for r in all_rules() if r.code == "BA2"])
    assert [f.verdict for f in found] == [wanted]
