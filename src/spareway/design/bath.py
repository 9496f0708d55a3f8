"""Rooms with a bath or shower: which circuits serve them, which socket outlets stand in them."""
from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from spareway.fact import Fact
from spareway.job.types import Equipment, Point

if TYPE_CHECKING:
    from spareway.design.circuit import CircuitDesign
    from spareway.design.design import Design


def rooms_served(circuit: CircuitDesign, design: Design) -> tuple[str, ...]:
    """The rooms in which something of this circuit stands, by the record."""
    named = [p.room for p in circuit.circuit.points.values()]
    named += [e.room for e in design.inst.equipment.values() if e.on == circuit.circuit.name]
    return tuple(dict.fromkeys(room for room in named if room))


def bath_in(room: str, design: Design) -> Fact[bool] | None:
    """Whether a bath or shower is in a room; None for a room that the record only names."""
    return design.inst.rooms[room].bath if room in design.inst.rooms else None


def everything_placed(circuit: CircuitDesign, design: Design) -> bool:
    """Whether every point of a circuit, and every thing on it, names the room it stands in."""
    things: list[Point | Equipment] = [*circuit.circuit.points.values()]
    things += [e for e in design.inst.equipment.values() if e.on == circuit.circuit.name]
    return bool(things) and all(each.room for each in things)


def sockets_unplaced(design: Design) -> list[str]:
    """The circuits of which some socket outlet may stand in any room, by the record: of sockets, or of nobody knows what."""
    found = []
    for name, circuit in design.circuits.items():
        placed: list[Point | Equipment] = [p for p in circuit.circuit.points.values()
                                           if (p.feeds or circuit.circuit.feeds) == "sockets"]
        placed += [e for e in circuit.stands_at_end if e.kind == "sockets"]
        loose = circuit.feeds_sockets and not (placed and all(each.room for each in placed))
        if loose or circuit.use_unsaid and not circuit.is_surge:
            found.append(name)
    return found


def sockets_in(room: str, design: Design) -> Iterator[tuple[str, Fact[float]]]:
    """The socket outlets recorded in a room, each with how far from the edge of zone 1 it is."""
    for name, circuit in design.circuits.items():
        for point in circuit.circuit.points.values():
            if point.room == room and (point.feeds or circuit.circuit.feeds) == "sockets":
                yield f"circuits.{name}.points.{point.name}", point.from_zone_1_m
    for name, thing in design.inst.equipment.items():
        if thing.room == room and thing.kind == "sockets":
            yield f"equipment.{name}", thing.from_zone_1_m
