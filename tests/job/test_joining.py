"""A reading becomes the measured value of a field; where it cannot, nothing is taken for it."""
from __future__ import annotations

import pytest

from spareway import bundled
from spareway.doc import InputError
from spareway.job.job import read_job

HEAD = "id,stage,quantity,a,b,setup,value,unit,over,instrument,nulled,loads,temp_c,by,at,strikes\n"
FOUND = bundled.text("rules/specimen.toml").replace("ze_ohm = { measured = 0.3, declared = 0.8 }", "ze_ohm = { declared = 0.8 }")
WORK = 'equipment.unit.rating_a = 80\nequipment.rod = { kind = "electrode" }\n'
JOB = 'schema = 1\nbooks.bs7671 = "2018+A4"\n'


def _read(*rows: str, **more: str):
    body = HEAD + "".join(f"{row},Ω,{over},,,,,me,2026-11-02T09:0{i},{strikes}\n" for i, (row, over, strikes) in
                          enumerate((*r.split("|"), "", "")[:3] for r in rows))
    return read_job({"job.toml": JOB, "found.toml": FOUND, "readings.csv": body, **more})


def test_a_measured_value_goes_before_what_was_declared() -> None:
    ze = _read("r1,found,ze_ohm,supplies.main,,,0.34").found.supplies["main"].ze_ohm
    assert (ze.value, ze.how, ze.where, ze.by("declared").value) == (0.34, "measured", "readings.csv:2", 0.8)


def test_over_range_is_unknown_whatever_was_declared() -> None:
    ze = _read("r1,found,ze_ohm,supplies.main,,,|>2000").found.supplies["main"].ze_ohm
    assert not ze.known
    assert "over range" in ze.note


def test_two_standing_readings_leave_it_unknown_until_one_is_struck() -> None:
    both = ("r1,found,ze_ohm,supplies.main,,,0.34", "r2,found,ze_ohm,supplies.main,,,9.9")
    ze = _read(*both).found.supplies["main"].ze_ohm
    assert not ze.known
    assert ze.note == "rows r1 and r2 of readings.csv both stand: strike one"
    assert _read(both[0], both[1] + "||r1").found.supplies["main"].ze_ohm.value == 9.9


def test_a_found_reading_holds_while_it_is_still_that_thing() -> None:
    """A rating said anew leaves the reading; another thing in its place does not inherit it."""
    row = "r1,found,electrode_ohm,equipment.rod,,,80"
    found = FOUND + '\n[equipment.rod]\nkind = "electrode"\n'
    kept = _read(row, **{"found.toml": found, "work.toml": 'equipment.rod.notice = "none"\n'})
    assert kept.at("proposed").equipment["rod"].electrode_ohm.value == 80
    new = _read(row, **{"found.toml": found, "work.toml": WORK})
    assert not new.at("proposed").equipment["rod"].electrode_ohm.known


@pytest.mark.parametrize(("row", "says"), [
    ("r1,found,ze_ohm,suplies.main,,,0.34", 'readings.csv:2: a: nothing is called "suplies.main"'),
    ("r1,found,reading_ohm,circuits.oven.points.p9,,,0.34", 'nothing is called "circuits.oven.points.p9"'),
    ("r1,found,reading_ohm,equipment.unt,,,0.34", "did you mean equipment.unit?"),
])
def test_a_reading_at_a_misspelt_address_is_refused(row: str, says: str) -> None:
    with pytest.raises(InputError) as refused:
        _read(row)
    assert says in str(refused.value)


def test_a_place_in_words_is_taken_as_it_is() -> None:
    assert _read("r1,found,reading_ohm,board end of leg A,,,0.19").readings[0].a == "board end of leg A"


def test_a_value_where_named_things_are_wanted_is_told_of_the_file_it_stands_in() -> None:
    """Laid over by another file it would vanish in silence."""
    with pytest.raises(InputError, match=r"premises\.toml:1: circuits: named things are wanted here"):
        _read("r1,found,ze_ohm,supplies.main,,,0.34", **{"premises.toml": 'circuits = "a"\n'})


def test_a_fact_that_says_nothing_is_told_even_where_a_reading_would_stand_in() -> None:
    """`{}` is a slip of whoever wrote it, and a reading of the same field does not cover it."""
    found = '[supplies.main]\njoins = "cutout.in"\nearthing = "TT"\nloop_ln_ohm = {}\n[equipment]\ncutout = { kind = "cut-out" }\n'
    readings = "id,stage,quantity,a,value,unit,by,at\nr1,found,loop_ln_ohm,supplies.main,0.42,Ω,me,2026-11-09\n"
    about = 'schema = 1\nbooks = { bs7671 = "2018+A4" }\nnation = "England"\n'
    with pytest.raises(InputError) as refused:
        read_job({"job.toml": about, "found.toml": found, "readings.csv": readings})
    assert [(f.file, f.line) for f in refused.value.faults] == [("found.toml", 4)]
