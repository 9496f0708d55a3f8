"""Time against current: numbers read back out of the drawing are the facts, and nothing is drawn beyond what stands in print."""
from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from spareway.design.along import along
from spareway.design.design import Design
from spareway.design.timing import Opening, Timing, timing
from spareway.doc import InputError
from spareway.drawings.curves import curves
from spareway.drawings.drop import drop
from spareway.drawings.graph import DASH, NARROW, WIDE
from spareway.job.job import read_job
from spareway.tables import NoRow
from tests.drawings.graphs import circuits, design, faults, marks, places
from tests.drawings.seen import SVG, words
from tests.papers.made import texts
from tests.papers.overlays import overlays

Read = Callable[[float], float]
NEAR = 0.004                                    # of a decade: a coordinate is printed to a tenth of a unit


def made(job: str, stage: str, name: str, overlay: str = "") -> tuple[Timing, str]:
    of = timing(design(job, stage, overlay).circuits[name])
    return of, curves(of, name)


def axes(drawn: str) -> tuple[Read, Read]:
    """(amperes of an x, seconds of a y), by the figures that stand at the axes."""
    said = list(words(ElementTree.fromstring(drawn)))
    amps = next(w for w in said if w.says == "amperes").covers
    level = [w for w in said if w.says.isdigit() and 10 < amps[1] - w.covers[1] < 22]
    upright = [w for w in said if w.says.endswith(" s") and w.covers[2] < 46 and w.covers[1] < amps[1] and w.says[:-2] in (
        "0.1", "1", "10", "100", "1000")]
    xs = sorted((float(w.says), (w.covers[0] + w.covers[2]) / 2) for w in level)
    ys = sorted((float(w.says[:-2]), w.covers[3] - 0.21 * 13 - 4.5) for w in upright)
    return between(xs), between(ys)


def between(known: list[tuple[float, float]]) -> Read:
    """A reader of a logarithmic axis from its first and last figure. A second method: the platform's logarithm."""
    (a, at_a), (b, at_b) = known[0], known[-1]
    return lambda at: float(10 ** (math.log10(a) + (math.log10(b) - math.log10(a)) * (at - at_a) / (at_b - at_a)))


def same(one: float, other: float) -> bool:
    return abs(math.log10(one / other)) < NEAR


@pytest.mark.parametrize(("job", "stage", "name"), circuits())
def test_it_reads_and_its_numbers_are_the_facts(job: str, stage: str, name: str) -> None:
    """Every circuit of the examples: no word over another, no colour; each upright stands at its current, and each word is a fact."""
    of, drawn = made(job, stage, name)
    assert faults(drawn) == []
    assert faults(curves(of, name, wide=stage == "found", brief=stage != "found")) == []
    amps_at, seconds_at = axes(drawn)
    found = {title: places(path) for title, path in marks(drawn) if path.tag == f"{SVG}path"}
    for band in of.currents:
        for fact in (band.least_a, band.most_a):
            if fact.known and fact.value > 0:
                assert same(amps_at(found[f"{band.name} {fact}"][0][0]), fact.value)
            else:
                assert not [title for title in found if title.startswith(f"{band.name} ") and fact is band.least_a is band.most_a]
    assert same(seconds_at(found[f"within {of.within_s}"][0][1]), of.within_s.value)
    for each in of.bears:
        if each.energy_a2s.known:
            ends = next(corners for title, corners in found.items() if title.endswith(f"bears {each.energy_a2s}"))
            for x, y in ends:
                assert math.log10(amps_at(x) ** 2 * seconds_at(y) / each.energy_a2s.value) == pytest.approx(0, abs=3 * NEAR)
                assert 0.0985 <= seconds_at(y) <= 5.08, "from 5 s to 0.1 s and no further"


@pytest.mark.parametrize(("job", "stage", "name"), [c for c in circuits() if c[2] in ("ring-ground", "cooker", "ring", "lights")])
def test_a_device_is_drawn_as_far_as_it_stands_in_print(job: str, stage: str, name: str) -> None:
    """A fuse from its first point to its last; a breaker's area by the corners of its standard, right to the sheet's edge."""
    of, drawn = made(job, stage, name)
    amps_at, seconds_at = axes(drawn)
    for device in (of.device, of.service):
        lines = [places(path) for title, path in marks(drawn) if title == device.name]
        ends = [(amps_at(x), seconds_at(y)) for corners in lines for x, y in corners]
        assert len(lines) == max(0, len(device.points) - 1)
        for (amps, time_s), spot in zip(ends, [s for pair in pairwise(device.points) for s in pair], strict=True):
            assert same(amps, spot.a)
            assert same(time_s, spot.s)
    if of.device.holds and not of.device.points:
        late = next(places(path) for title, path in marks(drawn) if title.endswith("no later"))
        soon = next(places(path) for title, path in marks(drawn) if title.endswith("no sooner"))
        stands(late, soon, of.device, amps_at, seconds_at)


def stands(late: list[tuple[float, float]], soon: list[tuple[float, float]], device: Opening, amps_at: Read, seconds_at: Read) -> None:
    """Where the upper edge falls is where it opens at the latest; where the lower edge falls it may open sooner."""
    for edge, spots in ((late, device.opens), (soon, device.holds)):
        falls = [(amps_at(x), seconds_at(max(y, y0))) for (x0, y0), (x, y) in pairwise(edge) if abs(x - x0) < 0.11 and y > y0 + 1]
        for spot in spots:
            if edge is late:
                assert any(same(amps, spot.a) and same(time_s, spot.s) for amps, time_s in falls), spot
            else:
                assert any(same(amps, spot.a) for amps, _ in falls), spot


def test_a_breaker_by_the_tests_of_its_standard() -> None:
    """BS EN 60898-1 Table 7, 16 A type B: 1.13 and 1.45 In for an hour, 2.55 In in a minute, 3 and 5 In at 0.1 s; nothing sooner or later."""
    device = made("weir-cottage", "proposed", "heat-5")[0].device
    assert [(s.a, s.s) for s in device.holds] == [(pytest.approx(18.08), 3600), (48, 0.1)]
    assert [(s.a, s.s) for s in device.opens] == [(pytest.approx(23.2), 3600), (pytest.approx(40.8), 60), (80, 0.1)]
    late = [s.s for s in made("ridge-annexe", "proposed", "charging")[0].device.opens]
    assert late == [3600, 120, 0.1], "above 32 A in two minutes"


def test_what_is_from_memory_is_dashed_and_says_so() -> None:
    """A 30 A rewirable fuse: one of its two points is from memory. The service fuse's points each have a source, and its line is whole."""
    of, drawn = made("weir-cottage", "found", "ring-ground")
    lines = {title: path.get("stroke-dasharray") for title, path in marks(drawn)}
    assert [s.current.trust for s in of.device.points] == ["from memory", "derived"]
    assert lines[of.device.name] == DASH
    assert lines[of.service.name] is None
    key = " ".join(w.says for w in words(ElementTree.fromstring(drawn)))
    assert "opens in 5 s at 87 A, from memory; 0.4 s at 210 A." in key.replace("  ", " ")


def test_where_a_conductor_meets_its_device() -> None:
    """By hand: 115²×1.5² = 29,756 A²s over 0.1 s is 545 A; on the line through (87 A, 5 s) and (210 A, 0.4 s) it is near 115 A."""
    of, drawn = made("weir-cottage", "proposed", "heat-5")
    earth = next(b for b in of.bears if b.what == "earth")
    assert earth.meets is not None
    assert earth.meets.a == pytest.approx(math.sqrt(115 ** 2 * 1.5 ** 2 / 0.1))
    square = next(e for title, e in marks(drawn) if title == "protective conductor meets 545 A")
    amps_at, seconds_at = axes(drawn)
    assert same(amps_at(float(square.attrib["x"]) + 5), earth.meets.a)
    assert same(seconds_at(float(square.attrib["y"]) + 5), 0.1)
    earth = next(b for b in made("weir-cottage", "found", "ring-ground")[0].bears if b.what == "earth")
    assert earth.meets is not None
    steep = math.log(0.4 / 5) / math.log(210 / 87)
    assert earth.meets.s == pytest.approx(5 * (earth.meets.a / 87) ** steep)
    assert earth.meets.a ** 2 * earth.meets.s == pytest.approx(115 ** 2 * 1.5 ** 2)


def test_which_comes_first_where_they_do_not_meet() -> None:
    """Behind 30 A of fuse wire 2.5 mm² is never too hot first at a printed point, and 1 mm² is at both."""
    bears = {b.what: b for b in made("weir-cottage", "found", "ring-first")[0].bears}
    assert (bears["line"].meets, bears["line"].first) == (None, "device")
    assert (bears["earth"].meets, bears["earth"].first) == (None, "conductor")
    assert 87 ** 2 * 5 < 115 ** 2 * 2.5 ** 2
    assert 210 ** 2 * 0.4 > 115 ** 2


def test_the_least_fault_reaches_what_opens_it_just_where_the_loop_keeps_its_limit() -> None:
    """The drawing and the rule about the loop never disagree: stretched until Zs is at its limit, the upright stands at Ia."""
    for _, _, circuit in (c for c in circuits() if c[:2] == ("weir-cottage", "proposed")):
        of = design("weir-cottage", "proposed").circuits[circuit]
        least = next(b.least_a for b in timing(of).currents if b.name == "far end")
        assert (least.value >= of.ia_a.value) == (of.zs_ohm.value <= of.zs_limit_ohm.value)
        assert least.value * of.zs_ohm.value == pytest.approx(0.95 * 230)


def test_what_nobody_knows_is_said_and_not_drawn() -> None:
    """No device: no area and no point, and the words say so; a load that is not known is no line."""
    of, drawn = made("weir-cottage", "proposed", "lights-first")
    assert not [title for title, _ in marks(drawn) if title.startswith("Ib")]
    assert "Not known and not drawn: Ib, power of a load not recorded" in said(drawn)
    of, drawn = made("weir-cottage", "proposed", "cooker", '[circuits.cooker]\ndevice = { kind = "mcb", rating_a = 32 }\n')
    assert of.device.why
    assert not [title for title, _ in marks(drawn) if title.startswith(of.device.name)]
    assert of.device.why.split(";")[0] in said(drawn)


def said(drawn: str) -> str:
    return " ".join(w.says for w in words(ElementTree.fromstring(drawn)))


def test_the_two_widths() -> None:
    of, drawn = made("granary-yard", "fitted", "cooker")
    for svg, wide in ((drawn, NARROW), (curves(of, "cooker", wide=True), WIDE)):
        assert ElementTree.fromstring(svg).attrib["viewBox"].split()[2] == f"{wide:g}"
    assert drawn == curves(of, "cooker"), "the same bytes each time"


@pytest.mark.parametrize(("name", "stage", "seed"), [("granary-yard", "fitted", 1), ("weir-cottage", "proposed", 2), ("ridge-annexe", "proposed", 3)])
def test_nor_does_it_break_on_any_job_near_it(name: str, stage: str, seed: int) -> None:
    """Three changes of each home at random: both drawings of every circuit read, whatever is unknown or outside a table."""
    made_n = 0
    for overlay in overlays(design(name, stage).inst.doc.data, seed):
        try:
            of = Design(read_job(texts(name), [("overlay.toml", overlay)]).at(stage))
        except InputError:
            continue                                                           # no job any more
        for circuit in (c for c in of.circuits.values() if not c.is_surge):
            assert faults(curves(timing(circuit), "it", wide=seed == 1, brief=seed == 2)) == [], (circuit.at, overlay)
            try:
                way = along(circuit)
            except NoRow:
                continue                                                       # told in words by whoever asks
            assert faults(drop(way, "it")) == [], (circuit.at, overlay)
        made_n += 1
        if made_n == 3:
            break
