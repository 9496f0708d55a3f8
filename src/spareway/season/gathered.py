"""What a simulated winter rests on: every number that went in as a fact, the gaps that stop it, what was counted and how."""
from __future__ import annotations

from typing import Any

from spareway.design.route import settled
from spareway.fact import Fact
from spareway.tables import Books, look_up, rows

__all__ = ["Gathered"]

SETTINGS = "winter_settings"


class Gathered:
    """Numbers taken from facts, each fact kept. facts: in the order they were taken; gaps: what is not known; told: sentences."""

    def __init__(self, books: Books) -> None:
        self.books = books
        self.facts: dict[Fact[Any], None] = {}
        self.gaps: dict[Fact[Any], None] = {}
        self.told: list[str] = []
        self.hours: dict[str, tuple[float, ...]] = {}

    def take(self, fact: Fact[float]) -> float:
        """Its amount, and the fact is kept; nought where nobody knows it, and then it is a gap and no season is made."""
        if fact.amount is None:
            self.gaps |= dict.fromkeys(fact.missing() or [fact])
            return 0.0
        self.facts[fact] = None
        return float(fact.amount)

    def keep(self, fact: Fact[Any]) -> None:
        """What no number comes of and the season rests on all the same."""
        self.facts[fact] = None

    def assumed_fact(self, name: str) -> Fact[float]:
        """A figure out of the table of what records do not say."""
        return look_up(SETTINGS, self.books, settled("case", name, "a winter"))

    def assumed(self, name: str) -> float:
        return self.take(self.assumed_fact(name))

    def said_or_assumed(self, fact: Fact[float], name: str) -> float:
        """What a season's file says, or else the assumed figure of that name."""
        return self.take(fact if fact.known else self.assumed_fact(name))

    def column(self, table: str, key: str, name: str, quantity: str, column: str) -> Fact[float]:
        """A number that stands beside the value of a table's row, as a fact of its own with the row's page and trust."""
        row = next(row for row in rows(table, self.books) if row[key] == name)
        return Fact(quantity, float(row[column]), "table", row["where"], row["note"], row["trust"])

    def tell(self, text: str) -> None:
        if text not in self.told:
            self.told.append(text)
