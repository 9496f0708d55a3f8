"""Voltage along a circuit: what is read back off the drawing is what the rules compare; by hand where the loads stand point by point."""
from __future__ import annotations

from xml.etree import ElementTree

import pytest

from spareway.design.along import Along, along
from spareway.drawings.drop import drop
from tests.drawings.graphs import Place, circuits, design, faults, marks, places
from tests.drawings.seen import SVG, words

NEAR = 0.012                                     # of the whole axis: a coordinate is printed to a tenth of a unit


def made(job: str, stage: str, name: str, overlay: str = "") -> tuple[Along, str]:
    of = along(design(job, stage, overlay).circuits[name])
    return of, drop(of, name)


def axes(drawn: str) -> tuple[float, float, float, float]:
    """(x of nought, units a metre, y of nought, units a volt) by the figures at the axes."""
    found = list(words(ElementTree.fromstring(drawn)))
    nought = next(w for w in found if w.says == "0 V").covers
    row = next(w for w in found if w.says.startswith("metres from")).covers
    level = sorted((float(w.says), (w.covers[0] + w.covers[2]) / 2) for w in found if 8 < row[1] - w.covers[1] < 22 and number(w.says))
    volts = sorted((float(w.says), w.covers[3]) for w in found if w.covers[2] < 41 and nought[1] < w.covers[1] < row[1] - 20 and number(w.says))
    (m0, x0), (m1, x1) = level[0], level[-1]
    return x0, (x1 - x0) / (m1 - m0), nought[3] - 0.21 * 13 - 4.5, (volts[-1][1] - nought[3]) / volts[-1][0]


def number(text: str) -> bool:
    return text.replace(".", "", 1).isdigit()


def lines(drawn: str, what: str) -> list[list[Place]]:
    return [places(path) for title, path in marks(drawn) if title == what and path.tag == f"{SVG}path"]


@pytest.mark.parametrize(("job", "stage", "name"), circuits())
def test_it_reads_and_its_numbers_are_the_facts(job: str, stage: str, name: str) -> None:
    """Every circuit of the examples: no word over another, no colour; each leg ends at its metres and volts, the limit is at its volts."""
    of, drawn = made(job, stage, name)
    assert faults(drawn) == []
    assert faults(drop(of, name, wide=True)) == []
    if not of.legs[-1].ends_m.known:
        assert "No graph" in drawn
        return
    x0, a_metre, y0, a_volt = axes(drawn)
    (limit,) = lines(drawn, "limit")
    whole = of.limit_v.value * 1.12
    assert (limit[0][1] - y0) / a_volt == pytest.approx(of.limit_v.value, abs=NEAR * whole)
    known = [leg for leg in of.legs if leg.ends_v.known]
    drawn_legs = lines(drawn, "leg")
    assert len(drawn_legs) == len(known)
    for corners, leg in zip(drawn_legs, known, strict=True):
        x, y = corners[-2] if of.ring and leg.own else corners[-1]
        middle = (corners[0][0] - x0) / a_metre / 2 + leg.ends_m.value / 2
        metres = middle if of.ring and leg.own else leg.ends_m.value
        assert (x - x0) / a_metre == pytest.approx(metres, abs=NEAR * of.legs[-1].ends_m.value)
        assert (y - y0) / a_volt == pytest.approx(leg.ends_v.value, abs=NEAR * whole)
    if of.total_v.known:
        assert of.legs[-1].ends_v.value == pytest.approx(of.total_v.value), "the legs add up to what the rule compares"


@pytest.mark.parametrize(("job", "stage", "name"), circuits())
def test_at_the_length_it_names_it_is_at_the_limit(job: str, stage: str, name: str) -> None:
    """A second method: the circuit laid as long as the drawing says, and judged anew by the whole program."""
    circuit = design(job, stage).circuits[name]
    of = along(circuit)
    if not of.reach_m.known:
        assert not circuit.load_a.known or circuit.load_a.value == 0 or not of.legs[0].lost_v.known or not of.legs[-2].lost_v.known
        return
    lengths = [f for f in circuit.drop_from_origin_v.roots() if f is circuit.length_m or f.name == "ring_length_m"]
    changed = dict.fromkeys(lengths, of.reach_m.value)
    assert circuit.drop_from_origin_v.again(changed) == pytest.approx(of.limit_v.value, rel=1e-9)


def test_the_circuit_that_holds_to_52_metres() -> None:
    """The scenarios' own sentence, by hand: (11.5 V less 0.317 V before the board) at 12 A in 2.5 mm², 18 mV/A/m."""
    of, drawn = made("weir-cottage", "proposed", "heat-5")
    by_hand = (11.5 - 0.3169) * 1000 / (18 * 2750 / 230)
    assert of.reach_m.value == pytest.approx(by_hand, rel=1e-3)
    assert f"Meets the limit where the circuit is {of.reach_m} long" in said(drawn)
    (meets,) = lines(drawn, "meets")
    x0, a_metre, _, _ = axes(drawn)
    assert (meets[0][0] - x0) / a_metre == pytest.approx(of.meets_m.value, abs=NEAR * of.meets_m.value)


POINTS = """
[circuits.garden]
way    = "board.12"
feeds  = "lights"
device = { kind = "rcbo-2p", curve = "B", rating_a = 6, residual_ma = 30, residual_type = "A" }
cable  = { kind = "t&e", line_mm2 = 1.5, cpc_mm2 = 1.0, method = "C" }
points.a = { from = "way", length_m = 10, load_w = 230 }
points.b = { from = "a", length_m = 20, load_w = 460 }
points.c = { from = "a", length_m = 5, load_w = 690 }
"""


def test_each_load_where_it_is() -> None:
    """By hand: 1, 2 and 3 A on 1.5 mm², 29 mV/A/m. To a: 6 A over 10 m; to b 2 A over 20 m more; to c 3 A over 5 m more."""
    of, drawn = made("weir-cottage", "proposed", "garden", POINTS)
    board_v = of.legs[-2].ends_v.value
    lost = {p.name: p.at_v.value - board_v for p in of.places if p.at_v is not None}
    assert lost == {"a": pytest.approx(1.74), "b": pytest.approx(1.74 + 1.16), "c": pytest.approx(1.74 + 0.435)}
    assert [p.takes_a.value for p in of.places if p.takes_a is not None] == [1, 2, 3]
    assert max(p.at_v.value for p in of.places if p.at_v is not None) < of.total_v.value, "never more than with all of it at the end"
    x0, a_metre, y0, a_volt = axes(drawn)
    ends = [corners[-1] for corners in lines(drawn, "by loads")]
    assert [(x - x0) / a_metre - of.legs[-2].ends_m.value for x, _ in ends] == pytest.approx([10, 30, 15], abs=0.4)
    assert [(y - y0) / a_volt - board_v for _, y in ends] == pytest.approx([1.74, 2.90, 2.175], abs=0.08)
    assert "Dotted: with each load where it is." in said(drawn)
    assert faults(drawn) == []


def test_a_stretch_is_a_leg_of_its_own() -> None:
    """Two stretches: two legs with their names, which lose what the circuit loses."""
    overlay = ('[circuits.heat-5.cable]\nkind = "t&e"\nline_mm2 = 2.5\ncpc_mm2 = 1.5\n'
               'stretches.clipped = { length_m = 15, method = "C" }\nstretches.insulated = { length_m = 6, method = "103" }\n')
    of, drawn = made("weir-cottage", "proposed", "heat-5", overlay)
    own = [leg for leg in of.legs if leg.own]
    assert [leg.name for leg in own] == ["clipped", "insulated"]
    assert of.legs[-1].ends_v.value == pytest.approx(of.total_v.value)
    assert "insulated: 6 m, loses" in said(drawn)


def test_past_a_gap_nothing_is_drawn() -> None:
    """A load that nobody recorded: the line ends at the board with a question mark, and the words name what is missing."""
    of, drawn = made("weir-cottage", "proposed", "lights-first")
    assert len(lines(drawn, "leg")) == len(of.legs) - 1
    assert any(w.says == "?" for w in words(ElementTree.fromstring(drawn)))
    assert "circuits.lights-first.points.alarms.load_w: not recorded" in said(drawn)
    assert "what it loses is not known" in said(drawn)


def said(drawn: str) -> str:
    return " ".join(w.says for w in words(ElementTree.fromstring(drawn)))
