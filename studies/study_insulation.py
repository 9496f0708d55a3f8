"""Invented boards of 6 to 24 circuits, up to three of them leaking: all found or not, and the minutes, against two plain ways.

Line to earth a way is opened in a moment; neutral to earth each neutral is lifted by hand. The boards are of 6, 8, 10, 16, 20 and
24 circuits in turn, with none to three leaking.

    make study WHICH=insulation N=300
"""
from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from pathlib import Path

from studies.ranked import Row, kept, rows, table
from tests.readings.hunted import hunted

SIZES = (6, 8, 10, 16, 20, 24)
SMALL_N = 10


def run(n: int, seed: int, state_path: Path) -> str:
    """N boards; goes on where `state_path` says it stopped."""
    found = rows(n, state_path, lambda number: hunted(seed, number, SIZES[number % len(SIZES)]))
    low = [r for r in found if r["bad"]]
    lines = [line(f"{pair}, {size} circuits", [r for r in low if r["pair"] == pair and r["circuits"] == size])
             for pair in ("L-E", "N-E") for size in SIZES]
    lines += [line(f"{bad} leaking", [r for r in low if r["bad"] == bad]) for bad in (1, 2, 3)]
    small, large = ([r for r in low if (r["circuits"] <= SMALL_N) is is_small] for is_small in (True, False))
    lines += [line(f"up to {SMALL_N}", small), line(f"over {SMALL_N}", large)]
    sound = [r for r in found if not r["bad"]]
    said = []
    for name, some in ((f"up to {SMALL_N} circuits", small), ("more", large)):
        times = [f"{pair} {faster(here, 'one'):.2f} and {faster(here, 'one', met):.2f}"
                 for pair in ("L-E", "N-E") if (here := [r for r in some if r["pair"] == pair])]
        said.append(f"{name} {right(some, 'own') if some else 100:.1f} % all found, {' x, '.join(times)} x fewer minutes")
    ways = ("one by one", "by halves")
    return kept("\n\n".join([
        table("boards", "how many", "board alone: right", "first three", "all found: own", *ways, "tests: own", *ways,
              "minutes: own", *ways, lines=[each for each in lines if each]),
        f"nothing leaks: {len(sound)} boards, {len([r for r in sound if r['own'][0]])} left in peace",
        f"{len(found)} boards; " + "; ".join(said)
        + " than one by one (one to three leaking as often, and by how often that many are met)"]), "insulation", len(found))


def line(name: str, some: Sequence[Row]) -> list[str]:
    if not some:
        return []
    ways = ("own", "one", "half")
    alone = [100 * len([r for r in some if r[key]]) / len(some) for key in ("first", "three")]
    return [name, str(len(some)), *(f"{x:.0f} %" for x in alone), *(f"{right(some, way):.0f} %" for way in ways),
            *(f"{mean(some, way, 1):.1f}" for way in ways), *(f"{mean(some, way, 2):.1f}" for way in ways)]


def right(some: Sequence[Row], way: str) -> float:
    return 100 * len([r for r in some if r[way][0]]) / len(some)


def mean(some: Sequence[Row], way: str, column: int) -> float:
    return math.fsum(r[way][column] for r in some) / len(some)


def met(row: Row) -> float:
    """How often as many circuits of such a board leak, where one in ten does: common practice, no source."""
    n = row["circuits"]
    odds = [math.comb(n, bad) * 0.1 ** bad * 0.9 ** (n - bad) for bad in (1, 2, 3)]
    return odds[row["bad"] - 1] / math.fsum(odds)


def evenly(_: Row) -> float:
    return 1.0


def faster(some: Sequence[Row], way: str, weight: Callable[[Row], float] = evenly) -> float:
    """How many times the minutes of its own way another takes."""
    other, own = (math.fsum(weight(r) * r[each][2] for r in some) for each in (way, "own"))
    return other / own
