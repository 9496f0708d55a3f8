"""The plan of an intake: every box in its place, every core with the gaps it passes through.

The plan depends on the record alone and not on what is open: one plan serves every state of the switches.
"""
from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import permutations

from spareway.drawings.board import board_box
from spareway.drawings.boxes import Box, street, thing_box
from spareway.drawings.cores import STREET, Core, cores, drawn_things
from spareway.drawings.labels import Places
from spareway.drawings.routing import Routes, routed
from spareway.drawings.shelves import CHANNEL_PITCH, GAP, MARGIN, WIDTH, channel, owner, passes, reached, shelved
from spareway.job.job import Installation
from spareway.job.refs import is_board, terminals_at
from spareway.kinds import kind
from spareway.wiring.network import Network

__all__ = ["Plan", "plan"]

MOST_ORDERED = 4                              # boxes of a shelf up to which every order is tried


@dataclass(frozen=True, slots=True)
class Plan:
    """All that does not depend on the state: boxes, cores, where each core runs, the size of it all."""
    boxes: Mapping[str, Box]
    cores: tuple[Core, ...]
    routes: Routes
    width: float
    height: float
    places: dict[frozenset[tuple[str, str]], Places] = field(default_factory=dict, compare=False, repr=False)  # by what is lifted


def plan(inst: Installation, network: Network) -> Plan:
    """Where everything goes."""
    found = [*_services(inst), *cores(inst, network)]
    landed = {t for core in found for t in (core.a, core.b)}
    kinds = {name: kind(inst.equipment[name].kind) for name in drawn_things(inst)}
    boxes = _boxes(inst, network, found, landed)
    shelved(boxes, found, kinds)
    _boards_to_size(inst, network, landed, boxes, found)
    wide = max(WIDTH, *(_needed(boxes, found, shelf) for shelf in _shelves(boxes)))
    _in_order(boxes, found, wide)
    routes = routed(boxes, found, wide)
    return Plan(boxes, tuple(found), routes, wide, routes.height)


def _services(inst: Installation) -> list[Core]:
    """The conductors on which supplies come in."""
    out = []
    for name, supply in inst.supplies.items():
        for t in terminals_at(inst, supply.joins) or ():
            conductor = t.rpartition(".")[2]
            if conductor != "E":
                out.append(Core(f"{STREET} {name}.{conductor}", f"{STREET} {name}", f"{STREET} {name}.{conductor}", t, at=t))
    return out


def _boxes(inst: Installation, network: Network, found: Sequence[Core], landed: set[str]) -> dict[str, Box]:
    boxes = {}
    for run in dict.fromkeys(core.run for core in found if core.run.startswith(f"{STREET} ")):
        boxes[run] = street(run, [core.a for core in found if core.run == run])
    for name in drawn_things(inst):
        thing = inst.equipment[name]
        boxes[name] = board_box(inst, name, network.record.at, landed) if is_board(thing) else thing_box(name, thing)
    return boxes


def _boards_to_size(inst: Installation, network: Network, landed: set[str], boxes: dict[str, Box], found: Sequence[Core]) -> None:
    """Boards once more, in the room that their shelf has left."""
    by = passes(boxes, found)
    for name in list(boxes):
        if name in inst.equipment and is_board(inst.equipment[name]):
            shelf, left = boxes[name].shelf, WIDTH - 2 * MARGIN - CHANNEL_PITCH * by.get(boxes[name].shelf, 0)
            for other, box in boxes.items():
                left -= box.width + GAP if box.shelf == shelf and other != name else 0
            boxes[name] = board_box(inst, name, network.record.at, landed, left)
            boxes[name].shelf = shelf


def _shelves(boxes: Mapping[str, Box]) -> range:
    return range(max((box.shelf for box in boxes.values()), default=0) + 1)


def _needed(boxes: Mapping[str, Box], found: Sequence[Core], shelf: int) -> float:
    here = [box for box in boxes.values() if box.shelf == shelf]
    needed = 2 * MARGIN + GAP * max(0, len(here) - 1) + CHANNEL_PITCH * passes(boxes, found).get(shelf, 0)
    for box in here:
        needed += box.width
    return needed


def _in_order(boxes: Mapping[str, Box], found: Sequence[Core], wide: float) -> None:
    """Boxes of a shelf from left to right: what electricity reaches first to the left, else where wires are shortest."""
    far = reached(boxes, found)
    for shelf in _shelves(boxes):
        _spread([b for b in sorted(boxes.values(), key=lambda b: far[b.name]) if b.shelf == shelf], wide)
    for _ in range(2):
        for shelf in _shelves(boxes):
            here = sorted((b for b in boxes.values() if b.shelf == shelf), key=lambda b: b.x)
            if 1 < len(here) <= MOST_ORDERED:
                best = min(permutations(here), key=lambda order: (_stretch(order, boxes, found, wide), [b.name for b in order]))
                _spread(best, wide)


def _spread(here: Sequence[Box], wide: float) -> None:
    """Boxes from the left margin to the right one, with what is left over between them."""
    left = wide - 2 * MARGIN
    for box in here:
        left -= box.width
    between, x = left / (len(here) - 1) if len(here) > 1 else 0, MARGIN
    for box in here:
        box.x = x
        x += box.width + between


def _stretch(order: Sequence[Box], boxes: Mapping[str, Box], found: Sequence[Core], wide: float) -> float:
    """How far the cores of these boxes reach sideways; those of one channel count twice, line and neutral more."""
    _spread(order, wide)
    names, total = {box.name for box in order}, 0.0
    for core in found:
        if core.b and (owner(core.a) in names or owner(core.b) in names):
            a, b = boxes[owner(core.a)], boxes[owner(core.b)]
            near = channel(a, core.a) == channel(b, core.b)
            weight = (2 if near else 1) * (1 if core.b.endswith(".E") else 2)
            total += weight * abs(a.at(core.a)[0] - b.at(core.b)[0])
    return total
