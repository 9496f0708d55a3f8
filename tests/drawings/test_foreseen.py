"""What a simulation wrote, drawn: the worst day of many winters, how long they are how much, the fourth figure; and what is refused."""
from __future__ import annotations

import copy
import json
import math
import shutil
from functools import cache
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner, Result

from spareway.api import to_json
from spareway.api_season import asked, plainly, told
from spareway.cli.verbs import spareway
from spareway.design.minutes import DAY_MIN
from spareway.doc import InputError
from spareway.drawings.of_demand import figures_drawn, foreseen_length
from spareway.drawings.of_foreseen import read_foreseen
from spareway.folder import read_folder
from spareway.season.minute import live
from spareway.season.sums import highest_first
from tests.drawings.graphs import EXAMPLES, design, faults, marks, places
from tests.drawings.seen import SVG, words

WEIR = EXAMPLES / "weir-cottage"
ONE_DAY = (Path(__file__).parents[1] / "season" / "one-day.toml").read_text("utf-8")


@cache
def real() -> tuple[str, list[float]]:
    """What the verb writes of six cold days of the cottage, each a winter by itself; and all their minutes, which it does not write."""
    lived_n = 6
    of = asked(dict(read_folder(WEIR)), ("one-day.toml", ONE_DAY))
    assert of.season is not None
    season, winters = of.season, plainly(of.season, 0, lived_n)
    watts = [list(live(season, number).minutes_w) for number in range(lived_n)]
    (worst,) = highest_first(winters, 1)
    return to_json(told(of, winters, lived_n, watts[worst.number])), [abs(w) / season.home.volts_v for each in watts for w in each]


def document(**changed: Any) -> dict[str, Any]:
    """A real one, and in it ten winters of 200 days: 95 A for three minutes of the worst day, a hundredth of the time above 50 A, all
    of it above nought; 0.7 minutes a winter above the 80 A of the fuse."""
    minutes = [20.0] * DAY_MIN
    minutes[1000:1003] = [95.0] * 3
    of: dict[str, Any] = json.loads(real()[0])
    return of | {"winters_n": 10, "days_n": 200, "highest_a": of["highest_a"] | {"amount": 95.0, "least": 95.0},
                 "over": of["over"] | {"minutes_n": of["over"]["minutes_n"] | {"amount": 0.7, "least": 0, "most": None}, "all_n": 7},
                 "worst_day": {"winter": 4, "day": 77, "minutes_a": minutes},
                 "duration": [{"above_a": 0, "share": 1}, {"above_a": 50, "share": 0.01}, {"above_a": 90, "share": 1e-6}, {"above_a": 91, "share": 0}]} | changed


def read(**changed: Any) -> Any:
    return read_foreseen("winters.json", json.dumps(document(**changed)))


def said(drawn: str) -> str:
    return " ".join(w.says for w in words(ElementTree.fromstring(drawn)))


def test_what_is_read() -> None:
    """2,000 days are 2,880,000 minutes: a hundredth 28,800, a millionth three; the highest minute stands before them."""
    of = read()
    assert (of.top_a.value, of.top_a.how, of.says) == (95, "simulated", "10 winters of 200 days, foreseen, one-day.toml")
    assert (of.stage, of.scenario, of.sampled_every, of.over_n(80), of.over_n(100)) == ("proposed", "one-day.toml", 64, 7, None)
    assert (of.top_a.span, of.rests) == ((95, math.inf), ", from memory, assumed")
    assert read(highest_a={"amount": 95.0, "least": 90, "most": 99}).top_a.span == (90, 99)
    assert read(rests_on=[]).rests == ""
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
    ({"highest_a": {"amount": 5, "least": 6}}, "highest_a"), ({"highest_a": {"amount": None, "least": 6}}, "highest_a"), ({"seed": None}, "seed"),
    ({"job": None}, "job"), ({"stage": 3}, "stage"), ({"scenario": "ordinary"}, "scenario"), ({"scenario": {"name": "x" * 201}}, "name"),
    ({"over": None}, "over"), ({"over": {"rating_a": 80}}, "over"), ({"over": {"rating_a": "80", "minutes_n": {"amount": 1}}}, "over"),
    ({"over": {"rating_a": 80, "minutes_n": {"amount": -1}}}, "over"), ({"over": {"rating_a": 80, "minutes_n": {"amount": 0.7}}}, "over"),
    ({"over": {"rating_a": 80, "minutes_n": {"amount": 0.7}, "all_n": 8}}, "over"), ({"over": {"rating_a": 80, "minutes_n": {"amount": 0.7}, "all_n": 7.0}}, "over"),
    ({"over": {"rating_a": 80, "minutes_n": {"amount": None}, "all_n": 7}}, "over"), ({"sampled_every": None}, "sampled_every"), ({"sampled_every": 0}, "sampled_every"),
    ({"rests_on": [{"says": "x"}]}, "rests_on"), ({"rests_on": None}, "rests_on"),
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
    assert {fault.field for fault in caught.value.faults} == {"winters_n", "days_n", "scenario", "highest_a", "over", "job", "stage",
                                                              "rests_on", "sampled_every", "duration"}


# ---- minutes counted and minutes sampled ------------------------------------------------------------------------------
def test_the_minutes_of_all_winters_are_those_of_the_document() -> None:
    """1,234,567 minutes of 2,000,000 winters: their mean has six digits in a document, 0.617284, and times the winters 1,234,568."""
    over = document()["over"] | {"minutes_n": {"amount": 0.617284}, "all_n": 1_234_567}
    assert round(0.617284 * 2_000_000) == 1_234_568
    assert read(winters_n=2_000_000, over=over).over_n(80) == 1_234_567


def test_minutes_above_the_fuse_are_those_that_were_counted() -> None:
    """Six cold days, counted off their own minutes: 14 above 80 A, of which the one in 64 that makes the curve met none."""
    text, amps = real()
    over_n = len([a for a in amps if a > 80])
    of = read_foreseen("winters.json", text)
    assert (over_n, of.over_n(80)) == (14, 14)
    assert max(minutes for minutes, a in of.steps if a > 80) == 1                    # the highest minute, and no sample
    drawn = foreseen_length(design("weir-cottage", "proposed"), of)
    assert drawn is not None
    assert "Highest minute 88.9 A of 6 days. Above the 80 A of the fuse for 14 min." in said(drawn)
    assert "above the 80 A of the fuse for 14 min, all of it together" in said(drawn)
    assert "The curve: one minute in 64 looked at; above the 80 A every minute was counted." in said(drawn)
    assert faults(drawn) == []
    stair = places(dict(marks(drawn))["duration"])
    rated = places(dict(marks(drawn))["rated 80 A"])[0][1]
    corner = max(x for x, y in stair if y <= rated + 0.5)
    assert (corner - 40) / (264 - 40) == pytest.approx(math.log(14) / math.log(6 * DAY_MIN), abs=0.01)


def test_what_was_not_counted_for_this_rating_is_not_told_from_samples() -> None:
    """A fuse of 60 A, of which the simulation knew 80; one that nobody had read then; samples above it, and no number of minutes."""
    sixty = design("weir-cottage", "proposed", "equipment.cutout.fuse_a = { marked = 60 }")
    unread = copy.deepcopy(document()["over"])
    unread["rating_a"] = unread["minutes_n"]["amount"] = unread["all_n"] = None
    unread["minutes_n"]["least"] = None
    for of, here in ((read(), sixty), (read(over=unread), design("weir-cottage", "proposed"))):
        drawn = foreseen_length(here, of)
        assert drawn is not None
        assert "of the fuse: not counted for this rating." in said(drawn)
        assert " for 7 min" not in said(drawn)
        assert "known minute" not in said(drawn)
        assert "The curve: one minute in 64 looked at." in said(drawn)
        assert faults(drawn) == []
    none = copy.deepcopy(document()["over"])
    none["minutes_n"] |= {"amount": 0, "least": 0}
    none["all_n"] = 0
    calm = foreseen_length(design("weir-cottage", "proposed"), read(over=none, highest_a={"amount": 79.0}, duration=[{"above_a": 0, "share": 1}]))
    assert "Highest minute 79 A of 2000 days; no known minute above the 80 A of the fuse." in said(calm or "")
    whole = foreseen_length(design("weir-cottage", "proposed"), read(sampled_every=1))
    assert "looked at" not in said(whole or "")


def test_the_fourth_figure_says_whose_winters_and_that_its_end_is_open() -> None:
    """Six days of 88.9086... A: three digits as the document has them; at least so much; what it rests on; a model's, at the foot."""
    of = read_foreseen("winters.json", real()[0])
    drawn = figures_drawn(design("weir-cottage", "proposed"), None, of)
    assert faults(drawn) == []
    told_so = said(drawn)
    assert "foreseen: 88.9 A" in told_so
    assert "88.90" not in told_so
    assert "simulated winters: 6 winters of 1 day, foreseen, one-day.toml. 88.9 A, from memory, assumed. At least 88.9 A; how high it may be" in told_so
    assert "Between 88" not in told_so
    assert "Drawn from the record, and what is foreseen from simulated winters: a model's, and not this family's." in told_so
    whisker = next(places(e) for what, e in marks(drawn) if what == "interval")
    assert max(x for x, _ in whisker) == pytest.approx(360 - 26)                     # to the edge of the graph
    assert "simulated winters: a model's" not in said(figures_drawn(design("weir-cottage", "proposed")))
    nothing = read(highest_a={"amount": None, "missing": []}, winters_n=0, worst_day=None, duration=[])
    assert "a model's" not in said(figures_drawn(design("weir-cottage", "proposed"), None, nothing))
    closed = figures_drawn(design("weir-cottage", "proposed"), None, read(highest_a={"amount": 95.0, "least": 90, "most": 99}))
    assert "Between 90 and 99 A." in said(closed)
    assert max(x for what, e in marks(closed) if what == "interval" for x, _ in places(e)) < 360 - 26
    below = figures_drawn(design("weir-cottage", "proposed"), None, read(highest_a={"amount": 95.0, "least": None, "most": 99}))
    assert "At most 99 A; how low it may be" in said(below)


# ---- the verb -------------------------------------------------------------------------------------------------------
def typed(*given: object) -> Result:
    return CliRunner().invoke(spareway, ["drawing", *map(str, given)], catch_exceptions=False)


def test_the_verb_draws_winters(tmp_path: Path) -> None:
    """The worst day, the duration of all winters together, and the fourth figure; nothing over anything."""
    file, path = tmp_path / "winters.json", tmp_path / "a.svg"
    file.write_text(json.dumps(document()), "utf-8")
    for show, words_ in (("day", "Above the 80 A of the fuse for 3 min, at most 3 running, from 16:40."),
                         ("duration", "Highest minute 95 A of 2000 days. Above the 80 A of the fuse for 7 min."),
                         ("figures", "foreseen: 95 A")):
        done = typed(WEIR, "--show", show, "--foreseen", file, "--out", path)
        assert done.exit_code == 0, done.output
        drawn = path.read_text("utf-8")
        assert words_ in said(drawn)
        assert show == "figures" or "Drawn from simulated winters" in said(drawn) and "from the record" not in said(drawn)
        assert "10 winters of 200 days, foreseen, one-day.toml" in said(drawn)
        assert faults(drawn) == []
        assert ElementTree.fromstring(drawn).findtext(f"{SVG}title")
    assert [what for what, _ in marks(drawn)].count("not known") == 1                # recorded


def test_what_does_not_go_together(tmp_path: Path) -> None:
    """Both or neither, another job's winters, a document without a day, with gaps alone, and no drawing of winters: exit code 2."""
    log, file, path = tmp_path / "log.csv", tmp_path / "winters.json", tmp_path / "a.svg"
    log.write_text("at,current_a\n2026-01-12T00:00,5\n2026-01-12T00:01,6\n", "utf-8")
    nameless = tmp_path / "nameless"
    shutil.copytree(WEIR, nameless)
    (nameless / "job.toml").write_text((WEIR / "job.toml").read_text("utf-8").replace(document()["job"], ""), "utf-8")
    nothing = document(highest_a={"amount": None, "missing": []}, winters_n=0, worst_day=None, duration=[])
    for of, given, says in ((document(), ("--show", "day", "--log", log), "and one of them"),
                            (document(job="another"), ("--show", "day"), "this is a simulation of another job"),
                            (document(stage="found"), ("--show", "figures"), "stage: this is a simulation of another stage; proposed"),
                            (document(), ("--show", "duration", "--stage", "found"), "this is a simulation of another stage; found"),
                            (document(worst_day=None), ("--show", "day"), "no minute of a winter stands in it"),
                            (nothing, ("--show", "duration"), "no winter was lived to its end"), (document(), (), "go with --show")):
        file.write_text(json.dumps(copy.deepcopy(of)), "utf-8")
        done = typed(WEIR, *given, "--foreseen", file, "--out", path)
        assert done.exit_code == 2, given
        assert says in " ".join(done.output.split())
    file.write_text(json.dumps(document(job="")), "utf-8")
    done = typed(nameless, "--show", "day", "--foreseen", file, "--out", path)
    assert (done.exit_code, "this job has no name" in done.output) == (2, True)
    assert not path.exists()
