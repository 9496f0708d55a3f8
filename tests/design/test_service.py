"""The service chain: its parts in their order, and every rule of it asked again behind a fuse of another rating."""
from __future__ import annotations

import pytest

from spareway.design.demand import Demand
from spareway.design.design import Design
from spareway.design.service import (
    ASKED,
    SAME_STANDARD,
    Raised,
    boards_of_service,
    chain,
    far_loop_ohm,
    figures,
    graded_a,
    in_hand_a,
)
from spareway.job.job import Installation
from spareway.rules import all_rules
from spareway.rules.base import Finding, judge
from spareway.rules.specimen import specimen, with_example
from tests.scenarios.folders import job

ROOF = 'equipment.roof = { kind = "solar-inverter", rating_a = 16, on = "panels" }\ncircuits.panels = { way = "unit.6" }\n'


RULES = [r for r in all_rules() if r.code in ("IN2", "BO6", "BO7", "DV8", "SP5", "IN12", "EA6")]


def behind(inst: Installation, to_a: float) -> dict[tuple[str, str], Finding]:
    """What these rules find behind a fuse of that rating."""
    return {(f.rule, f.subject): f for f in judge(Raised(inst, to_a), RULES)}


def at(name: str, stage: str, overlay: str = "") -> Installation:
    inst = job(name).at(stage)
    return inst.altered(overlay) if overlay else inst


# ---- the chain ------------------------------------------------------------------------------------------------------
def test_the_parts_stand_in_the_order_of_the_current() -> None:
    """Granary as proposed: from the cut-out up the riser to the flat, then what earths it."""
    assert chain(Design(at("granary-yard", "proposed"))) == [
        "supplies.main", "equipment.cutout", "runs.tails-1", "equipment.meter", "runs.tails-2", "equipment.isolator", "runs.riser",
        "equipment.board", "runs.earthing-conductor"]


def test_both_pairs_of_tails_and_both_boards_are_in_it() -> None:
    """Weir as found: the blocks once, then each pair before its board."""
    found = chain(Design(at("weir-cottage", "found")))
    assert found[5:10] == ["equipment.blocks", "runs.pair-1", "equipment.house", "runs.pair-2", "equipment.office"]
    assert found[10:] == ["runs.earthing-conductor", "runs.bond-water"]


def test_a_board_behind_a_circuit_is_no_part_of_it() -> None:
    """A shed's board hangs on a device of its own; a cut end that only the service fuse protects does belong."""
    shed = with_example('equipment.shed = { kind = "board", rating_a = 63 }\n'
                        'circuits.feed = { way = "unit.7", feeds = "shed.in", device = { kind = "mcb", curve = "B", rating_a = 20 } }\n'
                        'runs.old = { joins = ["arrester.bottom"], kind = "tails", size_mm2 = 16 }')
    assert [b.thing.name for b in boards_of_service(shed)] == ["unit"]
    assert "equipment.shed" not in chain(shed)
    assert "runs.old" in chain(shed)


# ---- behind another fuse ---------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("method", "carries_a", "at_60", "at_80", "at_100"), [
    ("C", 87, "within", "within", "fails"), ("B", 76, "within", "fails", "fails"), ("A", 61, "within", "fails", "fails")])
def test_16_mm2_tails_by_method_and_fuse(method: str, carries_a: float, at_60: str, at_80: str, at_100: str) -> None:
    """Table 4D1A: 87, 76, 61 A; SCENARIOS, Granary, row Tails: all pass 60 A, in trunking and in a wall they fail 80 A."""
    tails = f'runs.tails-2 = {{ joins = ["meter.out", "isolator.top"], kind = "tails", size_mm2 = 16, length_m = 0.5, method = "{method}" }}'
    inst = at("granary-yard", "proposed", tails)
    for to_a, wanted in ((60, at_60), (80, at_80), (100, at_100)):
        found = behind(inst, to_a)["IN2", "runs.tails-2"]
        assert found.verdict == wanted, (method, to_a)
        assert found.facts[0].amount == carries_a
        assert found.facts[1].amount == to_a


def test_the_riser_is_judged_by_its_worst_stretch() -> None:
    """Granary: 4 m in the wall of the flat, 61 A, passes the 60 A head by 1 A and no larger one."""
    found = {to_a: behind(at("granary-yard", "proposed"), to_a)["IN2", "runs.riser"] for to_a in (60, 80)}
    assert [f.verdict for f in found.values()] == ["within", "fails"]
    assert found[80].says.endswith("the weakest stretch is conduit")


@pytest.mark.parametrize(("fuse_a", "source_a", "wanted", "together_a"), [(80, 16, "within", 96), (100, 16, "fails", 116)])
def test_a_100_a_board_with_a_source(fuse_a: float, source_a: float, wanted: str, together_a: float) -> None:
    """BS 7671 551.7.2; the institution's community thread on boards with solar prints 116 A for a 100 A board (worked example S-019)."""
    inst = specimen().found.altered(ROOF.replace("16", f"{source_a}"))
    found = behind(inst, fuse_a)["BO7", "equipment.unit"]
    assert (found.verdict, found.facts[1].amount) == (wanted, together_a)


def test_two_sources_behind_100_a() -> None:
    """The same thread: 100 + 16 + 16 is 132 A (worked example S-020)."""
    inst = specimen().found.altered(ROOF + ROOF.replace("roof", "barn").replace("panels", "more").replace("unit.6", "unit.7"))
    assert behind(inst, 100)["BO7", "equipment.unit"].facts[1].amount == 132


def test_the_loop_that_opens_the_fuse_falls_as_the_fuse_grows() -> None:
    """SCENARIOS, Weir: Ze 0.34 is within 0.47 Ω at 80 A; 0.95 × 230 / 630 is 0.35 Ω at 100 A; Granary's 60 A: 0.66 Ω."""
    limits = {to_a: behind(at("weir-cottage", "proposed"), to_a)["EA6", "supplies.main"] for to_a in (60, 80, 100)}
    assert [round(f.facts[1].value, 3) for f in limits.values()] == [0.662, 0.475, 0.347]
    assert {f.verdict for f in limits.values()} == {"within"}
    declared = at("weir-cottage", "proposed", "supplies.main.ze_ohm = { measured = 0.36 }")
    assert behind(declared, 100)["EA6", "supplies.main"].verdict == "advice"
    assert behind(declared, 80)["EA6", "supplies.main"].verdict == "within"


def test_a_raise_asks_the_board_the_isolator_the_surge_device_and_the_carrier_again() -> None:
    """One part rated 80 A at a time: within behind 80 A, not behind 100 A. Unrecorded: unknown behind either."""
    for rule, part, line in (("BO6", "equipment.unit", "equipment.unit.rating_a"), ("DV8", "equipment.arrester", "equipment.arrester.rating_a"),
                             ("SP5", "equipment.arrester", "equipment.arrester.max_fuse_a"), ("IN12", "equipment.cutout", "equipment.cutout.carrier_a")):
        inst = specimen().found.altered(f"{line} = 80")
        assert [behind(inst, to_a)[rule, part].verdict for to_a in (80, 100)] == ["within", "fails"], rule
        nothing = specimen().found.altered(f'{line} = {{ unknown = "not seen" }}')
        assert [behind(nothing, to_a)[rule, part].verdict for to_a in (80, 100)] == ["unknown", "unknown"], rule


@pytest.mark.parametrize("name", ["weir-cottage", "granary-yard", "ridge-annexe"])
def test_nothing_carries_more_for_a_larger_fuse(name: str) -> None:
    """What fails behind a fuse fails behind every larger one, and what is unknown of a part stays so: load, rating, carrier, surge."""
    rank = {"fails": 0, "unknown": 1, "within": 2}
    load = {"IN2", "BO6", "BO7", "DV8", "SP5", "IN12"}
    for stage in ("found", "proposed"):
        found = [behind(job(name).at(stage), to_a) for to_a in (20.0, 45, 60, 63, 80, 100, 125, 200)]
        for key in found[0]:
            said = [rank[each[key].verdict] for each in found if each[key].verdict != "not applicable" and key[0] in load]
            assert said == sorted(said, reverse=True), key


def test_a_raise_is_an_assumption_that_every_answer_names() -> None:
    """It never becomes a rating that was read; and the standard of another fuse is unknown where that of this one is."""
    raised = Raised(at("weir-cottage", "found"), 100)
    assert (raised.supply.fuse_a.how, raised.supply.fuse_a.note) == ("assumed", ASKED)
    assert raised.supply.fuse.note == SAME_STANDARD
    assert raised.supply.fuse_a in judge(raised, RULES[:1])[0].rests_on()
    unread = Raised(at("weir-cottage", "found", 'equipment.cutout.fuse = { unknown = "sealed" }'), 100)
    assert not unread.supply.fuse.known
    assert behind(unread.inst, 100)["EA6", "supplies.main"].verdict == "unknown"


def test_without_a_supply_nothing_is_raised() -> None:
    """Nothing recorded to raise: no part of it is said to carry anything."""
    bare = Raised(specimen().found.altered('remove = ["supplies.main"]'), 100)
    assert not any(name.startswith("supplies") for name in chain(bare))
    assert not bare.supply.fuse_a.known


# ---- long runs, amperes in hand --------------------------------------------------------------------------------------
def test_the_loop_at_the_flat_has_the_riser_in_it() -> None:
    """By hand: Ze 0.19, riser 13 m × (1.15 + 3.08) mΩ/m = 0.055 Ω at 20 °C, 1.2 of it warm: 0.256 Ω."""
    flat = Design(at("granary-yard", "proposed")).boards["board"]
    assert far_loop_ohm(flat).value == pytest.approx(0.19 + 1.2 * 13 * (1.15 + 3.08) / 1000, abs=5e-5)


def test_what_grades_behind_60_a_is_less_than_was_recorded() -> None:
    """SCENARIOS, Granary, row Tails: 60 / 1.6 is 37.5 A, and 44 A was recorded."""
    assert graded_a(Design(at("granary-yard", "proposed"))).value == pytest.approx(37.5)


def test_a_spare_way_is_not_spare_amperes() -> None:
    """Weir has four ways to spare and nothing in hand by the book; an unknown figure leaves an unknown rest."""
    weir = Design(at("weir-cottage", "proposed"))
    left = {says: in_hand_a(weir, fact).amount for says, fact in figures(Demand(weir))}
    assert left["by the book, heaters whole"] == left["by the book, heaters as heating and power"] == left["connected"] == 0
    assert left["lasting, as after an outage"] == pytest.approx(80 - 15_750 / 230)
    assert left["recorded"] is None
    assert "all that starts at the night hour" not in left


def test_the_night_hour_starts_storage_water_and_charging_together() -> None:
    """By hand: 3.4 kW of storage, 3 kW of water at 230 V, a 32 A point: 59.8 A, no diversity; a panel heater waits for no hour."""
    night = with_example('equipment.brick = { kind = "storage-heater", stamped_w = 3400, stamped_v = 230, on = "store" }\n'
                         'circuits.store = { way = "unit.6", device = { kind = "mcb", curve = "B", rating_a = 16 } }\n'
                         'circuits.water = { way = "unit.7", feeds = "immersion", load_w = 3000, device = { kind = "mcb", curve = "B", rating_a = 16 } }\n'
                         'circuits.car = { way = "unit.8", feeds = "charge-point", load_w = 7360, device = { kind = "mcb", curve = "B", rating_a = 40 } }')
    said = dict(figures(Demand(night)))
    assert said["all that starts at the night hour"].value == pytest.approx((3400 + 3000 + 7360) / 230)
