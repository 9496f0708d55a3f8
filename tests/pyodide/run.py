"""The same snippet under Pyodide and under this Python, as bytes of its output."""
from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "src" / "spareway"
RUNNER = Path(__file__).with_name("run.mjs")


class SnippetFailed(Exception):
    """The snippet raised, or the interpreter did not start: what it wrote to stderr."""


def run_in_pyodide(code: str, files: Mapping[str, str]) -> bytes:
    """What `code` writes to stdout under Pyodide, where `files` is a dict and `import spareway` is this tree.

    SnippetFailed with the traceback when it raises, and when its modules are missing: `make test` puts them in.
    """
    return _run(["node", str(RUNNER)], json.dumps({"package": str(PACKAGE), "code": code, "files": dict(files)}))


def run_here(code: str, files: Mapping[str, str]) -> bytes:
    """The same under the Python that runs the tests, in a process of its own."""
    wrapped = "import json, sys; given = json.load(sys.stdin); exec(given['code'], {'files': given['files']})"
    return _run([sys.executable, "-c", wrapped], json.dumps({"code": code, "files": dict(files)}))


def _run(command: list[str], document: str) -> bytes:
    env = {"PATH": os.environ["PATH"], "PYTHONPATH": str(PACKAGE.parent), "PYTHONUTF8": "1"}
    done = subprocess.run(command, input=document.encode(), capture_output=True, cwd=ROOT, env=env, timeout=120)
    if done.returncode:
        raise SnippetFailed(done.stderr.decode(errors="replace"))
    return done.stdout
