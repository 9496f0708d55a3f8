"""What a network operator wants of a job: apply, ask, notify or neither, with every reason. Texts in, plain data out."""
from __future__ import annotations

import datetime
from typing import Any

from spareway import __version__
from spareway.api import CAUTION, Files, Overlays, no_collector
from spareway.design.design import Design
from spareway.design.logged import read_log
from spareway.design.operator import MEANS, OperatorDesign, Reason
from spareway.design.operators_things import KEEP_AWAY, defects, endangering
from spareway.design.recorded import recorded
from spareway.fact import Fact
from spareway.fact_data import sourced
from spareway.job.job import read_job
from spareway.job.operators import read_operators
from spareway.tables import look_up, print_of

__all__ = ["told"]

THEIRS = ("The network operator decides; these rows are what operators have said, and they change.",
          "What is behind a seal is the operator's. Do not withdraw the fuse without its leave.")


def told(files: Files, stage: str | None = None, overlays: Overlays = (), log: tuple[str, str] | None = None,
         operators: tuple[str, str] | None = None) -> dict[str, Any]:
    """The answer for a stage, each reason with its row, its figures and the reply that settles it.

    log: name and text of a logger's CSV; operators: name and text of the firm's own file.
    Errors: InputError, with every fault of the folder, of the log or of that file."""
    read = read_log(*log) if log else None
    known = read_operators(*operators) if operators else {}
    with no_collector():
        job = read_job(files, overlays, stage)
        design = Design(job.at(stage))
        of = OperatorDesign(design, recorded(design, read), known)
        return {"spareway": __version__, "job": job.about.says, "stage": design.inst.stage, "wants": of.wants, "left": of.left,
                "means": MEANS[of.left], "operator": _operator(of),
                "notify_days": sourced(look_up("thresholds", design.books, design.case("notify_days"))),
                "reasons": [_reason(each) for each in of.reasons], "supply_off": _supply_off(of),
                "now": _now(design),
                "defects": [{"at": each.at, "says": each.says, "by": each.seen.by if each.seen else "",
                             "on": each.seen.at if each.seen else ""} for each in defects(design)],
                "caution": [*THEIRS, *CAUTION]}


def _now(design: Design) -> list[str]:
    """What comes before everything that is asked or ordered: what may hurt somebody now, and what to do."""
    found = [f"{each.at}: {each.says}" for each in endangering(design)]
    return [*dict.fromkeys(found), f"{KEEP_AWAY[:1].upper()}{KEEP_AWAY[1:]}"] if found else []


def _row(fact: Fact[str]) -> dict[str, Any]:
    """A row that wants it, and where it is printed."""
    row = print_of(fact)
    return {**sourced(fact), "book": row.book.title if row else "", "edition": row.edition if row else "",
            "place": row.place if row else ""}


def _operator(of: OperatorDesign) -> dict[str, Any]:
    """Whose network it is and what is on record of it. is_old: null where nobody can tell."""
    own = of.own
    return {"name": sourced(of.name), "on_record": own is not None,
            "says": own.says if own else "", "ref": own.ref if own else "", "asked": _day(own.asked if own else None),
            "is_old": of.is_old,
            "wants": [sourced(fact) for fact in of.terms.values()], "threshold_a": sourced(of.threshold_a)}


def _reason(of: Reason) -> dict[str, Any]:
    reply, asked = of.reply, of.asked
    return {"case": of.case, "wants": of.wants, "about": of.topic,
            "says": of.says, "in_words": of.said_with(lambda _: ""), "at": list(of.at), "open": of.is_open,
            "doubts": list(of.doubts),
            "row": _row(of.row) if of.case else None, "facts": [sourced(fact) for fact in of.facts],
            "reply": None if reply is None else {"name": reply.name, "by": reply.by, "ref": reply.ref, "on": _day(reply.on),
                                                 "says": reply.says},
            "asked": None if asked is None else {"name": asked.name, "by": asked.by, "to": asked.to, "ref": asked.ref,
                                                 "on": _day(asked.on)}}


def _day(on: datetime.date | None) -> str:
    return on.isoformat() if on else ""


def _supply_off(of: OperatorDesign) -> dict[str, Any]:
    """What the work touches that only the operator's fuse takes the supply off, who may draw it, and the leave on record."""
    who = of.term("seals") if of.own else None
    return {"things": list(of.live_at_work), "who": None if who is None else sourced(who),
            "leave": [{"part": p.part, "by": p.by, "ref": p.ref, "until": _day(p.until)} for p in of.leave]}
