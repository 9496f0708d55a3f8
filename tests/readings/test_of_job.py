"""Readings of a job's ring as they stand in its folder: struck rows, rows without a temperature and other stages count for nothing."""
from __future__ import annotations

from pathlib import Path

import pytest

from spareway import api
from spareway.design.design import Design
from spareway.doc import InputError
from spareway.folder import read_folder
from spareway.job.job import read_job
from spareway.readings.of_job import explained

ROOT = Path(__file__).parents[2] / "examples"


def files_of(name: str) -> dict[str, str]:
    return dict(read_folder(ROOT / name))


def test_both_homes_are_placed_from_their_folders() -> None:
    """SCENARIOS: Granary between 5 and 6; Weir between 6 and 7 once the neutral was read from leg A to three points."""
    for home, ring, place in (("granary-yard", "ring", ["p5", "p6"]), ("weir-cottage", "ring-ground", ["p6", "p7"])):
        said = api.readings(files_of(home), ring, "found")["circuits"][0]
        assert said["faults"][0]["place"] == place
        assert said["faults"][0]["share"] > 0.9
        assert said["alike"] == 1


def test_without_the_three_legs_weir_is_not_placed() -> None:
    """The three steps alone leave many sections of the neutral alike, and what is read next is a reading from a leg."""
    files = files_of("weir-cottage")
    files["readings.csv"] = "".join(line for line in files["readings.csv"].splitlines(keepends=True) if ",leg_ohm," not in line)
    said = api.readings(files, "ring-ground", "found")["circuits"][0]
    assert said["alike"] > 3
    assert {f["core"] for f in said["faults"][:4]} == {"N"}
    assert said["next"][0]["says"].startswith("ends open at the board, long lead: neutral, from leg A")


def test_a_row_without_temperature_or_struck_is_left_out() -> None:
    """What cannot be brought to 20 °C is not weighed, and says so; a struck row is not there."""
    files = files_of("granary-yard")
    files["readings.csv"] = files["readings.csv"].replace("0.39,Ω,,tester-2,yes,out,15,", "0.39,Ω,,tester-2,yes,out,,")
    said = api.readings(files, "ring", "found")["circuits"][0]
    assert [row["why"] for row in said["left_out"] if row["quantity"] == "ring_le_ohm"] == ["the temperature of the conductors is not recorded"]
    whole = api.readings(files_of("granary-yard"), "ring", "found")["circuits"][0]
    assert len(said["taken"]) == len(whole["taken"]) - 1


@pytest.mark.parametrize(("was", "now", "why"), [
    (",ends cross-connected; line to earth,0.39,", ",line to earth,0.39,", "that the ends were cross-connected is not recorded"),
    (",,Ω,>99.9,", ",,Ω,>2,", "its range ends at 2 Ω, which does not tell an open conductor")])
def test_a_row_that_does_not_say_enough_is_left_out(was: str, now: str, why: str) -> None:
    """How the ends were joined, and a range long enough: nothing is taken for granted."""
    files = files_of("granary-yard")
    assert was in files["readings.csv"]
    files["readings.csv"] = files["readings.csv"].replace(was, now)
    said = api.readings(files, "ring", "found")["circuits"][0]
    assert why in [row["why"] for row in said["left_out"]]


def test_the_next_smaller_cable_is_that_of_the_table() -> None:
    """A ring of 4 mm² may hold a length of 2.5 mm²: 7.41 for 4.61 mΩ/m, IEC 60228. Of the smallest size there is none smaller."""
    for size, faults in (("4", 8), ("1", 0)):
        text = files_of("granary-yard")["found.toml"].replace('line_mm2 = 2.5, cpc_mm2 = 1.5, length_m = { drawing = 38 }',
                                                              f'line_mm2 = {size}, cpc_mm2 = 1.5, length_m = {{ drawing = 38 }}')
        design = Design(read_job(files_of("granary-yard") | {"found.toml": text}).found)
        ranked = explained(design.circuits["ring"]).ranked
        assert ranked is not None
        smaller = [fault for fault in ranked.wired.faults if fault.kind == "smaller"]
        assert len(smaller) == faults
        for fault in smaller:
            assert all(edit.new_ohm / (edit.old_ohm or 1) == pytest.approx(7.41 / 4.61, rel=0.1) for edit in fault.edits)


def test_what_cannot_be_weighed_says_why() -> None:
    """A length nobody recorded, and a stage at which nothing was read."""
    assert "the length to p1" in api.readings(files_of("weir-cottage"), "ring-first", "found")["circuits"][0]["why_not"]
    later = api.readings(files_of("granary-yard"), "ring", "proposed")["circuits"][0]
    assert later["why_not"] == "no resistance of its conductors was read"
    assert later["faults"] == []
    with pytest.raises(InputError, match="did you mean ring"):
        api.readings(files_of("granary-yard"), "rng")


def test_nothing_says_what_a_reading_should_be() -> None:
    """No peeking: of a reading not yet taken only how to take it is told, no number of ohms."""
    files = files_of("weir-cottage")
    files["readings.csv"] = "".join(line for line in files["readings.csv"].splitlines(keepends=True) if ",leg_ohm," not in line)
    for each in api.readings(files, "ring-ground", "found")["circuits"][0]["next"]:
        assert set(each) == {"says", "bits", "minutes"}
        assert "Ω" not in each["says"]
