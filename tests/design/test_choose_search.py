"""The search of cable and device on bare numbers against the whole space, and what must never make a cable smaller."""
from __future__ import annotations

import random
from collections import Counter

from spareway.design.search import Asked, decided_by, least
from tests.design import brute, drawn

CIRCUITS, PAIRS = 2000, 500
DECIDE = ("rating", "drop", "loop", "near", "far", "device")


def test_the_search_equals_the_whole_space() -> None:
    """Two thousand circuits drawn at random have the answer of a search that tries every pair and shares no code; each of the
    tests decides at least one in twenty of those that have one."""
    r, decided, answered = random.Random(5), Counter[str](), 0
    for number in range(CIRCUITS):
        want = drawn.wanted(r)
        shelf = drawn.devices(r, want)
        asked, ladders = drawn.as_asked(want), drawn.as_ladders(want, shelf)
        found, truth = least(drawn.as_columns(want), ladders, asked, want.settled), brute.least(want, shelf)
        if truth is None or found is None:
            assert [found, truth] == [None, None], (number, want, shelf)
            continue
        line, cpc, place = truth
        assert (found.line_mm2, found.cpc_mm2) == (line, cpc), (number, want, shelf, found.key, truth)
        device = shelf[place]
        assert (found.rung.offered.curve, found.rung.rating_a, found.rung.offered.fuse) == (device.curve, device.rating_a, device.fuse)
        assert (found.rung.offered.fault_rating_ka, found.rung.offered.let_through_a2s) == (device.icn_ka, device.let_through_a2s or 0)
        answered += 1
        decided[decided_by(found, asked, want.settled)] += 1
    assert answered >= CIRCUITS // 2
    assert {name: decided[name] / answered for name in DECIDE if decided[name] < 0.05 * answered} == {}


def test_the_bound_test_is_one_that_the_smaller_cable_breaks() -> None:
    """The test named as the one that decides is among those that the next smaller cable does not stand by the plain sums."""
    r, looked = random.Random(6), 0
    while looked < 300:
        want = drawn.wanted(r)
        shelf = drawn.devices(r, want)
        asked, columns = drawn.as_asked(want), drawn.as_columns(want)
        found = least(columns, drawn.as_ladders(want, shelf), asked, want.settled)
        if found is None or found.i == found.j == 0:
            continue
        looked += 1
        line = columns.line_mm2[found.i if found.j else found.i - 1]
        cpc = columns.cpc_mm2[found.i][found.j - 1] if found.j else columns.cpc_mm2[found.i - 1][-1]
        offered = found.rung.offered
        device = next(d for d in shelf if (d.curve, d.rating_a, d.fuse, d.icn_ka, d.let_through_a2s or 0.0) == (
            offered.curve, offered.rating_a, offered.fuse, offered.fault_rating_ka, offered.let_through_a2s))
        assert decided_by(found, asked, want.settled) in set(brute.broken(want, device, line, cpc))


def harder(r: random.Random, asked: Asked) -> Asked:
    """One thing worse: longer, hotter, more bunched, or farther from the source with the fault level held."""
    change = r.choice((drawn.longer, drawn.warmer, drawn.bunched, drawn.farther))
    by = r.uniform(1, 2)
    return change(asked, by if change in (drawn.longer, drawn.farther) else 1 / by)


def test_worse_is_never_smaller() -> None:
    """Longer, hotter, more bunched, or a higher Ze with the fault level held: never a smaller cable, on five hundred pairs."""
    r, both = random.Random(7), 0
    while both < PAIRS:
        want = drawn.wanted(r)
        columns, ladders, asked = drawn.as_columns(want), drawn.as_ladders(want, drawn.devices(r, want)), drawn.as_asked(want)
        before, after = (least(columns, ladders, each, want.settled) for each in (asked, harder(r, asked)))
        if before is None:
            assert after is None, want
        elif after is not None:
            both += 1
            assert after.line_mm2 > before.line_mm2 or (after.line_mm2, after.cpc_mm2) >= (before.line_mm2, before.cpc_mm2), want


def test_columns_only_rise() -> None:
    """What the search halves is sorted: a larger conductor carries as much or more, loses as much or less, withstands as much."""
    r = random.Random(8)
    for _ in range(60):
        columns = drawn.as_columns(drawn.wanted(r))
        assert columns.line_mm2
        sizes, ratings, *rest, _ = columns.sought
        for column in (sizes, *ratings, *rest, *columns.cpc_mm2):
            assert list(column) == sorted(column)
