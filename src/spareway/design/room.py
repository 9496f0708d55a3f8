"""What a room loses on the design day: through each part of its skin, through bridges, with the air. Each worked out once.

Windows and doors are taken off the wall they are cut from. Nothing is credited from warmer rooms or neighbours. A part of the
skin of which nobody said anything is not nought: what is counted is then the least that the room loses, and the loss itself is
unknown. A wall given by its length of whose glass nobody said anything has an unknown area.
"""
from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from spareway.design.route import renamed, settled
from spareway.fact import Fact, total, unknown
from spareway.job.skin import ABOVE, BELOW, DOOR, GLASS, WALL, part_of
from spareway.job.types import Element, Heating, Room, Size
from spareway.physics import heat
from spareway.tables import NoRow, look_up

if TYPE_CHECKING:
    from spareway.design.design import Design

NOT_RECORDED = "not recorded"                       # the note of a fact of which the record says nothing at all
EVERYWHERE = "common practice, no source"
BY_ELECTRICITY, BY_NOTHING = "electricity", "nothing"


def looked_up(table: str, design: Design, *keys: Fact[Any]) -> Fact[Any]:
    """What a table gives; where no row stands there, unknown with the nearest rows as its note."""
    try:
        return look_up(table, design.books, *keys)
    except NoRow as none:
        return unknown(_gives(table), str(none), at=keys[0].at)


def _gives(table: str) -> str:
    from spareway.tables.table import table as read
    return read(table).gives


def is_said(fact: Fact[Any]) -> bool:
    """Whether the record says something of it, be it only that it is unknown."""
    return fact.known or fact.where != "" or fact.note != NOT_RECORDED


class ElementDesign:
    """A part of a room's skin: its net area and the heat through it."""

    def __init__(self, element: Element, room: RoomDesign) -> None:
        self.element, self.room = element, room
        self.at = f"{room.at}.elements.{element.name}"

    @cached_property
    def part(self) -> str:
        """Which part of the skin it is; "" where nobody said it."""
        of, element = self.room.design.inst.fabric.get(self.element.of), self.element
        return part_of(element.name, element.part, of.part if of else "", bool(element.cut_from), is_said(element.length_m))

    @property
    def is_nothing(self) -> bool:
        """Whether it is said that there is none of it, or that no difference of temperature acts on it."""
        return 0 in (self.element.area_m2.amount, self.element.length_m.amount, self.element.of_dt.amount)

    @cached_property
    def u_w_per_m2k(self) -> Fact[float]:
        """Its own, that of its construction, or that of the table for what the construction is said to be.

        Of nothing it does not matter what it is made of."""
        said = self._u_w_per_m2k
        return said if said.known or not self.is_nothing else settled("u_w_per_m2k", 0.0, EVERYWHERE)

    @property
    def _u_w_per_m2k(self) -> Fact[float]:
        of = self.room.design.inst.fabric.get(self.element.of)
        if of is None or is_said(self.element.u_w_per_m2k):
            return self.element.u_w_per_m2k
        if is_said(of.u_w_per_m2k) or not of.built.known:
            return of.u_w_per_m2k
        return looked_up("u_values", self.room.design, of.built)

    @cached_property
    def gross_m2(self) -> Fact[float]:
        """As recorded, or its length times the height of the room."""
        if is_said(self.element.area_m2) or not is_said(self.element.length_m):
            return self.element.area_m2
        return heat.area_m2.worked(self.element.length_m, self.room.size.height_m)

    @cached_property
    def openings(self) -> tuple[ElementDesign, ...]:
        """What is cut from it."""
        return tuple(e for e in self.room.elements.values() if e.element.cut_from == self.element.name)

    @property
    def glass_unsaid(self) -> bool:
        """Whether it is a wall, given by its length, of whose glass nobody said anything. None is an opening of 0 m²."""
        told = is_said(self.element.area_m2) or self.element.cut_from or any(e.part == GLASS for e in self.openings)
        return not told and is_said(self.element.length_m) and not self.is_nothing

    @cached_property
    def area_m2(self) -> Fact[float]:
        """Without its openings."""
        if self.glass_unsaid:
            why = "no glass is listed for this wall: list what is cut from it, or glass of 0 m²"
            return unknown("net_area_m2", why, at=self.at)
        if not self.openings:
            return self.gross_m2
        openings = total("openings_m2", [e.gross_m2 for e in self.openings], "the openings cut from it")
        net = heat.net_area_m2.worked(self.gross_m2, openings)
        if net.known and net.value < 0:
            return unknown("net_area_m2", f"its openings, {openings}, are larger than the wall, {self.gross_m2}", at=self.at)
        return net

    @property
    def is_towards_outside(self) -> bool:
        return not is_said(self.element.of_dt)

    @property
    def in_outside_wall(self) -> bool:
        """Whether it is cut from a wall that faces outside, or faces outside by itself."""
        wall = self.room.elements.get(self.element.cut_from)
        return self.is_towards_outside and (wall is None or wall.part == WALL and wall.is_towards_outside)

    @cached_property
    def loss_w_per_k(self) -> Fact[float]:
        """Heat through it for each kelvin between inside and outside."""
        through = heat.fabric_w_per_k.worked(self.u_w_per_m2k, self.area_m2)
        return through if self.is_towards_outside else heat.shared_w_per_k.worked(self._acting(through), self.element.of_dt)

    @cached_property
    def exposed_m2(self) -> Fact[float]:
        """Area that bridges are counted by: towards a space that is not heated, its share."""
        if self.is_towards_outside:
            return self.area_m2
        return heat.shared_area_m2.worked(self._acting(self.area_m2), self.element.of_dt)

    def _acting(self, fact: Fact[float]) -> Fact[float]:
        """What a share of is taken; nought in place of what is not known where the share is nought."""
        nought = self.element.of_dt.amount == 0 and not fact.known
        return settled(fact.name, 0.0, EVERYWHERE) if nought else fact

    @cached_property
    def loss_w(self) -> Fact[float]:
        return renamed(heat.design_loss_w.worked(self.loss_w_per_k, self.room.inside_c, self.room.outside_c), "loss_w")


class RoomDesign:
    """Each quantity of one room's heat, worked out once.

    is_heated: whether the record asks for heat in it: a temperature, a use or a part of its skin is recorded"""

    def __init__(self, room: Room, design: Design) -> None:
        self.room, self.design = room, design
        self.at = f"rooms.{room.name}"
        self.size = room.size or blank(Size, f"{self.at}.size")
        self.heating = next(iter(design.inst.heating.values()), None) or blank(Heating, "heating.main")

    @property
    def is_heated(self) -> bool:
        return bool(self.room.elements) or is_said(self.room.design_c) or is_said(self.room.use)

    @property
    def heated_by(self) -> Fact[str]:
        """What heats it: as recorded of itself, or of the home."""
        return self.room.heated_by if is_said(self.room.heated_by) else self.heating.heated_by

    @property
    def is_heated_otherwise(self) -> bool:
        """Whether it is said that something else than electricity heats it, or nothing does; silence says neither."""
        return self.heated_by.known and self.heated_by.value != BY_ELECTRICITY

    @cached_property
    def elements(self) -> dict[str, ElementDesign]:
        return {name: ElementDesign(e, self) for name, e in self.room.elements.items()}

    @cached_property
    def inside_c(self) -> Fact[float]:
        """As recorded, or by the use of the room."""
        if is_said(self.room.design_c) or not self.room.use.known:
            return self.room.design_c
        return looked_up("room_temperature", self.design, self.room.use)

    @cached_property
    def outside_c(self) -> Fact[float]:
        """As recorded, or by the place."""
        if is_said(self.heating.outside_c) or not self.heating.place.known:
            return self.heating.outside_c
        return looked_up("design_temperature", self.design, self.heating.place)

    @cached_property
    def air_changes_per_h(self) -> Fact[float]:
        """As recorded, or by the use of the room and the table that was chosen."""
        if is_said(self.room.air_changes_per_h) or not (self.room.use.known and self.heating.air_basis.known):
            return self.room.air_changes_per_h
        return looked_up("air_changes", self.design, self.room.use, self.heating.air_basis)

    @cached_property
    def volume_m3(self) -> Fact[float]:
        return heat.volume_m3.worked(self.size.length_m, self.size.width_m, self.size.height_m)

    @cached_property
    def floor_m2(self) -> Fact[float]:
        return renamed(heat.area_m2.worked(self.size.length_m, self.size.width_m), "floor_m2")

    @cached_property
    def air_w_per_k(self) -> Fact[float]:
        factor = looked_up("heat_allowances", self.design, settled("case", "ventilation factor", EVERYWHERE))
        return heat.ventilation_w_per_k.worked(factor, self.air_changes_per_h, self.volume_m3)

    @cached_property
    def air_w(self) -> Fact[float]:
        return renamed(heat.design_loss_w.worked(self.air_w_per_k, self.inside_c, self.outside_c), "loss_w")

    @cached_property
    def bridging_w_per_k(self) -> Fact[float]:
        """A flat addition to all that faces outside. Unknown until someone says it, were it nought."""
        exposed = total("exposed_m2", [e.exposed_m2 for e in self.elements.values()], "all that faces outside")
        return heat.bridging_w_per_k.worked(exposed, self.heating.bridging_w_per_m2k)

    # ---- what is counted, and what nobody answered ---------------------------------------------------------------------
    @cached_property
    def unsaid(self) -> tuple[str, ...]:
        """The parts of its skin of which nobody said anything, be it that there is none. Only a wall that is there has glass and
        doors to be asked of."""
        parts = [*self.elements.values()]
        walls = [e for e in parts if e.part == WALL and e.is_towards_outside]
        cut = {e.part for e in parts if e.in_outside_wall}
        if not walls:
            first = [WALL]
        else:
            first = [p for p in (GLASS, DOOR) if p not in cut] if not all(e.is_nothing for e in walls) else []
        return (*first, *(p for p in (ABOVE, BELOW) if p not in {e.part for e in parts}))

    @property
    def _gap(self) -> Fact[float]:
        untold = [f'"{name}"' for name, e in self.elements.items() if not e.part and e.is_towards_outside]
        hint = f"; which part {', '.join(untold)} is, is not said" if untold else ""
        return unknown("loss_w_per_k", f"not answered: {', '.join(self.unsaid)}{hint}", at=f"{self.at}.elements")

    @property
    def _parts(self) -> list[Fact[float]]:
        return [*(e.loss_w_per_k for e in self.elements.values()), self.bridging_w_per_k, self.air_w_per_k]

    @cached_property
    def counted_w_per_k(self) -> Fact[float]:
        """Through what is on record: the loss of the room, or the least of it where parts are unsaid."""
        if not self.elements:
            return unknown("loss_w_per_k", "nothing is recorded of what it loses heat through", at=f"{self.at}.elements")
        return total("loss_w_per_k", self._parts, "fabric, bridges and air")

    @cached_property
    def counted_w(self) -> Fact[float]:
        """That on the design day. Unknown where it would be warmer outside: this is no reckoning of gains."""
        return self._on_the_day(self.counted_w_per_k)

    @cached_property
    def counted_required_w(self) -> Fact[float]:
        """Output wanted of its heaters for what is counted, with the margin."""
        return heat.required_w.worked(self.counted_w, self.heating.margin_share)

    # ---- the loss ------------------------------------------------------------------------------------------------------
    @cached_property
    def loss_w_per_k(self) -> Fact[float]:
        """Unknown while any part is unsaid."""
        if not (self.elements and self.unsaid):
            return self.counted_w_per_k
        return total("loss_w_per_k", [*self._parts, self._gap], "fabric, bridges and air")

    @cached_property
    def loss_w(self) -> Fact[float]:
        """On the design day. Unknown while any part is unsaid, and where it would be warmer outside."""
        return self._on_the_day(self.loss_w_per_k)

    def _on_the_day(self, lost_w_per_k: Fact[float]) -> Fact[float]:
        lost = renamed(heat.design_loss_w.worked(lost_w_per_k, self.inside_c, self.outside_c), "loss_w")
        if lost.known and self.inside_c.value < self.outside_c.value:
            return unknown("loss_w", f"{self.inside_c} inside is colder than {self.outside_c} outside", at=self.at)
        return lost

    @cached_property
    def required_w(self) -> Fact[float]:
        """Output wanted of its heaters: the loss and the margin for heating up."""
        return heat.required_w.worked(self.loss_w, self.heating.margin_share)

    @cached_property
    def loss_w_per_m2(self) -> Fact[float]:
        return heat.loss_w_per_m2.worked(self.loss_w, self.floor_m2)


# ---- a range --------------------------------------------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class Span:
    """A figure with each ranged fact at the end that lowers it, as recorded, and at the end that raises it; `of` those facts."""
    least: float
    is_: float
    most: float
    of: tuple[Fact[Any], ...]


def span(fact: Fact[float]) -> Span | None:
    """Between what and what a figure lies; None where it is unknown. Without ranged facts all three are alike.

    Each ranged fact goes to the end that lowers (raises) the figure by itself: exact where none turns the sign of another's
    effect, as in a loss, which is a sum of products of what is not negative."""
    if not fact.known:
        return None
    ranged = tuple(f for f in fact.roots() if f.span is not None and f.known)
    low, high = {}, {}
    for each in ranged:
        assert each.span is not None
        low[each], high[each] = sorted(each.span, key=lambda end, each=each: fact.again({each: end}))    # type: ignore[misc]
    return Span(fact.again(low), fact.value, fact.again(high), ranged)


def home_loss_w(rooms: Sequence[RoomDesign]) -> Fact[float]:
    """All rooms together, each at its own temperature on the same cold day. Unknown while any of them is."""
    return _together([room.loss_w for room in rooms])


def home_counted_w(rooms: Sequence[RoomDesign]) -> Fact[float]:
    """What is counted of all rooms together: the least that the home loses where parts of any are unsaid."""
    return _together([room.counted_w for room in rooms])


def _together(losses: Sequence[Fact[float]]) -> Fact[float]:
    if not losses:
        return unknown("loss_w", "no heated room is recorded", at="rooms")
    return total("loss_w", losses, "all heated rooms")


def blank(cls: Any, at: str) -> Any:
    """One of which nothing is recorded."""
    from spareway.job.fields import specs
    facts: dict[str, Any] = {s.name: Fact(s.quantity, None, "unknown", "", NOT_RECORDED, "", f"{at}.{s.key}")
                             for s in specs(cls) if s.is_fact}
    return cls(**facts)
