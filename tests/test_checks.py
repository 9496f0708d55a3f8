"""Lint and types as tests, so that the closing line of the run speaks for them too."""
from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]


@pytest.mark.parametrize("command", [["ruff", "check", "--quiet", "."], ["mypy"]], ids=["lint", "types"])
def test_the_tree_is_clean(command: list[str]) -> None:
    """The linter and the type checker, as `pyproject.toml` sets them, have nothing to say."""
    done = subprocess.run([sys.executable, "-m", *command], cwd=ROOT, capture_output=True, text=True, timeout=300)
    assert done.returncode == 0, done.stdout + done.stderr
