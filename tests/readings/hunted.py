"""What the hunt for leaking circuits was worth on an invented board: all found or not, tests and minutes on site, beside two plain ways."""
from __future__ import annotations

from collections.abc import Callable, Collection
from typing import Any

import numpy as np

from spareway.readings.leaks import MINUTES, Hunt
from tests.readings.made_board import MadeBoard, joined_mohm, made_board, shown_mohm

LOW_MOHM = 2.2                                  # below this a circuit is called leaking by one who goes through them plainly
TOO_MANY = 4                                    # tests a circuit, after which anyone gives up
PARTING = {"L-E": MINUTES["way"], "N-E": MINUTES["neutral"]}


class Site:
    """A person at a board: joins what is asked for, reads it, and the minutes run on."""

    def __init__(self, board: MadeBoard, rng: np.random.Generator) -> None:
        self.board, self.rng = board, rng
        self.last, self.minutes, self.tests = frozenset(board.circuits), 0.0, 0

    def reads(self, joined: Collection[str]) -> float:
        now = frozenset(joined)
        after = self.last - now if len(now) == 1 else now       # one conductor is lifted and read by itself, the bar as it is
        self.minutes += MINUTES["reading"] + PARTING[self.board.pair] * len(after ^ self.last)
        self.last, self.tests = after, self.tests + 1
        return shown_mohm(self.rng, joined_mohm(self.board, self.board.pair, [c for c in self.board.circuits if c in now]), self.board.end_mohm)

    @property
    def given_up(self) -> bool:
        return self.tests > TOO_MANY * len(self.board.circuits)


def hunted(seed: int, number: int, circuits: int = 0) -> dict[str, Any]:
    """One board by each of three ways, each with its own luck."""
    board = made_board(np.random.default_rng([seed, number]), circuits)
    row = {"circuits": len(board.circuits), "pair": board.pair, "bad": len(board.bad)}
    for way, find in (("own", own), ("one", one_by_one), ("half", by_halves)):
        site = Site(board, np.random.default_rng([seed, number, len(way)]))
        found, more = find(board, site)
        row |= {way: [found == board.bad, site.tests, round(site.minutes, 2)], **more}
    return row


def own(board: MadeBoard, site: Site) -> tuple[Collection[str], dict[str, Any]]:
    """As the engine asks."""
    hunt = Hunt(board.suspicion, PARTING[board.pair])
    more: dict[str, Any] = {}
    while not site.given_up and (step := hunt.next()):
        hunt.reads(step.joined, site.reads(step.joined), board.end_mohm)
        if site.tests == 1:
            first = hunt.sets()[:3]
            more = {"first": first[0][0] == board.bad, "three": board.bad in [each for each, _ in first], "promised": round(first[0][1], 4)}
    return frozenset(hunt.found), more


def one_by_one(board: MadeBoard, site: Site) -> tuple[Collection[str], dict[str, Any]]:
    """The whole board; where it is low, each circuit by itself."""
    if site.reads(board.circuits) >= LOW_MOHM:
        return frozenset(), {}
    return frozenset(c for c in board.circuits if site.reads([c]) < LOW_MOHM), {}


def by_halves(board: MadeBoard, site: Site) -> tuple[Collection[str], dict[str, Any]]:
    """The whole board, then each half of what is low."""
    return frozenset(_low(board.circuits, site.reads)), {}


def _low(circuits: list[str], reads: Callable[[Collection[str]], float]) -> list[str]:
    if reads(circuits) >= LOW_MOHM:
        return []
    if len(circuits) == 1:
        return circuits
    middle = len(circuits) // 2
    return [*_low(circuits[:middle], reads), *_low(circuits[middle:], reads)]
