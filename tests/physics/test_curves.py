"""Curves: each printed point falls on its curve, a value between lies between, and outside nothing is said."""
from __future__ import annotations

import itertools
from typing import Any

import numpy as np
import pytest
from scipy.interpolate import interp1d

from spareway.fact import Fact
from spareway.physics import curves, fault
from spareway.physics.curves import Curve, current_a, current_for, let_by_a2s, opens_by_s, opens_within, opens_within_s
from spareway.tables import Books, time_current
from spareway.tables.table import table
from tests.tables.reference import TRUST, lines

NOW = Books("2018+A4")
DEVICES = {"BS 88-3 system C": "bs88-3", "BS 1361": "bs1361", "BS 3036": "bs3036", "BS 88-2": "bs88-2"}
DISPUTED = ("bs88-2", 100.0)
FUSES = sorted({(row.keys[0], float(row.keys[1])) for row in table("ia_fuse").rows} - {DISPUTED})
LONGER = [(fuse, rating) for fuse, rating in FUSES
          if len([row for row in table("ia_fuse").rows if row.keys[:2] == (fuse, rating)]) > 1]


def stated(name: str, amount: Any) -> Fact[Any]:
    return Fact(name, amount, "stated")


def points_of(fuse: str, rating: float, books: Books = NOW) -> Fact[curves.Points]:
    return time_current(books, stated("fuse", fuse), stated("rating_a", rating))


def curve_of(fuse: str, rating: float) -> Curve:
    return Curve(points_of(fuse, rating).value)


# ---- printed points -------------------------------------------------------------------------------------------------
def gathered() -> list[tuple[str, float, float, float, str]]:
    return [(DEVICES[line["device"]], float(line["in_a"]), float(line["time_s"]), float(line["ia_a"]), TRUST[line["confidence"]])
            for line in lines("fuse_time_current_points") if line["device"] in DEVICES]


def test_each_printed_point_falls_on_its_curve() -> None:
    """BS 7671 Appendix 3 as gathered, both ways; and no curve is better known than its worst gathered point is by another line."""
    asked = [line for line in gathered() if line[:2] != DISPUTED]
    assert len(asked) > 55
    for fuse, rating, time_s, amps, _ in asked:
        assert opens_within_s(curve_of(fuse, rating), amps) == time_s, (fuse, rating)
        assert current_a(curve_of(fuse, rating), time_s) == amps, (fuse, rating)
        assert opens_by_s(curve_of(fuse, rating), amps) == time_s, (fuse, rating)


def test_a_value_between_lies_between() -> None:
    """Halfway along the logarithms of current, halfway along those of time: by hand for 30 A to BS 3036, 87 A 5 s and 210 A 0.4 s."""
    assert opens_within_s(curve_of("bs3036", 30), (87 * 210) ** 0.5) == pytest.approx((5 * 0.4) ** 0.5)
    assert current_a(curve_of("bs3036", 30), (5 * 0.4) ** 0.5) == pytest.approx((87 * 210) ** 0.5)
    for fuse, rating in LONGER:
        curve = curve_of(fuse, rating)
        for (low_a, slow_s), (high_a, fast_s) in itertools.pairwise(curve.points):
            for share in (0.01, 0.5, 0.99):
                amps = low_a + share * (high_a - low_a)
                assert fast_s < opens_within_s(curve, amps) < slow_s
                assert low_a < current_a(curve, fast_s + share * (slow_s - fast_s)) < high_a


def test_a_second_reader_of_the_print_agrees() -> None:
    """numpy's interpolation of the logarithms, and scipy's, at twenty currents of each curve; and there and back again."""
    for fuse, rating in LONGER:
        curve = curve_of(fuse, rating)
        amps, times = (np.log(np.array(column)) for column in zip(*curve.points, strict=True))
        for asked in np.linspace(curve.points[0][0], curve.points[-1][0], 20):
            ours = opens_within_s(curve, float(asked))
            assert ours == pytest.approx(float(np.exp(np.interp(np.log(asked), amps, times))), rel=1e-9)
            assert ours == pytest.approx(float(np.exp(interp1d(amps, times)(min(np.log(asked), amps[-1])))), rel=1e-9)
            assert current_a(curve, ours) == pytest.approx(asked, rel=1e-9)


@pytest.mark.parametrize(("fuse", "rating"), FUSES)
def test_outside_its_points_nothing_is_said(fuse: str, rating: float) -> None:
    """A thousandth beyond either end is refused, and the refusal names the printed points."""
    curve = curve_of(fuse, rating)
    (least_a, slowest_s), (most_a, fastest_s) = curve.points[0], curve.points[-1]
    for read, wrong in ((opens_within_s, least_a * 0.999), (opens_within_s, most_a * 1.001), (current_a, slowest_s * 1.001),
                        (current_a, fastest_s * 0.999), (opens_by_s, least_a * 0.999)):
        with pytest.raises(ValueError, match=f"outside what is printed.*{least_a:.0f} A {slowest_s:g} s"):
            read(curve, wrong)


def test_the_noise_of_floats_is_no_distance() -> None:
    """Half a billionth beside a printed point is on it, at either end too; two billionths beyond an end are outside."""
    curve = curve_of("bs1361", 80)
    for amps, time_s in curve.points:
        for near in (1 - 5e-10, 1 + 5e-10):
            assert opens_within_s(curve, amps * near) == opens_by_s(curve, amps * near) == time_s
            assert current_a(curve, time_s * near) == amps
    for read, wrong in ((opens_within_s, 460 * (1 - 2e-9)), (opens_by_s, 460 * (1 - 2e-9)), (opens_within_s, 1100 * (1 + 2e-9)),
                        (current_a, 5 * (1 + 2e-9)), (current_a, 0.1 * (1 - 2e-9)), (opens_within_s, float("nan")), (current_a, float("nan"))):
        with pytest.raises(ValueError, match="outside"):
            read(curve, wrong)


def test_a_greater_current_has_opened_it_by_the_same_time() -> None:
    """A fuse only opens sooner: by its last printed time above it, by the slower one between two. That says nothing of its energy."""
    curve = curve_of("bs1361", 80)
    assert [opens_by_s(curve, amps) for amps in (460, 799, 800, 1099, 1100, 9000)] == [5, 5, 0.4, 0.4, 0.1, 0.1]
    with pytest.raises(ValueError, match="outside"):
        let_by_a2s(curve, 1101)
    assert let_by_a2s(curve, 800) == 800 ** 2 * 0.4 == fault.i2t_a2s(800, 0.4)


# ---- breakers -------------------------------------------------------------------------------------------------------
def test_a_breaker_is_a_bound() -> None:
    """BS EN 60898-1: at 5 In a B breaker opens in less than 0.1 s; between 3 and 5 In nothing is told, and its energy is no reading."""
    curve = Curve(((fault.instant_a(5, 32), 0.1),), bound=True)
    assert [opens_within_s(curve, amps) for amps in (160, 161, 6000)] == [0.1, 0.1, 0.1]
    assert [current_a(curve, time_s) for time_s in (0.1, 0.4, 5)] == [160, 160, 160]
    for read, wrong in ((opens_within_s, 159.9), (current_a, 0.0999), (opens_by_s, 159.9)):
        with pytest.raises(ValueError, match="nothing is told"):
            read(curve, wrong)
    with pytest.raises(ValueError, match=r"its point is 160 A 0\.1 s, and below that nothing is told"):
        opens_within_s(curve, 100)
    with pytest.raises(ValueError, match="a bound and not a reading"):
        let_by_a2s(curve, 200)


@pytest.mark.parametrize("points", [
    (), ((0.0, 1.0),), ((10.0, 0.0),), ((10.0, 5.0), (10.0, 0.4)), ((10.0, 0.4), (20.0, 5.0)), ((10.0, 5.0), (20.0, 5.0)),
    ((20.0, 5.0), (10.0, 0.4)), ((float("nan"), 5.0),), ((10.0, 5.0), (20.0, 0.0)), ((0.0, 5.0), (20.0, 0.4)),
])
def test_what_is_no_curve_is_refused(points: curves.Points) -> None:
    """No point, a nought among good points, currents that do not rise, times that do not fall; small ones are a curve."""
    assert str(Curve(((0.5, 5.0), (0.9, 0.1)))) == "0.5 A 5 s, 0.9 A 0.1 s"
    with pytest.raises(ValueError, match=r"a curve has|along a curve"):
        Curve(points)


# ---- as facts -------------------------------------------------------------------------------------------------------
def test_points_carry_the_worst_trust_of_their_rows() -> None:
    """From memory where any point is; one source where all were seen; the print of 2008 for a fuse that left the book."""
    assert points_of("bs3036", 15).trust == "from memory"
    seen = points_of("bs1361-2", 80)
    assert (seen.value, seen.trust, seen.how) == (((460.0, 5.0), (800.0, 0.4), (1100.0, 0.1)), "one source", "table")
    assert seen.where == "BS 7671:2008 Appendix 3"
    assert "read off the printed curve" in seen.note
    assert seen.line() == "curve = Appendix 3 (fuse bs1361-2, 80 A) = 460 A 5 s, 800 A 0.4 s, 1100 A 0.1 s"
    assert seen.again({seen.inputs[1]: 20}) == ((82.0, 5.0), (135.0, 0.4))
    assert seen.again({seen.inputs[1]: 21}) is None


def test_a_disputed_point_is_not_used() -> None:
    """The only point of a 100 A fuse to BS 88-2 is disputed: there is no curve, and its figure stands nowhere."""
    found = points_of("bs88-2", 100)
    assert (found.amount, found.trust) == (None, "uncertain")
    assert "disputed" in found.note
    assert "500" not in found.note + found.line()


@pytest.mark.parametrize(("fuse", "rating", "says"), [
    ("bs3036", 31, "no point of a 31 A fuse bs3036"), ("bs1361-3", 80, "no point"), (None, 80, "without: "), ("bs3036", None, "without: "),
])
def test_no_point_no_curve(fuse: str | None, rating: float | None, says: str) -> None:
    found = points_of(fuse, rating)  # type: ignore[arg-type]
    assert found.amount is None
    assert says in found.note
    read = opens_within(found, stated("fault_a", 100.0))
    assert (read.amount, read.how) == (None, "unknown")
    assert read.missing() == ([found] if fuse and rating else [each for each in found.inputs if each.amount is None])


def test_a_time_as_a_fact_keys_in_again_and_keeps_its_doubt() -> None:
    """The line is arithmetic that gives the printed time; a point from memory is what the time rests on."""
    points, asked = points_of("bs3036", 30), stated("fault_a", 150.0)
    found = opens_within(points, asked)
    assert found.line() == "t = 0.4 × (5/0.4)^(ln(210/150)/ln(210/87)) = 1.05 s"
    assert 0.4 * (5 / 0.4) ** (np.log(210 / 150) / np.log(210 / 87)) == pytest.approx(found.value)
    assert found.doubtful() == [points]
    assert found.again({asked: 210.0}) == 0.4
    assert found.again({asked: 211.0}) is None
    back = current_for(points, found)
    assert back.value == pytest.approx(150)
    assert back.line() == "Ia = 210 × (87/210)^(ln(1.0493/0.4)/ln(5/0.4)) = 150 A"
    on = opens_within(points, stated("fault_a", 210.0))
    assert on.line() == "t = 0.400 s: by the printed points, at 210 A"
    assert opens_within(points, stated("fault_a", 300.0)).note.startswith("300 A is outside what is printed")
    assert current_for(points, stated("clear_s", 6.0)).note.endswith("its points are 87 A 5 s, 210 A 0.4 s")
    assert opens_within(points, stated("fault_a", 300.0)).line() == "t = unknown: by the printed points, at 300 A"
    assert opens_within(points, stated("fault_a", None)).line() == "t = unknown: by the printed points, at unknown"
    breaker = opens_within(Fact("time_current_points", ((160.0, 0.1),), "worked"), stated("fault_a", 200.0), bound=True)
    assert breaker.line() == "t = 0.100 s: at most, by the printed points, at 200 A"
