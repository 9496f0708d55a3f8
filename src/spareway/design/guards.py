"""Which residual-current devices stand between the supply and a circuit, and which of its poles each thing opens."""
from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from spareway.fact import Fact
from spareway.job.types import Device, Equipment
from spareway.kinds import Kind, kind
from spareway.kinds.joints import Link, inside
from spareway.tables import look_up
from spareway.wiring.expand import core

if TYPE_CHECKING:
    from spareway.design.circuit import CircuitDesign
    from spareway.design.design import Design


@dataclass(frozen=True, slots=True)
class Guard:
    """A residual-current device on the way of a circuit: its name, and what is recorded of it."""
    name: str
    thing: Equipment | Device
    delayed: Fact[bool]

    @property
    def residual_ma(self) -> Fact[float]:
        return self.thing.residual_ma

    @property
    def residual_type(self) -> Fact[str]:
        return self.thing.residual_type


def _guard(name: str, thing: Equipment | Device, design: Design) -> Guard:
    """With its delay: as recorded, else none for a rating at which no delayed device is made."""
    delayed = thing.delayed
    most = look_up("thresholds", design.books, design.case("never_delayed_ma"))
    if not delayed.known and thing.residual_ma.known and most.known and thing.residual_ma.value <= most.value:
        delayed = Fact("delayed", False, "table", most.where, "none is made with a delay at this rating", most.trust,
                       thing.residual_ma.at, inputs=(thing.residual_ma, most))
    return Guard(name, thing, delayed)


def met_before(terminal: str, design: Design) -> tuple[Guard, ...] | None:
    """The residual-current devices on the nearest way from the supply to a line terminal, in order; not all need protect it.

    None where no line leads there."""
    links = design.links_to(terminal)
    return tuple(guard for guard, _ in _met(links, design).values()) if links else None


def _met(links: Iterable[Link], design: Design) -> dict[str, tuple[Guard, str]]:
    """Of links in order: each residual-current device by name, and its control."""
    found: dict[str, tuple[Guard, str]] = {}
    for link in links:
        thing, _, control = link.control.partition(".")
        if thing in design.inst.equipment and control in design.kind_of(thing).residual:
            found.setdefault(thing, (_guard(thing, design.inst.equipment[thing], design), link.control))
        name = design.circuit_at.get(".".join(link.control.split(".")[:2]), "")
        device = design.inst.circuits[name].device if name else None
        if device is not None and link.control.rpartition(".")[2] in kind(device.kind).residual:
            found.setdefault(name, (_guard(name, device, design), link.control))
    return found


def stands_before(control: str, terminal: str, design: Design, circuit: str = "") -> bool | None:
    """Does this device part a line terminal from every source?

    None where that cannot be told: an end that nobody traced, a second source that feeds in behind it and can go on by itself, or
    a board of which nothing says which ways stand on which bar.

    circuit: whose terminal it is; a source out on that circuit itself is no way past the device."""
    past = design.past
    if terminal in past.reached(design.supply_ends, control):
        return None if any(name in design.bars_unsaid for link in design.links_to(terminal)
                           for name in (link.a.partition(".")[0], link.b.partition(".")[0])) else False
    if design.untraced and terminal in past.reached(design.untraced, control):
        return None
    if design.feeding_in and terminal in past.reached(design.feeding_in, control, circuit):
        return None
    return True


def guards_before(terminal: str, design: Design, circuit: str = "") -> tuple[Guard, ...] | None:
    """The residual-current devices that every path of metal from a source to a line terminal meets, in order.

    None where no line leads there, or where there is none but one that may be: see `stands_before`."""
    links = design.links_to(terminal)
    if not links:
        return None
    asked = [(guard, stands_before(control, terminal, design, circuit)) for guard, control in _met(links, design).values()]
    sure = tuple(guard for guard, stands in asked if stands)
    return None if not sure and any(stands is None for _, stands in asked) else sure


def guards_of(circuit: CircuitDesign, design: Design) -> tuple[Guard, ...] | None:
    """Those of a circuit, from where its line lands; its own device last.

    None where its device, or the way to it, is not recorded."""
    return guards_before(circuit.begins_at, design, circuit.circuit.name) if circuit.device_kind is not None else None


def passed(circuit: CircuitDesign, design: Design) -> list[str]:
    """The residual-current devices on the nearest way to a circuit that metal leads past, or may: no protection of it."""
    name, end = circuit.circuit.name, circuit.begins_at
    met = _met(design.links_to(end), design)
    return [guard for guard, (_, control) in met.items() if not stands_before(control, end, design, name)]


def parts_neutral(circuit: CircuitDesign) -> bool:
    """Whether the device of a circuit opens line and neutral, and its neutral lands behind it."""
    of = circuit.device_kind
    line, neutral = (core(circuit.circuit, c).rpartition(".")[0] for c in "LN")
    return of is not None and opens_neutral(of) and line == neutral and not circuit.circuit.neutral


def opens(of: Kind, control: str) -> frozenset[str]:
    """The conductors that one control of a kind opens: {"L"}, {"L", "N"}."""
    return frozenset(link.a.rpartition(".")[2] for link in inside("", of.wiring) if link.control == f".{control}")


def opens_neutral(of: Kind) -> bool:
    """Whether some one control of this kind opens line and neutral together."""
    return any({"L", "N"} <= opens(of, control) for control in of.controls)


def neutral_alone(of: Kind) -> list[str]:
    """The controls that open the neutral and not the line with it."""
    return [control for control in of.controls if "N" in opens(of, control) and "L" not in opens(of, control)]
