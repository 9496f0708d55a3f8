"""What a pass does not prove, and which tests a repair undoes: against a list written by hand, and on records with repairs."""
from __future__ import annotations

from dataclasses import replace

import pytest

from spareway.api_readings import again
from spareway.bundled import text
from spareway.design.design import Design
from spareway.fact import glossary
from spareway.job.job import read_job
from spareway.job.rows import Event, Reading, header
from spareway.readings.proves import PRACTICE, proved_by
from spareway.readings.proves import tests as each_test
from spareway.readings.undone import counts, kind_of_repair, owed, repairs
from spareway.rules.specimen import with_example
from tests.scenarios.folders import job

# By hand, from BS 7671 643.1 (what failed, and what the work may have upset before it) and the order of 643.2 to 643.10
BY_HAND = {
    "accessory-changed": "continuity insulation polarity zs",
    "ring-conductor-remade": "continuity ring-ends ring-crosswise insulation polarity zs",
    "cable-mended": "continuity ring-ends ring-crosswise insulation polarity zs residual",
    "device-changed": "insulation polarity zs residual test-button",
    "board-changed": "continuity ring-ends ring-crosswise insulation polarity ze zs fault-current residual test-button",
    "bond-remade": "continuity",
    "earthing-remade": "continuity ze zs residual",
    "tails-changed": "insulation polarity ze zs fault-current voltage",
    "neutral-parted": "continuity insulation polarity zs residual",
    "polarity-corrected": "continuity insulation polarity zs residual",
    "electrode-remade": "continuity electrode ze zs residual",
    "appliance-changed": "continuity insulation polarity residual",
}


def test_every_kind_of_repair_against_a_list_by_hand() -> None:
    """Twelve kinds; the issue asks for ten."""
    assert {name: " ".join(each.again) for name, each in repairs().items()} == BY_HAND
    assert all(test in each_test() for each in repairs().values() for test in each.again)
    assert all(each.says and each.source for each in repairs().values())


def test_every_test_says_what_it_leaves_open_and_why() -> None:
    """Each has a reason, a way to settle it and a source or says that there is none; its readings are quantities of the glossary."""
    for each in each_test().values():
        assert each.open, each.test
        for blind in each.open:
            assert all((blind.says, blind.why, blind.settled_by, blind.source))
            assert not blind.says.endswith(".")
        for name in each.quantities:
            assert glossary(name).unit
    assert {b.source for e in each_test().values() for b in e.open} >= {PRACTICE}
    taken = [q for each in each_test().values() for q in each.quantities]
    assert len(taken) == len(set(taken))


def test_a_loop_on_a_ring_leaves_the_ring_open() -> None:
    """Scenario Granary: Zs 0.60 passes with the protective conductor broken."""
    assert "that a ring is whole" in [blind.says for blind in proved_by("zs_ohm").open]
    assert proved_by("length_m") is None


ADDRESSES = [("circuits.ring.points.p5", "ring-conductor-remade"), ("circuits.ring", "cable-mended"), ("circuits.lights.points.l1", "accessory-changed"),
             ("circuits.ring.device", "device-changed"), ("circuits.ring.N", "neutral-parted"), ("equipment.flat", "board-changed"),
             ("nothing-known", "board-changed")]


@pytest.mark.parametrize(("address", "name"), ADDRESSES)
def test_where_a_repair_lies_tells_its_kind(address: str, name: str) -> None:
    """What the record does not tell apart counts as what undoes the most."""
    design = Design(job("granary-yard").found)
    if address.startswith("equipment."):
        address = f"equipment.{next(iter(design.boards))}"
    assert kind_of_repair(design, address).name == name or name == "accessory-changed" and not design.circuits["lights"].circuit.points


def test_runs_and_things_of_the_specimen() -> None:
    design = with_example('equipment.rod = { kind = "electrode" }')
    for address, name in (("runs.bond-1", "bond-remade"), ("earth-1", "earthing-remade"), ("terminal", "earthing-remade"), ("feed-1", "tails-changed"),
                          ("equipment.rod", "electrode-remade"), ("radiator", "appliance-changed"), ("pipe", "earthing-remade"), ("arrester", "board-changed")):
        assert kind_of_repair(design, address).name == name


def row(n: int, quantity: str, a: str, at: str) -> str:
    said = {"id": f"r{n}", "stage": "found", "quantity": quantity, "a": a, "value": "0.5", "unit": glossary(quantity).unit, "by": "a", "at": at}
    return ",".join(said.get(name, "") for name in header(Reading))


def record(address: str, *read: tuple[str, str, str]) -> tuple[Design, tuple[Event, ...]]:
    """The specimen with one repair on 10 November at noon and these readings: quantity, where, when."""
    files = {"job.toml": 'schema = 1\nnation = "England"\nbooks.bs7671 = "2018+A4"\n', "found.toml": text("rules/specimen.toml").replace("measured = 0.3, ", ""),
             "events.csv": f"{','.join(header(Event))}\ne1,repair,{address},,,,fitter,,2026-11-10T12:00,\n",
             "readings.csv": "\n".join([",".join(header(Reading)), *(row(n, *each) for n, each in enumerate(read)), ""])}
    whole = read_job(files)
    return Design(whole.found), whole.events


BEFORE, AFTER = "2026-11-10T09:00", "2026-11-10T14:00"


def test_what_was_read_before_a_repair_is_no_test_of_it() -> None:
    """The lamps' cable was mended at noon; only insulation was read again."""
    design, events = record("circuits.lamps", ("insulation_mohm", "circuits.lamps", AFTER), ("zs_ohm", "circuits.lamps", BEFORE),
                            ("zs_ohm", "circuits.oven", AFTER))
    (one,) = owed(design, events)
    assert one.repair.name == "cable-mended"
    assert (one.done, one.missing, one.unread) == (("insulation",), ("continuity", "zs", "residual"), ("polarity",))


def test_a_ring_owes_all_three_of_its_conductors() -> None:
    """Only one of them read again is no test of the ring; its protective conductor is continuity all the same."""
    three = [(f"ring_{core}_ohm", "circuits.plugs", AFTER) for core in ("r1", "rn", "r2")]
    design, events = record("circuits.plugs", three[2])
    (one,) = owed(design, events)
    assert (one.repair.name, one.done) == ("cable-mended", ("continuity",))
    design, events = record("circuits.plugs", *three)
    (one,) = owed(design, events)
    assert "ring-ends" in one.done


def test_what_lies_before_the_boards_concerns_every_circuit() -> None:
    """A new earthing conductor: every loop and every residual-current device; one circuit's are not enough."""
    every = ("plugs", "lamps", "oven", "warmth")
    design, events = record("runs.earth-1", ("zs_ohm", "circuits.plugs", AFTER), ("ze_ohm", "supplies.main", AFTER))
    (one,) = owed(design, events)
    assert one.circuits == every
    assert (one.done, one.missing) == (("ze",), ("continuity", "zs", "residual"))
    design, events = record("runs.earth-1", *(("zs_ohm", f"circuits.{name}", AFTER) for name in every))
    assert "zs" in next(iter(owed(design, events))).done


def test_a_bond_is_read_where_it_is_and_other_events_are_no_repairs() -> None:
    design, events = record("runs.bond-1", ("r_ohm", "runs.bond-1", AFTER))
    (one,) = owed(design, events)
    assert (one.circuits, one.done, one.missing) == ((), ("continuity",), ())
    assert list(owed(design, ())) == []
    for address, circuits in (("equipment.unit", 4), ("equipment.radiator", 1), ("circuits.nobody", 0)):
        design, events = record("runs.bond-1")
        (one,) = owed(design, (replace(events[0], address=address),))
        assert len(one.circuits) == circuits


# ---- what counts as read again --------------------------------------------------------------------------------------
@pytest.mark.parametrize(("quantity", "value", "over", "wanted"), [
    ("insulation_mohm", 0.4, "", True), ("insulation_mohm", None, ">200", True), ("insulation_mohm", None, ">1", True),
    ("insulation_mohm", None, ">0.5", False), ("insulation_mohm", None, "yes", False), ("ring_r2_ohm", None, ">99.9", False),
    ("ring_r2_ohm", 0.5, "", True), ("trip_ms", None, ">1999", False), ("r_ohm", None, "", False)])
def test_what_shows_that_a_test_was_done_again(quantity: str, value: float | None, over: str, wanted: bool) -> None:
    """A number; of insulation a range that reaches 1.0 MΩ (BS 7671 Table 64). An open conductor is no test of its repair."""
    design, _ = record("circuits.plugs")
    assert counts(design, Reading(id="r1", stage="found", quantity=quantity, a="circuits.plugs", value=value, over=over, by="a", at=AFTER)) is wanted


@pytest.mark.parametrize(("event", "read", "counted", "unsure"), [
    ("2026-11-10", "2026-11-10T09:00", False, True), ("2026-11-10", "2026-11-10T17:00", False, True), ("2026-11-10", "2026-11-10", False, True),
    ("2026-11-10", "2026-11-11T08:00", True, False), ("2026-11-10", "2026-11-09", False, False), ("2026-11-10T12:00", "2026-11-10T12:30", True, False),
    ("2026-11-10T12:00", "2026-11-10T11:00", False, False), ("2026-11-10T12:00", "2026-11-10", False, True),
    ("2026-11-10T12:00", "2026-11-10T12:00", True, False), ("2026-11-10T12:00", "2026-11-11", True, False)])
def test_on_the_day_of_a_repair(event: str, read: str, counted: bool, unsure: bool) -> None:
    """Where an hour lacks, of the row or of the repair, a row of that day may have been before it: it counts as none, and that is told."""
    design, events = record("runs.bond-1", ("r_ohm", "runs.bond-1", read))
    (one,) = owed(design, (replace(events[0], at=event),))
    assert (one.done == ("continuity",), one.missing == ("continuity",), one.unsure == ("continuity",)) == (counted, not counted, unsure)


def test_an_unknown_device_still_owes_its_test() -> None:
    """The oven's cable mended, and nobody recorded its device: the time of a device it may have, and its button, are owed all the same."""
    design, events = record("circuits.oven")
    (one,) = owed(design, events)
    assert "residual" in one.missing
    unsaid = with_example('remove = ["circuits.oven.device"]')
    (one,) = owed(unsaid, events)
    assert unsaid.has_residual(unsaid.circuits["oven"]) is None
    assert "residual" in one.missing
    (one,) = owed(unsaid, (replace(events[0], address="circuits.oven.device"),))
    assert one.unread == ("polarity", "test-button")


def test_the_faces_are_told_what_leaves_no_reading_and_by_what_source() -> None:
    design, events = record("circuits.oven.device")
    (one,) = again(design, events)
    assert (one["unread"], one["source"]) == (["polarity", "test-button"], "643.7 for Zs after a change of device")


def test_an_electrode_made_again_concerns_every_circuit() -> None:
    """Its loops are read at the circuits, not at the rod: else nothing could ever show that they were read again."""
    every = ("plugs", "lamps", "oven", "warmth")
    design, events = record("runs.earth-1", *(("zs_ohm", f"circuits.{name}", AFTER) for name in every))
    with_rod = Design(replace(with_example('equipment.rod = { kind = "electrode" }').inst, readings=design.inst.readings))
    for address in ("equipment.rod", "equipment.terminal"):
        (one,) = owed(with_rod, (replace(events[0], address=address),))
        assert one.circuits == every
        assert "zs" in one.done
        assert "residual" in one.missing
