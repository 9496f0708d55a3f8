"""What is noted of the operators' own equipment, for the network or meter operator: what is wrong, seals, what nobody looked at.

It reports and asks; nobody here opens, seals or changes any of it, and no fault is laid at anybody's door.
"""
from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from spareway.design.design import Design
from spareway.design.operators_things import Defect, changes, defects, is_operators
from spareway.design.service import changed
from spareway.job.job import Job
from spareway.job.rows import standing
from spareway.job.types import Equipment
from spareway.kinds import kind
from spareway.papers.letter import FILE, OFF
from spareway.papers.report import STAGES, dated, edition
from spareway.papers.words import how, label, listed, moment, piece, plain
from spareway.rules.base import Finding

__all__ = ["facts_for"]

Row = dict[str, Any]
LOOKED_AT = ("seal", "damage", "fuse_a", "carrier_a", "material")
ASKED = {"seal": "seal", "damage": "heat or harm", "fuse_a": "fuse inside", "carrier_a": "carrier marked",
         "material": "enclosure"}
WANTED = ("Please look at it, say who comes and when, and whether anything has to stay off until then.",
          "Please put back what seals are missing, and confirm whose they are.")
URGENT = ("Heat, smell, noise, water or bare metal at any of it: keep people away, touch nothing, and ring the network "
          "operator, 105, at once, day and night; this paper is no way to report danger. Fire: 999.")
AS_FOUND = "As seen and recorded. Nobody here is recorded to have opened, sealed or changed any of it."
CHANGED = ("As seen and recorded. What differs from what was found, or was done to it, stands above: by whom, and with whose "
           "leave, only where that is on record.")
DRAFT = "Draft, not sent: whoever signs answers for it."
DONE = {"lock": "locked off", "prove": "proved dead", "hold point": "a hold point", "torque": "tightened by torque",
        "core tag": "a core tagged", "repair": "repaired", "seal": "sealed", "signature": "signed for"}
WORD = re.compile(r"\w+")
OTHER_SERVICES = ("gas", "water", "heat", "oil")         # whose meter is not the operator's of this paper
BY_HAND = ("Address of the supply", "Supply number, as on the bill", "Name and telephone of who reports", "Signature, date")


def facts_for(job: Job, design: Design, _findings: Sequence[Finding], said: Mapping[str, Any],
              _rules: Mapping[str, Mapping[str, Any]]) -> dict[str, Any]:
    """Everything the report to the operator prints, as texts; arguments as of the survey report.

    Errors: InputError where the job states no day for this stage."""
    stage, of = design.inst.stage, design.operator
    day, wrong = dated(job, stage), defects(design)
    theirs = {name: thing for name, thing in design.inst.equipment.items() if is_operators(thing)}
    otherwise = [*_changed(design), *_done(job, design)]
    return {"title": "Report to the operator", "about": job.about.says or "A job without a name", "state": STAGES[stage],
            "day": day, "date": moment(day), "edition": edition(said),
            "to": f"To {of.name.value}" if of.name.known else "To the network operator; which one is not recorded",
            "head": "What is noted of your equipment" if wrong else "Nothing is noted of your equipment, by the record",
            "urgent": URGENT, "defects": [_defect(job, design, each) for each in wrong],
            "things": [_thing(design, name, thing) for name, thing in theirs.items()],
            "not_seen": list(_not_seen(design, theirs)),
            "wanted": [*(WANTED if wrong else ()), *([OFF] if of.live_at_work else [])],
            "leave": [{"q": f"Leave to open {each.part}", "a": f"by {each.by}, reference {each.ref}",
                       "how": f"until {moment(str(each.until))}"} for each in of.leave],
            "by_hand": list(BY_HAND), "changed": otherwise, "says": [CHANGED if otherwise else AS_FOUND, DRAFT],
            "cautions": list(said["caution"])}


def _defect(job: Job, design: Design, of: Defect) -> Row:
    """What is wrong, where; who saw it and when, and which photo shows it."""
    seen = of.seen
    who = f"seen by {seen.by}, {moment(seen.at)}{f', {seen.place}' if seen.place else ''}" if seen else \
        "; ".join(dict.fromkeys(FILE.sub("", how(fact)) for fact in of.facts))
    photos = [row.id for row in standing(job.photos) if row.address == of.at]
    photos = [seen.photo] if seen and seen.photo else photos
    where = label(design.inst, of.at)
    shown = f"; photo {photos[0]}" if photos else ""
    return {"where": f"{where[:1].upper()}{where[1:]}", "says": of.says, "how": f"{who}{shown}"}


def _changed(design: Design) -> Iterator[Row]:
    """What the record says of it otherwise than it was found; of its fuse, what the operator answered."""
    for each in changes(design):
        table, _, name = each.at.partition(".")
        where = label(design.inst, each.at) if name in getattr(design.inst, table) else name.replace("-", " ")
        said = changed(design, design.inst.equipment[name]) if each.now is not None and each.now.name == "fuse_a" else None
        answer = said[1].removeprefix("Not known: ") if said else ""
        known = FILE.sub("", how(each.now)) if each.now is not None else ""
        yield {"where": f"{where[:1].upper()}{where[1:]}", "says": each.says, "how": "; ".join(filter(None, (known, answer)))}


def _done(job: Job, design: Design) -> Iterator[Row]:
    """What somebody is recorded to have done to it."""
    before = design.inst.before or design.inst
    names = [name for name, thing in {**before.equipment, **design.inst.equipment}.items() if is_operators(thing)]
    for row in standing(job.events):
        if row.kind == "seal" or any(_is_at(row.address, name) for name in names):
            where = row.address.removeprefix("equipment.").replace("-", " ")
            yield {"where": f"{where[:1].upper()}{where[1:]}", "says": DONE[row.kind], "how": f"by {row.by}, {moment(row.at)}"}


def _is_at(address: str, name: str) -> bool:
    """Whether an address leads to this thing, or a place in words names it: in whole words, and not another service's."""
    if " " in address:
        words, named = WORD.findall(address.lower()), name.replace("-", "").lower()
        spans = [(i, "".join(words[i:j])) for i in range(len(words)) for j in range(i + 1, len(words) + 1)]
        return any(span == named and (i == 0 or words[i - 1] not in OTHER_SERVICES) for i, span in spans)
    return address.removeprefix("equipment.").partition(".")[0] == name


def _thing(design: Design, name: str, thing: Equipment) -> Row:
    """One of their things as it was seen."""
    facts = [(field, getattr(thing, field)) for field in LOOKED_AT if field in kind(thing.kind).facts]
    said = [[{"t": f"{ASKED[field]} "}, piece(fact)] for field, fact in facts if fact.known]
    answer = listed([plain(kind(thing.kind).says), *said])
    return {"q": label(design.inst, f"equipment.{name}"), "symbol": "", "a": answer, "how": ""}


def _not_seen(design: Design, theirs: Mapping[str, Equipment]) -> Iterator[str]:
    """What nobody looked at, or could see; it is not called sound."""
    for name, thing in theirs.items():
        gaps = [f"{ASKED[field]}{f': {fact.note}' if fact.note != 'not recorded' else ''}" for field in LOOKED_AT[:3]
                if field in kind(thing.kind).facts and not (fact := getattr(thing, field)).known]
        if gaps:
            yield f"{label(design.inst, f'equipment.{name}')}: {', '.join(gaps)}"
