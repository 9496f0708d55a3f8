"""The words for what a terminal may carry, by the record, and the marks of sources from which they follow."""
from __future__ import annotations

LINE = "line"
NEUTRAL = "neutral"
EARTH = "earth"
THROUGH_A_LOAD = "line through a load"
NOT_KNOWN = "not known"
NO_PATH = "no path in the record"

WORDS = (LINE, NEUTRAL, EARTH, THROUGH_A_LOAD, NOT_KNOWN, NO_PATH)

# One bit for each letter that a source may hold; a piece of metal carries the bits of every source that it touches.
L, UNTRACED, N, E = 1, 2, 4, 8
MARKS = {"L": L, "L1": L, "L2": L, "L3": L, "?": UNTRACED, "N": N, "E": E}
FEEDS = L | UNTRACED          # what can push current through a load
HOLDS = N | E                 # what fixes the potential of whatever it is solidly joined to


def by_metal(marks: int) -> str:
    """The word for metal that touches sources with these marks: the worst of them."""
    if marks & L:
        return LINE
    if marks & UNTRACED:
        return NOT_KNOWN
    if marks & N:
        return NEUTRAL
    return EARTH if marks & E else NO_PATH


BY_METAL = tuple(by_metal(marks) for marks in range(16))
