"""The tables as a search wants them: for each kind of cable and method sorted columns of numbers; for devices, ladders."""
from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from spareway.design.catalogue import Catalogue, Offered
from spareway.design.route import RouteDesign, settled
from spareway.fact import Fact, unknown
from spareway.job.types import Cable
from spareway.physics import fault
from spareway.tables import Books, NoRow, look_up, rows

__all__ = ["Columns", "Ladder", "Rung", "columns", "ladders"]


_Floats = tuple[float, ...]
# sizes, ratings a stretch, minus the drop, minus R1+R2 and the energy withstood with the largest protective conductor, and
# whether a line is made with more than one of these
_Sought = tuple[_Floats, tuple[_Floats, ...], _Floats, _Floats, _Floats, bool]


@dataclass(frozen=True, slots=True)
class Columns:
    """A kind of cable along the stretches of a route, one entry a line conductor, smallest first.

    it_a: one column a stretch; the others are the line's own, and those of its protective conductors, smallest first.
    sought: what a search halves, which only rises with the size."""
    kind: str
    line_mm2: tuple[float, ...]
    it_a: tuple[tuple[float, ...], ...]
    mv_per_a_m: tuple[float, ...]
    r1_mohm_per_m: tuple[float, ...]
    cpc_mm2: tuple[tuple[float, ...], ...]
    r2_mohm_per_m: tuple[tuple[float, ...], ...]
    k2s2_a2s: tuple[tuple[float, ...], ...]
    sought: _Sought


@lru_cache(256)
def columns(kind: str, methods: tuple[str, ...], insulation_c: float | None, pairs: tuple[tuple[float, float], ...], k: float,
            bs7671: str, nation: str) -> Columns:
    """The columns of a kind of cable laid by these methods, one a stretch. Empty where no table holds for one of them."""
    books = Books(bs7671=bs7671, nation=nation)
    found = [row for line in dict.fromkeys(line for line, _ in pairs)
             if (row := _row(kind, methods, insulation_c, line, [c for at, c in pairs if at == line], books)) is not None]
    lines, its, mvs, r1s, cpcs, r2s = zip(*found, strict=True) if found else ((), (), (), (), (), ())
    withstand = tuple(tuple(k ** 2 * size ** 2 for size in sizes) for sizes in cpcs)
    it_a = tuple(zip(*its, strict=True)) or tuple(() for _ in methods)
    sought = (lines, it_a, tuple(-mv for mv in mvs), tuple(-(r1 + r2[-1]) for r1, r2 in zip(r1s, r2s, strict=True)),
              tuple(each[-1] for each in withstand), any(len(sizes) > 1 for sizes in cpcs))
    return Columns(kind, lines, it_a, mvs, r1s, cpcs, r2s, withstand, sought)


_Row = tuple[float, tuple[float, ...], float, float, tuple[float, ...], tuple[float, ...]]


def _row(kind: str, methods: Sequence[str], insulation_c: float | None, line: float, sizes: Sequence[float],
         books: Books) -> _Row | None:
    """One line conductor by every method, read as a circuit reads it; None where a table has no row for it."""
    try:
        at = [_route(kind, method, insulation_c, line, books) for method in methods]
        it = [route.stretches[0].it_a.amount for route in at]
        mv, r1 = at[0].mv_per_a_m.amount, _ohm(line, books)
        r2 = tuple(_ohm(size, books) for size in sizes)
    except NoRow:
        return None
    return None if None in it or mv is None else (line, tuple(float(a) for a in it if a is not None), mv, r1, tuple(sizes), r2)


def _route(kind: str, method: str, insulation_c: float | None, line: float, books: Books) -> RouteDesign:
    laid = replace(_blank(kind), method=settled("method", method, "asked"))
    if insulation_c is not None:
        laid = replace(laid, insulation_c=settled("insulation_c", insulation_c, "asked"))
    return RouteDesign(laid, settled("size_mm2", line, "tried"), books, "", settled("cc", 1.0, "tried"))


def _blank(kind: str) -> Cable:
    from spareway.job.fields import specs
    facts: dict[str, Any] = {spec.name: unknown(spec.quantity) for spec in specs(Cable) if spec.is_fact}
    return Cable(kind=kind, **facts)


def _ohm(size_mm2: float, books: Books) -> float:
    ohm: float = look_up("conductor_resistance", books, settled("size_mm2", size_mm2, "tried")).value
    return ohm


# ---- devices --------------------------------------------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class Rung:
    """A device on offer with what the tables say of it.

    rank: its place where all else is equal; class_a2s: the most its class lets through, infinite where that is not said
    opens: of a fuse, (current, time) that opens it, least current first
    prompt: with a residual part of a rating at which none is made with a delay"""
    offered: Offered
    rating_a: float
    rank: int
    ia_a: float
    zs_limit_ohm: float
    class_a2s: float
    opens: tuple[tuple[float, float], ...] = ()
    prompt: bool = False


@dataclass(frozen=True, slots=True)
class Ladder:
    """Devices alike but for their rating, smallest first: a larger one asks as much of a cable as a smaller, or more."""
    rungs: tuple[Rung, ...]
    rating_a: tuple[float, ...]


def ladders(catalogue: Catalogue, u0_v: float, cmin: float, clear: Fact[float], system: str, books: Books) -> tuple[Ladder, ...]:
    """The devices that may protect a circuit that is to be cleared in this time; on TT only those with a residual part."""
    kept: dict[tuple[object, ...], list[Rung]] = {}
    ranks = _ranks(catalogue.devices)
    for each in catalogue.devices:
        rung = _rung(each, ranks[each], u0_v, cmin, clear, system, books)
        if rung is not None:
            alike = (each.kind, each.curve, each.fuse, each.fault_rating_ka, each.residual_ma, each.let_through_a2s > 0)
            kept.setdefault(alike, []).append(rung)
    return tuple(each for rungs in kept.values() for each in _rising(sorted(rungs, key=lambda rung: (rung.rating_a, rung.rank))))


def _ranks(devices: Sequence[Offered]) -> dict[Offered, int]:
    """By price, those without one last; then as the catalogue lists them."""
    order = sorted(range(len(devices)), key=lambda i: (devices[i].price is None, devices[i].price or 0, i))
    return {devices[i]: rank for rank, i in enumerate(order)}


def _rung(offered: Offered, rank: int, u0_v: float, cmin: float, clear: Fact[float], system: str, books: Books) -> Rung | None:
    """None for a device that cannot clear the fault here, or of which no table says at what current it opens."""
    if system == "TT" and not offered.has_residual:
        return None
    said = _tabulated(offered.curve, offered.fuse, offered.rating_a, clear.value, offered.residual_ma if system == "TT" else None,
                      books.bs7671, books.nation)
    if said is None:
        return None
    ia_a, electrode_ohm, opens = said
    limit = fault.zs_limit_ohm(cmin, u0_v, ia_a) if electrode_ohm is None else electrode_ohm
    bound = _class_a2s(offered.curve, offered.fault_rating_ka, offered.energy_class, offered.rating_a, books.bs7671, books.nation)
    never = look_up("thresholds", books, settled("case", "never_delayed_ma", "a residual part")).amount or 0.0
    prompt = offered.has_residual and 0 < offered.residual_ma <= never
    return Rung(offered, offered.rating_a, rank, ia_a, limit, bound, opens, prompt)


@lru_cache(1024)
def _tabulated(curve: str, fuse: str, rating_a: float, clear_s: float, residual_ma: float | None, bs7671: str,
               nation: str) -> tuple[float, float | None, tuple[tuple[float, float], ...]] | None:
    """The current that opens a device in time, the loop its residual part allows where one is asked, and what opens a fuse."""
    books, rating = Books(bs7671=bs7671, nation=nation), settled("rating_a", rating_a, "on offer")
    opens: tuple[tuple[float, float], ...] = ()
    limit: float | None = None
    try:
        if fuse:
            ia, opens = _fuse_a(fuse, rating, clear_s, books), _opens(fuse, rating, books)
        else:
            ia = look_up("ia_breaker", books, settled("curve", curve, "on offer"), rating).amount
        if residual_ma is not None:
            limit = look_up("zs_residual", books, settled("residual_ma", residual_ma, "on offer")).amount
    except NoRow:
        return None
    return None if ia is None or residual_ma is not None and limit is None else (ia, limit, opens)


def _fuse_a(fuse: str, rating: Fact[float], clear_s: float, books: Books) -> float | None:
    ia: float | None = look_up("ia_fuse", books, settled("fuse", fuse, "on offer"), rating,
                               settled("clear_s", clear_s, "tabulated")).amount
    return ia


def _opens(fuse: str, rating: Fact[float], books: Books) -> tuple[tuple[float, float], ...]:
    """Each tabulated current that opens a fuse, and the time in which it does."""
    found = []
    for time_s in sorted({row["clear_s"] for row in rows("ia_fuse", books)}):
        try:
            ia = _fuse_a(fuse, rating, time_s, books)
        except NoRow:
            continue
        found += [(ia, float(time_s))] if ia is not None else []
    return tuple(sorted(found))


@lru_cache(1024)
def _class_a2s(curve: str, icn_ka: float, energy_class: float, rating_a: float, bs7671: str, nation: str) -> float:
    """The most that a breaker of its class may let through up to its rated short-circuit capacity."""
    if not (curve and energy_class):
        return math.inf
    keys = (settled("curve", curve, "on offer"), settled("icn_a", icn_ka * 1000, "on offer"),
            settled("energy_class", energy_class, "on offer"), settled("rating_a", rating_a, "on offer"))
    try:
        bound: float | None = look_up("let_through_class", Books(bs7671=bs7671, nation=nation), *keys).amount
    except NoRow:                                            # the standard's table ends at 32 A, and has no type D
        return math.inf
    return math.inf if bound is None else bound


def _rising(rungs: Sequence[Rung]) -> Iterator[Ladder]:
    """In as few ladders as keep the promise: a maker's let-through may fall from one rating to the next."""
    start = 0
    for i in range(1, len(rungs) + 1):
        if i == len(rungs) or not _asks_more(rungs[i], rungs[i - 1]):
            part = tuple(rungs[start:i])
            yield Ladder(part, tuple(rung.rating_a for rung in part))
            start = i


def _asks_more(larger: Rung, smaller: Rung) -> bool:
    """Whether the larger device is harder on a cable in every respect. Fuses stand each by itself: their times differ."""
    return (larger.rating_a > smaller.rating_a and not larger.opens and not smaller.opens and larger.ia_a >= smaller.ia_a
            and larger.zs_limit_ohm <= smaller.zs_limit_ohm and larger.class_a2s >= smaller.class_a2s
            and larger.offered.let_through_a2s >= smaller.offered.let_through_a2s)
