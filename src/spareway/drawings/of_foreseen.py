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
from spareway.fact import Fact

__all__ = ["Foreseen", "read_foreseen"]

MOST_A, MOST_STEPS, MOST_WINTERS, MOST_DAYS = 10_000.0, 10_000, 100_000_000, 400
WANTED = "the document that spareway demand --simulate --json writes"


@dataclass(frozen=True, slots=True)
class Foreseen:
    """Of so many winters lived: their highest minute, the worst day, for how long it is at least how much, all winters together.

    top_a: unknown where the record has gaps; day: None where it was not drawn again"""
    job: str
    says: str
    top_a: Fact[float]
    day: Day | None
    steps: Steps


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
    top = read.top()
    says = f"{winters:,} winters of {days} days, foreseen"
    day, steps = read.day(winters * days, says), read.steps(winters * days * DAY_MIN, top.amount)
    if read.faults:
        raise InputError(read.faults)
    return Foreseen(f"{read.said.get('job', '')}", says, top, day, steps)


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

    def top(self) -> Fact[float]:
        """The highest minute of all winters. Its upper end no number of winters sets."""
        of = self.said.get("highest_a")
        if not isinstance(of, dict) or not (of.get("amount") is None or _is_number(of["amount"], MOST_A)):
            self._wrong("highest_a", of, WANTED)
            of = {}
        if of.get("amount") is None:
            gaps = of.get("missing") if isinstance(of.get("missing"), list) else []
            why = "; ".join(f"{gap.get('at', '')}: {gap.get('why', '')}" for gap in gaps or () if isinstance(gap, dict))
            return Fact("demand_a", None, "unknown", self.file, why or "no winter was lived to its end")
        return Fact("demand_a", float(of["amount"]), "simulated", self.file)

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


def _is_number(value: object, most: float) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value) and 0 <= value <= most
