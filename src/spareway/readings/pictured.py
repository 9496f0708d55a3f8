"""A ring as it is pictured: its stops and lengths, the readings that stand with what each should have been, what is suspect.

Nothing stands here for a reading that was not taken.
"""
from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum
from typing import TYPE_CHECKING

from spareway.design.ring import round_the_ring
from spareway.fact import Fact
from spareway.job.rows import Reading, standing
from spareway.readings.band import CANNOT_TELL, Expected
from spareway.readings.expected import judged
from spareway.readings.of_job import Explained

if TYPE_CHECKING:
    from spareway.design.circuit import CircuitDesign

__all__ = ["Pictured", "Stands", "Suspect", "pictured"]

OF_A_RING = ("ring_r1_ohm", "ring_rn_ohm", "ring_r2_ohm", "ring_ln_ohm", "ring_le_ohm", "leg_ohm")
INSIDE = ("as expected", CANNOT_TELL)


@dataclass(frozen=True, slots=True)
class Stands:
    """A reading that stands, what it should have been, and on which side of that it fell, None where nothing tells.

    `stop`: 0 is leg A at the board, then the points; None where it is of a conductor end to end."""
    row: Reading
    stop: int | None
    expected: Expected | None
    fell: str

    @property
    def outside(self) -> bool:
        """Whether it lies where no sound one would."""
        return self.expected is not None and self.fell not in INSIDE

    @property
    def off_ohm(self) -> float | None:
        """How far it lies outside, never negative; None where it does not, or was over range."""
        if not self.outside or self.expected is None or self.row.value is None:
            return None
        return max(self.expected.least - self.row.value, self.row.value - self.expected.most, 0.0)


@dataclass(frozen=True, slots=True)
class Suspect:
    """A fault that the readings leave: the conductors it is of, the stops it lies between or at, in words, and its share."""
    cores: str
    stops: tuple[int, ...]
    says: str
    share: float


@dataclass(frozen=True, slots=True)
class Pictured:
    """`lengths_m`: leg A to the first point, point to point, the last point to leg B."""
    name: str
    points: tuple[str, ...]
    lengths_m: tuple[Fact[float], ...]
    stands: tuple[Stands, ...]
    suspects: tuple[Suspect, ...]
    told_apart: bool
    why_not: str                                # why no fault was sought; nothing where it was

    @property
    def at_m(self) -> tuple[float, ...] | None:
        """How far each stop is from leg A, leg B last; None where a length is not known."""
        if not self.lengths_m or not all(m.known for m in self.lengths_m):
            return None
        return tuple(fsum(m.value for m in self.lengths_m[:i]) for i in range(len(self.lengths_m) + 1))


def pictured(circuit: CircuitDesign, found: Explained) -> Pictured:
    """The ring of a job, its standing readings of the conductors at this stage, and the faults they leave."""
    order = round_the_ring(circuit)
    lengths = (*(p.length_m for p in order), order[-1].back_m) if order else ()
    at, inst = f"circuits.{circuit.circuit.name}", circuit.design.inst
    stops = {f"{at}.points.{p.name}": i for i, p in enumerate(order, 1)}
    rows = [row for row in standing(inst.readings) if row.stage == inst.stage and row.quantity in OF_A_RING
            and (row.value is not None or row.over) and (row.a == at or row.a.rpartition(".")[0] in stops)]
    known = {each.row.id: each for each in judged(circuit)} if rows else {}
    stands = [(row, stops.get(row.a.rpartition(".")[0]), known.get(row.id)) for row in rows]
    points = tuple(p.name for p in order)
    return Pictured(circuit.circuit.name, points, lengths,
                    tuple(Stands(row, stop, j.expected if j else None, j.fell if j else "") for row, stop, j in stands),
                    _suspects(found, points), found.ranked is not None and len(found.ranked.alike) == 1, found.why_not)


def _suspects(found: Explained, points: Sequence[str]) -> tuple[Suspect, ...]:
    """Of the faults that these readings do not tell apart, those that have a place."""
    if found.ranked is None:
        return ()
    names = ["leg A at the board", *points, "leg B at the board"]
    shares = {fault.name: share for fault, share in found.ranked.faults}
    return tuple(Suspect(f.core or "LNE", tuple(names.index(place) for place in f.place), f.says, shares[f.name])
                 for f in found.ranked.alike if f.place and all(place in names for place in f.place))
