"""A value beside its limit: read back out of the drawing, the picture says what the comparison says."""
from __future__ import annotations

import re
from random import Random
from xml.etree import ElementTree

import pytest

from spareway.drawings.marks import CLASSES, mark
from spareway.drawings.strip import strip
from spareway.rules.base import TESTS, VERDICTS

RELATIONS = ("at most", "at least", "below")


def drawn(svg: str) -> tuple[float, float, set[float]]:
    """(middle of the value, where the limit stands, where the hatching stands) off the drawing."""
    tree = ElementTree.fromstring(svg)
    by_class = {each.get("class", ""): each for each in tree.iter()}
    limit = float(re.match(r"M([\d.]+)", by_class["limit"].get("d", ""))[1])
    shape = by_class.get("value", by_class.get("maybe"))
    assert shape is not None
    at = float(shape.get("cx")) if shape.get("cx") else sum(float(x) for x in re.findall(r"[ML]([-\d.]+)", shape.get("d", ""))[:2]) / 2
    hatch = {float(x) for x in re.findall(r"M([\d.]+)", by_class["beyond"].get("d", ""))} if "beyond" in by_class else set()
    return at, limit, hatch


def test_the_value_stands_on_its_side_of_the_line() -> None:
    dice = Random(5)
    for _ in range(500):
        value, limit, relation = dice.uniform(0, 200), dice.uniform(0.01, 200), dice.choice(RELATIONS)
        good = TESTS[relation](value, limit)
        at, line, hatch = drawn(strip(value, limit, relation, "A", "within" if good else "fails"))
        assert abs((at - 4) / (line - 4) - value / limit) < 0.12 / (line - 4) * (1 + value / limit), "to scale, zero at the left"
        assert all(h >= line for h in hatch) if relation != "at least" else all(h <= line for h in hatch)
        assert 4 <= line <= 332
        assert -6 <= at <= 332


def test_words_stay_inside_and_never_cross_the_edges() -> None:
    for value, limit in ((0.0, 5.0), (5.0, 0.0), (0.0, 0.0), (1e6, 1.0), (0.001, 1000.0)):
        xs = [float(x) for x in re.findall(r'<text[^>]* x="([\d.]+)"', strip(value, limit, "at most", "Ω", "fails"))]
        assert len(xs) == 2
        assert all(48 <= x <= 288 for x in xs)


def test_what_cannot_be_drawn_is_refused() -> None:
    for value, limit, relation in ((float("nan"), 1.0, "at most"), (1.0, -1.0, "at most"), (1.0, 2.0, "about")):
        with pytest.raises(ValueError, match="is not drawn"):
            strip(value, limit, relation, "A", "fails")


def test_printed_numbers_stand_on_the_same_side_as_the_real_ones() -> None:
    said = re.findall(r"<text[^>]*>([^<]*)</text>", strip(1.3656, 1.3659, "at most", "Ω", "within"))
    assert said == ["limit 1.3659 Ω", "1.3656 Ω"]


def test_each_verdict_has_a_mark_of_its_own() -> None:
    marks = {mark(verdict) for verdict in VERDICTS}
    assert len(marks) == len(VERDICTS) == len(set(CLASSES.values()))
    for each in marks:
        ElementTree.fromstring(each)
        assert "style" not in each
