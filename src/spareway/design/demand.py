"""What a home demands, three ways that are never mixed: as connected, by the book, as recorded by a logger.

A fourth, as foreseen, is a simulation's and stands elsewhere. Each line of each figure is a fact with its source; one that lacks
an input is unknown, makes its own total unknown, and leaves the others standing.
"""
from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from spareway.design.around import HEATERS
from spareway.design.load import CHARGING, LAMPS, LASTING, STORED, WATER, Part, fed_board, gives, on_no_circuit, parts_of
from spareway.design.route import renamed, settled
from spareway.fact import Fact, chosen, highest, total, unknown
from spareway.job.ways import ways_in_words, ways_unsaid
from spareway.physics import cable, supply
from spareway.tables import look_up

if TYPE_CHECKING:
    from spareway.design.circuit import CircuitDesign
    from spareway.design.design import Design

__all__ = ["BOOK", "COUNT_THEM", "GENERAL", "OWN", "BookLine", "Demand"]

STORAGE, INSTANT = "storage-heater", "shower"
OWN, GENERAL = "panel heaters on their own circuits", "heating and power"        # the two readings of the row that is disputed
BOOK = "On-Site Guide Table A2"
LEFT_OUT = {"alarms": "a few watts: left out. Common practice, no source", "nothing": "joined to nothing"}
TO_A_SOURCE = "a source may charge through it; its current is counted in no figure"
COUNT_THEM = ": write each as a point of it that feeds a lamp"
UNCOUNTED = f"how many lampholders it has is not recorded{COUNT_THEM}"
TWO_WAY = "charge-point-two-way"                                  # a source by its family, and a load while it charges
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
        self.circuits = [c for c in design.circuits.values() if not c.is_surge]
        self.left_out: list[tuple[str, str]] = []
        self._by_row: dict[str, list[tuple[str, Fact[float]]]] = {}
        self._sort()

    # ---- what is on record ----------------------------------------------------------------------------------------------
    def _parts(self, circuit: CircuitDesign) -> list[Part]:
        """Everything on a circuit that takes something; a source gives, and is no part of it. Where it is said to feed lights and
        no lamp of it is recorded, they stand beside what is."""
        found = [part for part in parts_of(circuit) if "." not in part[1] and not gives(part)]
        if circuit.circuit.feeds in LAMPS and not any(what in LAMPS for _, what, _ in found):
            found.append((circuit.at, "lights", unknown("load_w", UNCOUNTED, at=f"{circuit.at}.points")))
        return found

    @cached_property
    def _off(self) -> list[Part]:
        """The appliances of which no circuit is recorded: what they take belongs to every figure, and is unknown."""
        things = self.design.inst.equipment
        names = [*on_no_circuit(self.design), *(n for n, e in things.items() if e.kind == TWO_WAY and not e.on)]
        return [(f"equipment.{n}", things[n].kind, unknown("load_a", "no circuit is recorded for it", at=f"equipment.{n}"))
                for n in names]

    @cached_property
    def ways_unsaid(self) -> tuple[Fact[float], ...]:
        """Board by board, what the ways draw that nobody answered for. A way is answered by a circuit, or by a person's word that
        it is empty; of a board whose ways nobody counted there may be more than are recorded."""
        out = []
        for name in self.design.boards:
            left = ways_unsaid(self.design.inst, name)
            if left != ():
                field = "ways_n" if left is None else "empty_ways"
                out.append(unknown("load_a", _left_open(left), at=f"equipment.{name}.{field}"))
        return tuple(out)

    @cached_property
    def _unsaid(self) -> list[tuple[str, Fact[float]]]:
        """The circuits that may feed what nobody recorded, a board without circuits among them."""
        boards = {c.board for c in self.circuits}
        why = {c.at: f"no circuit of {fed_board(c)}, which it feeds, is recorded" if c.is_submain else "nobody said what it feeds"
               for c in self.circuits if c.use_unsaid or fed_board(c) not in {"", *boards}}
        return [(at, unknown("load_a", said, at=at)) for at, said in why.items()]

    # ---- what falls under which row -------------------------------------------------------------------------------------
    def _sort(self) -> None:
        """Everything recorded under its row. A circuit of sockets counts as a whole, with all that hangs on it."""
        for circuit in self.circuits:
            if circuit.feeds_sockets:
                self._put("standard circuits", circuit.at, circuit.rating_a)
                continue
            if circuit.is_submain and not fed_board(circuit) or any(map(gives, parts_of(circuit))):
                self.left_out.append((circuit.at, TO_A_SOURCE))
            self._sort_parts(circuit)
        whole = {c.at for c in self.circuits if c.feeds_sockets}
        for at, amps in self._unsaid:
            if at not in whole:
                self._put("sockets and stationary", at, amps)
        for at, what, amps in self._off:
            if what in LEFT_OUT:
                self.left_out.append((at, LEFT_OUT[what]))
            elif what in LAMPS:
                self._put("lighting", at, unknown("load_w", amps.note, at=at))
            else:
                self._put(_row_of(what), at, amps)

    def _sort_parts(self, circuit: CircuitDesign) -> None:
        for at, what, power in self._parts(circuit):
            if what in LEFT_OUT:
                self.left_out.append((at, LEFT_OUT[what]))
            elif what in LAMPS:
                self._put("lighting", at, self._lamp_w(at, what, power))
            else:
                self._put(_row_of(what), at, self._amps(power))
            if what == "cooker":
                socket = look_up("diversity_socket", self.books, settled("load", "cooking", BOOK))
                self.left_out.append((at, f"a socket on its control unit would add {socket}: none is recorded"))

    def _put(self, row: str, at: str, amount: Fact[float]) -> None:
        self._by_row.setdefault(row, []).append((at, amount))

    def _lamp_w(self, at: str, what: str, power: Fact[float]) -> Fact[float]:
        """A lampholder as the book counts one, or by its own power where that is more; lamps that nobody counted are unknown."""
        if what == "lights":
            return unknown("load_w", UNCOUNTED, at=at if ".points." in at else f"{at}.points")
        counts = look_up("point_demand", self.books, settled("point", "lighting", "a lampholder, by the book"))
        return highest("load_w", [counts, power], "a lampholder, by the book or by its own power") if power.known else counts

    def _amps(self, power: Fact[float]) -> Fact[float]:
        return cable.load_a.worked(power, self.design.supply.u0_v)

    # ---- connected ------------------------------------------------------------------------------------------------------
    @cached_property
    def _entries(self) -> list[Part]:
        """Each entry of `connected` (address, kind, A); of no kind where nobody said what it is."""
        out = []
        for circuit in self.circuits:
            parts = [part for part in self._parts(circuit) if part[1] not in LEFT_OUT]
            out += [(at, what, self._amps(power)) for at, what, power in parts if what not in LAMPS]
            if lamps := [part for part in parts if part[1] in LAMPS]:
                out.append((circuit.at, "lights", self._amps(self._lamps_w(circuit, lamps))))
        out += [(at, "", amps) for at, amps in self._unsaid]
        return out + [part for part in self._off if part[1] not in LEFT_OUT]

    @property
    def entries(self) -> tuple[Part, ...]:
        """Every fixed appliance (address, kind, A), those on no circuit too; of no kind where nobody said what it is."""
        return tuple(self._entries)

    def _lamps_w(self, circuit: CircuitDesign, lamps: Sequence[Part]) -> Fact[float]:
        """All lamps of a circuit: what is said of the whole counts where it holds lamps alone, none with a power of its own."""
        whole, points = circuit.circuit.load_w, circuit.circuit.points
        alone = circuit.feeds <= {*LAMPS} and not circuit.use_unsaid and not circuit.stands_at_end
        if whole.known and alone and not any(p.load_w.known for p in points.values()):
            return whole
        at_points = {f"{circuit.at}.points.{p.name}": circuit.point_w(p) for p in points.values()}
        return total("load_w", [at_points.get(at, power) for at, _, power in lamps], "its lamps")

    @cached_property
    def connected(self) -> tuple[tuple[str, Fact[float]], ...]:
        """Every fixed appliance at once, at the nominal voltage (address, A); what is plugged in nobody recorded."""
        return tuple((at, amps) for at, _, amps in self._entries)

    @cached_property
    def connected_a(self) -> Fact[float]:
        return self._total([amps for _, amps in self.connected], "every fixed appliance and lamp at once")

    @cached_property
    def lasting_a(self) -> Fact[float]:
        """What stays on for hours after an outage or at a common start, before anything is cooked; what nobody named may."""
        own = [amps for _, what, amps in self._entries if what in ("", *LASTING)]
        return self._total(own, "heaters, stored water and charging at once")

    @cached_property
    def at_night_a(self) -> Fact[float] | None:
        """What starts together at the hour of the night rate: storage heaters, stored water, charging; what nobody named may.
        None where no storage heater is recorded."""
        if not any(what == STORAGE for _, what, _ in self._entries):
            return None
        own = [amps for _, what, amps in self._entries if what in ("", STORAGE, *STORED, *CHARGING)]
        return self._total(own, "storage heaters, stored water and charging at the night hour: no diversity")

    @cached_property
    def connected_least_a(self) -> Fact[float]:
        """What is connected as far as it is known: the whole is no less."""
        known = [amps for _, amps in self.connected if amps.known]
        return total("demand_a", known, "of the fixed appliances and lamps, those known")

    @cached_property
    def lasting_least_a(self) -> Fact[float]:
        """The same of what stays on for hours."""
        known = [amps for _, what, amps in self._entries if what in LASTING and amps.known]
        return total("demand_a", known, "of heaters, stored water and charging, those known")

    def _total(self, amounts: Sequence[Fact[float]], source: str) -> Fact[float]:
        """The sum; unknown, and not nothing, where no circuit and no appliance is recorded."""
        if not (self.circuits or self._off):
            return unknown("demand_a", "no circuit is recorded", at="circuits")
        return total("demand_a", [*amounts, *self.ways_unsaid], source)

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
        return self._total([line.demand_a for line in self.book(heaters)], f"{BOOK}, row by row")

    @cached_property
    def book_least_a(self) -> Fact[float]:
        """What the book comes to by the entries that are known: the whole is no less, for no entry lowers a row."""
        known = {row: [amount for _, amount in found if amount.known] for row, found in self._by_row.items()}
        least = [self._row_a(row, amounts) for row, amounts in known.items() if amounts]
        return total("demand_a", least, "the entries that are known")

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


def _left_open(ways: tuple[int, ...] | None) -> str:
    if ways is None:
        return "nobody counted the ways, so there may be more circuits than are recorded"
    return f"nobody said what {ways_in_words(ways)} {'feeds' if len(ways) == 1 else 'feed'}, or that nothing is there"


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
