"""What one length and one size would hide: mixed loads, rings left open, thin legs, spurs; ratings credited to the wrong device."""
from __future__ import annotations

import pytest

from spareway.api import check
from spareway.bundled import text
from spareway.rules import all_rules
from spareway.rules.base import Finding, judge
from spareway.rules.specimen import _JOB as JOB
from spareway.rules.specimen import with_example


def found(rule: str, subject: str, example: str) -> Finding:
    return next(f for f in judge(with_example(example), [r for r in all_rules() if r.code == rule]) if f.subject == subject)


def test_fixed_loads_on_a_circuit_of_sockets_are_counted() -> None:
    """4 kW twice is 34.8 A at 230 V: more than 32 A whatever is plugged in; 3 kW twice is 26.1 A."""
    lines = "\n".join('circuits.plugs.points.p{n} = {{ from = "way.a", length_m = 4, feeds = "panel-heater", before = "fused-spur", spur_fuse_a = 13, load_w = {w} }}'
                      .format(n=n, w="{w}") for n in (1, 2)) + '\ncircuits.plugs.points.p3 = { from = "p1", length_m = 2, back_to = "way.b", back_m = 4, feeds = "sockets" }'
    assert found("CI2", "circuits.plugs", lines.replace("{w}", "4000")).verdict == "fails"
    assert found("CI2", "circuits.plugs", lines.replace("{w}", "3000")).verdict == "within"


@pytest.mark.parametrize("rule", ["CI1", "CI3", "CI4"])
def test_a_ring_whose_points_lead_nowhere_home_is_not_judged_as_a_ring(rule: str) -> None:
    point = 'circuits.plugs.points.p1 = { from = "way.a", length_m = 20, feeds = "sockets"%s }'
    assert found(rule, "circuits.plugs", point % "").verdict == "unknown"
    assert "leads home" in found(rule, "circuits.plugs", point % "").says
    assert found(rule, "circuits.plugs", point % ', back_to = "way.b", back_m = 25').verdict == "within"


THIN = 'circuits.warmth.points.p1 = { from = "way", length_m = %s, feeds = "panel-heater", line_mm2 = 1.0, cpc_mm2 = 1.0 }\n'
PLAIN = 'circuits.warmth.device = { kind = "mcb", curve = "B", rating_a = 16, fault_rating_ka = 6 }\n'


def test_a_thin_leg_is_judged_by_its_own_size() -> None:
    """1.0/1.0 mm² reads 36.2 mΩ/m (BS EN 60228): 40 m is 1.45 Ω cold, 1.74 Ω warm, 2.04 Ω with Ze 0.3; 60 m is 2.17 cold, 2.91 in all, above 2.73 Ω of a B16."""
    assert found("CI1", "circuits.warmth", PLAIN + THIN % 40).verdict == "within"
    far = found("CI1", "circuits.warmth", PLAIN + THIN % 60)
    assert (far.verdict, f"{far.facts[0].value:.2f}") == ("fails", "2.91")
    assert found("CI4", "circuits.warmth", THIN % 5).verdict == "unknown"


def test_a_thin_leg_may_carry_less_than_the_device() -> None:
    """Laid by method 100, 1.0 mm² carries 13 A (Table 4D5): less than 16 A."""
    thin = 'circuits.warmth.cable.method = "100"\n' + THIN % 5
    assert found("CI3", "circuits.warmth", thin).verdict == "unknown"
    assert found("CI3", "circuits.warmth", 'circuits.warmth.cable.method = "100"').verdict == "within"


def test_a_spur_s_own_length_counts() -> None:
    """Without a residual device: B32 1.37 Ω. 45 m of ring is 0.22 Ω; a spur of 60 m adds 1.17 Ω, warm more."""
    ring = 'circuits.plugs.device = { kind = "mcb", curve = "B", rating_a = 32, fault_rating_ka = 6 }\n' \
           'circuits.plugs.points.p1 = { from = "way.a", length_m = 20, feeds = "sockets", back_to = "way.b", back_m = 25 }\n' \
           'circuits.plugs.points.s1 = { from = "p1", length_m = %s, feeds = "sockets" }'
    assert found("CI1", "circuits.plugs", ring % 3).verdict == "within"
    assert found("CI1", "circuits.plugs", ring % 60).verdict == "unknown"


@pytest.mark.parametrize(("insulation_c", "verdict"), [(60, "unknown"), (70, "within"), (90, "within")])
def test_ratings_of_70_degrees_are_no_good_for_insulation_that_bears_less(insulation_c: int, verdict: str) -> None:
    """Rubber of 60 °C has other tables; a cable of 90 °C on ordinary accessories is rated at 70 °C (512.1.5)."""
    assert found("CI3", "circuits.warmth", f"circuits.warmth.cable.insulation_c = {insulation_c}").verdict == verdict
    assert found("IN2", "runs.feed-3", f"runs.feed-3.insulation_c = {insulation_c}").verdict == verdict


WEAK = "circuits.oven.device.fault_rating_ka = 0.6"


def test_a_board_s_rating_is_lent_to_no_device_but_a_listed_one() -> None:
    """The board says 16 kA and the device 0.6 at 0.92: only the maker's list, seen by eye or in a reply, lends it."""
    assert found("CI12", "circuits.oven", WEAK).verdict == "unknown"
    for about in ("circuits.oven", "equipment.unit"):
        reply = f'replies.maker = {{ about = "CI12 {about}", by = "maker", allows = %s }}\n'
        assert found("CI12", "circuits.oven", reply % "true" + WEAK).verdict == "within"
        assert found("CI12", "circuits.oven", reply % "false" + WEAK).verdict == "unknown"
    rows = "id,where,place,code,photo,says,by,at,strikes,eye,answer\no1,equipment.unit,,,,listed,a,2026-11-09,,EY22,yes\n"
    told = check({"job.toml": JOB, "found.toml": text("rules/specimen.toml"), "observations.csv": rows, "work.toml": f"{WEAK}\n"})
    assert [f["verdict"] for f in told["findings"] if (f["rule"], f["subject"]) == ("CI12", "circuits.oven")] == ["within"]


@pytest.mark.parametrize("thing", ["unit", "pipe", "terminal"])
def test_burnt_is_told_of_whatever_it_is(thing: str) -> None:
    assert found("BO11", "installation", f'equipment.{thing}.damage = "burnt"').verdict == "fails"


def test_it_is_never_taken_for_tn() -> None:
    assert found("CI1", "circuits.lamps", 'supplies.main.earthing = "IT"').verdict == "unknown"
    assert found("EA6", "supplies.main", 'supplies.main.earthing = "IT"').verdict == "unknown"


def test_an_extraneous_part_without_any_bond_fails() -> None:
    assert found("EA10", "equipment.pipe", 'remove = ["runs.bond-1"]').verdict == "fails"


SECOND = 'supplies.landlord = { joins = "cutout-2.in" }\nequipment.cutout-2 = { kind = "cut-out", seal = "present" }'


def test_a_second_supply_is_named_as_not_worked_out() -> None:
    second = found("SO11", "supplies.landlord", SECOND)
    assert (second.verdict, found("SO11", "supplies.main", SECOND).verdict) == ("unknown", "within")
    assert "supplies.main alone" in second.says


def test_earthing_of_an_outbuilding_is_named_as_not_judged() -> None:
    told = found("EA11", "installation", 'earthing.shed = { kind = "TT", electrode_ohm = 90 }')
    assert told.verdict == "unknown"
    assert "earthing.shed" in told.says


@pytest.mark.parametrize(("lines", "verdict"), [("looped = true", "advice"), ("looped = false", "within"),
                                                ('looped = { unknown = "cable hidden" }', "unknown")])
def test_a_looped_service_is_the_operators_to_answer(lines: str, verdict: str) -> None:
    assert found("IN18", "supplies.main", f"supplies.main.{lines}").verdict == verdict


@pytest.mark.parametrize(("lines", "verdict"), [
    ("", "unknown"), ('supplies.main.operator = "operator-west"', "unknown"), ('supplies.main.operator = "operator-east"', "within"),
    ('replies.pull = { about = "equipment.cutout", by = "operator-east", allows = true }', "unknown"),
    ('replies.pull = { about = "equipment.cutout", by = "operator-east", allows = false }', "unknown")])
def test_leave_is_the_recorded_operators(lines: str, verdict: str) -> None:
    """A name that nobody recorded as the operator is nobody's, whatever else it wrote."""
    pull = 'permissions.pull = { part = "cutout.fuse", by = "operator-east", ref = "E-1", until = 2026-12-04 }\n'
    assert found("IN19", "installation", pull + lines).verdict == verdict


def test_what_a_conductor_joins_makes_it_a_bond_or_the_earthing_conductor() -> None:
    """Called singles, or earthing, it is judged by where it lands."""
    bond = 'runs.bond-1 = { joins = ["terminal.d", "pipe.clamp"], kind = "%s", size_mm2 = 4, length_m = 6 }'
    assert {found("EA5", "runs.bond-1", bond % kind).verdict for kind in ("bond", "earthing", "singles")} == {"fails"}
    earth = 'runs.earth-1 = { joins = ["cutout.earth", "terminal.a"], kind = "%s", size_mm2 = 4, length_m = 1 }'
    assert {found("EA4", "runs.earth-1", earth % kind).verdict for kind in ("earthing", "bond", "singles")} == {"fails"}


def test_ze_above_what_this_operator_declared() -> None:
    """0.79 Ω is below the usual 0.8 of TN-S and above the 0.5 that was declared here."""
    assert found("EA2", "supplies.main", "supplies.main.ze_ohm = { measured = 0.79, declared = 0.8 }").verdict == "within"
    assert found("EA2", "supplies.main", "supplies.main.ze_ohm = { measured = 0.79, declared = 0.5 }").verdict == "fails"
