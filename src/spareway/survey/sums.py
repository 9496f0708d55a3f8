"""What a person types with a tape in the other hand: a number, or widths by heights added up. Added up exactly, as written."""

from __future__ import annotations

import re

from spareway.doc import Fault, InputError

__all__ = ["added_up"]

MOST_PARTS, MOST_LETTERS, MOST = 12, 120, 10_000
NUMBER = re.compile(r"\d{1,5}(?:\.\d{1,4})?", re.ASCII)


def added_up(said: str, unit: str) -> tuple[int | float, str]:
    """("1.2×1.4+0.6") -> (2.28, "1.2 × 1.4 + 0.6"): the amount, and how it came to be where it was more than one number.

    Only an area may be a sum. Errors: InputError for whatever is no number, no sum, or too large."""
    from decimal import Decimal

    plain = said.replace(" ", "").replace("x", "×").replace("*", "×")
    parts = [part.split("×") for part in plain.split("+")]
    sums = unit == "m²"
    fits = len(plain) <= MOST_LETTERS and len(parts) <= MOST_PARTS and all(len(part) <= 2 for part in parts)
    if not fits or not sums and plain != parts[0][0] or not all(NUMBER.fullmatch(each) for part in parts for each in part):
        hint = f"write {said.replace(',', '.')}, with a point" if NUMBER.fullmatch(said.replace(",", ".", 1)) else (
            "width × height of each, with + between them" if sums else f"a number, in {unit}"
        )
        raise InputError([Fault("answer", None, unit, said, f'read "{said}"', hint)])
    total = Decimal(0)
    for part in parts:
        total += Decimal(part[0]) * (Decimal(part[1]) if len(part) == 2 else 1)
    if total > MOST:
        raise InputError([Fault("answer", None, unit, said, f'read "{said}"', f"at most {MOST} {unit}")])
    amount = int(total) if total == int(total) else float(total)
    return amount, "" if plain == parts[0][0] else " + ".join(" × ".join(part) for part in parts)
