"""What is kept of a winter, and what many winters say: each number with its interval, never a half-hour's mean.

Winters are independent of one another and minutes of one winter are not, so every interval counts winters.
"""
from __future__ import annotations

import math
from array import array
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, fields

__all__ = ["BINS", "BIN_W", "COLUMNS", "Between", "Winter", "Winters", "gathered", "highest_first", "joined", "middle",
           "quantile", "rare_mean", "share_of"]

BIN_W, BINS = 250, 256                          # a histogram of demand: the last bin holds all above
CONFIDENCE = 0.95
FEW = 10                                        # winters that have any: fewer tell no top of a mean. Common practice, no source


@dataclass(frozen=True, slots=True)
class Winter:
    """One winter of one home.

    top_w, top_day            highest minute (W, taken or given) and the day of the weather it lay in, the first such
    over_min, longest_min     minutes above the fuse's rating, and the longest run of them
    taken_wmin, given_wmin    energy through the fuse in watt-minutes, inwards and outwards; 60,000 are a kWh
    heat_wmin, water_wmin     of which rooms and cylinder took
    hottest, hottest_day      greatest heat of the fuse's element at the end of a minute, 1 melts; without a ladder 0. The season
                              goes on as if it had not opened
    """
    number: int
    top_w: int
    top_day: int
    over_min: int
    longest_min: int
    taken_wmin: int
    given_wmin: int
    heat_wmin: int
    water_wmin: int
    hottest: float
    hottest_day: int


COLUMNS = tuple(each.name for each in fields(Winter))


@dataclass(frozen=True, slots=True)
class Winters:
    """Many winters, a column for each field of `Winter`, and the histogram of their sampled minutes in steps of BIN_W."""
    number: array[int]
    top_w: array[int]
    top_day: array[int]
    over_min: array[int]
    longest_min: array[int]
    taken_wmin: array[int]
    given_wmin: array[int]
    heat_wmin: array[int]
    water_wmin: array[int]
    hottest: array[float]
    hottest_day: array[int]
    histogram: array[int]

    def __len__(self) -> int:
        return len(self.number)

    def __getitem__(self, at: int) -> Winter:
        return Winter(*(getattr(self, name)[at] for name in COLUMNS))

    def share_above(self, demand_w: float) -> float:
        """Share of the sampled minutes at or above a demand that is a whole number of steps of BIN_W: the duration curve."""
        return math.fsum(self.histogram[round(demand_w / BIN_W):]) / max(math.fsum(self.histogram), 1)


def gathered(winters: Iterable[Winter], histograms: Iterable[Sequence[int]]) -> Winters:
    """Columns of single winters."""
    rows = list(winters)
    return Winters(**{name: array("q", [getattr(row, name) for row in rows]) for name in COLUMNS if name != "hottest"},
                   hottest=array("f", [row.hottest for row in rows]), histogram=_added(histograms))


def joined(parts: Iterable[Winters]) -> Winters:
    """Parts of one run together, in the order of their winters whatever order they came in."""
    parts = sorted((part for part in parts if len(part)), key=lambda part: part.number[0])
    columns = {name: array("q", [value for part in parts for value in getattr(part, name)])
               for name in COLUMNS if name != "hottest"}
    hottest = array("f", [value for part in parts for value in part.hottest])
    return Winters(**columns, hottest=hottest, histogram=_added(part.histogram for part in parts))


def _added(histograms: Iterable[Sequence[int]]) -> array[int]:
    out = array("q", [0] * BINS)
    for each in histograms:
        for at, count in enumerate(each):
            out[at] += count
    return out


@dataclass(frozen=True, slots=True)
class Between:
    """A number that winters say, and the bounds of its 95 % interval."""
    likely: float
    least: float
    most: float


def share_of(seen: int, winters: int, confidence: float = CONFIDENCE) -> Between:
    """Share of winters in which something happens: exact bounds (Clopper and Pearson 1934). None seen still allows about 3 in the
    number of winters (the bound on one side), all seen likewise.

    Errors: ValueError without a winter."""
    if not 0 <= seen <= winters or winters < 1:
        raise ValueError(f"{seen} of {winters} winters")
    outside = 1 - confidence
    if seen == 0:
        return Between(0.0, 0.0, 1 - math.exp(math.log(outside) / winters))
    if seen == winters:
        return Between(1.0, math.exp(math.log(outside) / winters), 1.0)
    least = _falling(lambda share: 1 - _at_most(seen - 1, winters, share), outside / 2, rises=True)
    most = _falling(lambda share: _at_most(seen, winters, share), outside / 2, rises=False)
    return Between(seen / winters, least, most)


def _falling(tail: Callable[[float], float], wanted: float, rises: bool) -> float:
    low, high = 0.0, 1.0
    for _ in range(200):
        cut = (low + high) / 2
        if (tail(cut) < wanted) == rises:
            low = cut
        else:
            high = cut
        if high - low <= 1e-12 * high:
            break
    return (low + high) / 2


def _at_most(seen: int, winters: int, share: float) -> float:
    """Chance of at most so many: the terms from the greatest downwards, until they no longer count."""
    if share <= 0.0:
        return 1.0
    if share >= 1.0:
        return 1.0 if seen >= winters else 0.0
    start = min(seen, math.floor((winters + 1) * share))
    odds, terms = share / (1 - share), list[float]()
    log_term = (math.lgamma(winters + 1) - math.lgamma(start + 1) - math.lgamma(winters - start + 1)
                + start * math.log(share) + (winters - start) * math.log1p(-share))
    term = math.exp(log_term)
    down = term
    for k in range(start, -1, -1):
        terms.append(down)
        down *= k / ((winters - k + 1) * odds)
        if down < 1e-18 * term:
            break
    up = term
    for k in range(start + 1, seen + 1):
        up *= (winters - k + 1) * odds / k
        terms.append(up)
        if up < 1e-18 * term:
            break
    return min(math.fsum(terms), 1.0)


def middle(values: Sequence[float]) -> Between:
    """Mean over winters, and 1.96 standard errors either side. It is for what differs from winter to winter: of what is nought in
    most of them ask `rare_mean`. Errors: ValueError without a winter."""
    count = len(values)
    if not count:
        raise ValueError("no winter")
    mean = math.fsum(values) / count
    if count == 1:
        return Between(mean, -math.inf, math.inf)
    spread = math.sqrt(math.fsum((each - mean) ** 2 for each in values) / (count - 1) / count)
    return Between(mean, mean - 1.96 * spread, mean + 1.96 * spread)


def rare_mean(values: Sequence[float]) -> Between:
    """Mean of what most winters have none of. With fewer than FEW that have any no top is told: those that were not lived may
    hold any amount, and nothing that was seen says how much. Errors: ValueError without a winter."""
    mean = middle(values)
    if len([each for each in values if each]) >= FEW:
        return Between(mean.likely, max(mean.least, 0.0), mean.most)
    return Between(mean.likely, 0.0, math.inf)


def quantile(values: Sequence[float], share: float) -> Between:
    """The value that this share of winters stays at or below, its bounds two values in order such that 95 % of samples hold it
    between them (binomial); where no value is far enough out, infinity.

    Errors: ValueError without a winter or outside 0 to 1."""
    count = len(values)
    if not count or not 0 < share < 1:
        raise ValueError("a share between 0 and 1 of at least one winter")
    ordered, outside = sorted(values), (1 - CONFIDENCE) / 2
    low = _ranked(count, share, outside)
    high = _ranked(count, share, 1 - outside) + 1
    at = min(math.ceil(count * share), count) - 1
    return Between(ordered[at], ordered[low - 1] if low else -math.inf, ordered[high - 1] if high <= count else math.inf)


def _ranked(count: int, share: float, chance: float) -> int:
    """The greatest rank k with at most this chance of fewer than k below it."""
    low, high = 0, count + 1
    while high - low > 1:
        cut = (low + high) // 2
        if _at_most(cut - 1, count, share) <= chance:
            low = cut
        else:
            high = cut
    return low


def highest_first(winters: Winters, how_many: int) -> list[Winter]:
    """The winters whose highest minute was highest, to be drawn again from the seed."""
    order = sorted(range(len(winters)), key=lambda at: (-winters.top_w[at], winters.number[at]))
    return [winters[at] for at in order[:how_many]]
