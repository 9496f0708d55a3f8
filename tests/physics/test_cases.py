"""Each formula against a published or hand-worked case; each case has its source and each formula its case."""
from __future__ import annotations

import importlib
import pkgutil
import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

import spareway.physics
from spareway.fact import Fact, Formula, glossary

PUBLISHED = Path(__file__).parents[1] / "published"
FORMULAS: dict[str, Formula] = {}
for found in pkgutil.iter_modules(spareway.physics.__path__):
    module = importlib.import_module(f"spareway.physics.{found.name}")
    FORMULAS |= {f"{found.name}.{name}": each for name, each in vars(module).items()
                 if isinstance(each, Formula) and each.plain.__module__ == module.__name__}
CASES = [{**case, "file": file.stem} for file in sorted(PUBLISHED.glob("*.toml")) if file.stem in dir(spareway.physics)
         for case in tomllib.loads(file.read_text(encoding="utf-8"))["case"]]


@pytest.mark.parametrize("case", CASES, ids=lambda c: f"{c['file']}-{c['name']}")
def test_case(case: dict[str, Any]) -> None:
    """The number as published, within the print; the working ends in that number too."""
    formula = FORMULAS[f"{case['file']}.{case['of']}"]
    assert case["kind"] in ("published", "hand-worked", "second-method")
    assert case["from"]["source"]
    assert case["want"]["because"]
    assert set(case["given"]) == set(formula.parameters)
    numbers = [case["given"][name] for name in formula.parameters]
    assert formula(*numbers) == pytest.approx(case["want"]["value"], abs=case["want"]["within"])
    worked = formula.worked(*(Fact(n, float(v), "stated") for n, v in zip(formula.parameters, numbers, strict=True)))
    assert worked.value == formula(*map(float, numbers))
    assert worked.line().startswith(f"{glossary(formula.name).symbol} = ")


@pytest.mark.parametrize("name", FORMULAS)
def test_formula_says_what_it_is(name: str) -> None:
    """One sentence, a case that is there and of this formula, a source, a glossary entry for all it names."""
    formula = FORMULAS[name]
    words = formula.__doc__ or ""
    assert words.strip().split("\n")[0].rstrip().endswith((".", ",")) or "\n\n" in words
    place = re.search(r"Case: published/(\w+)\.toml#([\w-]+)", words)
    assert place is not None
    assert [c for c in CASES if (c["file"], c["name"], c["of"]) == (place[1], place[2], name.partition(".")[2])] != []
    assert formula.source
    for each in (formula.name, *formula.parameters):
        assert glossary(each).says


def test_cases_have_names_of_their_own() -> None:
    names = [(case["file"], case["name"]) for case in CASES]
    assert sorted(set(names)) == sorted(names)
