"""What lies beyond a thing: which circuits in use, which boards, and what opens by itself on the way there."""
from __future__ import annotations

from typing import TYPE_CHECKING

from spareway.job.refs import UNTRACED
from spareway.wiring.expand import bar_of

if TYPE_CHECKING:
    from spareway.design.circuit import CircuitDesign
    from spareway.design.design import Design


def passes(terminal: str, name: str, design: Design) -> bool:
    """Whether current from the supply goes through this thing, or through this control of one, to reach a terminal."""
    links = design.links_to(terminal)
    if "." in name:
        return any(link.control == name for link in links)
    inside = f"{name}."
    return any(link.a.startswith(inside) and link.b.startswith(inside) for link in links)


def in_use(circuit: CircuitDesign) -> bool:
    """Whether anything is recorded on a circuit."""
    return bool(circuit.feeds - {"nothing"}) or circuit.is_submain


def circuits_beyond(name: str, design: Design) -> tuple[CircuitDesign, ...]:
    """The circuits that current reaches through this thing or control."""
    return tuple(c for c in design.circuits.values() if passes(_from(c, design), name, design))


def _from(circuit: CircuitDesign, design: Design) -> str:
    """Where a circuit begins: the busbar of its way, or wherever its line is recorded to land."""
    return circuit.begins_at if circuit.lands_elsewhere else bar_of(design.inst, circuit.circuit.way)[0]


def boards_beyond(name: str, design: Design) -> tuple[str, ...]:
    """The boards that current reaches through this thing or control."""
    return tuple(b for b in design.boards if b != name and passes(f"{b}.in.L", name, design))


def leaves_untraced(name: str, design: Design) -> bool:
    """Whether a run whose other end was not traced lands on this thing."""
    return any(UNTRACED in run.joins and any(end.partition(".")[0] == name for end in run.joins)
               for run in design.inst.runs.values())


def by_itself_before(terminal: str, design: Design) -> tuple[str, ...]:
    """The time switches and switching meters on the way to a terminal: what opens and closes without a hand."""
    return tuple(dict.fromkeys(
        link.control for link in design.links_to(terminal) if link.control
        and design.network.controls.get(link.control) == "itself"
        and link.control.partition(".")[0] in design.inst.equipment
        and design.kind_of(link.control.partition(".")[0]).family == "meter"))


def hand_switches_before(terminal: str, design: Design) -> tuple[str, ...]:
    """The things of a switch's kind, worked by hand and opening line and neutral together, on the way to a terminal."""
    from spareway.design.guards import opens_neutral
    names = dict.fromkeys(link.control.partition(".")[0] for link in design.links_to(terminal) if link.control
                          and design.network.controls.get(link.control) == "ordinary")
    return tuple(n for n in names if n in design.inst.equipment and design.kind_of(n).family == "switch"
                 and opens_neutral(design.kind_of(n)))
