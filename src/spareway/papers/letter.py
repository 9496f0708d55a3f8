"""The letter to the network operator, one page: what is asked and why, the service as read, demand by method, loads.

It is a draft that a person reads, completes by hand and signs; names and addresses of people are not in it.
"""
from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from spareway.design.demand import BOOK, COUNT_THEM, GENERAL, OWN, Demand
from spareway.design.design import Design
from spareway.design.operator import APPLY, ASK, NEITHER, NOTHING_KNOWN, NOTIFY, OperatorDesign, Reason
from spareway.design.operator_answers import contradict, governing, is_unclear, speaks, touches
from spareway.design.operator_loads import Load, loads
from spareway.design.recorded import SINCE
from spareway.fact import Fact, glossary
from spareway.job.job import Job
from spareway.job.types import Reply
from spareway.kinds import kind
from spareway.papers.found import supply
from spareway.papers.report import STAGES, dated, edition
from spareway.papers.words import asked, how, joined, label, listed, moment, piece, plain
from spareway.rules.base import Finding
from spareway.tables import print_of

__all__ = ["QUESTIONS", "facts_for"]

Row = dict[str, Any]
HEADS = {APPLY: "Application, before anything is ordered", ASK: "Question, before anything is ordered",
         NOTIFY: "Notice of what is installed", NOTHING_KNOWN: "Not to be sent: no work is on record",
         NEITHER: "For your records: the record asks nothing of you"}
QUESTIONS = {"demand": "May this demand be taken from the service as it is? If not: what has to be done first, by whom, by when?",
             "service fuse": "What are service fuse and cut-out rated at, and may a larger fuse be put in?",
             "tails": "How long may tails behind your fuse alone be, and what do you want where they are longer?",
             "sources": "May these sources be joined, and on what terms?",
             "looped service": "Does the service loop on to a neighbour? If so: what has to be done first?",
             "earthing": "Which earthing, how many phases and what greatest loop and fault current do you state for this supply?",
             "repair": "Will you look at what is noted of your equipment, and tell us when?",
             "not looked at": "Will you look at your cut-out for heat or harm, which nobody here recorded, and when?"}
OFF = "Who takes the supply off for this work and puts it back, and how long ahead do we ask?"
LASTING = "heaters, stored water and charging, as after an outage"
LOGGED = "highest minute of a logger"
BY_HAND = ("Address of the supply", "Supply number, as on the bill", "Name and telephone of who asks", "Signature, date")
TOPICS = {"repair": "your equipment", "looped service": "loop", "earthing": "earthing, phases, meter"}
FILE = re.compile(r"(?:, )?[a-z-]+\.(?:toml|csv):\d+")
SAYS = ("Draft, not sent: whoever signs answers for it. What is not known is said to be so.",
        "Book demand, not load: an allowance by a handbook's table; the figures are never added or averaged.")


def facts_for(job: Job, design: Design, _findings: Sequence[Finding], said: Mapping[str, Any],
              _rules: Mapping[str, Mapping[str, Any]]) -> dict[str, Any]:
    """Everything the letter prints, as texts; arguments as of the survey report.

    Errors: InputError where the job states no day for this stage."""
    stage, of = design.inst.stage, design.operator
    day = dated(job, stage)
    return {"title": "Letter to the network operator", "about": job.about.says or "A job without a name", "state": STAGES[stage],
            "day": day, "date": moment(day), "edition": edition(said), "to": _to(of),
            "head": _head(of, stage), "terms": _terms(of),
            "reasons": [_reason(each, design) for each in of.reasons if each.wants != NEITHER],
            "nothing": [each.says for each in of.reasons] if of.wants == NEITHER else [],
            "questions": _questions(of), "service": list(_service(job, design)), "demand": list(_demand(of)),
            "loads": [_load(each) for each in loads(of)], "sources": _sources(design), "who": [*_who(job), *_answered(of)],
            "by_hand": list(BY_HAND), "says": list(SAYS), "cautions": list(said["caution"])}


def _head(of: OperatorDesign, stage: str) -> str:
    """What the letter is; of what is fitted already, that it comes late."""
    late = stage == "fitted" and of.left in (APPLY, ASK)
    return f"{HEADS[of.left].partition(',')[0]}, late: it is fitted by the record" if late else HEADS[of.left]


def _to(of: OperatorDesign) -> str:
    return f"To {of.name.value}" if of.name.known else "To the network operator; which one is not recorded"


def _terms(of: OperatorDesign) -> str:
    """What this operator said it wants, with the day; whoever reads it can put it right."""
    if of.own is None:
        return "Your own terms are not on our record: please send them."
    said = "; ".join(f"{glossary(fact.name).says}: {fact}" for fact in of.terms.values() if fact.known)
    when = moment(str(of.own.asked)) if of.own.asked else "a day that is not recorded"
    old = " That was more than a year ago: please say what holds now." if of.is_old else ""
    return f"Your terms, as said on {when}{f' ({of.own.ref})' if of.own.ref else ''}: {said or 'none is recorded'}.{old}"


# ---- what is asked ----------------------------------------------------------------------------------------------------
def _reason(of: Reason, design: Design) -> Row:
    """Why, and by which row; settled ones with the answer that settles them."""
    says = of.said_with(lambda at: "" if at.startswith("supplies.") else f", {label(design.inst, at)}")
    reply = of.reply
    settled = "" if reply is None else ", ".join(filter(None, (
        f"answered by {reply.by}", f"reference {reply.ref}" if reply.ref else "", moment(str(reply.on)) if reply.on else "")))
    told = "" if of.is_open or of.reply else "told already"
    return {"wants": of.wants, "topic": TOPICS.get(of.topic, of.topic), "says": says, "row": _row(of, design.operator),
            "settled": settled or told}


def _row(of: Reason, by: OperatorDesign) -> str:
    """Where the row stands by which it is wanted; and the limit beside the figure, with where that comes from."""
    limit = None if of.is_of_one or len(of.facts) < 2 or not of.facts[1].known else of.facts[1]
    own = any(limit is term for term in by.terms.values())
    beside = "" if limit is None else f"{limit}: {'as you said' if own else _from(limit)}"
    return "; ".join(filter(None, (_from(of.row) if of.case else "", beside)))


def _from(fact: Fact[Any]) -> str:
    """Where a figure of a table stands, and how far it is trusted where less than confirmed; of any other how it is known."""
    if fact.how != "table":
        return FILE.sub("", how(fact))
    trust = "" if fact.trust in ("", "confirmed") else f", {fact.trust}"
    row = print_of(fact)
    where = row.place if row is not None and row.book.name == "network" else fact.where         # to it, no book of its own
    return f"{where}{trust}"


def _questions(of: OperatorDesign) -> list[str]:
    """One for each thing that is still to be asked about; the operator's fuse where the work needs it drawn."""
    topics = dict.fromkeys(_asks(each) for each in of.reasons if each.is_open and each.wants in (APPLY, ASK))
    return [*(QUESTIONS[topic] for topic in topics), *([OFF] if of.live_at_work else [])]


def _asks(of: Reason) -> str:
    """Which question it puts; of its equipment, what is noted is one thing and what nobody looked at another."""
    return "not looked at" if of.topic == "repair" and any(not fact.known for fact in of.facts) else of.topic


# ---- the service ------------------------------------------------------------------------------------------------------
def _service(job: Job, design: Design) -> Iterator[Row]:
    """What was read of it, and beside that what an operator asks about first and nobody recorded."""
    for row in supply(job, design):
        yield {**row, "how": FILE.sub("", row["how"])}
    said = design.supply.supply
    for name, fact in (("Loops on to a neighbour", said.looped), ("Phases", said.phases_n)):
        if not fact.known:
            yield {"q": name, "symbol": "", "a": [piece(fact)], "how": how(fact)}
    meters = [kind(thing.kind).says for thing in design.inst.equipment.values() if kind(thing.kind).family == "meter"]
    yield {"q": "Meter", "symbol": "", "a": plain(joined(meters) or "none is recorded"), "how": ""}
    yield from _tails(design)


def _tails(design: Design) -> Iterator[Row]:
    """What leads from the meter to each board behind the service fuse alone, in order."""
    for board in design.boards.values():
        runs = [run for run in board.runs_before if run.carries_load and run.protected_by_service_fuse]
        if runs:
            said = [[piece(run.run.size_mm2), {"t": ", "}, piece(run.length_m)] for run in runs]
            yield {"q": f"Tails to {board.thing.name.replace('-', ' ')}", "symbol": "", "a": listed(said), "how": "size, length"}


def _sources(design: Design) -> list[Row]:
    """Every other source, with its rating."""
    named = [(name, design.inst.equipment.get(name)) for name in design.second_sources]
    return [{"q": name.replace("-", " "), "a": plain("not recorded") if thing is None else [piece(thing.rating_a)],
             "how": "" if thing is None else thing.kind.replace("-", " ")} for name, thing in named]


# ---- demand -----------------------------------------------------------------------------------------------------------
def _demand(of: OperatorDesign) -> Iterator[Row]:
    """Each figure with its method; one that is not known says what lacks."""
    demand = of.design.demand
    recorded_a = asked("demand_a", lambda: of.recorded_a)
    yield from _book(demand, asked("demand_a", lambda: demand.book_least_a))
    yield _figure("Connected", asked("demand_a", lambda: demand.connected_a), "every fixed appliance and lamp at once")
    yield _figure("Lasting", asked("demand_a", lambda: demand.lasting_a), LASTING)
    yield _figure("Recorded", recorded_a, f"{LOGGED}, {of.recorded.since(recorded_a) or SINCE}")


def _book(demand: Demand, least_a: Fact[float]) -> Iterator[Row]:
    """Both readings of the row for heaters on circuits of their own, where there is one; of one that is not known, the least."""
    whole = asked("demand_a", lambda: demand.book_a(OWN))
    if any(line.row == OWN for line in demand.book()):
        yield _figure("By the book", whole, f"{BOOK}; heaters whole, for which it has no row", least_a)
        yield _figure("By the book", asked("demand_a", lambda: demand.book_a(GENERAL)), f"{BOOK}; heaters as heating and power")
    else:
        yield _figure("By the book", whole, BOOK, least_a)


def _figure(name: str, fact: Fact[float], method: str, least: Fact[float] | None = None) -> Row:
    missing = [] if fact.known else fact.missing()
    gaps = list(dict.fromkeys(gap.note.removesuffix(COUNT_THEM) or "not recorded" for gap in missing))
    at_least = [{"t": "at least "}, piece(least)] if least is not None and least.amount and not fact.known else []
    return {"q": name, "a": at_least or [piece(fact)], "how": f"{method}{': ' if gaps else ''}{'; '.join(gaps[:2])}"}


def _load(of: Load) -> Row:
    """All of a kind on one line; what the work adds of it."""
    circuits = "circuit" if of.whole_n == 1 else "circuits"
    what = {"": f"{circuits} of unknown use", "sockets": f"{circuits} of socket outlets"}.get(of.what, of.what.replace("-", " "))
    if of.what in ("", "sockets"):
        figures, added = plain("what is plugged in is not recorded" if of.what else "not known"), plain(f"; new: {of.added_n}")
    else:
        figures = [piece(of.power_w), *([{"t": ", "}, piece(of.current_a)] if of.power_w.known else [])]
        added = [{"t": "; new: " if of.what == "lights" else f"; new: {of.added_n}, "}, piece(of.added_w)]
    q = f"{of.whole_n} × {what}"
    if of.what == "lights":                          # how many lamps a circuit has, nobody counted
        q = "lamps, number not known" if of.whole_n == 1 else f"lamps in {of.whole_n} places, number not known"
    return {"q": q, "a": [*figures, *(added if of.added_n else [])], "how": ""}


# ---- who --------------------------------------------------------------------------------------------------------------
def _who(job: Job) -> Iterator[Row]:
    """Each enquiry on record: who asked whom, when, what."""
    for each in job.about.enquiries.values():
        when = moment(str(each.on)) if each.on else "day not recorded"
        yield {"q": "Asked", "a": f"{joined(each.asks) or 'what was asked is not recorded'}, of {each.to}",
               "how": ", ".join(filter(None, (f"by {each.by}", when, f"reference {each.ref}" if each.ref else "")))}
    if not job.about.enquiries:
        yield {"q": "Asked", "a": "nobody is recorded to have asked before this letter", "how": ""}


def _answered(of: OperatorDesign) -> Iterator[Row]:
    """What the operator answered, of each topic its latest word alone; a yes and a no of one day stand as what they are."""
    replies = [r for r in of.about.replies.values() if speaks(of, r) or not of.name.known and r.answers]
    topics: dict[str, list[str]] = {}
    for topic, about in _by_topic(of, replies):
        last = governing(of, about) or about
        topic += " (yes and no, and which is the later is not recorded)" if contradict(last) else ""
        for reply in last:
            topics.setdefault(reply.name, []).append(topic)
    for reply in replies:
        if reply.name in topics:
            answer = "not said" if not reply.allows.known else "yes" if reply.allows.value else "no"
            when = moment(str(reply.on)) if reply.on else "day not recorded"
            yield {"q": "Answered", "a": f"{joined(list(dict.fromkeys(topics[reply.name])))}: {answer}",
                   "how": ", ".join(filter(None, (f"by {reply.by}", when, f"reference {reply.ref}" if reply.ref else "")))}


def _by_topic(of: OperatorDesign, replies: Sequence[Reply]) -> Iterator[tuple[str, list[Reply]]]:
    """What was answered together: about each thing that is wanted, then of each topic of which nothing is."""
    wanted = [reason for reason in of.reasons if reason.wants != NEITHER]
    met: set[tuple[str, str]] = set()
    for reason in wanted:
        about = [reply for reply in replies if touches(of, reply, reason)]
        met |= {(reply.name, reason.topic) for reply in about}
        yield reason.topic, about
    for topic in dict.fromkeys(topic for reply in replies for topic in reply.answers):
        yield topic, [reply for reply in replies if topic in reply.answers and (reply.name, topic) not in met]
    yield "to what is not recorded", [reply for reply in replies if is_unclear(of, reply) and reply.allows.amount is False]
