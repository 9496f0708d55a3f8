"""What a network operator is told of the loads of a home: by kind, how many, how much, and what of it the work adds."""
from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from spareway.design.load import gives, on_no_circuit, parts_of
from spareway.fact import Fact, total, unknown
from spareway.physics import cable

if TYPE_CHECKING:
    from spareway.design.operator import OperatorDesign

__all__ = ["Load", "loads"]

NOT_LISTED = ("alarms", "nothing")


@dataclass(frozen=True, slots=True)
class Load:
    """All of one kind: how many, how much together (W, and A at the declared voltage), how many and how much the work adds.

    what: a kind of the list of kinds; `sockets` stands for whole circuits of socket outlets, of which no power is known, `lights`
    for whole circuits of lamps that nobody counted, and nothing for a circuit of which nobody said what it feeds."""
    what: str
    whole_n: int
    power_w: Fact[float]
    current_a: Fact[float]
    added_n: int
    added_w: Fact[float]


def loads(of: OperatorDesign) -> list[Load]:
    """Everything that takes current, by kind, in the order of the record."""
    design, added = of.design, {at for at, _, _ in of.added}
    circuits = [c for c in design.circuits.values() if not c.is_surge]
    parts = [part for c in circuits for part in parts_of(c) if not gives(part)]
    loose = {f"equipment.{name}": design.inst.equipment[name].kind for name in on_no_circuit(design)}
    parts += [(at, what, unknown("load_w", "no circuit is recorded for it", at=at)) for at, what in loose.items()]
    plugged, unsaid = "what is plugged in is not recorded", "nobody said what it feeds"
    parts += [(c.at, "sockets", unknown("load_w", plugged, at=c.at)) for c in circuits if c.feeds_sockets]
    parts += [(c.at, "", unknown("load_w", unsaid, at=c.at)) for c in circuits if c.use_unsaid]
    by_kind: dict[str, list[tuple[str, Fact[float]]]] = {}
    for at, what, power in parts:
        if what not in NOT_LISTED:
            by_kind.setdefault(what, []).append((at, power))
    return [_load(of, what, found, added) for what, found in by_kind.items()]


def _load(of: OperatorDesign, what: str, found: list[tuple[str, Fact[float]]], added: set[str]) -> Load:
    fresh = [(at, power) for at, power in found if at in added]
    together = total("load_w", [power for _, power in found], "all of one kind")
    return Load(what, len(found), together, cable.load_a.worked(together, of.design.supply.u0_v), len(fresh),
                total("load_w", [power for _, power in fresh], "what the work adds"))
