"""Four ways a home was metered for two rates, four leftovers each: the layout is told while it is in use, and all that is left by name.

The jobs are those of the rules' own test; here the list is asked, which knows nothing of rules."""
from __future__ import annotations

import pytest

from spareway import bundled
from spareway.design.design import Design
from spareway.design.leftovers import CUT, IDLE_BOARD, IDLE_SWITCH, LEFTOVERS, LINKED, OWN_CLOCK, layouts, leftovers
from spareway.job.job import read_job
from spareway.rules.specimen import _JOB as JOB
from spareway.rules.specimen import with_example
from tests.rules.test_two_rates import LAYOUTS, LEFT, NIGHT, leftover
from tests.scenarios.folders import design

WHAT = {"TR1": LINKED, "TR2": IDLE_BOARD, "TR3": IDLE_SWITCH, "IN3": CUT}
TOLD = dict(zip(LAYOUTS, (OWN_CLOCK, "a time switch beside the meter", "a meter with a switched output", "two separate meters"), strict=True))


def home(layout: str, lines: str = "") -> Design:
    """The specimen with a night board metered in this way, and these lines over it."""
    lacks, _, feed, swap = LAYOUTS[layout]
    without = "".join(f'"equipment.{name}", ' for name in lacks)
    files = {"job.toml": JOB, "found.toml": bundled.text("rules/specimen.toml")}
    over = [("night.toml", NIGHT), ("swap.toml", swap), ("feed.toml", f"remove = [{without}]\n{feed}"), ("left.toml", lines)]
    return Design(read_job(files, over).found)


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_layout_in_use_is_told_and_has_no_leftover(layout: str) -> None:
    of = home(layout)
    assert layouts(of) == [TOLD[layout]]
    assert leftovers(of) == []


@pytest.mark.parametrize("left", LEFT)
@pytest.mark.parametrize("layout", LAYOUTS)
def test_sixteen_of_sixteen_and_none_invented(layout: str, left: str) -> None:
    lines, wanted = leftover(layout, left)
    found = leftovers(home(layout, lines))
    assert all(each.sure and each.says for each in found)
    assert {(each.what, each.at) for each in found} == {(WHAT[rule], at) for rule, at in wanted}


@pytest.mark.parametrize("name", ["weir-cottage", "granary-yard", "ridge-annexe"])
def test_a_home_of_one_rate_has_no_layout(name: str) -> None:
    """None is proposed with a leftover either."""
    proposed = design(name, "proposed")
    assert layouts(proposed) == []
    assert leftovers(proposed) == []


def test_weir_as_found_keeps_its_second_board() -> None:
    """The office board feeds the immersion still: linked straight through, but an old board and not one that says "night"."""
    assert leftovers(design("weir-cottage", "found")) == []


def test_what_cannot_be_told_is_listed_as_such() -> None:
    """A night board no line leads to, tails with an end that nobody traced, a second meter beyond which a board's circuits are
    not recorded: each may be left over."""
    board = 'equipment.night = { kind = "board-night", rating_a = 60, ways_n = 4 }\n'
    assert [(e.what, e.at, e.sure) for e in leftovers(with_example(board))] == [(LINKED, "equipment.night", False)]
    loose = with_example('runs.old = { joins = ["arrester.bottom", "?"], kind = "tails", size_mm2 = 16 }')
    assert [(e.what, e.at, e.sure) for e in leftovers(loose)] == [(CUT, "runs.old", False)]
    layout = "two separate meters"
    bare = home(layout, 'remove = ["circuits.hot-water", "equipment.cylinder"]')
    assert {(e.what, e.at, e.sure) for e in leftovers(bare)} == {(IDLE_SWITCH, "equipment.second", False), (IDLE_SWITCH, "equipment.clock", False)}
    untraced = home(layout, 'remove = ["runs.to-night"]\nruns.lost = { joins = ["clock.out", "?"], kind = "tails", size_mm2 = 16 }')
    assert (IDLE_SWITCH, "equipment.clock", False) in {(e.what, e.at, e.sure) for e in leftovers(untraced)}


def test_a_clock_that_no_line_leads_to_is_no_leftover_of_the_supply() -> None:
    """Taken off and left on the wall: nothing hangs on it."""
    off = with_example('equipment.clock = { kind = "time-switch", seal = "present", owner = "meter operator" }')
    assert leftovers(off) == []
    assert layouts(off) == []


def test_there_are_four_leftovers() -> None:
    assert set(LEFTOVERS) == set(WHAT.values())
    assert len(LEFT) == 4
