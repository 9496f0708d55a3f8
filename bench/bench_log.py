"""A week of minutes off a logger: read, its worst day found, drawn; against the plainest reader of it, which checks nothing.

Before anything is timed the planted 61 A for four minutes and the two minutes of 1.5 times a 60 A fuse must be found exactly."""
from __future__ import annotations

import csv
import gc
import random
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from time import process_time

from spareway.design.design import Design
from spareway.design.logged import read_log
from spareway.design.minutes import DAY_MIN, duration, minutes_of, worst_day
from spareway.drawings.of_demand import day_drawn, length_drawn
from spareway.folder import read_folder
from spareway.job.job import read_job

GRANARY = Path(__file__).parents[1] / "examples" / "granary-yard"
ROWS_N, READ_S = 10_080, 2.0
START = datetime.fromisoformat("2026-01-12T00:00")


def week() -> str:
    draw = random.Random(4)
    amps = [round(draw.uniform(3, 44), 1) for _ in range(ROWS_N)]
    amps[5000:5004], amps[7000:7002] = [61.0] * 4, [90.0] * 2
    return "at,current_a\n" + "\n".join(f"{START + timedelta(minutes=i):%Y-%m-%dT%H:%M},{a}" for i, a in enumerate(amps))


def best_s(call: Callable[[], object], times: int = 7) -> float:
    """The quickest of several runs, in seconds of this process, with the cyclic collector off."""
    call()
    gc.disable()
    found = []
    for _ in range(times):
        start = process_time()
        call()
        found.append(process_time() - start)
    gc.enable()
    return min(found)


def plainly(text: str) -> float:
    """What one would write in a minute: no fault is found, no gap, no run."""
    return max(float(row["current_a"]) for row in csv.DictReader(text.splitlines()))


def run() -> list[str]:
    text = week()
    log = read_log("week.csv", text)
    over, day = log.over(60), worst_day(log)
    exact = (over.minutes_n, over.longest_n, over.began, log.highest.value, day and day.highest_min)
    if exact != (6, 4, START + timedelta(minutes=5000), 90.0, 7000 % DAY_MIN) or plainly(text) != 90.0:
        raise SystemExit(f"what was planted is not what was found: {exact}")
    read = best_s(lambda: read_log("week.csv", text))
    plain = best_s(lambda: plainly(text))
    design = Design(read_job(read_folder(GRANARY)).at(None))
    drawn = best_s(lambda: (day_drawn(design, log), length_drawn(design, log)))
    told = best_s(lambda: (log.over(60), worst_day(log), duration(minutes_of(log) or [])))
    mark = "" if read <= READ_S else " (over)"
    return [f"{ROWS_N:,} rows read, every row checked: {read:.3f} s (at most {READ_S:g}){mark}, "
            f"{read / plain:.1f} times a reader that checks nothing",
            f"minutes above the fuse, the worst day, for how long it is how much: {told * 1e3:.1f} ms",
            f"the worst day and the duration drawn: {drawn * 1e3:.1f} ms"]
