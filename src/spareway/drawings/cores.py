"""What joins the things of an intake: one core a conductor, between terminals of things that are drawn.

Made from the wired record's own links, so the picture cannot join what the record does not.
"""
from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from spareway.job.job import Installation
from spareway.job.refs import UNTRACED
from spareway.job.types import Circuit, Equipment
from spareway.kinds import kind
from spareway.kinds.joints import Link
from spareway.show import plain
from spareway.wiring.expand import core, end_of
from spareway.wiring.network import Network

__all__ = ["COLOURS", "CUT", "STREET", "UNTRACED", "Core", "cores", "drawn_things", "insulation"]

CUT, STREET = "cut", "street"
COLOURS = {"brown": "BN", "blue": "BU", "black": "BK", "grey": "GY", "gray": "GY", "red": "RD", "green-yellow": "GNYE",
           "green/yellow": "GNYE", "bn": "BN", "bu": "BU", "bk": "BK", "gy": "GY", "rd": "RD", "gnye": "GNYE"}
ORDER = ("L", "L1", "L2", "L3", "N", "E")                # line, then neutral, then earth: the order in which colours are said


@dataclass(frozen=True, slots=True)
class Core:
    """One conductor. `b` is "" where its other end is loose: cut, or not traced."""
    name: str                                            # "tails-2.L", by which it can be lifted
    run: str
    a: str
    b: str
    insulation: str = ""                                 # letters of IEC 60757; "" where nothing is recorded
    loose: str = ""                                      # CUT, UNTRACED
    at: str = ""                                         # the terminal of the record whose potential a loose end has
    size: str = ""                                       # what its size sleeve says


def insulation(said: str | None) -> tuple[str, ...]:
    """"red black" as ("RD", "BK"); what is no colour of the trade stays unknown."""
    return tuple(COLOURS.get(word.strip(",").lower(), "") for word in (said or "").split())


def drawn_things(inst: Installation) -> tuple[str, ...]:
    """The equipment of the intake: all but appliances at the end of a circuit, which runs do not touch."""
    touched = {end.partition(".")[0] for run in inst.runs.values() for end in run.joins}
    touched |= {supply.joins.partition(".")[0] for supply in inst.supplies.values()}

    def shown(name: str, thing: Equipment) -> bool:
        return name in touched or kind(thing.kind).family not in ("appliance", "lead")
    return tuple(name for name, thing in inst.equipment.items() if shown(name, thing))


def cores(inst: Installation, network: Network) -> tuple[Core, ...]:
    """Every conductor that is drawn whole: of runs, and of circuits that lead to a thing of the intake."""
    things = set(drawn_things(inst))
    found = [core for link in network.links if (core := _of_run(inst, link)) is not None]
    for circuit in inst.circuits.values():
        found += _of_circuit(inst, network, circuit, things)
    return tuple(found)


def _of_run(inst: Installation, link: Link) -> Core | None:
    name, _, conductor = link.lift.rpartition(".")
    run = inst.runs.get(name)
    if run is None:
        return None
    said = insulation(run.colours.amount)
    carried = sorted({c for other in _conductors(inst, name) for c in (other, conductor)}, key=ORDER.index)
    colour = said[carried.index(conductor)] if carried.index(conductor) < len(said) else ""
    loose = UNTRACED if link.b == f"{name}.{UNTRACED}.{conductor}" else CUT if link.b == f"{name}.{CUT}.{conductor}" else ""
    return Core(link.lift, name, link.a, "" if loose else link.b, colour, loose, link.b if loose else "", _size(inst, name))


def _conductors(inst: Installation, name: str) -> Iterator[str]:
    from spareway.job.refs import terminals_at
    from spareway.wiring.expand import conductors
    run = inst.runs[name]
    ends = [terminals_at(inst, end) or () for end in run.joins if end != UNTRACED]
    yield from conductors(run, ends)


def _size(inst: Installation, name: str) -> str:
    size = inst.runs[name].size_mm2
    return f"{plain(size.amount)} mm²" if size.amount is not None else "? mm²"


def _of_circuit(inst: Installation, network: Network, circuit: Circuit, things: set[str]) -> Iterator[Core]:
    """The cores of a circuit's cable to the thing it feeds, from the terminals they land on at the board."""
    end = end_of(circuit)
    ends = {f"{end}.{c}": c for c in ("L", "N", "E")}
    said = circuit.cable.line_mm2.amount if circuit.cable else None
    size = f"{plain(said)} mm²" if said is not None else "? mm²"
    for link in network.links:
        if link.a in ends and not link.lift and link.joint == "-" and link.b.partition(".")[0] in things:
            conductor = ends[link.a]
            lender = inst.circuits[circuit.neutral] if circuit.neutral and conductor == "N" else circuit
            yield Core(f"{circuit.name}.{conductor}", circuit.name, core(lender, conductor), link.b, size=size)
