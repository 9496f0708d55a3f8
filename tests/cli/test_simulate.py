"""`spareway demand --simulate`: what is foreseen, stopping half-way, a season's file of one's own, and no numba."""
from __future__ import annotations

import json
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from spareway import fast
from spareway.cli import simulate
from spareway.season.home import Season
from spareway.season.sums import Winters
from tests.cli.cases import GRANARY, WEIR, document, page, too_long, typed

DAY = Path(__file__).parents[1] / "season" / "one-day.toml"
ONE = ("--simulate", "--slow", "--winters", "1", "--scenario", DAY)


def flat(said: Any) -> str:
    return " ".join(" ".join(simulate.page(said)).split())


def test_a_day_is_foreseen_with_its_intervals_and_what_it_rests_on() -> None:
    """The page of a cold day of the cottage: figures with intervals, the fuse's own currents, every assumption."""
    said = page("demand", WEIR, *ONE)
    assert too_long(said) == []
    assert "Proposed, foreseen: one cold day." in said
    assert "One winter of one day from seed 1." in said
    assert "Highest minute of all:" in said
    assert "Opens within 4 h: 120 A." in " ".join(said.split())
    assert "no source here says it of a fuse to BS1361-2" in " ".join(said.split())
    assert "That it never blew is no evidence: what it holds is not known" in " ".join(said.split())
    assert "it opens within 4 h at 120 A (from memory)" in " ".join(said.split())
    assert "Its rating of 80 A may have been exceeded all the same." in " ".join(said.split())
    assert "taken as the slowest that its standard allows" in " ".join(said.split())
    assert "hot water drawn in a day 122 l/d, from memory" in said
    assert "Prove dead at the point of work" in said


def test_a_fuse_taken_as_the_slowest_melts_at_least_so_often(tmp_path: Path) -> None:
    """BS 1361, of which no hold current is in print: the fuse itself may melt sooner, in every winter even; that it never did in
    those lived says nothing. A BS 88-3 is taken as the quickest: no lower end but nought."""
    slow = document("demand", WEIR, *ONE)[1]["fuse"]
    assert slow["taken_as"] == "slowest"
    assert (slow["melts"]["amount"], slow["melts"]["least"], slow["melts"]["most"]) == (0, 0, 1)
    told = " ".join(page("demand", WEIR, *ONE).split())
    assert "it melts: none of those lived, which says nothing about how seldom it does; the hottest came to" in told
    assert "no bound" not in told
    lay = tmp_path / "lay.toml"
    lay.write_text('[equipment.cutout]\nfuse = "bs88-3"\nfuse_a = { marked = 63 }\n', encoding="utf-8")
    said = json.loads(typed("demand", WEIR, *ONE, "--with", lay, "--json").stdout)
    quick = said["fuse"]
    assert quick["taken_as"] == "quickest"
    assert (quick["melts"]["least"], quick["hottest"]["least"], quick["hottest"]["most"]) == (0, 0, None)
    assert quick["melts"]["most"] == 0.95                      # none of one: 1 - 0.05, and one winter says next to nothing
    assert quick["within"] == "1 h"
    assert "it melts: none of those lived; 95 % at most; the hottest" in flat(said)
    seldom = said | {"fuse": quick | {"melts": quick["melts"] | {"amount": 0.25, "least": 0, "most": 0.5}}}
    assert "it melts: at most 25 % (0 % to 50 %); the hottest" in flat(seldom)
    often = said | {"fuse": quick | {"taken_as": "slowest", "melts": quick["melts"] | {"amount": 0.25, "least": 0.1, "most": 1}}}
    assert "it melts: at least 25 % (10 % to 100 %); the hottest" in flat(often)


def test_the_same_seed_gives_the_same_bytes_and_another_another() -> None:
    """Twice the same page; with another seed another worst day."""
    first, again = (typed("demand", GRANARY, *ONE, "--json").stdout for _ in range(2))
    assert first == again
    other = json.loads(typed("demand", GRANARY, *ONE, "--seed", "9", "--json").stdout)
    assert other["worst_day"]["minutes_a"] != json.loads(first)["worst_day"]["minutes_a"]


def test_figures_agree_with_the_day_drawn_again() -> None:
    """One winter of one day: its highest minute, its minutes above 80 A, their longest run and its energy, counted off the minutes."""
    said = document("demand", WEIR, *ONE)[1]
    minutes = said["worst_day"]["minutes_a"]
    assert len(minutes) == 1440
    assert said["highest_a"]["amount"] == pytest.approx(max(minutes))
    above = [amps > 80 for amps in minutes]
    assert said["over"]["minutes_n"]["amount"] == said["over"]["all_n"] == above.count(True)
    assert said["over"]["longest_n"]["amount"] == max(len(run) for run in "".join("x" if a else " " for a in above).split(" "))
    assert said["energy"]["taken_kwh"]["amount"] == pytest.approx(sum(minutes) * 230 / 60_000, rel=1e-5)   # written with six digits
    assert said["worst_day"]["day"] == 1


def test_a_gap_makes_it_unknown_and_says_where(tmp_path: Path) -> None:
    """A room whose air changes nobody counted: nothing is lived, nothing is printed as if it were known."""
    lay = tmp_path / "lay.toml"
    lay.write_text('[rooms.kitchen]\nair_changes_per_h = { unknown = "nobody counted" }\n', encoding="utf-8")
    done = typed("demand", WEIR, *ONE, "--with", lay)
    assert done.exit_code == 0
    text = " ".join(done.stdout.split())
    assert "Nothing is foreseen, and no figure stands for it: air changes an hour, rooms.kitchen.air_changes_per_h: nobody" in text
    assert "Highest minute" not in text
    assert "it opens within 4 h at 120 A (from memory)" in text


def test_without_a_rating_the_highest_minute_stands(tmp_path: Path) -> None:
    """Nobody read the fuse: minutes above it are unknown, the highest minute is not."""
    lay = tmp_path / "lay.toml"
    lay.write_text('[equipment.cutout]\nfuse_a = { unknown = "seal not broken" }\n', encoding="utf-8")
    said = json.loads(typed("demand", WEIR, *ONE, "--with", lay, "--json").stdout)
    assert said["highest_a"]["amount"] > 20
    assert (said["over"]["rating_a"], said["over"]["all_n"], said["fuse"]["taken_as"]) == (None, None, None)
    assert "Whether its element would melt: unknown: the standard or the rating" in flat(said)
    for key in ("minutes_n", "longest_n", "one_in_n", "share"):
        assert said["over"][key]["amount"] is None
        assert [gap["at"] for gap in said["over"][key]["missing"]] == ["equipment.cutout.fuse_a"]
    assert said["fuse"]["melts"]["amount"] is None


def test_stopping_leaves_what_was_done_and_says_how_much(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C after the first of three winters: the page rests on one of the three asked for."""
    whole = simulate._slowly

    def stopped(season: Season, first: int, count: int, workers_n: int) -> Iterator[Winters]:
        yield from whole(season, first, 1, workers_n)
        raise KeyboardInterrupt
    monkeypatch.setattr(simulate, "_slowly", stopped)
    done = typed("demand", WEIR, "--simulate", "--slow", "--winters", "3", "--scenario", DAY)
    assert done.exit_code == 0
    assert "One winter of one day from seed 1, of 3 asked for." in done.stdout
    assert "stopped: what was done is told" in done.stderr


def test_stopped_before_the_first_nothing_is_known(monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped(season: Season, first: int, count: int, workers_n: int) -> Iterator[Winters]:
        raise KeyboardInterrupt
        yield
    monkeypatch.setattr(simulate, "_slowly", stopped)
    done = typed("demand", WEIR, *ONE)
    assert "Nothing is foreseen, and no figure stands for it: no winter was lived to its end" in " ".join(done.stdout.split())


def test_compiled_every_winter_asked_for_is_lived() -> None:
    """300 winters are three blocks, the last one short: all are told of; the worst day drawn again has the highest minute of all."""
    said = json.loads(typed("demand", WEIR, "--simulate", "--winters", "300", "--scenario", DAY, "--workers", "2", "--json").stdout)
    assert said["winters_n"] == 300
    assert max(said["worst_day"]["minutes_a"]) == said["highest_a"]["amount"]
    plain = json.loads(typed("demand", WEIR, *ONE, "--json").stdout)
    assert said["highest_a"]["amount"] >= plain["highest_a"]["amount"]


def test_without_numba_one_sentence_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    """The compiled path wants an extra; the sentence names it and the way without."""
    monkeypatch.setitem(sys.modules, "numba", None)
    for name in ("season", "season_block"):
        monkeypatch.delitem(sys.modules, f"spareway.fast.{name}", raising=False)
        monkeypatch.delattr(fast, name, raising=False)
    done = typed("demand", WEIR, "--simulate", "--winters", "1", "--scenario", DAY)
    assert done.exit_code == 2
    (line,) = done.stderr.strip().splitlines()
    assert "spareway[season]" in line
    assert "--slow" in line


FAULTS: dict[str, tuple[tuple[Any, ...], str]] = {
    "alone": (("--scenario", "ordinary", "--winters", "3"), "go with --simulate"),
    "log-too": (("--simulate", "--log", "x.csv"), "ask for one of them"),
    "operators-too": (("--simulate", "--operators", "none.toml"), "--operators is asked of what is on record"),
    "name": (("--simulate", "--slow", "--scenario", "ordinery"), "did you mean ordinary?"),
    "no-file": (("--simulate", "--slow", "--scenario", "mine.toml"), "mine.toml"),
}


@pytest.mark.parametrize("name", FAULTS)
def test_faults_are_told_in_one_line(name: str) -> None:
    words, wanted = FAULTS[name]
    done = typed("demand", WEIR, *words)
    assert done.exit_code == 2
    (line,) = done.stderr.strip().splitlines()
    assert wanted in line


def test_a_faulty_season_s_file_is_told_line_by_line(tmp_path: Path) -> None:
    mine = tmp_path / "mine.toml"
    mine.write_text('says = "x"\n[weather]\ndays_n = 3\nswing = 4\nspread_k = 99\n', encoding="utf-8")
    done = typed("demand", WEIR, "--simulate", "--slow", "--scenario", mine)
    assert done.exit_code == 2
    assert [line.split(" ")[0] for line in done.stderr.strip().splitlines()] == ["mine.toml:4:", "mine.toml:5:"]


def test_a_season_s_file_may_lie_in_the_job(tmp_path: Path) -> None:
    """Its first line says that it is one; then it is read when it is named, and nothing else is said of it."""
    job = tmp_path / "job"
    shutil.copytree(WEIR, job)
    (job / "mild.toml").write_text("# season: a mild day\n" + DAY.read_text("utf-8").replace("one cold day", "a mild day"), encoding="utf-8")
    done = typed("demand", job, "--simulate", "--slow", "--winters", "1", "--scenario", "mild.toml")
    assert done.exit_code == 0
    assert "Proposed, foreseen: a mild day." in done.stdout
    assert typed("demand", job).exit_code == 0


def test_a_season_that_cannot_be_is_told() -> None:
    """A cooker that no home has: a sentence, not a trace."""
    lay = DAY.parent / "too-much.toml"
    done = typed("demand", WEIR, *ONE, "--with", lay)
    assert done.exit_code == 2
    assert "hob 1: watts, minutes or rest out of range" in done.stderr
