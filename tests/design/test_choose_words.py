"""A new circuit in a line of words: what is understood, and what is told of what is not."""
from __future__ import annotations

import pytest

from spareway.design.wanted import wanted
from spareway.doc import InputError


@pytest.mark.parametrize("text", ["7.2 kW cooker, 14 m, method 100", "method 100; cooker 14m 7.2kW", "7200 W, 14 m cooker method 100 t&e rcbo"])
def test_the_order_is_free(text: str) -> None:
    """The same circuit however its words are put."""
    found = wanted(text)
    assert (found.feeds, found.load_w, found.load_a, found.length_m, found.method, found.cable) == ("cooker", 7200, None, 14, "100", "t&e")
    assert (found.curve, found.residual, found.board, found.grouped_n) == ("", True, "", None)


def test_all_that_may_be_said() -> None:
    """Bunching, warmth, insulation, kind of cable, curve, device and board, and a thing of two words."""
    found = wanted("16 A panel heater 9.5 m method b grouped 3 ambient 40 °C insulation 200 mm singles curve c mcb board shed")
    assert (found.feeds, found.load_a, found.length_m, found.method) == ("panel-heater", 16, 9.5, "B")
    assert (found.grouped_n, found.ambient_c, found.in_insulation_mm, found.cable) == (3, 40, 200, "singles")
    assert (found.curve, found.residual, found.board) == ("C", False, "shed")
    assert wanted("1 kW shower 3 m method A multicore").cable == "other"
    several = wanted("1 kW shower 3 m method 101 or c or 102 multicore")
    assert (several.method, several.or_methods, several.cable) == ("101", ("C", "102"), "other")


@pytest.mark.parametrize(("text", "says", "near"), [
    ("7.2 kW cookr, 14 m, method 100", "nothing is called cookr", "cooker"),
    ("7.2 kW cooker, 14 m, method 104", "there is no method 104", "103"),
    ("7.2 kW cooker, 14 m, method C or 99", "there is no method 99", ""),
    ("7.2 kW cooker, 14 m, method C or", "there is no method ", ""),
    ("7.2 kW cooker, 14 m", "it does not say how the cable lies", ""),
    ("7.2 kW cooker, method C", "it states no length", ""),
    ("cooker, 14 m, method C", "it states no load", ""),
    ("7.2 kW, 14 m, method C", "it does not say what it feeds", ""),
    ("7.2 kW cooker 32 A 14 m method C", "it states the load twice", ""),
    ("7.2 kW cooker 14 m 15 m method C", "a second amount of the same sort", ""),
    ("7.2 kW cooker shower 14 m method C", "it feeds cooker, and shower says nothing more", ""),
    ("0 kW cooker 14 m method C", "out of range", ""),
    ("7.2 kW cooker 14 m method", "nothing stands after method", ""),
    ("7.2 kW cooker 14 m method C grouped 2.5", "out of range", ""),
    ("7.2 kW cooker 14 m method C grouped many", "grouped many is no amount", ""),
    ("٧ kW cooker 14 m method C", "nothing is called ٧", ""),
    ("7,2 kW cooker 14 m method C", "a number has a point in it and no comma: 7,2", ""),
    ("x" * 300, "more than 200 characters", ""),
])
def test_what_is_not_understood_is_told(text: str, says: str, near: str) -> None:
    """One fault for each slip, with what would be right and the nearest known name."""
    with pytest.raises(InputError) as caught:
        wanted(text)
    faults = {fault.says: fault for fault in caught.value.faults}
    assert says in faults
    assert faults[says].nearest == near or not near
    assert faults[says].allowed or near or says.startswith("out")


def test_a_comma_between_two_amounts_is_no_comma_in_one() -> None:
    """Each number with a comma is told with how it is written, beside every other slip; a method's own number is none."""
    with pytest.raises(InputError) as caught:
        wanted("7,2 kW cookr, 9,5 m, method C")
    assert [(f.read, f.allowed) for f in caught.value.faults[:2]] == [("7,2", "write 7.2"), ("9,5", "write 9.5")]
    assert [f.nearest for f in caught.value.faults[2:]] == ["cooker"]
    found = wanted("7.2 kW cooker, method 100,14 m")
    assert (found.method, found.length_m, found.load_w) == ("100", 14, 7200)


def test_every_fault_is_told_at_once() -> None:
    """Three slips, three faults."""
    with pytest.raises(InputError) as caught:
        wanted("7.2 kW cookr, 0 m, method Z")
    assert len(caught.value.faults) == 3
