"""An installation spread out to its terminals: what each thing joins inside, what each run and cable joins between them.

Names: a thing's terminal is `isolator.top.L`; a way's `board.5.L`; a circuit's `cooker.end.L` or `ring.p3.L`; an end cut and
left `tails-4.cut.L`; one nobody traced `tails-4.?.L`. Lifting `cooker.N` takes the neutral off at the board, `ring.p3.N` the
one that arrives at p3, `tails-2.L` that conductor of a run.
"""
from __future__ import annotations

from collections.abc import Container, Iterator, Mapping
from dataclasses import replace

from spareway.job.job import Installation
from spareway.job.refs import UNTRACED, sides, span, terminals_at
from spareway.job.types import Circuit, Device, Permission, Point, Run
from spareway.kinds import Kind, kind
from spareway.kinds.joints import Link, inside
from spareway.wiring.network import Network

EARTHED_BY_NETWORK = ("TN-S", "TN-C-S", "TN-C")
EARTHS_ONLY = ("earthing", "bond")
NO_EARTH = ("tails", "service")


class Spread:
    """Collects links, sources and controls of one installation."""

    def __init__(self, inst: Installation) -> None:
        self.inst = inst
        self.links: list[Link] = []
        self.sources: dict[str, str] = {}
        self.controls: dict[str, str] = {}

    def join(self, a: str, b: str, lift: str = "") -> None:
        self.links.append(Link(a, b, lift=lift))

    def put(self, name: str, of: Kind, rename: Mapping[str, str]) -> None:
        """The inside of a thing of this kind, its terminals renamed by side: {"in.": "board.5.in.", "out.": "board.5."}."""
        def named(terminal: str) -> str:
            local = terminal[len(name) + 1:]
            for side, fresh in rename.items():
                if local.startswith(side):
                    return fresh + local[len(side):]
            return terminal
        for link in inside(name, of.wiring):
            self.links.append(replace(link, a=named(link.a), b=named(link.b)))
        self.controls.update({f"{name}.{control}": who for control, who in of.controls.items()})
        self.sources.update({named(f"{name}.{t}"): letter for t, letter in of.sources.items()})


def wire(inst: Installation) -> Network:
    """The network of an installation. Permissions the job records count as given."""
    spread = Spread(inst)
    for name, thing in inst.equipment.items():
        spread.put(name, kind(thing.kind), {})
    for step in (_supplies, _runs, _ways, _circuits, _fed_things, _bare_ways):
        step(spread)
    permitted = {p.part for p in inst.about.permissions.values() if p.part in spread.controls and _holds(inst, p)}
    return Network(spread.links, spread.sources, spread.controls, permitted)


def _holds(inst: Installation, permission: Permission) -> bool:
    """Whether a permission is known to hold on the latest day the job names, and not known to be of somebody else than the
    operator whose network it is. The meter's own operator may be another, and who it is nobody records."""
    days = sorted(inst.about.dates.values())
    if permission.until is None or not days or permission.until.isoformat() < days[-1]:
        return False
    owner = inst.equipment[permission.part.partition(".")[0]].owner
    operators = {supply.operator.value for supply in inst.supplies.values() if supply.operator.known}
    return not operators or permission.by in operators or owner.amount == "meter operator"


def _supplies(spread: Spread) -> None:
    """Line and neutral come in where a supply lands; earth is offered there on TN, nowhere on TT, unknown otherwise."""
    for supply in spread.inst.supplies.values():
        thing = supply.joins.partition(".")[0]
        for terminal in terminals_at(spread.inst, supply.joins) or ():
            conductor = terminal.rpartition(".")[2]
            if conductor != "E":
                spread.sources[terminal] = conductor
        earthing = supply.earthing.amount
        letter = "?" if earthing is None else "E" if earthing in EARTHED_BY_NETWORK else ""
        if letter and "E" in sides(spread.inst.equipment[thing].kind).get("earth", ()):
            spread.sources[f"{thing}.earth.E"] = letter
    for earth in spread.inst.earthing.values():
        for terminal in terminals_at(spread.inst, earth.joins) or () if earth.joins else ():
            if terminal.endswith(".E"):
                spread.sources[terminal] = "E" if earth.kind.known else "?"


def conductors(run: Run, ends: list[tuple[str, ...]]) -> list[str]:
    """The conductors a run carries between these ends."""
    shared = [c for c in ("L", "N", "E", "L1", "L2", "L3") if all(any(t.endswith(f".{c}") for t in end) for end in ends)]
    if run.kind in EARTHS_ONLY:
        return [c for c in shared if c == "E"]
    return [c for c in shared if c != "E" or run.kind not in NO_EARTH or run.cpc_mm2.known]


def _runs(spread: Spread) -> None:
    for name, run in spread.inst.runs.items():
        ends = [terminals_at(spread.inst, end) or () for end in run.joins if end != UNTRACED]
        if len(ends) == 2 and len(ends[0]) == len(ends[1]) == 1:
            spread.join(ends[0][0], ends[1][0], f"{name}.{ends[0][0].rpartition('.')[2]}")
            continue
        for conductor in conductors(run, ends):
            met = [next(t for t in end if t.endswith(f".{conductor}")) for end in ends]
            if len(met) == 1:
                loose = f"{name}.{UNTRACED if UNTRACED in run.joins else 'cut'}.{conductor}"
                met.append(loose)
                if UNTRACED in run.joins:
                    spread.sources[loose] = "?"
            spread.join(met[0], met[1], f"{name}.{conductor}")


def bar_of(inst: Installation, way: str) -> tuple[str, str, str]:
    """The busbar terminals a way stands on: (line, neutral, earth)."""
    board, _, number = way.partition(".")
    thing = inst.equipment[board]
    bars = kind(thing.kind).bars
    chosen = next((bar for bar, said in thing.bars.items() if int(number) in (span(said) or ())), next(iter(bars)))
    line, neutral = bars[chosen][0], bars[chosen][1]
    return f"{board}.{line}", f"{board}.{neutral}", f"{board}.in.E"


def bars_of(inst: Installation, way: str) -> list[tuple[str, str, str]]:
    """Every busbar a way may stand on: the recorded one, or all of them where a board of several says nothing of it."""
    board, _, number = way.partition(".")
    thing = inst.equipment[board]
    bars = kind(thing.kind).bars
    stated = any(int(number) in (span(said) or ()) for said in thing.bars.values())
    if stated or len(bars) == 1:
        return [bar_of(inst, way)]
    return [(f"{board}.{line}", f"{board}.{neutral}", f"{board}.in.E") for line, neutral in bars.values()]


def _ways(spread: Spread) -> None:
    """What stands in each way that something lands on; without a recorded device the way counts as joined."""
    inst = spread.inst
    done: set[str] = set()
    for circuit in sorted(inst.circuits.values(), key=lambda c: c.device is None):
        if circuit.way not in done:
            done.add(circuit.way)
            _way(spread, circuit.way, circuit.device)
    for way, conductors_there in _landed_on(inst).items():
        if way not in done:
            _way(spread, way, None, conductors_there)


def _landed_on(inst: Installation) -> dict[str, set[str]]:
    """The ways that runs, cores and submains land on, each with the conductors that do."""
    found: dict[str, set[str]] = {}
    ends = [end for run in inst.runs.values() for end in run.joins]
    ends += [c.feeds for c in inst.circuits.values() if "." in c.feeds]
    ends += [end for c in inst.circuits.values() if c.lands for end in (c.lands.L, c.lands.N, c.lands.E)]
    for end in ends:
        board, number, conductor = (*end.split("."), "", "")[:3]
        if number.isdigit() and board in inst.equipment and kind(inst.equipment[board].kind).bars:
            found.setdefault(f"{board}.{number}", set()).update({conductor} if conductor else "LNE")
    return found


def _way(spread: Spread, way: str, device: Device | None, only: Container[str] = "LNE") -> None:
    bars = bars_of(spread.inst, way)
    if "E" in only:
        spread.join(bars[0][2], f"{way}.E")
    has = sides(device.kind) if device else {}
    if device is not None:
        spread.put(way, kind(device.kind), {"in.": f"{way}.in.", "out.": f"{way}."})
    for line, neutral, earth in bars:
        if device is None:
            for conductor, bar in (("L", line), ("N", neutral)):
                if conductor in only:
                    spread.join(bar, f"{way}.{conductor}")
            continue
        for conductor, bar in (("L", line), ("N", neutral), ("E", earth)):
            if conductor in has.get("in", ()):
                spread.join(bar, f"{way}.in.{conductor}")
        if "N" not in has.get("out", ()) and "N" not in has.get("in", ()):
            spread.join(neutral, f"{way}.N")


def _bare_ways(spread: Spread) -> None:
    """Contacts of a way whose carrier is missing: they hold what the busbar holds."""
    for name, thing in spread.inst.equipment.items():
        for number in thing.bare_ways.amount or ():
            if kind(thing.kind).bars:
                spread.join(bar_of(spread.inst, f"{name}.{number}")[0], f"{name}.{number}.bare.L")


def core(circuit: Circuit, conductor: str) -> str:
    """The terminal on which a core of a circuit lands at the board."""
    elsewhere = getattr(circuit.lands, conductor) if circuit.lands else ""
    return elsewhere or f"{circuit.way}.{conductor}"


def end_of(circuit: Circuit) -> str:
    """The terminals of a circuit's far end: its last point, or `end`."""
    return f"{circuit.name}.{[*circuit.points][-1] if circuit.points else 'end'}"


def _circuits(spread: Spread) -> None:
    for circuit in spread.inst.circuits.values():
        if circuit.device is not None and kind(circuit.device.kind).family == "surge":
            continue
        if circuit.points:
            for point in circuit.points.values():
                _point(spread, circuit, point)
            if "." in circuit.feeds:
                _fed_side(spread, circuit, end_of(circuit))
        else:
            _single_end(spread, circuit)


def _single_end(spread: Spread, circuit: Circuit) -> None:
    end = f"{circuit.name}.end"
    for conductor in "LNE":
        if conductor == "N" and circuit.neutral:
            spread.join(f"{end}.N", f"{end_of(spread.inst.circuits[circuit.neutral])}.N")
        else:
            spread.join(core(circuit, conductor), f"{end}.{conductor}", f"{circuit.name}.{conductor}")
    if "." in circuit.feeds:
        _fed_side(spread, circuit, end)
    elif circuit.feeds:
        _appliance(spread, end, circuit.feeds, "")


def _fed_side(spread: Spread, circuit: Circuit, end: str) -> None:
    """The far end of a submain on the side of the thing it feeds."""
    for terminal in terminals_at(spread.inst, circuit.feeds) or ():
        spread.join(f"{end}.{terminal.rpartition('.')[2]}", terminal)


def _point(spread: Spread, circuit: Circuit, point: Point) -> None:
    here = f"{circuit.name}.{point.name}"
    for conductor in "LNE":
        if conductor == "N" and (point.neutral or circuit.neutral and point.from_.startswith("way")):
            spread.join(f"{here}.N", _borrowed(spread.inst, point.neutral or circuit.neutral))
        else:
            before = _before(circuit, point.from_, conductor)
            lift = f"{circuit.name}.{conductor}" if before == core(circuit, conductor) else f"{here}.{conductor}"
            spread.join(before, f"{here}.{conductor}", lift)
        if point.back_to:
            spread.join(f"{here}.{conductor}", core(circuit, conductor), f"{circuit.name}.{conductor}")
    feeds = point.feeds or ("" if "." in circuit.feeds else circuit.feeds)
    if feeds or point.before:
        _appliance(spread, here, feeds, point.before)


def _before(circuit: Circuit, name: str, conductor: str) -> str:
    """The terminal a point's core comes from: the point before it, or the board. A borrowed neutral is not passed on."""
    while name in circuit.points:
        if conductor != "N" or not circuit.points[name].neutral:
            return f"{circuit.name}.{name}.{conductor}"
        name = circuit.points[name].from_
    return core(circuit, conductor)


def _borrowed(inst: Installation, said: str) -> str:
    other, _, there = said.partition(".")
    return f"{other}.{there}.N" if there else f"{end_of(inst.circuits[other])}.N"


def _appliance(spread: Spread, here: str, feeds: str, before: str) -> None:
    """The appliance at a point, behind whatever stands before it."""
    if before:
        spread.put(here, kind(before), {"in.": f"{here}.", "out.": f"{here}.load."})
    if feeds:
        behind = f"{here}.load" if before else here
        spread.put(here, kind(feeds), {"in.": f"{behind}.", "out.": f"{behind}."})


def _fed_things(spread: Spread) -> None:
    """Equipment that says which circuit feeds it joins that circuit's far end by its first side with a line terminal."""
    for name, thing in spread.inst.equipment.items():
        if not thing.on:
            continue
        side = next((s for s, has in sides(thing.kind).items() if "L" in has), "")
        end = end_of(spread.inst.circuits[thing.on])
        for conductor in sides(thing.kind).get(side, ()):
            spread.join(f"{end}.{conductor}", f"{name}.{side}.{conductor}")


def terminals_of(network: Network, name: str) -> Iterator[str]:
    """Every terminal of the thing, way, circuit or point of this name."""
    for terminal in network.record.terminals:
        if terminal.startswith(f"{name}."):
            yield terminal
