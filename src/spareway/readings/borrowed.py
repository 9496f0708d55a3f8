"""A neutral shared by two circuits: the reading that proves it, and whether a residual-current device would give it away.

A device that stays in says nothing: below half its rating it must not trip, and the neutral is as dangerous as before.
"""
from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from spareway.fact import Fact
from spareway.physics.choose import at_least
from spareway.physics.testing import leakage_limit_ma, returns_ma
from spareway.readings.insulation import as_read
from spareway.tables import look_up

if TYPE_CHECKING:
    from spareway.design.circuit import CircuitDesign
    from spareway.design.design import Design

__all__ = ["PROOF", "Proof", "Trip", "borrowers", "proof", "trips"]

# How neutrals are proved apart. Common practice, no source; gathered as TE040
PROOF = ("Main switch off, locked, and the board proved dead, its neutral bar too. Never lift a neutral of a live board: its end "
         "goes live through the load.",
         "Lift the neutrals of both circuits.",
         "Read insulation from the one neutral to the other. Low: they are joined somewhere, or both touch the same third thing.",
         "Read line to neutral of each circuit end to end with the far end linked: a neutral that is another's reads open.",
         "Out of what is joined: open two-way switches and shared joint boxes first.")


@dataclass(frozen=True, slots=True)
class Proof:
    """What the standing rows say of two neutrals: joined, apart, or not known; `facts` are the readings and the limit."""
    one: str
    other: str
    joined: bool | None
    says: str
    facts: tuple[Fact[float], ...]


@dataclass(frozen=True, slots=True)
class Trip:
    """What a load on the wrong neutral does to a device. must: at its rating and above; may: from half of it; both None where not
    known. Both halves are said."""
    current: Fact[float]
    half: Fact[float]
    rating: Fact[float]
    may: bool | None
    must: bool | None
    says: str


def proof(design: Design, one: str, other: str) -> Proof:
    """What was read between the neutrals of two circuits, both lifted: the latest standing row of this stage.

    One of an earlier stage is shown and decides nothing: work joins neutrals, and parts them."""
    ends = {f"circuits.{one}.N", f"circuits.{other}.N"}
    rows = [r for r in design.standing.get("insulation_mohm", ()) if {r.a, r.b} == ends]
    if not rows:
        return Proof(one, other, None, f"Not proved: nobody read from the neutral of {one} to that of {other}, both lifted", ())
    now = [r for r in rows if r.stage == design.inst.stage]
    rows = now or rows
    least, read = look_up("thresholds", design.books, design.case("insulation_mohm")), as_read(rows[-1])
    where = f"readings.csv:{rows[-1].line}"
    enough = read.known and read.value >= least.value
    joined = False if enough else None if rows[-1].value is None else True
    words = {True: "joined", False: "apart", None: "its range does not tell"}[joined]
    shown = str(read) if rows[-1].value is not None else rows[-1].over_words
    says = f"{rows[-1].a} to {rows[-1].b}: {shown}: {words} ({where})"
    if not now:
        return Proof(one, other, None, f"Not proved: {says}, read as {rows[-1].stage} only, not at this stage", (read, least))
    return Proof(one, other, joined, says, (read, least))


def borrowers(design: Design) -> Iterable[tuple[str, str, Fact[float] | None]]:
    """(circuit that borrows, circuit that lends, power of what returns there) of every borrowed neutral in the record."""
    for name, circuit in design.circuits.items():
        if circuit.circuit.neutral and circuit.circuit.neutral != name:
            yield name, circuit.circuit.neutral.partition(".")[0], circuit.circuit.load_w
        for point in circuit.circuit.points.values():
            if point.neutral and point.neutral.partition(".")[0] != name:
                yield name, point.neutral.partition(".")[0], point.load_w


def trips(load_w: Fact[float], circuit: CircuitDesign) -> Trip:
    """Whether the device of a circuit trips where such a load returns on another neutral, or comes in from one.

    Source: BS EN 61008: it may trip from half its rated residual current, and must at that."""
    design, rating = circuit.design, circuit.residual_ma
    current = returns_ma.worked(load_w, design.supply.u0_v)
    half = leakage_limit_ma.worked(rating, look_up("thresholds", design.books, design.case("trips_above_share")))
    if not (current.known and rating.known):
        gap = current if not current.known else rating
        why = ", ".join(f"{f.name} ({f.at or f.note})" for f in gap.missing())
        return Trip(current, half, rating, None, None, f"Not known whether it trips: {why}")
    must, may = at_least(current.value, rating.value), at_least(current.value, half.value)
    return Trip(current, half, rating, may, must, f"{current} returns elsewhere. {_both(half, rating, may, must)}")


def _both(half: Fact[float], rating: Fact[float], may: bool, must: bool) -> str:
    """Both halves of the answer, which of them holds first."""
    if must:
        return f"At its rating of {rating} a device must trip: both circuits go off when it is switched on"
    if may:
        return f"From half its rating, {half}, a device may trip, and only from {rating} must it: now and then, or never"
    return f"Below half its rating, {half}, a device must not trip: it stays in, and the neutral is shared all the same"
