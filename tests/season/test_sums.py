"""What many winters say against scipy, against the rule of three, and against their own columns."""
from __future__ import annotations

import math
import random

import pytest
from scipy import stats

from spareway.season.minute import live
from spareway.season.sums import BINS, Between, Winter, gathered, highest_first, joined, middle, quantile, rare_mean, share_of
from tests.season.homes import SEASONS


@pytest.mark.parametrize(("seen", "of"), [(1, 10), (3, 1000), (25, 250_000), (5, 10), (999, 1000), (120, 400)])
def test_an_exact_interval(seen: int, of: int) -> None:
    """Clopper and Pearson 1934, as scipy has it by the beta distribution."""
    exact = stats.binomtest(seen, of).proportion_ci(0.95, "exact")
    got = share_of(seen, of)
    assert (got.likely, got.least, got.most) == pytest.approx((seen / of, exact.low, exact.high), rel=1e-6)


def test_none_seen_still_allows_three_in_the_number() -> None:
    """Rule of three (Hanley and Lippman-Hand, JAMA 1983): with none in n, 3 / n is not excluded at 95 %."""
    for winters in (100, 30_000, 250_000):
        assert share_of(0, winters).most == pytest.approx(3 / winters, rel=0.02)
        assert share_of(0, winters).least == share_of(0, winters).likely == 0
        assert share_of(winters, winters).least == pytest.approx(1 - share_of(0, winters).most)
    assert share_of(0, 1).most == pytest.approx(0.95)


@pytest.mark.parametrize(("seen", "of"), [(0, 0), (2, 1), (-1, 3)])
def test_no_share_of_no_winters(seen: int, of: int) -> None:
    with pytest.raises(ValueError, match="winters"):
        share_of(seen, of)


def test_a_mean_and_its_error() -> None:
    values = [random.Random(4).expovariate(1.0) + k % 3 for k in range(200)]
    got, error = middle(values), stats.sem(values)
    assert (got.likely, got.least, got.most) == pytest.approx(
        (stats.tmean(values), stats.tmean(values) - 1.96 * error, stats.tmean(values) + 1.96 * error))
    assert middle([5.0]).most == math.inf
    with pytest.raises(ValueError, match="no winter"):
        middle([])


def test_a_quantile_lies_between_two_values_in_order() -> None:
    """Binomial, as scipy has it for a quantile (Conover 1999); a high quantile of few winters has no upper bound."""
    values = [float(k) for k in range(1, 101)]
    got, theirs = quantile(values, 0.5), stats.quantile_test(values, p=0.5).confidence_interval(0.95)
    assert (got.likely, got.least, got.most) == (50.0, theirs.low, theirs.high)
    assert quantile(values[:20], 0.99).most == math.inf
    assert quantile(values[:3], 0.01).least == -math.inf
    for share in (0.0, 1.0):
        with pytest.raises(ValueError, match="between 0 and 1"):
            quantile(values, share)


def test_a_quantile_holds_as_often_as_it_says() -> None:
    """The 0.9 quantile of 60 uniform draws, two thousand times: at least 95 % of the intervals hold 0.9."""
    chance = random.Random(11)
    holds = [quantile([chance.random() for _ in range(60)], 0.9) for _ in range(400)]
    assert len([each for each in holds if each.least <= 0.9 <= each.most]) >= 0.93 * len(holds)


def test_parts_come_together_in_order() -> None:
    lived = [live(SEASONS["sun"], number, days=1) for number in range(4)]
    one = gathered([each.winter for each in lived], [each.histogram for each in lived])
    parts = [gathered([lived[k].winter], [lived[k].histogram]) for k in (2, 0, 3, 1)]
    assert joined(parts) == joined([one]) == one
    assert [one[k] for k in range(4)] == [each.winter for each in lived]
    assert len(one) == 4
    assert len(joined([])) == 0


def test_the_duration_curve_falls() -> None:
    lived = live(SEASONS["two stores"], 0)
    one = gathered([lived.winter], [lived.histogram])
    shares = [one.share_above(250.0 * k) for k in range(BINS)]
    assert shares[0] == 1.0
    assert shares == sorted(shares, reverse=True)
    assert shares[12] == len([w for w in lived.minutes_w if w >= 3000]) / len(lived.minutes_w)
    assert joined([]).share_above(0.0) == 0.0


def test_highest_winters_first() -> None:
    rows = [Winter(n, top, 0, 0, 0, 0, 0, 0, 0, 0.0, 0) for n, top in enumerate((5, 9, 9, 1))]
    assert [each.number for each in highest_first(gathered(rows, []), 3)] == [1, 2, 0]


def test_of_what_was_not_seen_no_top_is_told() -> None:
    """Nought in every winter lived is no nought: the mean of what is rare has a top only where ten winters have some of it."""
    assert rare_mean([0.0] * 1000) == Between(0.0, 0.0, math.inf)
    few = rare_mean([0.0] * 7 + [1.0])
    assert (few.likely, few.least, few.most) == (0.125, 0.0, math.inf)
    often = rare_mean([0.0] * 90 + [4.0] * 10)
    assert often.likely == pytest.approx(0.4)
    assert 0 < often.least < 0.4 < often.most < 1.0
