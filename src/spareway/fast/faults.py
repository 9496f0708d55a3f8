"""The ranking of `spareway.readings.rank` and the next reading of `spareway.readings.following`, all faults at once with numpy.

The network, the faults and the numbers of the instrument are theirs; the shares are the same to the last few digits.
"""
from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from spareway.fast.foreseen import Foreseen, Tables
from spareway.readings.following import GRID, KEPT, SIGMAS, Proposal, best, count_kept, to_take
from spareway.readings.rank import (
    BEHIND,
    LOAD_OHM,
    LOADED,
    MISSED,
    OVER_OHM,
    SOFT_OHM,
    STEP,
    WEIGHED,
    Ranked,
    amiss,
    in_order,
    in_turn,
    known,
    with_several,
)
from spareway.readings.wired import Wired

__all__ = ["Counted", "following", "further", "rank"]

Numbers = NDArray[np.float64]


@dataclass(slots=True)
class _State:
    """The faults still thought of, by place in `Tables`; nats: fault; mean: fault, unknown; along: fault, reading, unknown,
    of which `read` are taken."""
    tables: Tables
    alive: NDArray[np.intp]
    nats: Numbers
    mean: Numbers
    along: Numbers
    squares: Numbers
    count: NDArray[np.intp]
    read: int = 0

    def kept(self, these: NDArray[np.bool_]) -> None:
        self.alive, self.nats, self.mean, self.along = self.alive[these], self.nats[these], self.mean[these], self.along[these]
        self.squares, self.count = self.squares[these], self.count[these]

    def reads(self, seen: Foreseen, at: int, ohm: float) -> None:
        """Takes in one reading of those foreseen."""
        over, moves = seen.over[:, at], seen.moves[:, at]
        if ohm > OVER_OHM:
            self.nats -= np.where(over, 0.0, MISSED)
            self.squares[~over] = math.inf
            return
        before = self.along[:, :self.read]
        left = moves - np.matmul(np.matmul(before, moves[:, :, None]).transpose(0, 2, 1), before)[:, 0]
        variance = seen.doubt[:, at] + (moves * left).sum(axis=1)
        off = math.log(ohm + SOFT_OHM) - seen.log_ohm[:, at] - (moves * self.mean).sum(axis=1)
        square = off * off / variance
        self.nats -= np.where(over, LOADED if ohm > LOAD_OHM else MISSED, 0.5 * (square + np.log(variance)))
        self.squares += np.where(over, 0.0 if ohm > LOAD_OHM else math.inf, square)
        self.count += ~over
        left[over] = 0.0
        self.mean += left * (off / variance)[:, None]
        left /= np.sqrt(variance)[:, None]
        self.along[:, self.read] = left
        self.read += 1

    def more(self, count: int) -> None:
        """Room for so many further readings."""
        faults, _, unknowns = self.along.shape
        along = np.empty((faults, self.read + count, unknowns))
        along[:, :self.read] = self.along[:, :self.read]
        self.along = along

    def spread(self, these: NDArray[np.intp]) -> Numbers:
        """The covariance of the unknowns of these faults."""
        along = self.along[these, :self.read]
        narrowed: Numbers = np.matmul(along.transpose(0, 2, 1), along)
        return np.eye(self.mean.shape[1]) - narrowed


@dataclass(frozen=True, slots=True)
class Counted(Ranked):
    """As `Ranked`; `believed` is empty, for the same stands in `state`."""
    state: _State | None = field(default=None, kw_only=True)


def rank(wired: Wired, readings: Mapping[str, float]) -> Counted:
    """Every fault of a circuit against these readings: as `spareway.readings.rank.rank`. Errors: ValueError."""
    tables, size = Tables(wired), wired.network.unknowns + 2
    count = len(wired.faults)
    nats = np.log(np.array([fault.weight for fault in wired.faults]))
    state = _State(tables, np.arange(count), nats, np.zeros((count, size)), np.zeros((count, 0, size)),
                   np.zeros(count), np.zeros(count, np.intp))
    return _after(state, wired, {}, readings)


def further(ranked: Counted, readings: Mapping[str, float]) -> Counted:
    """The same with more readings. `ranked` is used up. Errors: ValueError."""
    if ranked.state is None:
        raise ValueError("ranked by another engine")
    return _after(ranked.state, ranked.wired, ranked.taken, readings)


def _after(state: _State, wired: Wired, taken: Mapping[str, float], readings: Mapping[str, float]) -> Counted:
    order, before_n = in_turn(wired, known(wired, readings)), len(taken)
    # many faults are dropped early, so most readings are foreseen late
    for first, last in itertools.pairwise((0, STEP, 2 * STEP, max(len(order), 2 * STEP))):
        some = order[first:last]
        if not some:
            break
        state.more(len(some))
        seen = state.tables.foreseen(state.alive, some)
        for at, probe in enumerate(some):
            state.reads(seen, at, readings[probe])
            if (before_n + first + at) % STEP == STEP - 1:
                these = state.nats > state.nats.max() - BEHIND
                state.kept(these)
                seen = seen.kept(these)
    shares = np.exp(state.nats - state.nats.max())
    shares /= shares.sum()
    by_name = np.bincount(state.tables.name[state.alive], shares, len(state.tables.names))
    first_of = {int(n): int(h) for n, h in zip(state.tables.name[state.alive][::-1], state.alive[::-1], strict=True)}
    faults = in_order((wired.faults[h], float(by_name[n])) for n, h in first_of.items())
    asked = shares >= min(WEIGHED, shares.max())
    least = min(amiss(float(q), int(n)) for q, n in zip(state.squares[asked], state.count[asked], strict=True))
    return Counted(wired, with_several(faults, least), (), {**taken, **readings}, least, state=state)


def following(ranked: Counted, most: int = 3) -> tuple[Proposal, ...]:
    """The next readings, the most telling a minute first: as `spareway.readings.following.following`. Errors: ValueError."""
    state = ranked.state
    if state is None:
        raise ValueError("ranked by another engine")
    shares = np.exp(state.nats - state.nats.max())
    shares /= shares.sum()
    likely = np.argsort(-shares.round(12), kind="stable")[:KEPT]
    likely = likely[:count_kept(shares[likely].tolist())]
    names = to_take(ranked)
    seen = state.tables.foreseen(state.alive[likely], names)
    middle = seen.log_ohm + np.einsum("hpu,hu->hp", seen.moves, state.mean[likely])
    left = np.matmul(seen.moves, state.spread(likely))
    sd = np.sqrt(seen.doubt + (left * seen.moves).sum(axis=2))
    weights = shares[likely] / shares[likely].sum()
    return best(ranked, _most_bits(weights, seen.over, middle, sd).tolist(),
                lambda at: _bits(weights, seen.over[:, at], middle[:, at], sd[:, at]), most)


def _most_bits(weights: Numbers, over: NDArray[np.bool_], middle: Numbers, sd: Numbers) -> Numbers:
    """What each reading tells at the very most, by the variance of the mixture alone: fault, reading."""
    beyond = weights @ over
    within = np.maximum(1 - beyond, 1e-12)
    both = np.maximum(np.array((beyond, 1 - beyond)), 1e-12)
    shown = np.where(over, 0.0, weights[:, None]) / within
    mean = (shown * np.where(over, 0.0, middle)).sum(axis=0)
    variance = (shown * np.where(over, 0.0, sd * sd + (middle - mean) ** 2)).sum(axis=0)
    wide = 0.5 * np.log2(np.maximum(variance, 1e-300)) - (shown * np.log2(np.where(over, 1.0, sd))).sum(axis=0)
    bits: Numbers = -(both * np.log2(both)).sum(axis=0) + within * np.where(within > 1e-12, np.maximum(wide, 0.0), 0.0)
    return bits


def _bits(weights: Numbers, over: NDArray[np.bool_], middle: Numbers, sd: Numbers) -> float:
    """How much a reading is expected to tell: over range first, then where on the scale."""
    beyond = float(weights[over].sum())
    bits = math.fsum(-p * math.log2(p) for p in (beyond, 1 - beyond) if p > 1e-12)
    if over.all() or beyond >= 1 - 1e-12:
        return bits
    return bits + (1 - beyond) * max(_mixed(weights[~over] / (1 - beyond), middle[~over], sd[~over]), 0.0)


def _mixed(weights: Numbers, middle: Numbers, sd: Numbers) -> float:
    """The entropy of the mixture less the mean of its parts' (bits)."""
    low, narrowest = float((middle - SIGMAS * sd).min()), float(sd.min())
    step = (float((middle + SIGMAS * sd).max()) - low) / (GRID - 1)
    count = GRID if step < 0.7 * narrowest else min(4 * GRID, int(GRID * step / (0.7 * narrowest)) + 1)
    step *= (GRID - 1) / (count - 1)
    apart = (low + step * np.arange(count)[:, None] - middle) / sd
    heights = np.exp(-0.5 * apart * apart) @ (weights / sd) / math.sqrt(2 * math.pi)
    heights = heights[heights > 1e-300]
    mixed = -float((heights * np.log2(heights)).sum()) * step
    return mixed - float((weights * 0.5 * np.log2(2 * math.pi * math.e * sd * sd)).sum())
