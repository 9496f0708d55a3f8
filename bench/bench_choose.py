"""The least cable and device: the bare search against every pair tried, and a board of twenty with its bundles.

The same circuits and the same answers, compared before anything is timed; times of this process, since other work may run beside.
"""
from __future__ import annotations

import gc
import random
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from time import process_time

from spareway.design.catalogue import generic
from spareway.design.columns import Columns, Rung, columns
from spareway.design.design import Design
from spareway.design.search import Asked, least, least_of, near_need_a2s
from spareway.design.turns import turns
from spareway.design.whole_board import settle, whole_board
from spareway.folder import read_folder
from spareway.job.job import Installation, read_job
from tests.design import brute, drawn
from tests.design.test_choose_board import FRACTION, cg, member

WEIR = Path(__file__).parents[1] / "examples" / "weir-cottage"
EACH = {"t&e": ("C", "100", "101", "102", "103", "A", "B", "E"), "other": ("A", "B", "C", "E"), "singles": ("A", "B", "C"),
        "armoured": ("C", "E", "D")}
SEARCH_US, RATIO, NUMBERS_MS, WHOLE_MS = 50.0, 15.0, 20.0, 500.0
CIRCUITS, TRIED, TIMED = 200, 6, 20


def best_s(call: Callable[[], object], times: int = 5) -> float:
    """The quickest of several runs, in seconds of this process, with the cyclic collector off."""
    call()
    gc.disable()
    found = []
    for _ in range(times):
        start = process_time()
        call()
        found.append(process_time() - start)
    gc.enable()
    return min(found)


def families() -> list[Columns]:
    return [columns(kind, (method,), None, generic().cables[kind], brute.K, drawn.BOOKS.bs7671, drawn.BOOKS.nation)
            for kind, methods in EACH.items() for method in methods]


def search() -> list[str]:
    """All kinds of cable by all methods behind breakers of types B and C, circuit by circuit."""
    r, every = random.Random(2), families()
    wants = [replace(drawn.wanted(r), clear_s=0.4, ring=False, settled=bool(i % 2)) for i in range(CIRCUITS)]
    wants = [replace(want, route=(brute.Lying("C", 30, r.choice((1, 2, 3)), 0),)) for want in wants]
    shelf = [brute.Device(curve, rating, 6, 3, None, "", None) for curve in "BC" for rating in drawn.RATINGS_A]
    ladders, asked = drawn.as_ladders(wants[0], shelf), [drawn.as_asked(want) for want in wants]
    for want, numbers in zip(wants[:TRIED], asked, strict=False):
        for each, (kind, method) in zip(every, [(k, m) for k, ms in EACH.items() for m in ms], strict=True):
            found, truth = least(each, ladders, numbers, want.settled), brute.least(of_kind(want, kind, method), shelf)
            plain = plainly(each, [rung for ladder in ladders for rung in ladder.rungs], numbers, want.settled)
            if (found and found.key[:2]) != (truth and truth[:2]) or numbers.fault_ka <= 6 and plain != (truth and truth[:2]):
                raise SystemExit(f"the search and the whole space differ for {kind} by {method}: {want}")
    ours = best_s(lambda: [least_of(every, ladders, a, w.settled) for a, w in zip(asked, wants, strict=True)]) / CIRCUITS
    rungs = [rung for ladder in ladders for rung in ladder.rungs]
    some = list(zip(asked, wants, strict=True))[:TIMED]
    theirs = best_s(lambda: [plainly(each, rungs, a, w.settled) for a, w in some for each in every], 3) / TIMED
    one = best_s(lambda: [least_of(every[:1], ladders, a, w.settled) for a, w in zip(asked, wants, strict=True)]) / CIRCUITS
    return [f"{len(every)} kinds and methods, a circuit: {against(ours * 1e6, SEARCH_US, ' us')}",
            f"one kind and method, a circuit: {one * 1e6:.1f} us",
            f"every pair tried: {theirs * 1e6:,.0f} us, {theirs / ours:,.0f} times as long (at least {RATIO:g})"]


def plainly(columns: Columns, rungs: Sequence[Rung], asked: Asked, settled: bool) -> tuple[float, float] | None:
    """Every pair and device tried in a plain loop over the same columns: what the bisections save."""
    best = None
    for rung in rungs:
        if rung.rating_a < asked.load_a:
            continue
        need = near_need_a2s(rung, asked, settled)
        for i, line in enumerate(columns.line_mm2):
            for j, cpc in enumerate(columns.cpc_mm2[i]):
                ca, cg_, ci, cc = asked.laid[0]
                drop_v = asked.drop_before_v + columns.mv_per_a_m[i] * asked.load_a * asked.length_m / 1000
                r12 = (columns.r1_mohm_per_m[i] + columns.r2_mohm_per_m[i][j]) * asked.length_m / 1000
                iz = columns.it_a[0][i] * ca * cg_ * ci * cc
                if (line >= asked.least_mm2 and drop_v <= asked.drop_limit_v and iz >= rung.rating_a
                        and asked.ze_ohm + asked.hot_factor * r12 <= rung.zs_limit_ohm and columns.k2s2_a2s[i][j] >= need):
                    key = (line, cpc, rung.rating_a, rung.rank)
                    best = key if best is None or key < best else best
    return best and best[:2]


def of_kind(want: brute.Wanted, kind: str, method: str) -> brute.Wanted:
    return replace(want, kind=kind, pairs=generic().cables[kind], route=(replace(want.route[0], method=method),))


def twenty() -> Installation:
    """Weir Cottage with twenty circuits more, in four bundles."""
    r, lines = random.Random(9), ["[equipment.board]", 'ways_n = { unknown = "as many as are tried" }']
    for i in range(20):
        lines += [f"[circuits.n{i}]", f'way = "board.{i + 20}"', 'feeds = "appliance"',
                  f"load_w = {r.choice((200, 1500, 3000, 4400, 7200))}",
                  'device = { kind = "rcbo-2p", curve = "B", residual_ma = 30, residual_type = "A" }', f"[circuits.n{i}.cable]",
                  'kind = "t&e"', f'stretches.up = {{ length_m = {r.randint(3, 20)}, method = "C", bundle = "{"abcd"[i % 4]}" }}',
                  f'stretches.on = {{ length_m = {r.randint(2, 12)}, method = "{r.choice(("C", "A", "100"))}" }}']
    return read_job(read_folder(WEIR)).at(None).altered("\n".join(lines))


def whole() -> list[str]:
    """Twenty circuits together: on numbers, and with every reason and every turn."""
    r = random.Random(3)
    members = [member(f"n{i}", r.choice((1, 6.5, 13, 19, 31)), r.randint(5, 30), ("C", "A"), ("abcd"[i % 4], ""))
               for i in range(20)]
    numbers = best_s(lambda: settle(members, {"a": 1}, cg, FRACTION)) * 1000
    inst, names = twenty(), [f"n{i}" for i in range(20)]

    def all_of_it() -> int:
        design = Design(inst)
        planned = whole_board(design, names)
        return len([turns(choice.fact) for choice in planned.choices.values()])
    return [f"twenty circuits in four bundles, on numbers: {against(numbers, NUMBERS_MS, ' ms')}",
            f"the same with every reason and turn: {against(best_s(all_of_it, 3) * 1000, WHOLE_MS, ' ms')}"]


def against(value: float, at_most: float, unit: str) -> str:
    return f"{value:.1f}{unit} ({'within' if value <= at_most else 'OVER'} {at_most:g})"


def run() -> list[str]:
    return [*search(), *whole()]
