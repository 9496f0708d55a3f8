"""What a simulation said, out of the document that `spareway demand --simulate --json` writes, as the drawings of demand take it.

The document is read as any file is: what is wrong in it is said with its place, and nothing of it is believed for being there.
"""
from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from spareway.design.minutes import DAY_MIN, Day, Steps, day_of
from spareway.doc import Fault, InputError
from spareway.fact import Fact, simulated, unknown
from spareway.show import show

__all__ = ["Foreseen", "read_foreseen"]

MOST_A, MOST_STEPS, MOST_WINTERS, MOST_DAYS, MOST_LETTERS = 10_000.0, 10_000, 100_000_000, 400, 200
MOST_SAMPLED, MOST_SEED, DIGITS = 128, 2**63, 6               # digits: of a number in a document
WANTED = "the document that spareway demand --simulate --json writes"


@dataclass(frozen=True, slots=True)
class Foreseen:
    """Of so many winters lived: their highest minute, the worst day, for how long it is at least how much, all winters together.

    job, stage, scenario: whose winters they are, and what was lived through; says: how many, in words
    top_a: unknown where the record has gaps; day: None where it was not drawn again
    rests: what the figures rest on that nobody confirmed, as `graph.loose` says it
    sampled_every: the steps rest on one minute in so many; over_min: the minutes above rating_a of all winters, every one of them
    counted; None where either is not known"""
    job: str
    stage: str
    scenario: str
    says: str
    top_a: Fact[float]
    day: Day | None
    steps: Steps
    rests: str
    sampled_every: int
    rating_a: float | None
    over_min: int | None

    def over_n(self, rating_a: float) -> int | None:
        """The minutes of all winters above a rating; None where it is not the one that they were counted for."""
        same = self.rating_a is not None and show(self.rating_a, DIGITS) == show(rating_a, DIGITS)
        return self.over_min if same else None


def read_foreseen(file: str, text: str) -> Foreseen:
    """Errors: InputError for what is no such document."""
    import json
    try:
        said = json.loads(text, parse_constant=_no_number)
    except (ValueError, RecursionError):
        raise InputError([Fault(file, None, "", "", "this is no JSON document", WANTED)]) from None
    read = _Reading(file, said if isinstance(said, dict) else {})
    winters = int(read.number("winters_n", MOST_WINTERS))
    days = int(read.number("days_n", MOST_DAYS))
    scenario, top = read.scenario(), read.top(winters)
    says = f"{winters:,} winter{'' if winters == 1 else 's'} of {days} day{'' if days == 1 else 's'}, foreseen, {scenario}"
    day, steps = read.day(winters * days, says), read.steps(winters * days * DAY_MIN, top.amount)
    rating_a, over_min = read.over(winters)
    found = Foreseen(read.words("job", read.said), read.words("stage", read.said), scenario, says, top, day, steps, read.rests(),
                     read.sampled(steps), rating_a, over_min)
    if read.faults:
        raise InputError(read.faults)
    return found


def _no_number(word: str) -> float:
    raise ValueError(f"{word} is no number")


class _Reading:
    """The parts of a document, with a fault for each that is not as it should be."""

    def __init__(self, file: str, said: Mapping[str, Any]) -> None:
        self.file, self.said, self.faults = file, said, list[Fault]()

    def _wrong(self, field: str, value: object, allowed: str) -> None:
        self.faults.append(Fault(self.file, None, field, f"{value!r}"[:60], f"{field} is not as a simulation writes it", allowed))

    def number(self, field: str, most: float) -> float:
        value = self.said.get(field)
        if not _is_number(value, most):
            self._wrong(field, value, f"a number from 0 to {most:g}; {WANTED}")
            return 0.0
        return float(value)                                     # type: ignore[arg-type]    # looked at above

    def sampled(self, steps: Steps) -> int:
        every_n = int(self.number("sampled_every", MOST_SAMPLED))
        if steps and self.said.get("sampled_every") == 0:
            self._wrong("sampled_every", every_n, f"a number from 1 to {MOST_SAMPLED}; {WANTED}")
        return every_n

    def words(self, field: str, of: Mapping[str, Any]) -> str:
        value = of.get(field)
        if not isinstance(value, str) or len(value) > MOST_LETTERS:
            self._wrong(field, value, f"at most {MOST_LETTERS} letters; {WANTED}")
            return ""
        return value

    def scenario(self) -> str:
        of = self.said.get("scenario")
        if not isinstance(of, dict):
            self._wrong("scenario", of, WANTED)
            return ""
        return self.words("name", of)

    def top(self, winters: int) -> Fact[float]:
        """The highest minute of all winters, with its interval: an end that the winters do not set is infinite."""
        of = self.said.get("highest_a")
        if not isinstance(of, dict) or not _is_figure(of, MOST_A):
            self._wrong("highest_a", of, WANTED)
            of = {}
        if of.get("amount") is None:
            gaps = of.get("missing") if isinstance(of.get("missing"), list) else []
            why = "; ".join(f"{gap.get('at', '')}: {gap.get('why', '')}" for gap in gaps or () if isinstance(gap, dict))
            return unknown("demand_a", why or "no winter was lived to its end", self.file)
        amount, least, most = float(of["amount"]), of.get("least"), of.get("most")
        span = (-math.inf if least is None else float(least), math.inf if most is None else float(most))
        return simulated("demand_a", lambda: amount, (), int(self.number("seed", MOST_SEED)), winters, span, self.file)

    def over(self, winters: int) -> tuple[float | None, int | None]:
        """The rating that every minute was held against, and the minutes above it of all winters; None for what is not known."""
        of = self.said.get("over")
        minutes = of.get("minutes_n") if isinstance(of, dict) else None
        if not isinstance(of, dict) or not isinstance(minutes, dict) or not _is_figure(minutes, MOST_DAYS * DAY_MIN) or \
                not (of.get("rating_a") is None or _is_number(of["rating_a"], MOST_A)) or \
                not _is_total(of.get("all_n"), minutes.get("amount"), winters):
            self._wrong("over", of, WANTED)
            return None, None
        return of.get("rating_a"), of["all_n"]

    def rests(self) -> str:
        """What nobody confirmed of what the winters rest on, each word for it once: ", from memory, assumed"."""
        rows = self.said.get("rests_on")
        if not isinstance(rows, list) or not all(isinstance(row, dict) and isinstance(row.get("how"), str) for row in rows):
            self._wrong("rests_on", rows, WANTED)
            return ""
        said = dict.fromkeys(self.words("how", row) for row in rows)
        return f", {', '.join(said)}" if said else ""

    def day(self, of_days_n: int, says: str) -> Day | None:
        of = self.said.get("worst_day")
        if of is None:
            return None
        minutes = of.get("minutes_a") if isinstance(of, dict) else None
        if not isinstance(minutes, list) or len(minutes) != DAY_MIN or not all(_is_number(a, MOST_A) for a in minutes):
            self._wrong("worst_day", minutes and f"{len(minutes)} minutes", f"{DAY_MIN} currents from 0 to {MOST_A:g}")
            return None
        return day_of(says, [float(a) for a in minutes], of_days_n)

    def steps(self, minutes_n: int, top_a: float | None) -> Steps:
        """From the highest downwards: shares of sampled minutes as minutes of all winters, before them the highest minute."""
        rows = self.said.get("duration")
        good = isinstance(rows, list) and len(rows) <= MOST_STEPS and all(
            isinstance(row, dict) and _is_number(row.get("above_a"), MOST_A) and _is_number(row.get("share"), 1.0)
            for row in rows)
        if not good:
            self._wrong("duration", "" if rows is None else f"{len(rows)} rows" if isinstance(rows, list) else rows, WANTED)
            return ()
        found = {float(row["above_a"]): round(row["share"] * minutes_n) for row in rows or ()}
        kept = [(minutes, a) for a, minutes in sorted(found.items(), reverse=True) if minutes > 0]
        return (((1, top_a),) if top_a is not None and (not kept or top_a > kept[0][1]) else ()) + tuple(kept)


def _is_figure(of: Mapping[str, Any], most: float) -> bool:
    """A figure with the ends of its interval in order about it, or one that is not known."""
    ends = [of.get(end) for end in ("least", "amount", "most")]
    known = [end for end in ends if end is not None]
    return all(_is_number(end, most) for end in known) and known == sorted(known) and (ends[1] is not None or not known)


def _is_total(total: object, mean: float | None, winters: int) -> bool:
    """A whole number whose mean over the winters is the one that is said, or neither where that is not known."""
    if mean is None or total is None:
        return mean is total is None
    if not isinstance(total, int) or isinstance(total, bool) or total < 0:
        return False
    return not winters or show(total / winters, DIGITS) == show(mean, DIGITS)


def _is_number(value: object, most: float) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value) and 0 <= value <= most
