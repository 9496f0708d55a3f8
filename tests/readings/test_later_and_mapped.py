"""Readings years apart at 20 °C, and readings out of a plain CSV. All rows invented; factors and limits named."""
from __future__ import annotations

import math
import re

import pytest

from spareway.doc import InputError
from spareway.job.rows import Reading, read_rows
from spareway.readings.later import Change, changes, trends
from spareway.readings.mapped import mapped
from spareway.tables import Books

BOOKS = Books("2018+A4")


def row(quantity: str, value: float | None, year: int, **more: object) -> Reading:
    given = {"id": f"{quantity}-{year}", "stage": "found", "a": "circuits.lamps", "by": "a", "at": f"{year}-05-01", "setup": "s"} | more
    return Reading(quantity=quantity, value=value, **given)                    # type: ignore[arg-type]


def change(then: Reading, now: Reading) -> Change:
    (found,) = changes([then], [now], BOOKS)
    return found


# ---- years apart ----------------------------------------------------------------------------------------------------
def test_a_warm_day_and_a_cold_one_are_no_change() -> None:
    """Table I2 of the site guide: 0.94 at 5 °C, 1.04 at 30 °C. 0.94 Ω and 1.04 Ω are both 1.00 Ω at 20 °C."""
    found = change(row("r1r2_ohm", 0.94, 2021, temp_c=5.0), row("r1r2_ohm", 1.04, 2026, temp_c=30.0))
    assert found.then.value.value == pytest.approx(1.0, abs=1e-12)
    assert found.now.value.value == pytest.approx(1.0, abs=1e-12)
    assert (found.fell, found.worse) == ("as before", False)
    assert [step.line for step in found.now.value.working()]


# beyond both instruments (2 % + 5 digits each, root of squares) AND a tenth
@pytest.mark.parametrize(("then", "now", "fell"), [
    (1.00, 1.09, "as before"),                      # a tenth is not reached
    (0.40, 0.46, "as before"),                      # 15 %, and the instruments may differ by 0.08 Ω
    (1.00, 1.25, "risen"), (1.25, 1.00, "fallen"), (10.0, 10.9, "as before")])
def test_beyond_the_instruments_and_a_tenth(then: float, now: float, fell: str) -> None:
    found = change(row("r1r2_ohm", then, 2021, temp_c=20.0), row("r1r2_ohm", now, 2026, temp_c=20.0))
    assert found.fell == fell
    assert found.worse == (fell == "risen")
    assert found.share == pytest.approx(now / then - 1)
    assert ("% more" in found.says) == (fell == "risen")


def test_without_a_temperature_more_has_to_change() -> None:
    """Between 5 and 30 °C lies a tenth: 1.00 to 1.115 Ω is a change at temperatures written down, and may be none without."""
    for temp_c, fell in ((20.0, "risen"), (None, "as before")):
        found = change(row("r1r2_ohm", 1.0, 2021, temp_c=temp_c), row("r1r2_ohm", 1.115, 2026, temp_c=temp_c))
        assert found.fell == fell


@pytest.mark.parametrize(("then", "now", "fell", "worse"), [
    ((180.0, ""), (45.0, ""), "fallen", True), ((None, ">200"), (45.0, ""), "fallen", True), ((45.0, ""), (None, ">200"), "risen", False),
    ((None, ">200"), (None, ">200"), "as before", False), ((240.0, ""), (None, ">200"), "cannot tell", False),
    ((None, "yes"), (45.0, ""), "cannot tell", False), ((45.0, ""), (44.0, ""), "as before", False)])
def test_insulation(then: tuple[float | None, str], now: tuple[float | None, str], fell: str, worse: bool) -> None:
    """Here a fall is the worse; over range tells only as much as its end does."""
    found = change(row("insulation_mohm", then[0], 2021, over=then[1]), row("insulation_mohm", now[0], 2026, over=now[1]))
    assert (found.fell, found.worse) == (fell, worse)
    assert ("cannot be told" in found.says) == (fell == "cannot tell")


def test_a_loop_is_not_brought_to_twenty_degrees() -> None:
    """How much of it is cable no reading says: it stays as it was read, and the cable's warmth is in its doubt."""
    found = change(row("zs_ohm", 1.0, 2021, temp_c=20.0), row("zs_ohm", 1.0, 2026))
    assert found.now.value.value == 1.0
    assert found.now.most > found.then.most
    assert change(row("zs_ohm", 0.6, 2021, temp_c=20.0), row("zs_ohm", 0.9, 2026, temp_c=20.0)).worse


def test_what_has_no_partner_is_left_out() -> None:
    """Another place, another question, a struck row, a blank, a quantity that is not of an instrument."""
    then = [row("r1r2_ohm", 1.0, 2021), row("insulation_mohm", 50.0, 2021, setup="line to earth"), row("trip_ms", None, 2021),
            row("highest_minute_a", 44.0, 2021)]
    now = [row("r1r2_ohm", 1.0, 2026, a="circuits.oven"), row("insulation_mohm", 50.0, 2026, setup="line to neutral"),
           row("trip_ms", None, 2026), row("highest_minute_a", 44.0, 2026)]
    assert changes(then, now, BOOKS) == ()
    again = row("r1r2_ohm", 2.0, 2026, strikes="r1r2_ohm-2021")
    assert [c.now.row.value for c in changes([then[0]], [then[0], again], BOOKS)] == [2.0]


def test_a_trend_is_in_the_order_of_its_days() -> None:
    sets = [[row("r1r2_ohm", 1.2, 2026, temp_c=20.0)], [row("r1r2_ohm", 1.0, 2016, temp_c=20.0)], [row("r1r2_ohm", None, 2021, over=">99.9")],
            [row("zs_ohm", 1.0, 2021)]]
    (points,) = trends(sets, BOOKS).values()
    assert [p.at[:4] for p in points] == ["2016", "2021", "2026"]
    assert (points[1].least, points[1].most) == (99.9, math.inf)
    assert points[0].least < 1.0 < points[0].most


# ---- a plain CSV ----------------------------------------------------------------------------------------------------
MAPPING = """
separator = ";"
decimal   = ","
over      = ["OL"]
blank     = ["", "-"]
[same]
stage = "found"
by    = "tester"
[columns]
at     = "Taken"
temp_c = "Conductor"
[place]
column = "Circuit"
names  = { "Sockets down" = "circuits.plugs" }
[readings.series]
column   = "R1+R2"
quantity = "r1r2_ohm"
unit     = "Ω"
[readings.last]
column   = "Zs at p4"
quantity = "zs_ohm"
unit     = "Ω"
behind   = "points.p4"
setup    = "no-trip"
"""
HEAD = "Circuit;R1+R2;Zs at p4;Taken;Conductor;Remark"
GOOD = f"{HEAD}\nSockets down;0,41;0,72;2026-11-09T10:00;14;\ncircuits.lamps;OL;>20;2026-11-09T10:05;14;\ncircuits.oven;-;;2026-11-09;;none\n"


def test_each_cell_that_holds_a_reading_becomes_a_row() -> None:
    """By name or by address, a comma for a point, over range with and without its end; what is blank becomes nothing."""
    found = mapped("", MAPPING, "a.csv", GOOD, "m")
    assert found.faults == ()
    assert [(r.id, r.quantity, r.a, r.value, r.over, r.setup, r.temp_c) for r in found.rows] == [
        ("m-1", "r1r2_ohm", "circuits.plugs", 0.41, "", "", 14), ("m-2", "zs_ohm", "circuits.plugs.points.p4", 0.72, "", "no-trip", 14),
        ("m-3", "r1r2_ohm", "circuits.lamps", None, "yes", "", 14), ("m-4", "zs_ohm", "circuits.lamps.points.p4", None, ">20", "no-trip", 14)]
    assert found.blank_n == 2
    rows, faults = read_rows("readings.csv", found.text, Reading)
    assert faults == ()
    assert [r.id for r in rows] == [r.id for r in found.rows]


def test_rows_that_stood_stand_and_no_id_is_given_twice() -> None:
    first = mapped("", MAPPING, "a.csv", GOOD, "m").text
    again = mapped(first, MAPPING, "b.csv", GOOD, "m")
    assert again.text.startswith(first.rstrip("\n"))
    assert [r.id for r in again.rows] == ["m-5", "m-6", "m-7", "m-8"]


@pytest.mark.parametrize(("line", "column", "read"), [
    ("Attic;0,41;;2026-11-09;;", "Circuit", "Attic"), ("Sockets down;0.4.1;;2026-11-09;;", "R1+R2", "0.4.1"),
    ("Sockets down;;1,1,1;2026-11-09;;", "Zs at p4", "1.1.1"), ("Sockets down;0,41;;9.11.26;;", "Taken", "9.11.26"),
    ("Sockets down;0,41;;2026-11-09;warm;", "Conductor", "warm"), ("Sockets down;0,41", "", "2"), ('Sockets down;"0,41;;2026-11-09;;', "", "0")])
def test_bad_lines_are_told_one_by_one_and_the_others_are_taken(line: str, column: str, read: str) -> None:
    """File, line, the file's own column and what was read; the lines above and below come in whole, the bad one not in part."""
    text = f"{GOOD}{line}\nSockets down;0,43;;2026-11-10;;\n"
    found = mapped("", MAPPING, "a.csv", text, "m")
    assert [(f.file, f.line, f.field, f.read) for f in found.faults] == [("a.csv", 5, column, read)]
    assert [r.id for r in found.rows] == ["m-1", "m-2", "m-3", "m-4", "m-5"]
    assert found.rows[-1].value == 0.43


def test_two_bad_cells_of_one_line_are_both_told() -> None:
    found = mapped("", MAPPING, "a.csv", f"{HEAD}\nSockets down;x;y;2026-11-09;;\n", "m")
    assert [f.field for f in found.faults] == ["R1+R2", "Zs at p4"]


@pytest.mark.parametrize(("was", "now", "says"), [
    ('separator = ";"', 'separator = ";;"', "not one character"), ('decimal   = ","', 'decimal = ";"', "one character parts both"),
    ('over      = ["OL"]', 'over = "OL"', "not a list of texts"), ("[same]", "[sam]", "there is no sam"),
    ('by    = "tester"', "by = 3", "not a text"), ('at     = "Taken"', 'ad = "Taken"', "there is no ad here"), ('column = "Circuit"', "", "place.column is missing"),
    ('names  = { "Sockets down" = "circuits.plugs" }', 'names = "x"', "not a table of addresses"), ('"zs_ohm"', '"zs_om"', 'no quantity "zs_om"'),
    ('unit     = "Ω"\nbehind', "behind", "readings.last.unit is missing"), ("[readings.series]", "[reading.series]", "there is no reading")])
def test_a_mapping_that_does_not_hold_together(was: str, now: str, says: str) -> None:
    assert was in MAPPING
    with pytest.raises(InputError) as told:
        mapped("", MAPPING.replace(was, now, 1), "a.csv", GOOD, "m")
    assert says in str(told.value)


def test_a_mapping_without_readings_or_place_takes_nothing() -> None:
    for text, says in (("[place]\ncolumn = \"Circuit\"\n", "no column of readings"), ("[readings.a]\ncolumn=\"x\"\n", "place is missing")):
        with pytest.raises(InputError, match=says):
            mapped("", text, "a.csv", GOOD, "m")


@pytest.mark.parametrize(("text", "says"), [("", "an empty file"), ("Circuit;R1\n", 'there is no column "R1+R2"'),
                                            (GOOD.replace("Remark", "Taken", 1), '"Taken" stands 2 times'), ("x;" * 600_000, "at most")])
def test_a_file_that_is_none_of_its_kind_is_refused_whole(text: str, says: str) -> None:
    with pytest.raises(InputError, match=re.escape(says)):
        mapped("", MAPPING, "a.csv", text, "m")
