"""The ladder of a fuse against the gates of its standard, by closed form and minute by minute; and against its own traps."""
from __future__ import annotations

import math
from dataclasses import replace

import pytest

from spareway.design.route import settled
from spareway.season.gates import Gates, gates_of
from spareway.season.home import Case, Home, Ladder, Season, Weather
from spareway.season.ladder import fitted
from spareway.season.minute import live
from spareway.season.steps import stepped
from spareway.tables import Books
from tests.season.homes import HOLDS, LADDER, OPENS
from tests.season.melting import heat_after, melts_after_s

BOOKS = Books("2018+A4")
RATINGS = (16, 20, 25, 32, 40, 50, 63, 80, 100, 125, 160)
BAND = 1.001                                    # gates are hit within 1 in 1000 of their time


def gates(fuse: str, rating_a: float) -> Gates:
    return gates_of(settled("fuse", fuse, "test"), settled("rating_a", rating_a, "test"), BOOKS)


@pytest.mark.parametrize("rating_a", RATINGS)
@pytest.mark.parametrize("between", [0.0, 0.25, 0.5, 1.0])
def test_every_gate_is_held_and_opened_at(rating_a: float, between: float) -> None:
    """BS EN 60269-1 Table 3 and the conventional currents, of every rating in our tables, by the closed form of a steady current."""
    of = gates("bs88-3", rating_a)
    ladder = of.ladder(between)
    assert ladder is not None
    assert math.fsum(ladder.share) == pytest.approx(1.0)
    for current_a, time_s in of.holds:
        assert melts_after_s(ladder, current_a) * BAND > time_s
    for current_a, time_s in of.opens:
        assert melts_after_s(ladder, current_a) < time_s * BAND


@pytest.mark.parametrize("between", [0.0, 0.5, 1.0])
def test_hold_and_open_currents_minute_by_minute(between: float) -> None:
    """80 A gG: 1.25 In for a whole day never melts it; 1.6 In from cold melts it within its conventional two hours."""
    ladder = fitted(HOLDS, OPENS, between)
    holds = Season(Home((), None, (), (100 * 230,) * 24, ladder=ladder), Weather((0.0,) * 25))
    assert 0.6 < live(holds, 0).winter.hottest < 1.0
    opens = Season(Home((), None, (), (128 * 230,) * 24, ladder=ladder), Weather((0.0,) * 25), Case(((0, 1320),)))
    assert live(opens, 0).winter.hottest >= 1.0
    sooner = replace(opens, case=Case(((0, 1439),)))
    assert live(sooner, 0).winter.hottest < 1.0


def test_minutes_follow_the_closed_form_and_cool() -> None:
    """Ninety minutes at 110 A are the closed form; after the load the element is as cool as its shares say."""
    loaded = Season(Home((), None, (), (110 * 230,) * 24, ladder=LADDER), Weather((0.0,) * 25), Case(((0, 1350),)))
    assert live(loaded, 0).winter.hottest == pytest.approx(heat_after(LADDER, 110.0, 5400.0), abs=1e-5)
    twice = replace(loaded, case=Case(((0, 1200), (1290, 1380))))           # an hour's rest between ninety minutes and an hour
    left = math.fsum(share * (1 - math.exp(-5400 / after)) * math.exp(-(5400 + 3600) / after)
                     for share, after in zip(LADDER.share, LADDER.after_s, strict=True)) * (110.0 / LADDER.least_a) ** 2
    again = left + heat_after(LADDER, 110.0, 3600.0)
    assert live(twice, 0).winter.hottest == pytest.approx(
        max(again, heat_after(LADDER, 110.0, 5400.0)), abs=1e-5)


def test_short_loads_cool_where_spent_fractions_would_add_up() -> None:
    """A minute at 180 A each half hour for a day: each spends some of the time to melting, 48 of them more than all of it, and the
    element stays far from melting."""
    spent = 48 * 60 / melts_after_s(LADDER, 180.0)
    off = tuple((30 * k + 1, 30 * k + 30) for k in range(48))
    hottest = live(Season(Home((), None, (), (180 * 230,) * 24, ladder=LADDER), Weather((0.0,) * 25), Case(off)), 0).winter.hottest
    assert spent > 1
    assert hottest < 0.8


def test_no_constant_is_a_denormal() -> None:
    """exp(-60 / 0.6) is 3.7e-44, a denormal as a single, and slow: such a share is all there at once."""
    home = Home((), None, (), (0,) * 24, ladder=Ladder(100.0, (0.6, 1.2, 60.0), (0.2, 0.3, 0.5)))
    step = stepped(Season(home, Weather((0.0,) * 25))).ladder
    assert step is not None
    assert (step.at_once, step.keep, step.take) == (pytest.approx(0.5), pytest.approx((math.exp(-1.0),)), pytest.approx((0.5 * (1 - math.exp(-1.0)),)))


def test_a_fuse_whose_gates_are_not_in_print_has_no_ladder() -> None:
    """BS 1361: no hold current and no gates in our tables. What is missing is named, and nothing is assumed for it."""
    of = gates("bs1361-2", 80)
    assert of.ladder() is None
    assert {fact.name for fact in of.gaps} == {"gate_a", "nonfusing_a"}
    assert gates("bs88-3", 70).gaps


def test_the_slowest_needs_no_hold_current_and_the_quickest_no_opening() -> None:
    assert fitted((), OPENS, 1.0) == fitted(HOLDS, OPENS, 1.0)
    assert fitted(HOLDS, (), 0.0) == fitted(HOLDS, OPENS, 0.0)
    # points of the curve of an 80 A fuse to BS 1361: one source and memory, in our tables of curves; 1.5 In in 4 h from memory
    slow = fitted((), ((1100.0, 0.1), (800.0, 0.4), (460.0, 5.0), (120.0, 14400.0)), 1.0)
    assert [melts_after_s(slow, a) for a in (1100.0, 800.0, 460.0)] == pytest.approx([0.1, 0.4, 5.0], rel=1e-3)
    assert melts_after_s(slow, 120.0) <= 14400


@pytest.mark.parametrize(("holds", "opens", "between", "says"), [
    (HOLDS, (), 0.5, "both needed"), ((), OPENS, 0.0, "both needed"), (HOLDS, OPENS[1:], 0.5, "both needed"),
    (HOLDS, OPENS, 1.1, "between is 0 to 1"), (HOLDS[1:], OPENS[1:], 0.5, "two to 4 spots"),
    (((100.0, 0.1), (215.0, 10.0), (100.0, 7200.0)), (), 0.0, "falling with time"),
    (((101.0, 0.1), (100.5, 10.0), (100.0, 7200.0)), (), 0.0, "no ladder of shares above 0")])
def test_spots_that_no_ladder_goes_through(holds: tuple[tuple[float, float], ...], opens: tuple[tuple[float, float], ...], between: float,
                                           says: str) -> None:
    with pytest.raises(ValueError, match=says):
        fitted(holds, opens, between)


def test_below_its_minimum_it_never_melts() -> None:
    assert melts_after_s(LADDER, LADDER.least_a) == math.inf
    assert heat_after(LADDER, LADDER.least_a, 1e9) == pytest.approx(1.0)
