"""What a live reading calls for before anything else is done: in words, for whoever stands there with the tester."""
from __future__ import annotations

from typing import TYPE_CHECKING

from spareway.job.rows import Reading, never_nought
from spareway.readings.expected import cores
from spareway.readings.tested import at_rating
from spareway.readings.voltages import TOGETHER, sign_at

if TYPE_CHECKING:
    from spareway.design.design import Design

__all__ = ["AT_ORIGIN", "at_once", "at_once_together"]

OFF = "Leave it off until it is known why"
HIGH = ("high", "far high")
NEUTRAL_OFF_EARTH = ("The neutral stands off earth here: line and neutral may be changed over, or the neutral or the earth is "
                     f"open. Touch no metal of it. {OFF}; at the origin ring the network operator, 105")
NO_LINE = ("Line is not where it should be, or a conductor is open. What reads nothing is not proved dead by that. "
           f"{OFF}, and read at the origin too")
TOO_MUCH = ("A lost neutral can put this on whatever is plugged in: off at the main switch, and ring the network operator, 105. "
            "Touch no metal that is earthed: where the neutral earths it, it may be live with that switch off")
NO_EARTH = f"A fault to earth may not be cut off here, and metal may stay live. {OFF}"
BAD_NEUTRAL = f"The neutral may be bad or open. {OFF}; at the origin ring the network operator, 105"
AT_ORIGIN = "Everybody off the metal; leave the main switch off, and ring the network operator now: 105"
NO_TRIP = ("The residual-current device did not do what its standard asks: do not rely on it. Leave what it feeds off until it "
           "is replaced")


def at_once_together(design: Design, row: Reading) -> str:
    """What the voltages of the point of this row call for, where more than one of them shows it; else nothing."""
    sign = sign_at(design, row)
    if sign not in TOGETHER:
        return ""
    said = AT_ORIGIN if row.a.startswith("supplies.") else f"Touch no metal of it. {OFF}, and read at the origin too"
    return f"{sign[:1].upper()}{sign[1:]}. {said}"


def at_once(row: Reading, fell: str) -> str:
    """The caution for a live reading that fell on this side of what it should be; nothing where none is called for.

    Over range on a loop, or no trip at its rating while the test lasted, calls for it whatever the record tells."""
    if why := never_nought(row):
        return why
    over = row.value is None and bool(row.over)
    if row.quantity == "supply_v":
        return _voltage(row, fell)
    if row.quantity in ("zs_ohm", "ze_ohm", "loop_ln_ohm") and (over or fell == "far high"):
        return BAD_NEUTRAL if row.quantity == "loop_ln_ohm" else NO_EARTH
    stayed = over and (row.quantity == "ramp_ma" or row.quantity == "trip_ms" and at_rating(row))
    return NO_TRIP if stayed or row.quantity in ("trip_ms", "ramp_ma") and fell in HIGH else ""


def _voltage(row: Reading, fell: str) -> str:
    if {*cores(row.a, row.b, row.setup)} == {"N", "E"}:
        return NEUTRAL_OFF_EARTH if fell in HIGH else ""
    return NO_LINE if fell == "far low" else TOO_MUCH if fell in HIGH else ""
