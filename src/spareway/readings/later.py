"""Readings years apart: brought to 20 °C, and told where they have moved by more than instruments can differ and by a tenth."""
from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import hypot, inf

from spareway.fact import Fact, glossary, show
from spareway.job.rows import Reading, standing
from spareway.physics import cable
from spareway.readings.conductors import figure
from spareway.readings.instrument import CONTINUITY, Accuracy, accuracy, range_end
from spareway.tables import Books

__all__ = ["At", "Change", "changes", "trends"]

AS_BEFORE, RISEN, FALLEN, CANNOT_TELL = "as before", "risen", "fallen", "cannot tell"
BETTER_HIGH = ("insulation_mohm", "prospective_ka", "fault_ka")      # of these a fall is the worse
BY_SETUP = ("insulation_mohm", "trip_ms", "leg_ohm")                 # how it was asked makes another reading of it
Key = tuple[str, str, str, str]


@dataclass(frozen=True, slots=True)
class At:
    """One reading of a trend: when, the row, its value at 20 °C where that means something, and between what it may lie.

    `value` is unknown for a row over range, whose `least` is the end of the range and whose `most` is infinite."""
    at: str
    row: Reading
    value: Fact[float]
    least: float
    most: float


@dataclass(frozen=True, slots=True)
class Change:
    """Two readings of one thing. share: by how much it rose, of what it was, None where either was over range; `worse` only where
    it moved beyond what instruments hide and a tenth, in the direction that is the worse."""
    then: At
    now: At
    fell: str
    share: float | None
    worse: bool
    says: str


def changes(then: Iterable[Reading], now: Iterable[Reading], books: Books) -> tuple[Change, ...]:
    """Every reading that was taken in both sets, each against the other; struck rows and those without a partner are left out."""
    before = {_key(row): row for row in standing(then)}
    pairs = [(before[_key(row)], row) for row in standing(now) if _key(row) in before]
    found = [(_at(old, books), _at(new, books)) for old, new in pairs]
    return tuple(_changed(old, new, books) for old, new in found if old is not None and new is not None)


def trends(sets: Sequence[Iterable[Reading]], books: Books) -> dict[Key, tuple[At, ...]]:
    """What was read more than once, by quantity, places and how it was asked, oldest first: what a drawing of the trend needs."""
    found: dict[Key, list[At]] = {}
    for rows in sets:
        for row in standing(rows):
            each = _at(row, books)
            if each is not None:
                found.setdefault(_key(row), []).append(each)
    return {key: tuple(sorted(points, key=lambda p: p.at)) for key, points in found.items() if len(points) > 1}


def _key(row: Reading) -> Key:
    return row.quantity, row.a, row.b, row.setup if row.quantity in BY_SETUP else ""


def _at(row: Reading, books: Books) -> At | None:
    """A row at 20 °C; None for one that no instrument of ours reads, or that holds nothing."""
    of = accuracy(row.quantity, row.setup, books)
    if of is None or row.value is None and not row.over:
        return None
    shown = Fact("reading_ohm" if row.quantity in CONTINUITY else row.quantity, row.value, "measured" if row.value is not None
                 else "unknown", f"readings.csv:{row.line}", row.over_words if row.over else "", at=row.a)
    if row.value is None:
        return At(row.at, row, shown, range_end(row, of) or 0.0, inf)
    if row.quantity not in CONTINUITY:
        error = hypot(of.error(row.value), _warmth(row, of, books))
        return At(row.at, row, shown, max(row.value - error, 0.0), row.value + error)
    return _at_20(row, shown, of, books)


def _warmth(row: Reading, of: Accuracy, books: Books) -> float:
    """What the temperature of the cable may have moved a loop by: how much of it is cable, no reading says."""
    if not of.function.startswith("loop") or row.value is None:
        return 0.0
    alpha = figure("thresholds", "alpha_per_k", books).value
    ends = [row.temp_c] if row.temp_c is not None else [figure("reading_doubt", case, books).value for case in ("least", "most")]
    return float(row.value * alpha * max(abs(end - 20) for end in ends))


def _at_20(row: Reading, shown: Fact[float], of: Accuracy, books: Books) -> At:
    alpha = figure("thresholds", "alpha_per_k", books)
    ends = [float(figure("reading_doubt", case, books).value) for case in ("least", "most")]
    if row.temp_c is None:
        at = Fact("conductor_c", (ends[0] + ends[1]) / 2, "assumed", "", "no temperature was written down")
        off_k = (ends[1] - ends[0]) / 2
    else:
        at, off_k = Fact("conductor_c", row.temp_c, "measured"), float(figure("reading_doubt", "as written", books).value)
    value = cable.r_at_20_ohm.worked(shown, cable.to_20_factor.worked(alpha, at))
    error = hypot(of.error(value.value), value.value * alpha.value * off_k)
    return At(row.at, row, value, max(value.value - error, 0.0), value.value + error)


# ---- one against the other ------------------------------------------------------------------------------------------
def _changed(then: At, now: At, books: Books) -> Change:
    fell, share = _fell(then, now, books)
    worse = fell == (FALLEN if now.row.quantity in BETTER_HIGH else RISEN)
    entry = glossary(now.row.quantity)
    where = " to ".join(each for each in (now.row.a, now.row.b) if each)
    by = f", {abs(share) * 100:.0f} % {'more' if share > 0 else 'less'}" if share is not None and fell in (RISEN, FALLEN) else ""
    said = f"{entry.says}, {where}: {_said(then)} in {then.at[:4]}, {_said(now)} in {now.at[:4]}{by}"
    return Change(then, now, fell, share, worse, said if fell != CANNOT_TELL else f"{said}: whether it changed cannot be told")


def _said(each: At) -> str:
    unit = glossary(each.row.quantity).unit
    if not each.value.known:
        return each.row.over_words
    return f"{show(each.value.value)} {unit}{' at 20 °C' if each.row.quantity in CONTINUITY else ''}"


def _fell(then: At, now: At, books: Books) -> tuple[str, float | None]:
    if then.value.amount is None or now.value.amount is None:
        return _over(then, now), None
    old, new = then.value.value, now.value.value
    apart = hypot(then.most - old, now.most - new)
    share = new / old - 1 if old else None
    tenth = figure("reading_doubt", "changed", books).value
    if abs(new - old) <= apart or share is not None and abs(share) <= tenth:
        return AS_BEFORE, share
    return (RISEN if new > old else FALLEN), share


def _over(then: At, now: At) -> str:
    """Where one or both went over the range: only an end that lies beyond the other's number tells anything."""
    if not then.value.known and not now.value.known:
        return AS_BEFORE
    over, number = (now, then) if then.value.known else (then, now)
    if over.least <= number.most:
        return CANNOT_TELL
    return RISEN if over is now else FALLEN
