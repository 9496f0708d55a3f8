"""Which thing hangs on which shelf: from the street up, in the order in which electricity reaches it.

A shelf is a row of boxes; between two shelves lies a channel for wires, number k below shelf k. A wire leaves its terminal
into the channel above or below and passes a shelf beside the boxes, so it can meet none. How many pass follows from the
shelves alone, so a shelf takes no more boxes than leave room for them.
"""
from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache

from spareway.drawings.boxes import Box
from spareway.drawings.cores import Core
from spareway.kinds import Kind

__all__ = ["CHANNEL_PITCH", "GAP", "MARGIN", "WIDTH", "channel", "owner", "passes", "reached", "shelved"]

WIDTH, MARGIN, GAP, CHANNEL_PITCH = 362.0, 8.0, 10.0, 20.0
FAR = 999.0
LANES, TOO_WIDE, OUT_OF_ORDER = 60.0, 60.0, 300.0       # what things cost, in units of height
PASSED, EARTH_PASSED = 60.0, 25.0                       # a shelf that a core passes


def channel(box: Box, terminal: str) -> int:
    """The channel into which a terminal opens."""
    return box.shelf + box.ends[terminal].up


@cache
def owner(terminal: str) -> str:
    """The name of the box of a terminal."""
    return terminal.partition(".")[0]


def passes(boxes: Mapping[str, Box], cores: Sequence[Core], placed: Mapping[str, int] | None = None) -> dict[int, int]:
    """How many cores pass each shelf, of those whose both ends are placed."""
    found: dict[int, int] = {}
    for core in cores:
        a, b = owner(core.a), owner(core.b)
        if not core.b or placed is not None and (a not in placed or b not in placed):
            continue
        ends = sorted((channel(boxes[a], core.a), channel(boxes[b], core.b)))
        for shelf in range(*ends):
            found[shelf] = found.get(shelf, 0) + 1
    return found


def reached(boxes: Mapping[str, Box], cores: Sequence[Core]) -> dict[str, float]:
    """How many things lie between the street and each thing, along line and neutral; by earth alone, half a step more."""
    near: dict[str, list[tuple[str, bool]]] = {name: [] for name in boxes}
    for core in cores:
        if core.b:
            a, b, earth = owner(core.a), owner(core.b), core.b.endswith(".E")
            near[a].append((b, earth))
            near[b].append((a, earth))
    far = {name: 0.0 for name in boxes if name.startswith("street ")} or dict.fromkeys(list(boxes)[:1], 0.0)
    for along_earth in (False, True):
        todo = list(far)
        for here in todo:
            for there, earth in near[here]:
                if there not in far and earth <= along_earth:
                    far[there] = far[here] + (1.5 if earth else 1.0)
                    todo.append(there)
    return {name: far.get(name, FAR) for name in boxes}


def shelved(boxes: Mapping[str, Box], cores: Sequence[Core], kinds: Mapping[str, Kind]) -> None:
    """Give every box its shelf. Ground holds the street and what stands in the earth."""
    far = reached(boxes, cores)
    ground = [n for n, box in boxes.items() if n not in kinds or kinds[n].family == "earth" and len(box.ends) == 1]
    first_board = min([far[n] for n in kinds if kinds[n].family == "board"], default=FAR)

    def turn(name: str) -> tuple[float, bool]:
        early = kinds[name].family == "earth"
        return (min(far[name], first_board - 0.5) if early else far[name]), kinds[name].family == "board"
    placed = dict.fromkeys(ground, 0)
    for name in sorted((n for n in boxes if n not in placed), key=turn):
        wanted = _wanted(boxes, cores, placed, name)
        boxes[name].shelf = placed[name] = wanted
    ranks = sorted({far[name] for name in placed if name not in ground and kinds[name].family != "earth"})
    ranked = {name: 0 if name in ground else 1 + ranks.index(far[name]) if far[name] in ranks else 1 for name in placed}
    settled = [_settled(boxes, cores, start, set(ground), far) for start in (placed, ranked)]
    for name, shelf in min(settled, key=lambda each: each[0])[1].items():
        boxes[name].shelf = shelf


def _settled(boxes: Mapping[str, Box], cores: Sequence[Core], placed: dict[str, int], ground: set[str],
             far: Mapping[str, float]) -> tuple[float, dict[str, int]]:
    """Move one box at a time to the shelf, or to a new one, where the whole costs least, until nothing gets better."""
    best = _cost(boxes, cores, placed, far)
    better = True
    while better:
        better = False
        for name in [n for n in placed if n not in ground]:
            tried: list[tuple[float, int, dict[str, int]]] = []
            for fresh in (False, True):
                for shelf in range(1, max(placed.values()) + 2):
                    moved = {n: s + (fresh and s >= shelf) for n, s in placed.items()} | {name: shelf}
                    tried.append((_cost(boxes, cores, moved, far), len(tried), moved))
            cost, _, moved = min(tried, key=lambda each: each[:2])
            if cost < best - 0.5:
                placed, best, better = _packed(moved), cost, True
    return best, _packed(placed)


def _packed(placed: Mapping[str, int]) -> dict[str, int]:
    """Without empty shelves."""
    used = {s: i for i, s in enumerate(sorted({0, *placed.values()}))}
    return {name: used[s] for name, s in placed.items()}


def _cost(boxes: Mapping[str, Box], cores: Sequence[Core], placed: Mapping[str, int], far: Mapping[str, float]) -> float:
    """How tall it would be, how many shelves cores pass, how much too wide, how far out of the order of the street."""
    for name, shelf in _packed(placed).items():
        boxes[name].shelf = shelf
    by, total = passes(boxes, cores), 0.0
    shelves = max((box.shelf for box in boxes.values()), default=0) + 1
    for shelf in range(shelves):
        here = [box for box in boxes.values() if box.shelf == shelf]
        total += max((box.height + box.head for box in here), default=0.0) + LANES
        total += TOO_WIDE * max(0.0, -room(here, by.get(shelf, 0)))
    for core in cores:
        if core.b:
            a, b = boxes[owner(core.a)], boxes[owner(core.b)]
            near, distant = (a, b) if far[a.name] <= far[b.name] else (b, a)
            earth = core.b.endswith(".E")
            total += (EARTH_PASSED if earth else PASSED) * abs(channel(a, core.a) - channel(b, core.b))
            if not earth and near.shelf > distant.shelf:
                total += OUT_OF_ORDER * (near.shelf - distant.shelf)
    return total


def _wanted(boxes: Mapping[str, Box], cores: Sequence[Core], placed: Mapping[str, int], name: str) -> int:
    """The shelf on which its first core to something that hangs already needs to pass no other."""
    for core in sorted(cores, key=lambda core: core.b.endswith(".E")):
        ends = (core.a, core.b) if owner(core.a) == name else (core.b, core.a)
        if core.b and owner(ends[0]) == name and owner(ends[1]) in placed and owner(ends[1]) != name:
            there = boxes[owner(ends[1])]
            nearest = 1 if core.b.endswith(".E") else there.shelf
            return max(1, nearest, channel(there, ends[1]) - boxes[name].ends[ends[0]].up)
    return 1


def room(here: Sequence[Box], passing: int) -> float:
    """What is left of the width of a shelf; below nought, what is wanting. A box that is alone may make a drawing wider."""
    left = WIDTH - 2 * MARGIN - GAP * (len(here) - 1) - CHANNEL_PITCH * passing
    for box in here:
        left -= box.width
    return left
