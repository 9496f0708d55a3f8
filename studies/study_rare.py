"""What happens once in ten thousand winters, by plain simulation: how often, between what bounds, in how much of a core's time.

The level is set by winters of another seed, a tenth as many, so that it was not chosen by those that are counted: two or three
of them go beyond what one in ten thousand does, too few to read it off, so the tail above one in a hundred is drawn out as an
exponential. It only has to lie near; how often it is passed is what is counted, by N winters of plain simulation. That rule was
chosen after a first count of seed 1 had shown the one before it to set the level too high; the winters of seed 1 are therefore no
fresh proof of it, those of another seed are. 200 s of a core were asked for: not met, 275 s one night and 314 s, with a kernel
half as quick again, on a day when a core gave less than half as much. No splitting and no tilting: measured before, the one was
low by a factor of 300 with no warning, and the other no gain. The home is the one that the bench times, six rooms of one store,
through a heating season; a home of nine rooms with two stores of heat each takes about three times as long.

    make study WHICH=rare N=250000
"""
from __future__ import annotations

import json
import math
import time
from dataclasses import replace
from pathlib import Path

from spareway.season.home import Season
from spareway.season.sums import share_of
from studies.winters_chunked import CHUNK, Row, kept_at, lived
from studies.winters_chunked import season as of_example

RARE, TAIL = 1e-4, 0.01
PILOT = 10                                      # a tenth as many winters set the level
FEW = 5_000                                     # fewer winters than this say nothing of one in ten thousand


def run(n: int, seed: int, state_path: Path) -> str:
    """N winters counted, N / 10 before them for the level; goes on where it stopped while season and code are the same."""
    state_path = kept_at(state_path, season(seed))
    kept = json.loads(state_path.read_text("utf-8")) if state_path.exists() else {}
    pilot = _rows(season(seed + 1), max(n // PILOT, 1), "pilot", kept, state_path)
    counted = _rows(season(seed), n, "counted", kept, state_path)
    volts_v = season(seed).home.volts_v
    tops_w = sorted((top for row in pilot for top in row["tops_w"]), reverse=True)
    level_w = drawn_out_w(tops_w, max(n // PILOT, 1))
    seen = len([top for row in counted for top in row["tops_w"] if top > level_w])
    share = share_of(seen, n)
    doubt = 100 / math.sqrt(seen) if seen else math.inf
    thin = "" if n >= FEW else "; too few winters for one in ten thousand"
    return (f"{n} winters of the bench's home, {kept['counted_s']:.0f} s of a core (and {kept['pilot_s']:.0f} s to set the "
            f"level): more than {level_w / volts_v:.0f} A in {seen} of them, {share.likely:.2e} a winter (95 %: "
            f"{share.least:.2e} to {share.most:.2e}; one standard error {doubt:.0f} %){thin}")


def drawn_out_w(tops_w: list[int], winters: int) -> float:
    """The level (W) that one winter in ten thousand goes beyond, from the highest of so many: their mean excess over what one in
    a hundred goes beyond, held on for as many times as the chance has to fall."""
    above = max(1, min(round(winters * TAIL), len(tops_w) - 1))
    start_w = tops_w[above]
    excess_w = math.fsum(top - start_w for top in tops_w[:above]) / above
    return start_w + excess_w * max(0.0, math.log(above / winters / RARE))


def season(seed: int) -> Season:
    """The home of the bench, in the weather of an ordinary season."""
    from bench.bench_season import made
    of = of_example(seed)
    return replace(made(), weather=of.weather, settle_days=of.settle_days, seed=seed)


def _rows(of: Season, n: int, key: str, kept: dict[str, object], state_path: Path) -> list[Row]:
    """Chunk by chunk, kept as they come with the time they took: processor seconds, so that neighbours do not count."""
    rows: list[Row] = [row for row in kept.get(key, []) if row["n"] == min(CHUNK, n - row["first"])]    # type: ignore[attr-defined]
    for first in range(len(rows) * CHUNK, n, CHUNK):
        began = time.process_time()
        rows.append(lived(of, first, min(CHUNK, n - first)))
        kept[f"{key}_s"] = kept.get(f"{key}_s", 0.0) + time.process_time() - began        # type: ignore[operator]
        kept[key] = rows
        part = state_path.with_suffix(".part")
        part.write_text(json.dumps(kept), encoding="utf-8")
        part.replace(state_path)
    return rows
