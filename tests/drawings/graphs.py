"""What is to be read off a graph again: where its axes say that a place is, what is marked on it and with which words."""
from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from itertools import combinations
from pathlib import Path
from xml.etree import ElementTree

from spareway.design.design import Design
from spareway.drawings.boxes import hit
from spareway.drawings.symbols import INK, PAPER
from spareway.folder import read_folder
from spareway.job.job import read_job
from tests.drawings.seen import SVG, words

EXAMPLES = Path(__file__).parents[2] / "examples"
STAGES = [("weir-cottage", "found"), ("weir-cottage", "proposed"), ("granary-yard", "found"), ("granary-yard", "fitted"),
          ("ridge-annexe", "proposed")]
RECOLOURED = {"ink", "halo", "frame", "box", "dot", "tag", "t", "on"}
Place = tuple[float, float]


@cache
def design(name: str, stage: str, overlay: str = "") -> Design:
    """An example judged at a stage, with a few lines of its own TOML laid over it."""
    files = dict(read_folder(EXAMPLES / name))
    return Design(read_job(files, [("overlay.toml", overlay)] if overlay else []).at(stage))


def circuits() -> list[tuple[str, str, str]]:
    """(job, stage, name) of every circuit of the examples that feeds something."""
    return [(name, stage, circuit) for name, stage in STAGES for circuit, of in design(name, stage).circuits.items()
            if not of.is_surge]


def marks(drawn: str) -> Iterator[tuple[str, ElementTree.Element]]:
    """(words, path or rectangle) of everything that is marked with words."""
    for group in ElementTree.fromstring(drawn).iter(f"{SVG}g"):
        title = group.find(f"{SVG}title")
        if title is not None:
            yield title.text or "", list(group)[1]


def places(path: ElementTree.Element) -> list[Place]:
    """The corners of a path of M, L, H and V."""
    out: list[Place] = []
    for letter, said in re.findall(r"([MLHVvmh])([-\d. ]*)", path.attrib["d"]):
        numbers = [float(each) for each in re.findall(r"-?[\d.]+", said)]
        if letter in "ML":
            out.append((numbers[0], numbers[1]))
        elif letter == "H":
            out.append((numbers[0], out[-1][1]))
        elif letter == "V":
            out.append((out[-1][0], numbers[0]))
    return out


def faults(drawn: str) -> list[str]:
    """Words over words, words off the sheet, a colour, a stroke that no theme could recolour, a stroke too thin to print."""
    root = ElementTree.fromstring(drawn)
    left, top, wide, high = (float(v) for v in root.attrib["viewBox"].split())
    said = list(words(root))
    out = [f"{a.says} over {b.says}" for a, b in combinations(said, 2) if hit(a.covers, b.covers)]
    out += [f"{a.says} is off the sheet" for a in said
            if a.covers[0] < left or a.covers[1] < top or a.covers[2] > left + wide or a.covers[3] > top + high]
    for e in root.iter():
        for what in ("fill", "stroke"):
            if e.get(what, "none") not in ("none", INK, PAPER):
                out.append(f"{e.tag} has {what} {e.get(what)}")
            if e.get(what, "none") != "none" and not set(e.get("class", "").split()) & RECOLOURED:
                out.append(f"{e.tag} {e.attrib} keeps its colour in the dark")
        if float(e.get("stroke-width", "9")) < 1.2:
            out.append(f"{e.tag} is drawn with {e.get('stroke-width')}")
    return out + (["a style"] if "style" in drawn else [])
