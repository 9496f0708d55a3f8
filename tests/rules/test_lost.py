"""A line where none belongs and a neutral that leads nowhere are stops: what they do has killed."""
from __future__ import annotations

import pytest

from spareway.rules import all_rules
from spareway.rules.base import judge
from tests.design.test_landed import design

ALONE = 'runs.feed-3.joins = ["arrester.bottom.L", "unit.in.L"]\n'


def verdicts(*overlays: str) -> dict[str, str]:
    return {f.rule: f.verdict for f in judge(design(*overlays), [r for r in all_rules() if r.code in ("IN11", "IN20", "IN21")])}


def test_the_home_that_keeps_every_rule() -> None:
    assert verdicts() == dict.fromkeys(("IN11", "IN20", "IN21"), "within")


@pytest.mark.parametrize("landed", ['E = "unit.bar.L"', 'N = "unit.bar.L"', 'N = "unit.4.L"'])
def test_a_line_on_an_earth_or_a_neutral_stops(landed: str) -> None:
    assert verdicts(f"circuits.lamps.lands.{landed}\n")["IN20"] == "stop"


def test_a_supply_reversed_at_the_intake_stops() -> None:
    """Line and neutral change places between switch and board."""
    said = verdicts('runs.feed-3.joins = ["arrester.bottom.L", "unit.in.N"]\nruns.cross.joins = ["arrester.bottom.N", "unit.in.L"]\nruns.cross.kind = "tails"\n')
    assert (said["IN20"], said["IN11"]) == ("stop", "fails")


def test_an_earth_on_the_neutral_bar_fails_and_is_no_line() -> None:
    assert verdicts('circuits.lamps.lands.E = "unit.bar.N"\n') == {"IN11": "fails", "IN20": "within", "IN21": "within"}


def test_a_neutral_that_leads_nowhere_stops_with_loads_and_without() -> None:
    """One run of the line alone: the neutral bar is lifted by the first lamp, and is lost before there is one."""
    assert verdicts(ALONE)["IN21"] == "stop"
    bare = 'remove = ["equipment.radiator", "circuits.plugs", "circuits.lamps", "circuits.oven", "circuits.warmth"]\n'
    assert verdicts(bare)["IN21"] == "within"
    assert verdicts(bare, ALONE)["IN21"] == "stop"


def test_a_neutral_nobody_traced_is_not_known() -> None:
    assert verdicts(ALONE + 'runs.stray = { joins = ["unit.in", "?"], kind = "tails" }\n')["IN21"] == "unknown"


def test_without_a_line_in_the_record_nothing_is_within() -> None:
    said = verdicts("remove = ['supplies.main']\n")
    assert (said["IN20"], said["IN21"]) == ("unknown", "unknown")
