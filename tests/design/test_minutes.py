"""Minutes of a day: the worst one out of a log, what is above a rating, for how long it is how much; a second way for each."""
from __future__ import annotations

import random
from datetime import datetime, timedelta

import pytest

from spareway.design.logged import read_log
from spareway.design.minutes import DAY_MIN, above, day_of, duration, longer_than, minutes_of, worst_day

START = datetime.fromisoformat("2026-01-12T00:00")


def written(amps: dict[int, float]) -> str:
    return "at,current_a\n" + "\n".join(f"{START + timedelta(minutes=i):%Y-%m-%dT%H:%M},{a:.1f}" for i, a in amps.items())


def week(seed: int = 5) -> dict[int, float]:
    """Seven days: 61 A for four minutes on the third, 90 A for two on the fifth; three minutes of that day are missing."""
    draw = random.Random(seed)
    amps = {i: round(draw.uniform(3, 44), 1) for i in range(7 * DAY_MIN)}
    amps |= dict.fromkeys(range(2 * DAY_MIN + 1000, 2 * DAY_MIN + 1004), 61.0) | dict.fromkeys((4 * DAY_MIN + 1240, 4 * DAY_MIN + 1241), 90.0)
    return {i: a for i, a in amps.items() if i not in range(4 * DAY_MIN + 60, 4 * DAY_MIN + 63)}


def test_the_worst_day_is_that_of_the_highest_minute() -> None:
    """The fifth of seven, its highest minute at 20:40, three of its minutes not known and not nought."""
    day = worst_day(read_log("week.csv", written(week())))
    assert day is not None
    assert (day.says, day.highest_a, day.highest_min, day.missing_n, day.of_days_n) == ("2026-01-16", 90.0, 20 * 60 + 40, 3, 7)
    assert day.amps[60:63] == (None, None, None)
    over = above(day.amps, 60)
    assert (over.minutes_n, over.longest_n, over.began_min) == (2, 2, 1240)
    assert above(day.amps, 90).minutes_n == 0


def test_half_hours_have_no_worst_day() -> None:
    log = read_log("means.csv", "at,current_a\n" + "\n".join(f"{START + timedelta(minutes=30 * i):%Y-%m-%dT%H:%M},20" for i in range(96)))
    assert worst_day(log) is None
    assert minutes_of(log) is None


def test_a_day_has_all_its_minutes() -> None:
    for amps in ([1.0] * 1439, [None] * DAY_MIN):
        with pytest.raises(ValueError, match="are no day"):
            day_of("a day", amps)
    day = day_of("a day", [5.0] * DAY_MIN)
    assert (day.highest_a, day.highest_min, day.missing_n) == (5.0, 0, 0)


@pytest.mark.parametrize("seed", range(20))
def test_above_and_duration_by_brute_force(seed: int) -> None:
    """A run is what no gap and no lower minute parts; at least so much for as many minutes as a count says."""
    draw = random.Random(seed)
    amps = [None if draw.random() < 0.1 else float(draw.randint(0, 9)) for _ in range(200)]
    for rating in (-1.0, 4.0, 8.5, 9.0):
        hot = [a is not None and a > rating for a in amps]
        runs = [k for i in range(200) for k in range(1, 201 - i) if all(hot[i:i + k])]
        over = above(amps, rating)
        assert (over.minutes_n, over.longest_n) == (hot.count(True), max(runs, default=0))
        assert not over.longest_n or all(hot[over.began_min:over.began_min + over.longest_n])
        assert longer_than(duration(amps), rating) == hot.count(True)
    for minutes, current in duration(amps):
        assert minutes == len([a for a in amps if a is not None and a >= current])
    assert duration([None, None]) == ()


def test_a_log_as_a_whole() -> None:
    """4 minutes of 61 A and 2 of 90 A of a week: above 60 A for 6 minutes."""
    minutes = minutes_of(read_log("week.csv", written(week())))
    assert minutes is not None
    steps = duration(minutes)
    assert (longer_than(steps, 60), steps[0], steps[-1][0]) == (6, (2, 90.0), 7 * DAY_MIN - 3)
