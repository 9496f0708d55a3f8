"""The heat of a home: what each room loses as a range, which heaters meet it at the voltage they get, their circuits.

Texts in, plain data out. What a wall is made of is assumed until somebody opens it: each figure says what it rests on.
"""
from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from spareway import __version__
from spareway.api import CAUTION, Files, Overlays, no_collector
from spareway.design.controls import controls
from spareway.design.design import Design
from spareway.design.heater_circuits import SWITCH, Floor, by_themselves, planned
from spareway.design.heaters import OLD_STAMP_V, Heater, Met, RoomHeaters, heaters, no_longer_met, voltage
from spareway.design.room import ElementDesign, RoomDesign, Span, blank, home_counted_w, span
from spareway.design.running import Running
from spareway.doc import Fault, InputError, nearest
from spareway.fact import Fact, glossary, total
from spareway.fact_data import figure, gap, ground
from spareway.job.job import read_job
from spareway.job.types import Room

__all__ = ["heat", "picture"]

RATING_A = 16.0
FIRST = "Draughts and loft first: no wall is touched for them, and every heater needs less (common practice, no source)."
CASES = ("declared voltage", "lower limit")
HEAT = ("An assumed wall is assumed: open one, or reckon with both ends of its range.",
        "Windows and doors are taken off their walls. Nothing is credited from warmer rooms or neighbours.",
        "A wall, window, door, floor or ceiling of which nobody said anything is not nought: its room loses at least what is "
        "told, and nothing is enough for it.")


def heat(files: Files, room: str = "", stage: str | None = None, overlays: Overlays = (), rating_a: float = RATING_A
         ) -> dict[str, Any]:
    """Every heated room of a stage, or one; the home; the heaters on circuits whose device is of this rating.

    Errors: InputError, also for a room that is not there or is not heated by the record."""
    with no_collector():
        job = read_job(files, overlays, stage)
        design = Design(job.at(stage))
        rooms, every = _heated(design), heaters(design)
        asked = [rooms[_known(room, rooms)]] if room else [*rooms.values()]
        with_heaters = [RoomHeaters(each, every) for each in rooms.values()]
        any_room = RoomDesign(blank(Room, "rooms"), design)           # what holds of all of them
        return {"spareway": __version__, "job": job.about.says, "stage": design.inst.stage,
                "outside_c": figure(any_room.outside_c), "bridging_w_per_m2k": figure(any_room.heating.bridging_w_per_m2k),
                "margin_share": figure(any_room.heating.margin_share),
                "rooms": [_room(each) for each in with_heaters if each.room in asked],
                "home": {**_ranged(home_counted_w([*rooms.values()])), "unsaid": [n for n, each in rooms.items() if each.unsaid]},
                "not_heated": [n for n in design.rooms if n not in rooms],
                "in_no_room": [h.at for h in every if h.room not in design.rooms],
                "no_longer_met": [{"supply_v": voltage(design, case).value, "stamped_v": OLD_STAMP_V,
                                   "rooms": [*no_longer_met(with_heaters, case)],
                                   "cannot_tell": [each.room.room.name for each in with_heaters if each.heaters and
                                                   None in (each.met(CASES[0]).ok, each.met(case, OLD_STAMP_V).ok)]}
                                  for case in CASES],
                "circuits": _circuits(design, every, rating_a), "controls": _controls(design),
                "running": _running(Running(design)), "caution": [*HEAT, *CAUTION]}


def picture(files: Files, stage: str | None = None, overlays: Overlays = (), wide: bool = False) -> str:
    """The rooms as bars with their range, and a stroke for what their heaters give, as SVG. Errors: InputError."""
    from spareway.drawings.rooms import Bar, rooms_drawn
    design = Design(read_job(files, overlays, stage).at(stage))
    every = heaters(design)
    bars = []
    for name, each in _heated(design).items():
        between, met = span(each.counted_w), RoomHeaters(each, every).met(CASES[0])
        bars.append(Bar(name, None if between is None else (between.least, between.is_, between.most), met.required_w.amount,
                        met.given_w.amount, "; ".join(lacks["says"] for lacks in _gaps(each.counted_w)), met.short_at_most_w,
                        each.unsaid))
    return rooms_drawn(bars, wide)


def _heated(design: Design) -> dict[str, RoomDesign]:
    return {name: room for name, room in design.rooms.items() if room.is_heated}


def _known(name: str, rooms: dict[str, RoomDesign]) -> str:
    if name not in rooms:
        raise InputError([Fault("command line", None, "rooms", name, f'there is no heated room "{name}"', ", ".join(rooms),
                                nearest(name, rooms))])
    return name


# ---- as plain data ---------------------------------------------------------------------------------------------------
def _gaps(fact: Fact[Any]) -> list[dict[str, str]]:
    return [gap(each) for each in fact.missing()]


def _ranged(fact: Fact[float]) -> dict[str, Any]:
    """A figure with its range: every fact of which a range is recorded at the end that lowers it, and at the other."""
    between = span(fact)
    return {**figure(fact), "least": between.least if between else None, "most": between.most if between else None,
            "range_of": [_range(f) for f in between.of] if between else []}


def _range(fact: Fact[Any]) -> dict[str, Any]:
    least, most = fact.span or (fact.amount, fact.amount)
    return {"says": glossary(fact.name).says, "at": fact.at, "is": fact.amount, "how": fact.how, "trust": fact.trust,
            "least": least, "most": most}


def _known_as(fact: Fact[Any]) -> dict[str, str]:
    """What a saving is reckoned with, and by whose word."""
    return {"says": glossary(fact.name).says, "at": fact.at, "is": str(fact), "how": fact.how}


def _room(of: RoomHeaters) -> dict[str, Any]:
    """A room. Where parts of its skin are unsaid, loss and output wanted are those of what is counted: the least of them."""
    room = of.room
    loss, wanted = room.counted_w, room.counted_required_w
    return {"name": room.room.name, "floor": room.room.floor, "inside_c": figure(room.inside_c), "unsaid": list(room.unsaid),
            "loss_w": _ranged(loss), "loss_w_per_m2": figure(room.loss_w_per_m2), "required_w": _ranged(wanted),
            "elements": [_element(each) for each in room.elements.values()],
            "bridging_w_per_k": figure(room.bridging_w_per_k),
            "air": {"changes_per_h": figure(room.air_changes_per_h), "volume_m3": figure(room.volume_m3),
                    "loss_w": figure(room.air_w)},
            "heaters": [_heater(each) for each in of.heaters],
            "met": [_met(of.met(case, stamp), stamp, loss) for stamp in (None, OLD_STAMP_V) for case in CASES],
            "sizes_w": list(of.sizes_w), "why_sizes": _why_sizes(of),
            "working": [step.line for step in wanted.working()],
            "sources": _sources(wanted),
            "rests_on": [ground(f) for f in wanted.doubtful()]}


def _why_sizes(of: RoomHeaters) -> str:
    """Why these sizes, or why none; nothing where what is missing stands with the output wanted."""
    if of.sizes_w:
        return of.chosen_w.line()
    if of.room.unsaid:
        return f"no size is told before these are answered: {', '.join(of.room.unsaid)}"
    return "no sizes that a firm fits give it" if of.room.required_w.known else ""


def _sources(of: Fact[float]) -> list[str]:
    """Where each formula and each row of a table it goes by stands, each once."""
    return list(dict.fromkeys(_source(f) for f in of.roots() if f.where and f.how in ("table", "worked")))


def _source(fact: Fact[Any]) -> str:
    """Where a formula or a row of a table stands; of a row that is not confirmed also how far it is trusted."""
    return f"{fact.where} ({fact.trust})" if fact.trust not in ("", "confirmed") else fact.where


def _element(of: ElementDesign) -> dict[str, Any]:
    return {"name": of.element.name, "of": of.element.of, "cut_from": of.element.cut_from, "area_m2": figure(of.area_m2),
            "openings": [each.element.name for each in of.openings if not each.is_nothing], "nothing": _nothing(of),
            "u_w_per_m2k": figure(of.u_w_per_m2k),
            "of_dt": None if of.is_towards_outside else of.element.of_dt.amount, "loss_w": figure(of.loss_w)}


def _nothing(of: ElementDesign) -> str:
    """Why nothing is lost there by the record; "" where something is, or may be."""
    if not of.is_nothing or of.loss_w_per_k.amount != 0:
        return ""
    return "none of the difference acts on it" if of.element.of_dt.amount == 0 else "there is none"


def _heater(of: Heater) -> dict[str, Any]:
    return {"name": of.name, "at": of.at, "kind": of.kind, "on": of.on, "stamped_w": of.stamped_w.amount,
            "stamped_v": of.stamped_v.amount}


def _met(of: Met, stamped_v: float | None, loss_w: Fact[float]) -> dict[str, Any]:
    """What the heaters give at a voltage. stamped_v: as if all were stamped for it; null for what is on record.

    How far above the loss that is, nobody knows where parts are unsaid."""
    known = of.given_w.known and loss_w.known and not of.unsaid
    above_w = of.given_w.value - loss_w.value if known else None
    return {"supply_v": of.supply_v.value, "stamped_v": stamped_v, "given_w": figure(of.given_w), "ok": of.ok,
            "short_w": of.short_w, "above_loss_w": above_w, "short_at_most_w": of.short_at_most_w}


def _controls(design: Design) -> dict[str, Any]:
    """What a fixed heater needs by law, as sets of controls of which each is enough."""
    wanted = controls(design.books)
    return {"of": wanted.kind, "wanted_percent": wanted.wanted, "where": wanted.where, "trust": wanted.trust,
            "sets": [list(each) for each in wanted.sets]}


# ---- a year ----------------------------------------------------------------------------------------------------------
def _running(year: Running) -> dict[str, Any]:
    """What a year of heating takes and costs between its ends, never as one number, and what each measure would save."""
    return {"heating_kwh": _between(year.heating_kwh, year.between_kwh), "cost_gbp": _between(year.running_gbp, year.between_gbp),
            "range_of": [_range(f) for f in year.between_gbp.of] if year.between_gbp else
            [_range(f) for f in year.between_kwh.of] if year.between_kwh else [],
            "price_p_per_kwh": figure(year.heating.price_p_per_kwh), "price_on": f"{year.heating.price_on or ''}",
            "degree_days_kd": figure(year.heating.degree_days_kd), "season_w_per_k": figure(year.season_w_per_k),
            "within_w_per_k": figure(year.within_w_per_k), "storage_heaters": list(year.storage),
            "first": FIRST,
            "measures": [{"says": each.says, "at": each.at, "could_be": _known_as(each.could_be),
                          "saved_kwh": _between(each.saved_kwh, each.between_kwh),
                          "saved_gbp": _between(each.saved_gbp, each.between_gbp)} for each in year.measures]}


def _between(fact: Fact[float], between: Span | None) -> dict[str, Any]:
    """The ends of a figure and what stands on record between them; all null where it is unknown, or has no ends."""
    return {"least": between and between.least, "as_recorded": between and between.is_, "most": between and between.most,
            "note": fact.note, "missing": _gaps(fact)}


# ---- circuits --------------------------------------------------------------------------------------------------------
def _circuits(design: Design, every: Sequence[Heater], rating_a: float) -> dict[str, Any]:
    floors, alone = planned(design, rating_a, every), by_themselves(every)
    known = bool(floors or alone) and all(not floor.why_not for floor in floors)
    return {"rating_a": rating_a, "supply_v": voltage(design, "upper limit").value, "switch": SWITCH,
            "needed_n": len([1 for floor in floors for _ in floor.circuits]) + len(alone) if known else None,
            "by_themselves": [each.name for each in alone], "floors": [_floor(floor) for floor in floors],
            "recorded": _recorded(design, every)}


def _floor(floor: Floor) -> dict[str, Any]:
    return {"name": floor.name, "why_not": floor.why_not, "alone": floor.alone,
            "circuits": [{"heaters": [each.name for each in c.loads], "current_a": c.current_a.amount} for c in floor.circuits]}


def _recorded(design: Design, every: Sequence[Heater]) -> list[dict[str, Any]]:
    """The circuits that heaters stand on by the record, with what these draw at the highest voltage."""
    highest, out = voltage(design, "upper limit"), []
    for name in dict.fromkeys(h.on for h in every if h.on in design.circuits):
        on = [h for h in every if h.on == name]
        floors = {design.inst.rooms[h.room].floor for h in on if h.room in design.inst.rooms}
        out.append({"name": name, "way": design.circuits[name].circuit.way, "floors": sorted(floors),
                    "heaters": [h.name for h in on],
                    "on_fused_units": [each for each, _, _ in design.heaters_on_spurs(design.circuits[name])],
                    "current_a": figure(total("heaters_a", [h.current_a(highest) for h in on], "all of them at once")),
                    "rating_a": figure(design.circuits[name].rating_a)})
    return out
