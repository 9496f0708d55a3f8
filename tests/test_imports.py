"""The order of the rooms: a room uses only those before it; the engine neither libraries nor the outside world."""
from __future__ import annotations

import ast
import re
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

SRC = Path(__file__).parents[1] / "src" / "spareway"

# one way only, first to last; rooms of one line stand side by side, and only the first line's use one another
ORDER = (
    ("bundled", "show", "term", "fact", "plain_toml", "doc"),
    ("tables",), ("physics",), ("kinds",), ("job",), ("wiring",), ("design",), ("season",), ("readings",), ("rules",), ("plan",),
    ("drawings",), ("training",), ("papers",), ("fact_data",), ("api",), ("api_circuit", "api_demand", "api_heat", "api_operator", "api_readings", "api_season", "api_service"), ("sarif",),
    ("fast", "folder", "press", "survey"),
    ("web",), ("cli",),
)
RANK = {room: rank for rank, line in enumerate(ORDER) for room in line}
ENGINE = frozenset((*(room for line in ORDER[:-3] for room in line), "survey"))
BESIDES = {"survey": {"tomlkit"}}                       # changing one line of a person's file and keeping its comments
ONLY = {"physics": {"fact"}, "tables": {"fact", "doc", "bundled", "plain_toml"}}              # narrower than the order
LINK_LEVEL = ("wiring.network", "wiring.sections", "wiring.paths", "wiring.lockoff")    # plain links in: no job
OUTSIDE_WORLD = frozenset((
    "asyncio", "ctypes", "getpass", "glob", "http", "inspect", "locale", "logging", "multiprocessing", "os", "pathlib",
    "platform", "secrets", "shutil", "signal", "socket", "sqlite3", "ssl", "subprocess", "tempfile", "threading",
    "time", "urllib", "uuid"))
OUTSIDE_CALLS = frozenset(("open", "print", "input", "exec", "eval", "__import__", "breakpoint"))
OUTSIDE_METHODS = frozenset(("now", "utcnow", "today", "open", "import_module", "read_text", "write_text"))


def rooms(src: Path) -> Iterator[tuple[str, str, bool, ast.Module]]:
    """(module, its room, whether it is a package, its code) of every file but the outermost one."""
    for file in sorted(src.rglob("*.py")):
        package = file.name == "__init__.py"
        parts = file.relative_to(src).with_suffix("").parts[:-1 if package else None]
        if parts:
            tree = ast.parse(file.read_text(encoding="utf-8"), str(file))
            yield ".".join(("spareway", *parts)), parts[0], package, tree


def imports(tree: ast.Module, module: str, package: bool) -> Iterator[tuple[int, str, bool]]:
    """(line, full name of what is imported, whether at import time) of every import, inside functions too."""
    for node, later in statements(tree):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield node.lineno, alias.name, not later
        elif isinstance(node, ast.ImportFrom):
            parts = module.split(".")
            above = parts[:len(parts) - node.level + package] if node.level else []
            base = ".".join([*above, node.module] if node.module else above)
            for alias in node.names:                    # `from spareway import fact` names a room too
                yield node.lineno, f"{base}.{alias.name}", not later


def statements(block: ast.AST, later: bool = False) -> Iterator[tuple[ast.AST, bool]]:
    """Every statement, and whether it runs later than the import or never: an import stands in no expression."""
    for part in ("body", "orelse", "handlers", "finalbody", "cases"):
        for node in getattr(block, part, ()):
            yield node, later
            yield from statements(node, later or _runs_later(node))


def _runs_later(block: ast.AST) -> bool:
    for_types = isinstance(block, ast.If) and ast.unparse(block.test).endswith("TYPE_CHECKING")
    return for_types or isinstance(block, ast.FunctionDef | ast.AsyncFunctionDef)


def wrong_import(module: str, room: str, name: str) -> str:
    """What is wrong with this import in this room, or nothing."""
    first, _, rest = name.partition(".")
    other = rest.partition(".")[0]
    if first != "spareway":
        if first in BESIDES.get(room, ()):
            return ""
        if room in ENGINE and (first not in sys.stdlib_module_names or first in OUTSIDE_WORLD):
            return f"the engine may not use {first}"
        return ""
    if other == room or other.startswith("__version"):
        return ""
    if other not in RANK:
        return f"{other or 'the package itself'} is no room in the order"
    if RANK[other] > RANK[room] or (RANK[other] == RANK[room] > 0):
        return f"{room} stands before or beside {other}"
    if room in ONLY and other not in ONLY[room]:
        return f"{room} may use only {', '.join(sorted(ONLY[room]))}"
    if other == "job" and module.removeprefix("spareway.").startswith(LINK_LEVEL):
        return "the link level of wiring knows no job"
    return ""


def outside(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Calls that reach the disk, the clock, the screen or code made of text."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            called = node.func
            if isinstance(called, ast.Name) and called.id in OUTSIDE_CALLS:
                yield node.lineno, called.id
            elif isinstance(called, ast.Attribute) and called.attr in OUTSIDE_METHODS:
                yield node.lineno, called.attr


def faults(src: Path) -> list[str]:
    """Every breach of the order in a source tree, as `module:line: what`."""
    found, eager = [], dict[str, set[str]]()
    for module, room, package, tree in rooms(src):
        if room not in RANK:
            found.append(f"{module}:1: {room} is no room in the order")
            continue
        for line, name, at_once in imports(tree, module, package):
            if says := wrong_import(module, room, name):
                found.append(f"{module}:{line}: {says}")
            if at_once and name.startswith("spareway."):
                eager.setdefault(module, set()).add(name)
        if room in ENGINE:
            found += [f"{module}:{line}: the engine may not call {name}" for line, name in outside(tree)]
    return found + [f"{' > '.join(ring)}: imports go in a ring" for ring in rings(eager)]


def rings(eager: dict[str, set[str]]) -> Iterator[tuple[str, ...]]:
    """Modules that import one another while being imported: what is left when the ends of all chains are taken away."""
    left = {module: {name if name in eager else name.rpartition(".")[0] for name in names} - {module}
            for module, names in eager.items()}
    while True:
        wanted = frozenset[str]().union(*left.values())
        kept = {module: names & left.keys() for module, names in left.items() if module in wanted}
        kept = {module: names for module, names in kept.items() if names}
        if kept == left:
            break
        left = kept
    if left:
        yield tuple(sorted(left))


def test_the_rooms_stand_in_order() -> None:
    """No module of ours imports upwards, sideways, from outside the standard library or from the outside world."""
    assert faults(SRC) == []


PLANTED = {
    "upwards": ("tables/read.py", "from spareway.design.supply import x", "tables stands before or beside design"),
    "upwards, relative": ("job/read.py", "from ..rules import earthing", "job stands before or beside rules"),
    "upwards, by the room's name": ("kinds/load.py", "from spareway import wiring", "kinds stands before .* wiring"),
    "inside a function": ("design/x.py", "def f():\n    import spareway.cli", "design stands before or beside cli"),
    "beside": ("web/x.py", "from spareway.cli import main", "web stands before or beside cli"),
    "heavy library": ("physics/x.py", "import numpy as np", "may not use numpy"),
    "heavy library in a function": ("rules/x.py", "def f():\n    from networkx import Graph", "may not use networkx"),
    "clock": ("job/x.py", "import time", "may not use time"),
    "path": ("job/x.py", "from pathlib import Path", "may not use pathlib"),
    "date of today": ("rules/x.py", "import datetime\nd = datetime.date.today()", r"rules\.x:2: .* not call today"),
    "file": ("tables/x.py", "t = open('x')", "may not call open"),
    "screen": ("api.py", "print(1)", "may not call print"),
    "made of text": ("fact.py", "x = eval('1')", "may not call eval"),
    "physics off its formula": ("physics/x.py", "from spareway.tables import look_up", "physics may use only fact"),
    "job under the links": ("wiring/network.py", "from spareway.job import types", "knows no job"),
    "new room": ("helpers/x.py", "", "helpers is no room in the order"),
    "ring": ("fact.py", "from spareway.doc import over", r"spareway\.doc > spareway\.fact: imports go in a ring"),
}


@pytest.mark.parametrize("plant", PLANTED)
def test_a_planted_breach_is_found(plant: str, tmp_path: Path) -> None:
    """One wrong import in an otherwise sound small tree is found, at its module, and nothing else is."""
    name, text, says = PLANTED[plant]
    sound = {"doc.py": "from spareway.fact import x",
             "job/types.py": "import math\nfrom spareway import doc\nfrom . import read",
             "cli/main.py": "import click\nprint(1)", "wiring/expand.py": "from spareway.job.types import x"}
    for each, content in sound.items():
        (tmp_path / "spareway" / each).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / "spareway" / each).write_text(content)
    assert faults(tmp_path / "spareway") == []
    (tmp_path / "spareway" / name).parent.mkdir(exist_ok=True)
    (tmp_path / "spareway" / name).write_text(text)
    found = faults(tmp_path / "spareway")
    assert len(found) == 1
    assert re.search(says, found[0])
