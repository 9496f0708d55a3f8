"""The supply: what comes in, what protects it, what a fault at the origin amounts to."""
from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from spareway.design.route import settled
from spareway.fact import Fact, highest, unknown
from spareway.job.types import Equipment, Supply
from spareway.physics import fault
from spareway.physics import supply as supplied
from spareway.tables import Books, NoRow, look_up

if TYPE_CHECKING:
    from spareway.job.job import Installation


class SupplyDesign:
    """Each quantity of one supply, worked out once."""

    def __init__(self, supply: Supply, inst: Installation, books: Books) -> None:
        self.supply, self.inst, self.books = supply, inst, books
        self.at = f"supplies.{supply.name}"

    @cached_property
    def cutout(self) -> Equipment | None:
        """The thing it lands on."""
        return self.inst.equipment.get(self.supply.joins.partition(".")[0])

    @cached_property
    def u0_v(self) -> Fact[float]:
        return look_up("supply_voltage", self.books, settled("case", "declared voltage", "Appendix 2"))

    @cached_property
    def cmin(self) -> Fact[float]:
        return look_up("thresholds", self.books, settled("case", "cmin", "411.4.4"))

    @property
    def ze_ohm(self) -> Fact[float]:
        return self.supply.ze_ohm

    @property
    def earthing(self) -> Fact[str]:
        return self.supply.earthing

    @cached_property
    def fuse_a(self) -> Fact[float]:
        """The rating of the service fuse. Only what is read on the fuse itself counts; a carrier proves nothing."""
        if self.cutout is None:
            return unknown("fuse_a", "no cut-out is recorded", at=self.at)
        said = self.cutout.fuse_a
        for how in ("marked", "enquiry"):
            if said.by(how).known:
                return said.by(how)
        if said.known:
            return unknown("fuse_a", f"{said} was {said.how}; only a rating read on the fuse counts", said.where, said.at)
        return said

    @cached_property
    def fuse(self) -> Fact[str]:
        """The standard of the service fuse."""
        return self.cutout.fuse if self.cutout else unknown("fuse", "no cut-out is recorded", at=self.at)

    @cached_property
    def ze_read_ohm(self) -> Fact[float]:
        """Ze as it was read. A declared one is the most it may be: good for a loop, never for the greatest fault current."""
        return _as_read(self.supply.ze_ohm)

    @cached_property
    def loop_ln_read_ohm(self) -> Fact[float]:
        """The line to neutral loop as it was read."""
        return _as_read(self.supply.loop_ln_ohm)

    @cached_property
    def fault_le_a(self) -> Fact[float]:
        """Line to earth at the origin."""
        return fault.prospective_a.worked(self.u0_v, self.ze_read_ohm)

    @cached_property
    def fault_ln_a(self) -> Fact[float]:
        """Line to neutral at the origin."""
        return fault.prospective_a.worked(self.u0_v, self.loop_ln_read_ohm)

    @cached_property
    def fault_ka(self) -> Fact[float]:
        """The greater of the two, as it is set against a breaking capacity; the recorded one where a loop is missing."""
        both = [fault.prospective_ka.worked(self.u0_v, z) for z in (self.loop_ln_read_ohm, self.ze_read_ohm)]
        if self.supply.fault_ka.known:
            both = [self.supply.fault_ka, *(each for each in both if each.known)]
        return highest("prospective_ka", both, "643.7.3.201: the greater is recorded")

    @cached_property
    def five_s_a(self) -> Fact[float]:
        """The current that opens the service fuse in 5 s."""
        limit = settled("clear_s", 5.0, "411.3.2.3")
        return look_up("ia_fuse", self.books, self.fuse, self.fuse_a, limit)

    @cached_property
    def ze_fuse_limit_ohm(self) -> Fact[float]:
        """The loop at which the service fuse still opens in 5 s."""
        return fault.zs_limit_ohm.worked(self.cmin, self.u0_v, self.five_s_a)

    @cached_property
    def holds_a(self) -> Fact[float]:
        """The current that the service fuse holds for its conventional time of hours."""
        return supplied.nonfusing_a.worked(self.fuse_a, self._of_standard("fuse_holds", "nonfusing_factor"))

    @cached_property
    def fusing_a(self) -> Fact[float]:
        """The current that opens the service fuse in its conventional time of hours; below it, perhaps never."""
        return supplied.fusing_a.worked(self.fuse_a, self._of_standard("fuse_opens", "fusing_factor"))

    @cached_property
    def conventional_h(self) -> Fact[float]:
        """The conventional time of the service fuse."""
        return self._of_standard("conventional_time", "conventional_h")

    def _of_standard(self, table: str, gives: str) -> Fact[float]:
        """What its standard says of a fuse of this rating; unknown where no source here has it: a rating may be read amiss."""
        try:
            return look_up(table, self.books, self.fuse, self.fuse_a)
        except NoRow:
            said = f"no source here says it of a fuse to {self.fuse.value.upper()} of {self.fuse_a}"
            return unknown(gives, said, at=self.fuse_a.at)

    @cached_property
    def ze_declared_ohm(self) -> Fact[float]:
        """The greatest Ze the network declares for such an arrangement."""
        return look_up("ze_declared", self.books, self.earthing)


def _as_read(loop: Fact[float]) -> Fact[float]:
    """A loop as an instrument or a person gave it; unknown where it is only declared, asked for or assumed."""
    for how in ("measured", "stated"):
        if loop.by(how).known:
            return loop.by(how)
    return loop if not loop.known else unknown(
        loop.name, f"{loop} is {loop.how}, the most it may be; the greatest fault current wants a reading", loop.where, loop.at)
