"""A browser held to a share of one core, as an old phone would run it: on one core, and stopped for the rest of each cycle.

Signals reach every process of that browser, so its worker and its disk are held as its page is; no rights are needed."""
from __future__ import annotations

import os
import signal
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

CYCLE_S, LOOK_AGAIN_S = 0.04, 0.25


def processes(profile: Path) -> list[int]:
    """Those of the browser with this profile, and of no other."""
    marker, found = f"--user-data-dir={profile}".encode(), []
    for folder in Path("/proc").iterdir():
        try:
            if folder.name.isdigit() and marker in (folder / "cmdline").read_bytes():
                found.append(int(folder.name))
        except (FileNotFoundError, ProcessLookupError):
            continue                                        # ended since we looked
    return [*found, *children(found)]


def children(of: list[int]) -> list[int]:
    """The processes that these started, and those that they started: a renderer names no profile."""
    parents = {}
    for folder in Path("/proc").iterdir():
        try:
            if folder.name.isdigit():
                parents[int(folder.name)] = int((folder / "stat").read_text().rpartition(")")[2].split()[1])
        except (FileNotFoundError, ProcessLookupError):
            continue
    below = set(of)
    while more := {pid for pid, parent in parents.items() if parent in below} - below:
        below |= more
    return sorted(below - set(of))


def cpu_s(profile: Path) -> float:
    """Seconds of a core that all processes of this browser have used so far, each that still runs."""
    ticks = 0
    for pid in processes(profile):
        try:
            fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
        except (FileNotFoundError, ProcessLookupError):
            continue
        ticks += int(fields[11]) + int(fields[12])          # in the program and in the kernel for it
    return ticks / os.sysconf("SC_CLK_TCK")


def _each(pids: list[int], number: int) -> None:
    for pid in pids:
        try:
            os.kill(pid, number)
        except ProcessLookupError:
            continue


def _on_one_core(pids: list[int]) -> None:
    for pid in pids:
        try:
            for task in Path(f"/proc/{pid}/task").iterdir():
                os.sched_setaffinity(int(task.name), {0})
        except (FileNotFoundError, ProcessLookupError):
            continue


@contextmanager
def held_to(profile: Path, share: float) -> Iterator[None]:
    """While this lasts the browser of the profile has at most `share` of one core."""
    done = threading.Event()

    def hold() -> None:
        pids, looked = list[int](), 0.0
        while not done.is_set():
            if time.monotonic() - looked > LOOK_AGAIN_S:
                pids, looked = processes(profile), time.monotonic()
                _on_one_core(pids)
            _each(pids, signal.SIGCONT)
            time.sleep(CYCLE_S * share)
            _each(pids, signal.SIGSTOP)
            time.sleep(CYCLE_S * (1 - share))
        _each(processes(profile), signal.SIGCONT)

    holding = threading.Thread(target=hold, daemon=True)
    holding.start()
    try:
        yield
    finally:
        done.set()
        holding.join()
