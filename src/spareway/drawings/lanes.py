"""The order of wires in a channel: of two wires that meet, the lower one is chosen so that they cross least.

In a channel each wire has one level part, its lane, and leads that leave it upwards and downwards. What two wires cost
depends only on which of them lies lower, so a whole channel is put in order from a table of pairs.
"""
from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

__all__ = ["TOUCHING", "Part", "in_lanes"]

CROSSING, TOUCHING = 1, 40
CLEAR, APART = 10.0, 14.0                     # least distance of two upright leads; of two level parts that share a lane


@dataclass(frozen=True, slots=True)
class Part:
    """A wire in one channel. `leads`: (x, whether upwards) of its ends; `level` from x to x, None where it goes straight up."""
    core: int
    leads: tuple[tuple[float, bool], ...]
    level: tuple[float, float] | None


def below(low: Part, high: Part) -> int:
    """What it costs that one level part lies below the other."""
    assert low.level
    assert high.level
    cost = 0
    for x, up in low.leads:
        if up:
            cost += CROSSING * (high.level[0] <= x <= high.level[1])
            cost += TOUCHING * any(not other and abs(x - at) < CLEAR for at, other in high.leads)
    for x, up in high.leads:
        if not up:
            cost += CROSSING * (low.level[0] <= x <= low.level[1])
    return cost


def fixed(parts: Sequence[Part]) -> int:
    """What costs the same in every order: crossings with wires that go straight up, uprights that touch."""
    cost = 0
    for one in parts:
        if one.level is None:
            x = one.leads[0][0]
            for other in parts:
                if other is not one:
                    cost += CROSSING * (other.level is not None and other.level[0] <= x <= other.level[1])
                    cost += TOUCHING * any(abs(x - at) < CLEAR for at, _ in other.leads)
    return cost


def in_lanes(parts: Sequence[Part]) -> tuple[dict[int, int], int, int]:
    """(lane of each core from the lowest, how many lanes there are, what the order costs)."""
    level = [p for p in parts if p.level]
    order = sorted(range(len(level)), key=lambda i: (level[i].leads[0][1], level[i].leads[0][0], level[i].core))
    cost = [[below(a, b) if a is not b else 0 for b in level] for a in level]
    order = best_order(order, cost)
    lanes, total = dict[int, int](), fixed(parts)
    for place, i in enumerate(order):
        lane = 0
        for j in order[:place]:
            total += cost[j][i]
            if _meet(level[i], level[j]):
                lane = max(lane, lanes[level[j].core] + 1)
        lanes[level[i].core] = lane
    return lanes, max(lanes.values(), default=-1) + 1, total


def _meet(a: Part, b: Part) -> bool:
    assert a.level
    assert b.level
    return a.level[0] < b.level[1] + APART and b.level[0] < a.level[1] + APART


def best_order(order: list[int], cost: Sequence[Sequence[int]]) -> list[int]:
    """Each is taken out and put where it costs least, until nothing gets better."""
    better = True
    while better:
        better = False
        for i in list(order):
            here = order.index(i)
            rest = order[:here] + order[here + 1:]
            change, best, at = 0, 0, -1
            costs = [0]
            for j in rest:                       # moved up past j: j now lies below
                change += cost[j][i] - cost[i][j]
                costs.append(change)
            best = min(costs)
            if best < costs[here]:
                at = costs.index(best)
                order = [*rest[:at], i, *rest[at:]]
                better = True
    return order
