"""Which part of a room's skin an element is: by what is said of it and of its construction, not by what somebody called it.

A name counts last, and only where it is the plain word for a part: `wall`, `roof`. Of a gable, a slab or a hatch somebody says
which part it is, once for the construction that it is of, or of itself. What is given by its length is a wall.
"""
from __future__ import annotations

from spareway.job.types import SKIN

__all__ = ["ABOVE", "BELOW", "DOOR", "GLASS", "WALL", "part_of"]

WALL, GLASS, DOOR, ABOVE, BELOW = SKIN
CUT = (GLASS, DOOR)                                 # what is cut from a wall or a roof
PLAIN = {"wall": WALL, "window": GLASS, "glass": GLASS, "door": DOOR, "roof": ABOVE, "ceiling": ABOVE, "above": ABOVE,
         "floor": BELOW, "below": BELOW}


def part_of(name: str, said: str, of_construction: str, is_opening: bool, by_length: bool) -> str:
    """One of SKIN, or "" where nobody said it. said: of the element itself; of_construction: of what it is made of.

    An opening is glass or a door, whatever the construction says: one of 0 m² may be of what its wall is."""
    for part in (said, of_construction, PLAIN.get(name, "")):
        if part in CUT or part and not is_opening:
            return part
    return WALL if by_length and not is_opening else ""
