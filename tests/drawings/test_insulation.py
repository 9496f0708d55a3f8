"""Insulation of a board drawn: each disc at its megohms by the figures of the axis, the sum by a second sum, nothing that was not read."""
from __future__ import annotations

from math import fsum, log10
from xml.etree import ElementTree

import pytest

from spareway.design.design import Design
from spareway.drawings.insulation import insulation_drawn
from spareway.folder import read_folder
from spareway.job.job import read_job
from spareway.readings.tree import Tree, tree
from tests.drawings.graphs import EXAMPLES, faults, marks, places
from tests.drawings.seen import words

BOARDS = (("granary-yard", ""), ("weir-cottage", ""), ("weir-cottage", "house"), ("weir-cottage", "office"))


def made(job: str, board: str = "", *changed: tuple[str, str]) -> tuple[Tree, str]:
    files = dict(read_folder(EXAMPLES / job))
    for was, now in changed:
        assert was in files["readings.csv"]
        files["readings.csv"] = files["readings.csv"].replace(was, now)
    of = tree(Design(read_job(files).at("found")), board)
    return of, insulation_drawn(of)


def said(drawn: str) -> str:
    return " ".join(w.says for w in words(ElementTree.fromstring(drawn)))


def axis(drawn: str) -> tuple[float, float]:
    """(x of 1 MΩ, units a decade) by the figures of the axis, which stand in the middle over their places."""
    found = {float(w.says): (w.covers[0] + w.covers[2]) / 2 for w in words(ElementTree.fromstring(drawn))
             if w.says.replace(".", "").isdigit() and w.covers[1] < 120}
    low, high = min(found), max(found)
    a_decade = (found[high] - found[low]) / log10(high / low)
    return found[low] - a_decade * log10(low), a_decade


@pytest.mark.parametrize(("job", "board"), BOARDS)
def test_each_branch_ends_where_it_was_read(job: str, board: str) -> None:
    """No word over another; discs, rings and the two strokes stand at their megohms; each figure stands beside its name."""
    of, drawn = made(job, board)
    assert faults(drawn) == []
    assert faults(insulation_drawn(of, brief=True)) == []
    at_one, a_decade = axis(drawn)

    def mohm(x: float) -> float:
        return float(10 ** ((x - at_one) / a_decade))

    branches = {what.removeprefix("branch "): places(path)[-1][0] for what, path in marks(drawn) if what.startswith("branch")}
    assert list(branches) == [b.circuit for b in of.branches] == [leak.circuit for leak in of.together.leaks]
    for branch in of.branches:
        assert mohm(branches[branch.circuit]) == pytest.approx(branch.leak.fact.value, rel=0.02)
        assert f"{'>' if branch.over else ''}{branch.leak.fact}" in said(drawn)
    for what, wanted in (("least", 1.0), ("look into", 2.0)):
        assert {round(mohm(places(path)[0][0]), 1) for title, path in marks(drawn) if title == what} == {wanted}
    assert len([1 for what, _ in marks(drawn) if what == "over range"]) == len([b for b in of.branches if b.over])


def test_the_sum_and_the_order_of_the_cottage() -> None:
    """SCENARIOS: 1/(1/0.62 + 1/1.9 + 1/45 + 1/60 + 2/200) = 0.46 MΩ; cooker off 1.7: then look at the immersion. Shares by hand."""
    of, drawn = made("weir-cottage")
    by_hand = 1 / fsum(1 / r for r in (0.62, 1.9, 45, 60, 200, 200))
    assert of.together.sum.value == pytest.approx(by_hand)
    assert "Those that were read come to at least 0.457 MΩ together." in said(drawn)
    assert "Take out first what cooker feeds, 0.62 MΩ: the rest comes to 1.72 MΩ, still low." in said(drawn)
    assert "Then immersion, 1.9 MΩ: the rest comes to 18.4 MΩ." in said(drawn)
    shares = [b.share for b in of.branches if b.share is not None]
    assert shares[:2] == pytest.approx([by_hand / 0.62, by_hand / 1.9])
    assert "74 % of the leak" in said(drawn)
    assert fsum(shares) == pytest.approx(1.0)
    assert [b.circuit for b in of.branches if b.suspect] == ["cooker", "immersion"]


def test_what_was_not_read_has_no_branch_and_is_named() -> None:
    of, drawn = made("weir-cottage", "office")
    assert [b.circuit for b in of.branches] == ["immersion"]
    assert "Not read, and not in the sum: old heater 1, old heater 2, old heater 3." in said(drawn)
    _, empty = made("granary-yard", "", ("insulation_mohm", "ze_ohm"))
    assert "None of its circuits was read yet." in said(empty)
    assert [what for what, _ in marks(empty)] == []


def test_nought_is_drawn_and_makes_all_nought() -> None:
    """A dead short to earth stands at the very left; no share is told of a leak that has no end."""
    of, drawn = made("weir-cottage", "", (",0.62,MΩ", ",0.00,MΩ"))
    assert faults(drawn) == []
    assert of.together.sum.value == 0
    assert "of the leak" not in said(drawn)
    assert next(b for b in of.branches if b.circuit == "cooker").suspect
