"""Limits for a cold reading by each way in print, the boundary of the printed limit, and the ends of the range of a fault current."""
from __future__ import annotations

from typing import Any

import pytest

from spareway.fact import Fact, unknown
from spareway.physics import fault, supply
from spareway.physics.choose import at_most
from spareway.physics.site import WAYS, site_limit, site_limits_ohm
from spareway.tables import Books, look_up

NOW = Books("2018+A4")


def stated(name: str, amount: Any) -> Fact[Any]:
    return Fact(name, amount, "stated")


def case(name: str) -> Fact[Any]:
    return look_up("thresholds", NOW, stated("case", name))


def exact(curve: str, rating_a: float) -> Fact[float]:
    ia = look_up("ia_breaker", NOW, stated("curve", curve), stated("rating_a", rating_a))
    return fault.zs_limit_ohm.worked(case("cmin"), stated("u0_v", 230.0), ia)


def in_print(curve: str, rating_a: float) -> Fact[float]:
    return look_up("zs_breaker", NOW, stated("curve", curve), stated("rating_a", rating_a), stated("clear_s", 0.4))


# B6 and B16: three limits in print for one device, as gathered (5.82, 5.83, 5.87 before cutting off); B32 by hand
@pytest.mark.parametrize(("rating_a", "limits"), [(6, (5.82, 5.82, 5.87)), (16, (2.18, 2.18, 2.20)), (32, (1.09, 1.09, 1.10))])
def test_three_ways_to_a_site_limit(rating_a: float, limits: tuple[float, float, float]) -> None:
    """The firm's usual one is 0.8 of the exact limit, cut off: 5.82, 2.18, 1.09. Each way gives the same on facts, and names itself."""
    ohm, printed = exact("B", rating_a), in_print("B", rating_a)
    assert site_limits_ohm(ohm.value, printed.value, 0.8, 1.24) == limits
    for way, limit in zip(WAYS, limits, strict=True):
        found = site_limit(way, ohm, printed, case("site_factor"), case("guide_divisor"))
        assert found.value == limit
        assert found.line() == f"Zs,site = {limit:.2f} Ω: tried 0.8 exact, 0.8 printed, 1/1.24 exact; " \
            f"the firm goes by {way}, cut off at hundredths"
        assert found.how == "chosen"


def test_a_site_limit_keeps_what_it_rests_on() -> None:
    """A current from memory shows in the limit; an unknown device, or a way that is none, gives none."""
    memory = look_up("ia_fuse", NOW, stated("fuse", "bs3036"), stated("rating_a", 30.0), stated("clear_s", 5.0))
    limit = fault.zs_limit_ohm.worked(case("cmin"), stated("u0_v", 230.0), memory)
    rest = stated("zs_limit_ohm", 2.51), case("site_factor"), case("guide_divisor")
    assert site_limit(WAYS[0], limit, *rest).doubtful() == [memory]
    assert site_limit(WAYS[1], limit, *rest).doubtful() == []
    gap = unknown("zs_limit_ohm", "no device")
    assert site_limit(WAYS[0], gap, *rest).missing() == [gap]
    assert site_limit("three quarters", limit, *rest).note == f"three quarters is no way to a site limit: {', '.join(WAYS)}"


def test_the_exact_limit_decides_and_not_the_printed() -> None:
    """B32: 1.37 is printed, 1.3656 exact. A loop of 1.366 is above the limit, 1.365 is not."""
    limit, printed = exact("B", 32), in_print("B", 32)
    assert (printed.value, round(limit.value, 6)) == (1.37, 1.365625)
    assert [at_most(zs, limit.value) for zs in (1.365, 1.3656, 1.366, 1.37)] == [True, True, False, False]


def test_the_range_of_a_fault_current() -> None:
    """Cold at 253 V and warm at 0.95 of 230 V: the reading at 230 V lies between. 1.1 is 253 over 230."""
    cmax, cmin = case("cmax"), case("cmin")
    assert fault.greatest_fault_a(cmax.value, 230, 0.19) == pytest.approx(fault.prospective_a(supply.highest_v(230, 10), 0.19))
    cold, warm = fault.zs_of_r1r2_ohm(0.34, 0.5), fault.zs_hot_ohm(0.34, 0.5, 1.2)
    most, least = fault.greatest_fault_a(cmax.value, 230, cold), fault.least_fault_a(cmin.value, 230, warm)
    assert least < fault.fault_a(230, warm) < fault.prospective_a(230, cold) < most
    assert most == pytest.approx(253 / 0.84)
    assert least == pytest.approx(218.5 / 0.94)
