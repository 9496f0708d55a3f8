"""Mutation testing: one thing at a time made wrong in `physics/` and in the rules of circuits, and do the tests notice?

`N` mutants drawn by the seed, the same share of every file; all of them when there are fewer. The tests are collected once;
each mutant is then asked in a process of its own, forked from there, until the first test fails. What no test noticed is
printed, and judged in `docs/mutants.md`.
"""
from __future__ import annotations

import json
import random
from collections.abc import Sequence
from pathlib import Path

from studies.asked import ask
from studies.mutants import Mutant, mutants

ROOT = Path(__file__).parents[1]
SRC = ROOT / "src"
RULES = ("faults", "devices", "routes", "rings", "loads", "circuits", "cooler")
PHYSICS_TESTS = ("tests/physics", "tests/test_published.py", "tests/design", "tests/scenarios", "tests/rules/test_examples.py",
                 "--ignore=tests/physics/test_browser.py")
RULES_TESTS = ("tests/rules", "tests/design", "tests/scenarios", "tests/test_published.py")


def run(n: int, seed: int, state_path: Path, among: str = "", enough_s: float = 15.0) -> str:
    """Goes on where `state_path` says it stopped; `among`: only mutants whose name holds this, and those not noticed again.

    The last line: how many were noticed of how many."""
    wanted = drawn(n, seed)
    done: dict[str, str] = json.loads(state_path.read_text()) if state_path.exists() else {}
    for room, tests in (("physics", PHYSICS_TESTS), ("rules", RULES_TESTS)):
        here = [m for m in wanted if f"/{room}/" in m.file]
        left = [m for m in here if (among in m.name and not done.get(m.name) if among else m.name not in done)]

        def told(mutant: Mutant, by: str) -> None:
            if mutant.of:
                done[mutant.name] = by
                state_path.write_text(json.dumps(done, indent=0))
            elif by:
                raise SystemExit(f"{mutant.file}, with nothing wrong: {by}")

        if left:
            ask([*_nothing_wrong(left), *left], tests, told, enough_s)
    return _told([m for m in wanted if m.name in done], done, seed)


def _told(wanted: Sequence[Mutant], done: dict[str, str], seed: int) -> str:
    left = [m for m in wanted if not done[m.name]]
    for mutant in left:
        print(f"not noticed: {mutant.name}")
    by_room = {room: [bool(done[m.name]) for m in wanted if f"/{room}/" in m.file] for room in ("physics", "rules")}
    shares = ", ".join(f"{room} {kept.count(True)} of {len(kept)}" for room, kept in by_room.items())
    return f"seed {seed}: noticed {len(wanted) - len(left)} of {len(wanted)} mutants ({shares})"


def _nothing_wrong(wanted: Sequence[Mutant]) -> list[Mutant]:
    """Each file laid in as it is: a test that notices this notices the laying, and nothing that it says of a mutant counts."""
    files = dict.fromkeys(m.file for m in wanted)
    return [Mutant(file, "", 0, "nothing wrong", (SRC / file).read_text()) for file in files]


def drawn(n: int, seed: int) -> list[Mutant]:
    """The mutants of this run, file by file, each file with its share of `n`."""
    files = [*sorted((SRC / "spareway/physics").glob("*.py")),
             *(f for name in RULES if (f := SRC / f"spareway/rules/{name}.py").exists())]
    everything = [list(mutants(str(f.relative_to(SRC)), f.read_text())) for f in files]
    total, draw = len([m for each in everything for m in each]), random.Random(seed)
    some = [draw.sample(each, min(len(each), round(n * len(each) / total + 0.5))) for each in everything]
    return [m for each in some for m in sorted(each, key=lambda m: m.line)]
