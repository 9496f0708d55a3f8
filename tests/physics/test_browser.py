"""The formulas under the browser's Python: the same lines to the byte, the same refusals by another compiler."""
from __future__ import annotations

from functools import cache
from pathlib import Path

from tests.pyodide.run import run_here, run_in_pyodide

LINES = """
import importlib, pkgutil, random
import spareway.physics
from spareway.fact import Fact, Formula, apart
draw = random.Random(11)
for found in sorted(m.name for m in pkgutil.iter_modules(spareway.physics.__path__)):
    module = importlib.import_module(f"spareway.physics.{found}")
    for name, each in sorted(vars(module).items()):
        if isinstance(each, Formula) and each.plain.__module__ == module.__name__:
            for _ in range(20):
                facts = [Fact(p, draw.random() * 10 ** draw.randint(-3, 4), "measured") for p in each.parameters]
                worked = each.worked(*facts)
                print(worked.line(), worked.note, apart(facts[0].value, facts[0].value * (1 + 1e-9)))
"""
REFUSALS = """
import math
from spareway.fact import formula
RATE, TABLE = 1.2, {1: 2.0}
def helper(x):
    return x * RATE
kept = []
for name, function in REFUSED.items():
    try:
        formula("nowhere")(function)
        kept.append(name)
    except (TypeError, AttributeError):
        pass
print(len(REFUSED), kept)
"""


PARTED = b"---- refusals ----\n"


@cache
def said() -> tuple[tuple[bytes, bytes], tuple[bytes, bytes]]:
    """Lines and refusals, as said here and there; the browser's Python is started once for both."""
    tests = (Path(__file__).parents[1] / "test_fact.py").read_text(encoding="utf-8")
    refused = tests[tests.index("REFUSED = {"):tests.index("\n}\n") + 3]
    snippet = f"{LINES}\nprint({PARTED.decode().strip()!r})\n{REFUSALS.replace('kept = []', f'{refused}kept = []')}"
    here, there = (run(snippet, {}).partition(PARTED) for run in (run_here, run_in_pyodide))
    return (here[0], there[0]), (here[2], there[2])


def test_the_same_lines_to_the_byte() -> None:
    """Every formula on twenty draws: what is printed here is printed there."""
    here, there = said()[0]
    assert here.count(b"\n") > 1000
    assert there == here


def test_the_same_refusals() -> None:
    """Newer Python compiles look-ups, loops and branches to other instructions; each is still refused."""
    here, there = said()[1]
    assert here.endswith(b" []\n")
    assert int(here.split()[0]) > 30
    assert there == here
