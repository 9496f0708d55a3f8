"""What a logger wrote of the intake, as it stands on record: its highest minute with what was added since, and its worth."""
from __future__ import annotations

import datetime
from functools import cached_property
from typing import TYPE_CHECKING

from spareway.design.route import settled
from spareway.fact import Fact, highest, unknown
from spareway.job.types import Logged
from spareway.physics import asked, cable
from spareway.tables import look_up

if TYPE_CHECKING:
    from spareway.design.design import Design

__all__ = ["LogDesign", "on_record_a", "recorded_a"]

NO_LOG = "no log of the current at the intake is recorded"
WORTH = "what a log is asked to be"
DAYS_OF_A_YEAR = 365.25


class LogDesign:
    """Each quantity of one log, worked out once."""

    def __init__(self, log: Logged, design: Design) -> None:
        self.log, self.design = log, design
        self.at = f"logs.{log.name}"

    @cached_property
    def demand_a(self) -> Fact[float]:
        """Its highest minute, with all by which heaters, stored water and charging have grown since; nothing is taken off."""
        then = cable.load_a.worked(self.log.lasting_w, self.design.supply.u0_v)
        return asked.risen_demand_a.worked(self.log.highest_a, then, self.design.demand.lasting_a)

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
        if self.log.until is None or not on:
            missing = "its last day" if self.log.until is None else "a day of the job"
            return unknown("years_n", f"{missing} is not recorded", at=self.at)
        return Fact("years_n", (max(on) - self.log.until).days / DAYS_OF_A_YEAR, "stated", note=f"{self.log.until} to {max(on)}",
                    at=self.at)

    def worth(self, case: str) -> Fact[float]:
        """What it is asked to be in this."""
        return look_up("log_worth", self.design.books, settled("case", case, WORTH))


def recorded_a(design: Design) -> Fact[float]:
    """The demand by the logs on record, the greatest of them; unknown without one."""
    if not design.logs:
        return unknown("highest_minute_a", NO_LOG, at="logs")
    return highest("demand_a", [log.demand_a for log in design.logs.values()], "the greatest of the logs on record")


def on_record_a(design: Design) -> Fact[float] | None:
    """The same where a log is on record; None where there is none, so that a log may still be given beside the job."""
    return recorded_a(design) if design.logs else None
