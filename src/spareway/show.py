"""Numbers as a person reads and keys them: so many significant digits, never an exponent, whole numbers whole."""
from __future__ import annotations

from typing import Any


def show(amount: Any, digits: int = 3) -> str:
    """To so many significant digits, and never fewer than the whole number has; a text as it is.

    The exponent is read off the formatted number and not off a logarithm, whose last digit differs between machines."""
    if isinstance(amount, bool):
        return "yes" if amount else "no"
    if not isinstance(amount, int | float):
        return ", ".join(map(str, amount)) if isinstance(amount, tuple) else str(amount)
    if amount == int(amount):
        return str(int(amount))
    exponent = int(f"{amount:.{digits - 1}e}".partition("e")[2])
    return f"{amount:.{max(0, digits - 1 - exponent)}f}"


def plain(amount: Any) -> str:
    """A given number as it was given: every digit it has, no more."""
    return exact(amount) if isinstance(amount, float) else show(amount)


def exact(amount: Any) -> str:
    """The shortest decimal that reads back as this very number, without an exponent."""
    if not isinstance(amount, float) or amount == int(amount):
        return str(int(amount)) if isinstance(amount, float) else str(amount)
    for digits in range(1, 18):
        text = f"{amount:.{digits - 1}e}"
        if float(text) == amount:
            exponent = int(text.partition("e")[2])
            return f"{amount:.{max(0, digits - 1 - exponent)}f}"
    raise ValueError(f"not a number: {amount!r}")


def apart(left: float, right: float, digits: int = 3) -> tuple[str, str]:
    """Both numbers with just enough digits that the printed ones stand on the same side as the real ones."""
    def side(a: float, b: float) -> int:
        return (a > b) - (a < b)
    pair = (show(left, digits), show(right, digits))
    for tried in range(digits, 18):
        pair = (show(left, tried), show(right, tried))
        if side(float(pair[0]), float(pair[1])) == side(left, right):
            break
    return pair
