"""What a simulation wrote, drawn: the worst day of many winters, how long they are how much, the fourth figure; and what is refused."""
from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner, Result

from spareway.cli.verbs import spareway
from spareway.design.minutes import DAY_MIN
from spareway.doc import InputError
from spareway.drawings.of_foreseen import read_foreseen
from tests.drawings.graphs import EXAMPLES, faults, marks
from tests.drawings.seen import SVG, words

WEIR = EXAMPLES / "weir-cottage"
SAYS = "Weir Cottage: two old boards out, one new board and five heater circuits in"


def document(**changed: Any) -> dict[str, Any]:
    """Ten winters of 200 days: 95 A for three minutes of the worst day, a hundredth of the time above 50 A, all of it above nought."""
    minutes = [20.0] * DAY_MIN
    minutes[1000:1003] = [95.0] * 3
    return {"job": SAYS, "winters_n": 10, "days_n": 200, "highest_a": {"amount": 95.0, "least": 95.0, "most": None, "missing": []},
            "worst_day": {"winter": 4, "day": 77, "minutes_a": minutes},
            "duration": [{"above_a": 0, "share": 1}, {"above_a": 50, "share": 0.01}, {"above_a": 90, "share": 1e-6}, {"above_a": 91, "share": 0}]} | changed


def read(**changed: Any) -> Any:
    return read_foreseen("winters.json", json.dumps(document(**changed)))


def said(drawn: str) -> str:
    return " ".join(w.says for w in words(ElementTree.fromstring(drawn)))


def test_what_is_read() -> None:
    """2,000 days are 2,880,000 minutes: a hundredth 28,800, a millionth three; the highest minute stands before them."""
    of = read()
    assert (of.top_a.value, of.top_a.how, of.says) == (95, "simulated", "10 winters of 200 days, foreseen")
    assert of.steps == ((1, 95.0), (3, 90.0), (28_800, 50.0), (2_880_000, 0.0))
    assert (of.day.highest_a, of.day.highest_min, of.day.of_days_n, of.day.missing_n) == (95, 1000, 2000, 0)
    assert read(worst_day=None).day is None
    assert read(duration=[{"above_a": 0, "share": 1}, {"above_a": 95, "share": 1e-6}]).steps[0] == (3, 95.0)


def test_a_record_with_gaps_says_which() -> None:
    """No winter was lived: the figure is unknown with the gaps of the record, and there is nothing to draw of it."""
    gaps = {"amount": None, "missing": [{"says": "heat lost", "at": "rooms.living.elements.wall", "why": "no window is listed"}]}
    of = read(highest_a=gaps, winters_n=0, worst_day=None, duration=[])
    assert (of.top_a.known, of.top_a.note, of.steps, of.day) == (False, "rooms.living.elements.wall: no window is listed", (), None)
    assert read(highest_a={"amount": None, "missing": []}, winters_n=0, worst_day=None, duration=[]).top_a.note == "no winter was lived to its end"


@pytest.mark.parametrize(("changed", "field"), [
    ({"winters_n": -1}, "winters_n"), ({"winters_n": True}, "winters_n"), ({"days_n": "212"}, "days_n"), ({"days_n": 500}, "days_n"),
    ({"highest_a": 95}, "highest_a"), ({"highest_a": {"amount": -4}}, "highest_a"), ({"highest_a": {"amount": 1e9}}, "highest_a"),
    ({"worst_day": []}, "worst_day"), ({"worst_day": {"minutes_a": [1.0] * 1439}}, "worst_day"), ({"worst_day": {"minutes_a": ["1"] * DAY_MIN}}, "worst_day"),
    ({"duration": None}, "duration"), ({"duration": {}}, "duration"), ({"duration": [{"above_a": 3}]}, "duration"), ({"duration": [{"above_a": 3, "share": 1.1}]}, "duration")])
def test_what_is_not_as_a_simulation_writes_it_is_named(changed: dict[str, Any], field: str) -> None:
    with pytest.raises(InputError) as caught:
        read(**changed)
    assert [fault.field for fault in caught.value.faults] == [field]


@pytest.mark.parametrize("text", ["", "{", "[" * 100_000, '{"winters_n": NaN}'])
def test_what_is_no_document(text: str) -> None:
    with pytest.raises(InputError) as caught:
        read_foreseen("winters.json", text)
    assert "this is no JSON document" in str(caught.value.faults[0])


def test_every_fault_is_told_at_once() -> None:
    with pytest.raises(InputError) as caught:
        read_foreseen("winters.json", "[]")
    assert {fault.field for fault in caught.value.faults} == {"winters_n", "days_n", "highest_a", "duration"}


# ---- the verb -------------------------------------------------------------------------------------------------------
def typed(*given: object) -> Result:
    return CliRunner().invoke(spareway, ["drawing", *map(str, given)], catch_exceptions=False)


def test_the_verb_draws_winters(tmp_path: Path) -> None:
    """The worst day, the duration of all winters together, and the fourth figure; nothing over anything."""
    file, path = tmp_path / "winters.json", tmp_path / "a.svg"
    file.write_text(json.dumps(document()), "utf-8")
    for show, words_ in (("day", "Above the 80 A of the fuse for 3 min, at most 3 running, from 16:40."),
                         ("duration", "Highest minute 95 A of 2000 days. Above the 80 A of the fuse for 3 min."),
                         ("figures", "foreseen: 95 A")):
        done = typed(WEIR, "--show", show, "--foreseen", file, "--out", path)
        assert done.exit_code == 0, done.output
        drawn = path.read_text("utf-8")
        assert words_ in said(drawn)
        assert show == "figures" or "Drawn from simulated winters" in said(drawn) and "from the record" not in said(drawn)
        assert faults(drawn) == []
        assert ElementTree.fromstring(drawn).findtext(f"{SVG}title")
    assert [what for what, _ in marks(drawn)].count("not known") == 1                # recorded


def test_what_does_not_go_together(tmp_path: Path) -> None:
    """Both or neither, another job's winters, a document without a day, with gaps alone, and no drawing of winters: exit code 2."""
    log, file, path = tmp_path / "log.csv", tmp_path / "winters.json", tmp_path / "a.svg"
    log.write_text("at,current_a\n2026-01-12T00:00,5\n2026-01-12T00:01,6\n", "utf-8")
    nothing = document(highest_a={"amount": None, "missing": []}, winters_n=0, worst_day=None, duration=[])
    for of, given, says in ((document(), ("--show", "day", "--log", log), "and one of them"),
                            (document(job="another"), ("--show", "day"), "this is a simulation of another job"),
                            (document(worst_day=None), ("--show", "day"), "no minute of a winter stands in it"),
                            (nothing, ("--show", "duration"), "no winter was lived to its end"), (document(), (), "go with --show")):
        file.write_text(json.dumps(copy.deepcopy(of)), "utf-8")
        done = typed(WEIR, *given, "--foreseen", file, "--out", path)
        assert done.exit_code == 2, given
        assert says in " ".join(done.output.split())
    assert not path.exists()
