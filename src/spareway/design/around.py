"""How the things of an installation hang together: what feeds what, what shares what, what feeds back."""
from __future__ import annotations

from collections.abc import Collection, Iterator
from functools import cached_property
from typing import TYPE_CHECKING, Any

from spareway.design.route import settled
from spareway.design.told_twice import alone, stands
from spareway.fact import Fact, total, unknown
from spareway.job.refs import terminals_at
from spareway.job.rows import Reading, standing
from spareway.job.types import Equipment, Reply, Run
from spareway.kinds import Kind, kind
from spareway.physics import cable
from spareway.wiring.parts import NOT_OURS

if TYPE_CHECKING:
    from spareway.design.circuit import CircuitDesign
    from spareway.design.design import Design
    from spareway.design.run import RunDesign
    from spareway.design.supply import SupplyDesign
    from spareway.job.job import Installation
    from spareway.wiring.network import Network

HEATERS = ("panel-heater", "resistive-heater", "storage-heater", "towel-rail")
WRONG = {"E": ("line", "neutral", "line through a load"), "N": ("line",), "L": ("neutral", "earth")}   # what it must not hold
LIVE = ("line", "not known", "line through a load")


class Around:
    """The part of a Design that follows lines through the record."""
    inst: Installation
    if TYPE_CHECKING:
        @property
        def network(self) -> Network: ...
        @property
        def supply(self) -> SupplyDesign: ...
        @property
        def supplies(self) -> dict[str, SupplyDesign]: ...
        @property
        def runs(self) -> dict[str, RunDesign]: ...
        @property
        def circuits(self) -> dict[str, CircuitDesign]: ...

    @staticmethod
    def case(name: str) -> Fact[str]:
        """The key of a single published figure in the table of thresholds."""
        return settled("case", name, "named by the rule")

    def kind_of(self, name: str) -> Kind:
        """The kind of a piece of equipment."""
        return kind(self.inst.equipment[name].kind)

    # ---- from the supply downwards ----------------------------------------------------------------------------------
    @cached_property
    def start(self) -> str:
        """The line terminal at which the first supply lands."""
        supply = next(iter(self.inst.supplies.values()), None)
        lands = terminals_at(self.inst, supply.joins) if supply else None
        return next((t for t in lands or () if t.endswith(".L")), "")

    @cached_property
    def origin(self) -> str:
        """The side from which voltage drop counts: as recorded, else what the meter sends out, else the cut-out's."""
        supply = next(iter(self.inst.supplies.values()), None)
        if supply is None:
            return ""
        meters = [n for n, e in self.inst.equipment.items() if kind(e.kind).family == "meter" and "out" in kind(e.kind).face]
        return supply.origin or (f"{meters[0]}.out" if meters else f"{supply.joins.partition('.')[0]}.out")

    @cached_property
    def _came(self) -> dict[str, tuple[str, Any]]:
        """For every terminal metal reaches from the supply: the terminal before it and the link between, nearest way."""
        near: dict[str, list[tuple[str, Any]]] = {}
        for link in self.network.links:
            if link.joint == "-":
                near.setdefault(link.a, []).append((link.b, link))
                near.setdefault(link.b, []).append((link.a, link))
        came: dict[str, tuple[str, Any]] = {self.start: ("", None)} if self.start else {}
        for here in (todo := [self.start] if self.start else []):
            for there, link in near.get(here, ()):
                if there not in came:
                    came[there] = (here, link)
                    todo.append(there)
        return came

    @property
    def reached(self) -> tuple[str, ...]:
        """Every terminal that metal reaches from the line of the supply."""
        return tuple(self._came)

    def links_to(self, terminal: str) -> tuple[Any, ...]:
        """The metal links from the supply to a line terminal; none where nothing leads there."""
        links: list[Any] = []
        while terminal and terminal in self._came:
            terminal, link = self._came[terminal]
            if link is not None:
                links.append(link)
        return tuple(links[::-1])

    def runs_to(self, terminal: str) -> list[str]:
        """The runs and circuits on the way from the supply to a line terminal, in order, each once."""
        return list(dict.fromkeys(link.lift.partition(".")[0] for link in self.links_to(terminal) if link.lift))

    def near_end(self, run: Run) -> str:
        """The line terminal of a run that lies nearer to the supply, or nothing."""
        ends = [t for end in run.joins for t in terminals_at(self.inst, end) or () if t.endswith(".L") and t in self._came]
        return min(ends, key=lambda t: len(self.links_to(t)), default="")

    def before(self, terminal: str) -> tuple[str, ...]:
        """The equipment, and the circuits by whose devices current goes, from the supply to a line terminal."""
        if not terminal or terminal not in self._came:
            return ()
        names: dict[str, None] = {self.start.partition(".")[0]: None}
        for link in self.links_to(terminal):
            way = ".".join(link.control.split(".")[:2]) if link.control else ""
            if way in self.circuit_at:
                names.setdefault(self.circuit_at[way])
            for end in (link.a, link.b):
                names.setdefault(end.partition(".")[0])
        return tuple(n for n in names if n in self.inst.equipment or n in self.circuit_at.values())

    def rating_before_a(self, before: tuple[str, ...]) -> tuple[str, Fact[float]]:
        """The nearest fuse or breaker of these and its rating; the service fuse where there is no other."""
        if not before:
            return "", unknown("fuse_a", "the record shows no way from the supply to it")
        name = next((n for n in reversed(before) if self.protects(n)), "")
        cutout = self.supply.cutout
        if not name or cutout is not None and name == cutout.name:
            return name, self.supply.fuse_a
        device = self.inst.circuits[name].device if name in self.inst.circuits else None
        return name, device.rating_a if device is not None else self.inst.equipment[name].fuse_a

    @cached_property
    def circuit_at(self) -> dict[str, str]:
        """The circuit whose device stands in a way, by way."""
        return {c.way: name for name, c in self.inst.circuits.items() if c.device is not None}

    def protects(self, name: str) -> bool:
        """Whether a thing holds a fuse, or a circuit an overcurrent device."""
        if name in self.inst.equipment:
            return "fuse_a" in self.kind_of(name).facts
        device = self.inst.circuits[name].device if name else None
        of = kind(device.kind) if device is not None else None
        return of is not None and "rating_a" in of.facts and of.family == "device" and of.name != "rcd-in-way"

    def fed_side(self, name: str) -> str | None:
        """The side of a thing on which the supply lands, by the record."""
        sides = [(len(self.links_to(t)), t.split(".")[1]) for t in self._came if t.startswith(f"{name}.") and t.endswith(".L")]
        return min(sides)[1] if sides else None

    def twins(self, run: RunDesign) -> list[str]:
        """Other pairs of tails that leave the thing where this one begins, away from the supply."""
        near = self.near_end(run.run)
        if not near:
            return []
        thing = near.partition(".")[0]
        return [name for name, other in self.runs.items() if other is not run and other.run.kind == "tails"
                and len(other.run.joins) == 2 and self.near_end(other.run).partition(".")[0] == thing]

    def fed_through(self, run: RunDesign) -> str:
        """The circuits that something uses beyond this run, in words."""
        name = run.run.name
        return ", ".join(c for c, d in self.circuits.items() if d.feeds - {"nothing"}
                         and name in self.runs_to(d.begins_at))

    # ---- live whatever is opened ------------------------------------------------------------------------------------
    def is_ours(self, terminal: str) -> bool:
        """Whether a terminal is not on a cut-out or meter, which are the operators'."""
        thing = self.inst.equipment.get(terminal.partition(".")[0])
        return thing is None or kind(thing.kind).family not in NOT_OURS

    def live_whatever_opened(self, by: str) -> list[str]:
        """Terminals that stay line, or not known, with every control open that this person may open."""
        now = self.network.potential(self.network.may_open(by))
        return [t for t, potential in now.items() if potential in LIVE]

    @cached_property
    def misplaced(self) -> list[str]:
        """Terminals at which conductors meet that must not, and those that hold another's potential, in words."""
        met = [f"{terminal} {letters}" for terminal, letters in self.network.conflicts().items()]
        now = self.network.potential()
        return met or [f"{t} at {now[t]}" for t in now if now[t] in WRONG.get(t.rpartition(".")[2], ())]

    @cached_property
    def line_elsewhere(self) -> list[str]:
        """Terminals where a line is on what never carries one, in words: on an earth, on a neutral, or where it meets either."""
        now = self.network.potential()
        met = {t: letters for t, letters in self.network.conflicts().items() if "L" in letters and {"N", "E"} & set(letters)}
        return [f"{t} {met[t]}" for t in met] or [
            f"{t} at {now[t]}" for t in now if t.endswith(".E") and now[t] in ("line", "line through a load")
            or t.endswith(".N") and now[t] == "line"]

    @cached_property
    def neutral_gone(self) -> tuple[list[str], list[str]]:
        """Where a line comes and no metal leads its neutral back, by the record: sure, and where that cannot be told.

        Boards by name; other terminals of neutral by their own, where a load lifts them."""
        asked = {b: self.network.joined([f"{b}.in.N"], "N") for b in self.inst.equipment if f"{b}.in.L" in self._came
                 and f"{b}.in.N" in self.network.record.at and kind(self.inst.equipment[b].kind).bars}
        now = self.network.potential()
        boards = [b for b, joined in asked.items() if joined is False]
        lifted = [t for t in now if t.endswith(".N") and now[t] == "line through a load" and t.partition(".")[0] not in boards]
        return [*boards, *lifted], [b for b, joined in asked.items() if joined is None]

    # ---- earth ------------------------------------------------------------------------------------------------------
    def is_earthing_conductor(self, run: RunDesign) -> bool:
        """The conductor that leaves the network's earth terminal or the electrode."""
        things = [end.partition(".")[0] for end in run.run.joins]
        sources = [t for t in things if t in self.inst.equipment and
                   (self.kind_of(t).family == "cut-out" or "E" in self.kind_of(t).sources.values())]
        return run.run.kind == "earthing" and bool(sources)

    def earth_answer(self, board: str) -> tuple[bool | None, str]:
        """Whether metal leads from the earth bar of a board to the supply's earth, and what to say."""
        terminal = f"{board}.in.E"
        found = self.network.joined([terminal], "E")
        if found:
            return True, f"{board} reaches the supply's earth"
        if found is None:
            return None, f"Not known for {board}: an end that was not traced, or an earthing that is not known"
        stop = self.network.where_it_stops(terminal, "E")
        reached = [t for t in stop.reached if t != terminal] if stop else []
        return False, f"{board}: from its earth bar metal reaches {', '.join(reached[:4]) or 'nothing'}"

    # ---- what a starting pattern says and nobody has looked at ------------------------------------------------------
    def not_looked_at(self, address: str) -> list[Fact[bool]]:
        """What nobody has looked at yet of all that an answer about what joins what rests on at this address: the layout of the
        whole, and the thing or the board of the circuit itself. A line of which nothing is said was written by who looked."""
        table, _, name = address.partition(".")
        name = self.circuits[name].board if table == "circuits" and name in self.circuits else name
        marks = [(s.supply.looked, s.at) for s in self.supplies.values()]
        marks += [(self.inst.equipment[name].looked, f"equipment.{name}")] if name in self.inst.equipment else []
        return [_waits(of, at) for of, at in marks if of.amount is False]

    @cached_property
    def runs_not_looked_at(self) -> list[Fact[bool]]:
        """The runs that a starting pattern wrote and nobody has looked at."""
        return [_waits(r.run.looked, r.at) for r in self.runs.values() if r.run.looked.amount is False]

    @property
    def waits_to_be_looked_at(self) -> list[str]:
        """The addresses of all that a starting pattern says and nobody has looked at."""
        things = [f"equipment.{n}" for n, e in self.inst.equipment.items() if e.looked.amount is False]
        return [*(s.at for s in self.supplies.values() if s.supply.looked.amount is False), *things,
                *(fact.at for fact in self.runs_not_looked_at)]

    @cached_property
    def as_looked_at(self) -> Design:
        """The same home without those runs: what is joined there is joined by what somebody saw."""
        from spareway.design.design import Design
        gone = ", ".join(f'"{fact.at}"' for fact in self.runs_not_looked_at)
        return Design(self.inst.altered(f"remove = [{gone}]"))

    # ---- residual current -------------------------------------------------------------------------------------------
    def has_residual(self, circuit: CircuitDesign) -> bool | None:
        """Does a residual-current device protect this circuit? None where its device or the way to it is not recorded, or where
        one stands there that something may lead past."""
        if circuit.protected_by:
            return True
        return None if circuit.protected_by is None or circuit.device_kind is None else False

    # ---- neutrals, spurs, sources -----------------------------------------------------------------------------------
    def borrowed_neutrals(self, circuit: CircuitDesign) -> list[str]:
        """Whose neutral this circuit uses, and who uses its own, in words."""
        name = circuit.circuit.name
        said = [f"{here} returns on {lender}" for here, lender in self._borrowings(circuit)]
        said += [f"{here} returns on {name}" for other in self.circuits.values() if other is not circuit
                 for here, lender in self._borrowings(other) if lender.partition(".")[0] == name]
        return said

    def _borrowings(self, circuit: CircuitDesign) -> Iterator[tuple[str, str]]:
        of = circuit.circuit
        if of.neutral and of.neutral != of.name:
            yield of.name, of.neutral
        for point in of.points.values():
            if point.neutral and point.neutral.partition(".")[0] != of.name:
                yield f"{of.name}.{point.name}", point.neutral
        elsewhere = of.lands.N if of.lands else ""
        way = elsewhere.rpartition(".")[0]
        for other in self.circuits.values():
            if elsewhere and other is not circuit and other.circuit.way == way:
                yield of.name, other.circuit.name

    @cached_property
    def standing(self) -> dict[str, tuple[Reading, ...]]:
        """The standing readings by what was read, in the order of their file."""
        found: dict[str, list[Reading]] = {}
        for row in standing(self.inst.readings):
            found.setdefault(row.quantity, []).append(row)
        return {quantity: tuple(rows) for quantity, rows in found.items()}

    def neutral_readings(self, circuit: CircuitDesign) -> list[Fact[float]]:
        """Insulation measured between the neutral of this circuit and that of another, both lifted: standing rows."""
        mine = f"circuits.{circuit.circuit.name}.N"
        rows = [r for r in self.standing.get("insulation_mohm", ()) if mine in (r.a, r.b)
                and r.a != r.b and r.a.endswith(".N") and r.b.endswith(".N")]
        return [Fact("insulation_mohm", r.value, "measured" if r.value is not None else "unknown", f"readings.csv:{r.line}",
                     "" if r.value is not None else f"over range ({r.over})", at=f"{r.a} to {r.b}") for r in rows if not r.over]

    def heaters_on_spurs(self, circuit: CircuitDesign, kinds: Collection[str] = HEATERS
                         ) -> list[tuple[str, Fact[float], Fact[float]]]:
        """Fixed heaters, or things of other kinds, behind fused connection units: (point or thing, power, fuse)."""
        of = circuit.circuit
        found = [(f"{of.name}.{p.name}", p.load_w, p.spur_fuse_a) for p in alone(circuit)
                 if p.before.startswith("fused-spur") and (p.feeds or of.feeds) in kinds]
        last = [p for p in of.points.values() if p.before.startswith("fused-spur")][-1:] if of.points else []
        for p in last if last and last[0].name == [*of.points][-1] else ():
            found += [(e.name, power, p.spur_fuse_a) for e, power in stands(circuit) if e.kind in kinds]
        return found

    def spur_current_a(self, power: Fact[float]) -> Fact[float]:
        """What a heater draws at the nominal voltage."""
        return cable.load_a.worked(power, self.supply.u0_v)

    @cached_property
    def second_sources(self) -> tuple[str, ...]:
        """Everything but the network that can give a potential of line."""
        things = [n for n, e in self.inst.equipment.items() if "L" in kind(e.kind).sources.values()]
        on_points = [f"{c}.{p.name}" for c, d in self.circuits.items() for p in d.circuit.points.values()
                     if p.feeds and "L" in kind(p.feeds).sources.values()]
        on_circuits = [c for c, d in self.circuits.items() if d.circuit.feeds and not d.is_submain
                       and "L" in kind(d.circuit.feeds).sources.values()]
        return (*things, *on_circuits, *on_points, *list(self.inst.supplies)[1:])

    @cached_property
    def source_told_of(self) -> str:
        """What was said at the door of a second source that the record does not hold; nothing where it holds one, where the
        answer was no, and where nobody began to ask."""
        door = self.inst.about.doorstep
        if not door or self.second_sources or door.get("second") == "no":
            return ""
        if door.get("second") == "yes":
            return "a second source was told of at the door and is not in the record"
        why = f" ({door['second']})" if door.get("second") else ""
        return f"whether there is a second source was not answered at the door{why}"

    @cached_property
    def _source_paths(self) -> dict[str, tuple[str, ...]]:
        """For every second source that metal joins to the supply: the things and circuits between the two."""
        lands = {t for s in self.inst.supplies.values() for t in terminals_at(self.inst, s.joins) or ()}
        giving = [t for t, letter in self.network.sources.items() if letter == "L" and t not in lands]
        return {t.rpartition(".")[0].partition(".")[0]: self.before(t) for t in giving if t in self._came}

    def between_source_and_supply(self, name: str) -> tuple[str, ...] | None:
        """The things and circuits between a second source and the supply; None where no metal joins the two.

        name: of the thing; of one that a circuit feeds by name alone, that of the circuit, its point or `end` behind it."""
        return self._source_paths.get(name.partition(".")[0])

    @cached_property
    def sources_a(self) -> Fact[float]:
        """The ratings of all second sources together; unknown where one is not recorded."""
        ratings = [self.inst.equipment[s].rating_a if s in self.inst.equipment else
                   unknown("rating_a", "the rating of the source is not recorded", at=s) for s in self.second_sources]
        return total("sources_a", ratings, "every source together")

    def sources_on(self, circuit: CircuitDesign) -> list[str]:
        """The second sources that feed back through the device of this circuit."""
        name = circuit.circuit.name
        return [source for source, between in self._source_paths.items() if name in between or source == name]

    def sources_behind_thing(self, name: str) -> list[str]:
        """The second sources that feed back through this thing."""
        return [source for source, between in self._source_paths.items() if name in between and source != name]

    @cached_property
    def bars_unsaid(self) -> list[str]:
        """Boards of several busbars of which nothing says which ways stand on which."""
        return [n for n, e in self.inst.equipment.items() if len(kind(e.kind).bars) > 1 and not e.bars]

    def unused(self, board: str = "") -> list[str]:
        """Circuits, of one board or of all, of which nothing says what they feed: a source might stand there."""
        return [name for name, c in self.circuits.items() if not (c.feeds or c.is_submain or c.is_surge)
                and board in ("", c.board)]

    def sources_behind(self, board: str) -> list[Fact[float]]:
        """The ratings of the sources that feed into a board through one of its circuits; unknown where none is recorded."""
        return [self.inst.equipment[s].rating_a if s in self.inst.equipment else
                unknown("rating_a", "the rating of the source is not recorded", at=f"circuits.{s}")
                for s in self.sources_behind_thing(board)]

    def fuse_and_sources_a(self, board: str) -> Fact[float]:
        """The fuse before a board and every source behind it together."""
        before = self.rating_before_a(self.before(f"{board}.in.L"))[1]
        return total("fuse_a", [before, *self.sources_behind(board)], "551.7.2: fuse and sources together")

    @cached_property
    def points_of_isolation(self) -> list[Equipment]:
        """Boards with a main switch and isolators: where a notice of two supplies belongs."""
        return [e for e in self.inst.equipment.values()
                if kind(e.kind).controls and (kind(e.kind).bars or kind(e.kind).family == "switch")]

    # ---- what people answered ---------------------------------------------------------------------------------------
    def reply_about(self, code: str, subject: str) -> Reply | None:
        """An answer filed about a finding."""
        return next((r for r in self.inst.about.replies.values() if r.about in (f"{code} {subject}", subject)), None)


def _waits(mark: Fact[bool], at: str) -> Fact[bool]:
    """Of a line that a starting pattern wrote: what is missing is that somebody looks."""
    return unknown("looked", "nobody has looked yet", mark.where, at)
