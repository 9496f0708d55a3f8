"""From a stage of a job to a season: every number a fact, what the record leaves out assumed and named; a gap, and no season.

Rooms are kept warm by their heaters, at the voltage declared, and lose what the record says. What is plugged in nobody recorded:
an ordinary home's is counted. Where a choice had to be made, more demand was chosen.
"""
from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from spareway.design.demand import STORAGE, TWO_WAY
from spareway.design.heaters import NOTHING, Heater, heaters, voltage
from spareway.design.load import CHARGING, LAMPS, STORED, gives
from spareway.design.room import RoomDesign, blank, is_said
from spareway.design.route import settled
from spareway.fact import Fact, total, unknown
from spareway.job.types import Room as RoomRecord
from spareway.kinds import kind
from spareway.physics import load, winter
from spareway.season.draws import planned
from spareway.season.gathered import Gathered
from spareway.season.home import Case, Daily, Home, Hours, Room, Season, Use, Water
from spareway.season.home import Weather as Hourly
from spareway.season.of_file import SOLAR, base_case, charged, hours, people, shifts
from spareway.season.of_fuse import Element, element
from spareway.season.of_people import appliances, cooking, lamps, other, showers, untold, water
from spareway.season.outside import SETTLE_DAYS, outside
from spareway.season.scenarios import Scenario, Weather

if TYPE_CHECKING:
    from spareway.design.design import Design

__all__ = ["Lived", "Unlivable", "season_of"]

BUILDING = "semi-detached"
STORES = (("inside_kj_per_k", "inside_kj_per_k"), ("building_m2", "floor_m2"), ("fabric_kj_per_k", "fabric_kj_per_k"),
          ("outside_fabric_w_per_k", "outside_w_per_k"), ("fabric_inside_w_per_k", "inside_w_per_k"))    # quantity, column
NONE_OF_IT = "none of that heat on the service fuse"
BY_FILE, ON_TOP = "is what the season's file says of charging", "comes on top: it is in no figure here"


class Unlivable(ValueError):
    """Numbers, each known, of which no season can be made: what they are."""


@dataclass(frozen=True, slots=True)
class Lived:
    """A season as it can be lived, or None and why not.

    facts: every number that went in; gaps: what is not known; fuse_a: its rating, perhaps unknown; opens_a: what it opens at;
    element: how its element warms, or why that is not known; told: what was counted how"""
    season: Season | None
    facts: tuple[Fact[float], ...]
    gaps: tuple[Fact[float], ...]
    fuse_a: Fact[float]
    opens_a: Fact[float]
    element: Element
    told: tuple[str, ...]


def season_of(design: Design, scenario: Scenario, seed: int) -> Lived:
    """The season that a scenario makes of a stage of a job. Errors: Unlivable."""
    gathered = Gathered(design.books)
    _enough(design, gathered)
    supply_v, of_home = voltage(design, "declared voltage"), heaters(design)
    of_heat = gathered if _is_warmed(design, of_home) else Gathered(design.books)     # else no weather moves what is drawn
    hourly = outside(scenario.weather or Weather(), _outside_c(design, of_home), design.books, of_heat)
    warm = hours(scenario.warm, of_heat)
    rooms, always_w = _rooms(design, of_home, supply_v, scenario, warm, gathered)
    tank, uses, daily, base_w = _rest(design, of_home, supply_v, scenario, gathered)
    case = base_case(scenario, daily, design, gathered)
    fuse_a, fuse = design.supply.fuse_a, element(design)
    home = Home(tuple(rooms), tank, tuple(uses), (base_w + always_w,) * 24, gathered.take(supply_v), fuse_a.amount, fuse.ladder,
                *shifts(scenario, of_heat), people(scenario, gathered))
    made = None if gathered.gaps else _made(home, Hourly(hourly), case, seed)
    return Lived(made, (*gathered.facts, *fuse.facts), tuple(gathered.gaps), fuse_a, design.supply.fusing_a, fuse,
                 tuple(gathered.told))


def _enough(design: Design, gathered: Gathered) -> None:
    """A gap where the record says too little for a winter to mean anything, or more than one fuse; told what gives besides."""
    if not design.demand.circuits:
        gathered.take(unknown("load_a", "no circuit is recorded", at="circuits"))
    if not heaters(design) and not any(room.is_heated for room in design.rooms.values()):
        if (home := _any_room(design)).is_heated_otherwise:
            gathered.keep(home.heated_by)
            gathered.tell(f"heated by {home.heated_by}, by the record, and {NONE_OF_IT}")
        else:
            gathered.take(unknown("given_w", "no heated room and no heater is recorded", at="rooms"))
    phases = design.supply.supply.phases_n
    if not phases.known:
        gathered.tell("the number of phases is not recorded: assumed is one, all of it on one service fuse")
    elif phases.value != 1:
        gathered.take(unknown("load_a", f"{phases} phases: what the fuse of each carries is not worked out here", at=phases.at))
    for thing in design.inst.equipment.values():
        at, two_way = f"equipment.{thing.name}", thing.kind == TWO_WAY
        if two_way or thing.kind != SOLAR and gives((at, thing.kind, thing.stamped_w)):
            gathered.tell(f"{at}, {kind(thing.kind).says}: what it gives is not taken off, and what it takes to charge "
                          f"{BY_FILE if two_way else ON_TOP}")


def _made(home: Home, weather: Hourly, case: Case, seed: int) -> Season:
    """Errors: Unlivable with every number that cannot be, and for an appliance that starts more often than it has time for."""
    try:
        season = Season(home, weather, case, seed, SETTLE_DAYS)
        planned(season)
    except ValueError as problem:
        raise Unlivable(str(problem)) from None
    return season


# ---- rooms -----------------------------------------------------------------------------------------------------------
def _any_room(design: Design) -> RoomDesign:
    """What is said of all rooms alike."""
    return RoomDesign(blank(RoomRecord, "rooms"), design)


def _of_heat(design: Design, of_home: list[Heater]) -> dict[str, tuple[RoomDesign, list[Heater]]]:
    """The rooms of which heat is asked or said, or in which a heater stands, each with its heaters."""
    found = {name: (room, [h for h in of_home if h.room == name]) for name, room in design.rooms.items()}
    return {name: (room, own) for name, (room, own) in found.items() if room.is_heated or own or is_said(room.room.heated_by)}


def _is_kept_warm(room: RoomDesign, own: list[Heater]) -> bool:
    """Whether a thermostat is lived for it: not where something else heats it, but for its own heaters if its loss is known."""
    return not room.is_heated_otherwise or bool(own) and room.loss_w_per_k.known


def _is_warmed(design: Design, of_home: list[Heater]) -> bool:
    """Whether electricity keeps any room warm, be it that nobody said what does."""
    return any(_is_kept_warm(*each) for each in _of_heat(design, of_home).values())


def _outside_c(design: Design, of_home: list[Heater]) -> Fact[float]:
    """Of the design day; any will do where no electricity keeps a room warm, and none is asked for then."""
    return _any_room(design).outside_c if _is_warmed(design, of_home) else settled("outside_c", 0.0, "it moves nothing here")


def _rooms(design: Design, of_home: list[Heater], supply_v: Fact[float], scenario: Scenario, warm: Hours, gathered: Gathered
           ) -> tuple[list[Room], int]:
    """Every room on a thermostat with what heats it, not one on storage heaters alone; and the heaters beside something else in
    rooms whose loss is not known (W), taken as always on."""
    out, always_w, other = list[Room](), 0, dict[Fact[str], list[str]]()
    for heater in of_home:
        if heater.room not in design.rooms:
            gathered.take(unknown("given_w", "the room it stands in is not recorded", at=heater.at))
    for name, (room, own) in _of_heat(design, of_home).items():
        direct = [h for h in own if h.kind != STORAGE]
        given = total("given_w", [h.given_w(supply_v) for h in direct], "all heaters of the room") if direct else \
            unknown("given_w", NOTHING, at=room.at)
        if room.is_heated_otherwise:
            other.setdefault(room.heated_by, []).append(name)
        if own and not direct:
            gathered.tell(f"{name}: storage heaters alone; nothing is on its thermostat")
        elif _is_kept_warm(room, own):
            out.append(_room(name, room, given, scenario, warm, gathered))
        elif own:
            always_w += round(gathered.take(given))
            gathered.tell(f"{name}: {given} of heaters, taken as on day and night: what the room loses is not known")
    for fact, names in other.items():
        gathered.keep(fact)
        gathered.tell(f"heated by {fact}, by the record, and {NONE_OF_IT}; heaters on record count all the same: "
                      f"{', '.join(names)}")
    return out, always_w


def _room(name: str, room: RoomDesign, given_w: Fact[float], scenario: Scenario, warm: Hours, gathered: Gathered) -> Room:
    """One room: its loss in two parts, two stores of heat as in a house of known stores, its thermostat."""
    loss, inside = gathered.take(room.loss_w_per_k), gathered.take(room.inside_c)
    direct = total("direct_w_per_k", [room.air_w_per_k, *(e.loss_w_per_k for e in room.elements.values() if e.element.cut_from)],
                   "the air, windows and doors")
    kj, m2, fabric_kj, outer, inner = (gathered.column("simple_buildings", "building", BUILDING, *each) for each in STORES)
    series, through = winter.series_w_per_k.worked(outer, inner), winter.through_w_per_k.worked(room.loss_w_per_k, direct)
    store = gathered.take(winter.air_store_wh_per_k.worked(kj, m2, room.floor_m2))
    back = winter.set_back_k.worked(room.inside_c, scenario.set_back_c if scenario.set_back_c.known
                                    else gathered.assumed_fact("set_back_c"))
    one = Room(name, loss, store, round(gathered.take(given_w)), inside, max(0.0, gathered.take(back)),
               gathered.assumed("dead_band_k"), gathered.assumed("gains_w"), round(gathered.assumed("least_on_min")), warm)
    if not (through.known and through.value > 0):
        return one
    return replace(one, direct_w_per_k=gathered.take(direct),
                   fabric_wh_per_k=gathered.take(winter.fabric_wh_per_k.worked(fabric_kj, series, through)),
                   to_fabric_w_per_k=gathered.take(winter.to_fabric_w_per_k.worked(inner, series, through)))


# ---- everything else -------------------------------------------------------------------------------------------------
def _rest(design: Design, of_home: list[Heater], supply_v: Fact[float], scenario: Scenario, gathered: Gathered
          ) -> tuple[Water | None, list[Use], list[Daily], int]:
    """Stored water, appliances, what starts once a day, and what never goes off."""
    own = {h.at for h in of_home}
    found: dict[str, list[Fact[float]]] = {}
    for at, what, amps in design.demand.entries:
        if at not in own:
            found.setdefault(what, []).append(winter.taken_w.worked(amps, supply_v))
    for unsaid in [*found.pop("", []), *design.demand.ways_unsaid]:
        gathered.take(unsaid)
    tank = water([w for what in STORED for w in found.pop(what, [])], scenario, gathered)
    daily = charged([w for what in CHARGING for w in found.pop(what, [])], scenario, gathered)
    daily += _storage(of_home, supply_v, scenario, gathered)
    uses = [*cooking(found.pop("cooker", []), gathered), *showers(found.pop("shower", []), gathered),
            *lamps([w for what in LAMPS for w in found.pop(what, [])], gathered), *other(found, gathered)]
    plugged, standby_w = appliances(gathered)
    return tank, [*uses, *plugged], daily, round(gathered.take(untold(gathered)) + standby_w)


def _storage(of_home: list[Heater], supply_v: Fact[float], scenario: Scenario, gathered: Gathered) -> list[Daily]:
    """Storage heaters: charged in full every night, for what they hold of the day before nobody knows."""
    stored = [h for h in of_home if h.kind == STORAGE]
    if not stored:
        return []
    when = hours(scenario.storage_hours, gathered)
    if not scenario.storage_hours:
        gathered.take(unknown("from_h", "the season's file does not say when storage heaters are charged", at="storage_hours"))
        return []
    gathered.tell("storage heaters take a full charge every night")
    watts = [round(gathered.take(load.element_w.worked(h.stamped_w, h.stamped_v, supply_v))) for h in stored]
    return [Daily(f"{h.name}, {n}", w, 1.0, ((float(begin), 1.0),), ((float(end - begin), 1.0),))
            for h, w in zip(stored, watts, strict=True) for n, (begin, end) in enumerate(when, 1)]
