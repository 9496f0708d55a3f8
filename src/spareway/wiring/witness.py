"""A way by which a part is live: the controls along it are the only ones whose opening could help."""
from __future__ import annotations

from collections.abc import Collection

from spareway.wiring.potentials import FEEDS, HOLDS
from spareway.wiring.sections import Sections


def witness(sections: Sections, parts: Collection[int], opened: int, free: int, marks: int) -> int:
    """The controls of `free` along a way that has few of them, from a source to one of these sections.

    marks: what must not reach a part by metal. Metal ways come first; where there is none the way leads through loads,
    entering only pieces that nothing holds. Every larger set of open controls that opens none of these leaves the way
    as it is. Raises AssertionError where no part is live: that is asked before.
    """
    piece = sections.pieces(opened)
    held = sections.marks(piece)
    by_metal = any(held[piece[part]] & marks for part in parts)
    beside: list[list[tuple[int, int]]] = [[] for _ in piece]
    for a, b, mask in sections.switches:
        if not mask & opened:
            beside[a].append((b, mask & free))
            beside[b].append((a, mask & free))
    for a, b, mask in () if by_metal else sections.loads:
        if not mask & opened:
            for here, there in ((a, b), (b, a)):
                if not held[piece[there]] & HOLDS:
                    beside[here].append((there, mask & free))
    starts = marks if by_metal else FEEDS
    return fewest_on_the_way(beside, [s for s, own in enumerate(sections.held) if own & starts], parts)


def fewest_on_the_way(beside: list[list[tuple[int, int]]], starts: Collection[int], parts: Collection[int]) -> int:
    """The mask of a way to one of the parts, nearest first by the number of controls met."""
    seen: set[int] = set()
    layer = [(start, 0) for start in starts]
    while layer:
        farther: list[tuple[int, int]] = []
        for here, way in layer:               # grows while it is walked: what meets no new control is no farther
            if here in seen:
                continue
            if here in parts:
                return way
            seen.add(here)
            for there, mask in beside[here]:
                if mask & ~way:
                    farther.append((there, way | mask))
                else:
                    layer.append((there, way))
        layer = farther
    raise AssertionError("a part is live, and no way leads to it")
