"""What insulation should read: a floor for one circuit; for a whole board what its circuits, each read alone, come to."""
from __future__ import annotations

from math import inf
from typing import TYPE_CHECKING

from spareway.fact import Fact, chosen, unknown
from spareway.job.rows import Reading
from spareway.physics.testing import together_mohm
from spareway.readings.band import Expected, figure, read_so
from spareway.readings.instrument import Accuracy

if TYPE_CHECKING:
    from spareway.design.design import Design

__all__ = ["insulation", "whole_board"]

LOADS_IN = "in"


def insulation(design: Design) -> Expected:
    """No less than the limit; how much more, no record tells."""
    limit = figure("thresholds", "insulation_mohm", design.books)
    return Expected(limit, limit.value, inf, "a floor: how much more there is, nothing in the record tells")


def whole_board(design: Design, board: str, loads: str, of: Accuracy) -> Expected:
    """All circuits of a board in parallel, as they were read one by one; of the whole installation where `board` is empty.

    loads: a reading with loads in is compared with such readings where there are any. Unknown while a circuit was not read."""
    names = [n for n, c in design.circuits.items() if not c.is_surge and board in ("", c.board)]
    rows = {n: _row(design, n, loads) for n in names}
    gaps = [n for n, row in rows.items() if row is None]
    there = [row for row in rows.values() if row is not None]
    facts = [_shown(row) for row in there]
    fact: Fact[float] = unknown("insulation_mohm", f"not read one by one: {', '.join(gaps) or 'any circuit'}")
    if there and not gaps:
        fact = chosen("insulation_mohm", lambda *each: together_mohm(each), facts, f"{len(facts)} circuits in parallel",
                      "their conductances add; over range counts as the end of the range", "resistances in parallel")
    if not there:
        return Expected(fact, 0.0, inf, "no circuit of it was read alone")
    amounts = [f.value for f in facts]
    most = together_mohm([inf if row.over else ohm for row, ohm in zip(there, amounts, strict=True)]) if _some(there) else inf
    return read_so(fact, 0.0 if gaps else together_mohm(amounts), most, of, f"{len(there)} of {len(names)} circuits in parallel")


def _some(rows: list[Reading]) -> bool:
    return any(row.value is not None for row in rows)


def _row(design: Design, name: str, loads: str) -> Reading | None:
    """The reading that counts for a circuit: of all its conductors to earth, loads as asked for where it was read so."""
    at = f"circuits.{name}"
    rows = [r for r in design.standing.get("insulation_mohm", ())
            if r.a == at and not r.b and (r.value is not None or r.over[:1] == ">")]
    rows = [r for r in rows if r.stage == design.inst.stage] or rows
    to_earth = [r for r in rows if "earth" in r.setup] or rows
    alike = [r for r in to_earth if (r.loads == LOADS_IN) == (loads == LOADS_IN)] or to_earth
    return alike[-1] if alike else None


def _shown(row: Reading) -> Fact[float]:
    value = row.value if row.value is not None else float(row.over[1:])
    return Fact("insulation_mohm", value, "measured", f"readings.csv:{row.line}", row.over, at=row.a)
