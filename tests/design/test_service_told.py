"""The chain as plain data: rows of SCENARIOS, what is unknown, what operators answered, long tails as three answers, a cap."""
from __future__ import annotations

from functools import cache
from typing import Any

import pytest

from spareway.api_service import ASKS, service
from spareway.bundled import text
from spareway.doc import InputError
from spareway.rules import rule_of
from tests.scenarios.folders import texts

WEIR, YARD, RIDGE = "weir-cottage", "granary-yard", "ridge-annexe"


@cache
def said(name: str, stage: str | None = None, lines: str = "", about: str = "", **asked: Any) -> dict[str, Any]:
    """The document of an example with lines laid over it and lines put into its job.toml."""
    files = texts(name)
    return service({**files, "job.toml": files["job.toml"] + about}, stage, [("over.toml", lines)] if lines else (), **asked)


def answers(behind: dict[str, Any]) -> dict[tuple[str, str], str]:
    """yes, no or unknown by part and rule."""
    return {(part["at"], each["rule"]): each["answer"] for part in behind["parts"] for each in part["answers"]}


def raised(name: str, to_a: float, **more: str) -> dict[str, Any]:
    return next(each for each in said(name, **more)["raised"] if each["fuse_a"]["amount"] == to_a)


# ---- rows of SCENARIOS ----------------------------------------------------------------------------------------------
def test_weir_now_and_at_100_a() -> None:
    """Row Tails: 25 mm2 carries 101 A in trunking; nothing that was recorded fails at 100 A, and three parts are unknown."""
    at_100 = raised(WEIR, 100)
    assert (said(WEIR)["now"]["answer"], at_100["answer"]) == ("unknown", "unknown")
    told = answers(at_100)
    assert {key for key, answer in told.items() if answer != "yes"} == {
        ("supplies.main", ""), ("equipment.cutout", "IN12"), ("equipment.meter", ""), ("equipment.blocks", "SV1")}
    tails = next(p for p in at_100["parts"] if p["at"] == "runs.tails-3")["answers"][0]
    assert tails["worst"] == "stretch trunking, 0.5 m, method B"
    assert any("101" in line for line in tails["working"])
    assert {"says": "rated current of the fuse in the supply", "is": "100 A", "how": "assumed",
            "note": "asked: what if the operator fitted it"} in tails["rests_on"]


def test_a_raise_to_what_is_there_is_none() -> None:
    """Weir has 80 A read on its fuse: only 100 A is asked about."""
    assert [each["fuse_a"]["amount"] for each in said(WEIR)["raised"]] == [100]
    assert [each["fuse_a"]["amount"] for each in said(YARD)["raised"]] == [80, 100]


def test_weir_as_found_fails_by_the_pair_in_trunking() -> None:
    """Row Tails: 16 mm2 in trunking 76 A fails 80 A; the other pair's length and method nobody could see."""
    found = answers(said(WEIR, "found")["now"])
    assert (found["runs.pair-1", "IN2"], found["runs.pair-2", "IN2"]) == ("no", "unknown")
    assert found["runs.earthing-conductor", "EA4"] == "no"


def test_granary_at_80_a() -> None:
    """Rows Tails and 24: at 80 A the riser fails in trunking and in the wall; the board and the isolator of 100 A do not."""
    at_80 = answers(raised(YARD, 80))
    assert at_80["runs.riser", "IN2"] == at_80["runs.riser", "FA5"] == "no"
    assert (at_80["equipment.board", "BO6"], at_80["equipment.isolator", "DV8"], at_80["equipment.isolator", "SP5"]) == ("yes",) * 3
    assert said(YARD)["now"]["answer"] == "unknown"
    assert raised(YARD, 80)["answer"] == "no"


def test_ridge_counts_its_sources_at_its_board() -> None:
    """80 + 38 A is within a board of 125 A, 100 + 38 A is not."""
    assert answers(said(RIDGE)["now"])["equipment.board", "BO7"] == "yes"
    assert answers(raised(RIDGE, 100))["equipment.board", "BO7"] == "no"
    assert not any(part["at"] in ("equipment.pv", "equipment.battery") for part in said(RIDGE)["now"]["parts"])


# ---- never a pass ---------------------------------------------------------------------------------------------------
def test_no_part_without_an_answer_and_none_said_twice() -> None:
    for name in (WEIR, YARD, RIDGE):
        for behind in (said(name)["now"], *said(name)["raised"]):
            asked = [(part["at"], each["rule"]) for part in behind["parts"] for each in part["answers"]]
            assert len(asked) == len(set(asked))
            assert len({part["at"] for part in behind["parts"]}) == len(behind["parts"])
            assert all(part["answers"] for part in behind["parts"])
            worst = {each["answer"] for part in behind["parts"] for each in part["answers"]}
            assert behind["answer"] == ("no" if "no" in worst else "unknown" if "unknown" in worst else "yes")


def test_a_fuse_that_nobody_read_leaves_the_chain_unknown_now_and_answered_for_a_raise() -> None:
    """Told and not read: what rests on the fuse is unknown; a larger one is judged as if it were there."""
    unread = said(YARD, None, "equipment.cutout.fuse_a = { told = 60 }")
    assert answers(unread["now"])["runs.riser", "IN2"] == "unknown"
    assert answers(unread["raised"][0])["runs.riser", "IN2"] == "no"
    assert {each["left_a"]["amount"] for each in unread["now"]["in_hand"]} == {None}


def test_an_unread_riser_is_unknown_behind_any_fuse() -> None:
    """Its size missing: neither yes nor no, however large the fuse."""
    told = said(YARD, None, 'runs.riser.size_mm2 = { unknown = "behind the ducting" }')
    for behind in (told["now"], *told["raised"]):
        assert answers(behind)["runs.riser", "IN2"] == "unknown"


@pytest.mark.parametrize(("lines", "unknown"), [
    ('remove = ["supplies.main"]', ("equipment.unit", "BO6")),
    ('remove = ["runs.feed-1"]', ("equipment.unit", "BO6")),
    ('remove = ["runs.feed-1", "runs.feed-2", "runs.feed-3", "runs.earth-1", "runs.earth-2", "runs.earth-3", "runs.bond-1"]', ("equipment.unit", "BO6"))])
def test_a_chain_with_a_link_missing_is_unknown(lines: str, unknown: tuple[str, str]) -> None:
    """No supply, no tails after the cut-out, no conductor at all: what is left does not pass for the whole."""
    files = {"job.toml": 'schema = 1\n[books]\nbs7671 = "2018+A4"\n', "found.toml": text("rules/specimen.toml")}
    for behind in (lambda said: [said["now"], *said["raised"]])(service(files, overlays=[("over.toml", lines)])):
        assert behind["answer"] == "unknown"
        assert answers(behind)[unknown] == "unknown"


def test_a_record_of_nothing_is_unknown() -> None:
    """Not even a board: one part, and nothing known of it."""
    files = {"job.toml": 'schema = 1\n[books]\nbs7671 = "2018+A4"\n', "found.toml": ""}
    said = service(files)
    assert [part["at"] for part in said["now"]["parts"]] == ["equipment"]
    assert [part["at"] for part in said["raised"][0]["parts"]] == ["supplies", "equipment"]
    assert {behind["answer"] for behind in (said["now"], *said["raised"])} == {"unknown"}
    bare = {**files, "found.toml": '[supplies.main]\njoins = "cutout.in"\n[equipment]\ncutout = { kind = "cut-out" }\n'}
    assert [part["at"] for part in service(bare)["now"]["parts"]] == ["supplies.main", "equipment.cutout", "equipment"]


def test_every_question_is_a_rule() -> None:
    assert all(rule_of(code) is not None for code in ASKS)


# ---- what operators answered ----------------------------------------------------------------------------------------
@pytest.mark.parametrize(("reply", "wanted"), [
    ("allows = true, raised_fuse_a = 100", "yes"), ("allows = true, raised_fuse_a = 80", "unknown"), ("allows = true", "unknown"),
    ("allows = false", "no"), ("allows = true, raised_fuse_a = 100, until = 2026-10-01", "unknown")])
def test_a_raise_is_the_operators(reply: str, wanted: str) -> None:
    """Asked of Weir at 100 A, whose survey was on 9 November 2026: yes up to what it said, while its answer holds."""
    about = f'\n[replies]\nfuse = {{ about = "equipment.cutout", answers = ["service fuse"], by = "operator-east", ref = "Q-9", on = 2026-09-20, {reply} }}\n'
    part = raised(WEIR, 100, about=about, lines='supplies.main.operator = "operator-east"')["parts"][0]
    assert (part["at"], part["answers"][0]["answer"]) == ("supplies.main", wanted)
    assert "operator-east answered (Q-9)" in part["answers"][0]["says"]


def test_another_operators_answer_counts_for_nothing() -> None:
    about = '\n[replies]\nfuse = { about = "equipment.cutout", answers = ["service fuse"], by = "operator-west", on = 2026-09-20, allows = true, raised_fuse_a = 100 }\n'
    part = raised(WEIR, 100, about=about, lines='supplies.main.operator = "operator-east"')["parts"][0]
    assert part["answers"][0]["answer"] == "unknown"
    assert "no answer of it" in part["answers"][0]["says"]


# ---- long tails -----------------------------------------------------------------------------------------------------
def long_tails(about: str = "", lines: str = "") -> dict[str, Any]:
    (only,) = said(YARD, about=about, lines=lines)["long_tails"]
    assert only["at"] == "runs.riser"
    return only                                     # type: ignore[no-any-return]


def test_thirteen_metres_are_three_answers() -> None:
    """Row Tails: the operator's limit unknown till it answers, 61 A carries 60, the fuse opens in time; the cpc's heat unknown."""
    riser = long_tails()
    assert (riser["length_m"]["amount"], [a["answer"] for a in riser["operator"]]) == (13, ["unknown"])
    assert [a["answer"] for a in riser["overload"]] == ["yes"]
    assert {a["rule"]: a["answer"] for a in riser["clearing"]} == {"SV2": "yes", "EA7": "unknown"}


@pytest.mark.parametrize(("reply", "wanted"), [
    ("allows = true, tail_m = 13", "yes"), ("allows = true, tail_m = 10", "no"), ("allows = true", "yes"), ("allows = false", "no"),
    ("allows = true, tail_m = 13, until = 2026-11-20", "unknown")])
def test_the_reply_unlocks_the_operators_answer_alone(reply: str, wanted: str) -> None:
    """Whatever it says, overload and clearing stay as they were."""
    answered = long_tails(f'\n[replies]\nlong = {{ about = "runs.riser", answers = ["tails"], by = "operator-east", ref = "Q-20", on = 2026-11-18, {reply} }}\n',
                          'supplies.main.operator = "operator-east"')
    assert next(a for a in answered["operator"] if a["rule"] == "IN9")["answer"] == wanted
    assert answered["overload"] == long_tails()["overload"]
    assert answered["clearing"] == long_tails()["clearing"]


def test_a_fuse_of_its_own_would_not_grade() -> None:
    """Row Tails: 60 / 1.6 is 37.5 A, less than 44 A recorded and than 58 A connected."""
    log = "at,current_a\n" + "".join(f"2026-01-12T18:{n:02},{44 if n == 3 else 20}\n" for n in range(30))
    own = said(YARD, log=("week.csv", log))["long_tails"][0]["own_fuse"]
    assert own["at_most_a"]["amount"] == pytest.approx(37.5)
    told = {each["says"]: each["answer"] for each in own["figures"]}
    assert (told["recorded"], told["connected"], told["lasting, as after an outage"]) == ("no", "no", "yes")
    assert long_tails()["own_fuse"]["figures"] == own["figures"]      # the log that is on record says the same
    unlogged = said(YARD, None, 'remove = ["logs.january"]')["long_tails"][0]["own_fuse"]["figures"]
    assert {each["says"]: each["answer"] for each in unlogged}["recorded"] == "unknown"


def test_short_tails_are_no_long_ones() -> None:
    assert said(WEIR)["long_tails"] == []


# ---- amperes in hand, 13 kW ----------------------------------------------------------------------------------------
def test_thirteen_kilowatts_of_heat_on_a_60_a_head() -> None:
    """A form of network operators prints 13.8 kW for 60 A, S-009 and S-011 of the worked examples 23.0 kW for 100 A. Granary with 13 kW of heaters: they alone take 56.5 A, with its water 69.6 A; nothing is in
    hand by any figure, and what the fuse holds for hours is not known of a BS 1361."""
    heat = "\n".join(f'equipment.heater-{room} = {{ kind = "panel-heater", room = "{room}", stamped_w = {watts}, stamped_v = 230, on = "{on}" }}'
                     for room, watts, on in (("living", 5000, "heat-1"), ("bed-1", 3000, "heat-2"), ("bed-2", 2000, "heat-2"),
                                             ("bath", 1000, "heat-2"), ("hall", 2000, "heat-2")))
    now = said(YARD, None, heat)["now"]
    left = {each["says"]: (each["demand_a"]["amount"], each["left_a"]["amount"]) for each in now["in_hand"]}
    assert left["lasting, as after an outage"] == (pytest.approx((13_000 + 3_000) / 230), 0)
    assert left["connected"][1] == left["by the book, heaters whole"][1] == 0
    assert [b["stands_for_kw"]["amount"] for b in (now, *said(YARD, None, heat)["raised"])] == pytest.approx([13.8, 18.4, 23.0])
    assert now["holds_a"]["amount"] is None
    assert now["opens_a"]["amount"] == 90


def test_four_ways_and_no_amperes() -> None:
    """Weir: the page of demand counts four spare ways; by the book 0 A are in hand at 80 A and at 100 A."""
    for behind in (said(WEIR)["now"], *said(WEIR)["raised"]):
        assert next(e for e in behind["in_hand"] if e["says"] == "by the book, heaters whole")["left_a"] == {"amount": 0, "is": "0 A", "why": ""}


# ---- what two rates left, a cap ------------------------------------------------------------------------------------
def test_two_rates_are_listed() -> None:
    board = 'equipment.night = { kind = "board-night", rating_a = 60, ways_n = 4 }'
    assert said(WEIR)["two_rates"] == {"layouts": [], "leftovers": []}
    assert [(e["what"], e["sure"]) for e in said(WEIR, None, board)["two_rates"]["leftovers"]] == [("linked straight through", False)]


def test_a_cap_is_told_only_where_it_is_asked() -> None:
    """With the cap the figures in hand are as without it; each plan says what is left, or why there is none."""
    without, capped = said(WEIR), said(WEIR, cap_a=60.0)
    assert without["cap"] is None
    assert {key: capped[key] for key in capped if key != "cap"} == {key: without[key] for key in without if key != "cap"}
    plans = capped["cap"]["plans"]
    assert [bool(p["why_not"]) for p in plans] == [True, False, False, False]
    assert all((p["left_a"] is None) == bool(p["why_not"]) for p in plans)
    assert [p["above_at_highest"] for p in plans] == [None, True, True, True]
    assert any("fails to off" in text for text in capped["cap"]["device"])
    assert any("network operator's word" in text for text in capped["cap"]["device"])
    assert plans[2]["rooms"][0]["least_kh"] < plans[2]["rooms"][0]["cooled_kh"]["amount"] < plans[2]["rooms"][0]["most_kh"]


@pytest.mark.parametrize("asked", [{"raises_a": (0.0,)}, {"raises_a": (float("nan"),)}, {"raises_a": (80.0, 1e9)}, {"cap_a": float("inf")},
                                   {"cap_a": -1.0}, {"cap_a": 60.0, "held_h": 0.0}])
def test_what_is_no_rating_is_refused(asked: dict[str, Any]) -> None:
    with pytest.raises(InputError, match="no number that can be meant"):
        service(texts(WEIR), **asked)
