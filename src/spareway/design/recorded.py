"""What loggers wrote of the intake: the highest minute with everything connected since, and whether that may be relied on.

A log that is short, old, of mild days or all nought shows what was drawn and nothing of what may be: it settles nothing. What it
shows above a limit is above it all the same.
"""
from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from spareway.design.around import HEATERS
from spareway.design.load import LASTING, Part, kinds_on
from spareway.design.route import settled
from spareway.doc import trail
from spareway.fact import Fact, apart, glossary, highest, total, unknown
from spareway.job.job import STAGE_FILES
from spareway.job.types import Logged
from spareway.physics import asked, cable
from spareway.tables import look_up

if TYPE_CHECKING:
    from spareway.design.demand import Demand
    from spareway.design.design import Design
    from spareway.design.logged import Log

__all__ = ["SINCE", "GivenLog", "LogDesign", "Recorded", "greatest", "is_heated", "recorded"]

NO_LOG = "no log of the current at the intake is recorded"
WORTH = "what a log is asked to be"
DAY, DAYS_OF_A_YEAR = datetime.timedelta(days=1), 365.25
LASTS = "lasting"
SINCE = "with everything connected since"
AT_LEAST = "as logged: what is connected since comes on top, and nobody can tell how much"
FITTED = "fitted.toml"
ON_RECORD = (*STAGE_FILES["fitted"], "readings.csv")
NO_LOAD = ("cable", "device")                            # of a circuit: what is changed of these connects nothing
SENTENCES = ("days_n", "years_n")                        # why these are not known is a sentence of its own, above
AS_LOGGED = "not recorded (outside_c of a log on record with the same days)"


# ---- what was connected since ---------------------------------------------------------------------------------------
def _added_a(before: Sequence[Part], now: Demand, lasting_then_a: Fact[float] | None = None) -> list[Fact[float]]:
    """By how much what is connected has grown since: heaters, stored water and charging together, everything else kind by kind.
    Nothing is taken off where less is connected; what stayed as it was is not in it.

    lasting_then_a: the first of these as it was when the log was made, where the log itself says so."""
    was, grown = _by_group(before), []
    if lasting_then_a is not None:
        grown.append(asked.added_a.worked(lasting_then_a, now.lasting_a))
    for group, entries in _by_group(now.entries).items():
        then = was.get(group, {})
        alike = {at for at, amps in entries.items() if at in then and _alike(then[at], amps)}
        fresh = [amps for at, amps in entries.items() if at not in alike]
        if fresh and not (group == LASTS and lasting_then_a is not None):
            gone = [amps for at, amps in then.items() if at not in alike]
            grown.append(asked.added_a.worked(total("before_a", gone, f"{group}, then, without what stayed"),
                                              total("after_a", fresh, f"{group}, now, without what stayed")))
    return grown


def _alike(then: Fact[float], now: Fact[float]) -> bool:
    """Whether it takes what it took; of two that are not known, whether the same line leaves them so."""
    gaps = [[(gap.where, gap.note) for gap in each.missing()] for each in (then, now)]
    return then.amount == now.amount and gaps[0] == gaps[1]


def _by_group(of: Sequence[Part]) -> dict[str, dict[str, Fact[float]]]:
    """What is connected, by address: what stays on for hours in one group, and what nobody named with it; else by its kind."""
    found: dict[str, dict[str, Fact[float]]] = {}
    for at, what, amps in of:
        found.setdefault(LASTS if what in ("", *LASTING) else what, {})[at] = amps
    return found


def _as_found(design: Design) -> Demand:
    """The demand of what was found, before any work and any lines laid over it."""
    from spareway.design.design import Design
    return design.demand if design.inst.before is None else Design(design.inst.before, design.books).demand


def _laid_over(design: Design) -> tuple[set[str], str]:
    """Of the loads, by address, those that lines beside the record connect; and, of which such lines change what the record says,
    so that nobody can tell what they took before: which and where, in words, or ""."""
    on_record = {*ON_RECORD, *(f"option-{name}.toml" for name in design.inst.about.options)}
    fresh, changed = set(), ""
    for at, _, _ in design.demand.entries:
        of = trail(at)
        files = {file for key, (file, _) in design.inst.doc.places.items()
                 if key[:len(of)] == of and len(key) > len(of) and not {*key} & {*NO_LOAD}}
        beside = sorted(files - on_record)
        if beside and files & on_record:
            changed = changed or f"{beside[0]} says anew what {at} takes"
        elif beside:
            fresh.add(at)
    return fresh, changed


def is_heated(design: Design) -> bool:
    """Whether a fixed heater is recorded anywhere, so that the weather moves what is drawn."""
    return any(kinds_on(circuit, HEATERS) for circuit in design.circuits.values()) or bool(design.room_heaters)


# ---- one log --------------------------------------------------------------------------------------------------------
class LogDesign:
    """Each quantity of one log on record, worked out once."""

    def __init__(self, log: Logged, design: Design) -> None:
        self.log, self.design = log, design
        self.at = f"logs.{log.name}"

    @property
    def until(self) -> datetime.date | None:
        return self.log.until

    @property
    def highest_a(self) -> Fact[float]:
        return self.log.highest_a

    @property
    def outside_c(self) -> Fact[float]:
        return self.log.outside_c

    @cached_property
    def is_of_fitted(self) -> bool:
        """Whether it was made of what is fitted, and not of what was found."""
        return self.design.inst.doc.place(("logs", self.log.name, "highest_a"))[0] == FITTED

    @property
    def lasting_then_a(self) -> Fact[float] | None:
        """Heaters, stored water and charging as they were when it was made."""
        return cable.load_a.worked(self.log.lasting_w, self.design.supply.u0_v)

    @cached_property
    def unsure(self) -> str:
        """Why nobody can tell what was connected when it was made; "" where the record says it."""
        return self._laid_over[1] if self.is_of_fitted else ""

    @cached_property
    def added_a(self) -> tuple[Fact[float], ...]:
        """What was connected since, group by group; none where everything stayed as it was."""
        entries = self.design.demand.entries
        before = tuple(part for part in entries if part[0] not in self._laid_over[0]) if self.is_of_fitted else \
            _as_found(self.design).entries
        return tuple(_added_a(before, self.design.demand, self.lasting_then_a))

    @cached_property
    def _laid_over(self) -> tuple[set[str], str]:
        return _laid_over(self.design)

    @cached_property
    def seen_a(self) -> Fact[float]:
        """Its highest minute with everything connected since."""
        if self.unsure:
            return unknown("risen_demand_a", self.unsure, at=self.at)
        if not self.added_a:
            return self.highest_a
        return asked.risen_demand_a.worked(self.highest_a, total("added_a", self.added_a, "connected since"))

    @property
    def least_a(self) -> Fact[float]:
        """What the home asks for at least by it: where nobody can tell what was connected since, its minute as it was logged."""
        return self.seen_a if self.seen_a.known else self.highest_a

    @cached_property
    def days_n(self) -> Fact[float]:
        since, until = self.log.since, self.log.until
        if since is None or until is None:
            return unknown("days_n", "its first and last day are not both recorded", at=self.at)
        return Fact("days_n", float((until - since).days + 1), "stated", note=f"{since} to {until}", at=self.at)

    @cached_property
    def years_n(self) -> Fact[float]:
        """How old it is on the latest day that the job states."""
        on = [datetime.date.fromisoformat(day) for day in self.design.inst.about.dates.values()]
        if self.until is None or not on:
            missing = "its last day" if self.until is None else "a day of the job, by which it could be old,"
            return unknown("years_n", f"{missing} is not recorded", at=self.at)
        if self.until > max(on):
            return unknown("years_n", f"it ends on {self.until}, after the job's latest day, {max(on)}", at=self.at)
        return Fact("years_n", (max(on) - self.until).days / DAYS_OF_A_YEAR, "stated", note=f"{self.until} to {max(on)}",
                    at=self.at)

    def worth(self, case: str) -> Fact[float]:
        """What it is asked to be in this."""
        return look_up("log_worth", self.design.books, settled("case", case, WORTH))

    @cached_property
    def doubts(self) -> tuple[str, ...]:
        """Why it settles nothing: too short, too old, too mild, all nought, hearsay; or nobody can tell that it is not."""
        said = []
        days, years = self.worth("days"), self.worth("years")
        if not self.days_n.known or self.days_n.value < days.value:
            said.append(_doubt(self.days_n, days, "day{2} where {1} are asked for"))
        if not self.years_n.known or self.years_n.value > years.value:
            said.append(_doubt(self.years_n, years, "years old where {1} at most are asked for"))
        if is_heated(self.design):
            mild = self.worth("mean of a cold one")
            if not self.outside_c.known or self.outside_c.value > mild.value:
                said.append(_doubt(self.outside_c, mild, "°C outside in the mean where {1} °C at most is asked for"))
        if self.highest_a.amount == 0:
            said.append("every minute of it is nought, which no home draws: look at how the logger was fitted")
        if self.highest_a.how == "told":
            said.append("its highest minute was told, and nobody read it off the log")
        return tuple(said)


def _doubt(fact: Fact[float], limit: Fact[float], says: str) -> str:
    """`0.04 days where 7 are asked for`, with as many digits as part the two; or why nobody can tell."""
    if not fact.known:
        return fact.note if fact.name in SENTENCES else f"{glossary(fact.name).says} {fact.note or 'not recorded'}"
    value, asked_for = apart(fact.value, limit.value)
    return f"{value} {says.format(value, asked_for, '' if value == '1' else 's')}"


class GivenLog(LogDesign):
    """A logger's own file given beside the job: by its days of what was found, or of what is fitted. A log on record of the same
    days says how cold they were."""

    def __init__(self, log: Log, design: Design) -> None:
        first, last = log.minutes[0][0], log.minutes[-1][0]
        self.given, self.same = log, [each for each in design.inst.logs.values()
                                      if (each.since, each.until) == (first.date(), last.date())]
        super().__init__(Logged(name=log.file, since=first.date(), until=last.date()), design)
        self.at = log.file

    @property
    def highest_a(self) -> Fact[float]:
        return self.given.highest

    @property
    def outside_c(self) -> Fact[float]:
        return self.same[0].outside_c if len(self.same) == 1 else unknown("outside_c", AS_LOGGED, at=self.at)

    @property
    def lasting_then_a(self) -> None:
        return None

    @property
    def _work(self) -> datetime.date | None:
        day = self.design.inst.about.dates.get("work")
        return None if day is None else datetime.date.fromisoformat(day)

    @cached_property
    def is_of_fitted(self) -> bool:
        first, work = self.given.minutes[0][0].date(), self._work
        return self.design.inst.stage == "fitted" and work is not None and first > work

    @cached_property
    def unsure(self) -> str:
        """A log across the day of the work, of a fitted home whose day of the work is not recorded, or of after that day while
        nothing says what was fitted. What the work leaves as it was does not ask for its day."""
        stage, work, last = self.design.inst.stage, self._work, self.given.minutes[-1][0].date()
        if self.is_of_fitted:
            return self._laid_over[1]
        grown = any(amps.amount != 0 for amps in self.added_a)                   # not known is grown
        if stage == "found" or not grown or (last < work if work else stage == "proposed"):
            return ""
        if work is None:
            return "on which day the work was done is not recorded (dates.work in job.toml)"
        return f"it runs to {last}, and the day of the work is {work}" if stage == "fitted" else \
            f"it runs to {last}, past the day of the work, {work}, and nothing recorded says what was fitted"

    @property
    def not_in_it(self) -> str:
        """What was connected since it was made and is in no minute of it, in words; "" where nothing was."""
        if self.unsure:
            return f"as logged; what of the work is not in it nobody can tell: {self.unsure}"
        more_a = total("added_a", self.added_a, "connected since")
        if not more_a.known:
            gaps = dict.fromkeys(f"{gap.at}: {gap.note}" if gap.at else gap.note for gap in more_a.missing())
            return f"as logged; what is connected since is not in it, and nobody can tell how much that is: {'; '.join(gaps)}"
        with_it = f", {self.seen_a} with it" if self.seen_a.known else ""
        return f"as logged; {more_a} connected since is not in it{with_it}" if more_a.value else ""

    @cached_property
    def days_n(self) -> Fact[float]:
        """From its first minute to the end of its last."""
        first, last = self.given.minutes[0][0], self.given.minutes[-1][0]
        return Fact("days_n", (last - first + self.given.step) / DAY, "measured", note=f"{first} to {last}", at=self.at)


# ---- all of them ----------------------------------------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class Recorded:
    """The demand by the logs. seen_a: the most that any of them shows, with everything connected since; credit_a: the most of
    those that may be relied on, unknown where none may; doubts: each other log with what it shows and why it is no credit."""
    logs: tuple[LogDesign, ...]
    seen_a: Fact[float]
    credit_a: Fact[float]
    doubts: tuple[str, ...] = ()

    def against(self, limit: Fact[float]) -> Fact[float]:
        """The figure to set beside a limit: what was seen above it is above it, whatever the log is worth."""
        if self.seen_a.known:
            return self.seen_a if limit.known and self.seen_a.value > limit.value else self.credit_a
        least = [log.least_a for log in self.logs if log.least_a.known]
        above = [fact for fact in least if limit.known and fact.value > limit.value]
        return max(above, key=lambda fact: fact.value) if above else self.credit_a

    def by(self, figure: Fact[float]) -> LogDesign | None:
        """The log that a figure of these is from."""
        return next((log for log in self.logs if figure.known and log.least_a.amount == figure.value), None)

    def since(self, figure: Fact[float]) -> str:
        """What of a figure of these was connected since its log was made, in words; "" where it is of no one log."""
        log = self.by(figure)
        return "" if log is None else SINCE if log.seen_a.known else AT_LEAST


def recorded(design: Design, given: Log | None = None) -> Recorded:
    """By the logs on record, and one that is given beside them: the highest of all that hold, a higher one where it is above a
    limit. Unknown without any, and while the figure of any is not known."""
    own = [GivenLog(given, design)] if given is not None else []
    same = {log.name for each in own for log in each.same}
    logs = (*own, *(log for name, log in design.logs.items() if name not in same))
    if not logs:
        none: Fact[float] = unknown("highest_minute_a", NO_LOG, at="logs")
        return Recorded((), none, none)
    seen_a = highest("demand_a", [log.seen_a for log in logs], "the greatest of the logs")
    doubts = tuple(_no_credit(log) for log in logs if log.doubts)
    return Recorded(logs, seen_a, _credit_a(logs, seen_a, doubts), doubts)


def greatest(design: Design, given: Sequence[Log]) -> Log:
    """Of several files the one to go by: above the fuse before all, then the highest of those that hold, then the highest."""
    fuse = design.supply.fuse_a

    def rank(log: Log) -> tuple[bool, bool, float, str]:
        of = GivenLog(log, design)
        least = of.least_a.amount or 0.0
        return (fuse.known and least > fuse.value, not of.doubts and of.seen_a.known, least, log.file)
    return max(given, key=rank)


def _credit_a(logs: Sequence[LogDesign], seen_a: Fact[float], doubts: Sequence[str]) -> Fact[float]:
    held = [log.seen_a for log in logs if not log.doubts]
    if not seen_a.known:
        return seen_a
    if not held:
        return unknown("relied_on_a", "; ".join(doubts), at="logs")
    return highest("demand_a", held, "the greatest of the logs that hold")


def _no_credit(log: LogDesign) -> str:
    shows = f", {log.seen_a} with what was connected since," if log.seen_a.known else ""
    return f"{log.at}{shows} settles nothing: {'; '.join(log.doubts)}"
