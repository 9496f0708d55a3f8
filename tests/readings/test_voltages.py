"""Voltages of one point, judged together: each fault as its three potentials, and what a slip of the pen may not explain away."""
from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import pytest

from spareway.api_readings import entered_at
from spareway.design.design import Design
from spareway.job.rows import Reading
from spareway.readings.expected import judged_now
from spareway.readings.slips import slips
from spareway.readings.voltages import CROSSED, EARTH_OPEN, NEUTRAL_LOST, OFF_EARTH, TOO_MUCH, points
from spareway.rules import rule_of
from spareway.rules.base import judge
from spareway.rules.specimen import with_example

# potentials (V) of line, neutral and earth against the ground, one phase; a second way to the three voltages. common practice, no source
FAULTS = {
    "sound": ((231.0, 1.0, 0.0), ""),
    "crossed": ((0.4, 231.0, 0.0), CROSSED),
    "earth at line": ((231.0, 0.0, 230.0), CROSSED),
    "neutral open, a lamp on": ((231.0, 229.0, 0.0), NEUTRAL_LOST),
    "earth open, afloat": ((231.0, 0.0, 116.0), OFF_EARTH),
    "neutral of the street lost": ((340.0, 110.0, 0.0), TOO_MUCH),
    "nothing there": ((0.0, 0.0, 0.0), ""),
    "a long lead, all of it on": ((224.0, 9.0, 0.0), ""),
}


@pytest.fixture(scope="module")
def bare() -> Design:
    return with_example("")


def rows(at: str, volts: dict[str, float], stage: str = "found") -> tuple[Reading, ...]:
    return tuple(Reading(id=f"r{n}", stage=stage, quantity="supply_v", a=f"{at}.{pair[0]}", b=f"{at}.{pair[1]}", value=value, unit="V",
                         said=f"{value:g} V", by="a", at="2026-11-10T09:00", line=n + 2) for n, (pair, value) in enumerate(volts.items()))


def with_rows(bare: Design, of: tuple[Reading, ...]) -> Design:
    return Design(replace(bare.inst, readings=of))


def verdicts(design: Design) -> dict[tuple[str, str], str]:
    of = [rule for code in ("TE12", "TE13", "TE3", "IN11", "IN20", "IN21") if (rule := rule_of(code))]
    return {(each.rule, each.subject): each.verdict for each in judge(design, of)}


@pytest.mark.parametrize("at", ["supplies.main", "circuits.oven", "circuits.oven.points.p1"])
@pytest.mark.parametrize("fault", FAULTS)
def test_three_voltages_name_the_fault(bare: Design, at: str, fault: str) -> None:
    """As the potentials have it; a stop on the thing itself, IN11, IN20 and IN21 no yes, and no slip of the pen."""
    (line, neutral, earth), sign = FAULTS[fault]
    volts = {"LE": abs(line - earth), "NE": abs(neutral - earth), "LN": abs(line - neutral)}
    design = with_rows(bare, rows(at, volts))
    assert [each.sign for each in points(design)] == [sign]
    found = verdicts(design)
    subject = ".".join(at.split(".")[:2])
    rule = "TE12" if at.startswith("supplies") else "TE13"
    assert found[rule, subject] == ("stop" if sign else "unknown" if fault == "nothing there" else "within")
    records = {found[code, "installation"] for code in ("IN11", "IN20", "IN21")}
    assert records == ({"unknown"} if sign else {"within"})
    if sign and rule == "TE13":
        assert not slips(design.circuits["oven"], judged_now(design.circuits["oven"]))
        assert found["TE3", subject] == "within"


@pytest.mark.parametrize("pairs", [pair for n in (1, 2) for pair in combinations(("LE", "NE", "LN"), n)])
def test_crossed_is_never_a_yes_with_fewer(bare: Design, pairs: tuple[str, ...]) -> None:
    """Of a crossed supply any one or two voltages: a stop where neutral to earth is among them, and else not known."""
    volts = {"LE": 2.0, "NE": 231.0, "LN": 230.0}
    found = verdicts(with_rows(bare, rows("supplies.main", {pair: volts[pair] for pair in pairs})))
    assert found["TE12", "supplies.main"] == ("stop" if "NE" in pairs or pairs == ("LE", "LN") else "unknown")


def test_line_to_earth_lost_while_line_to_neutral_stands(bare: Design) -> None:
    """With neutral to earth not read, the earth is what lacks."""
    design = with_rows(bare, rows("circuits.oven", {"LE": 2.0, "LN": 230.0}))
    assert [each.sign for each in points(design)] == [EARTH_OPEN]


def test_who_to_ring_is_said_where_it_is_at_the_origin(bare: Design) -> None:
    """The second voltage entered at the origin calls for the network operator by its number, and at a circuit for the origin's."""
    for at, words in (("supplies.main", "ring the network operator now: 105"), ("circuits.oven", "read at the origin too")):
        own = rows(at, {"NE": 231.0, "LE": 2.0})
        said = entered_at(with_rows(bare, own), own[-1])
        assert words in said["at_once"]
        assert said["at_once"].startswith("Line and neutral are crossed")
        assert said["asks"] == ""


def test_a_sign_stands_at_a_later_stage_until_it_is_read_again(bare: Design) -> None:
    """As found a stop, and so of what was fitted; what reads well as found alone is no yes there."""
    crossed, sound = {"LE": 2.0, "NE": 231.0}, {"LE": 231.0, "NE": 1.0}
    fitted = replace(bare.inst, stage="fitted")
    for found, now, verdict in ((crossed, None, "stop"), (sound, None, "unknown"), (crossed, sound, "within"), (sound, crossed, "stop")):
        own = rows("circuits.oven", found) + (rows("circuits.oven", now, "fitted") if now else ())
        assert verdicts(Design(replace(fitted, readings=own)))["TE13", "circuits.oven"] == verdict


def test_a_lone_voltage_that_is_a_slip_is_still_asked_about(bare: Design) -> None:
    """23.1 V from line to neutral, nothing else of the point read: it may be 231, and it may be an open conductor."""
    design = with_rows(bare, rows("circuits.oven", {"LN": 23.1}))
    assert [slip.might_be for slip in slips(design.circuits["oven"])] == [231.0]
    assert verdicts(design)["TE13", "circuits.oven"] == "unknown"
