"""Rows that are only ever added. Expected values are worked by hand; conversions also by decimal arithmetic."""
from __future__ import annotations

import csv
import io
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spareway.doc import Fault
from spareway.job.cells import quantity_units, units_for
from spareway.job.rows import MOST_ROWS, ROW_FILES, Event, Observation, Photo, Reading, header, read_rows, standing
from tests.scenarios.folders import EXAMPLES

GOOD: dict[str, dict[str, str]] = {
    "readings.csv": {"id": "r1", "stage": "found", "quantity": "ze_ohm", "a": "supplies.main", "value": "0.34", "unit": "Ω",
                     "by": "surveyor", "at": "2026-11-09T09:40"},
    "observations.csv": {"id": "o1", "where": "equipment.board", "says": "cover cracked", "by": "surveyor", "at": "2026-11-09"},
    "events.csv": {"id": "e1", "kind": "torque", "address": "board.5.L", "value": "2.5", "unit": "N·m", "kit": "driver-1",
                   "by": "fitter", "at": "2026-11-20T11:05:30Z"},
    "photos.csv": {"id": "f1", "sha256": "0a" * 32, "address": "equipment.board", "purpose": "report", "consent": "owner",
                   "boxes": "120 80 300 150; 0 0 90 1000", "by": "surveyor", "at": "2026-11-09T09:21+01:00"}}


def text(file: str, *rows: dict[str, str], columns: tuple[str, ...] = ()) -> str:
    """A file of rows, each the good one with these cells instead."""
    columns = columns or header(ROW_FILES[file])
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    for row in rows:
        cells = GOOD[file] | row
        writer.writerow([cells.get(key, "") for key in columns])
    return out.getvalue()


def rows(file: str, *given_: dict[str, str], **more: Any) -> tuple[Any, ...]:
    found, faults = read_rows(file, text(file, *given_, **more), ROW_FILES[file])
    assert faults == ()
    return found


def faults_of(file: str, *given_: dict[str, str], **more: Any) -> tuple[Fault, ...]:
    return read_rows(file, text(file, *given_, **more), ROW_FILES[file])[1]


def only(faults: tuple[Fault, ...]) -> Fault:
    assert len(faults) == 1, [str(f) for f in faults]
    return faults[0]


def test_a_reading_is_read_whole() -> None:
    """Every column arrives, with its line and with what was typed."""
    row, = rows("readings.csv", {"b": "circuits.cooker.E", "setup": "loads out, links in", "instrument": "tester-1",
                                 "nulled": "yes", "loads": "out", "temp_c": "-4.5"})
    assert row == Reading(id="r1", stage="found", quantity="ze_ohm", a="supplies.main", b="circuits.cooker.E",
                          setup="loads out, links in", value=0.34, unit="Ω", over="", instrument="tester-1", nulled=True,
                          loads="out", temp_c=-4.5, by="surveyor", at="2026-11-09T09:40", strikes="", said="0.34 Ω", line=2)


def test_the_other_rows_are_read_whole() -> None:
    """What nothing was said of is empty, a number or yes or no is None."""
    seen, = rows("observations.csv", {})
    assert seen == Observation(id="o1", where="equipment.board", says="cover cracked", by="surveyor", at="2026-11-09", line=2,
                               place="", code="", photo="", strikes="")
    done, = rows("events.csv", {})
    assert done == Event(id="e1", kind="torque", address="board.5.L", value=2.5, unit="N·m", kit="driver-1", by="fitter",
                         second="", at="2026-11-20T11:05:30Z", strikes="", said="2.5 N·m", line=2)
    photo, = rows("photos.csv", {})
    assert photo == Photo(id="f1", sha256="0a" * 32, address="equipment.board", purpose="report", consent="owner",
                          boxes="120 80 300 150; 0 0 90 1000", by="surveyor", at="2026-11-09T09:21+01:00", strikes="", line=2)
    bare, = rows("events.csv", {"value": "", "unit": "", "kind": "lock"})
    assert (bare.value, bare.unit, bare.said) == (None, "", "")


@pytest.mark.parametrize("file", ROW_FILES)
def test_the_rows_of_the_examples_have_no_fault(file: str) -> None:
    """Every example's rows are read, one a line."""
    for path in EXAMPLES.glob(f"*/{file}"):
        said = path.read_text("utf-8")
        found, faults = read_rows(file, said, ROW_FILES[file])
        assert faults == ()
        assert [row.line for row in found] == [*range(2, 1 + len(said.splitlines()))]
        assert standing(found) == found


NO_NUMBERS = ["nan", "NaN", "inf", "-inf", "Infinity", "1e999", "1e3", "-0", "-0.00", "0,34", "1,000.5", "٠.٣٤", "０.３４", "+3",
              ".5", "5.", "1_000", "0x10", "2 Ω", "--1", "1.2.3", "-", "half", "1" * 41, "1000000000001", "²"]


@pytest.mark.parametrize("typed", NO_NUMBERS)
def test_only_digits_and_a_point_are_a_number(typed: str) -> None:
    """Anything else in a value is refused at its line, with an example; a comma with the number that was meant."""
    fault = only(faults_of("readings.csv", {}, {"id": "r2", "value": typed}))
    assert (fault.file, fault.line, fault.field) == ("readings.csv", 3, "value")
    assert "a number with a point, like 0.34" in fault.allowed
    assert fault.nearest == ("0.34" if typed == "0,34" else "")


@pytest.mark.parametrize(("typed", "amount"), [("0", 0), ("0.00", 0), ("-0.02", -0.02), ("007", 7), ("1000000000000", 1e12)])
def test_what_a_display_shows_is_a_number(typed: str, amount: float) -> None:
    """Noughts in front, and a reading below nought after nulling, are kept as shown."""
    row, = rows("readings.csv", {"value": typed})
    assert (row.value, row.said) == (amount, f"{typed} Ω")


@pytest.mark.parametrize(("typed", "says"), [("-61", "from -60 to 150"), ("150.1", "from -60 to 150")])
def test_a_temperature_out_of_range_is_refused(typed: str, says: str) -> None:
    """The declared range holds in rows as it does in tables."""
    fault = only(faults_of("readings.csv", {"temp_c": typed}))
    assert fault.field == "temp_c"
    assert says in fault.allowed


SCALED = [("ze_ohm", "0.62", "kΩ", 620.0, "Ω"), ("ze_ohm", "0.00019", "MΩ", 190.0, "Ω"),
          ("insulation_mohm", "620", "kΩ", 0.62, "MΩ"),
          ("insulation_mohm", "500000", "Ω", 0.5, "MΩ"), ("residual_ma", "0.03", "A", 30.0, "mA"),
          ("prospective_ka", "1190", "A", 1.19, "kA"), ("ze_ohm", "0.34", "\u2126", 0.34, "Ω"),
          ("hot_factor", "1.2", "", 1.2, "")]


@pytest.mark.parametrize(("quantity", "typed", "unit", "amount", "own"), SCALED)
def test_a_value_is_brought_to_the_unit_of_its_quantity(quantity: str, typed: str, unit: str, amount: float, own: str) -> None:
    """k, M and m are moved as decimals, so 0.62 kΩ is 620 Ω exactly; what was typed stays beside it."""
    row, = rows("readings.csv", {"quantity": quantity, "value": typed, "unit": unit})
    assert (row.value, row.unit) == (amount, own)
    assert row.said == f"{typed} {unit.replace(chr(0x2126), 'Ω')}".rstrip()


@pytest.mark.parametrize(("quantity", "unit", "says"), [
    ("ze_ohm", "mΩ", "Ω or kΩ or MΩ"), ("ze_ohm", "", "Ω or kΩ or MΩ"), ("ze_ohm", "ohm", "Ω or kΩ or MΩ"),
    ("ze_ohm", "A", "Ω or kΩ or MΩ"), ("hot_factor", "Ω", "hot_factor has no unit"), ("size_mm2", "mm", "is in mm²")])
def test_a_unit_of_something_else_is_refused(quantity: str, unit: str, says: str) -> None:
    """Nothing is converted across kinds of quantity, and mΩ, a slip of MΩ, is nothing we read."""
    fault = only(faults_of("readings.csv", {"quantity": quantity, "unit": unit}))
    assert fault.field == "unit"
    assert says in fault.allowed
    assert fault.says == (f'read "{unit}"' if unit else "unit is missing")


AMOUNTS = st.decimals("-99999999", "99999999", places=5).filter(lambda amount: amount != 0)


@given(AMOUNTS, st.sampled_from(sorted(quantity_units())), st.data())
@settings(max_examples=200, deadline=None)
def test_scaling_agrees_with_decimal_arithmetic(amount: Decimal, quantity: str, data: st.DataObject) -> None:
    """Second method: the exact decimal, moved and rounded once."""
    own = quantity_units()[quantity]
    unit = data.draw(st.sampled_from(sorted(units_for(own))))
    row, = rows("readings.csv", {"quantity": quantity, "value": f"{amount:f}", "unit": unit})
    assert row.value == float(amount.scaleb(units_for(own)[unit]))


@pytest.mark.parametrize(("over", "unit", "kept"), [
    ("yes", "MΩ", "yes"), (">200", "MΩ", ">200"), (">999", "kΩ", ">0.999"), (">99.9", "MΩ", ">99.9"), (">200000", "kΩ", ">200")])
def test_over_range_stands_in_place_of_a_value(over: str, unit: str, kept: str) -> None:
    """An over-range reading has no value; the end of the range is brought to the quantity's unit."""
    row, = rows("readings.csv", {"quantity": "insulation_mohm", "value": "", "over": over, "unit": unit})
    assert (row.value, row.over, row.said) == (None, kept, f"{over} {unit}")


@pytest.mark.parametrize("over", ["no", "Yes", "200", "<200", "> 200", ">2e3", ">-1", ">", ">200MΩ", ">1,5"])
def test_over_range_is_yes_or_more_than(over: str) -> None:
    """Any other form is refused and never read as over range."""
    fault = only(faults_of("readings.csv", {"quantity": "insulation_mohm", "value": "", "over": over, "unit": "MΩ"}))
    assert (fault.field, fault.line) == ("over", 2)


def test_a_reading_has_a_value_or_is_over_range() -> None:
    """Neither and both are faults: a gap is never a reading."""
    assert only(faults_of("readings.csv", {"value": ""})).says == "neither a value nor over range"
    assert only(faults_of("readings.csv", {"over": "yes"})).says == "both a value and over range"


@pytest.mark.parametrize(("file", "cells", "field", "near"), [
    ("readings.csv", {"stage": "fund"}, "stage", "found"), ("readings.csv", {"stage": "Found"}, "stage", "found"),
    ("readings.csv", {"quantity": "ze_omh"}, "quantity", "ze_ohm"), ("readings.csv", {"nulled": "yess"}, "nulled", "yes"),
    ("readings.csv", {"nulled": "true"}, "nulled", ""), ("readings.csv", {"id": "r 1"}, "id", ""),
    ("readings.csv", {"at": "2026-02-30"}, "at", ""), ("readings.csv", {"at": "9.11.2026"}, "at", ""),
    ("readings.csv", {"at": "20261109"}, "at", ""), ("readings.csv", {"at": "2026-11-09T25:00"}, "at", ""),
    ("readings.csv", {"by": " surveyor"}, "by", "surveyor"), ("readings.csv", {"value": "0.34 "}, "value", "0.34"),
    ("observations.csv", {"code": "c2"}, "code", "C2"), ("events.csv", {"kind": "torq"}, "kind", "torque"),
    ("photos.csv", {"sha256": "0A" * 32}, "sha256", ""), ("photos.csv", {"sha256": "0a" * 31}, "sha256", ""),
    ("photos.csv", {"boxes": "0 0 1001 5"}, "boxes", ""), ("photos.csv", {"boxes": "0 0 5"}, "boxes", "")])
def test_a_cell_that_cannot_be_is_refused(file: str, cells: dict[str, str], field: str, near: str) -> None:
    """Each names its line, its column, what would be right and the nearest word."""
    fault = only(tuple(f for f in faults_of(file, cells) if f.field == field))
    assert (fault.file, fault.line, fault.nearest) == (file, 2, near)
    assert fault.allowed


@pytest.mark.parametrize("file", ROW_FILES)
def test_each_needed_cell_is_missed(file: str) -> None:
    """Leave out each needed cell in turn: told at its line, with an example."""
    optional = {"value", "unit", "kit", "consent", "boxes"}
    for key in GOOD[file].keys() - optional:
        fault = only(faults_of(file, {key: ""}))
        assert (fault.line, fault.field, fault.says) == (2, key, f"{key} is missing")
        assert "like" in fault.allowed


def test_a_value_and_its_unit_stand_together_in_events() -> None:
    """One without the other is a fault at the empty one."""
    assert only(faults_of("events.csv", {"unit": ""})).field == "unit"
    assert only(faults_of("events.csv", {"value": ""})).field == "value"


# ---- striking -------------------------------------------------------------------------------------------------------
def test_a_struck_row_stays_and_does_not_stand() -> None:
    """A chain of corrections leaves the last one; every row is still there."""
    found = rows("readings.csv", {}, {"id": "r2", "value": "0.43", "strikes": "r1"},
                 {"id": "r3", "value": "0.35", "strikes": "r2"}, {"id": "r4", "quantity": "loop_ln_ohm"})
    assert [row.id for row in found] == ["r1", "r2", "r3", "r4"]
    assert [row.id for row in standing(found)] == ["r3", "r4"]


def test_a_row_may_only_take_another_back() -> None:
    """With nothing but id, by, at and strikes it takes back and does not stand itself; by and at are still needed."""
    empty = dict.fromkeys(GOOD["readings.csv"], "") | {"id": "r2", "by": "surveyor", "at": "2026-11-10", "strikes": "r1"}
    found = rows("readings.csv", {}, empty)
    assert len(found) == 2
    assert standing(found) == ()
    assert only(faults_of("readings.csv", {}, empty | {"by": ""})).field == "by"


@pytest.mark.parametrize("file", ROW_FILES)
def test_each_kind_of_row_can_be_taken_back(file: str) -> None:
    """So it is for readings, observations, events and photos alike."""
    back = dict.fromkeys(GOOD[file], "") | {"id": "x2", "by": "surveyor", "at": "2026-11-10", "strikes": GOOD[file]["id"]}
    assert standing(rows(file, {}, back)) == ()


@pytest.mark.parametrize(("strikes", "near"), [("r2", "r1"), ("r3", "r1"), ("r9", "r1"), ("q", "")])
def test_only_an_earlier_row_is_struck(strikes: str, near: str) -> None:
    """Itself, a later one and one that is not there are refused."""
    fault = only(faults_of("readings.csv", {}, {"id": "r2", "strikes": strikes}, {"id": "r3"}))
    assert (fault.line, fault.field, fault.nearest) == (3, "strikes", near)


def test_an_id_is_used_once() -> None:
    """The second is told, with the line of the first."""
    fault = only(faults_of("readings.csv", {}, {"id": "r2"}, {}))
    assert (fault.line, fault.field, fault.says) == (4, "id", 'line 2 is called "r1" already')


def test_what_strikes_a_broken_row_is_not_blamed() -> None:
    """A row with a fault is known by its id, even with too many cells."""
    said = text("readings.csv", {"value": "x"}, {"id": "r2"}, {"id": "r3", "strikes": "r1"}, {"id": "r4", "strikes": "r2"})
    broken = said.replace("r2,found,ze_ohm,supplies.main,,,0.34", "r2,found,ze_ohm,supplies.main,,,0,34")
    found, faults = read_rows("readings.csv", broken, Reading)
    assert [(f.line, f.field) for f in faults] == [(2, "value"), (3, "")]
    assert "17 cells where the first line names 16; a number has a point, not a comma" in str(faults[1])
    assert [row.id for row in found] == ["r3", "r4"]


# ---- the file -------------------------------------------------------------------------------------------------------
def test_columns_may_stand_in_any_order() -> None:
    """They are told apart by name."""
    backwards = header(Reading)[::-1]
    assert rows("readings.csv", {}, columns=backwards) == rows("readings.csv", {})


@pytest.mark.parametrize(("names", "told"), [
    (("quantity", "quantty"), [("quantty", "quantity"), ("quantity", "quantty")]),
    (("stage", "colour"), [("colour", ""), ("stage", "")]), (("strikes", "strike"), [("strike", "strikes")])])
def test_a_misspelt_column_is_told_with_the_nearest(names: tuple[str, str], told: list[tuple[str, str]]) -> None:
    """Both the strange one and the missing one, at the first line; no row is blamed for it."""
    columns = tuple(names[1] if key == names[0] else key for key in header(Reading))
    found, faults = read_rows("readings.csv", text("readings.csv", {}, columns=columns), Reading)
    assert [(f.line, f.field, f.nearest) for f in faults] == [(1, *pair) for pair in told]
    assert found == ()


def test_columns_that_no_row_needs_may_be_left_out() -> None:
    """What stands in none of them is empty; a file without values says so at each row."""
    row, = rows("readings.csv", {}, columns=tuple(GOOD["readings.csv"]))
    assert row == rows("readings.csv", {})[0]
    fault = only(faults_of("readings.csv", {}, columns=tuple(k for k in GOOD["readings.csv"] if k != "value")))
    assert (fault.line, fault.field, fault.says) == (2, "value", "neither a value nor over range")


def test_a_column_too_many_and_one_twice() -> None:
    """An extra column and a repeated one are faults of the first line."""
    fault = only(faults_of("readings.csv", {}, columns=(*header(Reading), "colour")))
    assert (fault.line, fault.field, fault.says) == (1, "colour", 'there is no column "colour"')
    fault = only(faults_of("readings.csv", {}, columns=(*header(Reading), "value")))
    assert (fault.line, fault.field, fault.says) == (1, "value", "column value stands 2 times")


def test_every_fault_is_told_in_one_run() -> None:
    """Faults of many rows and of several cells of one row come together, in the order of lines."""
    faults = faults_of("readings.csv", {"stage": "x", "value": "y", "nulled": "z"}, {"id": "r2", "at": "q"}, {"id": "r2"})
    assert [(f.line, f.field) for f in faults] == [(2, "stage"), (2, "value"), (2, "nulled"), (3, "at"), (4, "id")]


def test_one_broken_line_is_one_fault() -> None:
    """A quote that does not end does not swallow the next row; a hidden character is named; tabs are hidden too."""
    lines = text("readings.csv", {"setup": "x"}, {"id": "r2", "setup": "x"}, {"id": "r3"}, {"id": "r4", "setup": "x"}).split("\n")
    lines[1] = lines[1].replace("x", '"x')
    lines[2] = lines[2].replace("x", "a\u202eb")
    lines[4] = lines[4].replace("x", "a\tb")
    found, faults = read_rows("readings.csv", "\n".join(lines), Reading)
    assert [row.id for row in found] == ["r3"]
    assert [(f.line, f.says) for f in faults] == [
        (2, "a quoted text that does not end as it should"), (3, "a character that cannot be printed, U+202E"),
        (5, "a character that cannot be printed, U+0009")]
    assert all(character.isprintable() for fault in faults for character in str(fault))


def test_line_ends_marks_and_empty_lines_of_spreadsheets() -> None:
    """Carriage returns, the mark in front and empty lines change nothing; lines are counted as an editor counts them."""
    said = text("readings.csv", {}, {"id": "r2"})
    plain, _ = read_rows("readings.csv", said, Reading)
    assert read_rows("readings.csv", "\ufeff" + said.replace("\n", "\r\n"), Reading) == (plain, ())
    found, faults = read_rows("readings.csv", said.replace("\nr2", "\n\n\nr2") + "\n", Reading)
    assert (faults, [row.line for row in found]) == ((), [2, 5])


@pytest.mark.parametrize("said", ["", "\n\n", "\ufeff"])
def test_an_empty_file_is_told(said: str) -> None:
    """A file without its first line may have lost its rows."""
    assert only(read_rows("events.csv", said, Event)[1]).says == "an empty file"


def test_a_file_of_columns_alone_has_no_rows() -> None:
    """What `new` writes: nothing read yet."""
    assert rows("readings.csv") == ()


def test_budgets_are_kept_before_anything_is_read() -> None:
    """A megabyte, 20,000 rows, 4 kB a line: just within is read, one more is told."""
    top = text("observations.csv")
    line = "o{},runs.x,,,,cracked,surveyor,2026-11-09,,,"
    most = top + "\n".join(line.format(n) for n in range(MOST_ROWS)) + "\n"
    assert len(most.encode()) < 1 << 20
    assert len(read_rows("observations.csv", most, Observation)[0]) == MOST_ROWS
    fault = only(read_rows("observations.csv", most + line.format("x") + "\n", Observation)[1])
    assert str(fault) == "observations.csv: 20001 rows; at most 20000 rows"
    fault = only(read_rows("observations.csv", top + "é" * (1 << 19), Observation)[1])
    assert fault.says.endswith("bytes")
    rest = 4096 - len(line.format(1)) + len("cracked")
    long = top + line.format(1).replace("cracked", "x" * rest)
    assert len(read_rows("observations.csv", long, Observation)[0]) == 1
    assert only(read_rows("observations.csv", long.replace("xx", "xé", 1), Observation)[1]).line == 2


WORDS = st.text(st.characters(min_codepoint=32, max_codepoint=0x2fff), max_size=30).filter(
    lambda s: s.isprintable() and s == s.strip())


@given(st.lists(st.tuples(WORDS, WORDS), max_size=8))
@settings(max_examples=100, deadline=None)
def test_what_a_csv_writer_writes_is_read_back(said: list[tuple[str, str]]) -> None:
    """Commas and quotes in texts survive; the standard library's writer is the second method."""
    found = rows("observations.csv", *({"id": f"o{n}", "says": a or "x", "place": b} for n, (a, b) in enumerate(said)))
    assert [(row.says, row.place) for row in found] == [(a or "x", b) for a, b in said]


@given(st.text(max_size=300))
@settings(max_examples=200, deadline=None)
def test_no_text_breaks_the_reader(said: str) -> None:
    """Whatever stands under the columns is rows or faults with a line, never a crash."""
    found, faults = read_rows("readings.csv", text("readings.csv") + said, Reading)
    assert all(fault.line is None or fault.line >= 2 for fault in faults)
    assert len({row.id for row in found}) == len(found)
