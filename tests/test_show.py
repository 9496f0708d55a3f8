"""Numbers as they are printed: digits, halves, whole numbers, and two numbers told apart."""
from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spareway.show import apart, exact, plain, show


@settings(max_examples=300)
@given(st.floats(-1e8, 1e8, allow_subnormal=False), st.integers(1, 17))
def test_exact_and_shown(amount: float, digits: int) -> None:
    """`exact` reads back as the same float and `show` within its digits, neither with an exponent."""
    assert float(exact(amount)) == amount
    assert "e" not in exact(amount) + show(amount, digits)
    assert float(show(amount, digits)) == pytest.approx(amount, rel=0.51 * 10 ** (1 - digits), abs=1e-300)


@pytest.mark.parametrize(("amount", "shown"), [
    (0.514, "0.514"), (999.6, "1000"), (12345.67, "12346"), (0.00099996, "0.00100"), (2.0, "2"), (-0.0, "0"),
    (0.0945, "0.0945"), (0.5145, "0.515"), (125.49999999999999, "126"), (125.4999999, "125"), (-0.5145, "-0.515"),
    (1e22, "1" + "0" * 22),
    (True, "yes"), (False, "no"), (("a", "b"), "a, b"), ("TN-S", "TN-S"), (3, "3"), (10 ** 400, "1" + "0" * 400),
])
def test_show(amount: Any, shown: str) -> None:
    assert show(amount) == shown


def test_plain_and_not_a_number() -> None:
    """Given numbers keep every digit they have; nan and infinity are not printed."""
    assert (plain(0.30000000000000004), plain(2.50), plain(7), plain("C")) == ("0.30000000000000004", "2.5", "7", "C")
    assert exact(7) == "7"
    for amount in (math.nan, math.inf, -math.inf):
        for print_it in (show, exact, plain):
            with pytest.raises(ValueError, match="not printed"):
                print_it(amount)


@settings(max_examples=500)
@given(st.floats(1e-4, 1e4), st.floats(-1e-6, 1e-6))
def test_apart_stands_on_the_same_side(left: float, shift: float) -> None:
    """However close two numbers are, the printed ones compare as the real ones do, to no more digits than needed."""
    right = left * (1 + shift)
    one, other = apart(left, right)
    assert (float(one) > float(other)) - (float(one) < float(other)) == (left > right) - (left < right)


def test_apart_is_brief() -> None:
    assert apart(1.3656, 1.37) == ("1.366", "1.370")
    assert apart(1.3656, 2) == ("1.37", "2")
    assert apart(0.1 + 0.2, 0.3) == ("0.30000000000000004", "0.29999999999999999")
    assert apart(5.0, 5.0) == ("5", "5")
