"""The runners of tests, benches and studies: what they find, keep, refuse and say last."""
from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from studies.run import keep
from tests.conftest import COMPILED, LONG, SEARCHES, piece_of
from tools.pace import Pace, slowness
from tools.run_tests import closing, run

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


@pytest.mark.parametrize(("last_line", "exit_code", "over_time", "says"), [
    ("41 passed in 12.00s", 0, False, ""),
    ("2 failed, 39 passed in 12.00s", 1, False, ""),
    ("39 passed, 2 errors in 12.00s", 1, False, ""),
    ("41 passed in 12.00s", 1, False, "41 passed, 1 failed: the run ended with code 1, see above"),     # coverage
    ("", 4, False, "0 passed, 1 failed: the run ended with code 4, see above"),
    ("24 passed in 900.00s", 2, True, "24 passed, 1 failed: cut short after 900 s"),
    ("1 failed, 24 passed in 900.00s", 2, True, "24 passed, 2 failed: cut short after 900 s"),
])
def test_the_closing_line_is_no_better_than_the_run(last_line: str, exit_code: int, over_time: bool, says: str) -> None:
    """What pytest's own last line leaves out is said after it, counted as a failure."""
    assert closing(last_line, exit_code, over_time, 900) == says


def test_a_run_over_its_time_is_interrupted_and_fails(capsys: pytest.CaptureFixture[str]) -> None:
    """A run that would go on for a minute ends at its limit, fails, and says why in its last line."""
    slow = "import time; print('3 passed in 0.1s', flush=True)\ntry: time.sleep(600)\nexcept KeyboardInterrupt: pass"
    assert run((sys.executable, "-c", slow), 4.0) == 1
    assert capsys.readouterr().out.splitlines()[-1] == "3 passed, 1 failed: cut short after 4 s"


def test_a_limit_counts_the_seconds_of_the_machine_it_was_set_on(capsys: pytest.CaptureFixture[str]) -> None:
    """On a machine four times as slow a second counts a quarter; however slow it is, its own seconds have an end as well."""
    pace = Pace()
    pace.looked_s -= 8
    assert pace.look(4.0) == pytest.approx(2, abs=0.1)
    pace.looked_s -= 3
    assert pace.look(1.0) == pytest.approx(5, abs=0.2)
    assert slowness() >= 1
    assert run((sys.executable, "-c", "import time; time.sleep(600)"), 600.0, 1.0) != 0
    assert capsys.readouterr().out.splitlines()[-1] == "0 passed, 1 failed: cut short after 600 s"


def test_the_tests_picked_out_by_name_are_there() -> None:
    """One that was renamed would be traced again, or compiled twice, and nothing would say so."""
    texts = [file.read_text("utf-8") for file in (ROOT / "tests").rglob("test_*.py")]
    assert [name for name in SEARCHES if not any(f"\ndef {name}(" in text for text in texts)] == []
    assert {*COMPILED} <= {*SEARCHES}


def test_what_shares_a_site_or_a_compiler_shares_a_worker() -> None:
    """The phone's tests together, the papers', those that compile winters, and every other file's; the long ones are still there."""
    compiled = {piece_of(f"tests/{at}::{name}") for at, name in zip(("fast/test_fast_season.py", "cli/test_simulate.py"), COMPILED, strict=True)}
    assert compiled == {"compiled"}
    assert {piece_of("tests/web/test_a.py::test_x"), piece_of("tests/web/test_b.py::test_y")} == {"phone"}
    assert {piece_of("tests/papers/test_a.py::test_x[weir]"), piece_of("tests/papers/test_b.py::test_y")} == {"papers"}
    assert piece_of("tests/season/test_sums.py::test_x[a::b]") == "tests/season/test_sums.py"
    assert [piece for piece in LONG if piece.endswith(".py") and not (ROOT / piece).is_file()] == []
