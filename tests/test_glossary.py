"""The glossary holds every quantity the program can print, once, in the form its quick reader knows."""
from __future__ import annotations

import tomllib
from importlib import import_module
from pathlib import Path

from spareway import bundled
from spareway.fact import Formula, glossary, quantities
from spareway.job import types
from spareway.job.fields import specs

PHYSICS = Path(bundled.__file__).parent / "physics"


def test_the_quick_reader_reads_what_a_toml_reader_reads() -> None:
    """No entry is lost or read otherwise because its line is not in the one-line form."""
    whole = tomllib.loads(bundled.text("glossary.toml"))
    assert {q.name: (q.says, q.symbol, q.unit, q.digits) for q in quantities()} == {
        name: (e["says"], e["symbol"], e["unit"], e.get("digits", 3)) for name, e in whole.items()}


def test_every_formula_and_every_parameter_has_an_entry() -> None:
    """What is not in the glossary is not printed: a formula without one could not show its working."""
    for file in PHYSICS.glob("[a-z]*.py"):
        module = import_module(f"spareway.physics.{file.stem}")
        for name, found in vars(module).items():
            if isinstance(found, Formula):
                for quantity in (found.name, *found.parameters):
                    assert glossary(quantity).says, f"{file.stem}.{name}"


def test_every_fact_of_a_job_has_an_entry_in_its_own_unit() -> None:
    """The unit in a field's name is the unit the glossary prints."""
    ends = {"_a": "A", "_ma": "mA", "_ka": "kA", "_kv": "kV", "_mm2": "mm²", "_mm": "mm", "_m": "m", "_m2": "m²", "_w": "W",
            "_v": "V", "_ohm": "Ω", "_c": "°C", "_a2s": "A²s"}
    for of in vars(types).values():
        for spec in specs(of) if isinstance(of, type) and of.__module__ == types.__name__ else ():
            if spec.is_fact:
                unit = glossary(spec.quantity).unit
                longest = max((e for e in ends if spec.quantity.endswith(e)), key=len, default="")
                assert spec.holds != "number" or unit == ends.get(longest, unit), spec.quantity
                assert spec.holds == "number" or unit == "", spec.quantity
