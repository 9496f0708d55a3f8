"""What is strung on a wire belongs to it: read back out of the SVG, without the code that found the places."""
from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, pairwise
from random import Random
from xml.etree import ElementTree

import pytest

from spareway.drawings.intake import Picture, intake, kept_plan
from spareway.drawings.symbols import LOOKS, TICK_WIDTH
from spareway.job.job import Installation
from spareway.wiring.expand import wire
from spareway.wiring.network import Network
from tests.drawings.invented_intakes import intake_of
from tests.drawings.seen import SVG, Rect, walked
from tests.drawings.test_intake import EXAMPLE_STATES, example

LETTERS = {look.letter for look in LOOKS.values()}
CLEAR = 3.0                                           # half of a casing, roundly: a sleeve that only grazes one covers it
PAST_AN_END = 34.0                                    # from a loose end to the middle of its letter, at most


@dataclass(frozen=True)
class Sleeve:
    """A frame strung on wires and what stands in it."""
    says: tuple[str, ...]
    covers: Rect

    @property
    def middle(self) -> tuple[float, float]:
        return (self.covers[0] + self.covers[2]) / 2, (self.covers[1] + self.covers[3]) / 2


@dataclass(frozen=True)
class Seen:
    """A wire as it is to be seen: its corners and the potential that its strokes stand for."""
    points: tuple[tuple[float, float], ...]
    potential: str


def sleeves(root: ElementTree.Element) -> list[Sleeve]:
    """Those of wires: on the sheet itself, not of the ways of a board and not the key at the foot."""
    found: list[tuple[Rect, list[str]]] = []
    for e in root:
        if e.tag == f"{SVG}rect" and e.attrib["class"].startswith("tag"):
            x, y, w, h = (float(e.attrib[k]) for k in ("x", "y", "width", "height"))
            found.append(((x, y, x + w, y + h), []))
        elif e.tag == f"{SVG}text" and found and inside(float(e.attrib["x"]), float(e.attrib["y"]), found[-1][0]):
            found[-1][1].append(e.text or "")
    return [Sleeve(tuple(says), covers) for covers, says in found]


def inside(x: float, y: float, r: Rect) -> bool:
    return r[0] <= x <= r[2] and r[1] <= y <= r[3]


def frames(root: ElementTree.Element) -> Iterator[Rect]:
    for e, (dx, dy, _) in walked(root):
        if e.tag == f"{SVG}rect" and e.attrib.get("class") == "frame":
            x, y, w, h = (float(e.attrib[k]) for k in ("x", "y", "width", "height"))
            if w > 30 and h > 30:                                                  # a thing, not a device in it
                yield x + dx, y + dy, x + dx + w, y + dy + h


def wires(root: ElementTree.Element) -> Iterator[Seen]:
    """Each halo on the sheet begins a wire; the ink after it, up to the core, says at what potential."""
    paths = [e for e in root if e.tag == f"{SVG}path"]
    starts = [i for i, e in enumerate(paths) if e.attrib["class"] == "halo"]
    for start in starts:
        strokes: list[tuple[float, str]] = []
        for e in paths[start + 1:]:
            if e.attrib["class"] != "ink":
                break
            strokes.append((float(e.attrib["stroke-width"]), e.attrib.get("stroke-dasharray", "")))
        ticked = strokes[0] == (TICK_WIDTH, "")
        is_of = [p for p, look in LOOKS.items() if tuple(strokes[ticked:]) == look.casing]
        potential = ("earth" if ticked else "neutral") if "earth" in is_of and "neutral" in is_of else is_of[0]
        yield Seen(corners(paths[start].attrib["d"]), potential)


def corners(d: str) -> tuple[tuple[float, float], ...]:
    """The points of a path with its bends drawn square: of a curve the point it bends about, and its end."""
    out: list[tuple[float, float]] = []
    for said in re.findall(r"[MLQ][^MLQ]*", d):
        numbers = [float(number) for number in re.findall(r"-?[\d.]+", said)]
        out += list(zip(numbers[::2], numbers[1::2], strict=True))
    return tuple(out)


def touches(w: Seen, r: Rect) -> bool:
    return any(min(a[0], b[0]) - CLEAR < r[2] and max(a[0], b[0]) + CLEAR > r[0] and min(a[1], b[1]) - CLEAR < r[3]
               and max(a[1], b[1]) + CLEAR > r[1] for a, b in pairwise(w.points))


def wrong(root: ElementTree.Element) -> Iterator[str]:
    """Every sleeve over a thing, over another, on no wire, or over a wire of another potential than its letter."""
    found, seen, things = sleeves(root), list(wires(root)), list(frames(root))
    for one, other in combinations(found, 2):
        if one.covers[0] < other.covers[2] and other.covers[0] < one.covers[2] and one.covers[1] < other.covers[3] \
                and other.covers[1] < one.covers[3]:
            yield f"{one.says} over {other.says}"
    for one in found:
        a = one.covers
        if any(a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3] for b in things):
            yield f"{one.says} over a thing"
        under = {w.potential for w in seen if touches(w, a)}
        ends = {w.potential for w in seen for x, y in (w.points[0], w.points[-1])
                if abs(x - one.middle[0]) + abs(y - one.middle[1]) < PAST_AN_END} if not under else set[str]()
        if not under and not ends:
            yield f"{one.says} on no wire"
        if len(one.says) == 1 and one.says[0] in LETTERS and one.says[0] not in {LOOKS[p].letter for p in ends} | (
                {LOOKS[p].letter for p in under} if len(under) == 1 else set()):
            yield f"{one.says} over {sorted(under)}, past {sorted(ends)}"


@pytest.mark.parametrize("start", range(0, 200, 50))
def test_a_letter_stands_on_its_own_wire(start: int) -> None:
    """Of every fifth random intake, in a random state: no sleeve over a thing, another sleeve or a foreign wire."""
    found = {}
    for seed in range(start, start + 50, 5):
        inst = intake_of(seed)
        network = wire(inst)
        names = [*network.controls, *sorted(network.record.lifts)]
        opened = Random(seed).sample(names, min(len(names), seed % 3))
        if faults := list(wrong(ElementTree.fromstring(intake(inst, network, opened)))):
            found[seed] = faults
    assert found == {}


@pytest.mark.parametrize(("name", "stage", "opened"), EXAMPLE_STATES)
def test_letters_of_the_examples(name: str, stage: str, opened: tuple[str, ...]) -> None:
    """The same of the examples; every core has its letter, and every run its size or a number that stands for it."""
    inst, network = example(name, stage)
    assert list(wrong(ElementTree.fromstring(intake(inst, network, opened)))) == []
    state = Picture(inst, network, kept_plan(inst, network), opened)
    state.svg()
    assert state.unplaced == []


def without(inst: Installation, network: Network) -> tuple[int, int, int]:
    """(cores, letters that stand on no wire, all that is said by name alone)."""
    state = Picture(inst, network, kept_plan(inst, network), ())
    state.svg()
    names = {core.name for core in state.drawn.cores}
    return len(names), len([words for words in state.unplaced if words.partition(" ")[0] in names]), len(state.unplaced)


def test_hardly_a_letter_is_without_room() -> None:
    """Of every eighth random intake: under 1 in 100 letters finds no wire and is said by name; nothing is left unsaid."""
    counts = [without(inst, wire(inst)) for inst in map(intake_of, range(0, 200, 8))]
    cores, letters, said = (sum(each) for each in zip(*counts, strict=True))
    assert cores > 300
    assert letters <= 0.01 * cores
    assert said <= 0.1 * cores


def test_wrong_letters_are_seen() -> None:
    """What the checks above look for, planted: a letter moved to another wire, over a thing, or out into the paper."""
    drawn = intake(*example("granary-yard", "found"))
    root = ElementTree.fromstring(drawn)
    assert list(wrong(root)) == []
    assert {w.potential for w in wires(root)} >= {"line", "neutral", "earth"}
    letter = next(e for e in root if e.tag == f"{SVG}text" and e.text == "L")
    letter.text = "N"
    assert [words for words in wrong(root) if "over ['line']" in words]
