"""What the readings of a job say: each against what it should have been, which fault explains them, what to read next.

Texts in, plain data out. Nothing here says what a reading not yet taken should be, but `foreseen`, which a supervisor asks for.
"""
from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from math import inf
from typing import TYPE_CHECKING, Any

from spareway import __version__
from spareway.api import CAUTION, Files, Overlays, no_collector
from spareway.design.design import Design
from spareway.doc import Fault, InputError, nearest, trail
from spareway.fact import Fact, glossary
from spareway.job.job import read_job
from spareway.job.rows import Event, Reading, never_nought
from spareway.readings.at_once import at_once, at_once_together
from spareway.readings.band import CANNOT_TELL, Expected, against
from spareway.readings.borrowed import borrowers, proof, trips
from spareway.readings.expected import expected, judged, own_rows
from spareway.readings.in_words import cannot_tell_apart, not_explained
from spareway.readings.insulation import causes, hunt, instruction, together
from spareway.readings.intake_faults import at_intake
from spareway.readings.later import AS_BEFORE, changes
from spareway.readings.neat import neat
from spareway.readings.of_job import Explained, explained
from spareway.readings.pictured import Pictured, pictured
from spareway.readings.proves import tests
from spareway.readings.slips import slips
from spareway.readings.todo import document, todo
from spareway.readings.tree import tree
from spareway.readings.undone import owed
from spareway.rules import all_rules
from spareway.rules.base import judge
from spareway.rules.disputes import disputes, held_back
from spareway.rules.eyes import seen
from spareway.show import apart, show

if TYPE_CHECKING:
    from spareway.design.circuit import CircuitDesign

__all__ = ["SURE", "again", "drawing", "entered", "entered_at", "expected_words", "fell_alone", "fell_words", "foreseen",
           "headline", "hunt_of", "in_a_hundred", "insulation_of", "leaves_open", "neat_of", "neutrals_of", "picture_of",
           "read_boards", "read_rows", "readings", "row_words", "sentence", "since", "stage_read", "todo_of", "told_of",
           "trend_of"]

SURE = 0.9                                      # below this the likeliest fault is not named alone
LAMPS_W = (9.0, 3.0)                            # 39 and 13 mA at 230 V: both sides of half of 30 mA
LEAST_SHARE = 0.005                             # of those that are told
CAUSES_N = 3                                    # of what may lie behind a low reading
FELL = {"as expected": "as expected", "high": "above it", "low": "below it", "far high": "far above it",
        "far low": "far below it", "cannot tell": "which side it lies on cannot be told"}


def readings(files: Files, name: str = "", stage: str | None = None, overlays: Overlays = (), next_too: bool = False,
             earlier: Files | None = None) -> dict[str, Any]:
    """Every circuit of which something was read, and every ring; or one circuit.

    next_too: with what to find out next over the whole job, for which it is judged; earlier: the job as it was years ago.
    Errors: InputError, also for a circuit that is not there."""
    with no_collector():
        job = read_job(files, overlays, stage)
        design = Design(job.at(stage))
        known = [n for n, c in design.circuits.items() if not c.is_surge]
        if name and name not in known:
            raise InputError([Fault("command line", None, "circuit", name, f'there is no circuit "{name}"', ", ".join(known),
                                    nearest(name, known))])
        asked = [name] if name else [n for n in known if design.circuits[n].is_ring or own_rows(design.circuits[n])]
        there = where_read(design)
        return {"spareway": __version__, "job": job.about.says, "stage": design.inst.stage,
                "circuits": [told_of(design.circuits[n]) for n in asked],
                "insulation": None if name else insulation_of(there) | {"stage": there.inst.stage},
                "intake": [] if name else intake_of(design), "hunt": [] if name else _hunts(design, there),
                "neutrals": [] if name else neutrals_of(design), "neat": [] if name else neat_of(design),
                "again": again(design, job.events),
                "since": since(design, earlier) if earlier else None,
                "todo": todo_of(design) if next_too else None, "caution": [*CAUTION]}


def told_of(circuit: CircuitDesign, found: Explained | None = None) -> dict[str, Any]:
    """One circuit of a design: each row that stands against what it should have been, what is asked about them, the faults that
    are left, the readings to take next, the rows that were not weighed and why.

    found: where it was worked out before."""
    found = found or explained(circuit)
    faults = found.ranked.faults if found.ranked else ()
    return {"name": circuit.circuit.name, "says": circuit.circuit.says, "headline": headline(found), "why_not": found.why_not,
            "read": read_rows(circuit),
            "asks": [{"where": f"readings.csv:{s.row.line}", "kind": s.kind, "might_be": s.might_be, "says": s.says}
                     for s in slips(circuit)],
            "taken": [{"says": found.ranked.wired.probes[probe].says, "read": row.shown,
                       "where": f"readings.csv:{row.line}"} for probe, row in found.rows] if found.ranked else [],
            "left_out": [{"quantity": row.quantity, "where": f"readings.csv:{row.line}", "why": why}
                         for row, why in found.left_out],
            "faults": [{"says": f.says, "kind": f.kind, "core": f.core, "place": list(f.place), "share": share}
                       for f, share in faults if share >= LEAST_SHARE],
            "alike": len(found.ranked.alike) if found.ranked else 0,
            "next": [{"says": p.says, "bits": p.bits, "minutes": p.minutes} for p in found.proposals],
            "leaves_open": leaves_open(circuit)}


def leaves_open(circuit: CircuitDesign) -> list[dict[str, Any]]:
    """What the tests that were done of a circuit do not prove although they pass, each with why and what settles it."""
    stage = circuit.design.inst.stage
    read = [row.quantity for row in own_rows(circuit) if row.stage == stage and (row.value is not None or row.over)]
    done = [test for test in tests().values() if any(quantity in read for quantity in test.quantities)]
    return [{"test": test.test, "shows": test.shows,
             "open": [{"says": each.says, "why": each.why, "settled_by": each.settled_by, "source": each.source}
                      for each in test.open]} for test in done]


def intake_of(design: Design) -> list[dict[str, Any]]:
    """What may be wrong at the intake or across the board by the signs that were read, the likeliest first.

    ask: what would tell more and was not read."""
    return [{"says": f.says, "is_a_fault": f.is_a_fault, "share": f.share, "ask": list(f.ask), "caution": f.caution,
             "signs": [{"says": s.sign.says, "there": s.there, "where": [f"readings.csv:{row.line}" for row in s.rows]}
                       for s in f.signs if s.there is not None]}
            for f in at_intake(design) if f.share >= LEAST_SHARE]


def again(design: Design, events: Iterable[Event]) -> list[dict[str, Any]]:
    """Repairs on record of which tests were not done again since; what leaves no reading a person answers for."""
    return [{"at": each.event.address, "when": each.event.at, "where": f"events.csv:{each.event.line}", "says": each.repair.says,
             "done": list(each.done), "missing": list(each.missing), "unread": list(each.unread), "unsure": list(each.unsure),
             "source": each.repair.source}
            for each in owed(design, events)]


def todo_of(design: Design, most: int = 5) -> dict[str, Any]:
    """What to find out next over the whole job: the acts that decide the most unknown findings a minute."""
    findings = held_back(judge(design, all_rules(), [*seen(design), *disputes(design)]), design)
    acts = todo(design, findings)
    said = document(acts, most)
    for each, told in zip(acts, said["next"], strict=False):
        what = gathered(each.act.what, each.act.place)
        told |= {"says": replace(each.act, what=what).says, "what": list(what)}
    return said


def gathered(what: Iterable[str], place: str = "") -> tuple[str, ...]:
    """What is asked of several places said once: `energy let through (cooker, immersion)`; of `place` alone without its name."""
    places: dict[str, list[str]] = {}
    for each in what:
        words, _, at = each.removesuffix(")").rpartition(" (")
        steps = trail(at) if words and each.endswith(")") and "." in at else []
        places.setdefault(words if steps else each, []).extend(steps[1:2])
    return tuple(f"{words} ({', '.join(dict.fromkeys(at))})" if {*at} - {place} else words for words, at in places.items())


def read_rows(circuit: CircuitDesign) -> list[dict[str, Any]]:
    """The standing rows of a circuit, each with what it should have been where the record tells."""
    known = {each.row.id: each for each in judged(circuit)}
    rows = [(row, known.get(row.id)) for row in own_rows(circuit)]
    return [{"id": row.id, "quantity": row.quantity, "says": row_words(row), "read": row.shown,
             "where": f"readings.csv:{row.line}", "stage": row.stage,
             "expected": _expected(each.expected, row.quantity) if each else None, "fell": each.fell if each else ""}
            for row, each in rows]


def _expected(of: Expected, quantity: str) -> dict[str, Any]:
    """most: none where only a floor stands; is: none where the record does not lead to one figure."""
    return {"is": of.fact.amount, "least": of.least, "most": None if of.most == inf else of.most,
            "unit": glossary(quantity).unit, "why": of.why}


def insulation_of(design: Design, board: str = "") -> dict[str, Any]:
    """What the circuits of a board, or all, come to by the rows that stand; what to take out, worst first; of each that is low
    what may lie behind it and the question that tells."""
    of = together(design, board)
    low = {part.circuit for part in of.order}
    return {"sum_mohm": of.sum.amount, "at_least": any(leak.row.over for leak in of.leaks), "not_read": list(of.not_read),
            "take_out": [{"circuit": part.circuit, "only_loads": part.only_loads, "was_mohm": part.was.amount,
                          "then_mohm": part.then.amount, "enough": part.enough} for part in of.order],
            "low": [{"circuit": leak.circuit, "mohm": leak.fact.amount, "where": f"readings.csv:{leak.row.line}",
                     "causes": [{"says": c.says, "question": c.question, "share": c.share}
                                for c in causes(design.circuits[leak.circuit], leak.row)[:CAUSES_N]]}
                    for leak in of.leaks if leak.circuit in low]}


def stage_read(design: Design) -> str:
    """The stage in which its insulation was read: found, where no row is of a later one. The boards of a proposal are not there
    yet, and those of what was fitted were not there then."""
    own = any(row.stage == design.inst.stage for row in design.standing.get("insulation_mohm", ()))
    return design.inst.stage if own or design.inst.before is None else "found"


def where_read(design: Design) -> Design:
    """The installation at that stage."""
    found = design.inst.before
    return design if found is None or stage_read(design) == design.inst.stage else Design(found)


def _hunts(design: Design, there: Design) -> list[dict[str, Any]]:
    """Board by board of which some was read; none where these boards have gone since, for nothing more can be read there."""
    gone = there is not design and design.inst.stage == "fitted"
    return [] if gone else [hunt_of(there, board) for board in read_boards(there)]


def read_boards(design: Design) -> list[str]:
    """The boards of which some insulation was read."""
    found = {board: together(design, board) for board in design.boards}
    return [board for board, of in found.items() if of.leaks or of.whole]


def hunt_of(design: Design, board: str) -> dict[str, Any]:
    """What leaks on a board by the rows that stand, and the insulation reading to take next; `next` is none where it is found.

    place, setup: under which the row of that reading is then understood."""
    of = hunt(design, board)
    step = of.next() if of.chances else None
    told = None
    if step is not None:
        says, place, setup = instruction(step, of, board)
        told = {"says": says, "place": place, "setup": setup, "minutes": step.minutes}
    return {"board": board, "found": [*of.found], "everywhere": of.everywhere, "done": not of.chances or of.done, "next": told}


def neutrals_of(design: Design) -> list[dict[str, Any]]:
    """Neutrals that the record has as borrowed, and pairs that were read: what proves them, and whether a device would trip.

    lamps: the same of two lamps, where the rating of its device is known; a device that stays in proves nothing."""
    pairs: dict[tuple[str, str], Fact[float] | None] = {}
    for one, other, load_w in borrowers(design):
        pairs.setdefault((one, other), load_w)
    for row in design.standing.get("insulation_mohm", ()):
        ends = [trail(end) for end in (row.a, row.b)]
        if all(len(end) == 3 and end[0] == "circuits" and end[2] == "N" for end in ends) and ends[0] != ends[1]:
            one, other = ends[0][1], ends[1][1]
            if (other, one) not in pairs:
                pairs.setdefault((one, other), None)
    return [_neutral(design, one, other, load_w) for (one, other), load_w in pairs.items()
            if one in design.circuits and other in design.circuits]


def _neutral(design: Design, one: str, other: str, load_w: Fact[float] | None) -> dict[str, Any]:
    found, circuit = proof(design, one, other), design.circuits[one]
    told = {"one": one, "other": other, "joined": found.joined, "proof": found.says}
    if not circuit.residual_ma.known:
        none = design.has_residual(circuit) is False
        says = "no residual-current device stands before it: nothing gives it away" if none else \
            "whether a residual-current device would trip is not known: its rating is not recorded"
        return {**told, "trips": says, "lamps": []}
    lamps = [trips(Fact("load_w", w, "stated", "for example"), circuit).says for w in LAMPS_W]
    return {**told, "trips": trips(load_w, circuit).says if load_w is not None else "",
            "lamps": [f"a lamp of {w:g} W: {says}" for w, says in zip(LAMPS_W, lamps, strict=True)]}


def neat_of(design: Design) -> list[dict[str, Any]]:
    """Sets of readings that a person is asked about, for they agree too well."""
    return [{"says": each.says, "where": [f"readings.csv:{line}" for line in sorted(row.line for row in each.rows)]}
            for each in neat(design)]


def since(design: Design, earlier: Files) -> list[dict[str, Any]]:
    """Each reading that was taken years ago too, at 20 °C: whether it moved by more than instruments hide and by a tenth.

    earlier: the job as it was then. What moved for the worse stands first. Errors: InputError."""
    own = [row for row in design.inst.readings if row.stage == design.inst.stage]
    found = changes(read_job(earlier).readings, own, design.books)
    said = [{"says": c.says, "fell": c.fell, "worse": c.worse, "share": c.share, "then": c.then.at, "now": c.now.at,
             "where": f"readings.csv:{c.now.row.line}"} for c in found]
    return sorted(said, key=lambda each: (not each["worse"], each["fell"] == AS_BEFORE))


def trend_of(design: Design, earlier: Files) -> str:
    """As SVG: over the years what has moved the most for the worse. Errors: InputError where nothing was read then too."""
    from spareway.drawings.trend import trend_drawn
    own = [row for row in design.inst.readings if row.stage == design.inst.stage]
    then = read_job(earlier).readings
    moved = sorted(changes(then, own, design.books), key=lambda c: (not c.worse, c.fell == AS_BEFORE, -abs(c.share or 0.0)))
    if not moved:
        raise InputError([Fault("command line", None, "then", "", "nothing was read then that was read now too")])
    return trend_drawn((moved[0].then, moved[0].now))


def drawing(files: Files, name: str = "", stage: str | None = None, overlays: Overlays = (), earlier: Files | None = None) -> str:
    """As SVG: the ring of this name with its readings; the insulation of all circuits where none is named; what has moved most
    since an earlier job. Errors: InputError."""
    from spareway.drawings.insulation import insulation_drawn
    from spareway.drawings.ring import ring_drawn
    design = Design(read_job(files, overlays, stage).at(stage))
    if earlier:
        return trend_of(design, earlier)
    if not name:
        return insulation_drawn(tree(where_read(design)))
    rings = [n for n, c in design.circuits.items() if c.is_ring]
    if name not in rings:
        raise InputError([Fault("command line", None, "circuit", name, f'there is no ring "{name}"', ", ".join(rings),
                                nearest(name, rings))])
    return ring_drawn(picture_of(design.circuits[name]))


# ---- in words ---------------------------------------------------------------------------------------------------------
def headline(found: Explained) -> str:
    """What it comes to, in a sentence."""
    if found.ranked is None:
        return f"No fault is sought: {found.why_not}."
    first, share = found.ranked.faults[0]
    if odd := not_explained(found.ranked):
        return odd
    if share >= SURE:
        return sentence(first.says)
    return f"These readings do not tell {len(found.ranked.alike)} faults apart: {cannot_tell_apart(found.ranked)}."


def in_a_hundred(share: float) -> str:
    """A share in whole hundreds; never none and never all of them, for what is not thought of is not among them."""
    return f"{max(min(round(100 * share), 99), 1)} in 100"


def row_words(row: Reading) -> str:
    """What was read, and where: `line to earth at a point of a ring, cross-connected, p5`."""
    place = [step for step in trail(row.a)[2:] if step != "points"]
    point = [step for step in place if step not in ("L", "N", "E")]
    core = place[-1] if row.quantity == "leg_ohm" and place and place[-1] in ("L", "N", "E") else ""
    how = row.setup if row.quantity == "insulation_mohm" else ""
    return ", ".join(filter(None, (glossary(row.quantity).says, how.replace(";", ","), core, *point)))


def expected_words(of: dict[str, Any]) -> str:
    """`0.193 to 0.404 Ω`, or `at least 1 MΩ`."""
    if of["most"] is None:
        return f"at least {show(of['least'])} {of['unit']}".rstrip()
    low, high = apart(of["least"], of["most"])
    return f"{low} to {high} {of['unit']}".rstrip()


def fell_words(row: dict[str, Any]) -> str:
    """What it should have been and on which side it lies: `expected 0.284 to 0.497 Ω: far above it`."""
    if row["expected"] is None:
        return "nothing in the record tells what it should have been"
    why = f": {row['expected']['why']}" if row["fell"] == CANNOT_TELL else ""
    if why and row["expected"]["most"] is None and not row["expected"]["least"]:
        return f"the record does not tell what it should have been{why}"
    return f"expected {expected_words(row['expected'])}: {FELL[row['fell']]}{why}"


def fell_alone(row: dict[str, Any]) -> str:
    """On which side it lies, without a figure: what is read next may lie in the same range."""
    if row["expected"] is None or row["fell"] == CANNOT_TELL:
        return ""
    return row["fell"] if row["fell"] == "as expected" else f"{FELL[row['fell']].removesuffix('it')}what was expected"


def sentence(words: str) -> str:
    """With a capital and a full stop; every other letter as it is, since a unit is no other in capitals."""
    return f"{words[:1].upper()}{words[1:].rstrip('.')}."


def entered(circuit: CircuitDesign, row: Reading) -> dict[str, Any]:
    """A row that was just entered, as `read_rows` tells it, with the question about it in words, or nothing."""
    told = next((each for each in read_rows(circuit) if each["id"] == row.id), None)
    own = [slip for slip in slips(circuit) if row.id in (slip.row.id, slip.other.id if slip.other else "")]
    asks = own[0].says.removeprefix(f"{own[0].row.a}: ") if own else ""
    return {"says": row_words(row), "read": row.shown, "expected": None, "fell": "", **(told or {}), "asks": asks}


def entered_at(design: Design, row: Reading) -> dict[str, Any]:
    """The same of a live reading wherever it was taken, with what it calls for at once, or nothing."""
    at = trail(row.a)
    if at[0] == "circuits" and at[1] in design.circuits:
        said = entered(design.circuits[at[1]], row)
    else:
        told = expected(design, row.quantity, row.a, row.b, row.setup, row.temp_c, row.loads, row.nulled)
        fell = against(row, told, design.books) if told else ""
        said = {"says": row_words(row), "read": row.shown, "asks": "", "fell": fell,
                "expected": _expected(told, row.quantity) if told else None}
    caution = at_once_together(design, row) or at_once(row, said["fell"])
    asks = "" if caution and row.quantity == "supply_v" else said["asks"]      # nobody is led to read 2.31 where 231 may be true
    if never_nought(row):                                                      # nothing is beside what it cannot be
        return {**said, "expected": None, "asks": asks, "at_once": caution}
    return {**said, "asks": asks, "at_once": caution}


# ---- the picture; what a supervisor may see -------------------------------------------------------------------------------
def picture_of(circuit: CircuitDesign, found: Explained | None = None) -> Pictured:
    """The ring as it is drawn."""
    return pictured(circuit, found or explained(circuit))


def foreseen(design: Design, quantity: str, a: str, b: str, setup: str, temp_c: float | None) -> str:
    """What a reading should be before it is taken, in words: for a supervisor who asks, and for nobody else."""
    found = expected(design, quantity, a, b, setup, temp_c)
    if found is None or found.most == inf and not found.least:
        return f"nothing in the record tells what it should be{f': {found.why}' if found else ''}"
    return f"{expected_words(_expected(found, quantity))}; {found.why}"
