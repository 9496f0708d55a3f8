"""How long a circuit may be, as its headline says: the job with another length in it, judged anew, has another worst verdict there.

A second way: the headline reads it off the findings' working, and here every rule is run again on a job that says another length."""
from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

import pytest

from spareway import api
from spareway.design.design import Design
from spareway.job.job import Installation, read_job
from spareway.rules.base import VERDICTS
from spareway.rules.circuit_words import holds
from tests.properties.homes import HOMES, texts

SEEN = {"tables": re.compile(r"([\d.]+) m, holds to ([\d.]+) m by the drop of the tables and to ([\d.]+) m at the most: "),
        "to": re.compile(r"([\d.]+) m, holds to ([\d.]+) m: "), "at": re.compile(r"([\d.]+) m, holds at ([\d.]+) m or less: "),
        "any": re.compile(r"([\d.]+) m, fails at any length: ")}
FAILS = VERDICTS.index("fails")
TOO_LONG = {"weir-cottage": "ring-ground", "granary-yard": "hot-water", "ridge-annexe": "heat-2"}    # at twelve times what it is


@cache
def home(name: str, stage: str) -> Installation:
    return read_job(texts(name)).at(stage)


def laid(circuit: str, length_m: float) -> str:
    return f"circuits.{circuit}.cable.length_m = {{ measured = {length_m:.6f} }}"


def rank(name: str, stage: str, circuit: str, length_m: float) -> int:
    """How bad it is at that length, 0 the worst: of the whole program, on the job with that length in it."""
    design = Design(home(name, stage).altered(laid(circuit, length_m)))
    return min(VERDICTS.index(f.verdict) for f in api._found(design, f"circuits.{circuit}"))


def headlines(name: str) -> Iterator[tuple[str, str, int, str, str]]:
    """(stage, circuit, how bad it is now, kind of headline, headline): all that end somewhere, and of those that fail at any length one a stage."""
    for stage in ("found", "proposed"):
        any_length = 0
        for circuit in api.circuit(texts(name), "", stage)["circuits"]:
            kind = _kind(said := holds(circuit))
            any_length += kind == "any"
            if kind and (kind != "any" or any_length == 1):
                yield stage, circuit["name"], VERDICTS.index(circuit["verdict"]), kind, said
    each = TOO_LONG[name]
    too_long = laid(each, 12 * home(name, "proposed").circuits[each].cable.length_m.value)
    circuit, = api.circuit(texts(name), each, "proposed", [("o.toml", too_long)])["circuits"]
    yield "proposed", each, VERDICTS.index(circuit["verdict"]), _kind(holds(circuit)), holds(circuit)


def _kind(said: str) -> str:
    return next((kind for kind, pattern in SEEN.items() if pattern.match(said)), said)


@pytest.mark.parametrize("name", HOMES)
def test_the_worst_verdict_turns_where_the_headline_says(name: str) -> None:
    wrong, kinds = [], set()
    for stage, circuit, now, kind, said in headlines(name):
        kinds.add(kind)
        now_m, *ends_m = (float(each) for each in SEEN[kind].match(said).groups())          # type: ignore[union-attr]
        end = [rank(name, stage, circuit, m * share) for m in ends_m[-1:] for share in (1, 1.01)]
        if kind == "any":
            good = max(now, *(rank(name, stage, circuit, m) for m in (0.2, now_m * 3))) <= FAILS
        elif kind == "at":
            good = now <= FAILS and end[0] > FAILS and end[1] <= FAILS
        else:
            good = end[0] == now > end[1] and now > FAILS
            good = good and (kind == "to" or rank(name, stage, circuit, (ends_m[0] + ends_m[1]) / 2) == now)
        if not good:
            wrong.append((stage, circuit, said, now, end))
    assert wrong == []
    assert {"tables", "at"} <= kinds
