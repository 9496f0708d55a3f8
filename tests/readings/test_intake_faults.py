"""Faults of intake and board by their signs: each is first where its signs are read, and what was not read stays open."""
from __future__ import annotations

import re
from math import fsum

import pytest

from spareway.design.design import Design
from spareway.job.job import read_job
from spareway.readings.intake_faults import IntakeFault, at_intake, shown
from tests.readings.test_of_job import files_of

HEADER = "id,stage,quantity,a,b,setup,value,unit,over,instrument,nulled,loads,temp_c,by,at,strikes\n"


def design(*rows: str, earthing: str = "", home: str = "weir-cottage") -> Design:
    """A home with these readings only: quantity|where|second place|setup|value|unit|over."""
    files = files_of(home)
    lines = []
    for n, row in enumerate(rows):
        quantity, a, b, setup, value, unit, over = row.split("|")
        lines.append(f"z{n},found,{quantity},{a},{b},{setup},{value},{unit},{over},tester-1,yes,out,12,surveyor,2026-11-09T09:40,\n")
    files["readings.csv"] = HEADER + "".join(lines)
    if earthing:
        files["found.toml"], changed = re.subn(r"(?m)^earthing *= .*TN-.*$", f'earthing = {{ told = "{earthing}" }}', files["found.toml"], count=1)
        assert changed
    return Design(read_job(files).found)


def first(*rows: str, earthing: str = "") -> IntakeFault:
    return at_intake(design(*rows, earthing=earthing))[0]


ORIGIN = "supplies.main||at the tails; parallel paths off"


@pytest.mark.parametrize(("rows", "earthing", "name"), [
    ((f"ze_ohm|{ORIGIN}|9.5|Ω|", f"loop_ln_ohm|{ORIGIN}|0.19|Ω|"), "TN-S", "earth-path"),
    ((f"ze_ohm|{ORIGIN}|0.34|Ω|", f"loop_ln_ohm|{ORIGIN}|9.5|Ω|", "supply_v|supplies.main||line to neutral|188|V|"), "TN-S", "supply-neutral"),
    ((f"ze_ohm|{ORIGIN}|9.5|Ω|", f"loop_ln_ohm|{ORIGIN}|9.5|Ω|", "supply_v|supplies.main||line to neutral|188|V|"), "TN-C-S", "combined-conductor"),
    (("r_ohm|runs.bond-water||end to end||Ω|>99.9",), "TN-S", "main-bond"),
    (("insulation_mohm|circuits.lights-ground||neutral to earth|0.01|MΩ|",), "TN-S", "neutral-to-earth"),
    (("insulation_mohm|circuits.lights-ground.N|circuits.lights-first.N|neutral to neutral; both lifted|0.00|MΩ|",), "TN-S", "borrowed-neutral")])
def test_each_fault_is_first_by_its_own_signs(rows: tuple[str, ...], earthing: str, name: str) -> None:
    """What a competent person would look at first, by common practice; the rows that show it are told."""
    found = first(*rows, earthing=earthing)
    assert found.name == name
    assert any(each.there and each.rows for each in found.signs)


def test_weir_by_its_own_rows() -> None:
    """SCENARIOS, Weir: neutral to neutral 0.00 MΩ, Ze and line to neutral as they should be: a borrowed neutral, with its warning."""
    found = at_intake(Design(read_job(files_of("weir-cottage")).found))
    assert found[0].name == "borrowed-neutral"
    assert found[0].share > 0.8
    assert "still live" in found[0].caution
    assert fsum(fault.share for fault in found) == pytest.approx(1.0)


def test_what_was_not_read_stays_open() -> None:
    """With one good reading nothing wrong is likeliest, and says what was not read; with none at all nothing is said."""
    best = first(f"ze_ohm|{ORIGIN}|0.34|Ω|", earthing="TN-S")
    assert best.name == "nothing"
    assert best.share < 0.8
    assert any("each main bond" in ask for ask in best.ask)
    assert at_intake(design()) == ()


def test_a_combined_conductor_is_met_where_there_is_one() -> None:
    """No conductor is neutral and earth together in TN-S or TT; where the arrangement is not known it is thought of."""
    row = f"ze_ohm|{ORIGIN}|9.5|Ω|"
    names = {earthing: {fault.name for fault in at_intake(design(row, earthing=earthing))} for earthing in ("TN-S", "TN-C-S")}
    assert "combined-conductor" not in names["TN-S"]
    assert "combined-conductor" in names["TN-C-S"]


def test_one_high_loop_says_nothing_of_all() -> None:
    """Loops of one circuit are that circuit's; of two, both high, they are a sign; one of them as it should be, and they are none."""
    zs = ("zs_ohm|circuits.ring-ground.points.p5||no-trip|9.50|Ω|", "zs_ohm|circuits.cooker||no-trip|9.50|Ω|", "zs_ohm|circuits.ring-ground.points.p5||no-trip|0.59|Ω|")
    of = [shown(design(*rows))["all-loops-high"].there for rows in (zs[:1], zs[:2], zs[1:])]
    assert of[0] is None
    assert of[2] is not True
