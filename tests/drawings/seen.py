"""What is to be seen in a drawing: boxes of words and discs, read back out of the SVG with all its shifts and turns."""
from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from xml.etree import ElementTree

from spareway.drawings.letters import width

SVG = "{http://www.w3.org/2000/svg}"
Rect = tuple[float, float, float, float]
ASCENT, DESCENT = 0.72, 0.21                      # capitals and figures, tails; of the letter size


@dataclass(frozen=True)
class Words:
    """A piece of text and the rectangle it covers."""
    says: str
    covers: Rect


def words(root: ElementTree.Element) -> Iterator[Words]:
    """Every text of a drawing."""
    for element, (x0, y0, turned) in walked(root):
        if element.tag == f"{SVG}text":
            size, says = float(element.attrib["font-size"]), element.text or ""
            wide = width(says, size, element.attrib["font-weight"] == "700")
            left = float(element.attrib["x"]) - {"start": 0.0, "middle": 0.5, "end": 1.0}[element.attrib["text-anchor"]] * wide
            y = float(element.attrib["y"])
            flat = (left, y - ASCENT * size, left + wide, y + DESCENT * size)
            # turned a quarter to the left: what ran to the right runs upwards
            yield Words(says, (x0 + flat[1], y0 - flat[2], x0 + flat[3], y0 - flat[0]) if turned else
                        (x0 + flat[0], y0 + flat[1], x0 + flat[2], y0 + flat[3]))


def discs(root: ElementTree.Element) -> set[tuple[float, float]]:
    """The middles of circles, which are terminals, junctions and ends."""
    return {(round(float(e.attrib["cx"]) + x, 1), round(float(e.attrib["cy"]) + y, 1))
            for e, (x, y, _) in walked(root) if e.tag == f"{SVG}circle"}


def walked(element: ElementTree.Element, at: tuple[float, float, bool] = (0.0, 0.0, False),
           ) -> Iterator[tuple[ElementTree.Element, tuple[float, float, bool]]]:
    """Every element with the shift that applies to it, and whether it is turned."""
    if move := element.attrib.get("transform"):
        shift = re.fullmatch(r"translate\((-?[\d.]+) (-?[\d.]+)\)( rotate\(-90\))?", move)
        assert shift, move
        assert not at[2], "shifted within what is turned"
        at = (at[0] + float(shift[1]), at[1] + float(shift[2]), bool(shift[3]))
    yield element, at
    for child in element:
        yield from walked(child, at)
