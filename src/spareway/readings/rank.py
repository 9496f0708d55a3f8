"""Which fault explains all the readings: Bayes over every fault of a circuit, each a Gaussian on the logarithm of its readings.

What is not known is carried along: the length of each stretch, shared by its cores; the null of the leads; the size of a loose
joint. A reading over range is an outcome of its own. Faults far behind are dropped after each few readings.
"""
from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import zip_longest

from spareway.readings.network import Shift, dot
from spareway.readings.wired import Fault, Wired

__all__ = ["OVER_OHM", "Believed", "Ranked", "Seen", "further", "rank"]

OVER_OHM = 99.99                                # the end of a continuity tester's range
SOFT_OHM = 0.02                                 # nought of the logarithm's scale: two digits
NULL_OHM, ENDS_OHM = 0.02, 0.003                # how far null and terminations may be out (one sigma)
# A tester in good order: 3 % and two digits, common practice, no source; BS EN 61557-4 allows 30 % at worst
READS, DIGITS_OHM, SHOWN_OHM = 0.03, 0.02, 0.005            # the instrument: share of the reading, two digits, half a digit shown
LEAST = 1e-4                                    # what the engine itself may be out: 1 % (one sigma), squared
MISSED = 12.0                                   # nats against a fault that is over range where a number was shown, or the reverse
LOADED, LOAD_OHM = 4.0, 10.0                    # nats for a load left in, the least it shows; common practice, no source
BEHIND = 20.0                                   # nats behind the best, at which a fault is dropped
FITS, WEIGHED = 4.0, 0.05                       # sigmas up to which readings are explained; the least share that is asked about
# How often more than one thing is wrong: common practice, no source. How often the readings are then not explained, and how often
# they are not with one fault: measured on 120 invented rings each, drawn as in `studies/study_two_faults.py`
SEVERAL, SEVERAL_TOLD, ONE_TOLD = 0.05, 0.78, 0.008
STEP = 3                                        # readings between two droppings


@dataclass(frozen=True, slots=True)
class Seen:
    """What one fault leads to expect of one reading: log(Ω), how it moves with the unknowns, its own doubt; or over range."""
    over: bool
    log_ohm: float
    moves: tuple[float, ...]
    doubt: float


class Believed:
    """One fault and what the readings so far say of it: its log-likelihood, and the unknowns as they then stand.

    Each reading narrows the unknowns along one direction; `mean` and the directions say all that a matrix would."""
    __slots__ = ("_along", "_seen", "_spread", "count", "fault", "mean", "nats", "number", "squares", "wired")

    def __init__(self, number: int, wired: Wired) -> None:
        self.number, self.fault, self.wired = number, wired.faults[number], wired
        self.nats = math.log(self.fault.weight)
        self.squares, self.count = 0.0, 0
        self.mean = [0.0] * (wired.network.unknowns + 2)
        self._along: list[list[float]] = []
        self._spread: list[list[float]] | None = None
        self._seen: dict[str, Seen] = {}

    def copied(self) -> Believed:
        """The same, to be led on by itself."""
        other = Believed(self.number, self.wired)
        other.nats, other.squares, other.count, other.mean = self.nats, self.squares, self.count, self.mean
        other._along, other._seen = [*self._along], self._seen
        return other

    def seen(self, probe: str) -> Seen:
        """What this fault leads to expect of a reading."""
        if probe not in self._seen:
            shift = self.wired.shift(self.fault, self.wired.probes[probe])
            self._seen[probe] = expected(self.fault, shift) if shift and shift.ohm < math.inf else OVER
        return self._seen[probe]

    def foretold(self, probe: str) -> tuple[bool, float, float]:
        """Over range or not, and the mean and variance of log(Ω), by what the readings so far say of the unknowns."""
        seen = self.seen(probe)
        if seen.over:
            return True, 0.0, 0.0
        if self._spread is None:                  # asked many times between two readings, a matrix is the shorter way
            size = len(self.mean)
            self._spread = [self._narrowed([1.0 if i == j else 0.0 for i in range(size)]) for j in range(size)]
        left, moved = self._left(seen)
        return False, seen.log_ohm + moved, seen.doubt + dot(seen.moves, left)

    def _left(self, seen: Seen) -> tuple[list[float], float]:
        """How the unknowns as they now stand go with a reading, and by how much they have moved it already."""
        left = [dot(row, seen.moves) for row in self._spread] if self._spread else self._narrowed(seen.moves)
        return left, dot(seen.moves, self.mean)

    def _narrowed(self, moves: Sequence[float]) -> list[float]:
        left = [*moves]
        for along in self._along:
            share = dot(along, moves)
            left = [x - share * y for x, y in zip(left, along, strict=True)]
        return left

    def reads(self, probe: str, ohm: float) -> None:
        """Takes in one reading (Ω, infinite over range)."""
        seen = self.seen(probe)
        if seen.over or ohm > OVER_OHM:
            against = otherwise(seen, ohm)
            self.nats -= against
            self.squares += math.inf if against == MISSED else 0.0
            return
        left, moved = self._left(seen)
        variance = seen.doubt + dot(seen.moves, left)
        off = math.log(ohm + SOFT_OHM) - seen.log_ohm - moved
        square = off * off / variance
        self.nats -= 0.5 * (square + math.log(variance))
        self.squares, self.count = self.squares + square, self.count + 1
        self.mean = [m + x * off / variance for m, x in zip(self.mean, left, strict=True)]
        root = math.sqrt(variance)
        self._along.append([x / root for x in left])
        self._spread = None


SEVERAL_THINGS = Fault("several", "", (), "more than one thing is wrong, or a reading is: no one fault explains all", 1.0)
OVER = Seen(True, 0.0, (), 0.0)


def expected(fault: Fault, shift: Shift) -> Seen:
    """What a fault leads to expect of a reading, its resistance and slopes known."""
    ohm = max(shift.ohm, 0.0) + fault.offset_ohm
    scale = 1 / (min(ohm, OVER_OHM) + SOFT_OHM)
    instrument = ((READS * ohm) ** 2 + DIGITS_OHM ** 2 + SHOWN_OHM ** 2) / 3 + ENDS_OHM ** 2
    moves = tuple(x * scale for x in (*shift.by_unknown_ohm, shift.by_own_ohm, fault.offset_sd_ohm or NULL_OHM))
    return Seen(ohm > 0.9 * OVER_OHM, -math.log(scale), moves, instrument * scale ** 2 + LEAST)


def otherwise(seen: Seen, ohm: float) -> float:
    """The nats against a fault where it or the reading is over range: a load left in may show where nothing should."""
    if seen.over:
        return 0.0 if ohm > OVER_OHM else LOADED if ohm > LOAD_OHM else MISSED
    return MISSED


def amiss(squares: float, count: int) -> float:
    """How far readings lie from what a fault leads to expect, all together: in sigmas of such a sum of squares."""
    return (squares - count) / math.sqrt(2 * count) if count else squares


@dataclass(frozen=True, slots=True)
class Ranked:
    """Faults by probability, the sizes of one fault added up; `believed` are those behind it with their shares.

    amiss: how far the readings lie from what the likeliest lead to expect, in sigmas; infinite where one of them shows a number
    that should be over range, or the reverse."""
    wired: Wired
    faults: tuple[tuple[Fault, float], ...]
    believed: tuple[tuple[Believed, float], ...]
    taken: Mapping[str, float]
    amiss: float

    @property
    def explained(self) -> bool:
        """Whether the likeliest explains all readings. Where it does not, more than one thing is wrong, or a reading is, and that
        comes first."""
        return self.amiss <= FITS

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
    return _after([Believed(number, wired) for number in range(len(wired.faults))], wired, {}, readings)


def further(ranked: Ranked, readings: Mapping[str, float]) -> Ranked:
    """The same with more readings. Where these are none of the standard ones it is to the last digit what `rank` makes of all of
    them. Errors: as `rank`."""
    left = sorted((each.copied() for each, _ in ranked.believed), key=lambda each: each.number)
    return _after(left, ranked.wired, ranked.taken, readings)


def _after(left: list[Believed], wired: Wired, taken: Mapping[str, float], readings: Mapping[str, float]) -> Ranked:
    for number, probe in enumerate(in_turn(wired, known(wired, readings)), len(taken) + 1):
        for each in left:
            each.reads(probe, readings[probe])
        if number % STEP == 0:
            best = max(each.nats for each in left)
            left = [each for each in left if each.nats > best - BEHIND]
    best = max(each.nats for each in left)
    shares = [math.exp(each.nats - best) for each in left]
    whole = math.fsum(shares)
    pairs = ((each, share / whole) for each, share in zip(left, shares, strict=True))
    believed = sorted(pairs, key=lambda pair: -round(pair[1], 12))           # equals stay in their order, whoever reckons them
    least = min(amiss(each.squares, each.count) for each, share in believed if share >= min(WEIGHED, believed[0][1]))
    return Ranked(wired, with_several(_merged(believed), least), tuple(believed), {**taken, **readings}, least)


def known(wired: Wired, readings: Mapping[str, float]) -> Mapping[str, float]:
    """The same readings. Errors: ValueError for one that is none of this circuit's."""
    if strange := sorted(set(readings) - set(wired.probes)):
        raise ValueError(f"no reading of this circuit: {', '.join(strange)}")
    return readings


def in_turn(wired: Wired, readings: Iterable[str]) -> list[str]:
    """Readings by their names, in an order in which what cannot be is soon told: of the usual ones those of whole conductors,
    then those at points, one of each arrangement after another and far apart; then the others as they were taken."""
    found: dict[str, list[str]] = {}
    others = []
    for probe in readings:
        if probe in wired.standard:
            found.setdefault(wired.probes[probe].arrangement, []).append(probe)
        else:
            others.append(probe)
    whole, points = found.pop("open", []), [_apart(some) for some in found.values()]
    return [*whole, *(probe for some in zip_longest(*points) for probe in some if probe), *others]


def _apart(names: Sequence[str]) -> list[str]:
    """The middle, then the middle of each half, and so on."""
    out, parts = list[str](), [(0, len(names))]
    for first, end in parts:
        if first < end:
            middle = (first + end) // 2
            out.append(names[middle])
            parts += [(first, middle), (middle + 1, end)]
    return out


def _merged(believed: Sequence[tuple[Believed, float]]) -> tuple[tuple[Fault, float], ...]:
    """By fault, its sizes added up; the likeliest first."""
    found: dict[tuple[str, str, tuple[str, ...]], tuple[Fault, list[float]]] = {}
    for each, share in believed:
        found.setdefault(each.fault.name, (each.fault, []))[1].append(share)
    return in_order((fault, math.fsum(shares)) for fault, shares in found.values())


def with_several(faults: tuple[tuple[Fault, float], ...], amiss: float) -> tuple[tuple[Fault, float], ...]:
    """The same, and where none of them explains the readings first of all that several things are wrong, with its share."""
    if amiss <= FITS:
        return faults
    told, wrongly = SEVERAL * SEVERAL_TOLD, (1 - SEVERAL) * ONE_TOLD
    share = told / (told + wrongly)
    return ((SEVERAL_THINGS, share), *((fault, each * (1 - share)) for fault, each in faults))


def in_order(faults: Iterable[tuple[Fault, float]]) -> tuple[tuple[Fault, float], ...]:
    """The likeliest first; equals by core and place, whoever reckons them."""
    return tuple(sorted(faults, key=lambda pair: (-round(pair[1], 9), pair[0].name)))
