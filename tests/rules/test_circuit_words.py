"""A circuit in a few words: what is not recorded is a question mark, and a length at which something turns is never rounded past it."""
from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from spareway import api
from spareway.api_circuit import new_circuit
from spareway.folder import read_folder
from spareway.job.job import read_job
from spareway.rules.circuit_words import (
    cable_words,
    device_words,
    ground_words,
    holds,
    settling_words,
    turning_words,
    turns_of,
    worst,
)
from spareway.rules.today import stops_as_found, told

WEIR = dict(read_folder(Path(__file__).parents[2] / "examples" / "weir-cottage"))


def circuit(name: str, stage: str | None = None) -> dict[str, Any]:
    found: dict[str, Any] = api.circuit(WEIR, name, stage)["circuits"][0]
    return found


def test_what_a_circuit_is_made_of() -> None:
    """SCENARIOS, Weir ways 8 and 9; and where nothing is recorded."""
    assert cable_words(circuit("ring-ground")) == "t&e 2.5 / 1.5 mm², ring"
    assert device_words(circuit("heat-5")) == "rcbo-2p B16 A, 30 mA"
    bare = {"cable": {"kind": "", "line_mm2": None, "cpc_mm2": None}, "ring": False,
            "device": {"kind": "", "curve": None, "rating_a": None, "residual_ma": None}}
    assert (cable_words(bare), device_words(bare)) == ("cable not recorded", "device not recorded")
    half = {"cable": {"kind": "t&e", "line_mm2": 2.5, "cpc_mm2": None}, "ring": False,
            "device": {"kind": "mcb", "curve": None, "rating_a": None, "residual_ma": None}}
    assert (cable_words(half), device_words(half)) == ("t&e 2.5 / ? mm²", "mcb ? A")


def test_how_far_it_holds() -> None:
    """FEATURES 31, Weir H5: 21 m, holds to 52 m by the drop, the tails at 80 A included: 51.97 said as 51.9, never as 52. Reckoned as
    warm as its load makes it, by Appendix 4, 6.1, to 58.2 m."""
    said = circuit("heat-5")
    assert holds(said) == "21 m, holds to 51.9 m by the drop of the tables and to 58.2 m at the most: drop above limit even cool"
    over = api.circuit(WEIR, "heat-5", overlays=[("o.toml", "circuits.heat-5.cable.length_m = { measured = 60 }\n")])["circuits"][0]
    assert holds(over) == "60 m, holds at 58.2 m or less: drop above limit"
    assert holds({"name": "x", "findings": [], "length_m": 21}) == ""


def test_the_worst_of_its_findings() -> None:
    """A fail before what is not known; nothing that is within or does not apply."""
    found = worst(circuit("lights-ground")["findings"])
    assert found is not None
    assert (found["rule"], found["verdict"]) == ("CI10", "fails")
    assert worst([{"verdict": "within"}, {"verdict": "not applicable"}]) is None


def test_how_far_a_quantity_is_from_turning() -> None:
    """The loop of the heater, by the rule that holds it to a limit: the length and Ze at which that turns."""
    said = circuit("heat-5")
    loop = next(q for q in said["quantities"] if q["quantity"] == "zs_ohm")
    turns = list(turns_of(loop, said["findings"]))
    assert any(t.startswith("DV1") and "length of a cable, heat 5, is 21 m" in t for t in turns)
    assert any("earth fault loop impedance outside the installation, main, is 0.34 Ω" in t for t in turns)
    assert list(turns_of(loop | {"amount": None}, said["findings"])) == []


def test_a_choice_says_what_would_settle_it_and_where_it_turns() -> None:
    """The cooker of the README: near-end heat open, the pair that leaves nothing open, and a length never rounded past its turn."""
    said = new_circuit(WEIR, "7.2 kW cooker, 14 m, method 100")
    settling = list(settling_words(said))
    assert settling[0].startswith("near end not settled: withstands 29756 A²s, asked 45761 A²s: the maker's let-through energy, at most")
    assert settling[-1] == f"{said['settled']['says']} leaves nothing open"
    assert list(settling_words(said | {"settled": None}))[-1] == "nothing on offer leaves nothing open"
    length = next(t for t in said["turns"] if t["quantity"] == "length_m")
    words = next(w for w in turning_words(said["turns"]) if w.startswith("length of a cable 14 m, stated: holds to "))
    assert float(words.split("holds to ")[1].split(" ")[0]) <= length["holds_to"] < float(words.split("holds to ")[1].split(" ")[0]) + 0.1
    assert any("from memory" in ground_words(ground) for ground in said["rests_on"])


@pytest.mark.parametrize(("turn", "words"), [
    ({"holds_to": 37.96, "then": "", "holds_from": None, "before": ""}, "holds to 37.9 m"),
    ({"holds_to": None, "then": "", "holds_from": 1.234, "before": "1/1 mm²"}, "holds from 1.24 m, below it 1/1 mm²"),
    ({"holds_to": 40.0, "then": "4/1.5 mm²", "holds_from": 10.0, "before": ""}, "holds from 10 m; holds to 40 m, then 4/1.5 mm²"),
    ({"holds_to": None, "then": "", "holds_from": None, "before": ""}, None)])
def test_an_end_is_never_said_past_where_it_turns(turn: dict[str, Any], words: str | None) -> None:
    """To three digits, down at the far end and up at the near one; what never turns is not told."""
    said = list(turning_words([turn | {"says": "length", "is": 14.0, "unit": "m", "how": "stated"}]))
    assert said == ([] if words is None else [f"length 14 m, stated: {words}"])


def test_what_must_be_made_safe_today_leads_a_proposal_and_nothing_else() -> None:
    """Weir as found holds a stop that the work will cure: it is told of the proposal, and not of the found state itself."""
    job = read_job(WEIR)
    today = told(stops_as_found(job, "proposed"))
    assert {each["verdict"] for each in today} == {"stop"}
    assert stops_as_found(job, "found") == []
