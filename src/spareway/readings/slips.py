"""Slips of whoever wrote a reading down: a point moved, a unit too large, two columns changed over. Asked, never corrected."""
from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import fsum, inf
from typing import TYPE_CHECKING

from spareway.fact import glossary, show
from spareway.job.rows import Reading
from spareway.readings.expected import FAR, Expected, Judged, judged
from spareway.readings.instrument import accuracy
from spareway.readings.voltages import signs

if TYPE_CHECKING:
    from spareway.design.circuit import CircuitDesign
    from spareway.tables import Books

__all__ = ["Slip", "slip_of", "slips"]

POINT, UNIT, COLUMNS = "point moved", "unit", "columns changed over"
MOVED = (10.0, 0.1, 100.0, 0.01, 1000.0, 0.001)                 # the likelier first
THOUSANDS = (1000.0, 0.001)
HELD_TO_A_LIMIT = ("insulation_mohm", "trip_ms", "ramp_ma")     # a bad one may well be true: no point is moved there
COLUMN_PAIRS = (("ring_r1_ohm", "ring_r2_ohm", "ring_rn_ohm"), ("ring_rn_ohm", "ring_r2_ohm", "ring_r1_ohm"))
ENDS = ("ring_r1_ohm", "ring_rn_ohm", "ring_r2_ohm")
LEAST_DIGITS = 2.0                                              # columns that differ by less than this cannot be told apart
NEAR = 0.5                                                      # share of the difference within which the other way round fits


@dataclass(frozen=True, slots=True)
class Slip:
    """A question to whoever took it: the row, what it might be instead (in the quantity's own unit), and the question in words.

    other: the row with which it may be changed over, and then `might_be` is what stands there."""
    row: Reading
    kind: str
    might_be: float
    says: str
    other: Reading | None = None


def slip_of(row: Reading, expected: Expected, fell: str) -> Slip | None:
    """A point moved or a unit mistaken, where the reading fell far off and so moved it would not. None where nothing is asked."""
    if row.value is None or not row.value:
        return None
    if row.quantity in HELD_TO_A_LIMIT:
        return _unit_of_insulation(row, expected)
    if fell not in FAR or expected.most == inf:
        return None
    by = next((by for by in MOVED if expected.least <= row.value * by <= expected.most), 0.0)
    return _asked(row, UNIT if by in THOUSANDS else POINT, row.value * by) if by else None


def _unit_of_insulation(row: Reading, expected: Expected) -> Slip | None:
    """Written in Ω or kΩ and below the limit, where the same figure in MΩ would not be."""
    typed, _, unit = row.said.partition(" ")
    if row.quantity != "insulation_mohm" or unit not in ("Ω", "kΩ") or row.value is None or row.value >= expected.least:
        return None
    return _asked(row, UNIT, float(typed)) if float(typed) >= expected.least else None


def _asked(row: Reading, kind: str, might_be: float) -> Slip:
    unit = glossary(row.quantity).unit
    return Slip(row, kind, might_be, f"{row.a}: {row.said} was written. Might it be {_said(might_be)} {unit}? Look at the "
                "display, or read it again: it stays as it was written until somebody does")


def _said(value: float) -> str:
    text = show(value, 6)
    return text.rstrip("0").rstrip(".") if "." in text else text


def slips(circuit: CircuitDesign, rows: Sequence[Judged] | None = None) -> tuple[Slip, ...]:
    """Every question about the standing rows of a circuit, or about these of them."""
    rows = judged(circuit) if rows is None else rows
    bad = {row.id for point in signs(circuit.design, circuit.at) for row in point.rows}    # true until somebody shows otherwise
    rows = [each for each in rows if each.row.id not in bad]
    single = [slip for each in rows if (slip := slip_of(each.row, each.expected, each.fell))]
    asked = {slip.row.id for slip in single}
    return (*single, *_columns([each for each in rows if each.row.id not in asked], circuit))


# ---- columns changed over -------------------------------------------------------------------------------------------
def _columns(rows: Sequence[Judged], circuit: CircuitDesign) -> Iterator[Slip]:
    by = {name: [each for each in rows if each.row.quantity == name and each.row.value is not None]
          for name in {each.row.quantity for each in rows}}
    for one, other, third in COLUMN_PAIRS:
        found = [by.get(name, [])[-1:] for name in (one, other, third)]
        if found[0] and found[1] and _ends_changed(found[0][0], found[1][0], found[2], circuit):
            yield _changed(found[0][0], found[1][0])
    if all(each.fell == "as expected" for each in rows if each.row.quantity in ENDS):
        yield from _crosswise(by, circuit.books)
    yield from _loops(by, circuit)


def _value(each: Judged) -> float:
    return each.row.value or 0.0


def _digit(each: Judged, books: Books) -> float:
    of = accuracy(each.row.quantity, each.row.setup, books)
    return of.digit_at(_value(each)) if of else inf


def _the_other_way(read: float, expected: float, digit: float) -> bool:
    """Whether a difference between two columns is about as large as expected, and the other way round."""
    return abs(expected) >= LEAST_DIGITS * digit and read * expected < 0 and abs(read + expected) < NEAR * abs(expected)


def _ends_changed(one: Judged, other: Judged, third: list[Judged], circuit: CircuitDesign) -> bool:
    """Two conductors of one ring, by the ratio that their sizes lead to and not by its length; line and neutral then agree."""
    a, b = circuit.r1_mohm_per_m.amount, circuit.r2_mohm_per_m.amount
    if not a or not b:
        return False
    read, whole = _value(other) - _value(one), _value(other) + _value(one)
    if not _the_other_way(read, whole * (b - a) / (b + a), _digit(one, circuit.books)):
        return False
    of = accuracy(one.row.quantity, one.row.setup, circuit.books)
    return not third or of is not None and abs(_value(other) - _value(third[0])) <= of.error(_value(third[0]))


def _crosswise(by: dict[str, list[Judged]], books: Books) -> Iterator[Slip]:
    """Line to neutral and line to earth of a ring: both whole columns, where its ends, if read, are as they should be."""
    neutral = {each.row.a.rpartition(".")[0]: each for each in by.get("ring_ln_ohm", ())}
    pairs = [(neutral[at], each) for each in by.get("ring_le_ohm", ()) if (at := each.row.a.rpartition(".")[0]) in neutral]
    pairs = [pair for pair in pairs if pair[0].expected.fact.known and pair[1].expected.fact.known]
    if len(pairs) < 2:
        return
    read = fsum(_value(e) - _value(n) for n, e in pairs) / len(pairs)
    wanted = fsum(e.expected.fact.value - n.expected.fact.value for n, e in pairs) / len(pairs)
    if _the_other_way(read, wanted, _digit(pairs[0][0], books)):
        yield _changed(*pairs[0], f", and so on at {len(pairs)} points")


def _loops(by: dict[str, list[Judged]], circuit: CircuitDesign) -> Iterator[Slip]:
    """R1+R2 and Zs at one place: the loop holds the other, and Ze beside it."""
    ze = circuit.ze_ohm.amount
    series = {each.row.a: each for each in by.get("r1r2_ohm", ())}
    for loop in by.get("zs_ohm", ()):
        one = series.get(loop.row.a)
        if one and ze and _the_other_way(_value(loop) - _value(one), ze, _digit(one, circuit.books)):
            yield _changed(one, loop)


def _changed(one: Judged, other: Judged, more: str = "") -> Slip:
    names = [glossary(each.row.quantity).symbol for each in (one, other)]
    return Slip(one.row, COLUMNS, _value(other), f"{one.row.a}: {names[0]} {_said(_value(one))} and {names[1]} "
                f"{_said(_value(other))}{more}. Might these stand in each other's place? They stay as they were written until "
                "somebody looks", other.row)
