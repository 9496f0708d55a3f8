"""Rules of what readings prove: a pass beyond a break, a repair not read again, a board below its circuits, neutrals not proved apart."""
from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from spareway.fact import Fact, chosen
from spareway.job.rows import Observation, Reading, standing
from spareway.readings.borrowed import proof
from spareway.readings.insulation import as_read, rows_of, together, whole_rows
from spareway.readings.undone import Repair, counts, not_read, repairs
from spareway.rules.base import Answer, all_of, at_least, cannot_tell, does_not_apply, rule
from spareway.rules.measured import read_at_least
from spareway.tables import look_up

if TYPE_CHECKING:
    from spareway.design.board import BoardDesign
    from spareway.design.circuit import CircuitDesign
    from spareway.design.design import Design

LIGHTS = ("lights", "lamp")
THROUGH = ("r1r2_ohm", "r2_ohm")
ENDS = ("ring_r1_ohm", "ring_rn_ohm", "ring_r2_ohm")
COLOURS = ("green", "red", "white", "yellow", "orange", "amber", "blue", "black")
SIGNS = ("flag", "window", "indicator", "button", "lamp", "light", "led")
CORES = ("core", "cores", "conductor", "conductors", "cable", "cables", "wire", "wires", "sleeve", "sleeved", "sleeving", "tail", "tails")
EXPLAINED = re.compile(r"\bmaker:\s*[^\s;,.]", re.IGNORECASE)     # the maker's words, not a mention of one


def _of(circuit: CircuitDesign, *quantities: str) -> list[Reading]:
    at, design = circuit.at, circuit.design
    rows = (r for q in quantities for r in design.standing.get(q, ()) if r.a == at or r.a.startswith(f"{at}."))
    return sorted(rows, key=lambda row: row.line)


# ---- a pass that proves nothing -------------------------------------------------------------------------------------
@rule("PR1", about="circuit", breach="fails", clause="643.1; 643.3", authority="common practice")
def insulation_beyond_a_break(circuit: CircuitDesign, design: Design) -> Answer:
    """The insulation of a circuit was read from the board, and a conductor of it reads open: beyond the break nothing was tested.

    Why: a broken core insulates very well, so a high reading says nothing of what lies behind it.
    Remedial: locked off and proved dead: make the conductor whole, read its continuity, then its insulation again.
    Fires on: readings = [{ quantity = "r1r2_ohm", a = "circuits.oven", over = ">99.9" }, { quantity = "insulation_mohm", a = "circuits.oven", over = ">200" }]
    Passes on: readings = [{ quantity = "r1r2_ohm", a = "circuits.oven", value = 0.08 }, { quantity = "insulation_mohm", a = "circuits.oven", over = ">200" }]
    """
    if circuit.is_ring:
        return does_not_apply("a ring is read from both of its ends: TE7 asks of a broken one")
    now = design.inst.stage
    through = [row for row in _of(circuit, *THROUGH) if row.stage == now]
    insulation = [row for row in rows_of(design, circuit.at) if row.stage == now]
    if not through or not insulation:
        return does_not_apply("continuity and insulation of it were not both read")
    broken = [row for row in through if row.value is None]
    says = "; ".join(f"{row.a} reads {row.over_words} (readings.csv:{row.line})" for row in broken)
    return Answer(not broken, says or "its conductors read through")


# ---- a repair not read again ----------------------------------------------------------------------------------------
@rule("PR2", about="circuit", breach="fails", clause="643.1")
def repair_not_read_again(circuit: CircuitDesign, design: Design) -> Answer:
    """Something of this circuit was put right, and not every test that such work undoes was done again.

    Why: work in one place disturbs others; what was read before it is no longer a test of the circuit as it stands.
    Remedial: do the tests that are named again, in their order.
    Fires on: readings = [{ quantity = "ring_r2_ohm", a = "circuits.plugs", over = ">99.9" }, { quantity = "ring_r2_ohm", a = "circuits.plugs", value = 0.54, at = "2026-11-12T09:00" }]
    Passes on: readings = [{ quantity = "insulation_mohm", a = "circuits.oven", value = 0.4, loads = "in" }, { quantity = "r1r2_ohm", a = "circuits.oven", value = 0.08, at = "2026-11-12T09:00" }, { quantity = "insulation_mohm", a = "circuits.oven", value = 80, loads = "in", at = "2026-11-12T09:05" }, { quantity = "trip_ms", a = "circuits.oven", value = 24, at = "2026-11-12T09:10" }]
    """
    found = list(_put_right(circuit, design))
    if not found:
        return does_not_apply("no reading of it was bad first and good later")
    rows = standing(design.inst.readings)
    short = []
    for repair, bad, good in found:
        since = [row for row in rows if row.stage == good.stage and _after(row, bad, good) and counts(design, row)]
        missing = not_read(design, repair, circuit.circuit.name, since)
        said = f"{repair.says} (readings.csv:{bad.line}, then {good.line})"
        short += [f"{said}: not read again: {', '.join(missing)}"] if missing else []
    return Answer(not short, "; ".join(short) or f"read again: {', '.join(dict.fromkeys(r.says for r, _, _ in found))}")


def _put_right(circuit: CircuitDesign, design: Design) -> Iterator[tuple[Repair, Reading, Reading]]:
    """Each reading that was bad and was later good: what sort of repair lies between, and the two rows."""
    for quantity in (*ENDS, *THROUGH):
        for bad, good in _turned(_of(circuit, quantity)):
            if bad.value is None and good.value is not None:
                yield repairs()["ring-conductor-remade" if quantity in ENDS else "cable-mended"], bad, good
    for bad, good in _turned(_every_insulation(circuit)):
        least = look_up("thresholds", design.books, design.case("insulation_mohm"))
        if _low(bad, least) and not _low(good, least):
            yield repairs()["appliance-changed" if bad.loads == "in" else "cable-mended"], bad, good


def _every_insulation(circuit: CircuitDesign) -> list[Reading]:
    """The standing insulation rows of a circuit, of every stage."""
    rows = _of(circuit, "insulation_mohm")
    return [row for row in rows if not row.b.startswith("circuits.") or row.b.startswith(circuit.at)]


def _turned(rows: list[Reading]) -> Iterator[tuple[Reading, Reading]]:
    """Each row with the last later one of the same place and way of asking."""
    for row in rows:
        later = [each for each in rows if (each.a, each.b, each.loads) == (row.a, row.b, row.loads) and each.at > row.at]
        if later:
            yield row, later[-1]


def _low(row: Reading, least: Fact[float]) -> bool:
    return row.value is not None and least.known and row.value < least.value


def _after(row: Reading, bad: Reading, good: Reading) -> bool:
    """On the day of the good reading or later; from that reading on, where the bad one is of the same day."""
    return row.at >= good.at if bad.at[:10] == good.at[:10] else row.at[:10] >= good.at[:10]


# ---- a board below its circuits -------------------------------------------------------------------------------------
@rule("PR3", about="board", breach="unknown", clause="643.3.2", authority="common practice")
def board_below_its_circuits(board: BoardDesign, design: Design) -> Answer:
    """The insulation of the whole board reads below what its circuits come to together: something leaks that was not read.

    Why: conductances add; what is missing is a circuit that was left out, a device, the busbar, or a surge device left in.
    Remedial: locked off and proved dead, nobody at it: take out the surge device, part the circuits one after another, read again until the difference goes.
    Fires on: readings = [{ quantity = "insulation_mohm", a = "equipment.unit", value = 1.2 }, { quantity = "insulation_mohm", a = "circuits.lamps", value = 40 }, { quantity = "insulation_mohm", a = "circuits.oven", value = 60 }]
    Passes on: readings = [{ quantity = "insulation_mohm", a = "equipment.unit", value = 22 }, { quantity = "insulation_mohm", a = "circuits.lamps", value = 40 }, { quantity = "insulation_mohm", a = "circuits.oven", value = 60 }]
    """
    name = board.thing.name
    whole = whole_rows(design, name)
    if not whole:
        return does_not_apply("the board was not read as a whole")
    of = together(design, name)
    if not of.sum.known:
        return cannot_tell(of.sum)
    error = look_up("instrument_error", design.books, Fact("function", "insulation", "stated"))
    least = chosen("insulation_mohm", lambda mohm, percent: mohm * (1 - percent / 100), [of.sum, error], "its circuits side by side",
                   "less what the instrument may be out", "conductances add")
    answer = all_of([at_least(as_read(row), least) for row in whole])
    left = f". Not read alone: {', '.join(of.not_read)}" if of.not_read and answer.ok is False else ""
    return Answer(answer.ok, answer.says + left, answer.facts, answer.relation)


@rule("PR6", about="board", breach="fails", clause="643.3.2 Table 64")
def board_insulation_low(board: BoardDesign, design: Design) -> Answer:
    """The insulation of the whole board read below the limit.

    Why: one circuit of it leaks, or many do a little; together they heat, shock, or open a residual-current device.
    Remedial: locked off and proved dead, nobody at it: take out what is connected, worst first; part the circuits in the order the readings propose, and read again.
    Fires on: readings = [{ quantity = "insulation_mohm", a = "equipment.unit", value = 0.4 }]
    Passes on: readings = [{ quantity = "insulation_mohm", a = "equipment.unit", value = 12 }]
    """
    least = look_up("thresholds", design.books, design.case("insulation_mohm"))
    rows = whole_rows(design, board.thing.name)
    return all_of([_at_this_stage(row, least, design) for row in rows]) if rows else does_not_apply("the board was not read as a whole")


def _at_this_stage(row: Reading, least: Fact[float], design: Design) -> Answer:
    """A good reading of an earlier stage is no yes at this one: what was fitted since was not read."""
    answer = read_at_least(row, least, design)
    if answer.ok and row.stage != design.inst.stage:
        return Answer(None, f"Not known: {answer.says}, read as {row.stage} only, not at this stage", answer.facts)
    return answer


@rule("PR7", about="circuit", breach="advice", clause="GN3", authority="common practice")
def insulation_worth_a_look(circuit: CircuitDesign, design: Design) -> Answer:
    """The insulation of the circuit reads above the limit, and so low that it is worth a look.

    Why: a sound circuit reads tens or hundreds of megohms; one that does not is on its way to failing.
    Remedial: locked off and proved dead: read again with what it feeds taken off; look at outside points, damp places and old cable first.
    Fires on: readings = [{ quantity = "insulation_mohm", a = "circuits.lamps", value = 1.4, loads = "out" }]
    Passes on: readings = [{ quantity = "insulation_mohm", a = "circuits.lamps", value = 60, loads = "out" }]
    """
    least, look = (look_up("thresholds", design.books, design.case(case)) for case in ("insulation_mohm", "insulation_look_into_mohm"))
    rows = [row for row in rows_of(design, circuit.at) if not _low(row, least)]
    told = [at_least(as_read(row), look) for row in rows if row.value is not None or at_least(as_read(row), look).ok]
    if not told:
        return does_not_apply("its insulation was not read, or only below the limit: ME1 asks")
    return all_of([replace(each, says=f"{each.says} ({each.facts[0].at}, {each.facts[0].where})") for each in told])


# ---- neutrals -------------------------------------------------------------------------------------------------------
@rule("PR4", about="circuit", breach="advice", clause="314.4", authority="common practice")
def neutrals_not_proved_apart(circuit: CircuitDesign, design: Design) -> Answer:
    """No reading shows that the neutral of these lights is apart from that of the home's other lights.

    Why: two-way switching is where neutrals are shared; a device that stays in proves nothing, for below half its rating it must not trip.
    Remedial: locked off and proved dead, both neutrals lifted: read insulation from the one to the other.
    Fires on: circuits.attic = { way = "unit.6", feeds = "lights", device = { kind = "rcbo-2p", curve = "B", rating_a = 6, residual_ma = 30, residual_type = "A", one_way = false } }
    Passes on: circuits.attic = { way = "unit.6", feeds = "lights", device = { kind = "rcbo-2p", curve = "B", rating_a = 6, residual_ma = 30, residual_type = "A", one_way = false } }
      readings = [{ quantity = "insulation_mohm", a = "circuits.attic.N", b = "circuits.lamps.N", over = ">200" }]
    """
    name = circuit.circuit.name
    others = [n for n, c in design.circuits.items() if n != name and c.feeds & {*LIGHTS}]
    if not circuit.feeds & {*LIGHTS} or not others:
        return does_not_apply("not one of several circuits of lights")
    if design.has_residual(circuit) is False:
        return does_not_apply("no residual-current device of its own would trip on it")
    read = [proof(design, name, other) for other in others]
    if any(each.joined for each in read) or design.borrowed_neutrals(circuit):
        return does_not_apply("joined, by a reading or by the record: CI10 asks")
    open_ = [each.says for each in read if each.joined is None]
    if open_ and design.has_residual(circuit) is None:
        return cannot_tell(circuit.residual_ma)
    return Answer(not open_, "; ".join(open_) or "; ".join(each.says for each in read), tuple(f for each in read for f in each.facts))


@rule("PR5", about="installation", breach="unknown", clause="510.3; 651.2", authority="maker")
def judged_by_colour(_: Design, design: Design) -> Answer:
    """A flag, window or button was judged by its colour, and what its maker says the colour means is not written beside it.

    Why: one maker's green is another's end of life; some flags show only that a fuse inside has opened, some buttons only that a spring moves.
    Remedial: read the maker's words on the thing or its sheet, and write them in the same row: "maker: ...".
    Fires on: observations = [{ where = "equipment.arrester", says = "indicator green", eye = "EY13", answer = "yes" }]
    Passes on: observations = [{ where = "equipment.arrester", says = "indicator green; maker: green means in order, red means replace", eye = "EY13", answer = "yes" }]
    """
    rows = [row for row in standing(design.inst.observations) if _words(row.says) & {*COLOURS} and _of_a_sign(row)]
    if not rows:
        return does_not_apply("nothing was written of the colour of a flag, window or button")
    bare = [f"{row.says} at {row.where} (observations.csv:{row.line})" for row in rows if not EXPLAINED.search(row.says)]
    return Answer(not bare, "; ".join(bare) or "; ".join(row.says for row in rows))


def _of_a_sign(row: Observation) -> bool:
    """Whether a row with a colour is of a flag or the like: by its words, as the phone files it, or by where, if of no conductor."""
    words = _words(row.says)
    return bool(words & {*SIGNS}) or row.says.startswith("shows ") or ".device" in row.where and not words & {*CORES}


def _words(text: str) -> frozenset[str]:
    return frozenset("".join(c if c.isalpha() else " " for c in text.lower()).split())


RULES = (insulation_beyond_a_break, repair_not_read_again, board_below_its_circuits, board_insulation_low, insulation_worth_a_look,
         neutrals_not_proved_apart, judged_by_colour)
