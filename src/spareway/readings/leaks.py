"""Which circuits of a board leak, by readings of any of them joined together: conductances add, and nothing else is known.

Every set of no, one or two leaking circuits, each over a grid of sizes, is kept with its probability and cut when it is
negligible; beside them stands a board that leaks a little everywhere. One that is as good as sure is parted, and the rest is
read again: a large leak hides a small one. Nothing rests on the probabilities but the order of work: a circuit is called bad
only where a reading shows it, and the rest good only where one reading of all of it does.
"""
from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

__all__ = ["CLEAR_MOHM", "MINUTES", "Hunt", "Step"]

# A sound circuit, and one that leaks: middle and spread of ln(µS), and how far its grid reaches. Common practice, no source
SOUND_LN, SOUND_SIGMA = -6.5, 1.0
LEAK_LN, LEAK_SIGMA, LEAST_US, MOST_US, SIZES = math.log(4), 1.4, 0.4, 200.0, 32
SPREAD = 0.05                                   # how often a poor board leaks everywhere alike. Common practice, no source
READS, DIGITS_MOHM, LEAST_MOHM = 0.02, 0.02, 0.005      # the instrument, as one sigma: share of the reading, two digits
OUT_OF_LINE = 30.0                              # nats at most against a set for one reading
FARTHEST = 700.0                                # and at most for one that knows no bounds
BEHIND = 14.0                                   # nats behind the best, at which a cell is dropped
SURE = 0.9                                      # a circuit is parted as found; a reading must show it all the same
WEIGHED = 1500                                  # cells on which the next reading is chosen
BIN, SOFT_MOHM = 0.25, 0.03                     # steps of ln(MΩ + soft) that a reading tells apart
MOST_CELLS = 20_000
ENOUGH = 0.7                                    # chance that nothing else leaks, at which the rest is read
OUT = 0.03                                      # what the instrument may be out, besides two digits
MOVED, TURNS = 12, 4                            # circuits tried joined or parted about the best reading, and how often
PATIENCE = 6                                    # readings weighed together, after which a bad group is simply halved
# Rest of a board that reads this (MΩ) holds no circuit below the 2 MΩ at which one is looked into: conductances add
CLEAR_MOHM = 2.2
# Minutes on site: a reading; a way opened or closed; a neutral lifted or landed. Common practice, no source
MINUTES = {"reading": 1.0, "way": 0.1, "neutral": 1.5}

SOUND_US = math.exp(SOUND_LN + SOUND_SIGMA ** 2 / 2)
SOUND_VAR = (math.exp(SOUND_SIGMA ** 2) - 1) * SOUND_US ** 2
STEP_LN = math.log(MOST_US / LEAST_US) / (SIZES - 1)
GRID_US = tuple(LEAST_US * math.exp(STEP_LN * k) for k in range(SIZES))
_HEIGHTS = tuple(math.exp(-0.5 * ((math.log(us) - LEAK_LN) / LEAK_SIGMA) ** 2) for us in GRID_US)
GRID_LN = tuple(math.log(height / math.fsum(_HEIGHTS)) for height in _HEIGHTS)
FLOWS_US, WIDE = (*GRID_US, 0.0), SIZES + 1     # what a leaking one conducts, and last of all nothing
EACH_US = tuple(GRID_US[k] / 10 for k in range(0, SIZES, 2))        # of every circuit of a board that leaks everywhere


@dataclass(frozen=True, slots=True)
class Step:
    """A reading to take: these circuits joined in and no others; what it is expected to tell (bits), and the minutes it costs."""
    joined: tuple[str, ...]
    bits: float
    minutes: float


_Cells = list[tuple[int, int, int, int, float]]  # first and second circuit by number, -1 for none; their sizes; nats


class Hunt:
    """One pair of conductors of a board, read until the circuits that leak are found or the rest reads well.

    chances: each circuit, and how likely it is thought to leak (over 0, under 1). parting: minutes to part or join a circuit."""

    def __init__(self, chances: Mapping[str, float], parting: float = MINUTES["way"], clear_mohm: float = CLEAR_MOHM) -> None:
        self.chances, self.parting, self.clear_mohm = dict(chances), parting, clear_mohm
        self.taken: list[tuple[frozenset[str], float, float]] = []
        self.found: list[str] = []
        self.on_bar = frozenset(self.chances)
        self.clear = not self.chances
        self._begin()

    def _begin(self) -> None:
        """Every set there may be of what is not found; then the readings in which nothing found was joined."""
        self.names = [name for name in self.chances if name not in self.found]
        self.since = 0                          # readings weighed of these sets as they came
        self.cells: _Cells = []
        self.alike: list[float] = [math.log(SPREAD / len(EACH_US))] * len(EACH_US)
        for row in self.taken:
            if row[0] <= {*self.names}:
                self._weigh(*row)

    @property
    def dear(self) -> bool:
        """Whether parting a circuit costs more than a reading: nothing is then joined again to be read."""
        return self.parting > MINUTES["reading"]

    @property
    def left(self) -> tuple[str, ...]:
        """The circuits not found to leak."""
        return tuple(name for name in self.names if name not in self.found)

    @property
    def done(self) -> bool:
        """What is left reads well, and each that was found is shown to leak."""
        return self.clear and not self.unproved

    @property
    def everywhere(self) -> bool:
        """All of it reads badly and no circuit of it does: many leak a little, and no parting finds one."""
        whole = frozenset(self.chances)
        return self.clear and not self.found and any(mohm < self.clear_mohm and joined == whole for joined, mohm, _ in self.taken)

    @property
    def unproved(self) -> tuple[str, ...]:
        """Those found that no readings show to leak yet: what one alone adds, by two of them, is too little or not read."""
        return tuple(name for name in self.found if not any(self._shows(name, row) for row in self.taken))

    def _shows(self, name: str, row: tuple[frozenset[str], float, float]) -> bool:
        """Whether this reading, alone or less another of all the rest that was joined in, shows that a circuit leaks.

        Both may be out by the error of the instrument: it must show all the same."""
        joined, mohm, _ = row
        if joined == {name}:
            return mohm < self.clear_mohm
        if name not in joined:
            return False
        others = [other for of, other, _ in self.taken if of.issuperset(joined - {name}) and name not in of]
        most_us = min((1 / max(other * (1 - OUT) - DIGITS_MOHM, LEAST_MOHM / 2) for other in others), default=math.inf)
        return 1 / (mohm * (1 + OUT) + DIGITS_MOHM) - most_us >= 1 / self.clear_mohm

    def _good(self) -> frozenset[str]:
        """Those of which some reading was good: conductances add, so that none joined in can be bad."""
        return frozenset(name for joined, mohm, _ in self.taken if mohm >= self.clear_mohm for name in joined)

    def reads(self, joined: Collection[str], mohm: float, end_mohm: float = math.inf) -> None:
        """Takes in a reading (MΩ, infinite over range) of these circuits joined, and parts what is then as good as sure.

        end_mohm: where the instrument's range ends. Errors: ValueError for a circuit there is not, or none."""
        if not joined or set(joined) - set(self.chances):
            raise ValueError(f"no circuits of this board: {', '.join(sorted(set(joined) - set(self.chances))) or 'none'}")
        row = (frozenset(joined), mohm, end_mohm)
        self.taken.append(row)
        self.on_bar = left_on(self.on_bar, row[0])
        if row[0] <= {*self.names}:
            self._weigh(*row)
        self._part()

    def _part(self) -> None:
        """Parts what is as good as sure; takes back what a reading has shown to be good.

        Of two found among the same sets a third is not among them: then the rest is laid out anew, once it has been read low."""
        good = self._good()
        if not good.isdisjoint(self.found):
            self.found = [name for name in self.found if name not in good]
            self._begin()
        while not self._is_clear() and self.cells:
            chance, bad = self.chance(), self._bad()
            sure = [*bad] if len(bad) == 1 else [name for name, share in chance.items() if share >= SURE]
            if sure:
                self.found += sure
            elif len([name for name in self.names if name in self.found]) > 1 and bad:
                self._begin()
            else:
                return

    def _bad(self) -> frozenset[str]:
        """The fewest among whom a bad reading says there is a bad one, without what was found, and what is known to be good."""
        good, found = self._good(), set(self.found)
        held = [joined - good for joined, mohm, _ in self.taken if mohm < self.clear_mohm and joined.isdisjoint(found)]
        return min(filter(None, held), key=len, default=frozenset())

    def _is_clear(self) -> bool:
        self.clear = {*self.left} <= self._good()
        return self.clear

    # ---- weighing ---------------------------------------------------------------------------------------------------
    def _weigh(self, joined: frozenset[str], mohm: float, end_mohm: float) -> None:
        self.since += 1
        of = _Reading(len(joined), mohm, end_mohm)
        within = [name in joined for name in self.names] + [False]             # so that no circuit, -1, is never joined in
        table = of.table()
        if self.cells:
            self.cells = [(i, j, a, b, nats + table[(a if within[i] else SIZES) * WIDE + (b if within[j] else SIZES)])
                          for i, j, a, b, nats in self.cells]
        else:
            self.cells = self._first(within, table)
        self.alike = [nats + of.nats(us * len(joined), math.inf) for nats, us in zip(self.alike, EACH_US, strict=True)]
        best = max(max(self.alike), max(cell[4] for cell in self.cells)) - BEHIND
        self.cells = [cell for cell in self.cells if cell[4] > best] or self.cells[:1]
        if len(self.cells) > MOST_CELLS:
            self.cells = sorted(self.cells, key=lambda cell: -cell[4])[:MOST_CELLS]

    def _first(self, within: Sequence[bool], table: Sequence[float]) -> _Cells:
        """Every set over every pair of sizes, with its first reading weighed: what lies far behind is not laid out at all."""
        lone = {i: sorted(((a, SIZES, GRID_LN[a] + table[(a if i else SIZES) * WIDE + SIZES]) for a in range(SIZES)),
                          key=lambda each: -each[2]) for i in (True, False)}
        both = {(i, j): sorted(((a, b, GRID_LN[a] + GRID_LN[b] + table[(a if i else SIZES) * WIDE + (b if j else SIZES)])
                                for a in range(SIZES) for b in range(SIZES)), key=lambda each: -each[2])
                for i in (True, False) for j in (True, False)}
        odds = [math.log(self.chances[name] / (1 - self.chances[name])) for name in self.names]
        sets = [(i, -1, odd, lone[within[i]]) for i, odd in enumerate(odds)]
        sets += [(i, j, odds[i] + odds[j], both[within[i], within[j]]) for i in range(len(odds)) for j in range(i + 1, len(odds))]
        none = table[SIZES * WIDE + SIZES]
        least = max([none, *(odd + cells[0][2] for _, _, odd, cells in sets)]) - BEHIND
        out: _Cells = [(-1, -1, SIZES, SIZES, none)]
        for i, j, odd, cells in sets:
            for a, b, nats in cells:
                if odd + nats < least:
                    break
                out.append((i, j, a, b, odd + nats))
        return out

    def _shares(self) -> tuple[list[tuple[int, int, int, int, float]], float]:
        """The cells with their probabilities in place of their nats, and that of a board that leaks everywhere."""
        best = max(max(self.alike), max(cell[4] for cell in self.cells))
        alike = math.fsum(math.exp(nats - best) for nats in self.alike)
        weights = [math.exp(cell[4] - best) for cell in self.cells]
        whole = math.fsum(weights) + alike
        return [(*cell[:4], weight / whole) for cell, weight in zip(self.cells, weights, strict=True)], alike / whole

    def chance(self) -> dict[str, float]:
        """How likely each circuit that is left is to be one that leaks. As thought before, where nothing was read."""
        if not self.cells:
            return {name: self.chances[name] for name in self.left}
        found: list[list[float]] = [[] for _ in (*self.names, "none")]
        for i, j, _, _, share in self._shares()[0]:
            found[i].append(share)
            found[j].append(share)
        return {name: math.fsum(shares) for name, shares in zip(self.names, found, strict=False) if name not in self.found}

    def sets(self) -> tuple[tuple[frozenset[str], float], ...]:
        """Each set of leaking circuits with its probability, those found counted in; the likeliest first.

        That all leak alike stands as the set of all."""
        found: dict[frozenset[str], list[float]] = {}
        cells, alike = self._shares() if self.cells else ([], 0.0)
        for i, j, _, _, share in cells:
            found.setdefault(frozenset((*self.found, *(self.names[n] for n in (i, j) if n >= 0))), []).append(share)
        found.setdefault(frozenset(self.chances), []).append(alike)
        sums = [(each, math.fsum(shares)) for each, shares in found.items()]
        return tuple(sorted(sums, key=lambda each: (-each[1], sorted(each[0]))))

    # ---- what to read next ------------------------------------------------------------------------------------------
    def next(self) -> Step | None:
        """The reading that is expected to tell the most a minute; None where nothing is left to look for."""
        if self.done:
            return None
        rest, good = frozenset(self.left), self._good()
        if self.clear:
            return self._step(frozenset(self.unproved[:1]), 0.0)
        if not self.cells:
            return self._step(rest, 0.0)
        bad = self._bad()
        if bad and (self.dear or self.since > PATIENCE):
            return self._halved(bad)
        shares, alike = self._shares()
        tried = {joined for joined, _, _ in self.taken}
        enough = math.fsum(share for i, j, _, _, share in shares if self._only_found(i, j)) > ENOUGH
        if enough and (last := self._last(rest, good)):
            return self._step(last, 0.0)
        weighed = sorted(shares, key=lambda each: -each[4])[:WEIGHED]
        step = self._best(weighed, alike, tried)
        return step or self._halved(bad or rest)

    def _last(self, rest: frozenset[str], good: frozenset[str]) -> frozenset[str]:
        """What is read last, where nothing else seems to leak: all of it, where a circuit is parted in a moment; else what is
        parted already and not known to be good, one by itself, and then the bar as it stands, without what was found."""
        tried = {joined for joined, _, _ in self.taken}
        apart = rest - good - self.on_bar
        if self.dear and apart:
            return frozenset(sorted(apart)[:1])
        here = rest & self.on_bar if self.dear else rest
        return here if here not in tried else frozenset()

    def _only_found(self, *numbers: int) -> bool:
        return all(n < 0 or self.names[n] in self.found for n in numbers)

    def _best(self, weighed: _Cells, alike: float, tried: Collection[frozenset[str]]) -> Step | None:
        """The best of the likeliest few, of all but them, and of what comes of joining or parting one more while that helps."""
        chance = self.chance()
        order = sorted(chance, key=lambda name: -chance[name])
        rest = frozenset(order)
        firsts = [frozenset(order[:n]) for n in range(1, len(order)) if chance[order[n - 1]] > 1e-4 or n == 1]
        both = dict.fromkeys(joined for first in (*firsts, rest) for joined in (first, rest - first))
        bar = [name for name in order if name in self.on_bar]
        both |= dict.fromkeys(frozenset(bar[n:]) for n in range(len(bar)))        # the likeliest lifted, and none landed again
        both |= dict.fromkeys(frozenset((name,)) for name in order[:MOVED])
        steps = [self._step(joined, self._bits(weighed, alike, joined)) for joined in both if joined and joined not in tried]
        best = max(steps, key=_rate, default=None)
        for _ in range(TURNS if best else 0):
            start = frozenset(best.joined) if best else rest
            near = [start ^ {name} for name in order[:MOVED] if chance[name] > 1e-3]
            steps = [self._step(joined, self._bits(weighed, alike, joined)) for joined in near if joined and joined not in tried]
            better = max(steps, key=_rate, default=None)
            if best is None or better is None or _rate(better) <= _rate(best):
                break
            best = better
        return best

    def _halved(self, bad: frozenset[str]) -> Step:
        """Half of those among whom there must be a bad one, the likelier first: it always ends.

        Where parting is dear, one by itself: one that is parted already, else the likeliest."""
        chance = self.chance()
        if self.dear:
            order = sorted(bad, key=lambda name: (name in self.on_bar, -chance[name], name))
            return self._step(frozenset(order[:1]), 1.0)
        order = sorted(bad, key=lambda name: (-chance[name], name))
        return self._step(frozenset(order[:len(order) // 2]), 1.0)

    def _step(self, joined: frozenset[str], bits: float) -> Step:
        after = left_on(self.on_bar, joined)
        moved = len(after ^ self.on_bar)
        return Step(tuple(n for n in self.chances if n in joined), bits, MINUTES["reading"] + self.parting * moved)

    def _bits(self, weighed: _Cells, alike: float, joined: frozenset[str]) -> float:
        """How much a reading of these is expected to tell which set it is."""
        within = [name in joined for name in self.names] + [False]
        places = _places(len(joined))
        both: dict[tuple[int, int, int], float] = {(-2, -2, _place(len(joined) * (EACH_US[0] + SOUND_US))): alike}
        for i, j, a, b, share in weighed:
            key = (i, j, places[(a if within[i] else SIZES) * WIDE + (b if within[j] else SIZES)])
            both[key] = both.get(key, 0.0) + share
        sets: dict[tuple[int, int], float] = {}
        shown: dict[int, float] = {}
        for (i, j, place), share in both.items():
            sets[i, j] = sets.get((i, j), 0.0) + share
            shown[place] = shown.get(place, 0.0) + share
        return max(_entropy(sets.values()) + _entropy(shown.values()) - _entropy(both.values()), 0.0)


def left_on(on_bar: frozenset[str], joined: frozenset[str]) -> frozenset[str]:
    """What is joined at the bar once these were read: several are read there together, one is parted and read by itself."""
    return on_bar - joined if len(joined) == 1 else joined


def _rate(step: Step) -> float:
    return step.bits / step.minutes


def _place(us: float) -> int:
    """The step of the scale on which so much (µS) would be read."""
    return int(math.log(1 / us + SOFT_MOHM) / BIN)


@lru_cache(64)
def _places(joined_n: int) -> tuple[int, ...]:
    """As `_Reading.table`: the step of the scale for each pair of sizes."""
    return tuple(_place(one + two + joined_n * SOUND_US) for one in FLOWS_US for two in FLOWS_US)


def _entropy(shares: Iterable[float]) -> float:
    return math.fsum(-p * math.log2(p) for p in shares if p > 1e-300)


class _Reading:
    """One reading, and how well what leaks explains it."""

    def __init__(self, joined_n: int, mohm: float, end_mohm: float) -> None:
        self.sound_us, self.sound_var = joined_n * SOUND_US, joined_n * SOUND_VAR
        self.over, self.end_mohm = math.isinf(mohm), end_mohm
        self.mohm = max(min(mohm, end_mohm), LEAST_MOHM)

    def table(self) -> list[float]:
        """By the sizes of the one and the other that are joined in, none last: ln of the likelihood."""
        return [self.nats(one + two) for one in FLOWS_US for two in FLOWS_US]

    def nats(self, leaks_us: float, most: float = OUT_OF_LINE) -> float:
        """ln of the likelihood; `most` is how far it may count against a set."""
        us = leaks_us + self.sound_us
        variance = READS ** 2 + (STEP_LN ** 2 / 12 if leaks_us else 0.0) + self.sound_var / us ** 2
        if self.over:
            end = math.log(us) + math.log(min(self.end_mohm, 1e6))
            share = 0.5 * math.erfc(end / math.sqrt(2 * variance))
            return max(math.log(share), -most) if share > 0 else -min(most, FARTHEST)
        sigma = math.hypot(math.sqrt(variance), DIGITS_MOHM / self.mohm)
        off = (math.log(self.mohm) + math.log(us)) / sigma
        return -0.5 * min(off * off, 2 * most) - math.log(sigma)
