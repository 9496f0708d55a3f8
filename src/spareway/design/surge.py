"""A surge device: its path to earth, its leads, what is left of a surge behind it, what backs it up."""
from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from spareway.design.route import settled
from spareway.fact import Fact, highest, total
from spareway.job.types import Device, Equipment
from spareway.physics import surge
from spareway.tables import look_up

if TYPE_CHECKING:
    from spareway.design.design import Design


class SurgeDesign:
    """Each quantity of one surge device, on the wall or in a way, worked out once."""

    def __init__(self, name: str, thing: Equipment | Device, live: tuple[str, ...], earth: str, design: Design) -> None:
        self.name, self.thing, self.live, self.earth, self.design = name, thing, live, earth, design
        self.books = design.books

    @cached_property
    def earthed(self) -> bool | None:
        """Does metal lead from its earth terminal to the supply's earth, or the electrode?"""
        return self.design.network.joined([self.earth], "E")

    @cached_property
    def earth_stops_at(self) -> str:
        """Where the earth path gives out, in words."""
        stop = self.design.network.where_it_stops(self.earth, "E")
        if stop is None:
            return ""
        return f"from {self.earth} it reaches {', '.join(t for t in stop.reached if t != self.earth) or 'nothing'}"

    @cached_property
    def leads_m(self) -> Fact[float]:
        """The longer of line plus earth lead and neutral plus earth lead."""
        both = [total("lead_m", [lead, self.thing.lead_earth_m], "534.4.8: each path by itself")
                for lead in (self.thing.lead_line_m, self.thing.lead_neutral_m)]
        return highest("lead_m", both, "534.4.8: the longer path")

    @cached_property
    def lead_drop_kv(self) -> Fact[float]:
        case = [look_up("thresholds", self.books, settled("case", c, "534.4.8")) for c in
                ("lead_uh_per_m", "surge_ka", "surge_front_us")]
        return surge.lead_drop_kv.worked(case[0], self.leads_m, case[1], case[2])

    @cached_property
    def effective_kv(self) -> Fact[float]:
        """What a surge leaves behind the device: its own level and its leads."""
        return surge.effective_kv.worked(self.thing.up_kv, self.lead_drop_kv)

    @cached_property
    def withstand_kv(self) -> Fact[float]:
        """What the equipment behind it stands; category II where nothing else is recorded."""
        if self.thing.withstand_kv.known:
            return self.thing.withstand_kv
        return look_up("thresholds", self.books, settled("case", "withstand_category_ii_kv", "443.6.2"))
