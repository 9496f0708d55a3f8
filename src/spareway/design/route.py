"""A cable where it runs: its stretches, what each carries, which is the weakest, and what its length amounts to."""
from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Protocol

from spareway.fact import Fact, lowest, total, unknown
from spareway.job.types import Stretch
from spareway.physics import cable
from spareway.tables import Books, look_up


def assumed(name: str, amount: Any, note: str, at: str = "") -> Fact[Any]:
    """A value nobody gave, taken for the usual one; it shows among what a finding rests on."""
    return Fact(name, amount, "assumed", "", note, at=at)


def settled(name: str, amount: Any, where: str) -> Fact[Any]:
    """A value that follows from what the thing is: a factor of 1 where nothing reduces."""
    return Fact(name, amount, "table", where, trust="confirmed")


def renamed(fact: Fact[Any], name: str) -> Fact[Any]:
    """The same fact under the name of another quantity in the same unit."""
    return Fact(name, fact.amount, fact.how, fact.where, fact.note, fact.trust, fact.at, fact.span, fact.others, fact.inputs,
                fact.formula)


class Laid(Protocol):
    """What a run and a circuit's cable have in common."""
    @property
    def kind(self) -> str: ...
    @property
    def length_m(self) -> Fact[float]: ...
    @property
    def method(self) -> Fact[str]: ...
    @property
    def stretches(self) -> Mapping[str, Stretch]: ...
    @property
    def ambient_c(self) -> Fact[float]: ...
    @property
    def grouped_n(self) -> Fact[float]: ...


# The table of ratings and of voltage drop that governs a kind of cable. 4D5 has no row for enclosure in conduit or trunking.
RATINGS = {"t&e": "it_flat_twin_and_earth", "tails": "it_tails", "service": "it_tails", "singles": "it_singles_70c",
           "armoured": "it_armoured_70c"}
DROPS = {"t&e": "flat twin and earth 70C", "tails": "singles 70C", "service": "singles 70C", "singles": "singles 70C",
         "armoured": "armoured 70C"}
HOLDS_INSULATION = ("A", "100", "101", "102", "103")
NOT_IN_4D5 = ("B", "D", "E", "F")


@dataclass(frozen=True, eq=False)
class StretchDesign:
    """One way in which a cable lies. Every amount is a fact."""
    name: str
    length_m: Fact[float]
    method: Fact[str]
    ambient_c: Fact[float]
    grouped_n: Fact[float]
    in_insulation_mm: Fact[float] | None
    route: RouteDesign
    bundle: str = ""

    @cached_property
    def it_a(self) -> Fact[float]:
        """What the table gives for this size and method."""
        kind = self.route.laid.kind
        table = RATINGS.get(kind, "it_multicore_70c")
        if kind == "t&e" and self.method.amount in NOT_IN_4D5:
            table = "it_multicore_70c"
        return look_up(table, self.route.books, self.route.size_mm2, self.method)

    @cached_property
    def ca(self) -> Fact[float]:
        ambient = self.ambient_c
        if not ambient.known and ambient.note == "not recorded":
            ambient = assumed("ambient_c", 30.0, "the tables' own ambient, none was recorded", ambient.at)
        return look_up("ca", self.route.books, settled("insulation", "70C thermoplastic", "kind of cable"), ambient)

    @cached_property
    def cg(self) -> Fact[float]:
        grouped = self.grouped_n
        if not grouped.known and self.bundle:
            grouped = unknown("grouped_n", f"it runs bunched in {self.bundle}; say with how many", at=grouped.at)
        if not grouped.known and grouped.note == "not recorded":
            grouped = assumed("grouped_n", 1.0, "nothing was recorded as bunched with it", grouped.at)
        return look_up("cg", self.route.books, grouped)

    @cached_property
    def ci(self) -> Fact[float]:
        inside = self.in_insulation_mm
        if self.method.amount in HOLDS_INSULATION:
            return settled("ci", 1.0, "the method already holds the insulation")
        if inside is None or not inside.known and inside.note == "not recorded":
            return assumed("ci", 1.0, "no insulation around it was recorded", inside.at if inside is not None else self.route.at)
        if inside.amount == 0:
            return settled("ci", 1.0, inside.where)
        return look_up("ci", self.route.books, inside)

    @cached_property
    def iz_a(self) -> Fact[float]:
        """What the cable carries in this stretch."""
        return cable.iz_a.worked(self.it_a, self.ca, self.cg, self.ci, self.route.cc)


@dataclass(frozen=True, eq=False)
class RouteDesign:
    """A cable or run of one size along its stretches."""
    laid: Laid
    size_mm2: Fact[float]
    books: Books
    at: str
    cc: Fact[float]

    @cached_property
    def stretches(self) -> tuple[StretchDesign, ...]:
        laid = self.laid
        if not laid.stretches:
            return (StretchDesign("", laid.length_m, laid.method, laid.ambient_c, laid.grouped_n, None, self),)
        return tuple(StretchDesign(name, s.length_m, s.method, s.ambient_c if s.ambient_c.known else laid.ambient_c,
                                   s.grouped_n if s.grouped_n.known else laid.grouped_n, s.in_insulation_mm, self, s.bundle)
                     for name, s in laid.stretches.items())

    @cached_property
    def length_m(self) -> Fact[float]:
        """Its length, or the total of its stretches."""
        if not self.laid.stretches:
            return self.laid.length_m
        return total("length_m", [s.length_m for s in self.stretches], "the stretches one after another")

    @cached_property
    def iz_a(self) -> Fact[float]:
        """What it carries: the weakest stretch governs."""
        return lowest("iz_a", [s.iz_a for s in self.stretches], "the weakest stretch governs")

    @cached_property
    def weakest(self) -> StretchDesign | None:
        """The stretch that governs; None while any is unknown."""
        known = [(s.iz_a.amount, i, s) for i, s in enumerate(self.stretches) if s.iz_a.amount is not None]
        return min(known)[2] if len(known) == len(self.stretches) else None

    @cached_property
    def mv_per_a_m(self) -> Fact[float]:
        kind = settled("cable", DROPS.get(self.laid.kind, "multicore 70C"), "kind of cable")
        return look_up("drop", self.books, kind, self.size_mm2)
