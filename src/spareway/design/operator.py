"""What a network operator wants of this work: applied to, asked first, told afterwards, or neither; each reason with its row.

The national rows hold for every operator; what one operator wants beside them is on record with the day on which it said so.
What is not known leads to asking, never to neither. What an answer on file settles is judged in `operator_answers.py`.
"""
from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import chain
from typing import TYPE_CHECKING, Any

from spareway.design.around import LIVE
from spareway.design.load import Part, gives, on_no_circuit, parts_of
from spareway.design.route import settled
from spareway.doc import Trail, trail
from spareway.fact import Fact, glossary, unknown
from spareway.job.fields import specs
from spareway.job.types import Enquiry, Operator, Permission, Reply
from spareway.tables import look_up

if TYPE_CHECKING:
    from spareway.design.design import Design
    from spareway.design.recorded import Recorded

__all__ = ["APPLY", "ASK", "MEANS", "NEITHER", "NOTHING_KNOWN", "NOTIFY", "OperatorDesign", "Reason", "worst"]

# the most that is wanted first
APPLY, ASK, NOTIFY, NOTHING_KNOWN, NEITHER = WAYS = "apply", "ask", "notify", "cannot tell", "neither"
AS_FOUND = ("found.toml", "premises.toml", "readings.csv")
SAYS_LOAD = ("kind", "item", "feeds", "stamped_w", "stamped_v", "load_w", "load_a", "rating_a")
MEANS = {APPLY: "Apply to the network operator, and wait for its answer before anything is ordered.",
         ASK: "Ask the network operator before anything is ordered or installed.",
         NOTIFY: "Install, and tell the network operator afterwards, within the days it gives.",
         NOTHING_KNOWN: "No work is on record, and too little of the home: what the operator wants cannot be told yet.",
         NEITHER: "Neither to apply nor to tell, by the record and these rows."}
NO_OPERATOR = "what this operator wants beside the national rows is not on record"
PLACE = re.compile(r" \(((?:supplies|equipment|runs|circuits)\.[^()]+)\)")         # of the record, in what a reason says
SAID = ("enquiry", "stated")                       # an operator's term is what it said; what we assume of it is not


@dataclass(frozen=True, slots=True)
class Reason:
    """One thing that an operator wants, or that shows that it wants nothing.

    case: the row; topic: what the operator is asked about; facts: (value, limit) or what is not known; at: what it is about;
    reply: the answer on record that settles it; refusal: the no that governs; doubts: why others, and enquiries, settle nothing;
    asked: the enquiry on record about it, of a day that counts; is_of_one: what is said of another thing does not reach it;
    wants_figure: a yes must name one."""
    case: str
    wants: str
    topic: str
    says: str
    row: Fact[str]
    facts: tuple[Fact[Any], ...] = ()
    at: tuple[str, ...] = ()
    reply: Reply | None = None
    asked: Enquiry | None = None
    refusal: Reply | None = None
    doubts: tuple[str, ...] = ()
    is_of_one: bool = False
    wants_figure: bool = False

    def said_with(self, called: Callable[[str], str]) -> str:
        """What it says, each address of the record in it as it is called where that is read."""
        return PLACE.sub(lambda found: called(found[1]), self.says)

    @property
    def is_open(self) -> bool:
        """Whether something is still to be done: a yes settles it, and what was to be told is told when it is on record."""
        return self.wants != NEITHER and self.reply is None and not (self.wants == NOTIFY and self.asked is not None)


def worst(reasons: Sequence[Reason]) -> str:
    """The most that any of these wants; neither where there is none."""
    return min((each.wants for each in reasons), key=WAYS.index, default=NEITHER)


class OperatorDesign:
    """What the operator of one installation wants.

    recorded: what loggers wrote, a log that was given among them; else those on record. known: operators of the firm's own file,
    of which the job's own copies come first."""

    def __init__(self, design: Design, recorded: Recorded | None = None, known: Mapping[str, Operator] | None = None) -> None:
        self.design, self.books, self.about = design, design.books, design.inst.about
        self.known = {**(known or {}), **self.about.operators}
        self._recorded = recorded

    # ---- whose network, and since when we know ----------------------------------------------------------------------------
    @property
    def name(self) -> Fact[str]:
        return self.design.supply.supply.operator

    @cached_property
    def own(self) -> Operator | None:
        """What is on record of this operator; None where nothing is."""
        return self.known.get(self.name.amount or "")

    @cached_property
    def day(self) -> str:
        """The latest day that the job names, as 2026-11-09; nothing where it names none."""
        return max(self.about.dates.values(), default="")

    @cached_property
    def is_old(self) -> bool | None:
        """Whether what is on record of this operator is older than a year by the job's latest day; None where nobody can tell."""
        if self.own is None or self.own.asked is None or not self.day:
            return None
        months = look_up("thresholds", self.books, self.design.case("operator_row_months")).value
        said, (year, month, date) = self.own.asked, map(int, self.day.split("-"))
        return (said.year * 12 + said.month + months, said.day) < (year * 12 + month, date)

    def row(self, case: str) -> Fact[str]:
        """The national row of a case."""
        return look_up("operator_thresholds", self.books, settled("operator_case", case, "this work"))

    @cached_property
    def threshold_a(self) -> Fact[float]:
        """The demand above which it must be applied to: its own, else the national one."""
        own: Fact[float] = self.term("apply_above_a")
        return own if own.known else look_up("thresholds", self.books, self.design.case("apply_above_a"))

    def term(self, name: str) -> Fact[Any]:
        """One thing that this operator wants, as it said; unknown where nobody asked it, or where we only assume it."""
        if self.own is None:
            return unknown(next(spec.quantity for spec in specs(Operator) if spec.name == name), NO_OPERATOR)
        fact: Fact[Any] = getattr(self.own, name)
        said = next((each for how in SAID if (each := fact.by(how)).known), None)
        if said is not None:
            return said
        if not fact.known:
            return fact
        return unknown(fact.name, f"{fact} is {fact.how}, and not what the operator said", fact.where, fact.at)

    @property
    def terms(self) -> dict[str, Fact[Any]]:
        """Everything that it may want beside the national rows, by field."""
        return {} if self.own is None else {spec.name: self.term(spec.name) for spec in specs(Operator) if spec.is_fact}

    @cached_property
    def not_said(self) -> tuple[Fact[Any], ...]:
        """What is on record as a term of its, and it did not say; and what *neither* leans on that is on record nowhere."""
        return tuple(term for name, term in self.terms.items()
                     if not term.known and (getattr(self.own, name).known or name in self._leaned_on))

    @cached_property
    def _leaned_on(self) -> tuple[str, ...]:
        """The terms beside which the work was found to be within the national rows: it may want less than these do."""
        tails = any(run.carries_load and run.protected_by_service_fuse
                    for board in self.design.boards.values() for run in board.runs_before)
        return (*(["apply_above_a"] if self.added else []), *(["tail_m"] if tails else []))

    # ---- what the work changes --------------------------------------------------------------------------------------------
    @cached_property
    def touched(self) -> bool:
        """Whether the record says work: a line beside what was found."""
        return any(file not in AS_FOUND for at, (file, _) in self.design.inst.doc.places.items() if at)

    def in_work(self, at: Trail, keys: Sequence[str]) -> bool:
        """Whether one of these keys of a thing is said by the work."""
        places = self.design.inst.doc.places
        return any(places[(*at, key)][0] not in AS_FOUND for key in keys if (*at, key) in places)

    @cached_property
    def _was_there(self) -> frozenset[Trail]:
        """Everything of which something was found."""
        return frozenset(at[:2] for at, (file, _) in self.design.inst.doc.places.items() if len(at) > 2 and file in AS_FOUND)

    @cached_property
    def added(self) -> tuple[Part, ...]:
        """What the work adds that takes something, or says anew how much it takes: address, kind, power. Of a circuit without an
        appliance of its own, what it feeds; nothing where nobody said."""
        parts = [*chain.from_iterable(parts_of(c) for c in self.design.circuits.values() if not c.is_surge), *self._loose()]
        fresh = [part for part in parts if not gives(part) and self.in_work(trail(part[0]), SAYS_LOAD)]
        for circuit in self.design.circuits.values():
            at = trail(circuit.at)
            opened = (circuit.feeds_sockets or circuit.use_unsaid) and not circuit.is_surge
            if opened and (at not in self._was_there or self.in_work(at, ("feeds",))):
                fresh.append((circuit.at, "sockets" if circuit.feeds_sockets else "",
                              unknown("load_w", "what is plugged in, or stands there, is not recorded", at=circuit.at)))
        return tuple(fresh)

    def _loose(self) -> Iterator[Part]:
        for name in on_no_circuit(self.design):
            yield f"equipment.{name}", self.design.inst.equipment[name].kind, self.design.inst.equipment[name].stamped_w

    # ---- figures ----------------------------------------------------------------------------------------------------------
    @cached_property
    def by_book_a(self) -> Fact[float]:
        """By the book, heaters on circuits of their own whole: the larger of the two readings."""
        return self.design.demand.book_a()

    @cached_property
    def recorded(self) -> Recorded:
        """What loggers recorded, with what is connected since: by a log that was given, and by those on record."""
        return self.design.recorded if self._recorded is None else self._recorded

    @property
    def recorded_a(self) -> Fact[float]:
        """The same as a figure beside the service fuse; unknown where no log may be relied on."""
        return self.recorded.against(self.design.supply.fuse_a)

    # ---- the answer -------------------------------------------------------------------------------------------------------
    @cached_property
    def reasons(self) -> tuple[Reason, ...]:
        """Every reason, the most wanted first, each with the reply and the enquiry on record about it."""
        from spareway.design.operator_reasons import every
        found = [self._answered(each) for each in every(self)]
        if self.touched and worst(found) == NEITHER and (says := self._nobody_said()):
            facts = self.not_said or (self.name,)
            nobody = Reason("", ASK, "demand", "; ".join(says), self.name, facts, (self.design.supply.at,))
            found.append(self._answered(nobody))
        return tuple(sorted(found, key=lambda each: WAYS.index(each.wants)))

    def _nobody_said(self) -> list[str]:
        """Why *neither* cannot be said: nothing of this operator is on record, or not all that it leans on, or nothing fresh."""
        if self.own is None:
            return [NO_OPERATOR]
        said = [f"{glossary(term.name).says}: {term.note or 'not recorded'}" for term in self.not_said]
        if self.is_old is False:
            return said
        asked = self.own.asked or "a day that is not recorded"
        when = f"the job's latest day is {self.day}, more than a year later" if self.is_old else "how old that is cannot be told"
        return [*said, f"what this operator wants was said on {asked}; {when}"]

    @cached_property
    def wants(self) -> str:
        """apply, ask, notify or neither, before any answer; cannot tell where nothing is proposed and little is known."""
        return worst(self.reasons)

    @cached_property
    def left(self) -> str:
        """The same of what no answer on record settles."""
        return worst([each for each in self.reasons if each.is_open])

    def _answered(self, reason: Reason) -> Reason:
        from spareway.design.operator_answers import not_asked, word
        said = word(self, reason)
        theirs = [e for e in self.about.enquiries.values() if reason.topic in e.asks and self.is_theirs(e.to)]
        why_not = [not_asked(self, reason, e) for e in theirs]
        asked = next((e for e, why in zip(theirs, why_not, strict=True) if not why), None)
        doubts = said.doubts if asked or said.yes or reason.wants == NEITHER else (*said.doubts, *why_not)
        return replace(reason, reply=said.yes, refusal=said.no, doubts=doubts, asked=asked)

    def is_theirs(self, who: str) -> bool:
        """Whether somebody is the recorded operator; nobody is while none is recorded."""
        return self.name.known and who == self.name.value

    def lapsed(self, reply: Reply) -> bool:
        """Whether the last day of an answer is past by the latest day that the job names."""
        return reply.until is not None and reply.until.isoformat() < self.day

    def holds(self, reply: Reply) -> bool:
        """Whether an answer is known to hold: it names no last day, or the job's latest day is no later."""
        return reply.until is None or bool(self.day) and not self.lapsed(reply)

    # ---- who may take the supply off --------------------------------------------------------------------------------------
    @cached_property
    def live_at_work(self) -> tuple[str, ...]:
        """Things of ours that the work changes, or where a run that it changes lands, that stay live there with everything open
        that you may open: the operator's fuse is asked for."""
        inst, network = self.design.inst, self.design.network
        otherwise = set(self.design.live_whatever_opened("operator"))              # by another source: the fuse is no help there
        given = {p.part for p in self.leave}
        opened = [name for name in network.may_open("skilled") if name not in network.permitted or name in given
                  or network.controls[name] != "operator"]
        live = [t for t, word in network.potential(opened).items() if word in LIVE and t not in otherwise
                and self.design.is_ours(t) and t.rpartition(".")[2].startswith("L")]
        changed = {at[:2] for at, (file, _) in inst.doc.places.items() if file not in AS_FOUND and len(at) > 1}
        things = {name for table, name in changed if table == "equipment"}
        ends = {f"{end}." for table, name in changed if table == "runs" and name in inst.runs for end in inst.runs[name].joins}
        return tuple(dict.fromkeys(t.partition(".")[0] for t in live
                                   if t.partition(".")[0] in things or f"{t}.".startswith(tuple(ends))))

    @property
    def leave(self) -> tuple[Permission, ...]:
        """Leave of the operator's on record to open what is its own, that holds on the job's latest day."""
        return tuple(p for p in self.about.permissions.values() if self.is_theirs(p.by) and self._stands(p))

    @property
    def leave_of_others(self) -> tuple[Permission, ...]:
        """Leave that somebody else gave: it opens nothing."""
        return tuple(p for p in self.about.permissions.values() if not self.is_theirs(p.by) and self._stands(p))

    def _stands(self, leave: Permission) -> bool:
        return leave.until is not None and bool(self.day) and self.day <= leave.until.isoformat()
