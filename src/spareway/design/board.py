"""A board: how the supply reaches it, the loop at it, its main switch, what may stand against a fault there."""
from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from spareway.design import tails
from spareway.design.circuit import CircuitDesign
from spareway.design.run import RunDesign
from spareway.fact import Fact, total, unknown
from spareway.job.types import Equipment
from spareway.kinds.joints import inside

if TYPE_CHECKING:
    from spareway.design.design import Design

ONE_AFTER_ANOTHER = "supply and what leads here, one after another"

class BoardDesign:
    """Each quantity of one board, worked out once."""

    def __init__(self, thing: Equipment, design: Design) -> None:
        self.thing, self.design, self.books = thing, design, design.books
        self.at = f"equipment.{thing.name}"

    @cached_property
    def fed_by(self) -> tuple[RunDesign | CircuitDesign, ...]:
        """The runs, and the circuits of boards before it, that current goes through from the origin to this board, in order."""
        design = self.design
        names = design.runs_to(f"{self.thing.name}.in.L")
        legs: list[RunDesign | CircuitDesign] = [design.runs[n] if n in design.runs else design.circuits[n] for n in names
                                                 if n in design.runs or n in design.circuits]
        begin = [i for i, leg in enumerate(legs) if isinstance(leg, RunDesign) and leg.lands_on(design.origin)]
        return tuple(legs[begin[-1] if begin else 0:])

    @cached_property
    def runs_before(self) -> tuple[RunDesign, ...]:
        """The runs among them."""
        return tuple(leg for leg in self.fed_by if isinstance(leg, RunDesign))

    @cached_property
    def fuse_a(self) -> Fact[float]:
        """The rating of the fuse or breaker before this board."""
        return self.design.rating_before_a(self.design.before(f"{self.thing.name}.in.L"))[1]

    @cached_property
    def is_reached(self) -> bool:
        """Whether the record shows a way from the supply to this board."""
        return bool(self.design.links_to(f"{self.thing.name}.in.L"))

    @cached_property
    def ze_ohm(self) -> Fact[float]:
        """The loop at this board: the supply's, and what leads here adds to it.

        Every circuit that feeds it and every run with a protective conductor of its own counts, be its size known or not; runs
        without one where they are longer than usual. Short ones add nothing: the supply's loop is taken as it was read."""
        if not self.is_reached:
            return self._no_way("ze_ohm")
        ze = self.design.supply.ze_ohm
        return total("ze_ohm", [ze, *self.adds_ohm], ONE_AFTER_ANOTHER) if self.adds_ohm else ze

    @cached_property
    def drop_before_v(self) -> Fact[float]:
        """Voltage lost from the origin to this board, everything before it at what its fuse is rated at."""
        if not self.is_reached:
            return self._no_way("drop_v")
        return total("drop_v", [leg.drop_v for leg in self.fed_by], "one after another")

    def _no_way(self, name: str) -> Fact[float]:
        return unknown(name, "the record shows no way from the supply to this board", at=self.at)

    @cached_property
    def adds_ohm(self) -> tuple[Fact[float], ...]:
        """What the way from the origin adds to the loop, part by part; nothing where the loop here is that of the supply."""
        long = tails.loop_ohm(self)
        return (*self._with_earth, *([long] if long is not None else []))

    @cached_property
    def _with_earth(self) -> list[Fact[float]]:
        return [leg.r1r2_ohm for leg in self.fed_by if tails.brings_earth(leg)]

    @cached_property
    def ze_read_ohm(self) -> Fact[float]:
        """The same from the supply's loop as it was read: what the greatest fault current here rests on.

        Tails never lower it: where the loop was read at their far end it holds them already."""
        if not self.is_reached:
            return self._no_way("ze_ohm")
        read = self.design.supply.ze_read_ohm
        return total("ze_ohm", [read, *self._with_earth], ONE_AFTER_ANOTHER) if self._with_earth else read

    @cached_property
    def switch_leaves_neutral(self) -> bool | None:
        """With its main switch open, is the busbar's neutral still joined to the supply? None where it has no main switch."""
        of = self.design.kind_of(self.thing.name)
        if not of.controls:
            return None
        reached = {"in.N"}
        links = [link for link in inside("", of.wiring) if link.joint == "-" and not link.control]
        for _ in links:
            for link in links:
                ends = {link.a.lstrip("."), link.b.lstrip(".")}
                reached |= ends if ends & reached else set()
        return any(bar[1] in reached for bar in of.bars.values())

    @property
    def fault_ka(self) -> Fact[float]:
        """Fault current at the origin: the most that can reach it."""
        return self.design.supply.fault_ka
