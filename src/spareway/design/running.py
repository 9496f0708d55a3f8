"""What a year of heating takes and costs, told as a range: by fabric, by air, by the temperatures kept, by the price of a day.

Heat alone, given by resistance. Water, light and cooking are no part of it, nor a standing charge. What goes into a space within
the home that is not heated is counted apart. Where nobody said between what anything lies, no cost is told.
"""
from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from spareway.design.room import ElementDesign, Span, blank, is_said, span
from spareway.design.route import renamed
from spareway.fact import Fact, total, unknown
from spareway.job.types import Heating
from spareway.physics import heat

if TYPE_CHECKING:
    from spareway.design.design import Design

__all__ = ["DRAUGHTS", "Measure", "Running"]

DRAUGHTS = "draughts stopped"
NO_RANGE = "nobody said between what fabric, air, degree-days or price lie: one number would be no answer"
NO_DAY = "the day of the price is not recorded"


@dataclass(frozen=True, slots=True)
class Measure:
    """Something that could be done, of which part of the home (its address), what that would be then by somebody's word, and
    what it saves in a year, each as a range."""
    says: str
    at: str
    could_be: Fact[float]
    saved_kwh: Fact[float]
    saved_gbp: Fact[float]

    @property
    def between_kwh(self) -> Span | None:
        """Its range; None where nobody said between what anything lies. A home that is already as good as the measure would make
        it saves nothing, and never less."""
        return _not_below_nought(_with_ends(self.saved_kwh))

    @property
    def between_gbp(self) -> Span | None:
        return _not_below_nought(_with_ends(self.saved_gbp))

    @property
    def rank(self) -> float:
        """By which measures are ordered: the most it may save; those of which that is not known come last."""
        return self.between_kwh.most if self.between_kwh else -1.0


class Running:
    """The heat of a year of all heated rooms of one stage."""

    def __init__(self, design: Design) -> None:
        self.design = design
        self.rooms = [room for room in design.rooms.values() if room.is_heated]
        self.heating: Heating = next(iter(design.inst.heating.values()), None) or blank(Heating, "heating.main")

    # ---- a year -----------------------------------------------------------------------------------------------------
    @cached_property
    def air_w_per_k(self) -> Fact[float]:
        return total("ventilation_w_per_k", [room.air_w_per_k for room in self.rooms], "the air of all rooms on the design day")

    @cached_property
    def within_w_per_k(self) -> Fact[float]:
        """What goes into spaces of the home that are not heated: not counted, and told."""
        return total("loss_w_per_k", [e.loss_w_per_k for e in self._elements if not e.is_towards_outside], "into spaces within")

    @cached_property
    def season_w_per_k(self) -> Fact[float]:
        """Fabric towards the outside, its bridges, and the air of the season."""
        if not self.rooms:
            return unknown("season_w_per_k", "no heated room is recorded", at="rooms")
        unsaid = [room.loss_w_per_k for room in self.rooms if room.unsaid]       # unknown, each with what is missing
        outside = [e.loss_w_per_k for e in self._elements if e.is_towards_outside]
        bridges = [room.bridging_w_per_k for room in self.rooms]
        air = heat.season_air_w_per_k.worked(self.air_w_per_k, self.heating.air_share)
        return total("season_w_per_k", [*unsaid, *outside, *bridges, air], "towards the outside, bridges, air of a season")

    @cached_property
    def heating_kwh(self) -> Fact[float]:
        return heat.heating_kwh.worked(self.season_w_per_k, self.heating.degree_days_kd)

    @cached_property
    def running_gbp(self) -> Fact[float]:
        """Unknown without a price, without its day, or where nothing it rests on has a range."""
        return self._told(heat.running_gbp.worked(self.heating_kwh, self.heating.price_p_per_kwh))

    @property
    def between_kwh(self) -> Span | None:
        """Its range; None where it is not known, or where nobody said between what anything lies."""
        return _with_ends(self.heating_kwh)

    @property
    def between_gbp(self) -> Span | None:
        return _with_ends(self.running_gbp)

    def _told(self, cost: Fact[float]) -> Fact[float]:
        if cost.known and self.heating.price_on is None:
            return unknown(cost.name, NO_DAY, at="heating.main.price_on")
        if cost.known and _with_ends(cost) is None:
            return unknown(cost.name, NO_RANGE, at="heating.main")
        return cost

    @property
    def _elements(self) -> list[ElementDesign]:
        return [e for room in self.rooms for e in room.elements.values()]

    # ---- what would save most ---------------------------------------------------------------------------------------
    @cached_property
    def measures(self) -> tuple[Measure, ...]:
        """Each measure that somebody recorded, the one that may save most first. No two add up: one changes the other."""
        found = [self._measure(fabric.measure or f"{fabric.says or name} improved", f"fabric.{name}", fabric.could_be_w_per_m2k,
                               self._through(name))
                 for name, fabric in self.design.inst.fabric.items() if is_said(fabric.could_be_w_per_m2k)]
        if is_said(self.heating.air_could_be_share):
            saved = heat.saved_air_w_per_k.worked(self.air_w_per_k, self.heating.air_share, self.heating.air_could_be_share)
            found.append(self._measure(DRAUGHTS, "heating.main.air_could_be_share", self.heating.air_could_be_share,
                                       renamed(saved, "saved_w_per_k")))
        return tuple(sorted(found, key=lambda each: -each.rank))

    def _through(self, name: str) -> Fact[float]:
        """What a better construction of this name would save a kelvin, over every part of the home that is of it."""
        could = self.design.inst.fabric[name].could_be_w_per_m2k
        parts = [e for e in self._elements if e.element.of == name and e.is_towards_outside]
        if not parts:
            return unknown("saved_w_per_k", "no part of a heated room towards the outside is of it", at=f"fabric.{name}")
        saved = [heat.saved_w_per_k.worked(e.area_m2, e.u_w_per_m2k, could) for e in parts]
        return total("saved_w_per_k", saved, "all that is of it")

    def _measure(self, says: str, at: str, could_be: Fact[float], saved_w_per_k: Fact[float]) -> Measure:
        kwh = heat.heating_kwh.worked(saved_w_per_k, self.heating.degree_days_kd)
        saved = renamed(kwh, "saved_kwh")
        cost = self._told(renamed(heat.running_gbp.worked(kwh, self.heating.price_p_per_kwh), "saved_gbp"))
        return Measure(says, at, could_be, saved, cost)

    @property
    def storage(self) -> tuple[str, ...]:
        """The storage heaters of the record, whose heat is bought at another price."""
        from spareway.design.heaters import heaters
        return tuple(h.name for h in heaters(self.design) if h.kind == "storage-heater")


def _with_ends(fact: Fact[float]) -> Span | None:
    """Between what it lies; None where nobody said so of anything that it rests on: one number would be no answer."""
    between = span(fact)
    return between if between is not None and between.of else None


def _not_below_nought(between: Span | None) -> Span | None:
    return between and Span(max(0.0, between.least), max(0.0, between.is_), max(0.0, between.most), between.of)
