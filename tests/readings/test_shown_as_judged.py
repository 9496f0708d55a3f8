"""What is shown after an entry stands on the side on which the rule that judges the reading puts it."""
from __future__ import annotations

import pytest

from spareway.api_readings import entered_at, fell_words
from spareway.rules.earthing import ze_above_declared
from spareway.rules.measured import device_trips_late
from spareway.rules.specimen import with_example

SIDES = {True: ("as expected", "low", "far low"), False: ("high", "far high"), None: ("cannot tell",)}
DEVICES = {"30 mA, nothing said of a delay": "residual_ma = 30", "100 mA, without a delay": "residual_ma = 100, delayed = false",
           "100 mA, with a delay": "residual_ma = 100, delayed = true", "100 mA, nothing said of a delay": "residual_ma = 100",
           "nothing read on it": ""}
LIMITS = {"": 300, "five times": 40}                                     # BS EN 61008: at its rating, at five times


@pytest.mark.parametrize("setup", LIMITS)
@pytest.mark.parametrize("device", DEVICES)
@pytest.mark.parametrize("read", ["24", "40", "41", "149", "150", "299", "300", "301", "304", "400", "500", "501", "600", ">200", ">300", ">1999"])
def test_a_trip_time_is_shown_as_it_is_judged(device: str, setup: str, read: str) -> None:
    value = f'over = "{read}"' if read.startswith(">") else f"value = {read}"
    design = with_example(f'circuits.plugs.device = {{ kind = "rcbo-2p", curve = "B", rating_a = 32{", " if DEVICES[device] else ""}{DEVICES[device]} }}\n'
                          f'readings = [{{ quantity = "trip_ms", a = "circuits.plugs", setup = "{setup}", {value} }}]')
    said = entered_at(design, design.inst.readings[0])
    ok = device_trips_late.ask(design.circuits["plugs"], design).ok
    assert said["fell"] in SIDES[ok], (said, ok)
    if device == "30 mA, nothing said of a delay" and not read.startswith(">"):
        assert ok is (float(read) <= LIMITS[setup])                       # by hand


def test_where_the_delay_is_not_known_the_side_is_named_that_cannot_be_told() -> None:
    """400 ms of a device of which nobody read whether it has a delay: late without one, in time with one."""
    design = with_example('circuits.plugs.device = { kind = "rcbo-2p", curve = "B", rating_a = 32 }\n'
                          'readings = [{ quantity = "trip_ms", a = "circuits.plugs", value = 400 }]')
    assert fell_words(entered_at(design, design.inst.readings[0])) == (
        "expected 0 to 500 ms: which side it lies on cannot be told: up to 300 ms without a delay, and whether it has one is not recorded")


@pytest.mark.parametrize(("earthing", "most"), [("TN-S", 0.8), ("TN-C-S", 0.35)])       # what networks declare, Ω
def test_a_loop_at_the_origin_is_shown_as_it_is_judged(earthing: str, most: float) -> None:
    for read, ok in ((most - 0.01, True), (most, True), (most + 0.01, False), (most + 0.5, False)):
        design = with_example(f'supplies.main.ze_ohm = {{ unknown = "to be read" }}\nsupplies.main.earthing = "{earthing}"\n'
                              f'readings = [{{ quantity = "ze_ohm", a = "supplies.main", value = "{read:.2f}" }}]')
        assert ze_above_declared.ask(design.supply, design).ok is ok
        assert entered_at(design, design.inst.readings[0])["fell"] in SIDES[ok]
