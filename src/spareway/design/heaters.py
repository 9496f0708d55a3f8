"""The heaters of a room at the voltage they get: what they give, whether that meets the room, which sizes would.

A resistance gives by the square of the voltage: what is stamped for 240 V is 8 per cent less at 230 V and 19 per cent less at the
lowest voltage the network may supply. Heat is reckoned at 230 V and at that lowest voltage, current at the highest.
"""
from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations_with_replacement
from typing import TYPE_CHECKING

from spareway.design.around import HEATERS
from spareway.design.room import RoomDesign, is_said, looked_up, span
from spareway.design.route import renamed, settled
from spareway.design.told_twice import alone, told_twice
from spareway.fact import Fact, chosen, total, unknown
from spareway.job.types import Equipment
from spareway.physics import heat, load
from spareway.tables import rows

if TYPE_CHECKING:
    from spareway.design.design import Design

MOST_N = 8                                          # heaters tried for one room
STORES = "a storage heater gives back what it took up in the night, not what is stamped on it: write what it gives by its maker"
STORES_AT_POINT = f"{STORES}, among the equipment"
NOTHING = "no heater of this room is recorded"
OLD_STAMP_V = 240.0                                 # for which many heaters are still stamped


@dataclass(frozen=True, slots=True, eq=False)
class Heater:
    """A heater of the record: a thing in a room, or a point of a circuit that feeds one. on: the circuit, or nothing.

    stored_w: what a storage heater gives through the hours its room is warm, by its maker, at the voltage that is stamped."""
    name: str
    at: str
    kind: str
    room: str
    on: str
    stamped_w: Fact[float]
    stamped_v: Fact[float]
    stored_w: Fact[float] | None = None

    def given_w(self, supply_v: Fact[float], stamped_v: Fact[float] | None = None) -> Fact[float]:
        """Its output at this voltage; as if it were stamped for another one where that is given."""
        stamp = self.stamped_v if stamped_v is None else stamped_v
        return renamed(load.element_w.worked(self._output_w, stamp, supply_v), "given_w")

    @property
    def _output_w(self) -> Fact[float]:
        """At the voltage that is stamped: what it takes, or what it took up in the night gives, which falls alike."""
        if self.kind != "storage-heater":
            return self.stamped_w
        if self.stored_w is None:
            return unknown("given_w", STORES_AT_POINT, at=self.at)
        return self.stored_w if is_said(self.stored_w) else unknown("given_w", STORES, at=self.stored_w.at)

    def current_a(self, supply_v: Fact[float]) -> Fact[float]:
        return heat.heater_a.worked(self.stamped_w, supply_v, self.stamped_v)


def heaters(design: Design) -> list[Heater]:
    """Every heater of the record, in its order. A point and a circuit state their power at the nominal voltage."""
    nominal = renamed(design.supply.u0_v, "stamped_v")
    found = [_standing(e, design, nominal) for e in design.inst.equipment.values() if e.kind in HEATERS]
    for name, circuit in design.inst.circuits.items():
        found += [Heater(f"{name}.{p.name}", f"circuits.{name}.points.{p.name}", p.feeds or circuit.feeds, p.room, name,
                         renamed(p.load_w, "stamped_w"), nominal)
                  for p in alone(design.circuits[name]) if (p.feeds or circuit.feeds) in HEATERS]
        if circuit.feeds in HEATERS and not circuit.points and not any(h.on == name for h in found):
            found.append(Heater(name, f"circuits.{name}", circuit.feeds, "", name, renamed(circuit.load_w, "stamped_w"), nominal))
    return found


def _standing(thing: Equipment, design: Design, nominal_v: Fact[float]) -> Heater:
    """A heater among the equipment. What nobody said of it is taken from its point, where that tells of the same heater."""
    circuit = design.circuits.get(thing.on)
    point = told_twice(circuit) if circuit else None
    same = [e for e in circuit.stands_at_end if e.kind == thing.kind] if circuit else []
    room, stamp = thing.room, (thing.stamped_w, thing.stamped_v)
    if point is not None and same == [thing]:
        room = room or point.room
        if not thing.stamped_w.known and point.load_w.known:
            stamp = renamed(point.load_w, "stamped_w"), nominal_v
    return Heater(thing.name, f"equipment.{thing.name}", thing.kind, room, thing.on, *stamp, stored_w=thing.given_w)


def voltage(design: Design, case: str) -> Fact[float]:
    """The declared voltage, the upper or the lower limit of the public supply."""
    return renamed(looked_up("supply_voltage", design, settled("case", case, "ESQCR 2002, regulation 27")), "supply_v")


@dataclass(frozen=True, slots=True)
class Met:
    """What the heaters of a room give at a voltage, against what is wanted of them. ok: yes, no, or cannot tell.

    most_w: what is wanted at the most the room may lose; None where that is not known
    unsaid: the parts of the room of which nobody said anything: so much is wanted at least, and nothing is enough for that"""
    supply_v: Fact[float]
    given_w: Fact[float]
    required_w: Fact[float]
    most_w: float | None
    unsaid: tuple[str, ...] = ()

    @property
    def ok(self) -> bool | None:
        if not (self.given_w.known and self.required_w.known):
            return None
        enough = bool(self.given_w.value >= self.required_w.value)
        return None if enough and self.unsaid else enough

    @property
    def short_w(self) -> float | None:
        """How much is wanting (W); negative where there is more than enough."""
        return None if self.ok is None else self.required_w.value - self.given_w.value

    @property
    def short_at_most_w(self) -> float | None:
        """How much is wanting (W) at the most the room may lose; negative where there is enough even then."""
        return None if self.ok is None or self.most_w is None else self.most_w - self.given_w.value


class RoomHeaters:
    """The heaters of one room against what it loses."""

    def __init__(self, room: RoomDesign, of_home: Sequence[Heater]) -> None:
        self.room, self.design = room, room.design
        self.heaters = tuple(h for h in of_home if h.room == room.room.name)

    def met(self, case: str, stamped_v: float | None = None) -> Met:
        """At a case of the supply's voltage; as if all were stamped for so many volts where that is asked."""
        supply = voltage(self.design, case)
        stamp = None if stamped_v is None else Fact("stamped_v", stamped_v, "stated", "asked: what if")
        return Met(supply, self.given_w(supply, stamp), self.room.counted_required_w, self.most_w, self.room.unsaid)

    def given_w(self, supply_v: Fact[float], stamped_v: Fact[float] | None = None) -> Fact[float]:
        """What they give together at this voltage; as if all were stamped for another one where that is given."""
        given = [h.given_w(supply_v, stamped_v) for h in self.heaters]
        return total("given_w", given, "all heaters of the room") if given else self._none

    @cached_property
    def most_w(self) -> float | None:
        """Output wanted (W) at the most the room may lose; None where what is wanted is not known."""
        between = span(self.room.required_w)
        return between.most if between else None

    @property
    def _none(self) -> Fact[float]:
        return unknown("given_w", NOTHING, at=self.room.at)

    @cached_property
    def chosen_w(self) -> Fact[float]:
        """What the sizes chosen give at the declared voltage, stamped for it: the fewest heaters, of those the least output."""
        return choice(self.room.required_w, ladder(self.design))

    @cached_property
    def sizes_w(self) -> tuple[float, ...]:
        """Those sizes, the largest first; none where what is wanted is not known."""
        return fitting(self.room.required_w.value, ladder(self.design)) if self.chosen_w.known else ()


# ---- sizes -----------------------------------------------------------------------------------------------------------
def ladder(design: Design) -> tuple[float, ...]:
    """The sizes a heater is chosen from (W), rising: common practice, where the firm has said nothing else."""
    return tuple(sorted(row["value"] for row in rows("heater_sizes", design.books) if row["ladder"] == "yes"))


def fitting(required_w: float, sizes_w: Sequence[float]) -> tuple[float, ...]:
    """The fewest heaters that give what is wanted; of those the least output, then the most alike; the largest first.

    Errors: ValueError where not even eight of the largest do."""
    for n in range(1, MOST_N + 1):
        if n * max(sizes_w) >= required_w:
            enough: list[tuple[float, ...]] = [c for c in combinations_with_replacement(sizes_w, n)
                                               if math.fsum(c) >= required_w]
            return min(enough, key=lambda c: (math.fsum(c), c[-1]))[::-1]
    raise ValueError(f"not even {MOST_N} heaters of {max(sizes_w):g} W give so much")


def choice(required_w: Fact[float], sizes_w: Sequence[float]) -> Fact[float]:
    """The output of the sizes that fit, as a fact: what was tried and why these."""
    return chosen("ladder_w", lambda wanted: math.fsum(fitting(wanted, sizes_w)), [required_w],
                  f"{', '.join(f'{s:g}' for s in sizes_w)} W", "the fewest heaters, then the least output, then the most alike",
                  "sizes a firm fits: common practice, no source")


def no_longer_met(rooms: Sequence[RoomHeaters], case: str, stamped_v: float = OLD_STAMP_V) -> Iterator[str]:
    """The rooms met at the declared voltage, by the stamps of the record, that are not met at this case with such a stamp."""
    for each in rooms:
        if each.met("declared voltage").ok and each.met(case, stamped_v).ok is False:
            yield each.room.room.name
