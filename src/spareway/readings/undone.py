"""Tests that a repair undoes: what is to be read again after each kind of work, and of the repairs on record what was not yet.

A row of events.csv says what was repaired and when; what was read at an address before that is no longer a test of it.
"""
from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from spareway.bundled import text
from spareway.job.rows import Event, Reading, standing
from spareway.kinds import kind
from spareway.plain_toml import loads
from spareway.readings.proves import tests as each_test
from spareway.readings.tested import may_be_residual, timed
from spareway.tables import look_up

if TYPE_CHECKING:
    from spareway.design.circuit import CircuitDesign
    from spareway.design.design import Design

__all__ = ["Owed", "Repair", "counts", "kind_of_repair", "not_read", "owed", "repairs"]

MEMORY = "BS 7671 643.1, from memory; which ones: common practice, no source"
RING_ONLY = ("ring-ends", "ring-crosswise")
EARTH = ("earthing", "bond", "tails")
TABLES = ("circuits", "runs", "equipment")
DAY = len("2026-11-10")
ONCE = ("ze", "fault-current", "voltage", "electrode")      # read once for the whole home


@dataclass(frozen=True, slots=True)
class Repair:
    """A kind of repair and the tests to do again, in their order."""
    name: str
    says: str
    at: str
    again: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True)
class Owed:
    """One repair on record: tests read again since, those that were not, and those that leave no reading: a person answers.

    unsure: of those that were not, each of which something was read that day, at an hour that is not recorded or beside a repair
    whose hour is not."""
    event: Event
    repair: Repair
    circuits: tuple[str, ...]
    done: tuple[str, ...]
    missing: tuple[str, ...]
    unread: tuple[str, ...]
    unsure: tuple[str, ...] = ()


@cache
def repairs() -> dict[str, Repair]:
    """Every kind of repair by name."""
    found: dict[str, dict[str, Any]] = loads(text("readings/undone.toml"))
    return {name: Repair(name, said["says"], said["at"], tuple(said["again"]), said.get("source", MEMORY))
            for name, said in found.items()}


def kind_of_repair(design: Design, address: str) -> Repair:
    """Which kind of repair one at this address is; where the record does not tell, the one that undoes the most."""
    at = _at(design, address)
    return next((each for each in repairs().values() if each.at == at), repairs()["board-changed"])


def _at(design: Design, address: str) -> str:
    name, rest = _named(address)
    if address.startswith("circuits.") and name in design.circuits:
        return _in_circuit(design.circuits[name], rest)
    if name in design.runs:
        run = design.runs[name].run
        return run.kind if run.kind in EARTH else "cable"
    if name in design.boards:
        return "board"
    if name not in design.inst.equipment:
        return ""
    of = kind(design.inst.equipment[name].kind)
    if "E" in of.sources.values():
        return "electrode"
    return "earthing" if of.family == "earth" else "appliance" if design.inst.equipment[name].on else ""


def _named(address: str) -> tuple[str, list[str]]:
    """The thing that an address names, with its table or without, and what follows."""
    parts = address.split(".")
    return (parts[1], parts[2:]) if parts[0] in TABLES and len(parts) > 1 else (parts[0], parts[1:])


def _in_circuit(circuit: CircuitDesign, rest: list[str]) -> str:
    if rest[:1] == ["device"]:
        return "device"
    if rest[:1] == ["points"]:
        return "ring point" if circuit.is_ring else "point"
    return "neutral" if rest[:1] in (["N"], ["neutral"]) else "cable"


def owed(design: Design, events: Iterable[Event]) -> Iterator[Owed]:
    """Every standing repair among these with what was read since. A test counts where each of its circuits has a reading."""
    rows = [row for row in standing(design.inst.readings) if counts(design, row)]
    for event in standing(events):
        if event.kind != "repair":
            continue
        repair, circuits = kind_of_repair(design, event.address), _circuits(design, event.address)
        again = [test for test in repair.again if _asked(design, test, circuits)]
        since = [row for row in rows if _since(row.at, event.at)]
        measured = [test for test in again if each_test()[test].quantities]
        done = tuple(test for test in measured if _read(design, test, event.address, circuits, since))
        missing = tuple(test for test in measured if test not in done)
        maybe = [*since, *(row for row in rows if _hour_lacks(row.at, event.at))]
        yield Owed(event, repair, circuits, done, missing, tuple(test for test in again if not each_test()[test].quantities),
                   tuple(test for test in missing if _read(design, test, event.address, circuits, maybe)))


def counts(design: Design, row: Reading) -> bool:
    """Whether a row shows that a test was done again: a number, or insulation beyond a range that reaches the limit.

    Anything else over its range is an open conductor, a device that stayed in, or a range that tells nothing."""
    if row.value is not None or row.quantity != "insulation_mohm" or not row.over.startswith(">"):
        return row.value is not None
    least = look_up("thresholds", design.books, design.case("insulation_mohm"))
    return least.known and float(row.over[1:]) >= least.value


def _since(read: str, done: str) -> bool:
    """Whether a row is known to have been read after a repair."""
    return read >= done and not _hour_lacks(read, done)


def _hour_lacks(read: str, done: str) -> bool:
    """Whether a row is of the day of a repair, and one of them is dated by that day alone: which came first nobody can tell."""
    return read[:DAY] == done[:DAY] and DAY in (len(read), len(done))


def _circuits(design: Design, address: str) -> tuple[str, ...]:
    """The circuits that a repair touches: its own; all of a board; all for what lies before the boards."""
    name, _ = _named(address)
    if address.startswith("circuits."):
        return (name,) if name in design.circuits else ()
    asked = [n for n, c in design.circuits.items() if not c.is_surge]
    if name in design.boards:
        return tuple(n for n in asked if design.circuits[n].board == name)
    if name in design.inst.equipment and design.inst.equipment[name].on:
        return (design.inst.equipment[name].on,)
    return tuple(asked) if _at(design, address) in ("earthing", "tails", "electrode") else ()


def _asked(design: Design, test: str, circuits: tuple[str, ...]) -> bool:
    """Whether a test concerns these circuits; any of the home, where the record does not tell which were touched."""
    of = [design.circuits[name] for name in circuits or design.circuits if name in design.circuits]
    if test in RING_ONLY:
        return any(each.is_ring for each in of)
    return any(map(may_be_residual, of)) if test in ("residual", "test-button") else True


def not_read(design: Design, repair: Repair, circuit: str, rows: list[Reading]) -> tuple[str, ...]:
    """Of the tests that a repair on a circuit undoes, and that leave readings, those not among these rows."""
    again = [test for test in repair.again if _asked(design, test, (circuit,)) and each_test()[test].quantities]
    return tuple(test for test in again if not _read(design, test, f"circuits.{circuit}", (circuit,), rows))


def _read(design: Design, test: str, address: str, circuits: tuple[str, ...], since: list[Reading]) -> bool:
    """Whether it was read since, of each circuit it concerns, or at the address itself where it concerns none."""
    wanted = each_test()[test].quantities
    rows = [row for row in since if row.quantity in wanted or test == "continuity" and row.quantity == "ring_r2_ohm"]
    if test in ONCE:
        return bool(rows)
    if not circuits:
        return any(row.a == address or row.a.startswith(f"{address}.") for row in rows)
    named = [name for name in circuits if test not in RING_ONLY or design.circuits[name].is_ring]
    if test == "residual":
        return all(timed(of, rows) for of in map(design.circuits.__getitem__, named) if may_be_residual(of))
    need = set(wanted) if test == "ring-ends" else set()
    read = {n: {row.quantity for row in rows if row.a == f"circuits.{n}" or row.a.startswith(f"circuits.{n}.")} for n in named}
    return all(kinds and need <= kinds for kinds in read.values())
