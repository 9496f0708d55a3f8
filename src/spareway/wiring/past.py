"""What a device cannot keep from a terminal: where metal leads past it. It protects only what it parts from every source.

A device stands between the supply and a terminal when, with its own links taken away, no source reaches the terminal by
metal. A way that happens to be the shortest proves nothing: a board fed twice, a tail landed round a device, a core on
another way all leave the terminal joined.
"""
from __future__ import annotations

from collections.abc import Collection, Iterable

from spareway.kinds.joints import Link
from spareway.wiring.sections import METAL


class Past:
    """Links of metal asked again and again, each time without some of them.

    links: of a network; those that are not metal are passed over
    """

    def __init__(self, links: Iterable[Link]) -> None:
        self._beside: dict[str, list[tuple[str, Link]]] = {}
        for link in links:
            if link.joint == METAL:
                self._beside.setdefault(link.a, []).append((link.b, link))
                self._beside.setdefault(link.b, []).append((link.a, link))
        self._kept: dict[tuple[frozenset[str], str, str], frozenset[str]] = {}

    def reached(self, starts: Collection[str], control: str, lifted: str = "") -> frozenset[str]:
        """Every terminal that metal joins to one of these with this control open and nothing else.

        lifted: a circuit whose cores are taken off besides, at the board and at each of its points. Kept.
        """
        key = (frozenset(starts), control, lifted)
        if key not in self._kept:
            self._kept[key] = self._walk(starts, control, f"{lifted}." if lifted else "")
        return self._kept[key]

    def _walk(self, starts: Collection[str], control: str, lifted: str) -> frozenset[str]:
        reached = set(starts)
        todo = list(reached)
        for here in todo:
            for there, link in self._beside.get(here, ()):
                gone = control and link.control == control or lifted and link.lift.startswith(lifted)
                if not gone and there not in reached:
                    reached.add(there)
                    todo.append(there)
        return frozenset(reached)
