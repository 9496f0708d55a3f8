"""What may be moved on a circuit: what is typed is a number or is refused, and what is laid over changes that amount and no other."""
from __future__ import annotations

import math
import shutil
from functools import cache
from pathlib import Path
from urllib.parse import urlencode

import pytest

from spareway.design.circuit import CircuitDesign
from spareway.design.design import Design
from spareway.web.moved import Slider, laid, read, sliders
from spareway.web.record import Record
from tests.web.phone import ROOT
from tests.web.test_serving import HOST, asked

EXAMPLES = ("weir-cottage", "granary-yard", "ridge-annexe")


@cache
def designed(name: str) -> Design:
    folder = ROOT / "examples" / name
    return Record({each.name: each.read_text("utf-8") for each in folder.iterdir() if each.suffix in (".toml", ".csv")}).design()


def circuits(design: Design) -> dict[str, CircuitDesign]:
    return {name: circuit for name, circuit in design.circuits.items() if not circuit.is_surge}


def after(design: Design, name: str, overlay: str) -> tuple[Slider, ...]:
    return sliders(Design(design.inst.altered(overlay)).circuits[name])


@pytest.mark.parametrize("example", EXAMPLES)
def test_what_is_moved_is_that_amount_and_no_other(example: str) -> None:
    """Each slider of each circuit moved alone: its amount is the new one, known as it was before; the other three stay."""
    design = designed(example)
    for name, circuit in circuits(design).items():
        known = sliders(circuit)
        assert [s.name.partition("_")[0] for s in known] == ["length", "load", "ze", "ambient"]
        for slider in known:
            to = round((slider.now or 20) * 1.1 + 1, 3)
            moved, faults = read({slider.name: f"{to}"}, known)
            assert (moved, faults) == ({slider.name: to}, [])
            now = after(design, name, laid(moved, known))
            assert {s.name: s.now for s in now} == {s.name: to if s is slider else s.now for s in known}, (name, slider.name)
            again = next(s for s in now if s.name == slider.name)
            assert [how for _, how in again.lines] == [how for _, how in slider.lines]


@pytest.mark.parametrize("example", EXAMPLES)
def test_a_slider_reaches_past_what_is_recorded(example: str) -> None:
    """Twice the recorded amount lies on it, and the steps lead from one end to the other."""
    for circuit in circuits(designed(example)).values():
        for slider in sliders(circuit):
            assert slider.least < slider.most <= slider.up_to
            if slider.now is not None and slider.name != "ambient_c":
                assert slider.least <= 2 * slider.now <= slider.most
            steps = (slider.most - slider.least) / slider.step
            assert math.isclose(steps, round(steps))
            assert 20 <= steps <= 500


@pytest.mark.parametrize("typed", ["1,9", "nan", "inf", "-3", "１２", "1e3", "9" * 400, "2000.1", "1.2.3", ".", "+4"])
def test_what_is_no_length_is_refused_and_moves_nothing(typed: str) -> None:
    known = sliders(designed("weir-cottage").circuits["cooker"])
    moved, faults = read({"length_m": typed}, known)
    assert moved == {}
    assert [(fault.field, fault.read[:3]) for fault in faults] == [("length_m", typed[:3])]


def test_what_is_left_as_it_is_moves_nothing() -> None:
    """Empty fields, and amounts equal to the record, lay nothing over."""
    circuit = designed("weir-cottage").circuits["cooker"]
    known = sliders(circuit)
    same = {s.name: "" if s.now is None else str(s.now) for s in known}
    assert read(same, known) == ({}, [])
    assert read({}, known) == ({}, [])
    assert laid({}, known) == ""


def test_of_a_cable_in_stretches_the_longest_is_moved() -> None:
    """A cable in two stretches: the longer one's line is laid over, and the whole length grows by as much."""
    design = designed("weir-cottage")
    two = """[circuits.cooker.cable]
stretches.clipped  = { length_m = 4, method = "C" }
stretches.trunking = { length_m = 9, method = "B", ambient_c = 35 }
"""
    inst = design.inst.altered('remove = ["circuits.cooker.cable.length_m", "circuits.cooker.cable.method"]\n').altered(two)
    circuit = Design(inst).circuits["cooker"]
    known = sliders(circuit)
    assert (known[0].says, known[0].now) == ("Length, trunking", 9)
    moved = Design(inst.altered(laid({"length_m": 15, "ambient_c": 45}, known))).circuits["cooker"]
    assert moved.length_m.value == 19
    assert [s.ambient_c.value for s in moved.route.stretches] == [45, 45]


EXTREMES = ({"length_m": "0", "load_w": "0", "load_a": "0", "ze_ohm": "0"}, {"length_m": "2000", "load_w": "100000", "load_a": "630", "ze_ohm": "2000", "ambient_c": "60"})


@pytest.mark.parametrize(("amounts", "example"), [(EXTREMES[i % 2], example) for i, example in enumerate(EXAMPLES)])
def test_no_amount_breaks_a_card_or_a_drawing(tmp_path: Path, example: str, amounts: dict[str, str]) -> None:
    """The least and the most that may be typed, on each circuit: an answer, and what cannot be worked out is unknown."""
    shutil.copytree(ROOT / "examples" / example, tmp_path / "job", ignore=shutil.ignore_patterns("overlays"))
    for name in [*circuits(designed(example))][::2]:
        query = urlencode({"of": name, **amounts})
        status, _, card = asked(tmp_path, "GET", f"/app/jobs/job/circuit/worked?{query}", HOST)
        assert (status, b'aria-label="quantities"' in card) == (200, True), name
        for what in ("time", "drop"):
            assert asked(tmp_path, "GET", f"/app/jobs/job/circuit/drawn?{query}&what={what}", HOST)[0] == 200, (name, what)


def test_a_form_that_is_not_filled_says_what_is_to_say(tmp_path: Path) -> None:
    """Nothing is chosen until all four are said; a word that is none is told and nothing is chosen."""
    shutil.copytree(ROOT / "examples" / "weir-cottage", tmp_path / "job", ignore=shutil.ignore_patterns("overlays"))
    for query, told in (("", "Say what it feeds, its load, its length, how it lies"), ("feeds=cooker&load_kw=7&length_m=9", "Say how it lies"),
                        ("feeds=cooker&load_kw=7&length_m=9&method=Z", "here is no method"), ("feeds=cooker&load_kw=1,5&length_m=9&method=C", "with a point")):
        status, _, body = asked(tmp_path, "GET", f"/app/jobs/job/new-circuit/worked?{query}", HOST)
        text = body.decode()
        assert (status, told in text, "mm²" in text) == (200, True, False), query


def test_nothing_is_written_that_was_not_asked_for(tmp_path: Path) -> None:
    """A kept length wants a number and how it is known; a circuit that is not there, and words that are none, change nothing."""
    shutil.copytree(ROOT / "examples" / "weir-cottage", tmp_path / "job", ignore=shutil.ignore_patterns("overlays"))
    before = {each.name: each.read_bytes() for each in (tmp_path / "job").iterdir() if each.is_file()}
    same_site = {**HOST, "sec-fetch-site": "same-origin"}
    for path, form, wanted in (("circuit?of=cooker", {"length_m": "21"}, 422), ("circuit?of=cooker", {"length_m": "21", "how": "guessed"}, 422),
                               ("circuit?of=cooker", {"length_m": "2,1", "how": "measured"}, 422), ("circuit?of=cooker", {"how": "measured"}, 422),
                               ("circuit?of=nothing", {"length_m": "21", "how": "measured"}, 404), ("new-circuit", {"words": "7 kW moon, 3 m"}, 422)):
        status, _, _ = asked(tmp_path, "POST", f"/app/jobs/job/{path}", same_site, urlencode(form).encode())
        assert status == wanted, (path, form)
    assert {each.name: each.read_bytes() for each in (tmp_path / "job").iterdir() if each.is_file()} == before
