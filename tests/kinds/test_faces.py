"""The face of every kind: well-formed, complete, and drawn so that no line can be taken for another."""
from __future__ import annotations

from itertools import combinations, pairwise
from xml.etree import ElementTree

import pytest

from spareway.drawings.face import face_svg, symbol_of
from spareway.drawings.inside import HALF, Face, Layout, face
from spareway.drawings.symbols import LOOKS, SHAPES, Spot, n, sleeve, symbol, wire
from spareway.kinds import UnknownKind, kind, kind_names
from spareway.wiring.names import UnknownName
from spareway.wiring.potentials import WORDS

SVG = "{http://www.w3.org/2000/svg}"
Segment = tuple[Spot, Spot]


def states(name: str) -> list[tuple[str, ...]]:
    """All closed, each control open alone, all open."""
    controls = tuple(kind(name).controls)
    return list(dict.fromkeys([(), *((c,) for c in controls), controls]))


def segments(shown: Face, metal: str) -> list[Segment]:
    return [pair for branch in shown.metal[metal] for pair in pairwise(branch) if pair[0] != pair[1]]


@pytest.mark.parametrize("name", kind_names())
def test_it_is_drawn_in_every_state(name: str) -> None:
    """Well-formed XML of plain attributes; each terminal a disc with its letter, each side and control named."""
    shown, of = face(name), kind(name)
    for opened in states(name):
        drawn = face_svg(name, opened)
        root = ElementTree.fromstring(drawn)
        texts = [each.text for each in root.iter(f"{SVG}text")]
        letters = [t.rpartition(".")[2] for t in shown.terminals]
        assert all(texts.count(letter) >= letters.count(letter) for letter in set(letters))
        assert {t.partition(".")[0] for t in shown.terminals} <= set(texts)
        assert all(any(str(text).startswith(f"{control}: ") for text in texts) for control in of.controls)
        discs = {(c.get("cx"), c.get("cy")) for c in root.iter(f"{SVG}circle") if c.get("r") == "4.2"}
        assert discs == {(n(x), n(y)) for x, y in shown.terminals.values()}
        said = root.findtext(f"{SVG}desc") or ""
        assert all(f"{t}: " in said for t in shown.terminals)
        assert root.find(f".//{SVG}style") is None
        assert all("style" not in each.attrib for each in root.iter())
        face.cache_clear()
        assert face_svg(name, opened) == drawn


@pytest.mark.parametrize("name", [name for name in kind_names() if kind(name).controls])
def test_open_looks_open(name: str) -> None:
    """Opening a control changes the picture, except where it closes by itself: then it is never drawn open."""
    def picture(opened: tuple[str, ...]) -> str:
        root = ElementTree.fromstring(face_svg(name, opened))
        return "".join(ElementTree.tostring(each, "unicode") for each in root if each.tag.endswith("}g"))
    for control, who in kind(name).controls.items():
        assert (picture((control,)) != picture(())) == (who not in ("itself", "other"))


@pytest.mark.parametrize("name", kind_names())
def test_no_line_lies_on_another(name: str) -> None:
    """Two pieces of metal may cross but never share a stretch, and no line runs through a symbol."""
    shown = face(name)
    for one, other in combinations(shown.metal, 2):
        for a in segments(shown, one):
            for b in segments(shown, other):
                assert not overlap(a, b), f"{one} and {other}: {a} {b}"
    for metal in shown.metal:
        assert not any(overlap(a, b) for a, b in combinations(segments(shown, metal), 2))
    for placed in shown.placed:
        x, y = placed.at
        for metal in shown.metal:
            inner = ((x, y - HALF + 1), (x, y + HALF - 1))
            met = [s for s in segments(shown, metal) if overlap(inner, s) or crosses(inner, s)]
            assert met == [], f"{metal} at {placed}"


def overlap(a: Segment, b: Segment) -> bool:
    """Whether two straight parts share more than a point."""
    return min(shared(a, b)) == 0 and max(shared(a, b)) > 0


def shared(a: Segment, b: Segment) -> list[float]:
    """How much of x and of y both have; below nought, how far they are apart."""
    return [min(max(p[k] for p in a), max(p[k] for p in b)) - max(min(p[k] for p in a), min(p[k] for p in b))
            for k in (0, 1)]


def crosses(upright: Segment, other: Segment) -> bool:
    (x, low), (_, high) = upright
    (ax, ay), (bx, by) = other
    return ay == by and low < ay < high and min(ax, bx) <= x <= max(ax, bx)


# Reasoned by hand for where their terminals are: a line that turns off must pass the neutral beside it once, and each
# further upright between its ends once more. All other kinds need no crossing.
CROSSINGS = {
    "meter-switched": 1, "blocks": 1, "isolator-surge-bottom": 1, "isolator-surge-top": 1,
    "isolator-surge-bottom-marked": 1, "isolator-surge-top-marked": 1, "changeover": 3, "board-part-rcd": 1,
    "board-split": 1, "board-high-integrity": 2, "battery-inverter-backup": 2,
}


@pytest.mark.parametrize("name", kind_names())
def test_lines_cross_no_more_than_they_must(name: str) -> None:
    """Of all orders of its rails a kind is drawn in one that crosses least."""
    shown = face(name)
    met = [(a, b) for one, other in combinations(shown.metal, 2) for a in segments(shown, one)
           for b in segments(shown, other) if min(shared(a, b)) >= 0]
    assert len(met) == CROSSINGS.get(name, 0)


@pytest.mark.parametrize("name", kind_names())
def test_all_that_is_joined_is_drawn_joined(name: str) -> None:
    """Each piece of metal is one connected drawing that reaches its terminals and the ends of what stands on it."""
    shown = face(name)
    ends: dict[str, list[Spot]] = {metal: [] for metal in shown.metal}
    for placed in shown.placed:
        x, y = placed.at
        ends[placed.below].append((x, y + HALF))
        ends[placed.above].append((x, y - HALF))
    for metal, branches in shown.metal.items():
        drawn = {spot for branch in branches for spot in branch}
        assert set(ends[metal]) <= drawn
        assert metal not in shown.terminals or shown.terminals[metal] in drawn
        assert pieces(segments(shown, metal)) <= 1
    reached = {spot for branches in shown.metal.values() for branch in branches for spot in branch}
    assert set(shown.terminals.values()) <= reached
    assert len(set(shown.terminals.values())) == len(shown.terminals)


def pieces(parts: list[Segment]) -> int:
    """How many unconnected drawings these straight parts make."""
    groups: list[list[Segment]] = []
    for part in parts:
        near = [group for group in groups if any(touch(part, each) for each in group)]
        joined = [part, *(each for group in near for each in group)]
        groups = [group for group in groups if group not in near] + [joined]
    return len(groups)


def touch(a: Segment, b: Segment) -> bool:
    return min(shared(a, b)) >= 0


@pytest.mark.parametrize("name", kind_names())
def test_it_stays_in_its_frame(name: str) -> None:
    """Sides lie on the edge that the kind says, everything else within; symbols of one row keep clear."""
    shown = face(name)
    for terminal, (x, y) in shown.terminals.items():
        edge = kind(name).face[terminal.partition(".")[0]].partition(" ")[0]
        assert y == (0 if edge == "top" else shown.height)
        assert 10 <= x <= shown.width - 10
    inner = [spot for branches in shown.metal.values() for branch in branches for spot in branch]
    inner += [placed.at for placed in shown.placed]
    assert all(0 < x < shown.width and 0 <= y <= shown.height for x, y in inner)
    assert all(abs(a.at[0] - b.at[0]) >= 26 or abs(a.at[1] - b.at[1]) >= 64 for a, b in combinations(shown.placed, 2))


@pytest.mark.parametrize("name", kind_names())
def test_poles_stand_between_what_they_join(name: str) -> None:
    """Each joint stands above its lower metal and below its upper, and poles that move together in one row."""
    layout = Layout(kind(name))
    assert all(layout.level[j.low] <= j.row < layout.level[j.high] for j in layout.joints)
    rows = {(j.link.control, j.row) for j in layout.joints if j.link.control}
    assert len(rows) == len(kind(name).controls)


def test_what_is_not_there_is_refused() -> None:
    """A kind or a control that is not there is an error that names it."""
    with pytest.raises(UnknownKind, match="isolator-3p"):
        face_svg("isolator-3p")
    with pytest.raises(UnknownName, match="swich"):
        face_svg("isolator-2p", ["swich"])


def test_symbols_by_what_they_are() -> None:
    """Fuses, breakers, poles, plugs and what moves by itself are told apart."""
    shown = {("cut-out", "fuse"): "fuse", ("rewirable", "carrier"): "fuse", ("mcb", "switch"): "breaker",
             ("rcbo-2p", "switch"): "breaker", ("rcd-in-way", "switch"): "pole", ("isolator-2p", "switch"): "pole",
             ("time-switch", "contactor"): "contactor", ("double-ended-lead", "plug-a"): "plug"}
    assert {(name, control): symbol_of(kind(name), control) for name, control in shown} == shown


def test_every_potential_and_symbol_has_a_look_of_its_own() -> None:
    """Six potentials, six letters, six sleeves, six bare and six insulated wires; and every symbol is its own."""
    assert tuple(LOOKS) == WORDS
    straight = [[(0.0, 0.0), (100.0, 0.0)]]
    for drawn in ([sleeve(0, 0, p) for p in WORDS], [wire(straight, p) for p in WORDS],
                  [wire(straight, p, "BN") for p in WORDS], [look.letter for look in LOOKS.values()],
                  [symbol(s, 0, 0) for s in SHAPES]):
        assert len(set(drawn)) == len(drawn)
