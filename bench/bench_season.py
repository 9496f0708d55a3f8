"""Home-days a second of a season: compiled, a numpy batch over homes, plain Python, and what memory alone would allow; open
generators beside them where an environment of theirs stands. Times are of one thread.

The batch lives the same rooms, cylinder and appliances, all homes at once, a minute after the other. Its chance is counted too,
as the definition asks for (any order, the same bytes), one number an appliance and minute. The bar was set against a batch that
takes one appliance after the other; all of them at once are quicker, numpy's own stream, which depends on the order, is quicker
still: both stand beside it. Before anything is timed its week of energy and its peak agree with ours within their spread.
"""
from __future__ import annotations

import json
import resource
import subprocess
import tempfile
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from time import perf_counter, thread_time

import numpy as np
from numpy.typing import NDArray

from spareway.fast import season as compiled
from spareway.season.draws import planned
from spareway.season.home import DAY_MIN, Home, Room, Season, Use, Water, Weather, hourly_c
from spareway.season.minute import live
from spareway.season.steps import at_minute, stepped
from tests.season.homes import DAYTIME, LADDER

ROOT = Path(__file__).parents[1]
BAR, GOAL, OVER_BATCH, SECOND_WORKER = 280_000, 500_000, 140, 1.8
DAYS, LONG_DAYS, BATCH, PEERS = 7, 56, 1024, ROOT / "studies" / "state" / "generators"
KW = (2.8, 2.2, 2.0, 2.1, 3.0, 1.2, 2.5, 0.9, 0.1, 0.15, 9.0, 0.06)
MINUTES, A_DAY = (3, 6, 35, 75, 8, 4, 90, 6, 120, 60, 7, 200), (5, 2, 1.2, 0.6, 1, 2, 0.3, 2, 2.5, 4, 1.3, 3)


Share = Callable[[int | slice], NDArray[np.float32]]
Appliances = Callable[[NDArray[np.int32], Share, NDArray[np.float32], tuple[Use, ...]], NDArray[np.float32]]
FACTORS = tuple(np.uint64(x) for x in (0x9E3779B97F4A7C15, 0xBF58476D1CE4E5B9, 0x94D049BB133111EB, 0xD6E8FEB86659FD93))
SPREADS = (((-60, 0.2), (-30, 0.2), (0, 0.3), (30, 0.3)), ((-1.0, 0.25), (0.0, 0.5), (1.0, 0.25)),
           ((0.6, 0.3), (1.0, 0.4), (1.4, 0.3)))


def made(days: int = DAYS) -> Season:
    """An invented home: six rooms of one store, a cylinder, twelve appliances, days that swing about -3 °C."""
    rooms = tuple(Room(f"room {k}", 18.0 + 4 * k, (18.0 + 4 * k) * (14 + 2 * k), 1000 + 250 * (k // 2), 20.5, 3.5, 0.6, 0.0, 1,
                       ((390, 1350),)) for k in range(6))
    uses = tuple(Use(f"use {k}", round(1000 * kw), minutes, a_day, DAYTIME)
                 for k, (kw, minutes, a_day) in enumerate(zip(KW, MINUTES, A_DAY, strict=True)))
    home = Home(rooms, Water(3000, 150.0, 2.0, 56.0, 14.0, 6.0, DAYTIME), uses, (150,) * 24, 230.0, 80.0, None,
                *SPREADS)
    return Season(home, Weather(hourly_c((-3.0,) * days, 6.0)), seed=11)


def chances_of(season: Season, lively: NDArray[np.float32]) -> list[NDArray[np.float32]]:
    """For each hour, the chance (home, appliance) that it is asked for in a minute; the cylinder's draws last."""
    shared, uses = planned(season).shared, len(season.home.uses)
    assert shared is not None
    asked = np.zeros((24, uses + 1))
    for hour in range(24):
        part = (shared.ends[hour + 1] - shared.ends[hour]) * shared.asked / 60 / len(shared.what)
        for place, (upto, other) in enumerate(shared.picks[hour]):
            asked[hour, shared.what[place]] += part * upto / 2**24
            asked[hour, shared.what[other]] += part * (1 - upto / 2**24)
    return [(1 - np.exp(-lively[:, None] * row)).astype(np.float32) for row in asked]


def one_by_one(left: NDArray[np.int32], share: Share, chance: NDArray[np.float32], uses: tuple[Use, ...]) -> NDArray[np.float32]:
    """Watts of all appliances in a minute; `left` (home, appliance), the minutes each still runs, goes on."""
    watts = np.zeros(len(left), np.float32)
    for k, use in enumerate(uses):
        starts = (share(k) < chance[:, k]) & (left[:, k] == 0)
        left[:, k] = np.where(starts, use.minutes, np.maximum(left[:, k] - 1, 0))
        watts += (left[:, k] > 0) * np.float32(use.watts)
    return watts


def at_once(left: NDArray[np.int32], share: Share, chance: NDArray[np.float32], uses: tuple[Use, ...]) -> NDArray[np.float32]:
    minutes, watts = np.array([use.minutes for use in uses], np.int32), np.array([use.watts for use in uses], np.float32)
    starts = (share(slice(len(uses))) < chance[:, :-1]) & (left == 0)
    left[:] = np.where(starts, minutes, np.maximum(left - 1, 0))
    return np.asarray((left > 0) @ watts)


def batch(season: Season, homes: int, days: int, run: Appliances = one_by_one, counted: bool = True) -> NDArray[np.float32]:
    """The same season as numpy would have it, all homes at once."""
    steps, home, rng, single = stepped(season), season.home, np.random.default_rng(1), np.float32
    low, high, keep, lift, watts, outside, gained = np.array(
        [(r.low_c, r.high_c, r.keep[0], r.lift[0], r.heater_w, r.outside[0], r.gained[0]) for r in steps.rooms], single).T
    values, shares = zip(*home.set_shift_k, strict=True)
    warmer = rng.choice(values, homes, p=shares).astype(single)
    lively = rng.choice([v for v, _ in home.activity], homes, p=[s for _, s in home.activity]).astype(single)
    chances, back, tank = chances_of(season, lively), single(steps.timers[0].back_k), steps.water
    air = low + (high - low) * rng.random((homes, len(low)), single) + (warmer - back)[:, None]
    on, left = np.zeros((homes, len(low)), np.bool_), np.zeros((homes, len(home.uses)), np.int32)
    assert tank is not None
    store, heats = np.full(homes, tank.low_c, single), np.zeros(homes, np.bool_)
    out = np.empty((days * DAY_MIN, homes), single)
    number = np.arange(homes, dtype=np.uint64)[:, None] * FACTORS[1] + np.arange(len(home.uses) + 1, dtype=np.uint64) * FACTORS[3]
    a, b = steps.timers[0].warm[0]
    for minute in range(days * DAY_MIN):
        of_day = minute % DAY_MIN
        if of_day == 0:
            later = rng.choice([v for v, _ in home.shift_min], homes, p=[s for _, s in home.shift_min])

        def share(of: int | slice, minute: int = minute) -> NDArray[np.float32]:
            return shares_of(number[:, of], minute, season.seed) if counted else rng.random(number[:, of].shape, single)
        warm = (of_day >= a + later) & (of_day < b + later)
        on = air - np.where(warm, warmer, warmer - back)[:, None] < np.where(on, high, low)
        air = keep * air + (outside * single(at_minute(season.weather.hourly_c, minute)) + gained) + np.where(on, lift, single(0))
        chance = chances[of_day // 60]
        wet = share(-1) < chance[:, -1]
        store = (single(tank.keep) - wet * single(tank.less)) * store + (single(tank.around) + wet * single(tank.more))
        heats = store < np.where(heats, single(tank.high_c), single(tank.low_c))
        store = store + np.where(heats, single(tank.lift), single(0))
        out[minute] = (on * watts).sum(1) + heats * single(tank.heater_w) + run(left, share, chance, home.uses) + home.base_w[0]
    return out


def shares_of(number: NDArray[np.uint64], minute: int, seed: int) -> NDArray[np.float32]:
    """A share from 0 to 1 for each home and appliance in a minute, by the mixing of `draws`."""
    with np.errstate(over="ignore"):
        z = number + (np.uint64(minute) * FACTORS[2] + np.uint64(seed) * FACTORS[0])
        z = (z ^ (z >> np.uint64(30))) * FACTORS[1]
        z = (z ^ (z >> np.uint64(27))) * FACTORS[2]
    return ((z ^ (z >> np.uint64(31))) >> np.uint64(40)).astype(np.float32) * np.float32(2**-24)


def agree(season: Season) -> None:
    """Energy of a week and highest minute of both, their means within five standard errors of one another."""
    ours, theirs = compiled.winters(season, 0, BATCH), batch(season, BATCH, DAYS)
    pairs = (("energy", ours.taken_wmin, theirs.sum(0, np.float64)), ("highest minute", ours.top_w, theirs.max(0)))
    for name, column, b in pairs:
        a = np.array(column, np.float64)
        error = np.sqrt(a.var() / len(a) + b.var() / len(b))
        if abs(a.mean() - b.mean()) > 5 * error + 0.002 * a.mean():
            raise SystemExit(f"batch and compiled differ in {name}: {b.mean():.6g} against {a.mean():.6g}, error {error:.3g}")
    lived = live(season, 3)
    if compiled.minutes(season, 3)[:, 0].tolist() != lived.minutes_w.tolist():
        raise SystemExit("plain Python and the compiled path differ")


def seconds(call: Callable[[], object], times: int) -> float:
    """Of this thread, the quickest of several."""
    call()
    found = []
    for _ in range(times):
        start = thread_time()
        call()
        found.append(thread_time() - start)
    return min(found)


def rate(season: Season, times: int = 15) -> float:
    ready = compiled.Ready(season)
    return compiled.LANES * LONG_DAYS / seconds(lambda: ready.block(0, compiled.LANES, LONG_DAYS), times)


def workers(season: Season) -> float:
    """How many times as fast two threads are as one, by the clock, on as many winters each; the best of three."""
    ready = compiled.Ready(season)
    with ThreadPoolExecutor(2) as pool:
        def took(count: int) -> float:
            start = perf_counter()
            list(pool.map(lambda at: [ready.block(at * 128, 128, LONG_DAYS) for _ in range(3)], range(count)))
            return perf_counter() - start
        took(2)
        return max(2 * took(1) / took(2) for _ in range(3))


def floor() -> float:
    """Home-days a second at which every minute's watts are written once as four bytes, and nothing else is done."""
    room = np.zeros(64 << 20, np.int32)
    return room.size / DAY_MIN / seconds(lambda: room.fill(1), 3)


def peers(appliances: Season) -> list[str]:
    """Home-days a second of the open generators in an environment of theirs: a run less a smaller one, in seconds of a core."""
    python = PEERS / "env" / "bin" / "python"
    if not python.exists():
        return [f"open generators: none here; make {PEERS.relative_to(ROOT)}/env as studies/study_generators.py says"]
    uses = [{"name": u.name, "owned": 1.0, "watts": u.watts, "minutes": u.minutes, "starts": u.starts_a_day, "base_w": 20,
             "window": [0, 1440]} for u in appliances.home.uses]
    lines = []
    with tempfile.TemporaryDirectory() as folder:
        handed, kept = Path(folder) / "uses.json", Path(folder) / "kept.npy"
        handed.write_text(json.dumps(uses), encoding="utf-8")
        for name in ("richardsonpy", "rampdemand"):
            spent = []
            for homes in (2, 22):
                before = resource.getrusage(resource.RUSAGE_CHILDREN)
                told = [name, str(homes), str(DAYS), "1", str(kept), str(handed)]
                subprocess.run([str(python), str(ROOT / "studies" / "peers.py"), *told], check=True)
                after = resource.getrusage(resource.RUSAGE_CHILDREN)
                spent.append(after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime)
            lines.append(f"{name}: {20 * DAYS / (spent[1] - spent[0]):.0f} home-days/s; other loads, so the order of size only")
    return lines


def _against(measured: float, bar: int) -> str:
    return f"{bar:,}" if measured >= bar else f"{bar:,}: not met"


def run() -> list[str]:
    week, season = made(), made(LONG_DAYS)
    agree(week)
    fused = replace(season, home=replace(season.home, ladder=LADDER))
    two = replace(fused, home=replace(fused.home, rooms=tuple(
        replace(r, least_on_min=3, fabric_wh_per_k=r.store_wh_per_k, store_wh_per_k=40.0, to_fabric_w_per_k=80.0,
                direct_w_per_k=6.0)
        for r in season.home.rooms)))
    sums = rate(season)
    in_batch = BATCH * DAYS / seconds(lambda: batch(week, BATCH, DAYS), 2)
    together = BATCH * DAYS / seconds(lambda: batch(week, BATCH, DAYS, at_once), 2)
    stream = BATCH * DAYS / seconds(lambda: batch(week, BATCH, DAYS, at_once, counted=False), 2)
    plain = DAYS / seconds(lambda: live(week, 0), 2)
    ready = compiled.Ready(week)
    kept = compiled.LANES * DAYS / seconds(lambda: ready.block(0, compiled.LANES, DAYS, compiled.LANES), 5)
    memory = floor()
    return [
        f"sums only, one thread: {sums:,.0f} home-days/s ({_against(sums, BAR)}; goal {GOAL:,})",
        f"numpy batch over {BATCH} homes, one appliance after the other, one thread: {in_batch:,.0f}; compiled "
        f"{sums / in_batch:.0f} times as fast ({_against(sums / in_batch, OVER_BATCH)})",
        f"the batch with all appliances at once: {together:,.0f}, {sums / together:.0f} times "
        f"({_against(sums / together, OVER_BATCH)}); from numpy's own stream, the best batch: {stream:,.0f}, "
        f"{sums / stream:.0f} times ({_against(sums / stream, OVER_BATCH)})",
        f"plain Python: {plain:.0f}; compiled {sums / plain:,.0f} times as fast",
        f"with the fuse's ladder: {rate(fused):,.0f}; two stores a room and three minutes on at least as well: {rate(two):,.0f}",
        f"two threads over one: {workers(season):.2f} times",
        f"every minute kept: {kept:,.0f}; memory alone, every minute written once: {memory:,.0f}, of which keeping reaches "
        f"{100 * kept / memory:.0f} %",
        *peers(week),
    ]
