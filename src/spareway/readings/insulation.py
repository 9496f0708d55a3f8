"""Insulation of a home by its standing rows: what the circuits come to together, which to part next, what may lie behind it."""
from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from spareway.bundled import text
from spareway.design.guards import parts_neutral
from spareway.fact import Fact, lowest, unknown
from spareway.job.rows import Reading
from spareway.physics.testing import insulation_pair_mohm
from spareway.plain_toml import loads
from spareway.readings.leaks import MINUTES, Hunt, Step
from spareway.tables import look_up

if TYPE_CHECKING:
    from spareway.design.circuit import CircuitDesign
    from spareway.design.design import Design

__all__ = ["Cause", "Leak", "Part", "Together", "as_read", "causes", "hunt", "instruction", "pair_of", "rows_of", "together",
           "whole_rows"]

BOTH = "LN-E"                                   # line and neutral together, to earth
PARTED = "parted:"
LEEWAY = 1.1                                    # the instrument's own error above the figure at which insulation is looked into
# What stands before each reading of a hunt. Common practice, no source; isolation by Guidance Note 3, from memory
BEFORE = ("Locked off, and any other source too; proved dead, the neutral bar too; nobody at any point of it while it is read; "
          "loads, surge devices and electronics out; line and neutral together, to earth")
BOTH_PARTED = "parted in line and neutral (the neutral lifted where its device does not part it)"
UNSAID = 0.1                                    # how often loads are in although the row says out. Common practice, no source


@dataclass(frozen=True, slots=True)
class Leak:
    """One circuit: its insulation as connected, and with what it feeds taken off where that was read too."""
    circuit: str
    fact: Fact[float]
    without: Fact[float] | None
    row: Reading


@dataclass(frozen=True, slots=True)
class Part:
    """One thing to take out, worst first: the circuit, or what is connected to it; and what the rest then comes to."""
    circuit: str
    only_loads: bool
    was: Fact[float]
    then: Fact[float]
    enough: bool


@dataclass(frozen=True, slots=True)
class Together:
    """The circuits of a board, or of the home. `sum` and each `then` are at least so much where a row was over range."""
    leaks: tuple[Leak, ...]
    not_read: tuple[str, ...]
    sum: Fact[float]
    order: tuple[Part, ...]
    whole: tuple[Reading, ...]


@dataclass(frozen=True, slots=True)
class Cause:
    """What may lie behind a reading, how likely beside the others, and the question that tells."""
    name: str
    says: str
    question: str
    share: float


# ---- rows -----------------------------------------------------------------------------------------------------------
def rows_of(design: Design, at: str) -> tuple[Reading, ...]:
    """Standing insulation rows of this very address, of this stage or else of any; none between two circuits."""
    rows = tuple(r for r in design.standing.get("insulation_mohm", ()) if r.a.removesuffix(".L").removesuffix(".N") == at
                 and not (r.b.startswith("circuits.") and not r.b.startswith(at)))
    return tuple(r for r in rows if r.stage == design.inst.stage) or rows


def pair_of(row: Reading) -> str:
    """Between which conductors a row was read: LN-E, L-E, N-E or L-N. Line and neutral together to earth where none is said."""
    ends = [end.rpartition(".")[2] for end in (row.a, row.b)]
    if all(end in ("L", "N", "E") for end in ends):
        return "-".join(sorted(ends, key="LNE".index))
    if "line to neutral" in row.setup:
        return "L-N"
    return "N-E" if "neutral to earth" in row.setup else "L-E" if "line to earth" in row.setup else BOTH


def as_read(row: Reading) -> Fact[float]:
    """What stood on the display; over range the end of its range, as the least it may be. Unknown where no end is written."""
    where = f"readings.csv:{row.line}"
    if row.value is not None:
        return Fact("insulation_mohm", row.value, "measured", where, at=row.a)
    if row.over.startswith(">"):
        note = f"over range ({row.over}): the least it may be"
        return Fact("insulation_mohm", float(row.over[1:]), "measured", where, note, at=row.a)
    return unknown("insulation_mohm", "over range, and where its range ends is not written", where, row.a)


def whole_rows(design: Design, board: str = "") -> tuple[Reading, ...]:
    """The standing rows of a whole board read at once, nothing parted; of every board where none is named."""
    return tuple(r for name in design.boards if board in ("", name) for r in rows_of(design, f"equipment.{name}")
                 if PARTED not in r.setup)


def _leak(circuit: CircuitDesign, design: Design) -> Leak | None:
    rows = [r for r in rows_of(design, circuit.at) if pair_of(r) in (BOTH, "L-E", "N-E") and as_read(r).known]
    with_loads = [r for r in rows if r.loads == "in"]
    without = [r for r in rows if r.loads != "in"]
    if not rows:
        return None
    row = min(with_loads or without, key=_mohm)
    off = as_read(min(without, key=_mohm)) if with_loads and without else None
    return Leak(circuit.circuit.name, as_read(row), off, row)


def _mohm(row: Reading) -> float:
    return as_read(row).value


# ---- together -------------------------------------------------------------------------------------------------------
def together(design: Design, board: str = "") -> Together:
    """The standing rows of the circuits of a board, of the home where none is named: sum, and what to take out, worst first.

    The order ends where the rest reaches the figure below which insulation is looked into (table `thresholds`)."""
    asked = [c for c in design.circuits.values() if not c.is_surge and board in ("", c.board)]
    found = {c.circuit.name: _leak(c, design) for c in asked}
    leaks = sorted((leak for leak in found.values() if leak), key=lambda leak: (leak.fact.value, leak.circuit))
    return Together(tuple(leaks), tuple(name for name, leak in found.items() if not leak), _sum([leak.fact for leak in leaks]),
                    tuple(_order(leaks, look_up("thresholds", design.books, design.case("insulation_look_into_mohm")))),
                    whole_rows(design, board))


def _order(leaks: Sequence[Leak], enough: Fact[float]) -> Iterable[Part]:
    joined = {leak.circuit: leak.fact for leak in leaks}
    off = {leak.circuit: leak.without for leak in leaks}
    while joined and _sum(list(joined.values())).value < enough.value:
        name = min(joined, key=lambda each: (joined[each].value, each))
        was, without = joined.pop(name), off.pop(name, None)
        if without is not None:
            joined[name] = without
        then = _sum(list(joined.values()))
        yield Part(name, without is not None, was, then, then.known and then.value >= enough.value)


def _sum(each: Sequence[Fact[float]]) -> Fact[float]:
    """Resistances side by side: conductances add, one at nought makes all nought."""
    if not each:
        return unknown("insulation_pair_mohm", "no circuit of it was read")
    if any(fact.value == 0 for fact in each):
        return lowest("insulation_mohm", each, "one at nought makes all nought")
    out = each[0]
    for other in each[1:]:
        out = insulation_pair_mohm.worked(out, other)
    return out


# ---- what may lie behind it -----------------------------------------------------------------------------------------
@cache
def _data() -> dict[str, dict[str, Any]]:
    return loads(text("readings/leaks.toml"))


def _known() -> dict[str, dict[str, Any]]:
    return _data()["cause"]


def causes(circuit: CircuitDesign, row: Reading) -> tuple[Cause, ...]:
    """What may lie behind a low reading of a circuit, the likeliest first, each with the question that tells.

    None where the row shows no number."""
    fact, pair = as_read(row), pair_of(row)
    if row.value is None or not fact.known:
        return ()
    surge = bool(circuit.design.surges)
    weights = {name: _weight(of, fact.value, circuit, row) for name, of in _known().items()
               if pair in of["pairs"].split() and (surge or not of.get("surge"))}
    whole = math.fsum(weights.values())
    order = sorted(weights, key=lambda name: -weights[name])
    return tuple(Cause(name, _known()[name]["says"], _known()[name]["question"], weights[name] / whole) for name in order)


def _weight(of: dict[str, Any], mohm: float, circuit: CircuitDesign, row: Reading) -> float:
    off = (math.log(max(mohm, 0.005)) - math.log(of["middle_mohm"])) / of["sigma"]
    likely = of["times"] if "feeds" in of and circuit.feeds & set(of["feeds"].split()) else 1.0
    out = UNSAID if of.get("load") and row.loads not in ("", "in") else 1.0
    return float(of["share"] * likely * out * math.exp(-0.5 * off * off) / of["sigma"])


# ---- the hunt -------------------------------------------------------------------------------------------------------
def hunt(design: Design, board: str) -> Hunt:
    """The hunt for what leaks on a board, by its standing rows: of the whole, of it with some parted, of circuits alone.

    Loads count as they are: a circuit goes by its rows with the loads in, where there are any."""
    asked = {name: c for name, c in design.circuits.items() if c.board == board and not c.is_surge}
    least = look_up("thresholds", design.books, design.case("insulation_look_into_mohm"))
    parting = MINUTES["way" if all(parts_neutral(c) for c in asked.values()) else "neutral"]     # or has its neutral to be lifted
    out = Hunt({name: _chance(c) for name, c in asked.items()}, parting, clear_mohm=least.value * LEEWAY)
    rows = [(row, frozenset(asked) - _parted(row)) for row in rows_of(design, f"equipment.{board}")]
    rows += [(leak.row, frozenset((leak.circuit,))) for leak in together(design, board).leaks]
    for row, joined in sorted(rows, key=lambda each: (each[0].at, each[0].line)):
        fact = as_read(row)
        if fact.known and joined and pair_of(row) == BOTH:
            over = row.value is None
            out.reads(joined, math.inf if over else fact.value, fact.value if over else math.inf)
    return out


def _chance(circuit: CircuitDesign) -> float:
    chances: dict[str, float] = _data()["chance"]
    return max([chances.get(kind, chances[""]) for kind in circuit.feeds], default=chances[""])


def _parted(row: Reading) -> frozenset[str]:
    """The circuits that a reading of a whole board says were parted: "...; parted: cooker + immersion"."""
    _, found, names = row.setup.partition(PARTED)
    return frozenset(name.strip() for name in names.partition(";")[0].split("+")) if found else frozenset()


def instruction(step: Step, of: Hunt, board: str) -> tuple[str, str, str]:
    """The reading to take in words, and the place and setup under which its row is then understood.

    Alone, where one circuit is joined; else the whole board with the others parted."""
    if len(step.joined) == 1:
        alone = f"{BEFORE}: {step.joined[0]} alone, {BOTH_PARTED}."
        return alone, f"circuits.{step.joined[0]}", "line and neutral together; to earth"
    out = [name for name in of.chances if name not in step.joined]
    says = f"have {', '.join(out)} {BOTH_PARTED}, and read the rest of {board}" if out else f"the whole of {board}"
    setup = f"line and neutral together; to earth; {PARTED} {' + '.join(out)}" if out else "line and neutral together; to earth"
    return f"{BEFORE}: {says}.", f"equipment.{board}", setup
