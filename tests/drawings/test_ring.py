"""A ring with its readings: what is read back off the drawing is what was read; nothing is drawn that was not read."""
from __future__ import annotations

from dataclasses import replace
from functools import cache
from xml.etree import ElementTree

import pytest

from spareway.design.design import Design
from spareway.drawings.ring import ring_drawn
from spareway.fact import Fact
from spareway.folder import read_folder
from spareway.job.job import read_job
from spareway.job.rows import Reading
from spareway.readings.band import Expected
from spareway.readings.of_job import explained
from spareway.readings.pictured import Pictured, Stands, Suspect, pictured
from tests.drawings.graphs import EXAMPLES, faults, marks, places
from tests.drawings.seen import Words, discs, words

RINGS = (("granary-yard", "ring"), ("weir-cottage", "ring-ground"), ("weir-cottage", "ring-first"))


@cache
def made(job: str, name: str, without: str = "") -> tuple[Pictured, str]:
    files = dict(read_folder(EXAMPLES / job))
    if without:
        files["readings.csv"] = "".join(line for line in files["readings.csv"].splitlines(keepends=True) if without not in line)
    circuit = Design(read_job(files).at("found")).circuits[name]
    of = pictured(circuit, explained(circuit))
    return of, ring_drawn(of)


def said(drawn: str) -> str:
    return " ".join(w.says for w in words(ElementTree.fromstring(drawn)))


@pytest.mark.parametrize(("job", "name"), RINGS)
def test_it_reads(job: str, name: str) -> None:
    """No word over another, nothing off a phone's sheet, no colour, whole and brief; the same bytes each time."""
    of, drawn = made(job, name)
    assert faults(drawn) == []
    assert faults(ring_drawn(of, brief=True)) == []
    assert drawn == ring_drawn(of)
    assert 'viewBox="0 0 360 ' in drawn


def y_axis(drawn: str, nth: int) -> tuple[float, float]:
    """(y of nought, units an ohm) of the nth graph, by its figures."""
    figures = [w for w in words(ElementTree.fromstring(drawn)) if abs(w.covers[2] - 38) < 0.1 and w.says.replace(".", "").isdigit()]
    noughts = [i for i, w in enumerate(figures) if w.says == "0"]
    own = figures[noughts[nth]:[*noughts[1:], len(figures)][nth]]
    def level(w: Words) -> float:
        return w.covers[3] - 0.21 * 13 - 4.5
    return level(own[0]), (level(own[-1]) - level(own[0])) / float(own[-1].says)


@pytest.mark.parametrize(("job", "name"), RINGS[:2])
def test_what_is_read_back_is_what_was_read(job: str, name: str) -> None:
    """Each disc stands at its ohms by the figures of the axis, each box from the least to the most, its stroke at the value between."""
    of, drawn = made(job, name)
    read = [path for what, path in marks(drawn) if what == "read"]
    boxes = [path for what, path in marks(drawn) if what == "expected"]
    shown = [s for q in ("ring_ln_ohm", "ring_le_ohm") for s in of.stands if s.row.quantity == q]
    assert len(read) == len(boxes) == len(shown) == 2 * len(of.points)
    for i, (disc, box, each) in enumerate(zip(read, boxes, shown, strict=True)):
        nought, an_ohm = y_axis(drawn, i >= len(of.points))
        assert each.row.value is not None
        assert each.expected is not None
        near = 0.12 / abs(an_ohm)
        assert (float(disc.attrib["cy"]) - nought) / an_ohm == pytest.approx(each.row.value, abs=near)
        top, high = float(box.attrib["y"]), float(box.attrib["height"])
        assert (top - nought) / an_ohm == pytest.approx(each.expected.most, abs=near)
        assert (top + high - nought) / an_ohm == pytest.approx(each.expected.least, abs=2 * near)


def test_the_suspect_stretch_lies_between_its_points() -> None:
    """SCENARIOS: Granary's protective conductor between 5 and 6, Weir's neutral between 6 and 7: rungs between these two dots, on
    that conductor; told by number and words."""
    for job, name, core, a, b in (("granary-yard", "ring", "E", 5, 6), ("weir-cottage", "ring-ground", "N", 6, 7)):
        of, drawn = made(job, name)
        (rungs,) = [path for what, path in marks(drawn) if what.startswith("suspect")]
        assert [what for what, _ in marks(drawn) if what.startswith("suspect")] == [f"suspect {core} {a} {b}"]
        ends = places(rungs)
        dots = discs(ElementTree.fromstring(drawn))
        for end in (ends[0], ends[-1]):
            assert min(abs(end[0] - x) + abs(end[1] - y) for x, y in dots) < 6, "it begins at a point and ends at one"
        assert f"between p{a} and p{b}" in said(drawn)
        assert len(of.suspects) == 1


def test_what_is_not_told_apart_is_all_marked() -> None:
    """A loose joint that may be in any of nine stretches of the neutral: each is marked, and the number of them said in words."""
    of, _ = made("weir-cottage", "ring-ground")
    left = tuple(Suspect("N", (i, i + 1), f"a loose joint in the neutral after stop {i}", 0.1) for i in range(9))
    of = replace(of, suspects=left, told_apart=False)
    drawn = ring_drawn(of)
    assert faults(drawn) == []
    assert len([1 for what, _ in marks(drawn) if what.startswith("suspect N")]) == len(of.suspects) > 3
    assert f"{len(of.suspects)} places are suspect; these readings do not tell them apart." in said(drawn)


def test_nothing_is_drawn_for_what_was_not_read() -> None:
    """Without line to earth there is no graph of it and no interval; without any reading no number of ohms at all."""
    of, _ = made("granary-yard", "ring")
    drawn = ring_drawn(replace(of, stands=tuple(each for each in of.stands if each.row.quantity != "ring_le_ohm")))
    assert "Line to earth" not in said(drawn)
    assert len([1 for what, _ in marks(drawn) if what == "expected"]) == 7
    of, bare = made("granary-yard", "ring", ",circuits.ring")
    assert of.stands == ()
    assert "Ω" not in bare
    assert "Nothing was read yet" in said(bare)


def test_off_is_what_lies_outside() -> None:
    """Within, above, below, over range, and nothing to hold it against."""
    def stands(value: float | None, least: float, most: float, fell: str) -> Stands:
        row = Reading(id="r", stage="found", quantity="ring_ln_ohm", a="circuits.ring.points.p1.L", by="a", at="2026-11-09",
                      value=value, over="" if value else ">99.9")
        return Stands(row, 1, Expected(Fact("ring_ln_ohm", 0.5, "worked"), least, most, ""), fell)
    assert (stands(0.5, 0.4, 0.6, "as expected").outside, stands(0.5, 0.4, 0.6, "as expected").off_ohm) == (False, None)
    assert stands(0.5, 0.1, 0.3, "high").off_ohm == pytest.approx(0.2)
    assert stands(0.5, 0.8, 0.9, "far low").off_ohm == pytest.approx(0.3)
    assert (stands(None, 0.8, 0.9, "far high").outside, stands(None, 0.8, 0.9, "far high").off_ohm) == (True, None)
    assert not stands(0.5, 0.8, 0.9, "cannot tell").outside
    assert not Stands(stands(0.5, 0, 1, "").row, 1, None, "").outside


@pytest.mark.parametrize("count", [1, 2, 4, 9, 14])
def test_rings_of_any_size(count: int) -> None:
    """Invented: long names, half a metre and forty, an arrow for over range, a point that is suspect, a bridge: it can all be read."""
    names = tuple(f"a-long-name-of-point-{i}" for i in range(count))
    lengths = tuple(Fact("length_m", 0.5 if i % 3 else 40.5, "measured") for i in range(count + 1))
    rows = [Reading(id=f"r{i}", stage="found", quantity="ring_le_ohm", a=f"circuits.x.points.{name}.L", by="a", at="2026-11-09",
                    value=None if i % 4 == 1 else 0.01 * i, over=">99.9" if i % 4 == 1 else "", said="" if i % 4 == 1 else f"{0.01 * i:.2f} Ω")
            for i, name in enumerate(names)]
    sound = Expected(Fact("ring_le_ohm", 0.05, "worked"), 0.04, 0.06, "")
    stands = tuple(Stands(row, i, sound, "far high" if i % 2 else "as expected") for i, row in enumerate(rows, 1))
    suspects = (Suspect("E", (1,), "the protective conductor is off", 0.5), Suspect("LNE", (0, count + 1), "a bridge", 0.3),
                Suspect("LNE", (count, count + 1), "a smaller cable between the last point and leg B at the board", 0.2))
    drawn = ring_drawn(Pictured("x", names, lengths, stands, suspects, False, ""))
    assert faults(drawn) == []
    assert len([1 for what, _ in marks(drawn) if what == "over range"]) == len([row for row in rows if row.value is None])
    assert "Points: 1 a long name of point 0" in said(drawn)
