"""What a home demands, three ways that are never mixed: as connected, by the book, as recorded by a logger.

A fourth, as foreseen, is a simulation's and stands elsewhere. Each line of each figure is a fact with its source; one that lacks
an input is unknown, makes its own total unknown, and leaves the others standing.
"""
from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from spareway.design.around import HEATERS
from spareway.design.load import CHARGING, WATER, parts_of
from spareway.design.route import renamed, settled
from spareway.fact import Fact, chosen, total, unknown
from spareway.physics import cable, supply
from spareway.tables import NoRow, look_up

if TYPE_CHECKING:
    from spareway.design.circuit import CircuitDesign
    from spareway.design.design import Design

__all__ = ["BOOK", "GENERAL", "OWN", "BookLine", "Demand"]

LAMPS, STORAGE, INSTANT = ("lamp", "lights"), "storage-heater", "shower"
OWN, GENERAL = "panel heaters on their own circuits", "heating and power"        # the two readings of the row that is disputed
BOOK = "On-Site Guide Table A2"
LEFT_OUT = {"alarms": "a few watts: left out. Common practice, no source", "nothing": "joined to nothing"}
HOUSEHOLD = "household"


@dataclass(frozen=True, slots=True)
class BookLine:
    """One row of the book: what it is for, what falls under it (addresses), the demand (A)."""
    row: str
    of: tuple[str, ...]
    demand_a: Fact[float]


class Demand:
    """The demand of all circuits of one installation. `left_out`: what counts in no row, and why."""

    def __init__(self, design: Design) -> None:
        self.design, self.books = design, design.books
        self.circuits = [c for c in design.circuits.values() if not (c.is_surge or c.is_submain)]
        self.left_out: list[tuple[str, str]] = []
        self._by_row: dict[str, list[tuple[str, Fact[float]]]] = {}
        self._sort()

    # ---- what falls under which row -----------------------------------------------------------------------------------
    def _sort(self) -> None:
        """Everything recorded under its row. A circuit of sockets counts as a whole, with all that hangs on it."""
        for circuit in self.circuits:
            if circuit.feeds_sockets:
                self._put("standard circuits", circuit.at, circuit.rating_a)
            elif circuit.use_unsaid:
                self._put("sockets and stationary", circuit.at, unknown("load_a", "nobody said what it feeds", at=circuit.at))
            else:
                self._sort_parts(circuit)
        for name, thing in self.design.inst.equipment.items():
            if thing.kind in (*HEATERS, *WATER, *CHARGING) and not thing.on:
                self._put(_row_of(thing.kind), f"equipment.{name}", unknown("load_a", "no circuit is recorded for it",
                                                                            at=f"equipment.{name}"))

    def _sort_parts(self, circuit: CircuitDesign) -> None:
        for at, what, power in parts_of(circuit):
            if what in LEFT_OUT:
                self.left_out.append((at, LEFT_OUT[what]))
            elif what in LAMPS:
                self._put("lighting", at, self._lamp_w(at, what))
            else:
                self._put(_row_of(what), at, self._amps(power))

    def _put(self, row: str, at: str, amount: Fact[float]) -> None:
        self._by_row.setdefault(row, []).append((at, amount))

    def _lamp_w(self, at: str, what: str) -> Fact[float]:
        """A lampholder as the book counts one; a circuit of lamps that nobody counted is unknown."""
        if what == "lights":
            return unknown("load_w", "how many lampholders it has is not recorded", at=at)
        return look_up("point_demand", self.books, settled("point", "lighting", "a lampholder, by the book"))

    def _amps(self, power: Fact[float]) -> Fact[float]:
        return cable.load_a.worked(power, self.design.supply.u0_v)

    # ---- connected ------------------------------------------------------------------------------------------------------
    @cached_property
    def connected(self) -> tuple[tuple[str, Fact[float]], ...]:
        """Every fixed appliance at once, at the nominal voltage (address, A); what is plugged in nobody recorded."""
        out = []
        for circuit in self.circuits:
            out += [(at, self._amps(power)) for at, what, power in parts_of(circuit) if what not in LEFT_OUT
                    and what not in LAMPS]
            lamps = [circuit.point_w(p) for p in circuit.circuit.points.values()
                     if (p.feeds or circuit.circuit.feeds) in LAMPS]
            if lamps or circuit.circuit.feeds == "lights":
                out.append((circuit.at, self._amps(circuit.circuit.load_w if circuit.circuit.load_w.known or not lamps
                                                   else total("load_w", lamps, "its lamps"))))
        return tuple(out)

    @cached_property
    def connected_a(self) -> Fact[float]:
        return total("demand_a", [amps for _, amps in self.connected], "every fixed appliance and lamp at once")

    @cached_property
    def lasting_a(self) -> Fact[float]:
        """What stays on for hours after an outage or at a common start: heaters and stored water, before anything is cooked."""
        own = [amps for (at, amps), what in zip(self.connected, self._kinds(), strict=True)
               if what in (*HEATERS, "immersion", "water-heater")]
        return total("demand_a", own, "heaters and stored water at once")

    def _kinds(self) -> Iterator[str]:
        """Of each entry of `connected` what it is."""
        kinds = {at: what for c in self.circuits for at, what, _ in parts_of(c) if what not in LAMPS}
        for at, _ in self.connected:
            yield kinds.get(at, "lights")

    # ---- by the book ----------------------------------------------------------------------------------------------------
    def book(self, heaters: str = OWN) -> tuple[BookLine, ...]:
        """Row by row. heaters: OWN counts heaters on circuits of their own whole, for which the book has no row; GENERAL reads
        them as heating and power: 10 A whole and half of the rest; nothing leaves them out."""
        out = []
        for row, found in self._by_row.items():
            if row == OWN and not heaters:
                continue
            under = heaters if row == OWN else row
            out.append(BookLine(under, tuple(at for at, _ in found), self._row_a(under, [amount for _, amount in found])))
        return tuple(out)

    def book_a(self, heaters: str = OWN) -> Fact[float]:
        return total("demand_a", [line.demand_a for line in self.book(heaters)], f"{BOOK}, row by row")

    def _row_a(self, row: str, amounts: Sequence[Fact[float]]) -> Fact[float]:
        """The demand of what falls under one row."""
        if row == "lighting":
            connected = self._amps(total("load_w", amounts, "lampholders, by the book"))
            return renamed(supply.shared_demand_a.worked(connected, self._share(row, "first")), "demand_a")
        load = total("load_a", amounts, "what falls under this row")
        if row in (GENERAL, "cooking"):
            first = look_up("diversity_first", self.books, settled("load", row, BOOK))
            if row == "cooking":
                none = settled("socket_a", 0.0, "no socket outlet recorded at its switch")
                return renamed(supply.cooker_demand_a.worked(load, first, self._share(row, "rest"), none), "demand_a")
            return renamed(supply.first_and_rest_a.worked(load, first, self._share(row, "rest")), "demand_a")
        return self._ranked(row, amounts)

    def _ranked(self, row: str, amounts: Sequence[Fact[float]]) -> Fact[float]:
        """The largest whole, a share of the others."""
        second = [self._share(row, "second")] if row in ("instantaneous water heaters", "sockets and stationary") else []
        shares = [self._share(row, "first"), *second, self._share(row, "rest")]
        n = len(amounts)
        said = f"the largest of {n} by its own share, the others by theirs" if n > 1 else "one alone"
        return chosen("demand_a", lambda *all_: supply.demand_by_rank_a(all_[:n], all_[n:]), [*amounts, *shares], said,
                      "by rank", f"{BOOK}, {row}")

    def _share(self, row: str, part: str) -> Fact[float]:
        return look_up("diversity", self.books, settled("premises", HOUSEHOLD, "a home"), settled("load", row, BOOK),
                       settled("part", part, BOOK))

    # ---- what carries it ------------------------------------------------------------------------------------------------
    @cached_property
    def holds_a(self) -> Fact[float]:
        """What the service fuse holds for its conventional time of hours, where its standard says so."""
        supplied = self.design.supply
        try:
            factor = look_up("fuse_holds", self.books, supplied.fuse, supplied.fuse_a)
        except NoRow:
            factor = unknown("nonfusing_factor", f"no source here says it of a fuse to {supplied.fuse.value.upper()}")
        return supply.nonfusing_a.worked(supplied.fuse_a, factor)


def _row_of(what: str) -> str:
    """The row of the book under which an appliance on a circuit of its own falls."""
    if what == STORAGE:
        return "storage heating"
    if what in HEATERS:
        return OWN
    if what in CHARGING:
        return "vehicle charge point"
    if what == "cooker":
        return "cooking"
    if what == INSTANT:
        return "instantaneous water heaters"
    return "storage water heaters" if what in WATER else "sockets and stationary"
