"""One circuit judged by itself, as recorded or with a few amounts otherwise: its findings and its quantities as plain data."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Any

from spareway import api
from spareway.design.circuit import CircuitDesign
from spareway.design.design import Design
from spareway.fact import Fact, glossary
from spareway.job.job import Installation
from spareway.papers.words import asked
from spareway.rules import all_rules
from spareway.rules.base import judge

__all__ = ["circuit_told"]

# in the order of a design: the property of a circuit and, where it is another word, the quantity that it is
ORDER = {
    **dict.fromkeys(("load_a", "rating_a", "iz_a", "length_m", "r1_ohm", "r2_ohm", "r1r2_ohm", "ze_ohm"), ""),
    **dict.fromkeys(("zs_ohm", "zs_limit_ohm", "zs_site_limit_ohm"), ""),
    "fault_near_a": "prospective_a",
    "fault_far_a": "prospective_a",
    "ia_a": "",
    "clear_limit_s": "clear_s",
    "energy_near_a2s": "i2t_a2s",
    "energy_far_a2s": "i2t_a2s",
    "withstand_a2s": "k2s2_a2s",
    "drop_v": "",
    "drop_from_origin_v": "drop_v",
    "drop_limit_v": "",
}


class _Alone(Design):
    """An installation of which only one circuit is asked about."""

    def __init__(self, inst: Installation, name: str) -> None:
        super().__init__(inst)
        self._at = f"circuits.{name}"

    def subjects(self, about: str) -> Iterator[tuple[str, Any]]:
        return ((address, subject) for address, subject in super().subjects(about) if address == self._at)


def circuit_told(inst: Installation, name: str) -> dict[str, Any]:
    """`findings` as the document of a check has them, each whole; `quantities` in the order of a design. Errors: KeyError."""
    design = _Alone(inst, name)
    rules = [rule for rule in all_rules() if rule.about == "circuit"]
    found = [f for f in judge(design, rules) if f.subject == f"circuits.{name}"]
    circuit = design.circuits[name]
    return {
        "findings": [api._finding(f, whole=True) for f in found],
        "quantities": [_told(name, fact) for name, fact in _quantities(circuit)],
    }


def _quantities(circuit: CircuitDesign) -> Iterator[tuple[str, Fact[Any]]]:
    for name, quantity in ORDER.items():
        yield name, asked(quantity or name, partial(getattr, circuit, name))


def _told(name: str, fact: Fact[Any]) -> dict[str, Any]:
    entry = glossary(fact.name)
    return {
        "quantity": name,
        "says": entry.says,
        "amount": fact.amount,
        "is": str(fact),
        "unit": entry.unit,
        "how": fact.how,
        "trust": fact.trust,
        "working": [step.line for step in fact.working()],
        "sources": list(dict.fromkeys(f.where for f in fact.roots() if f.where)),
        "missing": [api._gap(gap) for gap in fact.missing()],
    }
