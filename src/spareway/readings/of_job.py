"""A circuit of a job and its readings: its standing rows at 20 °C, the faults that explain them, what to read next."""
from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from spareway.design.ring import round_the_ring
from spareway.design.route import settled
from spareway.job.rows import Reading, standing
from spareway.physics.cable import to_20_factor
from spareway.readings.as_wired import as_wired, furthest
from spareway.readings.following import Proposal, following
from spareway.readings.rank import Ranked, further, rank
from spareway.readings.wired import UNNULLED, Wired, alike
from spareway.tables import look_up

if TYPE_CHECKING:
    from spareway.design.circuit import CircuitDesign
    from spareway.job.job import Installation

__all__ = ["Explained", "explained"]

END = {"ring_r1_ohm": "L", "ring_rn_ohm": "N", "ring_r2_ohm": "E"}
CROSS = {"ring_ln_ohm": "L-N", "ring_le_ohm": "L-E", "ring_ne_ohm": "N-E"}
LINKED = {"r1r2_ohm": "L-E", "r1rn_ohm": "L-N", "rnr2_ohm": "N-E", "r2_ohm": "lead E"}
SAID_NULLED, SAID_NOT = 0.02, 0.9               # leads recorded as nulled, and as not, that were not. Common practice, no source
LEAST_END_OHM = 19.0                            # a range that ends below this does not tell an open conductor from a bad joint


@dataclass(frozen=True, slots=True)
class Explained:
    """What the readings of one circuit say. `why_not` in words where they cannot be weighed: then nothing else is held.

    rows: the reading's name with the row it is from; left_out: rows that are no resistance of its conductors, or stand
    without a temperature that they want, and why."""
    why_not: str
    ranked: Ranked | None = None
    rows: tuple[tuple[str, Reading], ...] = ()
    left_out: tuple[tuple[Reading, str], ...] = ()
    proposals: tuple[Proposal, ...] = ()


def explained(circuit: CircuitDesign, before: Explained | None = None) -> Explained:
    """The faults of a ring or a radial by its standing readings at this stage, and the readings to take next.

    before: what they said before the last of them was taken; where the rest is as it was only the last is weighed, and the
    answer is to the last digit the same."""
    inst, at = circuit.design.inst, f"circuits.{circuit.circuit.name}"
    own = [row for row in standing(inst.readings) if row.stage == inst.stage and (row.a == at or row.a.startswith(f"{at}."))]
    wired = as_wired(circuit, _unnulled(own))
    if isinstance(wired, str):
        return Explained(wired)
    alpha_per_k = look_up("thresholds", circuit.books, settled("case", "alpha_per_k", "copper")).value
    taken, out, values = [], [], {}
    for row in own:
        name = _probe(row, at, circuit)
        if why := _why_not(row) if name in wired.probes else _strange(row, at, circuit):
            out.append((row, why))
            continue
        taken.append((name, row))
        known = row.value is not None and row.temp_c is not None
        values[name] = row.value * to_20_factor(alpha_per_k, row.temp_c) if known else math.inf
    if not values:
        return Explained(_none_here(inst, at), left_out=tuple(out))
    ranked = _ranked(wired, values, before.ranked if before else None)
    return Explained("", ranked, tuple(taken), tuple(out), following(ranked))


def _none_here(inst: Installation, at: str) -> str:
    """That nothing can be weighed at this stage; with the stages at which something was read, for a fault found there stands."""
    others = {row.stage for row in standing(inst.readings) if row.a == at or row.a.startswith(f"{at}.")} - {inst.stage}
    if not others:
        return "no resistance of its conductors was read"
    shown = " and ".join(sorted(others))
    return f"no resistance of its conductors was read at this stage, {inst.stage}; what it showed as {shown} is told there"


def _ranked(wired: Wired, values: Mapping[str, float], before: Ranked | None) -> Ranked:
    """From the start, or from where it stood where only readings beyond the usual ones have come since."""
    if before is None or not _goes_on(before.taken, values, wired.standard) or not alike(before.wired, wired):
        return rank(wired, values)
    more = {name: ohm for name, ohm in values.items() if name not in before.taken}
    return further(before, more) if more else before


def _goes_on(taken: Mapping[str, float], values: Mapping[str, float], standard: Sequence[str]) -> bool:
    """Whether every reading that was taken stands as it did, and what came since comes after it."""
    old, new = ([(name, ohm) for name, ohm in some.items() if name not in standard] for some in (taken, values))
    usual, as_usual = ([(name, ohm) for name, ohm in some.items() if name in standard] for some in (taken, values))
    return usual == as_usual and new[:len(old)] == old


def _unnulled(own: Sequence[Reading]) -> float:
    """How often leads that are recorded so were not nulled after all."""
    said = {row.nulled for row in own if row.quantity in (*END, *CROSS, *LINKED, "leg_ohm")}
    return SAID_NOT if False in said else SAID_NULLED if said == {True} else UNNULLED


def _strange(row: Reading, at: str, circuit: CircuitDesign) -> str:
    """Why a row is none of the readings that are weighed."""
    point = row.a.removeprefix(f"{at}.points.").partition(".")[0]
    if circuit.is_ring and row.quantity in (*CROSS, "leg_ohm") and point in circuit.circuit.points:
        on_ring = point in {p.name for p in round_the_ring(circuit)}
        return "from which leg it was read is not recorded" if on_ring else \
            "it was read at a spur of which length, size or leg is not recorded"
    return "no resistance of the circuit's own conductors"


def _why_not(row: Reading) -> str:
    """Why a row cannot be weighed; nothing where it can."""
    if row.quantity in CROSS and "cross" not in row.setup:
        return "that the ends were cross-connected is not recorded"
    if row.value is not None:
        return "" if row.temp_c is not None else "the temperature of the conductors is not recorded"
    if not row.over:
        return "nothing was read"
    end = row.over.removeprefix(">")
    short = end != "yes" and float(end) < LEAST_END_OHM
    return f"its range ends at {end} Ω, which does not tell an open conductor" if short else ""


def _probe(row: Reading, at: str, circuit: CircuitDesign) -> str:
    """The name of a row among the readings of its circuit; nothing where it is none of them."""
    point, _, core = row.a.removeprefix(f"{at}.points.").partition(".")
    if not circuit.is_ring:
        point = furthest(circuit) if row.a == at else point
        if row.quantity in LINKED:
            return f"{LINKED[row.quantity]} {point}"
        return f"lead {core} {point}" if row.quantity == "leg_ohm" and "from the board" in row.setup else ""
    if row.quantity in END and row.a == at:
        return f"{END[row.quantity]} end to end"
    if row.quantity in CROSS:
        return f"{CROSS[row.quantity]} {point}"
    if row.quantity == "leg_ohm":
        return next((f"{leg} {core} {point}" for leg in ("leg A", "leg B") if leg in row.setup), "")
    return ""
