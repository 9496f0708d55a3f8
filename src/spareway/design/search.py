"""The least cable and device that conform, on bare numbers.

Every test asks less of a larger conductor, so each gives by bisection a smallest one and the largest of these decides; and a
larger device of a ladder never lets a smaller cable pass, so of each ladder only the first that carries the load is looked at.
What comes first is least line conductor, then protective conductor, then rating, then price. Exact: tests compare it with a
search of the whole space that shares no code with it. Decision 016 says what counts as conforming at the near end.
"""
from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from spareway.design.columns import Columns, Ladder, Rung

__all__ = ["TESTS", "Asked", "Found", "decided_by", "least", "least_of"]

TESTS = ("size", "drop", "rating", "device", "highest", "loop", "near", "far")
JUST_UNDER = 1 - 1e-12                                      # a bisection starts below; near a tie the sum itself decides
CLEAR = 1 - 1e-9                                            # what lies farther from its limit than this is no tie


@dataclass(frozen=True, slots=True)
class Asked:
    """What a circuit asks, in numbers. Nothing here depends on the size of its cable or on its device.

    laid: the factors of each stretch in the order of its formula: Ca, Cg, those of its surroundings, Cc last
    share: 1 for a radial, a quarter for a ring
    leg_a: what each leg of a ring must carry; nought of a radial, which carries what its device lets pass
    ze_read_ohm: the loop as it was read, which the greatest fault current rests on; infinite where it was not
    fault_ka: the greatest fault current; nought where it is not known    bound_s: the time in which a breaker opens at once
    board_ka: what the board was tested for as a whole; nought where nothing is recorded
    residual_s: the longest that a residual part without delay may take; nought where that is not to be counted on
    highest_a: what resistive appliances draw at the highest voltage of the network, which a cable must carry too"""
    load_a: float
    length_m: float
    laid: tuple[tuple[float, ...], ...]
    drop_before_v: float
    drop_limit_v: float
    ze_ohm: float
    ze_read_ohm: float
    fault_ka: float
    u0_v: float
    cmin: float
    hot_factor: float
    bound_s: float
    least_mm2: float
    board_ka: float = 0.0
    residual_s: float = 0.0
    highest_a: float = 0.0
    share: float = 1.0
    leg_a: float = 0.0


class Found(NamedTuple):
    """A line of the columns, one of its protective conductors, and a device; a tuple, for it is made often."""
    columns: Columns
    i: int
    j: int
    rung: Rung

    @property
    def key(self) -> tuple[float, float, float, int]:
        """By which the least is known."""
        return self.line_mm2, self.cpc_mm2, self.rung.rating_a, self.rung.rank

    @property
    def line_mm2(self) -> float:
        return self.columns.line_mm2[self.i]

    @property
    def cpc_mm2(self) -> float:
        return self.columns.cpc_mm2[self.i][self.j]


def least(columns: Columns, ladders: Sequence[Ladder], asked: Asked, settled: bool = False) -> Found | None:
    """The least line, protective conductor and device of one kind of cable; None where none conforms. As `least_of`."""
    return least_of((columns,), ladders, asked, settled)[0]


def least_of(families: Sequence[Columns], ladders: Sequence[Ladder], asked: Asked, settled: bool = False) -> list[Found | None]:
    """The same of each of several kinds of cable or ways of laying it.

    settled: leave nothing open. Otherwise what is bounded and not known, the energy at the near and the far end and a breaking
    capacity that the board's maker may vouch for, refuses nothing."""
    behind = _undominated([each for ladder in ladders if (each := _behind(ladder, asked, settled)) is not None])
    left_v, per_mv = asked.drop_limit_v - asked.drop_before_v, asked.load_a * asked.length_m * asked.share
    if left_v < 0 or not behind:
        return [None] * len(families)
    less_mv = -left_v * 1000 / per_mv / JUST_UNDER if per_mv > 0 else -math.inf
    return [_least(columns, behind, asked, less_mv, settled) for columns in families]


_Behind = tuple[Rung, float, float, list[float]]            # a device, and what it asks: energy withstood, less R1+R2, ratings


def _behind(ladder: Ladder, asked: Asked, settled: bool) -> _Behind | None:
    """The first device of a ladder that carries the load, and what a cable behind it must have at least."""
    at = bisect_left(ladder.rating_a, asked.load_a)
    if at == len(ladder.rungs):
        return None
    rung = ladder.rungs[at]
    need, left_ohm = near_need_a2s(rung, asked, settled), rung.zs_limit_ohm - asked.ze_ohm
    if left_ohm < 0 or need == math.inf or not _breaks(rung, asked, settled):
        return None
    per_ohm = asked.hot_factor * asked.length_m * asked.share
    its = [max((asked.leg_a or rung.rating_a) / math.prod(factors), asked.highest_a / math.prod(factors[:-1])) * JUST_UNDER
           for factors in asked.laid]
    return rung, need, -left_ohm * 1000 / per_ohm / JUST_UNDER if per_ohm > 0 else -math.inf, its


def _undominated(behind: Sequence[_Behind]) -> list[_Behind]:
    """Without the devices than which another is no larger, comes first and asks no more: a C16 beside a B16."""
    def before(one: _Behind, other: _Behind) -> bool:
        rung, need, less_r12, its = other
        return ((one[0].rating_a, one[0].rank) < (rung.rating_a, rung.rank) and not (one[0].opens or rung.opens)
                and one[1] <= need and one[2] <= less_r12 and one[3] <= its)
    return [each for each in behind if not any(before(one, each) for one in behind)]


def _breaks(rung: Rung, asked: Asked, settled: bool) -> bool:
    """Whether the device breaks the fault current; one that is not known, or that its board may be rated for, is left open."""
    alone = 0 < asked.fault_ka <= rung.offered.fault_rating_ka
    return alone or not settled and (not asked.fault_ka or asked.fault_ka <= asked.board_ka)


def _least(columns: Columns, behind: Sequence[_Behind], asked: Asked, less_mv: float, settled: bool) -> Found | None:
    lines, its, drops, loops, heats, parted = columns.sought
    n, best = len(lines), None
    start = bisect_left(lines, asked.least_mm2, bisect_left(drops, less_mv))
    for rung, need, less_r12, least_its in behind:
        at = bisect_left(its[0], least_its[0], bisect_left(loops, less_r12, bisect_left(heats, need, start)))
        for column, it in zip(its[1:], least_its[1:], strict=True) if len(its) > 1 else ():
            at = bisect_left(column, it, at)
        if at >= n or best is not None and at > best.i:
            continue
        tied = drops[at] <= less_mv * CLEAR or loops[at] <= less_r12 * CLEAR or bool(rung.opens) or \
            (its[0][at] * CLEAR <= least_its[0] if len(its) == 1 else _tied(its, least_its, at))
        found = _exactly(columns, at, need, rung, asked, settled) if tied else \
            Found(columns, at, _parted(columns, at, need, less_r12, rung, asked) if parted else 0, rung)
        if best is None or found is not None and found.key < best.key:
            best = found
    return best


def _tied(its: Sequence[Sequence[float]], least_its: Sequence[float], at: int) -> bool:
    return any(column[at] * CLEAR <= it for column, it in zip(its, least_its, strict=True))


def _parted(columns: Columns, i: int, need_a2s: float, less_r12: float, rung: Rung, asked: Asked) -> int:
    """The least protective conductor of a line whose largest one is known to do."""
    r1, sizes = columns.r1_mohm_per_m[i], columns.r2_mohm_per_m[i]
    j, last = bisect_left(columns.k2s2_a2s[i], need_a2s), len(sizes) - 1
    while j < last and -(r1 + sizes[j]) <= less_r12 * CLEAR and loop_ohm(columns, i, j, asked) > rung.zs_limit_ohm:
        j += 1
    return j


def _exactly(columns: Columns, at: int, need_a2s: float, rung: Rung, asked: Asked, settled: bool) -> Found | None:
    """From this line on, the first by the sums themselves, and its least protective conductor."""
    for i in range(at, len(columns.line_mm2)):
        if not (carries(columns, i, rung, asked) and _drops_little(columns, i, asked)):
            continue
        sizes = columns.k2s2_a2s[i]
        for j in range(bisect_left(sizes, need_a2s), len(sizes)):
            if loop_ohm(columns, i, j, asked) <= rung.zs_limit_ohm and \
                    not (settled and rung.opens and sizes[j] < far_fuse_a2s(columns, i, j, rung, asked)):
                return Found(columns, i, j, rung)
    return None


def _drops_little(columns: Columns, i: int, asked: Asked) -> bool:
    drop_v = columns.mv_per_a_m[i] * asked.load_a * asked.length_m * asked.share / 1000
    return math.fsum((asked.drop_before_v, drop_v)) <= asked.drop_limit_v


# ---- the tests, each by itself --------------------------------------------------------------------------------------
def carries(columns: Columns, i: int, rung: Rung, asked: Asked) -> bool:
    """Whether a line conductor carries what its device lets pass, or a leg of a ring its share, in every stretch; and what its
    appliances draw at the highest voltage, for which Cc, spare against overload, is not asked."""
    return _bears(columns, i, asked.leg_a or rung.rating_a, asked) and _bears_highest(columns, i, asked)


def _bears(columns: Columns, i: int, current_a: float, asked: Asked) -> bool:
    return all(math.prod((it[i], *factors)) >= current_a for it, factors in zip(columns.it_a, asked.laid, strict=True))


def _bears_highest(columns: Columns, i: int, asked: Asked) -> bool:
    return not asked.highest_a or \
        all(math.prod((it[i], *factors[:-1])) >= asked.highest_a for it, factors in zip(columns.it_a, asked.laid, strict=True))


def loop_ohm(columns: Columns, i: int, j: int, asked: Asked) -> float:
    """Zs with the cable at its working temperature."""
    r1 = columns.r1_mohm_per_m[i] * asked.length_m / 1000
    r2 = columns.r2_mohm_per_m[i][j] * asked.length_m / 1000
    return asked.ze_ohm + asked.hot_factor * ((r1 + r2) * asked.share)


def near_need_a2s(rung: Rung, asked: Asked, settled: bool) -> float:
    """What a protective conductor must withstand at the board: the maker's figure; else, to be settled, the lesser of what the
    class of the device allows and the fault current squared over the time in which it opens at once; infinite without any."""
    if rung.offered.let_through_a2s:
        return rung.offered.let_through_a2s
    if not settled:
        return 0.0
    near_a = asked.u0_v / asked.ze_read_ohm if asked.ze_read_ohm else math.inf
    if rung.opens or not 0 < near_a < math.inf:
        return math.inf
    if near_a < rung.ia_a:                                  # no bound of its own: the residual part ends it, as on TT
        return near_a ** 2 * asked.residual_s if rung.prompt and asked.residual_s else math.inf
    bound = near_a ** 2 * asked.bound_s
    return min(bound, rung.class_a2s) if near_a <= rung.offered.fault_rating_ka * 1000 else bound


def far_fuse_a2s(columns: Columns, i: int, j: int, rung: Rung, asked: Asked) -> float:
    """The most a fuse lets through at the far end, the fault at its least: what it takes at the next lower tabulated current.

    Range: the energy of a fuse falls as the current rises, as long as it takes more than a tenth of a second."""
    far_a = asked.cmin * asked.u0_v / loop_ohm(columns, i, j, asked)
    return next((ia ** 2 * time_s for ia, time_s in reversed(rung.opens) if ia <= far_a), math.inf)


def decided_by(found: Found, asked: Asked, settled: bool = False) -> str:
    """Which test refuses the next smaller cable behind the same device; `size` where it is the smallest there is."""
    columns, i, rung = found.columns, found.i, found.rung
    if found.j:
        need = near_need_a2s(rung, asked, settled)
        if columns.k2s2_a2s[i][found.j - 1] < need:
            return "near"
        return "loop" if loop_ohm(columns, i, found.j - 1, asked) > rung.zs_limit_ohm else "far"
    if not i or columns.line_mm2[i - 1] < asked.least_mm2:
        return "size"
    if not _drops_little(columns, i - 1, asked):
        return "drop"
    if not carries(columns, i - 1, rung, asked):
        if not _bears(columns, i - 1, asked.leg_a or asked.load_a, asked):
            return "rating"
        return "highest" if _bears(columns, i - 1, rung.rating_a, asked) else "device"
    if columns.k2s2_a2s[i - 1][-1] < near_need_a2s(rung, asked, settled):
        return "near"
    last = len(columns.cpc_mm2[i - 1]) - 1
    return "loop" if loop_ohm(columns, i - 1, last, asked) > rung.zs_limit_ohm else "far"
