"""Rules of what an instrument showed, against its limit: a bad reading is told of whatever was worked out. Issue 6 judges the rest."""
from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from spareway.design.circuit import CircuitDesign
from spareway.design.design import Design
from spareway.design.run import RunDesign
from spareway.fact import Fact, glossary, unknown
from spareway.job.rows import Reading, never_nought
from spareway.job.types import Device, Equipment
from spareway.rules.base import Answer, all_of, at_least, at_most, best_of, does_not_apply, rule
from spareway.tables import look_up

LOADS_IN = "in"
RING_ENDS = ("ring_r1_ohm", "ring_rn_ohm", "ring_r2_ohm")
RESISTANCES = ("r_ohm", "r2_ohm", "reading_ohm")
TIMES = {"five": "five_times_", "5x": "five_times_", "5×": "five_times_", "5 x": "five_times_", "5 ×": "five_times_", "two": "double_",
         "2x": "double_", "2×": "double_", "2 x": "double_", "2 ×": "double_"}
NO_TIME = ("half", "ramp", "0.5")                    # asked whether, or from what current, it trips: no time stands against a limit


def rows_at(design: Design, address: str, *quantities: str) -> tuple[Reading, ...]:
    """Standing readings of an address and all beneath it: those of this stage, those as found where there is none."""
    rows = tuple(r for q in quantities for r in design.standing.get(q, ()) if r.a == address or r.a.startswith(f"{address}."))
    rows = rows if len(quantities) == 1 else tuple(sorted(rows, key=lambda r: r.line))
    return tuple(r for r in rows if r.stage == design.inst.stage) or rows


def shown(row: Reading) -> Fact[float]:
    """What the instrument showed; over range, the end of its range, and unknown where that is not written; unknown where it showed
    nought of what is never nought."""
    where = f"readings.csv:{row.line}"
    if why := never_nought(row):
        return unknown(row.quantity, why, where, row.a)
    if row.value is not None:
        return Fact(row.quantity, row.value, "measured", where, at=row.a)
    if row.over.startswith(">"):
        return Fact(row.quantity, float(row.over[1:]), "measured", where, f"over range ({row.over})", at=row.a)
    return unknown(row.quantity, "over range, and where its range ends is not written", where, row.a)


def read_at_most(row: Reading, limit: Fact[float], design: Design) -> Answer:
    """Yes where the reading does not exceed the limit. More than a range that reaches the limit, or no reading at all, is a no."""
    value = shown(row)
    if not limit.known:
        return at_most(value, limit)
    if row.value is None:
        reached = value.amount is None or limit.amount is None or value.amount >= limit.amount
        says = f"{row.a} read {row.over_words}; limit {limit}"
        return _then(row, Answer(False if reached else None, says if reached else f"Not known: {says}, which lies beyond that range",
                                 (value, limit)), design)
    return _then(row, at_most(value, limit), design)


def read_at_least(row: Reading, limit: Fact[float], design: Design, stays: bool = False) -> Answer:
    """Yes where the reading reaches the limit; over a range that reaches it is a yes, over an unwritten range cannot tell.

    stays: a no of an earlier stage stays a no until it is read again, as mere advice may."""
    answer = at_least(shown(row), limit)
    if row.value is None and answer.ok is False:
        return Answer(None, f"Not known: {row.a} read {row.over_words}, and the limit {limit} lies beyond it", answer.facts)
    return _then(row, answer, design, stays)


def _then(row: Reading, answer: Answer, design: Design, stays: bool = False) -> Answer:
    """A bad reading of an earlier stage: whether it still is so nobody has read since."""
    said = f"{answer.says} ({row.a}, readings.csv:{row.line})"
    if answer.ok is False and row.stage != design.inst.stage:
        if stays:
            return replace(answer, says=f"As {row.stage}, and not read again at this stage: {said}")
        return Answer(None, f"Not known: as {row.stage}, {said}; it was not read again at this stage", answer.facts)
    return replace(answer, says=said)


def zs_as_read(circuit: CircuitDesign, design: Design) -> Sequence[Answer]:
    """Each loop read on this circuit: within up to the limit for a cold reading, a no above that for the device, else not known."""
    residual = circuit.residual_ma.known
    by_electrode = design.supply.earthing.amount == "TT" and design.has_residual(circuit) is not False
    found = []
    for row in rows_at(design, circuit.at, "zs_ohm"):
        by_residual = read_at_most(row, circuit.electrode_limit_ohm, design) if residual or by_electrode else None
        if by_electrode and by_residual is not None:
            found.append(by_residual)
            continue
        cold, full = (read_at_most(row, limit, design) for limit in (circuit.zs_site_limit_ohm, circuit.zs_limit_ohm))
        device = Answer(None, f"Not known whether it holds with the cable warm: {cold.says}", cold.facts) \
            if cold.ok is False and full.ok else cold if full.ok else full
        found.append(best_of([device, by_residual]) if by_residual is not None else device)
    return found


@rule("ME1", about="circuit", breach="fails", clause="643.3.2 Table 64")
def insulation_read_low(circuit: CircuitDesign, design: Design) -> Answer:
    """The insulation of the circuit read below the limit.

    Why: current leaks where it may heat, shock, or open a residual-current device; a low reading does not get better.
    Remedial: leave it off; locked off and proved dead, take out what is connected and read again, then halve the circuit until the bad length is found.
    Fires on: readings = [{ quantity = "insulation_mohm", a = "circuits.lamps", value = 0.4, loads = "out" }]
    Passes on: readings = [{ quantity = "insulation_mohm", a = "circuits.lamps", over = ">200", loads = "out" }]
    """
    out, within = _insulation(circuit, design)
    rows = out or within
    if not rows:
        return does_not_apply("its insulation was not read")
    least = look_up("thresholds", design.books, design.case("insulation_mohm"))
    answer = all_of([read_at_least(row, least, design) for row in rows])
    return answer if out or answer.ok is not False else replace(answer, says=f"{answer.says}; read with loads in: read again with them out")


@rule("ME2", about="circuit", breach="advice", clause="643.3.2; 643.3.3", authority="common practice")
def connected_load_reads_low(circuit: CircuitDesign, design: Design) -> Answer:
    """With the loads connected the insulation read below the limit, and without them it did not.

    Why: the fault lies in what was connected, and comes back with it.
    Remedial: find which appliance it is, and keep it off until it is repaired or replaced.
    Fires on: readings = [{ quantity = "insulation_mohm", a = "circuits.oven", value = 0.4, loads = "in" }, { quantity = "insulation_mohm", a = "circuits.oven", value = 180, loads = "out" }]
    Passes on: readings = [{ quantity = "insulation_mohm", a = "circuits.oven", value = 40, loads = "in" }, { quantity = "insulation_mohm", a = "circuits.oven", value = 180, loads = "out" }]
    """
    out, within = _insulation(circuit, design)
    if not within:
        return does_not_apply("it was not read with its loads")
    least = look_up("thresholds", design.books, design.case("insulation_mohm"))
    answer = all_of([read_at_least(row, least, design, stays=True) for row in within])
    if out or answer.ok:
        return answer
    return Answer(None, f"Not known whether without its loads too: {answer.says}", answer.facts)


def _insulation(circuit: CircuitDesign, design: Design) -> tuple[list[Reading], list[Reading]]:
    """Readings without and with the loads; between two circuits' neutrals is another question, and CI10's."""
    rows = [r for r in rows_at(design, circuit.at, "insulation_mohm") if not r.b or r.b.startswith((circuit.at, "supplies.", "equipment."))]
    return [r for r in rows if r.loads != LOADS_IN], [r for r in rows if r.loads == LOADS_IN]


@rule("ME3", about="circuit", breach="fails", clause="643.7; 643.8; Appendix 3 Table 3A")
def device_trips_late(circuit: CircuitDesign, design: Design) -> Answer:
    """The residual-current device of the circuit did not trip in the time of its standard.

    Why: the one thing that clears a fault through a person is too slow, or does not work at all.
    Remedial: leave the circuit off; read again with everything disconnected beyond it, and replace the device if it is still late.
    Fires on: readings = [{ quantity = "trip_ms", a = "circuits.plugs", over = ">300" }]
    Passes on: readings = [{ quantity = "trip_ms", a = "circuits.plugs", value = 24 }]
    """
    return _trips(circuit.at, circuit.device, design)


@rule("ME4", about="equipment", breach="fails", clause="643.7; 643.8; Appendix 3 Table 3A")
def device_ahead_trips_late(thing: Equipment, design: Design) -> Answer:
    """A residual-current device ahead of circuits did not trip in the time of its standard.

    Why: everything behind it rests on it.
    Remedial: leave what it serves off; read again with everything disconnected beyond it, and replace the device if it is still late.
    Fires on: readings = [{ quantity = "trip_ms", a = "equipment.unit", value = 480 }]
      equipment.unit.delayed = false
    Passes on: readings = [{ quantity = "trip_ms", a = "equipment.unit", value = 220 }]
      equipment.unit.delayed = false
    """
    return _trips(f"equipment.{thing.name}", thing, design)


def _trips(address: str, device: Device | Equipment, design: Design) -> Answer:
    answers = [_in_time(row, device, design) for row in rows_at(design, address, "trip_ms")
               if not any(word in row.setup.lower() for word in NO_TIME)]
    return all_of(answers) if answers else does_not_apply("the time in which it trips was not read")


def _in_time(row: Reading, device: Device | Equipment, design: Design) -> Answer:
    """Against the time of a device without delay, or of type S; at twice and five times its rating where `setup` says so."""
    times = next((case for word, case in TIMES.items() if word in row.setup.lower()), "")
    never = look_up("thresholds", design.books, design.case("never_delayed_ma"))
    at_once = device.delayed.amount is False or at_most(device.residual_ma, never).ok is True
    plain = read_at_most(row, look_up("thresholds", design.books, design.case(f"trip_{times}ms")), design)
    if at_once or plain.ok:
        return plain
    if times != "double_":
        late = read_at_most(row, look_up("thresholds", design.books, design.case(f"trip_delayed_{times}most_ms")), design)
        if device.delayed.amount is True or late.ok is False:        # too late for either: it need not be known which it is
            return late
    return Answer(None, f"{plain.says}. Not known: whether it has a time delay, or how long that may be here", plain.facts)


@rule("ME5", about="run", breach="fails", clause="411.3.1.2; 643.2.1")
def protective_conductor_reads_open(run: RunDesign, design: Design) -> Answer:
    """An earthing conductor or bond read open from end to end.

    Why: it is on the wall and joins nothing; metalwork then rises with the next fault.
    Remedial: the installation locked off and proved dead, and no current in the bond by a clamp: find the loose clamp or the break, make it good, read again.
    Fires on: readings = [{ quantity = "r_ohm", a = "runs.bond-1", over = ">99.9" }]
    Passes on: readings = [{ quantity = "r_ohm", a = "runs.bond-1", value = 0.03 }]
    """
    rows = rows_at(design, run.at, *RESISTANCES)
    if run.run.kind not in ("bond", "earthing") or not rows:
        return does_not_apply("no bond or earthing conductor, or its continuity was not read")
    return all_of([_continuous(row, run, design) for row in rows])


def _continuous(row: Reading, run: RunDesign, design: Design) -> Answer:
    """The usual figure for short bonds, or its length and size; no clause gives one figure, so more than both is a question."""
    usual = look_up("thresholds", design.books, design.case("bond_reading_ohm"))
    either = best_of([read_at_most(row, usual, design), read_at_most(row, run.r1_ohm, design)])
    if row.value is None or either.ok:
        return read_at_most(row, usual, design) if row.value is None else either
    return Answer(None, f"Not known: {either.says}; clean and make its clamps again, and compare with its length and size", either.facts)


@rule("ME6", about="circuit", breach="fails", clause="433.1.204; 643.2.1")
def ring_reads_open(circuit: CircuitDesign, design: Design) -> Answer:
    """A conductor of the ring read open from end to end.

    Why: half a ring carries the load of a whole one, or a socket has lost its earth, and everything still works.
    Remedial: locked off and proved dead: read along its points with the ends cross-connected to find between which two it is broken; make it good, read all three again.
    Fires on: readings = [{ quantity = "ring_r2_ohm", a = "circuits.plugs", over = ">99.9" }]
    Passes on: readings = [{ quantity = "ring_r1_ohm", a = "circuits.plugs", value = 0.33 }, { quantity = "ring_rn_ohm", a = "circuits.plugs", value = 0.33 }, { quantity = "ring_r2_ohm", a = "circuits.plugs", value = 0.54 }]
    """
    by_end = {name: rows_at(design, circuit.at, name) for name in RING_ENDS}
    if not any(by_end.values()):
        return does_not_apply("no conductor of it was read end to end as a ring")
    unread = [Answer(None, f"Not known: {glossary(name).says} was not read") for name, rows in by_end.items() if not rows]
    return all_of([*(_closed(row, design) for rows in by_end.values() for row in rows), *unread])


def _closed(row: Reading, design: Design) -> Answer:
    """Whether there was a reading at all; what it should be is for the judging of readings."""
    fact = shown(row)
    open_ends = row.value is None
    says = f"{glossary(fact.name).says}: {row.over_words}" if open_ends else f"{glossary(fact.name).says}: {fact}"
    return _then(row, Answer(not open_ends, says, (fact,)), design)


RULES = (insulation_read_low, connected_load_reads_low, device_trips_late, device_ahead_trips_late, protective_conductor_reads_open,
         ring_reads_open)
