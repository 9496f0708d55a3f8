"""Sets too neat to have been read: each figure just as the record leads to expect, or the same everywhere. Asked of a person."""
from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import fsum, prod
from typing import TYPE_CHECKING

from spareway.design.design import Design
from spareway.fact import glossary
from spareway.job.rows import Reading
from spareway.readings.band import LIMITS, figure
from spareway.readings.conductors import length_share
from spareway.readings.expected import expected, judged_now, own_rows
from spareway.readings.instrument import Accuracy, accuracy
from spareway.show import exact

if TYPE_CHECKING:
    from spareway.design.circuit import CircuitDesign

__all__ = ["Neat", "neat"]

NEAR_DIGITS, NEAR_SHARE = 2.0, 0.05              # no set is looked into closer unless all but a few lie so near
MOST_APART = 0.1                                 # share of a set that may lie otherwise
ALIKE = ("zs_ohm", "r1r2_ohm", "insulation_mohm")


@dataclass(frozen=True, slots=True)
class Neat:
    """A set that is asked about: its rows, how seldom one agrees so well by chance (None where that is not weighed), in words."""
    rows: tuple[Reading, ...]
    chance: float | None
    says: str


@dataclass(frozen=True, slots=True)
class _Figure:
    """One thing that a set says: the rows that should all show it, what they should show, and how likely honest ones do."""
    rows: tuple[Reading, ...]
    shown: str
    chance: float

    @property
    def same(self) -> bool:
        return all(row.value is not None and _shown(row, row.value) == self.shown for row in self.rows)


def neat(design: Design) -> tuple[Neat, ...]:
    """The sets of this stage that look copied from what was expected, and readings that are alike where things differ."""
    return (*_copied(design), *_alike(design))


def _of(row: Reading, design: Design) -> Accuracy | None:
    return accuracy(row.quantity, row.setup, design.books)


def _shown(row: Reading, value: float) -> str:
    """As a display with this many digits behind the point shows it."""
    typed = row.said.partition(" ")[0]
    return f"{value * (1 + 2 ** -50):.{len(typed.partition('.')[2])}f}"


# ---- just as expected -----------------------------------------------------------------------------------------------
def _copied(design: Design) -> Iterable[Neat]:
    near = [each for c in design.circuits.values() for each in judged_now(c)
            if each.row.value is not None and _tells(each.row) and each.expected.fact.known]
    close = [each for each in near
             if (of := _of(each.row, design)) and _near(each.row.value or 0.0, each.expected.fact.value, of)]
    if not near or len(close) < (1 - MOST_APART) * len(near):
        return
    unread = Design(replace(design.inst, readings=()), design.books)          # the column as it stood before anything was read
    for at_20 in (False, True):
        figures = [each for c in unread.circuits.values() for each in _figures(c, [n.row for n in near], at_20)]
        chance = _by_chance(figures)
        if chance < figure("reading_doubt", "by chance", design.books).value:
            rows = tuple(row for each in figures if each.same for row in each.rows)
            yield Neat(rows, chance, f"{len(rows)} readings show just the figure that the record leads to expect"
                       f"{', at 20 °C' if at_20 else ''}. Cables differ from the drawing and instruments from the truth: about "
                       f"one honest set in {10 * round(0.1 / chance)} would agree so well. Was each of them read?")
            return


def _near(value: float, wanted: float, of: Accuracy) -> bool:
    return abs(value - wanted) <= NEAR_DIGITS * of.digit_at(wanted) * (1 + 1e-9) + NEAR_SHARE * wanted


def _tells(row: Reading) -> bool:
    return row.quantity not in LIMITS and row.quantity not in ("ze_ohm", "loop_ln_ohm", "supply_v", "electrode_ohm")


def _figures(circuit: CircuitDesign, rows: Sequence[Reading], at_20: bool) -> list[_Figure]:
    """What the rows of one circuit say: the first rests on its length, each further one on instrument and joints alone."""
    found: dict[tuple[str, str], list[Reading]] = {}
    shares: dict[tuple[str, str], float] = {}
    further = float(figure("reading_doubt", "each further", circuit.books).value)
    for row in rows:
        if row.a != circuit.at and not row.a.startswith(f"{circuit.at}."):
            continue
        told = expected(circuit.design, row.quantity, row.a, row.b, row.setup, 20.0 if at_20 else row.temp_c, row.loads)
        if told is None or not told.fact.amount:
            continue
        key = (row.quantity, _shown(row, told.fact.amount))
        found.setdefault(key, []).append(row)
        digit = 10.0 ** -len(key[1].partition(".")[2])
        wide = 2 * length_share(told.fact, circuit.books) * told.fact.amount
        shares.setdefault(key, min(digit / wide, 1.0) if wide else 1.0)
    return [_Figure(tuple(each), key[1], further if n else max(shares[key], further * further))
            for n, (key, each) in enumerate(found.items())]


def _by_chance(figures: Sequence[_Figure]) -> float:
    """How likely honest readings show at least as many of these figures as these do."""
    same = len([each for each in figures if each.same])
    if not figures or same < (1 - MOST_APART) * len(figures):
        return 1.0
    if same == len(figures):
        return prod(each.chance for each in figures)
    exactly = [1.0]                                                            # by how many of those gone through
    for each in figures:
        up = [0.0, *(p * each.chance for p in exactly)]
        exactly = [a + b for a, b in zip(up, [*(p * (1 - each.chance) for p in exactly), 0.0], strict=True)]
    return min(1.0, fsum(exactly[same:]))


# ---- all alike ------------------------------------------------------------------------------------------------------
def _alike(design: Design) -> Iterable[Neat]:
    least = figure("reading_doubt", "alike", design.books).value
    for quantity in ALIKE:
        groups: dict[float, dict[str, Reading]] = {}
        for circuit in design.circuits.values():
            for row in own_rows(circuit):
                if row.quantity == quantity and row.value and row.stage == design.inst.stage and not row.b:
                    groups.setdefault(row.value, {}).setdefault(circuit.at, row)
        for value, rows in groups.items():
            if len(rows) >= least and _differ(design, [*rows.values()]):
                name = glossary(quantity).says
                yield Neat(tuple(rows.values()), None, f"{name}: {len(rows)} circuits all read {exact(value)}, and they "
                           "differ. Was each of them read? The end of a range is written with > before it")


def _differ(design: Design, rows: Sequence[Reading]) -> bool:
    """Whether what these should read lies further apart than an instrument in good order could hide."""
    if rows[0].quantity == "insulation_mohm":
        return True
    told = [expected(design, r.quantity, r.a, r.b, r.setup, r.temp_c) for r in rows]
    known = [e.fact.value for e in told if e is not None and e.fact.known]
    of = _of(rows[0], design)
    return len(known) == len(rows) and of is not None and max(known) - min(known) > 2 * of.error(max(known))
