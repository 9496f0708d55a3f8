"""Chance by counting: the published generator, waits and choices against what they stand for, starts against their yearly number."""
from __future__ import annotations

import itertools
import math
from collections import Counter
from dataclasses import replace

import pytest

from spareway.season.draws import BITS, asked_a_day, drawn, edges, events, made_a_day, mixed, planned, waited
from spareway.season.home import Home, Season, Use, Water, Weather
from tests.season.homes import DAYTIME, NOT_AT_NIGHT

FLAT = (1.0,) * 24
DAY = Weather((0.0,) * 25)


def counted(uses: tuple[Use, ...], days: int, water: Water | None = None, lively: float = 1.0) -> Counter[int]:
    """Starts made of each use in so many days; the cylinder's draws under the number after the last."""
    season = Season(Home((), water, uses, (0,) * 24), DAY, seed=3)
    plan, busy, out = planned(season), [0] * len(uses), Counter[int]()
    for day in range(days):
        out.update(what for _, what in events(plan, season, 0, day, lively, busy))
        busy = [max(each - 1440, 0) for each in busy]
    return out


def test_the_mixing_is_splitmix64() -> None:
    """First numbers of the published generator from state 0 (Steele, Lea and Flood 2014; values from memory of its reference code)."""
    assert [mixed(n, 0, 0, 0, 0) for n in (1, 2, 3)] == [0xE220A8397B1DCDAF, 0x6E789E6AA1B965F4, 0x06C45D188009454F]


def test_every_count_gives_another_number() -> None:
    keys = [(seed, winter, day, stream, count) for seed in (0, 1) for winter in range(8) for day in range(8) for stream in range(8)
            for count in range(8)]
    assert len({mixed(*key) for key in keys}) == len(keys)


def test_a_wait_is_the_logarithm() -> None:
    """Within 2e-6 of -ln of the same share, from the shortest wait to the longest; the mean of many is 1."""
    zs = [mixed(5, k, 0, 0, 0) for k in range(20_000)] + [0, (1 << 64) - 1, 1 << 63, (1 << 63) - 1]
    for z in zs:
        assert waited(z) == pytest.approx(-math.log(((z >> BITS) + 0.5) / 2**40), abs=2e-6)
    assert math.fsum(map(waited, zs[:20_000])) / 20_000 == pytest.approx(1.0, abs=4 / math.sqrt(20_000))


def test_a_value_comes_as_often_as_its_share() -> None:
    spread = ((-1.0, 0.2), (0.0, 0.5), (3.0, 0.0), (7.0, 0.3))
    seen = Counter(drawn(spread, mixed(9, k, 0, 0, 0)) for k in range(20_000))
    for value, share in spread:
        assert seen[value] == pytest.approx(20_000 * share, abs=4 * math.sqrt(20_000 * 0.25))
    assert seen[3.0] == 0
    assert edges([1.0, 1.0, 2.0]) == (1 << 22, 1 << 23, 1 << 24)
    assert drawn(((4.0, 1.0),), (1 << 64) - 1) == 4.0


@pytest.mark.parametrize(("starts", "minutes", "rest", "by_hour"), [
    (5.0, 3, 0, DAYTIME), (0.8, 138, 0, NOT_AT_NIGHT), (16.755, 18, 36, FLAT), (3.0, 200, 0, DAYTIME), (1.0, 1, 0, FLAT)])
@pytest.mark.parametrize("by_people", [True, False])
def test_so_many_starts_are_made_in_a_year(starts: float, minutes: int, rest: int, by_hour: tuple[float, ...], by_people: bool) -> None:
    """Of those asked for enough are not dropped: a year's count within four standard errors of Poisson, which is wider than ours."""
    use = Use("use", 100, minutes, starts, by_hour, rest, by_people)
    made = counted((use,), 365)[0]
    assert made == pytest.approx(365 * starts, abs=4 * math.sqrt(365 * starts))


def test_starts_lie_over_the_hours_as_they_should() -> None:
    """Two uses of one stream with hours of their own, and the draws of a cylinder: none at an hour of 0, shares elsewhere."""
    night, day = (1.0,) * 6 + (0.0,) * 18, (0.0,) * 6 + (2.0,) * 6 + (1.0,) * 12
    uses = (Use("night", 100, 1, 4.0, night), Use("day", 100, 1, 6.0, day))
    season = Season(Home((), Water(1, 10.0, 0.0, 50.0, 3.0, 1.0, night), uses, (0,) * 24), DAY)
    hours = [Counter[int]() for _ in range(3)]
    plan = planned(season)
    for of_day in range(400):
        for minute, what in events(plan, season, 0, of_day, 1.0, [0, 0]):
            hours[what][minute // 60] += 1
    assert [{*each} for each in hours] == [{*range(6)}, {*range(6, 24)}, {*range(6)}]
    assert math.fsum(hours[1][h] for h in range(6, 12)) == pytest.approx(400 * 3, abs=4 * math.sqrt(1200))
    assert math.fsum(hours[2].values()) == pytest.approx(1200, abs=4 * math.sqrt(1200))


def test_lively_people_start_more_and_a_refrigerator_does_not() -> None:
    uses = (Use("kettle", 2800, 3, 5.0, DAYTIME), Use("cold", 100, 18, 16.0, rest_min=36, by_people=False))
    once, twice = counted(uses, 200), counted(uses, 200, lively=2.0)
    assert twice[0] == pytest.approx(2 * once[0], rel=0.1)
    assert twice[1] == once[1]


def test_nothing_runs_twice_at_once() -> None:
    """Between two starts of a use lie its minutes and its rest, over the days' ends too; another winter starts otherwise."""
    use = Use("pump", 60, 200, 5.0, DAYTIME, 30)
    season = Season(Home((), None, (use,), (0,) * 24), DAY)
    plan, busy, at = planned(season), [0], list[int]()
    for day in range(60):
        at += [day * 1440 + minute for minute, _ in events(plan, season, 0, day, 1.0, busy)]
        busy = [max(busy[0] - 1440, 0)]
    assert min(b - a for a, b in itertools.pairwise(at)) >= 230
    assert events(plan, season, 1, 0, 1.0, [0]) != events(plan, season, 0, 0, 1.0, [0])


def test_asked_is_what_makes_so_many() -> None:
    """Nothing busy: as many as are made but for those of one minute. A flat day: 1 / (1 / asked + busy), waits being exponential."""
    assert asked_a_day(0.0, 30, FLAT) == 0.0
    assert made_a_day(asked_a_day(4.0, 90, DAYTIME), 90, DAYTIME) == pytest.approx(4.0, rel=1e-5)
    asked = asked_a_day(10.0, 60, FLAT)
    assert 1440 / (1440 / asked + 60) == pytest.approx(10.0, rel=0.01)
    with pytest.raises(ValueError, match=r"wash: 3 starts a day of 120 min each do not fit"):
        asked_a_day(3.0, 120, (0.0,) * 23 + (1.0,), "wash")


def test_no_stream_without_anything() -> None:
    season = Season(Home((), None, (Use("never", 100, 10, 0.0),), (0,) * 24), DAY)
    assert events(planned(season), season, 0, 0, 1.0, [0]) == []
    assert planned(replace(season, home=Home((), None, (), (0,) * 24))).shared is None
