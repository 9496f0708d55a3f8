"""Circuits and devices drawn at random, so that each test decides a share of them; the same circuit as the search wants it."""
from __future__ import annotations

import random
from dataclasses import replace
from decimal import Decimal

from spareway.design.catalogue import Catalogue, Offered, generic
from spareway.design.columns import Columns, Ladder, columns, ladders
from spareway.design.route import HOLDS_INSULATION, settled
from spareway.design.search import Asked
from spareway.tables import Books, look_up
from tests.design.brute import CMIN, HOT, U0_V, Device, K, Lying, Wanted

BOOKS = Books(bs7671="2018+A4", nation="England")
METHODS = {"t&e": ("C", "C", "A", "B", "100", "101", "102", "103"), "singles": ("A", "B", "C"), "armoured": ("C", "D", "E"),
           "other": ("A", "B", "C", "E")}
RATINGS_A = (6, 10, 16, 20, 25, 32, 40, 50)
FUSES_A = (6, 10, 16, 20, 25, 32)


def wanted(r: random.Random) -> Wanted:
    """A circuit that might be wanted: long and light, short and heavy, warm, bunched, lagged, near a transformer or far from one.

    Three in ten are distribution circuits behind a fuse at the end of a long line, where the far end runs hottest."""
    if r.random() < 0.3:
        return Wanted(r.choice((9, 15, 18, 24, 30)), r.uniform(2, 25), "singles", generic().cables["singles"],
                      (Lying(r.choice("BC"), 30, 1, 0),), r.uniform(0.6, 2.4), r.uniform(0.5, 5), 0, 0.5, U0_V * 0.08, 1.5, False,
                      5, True)
    kind = r.choice(("t&e", "t&e", "singles", "armoured", "other"))
    long = r.random() < 0.4
    ring = kind == "t&e" and r.random() < 0.1
    load = 32.0 if ring else r.choice((1.5, 3, 5, 8, 10, 13, 15, 16, 20, 26, 32, 40, 45)) * r.choice((1, r.uniform(0.6, 1)))
    route = tuple(Lying(r.choice(METHODS[kind]), r.choice((25, 30, 30, 30, 34, 40, 47)), r.choice((1, 1, 1, 2, 3, 6, 13)),
                        r.choice((0, 0, 0, 50, 180, 600))) for _ in range(r.choice((1, 1, 1, 2, 3))))
    ze = r.choice((0.05, 0.2, 0.34, 0.8, r.uniform(0.02, 1.2), r.uniform(1, 3)))
    return Wanted(load, r.uniform(25, 140) if long else r.uniform(2, 40), kind, generic().cables[kind], route, ze, r.uniform(0.5, 7),
                  r.choice((0, 16)), r.choice((0, r.uniform(0, 3))), U0_V * r.choice((0.03, 0.05)), r.choice((1, 1.5)), ring,
                  r.choice((0.4, 5)), r.random() < 0.6)


def devices(r: random.Random, want: Wanted) -> list[Device]:
    """What a firm may have on its shelf: breakers of one or two curves, with or without a maker's figure, or fuses; some priced."""
    found = []
    if want.drop_v == U0_V * 0.08:
        return [Device("", rating, 16, 0, r.uniform(500, 9_000), "bs88-2", None) for rating in FUSES_A]
    for _ in range(r.choice((1, 1, 1, 2))):
        icn, curve, priced = r.choice((6, 6, 10)), r.choice("BCDD"), r.random() < 0.5
        told, class_3 = r.random() < 0.4, r.choice((0, 3))
        for rating in (32,) if want.ring else RATINGS_A:
            let = r.choice((None, r.uniform(5_000, 60_000))) if told else None
            found.append(Device(curve, rating, icn, class_3, let, "", round(r.uniform(5, 40), 2) if priced else None))
    if r.random() < 0.1 and not want.ring:
        found += [Device("", rating, 16, 0, r.choice((None, r.uniform(500, 9_000))), "bs88-2", None) for rating in FUSES_A]
    return found


def as_asked(want: Wanted) -> Asked:
    """The same circuit for the search, its factors read off the tables by the engine's own way."""
    laid = []
    for part in want.route:
        ca = look_up("ca", BOOKS, settled("insulation", "70C thermoplastic", ""), settled("ambient_c", float(part.ambient_c), "")).value
        cg = look_up("cg", BOOKS, settled("grouped_n", part.grouped_n, "")).value
        held = part.method in HOLDS_INSULATION or not part.insulated_mm
        laid.append((ca, cg, 1.0 if held else look_up("ci", BOOKS, settled("in_insulation_mm", part.insulated_mm, "")).value, 1.0))
    return Asked(want.load_a, want.length_m, tuple(laid), want.before_v, want.drop_v, want.ze_ohm, want.ze_ohm, want.fault_ka, U0_V,
                 CMIN, HOT, 0.1, want.least_mm2, want.board_ka, share=0.25 if want.ring else 1.0, leg_a=20.0 if want.ring else 0.0)


def as_columns(want: Wanted) -> Columns:
    return columns(want.kind, tuple(part.method for part in want.route), None, want.pairs, K, BOOKS.bs7671, BOOKS.nation)


def as_ladders(want: Wanted, shelf: list[Device]) -> tuple[Ladder, ...]:
    offered = tuple(Offered("cartridge" if d.fuse else "mcb", float(d.rating_a), d.curve, 0.0, "", d.icn_ka, d.energy_class,
                            d.let_through_a2s or 0.0, d.fuse, None if d.price is None else Decimal(str(d.price))) for d in shelf)
    return ladders(Catalogue(offered, {}), U0_V, CMIN, settled("clear_s", want.clear_s, ""), "TN", BOOKS)


# ---- the same with one thing worse ----------------------------------------------------------------------------------
def warmer(asked: Asked, by: float) -> Asked:
    """The same with the first stretch rated less."""
    (ca, *others), *rest = asked.laid
    return replace(asked, laid=((ca * by, *others), *rest))


def longer(asked: Asked, by: float) -> Asked:
    return replace(asked, length_m=asked.length_m * by)


def bunched(asked: Asked, by: float) -> Asked:
    """The same with every stretch rated less."""
    return replace(asked, laid=tuple((ca, cg * by, *others) for ca, cg, *others in asked.laid))


def farther(asked: Asked, by: float) -> Asked:
    """A higher Ze with the fault level held: what was read stays as it was."""
    return replace(asked, ze_ohm=asked.ze_ohm * by)
