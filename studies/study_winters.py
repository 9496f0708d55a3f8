"""Many winters of one home on processes and on dask: equal bytes, with a worker killed on the way and the run taken up again.

Tasks of about a second; each is kept as it is done, so that a run that was stopped goes on where it was. One process kills
itself early in every run that has more than a few tasks to do: what it was at is lived again. Dask may stand in an environment of
its own (`studies/state/dask/env`, with numba and numpy beside it): nothing of ours depends on it.

    make study WHICH=winters N=250000
"""
from __future__ import annotations

import json
import os
import pickle
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_context
from pathlib import Path

from spareway.season.home import Season
from spareway.season.sums import share_of
from studies.winters_chunked import CHUNK, Row, kept_at, lived, season, whole

WORKERS = os.cpu_count() or 1
FEW, EVERY_S = 4, 10.0
NO_DASK = "dask is not here: make an environment of its own, studies/state/dask/env, with dask[distributed], numba and numpy"


def run(n: int, seed: int, state_path: Path) -> str:
    """n winters twice over; goes on where it stopped, as long as the season and the code that lives it are the same."""
    of = season(seed)
    state_path = kept_at(state_path, of)
    began = time.perf_counter()
    on_processes, killed = _all(n, state_path, lambda firsts: _on_processes(of, firsts, n))
    took_s = time.perf_counter() - began
    said = [f"{n} winters on {WORKERS} processes, {killed} of them killed: {took_s:.0f} s, {whole(on_processes)[:16]}"]
    python = _with_dask()
    if python is None:
        return "\n".join([*said, _closing(n, on_processes, f"not lived on dask: {NO_DASK}")])
    began = time.perf_counter()
    by_dask = state_path.with_name(f"{state_path.stem}-dask.json")
    on_dask, _ = _all(n, by_dask, lambda firsts: _by_dask(python, of, firsts, n, state_path))
    said.append(f"on dask: {time.perf_counter() - began:.0f} s, {whole(on_dask)[:16]}")
    apart = [first for first, row in on_processes.items() if on_dask[first] != row]
    if apart or len(on_dask) != len(on_processes):
        raise AssertionError(f"{len(apart)} chunks differ between processes and dask, the first at winter {apart[:1]}")
    return "\n".join([*said, _closing(n, on_processes, "on processes and on dask the same bytes")])


def _closing(n: int, rows: dict[int, Row], said: str) -> str:
    over, melted = (share_of(sum(row[what] for row in rows.values()), n) for what in ("over", "melted"))
    return (f"{n} winters, {said}; in {100 * over.likely:.2f} % a minute above the rating ({100 * over.least:.2f} to "
            f"{100 * over.most:.2f} %), in {100 * melted.likely:.4f} % the element melts ({100 * melted.least:.4f} to "
            f"{100 * melted.most:.4f} %), highest minute of all {max(row['top_w'] for row in rows.values()) / 230:.0f} A")


def _all(n: int, state_path: Path, live: Callable[[list[int]], Iterator[Row | None]]) -> tuple[dict[int, Row], int]:
    """Every chunk by its first winter: those kept, and those that are lived now. Also how many processes died."""
    kept: dict[int, Row] = {}
    if state_path.exists():
        *whole_lines, torn = state_path.read_text("utf-8").split("\n")
        if torn:                                            # stopped while it was being written: lived again
            state_path.write_text("".join(f"{line}\n" for line in whole_lines), encoding="utf-8")
        for row in map(json.loads, whole_lines):
            if row["n"] == min(CHUNK, n - row["first"]):
                kept[row["first"]] = row
    missing, killed, told_s = [first for first in range(0, n, CHUNK) if first not in kept], 0, time.perf_counter()
    with state_path.open("a", encoding="utf-8") as file:
        for row in live(missing) if missing else ():
            if row is None:
                killed += 1
                continue
            kept[row["first"]] = row
            file.write(json.dumps(row) + "\n")
            file.flush()
            if time.perf_counter() - told_s > EVERY_S:
                told_s = time.perf_counter()
                print(f"  {sum(each['n'] for each in kept.values()):,} of {n:,} winters", file=sys.stderr, flush=True)
    return {first: kept[first] for first in range(0, n, CHUNK)}, killed


def _on_processes(of: Season, firsts: list[int], n: int) -> Iterator[Row | None]:
    """Each chunk as it is done; None for a process that died, after which what it and its fellows were at is lived again."""
    left, die = dict.fromkeys(firsts), len(firsts) > FEW
    while left:
        with ProcessPoolExecutor(WORKERS, get_context("spawn")) as pool:
            going: set[Future[Row]] = set()
            try:
                waiting = iter([*left])
                while True:
                    while len(going) < 2 * WORKERS and (first := next(waiting, None)) is not None:
                        going.add(pool.submit(lived, of, first, min(CHUNK, n - first), die and len(left) <= len(firsts) - 2))
                    if not going:
                        break
                    done, going = wait(going, return_when=FIRST_COMPLETED)
                    for each in done:
                        row = each.result()
                        del left[row["first"]]
                        yield row
            except BrokenProcessPool:
                die = False
                yield None


def _with_dask() -> str | None:
    """A Python that has dask: this one, or that of an environment of its own."""
    own = Path(__file__).parent / "state" / "dask" / "env" / "bin" / "python"
    for python in (sys.executable, str(own)):
        if Path(python).exists() and subprocess.run([python, "-c", "import dask.distributed, numba"], capture_output=True,
                                                    check=False).returncode == 0:
            return python
    return None


def _by_dask(python: str, of: Season, firsts: list[int], n: int, state_path: Path) -> Iterator[Row | None]:
    handed = state_path.with_suffix(".season")
    handed.write_bytes(pickle.dumps((of, n)))
    paths = os.pathsep.join(str(Path(__file__).parents[1] / each) for each in ("src", "."))
    script = [python, str(Path(__file__).with_name("winters_chunked.py")), str(handed), str(CHUNK), *map(str, firsts)]
    with subprocess.Popen(script, stdout=subprocess.PIPE, text=True, env={**os.environ, "PYTHONPATH": paths}) as going:
        assert going.stdout is not None
        for line in going.stdout:
            if line.startswith("{"):
                yield json.loads(line)
    if going.returncode:
        raise RuntimeError(f"dask ended with {going.returncode}")
