"""`check` of the first example: warm in one process, cold from the shell, and what `--help` costs.

Cold starts are ratios: ours and the yardstick are started in turn, so that a busy machine slows both, and the medians
are compared. Both find their modules compiled, in a place of their own, as after a first start on any machine: some
machines forbid that by default, and every start would then time the compiler.
"""
from __future__ import annotations

import gc
import os
import subprocess
import sys
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter

ROOT = Path(__file__).parents[1]
EXAMPLE = ROOT / "examples" / "weir-cottage"
SPAREWAY = "import sys; from spareway.cli import main; sys.exit(main())"        # all that the installed script does
JUDGED = (0, 1, 3)                                                              # 2 would be bad input or usage
WARM_RUNS, COLD_RUNS = 30, 15
WARM_MS, COLD_TIMES, HELP_TIMES = 60.0, 18.0, 1.5


def run() -> list[str]:
    """One line a measurement, each with what it may be at most."""
    if not EXAMPLE.is_dir():
        return ["no example yet"]
    reading_ms, checking_ms = warm_ms()
    with TemporaryDirectory() as compiled:
        bare_s, check_s = in_turn(["-c", ""], ["-c", SPAREWAY, "check", str(EXAMPLE)], compiled)
        click_s, help_s = in_turn(["-c", "import click"], ["-c", SPAREWAY, "--help"], compiled)
    return [
        f"{EXAMPLE.name} warm: check {compared(checking_ms, WARM_MS, ' ms')}, collector off; "
        f"reading the folder {reading_ms:.1f} ms more; together {(reading_ms + checking_ms) / bare_s / 1000:.2f} times "
        "a bare interpreter's start",
        f"check cold: {compared(check_s / bare_s, COLD_TIMES, ' times')} a bare interpreter's start "
        f"({check_s * 1000:.0f} ms against {bare_s * 1000:.0f} ms)",
        f"--help cold: {compared(help_s / click_s, HELP_TIMES, ' times')} python -c 'import click' "
        f"({help_s * 1000:.0f} ms against {click_s * 1000:.0f} ms)",
    ]


def compared(value: float, at_most: float, unit: str) -> str:
    return f"{value:.2f}{unit} ({'within' if value <= at_most else 'OVER'} {at_most:g})"


def warm_ms() -> tuple[float, float]:
    """(reading, checking) in ms: medians after a first run that loads the tables."""
    from spareway.api import check
    from spareway.folder import read_folder

    reading, checking = [], []
    check(read_folder(EXAMPLE))
    for _ in range(WARM_RUNS):
        gc.collect()
        gc.disable()
        try:
            start = perf_counter()
            files = read_folder(EXAMPLE)
            read = perf_counter()
            check(files)
            checking.append((perf_counter() - read) * 1000)
            reading.append((read - start) * 1000)
        finally:
            gc.enable()
    return median(reading), median(checking)


def in_turn(yardstick: list[str], ours: list[str], compiled: str) -> tuple[float, float]:
    """Median seconds of both commands of this Python, started in turn; the first start of each, which compiles, is not
    counted. Errors: CalledProcessError when either ends otherwise than judged."""
    env = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    env |= {"PYTHONPATH": str(ROOT / "src"), "PYTHONPYCACHEPREFIX": compiled}
    times: tuple[list[float], list[float]] = ([], [])
    for turn in range(COLD_RUNS + 1):
        for kept, arguments in zip(times, (yardstick, ours), strict=True):
            seconds = started_s(arguments, env)
            if turn:
                kept.append(seconds)
    return median(times[0]), median(times[1])


def started_s(arguments: list[str], env: dict[str, str]) -> float:
    command = [sys.executable, *arguments]
    start = perf_counter()
    ended = subprocess.run(command, env=env, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
    seconds = perf_counter() - start
    if ended.returncode not in JUDGED or "Traceback" in ended.stderr:
        raise subprocess.CalledProcessError(ended.returncode, command, stderr=ended.stderr)
    return seconds
