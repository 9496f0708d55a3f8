"""Everything a job amounts to, worked out once and kept: Design(inst, books).circuits["cooker"].zs_ohm."""
from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property
from typing import TYPE_CHECKING, Any

from spareway.design.around import Around
from spareway.design.board import BoardDesign
from spareway.design.circuit import CircuitDesign
from spareway.design.load import CHARGING
from spareway.design.room import RoomDesign
from spareway.design.run import RunDesign
from spareway.design.supply import SupplyDesign
from spareway.design.surge import SurgeDesign
from spareway.design.told_twice import named_only, unseen
from spareway.doc import trail
from spareway.fact import unknown
from spareway.job.job import Installation
from spareway.job.refs import is_board, terminals_at
from spareway.job.types import Supply
from spareway.kinds import kind
from spareway.tables import Books
from spareway.wiring.expand import wire
from spareway.wiring.network import LockOff, Network
from spareway.wiring.parts import Part, parts
from spareway.wiring.past import Past

if TYPE_CHECKING:
    from spareway.design.demand import Demand
    from spareway.design.heaters import RoomHeaters
    from spareway.design.operator import OperatorDesign
    from spareway.design.recorded import LogDesign, Recorded

_NO_SUPPLY = "no supply is recorded"


class Design(Around):
    """The quantities of one installation under one set of rule books. Nothing here is judged."""

    def __init__(self, inst: Installation, books: Books | None = None) -> None:
        self.inst = inst
        self.books = books or Books(bs7671=inst.about.books.get("bs7671", ""), nation=inst.about.nation)
        self._lock_offs: dict[tuple[tuple[str, ...], str], LockOff] = {}

    @cached_property
    def network(self) -> Network:
        return wire(self.inst)

    @cached_property
    def past(self) -> Past:
        """The same metal, asked what leads past a device."""
        return Past(self.network.links)

    @cached_property
    def supply_ends(self) -> frozenset[str]:
        """The line terminals at which supplies land."""
        ends = (t for s in self.inst.supplies.values() for t in terminals_at(self.inst, s.joins) or ())
        return frozenset(t for t in ends if t.rpartition(".")[2].startswith("L"))

    @cached_property
    def untraced(self) -> frozenset[str]:
        """The line ends that nobody traced: a supply may stand at each."""
        ends = (t for t, letter in self.network.sources.items() if letter == "?")
        return frozenset(t for t in ends if t.rpartition(".")[2].startswith("L"))

    @cached_property
    def feeding_in(self) -> frozenset[str]:
        """The line terminals of second sources that can go on by themselves.

        One that follows the mains is none: what it drives into a fault returns by the supply's earth, so that a device before
        both sees it (decision 013)."""
        return frozenset(t for t, letter in self.network.sources.items() if letter.startswith("L") and t not in self.supply_ends
                         and f"{t.rsplit('.', 2)[0]}.loss-of-mains" not in self.network.controls)

    @cached_property
    def supplies(self) -> dict[str, SupplyDesign]:
        return {name: SupplyDesign(s, self.inst, self.books) for name, s in self.inst.supplies.items()}

    @cached_property
    def supply(self) -> SupplyDesign:
        """The first supply; one of which nothing is known where none is recorded."""
        return next(iter(self.supplies.values()), None) or SupplyDesign(_no_supply(), self.inst, self.books)

    @cached_property
    def runs(self) -> dict[str, RunDesign]:
        return {name: RunDesign(run, self) for name, run in self.inst.runs.items()}

    @cached_property
    def circuits(self) -> dict[str, CircuitDesign]:
        return {name: CircuitDesign(c, self) for name, c in self.inst.circuits.items()}

    @cached_property
    def boards(self) -> dict[str, BoardDesign]:
        return {name: BoardDesign(e, self) for name, e in self.inst.equipment.items() if is_board(e)}

    @cached_property
    def rooms(self) -> dict[str, RoomDesign]:
        return {name: RoomDesign(room, self) for name, room in self.inst.rooms.items()}

    @cached_property
    def room_heaters(self) -> dict[str, RoomHeaters]:
        """The rooms that are heated, each with its heaters."""
        from spareway.design.heaters import RoomHeaters, heaters
        every = heaters(self)
        return {name: RoomHeaters(room, every) for name, room in self.rooms.items() if room.is_heated}

    @cached_property
    def demand(self) -> Demand:
        """What the home demands, by each figure that rests on the record of its circuits."""
        from spareway.design.demand import Demand
        return Demand(self)

    @cached_property
    def recorded(self) -> Recorded:
        """What the logs on record show of what it demands."""
        from spareway.design.recorded import recorded
        return recorded(self)

    @cached_property
    def logs(self) -> dict[str, LogDesign]:
        from spareway.design.recorded import LogDesign
        return {name: LogDesign(log, self) for name, log in self.inst.logs.items()}

    @cached_property
    def surges(self) -> dict[str, SurgeDesign]:
        """Surge devices, by the name of the thing or of the circuit that states one in a way."""
        out = {name: SurgeDesign(name, e, (f"{name}.surge.L", f"{name}.surge.N"), f"{name}.surge.E", self)
               for name, e in self.inst.equipment.items() if "surge modules" in kind(e.kind).parts}
        for name, circuit in self.circuits.items():
            if circuit.is_surge:
                way = circuit.circuit.way
                out[name] = SurgeDesign(name, circuit.device, (f"{way}.in.L", f"{way}.in.N"), f"{way}.in.E", self)
        return out

    @cached_property
    def operator(self) -> OperatorDesign:
        """What the network operator wants of it, without a log and without a firm's own file."""
        from spareway.design.operator import OperatorDesign
        return OperatorDesign(self)

    @cached_property
    def parts(self) -> tuple[Part, ...]:
        """Everything replaced in service."""
        return tuple(parts(self.inst))

    @cached_property
    def tails(self) -> tuple[RunDesign, ...]:
        """The runs that bring the supply from the origin to the boards: the conductors the earthing goes by."""
        return tuple(dict.fromkeys(r for b in self.boards.values() for r in b.runs_before))

    def lock_off(self, terminals: tuple[str, ...], by: str = "skilled") -> LockOff:
        """The fewest controls this person may open that leave these dead by the record. Kept."""
        key = (terminals, by)
        if key not in self._lock_offs:
            self._lock_offs[key] = self.network.lock_off(terminals, by)
        return self._lock_offs[key]

    # ---- what rules are asked of ------------------------------------------------------------------------------------
    def subjects(self, about: str) -> Iterator[tuple[str, Any]]:
        """(address, subject) of everything a rule about this can be asked of."""
        if about == "installation":
            yield "installation", self
        elif about == "equipment":
            yield from ((f"equipment.{n}", e) for n, e in self.inst.equipment.items())
        elif about == "source or charge point":
            yield from ((f"equipment.{n}", e) for n, e in self.inst.equipment.items())
            yield from ((told[0], unseen(c, *told)) for c in self.circuits.values() for told in named_only(c)
                        if kind(told[2]).family == "source" or told[2] in CHARGING)
        elif about == "board":
            yield from ((f"equipment.{n}", b) for n, b in self.boards.items())
        elif about == "supply":
            yield from ((f"supplies.{n}", s) for n, s in self.supplies.items())
        elif about == "run":
            yield from ((f"runs.{n}", r) for n, r in self.runs.items())
        elif about == "circuit":
            yield from ((f"circuits.{n}", c) for n, c in self.circuits.items() if not c.is_surge)
        elif about == "surge device":
            yield from ((f"{'circuits' if n in self.circuits else 'equipment'}.{n}", s) for n, s in self.surges.items())
        elif about == "room":
            yield from ((f"rooms.{n}", r) for n, r in self.inst.rooms.items())
        elif about == "log":
            yield from ((f"logs.{n}", log) for n, log in self.logs.items())
        elif about == "part":
            yield from ((p.name, p) for p in self.parts)
        else:
            raise ValueError(f"there is nothing to ask about {about}")

    def where(self, address: str) -> str:
        """File and line of an address; of the thing for one of its parts."""
        at = trail(address)
        if at and at[0] in self.inst.equipment and at[0] not in ("equipment", "circuits", "runs"):
            at = ("equipment", *at)
        return self.inst.doc.where(at)


def _no_supply() -> Supply:
    from spareway.job.fields import specs
    facts: dict[str, Any] = {s.name: unknown(s.quantity, _NO_SUPPLY, at="supplies") for s in specs(Supply) if s.is_fact}
    return Supply(name="", joins="", **facts)
