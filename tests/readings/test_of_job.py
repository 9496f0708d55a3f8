"""Readings of a job's ring as they stand in its folder: struck rows, rows without a temperature and other stages count for nothing."""
from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from spareway import api_readings
from spareway.design.design import Design
from spareway.doc import InputError
from spareway.folder import read_folder
from spareway.job.job import read_job
from spareway.readings.of_job import Explained, explained

ROOT = Path(__file__).parents[2] / "examples"


def files_of(name: str) -> dict[str, str]:
    return dict(read_folder(ROOT / name))


def test_both_homes_are_placed_from_their_folders() -> None:
    """SCENARIOS: Granary between 5 and 6; Weir between 6 and 7 once the neutral was read from leg A to three points."""
    for home, ring, place in (("granary-yard", "ring", ["p5", "p6"]), ("weir-cottage", "ring-ground", ["p6", "p7"])):
        said = api_readings.readings(files_of(home), ring, "found")["circuits"][0]
        assert said["faults"][0]["place"] == place
        assert said["faults"][0]["share"] > 0.9
        assert said["alike"] == 1


def test_without_the_three_legs_weir_is_not_placed() -> None:
    """The three steps alone leave many sections of the neutral alike, and what is read next is a reading from a leg."""
    files = files_of("weir-cottage")
    files["readings.csv"] = "".join(line for line in files["readings.csv"].splitlines(keepends=True) if ",leg_ohm," not in line)
    said = api_readings.readings(files, "ring-ground", "found")["circuits"][0]
    assert said["alike"] > 3
    assert {f["core"] for f in said["faults"][:4]} == {"N"}
    assert said["next"][0]["says"].startswith("ends open at the board, long lead: neutral, from leg A")


def with_legs(*read: tuple[str, float]) -> dict[str, str]:
    """The yard by its three steps, and the neutral from leg A to these points."""
    files = files_of("granary-yard")
    head, *lines = [line for line in files["readings.csv"].splitlines(keepends=True) if ",leg_ohm," not in line]
    legs = [f"x{n},found,leg_ohm,circuits.ring.points.{point}.N,,ends open; neutral from leg A at the board,{ohm:.2f},Ω,,tester-2,yes,out,"
            f"15,surveyor,2026-11-16T13:{n:02},\n" for n, (point, ohm) in enumerate(read)]
    return {**files, "readings.csv": "".join([head, *lines, *legs])}


def said_of(files: dict[str, str], before: Explained | None = None) -> Explained:
    return explained(Design(read_job(files).at("found")).circuits["ring"], before)


def same(one: Explained, other: Explained) -> bool:
    assert one.ranked is not None
    assert other.ranked is not None
    shares = [[(fault.name, share) for fault, share in each.ranked.faults] for each in (one, other)]       # type: ignore[union-attr]
    return shares[0] == shares[1] and one.proposals == other.proposals and one.ranked.amiss == other.ranked.amiss


LEGS = (("p5", 0.17), ("p7", 0.26), ("p6", 0.21), ("p1", 0.03))


@cache
def from_the_start(legs_n: int) -> Explained:
    return said_of(with_legs(*LEGS[:legs_n]))


def test_one_reading_more_costs_that_reading_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """Led on from what was said before, leg after leg: to the last digit what it is from the start, and nothing is begun again."""
    from spareway.readings import of_job
    whole = [from_the_start(n) for n in range(len(LEGS) + 1)]

    def begun(*_: object) -> None:
        raise AssertionError("begun again")
    monkeypatch.setattr(of_job, "rank", begun)
    told = whole[0]
    for n in range(1, len(LEGS) + 1):
        told = said_of(with_legs(*LEGS[:n]), told)
        assert same(told, whole[n]), n
    assert same(said_of(with_legs(*LEGS), told), whole[-1]), "nothing new: as it was"
    assert same(said_of(with_legs(*LEGS[:2]), whole[1]), whole[2]), "what was gone on from is still as it was"


@pytest.mark.parametrize("change", [
    lambda files: {**files, "readings.csv": files["readings.csv"].replace(",0.17,Ω", ",0.15,Ω")},
    lambda files: {**files, "readings.csv": files["readings.csv"].replace("x0,found,leg_ohm", "x0,found,r_ohm")},
    lambda files: {**files, "found.toml": files["found.toml"].replace("length_m = { drawing = 5 }", "length_m = { drawing = 6 }")},
    lambda files: {**files, "readings.csv": files["readings.csv"].replace(",yes,out,15,surveyor,2026-11-16T13", ",no,out,15,surveyor,2026-11-16T13")},
])
def test_what_does_not_go_on_is_begun_again(change: Callable[[dict[str, str]], dict[str, str]]) -> None:
    """A reading that is another now, one that is away, another length, leads not nulled: from the start, as if nothing had been."""
    files = with_legs(*LEGS[:2])
    other = change(files)
    assert other != files
    led = said_of(other, from_the_start(1))
    assert same(led, said_of(other))
    assert not same(led, from_the_start(2))


def test_a_row_without_temperature_or_struck_is_left_out() -> None:
    """What cannot be brought to 20 °C is not weighed, and says so; a struck row is not there."""
    files = files_of("granary-yard")
    files["readings.csv"] = files["readings.csv"].replace("0.39,Ω,,tester-2,yes,out,15,", "0.39,Ω,,tester-2,yes,out,,")
    said = api_readings.readings(files, "ring", "found")["circuits"][0]
    assert [row["why"] for row in said["left_out"] if row["quantity"] == "ring_le_ohm"] == ["the temperature of the conductors is not recorded"]
    whole = api_readings.readings(files_of("granary-yard"), "ring", "found")["circuits"][0]
    assert len(said["taken"]) == len(whole["taken"]) - 1


@pytest.mark.parametrize(("was", "now", "why"), [
    (",ends cross-connected; line to earth,0.39,", ",line to earth,0.39,", "that the ends were cross-connected is not recorded"),
    (",,Ω,>99.9,", ",,Ω,>2,", "its range ends at 2 Ω, which does not tell an open conductor")])
def test_a_row_that_does_not_say_enough_is_left_out(was: str, now: str, why: str) -> None:
    """How the ends were joined, and a range long enough: nothing is taken for granted."""
    files = files_of("granary-yard")
    assert was in files["readings.csv"]
    files["readings.csv"] = files["readings.csv"].replace(was, now)
    said = api_readings.readings(files, "ring", "found")["circuits"][0]
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
        assert len({fault.name for fault in smaller}) == faults
        for fault in smaller:
            assert all(edit.new_ohm / (edit.old_ohm or 1) == pytest.approx(7.41 / 4.61, rel=0.1) for edit in fault.edits)


@pytest.mark.parametrize(("nulled", "kind"), [("yes", "sound"), ("no", "lead not nulled")])
def test_leads_that_are_recorded_as_not_nulled(nulled: str, kind: str) -> None:
    """Granary's ring, sound by its cable (38 m: 0.28 Ω line, 0.46 Ω protective conductor), each reading 0.06 Ω too high: with leads
    recorded as nulled the cable is a little longer than drawn, with leads recorded as not nulled it is the leads."""
    files = files_of("granary-yard")
    lines = [line for line in files["readings.csv"].splitlines() if ",circuits.ring" not in line]
    for n, (quantity, ohm) in enumerate((("ring_r1_ohm", 0.34), ("ring_rn_ohm", 0.34), ("ring_r2_ohm", 0.52))):
        lines.append(f"y{n},found,{quantity},circuits.ring,,end to end,{ohm},Ω,,tester-2,{nulled},out,20,surveyor,2026-11-16T11:00,")
    said = api_readings.readings(files | {"readings.csv": "\n".join(lines) + "\n"}, "ring", "found")["circuits"][0]
    assert said["faults"][0]["kind"] == kind


def test_what_cannot_be_weighed_says_why() -> None:
    """A length nobody recorded, and a stage at which nothing was read."""
    assert "the length to p1" in api_readings.readings(files_of("weir-cottage"), "ring-first", "found")["circuits"][0]["why_not"]
    later = api_readings.readings(files_of("granary-yard"), "ring", "proposed")["circuits"][0]
    assert later["why_not"] == "no resistance of its conductors was read"
    kept = api_readings.readings(files_of("weir-cottage"), "ring-ground", "proposed")["circuits"][0]
    assert kept["why_not"] == "no resistance of its conductors was read at this stage, proposed; what it showed as found is told there"
    assert later["faults"] == []
    with pytest.raises(InputError, match="did you mean ring"):
        api_readings.readings(files_of("granary-yard"), "rng")


def test_nothing_says_what_a_reading_should_be() -> None:
    """No peeking: of a reading not yet taken only how to take it is told, no number of ohms."""
    files = files_of("weir-cottage")
    files["readings.csv"] = "".join(line for line in files["readings.csv"].splitlines(keepends=True) if ",leg_ohm," not in line)
    for each in api_readings.readings(files, "ring-ground", "found")["circuits"][0]["next"]:
        assert set(each) == {"says", "bits", "minutes"}
        assert "Ω" not in each["says"]


@pytest.mark.parametrize(("was", "now", "why"), [
    (".points.p5.L,", ".points.spur-bed-1.L,", "it was read at a spur of which length, size or leg is not recorded"),
    ("ring_le_ohm,circuits.ring.points.p5.L,circuits.ring.points.p5.E,ends cross-connected; line to earth", "leg_ohm,circuits.ring.points.p5.L,,ends open", "from which leg it was read is not recorded")])
def test_a_row_that_is_none_of_the_readings_says_why(was: str, now: str, why: str) -> None:
    """A spur's, and a long lead from nobody knows which leg."""
    files = files_of("granary-yard")
    assert was in files["readings.csv"]
    said = api_readings.readings(files | {"readings.csv": files["readings.csv"].replace(was, now)}, "ring", "found")["circuits"][0]
    assert why in [row["why"] for row in said["left_out"]]


def test_a_reading_from_leg_b_counts_as_well() -> None:
    """Weir's three legs, each turned round: from leg B the neutral to a point is the whole of it less the way from leg A. Never asked
    for, since leg A tells as much, and never left out."""
    files, whole = files_of("weir-cottage"), 0.79
    for ohm in ("0.19", "0.69", "0.24"):
        files["readings.csv"] = files["readings.csv"].replace(f"leg A at the board,{ohm},", f"leg B at the board,{whole - float(ohm):.2f},")
    said = api_readings.readings(files, "ring-ground", "found")["circuits"][0]
    assert said["faults"][0]["place"] == ["p6", "p7"]
    assert said["faults"][0]["share"] > 0.9
    assert not any("leg B" in each["says"] for each in said["next"])


# ---- a radial -------------------------------------------------------------------------------------------------------------
LAMPS = ("hall-1", "hall-2", "bath", "bed-2-a", "bed-2-b", "bed-1-a", "bed-1-b", "living-1", "living-2", "living-3", "living-4", "living-5")


def lights(rows: str, lengths: bool = True) -> Explained:
    """Granary's lights, a chain of twelve lamps; a length to each, 3 m, and these rows: quantity, where, setup, value, over."""
    files = files_of("granary-yard")
    if lengths:
        for lamp in LAMPS:
            files["found.toml"] = re.sub(rf"(points\.{lamp} *= {{ )", r"\1length_m = { drawing = 3 }, ", files["found.toml"])
    for n, row in enumerate(rows.split()):
        quantity, where, setup, value, over = row.split(";")
        files["readings.csv"] += f"x{n},found,{quantity},circuits.lights{where},,{setup.replace('_', ' ')},{value},Ω,{over},tester-2,yes,out,20,surveyor,2026-11-09T10:00,\n"
    return explained(Design(read_job(files).found).circuits["lights"])


def test_a_radial_of_a_job_is_placed() -> None:
    """Granary's lights with a length to each lamp: all up to bed-2-b read, none beyond: the protective conductor is open between
    bed-2-b and bed-1-a. By hand 3 m of 1.5 / 1.0 mm² twin and earth is 0.0906 Ω line and protective conductor together, IEC 60228."""
    read = [f"r1r2_ohm;.points.{lamp};linked;{0.10 * (n + 1):.2f};" for n, lamp in enumerate(LAMPS[:5])]
    read += [f"r1r2_ohm;.points.{lamp};linked;;>99.9" for lamp in LAMPS[5:]]
    read += [f"r1rn_ohm;.points.{lamp};linked;{0.08 * (n + 1):.2f};" for n, lamp in enumerate(LAMPS)]
    found = lights(" ".join(read))
    assert found.ranked is not None
    assert found.ranked.faults[0][0].name == ("open", "E", ("bed-2-b", "bed-1-a"))
    assert found.ranked.faults[0][1] > 0.9


def test_what_is_read_at_a_radial() -> None:
    """R1+R2 of the circuit is that at its furthest point, a long lead goes from the board; what is neither is left out."""
    found = lights("r1r2_ohm;;linked;1.1; leg_ohm;.points.bath.N;nothing_linked,_neutral_from_the_board;0.12; r2_ohm;.points.bath;lead;0.16; "
                   "leg_ohm;.points.bath.L;leg_A;0.12;".replace(",_", "_"))
    assert [name for name, _ in found.rows] == ["L-E living-5", "lead N bath", "lead E bath"]
    assert "no resistance of the circuit's own conductors" in [why for _, why in found.left_out]


def test_a_radial_that_is_not_recorded_says_why() -> None:
    """Without lengths, and without the size of its protective conductor."""
    assert lights("", lengths=False).why_not.startswith("the length to hall-1")
    files = files_of("granary-yard")
    was = 'kind = "t&e", line_mm2 = 1.5, cpc_mm2 = 1.0, length_m = { drawing = 9 }'
    assert was in files["found.toml"]
    files["found.toml"] = files["found.toml"].replace(was, was.replace("cpc_mm2 = 1.0, ", ""))
    assert explained(Design(read_job(files).found).circuits["alarms"]).why_not == "the sizes of its conductors are not known"


def test_a_circuit_of_one_cable() -> None:
    """No points recorded: R1+R2 at its far end, half as much again as the cable should have, may be sound, a joint or a smaller cable."""
    files = files_of("granary-yard")
    design = Design(read_job(files).found)
    single = next(c for c in design.circuits.values() if not c.circuit.points and c.length_m.known and c.r1_mohm_per_m.known and c.r2_mohm_per_m.known)
    ohm = 1.5 * (single.r1_ohm.value + single.r2_ohm.value)
    files["readings.csv"] += f"x1,found,r1r2_ohm,circuits.{single.circuit.name},,linked,{ohm:.2f},Ω,,tester-2,yes,out,20,surveyor,2026-11-09T10:00,\n"
    found = explained(Design(read_job(files).found).circuits[single.circuit.name])
    assert found.ranked is not None
    assert {f.kind for f, _ in found.ranked.faults[:5]} >= {"sound", "loose joint"}
    assert [name for name, _ in found.rows] == ["L-E its far end"]
