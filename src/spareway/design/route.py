"""A cable where it runs: its stretches, what each carries, which is the weakest, and what its length amounts to."""
from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, Protocol

from spareway.fact import Fact, highest, lowest, total, unknown
from spareway.job.types import Stretch
from spareway.physics import cable, rating
from spareway.tables import Books, look_up, rows


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


def laid_m(laid: Laid) -> Fact[float]:
    """How long it is: as written, or the total of its stretches."""
    if not laid.stretches:
        return laid.length_m
    return total("length_m", [s.length_m for s in laid.stretches.values()], "the stretches one after another")


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
RATINGS_90 = {"singles": "it_singles_90c", "armoured": "it_armoured_90c"}
HOLDS_INSULATION = ("A", "100", "101", "102", "103")
NOT_IN_4D5 = ("B", "D", "E", "F")
BURIED = "D"
GROUND_C = (10.0, 40.0)             # Table 4B2 goes no farther, and the formula behind it is taken no farther


def half_from_mm(books: Books) -> Fact[float]:
    """The length in insulation from which a cable carries half: the first row of the least factor."""
    least = min((r for r in rows("ci", books)), key=lambda r: (r["value"], r["in_insulation_mm"]))
    return Fact("in_insulation_mm", float(least["in_insulation_mm"]), "table", least["where"], least["note"], least["trust"])


def _ca_ground(ground_c: Fact[float]) -> Fact[float]:
    """Ca in the ground, by the formula behind the printed table, whose range is 10 to 40 °C."""
    if ground_c.amount is not None and not GROUND_C[0] <= ground_c.amount <= GROUND_C[1]:
        return unknown("ca", f"{ground_c} is outside the table for the ground", ground_c.where, ground_c.at)
    reference = settled("ground_reference_c", 20.0, "Appendix 4, Table 4B2")
    return renamed(rating.ca_ground.worked(settled("limit_c", 70.0, "Tables 4D1A to 4D5"), ground_c, reference), "ca")


def _soil_and_depth(books: Books) -> tuple[Fact[float], Fact[float]]:
    """Cs and Cd: neither soil nor depth is in the record, so both count as the tables take them."""
    laid = assumed("laid", "direct", "in a duct the factor is the same here")
    soil, depth = (assumed(name, amount, "as the tables take it, none is in the record") for name, amount in
                   (("soil_km_per_w", 2.5), ("depth_m", 0.7)))
    return look_up("soil", books, laid, soil), look_up("depth", books, laid, depth)


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
    def around_c(self) -> Fact[float]:
        """The temperature around it: as recorded, else that of the tables, which in the ground is 20 °C."""
        ambient = self.ambient_c
        if not ambient.known and ambient.note == "not recorded":
            if self.is_buried:
                return assumed("ambient_c", 20.0, "the tables' own ground, none was recorded", ambient.at)
            return assumed("ambient_c", 30.0, "the tables' own ambient, none was recorded", ambient.at)
        return ambient

    @property
    def is_buried(self) -> bool:
        """In the ground, or in a duct in it."""
        return self.method.amount == BURIED

    @cached_property
    def ca(self) -> Fact[float]:
        if self.is_buried:
            return _ca_ground(self.around_c)
        return look_up("ca", self.route.books, settled("insulation", "70C thermoplastic", "kind of cable"), self.around_c)

    @cached_property
    def ca_from_30(self) -> Fact[float]:
        """Ca as Ct asks for it, whose formula begins at 30 °C: cooler places count as that, which is on the safe side."""
        return lowest("ca", [self.ca, settled("ca", 1.0, "Appendix 4, 6.1: from 30 °C")], "cooler than 30 °C counts as 30 °C")

    @cached_property
    def cg(self) -> Fact[float]:
        grouped = self.grouped_n
        if not grouped.known and self.bundle:
            grouped = unknown("grouped_n", f"it runs bunched in {self.bundle}; say with how many", at=grouped.at)
        if not grouped.known and grouped.note == "not recorded":
            grouped = assumed("grouped_n", 1.0, "nothing was recorded as bunched with it", grouped.at)
        if self.is_buried:
            apart = assumed("spaced", "touching", "how far apart is not in the record")
            return look_up("cg_buried", self.route.books, apart, grouped)
        return look_up("cg", self.route.books, grouped)

    @cached_property
    def ci(self) -> Fact[float]:
        inside = self.in_insulation_mm
        if self.is_buried:
            return settled("ci", 1.0, "in the ground")
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
        return self._carried_a(self.route.cc)

    def _carried_a(self, cc: Fact[float]) -> Fact[float]:
        if self.is_buried:
            return renamed(rating.iz_buried_a.worked(self.it_a, self.ca, self.cg, *_soil_and_depth(self.route.books), cc), "iz_a")
        return cable.iz_a.worked(self.it_a, self.ca, self.cg, self.ci, cc)

    @cached_property
    def carries_a(self) -> Fact[float]:
        """What it carries whatever protects it: 0.725 behind a rewirable fuse, and 0.9 in the ground, ask for spare against
        overload and take nothing from the metal."""
        return self.iz_a if self.route.cc.amount == 1 else self._carried_a(settled("cc", 1.0, "by itself, whatever protects it"))

    def ct(self, load_a: Fact[float]) -> Fact[float]:
        """How much less it drops at this load for being cooler than its limit."""
        limit = settled("limit_c", 70.0, "Tables 4D1A to 4D5")
        reference, zero = (look_up("thresholds", self.route.books, settled("case", case, "Appendix 4, 6.1"))
                           for case in ("reference_c", "copper_zero_k"))
        return cable.ct.worked(limit, reference, zero, self.ca_from_30, self.cg, load_a, self.it_a)

    @cached_property
    def iz_at_90_a(self) -> Fact[float]:
        """What its 90 °C table would give, good only where the terminals at both ends bear 90 °C (512.1.5)."""
        it = look_up(RATINGS_90[self.route.laid.kind], self.route.books, self.route.size_mm2, self.method)
        ca = look_up("ca", self.route.books, settled("insulation", "90C thermosetting", "kind of cable"), self.around_c)
        return cable.iz_a.worked(it, ca, self.cg, self.ci, self.route.cc)

    @property
    def in_words(self) -> str:
        """Where it lies, and what takes from its rating there: "stretch loft, 4 m, method C, 3 bunched"."""
        said = [f"stretch {self.name}" if self.name else "all of it lies in one way", str(self.length_m), f"method {self.method}"]
        said += [f"{self.grouped_n} bunched"] if self.cg.amount != 1 else []
        said += [f"{self.around_c} around it"] if self.ca.amount != 1 else []
        said += [f"{self.in_insulation_mm} in insulation"] if self.ci.amount != 1 else []
        return ", ".join(said)


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
            seen = self._where(laid.method)
            return (StretchDesign("", laid.length_m, laid.method, laid.ambient_c, laid.grouped_n, None, seen),)
        return tuple(StretchDesign(name, s.length_m, s.method, s.ambient_c if s.ambient_c.known else laid.ambient_c,
                                   s.grouped_n if s.grouped_n.known else laid.grouped_n, s.in_insulation_mm,
                                   self._where(s.method), s.bundle)
                     for name, s in laid.stretches.items())

    def _where(self, method: Fact[str]) -> RouteDesign:
        """The route as a stretch of it sees it: in the ground its device counts for 0.9 of what the cable carries (433.1.203)."""
        if method.amount != BURIED:
            return self
        return replace(self, cc=renamed(rating.cc_together.worked(self.cc, renamed(
            look_up("thresholds", self.books, settled("case", "buried_factor", "433.1.203")), "buried_cc")), "cc"))

    @cached_property
    def length_m(self) -> Fact[float]:
        """Its length, or the total of its stretches."""
        return laid_m(self.laid)

    @cached_property
    def iz_a(self) -> Fact[float]:
        """What it carries: the weakest stretch governs."""
        return lowest("iz_a", [s.iz_a for s in self.stretches], "the weakest stretch governs")

    @cached_property
    def carries_a(self) -> Fact[float]:
        """What it carries whatever protects it, where it runs worst."""
        return lowest("iz_a", [s.carries_a for s in self.stretches], "the weakest stretch governs")

    @cached_property
    def elsewhere_a(self) -> Fact[float]:
        """What the rest of it carries, its weakest stretch left out; unknown where there is no other."""
        rest = [s.iz_a for s in self.stretches if s is not self.weakest]
        return lowest("iz_a", rest, "the weakest of the other stretches")

    @cached_property
    def iz_at_90_a(self) -> Fact[float]:
        """By the tables of 90 °C; only for a kind that has one."""
        return lowest("iz_a", [s.iz_at_90_a for s in self.stretches], "the weakest stretch governs")

    def cooler_drop_v(self, load_a: Fact[float]) -> Fact[float]:
        """Voltage lost along it with each stretch only as warm as this load makes it: Ct of Appendix 4, 6.1.

        Range: up to 16 mm², not behind a rewirable fuse, not in the ground; the caller sees to that."""
        return total("drop_v", [cable.cooler_drop_v.worked(cable.drop_v.worked(self.mv_per_a_m, load_a, s.length_m), s.ct(load_a))
                                for s in self.stretches], "the stretches one after another, each at its own temperature")

    @cached_property
    def hottest_c(self) -> Fact[float]:
        """The greatest temperature around it."""
        return highest("ambient_c", [s.around_c for s in self.stretches], "the hottest stretch")

    @cached_property
    def weakest(self) -> StretchDesign | None:
        """The stretch that governs; None while any is unknown."""
        known = [(s.iz_a.amount, i, s) for i, s in enumerate(self.stretches) if s.iz_a.amount is not None]
        return min(known)[2] if len(known) == len(self.stretches) else None

    @cached_property
    def mv_per_a_m(self) -> Fact[float]:
        kind = settled("cable", DROPS.get(self.laid.kind, "multicore 70C"), "kind of cable")
        return look_up("drop", self.books, kind, self.size_mm2)
