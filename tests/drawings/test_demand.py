"""Drawings of demand: the worst day, how long it is how much, the four figures; read back off their axes, nothing over anything."""
from __future__ import annotations

import re
from datetime import timedelta
from functools import cache
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner, Result

from spareway.cli.verbs import spareway
from spareway.design.logged import Log, read_log
from spareway.design.minutes import DAY_MIN
from spareway.drawings.demand import clock
from spareway.drawings.duration import duration_drawn
from spareway.drawings.graph import SMALL
from spareway.drawings.letters import width
from spareway.drawings.of_demand import day_drawn, figures_drawn, fuse_lines, length_drawn
from spareway.drawings.of_foreseen import Foreseen
from spareway.fact import Fact, simulated
from tests.design.test_minutes import START, week, written
from tests.drawings.graphs import EXAMPLES, design, faults, marks, places
from tests.drawings.seen import SVG, words

GG = 'equipment.cutout.fuse = "bs88-3"'
TOLD = "equipment.cutout.fuse_a = { told = 80 }"
HOMES = [("weir-cottage", ""), ("weir-cottage", GG), ("weir-cottage", TOLD), ("granary-yard", ""), ("ridge-annexe", "")]


@cache
def log() -> Log:
    return read_log("week.csv", written(week()))


def said(drawn: str) -> str:
    return " ".join(w.says for w in words(ElementTree.fromstring(drawn)))


def lines(drawn: str) -> dict[str, ElementTree.Element]:
    return dict(marks(drawn))


def amperes(drawn: str) -> tuple[float, float]:
    """(where nought stands, units an ampere) of an upright axis, by its figures."""
    at = {float(w.says): w.covers[3] - 0.21 * 13 - 4.5 for w in words(ElementTree.fromstring(drawn))
          if w.says.replace(".", "").isdigit() and abs(w.covers[2] - 34) < 0.1}
    most = max(at)
    return at[0.0], (at[most] - at[0.0]) / most


@pytest.mark.parametrize(("home", "overlay"), HOMES)
def test_nothing_stands_over_anything(home: str, overlay: str) -> None:
    """Each drawing of each home, brief for a phone and whole for a page: no words over words, off the sheet, in a colour of their own."""
    of = design(home, "proposed", overlay)
    for wide, brief in ((False, True), (True, False), (False, False)):
        for drawn in (day_drawn(of, log(), wide, brief), length_drawn(of, log(), wide, brief), figures_drawn(of, log(), None, wide, brief),
                      figures_drawn(of, None, None, wide, brief)):
            assert drawn is not None
            assert faults(drawn) == []


# ---- the worst day --------------------------------------------------------------------------------------------------
def test_the_peak_stands_at_its_ampere_and_its_minute() -> None:
    """90 A at 20:40 of a fuse of 80 A: no minute is lost on a drawing of six minutes a unit, and only what is above is heavy."""
    drawn = day_drawn(design("weir-cottage", "proposed", GG), log())
    assert drawn is not None
    nought, ampere = amperes(drawn)
    current = [spot for what, e in marks(drawn) if what == "current" for spot in places(e)]
    x, y = min(current, key=lambda spot: spot[1])
    assert (y - nought) / ampere == pytest.approx(90, abs=0.2)
    left, right = 40.0, 360 - 96.0
    assert (x - left) / (right - left) * DAY_MIN == pytest.approx(20 * 60 + 41, abs=DAY_MIN / (right - left))
    heavy = places(lines(drawn)["above the rating"])
    assert sorted({round((y - nought) / ampere) for _, y in heavy}) == [80, 90]
    for words_, amps in (("rated 80 A", 80), ("holds 100 A", 100), ("opens 128 A", 128)):
        assert (places(lines(drawn)[words_])[0][1] - nought) / ampere == pytest.approx(amps, abs=0.2)
    assert lines(drawn)["rated 80 A"].get("stroke-dasharray") is None
    assert lines(drawn)["holds 100 A"].get("stroke-dasharray")                       # from memory
    assert "Above the 80 A of the fuse for 2 min, at most 2 running, from 20:40. As logged; 55.4 A connected since is not in it, 145 A with it." in said(drawn)
    assert "90 A at 20:40, the highest minute of 7 days" in said(drawn)


def test_what_is_missing_is_a_gap_and_not_nought() -> None:
    """Three minutes from 01:00: the line breaks nowhere else, a broken foot marks it, and it is said."""
    drawn = day_drawn(design("weir-cottage", "proposed"), read_log("w.csv", written({i: a for i, a in week().items() if not DAY_MIN * 4 + 60 <= i < DAY_MIN * 4 + 90})))
    assert drawn is not None
    assert [what for what, _ in marks(drawn)].count("current") == 2
    foot = places(lines(drawn)["missing"])
    assert (foot[1][0] - foot[0][0]) / (264 - 40) * DAY_MIN == pytest.approx(30, abs=0.7)
    assert "30 minutes of this day are missing" in said(drawn)
    nought, ampere = amperes(drawn)
    assert all((y - nought) / ampere > 2.5 for what, e in marks(drawn) if what == "current" for _, y in places(e))


def test_a_fuse_nobody_read_has_no_line() -> None:
    """Told and not read: no rating, nothing is said against it; what a BS 1361 fuse holds is not known, and said so."""
    drawn = day_drawn(design("weir-cottage", "proposed", TOLD), log())
    assert drawn is not None
    assert not {what for what, _ in marks(drawn)} & {"above the rating", "rated 80 A"}
    assert "The rating of the fuse is not known, so nothing is said against it." in said(drawn)
    assert "What it holds for 4 h is not known: " in said(day_drawn(design("weir-cottage", "proposed"), log()) or "")
    quiet = read_log("w.csv", written({i: 5.0 + i % 3 for i in range(DAY_MIN)}))
    calm = day_drawn(design("weir-cottage", "proposed"), quiet)
    assert calm is not None
    assert "Highest minute 7 A; no logged minute above the 80 A of the fuse. As logged; 55.4 A connected since is not in it, 62.4 A with it." in said(calm)
    there = day_drawn(design("weir-cottage", "found"), quiet)
    assert "Highest minute 7 A; no known minute above the 80 A of the fuse." in said(there or "")
    assert "logged" not in said(there or "")
    assert "the highest minute of this one day" in said(calm)
    assert faults(calm) == []
    assert clock(61) == "01:01"


def test_one_minute_alone_between_gaps_is_drawn() -> None:
    """A logger that fails for a day but for a minute at noon."""
    rows = dict.fromkeys(range(DAY_MIN), 9.0) | {DAY_MIN + 720: 70.0} | dict.fromkeys(range(2 * DAY_MIN, 4 * DAY_MIN), 9.0)
    drawn = day_drawn(design("weir-cottage", "proposed"), read_log("w.csv", written(rows)))
    assert drawn is not None
    assert len([e for what, e in marks(drawn) if what == "current"]) == 1
    assert "1439 minutes of this day are missing" in said(drawn)


# ---- how long it is how much ----------------------------------------------------------------------------------------
def test_minutes_of_a_week_on_a_logarithmic_axis() -> None:
    """90 A for two minutes, 61 A for six together, all of it a week less three minutes; by hand log 6 / log 10,077 of the way."""
    drawn = length_drawn(design("granary-yard", "proposed"), log())
    assert drawn is not None
    nought, ampere = amperes(drawn)
    stair = [((x - 40) / (264 - 40), (y - nought) / ampere) for x, y in places(lines(drawn)["duration"])]
    assert stair[0][1] == pytest.approx(90, abs=0.3)
    corner = max(x for x, amps in stair if amps > 60)
    assert corner == pytest.approx(0.77815 / 4.00333, abs=0.01)
    assert stair[-1][0] == pytest.approx(1, abs=0.01)
    assert all(b[0] >= a[0] - 1e-9 and b[1] <= a[1] + 1e-9 for a, b in pairwise(stair))
    assert "Above the 60 A of the fuse for 6 min." in said(drawn)
    assert "Highest minute 90 A of 7.00 days" in said(drawn)


def test_a_duration_against_nothing() -> None:
    """No rating, no minute above it, no minute at all."""
    fuse = fuse_lines(design("weir-cottage", "proposed", TOLD))
    assert "The rating of the fuse is not known." in said(duration_drawn(((3, 9.0),), fuse))
    calm = duration_drawn(((3, 9.0), (90, 4.0)), fuse_lines(design("weir-cottage", "proposed")), "a winter")
    assert "a winter: Highest minute 9 A of 90 min; no known minute above the 80 A of the fuse." in said(calm)
    assert faults(calm) == []
    with pytest.raises(ValueError, match="nothing to draw"):
        duration_drawn((), fuse)
    means = read_log("m.csv", "at,current_a\n" + "\n".join(f"{START + timedelta(minutes=30 * i):%Y-%m-%dT%H:%M},20" for i in range(48)))
    assert length_drawn(design("weir-cottage", "proposed"), means) is None
    assert day_drawn(design("weir-cottage", "proposed"), means) is None


def test_a_log_of_before_the_work_clears_no_fuse() -> None:
    """A week of at most 60.6 A of what was found; with the 12,750 W of heaters that the work adds 116 A, by hand 60.6 + 12,750 / 230. What of
    the work nobody read the plate of, nobody can add: said, and no number for it. Of what was found it has everything in it."""
    quiet = read_log("week.csv", written({i: 60.6 if i == 777 else 5.0 for i in range(DAY_MIN)}))
    unread = 'circuits.more = { way = "board.12", feeds = "shower", device = { kind = "rcbo-2p", curve = "B", rating_a = 40, residual_ma = 30, residual_type = "A" } }\n'
    for stage, overlay, words_, without in (("proposed", "", "As logged; 55.4 A connected since is not in it, 116 A with it.", "known minute"),
                                            ("proposed", unread, "As logged; what is connected since is not in it, and nobody can tell how much that is: circuits.more", " with it"),
                                            ("found", "", "Highest minute 60.6 A", "logged")):
        for drawn in (day_drawn(design("weir-cottage", stage, overlay), quiet), length_drawn(design("weir-cottage", stage, overlay), quiet)):
            assert drawn is not None
            assert words_ in said(drawn)
            assert without not in said(drawn)
            assert stage == "found" or "no logged minute above the 80 A" in said(drawn)
            assert faults(drawn) == []
    sparse = read_log("w.csv", written({i: 5.0 for i in range(3 * DAY_MIN) if i % 60 < 20 or i > 3 * DAY_MIN - 3}))
    of_found, of_now = (length_drawn(design("weir-cottage", stage), sparse) or "" for stage in ("found", "proposed"))
    assert "logged" not in said(of_found)                        # more minutes missing than there: no highest minute to add to
    assert "55.4 A connected since is not in it." in said(of_now)


# ---- four figures ---------------------------------------------------------------------------------------------------
def bars(drawn: str) -> list[float]:
    """Lengths of the bars in amperes, by the figures of the level axis."""
    at = {float(w.says.removesuffix(" A")): (w.covers[0] + w.covers[2]) / 2 for w in words(ElementTree.fromstring(drawn))
          if w.says.removesuffix(" A").isdigit() and w.says.endswith(" A")}
    (a, x), (b, y) = min(at.items()), max(at.items())
    unit = (y - x) / (b - a) if b > a else (x - 14) / a
    return [float(e.attrib["width"]) / unit for what, e in marks(drawn) if what == "figure"]


def test_weir_side_by_side_with_two_unknown() -> None:
    """SCENARIOS: 137.4 A by the book, 114.7 and 82.0 read otherwise; recorded and foreseen a broken frame each, and no bar."""
    drawn = figures_drawn(design("weir-cottage", "proposed"))
    assert bars(drawn) == pytest.approx([115.9, 137.4], rel=0.01)
    assert [what for what, _ in marks(drawn)].count("not known") == 2
    frame = lines(drawn)["not known"]
    assert frame.get("stroke-dasharray")
    assert float(frame.attrib["width"]) == pytest.approx(360 - 14 - 26)              # it may end anywhere
    text = said(drawn)
    assert "recorded: not known" in text
    assert "Not known: recorded, foreseen. Above the 80 A of the fuse: connected, by the book." in text
    assert "with heaters as heating and power 115 A; without any fixed heater 82.0 A" in text
    assert "what is plugged in is not in it. 116 A, from memory." in text                       # a lampholder's 100 W
    assert "homes not heated by electricity alone. 137 A, from memory. Read otherwise" in text
    assert "a logger wrote, with everything connected since. Not known" in text
    assert "no log of the current at the intake is recorded" in text
    assert " 0 A" not in text


def test_no_line_of_the_fuse_strikes_a_figure_through() -> None:
    """Weir: 80 A of 160 stand in the middle of `by the book: 137 A`. Each name stands on paper of its own width, above the lines."""
    drawn = figures_drawn(design("weir-cottage", "proposed"))
    last = max(at.end() for at in re.finditer(r"<title>(rated|holds|opens) ", drawn))
    papers = [float(each) for each in re.findall(r'<path class="halo"[^>]* d="M[-0-9.]+ [-0-9.]+h([0-9.]+)"', drawn[last:])]
    names = re.findall(r">((?:connected|by the book|recorded|foreseen): [^<]+)<", drawn)
    assert [each.partition(":")[0] for each in names] == ["connected", "by the book", "recorded", "foreseen"]
    assert all(drawn.index(f">{each}<") > last for each in names)
    assert all(paper >= width(each, SMALL, bold=True) for paper, each in zip(papers, names, strict=True))


def test_granary_by_its_record_and_by_a_log() -> None:
    """44 A on record stands below 60; a log that is given counts instead; the simulated has its whisker."""
    of = design("granary-yard", "proposed")
    assert bars(figures_drawn(of)) == pytest.approx([58.1, 81.8, 44], rel=0.01)
    assert bars(figures_drawn(of, log()))[2] == pytest.approx(90, rel=0.01)
    top_a = simulated("demand_a", lambda: 71.0, [], 1, 1000, (66.0, 78.5))
    drawn = figures_drawn(of, None, Foreseen("", "fitted", "ordinary", "1,000 winters", top_a, None, (), "", 64, 60, 0))
    assert bars(drawn) == pytest.approx([58.1, 81.8, 44, 71], rel=0.01)
    assert "Between 66 and 78.5 A." in said(drawn)
    assert len([e for what, e in marks(drawn) if what == "interval"]) == 1
    assert faults(drawn) == []
    unread = figures_drawn(design("granary-yard", "fitted", "equipment.cutout.fuse_a = { told = 60 }"))
    assert "The rating of the fuse is not known, so nothing is said against it." in said(unread)


def test_a_book_without_heaters_of_their_own_has_one_reading() -> None:
    assert "Read otherwise" not in said(figures_drawn(design("granary-yard", "found")))
    assert isinstance(fuse_lines(design("granary-yard", "found")).rating_a, Fact)


# ---- the verb -------------------------------------------------------------------------------------------------------
def typed(*given: object) -> Result:
    return CliRunner().invoke(spareway, ["drawing", *map(str, given)], catch_exceptions=False)


def test_the_verb_knows_them_by_name(tmp_path: Path) -> None:
    """Figures with and without a log, a day and a duration of one, as wide as a page; the same bytes each time."""
    file, path = tmp_path / "week.csv", tmp_path / "a.svg"
    file.write_text(written(week()), "utf-8")
    for given, title, wide in ((("--show", "figures"), "Four figures of demand", "360"), (("--show", "figures", "--log", file, "--wide"), "Four figures of demand", "560"),
                               (("--show", "day", "--log", file), "Demand of the worst day", "360"), (("--show", "duration", "--log", file), "How long it is at least how much", "360")):
        done = typed(EXAMPLES / "weir-cottage", *given, "--out", path)
        assert done.exit_code == 0, done.output
        assert "Prove dead at the point of work" in done.stdout
        root = ElementTree.parse(path).getroot()
        assert (root.findtext(f"{SVG}title"), root.attrib["width"]) == (title, wide)


def test_what_does_not_go_together_is_told(tmp_path: Path) -> None:
    """A day without a log, a log without a drawing of one, a circuit with the whole home, rows that are no minutes: exit code 2."""
    file, path = tmp_path / "means.csv", tmp_path / "a.svg"
    file.write_text("at,current_a\n" + "\n".join(f"{START + timedelta(minutes=30 * i):%Y-%m-%dT%H:%M},20" for i in range(48)), "utf-8")
    for given, says in ((("--show", "day"), "--show day wants --log FILE"), (("--log", file), "--log and --foreseen go with --show figures, day, duration"),
                        (("--show", "figures", "--of", "cooker"), "is of the whole home"), (("--show", "day", "--log", file), "hides the minutes"),
                        (("--show", "duration", "--log", file), "hides the minutes")):
        done = typed(EXAMPLES / "weir-cottage", *given, "--out", path)
        assert done.exit_code == 2, given
        assert says in " ".join(done.output.split())
    assert not path.exists()
