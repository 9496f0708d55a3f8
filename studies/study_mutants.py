"""Mutation testing: one thing at a time made wrong in `physics/` and in the rules of circuits, and do the tests notice?

`N` mutants drawn by the seed, the same share of every file; all of them when there are fewer. Each runs in a process of its own
against the tests that are about its module. What no test noticed is printed, and judged in `docs/mutants.md`.
"""
from __future__ import annotations

import ast
import contextlib
import importlib.abc
import importlib.util
import io
import json
import os
import random
import re
import signal
import sys
import types
from collections.abc import Sequence
from pathlib import Path

import pytest

from studies.mutants import Mutant, mutants

ROOT = Path(__file__).parents[1]
SRC = ROOT / "src"
SOON = ("tests/physics/test_cases.py",)                       # most are noticed here, and the rest is not then collected
PHYSICS = ("tests/physics", "tests/test_published.py", *(f"--ignore=tests/physics/test_{name}.py" for name in
                                                         ("browser", "cases", "nodes")))
RULES = ("faults", "devices", "routes", "rings", "loads", "circuits")
LIMIT_S = 300


def run(n: int, seed: int, state_path: Path) -> str:
    """Goes on where `state_path` says it stopped. The last line: how many were noticed of how many."""
    wanted = drawn(n, seed)
    sound(wanted)
    done: dict[str, bool] = json.loads(state_path.read_text()) if state_path.exists() else {}
    for number, mutant in enumerate(wanted, 1):
        if mutant.name not in done:
            done[mutant.name] = noticed(mutant)
            state_path.write_text(json.dumps(done))
        if number % 50 == 0:
            print(f"{number} of {len(wanted)}", flush=True)
    left = [m.name for m in wanted if not done[m.name]]
    for name in left:
        print(f"not noticed: {name}")
    by_room = {room: [done[m.name] for m in wanted if f"/{room}/" in m.file] for room in ("physics", "rules")}
    shares = ", ".join(f"{room} {sum(kept)} of {len(kept)}" for room, kept in by_room.items())
    return f"seed {seed}: noticed {len(wanted) - len(left)} of {len(wanted)} mutants ({shares})"


def drawn(n: int, seed: int) -> list[Mutant]:
    """The mutants of this run, file by file, each file with its share of `n`."""
    files = [*sorted((SRC / "spareway/physics").glob("*.py")),
             *(f for name in RULES if (f := SRC / f"spareway/rules/{name}.py").exists())]
    everything = [list(mutants(str(f.relative_to(SRC)), f.read_text())) for f in files]
    total, draw = len([m for each in everything for m in each]), random.Random(seed)
    some = [draw.sample(each, min(len(each), round(n * len(each) / total + 0.5))) for each in everything]
    return [m for each in some for m in sorted(each, key=lambda m: m.line)]


def asks(mutant: Mutant) -> tuple[Sequence[str], ...]:
    """The tests about a mutant's module, in the order to ask them: for a rule, its own two examples and those of its topic."""
    if "/physics/" in mutant.file:
        return SOON, PHYSICS
    topic = Path(mutant.file).stem
    own = ROOT / f"tests/rules/test_{topic}.py"
    near = [*([str(own)] if own.exists() else ()), *(f"tests/rules/test_{name}.py" for name in ("points", "uses", "two_rates"))]
    codes = sorted(set(re.findall(r'@rule\("([A-Z]+)', (SRC / mutant.file).read_text())))
    examples = " or ".join(f"{code}{n}-" for code in codes for n in range(1, 100))
    return ("tests/rules/test_examples.py", "-k", examples), near


def sound(wanted: Sequence[Mutant]) -> None:
    """With nothing wrong the same tests must pass, or every mutant would count as noticed. Errors: SystemExit."""
    for file in dict.fromkeys(m.file for m in wanted):
        if noticed(Mutant(file, "", 0, "nothing wrong", ast.unparse(ast.parse((SRC / file).read_text())))):
            raise SystemExit(f"{file}: its tests fail with nothing wrong in it")


def noticed(mutant: Mutant) -> bool:
    """Whether the tests fail, or do not end in time, with this mutant in place of its module."""
    child = os.fork()
    if child == 0:
        os._exit(_tried(mutant))
    signal.signal(signal.SIGALRM, lambda *_: os.kill(child, signal.SIGKILL))
    signal.alarm(LIMIT_S)
    _, status = os.waitpid(child, 0)
    signal.alarm(0)
    return status != 0


def _tried(mutant: Mutant) -> int:
    """In the child: 0 where every test passes."""
    sys.path[:0] = [str(ROOT), str(SRC)]
    module = mutant.file.removesuffix(".py").replace("/", ".").removesuffix(".__init__")
    sys.meta_path.insert(0, _Wrong(module, mutant.source))
    os.chdir(ROOT)
    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
        return int(any(pytest.main(["-x", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", *tests]) for tests in asks(mutant)))


class _Wrong(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Gives one module from a text instead of from its file."""

    def __init__(self, module: str, source: str) -> None:
        self.module, self.source = module, source

    def find_spec(self, name: str, *_: object) -> object:
        return importlib.util.spec_from_loader(name, self) if name == self.module else None

    def exec_module(self, module: types.ModuleType) -> None:
        exec(compile(self.source, f"{self.module} with one thing wrong", "exec"), module.__dict__)
