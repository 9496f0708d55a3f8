"""What a circuit feeds by name alone is asked like a thing of which nothing more is said: a name is never a silent yes."""
from __future__ import annotations

import pytest

from spareway.api_circuit import new_circuit
from spareway.bundled import text
from spareway.design.design import Design
from spareway.design.told_twice import named_only
from spareway.rules import all_rules
from spareway.rules.base import Finding, judge
from tests.design.test_landed import design

PME = 'supplies.main.earthing = "TN-C-S"\n'
DEVICE = 'device = { kind = "rcbo-2p", curve = "B", rating_a = 40, residual_ma = 30, residual_type = "A", one_way = false }'
CAR = f'circuits.car = {{ way = "unit.6", feeds = "charge-point", {DEVICE} }}\n'
AT_POINT = f'circuits.car.way = "unit.6"\ncircuits.car.{DEVICE}\ncircuits.car.points.p1 = {{ from = "way", feeds = "charge-point" }}\n'
SUN = CAR.replace("charge-point", "solar-inverter")
THING = 'equipment.charger = { kind = "charge-point", rating_a = 32, on = "car", open_neutral = true, dc_detection = true }\n'


def of_rule(of: Design, code: str, subject: str) -> list[Finding]:
    found = judge(of, [r for r in all_rules() if r.code == code])
    return [f for f in found if f.subject == subject]


def verdicts(of: Design, subject: str, *codes: str) -> dict[str, str]:
    return {f.rule: f.verdict for code in codes for f in of_rule(of, code, subject)}


@pytest.mark.parametrize(("lines", "at"), [(CAR, "circuits.car"), (AT_POINT, "circuits.car.points.p1")])
def test_a_charge_point_told_by_its_name_alone_is_not_known_to_open_by_itself(lines: str, at: str) -> None:
    """As for a thing of which nothing more is said (722.411.4.1); on an earth that is not combined it does not apply."""
    bare = design(PME, CAR.replace('feeds = "charge-point", ', ""), 'equipment.charger = { kind = "charge-point", on = "car" }\n')
    assert verdicts(bare, "equipment.charger", "SO8") == verdicts(design(PME, lines), at, "SO8") == {"SO8": "unknown"}
    assert verdicts(design(lines), at, "SO8") == {"SO8": "not applicable"}
    assert verdicts(design(PME, lines), "circuits.car", "RC2", "DV17") == {"RC2": "unknown", "DV17": "unknown"}


def test_a_thing_on_the_circuit_answers_for_the_name() -> None:
    of = design(PME, CAR, THING)
    assert named_only(of.circuits["car"]) == []
    assert verdicts(of, "equipment.charger", "SO8") == {"SO8": "within"}
    assert verdicts(of, "circuits.car", "RC2", "DV17", "SO8") == {"RC2": "within", "DV17": "within"}


def test_a_second_one_at_a_point_is_not_answered_for_by_the_first() -> None:
    """The thing stands at the last point; the point before it names another charge point of which nothing is known."""
    two = AT_POINT + 'circuits.car.points.p2 = { from = "p1", feeds = "charge-point" }\n'
    of = design(PME, two, THING)
    assert [told[0] for told in named_only(of.circuits["car"])] == ["circuits.car.points.p1"]
    assert verdicts(of, "circuits.car.points.p1", "SO8") == {"SO8": "unknown"}
    assert verdicts(of, "circuits.car", "RC2", "DV17") == {"RC2": "unknown", "DV17": "unknown"}


def test_a_name_that_no_point_takes_up_is_asked_of_the_circuit() -> None:
    of = design(PME, AT_POINT.replace('feeds = "charge-point"', 'feeds = "lamp"') + 'circuits.car.feeds = "charge-point"\n')
    assert named_only(of.circuits["car"]) == [("circuits.car.points.p1", "car.p1", "lamp"), ("circuits.car", "car.end", "charge-point")]


def test_a_submain_names_nothing() -> None:
    of = design('equipment.shed = { kind = "board" }\ncircuits.out.way = "unit.7"\ncircuits.out.feeds = "shed.in"\n'
                'circuits.out.points.p1 = { from = "way" }\n')
    assert named_only(of.circuits["out"]) == []


def test_a_source_told_by_its_name_alone() -> None:
    """SO6 by what parts it, as for a thing; SO7 not known; an inlet for a generator with no changeover is a stop (551.6)."""
    assert verdicts(design(SUN), "circuits.car", "SO6", "SO7", "DV17") == {"SO6": "within", "SO7": "unknown", "DV17": "unknown"}
    loose = 'circuits.car = { way = "unit.6", feeds = "solar-inverter" }\n'
    assert verdicts(design(loose), "circuits.car", "SO6") == {"SO6": "fails"}
    inlet = CAR.replace("charge-point", "generator-inlet")
    assert verdicts(design(inlet), "circuits.car", "SO9") == {"SO9": "stop"}
    as_thing = 'circuits.car = { way = "unit.6" }\nequipment.roof = { kind = "solar-inverter", on = "car" }\n'
    assert verdicts(design(as_thing), "equipment.roof", "SO6") == {"SO6": "fails"}


def test_a_source_named_behind_a_submain_counts_for_its_device_too() -> None:
    of = design('equipment.shed = { kind = "board" }\ncircuits.out = { way = "unit.7", feeds = "shed.in", device = { kind = "mcb", rating_a = 32 } }\n'
                f'circuits.sun = {{ way = "shed.1", feeds = "solar-inverter", {DEVICE} }}\n')
    assert verdicts(of, "circuits.out", "DV17") == {"DV17": "unknown"}


def test_a_new_circuit_for_a_charge_point_says_what_else_it_needs() -> None:
    files = {"job.toml": 'schema = 1\nbooks.bs7671 = "2018+A4"\n', "found.toml": text("rules/specimen.toml")}
    said = new_circuit(files, "7.2 kW charge-point, 14 m, method 100", whole=False)
    assert any("722.411.4.1" in note and "6 mA" in note for note in said["notes"])
    assert not any("722.411.4.1" in note for note in new_circuit(files, "7.2 kW cooker, 14 m, method 100", whole=False)["notes"])


def test_what_a_meter_opens_by_itself_is_locked_off_downstream_of_it() -> None:
    """SO3: upstream of a switching meter is the service fuse, the operator's; of a time switch behind a switch of ours, that switch."""
    of_ours = "by a switch of yours downstream; upstream only the operator"
    meter = design('equipment.meter = { kind = "meter-switched", seal = "present" }\nruns.feed-1.joins = ["cutout.out", "meter.in"]\n'
                   'runs.feed-2.joins = ["meter.out", "arrester.top"]\n')
    clock = 'equipment.clock = { kind = "time-switch" }\nequipment.night = { kind = "board-night" }\n' \
            'runs.to-night = { joins = ["clock.out", "night.in"], kind = "tails" }\nruns.to-clock = { joins = ["%s", "clock.in"], kind = "tails" }\n'
    assert f"meter.contactor: {of_ours}" in of_rule(meter, "SO3", "installation")[0].says
    assert f"clock.contactor: {of_ours}" in of_rule(design(clock % "meter.out"), "SO3", "installation")[0].says
    assert "downstream" not in of_rule(design(clock % "arrester.bottom"), "SO3", "installation")[0].says
    assert "downstream" not in of_rule(design(SUN), "SO3", "installation")[0].says
