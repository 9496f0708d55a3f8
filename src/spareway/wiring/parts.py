"""What can be asked to be dead: a part that is replaced in service, a thing, a way, a circuit, a point, a terminal."""
from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from spareway.doc import Fault, InputError, nearest
from spareway.job.job import Installation
from spareway.kinds import kind
from spareway.wiring.expand import terminals_of
from spareway.wiring.network import Network

NOT_OURS = ("cut-out", "meter")          # families whose parts the network or meter operator replaces


@dataclass(frozen=True, slots=True)
class Part:
    """Something replaced in service: `isolator.surge modules` and the terminals a hand meets there."""
    name: str
    thing: str
    terminals: tuple[str, ...]
    ours: bool


def parts(inst: Installation) -> Iterator[Part]:
    """Every part replaced in service, of equipment and of devices in ways."""
    for name, thing in inst.equipment.items():
        of = kind(thing.kind)
        for part, terminals in of.parts.items():
            yield Part(f"{name}.{part}", f"equipment.{name}", tuple(f"{name}.{t}" for t in terminals), of.family not in NOT_OURS)
    for name, circuit in inst.circuits.items():
        if circuit.device is not None:
            for part, terminals in kind(circuit.device.kind).parts.items():
                here = tuple(f"{circuit.way}.{t[4:] if t.startswith('out.') else t}" for t in terminals)
                yield Part(f"{circuit.way}.{part}", f"circuits.{name}", here, True)


def find(inst: Installation, network: Network, name: str) -> tuple[str, ...]:
    """The terminals of whatever is called so. Errors: InputError with the nearest name."""
    known = {p.name: p.terminals for p in parts(inst)}
    short = {p.name.rpartition(".")[2]: p.terminals for p in parts(inst)}
    alike = [p.name for p in parts(inst) if p.name.rpartition(".")[2] == name]
    if len(alike) > 1:
        raise InputError([Fault("command line", None, "part", name, f'{len(alike)} parts are called "{name}"',
                                f"say which: {', '.join(alike)}")])
    plain = name.removeprefix("equipment.").removeprefix("circuits.").replace(".points.", ".")
    for names in (known, short):
        if plain in names:
            return names[plain]
    if plain in network.record.terminals:
        return (plain,)
    if found := tuple(terminals_of(network, plain)):
        return found
    if plain in inst.runs:
        ends = [t for link in network.links if link.lift.startswith(f"{plain}.") for t in (link.a, link.b)]
        return tuple(dict.fromkeys(ends))
    names_there = {*known, *inst.equipment, *inst.runs, *inst.circuits, *network.record.terminals}
    raise InputError([Fault("command line", None, "part", name, f'nothing here is called "{name}"',
                            "a part, a thing, a way, a circuit or a terminal", nearest(name, names_there))])
