"""What may be wrong at the intake or across a board, by the signs that the standing readings show: ranked, and what to read next.

Each fault is a line of data: how often it is met, how often it shows each sign. Signs count as independent of one another, which
they are not quite; so the shares say what to look at first and nothing more.
"""
from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache
from math import fsum, prod
from typing import TYPE_CHECKING

from spareway.job.rows import Reading, never_nought
from spareway.readings.band import against
from spareway.readings.expected import expected
from spareway.tables import Books

if TYPE_CHECKING:
    from spareway.design.design import Design

__all__ = ["IntakeFault", "Shown", "at_intake", "shown"]

HIGH, LOW = ("high", "far high"), ("low", "far low")
NONE = "nothing"                               # the line of data that stands for none of the others
FEWEST_LOOPS = 2                                # circuits whose loops were read, before all of them says anything


@dataclass(frozen=True, slots=True)
class Sign:
    """says: what is seen; ask: what to read to see it; by_chance: how often it shows with nothing of the kind wrong."""
    name: str
    says: str
    ask: str
    by_chance: float


@dataclass(frozen=True, slots=True)
class Shown:
    """A sign in the readings: there, not there, or not known (None); `rows` are those it was read from."""
    sign: Sign
    there: bool | None
    rows: tuple[Reading, ...] = ()


@dataclass(frozen=True, slots=True)
class IntakeFault:
    """A fault and its share. signs: those it shows, each with whether it is there; ask: what would tell more, not yet read."""
    name: str
    says: str
    share: float
    signs: tuple[Shown, ...]
    ask: tuple[str, ...]
    caution: str

    @property
    def is_a_fault(self) -> bool:
        """Not so of what is left over: that none of these faults is there. No sign points to that, and it is no pass."""
        return self.name != NONE


@dataclass(frozen=True, slots=True)
class _Kind:
    says: str
    met: float
    shows: Mapping[str, float] = field(default_factory=dict)
    caution: str = ""
    earthing: str = ""


@cache
def _data() -> tuple[dict[str, Sign], dict[str, _Kind]]:
    import tomllib

    from spareway.bundled import text
    said = tomllib.loads(text("readings/intake_faults.toml"))
    signs = {name: Sign(name, **of) for name, of in said["signs"].items()}
    return signs, {name: _Kind(**of) for name, of in said["faults"].items()}


def at_intake(design: Design) -> tuple[IntakeFault, ...]:
    """The faults of intake and board by the standing readings of this stage, the likeliest first; none where no sign was read."""
    (signs, kinds), earthing, seen = _data(), design.supply.earthing, shown(design)
    if earthing.known:
        kinds = {name: kind for name, kind in kinds.items() if not kind.earthing or earthing.value in kind.earthing.split()}
    known = [each for each in seen.values() if each.there is not None]
    if not known:
        return ()
    weights = {name: kind.met * prod(_likely(kind, each) for each in known) for name, kind in kinds.items()}
    whole = fsum(weights.values())
    found = []
    for name, kind in kinds.items():
        own = tuple(seen[sign] for sign in kind.shows or signs)   # with nothing wrong, whatever was not read may still show
        ask = dict.fromkeys(each.sign.ask for each in own if each.there is None)
        found.append(IntakeFault(name, kind.says, weights[name] / whole, own, tuple(ask), kind.caution))
    return tuple(sorted(found, key=lambda fault: -fault.share))


def _likely(kind: _Kind, each: Shown) -> float:
    chance = kind.shows.get(each.sign.name, each.sign.by_chance)
    return chance if each.there else 1 - chance


def shown(design: Design) -> dict[str, Shown]:
    """Every sign, by the rows that stand at this stage."""
    origin = {quantity: _fell(design, quantity, "supplies.") for quantity in ("ze_ohm", "loop_ln_ohm", "supply_v")}
    insulation = _fell(design, "insulation_mohm", "circuits.")
    found = {"earth-loop-high": _any(origin["ze_ohm"], HIGH), "earth-loop-low": _any(origin["ze_ohm"], LOW),
             "neutral-loop-high": _any(origin["loop_ln_ohm"], HIGH), "voltage-off": _any(origin["supply_v"], HIGH + LOW),
             "bond-high": _any(_bonds(design), HIGH), "all-loops-high": _all_loops(_fell(design, "zs_ohm", "circuits.")),
             "neutral-to-earth-low": _any((each for each in insulation if "neutral to earth" in each[0].setup), LOW),
             "neutrals-joined": _any((each for each in insulation if each[0].a.endswith(".N") and each[0].b.endswith(".N")), LOW)}
    return {name: Shown(sign, *found[name]) for name, sign in _data()[0].items()}


_Fell = Iterable[tuple[Reading, str]]


def _fell(design: Design, quantity: str, where: str) -> list[tuple[Reading, str]]:
    """The rows of a quantity at this stage, and on which side each fell of what it should be."""
    books: Books = design.books
    out = []
    for row in design.standing.get(quantity, ()):
        if row.a.startswith(where) and row.stage == design.inst.stage and not never_nought(row):
            told = expected(design, quantity, row.a, row.b, row.setup, row.temp_c, row.loads)
            fell = against(row, told, books) if told else ""
            if fell in ("as expected", *HIGH, *LOW):
                out.append((row, fell))
    return out


def _bonds(design: Design) -> list[tuple[Reading, str]]:
    """Of the runs that are bonds, what was read from end to end; over range is too much, however long the bond may be."""
    bonds = {f"runs.{name}" for name, of in design.runs.items() if of.run.kind == "bond"}
    rows = [row for quantity in ("r_ohm", "r1_ohm", "r2_ohm") for row in design.standing.get(quantity, ()) if row.a in bonds]
    told = [each for quantity in ("r_ohm", "r1_ohm", "r2_ohm") for each in _fell(design, quantity, "runs.") if each[0].a in bonds]
    return [*told, *((row, "far high") for row in rows if row.over and row.stage == design.inst.stage)]


def _any(some: _Fell, sides: Iterable[str]) -> tuple[bool | None, tuple[Reading, ...]]:
    rows = list(some)
    there = tuple(row for row, fell in rows if fell in sides)
    return (True, there) if there else (False if rows else None, tuple(row for row, _ in rows))


def _all_loops(some: _Fell) -> tuple[bool | None, tuple[Reading, ...]]:
    """Whether the loops of all circuits that were read are high; not known of fewer than two circuits."""
    rows = list(some)
    circuits = {row.a.split(".")[1] for row, _ in rows}
    high = {row.a.split(".")[1] for row, fell in rows if fell in HIGH}
    return (circuits == high if len(circuits) >= FEWEST_LOOPS else None), tuple(row for row, _ in rows)
