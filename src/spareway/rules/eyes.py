"""What only a person can see: the items asked, the answers that rows of observations.csv give, and what a "no" amounts to."""
from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from spareway.bundled import text
from spareway.design.operators_things import KEEP_AWAY, REPORT, is_theirs
from spareway.doc import Fault, InputError, nearest, trail
from spareway.job.rows import CODES, Observation, standing
from spareway.plain_toml import loads
from spareway.rules.base import AUTHORITIES, VERDICTS, Finding

if TYPE_CHECKING:
    from spareway.design.design import Design

NAME = "seen_not_as_it_should_be"
CODED_NAME, CODED_CLAUSE = "seen_and_coded", "651.2; 653.5"
# What a person's code amounts to among verdicts: danger present; potential danger; improvement; to be looked into without delay.
AS_CODED = dict(zip(CODES, ("stop", "fails", "advice", "unknown"), strict=True))
MADE_GOOD = "make it good, look again, and strike the row with one that says so"
MADE_SAFE = "keep everybody off it, and have it taken out of use now by who may: switched off, locked off, proved dead at the point of work"
AS_FOUND = ("found.toml", "premises.toml", "readings.csv")


@dataclass(frozen=True, slots=True)
class Item:
    """One thing to look at. `says` is how it should be; `proposal` is what a "no" is usually called, for a person to decide.

    field: of the supply, where that field of the record is the answer."""
    code: str
    topic: str
    says: str
    look: str
    clause: str
    authority: str
    breach: str
    proposal: str
    theirs: bool = False
    caution: str = ""
    field: str = ""


@cache
def items() -> tuple[Item, ...]:
    """Every item, in the order of the file. Errors: ValueError for one that does not hold together."""
    held = loads(text("rules/by_eye.toml"))
    found = tuple(Item(code=code, topic=topic, **said) for topic, entries in held.items() for code, said in entries.items())
    wrong = [i.code for i in found if i.breach not in VERDICTS[:4] or i.authority not in AUTHORITIES or not (i.look and i.clause)]
    if wrong:
        raise ValueError(f"by_eye.toml: {', '.join(wrong)} lacks where to look, a clause, a breach or an authority")
    return found


def item_of(code: str) -> Item | None:
    """The item of this code, or None."""
    return next((i for i in items() if i.code == code.upper()), None)


def answers(rows: Sequence[Observation]) -> tuple[Observation, ...]:
    """The standing rows that answer an item. Errors: InputError for an item that there is not, all of them at once."""
    rows = tuple(row for row in standing(rows) if row.eye)
    known = [i.code for i in items()]
    faults = [Fault("observations.csv", row.line, "eye", row.eye, f"nothing to look at is called {row.eye}",
                    "a code of docs/rules.md, by eye", nearest(row.eye, known)) for row in rows if row.eye not in known]
    if faults:
        raise InputError(faults)
    return rows


def seen(design: Design) -> list[Finding]:
    """A finding for each answer "no", and for each code that a person gave, at the place it names. Errors: InputError."""
    answered = answers(design.inst.observations)
    coded = [row for row in standing(design.inst.observations) if row.code and row.answer != "no"]
    return [_found(row, design) for row in answered if row.answer == "no"] + [_coded(row, design) for row in coded]


def _found(row: Observation, design: Design) -> Finding:
    item = item_of(row.eye)
    assert item is not None                                   # `answers` has refused every other
    gone = _gone(row, design)
    said = f"{row.says}{f' ({row.place})' if row.place else ''}"
    coded = f"Coded {row.code} by {row.by}" if row.code else f"No code given yet; a proposal, for a person to decide: {item.proposal}"
    says = f"Not there at this stage; as found: {said}" if gone else f"Not so: {item.says}. {said}. {coded}"
    worst = min((item.breach, *([AS_CODED[row.code]] if row.code else ())), key=VERDICTS.index)
    return Finding(item.code, NAME, "not applicable" if gone else worst, row.where, f"observations.csv:{row.line}", says,
                   item.clause, item.authority, remedial="" if gone else _remedial(row, item.theirs, worst, design, "make it as it should be, and look again"))


def _coded(row: Observation, design: Design) -> Finding:
    """What a person saw and coded, whatever the rules say there; a name of its own for each row, so that a decision is about one.

    Where the record was changed since, whether that cures it is not known."""
    gone = _gone(row, design)
    said = f"{row.says}{f' ({row.place})' if row.place else ''}. Coded {row.code} by {row.by}"
    changed = not gone and design.inst.stage != "found" and _touched(row.where, design)
    verdict = "not applicable" if gone else "unknown" if changed else AS_CODED[row.code]
    says = f"Not there at this stage; as found: {said}" if gone else \
        f"Not known: as found, {said}. The record was changed there since; whether that cures it, whoever looks again says" if changed else f"Seen: {said}"
    return Finding(f"OB-{row.id}", CODED_NAME, verdict, row.where, f"observations.csv:{row.line}", says, CODED_CLAUSE, "common practice",
                   remedial="" if gone else _remedial(row, False, AS_CODED[row.code], design, MADE_GOOD))


def _remedial(row: Observation, item_is_theirs: bool, verdict: str, design: Design, ours: str) -> str:
    """What to do: nothing but keep away and ring, of the operator's own; of what is ours and dangerous, made safe first."""
    if item_is_theirs or is_theirs(row, design):
        return KEEP_AWAY if verdict in ("stop", "fails") else REPORT
    return f"{MADE_SAFE}; then {ours}" if verdict == "stop" else ours


def _gone(row: Observation, design: Design) -> bool:
    """The thing it is about was taken out at this stage."""
    return "." in row.where and " " not in row.where and not _there(row.where, design)


def _touched(address: str, design: Design) -> bool:
    """Whether the work, an option or what was fitted says anything of this thing."""
    at = trail(address)
    thing = at[:2] if len(at) > 1 else at
    return any(place[0] not in AS_FOUND for here, place in design.inst.doc.places.items() if here[:len(thing)] == thing)


def _there(address: str, design: Design) -> bool:
    here = design.inst.doc.data
    for step in trail(address):
        if not isinstance(here, dict) or step not in here:
            return False
        here = here[step]
    return True


def asked(design: Design) -> dict[str, list[dict[str, str]]]:
    """Every item: those answered, each with its answers, and those nobody has looked at yet, which are unknown. One that a
    field of the record answers is in neither."""
    rows = answers(design.inst.observations)
    by_item: dict[str, list[Observation]] = {}
    for row in rows:
        by_item.setdefault(row.eye, []).append(row)
    answered = [{"eye": row.eye, "answer": row.answer, "subject": row.where, "place": row.place, "says": row.says, "by": row.by,
                 "at": row.at, "where": f"observations.csv:{row.line}", "code": row.code, "photo": row.photo}
                for each in by_item.values() for row in each]
    told = {each["eye"] for each in answered if each["answer"] != "not seen"} | {i.code for i in items() if _on_record(i, design)}
    unknown = [{"eye": i.code, "verdict": "unknown", "says": i.says, "look": i.look, "clause": i.clause,
                "authority": i.authority, "if no": i.breach, "proposal": i.proposal}
               for i in items() if i.code not in told]
    return {"answered": answered, "unknown": unknown}


def _on_record(item: Item, design: Design) -> bool:
    """Whether a field of the supply answers it: that it is known is all that is asked."""
    return bool(item.field) and getattr(design.supply.supply, item.field).known
