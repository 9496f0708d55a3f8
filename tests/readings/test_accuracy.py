"""A small share of the studies: what the engine names, what it promises, how long it takes; and the arithmetic of the judging."""
from __future__ import annotations

import math
from typing import Any

import pytest

from spareway.readings.wired import PRIORS_RING
from studies.ranked import report
from studies.reliability import Said, bins, drawing, mean
from tests.readings.hunted import hunted
from tests.readings.judged import MOST, NO_FAULT, PROPOSED, SURE, judged, radial_case, ring_case
from tests.readings.made import MET

SEED, RINGS, POINTS = 21, 24, 7


def least(asked: float, cases: int) -> float:
    """A share that so few cases reach 99.9 times in 100 where the true share is what is asked: three sigma of the binomial below it."""
    return asked - 3 * math.sqrt(asked * (1 - asked) / cases)


@pytest.fixture(scope="module")
def rows() -> list[dict[str, Any]]:
    return [judged(ring_case(SEED, number, most=POINTS)) for number in range(RINGS)]


def test_as_often_right_as_asked_less_three_sigma(rows: list[dict[str, Any]]) -> None:
    """Issue 6, of rings: kind 88 %, exact place 57 %, first three 78 % at once; exact 85 %, first three 91 % after three more; relaxed
    for the few that are drawn here, `studies/study_rings.py` has them all."""
    faulty = [r for r in rows if r["kind"] != "sound"]
    for step, key, asked in ((0, "kind", 0.88), (0, "exact", 0.57), (0, "three", 0.78), (PROPOSED, "exact", 0.85), (PROPOSED, "three", 0.91)):
        right = [r["steps"][step][key] for r in faulty]
        assert sum(right) / len(right) >= least(asked, len(right)), (step, key)
    assert all(r["steps"][0]["said"] in NO_FAULT for r in rows if r["kind"] == "sound")


def test_sure_in_fewer_minutes_than_by_a_fixed_order(rows: list[dict[str, Any]]) -> None:
    """Of the rings not placed at once: what it proposes takes less of the site's time than the long lead from the middle outwards."""
    some = [r for r in rows if not r["at_once"] and r["kind"] != "sound"]
    assert len(some) > 5
    assert sum(r["own"][0] for r in some) < sum(r["fixed"][0] for r in some)
    assert sum(r["own"][1] for r in some) >= sum(r["fixed"][1] for r in some)


def test_the_report_says_what_the_rows_hold(rows: list[dict[str, Any]]) -> None:
    """Its last line is the result, and no drawing is made of so few."""
    last = report(rows, PRIORS_RING, MET, "rings").splitlines()[-1]
    faulty = [r for r in rows if r["kind"] != "sound"]
    assert last.startswith(f"{RINGS} rings; kind, exact place, first three, each kind as often: as usual ")
    assert f"{100 * sum(r['steps'][0]['kind'] for r in faulty) / len(faulty):.1f} / " in last


def test_promised_and_true_by_hand() -> None:
    """Ten promises of 0.6 of which six come true are even with what was promised; weights count."""
    said = [Said(0.6, k < 6) for k in range(10)] + [Said(0.95, True, 3.0), Said(0.93, False)]
    low, high = bins(said)
    assert (low.promised, low.true, low.count) == (pytest.approx(0.6), pytest.approx(0.6), 10)
    assert low.sd == pytest.approx(math.sqrt(0.24 / 10))
    assert (high.promised, high.true) == (pytest.approx((3 * 0.95 + 0.93) / 4), 0.75)
    assert mean(said[:10]) == (pytest.approx(0.6), pytest.approx(0.6))
    assert drawing([("at once", said)], "what was promised").count("<circle") == 3                        # two bins and the legend


def test_radials_are_judged_the_same_way() -> None:
    """A radial's fixed order goes by the long lead as well, and ends sooner only where it is sure."""
    for number in range(6):
        row = judged(radial_case(SEED, number, most=7))
        assert len(row["steps"]) == PROPOSED + 1
        assert row["at_once"] is (row["steps"][0]["p_exact"] >= SURE)
        if not row["at_once"]:
            minutes, sure, _ = row["fixed"]
            assert minutes % 2 == 0
            assert sure or minutes == 2 * min(MOST, row["points"] * (3 if minutes > 2 * row["points"] else 1))


def test_the_circuits_of_a_board_that_leak() -> None:
    """Issue 6: all found on 95 of 100 boards to 10 circuits, less three sigma, in fewer minutes than one by one; `studies/study_insulation.py`
    has more, and larger ones. Where nothing leaks nothing is called leaking."""
    rows = [hunted(SEED, number, 6 + number % 2) for number in range(10)]
    low = [r for r in rows if r["bad"]]
    found = [r["own"][0] for r in low]
    assert sum(found) / len(found) >= least(0.95, len(found))
    assert all(r["own"][0] and r["own"][1] == 1 for r in rows if not r["bad"])
    assert all(r["one"][0] and r["half"][0] for r in rows)
    assert sum(r["own"][2] for r in low) < sum(r["one"][2] for r in low)
