"""Heaters into circuits: the fewest, each within its device at the highest voltage, each on one floor, no floor on one alone.

Each floor is searched by itself, since no circuit leaves it, and to the end: every way of sharing its heaters out is weighed,
by sums over subsets. Of the fewest circuits those are taken that split the fewest rooms, and of those the most evenly loaded.
A storage heater shares with nothing: each has a circuit of its own, fed in the night.
"""
from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from spareway.design.heaters import Heater, heaters, voltage
from spareway.fact import Fact, total

if TYPE_CHECKING:
    from spareway.design.design import Design

MOST_N = 15                                         # heaters of a floor that are searched to the end: about a second
UA_PER_A = 1_000_000                                # shared out in whole microamperes, so that equals are equal
SWITCH = ("each heater by a 20 A two-pole switch beside it, out of the zones of a bath or shower; none by a 13 A fused unit, "
          "which runs hot for hours")                # BS 7671, 701.512.3: of accessories in the zones
Cost = tuple[int, int, int]                         # circuits, rooms counted once a circuit, squares of the loads


@dataclass(frozen=True, slots=True)
class Load:
    """A heater as it loads a circuit: at the highest voltage the network may supply."""
    name: str
    room: str
    current_a: Fact[float]


@dataclass(frozen=True, slots=True)
class Shared:
    """A circuit of the plan: its heaters and what they draw together."""
    loads: tuple[Load, ...]
    current_a: Fact[float]


@dataclass(frozen=True, slots=True)
class Floor:
    """A floor shared out. why_not: why it could not be; alone: it has one heater, so that one fault leaves it cold."""
    name: str
    circuits: tuple[Shared, ...]
    why_not: str = ""
    alone: bool = False


def shared_out(loads: Sequence[Load], rating_a: float) -> tuple[tuple[Load, ...], ...]:
    """The heaters of one floor on the fewest circuits of this rating. Two or more are never all on one.

    Errors: ValueError for a heater that no circuit of the rating carries, or for more than the search takes to its end."""
    currents = [round(each.current_a.value * UA_PER_A) for each in loads]
    limit = round(rating_a * UA_PER_A)
    heavy = [each.name for each, ua in zip(loads, currents, strict=True) if ua > limit]
    if heavy:
        raise ValueError(f"{', '.join(heavy)}: more than {rating_a:g} A by itself at the highest voltage")
    if len(loads) > MOST_N:
        raise ValueError(f"{len(loads)} heaters on one floor: more than the {MOST_N} that are searched to the end")
    return tuple(tuple(each for i, each in enumerate(loads) if block >> i & 1)
                 for block in _blocks([each.room for each in loads], currents, limit))


def _blocks(rooms: Sequence[str], currents_ua: Sequence[int], limit_ua: int) -> list[int]:
    """The best partition, as bit masks. Each subset is shared out by the block that holds its first heater, the rest as known."""
    n = len(rooms)
    full = (1 << n) - 1
    place = [1 << sorted({*rooms}).index(room) for room in rooms]
    sums, seen = [0] * (full + 1), [0] * (full + 1)
    for mask in range(1, full + 1):
        low = mask & -mask
        i = low.bit_length() - 1
        sums[mask], seen[mask] = sums[mask ^ low] + currents_ua[i], seen[mask ^ low] | place[i]
    costs: list[Cost] = [(0, 0, 0)] * (full + 1)
    taken = [0] * (full + 1)
    for mask in range(1, full + 1):
        low = mask & -mask
        rest = part = mask ^ low
        best: tuple[Cost, int] | None = None
        while True:
            block = part | low
            if sums[block] <= limit_ua and not (block == full and n > 1):
                before = costs[mask ^ block]
                cost = before[0] + 1, before[1] + seen[block].bit_count(), before[2] + sums[block] ** 2
                if best is None or cost < best[0]:
                    best = cost, block
            if not part:
                break
            part = (part - 1) & rest
        assert best is not None                     # the first heater by itself is always within the limit
        costs[mask], taken[mask] = best
    out = []
    while full:
        out.append(taken[full])
        full ^= taken[full]
    return out


# ---- of a home -------------------------------------------------------------------------------------------------------
def by_themselves(of: Sequence[Heater]) -> list[Heater]:
    """Those that share with nothing."""
    return [each for each in of if each.kind == "storage-heater"]


def loads_of(design: Design, of: Sequence[Heater]) -> dict[str, list[Load]]:
    """The heaters that may share, by the floor of their room; "" where no floor is said of it."""
    highest, rooms = voltage(design, "upper limit"), design.inst.rooms
    out: dict[str, list[Load]] = {}
    for each in (h for h in of if h not in by_themselves(of)):
        floor = rooms[each.room].floor if each.room in rooms else ""
        out.setdefault(floor, []).append(Load(each.name, each.room, each.current_a(highest)))
    return out


def planned(design: Design, rating_a: float, of: Sequence[Heater] | None = None) -> tuple[Floor, ...]:
    """All heaters of the record on the fewest circuits of this rating, floor by floor. A floor with a gap is not shared out, nor
    are heaters whose floor nobody said, since they may stand on one or on several; one heater that is all there is, is."""
    floors = loads_of(design, heaters(design) if of is None else of)
    loose = floors.get("", []) if len(floors) > 1 or len(floors.get("", [])) > 1 else []
    return tuple(Floor("", (), f"which floor {_listed(loads)} on is not recorded") if loose and not name else
                 _floor(name, loads, rating_a) for name, loads in floors.items())


def _listed(loads: Sequence[Load]) -> str:
    """`a, b and c stand`."""
    *names, last = (each.name for each in loads)
    return f"{', '.join(names)} and {last} stand" if names else f"{last} stands"


def _floor(name: str, loads: Sequence[Load], rating_a: float) -> Floor:
    gaps = [each.name for each in loads if not each.current_a.known]
    if gaps:
        return Floor(name, (), f"what {', '.join(gaps)} draws is not known")
    try:
        groups = shared_out(loads, rating_a)
    except ValueError as problem:
        return Floor(name, (), str(problem))
    circuits = [Shared(g, total("heaters_a", [each.current_a for each in g], "all of them at once")) for g in groups]
    return Floor(name, tuple(circuits), alone=len(loads) == 1)


# ---- as recorded -----------------------------------------------------------------------------------------------------
def several_floors(circuit: str, design: Design) -> tuple[list[Heater], dict[str, list[str]]]:
    """The heaters on a circuit of the record, and their names by floor; "" where no floor is said of their room."""
    on = [h for h in heaters(design) if h.on == circuit]
    floors: dict[str, list[str]] = {}
    for each in on:
        floors.setdefault(_floor_of(each, design), []).append(each.name)
    return on, floors


def on_one_circuit(design: Design) -> tuple[list[str], list[str], list[str]]:
    """Floors with two heaters or more, in words: all on one circuit; perhaps so; shared between circuits."""
    floors: dict[str, list[Heater]] = {}
    for each in heaters(design):
        floors.setdefault(_floor_of(each, design), []).append(each)
    bad, unsure, good = [], [], []
    loose = [h.name for h in floors.pop("", [])]
    for name, on in floors.items():
        circuits = {h.on for h in on if h.on}
        if len(on) < 2:
            continue
        if len(circuits) > 1:
            good.append(name)
        elif len(circuits) == 1 and all(h.on for h in on) and not loose:
            bad.append(f"{name}, on {circuits.pop()}")
        else:
            unsure.append(f"on which circuits the heaters of {name} stand" if not all(h.on for h in on) else
                          f"whether {', '.join(loose)} stands on {name}")
    return bad, unsure, good


def _floor_of(heater: Heater, design: Design) -> str:
    return design.inst.rooms[heater.room].floor if heater.room in design.inst.rooms else ""
