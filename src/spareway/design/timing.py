"""Currents and times of one circuit set against one another: when its device opens, what its conductors bear, its fault currents.

Only what stands in print: a fuse by the points of its curve, a breaker by what its standard holds it to. Between two points of
a breaker nothing is laid: it opens no later at a greater current, and that is all that is known of it there.
"""
from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from spareway.design.route import settled
from spareway.fact import Fact, solved, unknown
from spareway.physics import fault
from spareway.physics.curves import Curve, instant_holds_a, opens_within_s
from spareway.physics.supply import fusing_a, nonfusing_a
from spareway.tables import Books, NoRow, look_up, rows

if TYPE_CHECKING:
    from spareway.design.circuit import CircuitDesign

__all__ = ["HOUR_S", "LONGEST_S", "SHORTEST_S", "Band", "Bears", "Opening", "Spot", "Timing", "timing"]

FUSES = ("rewirable", "cartridge")
HOUR_S = 3600.0
LONGEST_S, SHORTEST_S = 5.0, 0.1                 # 434.5.2, 543.1.3: within these a conductor keeps all its heat


@dataclass(frozen=True, slots=True)
class Spot:
    """A current and a time, as facts."""
    current: Fact[float]
    time: Fact[float]

    @property
    def a(self) -> float:
        """Errors: NotKnown."""
        return self.current.value

    @property
    def s(self) -> float:
        """Conventional times are printed in hours. Errors: NotKnown."""
        return self.time.value * (HOUR_S if self.time.name == "conventional_h" else 1.0)

    @property
    def known(self) -> bool:
        return self.current.known and self.time.known


@dataclass(frozen=True, slots=True)
class Opening:
    """When a device opens, current rising. points: of a fuse's curve, joined by straight lines on the print.

    holds: it does not open sooner there than at that time. opens: it opens no later there. why: it is not told, and why not."""
    name: str
    points: tuple[Spot, ...] = ()
    holds: tuple[Spot, ...] = ()
    opens: tuple[Spot, ...] = ()
    why: str = ""


@dataclass(frozen=True, slots=True)
class Bears:
    """What a conductor bears, "line" or "earth": k²S², and the spot at which that meets what opens the circuit, if it does.

    meets: of a fuse on its curve; of a breaker the greatest current that the conductor bears for as long as the breaker may take
    at once. Beyond it the time tells nothing, and the energy the device lets through decides. first: what comes first at every
    point of a fuse's curve, where the two do not meet: "device", which opens, or "conductor", which is too hot."""
    what: str
    size_mm2: Fact[float]
    energy_a2s: Fact[float]
    meets: Spot | None
    first: str = ""


@dataclass(frozen=True, slots=True)
class Band:
    """A current of the circuit, or the least and the greatest that it may be."""
    name: str
    least_a: Fact[float]
    most_a: Fact[float]


@dataclass(frozen=True, slots=True)
class Timing:
    """All of it. within_s: the time in which a fault to earth must be cleared; its device: what should do so."""
    device: Opening
    service: Opening
    bears: tuple[Bears, ...]
    currents: tuple[Band, ...]
    within_s: Fact[float]
    system: Fact[str]


def timing(circuit: CircuitDesign) -> Timing:
    """Currents and times of a circuit; what nobody knows of it is unknown and says why."""
    supply = circuit.design.supply
    device = _device(circuit)
    service = _fuse("service fuse", circuit.books, supply.fuse, supply.fuse_a)
    return Timing(device, service, tuple(_bears(circuit, device)), tuple(_currents(circuit)),
                  _asked("limit_s", lambda: circuit.clear_limit_s), supply.earthing)


def _asked(name: str, ask: Callable[[], Fact[Any]]) -> Fact[Any]:
    """A quantity; unknown where a value of the record stands outside of every table."""
    try:
        return ask()
    except NoRow as outside:
        return unknown(name, str(outside))


# ---- devices --------------------------------------------------------------------------------------------------------
def _device(circuit: CircuitDesign) -> Opening:
    device, of, rating = circuit.device, circuit.device_kind, _asked("rating_a", lambda: circuit.rating_a)
    if of is None:
        return Opening("its device", why="no device is recorded")
    name = f"{device.kind.replace('-', ' ')} {device.curve.amount if device.curve.known else ''}{rating}"
    if device.kind in FUSES:
        return _fuse(name, circuit.books, circuit.fuse, rating)
    if "curve" not in of.facts:
        return Opening(name, why="it does not open on overcurrent")
    return _breaker(name, circuit, rating)


def _fuse(name: str, books: Books, fuse: Fact[str], rating: Fact[float]) -> Opening:
    """The points of a fuse's curve that are in the tables, and what it holds and opens at in its conventional time."""
    if not (fuse.known and rating.known):
        return Opening(name, why="; ".join(f"{f.at or f.name}: {f.note}" for f in (fuse, rating) if not f.known))
    same = {row["clear_s"] for row in rows("ia_fuse", books) if row["rating_a"] == rating.value}
    points = []
    for time_s in sorted(same, reverse=True):
        time = settled("clear_s", float(time_s), "point of its curve")
        spot = Spot(_asked("ia_a", lambda time=time: look_up("ia_fuse", books, fuse, rating, time)), time)  # type: ignore[misc]
        points += [spot] if spot.known else []
    hour = _asked("conventional_h", lambda: look_up("conventional_time", books, fuse, rating))
    holds = Spot(_asked("nonfusing_a", lambda: nonfusing_a.worked(rating, look_up("fuse_holds", books, fuse, rating))), hour)
    opens = Spot(_asked("fusing_a", lambda: fusing_a.worked(rating, look_up("fuse_opens", books, fuse, rating))), hour)
    why = "" if points else f"no point of the curve of a {rating} fuse {fuse} is in the tables"
    return Opening(name, tuple(points), (holds,) if holds.known else (), (opens,) if opens.known else (), why)


def _breaker(name: str, circuit: CircuitDesign, rating: Fact[float]) -> Opening:
    """What its standard holds a breaker to: an hour or two, a minute or two at a greater overload, and at once."""
    books, curve = circuit.books, circuit.device.curve
    if not (curve.known and rating.known):
        return Opening(name, why="; ".join(f"{f.at or f.name}: {f.note}" for f in (curve, rating) if not f.known))
    kind = settled("device", "breaker", "kind of device")
    hour = _asked("conventional_h", lambda: look_up("conventional_time", books, kind, rating))
    at_once = circuit.bound_s
    holds = [Spot(_asked("nonfusing_a", lambda: nonfusing_a.worked(rating, look_up("fuse_holds", books, kind, rating))), hour),
             Spot(_asked("ia_a", lambda: instant_holds_a.worked(look_up("instant_holds", books, curve), rating)), at_once)]
    test = settled("case", "overload_test_multiple", "Table 7")
    opens = [Spot(_asked("fusing_a", lambda: fusing_a.worked(rating, look_up("fuse_opens", books, kind, rating))), hour),
             Spot(_asked("fusing_a", lambda: fusing_a.worked(rating, look_up("thresholds", books, test))),
                  _asked("clear_s", lambda: look_up("overload_time", books, rating))),
             Spot(_asked("ia_a", lambda: circuit.ia_a), at_once)]
    return Opening(name, (), tuple(s for s in holds if s.known), tuple(s for s in opens if s.known),
                   "" if opens[-1].known else f"what opens it at once is not known: {opens[-1].current.note}")


# ---- currents -------------------------------------------------------------------------------------------------------
def _currents(circuit: CircuitDesign) -> Iterator[Band]:
    load, rating, carries = (_asked("load_a", lambda: circuit.load_a), _asked("rating_a", lambda: circuit.rating_a),
                             _asked("iz_a", lambda: circuit.iz_a))
    yield from (Band("Ib", load, load), Band("In", rating, rating), Band("Iz", carries, carries))
    far, near = _asked("zs_ohm", lambda: circuit.zs_ohm), _asked("ze_ohm", lambda: circuit.ze_ohm)
    supply = circuit.design.supply
    for name, loop, most in (("far end", far, lambda: circuit.fault_far_a), ("board", near, lambda: circuit.fault_near_a)):
        yield Band(name, fault.least_fault_a.worked(supply.cmin, supply.u0_v, loop), _asked("prospective_a", most))
    greatest = _asked("prospective_a", lambda: circuit.heat.greatest_a)
    yield Band("any fault", greatest, greatest)


# ---- conductors -----------------------------------------------------------------------------------------------------
def _bears(circuit: CircuitDesign, device: Opening) -> Iterator[Bears]:
    live = look_up("k", circuit.books, settled("case", "live conductor", "Table 43.1"))
    line = _asked("k2s2_a2s", lambda: fault.k2s2_a2s.worked(live, circuit.cable.line_mm2))
    for what, size, energy in (("line", circuit.cable.line_mm2, line),
                               ("earth", circuit.cable.cpc_mm2, _asked("k2s2_a2s", lambda: circuit.withstand_a2s))):
        if energy.known and device.points:
            yield _on_curve(what, size, energy, device.points)
        else:
            at_once = device.opens and device.opens[-1].time is circuit.bound_s
            yield Bears(what, size, energy, _bears_at_once(energy, circuit.bound_s) if energy.known and at_once else None)


def _bears_at_once(energy: Fact[float], at_once: Fact[float]) -> Spot:
    """The greatest current that a conductor bears for so long."""
    return Spot(solved("fault_a", lambda e, t: math.sqrt(e / t), (energy, at_once), "I² × t = k²S²",
                       lambda i, e, t: (i * i * t, e), "BS 7671 434.5.2, solved for the current"), at_once)


def _on_curve(what: str, size: Fact[float], energy: Fact[float], points: Sequence[Spot]) -> Bears:
    """Where the energy that a conductor bears meets the curve, on the straight line between two of its points."""
    def over(spot: Spot) -> float:
        return spot.a ** 2 * spot.s - energy.value
    for low, high in pairwise(points):
        if (over(low) > 0) != (over(high) > 0):
            facts = (energy, low.current, low.time, high.current, high.time)
            current = solved("fault_a", _crossing_a, facts, "I² × t = k²S², t on the straight line between two points",
                             lambda i, e, *ends: (i * i * _between_s(i, *ends), e), "BS 7671 434.5.2; Appendix 3")
            time = solved("clear_s", lambda e, i: e / i ** 2, (energy, current), "I² × t = k²S²",
                          lambda t, e, i: (i * i * t, e), "BS 7671 434.5.2")
            return Bears(what, size, energy, Spot(current, time))
    return Bears(what, size, energy, None, "conductor" if over(points[0]) > 0 else "device")


def _crossing_a(energy_a2s: float, low_a: float, low_s: float, high_a: float, high_s: float) -> float:
    steep = math.log(high_s / low_s) / math.log(high_a / low_a)
    if abs(steep + 2) < 1e-9:
        raise ValueError("the two lines run side by side")
    return low_a * math.exp(math.log(energy_a2s / (low_a ** 2 * low_s)) / (steep + 2))


def _between_s(at_a: float, low_a: float, low_s: float, high_a: float, high_s: float) -> float:
    return opens_within_s(Curve(((low_a, low_s), (high_a, high_s))), at_a)
