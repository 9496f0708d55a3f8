"""A circuit of a job as a network: its points, lengths and sizes from the record, or in words why there is none."""
from __future__ import annotations

from collections.abc import Sequence
from math import fsum
from typing import TYPE_CHECKING

from spareway.design.ring import round_the_ring
from spareway.fact import Fact
from spareway.job.types import Point
from spareway.readings.cabled import HOME, Reached
from spareway.readings.radial import radial
from spareway.readings.ring import ring
from spareway.readings.wired import UNNULLED, Wired
from spareway.tables import look_up, rows

if TYPE_CHECKING:
    from spareway.design.circuit import CircuitDesign

__all__ = ["FAR_END", "as_wired", "furthest"]

DRAWN_SD, MEASURED_SD = 0.2, 0.05               # how well a length is known, as a share (one sigma). Common practice, no source
FAR_END = "its far end"                         # of a circuit without recorded points
NO_SIZE = "the sizes of its conductors are not known"


def as_wired(circuit: CircuitDesign, unnulled: float = UNNULLED) -> Wired | str:
    """The network of a ring or a radial, or why there is none. unnulled: how often its leads were not nulled."""
    return _ring(circuit, unnulled) if circuit.is_ring else _radial(circuit, unnulled)


def _ring(circuit: CircuitDesign, unnulled: float) -> Wired | str:
    points = round_the_ring(circuit)
    if not points:
        return "no single way round is recorded: one point, and one only, leads home"
    sections = [p.length_m for p in points] + [points[-1].back_m]
    if gaps := _gaps([p.name for p in (*points, points[-1])], sections):
        return gaps
    if not (circuit.r1_mohm_per_m.known and circuit.r2_mohm_per_m.known):
        return NO_SIZE
    per_m = _per_m(circuit.r1_mohm_per_m, circuit.r2_mohm_per_m)
    spurs = _spurs(circuit, [p.name for p in points])
    metres, names = [section.value for section in sections], [p.name for p in points]
    known = _sd([*sections, *(p.length_m for p in circuit.circuit.points.values() if p.name in {s.name for s in spurs})])
    return ring(names, metres, per_m, _smaller_by(circuit, per_m["L"]), known, unnulled, spurs)


def _spurs(circuit: CircuitDesign, ring: Sequence[str]) -> list[Reached]:
    """What hangs on a ring, as far out as lengths and sizes are known: what lies beyond a gap is not weighed."""
    found: list[Reached] = []
    for p in _outwards(circuit):
        line, earth = _sizes(circuit, p)
        if p.name in ring or p.from_ not in (*ring, *(each.name for each in found)) or not (line.known and earth.known):
            continue
        if p.length_m.known and p.length_m.value > 0:
            found.append(Reached(p.name, p.from_, p.length_m.value, _per_m(line, earth), _smaller_by(circuit, line.value)))
    return found


def _radial(circuit: CircuitDesign, unnulled: float) -> Wired | str:
    points = circuit.circuit.points
    if not points:
        lengths, ends = [circuit.length_m], [(FAR_END, HOME, circuit.r1_mohm_per_m, circuit.r2_mohm_per_m)]
    else:
        order = _outwards(circuit)
        lengths = [p.length_m for p in order]
        ends = [(p.name, p.from_ if p.from_ in points else HOME, *_sizes(circuit, p)) for p in order]
    if gaps := _gaps([name for name, *_ in ends], lengths):
        return gaps
    if not all(line.known and earth.known for _, _, line, earth in ends):
        return NO_SIZE
    reached = [Reached(name, from_, metres.value, _per_m(line, earth), _smaller_by(circuit, line.value))
               for (name, from_, line, earth), metres in zip(ends, lengths, strict=True)]
    return radial(reached, _sd(lengths), unnulled)


def _outwards(circuit: CircuitDesign) -> list[Point]:
    """The points, each after the one it hangs on; the record has none that hangs on nothing."""
    points, order, met = circuit.circuit.points, list[Point](), set[str]()
    while more := [p for p in points.values() if p.name not in met and (p.from_ in met or p.from_.startswith("way"))]:
        order += more
        met |= {p.name for p in more}
    return order


def furthest(circuit: CircuitDesign) -> str:
    """The point with the longest way from the board; the far end where no points are recorded; nothing where no length tells."""
    points = circuit.circuit.points
    if not points:
        return FAR_END
    way_m: dict[str, float] = {}
    for p in _outwards(circuit):
        if not p.length_m.known:
            return ""
        way_m[p.name] = fsum((way_m.get(p.from_, 0.0), p.length_m.value))
    return max(way_m, key=lambda name: way_m[name], default="")


def _sizes(circuit: CircuitDesign, point: Point) -> tuple[Fact[float], Fact[float]]:
    """Line and protective conductor to a point (mΩ/m), where they differ from the circuit's cable."""
    line, earth = ((look_up("conductor_resistance", circuit.books, own) if own.known else usual)
                   for own, usual in ((point.line_mm2, circuit.r1_mohm_per_m), (point.cpc_mm2, circuit.r2_mohm_per_m)))
    return line, earth


def _gaps(names: Sequence[str], lengths: Sequence[Fact[float]]) -> str:
    gaps = [name for name, metres in zip(names, lengths, strict=True) if not metres.known or metres.value <= 0]
    return f"the length to {', '.join(dict.fromkeys(gaps))} is not known" if gaps else ""


def _per_m(line: Fact[float], earth: Fact[float]) -> dict[str, float]:
    return {"L": line.value, "N": line.value, "E": earth.value}


def _smaller_by(circuit: CircuitDesign, line_mohm_per_m: float) -> dict[str, float]:
    """How much more the next smaller size of the table has; none where there is none."""
    thinner = [row["value"] for row in rows("conductor_resistance", circuit.books) if row["value"] > line_mohm_per_m]
    return dict.fromkeys("LN", min(thinner) / line_mohm_per_m) if thinner else {}


def _sd(lengths: Sequence[Fact[float]]) -> float:
    return MEASURED_SD if all(metres.how == "measured" for metres in lengths) else DRAWN_SD
