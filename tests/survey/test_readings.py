"""Readings by thumb: the order of tests, entries as typed, nothing lost, no expected value anywhere."""
from __future__ import annotations

import re
from pathlib import Path

import pytest

from spareway.api import check
from spareway.doc import InputError
from spareway.job.job import read_job
from spareway.job.rows import standing
from spareway.survey.readings import dead_tests, in_words, reading_row
from spareway.survey.rows import added, observe, photo_row

JOB = {p.name: p.read_text("utf-8") for p in (Path(__file__).parents[2] / "examples" / "weir-cottage").iterdir() if p.suffix in (".toml", ".csv")}
AT = "2026-11-20T10:00"


def kept(files: dict[str, str], circuit: str, test: str, typed: str) -> dict[str, str]:
    return files | reading_row(files, circuit, test, typed, "fitter", AT, "f")


def test_a_ring_in_the_order_of_the_trade() -> None:
    """Ends first, then both cross-connections point after point, insulation last: BS 7671 Part 6, 643.2 to 643.3."""
    tests = dead_tests(read_job(JOB), "ring-ground")
    assert [t.quantity for t in tests[:3]] == ["ring_r1_ohm", "ring_rn_ohm", "ring_r2_ohm"]
    assert [t.quantity for t in tests[-3:]] == ["insulation_mohm"] * 3
    points = [t for t in tests if t.quantity in ("ring_ln_ohm", "ring_le_ohm")]
    assert len(points) == 2 * 9
    assert [t.quantity for t in dead_tests(read_job(JOB), "cooker")] == ["r1r2_ohm", *["insulation_mohm"] * 3]


def test_no_expected_value_is_near_an_entry() -> None:
    """What a test says holds its words and its place; the only figure in it is the test voltage."""
    for circuit in read_job(JOB).at(None).circuits:
        for test in dead_tests(read_job(JOB), circuit):
            figures = re.findall(r"\d+(?:\.\d+)?", re.sub(r"at p\d+", "", f"{test.says} {test.setup} {test.loads}"))
            assert set(figures) <= {"500"}, test


@pytest.mark.parametrize(("typed", "value", "over"), [("0.59", 0.59, ""), (">200", None, ">200"), ("OL", None, "yes"), ("0.00", 0.0, ""), ("999", 999.0, "")])
def test_an_entry_is_kept_as_typed(typed: str, value: float | None, over: str) -> None:
    files = kept(JOB, "cooker", "1", typed)
    row = read_job(files).readings[-1]
    assert (row.value, row.over, row.id) == (value, over, "f-1")
    assert dead_tests(read_job(files), "cooker")[1].kept


def test_a_reading_taken_again_strikes_the_first_and_both_stay() -> None:
    files = kept(kept(JOB, "cooker", "0", "5.9"), "cooker", "0", "0.59")
    rows = read_job(files).readings
    assert [r.id for r in rows[-2:]] == ["f-1", "f-2"]
    assert rows[-1].strikes == "f-1"
    assert rows[-2] not in standing(rows)
    assert files["readings.csv"].startswith(JOB["readings.csv"].rstrip("\n")), "only ever added to"


def test_what_cannot_be_measured_is_seen_and_is_no_reading() -> None:
    files = kept(JOB, "cooker", "1", "cannot: behind the cooker")
    assert files["readings.csv"] == JOB["readings.csv"]
    assert "not measured" in read_job(files).observations[-1].says
    assert not dead_tests(read_job(files), "cooker")[1].kept


@pytest.mark.parametrize("typed", ["0,59", "", "1.2.3", "-1", "５", "O.59", "> ", "1e3"])
def test_what_is_no_entry_is_refused(typed: str) -> None:
    with pytest.raises(InputError):
        kept(JOB, "cooker", "1", typed)
    with pytest.raises(InputError):
        kept(JOB, "cooker", "99", "1")


@pytest.mark.parametrize(("typed", "unit", "words"), [
    ("0.59", "Ω", "nought point five nine ohms"), (">200", "MΩ", "more than two nought nought megohms"), ("OL", "MΩ", "over range"), ("1", "V", "one volt"), ("11", "V", "one one volts")])
def test_a_number_is_read_back_in_words(typed: str, unit: str, words: str) -> None:
    assert in_words(typed, unit) == words


def test_ids_of_two_phones_never_meet() -> None:
    """Each phone counts its own; a file written before some columns were gets them, and its rows stay."""
    files = dict(JOB)
    for prefix in ("ann", "bo", "ann", "bo"):
        files |= observe(files, "equipment.house", "seen, with a comma", "x", AT, prefix)
    assert [o.id for o in read_job(files).observations[-4:]] == ["ann-1", "bo-1", "ann-2", "bo-2"]
    old = {**JOB, "observations.csv": "id,where,place,code,photo,says,by,at,strikes\no1,equipment.house,,,,cracked,me,2026-11-09,\n"}
    new = added(old, "observations.csv", "p", {"where": "equipment.house", "says": "whole", "by": "me", "at": AT, "eye": "EY14", "answer": "yes"})
    assert [o.says for o in read_job({**JOB, **new}).observations] == ["cracked", "whole"]


def test_a_photo_is_a_row() -> None:
    files = JOB | photo_row(JOB, "0a" * 32, "equipment.house", "report", "owner", "10 10 100 100", "me", AT, "p")
    assert read_job(files).photos[0].address == "equipment.house"


def test_over_range_is_read_back_as_it_was_read() -> None:
    """OL is kept as `yes` in its column, a word of the file: no screen and no finding says "yes" for it."""
    files = kept(kept(JOB, "ring-ground", "0", "OL"), "cooker", "1", ">200")
    job = read_job(files)
    assert [test.kept for test in (dead_tests(job, "ring-ground")[0], dead_tests(job, "cooker")[1])] == ["OL", ">200 MΩ"]
    assert in_words(dead_tests(job, "ring-ground")[0].kept, "Ω") == "over range"
    assert [row.over_words for row in job.readings[-2:]] == ["OL: over range", "over range (>200)"]
    told = [finding["says"] for finding in check(files)["findings"]]
    assert any("OL: over range" in says for says in told)
    assert not [says for says in told if "(yes" in says]


def test_a_loop_over_range_leaves_its_field_unknown_in_the_same_words() -> None:
    """Ze joins the record from its row: OL is no number, and is told as OL."""
    row = "ann-7,found,ze_ohm,supplies.main,,parallel paths off,,Ω,yes,tester-1,,,,ann,2026-11-20T10:00,w01\n"
    ze = read_job({**JOB, "readings.csv": JOB["readings.csv"].rstrip("\n") + "\n" + row}).found.supplies["main"].ze_ohm
    assert not ze.known
    assert ze.note == "measured OL: over range"
