"""Runs: tails, earthing conductors, bonds, cables between things. What each carries, what protects it, what heats it."""
from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from spareway.design.route import RouteDesign, renamed, settled
from spareway.fact import Fact, chosen, highest, lowest, unknown
from spareway.job.types import Run
from spareway.physics import cable, earthing, fault
from spareway.tables import NoRow, look_up, next_size

if TYPE_CHECKING:
    from spareway.design.design import Design

CARRIES_LOAD = ("tails", "service", "singles", "t&e", "armoured", "flex", "triplex", "mineral", "other")
NO_CPC = ("tails", "service", "singles")         # conductors that are laid one by one: what lies beside them is recorded
CURVE_S = (0.1, 0.4, 1.0, 5.0)           # times for which the tables may hold a point of a fuse's curve


class RunDesign:
    """Each quantity of one run, worked out once."""

    def __init__(self, run: Run, design: Design) -> None:
        self.run, self.design, self.books = run, design, design.books
        self.at = f"runs.{run.name}"

    @property
    def carries_load(self) -> bool:
        return self.run.kind in CARRIES_LOAD

    @property
    def never_holds_earth(self) -> bool:
        """Tails and services hold no protective conductor unless one is recorded; nor does a run between ends without earth."""
        return self.run.kind in ("tails", "service") and not self.run.cpc_mm2.known

    @property
    def brings_earth(self) -> bool:
        """Whether it counts in the loop by itself: its cable holds a protective conductor, be its size known or not; tails, a
        service and singles hold one only where one is recorded."""
        return self.run.kind not in NO_CPC or self.run.cpc_mm2.known

    @cached_property
    def route(self) -> RouteDesign:
        return RouteDesign(self.run, self.run.size_mm2, self.books, self.at, settled("cc", 1.0, "no rewirable fuse, not buried"))

    def lands_on(self, side: str) -> bool:
        """Whether one of its ends is this side, or a terminal of it."""
        return bool(side) and any(end == side or end.startswith(f"{side}.") for end in self.run.joins)

    @property
    def length_m(self) -> Fact[float]:
        return self.route.length_m

    @property
    def iz_a(self) -> Fact[float]:
        return self.route.iz_a

    @cached_property
    def before(self) -> tuple[str, ...]:
        """What current from the supply goes through before it reaches this run: things, and circuits by their devices."""
        return self.design.before(self.design.near_end(self.run))

    @cached_property
    def protected_by_service_fuse(self) -> bool:
        """Nothing between the cut-out and this run would open."""
        cutout = self.design.supply.cutout
        return cutout is not None and self.design.rating_before_a(self.before)[0] == cutout.name

    @cached_property
    def fuse_a(self) -> Fact[float]:
        """The rating of what protects it against overload: the nearest fuse or breaker before it."""
        return self.design.rating_before_a(self.before)[1]

    @cached_property
    def drop_v(self) -> Fact[float]:
        """Voltage lost along it while it carries what its fuse is rated at."""
        return cable.drop_v.worked(self.route.mv_per_a_m, self.fuse_a, self.length_m)

    @cached_property
    def r1_ohm(self) -> Fact[float]:
        return cable.r1_ohm.worked(look_up("conductor_resistance", self.books, self.run.size_mm2), self.length_m)

    @cached_property
    def r2_ohm(self) -> Fact[float]:
        return cable.r2_ohm.worked(look_up("conductor_resistance", self.books, self.run.cpc_mm2), self.length_m)

    @cached_property
    def r1r2_ohm(self) -> Fact[float]:
        return cable.r1r2_ohm.worked(self.r1_ohm, self.r2_ohm)

    # ---- as a protective conductor ----------------------------------------------------------------------------------
    @cached_property
    def earth_ohm(self) -> Fact[float]:
        """From end to end as a protective conductor: the whole of it where it is one, what lies within it otherwise."""
        if self.carries_load and self.brings_earth:
            return self.r2_ohm
        return cable.r2_ohm.worked(look_up("conductor_resistance", self.books, self.run.size_mm2), self.length_m)

    @cached_property
    def k(self) -> Fact[float]:
        """k of the conductor: apart from others for an earthing conductor or bond, in a cable or bunched otherwise."""
        case = "separate" if self.run.kind in ("earthing", "bond") else "in cable or bunched"
        return look_up("k", self.books, settled("case", case, "Tables 54.2, 54.3"))

    @cached_property
    def line_mm2(self) -> Fact[float]:
        """The largest of the tails that this earthing conductor serves."""
        tails = [r.run.size_mm2 for r in self.design.tails if r.carries_load]
        return highest("size_mm2", tails, "the largest line conductor governs") if tails else \
            unknown("size_mm2", "no tails are recorded", at="runs")

    @cached_property
    def by_table_mm2(self) -> Fact[float]:
        """What the table asks of an earthing conductor for these tails."""
        return renamed(look_up("protective_conductor", self.books, self.line_mm2), "needed_mm2")

    @cached_property
    def by_heat_mm2(self) -> Fact[float]:
        """What the heat of a fault that the service fuse clears in 5 s asks: the most energy it lets through in its time."""
        supply = self.design.supply
        return fault.least_size_mm2.worked(supply.five_s_a, settled("clear_s", 5.0, "411.3.2.3"), self.k)

    @cached_property
    def earthing_needed_mm2(self) -> Fact[float]:
        """The smaller of what table and heat ask, for either is enough."""
        return lowest("needed_mm2", [self.by_table_mm2, self.by_heat_mm2], "543.1.1: table or calculation")

    @cached_property
    def bond_needed_mm2(self) -> Fact[float]:
        """Main bond: by the neutral on PME, else half the earthing conductor that the table asks for."""
        seen = self.design.supply.earthing
        if seen.amount == "TN-C-S":
            return renamed(look_up("main_bond_pme", self.books, self.line_mm2), "needed_mm2")
        if not seen.known:
            return unknown("needed_mm2", seen.note or "earthing is not known", seen.where, seen.at)
        half = earthing.half_mm2.worked(self.by_table_mm2)
        least = look_up("thresholds", self.books, settled("case", "least_bond_mm2", "544.1.1"))
        return highest("needed_mm2", [half, least], "544.1.1")

    @cached_property
    def bond_standard_mm2(self) -> Fact[float]:
        """The next size made."""
        return next_size(self.books, self.bond_needed_mm2)

    # ---- heat of a fault in the protective conductor within it -------------------------------------------------------
    @cached_property
    def cpc_withstand_a2s(self) -> Fact[float]:
        return fault.k2s2_a2s.worked(self.k, self.run.cpc_mm2)

    @cached_property
    def energy_five_s_a2s(self) -> Fact[float]:
        """Let through by the service fuse at the current it clears in 5 s."""
        return fault.i2t_a2s.worked(self.design.supply.five_s_a, settled("clear_s", 5.0, "411.3.2.3"))

    @cached_property
    def fault_end_a(self) -> Fact[float]:
        """Line to earth at its far end, cold."""
        zs = fault.zs_of_r1r2_ohm.worked(self.design.supply.ze_ohm, self.r1r2_ohm)
        return fault.prospective_a.worked(self.design.supply.u0_v, zs)

    @cached_property
    def longest_clear_s(self) -> Fact[float]:
        """How long that fault may last before the protective conductor is too hot."""
        return fault.time_to_limit_s.worked(self.k, self.run.cpc_mm2, self.fault_end_a)

    @cached_property
    def energy_end_a2s(self) -> Fact[float]:
        """What that fault puts in over 5 s, if the fuse has not opened by then."""
        return fault.i2t_a2s.worked(self.fault_end_a, settled("clear_s", 5.0, "411.3.2.3"))

    @cached_property
    def fuse_opens_s(self) -> Fact[float]:
        """Within how long the service fuse opens at that fault, by the points of its curve that are in the tables."""
        supply = self.design.supply
        points = {}
        for time in CURVE_S:
            try:
                at = settled("clear_s", time, "point of its curve")
                points[time] = look_up("ia_fuse", self.books, supply.fuse, supply.fuse_a, at)
            except NoRow:
                continue

        def soonest(at_a: float, *needed_a: float) -> float:
            within = [t for t, a in zip(points, needed_a, strict=True) if at_a >= a]
            if not within:
                raise ValueError("the fault is below every point of the curve that is in the tables")
            return min(within)
        return chosen("clear_s", soonest, [self.fault_end_a, *points.values()], f"{len(points)} points of the fuse's curve",
                      "the soonest whose current the fault reaches", "Appendix 3, sourced points only")
