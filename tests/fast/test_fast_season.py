"""Winters compiled against plain Python: equal in every minute, and the same bytes from any number of workers in any order.

One test for one compiler: each process that runs a part of this pays for it."""
from __future__ import annotations

import ast
import hashlib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from spareway.fast import season as compiled
from spareway.fast.season_block import STARTS
from spareway.season.home import Season, Use
from spareway.season.minute import live
from spareway.season.sums import joined
from tests.season.homes import HOME, SEASONS, TANK

WINTERS = 3
SRC = Path(__file__).parents[2] / "src" / "spareway"


def same_as_plain(season: Season, first: int) -> None:
    """Every minute, every sum, the fuse's heat to its last digit and the histogram."""
    minutes_w = compiled.minutes(season, first, WINTERS)
    counted = compiled.winters(season, first, WINTERS)
    histogram = np.zeros(len(counted.histogram), np.int64)
    for at in range(WINTERS):
        lived = live(season, first + at)
        assert np.nonzero(minutes_w[:, at] != np.array(lived.minutes_w))[0].tolist() == []
        assert counted[at] == lived.winter
        histogram += np.array(lived.histogram)
    assert counted.histogram.tolist() == histogram.tolist()


def test_compiled_is_plain() -> None:
    """Twelve winters of three days: one store, two, power away, sun and a charge point; then any order, workers and first number."""
    for at, season in enumerate(SEASONS.values()):
        same_as_plain(season, 1000 * at)
    season = SEASONS["one store"]
    whole = compiled.winters(season, 0, 300)
    assert compiled.winters(season, 0, 300, workers=2) == whole
    assert joined([compiled.winters(season, 200, 100), compiled.winters(season, 0, 77), compiled.winters(season, 77, 123)]) == whole
    assert [*whole.number] == [*range(300)]
    assert len({*whole.taken_wmin}) == 300
    few = compiled.parts(season, 0, 10_000)
    assert len(next(few)) == compiled.LANES
    few.close()
    narrow = compiled.Ready(season)
    narrow.room = 1
    assert narrow.block(0, 128, 3)[0] == compiled.winters(season, 0, 128)
    assert narrow.room > 1
    large = replace(season, home=replace(HOME, uses=tuple(Use(f"use {n}", 32_000, 90, 4.0) for n in range(4))))
    same_as_plain(large, 5)
    assert compiled.winters(large, 5, 1)[0].top_w > 64_000              # two of them at once, and more than 16 bits hold
    bare = replace(season, home=replace(HOME, rooms=(), water=None, uses=(), base_w=(50,) * 24, ladder=None))
    assert {*compiled.winters(bare, 0, 2).taken_wmin} == {50 * 1440 * 3}
    tank_alone = replace(season, home=replace(HOME, rooms=(), uses=(), water=TANK))
    assert compiled.winters(tank_alone, 0, 2)[1] == live(tank_alone, 1).winter


@pytest.mark.parametrize(("first", "count", "workers"), [(-1, 1, 1), (0, 0, 1), (0, 1, 0)])
def test_no_winter(first: int, count: int, workers: int) -> None:
    with pytest.raises(ValueError, match="one winter and one worker at least"):
        next(compiled.parts(SEASONS["sun"], first, count, workers))


def test_minutes_of_one_block_only() -> None:
    with pytest.raises(ValueError, match="1 to 128 winters"):
        compiled.minutes(SEASONS["sun"], 0, 129)


def test_where_a_thermostat_turns() -> None:
    """The lowest temperature that is not below, once the offset is taken off and the rest rounded: it is not, and the next lower is."""
    offsets_k = np.array([0.0, 1.5, -4.5, 19.9, -19.9, 30.0, 1e-3, 20.5, -0.1], np.float32)
    for turn_c in np.array([20.5, 21.1, 0.0, -3.0, 1e-30], np.float32):
        least_c = compiled._least(offsets_k, turn_c)
        assert least_c.dtype == np.float32
        assert (least_c - offsets_k >= turn_c).all()
        assert (np.nextafter(least_c, np.float32(-np.inf)) - offsets_k < turn_c).all()
    season = SEASONS["one store"]
    narrow = replace(season, home=replace(HOME, rooms=(replace(HOME.rooms[0], dead_band_k=1e-9),)))
    with pytest.raises(ValueError, match="room 0: a dead band too narrow"):
        compiled.winters(narrow, 0, 1)


def test_what_is_kept_on_disk_is_of_these_starts() -> None:
    """numba asks of `season_block.py` alone whether it changed: with `season_starts.py`, `STARTS` in it has to change too."""
    assert hashlib.sha256((SRC / "fast" / "season_starts.py").read_bytes()).hexdigest()[:16] == STARTS


def test_numba_stays_in_one_place() -> None:
    """Only the block and its starts import it, and only `fast.season` imports those; whoever wants it imports it where it is called."""
    at_once = {"numba": set[str](), "season_block": set[str](), "season_starts": set[str](), "season": set[str]()}
    texts = {file: file.read_text(encoding="utf-8") for file in SRC.rglob("*.py")}
    for file, text in texts.items():
        for node in ast.parse(text).body if "numba" in text or "season" in text else ():
            names = {alias.name for alias in node.names} if isinstance(node, ast.Import | ast.ImportFrom) else set()
            module = node.module or "" if isinstance(node, ast.ImportFrom) else ""
            for name, users in at_once.items():
                if {name, f"spareway.fast.{name}"} & names and module in ("", "spareway.fast") or module in (name, f"spareway.fast.{name}"):
                    users.add(file.relative_to(SRC).as_posix())
    assert at_once == {"numba": {"fast/season_block.py", "fast/season_starts.py"}, "season_block": {"fast/season.py"},
                       "season_starts": {"fast/season.py", "fast/season_block.py"}, "season": set()}
