"""What an instrument may show: how far it may be out by its standard and in good order, its digits, the end of its range."""
from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from spareway.job.rows import Reading
from spareway.job.types import Instrument
from spareway.tables import Books, rows

__all__ = ["Accuracy", "accuracy", "calibrated", "function_of", "range_end"]

CONTINUITY = ("r_ohm", "r1_ohm", "r2_ohm", "r1r2_ohm", "r1rn_ohm", "rnr2_ohm", "reading_ohm", "ring_r1_ohm", "ring_rn_ohm",
              "ring_r2_ohm", "ring_ln_ohm", "ring_le_ohm", "ring_ne_ohm", "leg_ohm")
LOOP = ("ze_ohm", "zs_ohm", "loop_ln_ohm", "loop_ohm", "prospective_ka", "fault_ka")
OTHER = {"insulation_mohm": "insulation", "electrode_ohm": "earth electrode", "trip_ms": "RCD, time", "ramp_ma": "RCD, ramp",
         "supply_v": "voltage"}
NO_TRIP = ("no-trip", "no trip", "low current", "three wire")      # how a row says that little current was used


@dataclass(frozen=True, slots=True)
class Accuracy:
    """How far a reading may be out: `percent` of it and `digits_n` digits in good order, `worst_percent` by its standard.

    digit: the last of the display up to `digit_to`, ten times that beyond; end: the least end of its range, 0 where not told."""
    function: str
    worst_percent: float
    percent: float
    digits_n: float
    digit: float
    digit_to: float
    end: float

    def digit_at(self, value: float) -> float:
        """The last digit that is shown of such a value."""
        digit, reach = self.digit, self.digit_to
        while value >= reach:
            digit, reach = digit * 10, reach * 10
        return digit

    def error(self, value: float) -> float:
        """How far a reading of such a value may be out, in good order."""
        return self.percent / 100 * value + self.digits_n * self.digit_at(value)

    def worst(self, value: float) -> float:
        """The same where the instrument uses up what its standard allows; below its marked range the digits govern."""
        return max(self.worst_percent / 100 * value, self.error(value))


@lru_cache(32)
def accuracy(quantity: str, setup: str, books: Books) -> Accuracy | None:
    """Of an instrument that reads this quantity so. None for a quantity that no instrument of these reads.

    Source: tables instrument_error (BS EN 61557) and instrument_digits (what makers state)."""
    name = function_of(quantity, setup)
    if not name:
        return None
    worst = {row["function"]: row["value"] for row in rows("instrument_error", books)}
    own = next(row for row in rows("instrument_digits", books) if row["function"] == name)
    return Accuracy(name, worst.get(name.partition(",")[0], own["value"]), own["value"], own["digits_n"], own["digit"],
                    own["digit_to"], own["end"])


def function_of(quantity: str, setup: str = "") -> str:
    """What an instrument is set to for this quantity; nothing for one that it does not read."""
    if quantity in CONTINUITY:
        return "continuity"
    if quantity in LOOP:
        return "loop impedance, no-trip" if any(word in setup.lower() for word in NO_TRIP) else "loop impedance, high current"
    return OTHER.get(quantity, "")


def calibrated(row: Reading, kit: Mapping[str, Instrument]) -> bool | None:
    """Whether the instrument of a row was in calibration on its day, by the dates in kit.toml. None where these do not tell.

    The day on which a calibration ends is still within it; of one whose first day is on no record nobody can tell."""
    own, day = kit.get(row.instrument), row.at[:10]
    if own is None or own.until is None:
        return None
    if day > own.until.isoformat():
        return False
    return None if own.calibrated is None else day >= own.calibrated.isoformat()


def range_end(row: Reading, of: Accuracy) -> float | None:
    """Where the range ends that a reading went beyond, the least it can be where only the excess was written. None for a number,
    and for a row without either."""
    if row.value is not None or not row.over:
        return None
    return float(row.over[1:]) if row.over.startswith(">") else of.end
