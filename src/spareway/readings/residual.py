"""What a residual-current device should read: its times, and the current at which it trips on a ramp, by its standard."""
from __future__ import annotations

from math import inf
from typing import TYPE_CHECKING

from spareway.design.route import settled
from spareway.fact import unknown
from spareway.job.types import Device, Equipment
from spareway.physics import testing
from spareway.readings.band import Expected, figure, read_so
from spareway.readings.instrument import Accuracy
from spareway.tables import look_up

if TYPE_CHECKING:
    from spareway.design.design import Design

__all__ = ["device_of", "ramp", "trip_time"]

FIVE, TWICE, HALF = ("five", "5x", "5×", "5 x", "5 ×"), ("two", "twice", "2x", "2×", "2 x", "2 ×"), ("half", "0.5")
RAMPS = ("AC", "A")                                 # the types whose bounds the table holds


def device_of(design: Design, table: str, name: str) -> Device | Equipment | None:
    """The residual-current device that a reading at this thing is of: a circuit's own, else the nearest before it."""
    if table == "equipment":
        return design.inst.equipment.get(name)
    circuit = design.circuits.get(name)
    if circuit is None or circuit.device.residual_ma.known:
        return circuit.device if circuit else None
    guards = circuit.protected_by or ()
    return guards[-1].thing if guards else None


def _times(setup: str) -> str:
    return "five_times_" if any(w in setup for w in FIVE) else "double_" if any(w in setup for w in TWICE) else ""


def trip_time(design: Design, device: Device | Equipment | None, setup: str, of: Accuracy) -> Expected:
    """Within the time of its standard, as the rule has it that judges it: no error of the instrument is given on top. With a
    delay no sooner than its least; at half its rating not at all."""
    books = design.books
    if any(word in setup for word in HALF):
        ends = figure("thresholds", "test_ends_ms", books)
        return Expected(ends, ends.value, inf, "at half its rating it must not trip while the test lasts")
    if device is None:
        return Expected(unknown("trip_ms", "no residual-current device is recorded here"), 0.0, inf, "no device is recorded")
    times = _times(setup)
    plain = figure("thresholds", f"trip_{times}ms", books)
    never = figure("thresholds", "never_delayed_ma", books)
    at_once = device.delayed.amount is False or device.residual_ma.known and device.residual_ma.value <= never.value
    if at_once:
        return Expected(plain, 0.0, plain.value, "without a delay")
    least, most = (figure("thresholds", f"trip_delayed_{times}{bound}_ms", books) for bound in ("least", "most"))
    if device.delayed.amount is True:
        return Expected(most, max(least.value - of.error(least.value), 0.0), most.value, "with a delay")
    gap = unknown("trip_ms", "whether it has a delay is not recorded")
    return Expected(gap, 0.0, most.value, f"up to {plain} without a delay, and whether it has one is not recorded", plain.value)


def ramp(design: Design, device: Device | Equipment | None, of: Accuracy) -> Expected:
    """Between the shares of its rating that its type may trip at."""
    books = design.books
    if device is None or not device.residual_ma.known or device.residual_type.amount not in RAMPS:
        gap = unknown("ramp_ma", "rating and type of a residual-current device, AC or A, are not recorded here")
        return Expected(gap, 0.0, inf, "no bounds without rating and type")
    least, most = (look_up("ramp_share", books, device.residual_type, settled("bound", bound, "BS EN 61008"))
                   for bound in ("least", "most"))
    upper = testing.ramp_ma.worked(device.residual_ma, most)
    return read_so(upper, testing.ramp_ma(device.residual_ma.value, least.value), upper.value, of, f"type {device.residual_type}")
