"""What the conductors of a circuit should have at 20 °C between the places where they are read, and how far that is in doubt.

A length is known as well as the record says; a ring's is better known once its line conductor was read end to end.
"""
from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from functools import lru_cache
from math import inf
from typing import TYPE_CHECKING, Any
from weakref import WeakKeyDictionary

from spareway.design.ring import round_the_ring
from spareway.design.route import renamed, settled
from spareway.design.spurs import on_ring
from spareway.fact import Fact, Formula, chosen, glossary, total, unknown
from spareway.job.types import Point
from spareway.physics import cable
from spareway.physics import ring as rings
from spareway.physics.sharing import ring_r1r2_at_ohm
from spareway.tables import Books, look_up

if TYPE_CHECKING:
    from spareway.design.circuit import CircuitDesign
    from spareway.design.run import RunDesign

__all__ = ["Wire", "along", "crosswise", "end_to_end", "figure", "in_service", "leg", "length_share", "of_run"]

LENGTHS = ("length_m", "back_m", "ring_length_m")
SIZE = {"L": "line_mm2", "N": "line_mm2", "E": "cpc_mm2"}
PER_M, OHM = {"L": "r1_mohm_per_m", "N": "r1_mohm_per_m", "E": "r2_mohm_per_m"}, {"L": "r1_ohm", "N": "r1_ohm", "E": "r2_ohm"}
END = {"L": "ring_r1_ohm", "N": "ring_rn_ohm", "E": "ring_r2_ohm"}
CROSSWISE = {"LN": rings.ring_ln_at_ohm, "LE": rings.ring_le_at_ohm, "NE": rings.ring_ne_at_ohm}


@lru_cache(128)
def figure(name: str, case: str, books: Books) -> Fact[float]:
    """A figure of a table that is read by its case."""
    return look_up(name, books, settled("case", case, "named by the reading"))


@dataclass(frozen=True, slots=True)
class Wire:
    """A resistance at 20 °C as the record leads to it; the least and the most it may be by the lengths (Ω); how many joints add
    to it; what it rests on, in words."""
    ohm: Fact[float]
    least_ohm: float
    most_ohm: float
    joints_n: float
    why: str


def length_share(fact: Fact[Any], books: Books) -> float:
    """The share by which the lengths that a fact rests on may be out: that of the least known of them."""
    ways = {each.how for each in fact.roots() if each.name in LENGTHS and each.known and not each.inputs}
    return max((float(figure("reading_doubt", f"length {how}", books).value) for how in ways), default=0.0)


def _wire(ohm: Fact[float], share: float, joints_n: float, why: str) -> Wire:
    if ohm.amount is None:
        gaps = "; ".join(dict.fromkeys(f"{glossary(gap.name).says}: {gap.note or 'not recorded'}" for gap in ohm.missing()))
        return Wire(ohm, 0.0, inf, joints_n, gaps or "a length or a size is not known")
    return Wire(ohm, ohm.value * (1 - share), ohm.value * (1 + share), joints_n, why)


def _how_known(share: float) -> str:
    return f"lengths known to {share * 100:.0f} %"


# ---- a circuit that is no ring --------------------------------------------------------------------------------------
def _chain(circuit: CircuitDesign, start: Collection[str], to: str) -> list[Point]:
    """The points from the board, or from one of these, to this one."""
    by_name, here, found = circuit.circuit.points, to, list[Point]()
    while here in by_name and here not in start and by_name[here] not in found:
        found.append(by_name[here])
        here = by_name[here].from_
    return found[::-1]


def _piece_ohm(circuit: CircuitDesign, point: Point, core: str) -> Fact[float]:
    own: Fact[float] = getattr(point, SIZE[core])
    per_m = look_up("conductor_resistance", circuit.books, own) if own.known else getattr(circuit, PER_M[core])
    return (cable.r2_ohm if core == "E" else cable.r1_ohm).worked(per_m, point.length_m)


def along(circuit: CircuitDesign, cores: str, to: str = "") -> Wire:
    """These cores in series from the board to a point of a radial, or to its far end; a spur's from where it leaves its ring.

    cores: "L" and "E" for R1+R2. Where the points have no lengths the whole cable is the most it can be."""
    points = circuit.circuit.points
    chain = _chain(circuit, on_ring(circuit), to) if to else []
    if chain and all(p.length_m.known for p in chain):
        ohm = total("r_ohm", [_piece_ohm(circuit, p, core) for core in cores for p in chain], "point to point")
        share = length_share(ohm, circuit.books)
        return _wire(ohm, share, len(chain) * len(cores), _how_known(share))
    whole = total("r_ohm", [renamed(getattr(circuit, OHM[core]), "r_ohm") for core in cores], "in series")
    share = length_share(whole, circuit.books)
    ends = [name for name in points if name not in {p.from_ for p in points.values()}]
    joints_n = max(len(points), 1) * len(cores)
    if not to or not points or ends == [to]:
        return _wire(whole, share, joints_n, _how_known(share))
    gap = unknown("r_ohm", f"the length to {to} is not recorded", at=f"{circuit.at}.points.{to}")
    most = whole.amount * (1 + share) if whole.amount is not None and not circuit.is_ring else inf
    return Wire(gap, 0.0, most, joints_n, f"the length to {to} is not recorded: up to the whole cable")


# ---- a ring ---------------------------------------------------------------------------------------------------------
def end_to_end(circuit: CircuitDesign, core: str, line_m: Fact[float] | None = None) -> Wire:
    """A conductor of a ring from leg A to leg B. line_m: the way round as the line conductor, read end to end, tells it."""
    kept = _ends.setdefault(circuit, {})
    if (core, line_m) not in kept:
        kept[core, line_m] = _end_to_end(circuit, core, line_m)
    return kept[core, line_m]


_ends: WeakKeyDictionary[CircuitDesign, dict[tuple[str, Fact[float] | None], Wire]] = WeakKeyDictionary()


def _end_to_end(circuit: CircuitDesign, core: str, line_m: Fact[float] | None) -> Wire:
    length = circuit.length_m if line_m is None else line_m
    ohm = (cable.r2_ohm if core == "E" else cable.r1_ohm).worked(getattr(circuit, PER_M[core]), length)
    share, why = _round(circuit, ohm, line_m)
    return _wire(renamed(ohm, END[core]), share, len(circuit.circuit.points) + 1, why)


def _round(circuit: CircuitDesign, ohm: Fact[float], line_m: Fact[float] | None) -> tuple[float, str]:
    """How well the way round a ring is known, and by what."""
    if line_m is None:
        share = length_share(ohm, circuit.books)
        return share, _how_known(share)
    share = line_m.span[1] / line_m.value - 1 if line_m.span and line_m.amount else 0.0
    return share, f"by its line conductor as it was read end to end, known to {share * 100:.0f} %"


def _position(circuit: CircuitDesign, to: str) -> Fact[float]:
    """The share of the way round at which a point stands."""
    order = round_the_ring(circuit)
    names = [p.name for p in order]
    if to not in names:
        return unknown("ring_position", f"{to or 'the place'} is not on a single way round", at=circuit.at)
    way = total("length_m", [p.length_m for p in order[:names.index(to) + 1]], "point to point")
    whole = total("length_m", [*(p.length_m for p in order), order[-1].back_m], "right round")
    return chosen("ring_position", lambda part, all_round: part / all_round, [way, whole], "the way to it and the way round",
                  "the one over the other", "share of the way round")


def crosswise(circuit: CircuitDesign, cores: str, to: str, line_m: Fact[float] | None = None) -> Wire:
    """Between these two cores at a point of a ring whose legs are joined crosswise; at the end of a spur with the spur's own.

    Anywhere round where no point is named, or where its place is not known."""
    return _round_at(circuit, cores, to, line_m, CROSSWISE[cores])


def in_service(circuit: CircuitDesign, to: str, line_m: Fact[float] | None = None) -> Wire:
    """Line and protective conductor from the board to a point of a ring in service, by both legs."""
    return _round_at(circuit, "LE", to, line_m, ring_r1r2_at_ohm)


def _round_at(circuit: CircuitDesign, cores: str, to: str, line_m: Fact[float] | None, formula: Formula) -> Wire:
    ring = on_ring(circuit)
    head = next((p.from_ for p in _chain(circuit, ring, to)[:1]), to) if to not in ring else to
    one, other = (end_to_end(circuit, core, line_m) for core in cores)
    at = _position(circuit, head)
    share, why = _round(circuit, one.ohm, line_m)
    if at.amount is None:
        places, at, why = [0.0, 0.5], settled("ring_position", 0.5, "the middle, where it is most"), f"anywhere round; {why}"
    else:
        places = [min(max(at.value * (1 + s), 0.0), 1.0) for s in (-share, 0.0, share)]
        if min(places) < 0.5 < max(places):
            places.append(0.5)
    ohm = formula.worked(one.ohm, other.ohm, at)
    if ohm.amount is None:
        found = _wire(ohm, share, one.joints_n / 2, why)
    else:
        values = [float(formula(one.ohm.value, other.ohm.value, x)) for x in places]
        found = Wire(ohm, min(values) * (1 - share), max(values) * (1 + share), one.joints_n / 2, why)
    return _and_spur(circuit, cores, to, found) if head != to else found


def _and_spur(circuit: CircuitDesign, cores: str, to: str, ring: Wire) -> Wire:
    spur = along(circuit, cores, to)
    ohm = total(ring.ohm.name, [ring.ohm, spur.ohm], "the ring, and the spur from it")
    return Wire(ohm, ring.least_ohm + spur.least_ohm, ring.most_ohm + spur.most_ohm, ring.joints_n + spur.joints_n, ring.why)


def leg(circuit: CircuitDesign, core: str, to: str, back: bool, line_m: Fact[float] | None = None) -> Wire:
    """One conductor of a ring from a leg at the board to a point, ends open. back: from leg B."""
    whole, at = end_to_end(circuit, core, line_m), _position(circuit, to)
    ohm = chosen("leg_ohm", lambda all_round, x: all_round * ((1 - x) if back else x), [whole.ohm, at],
                 f"from leg {'B' if back else 'A'}", "its share of the way round", "one conductor")
    share = max(_round(circuit, whole.ohm, line_m)[0], length_share(at, circuit.books))
    return _wire(ohm, share, whole.joints_n, whole.why)


# ---- a run ----------------------------------------------------------------------------------------------------------
def of_run(run: RunDesign, name: str) -> Wire:
    """A bond, an earthing conductor or a core of another run, end to end; `r2_ohm` is the protective conductor within it."""
    ohm = renamed(run.r2_ohm if name == "r2_ohm" else run.r1_ohm, "r_ohm")
    share = length_share(ohm, run.books)
    return _wire(ohm, share, 2, _how_known(share))
