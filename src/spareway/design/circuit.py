"""A circuit: load, rating, resistance, loop, fault currents at both ends, heat, drop from the origin. Each worked out once."""
from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property
from typing import TYPE_CHECKING, Any

from spareway.design.route import RouteDesign, renamed, settled
from spareway.design.told_twice import alone, stands
from spareway.fact import Fact, chosen, highest, total, unknown
from spareway.job.types import Cable, Circuit, Device, Equipment, Point
from spareway.kinds import Kind, kind
from spareway.physics import cable, fault, supply
from spareway.physics.site import site_limit
from spareway.tables import look_up
from spareway.wiring.expand import core

if TYPE_CHECKING:
    from spareway.design.design import Design
    from spareway.design.guards import Guard
    from spareway.design.heat import HeatDesign

LIGHTING = ("lights", "lamp")
SOCKETS = ("sockets",)
COOKING_REST = (("premises", "household"), ("load", "cooking"), ("part", "rest"))


class CircuitDesign:
    """Each quantity of one circuit, worked out once.

    begins_at: the terminal on which its line lands at the board; lands_elsewhere: whether that is not its own way
    serves:  the circuit by which the device is recorded that its line lands on; "" where none is
    device:  that device; every fact of it unknown where none is recorded
    """

    def __init__(self, circuit: Circuit, design: Design) -> None:
        self.circuit, self.design, self.books = circuit, design, design.books
        self.at = f"circuits.{circuit.name}"
        self.begins_at = core(circuit, "L")
        self.lands_elsewhere = self.begins_at != f"{circuit.way}.L"
        self.serves = design.circuit_at.get(self.begins_at.rpartition(".")[0], "")
        self.device = (design.inst.circuits[self.serves].device if self.serves else None) or _blank(Device, f"{self.at}.device")
        self.cable = circuit.cable or _blank(Cable, f"{self.at}.cable")

    # ---- what it is -------------------------------------------------------------------------------------------------
    @cached_property
    def device_kind(self) -> Kind | None:
        return kind(self.device.kind) if self.device.kind else None

    @property
    def is_surge(self) -> bool:
        return self.circuit.device is not None and kind(self.circuit.device.kind).family == "surge"

    @cached_property
    def feeds(self) -> frozenset[str]:
        """Everything it feeds, by kind."""
        fed = {self.circuit.feeds, *(p.feeds for p in self.circuit.points.values())}
        fed |= {e.kind for e in self.design.inst.equipment.values() if e.on == self.circuit.name}
        return frozenset(fed - {""})

    @cached_property
    def stands_at_end(self) -> tuple[Equipment, ...]:
        """The equipment that says it stands on this circuit: it is joined to its far end, which is its last point."""
        return tuple(e for e in self.design.inst.equipment.values() if e.on == self.circuit.name)

    @cached_property
    def unsaid(self) -> tuple[str, ...]:
        """The points of which nothing says what they feed, where something is said of others."""
        points = self.circuit.points
        last = [*points][-1:] if self.stands_at_end else []
        return tuple(n for n, p in points.items() if not (p.feeds or self.circuit.feeds or n in last)) if self.feeds else ()

    @property
    def use_unsaid(self) -> bool:
        """Whether it may feed something that nobody recorded."""
        return bool(self.unsaid) or not (self.feeds or self.is_submain)

    @cached_property
    def dead_ends(self) -> tuple[str, ...]:
        """Where it ends in nothing, by the record: points that no other comes from, or its far end."""
        points = self.circuit.points
        if not points:
            return ("its far end",) if self.circuit.feeds == "nothing" and not self.stands_at_end else ()
        onward = {p.from_ for p in points.values()}
        taken = [*points][-1:] if self.stands_at_end else []
        return tuple(n for n, p in points.items() if (p.feeds or self.circuit.feeds) == "nothing"
                     and not (n in onward or n in taken or p.back_to))

    @property
    def is_submain(self) -> bool:
        return "." in self.circuit.feeds

    @property
    def is_ring(self) -> bool:
        return self.circuit.shape == "ring" or any(p.back_to for p in self.circuit.points.values())

    @property
    def feeds_sockets(self) -> bool:
        return any(f in SOCKETS for f in self.feeds)

    @property
    def feeds_lighting(self) -> bool:
        return any(f in LIGHTING for f in self.feeds)

    @cached_property
    def board(self) -> str:
        """The board on which its line lands; that of its way where it lands on no board."""
        on = self.begins_at.partition(".")[0]
        return on if on in self.design.boards else self.circuit.way.partition(".")[0]

    def apart(self, other: str) -> Fact[float] | None:
        """Why nothing of its board holds for line and this conductor together: they begin apart. None where they do not."""
        ends = [core(self.circuit, c).partition(".")[0] for c in ("L", other)]
        if ends == [self.board, self.board]:
            return None
        name = "ze_ohm" if other == "E" else "drop_v"
        return unknown(name, f"its line lands on {ends[0]} and its {other} on {ends[1]}", at=self.at)

    @cached_property
    def sharing(self) -> tuple[str, ...]:
        """The other circuits whose lines land on the same device."""
        return tuple(n for n, c in self.design.circuits.items() if c is not self and self.serves and c.serves == self.serves)

    # ---- load and rating --------------------------------------------------------------------------------------------
    @cached_property
    def rating_a(self) -> Fact[float]:
        """The rating of what opens on overload: the device its line lands on, or, where that opens on residual current alone, the
        fuse or breaker before its board."""
        of = self.device_kind
        if of is None or of.family != "device" or self.design.protects(self.serves):
            return self.device.rating_a
        before = self.design.boards.get(self.board)
        return renamed(before.fuse_a, "rating_a") if before else unknown("rating_a", "no overcurrent device is recorded")

    @cached_property
    def load_w(self) -> Fact[float]:
        """Power at the nominal voltage: stated, or the sum of everything that is recorded on it."""
        if self.circuit.load_w.known:
            return self.circuit.load_w
        if self.feeds == {"nothing"}:
            return settled("load_w", 0.0, "its ends are joined to nothing")
        on = [power for _, power in stands(self)]
        on += [self.point_w(p) for p in alone(self) if (p.feeds or self.circuit.feeds) != "nothing"]
        return total("load_w", on, "what is recorded on it") if on else self.circuit.load_w

    def point_w(self, point: Point) -> Fact[float]:
        """What a point takes; a lamp of which nothing is recorded counts as the handbook counts a lampholder."""
        if point.load_w.known or (point.feeds or self.circuit.feeds) not in LIGHTING:
            return point.load_w
        return look_up("point_demand", self.books, settled("point", "lighting", "nothing is recorded of this lamp"))

    @cached_property
    def connected_a(self) -> Fact[float]:
        """Everything on it at once."""
        return cable.load_a.worked(self.load_w, self.design.supply.u0_v)

    @cached_property
    def load_a(self) -> Fact[float]:
        """Design current. Sockets count as loaded to their device, for what is plugged in is not in the record, and so does a
        circuit that feeds a board; a cooker
        counts with the handbook's allowance, for its plates and its oven cycle."""
        if self.circuit.load_a.known:
            return self.circuit.load_a
        if (self.feeds_sockets or self.is_submain) and self.rating_a.known and not self.circuit.load_w.known:
            return renamed(self.rating_a, "load_a")
        if self.feeds == {"cooker"}:
            first, share = (look_up(name, self.books, *(settled(k, v, "household cooking appliance") for k, v in keys))
                            for name, keys in (("diversity_first", (("load", "cooking"),)), ("diversity", COOKING_REST)))
            none = settled("socket_a", 0.0, "no socket outlet recorded at its switch")
            return renamed(supply.cooker_demand_a.worked(self.connected_a, first, share, none), "load_a")
        return self.connected_a

    @cached_property
    def cc(self) -> Fact[float]:
        """0.725 behind a rewirable fuse; not for the legs of a ring, which 433.1.204 judges by themselves."""
        if self.device.kind == "rewirable" and not self.is_ring:
            return look_up("thresholds", self.books, settled("case", "rewirable_factor", "433.1.202"))
        return settled("cc", 1.0, "433.1.204" if self.is_ring else "no rewirable fuse, not buried")

    @cached_property
    def route(self) -> RouteDesign:
        return RouteDesign(self.cable, self.cable.line_mm2, self.books, f"{self.at}.cable", self.cc)

    @property
    def iz_a(self) -> Fact[float]:
        """What the cable carries where it runs worst; behind a rewirable fuse with its factor."""
        return self.route.iz_a

    @cached_property
    def leg_least_a(self) -> Fact[float]:
        """What each leg of a ring must carry."""
        return look_up("thresholds", self.books, settled("case", "ring_leg_a", "433.1.204"))

    # ---- resistance -------------------------------------------------------------------------------------------------
    @cached_property
    def length_m(self) -> Fact[float]:
        """To the far end of a radial, right round a ring: as recorded, or from its points."""
        if self.cable.stretches:
            return self.route.length_m
        if self.cable.length_m.known or not self.circuit.points:
            return self.cable.length_m
        chains = list(self._chains())
        return highest("length_m", [total("length_m", c, "point to point") for c in chains], "the farthest point governs")

    def _chains(self) -> Iterator[list[Fact[float]]]:
        """The lengths from the board to each point; a ring's go on home, and then only the way round counts."""
        points = self.circuit.points
        for point in points.values():
            if self.is_ring and not point.back_to:
                continue
            here, chain = point.name, [point.back_m] if point.back_to else []
            while here in points:
                chain.append(points[here].length_m)
                here = points[here].from_
            yield chain[::-1]

    @cached_property
    def r1_mohm_per_m(self) -> Fact[float]:
        return look_up("conductor_resistance", self.books, self.cable.line_mm2)

    @cached_property
    def r2_mohm_per_m(self) -> Fact[float]:
        return look_up("conductor_resistance", self.books, self.cable.cpc_mm2)

    @cached_property
    def r1_ohm(self) -> Fact[float]:
        """Line conductor at 20 °C: board to far end, or a ring end to end."""
        return cable.r1_ohm.worked(self.r1_mohm_per_m, self.length_m)

    @cached_property
    def r2_ohm(self) -> Fact[float]:
        """Protective conductor at 20 °C: board to far end, or a ring end to end."""
        return cable.r2_ohm.worked(self.r2_mohm_per_m, self.length_m)

    @cached_property
    def r1r2_ohm(self) -> Fact[float]:
        """At 20 °C, to the far end of a radial or the middle of a ring."""
        return (cable.ring_r1r2_ohm if self.is_ring else cable.r1r2_ohm).worked(self.r1_ohm, self.r2_ohm)

    # ---- loop and fault ---------------------------------------------------------------------------------------------
    @property
    def ze_ohm(self) -> Fact[float]:
        """The loop at its board."""
        apart = self.apart("E")
        return self.design.boards[self.board].ze_ohm if apart is None else apart

    @property
    def ze_read_ohm(self) -> Fact[float]:
        """The same on the supply's loop as it was read."""
        apart = self.apart("E")
        return self.design.boards[self.board].ze_read_ohm if apart is None else apart

    @cached_property
    def zs_cold_ohm(self) -> Fact[float]:
        """What a reading at the far end should be near 20 °C."""
        return fault.zs_of_r1r2_ohm.worked(self.ze_ohm, self.r1r2_ohm)

    @cached_property
    def zs_ohm(self) -> Fact[float]:
        """With the conductors at their working temperature."""
        return fault.zs_hot_ohm.worked(self.ze_ohm, self.r1r2_ohm, self.hot_factor)

    @cached_property
    def hot_factor(self) -> Fact[float]:
        """How much more its conductors have at their working temperature than at 20 °C."""
        return look_up("hot_factor", self.books, settled("case", "70C thermoplastic, cpc in cable or bunched", "kind of cable"))

    @cached_property
    def clear_limit_s(self) -> Fact[float]:
        """The time in which a fault to earth must be cleared."""
        system = "TT" if self.design.supply.earthing.amount == "TT" else "TN"
        case = "distribution circuit" if self.is_submain else "final circuit"
        return look_up("disconnection_time", self.books, settled("case", f"{system} {case}", "411.3.2"))

    @cached_property
    def ia_a(self) -> Fact[float]:
        """The current that opens the device in that time."""
        device = self.device
        if device.kind in ("rewirable", "cartridge"):
            return look_up("ia_fuse", self.books, self.fuse, self.rating_a, self.clear_limit_s)
        return look_up("ia_breaker", self.books, device.curve, self.rating_a)

    @property
    def fuse(self) -> Fact[str]:
        """What fuse it is; a rewirable carrier says so itself."""
        fuse = self.device.fuse
        return settled("fuse", "bs3036", "a rewirable carrier") if self.device.kind == "rewirable" and not fuse.known else fuse

    @cached_property
    def zs_limit_ohm(self) -> Fact[float]:
        """The greatest loop at which the device opens in time."""
        supply = self.design.supply
        return fault.zs_limit_ohm.worked(supply.cmin, supply.u0_v, self.ia_a)

    @cached_property
    def zs_printed_ohm(self) -> Fact[float]:
        """The greatest loop for this device as it is printed, which one of the ways to a site limit starts from."""
        rating, within = self.rating_a, self.clear_limit_s
        if self.device.kind in ("rewirable", "cartridge"):
            return look_up("zs_fuse", self.books, self.fuse, rating, within)
        return look_up("zs_breaker", self.books, self.device.curve, rating, within)

    @cached_property
    def zs_site_limit_ohm(self) -> Fact[float]:
        """The greatest that may be read cold, by the way the firm chose, cut off and not rounded."""
        way = self.design.inst.about.zs_site_limit
        printed = self.zs_printed_ohm if way == "0.8 printed" else self.zs_limit_ohm
        factor, divisor = (look_up("thresholds", self.books, settled("case", case, where)) for case, where in
                           (("site_factor", "Appendix 3"), ("guide_divisor", "On-Site Guide Appendix B")))
        return site_limit(way, self.zs_limit_ohm, printed, factor, divisor)

    @cached_property
    def residual_ma(self) -> Fact[float]:
        """The most sensitive residual-current device that protects it, of those whose rating is known. Unknown when none is."""
        known = [g.residual_ma for g in self.protected_by or () if g.residual_ma.known]
        if known:
            return min(known, key=lambda ma: ma.value)
        if self.protected_by:
            return self.protected_by[-1].residual_ma
        from spareway.design.guards import passed
        by = passed(self, self.design)
        return unknown("residual_ma", f"something leads past {', '.join(by)}, or may" if by else
                       "no residual-current device is recorded before it", at=f"equipment.{self.board}")

    @cached_property
    def protected_by(self) -> tuple[Guard, ...] | None:
        """The residual-current devices that every path from a source to its line meets, as far as devices are recorded.

        None where no line leads there, or where none of them surely stands before it."""
        from spareway.design.guards import guards_before
        return guards_before(self.begins_at, self.design, self.circuit.name)

    @cached_property
    def met(self) -> tuple[Guard, ...] | None:
        """Every residual-current device on the nearest way to it, also one that another way leads past. None as for `guards`."""
        from spareway.design.guards import met_before
        return met_before(self.begins_at, self.design) if self.device_kind is not None else None

    @cached_property
    def guards(self) -> tuple[Guard, ...] | None:
        """Every residual-current device that protects it, its own last. None where that cannot be told."""
        from spareway.design.guards import guards_of
        return guards_of(self, self.design)

    @property
    def opens_by_residual(self) -> bool:
        """Whether what opens on a fault to earth is the residual-current device: on TT, unless none is there (411.5.2)."""
        return self.design.supply.earthing.amount == "TT" and self.design.has_residual(self) is not False

    @cached_property
    def electrode_limit_ohm(self) -> Fact[float]:
        """The loop at which the residual-current device still holds touch voltage to 50 V."""
        return look_up("zs_residual", self.books, self.residual_ma)

    @cached_property
    def fault_far_a(self) -> Fact[float]:
        """The greatest line to earth at the far end: cold, on the loop as it was read."""
        least = fault.zs_of_r1r2_ohm.worked(self.ze_read_ohm, self.r1r2_ohm)
        return fault.prospective_a.worked(self.design.supply.u0_v, least)

    @cached_property
    def fault_near_a(self) -> Fact[float]:
        """The greatest line to earth at the board."""
        return fault.prospective_a.worked(self.design.supply.u0_v, self.ze_read_ohm)

    # ---- heat in the protective conductor ---------------------------------------------------------------------------
    @cached_property
    def k(self) -> Fact[float]:
        return look_up("k", self.books, settled("case", "in cable or bunched", "Table 54.3"))

    @cached_property
    def withstand_a2s(self) -> Fact[float]:
        return fault.k2s2_a2s.worked(self.k, self.cable.cpc_mm2)

    @cached_property
    def bound_s(self) -> Fact[float]:
        """0.1 s: a breaker at or above its instantaneous current opens within it, so I²t over it is an upper bound."""
        return look_up("thresholds", self.books, settled("case", "instant_s", "434.5.2"))

    @cached_property
    def energy_far_a2s(self) -> Fact[float]:
        """A fuse lets more by the less current flows, so that its maker's figure, for a great current, tells nothing here."""
        if self.device.kind in ("rewirable", "cartridge") and self.device.let_through_a2s.known:
            return renamed(self.heat.fuse_energy_most_a2s, "i2t_a2s")
        return self._energy_to_earth(self.fault_far_a)

    @cached_property
    def energy_near_a2s(self) -> Fact[float]:
        return self._energy_to_earth(self.fault_near_a)

    def _energy_to_earth(self, fault_a: Fact[float]) -> Fact[float]:
        """The same of a fault to earth: where nothing else tells how long it lasts, a residual device without delay ends it."""
        energy = self.energy_at_a2s(fault_a)
        if energy.known or not any(guard.delayed.amount is False for guard in self.protected_by or ()):
            return energy
        from spareway.design.heat import residual_clears_s
        clears_s = residual_clears_s(self.books)
        if not self.ia_a.known or self.device.kind in ("rewirable", "cartridge"):
            return fault.i2t_a2s.worked(fault_a, clears_s)

        def let_through(at_a: float, at_once_a: float, instant_s: float, residual_s: float) -> float:
            return float(fault.i2t_a2s(at_a, instant_s if at_a >= at_once_a else residual_s))
        return chosen("i2t_a2s", let_through, [fault_a, self.ia_a, self.bound_s, clears_s], "the breaker and the residual device",
                      f"{fault_a} is below what opens the breaker at once, so the residual device ends it within {clears_s}: "
                      "current squared times that", "BS 7671 434.5.2")

    def energy_at_a2s(self, fault_a: Fact[float]) -> Fact[float]:
        """Upper bound of what a breaker lets through at this current; the maker's figure where it is recorded."""
        if self.device.let_through_a2s.known:
            return renamed(self.device.let_through_a2s, "i2t_a2s")
        if self.device_kind is None or "curve" not in self.device_kind.facts:
            return unknown("i2t_a2s", "for a fuse the energy at this current is read off its own curve", at=f"{self.at}.device")
        if not self.ia_a.known:
            return unknown("i2t_a2s", "what opens the device at once is not known", at=f"{self.at}.device")
        if fault_a.known and fault_a.value < self.ia_a.value:
            return unknown("i2t_a2s", "the fault is below the device's instantaneous current, so how long it lasts is not known",
                           at=f"{self.at}.device")
        return fault.i2t_a2s.worked(fault_a, self.bound_s)

    @cached_property
    def heat(self) -> HeatDesign:
        """What a fault on it does that the loop to earth does not tell: line to neutral, and the line conductor."""
        from spareway.design.heat import HeatDesign
        return HeatDesign(self)

    # ---- voltage drop -----------------------------------------------------------------------------------------------
    @cached_property
    def drop_v(self) -> Fact[float]:
        """Along the circuit itself; a ring's load is taken at its middle."""
        mv = self.route.mv_per_a_m
        if self.is_ring:
            return renamed(cable.ring_drop_v.worked(mv, self.load_a, self.length_m), "drop_v")
        return cable.drop_v.worked(mv, self.load_a, self.length_m)

    @cached_property
    def drop_from_origin_v(self) -> Fact[float]:
        """From the origin: everything before the board at what its fuse is rated at, and the circuit."""
        apart = self.apart("N")
        before = self.design.boards[self.board].drop_before_v if apart is None else apart
        return total("drop_v", [before, self.drop_v], "one after another")

    @cached_property
    def drop_limit_v(self) -> Fact[float]:
        return self._drop_limit_v("lighting" if self.feeds_lighting else "other uses")

    @cached_property
    def drop_limit_of_lighting_v(self) -> Fact[float]:
        """The lesser limit, that of lighting."""
        return self._drop_limit_v("lighting")

    def _drop_limit_v(self, case: str) -> Fact[float]:
        share = look_up("drop_limit", self.books, settled("case", case, "Appendix 4, 6.4"))
        return cable.drop_limit_v.worked(self.design.supply.u0_v, share)


def _blank(cls: type, at: str) -> Any:
    """A device or cable nobody recorded: every fact of it is unknown."""
    from spareway.job.fields import specs
    values: dict[str, Any] = {s.name: unknown(s.quantity, "not recorded", at=f"{at}.{s.key}") for s in specs(cls) if s.is_fact}
    return cls(kind="", **values)
