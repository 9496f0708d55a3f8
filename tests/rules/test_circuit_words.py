"""A circuit in a few words: what is not recorded is a question mark, and a length at which something turns is never rounded past it."""
from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from spareway import api
from spareway.api_circuit import new_circuit
from spareway.bundled import text
from spareway.folder import read_folder
from spareway.job.job import read_job
from spareway.rules.circuit_words import (
    cable_words,
    device_words,
    ground_words,
    holds,
    rules_words,
    settling_words,
    title_of,
    turning_words,
    turns_of,
    verdict_of,
    waiting,
    worst,
)
from spareway.rules.today import stops_as_found, told

WEIR = dict(read_folder(Path(__file__).parents[2] / "examples" / "weir-cottage"))
SPECIMEN = {"job.toml": 'schema = 1\nbooks.bs7671 = "2018+A4"\n', "found.toml": text("rules/specimen.toml")}


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


@pytest.mark.parametrize(("asked", "classed"), [("7.2 kW charge-point, 14 m, method 100", True), ("3 kW immersion, 9 m, method C", False)])
def test_what_a_new_circuit_assumes_stands_in_what_it_rests_on_and_in_its_lines(asked: str, classed: bool) -> None:
    """The energy class of a device on offer (BS EN 60898-1, Annex ZA): named where a yes rests on it and nowhere else, and with the
    lines laid over the job the check rests on the same figure and says the same; without that line it cannot tell."""
    strong = ("ze.toml", "supplies.main.ze_ohm = { measured = 0.2 }")             # 132 kA²s in 0.1 s at the board: no bound of any use
    said = new_circuit(SPECIMEN, asked, overlays=[strong])
    a2s = said["chosen"]["assumed_let_through_a2s"]
    on_class = [each for each in said["rests_on"] if each["quantity"] == "energy_class"]
    assert bool(on_class) == (a2s is not None) == ("let_through_a2s = { assumed" in said["toml"]) == classed
    assert [t["test"] for t in said["tests"] if "by its energy class" in t["says"]] == (["near"] if classed else [])
    heat = _heat(said["name"], strong, ("o.toml", said["toml"]))
    assert heat["verdict"] == ("within" if classed else "unknown")
    if classed:
        assert (on_class[0]["how"], heat["within"]) == ("assumed", "limit or value not confirmed")
        assert [(g["how"], g["is"]) for g in heat["rests_on"] if g["quantity"] == "i2t_a2s"] == [("assumed", f"{a2s:g} A²s")]
        bare = re.sub(r", let_through_a2s = \{[^}]*\}", "", said["toml"])
        assert _heat(said["name"], strong, ("o.toml", bare))["verdict"] == "unknown"


def _heat(name: str, *laid: tuple[str, str]) -> dict[str, Any]:
    found: dict[str, Any] = next(f for f in api.circuit(SPECIMEN, name, overlays=laid)["circuits"][0]["findings"] if f["rule"] == "CI5")
    return found


def test_a_new_circuit_is_judged_by_every_rule_that_a_check_asks_of_one() -> None:
    """A charge point among the others of its board: LO8 (BS EN 61439-3 Table 101) is told beside the choice, and its verdict is no better."""
    said = new_circuit(WEIR, "7.2 kW charge-point, 14 m, method 100")
    told_of = list(rules_words(said))
    assert said["verdict"] == "within"
    assert verdict_of(said) == "unknown"
    assert next(w for w in told_of if ": LO8, " in w).startswith("unknown: ")
    assert told_of[-1].startswith("These are the rules that are asked of a circuit.")
    worse = [f["rule"] for f in said["circuit"]["findings"] if f["verdict"] not in ("within", "not applicable")]
    assert [w.split(": ")[1].split(",")[0] for w in told_of[:-1]] == worse
    fails = {**said, "circuit": {"findings": [{"rule": "ZZ1", "verdict": "fails", "clause": "", "says": "x"}]}}
    assert (verdict_of(fails), next(rules_words(fails))) == ("fails", "fails: ZZ1, no clause: x")
    advice = {**said, "circuit": {"findings": [{"rule": "ZZ1", "verdict": "advice", "clause": "1", "says": "x"}]}}
    assert (verdict_of(advice), verdict_of({"verdict": "none"})) == ("within", "fails")
    assert list(rules_words({"verdict": "within"})) == []


def test_what_its_own_tests_left_open_is_said_once() -> None:
    """CI5 stands under what is to be settled, and not again among the rules."""
    said = new_circuit(WEIR, "3 kW immersion, 9 m, method C")
    assert "near" in {each["test"] for each in said["open"]}
    assert next(f["verdict"] for f in said["circuit"]["findings"] if f["rule"] == "CI5") == "unknown"
    assert not any("CI5" in words for words in rules_words(said))


# ---- what waits for one same thing ------------------------------------------------------------------------------------------
BARE = """supplies.main = { joins = "cutout.in", earthing = "TN-S" }
equipment.cutout = { kind = "cut-out", fuse = "bs1361-2", fuse_a = { marked = 80 } }
equipment.board = { kind = "board", ways_n = 6 }
circuits.cooker = { way = "board.1", feeds = "cooker" }
"""


def test_of_a_circuit_of_which_the_way_alone_is_known_each_want_stands_once() -> None:
    """Each unknown check is under exactly one want and is named by what its rule asks; cable and device are one want each, however
    many fields of them lack; and what says more than what is missing keeps its own words."""
    said = api.circuit({"job.toml": 'schema = 1\nbooks.bs7671 = "2018+A4"\n', "found.toml": BARE}, "cooker")["circuits"][0]
    wants = waiting(said)
    unknown = [f for f in said["findings"] if f["verdict"] == "unknown"]
    assert sorted(f["rule"] for want in wants for f in want.findings) == sorted(f["rule"] for f in unknown)
    assert len({want.says for want in wants}) == len(wants) < 0.65 * len(unknown)
    by_rule = {f["rule"]: want.says for want in wants for f in want.findings}
    assert by_rule["CI15"] == by_rule["CI23"] == "Waits for: cable"
    assert by_rule["CI3"] == by_rule["FA1"] == "Waits for: cable, device"
    assert by_rule["BA1"].startswith("Not known: which rooms it serves")
    titles = [title_of(f) for f in unknown]
    assert len({*titles}) == len(titles)
    assert all(title.startswith("Cannot tell whether ") for title in titles)


def test_a_bad_reading_that_was_not_read_again_keeps_its_own_words() -> None:
    """It misses nothing of the record, so it is folded with nothing and says what was read."""
    finding = {"rule": "ME1", "name": "insulation_read_low", "verdict": "unknown", "says": "Not known: as found, insulation 0.4 MΩ; it was not read again",
               "missing": [], "clause": "", "authority": "standard"}
    assert [want.says for want in waiting({"name": "cooker", "findings": [finding]})] == [finding["says"]]
