"""A circuit of a shower serves a room with a shower, whatever else is or is not said of its rooms (701.411.3.3)."""
from __future__ import annotations

import pytest

from tests.design.test_landed import design, says, verdict

MCB = 'device = { kind = "mcb", curve = "B", rating_a = 40 }'
RCBO = 'device = { kind = "rcbo-2p", curve = "B", rating_a = 40, residual_ma = 30, residual_type = "A" }'


def shower(device: str) -> str:
    return f'circuits.wet.way = "unit.6"\ncircuits.wet.{device}\n'


@pytest.mark.parametrize("told", ['circuits.wet.feeds = "shower"\n', 'circuits.wet.points.p1 = { from = "way", feeds = "shower" }\n',
                                  'equipment.jet = { kind = "shower", on = "wet" }\n'])
def test_a_shower_without_residual_protection_fails_by_what_it_is(told: str) -> None:
    assert verdict(design(shower(MCB), told), "BA1", "wet") == "fails"
    assert says(design(shower(MCB), told), "BA1", "wet").endswith("no residual-current device is recorded before it; it feeds a shower")
    assert verdict(design(shower(RCBO), told), "BA1", "wet") == "within"
    assert verdict(design(shower(RCBO.replace("30", "100")), told), "BA1", "wet") == "fails"


def test_a_shower_behind_a_device_that_nobody_recorded_is_not_known() -> None:
    assert verdict(design('circuits.wet = { way = "unit.6", feeds = "shower" }\n'), "BA1", "wet") == "unknown"


def test_what_is_no_shower_goes_by_its_rooms_as_before() -> None:
    assert verdict(design(shower(MCB), 'circuits.wet.feeds = "cooker"\n'), "BA1", "wet") == "unknown"
