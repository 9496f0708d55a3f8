"""An appliance that the record tells of twice, among the equipment and at the last point of its circuit, counts once."""
from __future__ import annotations

import pytest

from spareway.design.demand import Demand
from spareway.design.design import Design
from spareway.design.heaters import heaters
from spareway.design.load import parts_of
from spareway.design.ring import fixed_loads
from spareway.design.told_twice import alone, told_twice
from tests.scenarios.folders import design

WAY = 'circuits.more.way = "board.14"\ncircuits.more.device = { kind = "mcb", curve = "B", rating_a = 20 }\n%s'
POINT = 'circuits.more.points.p1 = { from = "way", feeds = "lamp", load_w = 10 }\ncircuits.more.points.p2 = { from = "p1", feeds = "%s"%s }\n'
THING = 'equipment.%s = { kind = "%s", on = "more", stamped_w = %s, stamped_v = 230 }\n'


def weir(*lines: str) -> Design:
    return design("weir-cottage", "proposed", "".join(lines))


def told(of: Design) -> dict[str, float | None]:
    """What stands on the circuit: watts by address."""
    return {at: power.amount for at, _, power in parts_of(of.circuits["more"])}


@pytest.mark.parametrize(("load_w", "counts_w"), [("", 2000), (", load_w = 2000", 2000), (", load_w = 1500", 2000), (", load_w = 2400", 2400)])
def test_one_heater_told_twice_counts_once_and_by_the_larger(load_w: str, counts_w: float) -> None:
    """2 kW among the equipment, its point with nothing, as much, less or more: load, demand and lasting rise by it once."""
    of = weir(WAY % "", POINT % ("panel-heater", load_w), THING % ("fire", "panel-heater", 2000))
    assert told(of) == {"equipment.fire": counts_w, "circuits.more.points.p1": 10}
    assert of.circuits["more"].load_w.value == counts_w + 10
    assert [h.name for h in heaters(of) if h.on == "more"] == ["fire"]
    more = Demand(of).lasting_a.value - Demand(weir()).lasting_a.value
    assert more == pytest.approx(counts_w / 230)


def test_where_the_stamp_was_not_read_the_point_says_it() -> None:
    """Stamp unknown, 1,500 W at the point, which also says the room: one heater of 1,500 W there."""
    of = weir(WAY % "", POINT % ("panel-heater", ', load_w = 1500, room = "pantry"'),
              'equipment.fire = { kind = "panel-heater", on = "more", stamped_w = { unknown = "behind a chest" } }\n')
    assert told(of) == {"equipment.fire": 1500, "circuits.more.points.p1": 10}
    found, = (h for h in heaters(of) if h.on == "more")
    assert (found.room, found.stamped_w.value, found.stamped_v.value) == ("pantry", 1500, 230)


def test_nobody_read_either() -> None:
    """Neither says its power: one gap and not two."""
    of = weir(WAY % "", POINT % ("panel-heater", ""), 'equipment.fire = { kind = "panel-heater", on = "more" }\n')
    assert told(of) == {"equipment.fire": None, "circuits.more.points.p1": 10}


def test_another_kind_at_the_last_point_is_another_thing() -> None:
    of = weir(WAY % "", POINT % ("towel-rail", ", load_w = 300"), THING % ("fire", "panel-heater", 2000))
    assert told(of) == {"equipment.fire": 2000, "circuits.more.points.p1": 10, "circuits.more.points.p2": 300}
    assert told_twice(of.circuits["more"]) is None
    assert of.circuits["more"].load_w.value == 2310


def test_the_point_before_the_last_is_another_thing() -> None:
    """Equipment is joined to the last point; a heater at the first is another one."""
    of = weir(WAY % "", 'circuits.more.points.p1 = { from = "way", feeds = "panel-heater", load_w = 700 }\n'
              'circuits.more.points.p2 = { from = "p1", feeds = "lamp", load_w = 10 }\n', THING % ("fire", "panel-heater", 2000))
    assert of.circuits["more"].load_w.value == 2710
    assert [h.name for h in heaters(of) if h.on == "more"] == ["fire", "more.p1"]


@pytest.mark.parametrize(("load_w", "points"), [("", 1), (", load_w = 1250", 1), (", load_w = 2750", 1), (", load_w = 3000", 2)])
def test_of_two_heaters_the_point_is_one_unless_it_takes_more_than_both(load_w: str, points: int) -> None:
    """1.5 and 1.25 kW at the end; a point of 3 kW is neither, nor both."""
    of = weir(WAY % "", POINT % ("panel-heater", load_w), THING % ("fire-a", "panel-heater", 1500), THING % ("fire-b", "panel-heater", 1250))
    assert len(alone(of.circuits["more"])) == points
    assert of.circuits["more"].load_w.value == 2760 + (3000 if points == 2 else 0)


def test_of_two_heaters_one_without_a_stamp_leaves_the_load_unknown() -> None:
    of = weir(WAY % "", POINT % ("panel-heater", ", load_w = 3000"), THING % ("fire-a", "panel-heater", 1500), 'equipment.fire-b = { kind = "panel-heater", on = "more" }\n')
    assert told(of) == {"equipment.fire-a": 1500, "equipment.fire-b": None, "circuits.more.points.p1": 10}


def test_the_use_of_the_circuit_is_the_use_of_its_points() -> None:
    """The circuit feeds heaters, its points do not say it again: the last is the thing that stands there."""
    of = weir(WAY % 'circuits.more.feeds = "panel-heater"\n', 'circuits.more.points.p1 = { from = "way", load_w = 700 }\ncircuits.more.points.p2 = { from = "p1", load_w = 2000 }\n',
              THING % ("fire", "panel-heater", 2000))
    assert of.circuits["more"].load_w.value == 2700


def test_on_a_spur_and_on_a_ring_it_counts_once_too() -> None:
    """A 3 kW heater behind a fused unit at the last point, told twice: one heater on a spur, 13 A on the ring and not 26."""
    of = weir(WAY % 'circuits.more.feeds = "sockets"\ncircuits.more.shape = "ring"\n', 'circuits.more.points.p1 = { from = "way.a", length_m = 5 }\n'
              'circuits.more.points.p2 = { from = "p1", length_m = 5, back_to = "way.b", back_m = 9, feeds = "panel-heater", before = "fused-spur", spur_fuse_a = 13, load_w = 3000 }\n',
              THING % ("fire", "panel-heater", 3000))
    circuit = of.circuits["more"]
    assert [(name, power.value) for name, power, _ in of.heaters_on_spurs(circuit)] == [("fire", 3000)]
    assert [amps.value for amps, _ in fixed_loads(circuit)] == [pytest.approx(3000 / 230)]
