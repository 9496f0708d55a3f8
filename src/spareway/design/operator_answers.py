"""What an answer on file counts for: whose it is, whether it stands on the job's latest day, what it is about, how far it goes.

The latest answer governs. A yes of which one of these is not known settles nothing and says why; a no is heard more readily: it
needs no day and no list of what it answers."""
from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from spareway.design.operator import NOTIFY
from spareway.design.operators_things import is_operators
from spareway.fact import Fact
from spareway.job.types import Enquiry, Reply

if TYPE_CHECKING:
    from spareway.design.operator import OperatorDesign, Reason

__all__ = ["Word", "bears", "contradict", "governing", "is_unclear", "not_asked", "speaks", "touches", "unheard", "unsettled",
           "word"]

FIGURES = {"tails": "tail_m", "service fuse": "raised_fuse_a", "demand": "agreed_a", "sources": "agreed_sources_a"}
OF_THE_HOME = ("demand", "service fuse")           # what one part takes says nothing of what all of them do together


@dataclass(frozen=True, slots=True)
class Word:
    """What the answers on file come to about one reason.

    yes: the answer that settles it; no: the refusal that governs; doubts: why others about it settle nothing."""
    yes: Reply | None = None
    no: Reply | None = None
    doubts: tuple[str, ...] = ()


def word(of: OperatorDesign, reason: Reason) -> Word:
    """Of everything on file that bears on a reason, what governs; two answers of one day that contradict settle nothing."""
    about = [reply for reply in of.about.replies.values() if bears(of, reply, reason)]
    last = governing(of, about)
    doubts = [f"{reply.name}: {why}" for reply in about if (why := unheard(of, reply) or unsettled(of, reply))]
    if not last:
        return Word(doubts=tuple(doubts))
    if all(reply.allows.amount is False for reply in last):
        return Word(no=next((reply for reply in last if not of.lapsed(reply)), None), doubts=tuple(doubts))
    if contradict(last):
        doubts.append(f"{' and '.join(reply.name for reply in last)} contradict, and which is the later is not known")
    elif all(reply.allows.amount is True and not unsettled(of, reply) and _reaches(reply, reason) for reply in last):
        return Word(yes=last[0])
    return Word(doubts=tuple(doubts))


def contradict(last: Sequence[Reply]) -> bool:
    """Whether of the answers that govern one is a no and another is not."""
    return len({reply.allows.amount is False for reply in last}) > 1


# ---- whose, and of which day ------------------------------------------------------------------------------------------
def speaks(of: OperatorDesign, reply: Reply) -> bool | None:
    """Whether an answer is the recorded operator's. None where it may be: nobody recorded whose network it is, or it says that it
    answers what an operator is asked."""
    if of.name.known and reply.by == of.name.value:
        return True
    return None if not of.name.known or reply.answers else False


def unheard(of: OperatorDesign, reply: Reply) -> str:
    """Why an answer does not count at all; nothing where it does."""
    if not of.name.known:
        return "whose network it is is not recorded, so nobody is known to have answered for it"
    if reply.by != of.name.value:
        return f"{reply.by} is not the recorded operator, {of.name}"
    if reply.on is None:
        return "on which day it was said is not recorded"
    if not of.day:
        return "the job names no day to hold it against"
    return f"it is of {reply.on}, after the job's latest day, {of.day}" if reply.on.isoformat() > of.day else ""


def unsettled(of: OperatorDesign, reply: Reply) -> str:
    """Why an answer that counts settles nothing all the same: it is no yes, or no longer one."""
    if reply.allows.amount is not True:
        return "the answer was no" if reply.allows.amount is False else "neither yes nor no is recorded of it"
    return f"it held until {reply.until}" if of.lapsed(reply) else ""


def governing(of: OperatorDesign, about: Iterable[Reply]) -> list[Reply]:
    """The latest of these answers of the operator's; all of that day. A no whose day nobody wrote down may be the latest."""
    heard = [reply for reply in about
             if not unheard(of, reply) or reply.allows.amount is False and speaks(of, reply) is True]
    last = max((reply.on for reply in heard if reply.on is not None), default=None)
    return [reply for reply in heard if reply.on is None or reply.on == last]


def not_asked(of: OperatorDesign, reason: Reason, enquiry: Enquiry) -> str:
    """Why an enquiry to the operator counts as none; nothing where it counts. What is told afterwards is told after the work."""
    why = _of_no_day(of, enquiry.on)
    if not why and reason.wants == NOTIFY:
        why = _too_early(f"{enquiry.on}", of.about.dates.get("work", ""))
    return f"enquiry {enquiry.name}: {why}" if why else ""


def _of_no_day(of: OperatorDesign, on: datetime.date | None) -> str:
    if on is None:
        return "on which day is not recorded"
    if not of.day:
        return f"it is of {on}, and the job names no day to hold it against"
    return f"it is of {on}, after the job's latest day, {of.day}" if on.isoformat() > of.day else ""


def _too_early(on: str, work: str) -> str:
    if not work:
        return f"it is of {on}; whether that was after the work is not known, its day is not recorded"
    return f"it is of {on}, before the work of {work}" if on < work else ""


# ---- about what -------------------------------------------------------------------------------------------------------
def part_of(of: OperatorDesign, reply: Reply) -> str:
    """The part of ours that an answer is about, by its address; nothing where that is the home, the service, or free words."""
    about, inst = reply.about.rpartition(" ")[2], of.design.inst
    if "." not in about:
        table = next((t for t, things in (("equipment", inst.equipment), ("circuits", inst.circuits), ("runs", inst.runs))
                      if about in things), "")
        about = f"{table}.{about}" if table else ""
    table, _, name = about.partition(".")
    if table == "equipment":
        thing = inst.equipment.get(name.partition(".")[0])
        return "" if thing is not None and is_operators(thing) else about
    return about if table in ("circuits", "runs") else ""


def bears(of: OperatorDesign, reply: Reply, reason: Reason) -> bool:
    """Whether an answer has a say in this: a yes where it covers all of it, anything else where it touches any of it."""
    if reply.answers and reason.topic not in reply.answers:
        return False
    return _covers(reply, reason, part_of(of, reply)) if reply.allows.amount is True else touches(of, reply, reason)


def touches(of: OperatorDesign, reply: Reply, reason: Reason) -> bool:
    """Whether any of this is what an answer is about."""
    if reply.answers and reason.topic not in reply.answers:
        return False
    part = part_of(of, reply)
    return any(_touches(of, at, part) for at in reason.at) if part else reason.topic in reply.answers


def is_unclear(of: OperatorDesign, reply: Reply) -> bool:
    """Whether neither what it answers nor what it is about says to what an answer was given."""
    return not reply.answers and not part_of(of, reply)


def _covers(reply: Reply, reason: Reason, part: str) -> bool:
    """Whether a yes is about all of this. One about a part of ours covers that part; a figure of the whole covers the whole."""
    whole = not part or bool(reason.at) and all(_within(at, part) for at in reason.at)
    if _figure(reply, reason) is not None:
        if reason.topic in OF_THE_HOME:
            return True
        if reason.topic == "tails":
            return whole or any(_within(at, part) for at in reason.at)
        return whole or not reason.is_of_one
    if reason.topic in OF_THE_HOME:
        return not part and reason.topic in reply.answers and not reason.wants_figure
    return whole and (reason.topic in reply.answers or bool(part))


def _touches(of: OperatorDesign, at: str, part: str) -> bool:
    """Whether a part is this one, in it, around it, or the circuit on which it hangs."""
    table, _, name = at.partition(".")
    thing = of.design.inst.equipment.get(name) if table == "equipment" else None
    return _within(at, part) or _within(part, at) or thing is not None and part == f"circuits.{thing.on}"


def _within(at: str, part: str) -> bool:
    return f"{at}.".startswith(f"{part}.")


# ---- how far ----------------------------------------------------------------------------------------------------------
def _figure(reply: Reply, reason: Reason) -> Fact[float] | None:
    """The most that an answer agrees to, where it names a figure of this."""
    figure: Fact[float] | None = getattr(reply, FIGURES[reason.topic]) if reason.topic in FIGURES else None
    return figure if figure is not None and figure.known else None


def _reaches(reply: Reply, reason: Reason) -> bool:
    """Whether its figure is as large as what is wanted, of which a figure must be known then."""
    figure = _figure(reply, reason)
    value = reason.facts[0].amount if figure is not None else None
    return figure is None or value is not None and value <= figure.value
