"""`spareway circuit`: the table, one circuit with every quantity and its working, and names that are not there."""
from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from spareway.cli.layout import MARKS
from spareway.rules.base import VERDICTS
from spareway.rules.circuit_words import cable_words, device_words, holds, title_of, turning_words, turns_of, worst
from tests.cli.cases import GRANARY, RIDGE, WEIR, document, page, too_long, typed

CAUTION = "Prove dead at the point of work, every time."
ALL = [(WEIR, "found"), (WEIR, "proposed"), (GRANARY, "fitted"), (RIDGE, "proposed")]


def flat(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize(("job", "stage"), ALL)
def test_the_table_holds_every_circuit_worst_first(job: Path, stage: str) -> None:
    """Each once with way, cable, device and verdict; what a check finds of each is found here too, and the exit code follows."""
    code, said = document("circuit", job, "--stage", stage)
    text = page("circuit", job, "--stage", stage)
    assert too_long(text) == []
    heads = [line for line in text.splitlines() if line.startswith(tuple(MARKS.values()))]
    ranks = [VERDICTS.index(next(v for v, mark in MARKS.items() if line.startswith(mark))) for line in heads]
    assert ranks == sorted(ranks)
    assert len(heads) == len(said["circuits"])
    for each in said["circuits"]:
        assert f"{each['name']} [{each['way']}]" in flat(text)
        assert f"{cable_words(each)}; {device_words(each)}" in flat(text)
    assert code == {"stop": 1, "fails": 1, "unknown": 3}.get(VERDICTS[ranks[0]], 0)
    assert CAUTION in text
    checked = document("check", job, "--stage", stage, "--full")[1]["findings"]
    for each in said["circuits"]:
        own = [f for f in checked if f["subject"] == f"circuits.{each['name']}" and not f.get("decision")]
        assert [f for f in each["findings"] if not f.get("decision")] == own, each["name"]


@pytest.mark.parametrize(("job", "name"), [(WEIR, "cooker"), (WEIR, "ring-ground"), (GRANARY, "heat-2"), (RIDGE, "charging")])
def test_one_circuit_shows_every_quantity_with_its_working_and_its_page(job: Path, name: str) -> None:
    """Each quantity, each line of working, each source and each gap stands on the page once and nothing is cut."""
    code, said = document("circuit", job, name)
    circuit, = said["circuits"]
    text = flat(page("circuit", job, name))
    assert too_long(page("circuit", job, name)) == []
    for each in circuit["quantities"]:
        assert f"{each['says']}: {each['is']}" in text
        for line in (*each["working"], *each["sources"]):
            assert flat(line) in text
        for gap in each["missing"]:
            assert gap["why"] in text
    lines = re.findall(r"= [^=]+ = .*?(?= (?:=|from|by|missing|rests) )", text)
    assert len(lines) > 15
    for finding in circuit["findings"]:
        if finding["verdict"] == "unknown":
            assert flat(f"{finding['rule']}, {finding['clause']}: {title_of(finding)}") in text
            assert all(gap["says"] in text for gap in finding["missing"]) if finding["missing"] else flat(finding["says"]) in text
        elif finding["verdict"] != "not applicable":
            assert flat(finding["says"]) in text
    assert code == {"fails": 1, "unknown": 3}.get(circuit["verdict"], 0)


@pytest.mark.parametrize(("name", "near"), [("cookr", "cooker"), ("ring-gorund", "ring-ground")])
def test_a_misspelt_circuit_names_the_nearest(name: str, near: str) -> None:
    done = typed("circuit", WEIR, name)
    assert (done.exit_code, done.stdout) == (2, "")
    assert done.stderr == f'command line: circuit: there is no circuit "{name}"; did you mean {near}?\n'


def test_an_overlay_moves_it(tmp_path: Path) -> None:
    """The immersion heater's cable as long as its drop allows by the tables, and a third longer: within, then fails however cool it
    runs, and turns where it would hold as warm as its load makes it."""
    circuit, = document("circuit", WEIR, "immersion")[1]["circuits"]
    turns_m, cooler_m = (_turns_m(circuit, rule) for rule in ("CI4", "RT9"))
    for length_m, verdict, says in ((turns_m - 0.5, "within", "holds to"), (turns_m * 4 / 3, "fails", f"holds at {int(cooler_m * 10) / 10:g} m or less")):
        overlay = tmp_path / f"{verdict}.toml"
        overlay.write_text(f"circuits.immersion.cable.length_m = {length_m:.3f}\n")
        moved, = document("circuit", WEIR, "immersion", "--with", overlay)[1]["circuits"]
        assert next(f for f in moved["findings"] if f["rule"] == "CI4")["verdict"] == verdict
        assert _turns_m(moved, "CI4") == pytest.approx(turns_m if verdict == "within" else cooler_m, rel=1e-4)
        assert holds(moved).partition(" m, ")[2].startswith(says)


def _turns_m(circuit: dict[str, Any], rule: str) -> float:
    """The length of the immersion heater's cable at which this rule turns."""
    at_m: float = next(t["turns_at"] for f in circuit["findings"] if f["rule"] == rule for t in f["flips_at"] if t["at"] == "circuits.immersion.cable.length_m")
    return at_m


# ---- a circuit that is yet to be ------------------------------------------------------------------------------------------
ASKED = {"7.2 kW cooker, 14 m, method 100": 3, "3 kW immersion, 500 m, method C": 1, "500 W towel-rail, 4 m, method C, curve B": None}


@pytest.mark.parametrize("asked", ASKED)
def test_a_new_circuit_is_chosen_with_every_reason(asked: str) -> None:
    """The choice, what binds, each refused pair with what it breaks, each turning point and each ground stand on the page."""
    code, said = document("circuit", WEIR, "--new", asked)
    text = flat(page("circuit", WEIR, "--new", asked))
    assert code == {"within": 0, "unknown": 3, "none": 1}[said["verdict"]]
    assert ASKED[asked] in (code, None)
    assert said["says"].removeprefix("Nothing: ") in text
    assert f"Decided by: {said['binds']['says']}" in text
    for each in (*said["refused"], *said["tests"]):
        assert each["says"] in text
    for turn in said["turns"]:
        assert turn["says"] in text
    for ground in said["rests_on"]:
        assert f"{ground['says']} {ground['is']}, {ground['how']}" in text
    assert ("In work.toml it would read:" in text) == (said["chosen"] is not None)
    assert CAUTION in text


def test_the_lines_it_gives_are_that_circuit(tmp_path: Path) -> None:
    """Laid over the job, what `--new` writes is judged as what it said: the same pair, the same findings."""
    said = document("circuit", WEIR, "--new", "7.2 kW cooker, 14 m, method 100")[1]
    overlay = tmp_path / "new.toml"
    overlay.write_text(said["toml"])
    laid, = document("circuit", WEIR, said["name"], "--with", overlay)[1]["circuits"]
    assert cable_words(laid) == "t&e 2.5 / 1.5 mm²"
    assert {f["rule"]: (f["verdict"], f["says"]) for f in laid["findings"]} == {f["rule"]: (f["verdict"], f["says"]) for f in said["circuit"]["findings"]}
    assert laid["is"] == said["circuit"]["is"] == "new cable"


def test_words_that_are_not_understood_are_each_a_line() -> None:
    done = typed("circuit", WEIR, "--new", "7.2 kW cookr, 14 m, method Q")
    assert (done.exit_code, done.stdout) == (2, "")
    first, second = done.stderr.splitlines()
    assert first.endswith("did you mean cooker?")
    assert "there is no method Q" in second
    both = typed("circuit", WEIR, "cooker", "--new", "1 kW lights, 3 m, method C")
    assert both.exit_code == 2
    assert both.stderr == "command line: name a circuit that is there, or ask one with --new, or a board with --board: not two of them\n"


# ---- words -----------------------------------------------------------------------------------------------------------------
def finding(verdict: str, at: float, now: float, address: str = "circuits.x.cable.length_m", name: str = "drop_above_limit") -> dict[str, object]:
    return {"rule": "ZZ1", "name": name, "verdict": verdict, "unit": "V", "value": 3.0, "limit": 4.0, "relation": "at most",
            "flips_at": [{"quantity": "length_m", "at": address, "is": now, "turns_at": at, "unit": "m"}]}


def test_the_length_at_which_it_turns_is_the_nearest_and_never_rounded_up() -> None:
    """Of two that turn ahead the nearer; where one fails, the length at which it would hold; another circuit's length is not its own."""
    within = [finding("within", 53.29, 21), finding("within", 40.07, 21, name="zs_above_limit")]
    assert holds(of("x", *within)) == "21 m, holds to 40 m: zs above limit"
    assert holds(of("x", *within, finding("fails", 15.99, 21))) == "21 m, holds at 15.9 m or less: drop above limit"
    assert holds(of("y", *within)) == ""
    assert holds(of("x", finding("fails", 30, 21), finding("within", 9, 21))) == ""
    stretch = "circuits.x.cable.stretches.loft.length_m"
    assert holds(of("x", finding("within", 12, 9, stretch))) == "loft 9 m, holds to 12 m: drop above limit"


def of(name: str, *findings: dict[str, object]) -> dict[str, Any]:
    return {"name": name, "findings": findings, "length_m": 21.0}


def test_what_fails_holds_at_no_length_unless_everything_that_fails_turns() -> None:
    """Of two that fail the shorter; with one that no length turns, or two that turn by two cables, none."""
    two = finding("fails", 15.99, 21), finding("fails", 12.0, 21, name="zs_above_limit")
    assert holds(of("x", *two)) == "21 m, holds at 12 m or less: zs above limit"
    whatever = {**finding("stop", 0, 0, name="neutral_shared"), "flips_at": []}
    assert holds(of("x", *two, whatever)) == "21 m, fails at any length: neutral shared"
    assert holds({**of("x", whatever), "length_m": None}) == ""
    assert holds(of("x", two[0], finding("fails", 5, 9, "circuits.x.points.p2.length_m"))) == ""


def test_what_turns_to_no_worse_than_it_is_is_no_end_of_it() -> None:
    """A circuit with a gap holds past what is only advice; one that is within holds to it."""
    advice, drop = {**finding("within", 30.0, 21, name="residual_device_clears_alone"), "rule": "DV1"}, finding("within", 53.29, 21)
    unknown = {**finding("unknown", 0, 0, name="cpc_too_hot"), "flips_at": []}
    assert holds(of("x", advice, drop)) == "21 m, holds to 30 m: residual device clears alone"
    assert holds(of("x", advice, drop, unknown)) == "21 m, holds to 53.2 m: drop above limit"


def test_above_the_drop_of_the_tables_the_cooler_cable_governs() -> None:
    """CI4 stands aside for RT9 or RI10; where another check ends it before the tables do, that is the end."""
    tables, cool = finding("within", 47.6, 21), finding("within", 53.1, 21, name="drop_above_limit_even_cool")
    assert holds(of("x", tables, cool)) == "21 m, holds to 47.6 m by the drop of the tables and to 53.1 m at the most: drop above limit even cool"
    assert holds(of("x", tables, cool, finding("within", 30.0, 21, name="zs_above_limit"))) == "21 m, holds to 30 m: zs above limit"
    asked = {**cool, "verdict": "unknown", "flips_at": []}
    assert holds(of("x", tables, asked)) == "21 m, holds to 47.6 m by the drop of the tables: drop above limit"


def test_the_worst_is_the_first_of_the_worst_and_within_is_none() -> None:
    assert worst([finding("within", 1, 2), finding("unknown", 1, 2), finding("fails", 1, 2)]) == finding("fails", 1, 2)
    assert worst([finding("within", 1, 2)]) is None


def test_a_quantity_turns_with_what_is_asked_of_it_alone() -> None:
    """Its amount and unit are the value of the comparison; for `at least` the limit's; other amounts say nothing."""
    drop = {"amount": 3.0, "unit": "V"}
    assert [*turns_of(drop, [finding("within", 53, 21)])] == ["ZZ1, drop above limit: turns at 53 m; length of a cable, x, is 21 m"]
    assert [*turns_of({**drop, "amount": 4.0}, [finding("within", 53, 21)])] == []
    assert [*turns_of({**drop, "amount": 4.0}, [{**finding("within", 53, 21), "relation": "at least"}])] != []
    assert [*turns_of({**drop, "unit": "A"}, [finding("within", 53, 21)])] == []
    assert [*turns_of({**drop, "amount": None}, [{**finding("within", 53, 21), "value": None}])] == []


def test_what_is_not_recorded_is_a_question_mark() -> None:
    bare = {"ring": False, "cable": {"kind": "t&e", "line_mm2": 2.5, "cpc_mm2": None}, "device": {"kind": "mcb", "curve": None, "rating_a": None, "residual_ma": None}}
    assert (cable_words(bare), device_words(bare)) == ("t&e 2.5 / ? mm²", "mcb ? A")
    assert cable_words({**bare, "cable": {"kind": ""}}) == "cable not recorded"
    assert device_words({**bare, "device": {"kind": ""}}) == "device not recorded"


def turn(holds_from: float | None, holds_to: float | None, before: str = "A", then: str = "B") -> dict[str, object]:
    return {"says": "length of a cable", "is": 14, "how": "stated", "unit": "m", "holds_from": holds_from, "holds_to": holds_to, "before": before, "then": then}


def test_a_choice_is_never_said_to_hold_where_it_turned() -> None:
    """The end of its range is cut towards where it holds; an open end and an end beyond which nothing conforms are not named."""
    assert [*turning_words([turn(6.9001, 37.9999)])] == ["length of a cable 14 m, stated: holds from 6.91 m, below it A; holds to 37.9 m, then B"]
    assert [*turning_words([turn(None, 38, then="")])] == ["length of a cable 14 m, stated: holds to 38 m"]
    assert [*turning_words([turn(None, None)])] == []


def test_a_whole_board_is_chosen_together() -> None:
    """Each new circuit once with its choice, what the record says, what binds and where it turns; the kept ones by name."""
    code, said = document("circuit", WEIR, "--board")
    text = flat(page("circuit", WEIR, "--board"))
    assert too_long(page("circuit", WEIR, "--board")) == []
    assert [c["name"] for c in said["circuits"]] == ["immersion", *(f"heat-{n}" for n in range(1, 6))]
    for each in said["circuits"]:
        assert f"{each['name']} [{each['way']}] {each['chosen']['says']} On record: 2.5/1.5 mm² t&e, rcbo-2p B16 Decided by:" in text
        for turn in each["turns"]:
            assert f"{turn['says']} " in text
    assert f"Kept, and not chosen again: {', '.join(said['kept'])}." in text
    assert code == 3
    assert CAUTION in text
    assert typed("circuit", WEIR, "brd", "--board").exit_code == 2
    assert typed("circuit", WEIR, "--board", "--new", "3 kW immersion").exit_code == 2


def test_a_device_that_heaters_exceed_at_the_highest_voltage_is_told() -> None:
    """Granary's bedrooms: 9.78 A at 230 V fit a B10; at 253 V they draw 10.8 A for hours, which LO1 advises against."""
    said = document("circuit", GRANARY, "--board")[1]
    heat = next(c for c in said["circuits"] if c["name"] == "heat-2")
    assert heat["chosen"]["device"]["rating_a"] == 10
    assert [note for note in heat["notes"] if "draws 10.8 A, more than B10 is rated for" in note]
    assert "LO1 advises the next larger device" in flat(page("circuit", GRANARY, "--board"))
