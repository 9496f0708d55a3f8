"""What a logger wrote of the current at the intake, a row a minute: the highest minute, the minutes above a rating, the gaps.

A mean over half an hour hides what opens a fuse, so a log of longer steps gives no highest minute.
"""
from __future__ import annotations

import csv
from collections import Counter
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import groupby, pairwise

from spareway.doc import Fault, InputError, nearest
from spareway.fact import Fact, unknown

__all__ = ["COLUMNS", "Log", "Over", "read_log"]

COLUMNS = ("at", "current_a")
MOST_ROWS, MOST_FAULTS, MOST_A = 600_000, 50, 1_000.0           # a year of minutes; the first faults; no home draws more
MINUTE = timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class Over:
    """Of the minutes above a rating: how many, and the longest run of them with the minute it began."""
    minutes_n: int
    longest_n: int
    began: datetime | None


@dataclass(frozen=True, slots=True)
class Log:
    """minutes: when and how much (A), in order; lines: of each; step: between most rows; missing_n: steps without a row."""
    file: str
    minutes: tuple[tuple[datetime, float], ...]
    lines: tuple[int, ...]
    step: timedelta
    missing_n: int

    @property
    def highest(self) -> Fact[float]:
        """The highest minute; unknown where the rows stand further apart than a minute, or where most minutes are missing."""
        if self.step > MINUTE:
            return unknown("demand_a", f"a row every {self.step.total_seconds() / 60:g} min: a mean as long as that hides the "
                           "minutes that open a fuse", self.file)
        if self.missing_n > len(self.minutes):
            return unknown("demand_a", f"{self.missing_n} minutes of the time are missing and {len(self.minutes)} stand: the "
                           "highest may be among the missing", self.file)
        (at, amps), line = max(zip(self.minutes, self.lines, strict=True), key=lambda each: each[0][1])
        gaps = f"; {self.missing_n} minutes of the time are missing" if self.missing_n else ""
        return Fact("demand_a", amps, "measured", f"{self.file}:{line}", f"the highest minute, {at:%Y-%m-%d %H:%M}{gaps}")

    def over(self, rating_a: float) -> Over:
        """The minutes above a rating. A gap ends a run: what was not written down is not known."""
        longest, began, whole = 0, None, 0
        pieces = groupby(enumerate(self.minutes), key=lambda each: (each[1][1] > rating_a, each[1][0] - each[0] * self.step))
        for (is_over, _), run in pieces:
            held = list(run)
            if is_over:
                whole += len(held)
                if len(held) > longest:
                    longest, began = len(held), held[0][1][0]
        return Over(whole, longest, began)


def read_log(file: str, text: str) -> Log:
    """A log out of its CSV: a heading with the columns `at` (2026-01-12T18:05) and `current_a`, others passed over.

    Errors: InputError with a sentence for each of the first fifty faults, and how many more there are."""
    rows = list(csv.reader(text.removeprefix("\ufeff").splitlines()))
    heads = [head.strip() for head in rows[0]] if rows else []
    faults = [Fault(file, 1, name, ", ".join(heads), f"there is no column {name}", "name it so in the first line",
                    nearest(name, heads)) for name in COLUMNS if name not in heads]
    if not faults and len(rows) - 1 > MOST_ROWS:
        faults.append(Fault(file, None, "", f"{len(rows) - 1} rows", f"{len(rows) - 1} rows", f"at most {MOST_ROWS} rows"))
    if not faults:
        at, amps = (heads.index(name) for name in COLUMNS)
        read = [_row(file, line, row, len(heads), at, amps, faults) for line, row in enumerate(rows[1:], 2) if row]
        good = [each for each in read if each is not None]
        faults += _out_of_order(file, good)
        if not faults and len(good) < 2:
            faults.append(Fault(file, None, "", f"{len(good)} rows", "too few rows to be a log", "two rows or more"))
        if not faults:
            return _log(file, good)
    more = len(faults) - MOST_FAULTS
    rest = [Fault(file, None, "", "", f"{more} more faults like these", "")] if more > 0 else []
    raise InputError([*faults[:MOST_FAULTS], *rest])


Row = tuple[int, datetime, float]


def _row(file: str, line: int, row: list[str], columns_n: int, at: int, amps: int, faults: list[Fault]) -> Row | None:
    if len(row) <= max(at, amps):
        faults.append(Fault(file, line, "", ",".join(row), "the row ends before its columns do", "a cell for each column"))
        return None
    if len(row) > columns_n:
        faults.append(Fault(file, line, "", ",".join(row), f"{len(row)} cells under {columns_n} columns",
                            "a cell for each column; a current with a point and not a comma"))
        return None
    when, value = _when(row[at].strip()), _amps(row[amps].strip())
    if when is None:
        faults.append(Fault(file, line, "at", row[at], "no minute of a day", "a day and time, like 2026-01-12T18:05"))
    if value is None:
        faults.append(Fault(file, line, "current_a", row[amps], "no current", f"a number from 0 to {MOST_A:g}, with a point"))
    return None if when is None or value is None else (line, when, value)


def _when(text: str) -> datetime | None:
    try:
        when = datetime.fromisoformat(text)
    except ValueError:
        return None
    return None if len(text) < 16 or when.tzinfo else when.replace(second=0, microsecond=0)


def _amps(text: str) -> float | None:
    plain = text.replace(".", "", 1)
    return float(text) if plain.isascii() and plain.isdecimal() and float(text) <= MOST_A else None


def _out_of_order(file: str, rows: list[Row]) -> list[Fault]:
    return [Fault(file, line, "at", f"{when:%Y-%m-%dT%H:%M}", "not later than the row before" if when < before
                  else "this minute stands in the row before too", "the rows in order of time, each minute once")
            for (_, before, _), (line, when, _) in pairwise(rows) if when <= before]


def _log(file: str, rows: list[Row]) -> Log:
    steps = Counter(later[1] - row[1] for row, later in pairwise(rows))
    step = max(steps, key=lambda each: (steps[each], each))      # of two as common the longer: it makes no minutes of a mean
    span = rows[-1][1] - rows[0][1]
    return Log(file, tuple((when, amps) for _, when, amps in rows), tuple(line for line, _, _ in rows), step,
               max(0, round(span / step) + 1 - len(rows)))
