"""Earth that is not where the record says it should be: broken paths, and earthing seen against Ze measured."""
from __future__ import annotations

import pytest

from tests.scenarios.folders import design, findings

YARD, WEIR = "granary-yard", "weir-cottage"
BREAKS = {
    "block never joined to the main earthing terminal": ('remove = ["runs.block-earth"]', "block.a.E"),
    "modules never joined to the block": ('remove = ["runs.surge-earth"]', "isolator.earth.E"),
    "conductor to the block cut and left": ('runs.block-earth.joins = ["block.a"]', "block.a.E"),
    "modules earthed to the neutral": ('runs.surge-earth.joins = ["isolator.earth", "isolator.top.N"]',
                                       "isolator.top.N"),
    "earthing conductor never made": ('remove = ["runs.earthing-conductor"]', "met.a.E"),
    "earthing conductor off at the cut-out": ('runs.earthing-conductor.joins = ["met.a"]', "met.a.E"),
}


@pytest.mark.parametrize("name", BREAKS)
def test_each_break_of_the_surge_earth_is_found(name: str) -> None:
    """Six planted breaks, six found by path, each with the terminals the path still reaches."""
    lines, reached = BREAKS[name]
    found = findings(YARD, "fitted", lines)["SP1", "equipment.isolator"]
    assert found.verdict == "fails"
    assert reached in found.says
    assert design(YARD, "fitted", lines).network.joined(["isolator.surge.E"], "E") is False


def test_no_break_no_finding() -> None:
    """The same rule as fitted, nothing broken."""
    assert findings(YARD, "fitted")["SP1", "equipment.isolator"].verdict == "within"


CASES = [("TN-S", "0.34", "EA2", "within"), ("TN-S", "0.80", "EA2", "within"), ("TN-S", "0.81", "EA2", "fails"),
         ("TN-C-S", "0.34", "EA2", "within"), ("TN-C-S", "0.36", "EA2", "fails"), ("TN-S", "2.8", "EA1", "stop"),
         ("TT", "0.30", "EA3", "advice"), ("TT", "88.0", "EA3", "within"), ("TT", "88.0", "EA2", "not applicable"),
         ("TN-C-S", "2.8", "EA1", "stop")]


@pytest.mark.parametrize(("seen", "ze", "rule", "verdict"), CASES)
def test_earthing_seen_against_ze_measured(seen: str, ze: str, rule: str, verdict: str) -> None:
    """Ten cases: the declared 0.8 and 0.35 ohm as limits, a lost earth, a TT that reads like a network's."""
    lines = f'supplies.main.earthing = "{seen}"\nsupplies.main.ze_ohm = {{ measured = {ze} }}\n'
    assert findings(WEIR, "found", lines)[rule, "supplies.main"].verdict == verdict


@pytest.mark.parametrize(("lines", "rule"), [
    ('supplies.main.earthing = { unknown = "sheath not seen" }', "EA2"),
    ('supplies.main.ze_ohm = { unknown = "not read" }', "EA1"),
    ('supplies.main.ze_ohm = { unknown = "not read" }', "EA2"),
    ('supplies.main.ze_ohm = { declared = 0.8 }', "EA1"),
])
def test_what_is_not_known_never_reads_as_within(lines: str, rule: str) -> None:
    """Without the earthing seen or the Ze measured the verdict is unknown."""
    assert findings(WEIR, "found", lines)[rule, "supplies.main"].verdict == "unknown"
