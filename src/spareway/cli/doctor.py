"""`spareway doctor`: what this machine lacks of what this version can use, a line each."""
from __future__ import annotations

import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from importlib.util import find_spec

import click

from spareway.cli.arguments import Verb, json_option
from spareway.cli.layout import columns, out, out_json, paragraph

__all__ = ["Need", "command", "needs"]

PACKAGES = {
    "click": ("this command line", "pip install 'spareway[cli]'"),
    "tomlkit": ("changing a file of a job and keeping its comments", "pip install 'spareway[cli]'"),
    "typst": ("making papers", "pip install 'spareway[papers]'"),
    "numba": ("living many winters of a home (demand --simulate)", "pip install 'spareway[season]'"),
    "jsonschema": ("the tests", "make environment"),
    "hypothesis": ("the tests", "make environment"),
    "pytest": ("the tests", "make environment"),
    "rustworkx": ("the benchmarks", "make environment"),
    "scipy": ("the benchmarks", "make environment"),
}
PROGRAMS = {
    "node": ("the test that a browser gets the same bytes", "apt-get install nodejs"),
    "npm": ("putting in what that test runs on", "apt-get install npm"),
    "make": ("make demo, make test and their like", "apt-get install make"),
    "git": ("working on Spareway itself", "apt-get install git"),
}


@dataclass(frozen=True, slots=True)
class Need:
    """Something this version can use: whether it is here and in what version, what for, how to put it in."""
    what: str
    here: bool
    version: str
    used_for: str
    put_in: str


def needs() -> Iterator[Need]:
    """Everything there is to lack, what a check needs first."""
    yield Need("Python", True, ".".join(map(str, sys.version_info[:3])), "everything", "")
    yield Need("a terminal that shows Ω and ²", (sys.stdout.encoding or "").lower().replace("-", "") == "utf8",
               "", "reading an answer as it is meant", "export LC_ALL=C.UTF-8")
    for name, (used_for, put_in) in PACKAGES.items():
        yield Need(name, find_spec(name) is not None, _package(name), used_for, put_in)
    for name, (used_for, put_in) in PROGRAMS.items():
        found = shutil.which(name)
        yield Need(name, found is not None, _program(found) if found else "", used_for, put_in)


def _package(name: str) -> str:
    from importlib.metadata import PackageNotFoundError, version
    try:
        return version(name)
    except PackageNotFoundError:
        return ""


def _program(path: str) -> str:
    """What it says of its version; nothing where it does not answer."""
    try:
        said = subprocess.run([path, "--version"], capture_output=True, text=True, timeout=10, check=True).stdout
    except (OSError, ValueError, subprocess.SubprocessError):
        return ""
    return next((word.strip("v,") for word in said.split() if word.strip("v,")[:1].isdigit()), "")


@click.command("doctor", cls=Verb)
@json_option
def command(as_json: bool) -> int:
    """What this machine lacks. A check of a job needs Python and click, nothing else."""
    every = list(needs())
    if as_json:
        out_json({"needs": [asdict(each) for each in every], "lacks": [each.what for each in every if not each.here]})
        return 0
    lacks = [n for n in every if not n.here]
    first = f"Lacks {', '.join(n.what for n in lacks)}." if lacks else "Lacks nothing that this version can use."
    rows = [("lacks", n.what, f"for {n.used_for}: {n.put_in}") for n in lacks]
    rows += [("here", f"{n.what} {n.version}".rstrip(), f"for {n.used_for}") for n in every if n.here]
    out([*paragraph(first), "", *columns(rows, 0)])
    return 0
