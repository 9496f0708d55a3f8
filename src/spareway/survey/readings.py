"""Readings by thumb: what is to be measured next on a circuit, and the row that an entry becomes. No expected value is here.

The order of dead tests is that of BS 7671 Part 6: continuity of protective conductors, ring conductors, insulation, polarity.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from spareway.doc import Fault, InputError
from spareway.job.job import Job, read_job
from spareway.job.rows import Reading, standing
from spareway.job.types import Circuit
from spareway.survey.rows import added, observe

__all__ = ["Test", "dead_tests", "in_words", "last_row", "proposed", "reading_row", "row_taken", "standing_row"]

FILE = "readings.csv"
CORES = {"L": "line", "N": "neutral", "E": "protective conductor"}
LINKED = {
    "L-E": ("r1r2_ohm", "line and protective conductor linked at the board"),
    "L-N": ("r1rn_ohm", "line and neutral linked at the board"),
    "N-E": ("rnr2_ohm", "neutral and protective conductor linked at the board"),
}
FAR_END = "its far end"
FAR = {
    **LINKED,
    "lead E": ("r2_ohm", "nothing linked; protective conductor from the board"),
}
CROSSED = {
    "L-N": ("ring_ln_ohm", "line to neutral"),
    "L-E": ("ring_le_ohm", "line to earth"),
    "N-E": ("ring_ne_ohm", "neutral to earth"),
}
TYPED = re.compile(r"(?:>)?\d{1,6}(?:\.\d{1,4})?|OL", re.ASCII)
DIGITS = dict(zip("0123456789", ("nought", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"), strict=True))
UNITS = {"Ω": "ohms", "MΩ": "megohms", "A": "amperes", "ms": "milliseconds", "V": "volts", "kA": "kiloamperes"}


@dataclass(frozen=True, slots=True)
class Test:
    """One reading to take: the instruction first, then where it belongs. `kept` is what stands, as it was typed.

    any_setup: however a row says that it was asked, it is this reading."""

    id: str
    says: str
    quantity: str
    a: str
    b: str
    unit: str
    setup: str = ""
    loads: str = ""
    kept: str = ""
    any_setup: bool = False


def dead_tests(job: Job, name: str, stage: str | None = None) -> list[Test]:
    """The dead tests of a circuit, in order, at a stage, else at the furthest. Errors: KeyError for no such circuit."""
    inst = job.at(stage)
    kept = {(r.quantity, r.a, r.b, r.setup): r for r in standing(job.readings) if r.stage == inst.stage}
    out = []
    for number, asked in enumerate(_tests(name, inst.circuits[name])):
        quantity, a, b, setup, says, unit, loads = asked
        row = kept.get((quantity, a, b, setup))
        out.append(Test(f"{number}", says, quantity, a, b, unit, setup, loads, row.shown if row else ""))
    return out


Asked = tuple[str, str, str, str, str, str, str]


def _tests(name: str, circuit: Circuit) -> Iterator[Asked]:
    here = f"circuits.{name}"
    points = list(circuit.points)
    if circuit.shape == "ring":
        for quantity, core in (("ring_r1_ohm", "Line"), ("ring_rn_ohm", "Neutral"), ("ring_r2_ohm", "Protective conductor")):
            yield quantity, here, "", "end to end", f"{core}, leg A to leg B, at the board", "Ω", "out"
        for quantity, a, b, says in (("ring_ln_ohm", "L", "N", "line to neutral"), ("ring_le_ohm", "L", "E", "line to earth")):
            for point in points:
                at = f"{here}.points.{point}"
                yield (
                    quantity,
                    f"{at}.{a}",
                    f"{at}.{b}",
                    f"ends cross-connected; {says}",
                    f"Ends cross-connected: {says}, at {point.replace('-', ' ')}",
                    "Ω",
                    "out",
                )
    else:
        yield (
            "r1r2_ohm",
            here,
            "",
            "line and protective conductor linked at the board",
            "Line and protective conductor linked at the board: line to earth, at the furthest point",
            "Ω",
            "out",
        )
    for setup, says in (
        ("line to neutral", "Line to neutral"),
        ("line to earth", "Line to earth"),
        ("neutral to earth", "Neutral to earth"),
    ):
        yield "insulation_mohm", here, "", setup, f"Insulation, {says[:1].lower()}{says[1:]}, loads out, 500 V", "MΩ", "out"


# ---- a reading that was proposed --------------------------------------------------------------------------------------------
def proposed(name: str, probe: str, says: str, ring: bool = True) -> Test | None:
    """A reading as it is asked for, by its name among those of `readings.ring`, or of `readings.radial` where it is none.

    None where no row can hold it."""
    says = f"{says[:1].upper()}{says[1:]}"
    return _of_a_ring(name, probe, says) if ring else _of_a_radial(name, probe, says)


def _of_a_radial(name: str, probe: str, says: str) -> Test | None:
    what, _, point = probe.partition(" ")
    at = f"circuits.{name}.points"
    if point.endswith(FAR_END):                                 # no point is recorded: the circuit itself is its place
        quantity, other = FAR.get(what if what != "lead" else probe.removesuffix(f" {FAR_END}"), ("", ""))
        return Test(probe, says, quantity, f"circuits.{name}", "", "Ω", other, "out") if quantity else None
    if what == "lead":
        core, _, point = point.partition(" ")
        setup = f"nothing linked; {CORES[core]} from the board"
        return Test(probe, says, "leg_ohm", f"{at}.{point}.{core}", "", "Ω", setup, "out")
    if what in LINKED:
        quantity, setup = LINKED[what]
        return Test(probe, says, quantity, f"{at}.{point}", "", "Ω", setup, "out")
    return None


def _of_a_ring(name: str, probe: str, says: str) -> Test | None:
    what, _, point = probe.partition(" ")
    here, at = f"circuits.{name}", f"circuits.{name}.points.{point}"
    if point == "end to end":
        quantity = {"L": "ring_r1_ohm", "N": "ring_rn_ohm", "E": "ring_r2_ohm"}[what]
        return Test(probe, says, quantity, here, "", "Ω", "end to end", "out")
    if what == "leg":
        leg, core, point = point.split(" ")
        setup = f"ends open; {CORES[core]} from leg {leg} at the board"
        return Test(probe, says, "leg_ohm", f"{here}.points.{point}.{core}", "", "Ω", setup, "out")
    if what in CROSSED:
        quantity, setup = CROSSED[what]
        return Test(probe, says, quantity, f"{at}.{what[0]}", f"{at}.{what[2]}", "Ω", f"ends cross-connected; {setup}", "out")
    return None


# ---- an entry ---------------------------------------------------------------------------------------------------------------
def reading_row(
    files: Mapping[str, str],
    name: str,
    test: str,
    typed: str,
    by: str,
    at: str,
    prefix: str,
    instrument: str = "",
    temp_c: str = "",
    nulled: str = "",
) -> dict[str, str]:
    """The changed file. typed: "0.59", ">200", "OL", or "cannot: why" (which is a row of observations, and no reading).

    A reading taken again strikes the one that stood: both stay. Errors: InputError, and nothing is changed."""
    job = read_job(files)
    tests = {each.id: each for each in dead_tests(job, name)}
    if test not in tests:
        raise InputError([Fault("answer", None, test, test, "no such test of this circuit", "")])
    how = {"instrument": instrument, "nulled": nulled, "temp_c": temp_c}
    return row_taken(files, tests[test], job.furthest, typed, by, at, prefix, how)


def row_taken(
    files: Mapping[str, str], asked: Test, stage: str, typed: str, by: str, at: str, prefix: str, how: Mapping[str, str]
) -> dict[str, str]:
    """The same of any reading that was asked for, at a stage. how: instrument, nulled, temp_c, as the row keeps them.

    The same entry of the same minute changes nothing: a thumb that fell twice."""
    job = read_job(files)
    if typed.startswith("cannot: "):
        return observe(files, asked.a, f"not measured, {asked.says}: {typed.removeprefix('cannot: ')}", by, at, prefix)
    if not TYPED.fullmatch(typed):
        hint = (
            f"write {typed.replace(',', '.')}, with a point"
            if "," in typed
            else "digits with a point, > before them, OL, or cannot"
        )
        raise InputError([Fault("answer", None, asked.quantity, typed, f'read "{typed}"', hint)])
    before = last_row(standing(job.readings), asked, stage)
    if before and (before.shown.partition(" ")[0], before.by, before.at) == (typed, by, at):
        return {}
    row = _row(asked, typed) | {"stage": stage, "strikes": before.id if before else ""}
    return added(files, FILE, prefix, row | {**how, "by": by, "at": at})


def _row(asked: Test, typed: str) -> dict[str, str]:
    over = "yes" if typed == "OL" else typed if typed.startswith(">") else ""
    where = {"quantity": asked.quantity, "a": asked.a, "b": asked.b, "setup": asked.setup}
    return where | {"unit": asked.unit, "loads": asked.loads, "value": "" if over else typed, "over": over}


def standing_row(job: Job, asked: Test) -> Reading:
    """The row that stands for a reading at the furthest stage. Errors: KeyError where none does."""
    row = last_row(standing(job.readings), asked, job.furthest)
    if row is None:
        raise KeyError(asked.id)
    return row


def last_row(rows: Iterable[Reading], asked: Test, stage: str) -> Reading | None:
    """The newest of these rows that is this reading, at a stage."""
    return next((row for row in reversed([*rows]) if row.stage == stage and _is_of(row, asked)), None)


def _is_of(row: Reading, asked: Test) -> bool:
    return (row.quantity, row.a, row.b) == (asked.quantity, asked.a, asked.b) and (asked.any_setup or row.setup == asked.setup)


def in_words(typed: str, unit: str = "") -> str:
    """What was typed, as it is read back aloud: nought point five nine ohms."""
    said = typed.strip()
    out = ["more than"] if said.startswith(">") else []
    if said == "OL":
        return "over range"
    out += ["point" if each == "." else DIGITS[each] for each in said.removeprefix(">") if each in DIGITS or each == "."]
    units = UNITS.get(unit, unit)
    return " ".join([*out, units.removesuffix("s") if said == "1" else units]).strip()
