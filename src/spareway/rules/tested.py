"""Rules of readings as such: whether the tests were done, whether a reading can be what it says, what it may be a slip for."""
from __future__ import annotations

import math
from collections.abc import Sequence

from spareway.design.circuit import CircuitDesign
from spareway.design.design import Design
from spareway.fact import Fact
from spareway.job.rows import Reading
from spareway.job.types import Instrument
from spareway.readings.band import LIMITS
from spareway.readings.expected import Judged, against, expected, judged_now
from spareway.readings.instrument import CONTINUITY, calibrated
from spareway.readings.neat import neat
from spareway.readings.slips import slips
from spareway.readings.tested import due, ends_apart, odd, tested
from spareway.rules.base import Answer, at_most, does_not_apply, rule
from spareway.tables import look_up

RING_ENDS = ("ring_r1_ohm", "ring_rn_ohm", "ring_r2_ohm")
NOT_READ = does_not_apply("nothing of it was read at this stage")
ENDS = ("least", "most")                                      # of the temperatures that conductors have indoors


def _said(row: Reading) -> str:
    return f"{row.shown} at {row.a} (readings.csv:{row.line})"


def _untold(rows: Sequence[Judged]) -> list[str]:
    """Readings of which the record tells nothing, and why. Between two ends is something, and so is a limit."""
    return [f"{_said(each.row)}: {each.expected.why}" for each in rows
            if not each.expected.fact.known and each.expected.most == math.inf]


def _shown(rows: Sequence[Judged]) -> tuple[Fact[float], ...]:
    return tuple(each.expected.fact for each in rows)


@rule("TE1", about="circuit", breach="unknown", clause="641.1; 643.1")
def tests_not_done(circuit: CircuitDesign, design: Design) -> Answer:
    """Tests of this circuit do not stand in the record, or a reading of them cannot be believed.

    Why: what was not measured was not shown to be sound, and a blank on a schedule is read as if it had been.
    Remedial: take the readings that are named, or record with whom it was agreed to leave them out, and why.
    Fires on: dates = { test = "2026-11-09" }
    Passes on: dates = { test = "2026-11-09" }
      remove = ["circuits.plugs", "circuits.lamps", "circuits.oven"]
      readings = [{ quantity = "r1r2_ohm", a = "circuits.warmth", value = 0.29, temp_c = 20 }, { quantity = "zs_ohm", a = "circuits.warmth", value = 0.6, temp_c = 20 }, { quantity = "insulation_mohm", a = "circuits.warmth", setup = "line to neutral", over = ">200" }, { quantity = "insulation_mohm", a = "circuits.warmth", setup = "line and neutral together; to earth", over = ">200" }, { quantity = "trip_ms", a = "circuits.warmth", value = 24 }]
    """
    if not _due(design):
        return does_not_apply("tests are due once work is fitted, or where a day of testing is recorded and no work")
    answers = [tested(design, circuit.circuit.name, test) for test in due(design, circuit.circuit.name)]
    short = [answer.says for answer in answers if answer.ok is not True]
    return Answer(not short, "; ".join(short) or f"read: {', '.join(due(design, circuit.circuit.name))}")


def _due(design: Design) -> bool:
    """Whether this stage is one that is tested: what was fitted, or what was found where no work follows."""
    dates = design.inst.about.dates
    return design.inst.stage == "fitted" or design.inst.stage == "found" and "test" in dates and "work" not in dates


@rule("TE2", about="circuit", breach="unknown", clause="643.1", authority="common practice")
def reading_far_off(circuit: CircuitDesign, _: Design) -> Answer:
    """A reading lies too far from what the record leads to expect.

    Why: length, temperature and instrument do not account for it. The reading is wrong, the record is, or the wiring is; until it is known which, it shows nothing to be in order.
    Remedial: read again with nulled leads; then look for a fault, and put length or size right where they were wrong.
    Fires on: readings = [{ quantity = "r1r2_ohm", a = "circuits.lamps", value = 2.9, temp_c = 20 }]
    Passes on: readings = [{ quantity = "r1r2_ohm", a = "circuits.lamps", value = 0.95, temp_c = 20 }]
    """
    rows = [each for each in judged_now(circuit)
            if each.row.quantity not in LIMITS and not (each.row.quantity in RING_ENDS and each.row.over)]
    if not rows:
        return does_not_apply("nothing was read at this stage that the record leads to expect a figure of")
    far = odd(rows)
    if not far and (gaps := _untold(rows)):
        return Answer(None, f"Not known what it should read: {'; '.join(gaps)}")
    says = "; ".join(f"{_said(each.row)}, about {each.expected.fact} expected" for each in far)
    return Answer(not far, says or f"{len(rows)} readings lie about where the record leads to expect them", _shown(far or rows[:1]))


@rule("TE3", about="circuit", breach="advice", clause="643.1", authority="common practice")
def slip_likely(circuit: CircuitDesign, _: Design) -> Answer:
    """A reading may be a slip of the pen: its point, its unit or its column.

    Why: a slip of the pen hides a fault, or makes one where there is none.
    Remedial: look at the display or read again; strike the row and write what it showed. Nothing is put right by itself.
    Fires on: readings = [{ quantity = "r1r2_ohm", a = "circuits.lamps", value = 9.1, temp_c = 20 }]
    Passes on: readings = [{ quantity = "r1r2_ohm", a = "circuits.lamps", value = 0.91, temp_c = 20 }]
    """
    if not judged_now(circuit):
        return NOT_READ
    asked = slips(circuit, judged_now(circuit))
    return Answer(not asked, "; ".join(slip.says for slip in asked) or "no reading looks like a slip")


@rule("TE4", about="installation", breach="advice", clause="643.1", authority="common practice")
def set_too_neat(_: Design, design: Design) -> Answer:
    """A set of readings agrees so well that it asks whether each was taken.

    Why: figures that were reckoned and not read say nothing about the wiring.
    Remedial: a person who was there says so, or takes some of them again; this is a question and accuses nobody.
    Fires on: readings = [{ quantity = "insulation_mohm", a = "circuits.lamps", value = 199 }, { quantity = "insulation_mohm", a = "circuits.oven", value = 199 }, { quantity = "insulation_mohm", a = "circuits.warmth", value = 199 }, { quantity = "insulation_mohm", a = "circuits.plugs", value = 199 }]
    Passes on: readings = [{ quantity = "insulation_mohm", a = "circuits.lamps", value = 45 }, { quantity = "insulation_mohm", a = "circuits.oven", value = 180 }, { quantity = "insulation_mohm", a = "circuits.warmth", value = 199 }, { quantity = "insulation_mohm", a = "circuits.plugs", value = 199 }]
    """
    if not any(row.stage == design.inst.stage for rows in design.standing.values() for row in rows):
        return NOT_READ
    found = neat(design)
    return Answer(not found, "; ".join(each.says for each in found) or "no set of them is too alike, or too near what was expected")


@rule("TE5", about="circuit", breach="advice", clause="643.2.1", authority="common practice")
def leads_not_nulled(circuit: CircuitDesign, _: Design) -> Answer:
    """The conductors were read without taking off the test leads.

    Why: the leads have about as much as a short circuit's conductors, so that every reading is too high by the same amount.
    Remedial: null the leads and read again; a reading that was meant to be compared with another is of no use as it is.
    Fires on: readings = [{ quantity = "r1r2_ohm", a = "circuits.lamps", value = 1.1, nulled = "no" }]
    Passes on: readings = [{ quantity = "r1r2_ohm", a = "circuits.lamps", value = 0.95, nulled = "yes" }]
    """
    rows = [each.row for each in judged_now(circuit) if each.row.quantity in CONTINUITY and each.row.value is not None]
    if not rows:
        return does_not_apply("no resistance of its conductors was read at this stage")
    without, unsaid = ([row for row in rows if row.nulled is said] for said in (False, None))
    if without or unsaid:
        says = f"{'not nulled' if without else 'not said whether nulled'}: {', '.join(_said(row) for row in without or unsaid)}"
        return Answer(False if without else None, says if without else f"Not known: {says}")
    return Answer(True, f"the leads were nulled for {len(rows)} readings")


@rule("TE6", about="circuit", breach="unknown", clause="643.1; On-Site Guide Appendix I", authority="common practice")
def temperature_missing(circuit: CircuitDesign, design: Design) -> Answer:
    """A reading is in order at some temperatures only, and none was written down.

    Why: copper has a tenth more resistance at 30 °C than at 5 °C.
    Remedial: write down the temperature where the cable runs, or read again with it.
    Fires on: readings = [{ quantity = "r1r2_ohm", a = "circuits.lamps", value = 1.1 }]
    Passes on: readings = [{ quantity = "r1r2_ohm", a = "circuits.lamps", value = 0.95 }]
    """
    rows = [each for each in judged_now(circuit) if each.row.quantity in (*CONTINUITY, "zs_ohm")]
    if not rows:
        return does_not_apply("no resistance of its conductors was read at this stage")
    without = [each for each in rows if each.row.temp_c is None]
    if gaps := _untold(without):
        return Answer(None, f"Not known whether the temperature that was not written down matters: {'; '.join(gaps)}")
    turning = [each.row for each in without if _turns(each.row, design)]
    return Answer(not turning, "; ".join(map(_said, turning)) or "no temperature that conductors have indoors would make a difference")


def _turns(row: Reading, design: Design) -> bool:
    """Whether it falls on one side at one end of the temperatures indoors and on another at the other."""
    fell = set()
    for end in ENDS:
        temp_c = look_up("reading_doubt", design.books, design.case(end)).value
        told = expected(design, row.quantity, row.a, row.b, row.setup, float(temp_c), row.loads, row.nulled)
        if told is not None:
            fell.add(against(row, told, design.books))
    return len(fell) > 1


@rule("TE7", about="circuit", breach="fails", clause="643.2.1; 433.1.204")
def loop_of_a_broken_ring(circuit: CircuitDesign, _: Design) -> Answer:
    """A conductor of the ring is open or badly joined: however low the earth fault loop reads, it proves nothing of the ring.

    Why: the other leg carries the test current, and would carry the fault and the load alone.
    Remedial: locked off and proved dead: find the place by the ring's own readings, make it good, read the three conductors end to end again, and only then the loop.
    Fires on: readings = [{ quantity = "zs_ohm", a = "circuits.plugs", value = 0.6, temp_c = 20 }, { quantity = "ring_r1_ohm", a = "circuits.plugs", value = 0.33, temp_c = 20 }, { quantity = "ring_rn_ohm", a = "circuits.plugs", value = 0.33, temp_c = 20 }, { quantity = "ring_r2_ohm", a = "circuits.plugs", over = ">99.9" }]
    Passes on: readings = [{ quantity = "zs_ohm", a = "circuits.plugs", value = 0.6, temp_c = 20 }, { quantity = "ring_r1_ohm", a = "circuits.plugs", value = 0.33, temp_c = 20 }, { quantity = "ring_rn_ohm", a = "circuits.plugs", value = 0.33, temp_c = 20 }, { quantity = "ring_r2_ohm", a = "circuits.plugs", value = 0.54, temp_c = 20 }]
    """
    rows = judged_now(circuit)
    loops = [each for each in rows if each.row.quantity == "zs_ohm"]
    ends = [each for each in rows if each.row.quantity in RING_ENDS]
    bad = [each for each in ends if each.row.value is None or each.fell == "far high"]
    if not circuit.is_ring or not (loops or bad):
        return does_not_apply("no ring, or its loop was not read at this stage")
    if bad:
        loop = f"its loop {_said(loops[0].row)}; " if loops else "its loop not read yet; "
        return Answer(False, f"{loop}end to end {', '.join(_said(each.row) for each in bad)}", _shown(bad))
    if gaps := _untold(ends):
        return Answer(None, f"Not known whether its conductors read as they should: {'; '.join(gaps)}")
    if len({each.row.quantity for each in ends}) < len(RING_ENDS):
        return Answer(None, "Not known: its loop was read, and its three conductors were not each read from end to end")
    return Answer(True, "its three conductors read end to end, none of them open or far too high", _shown(ends))


@rule("TE8", about="installation", breach="advice", clause="GN3; BS EN 61008", authority="common practice")
def device_trips_early(_: Design, design: Design) -> Answer:
    """A residual-current device trips at less current, or sooner, than its standard has it.

    Why: it will trip for nothing, or before the one that it should leave the fault to; or current already leaks beyond it.
    Remedial: read again with everything beyond it disconnected; what then reads well tells that the leakage is out there.
    Fires on: readings = [{ quantity = "trip_ms", a = "circuits.plugs", setup = "half", value = 90 }]
    Passes on: readings = [{ quantity = "trip_ms", a = "circuits.plugs", setup = "half", over = ">1999" }]
    """
    return _residual(design, "low")


@rule("TE9", about="installation", breach="fails", clause="BS EN 61008; BS EN 61009")
def ramp_too_high(_: Design, design: Design) -> Answer:
    """A residual-current device did not trip on a rising current before the most that its standard allows.

    Why: what it is there to clear may flow for good.
    Remedial: read again with its own test current shape; replace the device if it is still too high.
    Fires on: readings = [{ quantity = "ramp_ma", a = "circuits.plugs", value = 48 }]
    Passes on: readings = [{ quantity = "ramp_ma", a = "circuits.plugs", value = 22 }]
    """
    return _residual(design, "high", ("ramp_ma",))


def _residual(design: Design, side: str, quantities: tuple[str, ...] = ("trip_ms", "ramp_ma")) -> Answer:
    """The readings of residual-current devices at this stage, and those that fell on this side of what their standard allows."""
    rows = [row for name in quantities for row in design.standing.get(name, ()) if row.stage == design.inst.stage]
    told = [(row, each) for row in rows if (each := expected(design, row.quantity, row.a, row.b, row.setup))]
    if not told:
        return does_not_apply("no residual-current device was read so at this stage")
    off = [(row, each) for row, each in told if against(row, each, design.books) == side]
    if off:
        return Answer(False, "; ".join(f"{_said(row)}, {each.why}" for row, each in off), tuple(each.fact for _, each in off))
    gaps = [row for row, each in told if not each.fact.known]
    if gaps:
        return Answer(None, f"Not known what it should be: {', '.join(map(_said, gaps))}; record rating, type and delay")
    return Answer(True, f"{len(told)} readings lie within their standard on this side")


@rule("TE10", about="circuit", breach="unknown", clause="643.2.1; GN3", authority="common practice")
def ring_ends_apart(circuit: CircuitDesign, design: Design) -> Answer:
    """Line and neutral of the ring, read end to end, lie too far apart.

    Why: they run side by side and are of one size: what one has more is a bad joint, or a length that is not in the ring.
    Remedial: locked off and proved dead: make the ends again and read once more; then find the place by readings along the ring.
    Fires on: readings = [{ quantity = "ring_r1_ohm", a = "circuits.plugs", value = 0.33, temp_c = 20 }, { quantity = "ring_rn_ohm", a = "circuits.plugs", value = 0.41, temp_c = 20 }]
    Passes on: readings = [{ quantity = "ring_r1_ohm", a = "circuits.plugs", value = 0.33, temp_c = 20 }, { quantity = "ring_rn_ohm", a = "circuits.plugs", value = 0.36, temp_c = 20 }]
    """
    if not circuit.is_ring or not any(each.row.quantity in RING_ENDS[:2] for each in judged_now(circuit)):
        return does_not_apply("no ring, or neither its line nor its neutral was read from end to end at this stage")
    apart = ends_apart(circuit)
    if apart is None:
        return Answer(None, "Not known: its line and its neutral were not both read from end to end, each in a number")
    return at_most(apart, look_up("thresholds", design.books, design.case("ring_ends_apart_ohm")))


@rule("TE11", about="installation", breach="unknown", clause="643.1")
def calibration_run_out(_: Design, design: Design) -> Answer:
    """A reading was taken with a tester whose calibration had run out, or was not done yet, on that day.

    Why: how far such a tester may be out is not known, so that what it read supports no limit.
    Remedial: read again with a tester in calibration, or have this one checked as it is and keep what it was found to be out by.
    Fires on: readings = [{ quantity = "r1r2_ohm", a = "circuits.lamps", value = 0.95, instrument = "tester-1" }]
      kit.tester-1 = { serial = "0042", calibrated = 2025-09-01, until = 2026-09-01 }
    Passes on: readings = [{ quantity = "r1r2_ohm", a = "circuits.lamps", value = 0.95, instrument = "tester-1" }]
      kit.tester-1 = { serial = "0042", calibrated = 2026-03-02, until = 2027-03-02 }
    """
    rows = [row for rows in design.standing.values() for row in rows
            if row.stage == design.inst.stage and (row.value is not None or row.over)]
    if not rows:
        return NOT_READ
    out = [row for row in rows if calibrated(row, design.inst.kit) is False]
    untold = [row for row in rows if calibrated(row, design.inst.kit) is None]
    if out:
        return Answer(False, f"out of calibration on the day: {', '.join(f'{_said(row)} with {row.instrument}' for row in out)}")
    if untold:
        return Answer(None, f"Not known whether in calibration: {_without(untold, design)}")
    return Answer(True, f"{len(rows)} readings, each with a tester in calibration on its day by the record of it")


def _without(rows: Sequence[Reading], design: Design) -> str:
    """The testers, each with the dates that lack, and how many rows name none."""
    named = dict.fromkeys(row.instrument for row in rows if row.instrument)
    bare_n = len([row for row in rows if not row.instrument])
    return "; ".join([*(f"{name}: {_dates_lacking(design.inst.kit.get(name))} kit.toml" for name in named),
                      *([f"{bare_n} readings name no tester"] if bare_n else [])])


def _dates_lacking(of: Instrument | None) -> str:
    """Which date of a calibration nobody wrote down."""
    if of is None or of.calibrated is None and of.until is None:
        return "no dates in"
    return f"{'until when its calibration holds' if of.until is None else 'when it was last calibrated'} is not in"


RULES = (tests_not_done, reading_far_off, slip_likely, set_too_neat, leads_not_nulled, temperature_missing, loop_of_a_broken_ring,
         device_trips_early, ramp_too_high, ring_ends_apart, calibration_run_out)
