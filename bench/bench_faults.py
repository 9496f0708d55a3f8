"""Which fault explains the readings of a ring of twelve points: the engine of the phone, here and under Pyodide, the quick one, a
plain solve of every fault's network, all compared before anything is timed. Times are those of the process."""
from __future__ import annotations

import json
import resource

import numpy as np

from bench.bench_choose import against, best_s
from spareway.fast import faults as quick
from spareway.fast.foreseen import Tables
from spareway.readings import following as plain_next
from spareway.readings import rank as plain
from spareway.readings.ring import ring
from spareway.readings.wired import Fault, Wired
from tests.pyodide.run import run_in_pyodide

POINTS, PHONE_TIMES = 12, 4
QUICK_MS, PLAIN_MS, PHONE_MS = 30.0, 1000.0, 3000.0
GROUND_OHM = 1e9                                 # from every node: what hangs loose is solved too, and reads over range
COPPER = {"L": 7.41, "N": 7.41, "E": 12.1}       # mΩ/m at 20 °C, IEC 60228
ON_THE_PHONE = """
import json
from spareway.readings.following import following
from spareway.readings.rank import rank
from spareway.readings.ring import ring
n, read, times = json.loads(files["asked"])
points, metres = [f"p{i + 1}" for i in range(n)], [3 + (2 * i) % 5 for i in range(n + 1)]
for _ in range(times):
    ranked = rank(ring(points, metres, {"L": 7.41, "N": 7.41, "E": 12.1}, dict.fromkeys("LN", 12.1 / 7.41)), read)
    proposed = following(ranked)[0].probe
print(json.dumps([proposed, ranked.faults[0][0].says]))
"""


def made(n: int = POINTS) -> Wired:
    metres = [3 + (2 * i) % 5 for i in range(n + 1)]
    return ring([f"p{i + 1}" for i in range(n)], metres, COPPER, dict.fromkeys("LN", 12.1 / 7.41))


def read_of(wired: Wired, fault: Fault) -> dict[str, float]:
    """The usual readings of a ring with this fault, to two decimals; none of them over range."""
    shifts = {name: wired.shift(fault, wired.probes[name]) for name in wired.standard}
    return {name: round(shift.ohm, 2) for name, shift in shifts.items() if shift}


def loose_neutral(wired: Wired) -> Fault:
    """In the middle of the ring: the usual readings do not place it, so that many faults stay in question."""
    return [f for f in wired.faults if f.kind == "loose joint" and f.core == "N"][2 * (POINTS + 1)]


def solved(wired: Wired) -> dict[tuple[int, str], float]:
    """The usual readings of every fault, each network written out and solved by numpy, one matrix for each way of linking."""
    out = {}
    networks = {fault.shape: number for number, fault in enumerate(wired.faults)}
    for number in networks.values():
        fault = wired.faults[number]
        edited = {(e.a, e.b): e.new_ohm for e in fault.edits}
        own = [(k.a, k.b, edited.pop((k.a, k.b), k.ohm)) for k in wired.network.links]
        own += [(a, b, ohm) for (a, b), ohm in edited.items()]
        for arrangement in dict.fromkeys(wired.probes[name].arrangement for name in wired.standard):
            names = [name for name in wired.standard if wired.probes[name].arrangement == arrangement]
            laid = fault.laid.get(arrangement, wired.arrangements[arrangement])
            a, b, ohm = (np.array(column) for column in zip(*own, *laid, strict=True))
            g = np.eye(wired.network.nodes) / GROUND_OHM
            np.add.at(g, (a, a), 1 / ohm)
            np.add.at(g, (b, b), 1 / ohm)
            np.add.at(g, (a, b), -1 / ohm)
            np.add.at(g, (b, a), -1 / ohm)
            ends = [[fault.lands.get(end, end) for end in (wired.probes[n].a, wired.probes[n].b)] for n in names]
            amps = np.zeros((wired.network.nodes, len(names)))
            for column, (one, other) in enumerate(ends):
                if one is not None and other is not None:
                    amps[one, column], amps[other, column] = 1, -1
            volts = np.linalg.solve(g, amps)
            for column, (name, (one, other)) in enumerate(zip(names, ends, strict=True)):
                out[number, name] = np.inf if one is None or other is None else volts[one, column] - volts[other, column]
    return out


def same(wired: Wired) -> None:
    """Both engines against the plain solve, before any of them is timed."""
    truth = solved(wired)
    seen = Tables(wired).foreseen(np.arange(len(wired.faults)), wired.standard)
    for (number, name), ohm in truth.items():
        shift = wired.shift(wired.faults[number], wired.probes[name])
        if ohm > 1e3 and (shift is None or shift.ohm == np.inf) and seen.over[number, wired.standard.index(name)]:
            continue
        if shift is None or abs(shift.ohm - ohm) > 1e-6:
            raise SystemExit(f"the engine and a plain solve differ: {wired.faults[number].says}, {name}")


def phone_s(read: dict[str, float], wanted: list[str]) -> float:
    """Once under Pyodide, in seconds of node itself: of several in one start less one in another, so that no start is counted."""
    spent = []
    for times in (1, 1 + PHONE_TIMES):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        said = json.loads(run_in_pyodide(ON_THE_PHONE, {"asked": json.dumps([POINTS, read, times])}))
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        if said != wanted:
            raise SystemExit(f"the engine says otherwise under Pyodide: {said}")
        spent.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return (spent[1] - spent[0]) / PHONE_TIMES


def run() -> list[str]:
    wired = made()
    same(wired)
    read = read_of(wired, loose_neutral(wired))
    ranked, counted = plain.rank(made(), read), quick.rank(wired, read)
    if [f.name for f, _ in ranked.faults[:5]] != [f.name for f, _ in counted.faults[:5]]:
        raise SystemExit("the plain and the quick engine rank otherwise")
    probe = plain_next.following(ranked)[0].probe
    phone_ms = 1000 * phone_s(read, [probe, ranked.faults[0][0].says])
    every = np.arange(len(wired.faults))
    all_ms = 1000 * best_s(lambda: solved(wired), 2)
    foreseen_ms = 1000 * best_s(lambda: Tables(wired).foreseen(every, wired.standard), 10)
    plain_ms = 1000 * best_s(lambda: plain_next.following(plain.rank(made(), read)), 3)
    rank_ms = 1000 * best_s(lambda: plain.rank(made(), read), 3)
    quick_ms = 1000 * best_s(lambda: quick.following(quick.rank(made(), read)), 15)
    named = len({f.name for f in wired.faults})
    return [f"ring of {POINTS} points: {named} faults, {len(wired.faults)} with their sizes and leads, "
            f"{len(wired.standard)} usual readings and {len(wired.probes) - len(wired.standard)} more to choose from",
            f"engine of the phone: build, rank and next {against(plain_ms, PLAIN_MS, ' ms')}, next {plain_ms - rank_ms:.0f} ms",
            f"the same under Pyodide in node: {against(phone_ms, PHONE_MS, ' ms')}",
            f"quick engine: build, rank and next {against(quick_ms, QUICK_MS, ' ms')}, {plain_ms / quick_ms:.0f} times as quick",
            f"usual readings of every network by a plain solve each: {all_ms:.0f} ms, {all_ms / foreseen_ms:.0f} times as long as"
            f" all at once ({foreseen_ms:.0f} ms, with the slopes by every length)"]
