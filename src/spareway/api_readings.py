"""What the readings of a job say: which fault explains them, where, and what to read next. Texts in, plain data out.

Nothing here says what a reading not yet taken should be.
"""
from __future__ import annotations

from typing import TYPE_CHECKING, Any

from spareway import __version__
from spareway.api import CAUTION, Files, Overlays, no_collector
from spareway.design.design import Design
from spareway.doc import Fault, InputError, nearest
from spareway.job.job import read_job
from spareway.job.rows import Reading
from spareway.readings.of_job import Explained, explained
from spareway.readings.pictured import Pictured, pictured

if TYPE_CHECKING:
    from spareway.design.circuit import CircuitDesign

__all__ = ["LEAST_SHARE", "SURE", "headline", "in_a_hundred", "picture_of", "readings", "told_of", "weighed"]

SURE = 0.9                                      # below this the likeliest fault is not named alone
LEAST_SHARE = 0.005                             # of those that are told


def readings(files: Files, name: str = "", stage: str | None = None, overlays: Overlays = ()) -> dict[str, Any]:
    """What the readings of each circuit whose conductors can be weighed say together, or of one.

    Errors: InputError, also for a circuit that is not there."""
    with no_collector():
        job = read_job(files, overlays)
        design = Design(job.at(stage))
        out = [told_of(design.circuits[n]) for n in weighed(design, name)]
        return {"spareway": __version__, "job": job.about.says, "stage": design.inst.stage, "circuits": out,
                "caution": [*CAUTION]}


def weighed(design: Design, name: str = "") -> list[str]:
    """The circuits that are asked about: the rings, or the one named. Errors: InputError for one that is no ring."""
    rings = [n for n, c in design.circuits.items() if c.is_ring]
    if name and name not in rings:
        raise InputError([Fault("command line", None, "circuit", name, f'there is no ring "{name}"', ", ".join(rings),
                                nearest(name, rings))])
    return [name] if name else rings


def told_of(circuit: CircuitDesign, found: Explained | None = None) -> dict[str, Any]:
    """One circuit of a design: the rows weighed, those left out and why, the faults that are left, the readings to take next.

    found: where it was worked out before."""
    found = found or explained(circuit)
    faults = found.ranked.faults if found.ranked else ()
    return {"name": circuit.circuit.name, "says": circuit.circuit.says, "why_not": found.why_not,
            "headline": headline(found),
            "taken": [{"says": found.ranked.wired.probes[probe].says, **_row(row)}
                      for probe, row in found.rows] if found.ranked else [],
            "left_out": [{"quantity": row.quantity, "where": f"readings.csv:{row.line}", "why": why}
                         for row, why in found.left_out],
            "faults": [{"says": f.says, "kind": f.kind, "core": f.core, "place": list(f.place), "share": share}
                       for f, share in faults if share >= LEAST_SHARE],
            "alike": len(found.ranked.alike) if found.ranked else 0,
            "next": [{"says": p.says, "bits": p.bits, "minutes": p.minutes} for p in found.proposals]}


def _row(row: Reading) -> dict[str, Any]:
    return {"read": row.said or row.over, "where": f"readings.csv:{row.line}"}


def headline(found: Explained) -> str:
    """What it comes to, in a sentence."""
    if found.ranked is None:
        return f"Nothing is weighed: {found.why_not}."
    first, share = found.ranked.faults[0]
    if share >= SURE:
        says = first.says
        return f"{says[:1].upper()}{says[1:]}."
    return f"These readings do not tell {len(found.ranked.alike)} faults apart."


def in_a_hundred(share: float) -> str:
    """A share in whole hundreds; never none and never all of them, for what is not thought of is not among them."""
    return f"{max(min(round(100 * share), 99), 1)} in 100"


# ---- the picture ------------------------------------------------------------------------------------------------------
def picture_of(circuit: CircuitDesign, found: Explained | None = None) -> Pictured:
    """The ring as it is drawn."""
    return pictured(circuit, found or explained(circuit))
