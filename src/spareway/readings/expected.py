"""What each reading should be, by the design as it stands, at its temperature; and what to make of one that was taken.

Asked only for a reading that was entered, or by a supervisor: nothing here is shown before.
"""
from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

from spareway.doc import trail
from spareway.fact import Fact, chosen
from spareway.job.rows import Reading
from spareway.physics import cable
from spareway.readings.band import CANNOT_TELL, FAR, Expected, against, at_temperature, factors, in_doubt
from spareway.readings.conductors import Wire, along, crosswise, end_to_end, in_service, leg, of_run
from spareway.readings.floor import insulation, whole_board
from spareway.readings.instrument import CONTINUITY, Accuracy, accuracy
from spareway.readings.residual import device_of, ramp, trip_time
from spareway.readings.supplied import at_electrode, fault_current, loop_at_origin, loop_at_point, neutral_loop, voltage

if TYPE_CHECKING:
    from spareway.design.circuit import CircuitDesign
    from spareway.design.design import Design

__all__ = ["CANNOT_TELL", "FAR", "Expected", "Judged", "against", "cores", "expected", "judged", "judged_now",
           "line_as_read", "own_rows"]

ENDS = {"ring_r1_ohm": "L", "ring_rn_ohm": "N", "ring_r2_ohm": "E"}
CROSS = {"ring_ln_ohm": "LN", "ring_le_ohm": "LE", "ring_ne_ohm": "NE"}
IN_SERIES = {"r1r2_ohm": "LE", "r1rn_ohm": "LN", "rnr2_ohm": "NE", "r1_ohm": "L", "r2_ohm": "E"}


@dataclass(frozen=True, slots=True)
class Place:
    """Where a reading was taken: `circuits.lamps.points.p2.N` is point p2, core N, of the circuit lamps."""
    table: str
    name: str
    point: str
    core: str


def _place(address: str) -> Place:
    at = trail(address)
    rest = at[2:]
    point = rest[1] if len(rest) > 1 and rest[0] == "points" else ""
    core = rest[-1] if rest and rest[-1] in ("L", "N", "E") else ""
    return Place(at[0] if at else "", at[1] if len(at) > 1 else "", point, core)


def expected(design: Design, quantity: str, a: str, b: str = "", setup: str = "", temp_c: float | None = None,
             loads: str = "", nulled: bool | None = None) -> Expected | None:
    """What a reading should be, from the design. None where nothing here tells, as of a length or of a place that is not there.

    quantity, a, b, setup, temp_c (°C), loads, nulled: as in a row of readings.csv. Least and most in the quantity's own unit."""
    of, at = accuracy(quantity, setup, design.books), _place(a)
    if of is None:
        return None
    if quantity == "insulation_mohm":
        return _insulation(design, at, b, loads, of)
    if quantity in ("trip_ms", "ramp_ma") and at.table in ("circuits", "equipment"):
        device = device_of(design, at.table, at.name)
        return trip_time(design, device, setup, of) if quantity == "trip_ms" else ramp(design, device, of)
    if quantity == "supply_v":
        circuit = design.circuits.get(at.name) if at.table == "circuits" else None
        return voltage(design, cores(a, b, setup), circuit.drop_limit_v if circuit else None, of)
    if at.table == "supplies":
        return _at_supply(design, quantity, setup, of)
    if quantity == "electrode_ohm":
        return at_electrode(design, of)
    if at.table == "runs" and at.name in design.runs and quantity in CONTINUITY:
        return _run(design, at.name, quantity, temp_c, of, nulled)
    if at.table == "circuits" and at.name in design.circuits:
        return _circuit(design.circuits[at.name], quantity, at, setup, temp_c, of, nulled)
    return None


def _insulation(design: Design, at: Place, b: str, loads: str, of: Accuracy) -> Expected | None:
    if at.table == "circuits" and at.name in design.circuits:
        return insulation(design)
    if at.table == "equipment" and at.name in design.boards and not b:
        return whole_board(design, at.name, loads, of)
    return whole_board(design, "", loads, of) if at.table == "supplies" and not b else None


def _at_supply(design: Design, quantity: str, setup: str, of: Accuracy) -> Expected | None:
    if quantity == "ze_ohm":
        return loop_at_origin(design, of)
    if quantity == "loop_ln_ohm":
        return neutral_loop(design, of)
    return fault_current(design, quantity, setup, of) if quantity in ("prospective_ka", "fault_ka") else None


def cores(a: str, b: str, setup: str) -> str:
    """Between which conductors a voltage was read, by the two places, else by how it was asked: LN where nothing is said."""
    at, other = _place(a), _place(b)
    if at.core and other.core:
        return at.core + other.core
    said = setup.lower()
    return "NE" if "neutral to earth" in said else "LE" if "line to earth" in said else "LN"


def _run(design: Design, name: str, quantity: str, temp_c: float | None, of: Accuracy, nulled: bool | None) -> Expected:
    """An earthing conductor, a bond, or another run from end to end."""
    run = design.runs[name]
    wire = of_run(run, quantity)
    site = at_temperature(wire, quantity, temp_c, design.books, nulled)
    return in_doubt(site.fact, site, of, site.why)


def _circuit(circuit: CircuitDesign, quantity: str, at: Place, setup: str, temp_c: float | None, of: Accuracy,
             nulled: bool | None) -> Expected | None:
    wire = _wire(circuit, quantity, at, setup)
    if wire is None:
        return None
    if quantity == "zs_ohm":
        return loop_at_point(circuit, wire, temp_c, of)
    site = at_temperature(wire, quantity, temp_c, circuit.books, nulled)
    return in_doubt(site.fact, site, of, site.why)


def _wire(circuit: CircuitDesign, quantity: str, at: Place, setup: str) -> Wire | None:
    """The conductors that a reading goes through."""
    if quantity in ENDS:
        line_m = line_as_read(circuit) if quantity != "ring_r1_ohm" else None
        return end_to_end(circuit, ENDS[quantity], line_m) if circuit.is_ring else None
    if quantity in CROSS:
        return crosswise(circuit, CROSS[quantity], at.point, line_as_read(circuit)) if circuit.is_ring else None
    if quantity == "leg_ohm":
        back = "leg b" in setup.lower()
        return leg(circuit, at.core or "L", at.point, back, line_as_read(circuit)) if circuit.is_ring else None
    if quantity == "zs_ohm" and circuit.is_ring:
        return in_service(circuit, at.point, line_as_read(circuit))
    if quantity in (*IN_SERIES, "zs_ohm"):
        cores = IN_SERIES.get(quantity, "LE")
        return crosswise(circuit, cores, at.point, line_as_read(circuit)) if circuit.is_ring and len(cores) > 1 else \
            along(circuit, cores, at.point)
    return None


# ---- rows that stand ------------------------------------------------------------------------------------------------
def own_rows(circuit: CircuitDesign) -> tuple[Reading, ...]:
    """The standing rows of a circuit and all beneath it, of this stage; those as found of a quantity not read at this stage."""
    at, stage, found = circuit.at, circuit.design.inst.stage, list[Reading]()
    for rows in circuit.design.standing.values():
        own = [r for r in rows if r.a == at or r.a.startswith(f"{at}.")]
        found += [r for r in own if r.stage == stage] or own
    return tuple(sorted(found, key=lambda r: r.line))


def line_as_read(circuit: CircuitDesign) -> Fact[float] | None:
    """The way round a ring as its line conductor, read end to end, tells it; its span is what the instrument leaves in doubt.

    None where it was not read, not in one number, without temperature or null, or not as the record leads to expect."""
    if circuit not in _lines:
        _lines[circuit] = _line_as_read(circuit)
    return _lines[circuit]


_lines: WeakKeyDictionary[CircuitDesign, Fact[float] | None] = WeakKeyDictionary()


def _line_as_read(circuit: CircuitDesign) -> Fact[float] | None:
    rows = [r for r in circuit.design.standing.get("ring_r1_ohm", ()) if r.a == circuit.at]
    rows = [r for r in rows if r.stage == circuit.design.inst.stage] or rows
    if len(rows) != 1 or not rows[0].value or rows[0].temp_c is None or rows[0].nulled is False:
        return None
    row, of = rows[0], accuracy("ring_r1_ohm", "", circuit.books)
    told = expected(circuit.design, "ring_r1_ohm", circuit.at, "", row.setup, row.temp_c)
    if of is None or told is None or against(row, told, circuit.books) != "as expected":
        return None
    return _length(circuit, row, of)


def _length(circuit: CircuitDesign, row: Reading, of: Accuracy) -> Fact[float]:
    factor = factors(row.temp_c, circuit.books)[0]
    shown = Fact("reading_ohm", row.value, "measured", f"readings.csv:{row.line}", at=row.a)
    cold = chosen("r_at_20_ohm", lambda ohm, by: ohm / by, [shown, factor], "the reading over its factor",
                  "brought back to 20 °C", "BS EN 60228")
    length = cable.length_of_reading_m.worked(cold, circuit.r1_mohm_per_m)
    if length.amount is None or not row.value:
        return length
    share = of.error(row.value) / row.value
    return Fact("length_m", length.value, length.how, length.where, "from the line conductor end to end", "", circuit.at,
                (length.value * (1 - share), length.value * (1 + share)), (), length.inputs, length.formula)


@dataclass(frozen=True, slots=True)
class Judged:
    """A row that was entered, what it should have been, and on which side it fell."""
    row: Reading
    expected: Expected
    fell: str


_kept: WeakKeyDictionary[CircuitDesign, dict[bool, tuple[Judged, ...]]] = WeakKeyDictionary()


def judged(circuit: CircuitDesign) -> tuple[Judged, ...]:
    """The circuit's own rows, each against what it should be by the design of this stage; those of which nothing tells are left
    out. Worked out once."""
    return _judged(circuit, False)


def judged_now(circuit: CircuitDesign) -> tuple[Judged, ...]:
    """Those of this stage alone: what was read before the work is no test of what the work made."""
    return _judged(circuit, True)


def _judged(circuit: CircuitDesign, now: bool) -> tuple[Judged, ...]:
    kept = _kept.setdefault(circuit, {})
    if now not in kept:
        stage = circuit.design.inst.stage
        kept[now] = tuple(_against_each(circuit, [row for row in own_rows(circuit) if not now or row.stage == stage]))
    return kept[now]


def _against_each(circuit: CircuitDesign, rows: Sequence[Reading]) -> Iterator[Judged]:
    for row in rows:
        found = expected(circuit.design, row.quantity, row.a, row.b, row.setup, row.temp_c, row.loads, row.nulled)
        if found is not None:
            yield Judged(row, found, against(row, found, circuit.books))
