"""A trend drawn: discs and bars at their values by the figures of the axis, dates in order, over range as an arrow."""
from __future__ import annotations

from dataclasses import replace
from xml.etree import ElementTree

import pytest

from spareway.design.design import Design
from spareway.drawings.trend import trend_drawn, years
from spareway.folder import read_folder
from spareway.job.job import read_job
from spareway.job.rows import Reading
from spareway.readings.later import At, trends
from tests.drawings.graphs import EXAMPLES, faults, marks, places
from tests.drawings.seen import words


def trend(*values: tuple[str, float | None], quantity: str = "ring_r1_ohm", setup: str = "end to end") -> tuple[At, ...]:
    """Rows of these dates and values, over range where there is none, all at 15 °C, as `readings.later` sees them."""
    books = Design(read_job(dict(read_folder(EXAMPLES / "granary-yard"))).at("found")).books
    rows = [Reading(id=f"r{i}", stage="found", quantity=quantity, a="circuits.ring", setup=setup, value=value, over="" if value is not None else ">99.9",
                    temp_c=15, by="a", at=at, line=i) for i, (at, value) in enumerate(values)]
    (found,) = trends([[row] for row in rows], books).values()
    return found


def said(drawn: str) -> str:
    return " ".join(w.says for w in words(ElementTree.fromstring(drawn)))


def test_what_is_read_back_is_what_was_read() -> None:
    """Three dates: each disc and both ends of each bar at their ohms at 20 °C, by hand 0.28/(1+0.00393×(−5)) = 0.2856."""
    points = trend(("2016-05-01T10:00", 0.28), ("2021-06-01T10:00", 0.29), ("2026-11-16T10:30", 0.45))
    drawn = trend_drawn(points)
    assert faults(drawn) == []
    assert faults(trend_drawn(points, brief=True)) == []
    assert points[0].value.value == pytest.approx(0.2856, abs=2e-4)
    figures = {float(w.says): w.covers[3] - 0.21 * 13 - 4.5 for w in words(ElementTree.fromstring(drawn)) if abs(w.covers[2] - 46) < 0.1}
    nought, an_ohm = figures[0], (figures[max(figures)] - figures[0]) / max(figures)
    discs = [(float(e.attrib["cx"]), (float(e.attrib["cy"]) - nought) / an_ohm) for what, e in marks(drawn) if what == "read"]
    assert [y for _, y in discs] == pytest.approx([p.value.value for p in points], abs=0.12 / abs(an_ohm))
    assert [x for x, _ in discs] == sorted(x for x, _ in discs)
    bars = [places(e) for what, e in marks(drawn) if what == "doubt"]
    for bar, point in zip(bars, points, strict=True):
        assert [(bar[0][1] - nought) / an_ohm, (bar[1][1] - nought) / an_ohm] == pytest.approx([point.most, point.least], abs=0.12 / abs(an_ohm))
    for year in ("2016", "2021", "2026"):
        assert year in said(drawn)


def test_dates_lie_where_they_are() -> None:
    """Ten years apart twice as far as five; two on one day still stand apart."""
    x = [float(e.attrib["cx"]) for what, e in marks(trend_drawn(trend(("2010-01-01", 0.3), ("2015-01-01", 0.3), ("2025-01-01", 0.3)))) if what == "read"]
    assert (x[2] - x[1]) / (x[1] - x[0]) == pytest.approx(2, rel=0.01)
    twice = trend(("2010-01-01T10:00", 0.3), ("2010-01-01T12:00", 0.4))
    assert faults(trend_drawn(twice)) == []
    assert years("2026-03-01") == pytest.approx(2026 + 59 / 365)


def test_over_range_is_an_arrow_and_one_reading_is_no_trend() -> None:
    points = trend(("2016-05-01", 0.45), ("2026-11-16", None))
    drawn = trend_drawn(points)
    assert [what for what, _ in marks(drawn)] == ["doubt", "read", "over range"]
    assert "2026-11-16: over range (>99.9)" in said(drawn)
    with pytest.raises(ValueError, match="make no trend"):
        trend_drawn(points[:1])
    insulation = trend(("2016-05-01", 180.0), ("2026-11-16", 0.0), quantity="insulation_mohm", setup="line to earth")
    assert faults(trend_drawn([replace(p) for p in insulation])) == []
