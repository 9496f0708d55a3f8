"""Old cables: sized by strands and diameter, the lesser where in doubt, and never by colour.

Areas as a forum wiki page on old imperial cable sizes prints them; protective conductors as a transcript of Table 13 of the
wiring rules of 1955 gives them. The metric strandings are from memory, and say so in the table."""
from __future__ import annotations

import inspect

import pytest

from spareway.design.old_cable import OldCable, recognise
from spareway.fact import Fact, unknown
from spareway.tables import Books
from spareway.tables.table import table

BOOKS = Books(bs7671="2018+A4")
# called, strands, diameter of one as measured, area as the page prints it, "nearest equivalent" of the page
PRINTED = (("1/.044", 1, 1.118, 0.981, 1), ("3/.029", 3, 0.737, 1.278, 1.5), ("3/.036", 3, 0.914, 1.970, 2.5),
           ("7/.029", 7, 0.737, 2.983, 2.5), ("7/.036", 7, 0.914, 4.597, 6), ("7/.044", 7, 1.118, 6.867, 10),
           ("7/.052", 7, 1.321, 9.591, 10), ("7/.064", 7, 1.626, 14.528, 16))


def known(strands: float, diameter: float, sheath: str = "plastic") -> OldCable:
    return recognise(Fact("strands_n", strands, "measured"), Fact("strand_mm", diameter, "measured"),
                     Fact("sheath", sheath, "stated"), BOOKS)


@pytest.mark.parametrize(("called", "strands", "diameter", "area", "nearest"), PRINTED)
def test_imperial_sizes(called: str, strands: int, diameter: float, area: float, nearest: float) -> None:
    """The area as printed; the size it counts as is never more than the nearest of the page, nor more than its metal."""
    found = known(strands, diameter)
    assert called in found.called
    assert found.area_mm2.value == pytest.approx(area, abs=0.01)
    assert found.counts_as_mm2.value <= nearest
    assert found.counts_as_mm2.value <= area * 1.03             # standard sizes hold up to 3 % less metal than their name


def test_seven_by_0_67_is_2_47() -> None:
    """7 x 0.67 mm is 2.47 mm² of copper and counts as 2.5."""
    found = known(7, 0.67)
    assert f"{found.area_mm2.value:.2f}" == "2.47"
    assert (found.called, found.counts_as_mm2.value) == (("7/0.67",), 2.5)
    assert found.counts_as_mm2.trust == "from memory"


def test_at_least_fourteen_types_and_each_finds_itself() -> None:
    """And no row is credited with more metal than it has."""
    every = table("old_cables").rows
    assert len(every) >= 14
    for row in every:
        found = known(*row.keys)
        assert row.also["called"] in found.called
        assert found.counts_as_mm2.value <= row.value
        assert row.value <= found.area_mm2.value * 1.03, row.also["called"]


def test_two_that_a_calliper_cannot_tell_count_as_the_lesser() -> None:
    """7/.052 and 7/1.35 lie 0.03 mm apart: 6 mm² counts, and the doubt is said."""
    found = known(7, 1.335)
    assert found.called == ("7/.052", "7/1.35")
    assert found.counts_as_mm2.value == 6
    assert "the lesser counts" in found.doubts[0]
    assert "the lesser counts" in found.counts_as_mm2.note
    one = known(1, 1.12)
    assert one.called == ("1/.044", "1/1.13")
    assert one.era == "before about 1970 or since about 1970"


@pytest.mark.parametrize(("strands", "diameter"), [(7, 0.78), (5, 0.67), (19, 1.0)])
def test_what_no_table_holds_is_unknown(strands: int, diameter: float) -> None:
    """Not the nearest: unknown, with the area all the same."""
    found = known(strands, diameter)
    assert not found.counts_as_mm2.known
    assert found.area_mm2.known
    assert found.called == ()


def test_colour_alone_never_sizes() -> None:
    """No colour is asked for; without a count or a diameter there is no size, and a recorded colour gives none."""
    assert list(inspect.signature(recognise).parameters) == ["strands_n", "strand_mm", "sheath", "books"]
    assert "colour" not in table("old_cables").keys
    for strands, diameter in ((unknown("strands_n", "not counted"), Fact("strand_mm", 0.67, "measured")),
                              (Fact("strands_n", 7.0, "measured"), unknown("strand_mm", "not measured"))):
        found = recognise(strands, diameter, Fact("sheath", "plastic", "stated"), BOOKS)
        assert not found.counts_as_mm2.known
        assert "colours say neither size nor age" in found.counts_as_mm2.note


def test_a_run_with_colours_and_no_size_has_no_rating() -> None:
    from spareway.design.design import Design
    from spareway.rules.specimen import specimen
    inst = specimen().found.altered('runs.feed-3 = { joins = ["arrester.bottom", "unit.in"], kind = "tails", length_m = 2, '
                                    'method = "C", colours = "red black" }')
    assert not Design(inst).runs["feed-3"].iz_a.known


@pytest.mark.parametrize(("sheath", "word"), [("lead", "no earth to rely on"), ("tough rubber", "do not bend"),
                                              ("plastic", "smaller than today's"), ("wool", "nothing is known")])
def test_the_sheath_brings_its_cautions(sheath: str, word: str) -> None:
    """Also where the strands say nothing; and every answer asks whether it is copper."""
    assert any(word in doubt for doubt in known(7, 0.737, sheath).doubts)
    assert any(word in doubt for doubt in known(5, 0.5, sheath).doubts)
    assert any("copper-clad" in doubt for doubt in known(7, 0.737, sheath).doubts)
