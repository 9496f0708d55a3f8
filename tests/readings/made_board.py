"""Invented boards of 6 to 24 circuits, up to three of them leaking, and what an insulation tester shows of any of them joined together.

The three pairs L-E, N-E and L-N are apart; conductances add. Shares no code with the engine.
"""
from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np

PAIRS = ("L-E", "N-E", "L-N")
SOUND_MOHM, SOUND_SIGMA = 650.0, 1.0                # insulation of a sound circuit, and its spread (log): invented
LEAK_MOHM, LEAK_SIGMA = 0.25, 1.4                   # of a leaking one
LEAK_MOST_MOHM, LEAK_LEAST_MOHM = 2.0, 0.006        # a leak is no more, and no less, than this
LOAD_MOHM = (15e-6, 5e-3)                           # left plugged in between line and neutral
LOADED = 0.25
ENDS_MOHM = (200.0, 500.0, 999.0)                   # where displays end


@dataclass
class MadeBoard:
    """Circuits by name, what each has of insulation by pair (MΩ), which leak, and between which two conductors."""
    circuits: list[str]
    mohm: dict[str, dict[str, float]]
    bad: frozenset[str]
    pair: str
    end_mohm: float
    suspicion: dict[str, float]
    loaded: list[str] = field(default_factory=list)


def made_board(rng: np.random.Generator, circuits: int = 0, leaking: int | None = None) -> MadeBoard:
    """One board: 6 to 24 circuits where none is asked for, none to three of them leaking with the same chance each."""
    names = [f"c{i + 1}" for i in range(circuits or int(rng.integers(6, 25)))]
    count = int(rng.integers(0, 4)) if leaking is None else leaking
    suspicion = {name: float(np.clip(0.1 * rng.lognormal(0, 0.8), 0.005, 0.5)) for name in names}
    weights = np.array(list(suspicion.values()))
    bad = frozenset(str(x) for x in rng.choice(names, count, replace=False, p=weights / weights.sum()))
    pair = str(rng.choice(["L-E", "N-E"]))
    mohm = {p: {name: SOUND_MOHM * float(np.exp(SOUND_SIGMA * rng.standard_normal())) for name in names} for p in PAIRS}
    for name in [each for each in names if each in bad]:       # in an order of its own: a set has none that stays
        leak = LEAK_MOHM * float(np.exp(LEAK_SIGMA * rng.standard_normal()))
        mohm[pair][name] = parallel([mohm[pair][name], min(max(leak, LEAK_LEAST_MOHM), LEAK_MOST_MOHM)])
    board = MadeBoard(names, mohm, bad, pair, float(rng.choice(ENDS_MOHM)), suspicion)
    if rng.random() < LOADED:
        board.loaded = [str(x) for x in rng.choice(names, 2, replace=False)]
        for name in board.loaded:
            mohm["L-N"][name] = parallel([mohm["L-N"][name], float(np.exp(rng.uniform(*np.log(LOAD_MOHM))))])
    return board


def parallel(mohm: Iterable[float]) -> float:
    return 1 / math.fsum(1 / each for each in mohm)


def joined_mohm(board: MadeBoard, pair: str, circuits: Iterable[str]) -> float:
    """What the insulation of these circuits together is (MΩ): infinite where none is joined."""
    some = [board.mohm[pair][name] for name in circuits]
    return parallel(some) if some else math.inf


def shown_mohm(rng: np.random.Generator, mohm: float, end_mohm: float) -> float:
    """What the display shows: ±3 % and ±2 digits of 0.01 below 10, 0.1 below 100, 1 above; infinite over its end."""
    if mohm > end_mohm:
        return math.inf
    digits = 2 if mohm < 10 else 1 if mohm < 100 else 0
    read = mohm * (1 + rng.uniform(-0.03, 0.03)) + 2 * 10.0 ** -digits * rng.uniform(-1, 1)
    return math.inf if read > end_mohm else round(max(float(read), 0.0), digits)
