"""The room and route sheet: each room with what it loses as a range and its heaters, each heater circuit with its route.

For whoever fits the heaters, runs the cables and closes the walls; what was run is written on it by hand before it is covered.
"""
from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from spareway.design.circuit import CircuitDesign
from spareway.design.design import Design
from spareway.design.heaters import Heater, Met, RoomHeaters, heaters
from spareway.design.room import RoomDesign, blank, home_counted_w, span
from spareway.fact import Fact, glossary
from spareway.job.job import Job
from spareway.job.types import Box, Room
from spareway.papers.found import cable_of, device_of
from spareway.papers.report import STAGES, dated, edition
from spareway.papers.words import Piece, Pieces, asked, ground, how, in_order, joined, moment, piece, plain
from spareway.rules.base import Finding

__all__ = ["facts_for"]

Row = dict[str, Any]
CASES = ("declared voltage", "lower limit")
SAYS = ("Least, as recorded, most: each range of the record at the end that lowers the loss, and at the other. An assumed wall "
        "is assumed until somebody opens it.",
        "Windows and doors are taken off their walls; nothing is credited from warmer rooms or neighbours. A wall, window, door, "
        "floor or ceiling of which nobody said anything is not nought: its room loses at least what stands here, and nothing is "
        "enough for it. A heater gives by the square of the voltage: what it is stamped for is not what it gives.",
        "Cable covered by insulation later carries less: write on the sheet where it runs before it is closed, with a photo. "
        "Old cables are not in this record unless it says so: look before you drill, and prove dead at the point of work.")


def facts_for(job: Job, design: Design, _findings: Sequence[Finding], said: Mapping[str, Any],
              _rules: Mapping[str, Mapping[str, Any]]) -> dict[str, Any]:
    """Everything the sheet prints, as texts; arguments as of the survey report.

    Errors: InputError where the job states no day for this stage."""
    stage, every = design.inst.stage, heaters(design)
    day, rooms = dated(job, stage), {name: room for name, room in design.rooms.items() if room.is_heated}
    gaps = {name.replace("-", " "): _why(room.loss_w) for name, room in rooms.items() if not room.loss_w.known}
    unsaid = any(room.unsaid for room in rooms.values())
    circuits = [design.circuits[name] for name in dict.fromkeys(h.on for h in every) if name in design.circuits]
    circuits.sort(key=lambda c: (c.board, in_order(c.circuit.way.partition(".")[2])))
    home = asked("loss_w", lambda: home_counted_w([*rooms.values()]))
    return {"title": "Room and route sheet", "about": job.about.says or "A job without a name", "state": STAGES[stage],
            "day": day, "date": moment(day), "edition": edition(said), "home": _least(_range(home), home, unsaid),
            "basis": list(_basis(design)),
            "rooms": [_room(RoomHeaters(room, every), design) for room in rooms.values()],
            "missing": [f"{name}: {why}" for name, why in gaps.items()],
            "not_heated": joined(name.replace("-", " ") for name in design.rooms if name not in rooms),
            "in_no_room": joined(h.name.replace("-", " ") for h in every if h.room not in design.rooms),
            "circuits": [_circuit(circuit, [h for h in every if h.on == circuit.circuit.name]) for circuit in circuits],
            "on_none": joined(h.name.replace("-", " ") for h in every if h.on not in design.circuits),
            "no_drill": list(_no_drill(design)), "says": list(SAYS), "cautions": list(said["caution"])}


# ---- rooms ------------------------------------------------------------------------------------------------------------
def _room(of: RoomHeaters, design: Design) -> Row:
    """A room on one line: temperature, loss as a range, what its heaters are and give at both voltages, their circuits."""
    room, unsaid = of.room, bool(of.room.unsaid)
    loss, wanted = asked("loss_w", lambda: room.counted_w), asked("required_w", lambda: room.counted_required_w)
    ways = dict.fromkeys(design.circuits[h.on].circuit.way.replace(".", " ") for h in of.heaters if h.on in design.circuits)
    return {"name": room.room.name.replace("-", " "), "floor": room.room.floor or "floor not recorded",
            "inside": [piece(asked("design_c", lambda: room.inside_c))], "loss": _least(_range(loss), loss, unsaid),
            "wanted": _least([_watts(wanted)], wanted, unsaid),
            "heaters": [_stamp(h) for h in of.heaters] or [plain("none is recorded")],
            "gives": [_gives(of.met(case), loss) for case in CASES], "ways": joined(ways) or "no circuit",
            "counted": ", ".join([*(n.replace("-", " ") for n, each in room.elements.items() if not each.is_nothing), "air"]),
            "unsaid": ", ".join(room.unsaid)}


def _basis(design: Design) -> Iterator[Row]:
    """What holds of all rooms: outside temperature, bridges, margin, each with how it is known."""
    of = RoomDesign(blank(Room, "rooms"), design)
    for says, fact in (("Outside, on the design day", asked("outside_c", lambda: of.outside_c)),
                       ("Added for heat bridges", of.heating.bridging_w_per_m2k),
                       ("Margin, as a share of the loss", of.heating.margin_share)):
        yield {"q": says, "a": [piece(fact)], "how": how(fact)}


def _stamp(of: Heater) -> Pieces:
    volts = [{"t": " at "}, piece(of.stamped_v)] if of.stamped_v.known else plain(", voltage of its stamp not known")
    watts = [_watts(of.stamped_w)] if of.stamped_w.known else plain("power not known")
    return [{"t": f"{of.kind.replace('-', ' ')} "}, *watts, *volts]


def _watts(fact: Fact[float]) -> Piece:
    """Whole watts on their ground."""
    return {"t": f"{fact.value:.0f} W", "g": ground(fact)} if fact.known else piece(fact)


def _range(fact: Fact[float]) -> Pieces:
    """`1925 – 2153 – 2414 W`; one figure where nothing of it is ranged."""
    between = span(fact)
    if between is None:
        return [piece(fact)]
    ends = [f"{each:.0f}" for each in (between.least, between.is_, between.most)]
    return [{"t": f"{' – '.join(ends) if between.of else ends[1]} W", "g": ground(fact)}]


def _least(pieces: Pieces, fact: Fact[Any], unsaid: bool) -> Pieces:
    """So much at least, where parts are unsaid; what is not known needs no such word."""
    return [{"t": "at least "}, *pieces] if unsaid and fact.known else pieces


def _gives(of: Met, loss_w: Fact[float]) -> Pieces:
    """What they give at a voltage, by how much that is short of what is wanted, and how far from the loss without the margin."""
    given = [piece(of.supply_v), {"t": ": "}, _watts(of.given_w)]
    if not of.given_w.known:
        return given
    if of.short_w is None:
        return [*given, {"t": "; whether that is enough is not known" if of.required_w.known else "; wanted is not known"}]
    if of.short_w > 0 and of.unsaid:
        return [*given, {"t": ", "}, _apart(of.short_w, of), {"t": " short of what is wanted at least"}]
    if of.short_w > 0:
        above = of.given_w.value - loss_w.value
        return [*given, {"t": ", "}, _apart(of.short_w, of), {"t": " short of what is wanted, "}, _apart(abs(above), of),
                {"t": " above the loss" if above >= 0 else " below the loss"}]
    worst = of.short_at_most_w or 0.0
    short = [{"t": ", but "}, _apart(worst, of), {"t": " short at the most it may lose"}] if worst > 0 else []
    return [*given, {"t": ", enough"}, *short]


def _apart(watts: float, of: Met) -> Piece:
    """What lies between given and wanted stands as firmly as the weaker of the two."""
    return {"t": f"{watts:.0f} W", "g": "loose" if "loose" in (ground(of.given_w), ground(of.required_w)) else "derived"}


def _why(fact: Fact[Any]) -> str:
    gaps = [f"{glossary(gap.name).says}{f', {gap.at}' if gap.at else ''}: {gap.note or 'not recorded'}" for gap in fact.missing()]
    return "; ".join(dict.fromkeys(gaps[:3])) + (f"; and {len(gaps) - 3} more" if len(gaps) > 3 else "")


# ---- routes -----------------------------------------------------------------------------------------------------------
def _circuit(of: CircuitDesign, on: Sequence[Heater]) -> Row:
    """A heater circuit: way, device, cable; its route in words; which rooms it serves; a place for what was run."""
    rooms = dict.fromkeys(h.room.replace("-", " ") or "room not recorded" for h in on)
    says = of.circuit.says or of.circuit.name.replace("-", " ")
    return {"way": of.circuit.way.replace(".", " "), "says": says, "device": device_of(of), "cable": cable_of(of),
            "length": [piece(asked("length_m", lambda: of.length_m))], "route": list(_route(of)), "rooms": joined(rooms)}


def _route(of: CircuitDesign) -> Iterator[str]:
    """Each stretch as it lies; a route that nobody described is said to be so."""
    if not of.cable.kind:
        yield "its cable is not recorded"
        return
    if of.cable.stretches:
        yield from (stretch.in_words for stretch in of.route.stretches)
    elif of.cable.method.known:
        yield f"method {of.cable.method}, all of it; where it runs is not recorded"
    else:
        yield "where and how it runs is not recorded"


def _no_drill(design: Design) -> Iterator[str]:
    """Strips of the recorded spaces in which nothing may be drilled."""
    for name, space in design.inst.spaces.items():
        for strip, box in space.no_x_drill.items():
            yield f"{name.replace('-', ' ')}: {strip.replace('-', ' ')}, {_where(box)}"


def _where(box: Box) -> str:
    ends = (box.x_from_mm, box.x_to_mm, "from the left"), (box.y_from_mm, box.y_to_mm, "from the bottom")
    sides = [f"{low} to {high} {words}" for low, high, words in ends if low.known or high.known]
    return "; ".join(sides) or "its place is not recorded"
