"""Whether a test of a circuit was done, by the rows that stand: a blank, a struck or an implausible reading is no test."""
from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from spareway.design.spurs import on_ring
from spareway.fact import Fact, chosen
from spareway.job.rows import Reading
from spareway.readings.band import LIMITS
from spareway.readings.expected import FAR, Judged, judged_now

if TYPE_CHECKING:
    from spareway.design.circuit import CircuitDesign
    from spareway.design.design import Design

__all__ = ["TESTS", "Tested", "at_rating", "due", "ends_apart", "may_be_residual", "odd", "tested", "timed"]

TESTS = ("protective conductor", "ring", "insulation", "polarity", "loop", "residual current")
ENDS = {"ring_r1_ohm": "line end to end", "ring_rn_ohm": "neutral end to end", "ring_r2_ohm": "protective conductor end to end"}
SIDES, SEVERAL = ("high", "low"), 3
NOT_TIMED = ("half", "ramp", "0.5")
Rows = Sequence[Judged]


@dataclass(frozen=True, slots=True)
class Tested:
    """ok: yes; no, where a reading of it is implausible; None, where something of it was not read.

    missing: what was not read, in words; rows: what stands of it; odd: those that fell too far off to be believed."""
    ok: bool | None
    says: str
    rows: tuple[Reading, ...] = ()
    missing: tuple[str, ...] = ()
    odd: tuple[Reading, ...] = ()


def due(design: Design, name: str) -> tuple[str, ...]:
    """The tests that are due on a circuit. BS 7671 643.2 to 643.8; a residual-current test unless no such device protects it."""
    circuit = design.circuits[name]
    left_out = {"" if circuit.is_ring else "ring", "" if may_be_residual(circuit) else "residual current"}
    return tuple(test for test in TESTS if test not in left_out)


def may_be_residual(circuit: CircuitDesign) -> bool:
    """Whether a residual-current device protects it, or may: only one that is known to be absent leaves nothing to be timed."""
    return _own(circuit) or circuit.design.has_residual(circuit) is not False


def _own(circuit: CircuitDesign) -> bool:
    """Whether the circuit's own device opens on residual current: by its kind, whatever rating stands there, or by a rating."""
    of = circuit.device_kind
    return circuit.device.residual_ma.known or of is not None and bool(of.residual)


def tested(design: Design, name: str, test: str) -> Tested:
    """Whether this test of a circuit was done at this stage. Rows of another stage do not count: work undoes what was read.

    Errors: KeyError for no such circuit or test."""
    circuit, ask = design.circuits[name], _WAYS[test]
    rows = [each for each in judged_now(circuit) if _holds_something(each.row)]
    mine, missing = ask(circuit, rows)
    strange = tuple(each.row for each in odd(mine))
    there = tuple(each.row for each in mine)
    if missing:
        return Tested(None, f"{test}: not read: {', '.join(missing)}", there, tuple(missing), strange)
    if strange:
        says = f"{test}: {', '.join(map(_row, strange))} lies too far off to be believed; read again"
        return Tested(False, says, there, (), strange)
    return Tested(True, f"{test}: read", there)


def _holds_something(row: Reading) -> bool:
    return row.value is not None or bool(row.over)


def _row(row: Reading) -> str:
    return f"{row.shown} at {row.a} (readings.csv:{row.line})"


def odd(rows: Rows) -> list[Judged]:
    """Those that fell too far off to be believed: far off alone, or several of one quantity all off to the same side."""
    out = []
    for each in rows:
        alike = [other for other in rows
                 if other.row.quantity == each.row.quantity and other.fell in (each.fell, f"far {each.fell}")]
        if each.fell in FAR or each.fell in SIDES and each.row.quantity not in LIMITS and len(alike) >= SEVERAL:
            out.append(each)
    return out


def ends_apart(circuit: CircuitDesign) -> Fact[float] | None:
    """How far line and neutral of a ring, read end to end at this stage, lie apart; None where one was not read in a number."""
    rows = [each.row for each in judged_now(circuit)]
    ends = [next((r for r in rows if r.quantity == name and r.value is not None), None) for name in [*ENDS][:2]]
    facts = [Fact(r.quantity, r.value, "measured", f"readings.csv:{r.line}", at=r.a) for r in ends if r is not None]
    if len(facts) < len(ends):
        return None
    return chosen("ends_apart_ohm", lambda one, other: round(abs(one - other), 9), facts, "both", "the one less the other",
                  "difference of two readings")


# ---- what each test wants -------------------------------------------------------------------------------------------
Found = tuple[list[Judged], list[str]]


def _of(rows: Rows, *quantities: str) -> list[Judged]:
    return [each for each in rows if each.row.quantity in quantities]


def _fed(circuit: CircuitDesign) -> list[str]:
    """The points at which something is joined."""
    return [n for n, p in circuit.circuit.points.items() if (p.feeds or circuit.circuit.feeds) not in ("", "nothing")]


def _at_points(circuit: CircuitDesign, rows: Rows, points: Iterable[str]) -> list[str]:
    """The points at which none of these rows was taken."""
    read = {each.row.a.removeprefix(f"{circuit.at}.points.").partition(".")[0] for each in rows if ".points." in each.row.a}
    return [point for point in points if point not in read]


def _protective(circuit: CircuitDesign, rows: Rows) -> Found:
    mine = _of(rows, "ring_r2_ohm", "ring_le_ohm") if circuit.is_ring else _of(rows, "r1r2_ohm", "r2_ohm")
    return mine, [] if mine else ["line to earth cross-connected" if circuit.is_ring else "R1+R2 at the furthest point"]


def _ring(circuit: CircuitDesign, rows: Rows) -> Found:
    mine = _of(rows, *ENDS, "ring_ln_ohm", "ring_le_ohm")
    missing = [says for quantity, says in ENDS.items() if not _of(rows, quantity)]
    for quantity, says in (("ring_ln_ohm", "line to neutral"), ("ring_le_ohm", "line to earth")):
        own, ring = _of(rows, quantity), on_ring(circuit)
        points = [point for point in circuit.circuit.points if point in ring]
        gaps = _at_points(circuit, own, points) if points else [] if own else ["a point"]
        missing += [f"{says} cross-connected at {', '.join(gaps)}"] if gaps else []
    return mine, missing


def _insulation(circuit: CircuitDesign, rows: Rows) -> Found:
    """Between the live conductors, and all of them to earth, together or one by one. Between two circuits is another question."""
    own = [each for each in _of(rows, "insulation_mohm") if not each.row.b or each.row.b.startswith(circuit.at)]
    asked = [_cores(each.row) for each in own]
    missing = []
    if "LN" not in asked:
        missing.append("insulation between line and neutral")
    if "LN-E" not in asked and not {"LE", "NE"} <= set(asked):
        missing.append("insulation of line and neutral to earth")
    return own, missing


def _cores(row: Reading) -> str:
    """Between which conductors an insulation reading was taken, by its places or by how it was asked."""
    said, ends = row.setup.lower(), row.a[-2:] + row.b[-2:]
    if ends[0] == "." and len(ends) == 4:
        return ends[1] + ends[3]
    if "together" in said and "earth" in said:
        return "LN-E"
    return next((cores for words, cores in (("line to neutral", "LN"), ("line to earth", "LE"), ("neutral to earth", "NE"))
                 if words in said), "")


def _polarity(circuit: CircuitDesign, rows: Rows) -> Found:
    """A reading between line and another conductor at each point that feeds something, dead or live."""
    mine = [each for each in _of(rows, "r1r2_ohm", "ring_le_ohm", "supply_v", "zs_ohm") if not _without_line(each.row)]
    points = _fed(circuit)
    if not points:
        return mine, [] if mine else ["line to earth at its point"]
    gaps = _at_points(circuit, mine, points)
    return mine, [f"line to earth at {', '.join(gaps)}"] if gaps else []


def _without_line(row: Reading) -> bool:
    """A voltage from neutral to earth reads nothing at a point that is not joined at all."""
    return row.quantity == "supply_v" and "L" not in _cores(row) and bool(_cores(row))


def _loop(_: CircuitDesign, rows: Rows) -> Found:
    mine = _of(rows, "zs_ohm")
    return mine, [] if mine else ["the earth fault loop"]


def _residual(circuit: CircuitDesign, rows: Rows) -> Found:
    mine, design = [each for each in _of(rows, "trip_ms") if at_rating(each.row)], circuit.design
    now = [r for r in design.standing.get("trip_ms", ()) if r.stage == design.inst.stage and _holds_something(r)]
    if timed(circuit, now):
        return mine, []
    known = _own(circuit) or design.has_residual(circuit)
    gap = "the time in which its residual-current device trips"
    return mine, [gap if known else f"{gap}, if it has one: the record does not tell"]


def at_rating(row: Reading) -> bool:
    """At half its rating and on a rising current no time is told."""
    return not any(word in row.setup.lower() for word in NOT_TIMED)


def timed(circuit: CircuitDesign, rows: Iterable[Reading]) -> bool:
    """Whether by these rows every residual-current device that a circuit relies on was timed: its own; else all before it.

    A row at the circuit itself is of its own device, or of the nearest before it."""
    read = {".".join(row.a.split(".")[:2]) for row in rows if row.quantity == "trip_ms" and at_rating(row)}
    guards = () if _own(circuit) else circuit.protected_by or ()
    before = [{f"equipment.{guard.name}", f"circuits.{guard.name}"} for guard in guards] or [set()]
    before[-1].add(circuit.at)
    return all(names & read for names in before)


_WAYS: dict[str, Callable[[CircuitDesign, Rows], Found]] = {
    "protective conductor": _protective, "ring": _ring, "insulation": _insulation, "polarity": _polarity, "loop": _loop,
    "residual current": _residual}
