"""Live tests by thumb: what is to be read once a thing is energised, at the origin, of a residual-current device, on a circuit.

The order is that of BS 7671 Part 6: polarity, loops and fault current, residual-current devices (643.6 to 643.8). No expected
value is here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

from spareway.job.rows import standing
from spareway.readings.held import DEAD_FIRST, Held, held
from spareway.readings.tested import due, may_be_residual, tested
from spareway.survey.readings import Test, last_row

if TYPE_CHECKING:
    from spareway.design.design import Design

__all__ = ["Subject", "holds", "live_tests", "not_tested_dead", "subjects"]

PAIRS = {"L N": "line to neutral", "L E": "line to earth", "N E": "neutral to earth"}
RATED = ("at its rated current; 0 degrees", "at its rated current; 180 degrees")


@dataclass(frozen=True, slots=True)
class Subject:
    """What is tested live: an address, in words, and its way at a board, nothing where it has none."""

    at: str
    says: str
    board: str = ""
    way: str = ""


def subjects(design: Design) -> list[Subject]:
    """The origin of each supply, each residual-current device that is no circuit's own, each circuit by its way."""
    found = [Subject(f"supplies.{name}", "the origin of the supply") for name in design.inst.supplies]
    for name in design.inst.equipment:
        controls = design.kind_of(name).residual
        one = len(controls) == 1
        ats = [f"equipment.{name}" if one else f"equipment.{name}.{control}" for control in controls]
        found += [Subject(at, f"residual-current device of {at.removeprefix('equipment.').replace('.', ', ')}") for at in ats]
    return [*found, *_circuits(design)]


def _circuits(design: Design) -> list[Subject]:
    own = [(name, each) for name, each in design.circuits.items() if not each.is_surge]
    ways = [(each.circuit.way.partition("."), name, each) for name, each in own]
    ways.sort(key=lambda each: (each[0][0], int(each[0][2]) if each[0][2].isdigit() else 0, each[1]))
    return [Subject(each.at, each.circuit.says or name.replace("-", " "), way[0], way[2]) for way, name, each in ways]


def live_tests(design: Design, at: str) -> list[Test]:
    """The live tests of one of the subjects, in order, each with what stands of it at this stage. Errors: KeyError for none."""
    if at not in {each.at for each in subjects(design)}:
        raise KeyError(at)
    rows = standing(design.inst.readings)
    out = []
    for number, test in enumerate(_asked(design, at)):
        row = last_row(rows, test, design.inst.stage)
        out.append(replace(test, id=f"{number}", kept=row.shown if row else ""))
    return out


def _asked(design: Design, at: str) -> Iterator[Test]:
    table, _, name = at.partition(".")
    if table == "supplies":
        return _origin(at)
    return _device(at) if table == "equipment" else _circuit(design, name)


_Test = partial(Test, "")                         # its number is given where it stands among the others


def _origin(at: str) -> Iterator[Test]:
    for pair, says in PAIRS.items():
        a, b = pair.split()
        yield _Test(f"At the origin: voltage, {says}", "supply_v", f"{at}.{a}", f"{at}.{b}", "V", says, any_setup=True)
    yield _Test("Line to earth loop at the origin, other paths to earth parted", "ze_ohm", at, "", "Ω", "parallel paths off",
                any_setup=True)
    yield _Test("Line to neutral loop at the origin", "loop_ln_ohm", at, "", "Ω", any_setup=True)
    for pair in ("line to earth", "line to neutral"):
        says = f"Prospective fault current at the origin, {pair}, all paths to earth joined"
        yield _Test(says, "fault_ka", at, "", "kA", pair)


def _device(at: str) -> Iterator[Test]:
    for setup in RATED:
        yield _Test(f"Trip time {setup.replace(';', ',').replace(' degrees', '°')}", "trip_ms", at, "", "ms", setup)
    yield _Test("Residual current at which it trips, slowly rising", "ramp_ma", at, "", "mA", "rising current", any_setup=True)


def _circuit(design: Design, name: str) -> Iterator[Test]:
    """Polarity point after point, by voltage, and the loop there; then its own residual-current device."""
    circuit = design.circuits[name]
    usual = circuit.circuit.feeds
    fed = [point for point, each in circuit.circuit.points.items() if (each.feeds or usual) not in ("", "nothing")]
    places = {f"{circuit.at}.points.{point}": f"at {point.replace('-', ' ')}" for point in fed}
    setup = "no-trip" if may_be_residual(circuit) else "high current"
    for at, where in (places or {circuit.at: "at its furthest point"}).items():
        for pair in ("L E", "N E"):
            a, b = pair.split()
            yield _Test(f"Polarity by voltage, {where}: {PAIRS[pair]}", "supply_v", f"{at}.{a}", f"{at}.{b}", "V", PAIRS[pair],
                        any_setup=True)
        yield _Test(f"Earth fault loop {where}, loads off, {setup.replace('-', ' ')}", "zs_ohm", at, "", "Ω", setup, "off",
                    any_setup=True)
    if circuit.device_kind is not None and circuit.device_kind.residual:
        yield from _device(circuit.at)


def not_tested_dead(design: Design, at: str) -> list[str]:
    """What of a circuit was not read dead by the record of this stage; nothing of what is no circuit."""
    table, _, name = at.partition(".")
    if table != "circuits":
        return []
    asked = [test for test in due(design, name) if test in DEAD_FIRST]
    return [test for test in asked if tested(design, name, test).ok is None]


def holds(design: Design, at: str) -> tuple[Held, ...]:
    """The dead readings of a circuit that failed: until they are good it is not energised. Of anything else none."""
    table, _, name = at.partition(".")
    return held(design, name) if table == "circuits" else ()
