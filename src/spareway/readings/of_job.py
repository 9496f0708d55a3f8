"""A ring of a job as its readings see it: its points and lengths from the record, its standing rows as readings at 20 °C."""
from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from spareway.design.ring import round_the_ring
from spareway.design.route import settled
from spareway.job.rows import Reading, standing
from spareway.physics.cable import to_20_factor
from spareway.readings.following import Proposal, following
from spareway.readings.rank import Ranked, rank
from spareway.readings.ring import ring
from spareway.readings.wired import Wired
from spareway.tables import look_up, rows

if TYPE_CHECKING:
    from spareway.design.circuit import CircuitDesign

__all__ = ["Explained", "explained"]

END = {"ring_r1_ohm": "L", "ring_rn_ohm": "N", "ring_r2_ohm": "E"}
CROSS = {"ring_ln_ohm": "N", "ring_le_ohm": "E"}
DRAWN_SD, MEASURED_SD = 0.2, 0.05               # how well a length is known, as a share (one sigma). Common practice, no source
LEAST_END_OHM = 19.0                            # a range that ends below this does not tell an open conductor from a bad joint


@dataclass(frozen=True, slots=True)
class Explained:
    """What the readings of one ring say. `why_not` in words where they cannot be weighed: then nothing else is held.

    rows: the reading's name with the row it is from; left_out: rows that are no resistance of this ring's conductors, or stand
    without a temperature that they want, and why."""
    why_not: str
    ranked: Ranked | None = None
    rows: tuple[tuple[str, Reading], ...] = ()
    left_out: tuple[tuple[Reading, str], ...] = ()
    proposals: tuple[Proposal, ...] = ()


def explained(circuit: CircuitDesign) -> Explained:
    """The faults of a ring by its standing readings at this stage, and the readings to take next."""
    wired = _wired(circuit)
    if isinstance(wired, str):
        return Explained(wired)
    inst, at = circuit.design.inst, f"circuits.{circuit.circuit.name}"
    alpha_per_k = look_up("thresholds", circuit.books, settled("case", "alpha_per_k", "copper")).value
    taken, out, values = [], [], {}
    for row in standing(inst.readings):
        if row.stage != inst.stage or not (row.a == at or row.a.startswith(f"{at}.")):
            continue
        name = _probe(row, at)
        if why := _why_not(row) if name in wired.probes else "no resistance of the ring's own conductors":
            out.append((row, why))
            continue
        taken.append((name, row))
        known = row.value is not None and row.temp_c is not None
        values[name] = row.value * to_20_factor(alpha_per_k, row.temp_c) if known else math.inf
    if not values:
        return Explained("no resistance of its conductors was read", left_out=tuple(out))
    ranked = rank(wired, values)
    return Explained("", ranked, tuple(taken), tuple(out), following(ranked))


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


def _wired(circuit: CircuitDesign) -> Wired | str:
    """The ring's network, or why there is none."""
    points = round_the_ring(circuit)
    if not points:
        return "no single way round is recorded: one point, and one only, leads home"
    sections = [p.length_m for p in points] + [points[-1].back_m]
    gaps = [p.name for p, metres in zip((*points, points[-1]), sections, strict=True) if not metres.known or metres.value <= 0]
    if gaps:
        return f"the length to {', '.join(dict.fromkeys(gaps))} is not known"
    if not (circuit.r1_mohm_per_m.known and circuit.r2_mohm_per_m.known):
        return "the sizes of its conductors are not known"
    line, earth = circuit.r1_mohm_per_m.value, circuit.r2_mohm_per_m.value
    sd = MEASURED_SD if all(metres.how == "measured" for metres in sections) else DRAWN_SD
    thinner = [row["value"] for row in rows("conductor_resistance", circuit.books) if row["value"] > line]
    smaller_by = dict.fromkeys("LN", min(thinner) / line) if thinner else {}
    per_m = {"L": line, "N": line, "E": earth}
    return ring([p.name for p in points], [metres.value for metres in sections], per_m, smaller_by, sd)


def _probe(row: Reading, at: str) -> str:
    """The name of a row among the readings of a ring; nothing where it is none of them."""
    where = row.a.removeprefix(f"{at}.points.")
    point, _, core = where.partition(".")
    if row.quantity in END and row.a == at:
        return f"{END[row.quantity]} end to end"
    if row.quantity in CROSS:
        return f"L-{CROSS[row.quantity]} {point}"
    if row.quantity == "leg_ohm" and "leg A" in row.setup:
        return f"leg A {core} {point}"
    return ""
