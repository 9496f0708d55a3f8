"""Which fault explains all the readings: Bayes over every fault of a circuit, each a Gaussian on the logarithm of its readings.

What is not known is carried along: the length of each stretch, shared by its cores; the null of the leads; the size of a loose
joint. A reading over range is an outcome of its own. Faults far behind are dropped after each few readings.
"""
from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from spareway.readings.wired import Fault, Wired

__all__ = ["OVER_OHM", "Believed", "Ranked", "Seen", "further", "rank"]

OVER_OHM = 99.99                                # the end of a continuity tester's range
SOFT_OHM = 0.02                                 # nought of the logarithm's scale: two digits
NULL_OHM, ENDS_OHM = 0.02, 0.003                # how far null and terminations may be out (one sigma)
# A tester in good order: 3 % and two digits, common practice, no source; BS EN 61557-4 allows 30 % at worst
READS, DIGITS_OHM, SHOWN_OHM = 0.03, 0.02, 0.005            # the instrument: share of the reading, two digits, half a digit shown
MISSED = 12.0                                   # nats against a fault that is over range where a number was shown, or the reverse
BEHIND = 30.0                                   # nats behind the best, at which a fault is dropped
STEP = 6                                        # readings between two droppings


@dataclass(frozen=True, slots=True)
class Seen:
    """What one fault leads to expect of one reading: log(Ω), how it moves with the unknowns, its own doubt; or over range."""
    over: bool
    log_ohm: float
    moves: tuple[float, ...]
    doubt: float


class Believed:
    """One fault and what the readings so far say of it: its log-likelihood, and the unknowns as they then stand."""

    def __init__(self, fault: Fault, wired: Wired) -> None:
        self.fault, self.wired = fault, wired
        self.nats = math.log(fault.weight)
        size = wired.network.unknowns + 2
        self.mean = [0.0] * size
        self.spread = [[1.0 if i == j else 0.0 for j in range(size)] for i in range(size)]

    def seen(self, probe: str) -> Seen:
        """What this fault leads to expect of a reading."""
        of = self.wired.probes[probe]
        across = self.fault.laid.get(of.arrangement, self.wired.arrangements[of.arrangement])
        shift = self.wired.network.between(of.a, of.b, across, self.fault.edits)
        ohm = max(shift.ohm, 0.0) + self.fault.offset_ohm
        scale = 1 / (min(ohm, OVER_OHM) + SOFT_OHM)
        instrument = ((READS * ohm) ** 2 + DIGITS_OHM ** 2 + SHOWN_OHM ** 2) / 3 + ENDS_OHM ** 2
        null_ohm = self.fault.offset_sd_ohm or NULL_OHM
        moves = tuple(x * scale for x in (*shift.by_unknown_ohm, shift.by_own_ohm, null_ohm))
        return Seen(ohm > 0.9 * OVER_OHM, -math.log(scale), moves, instrument * scale ** 2 + 1e-4)

    def foretold(self, probe: str) -> tuple[bool, float, float]:
        """Over range or not, and the mean and variance of log(Ω), by what the readings so far say of the unknowns."""
        seen = self.seen(probe)
        _, variance = self._along(seen)
        return seen.over, seen.log_ohm + math.fsum(map(float.__mul__, seen.moves, self.mean)), variance

    def _along(self, seen: Seen) -> tuple[list[float], float]:
        along = [math.fsum(map(float.__mul__, row, seen.moves)) for row in self.spread]
        return along, seen.doubt + math.fsum(map(float.__mul__, seen.moves, along))

    def reads(self, probe: str, ohm: float) -> None:
        """Takes in one reading (Ω, infinite over range)."""
        seen = self.seen(probe)
        if seen.over or ohm > OVER_OHM:
            self.nats -= 0.0 if seen.over and ohm > OVER_OHM else MISSED
            return
        along, variance = self._along(seen)
        off = math.log(ohm + SOFT_OHM) - seen.log_ohm - math.fsum(map(float.__mul__, seen.moves, self.mean))
        self.nats -= 0.5 * (off * off / variance + math.log(variance))
        gain = [x / variance for x in along]
        self.mean = [m + g * off for m, g in zip(self.mean, gain, strict=True)]
        self.spread = [[s - g * x for s, x in zip(row, along, strict=True)] for row, g in zip(self.spread, gain, strict=True)]


@dataclass(frozen=True, slots=True)
class Ranked:
    """Faults by probability, the sizes of one fault added up; `believed` are those behind it with their shares."""
    wired: Wired
    faults: tuple[tuple[Fault, float], ...]
    believed: tuple[tuple[Believed, float], ...]
    taken: Mapping[str, float]

    @property
    def kinds(self) -> dict[str, float]:
        """Each kind of fault with its probability, the likeliest first."""
        found: dict[str, list[float]] = {}
        for fault, share in self.faults:
            found.setdefault(fault.kind, []).append(share)
        return dict(sorted(((k, math.fsum(v)) for k, v in found.items()), key=lambda each: -each[1]))

    @property
    def alike(self) -> tuple[Fault, ...]:
        """Those that these readings do not tell apart: with the likeliest, all that hold nine tenths between them."""
        held, out = 0.0, []
        for fault, share in self.faults:
            out.append(fault)
            held += share
            if held >= 0.9:
                break
        return tuple(out)


def rank(wired: Wired, readings: Mapping[str, float]) -> Ranked:
    """Every fault of a circuit against these readings.

    readings: Ω at 20 °C by the name of a probe, infinite where over range. Errors: ValueError for one that is none of its."""
    return _after([Believed(fault, wired) for fault in wired.faults], wired, {}, readings)


def further(ranked: Ranked, readings: Mapping[str, float]) -> Ranked:
    """The same with more readings: what fell far behind before stays behind. `ranked` is used up. Errors: as `rank`."""
    return _after([each for each, _ in ranked.believed], ranked.wired, ranked.taken, readings)


def _after(left: list[Believed], wired: Wired, taken: Mapping[str, float], readings: Mapping[str, float]) -> Ranked:
    if strange := sorted(set(readings) - set(wired.probes)):
        raise ValueError(f"no reading of this circuit: {', '.join(strange)}")
    for number, (probe, ohm) in enumerate(readings.items(), 1):
        for each in left:
            each.reads(probe, ohm)
        if number % STEP == 0 or number == len(readings):
            best = max(each.nats for each in left)
            left = [each for each in left if each.nats > best - BEHIND]
    best = max(each.nats for each in left)
    shares = [math.exp(each.nats - best) for each in left]
    whole = math.fsum(shares)
    believed = sorted(((each, share / whole) for each, share in zip(left, shares, strict=True)), key=lambda pair: -pair[1])
    return Ranked(wired, _merged(believed), tuple(believed), {**taken, **readings})


def _merged(believed: Sequence[tuple[Believed, float]]) -> tuple[tuple[Fault, float], ...]:
    """By fault, its sizes added up; the likeliest first."""
    found: dict[tuple[str, str, tuple[str, ...]], tuple[Fault, list[float]]] = {}
    for each, share in believed:
        found.setdefault(each.fault.name, (each.fault, []))[1].append(share)
    return tuple(sorted(((fault, math.fsum(shares)) for fault, shares in found.values()), key=lambda pair: -pair[1]))
