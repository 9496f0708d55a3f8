"""The bounds of a breaker: each is in the product standard, rests on its rows, and nothing is told between them."""
from __future__ import annotations

from typing import Any

import pytest

from spareway.fact import Fact, unknown
from spareway.physics.curves import Curve, opens_by_s
from spareway.tables import Books, NoRow, breaker_bounds

NOW = Books("2018+A4")


def bounds(curve: Any, rating_a: Any) -> Fact[Any]:
    return breaker_bounds(NOW, Fact("curve", curve, "marked"), Fact("rating_a", rating_a, "marked"))


@pytest.mark.parametrize(("curve", "rating_a", "points"), [
    ("B", 32.0, ((46.4, 3600), (81.6, 60), (160, 0.1))), ("C", 40.0, ((58, 3600), (102, 120), (400, 0.1))),
    ("D", 63.0, ((91.35, 3600), (160.65, 120), (1260, 0.1))), ("B", 80.0, ((116, 7200), (204, 120), (400, 0.1))),
])
def test_bounds_as_the_standard_tests_them(curve: str, rating_a: float, points: tuple[tuple[float, float], ...]) -> None:
    """BS EN 60898-1 Table 7, by hand: 1.45 In in an hour (two above 63 A), 2.55 In in 60 s (120 s above 32 A), 5, 10, 20 In at once."""
    found = bounds(curve, rating_a)
    assert [each for point in found.value for each in point] == pytest.approx([each for point in points for each in point])
    assert found.how == "worked"


def test_between_two_bounds_the_slower_holds() -> None:
    """At 3 In a B32 has opened within 60 s; the standard does not say sooner."""
    curve = Curve(bounds("B", 32.0).value)
    assert [opens_by_s(curve, amps) for amps in (46.4, 81.5, 81.6, 159, 160, 3000)] == [3600, 3600, 60, 60, 0.1, 0.1]
    with pytest.raises(ValueError, match="outside"):
        opens_by_s(curve, 46)


def test_the_line_names_each_multiple() -> None:
    found = bounds("B", 32.0)
    assert found.line() == "curve = 1.45 × 32 A 3600 s, 2.55 × 32 A 60 s, 5 × 32 A 0.1 s"
    assert found.again({found.inputs[0]: 16.0})[-1] == (80, 0.1)
    assert found.doubtful() == []


def test_what_is_not_known_or_not_there() -> None:
    """No rating, no bounds; a curve the standard has not is refused."""
    gap = unknown("rating_a", "illegible")
    found = breaker_bounds(NOW, Fact("curve", "B", "marked"), gap)
    assert (found.amount, found.missing()) == (None, [gap])
    assert breaker_bounds(NOW, unknown("curve", "illegible"), Fact("rating_a", 32.0, "marked")).amount is None
    for curve, rating_a in (("K", 32.0), ("B", 126.0)):
        with pytest.raises(NoRow):
            bounds(curve, rating_a)
