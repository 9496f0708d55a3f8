"""A person's decision: who, when and why; a stop is never decided away; what no longer holds is itself a finding."""
from __future__ import annotations

from typing import Any

import pytest

from spareway import bundled
from spareway.api import check
from spareway.rules.specimen import _JOB as JOB

NO_SURGE = '''[equipment.arrester]
kind = "isolator-2p"
rating_a = 100
marks = "none"
[runs]
feed-2 = { joins = ["meter.out", "arrester.top"] }
feed-3 = { joins = ["arrester.bottom", "unit.in"] }
'''


def told(about: str, overlay: str = "", choice: str = "accepted", **more: str) -> dict[tuple[str, str], dict[str, Any]]:
    """The findings of the specimen with an overlay and one decision, by rule and subject."""
    held = {"choice": f'"{choice}"', "who": '"owner"', "on": "2026-11-27", "why": '"cost"'} | more
    job = f'{JOB}[decisions.one]\nabout = "{about}"\n' + "".join(f"{k} = {v}\n" for k, v in held.items())
    said = check({"job.toml": job, "found.toml": bundled.text("rules/specimen.toml"), "work.toml": overlay})
    return {(f["rule"], f["subject"]): f for f in said["findings"]}


@pytest.mark.parametrize("choice", ["accepted", "declined", "departed"])
def test_a_decision_stands_beside_its_finding(choice: str) -> None:
    """Who, when and why; the verdict is as it was."""
    found = told("BO4 equipment.unit", 'equipment.unit.material = "plastic"\n', choice)["BO4", "equipment.unit"]
    assert found["decision"] == f"{choice} by owner on 2026-11-27: cost"
    assert found["verdict"] == "advice"


def test_a_fail_that_was_accepted_still_fails() -> None:
    found = told("BO3 equipment.unit", "equipment.unit.water = true\n", "departed")
    assert found["BO3", "equipment.unit"]["verdict"] == "fails"
    assert ("DE1", "decisions.one") not in found


@pytest.mark.parametrize("choice", ["accepted", "declined", "departed", "limit agreed"])
def test_a_stop_cannot_be_decided_away(choice: str) -> None:
    """The stop stands, bears no decision, and the decision itself fails."""
    found = told("BO1 equipment.unit", "equipment.unit.bare_ways = [9]\n", choice)
    assert found["BO1", "equipment.unit"]["verdict"] == "stop"
    assert "decision" not in found["BO1", "equipment.unit"]
    assert found["DE1", "decisions.one"]["verdict"] == "fails"


def test_a_decision_about_nothing_is_stale() -> None:
    """The finding it was about is gone."""
    found = told("BO4 equipment.unit")["DE1", "decisions.one"]
    assert found["verdict"] == "advice"
    assert "nothing is found there now" in found["says"]


def test_a_limit_is_agreed_about_what_is_unknown_only() -> None:
    """And what is unknown is settled by no other decision."""
    silent = 'equipment.unit.water = { unknown = "behind the freezer" }\n'
    assert told("BO3 equipment.unit", silent, "limit agreed")["BO3", "equipment.unit"]["decision"].startswith("limit agreed by")
    for about, overlay, choice in (("BO3 equipment.unit", silent, "accepted"),
                                   ("BO3 equipment.unit", "equipment.unit.water = true\n", "limit agreed")):
        found = told(about, overlay, choice)
        assert found["DE1", "decisions.one"]["verdict"] == "unknown"
        assert "decision" not in found["BO3", "equipment.unit"]


@pytest.mark.parametrize("part", ["who", "why"])
def test_without_who_or_why_there_is_no_decision(part: str) -> None:
    """A blank one is a decision that does not hold."""
    found = told("BO4 equipment.unit", 'equipment.unit.material = "plastic"\n', **{part: '" "'})
    assert found["DE1", "decisions.one"]["verdict"] == "unknown"
    assert f"does not say {part}" in found["DE1", "decisions.one"]["says"]
    assert "decision" not in found["BO4", "equipment.unit"]


def test_an_owner_who_said_nothing_has_not_declined() -> None:
    """No surge device: unknown until a refusal is on record, then advice that shows it."""
    bare = 'remove = ["runs.earth-3"]\n' + NO_SURGE
    assert told("SP9 installation", bare, "declined")["SP9", "installation"]["verdict"] == "advice"
    silent = told("BO4 equipment.unit", 'remove = ["runs.earth-3"]\nequipment.unit.material = "plastic"\n' + NO_SURGE)
    assert silent["SP9", "installation"]["verdict"] == "unknown"
    assert "no refusal is on record" in silent["SP9", "installation"]["says"]
