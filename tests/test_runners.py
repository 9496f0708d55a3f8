"""The runners of benches and studies: what they find, keep and refuse."""
from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from studies.run import keep

ROOT = Path(__file__).parents[1]


def test_a_studys_last_line_is_kept_with_its_seed(tmp_path: Path) -> None:
    """The file holds one line: seed, size, result. A study that says nothing is an error, not an empty result."""
    assert keep("crash", 10, 7, "going\n0 lost, 0 mixed\n", tmp_path / "new") == "seed 7, N 10: 0 lost, 0 mixed"
    assert (tmp_path / "new" / "crash.txt").read_text() == "seed 7, N 10: 0 lost, 0 mixed\n"
    with pytest.raises(ValueError, match="crash said nothing"):
        keep("crash", 10, 7, " \n", tmp_path)


@pytest.mark.parametrize("runner", ["bench/run.py", "studies/run.py"])
def test_an_unknown_name_is_refused(runner: str) -> None:
    """A misspelt name ends in a failure that says so, and never in a run of nothing."""
    done = subprocess.run([sys.executable, runner, "nonesuch"], cwd=ROOT, capture_output=True, text=True, timeout=60)
    assert done.returncode == 1
    assert "called nonesuch; there is" in done.stderr
