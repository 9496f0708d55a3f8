"""Numbers as a person reads and keys them: so many significant digits, never an exponent, whole numbers whole."""
from __future__ import annotations

import math
import re
from functools import lru_cache
from typing import Any

_CONTROL = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u200b-\u200f\u2028-\u202e\u2066-\u2069\ufeff]")


def show(amount: Any, digits: int = 3) -> str:
    """To so many significant digits, and never fewer than the whole number has; a text as it is.

    The exponent is read off the formatted number and not off a logarithm, whose last digit differs between machines."""
    if isinstance(amount, bool):
        return "yes" if amount else "no"
    if not isinstance(amount, int | float):
        return ", ".join(map(str, amount)) if isinstance(amount, tuple) else str(amount)
    if isinstance(amount, int) or math.isfinite(amount) and amount == int(amount):
        return str(int(amount))
    return _decimal(amount, digits)


@lru_cache(2048)                           # one check asks for each of its numbers four times
def _decimal(amount: float, digits: int) -> str:
    """Errors: ValueError for nan and infinity, which are not printed."""
    if not math.isfinite(amount):
        raise ValueError(f"{amount} is not printed as a number")
    if digits <= 12:
        amount *= 1 + 2 ** -50              # 0.0945 is 0.0944999... inside: a half goes up, as whoever keys it in rounds it
    exponent = int(f"{amount:.{digits - 1}e}".partition("e")[2])
    return f"{amount:.{max(0, digits - 1 - exponent)}f}"


def plain(amount: Any) -> str:
    """A given number as it was given: every digit it has, no more."""
    return exact(amount) if isinstance(amount, float) else show(amount)


def exact(amount: Any) -> str:
    """The shortest decimal that reads back as this very number, without an exponent; what is no float as it is."""
    if not isinstance(amount, float):
        return str(amount)
    if math.isfinite(amount) and amount == int(amount):
        return str(int(amount))
    digits = 1 if float(f"{amount:.14e}") == amount else 16             # most numbers have few digits or all of them
    while digits < 17 and float(f"{amount:.{digits - 1}e}") != amount:  # 17 tell any float from any other
        digits += 1
    return _decimal(amount, digits)


def apart(left: float, right: float, digits: int = 3) -> tuple[str, str]:
    """Both numbers with just enough digits that the printed ones stand on the same side as the real ones."""
    def side(a: float, b: float) -> int:
        return (a > b) - (a < b)
    pair = (show(left, digits), show(right, digits))
    while digits < 17 and side(float(pair[0]), float(pair[1])) != side(left, right):
        digits += 1
        pair = (show(left, digits), show(right, digits))
    return pair


def cleaned(text: str) -> str:
    """Without anything that could steer a terminal: a job's texts come from anywhere."""
    return _CONTROL.sub("\N{REPLACEMENT CHARACTER}", text)
