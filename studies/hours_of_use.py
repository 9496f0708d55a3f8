"""The table `hours_of_use` worked out again from the inputs of richardsonpy: chances of activities, and of being up.

Each number of people lives through three weeks of its chain, of which the last counts: by ten minutes the chance that so many are
up, times the chance of an activity when so many are. No draw is made. Homes of one to five people weigh 30 : 34 : 16 : 13 : 7.
"""
from __future__ import annotations

import math
from pathlib import Path

NAMES = ("watching TV", "cooking", "laundry", "washing/dressing", "ironing", "house cleaning")
UP = "active occupancy"
HOMES = {1: 0.30, 2: 0.34, 3: 0.16, 4: 0.13, 5: 0.07}
WEEK = ("wd",) * 5 + ("we",) * 2
SLOTS, MOST_UP = 144, 5


def worked_out(inputs: Path) -> dict[tuple[str, str], float]:
    """(activity, hour) -> share of the day's activity, to three places; the largest hour takes what rounding leaves."""
    days = {day: _read(inputs / f"ActiveAppliances_{day}.csv") for day in ("wd", "we")}
    sums = {name: [0.0] * 24 for name in (*NAMES, UP)}
    for people, weight in HOMES.items():
        chains = {day: _read(inputs / f"tpm{people}_{day}.csv") for day in ("wd", "we")}
        begins = _read(inputs / "occ_start_states_wd.csv")
        up = [begins[k][people] if k < len(begins) else 0.0 for k in range(7)]
        for week in range(3):
            for day in WEEK:
                for slot in range(SLOTS):
                    up = _next(up, chains[day], slot)
                    if week == 2:
                        sums[UP][slot // 6] += weight * (1 - up[0])
                        for at, name in enumerate(NAMES):
                            sums[name][slot // 6] += weight * math.fsum(
                                up[k] * days[day][6 * min(k, MOST_UP) + at][2 + slot] for k in range(1, 7))
    return {(name, f"{hour:02d}:00"): share for name, hours in sums.items() for hour, share in enumerate(_rounded(hours))}


def _read(file: Path) -> list[list[float]]:
    return [[float(each) for each in line.split(";")] for line in file.read_text(encoding="utf-8").split()]


def _next(up: list[float], chain: list[list[float]], slot: int) -> list[float]:
    """Ten minutes on; who has no row of chances stays as they are."""
    out = [0.0] * 7
    for k, share in enumerate(up):
        row = chain[7 * slot + k][2:]
        whole = math.fsum(row)
        for j in range(7):
            out[j] += share * (row[j] / whole if whole else float(j == k))
    return out


def _rounded(hours: list[float]) -> list[float]:
    whole = math.fsum(hours)
    thousandths = [round(1000 * hour / whole) for hour in hours]
    thousandths[max(range(24), key=lambda hour: hours[hour])] += 1000 - round(math.fsum(thousandths))
    return [each / 1000 for each in thousandths]
