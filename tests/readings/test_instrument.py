"""What an instrument may show: each figure against the line it was gathered from, and what follows from it at the display."""
from __future__ import annotations

import re

import pytest

from spareway.job.rows import Reading
from spareway.readings.instrument import accuracy, function_of, range_end
from spareway.tables import Books
from spareway.tables.table import table
from tests.tables.reference import TRUST, lines

BOOKS = Books("2018+A4")
STATED = {"continuity": "resistance", "loop impedance, high current": "high current test", "loop impedance, no-trip": "no-trip test",
          "RCD, time": "trip time"}
SAID = re.compile(r"([\d.]+) % \+ ([\d.]+) (?:digits of ([\d.]+) ohm|ms)")


def row(value: float | None, over: str = "") -> Reading:
    return Reading(id="x", stage="found", quantity="r1r2_ohm", a="circuits.x", value=value, over=over, by="a", at="2026-11-01")


@pytest.mark.parametrize(("function", "quantity"), STATED.items())
def test_what_makers_state_stands_as_it_was_gathered(function: str, quantity: str) -> None:
    """Share, digits, last digit and trust are those of the line in instrument_accuracy.csv."""
    line = next(each for each in lines("instrument_accuracy") if each["kind"] == "intrinsic typical" and each["quantity"] == quantity)
    found = SAID.match(line["unit"])
    assert found is not None
    ours = next(r for r in table("instrument_digits").rows if r.keys == (function,))
    assert (ours.value, ours.also["digits_n"]) == (float(found[1]), float(found[2]))
    assert ours.also["digit"] == (float(found[3]) if found[3] else 1)
    assert ours.trust == TRUST[line["confidence"]]


def test_a_ramp_is_read_to_five_per_cent() -> None:
    """instrument_accuracy.csv, ramp current, two makers."""
    line = next(each for each in lines("instrument_accuracy") if each["quantity"] == "ramp current")
    of = accuracy("ramp_ma", "", BOOKS)
    assert of is not None
    assert of.percent == float(line["high"])


@pytest.mark.parametrize("part", ["insulation", "continuity"])
def test_four_per_cent_and_four_digits_give_a_maker_s_limiting_readings(part: str) -> None:
    """One maker's table of least and greatest readings: 0.5 MΩ wants 0.56, 2 Ω may read 1.88. For insulation those are our digits."""
    of = accuracy("insulation_mohm", "", BOOKS)
    assert of is not None
    assert (of.percent, of.digits_n) == (4, 4)
    for line in lines("instrument_accuracy"):
        if line["function"] == part and line["kind"] == "reading value":
            limit, shown = float(line["low"]), float(line["high"])
            sign = 1 if part == "insulation" else -1
            assert limit + sign * of.error(limit) == pytest.approx(shown, abs=0.005)


@pytest.mark.parametrize(("quantity", "setup", "value", "error", "worst"), [
    ("r1r2_ohm", "", 0.20, 0.054, 0.06),             # the same line: at 0.20 Ω 27 %; BS EN 61557-4: 30 % at worst
    ("zs_ohm", "", 0.32, 0.066, 0.096),              # at 0.32 Ω 20.6 %
    ("zs_ohm", "no-trip", 0.85, 0.235, 0.255),       # at 0.85 Ω 27.6 %
    ("trip_ms", "", 300, 4, 30),                     # 300 ms: 4 ms; part 6: 10 %
    ("r1r2_ohm", "", 0.02, 0.0504, 0.0504),          # below the marked range the digits govern
])
def test_the_error_at_one_value(quantity: str, setup: str, value: float, error: float, worst: float) -> None:
    """The check column of each line."""
    of = accuracy(quantity, setup, BOOKS)
    assert of is not None
    assert of.error(value) == pytest.approx(error, abs=1e-9)
    assert of.worst(value) == pytest.approx(worst, abs=1e-9)


def test_the_last_digit_moves_with_the_range() -> None:
    of = accuracy("r1r2_ohm", "", BOOKS)
    assert of is not None
    assert [of.digit_at(v) for v in (0.0, 19.99, 20.0, 250.0)] == pytest.approx([0.01, 0.01, 0.1, 1.0])


def test_what_no_such_instrument_reads() -> None:
    assert accuracy("length_m", "", BOOKS) is None
    assert function_of("zs_ohm", "No-Trip") == "loop impedance, no-trip"
    assert function_of("ze_ohm") == "loop impedance, high current"


def test_over_range_is_an_outcome_with_an_end() -> None:
    """The end as written; the least it can be where only the excess was written; none for a number and for a blank."""
    of = accuracy("r1r2_ohm", "", BOOKS)
    assert of is not None
    assert range_end(row(None, ">99.9"), of) == 99.9
    assert range_end(row(None, "yes"), of) == 2              # BS EN 61557-4: the range within the limit reaches 2 Ω, from memory
    assert range_end(row(0.4), of) is None
    assert range_end(row(None), of) is None
