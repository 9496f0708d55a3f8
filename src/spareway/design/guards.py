"""Which residual-current devices stand between the supply and a circuit, and which of its poles each thing opens."""
from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from spareway.fact import Fact
from spareway.job.types import Device, Equipment
from spareway.kinds import Kind
from spareway.kinds.joints import inside
from spareway.tables import look_up
from spareway.wiring.expand import bar_of

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


def guards_before(terminal: str, design: Design) -> tuple[Guard, ...] | None:
    """The residual-current devices from the supply to a line terminal, in order. None where no line leads there."""
    links = design.links_to(terminal)
    if not links:
        return None
    found: dict[str, Guard] = {}
    for link in links:
        thing, _, control = link.control.partition(".")
        if thing in design.inst.equipment and control in design.kind_of(thing).residual:
            found.setdefault(thing, _guard(thing, design.inst.equipment[thing], design))
        way = ".".join(link.control.split(".")[:2])
        circuit = design.circuits.get(design.circuit_at.get(way, ""))
        of = circuit.device_kind if circuit is not None else None
        if circuit is not None and of is not None and link.control.rpartition(".")[2] in of.residual:
            found.setdefault(circuit.circuit.name, _guard(circuit.circuit.name, circuit.device, design))
    return tuple(found.values())


def guards_of(circuit: CircuitDesign, design: Design) -> tuple[Guard, ...] | None:
    """Those of a circuit, its own device last. None where its device, or the way to it, is not recorded."""
    before = guards_before(bar_of(design.inst, circuit.circuit.way)[0], design)
    if before is None or circuit.device_kind is None:
        return None
    own = (_guard(circuit.circuit.name, circuit.device, design),) if circuit.device_kind.residual else ()
    return (*before, *own)


def opens(of: Kind, control: str) -> frozenset[str]:
    """The conductors that one control of a kind opens: {"L"}, {"L", "N"}."""
    return frozenset(link.a.rpartition(".")[2] for link in inside("", of.wiring) if link.control == f".{control}")


def opens_neutral(of: Kind) -> bool:
    """Whether some one control of this kind opens line and neutral together."""
    return any({"L", "N"} <= opens(of, control) for control in of.controls)


def neutral_alone(of: Kind) -> list[str]:
    """The controls that open the neutral and not the line with it."""
    return [control for control in of.controls if "N" in opens(of, control) and "L" not in opens(of, control)]
