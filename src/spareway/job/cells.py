"""One cell of a row, read as its column says. What cannot be read for certain is a fault and never a guess."""
from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from spareway.doc import Fault, nearest, shorten
from spareway.fact import quantities
from spareway.job.fields import Spec

__all__ = ["Line", "plain_units", "quantity_units", "read_cell", "units_for"]


@dataclass(slots=True)
class Line:
    """A line of a file, and what is wrong there."""
    file: str
    number: int
    faults: list[Fault]

    def fault(self, key: str, read: str, says: str, allowed: str = "", near: str = "") -> None:
        self.faults.append(Fault(self.file, self.number, key, shorten(read), says, allowed, near))


def read_cell(at: Line, spec: Spec, cell: str, needed: bool) -> Any:
    """The value of a cell; an empty one is None for a number or a yes or no, otherwise an empty text."""
    if cell != cell.strip():
        at.fault(spec.key, cell, "a space at its edge", "take it out", cell.strip())
    elif cell:
        return _BY_KEY.get(spec.key, _BY_HOLDS[spec.holds])(at, spec, cell)
    elif needed:
        at.fault(spec.key, "", f"{spec.key} is missing", f"{spec.says}, like {spec.example}")
    return None if spec.holds in ("number", "flag") else ""


def _misread(at: Line, spec: Spec, cell: str, wanted: str, near: str = "") -> None:
    at.fault(spec.key, cell, f'read "{shorten(cell)}"', f"write {wanted}; {spec.key} is {spec.says}", near)


_NUMBER = re.compile(r"-?[0-9]+(?:\.[0-9]+)?", re.ASCII)
_LONGEST, _LARGEST = 40, 1e12


def _number(at: Line, spec: Spec, cell: str) -> float | None:
    """Digits and a point, as a display shows them: no exponent, no comma, no sign before nought."""
    amount = float(cell) if len(cell) <= _LONGEST and _NUMBER.fullmatch(cell) else None
    if amount is None or abs(amount) > _LARGEST or amount == 0 and cell.startswith("-"):
        point = cell.replace(",", ".", 1) if "," in cell else ""
        _misread(at, spec, cell, f"a number with a point, like {spec.example}",
                 point if _NUMBER.fullmatch(point) else "")
        return None
    if spec.least is not None and amount < spec.least or spec.most is not None and amount > spec.most:
        _misread(at, spec, cell, f"a number from {spec.least:g} to {spec.most:g}")
        return None
    return amount


def _flag(at: Line, spec: Spec, cell: str) -> bool | None:
    if cell in ("yes", "no"):
        return cell == "yes"
    _misread(at, spec, cell, "yes, no or nothing", nearest(cell, ("yes", "no")))
    return None


def _word(at: Line, spec: Spec, cell: str) -> str:
    if spec.one_of and cell not in spec.one_of:
        _misread(at, spec, cell, f"one of {', '.join(spec.one_of)}", nearest(cell, spec.one_of))
    return cell


_DAY, _CLOCK = r"[0-9]{4}-[0-9]{2}-[0-9]{2}", r"T[0-9]{2}:[0-9]{2}(?::[0-9]{2})?(?:Z|[+-][0-9]{2}:[0-9]{2})?"
_MOMENT = re.compile(f"{_DAY}(?:{_CLOCK})?", re.ASCII)


def _moment(at: Line, spec: Spec, cell: str) -> str:
    """A day, or a day and time, that the calendar has. It stays a text: no clock decides anything here."""
    import datetime
    try:
        good = _MOMENT.fullmatch(cell) is not None and bool(datetime.datetime.fromisoformat(cell))
    except ValueError:
        good = False
    if not good:
        _misread(at, spec, cell, f"a day, or a day and time, like {spec.example}")
    return cell


def _shaped(pattern: str, wanted: str) -> Callable[[Line, Spec, str], str]:
    def read(at: Line, spec: Spec, cell: str) -> str:
        if not re.fullmatch(pattern, cell, re.ASCII):      # compiled when first asked for, and kept by the library
            _misread(at, spec, cell, wanted)
        return cell
    return read


def _quantity(at: Line, spec: Spec, cell: str) -> str:
    if cell not in quantity_units():
        at.fault(spec.key, cell, f'there is no quantity "{shorten(cell)}"',
                 f"write a name from the glossary, like {spec.example}", nearest(cell, quantity_units()))
    return cell


_BOX = r"(?:[0-9]{1,3}|1000)(?: (?:[0-9]{1,3}|1000)){3}"
_BY_HOLDS: dict[str, Callable[[Line, Spec, str], Any]] = {
    "number": _number, "flag": _flag, "word": _word, "address": _word, "date": _moment}
_BY_KEY: dict[str, Callable[[Line, Spec, str], Any]] = {
    "id": _shaped(r"[A-Za-z0-9][A-Za-z0-9_.-]*", "letters, digits and hyphens"),
    "quantity": _quantity,
    "over": _shaped(r"yes|>[0-9]{1,12}(?:\.[0-9]{1,12})?", "yes, nothing, or > and a number"),
    "sha256": _shaped(r"[0-9a-f]{64}", "64 hexadecimal digits in small letters"),
    "boxes": _shaped(rf"{_BOX}(?:; ?{_BOX})*", "four whole numbers up to 1000, and ; between boxes"),
}


# ---- units ----------------------------------------------------------------------------------------------------------
# read and never worked out, so the glossary need not have them; where it has one, it speaks last
_ONLY_READ = {"insulation_mohm": "MΩ", "ring_le_ohm": "Ω", "leg_ohm": "Ω", "highest_minute_a": "A"}
# what may be stated in place of the quantity's unit, as powers of ten. No mΩ: that is MΩ after a slip of the shift key
_SCALES = ({"Ω": 0, "kΩ": 3, "MΩ": 6}, {"mA": -3, "A": 0, "kA": 3}, {"V": 0, "kV": 3}, {"W": 0, "kW": 3},
           {"ms": -3, "s": 0}, {"mm": -3, "m": 0})
_SIGNS = str.maketrans({"\u2126": "Ω", "\u03bc": "µ"})            # the ohm sign and the Greek letter look the same


def plain_units(unit: str) -> str:
    """A unit in the letters that the glossary uses."""
    return unit.translate(_SIGNS)


@cache
def quantity_units() -> Mapping[str, str]:
    """Every quantity that may be read, with its unit."""
    return {**_ONLY_READ, **{q.name: q.unit for q in quantities()}}


def units_for(own: str) -> dict[str, int]:
    """The units in which a quantity of this unit may be stated, each with the power of ten that leads back to it."""
    for scale in _SCALES:
        if own in scale:
            return {unit: power - scale[own] for unit, power in scale.items()}
    return {own: 0}
