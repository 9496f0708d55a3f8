"""What holds a circuit back from being energised: a dead reading that failed, by the rows that stand. BS 7671 643.1.

A reading as found holds until the same was read again at this stage."""
from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from spareway.fact import glossary
from spareway.job.rows import Reading
from spareway.readings.expected import own_rows
from spareway.readings.instrument import CONTINUITY
from spareway.readings.insulation import whole_rows
from spareway.readings.tested import due, tested
from spareway.tables import look_up

if TYPE_CHECKING:
    from spareway.design.design import Design

__all__ = ["DEAD_FIRST", "Held", "held"]

# what is read dead, before a circuit is energised: 643.1
DEAD_FIRST = ("protective conductor", "ring", "insulation")


@dataclass(frozen=True, slots=True)
class Held:
    """A dead reading that failed, and why it holds, in words."""
    row: Reading
    says: str

    @property
    def brief(self) -> str:
        """What was read, in a few words."""
        return f"{glossary(self.row.quantity).says}, {self.row.shown}"


def held(design: Design, name: str) -> tuple[Held, ...]:
    """Every dead reading that failed: of a circuit, of it to another, of its whole board. Errors: KeyError."""
    circuit, found = design.circuits[name], dict[str, Held]()
    rows = [*own_rows(circuit), *_from_others(design, circuit.at), *whole_rows(design, circuit.board)]
    for each in (*_low(design, rows), *_open(rows), *_strange(design, name)):
        found.setdefault(each.row.id, each)
    return tuple(found.values())


def _from_others(design: Design, at: str) -> list[Reading]:
    """Insulation of another circuit to this one."""
    rows = design.standing.get("insulation_mohm", ())
    return [row for row in rows if row.b.startswith(f"{at}.") and not row.a.startswith(f"{at}.")]


def _low(design: Design, rows: list[Reading]) -> Iterator[Held]:
    least = look_up("thresholds", design.books, design.case("insulation_mohm"))
    for row in rows:
        if row.quantity == "insulation_mohm" and row.value is not None and least.known and row.value < least.value:
            yield Held(row, f"{_read(row)}: at least {least} is asked for")


def _open(rows: list[Reading]) -> Iterator[Held]:
    for row in rows:
        if row.quantity in CONTINUITY and row.value is None and row.over:
            yield Held(row, f"{_read(row)}: over range, a conductor may be open")


def _strange(design: Design, name: str) -> Iterator[Held]:
    """What lies too far off to be believed: the reading, the record or the wiring is wrong."""
    for test in due(design, name):
        if test in DEAD_FIRST:
            yield from (Held(row, f"{_read(row)}: too far off to be believed") for row in tested(design, name, test).odd)


def _read(row: Reading) -> str:
    how = f", {row.setup}" if row.setup else ""
    loads = f", loads {row.loads}" if row.loads else ""
    return f"{glossary(row.quantity).says}{how}{loads}, {row.shown} (readings.csv:{row.line})"
