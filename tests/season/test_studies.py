"""What the studies of winters are built on: a run taken up where it stopped, a process that died, one digest of all."""
from __future__ import annotations

import itertools
import json
import math
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from xml.etree import ElementTree

import numpy as np
import pytest

from bench.bench_season import made
from studies import study_generators, study_rare, study_winters
from studies.curves import HIGH, TOP, WIDE, Curve, Panel, drawn
from studies.winters_chunked import CHUNK, Row, kept_at, whole

N = 4 * CHUNK + 100


def row(first: int) -> Row:
    n = min(CHUNK, N - first)
    return {"first": first, "n": n, "digest": f"{first:064x}", "over": n // 2, "melted": 0, "top_w": 20_000 + first, "tops_w": [first]}


def live(asked: list[int], stops_after: int | None = None) -> Iterator[Row | None]:
    for count, first in enumerate(asked):
        if count == stops_after:
            raise KeyboardInterrupt
        yield row(first)


def test_a_run_that_was_stopped_goes_on_where_it_was(tmp_path: Path) -> None:
    """Two chunks are kept, the third is torn off while written; the second run is asked for the other three alone."""
    state = tmp_path / "winters.json"
    with pytest.raises(KeyboardInterrupt):
        study_winters._all(N, state, lambda firsts: live(firsts, 2))
    with state.open("a", encoding="utf-8") as file:
        file.write(json.dumps(row(2 * CHUNK))[:30])
    seen: list[int] = []

    def rest(firsts: list[int]) -> Iterator[Row | None]:
        seen.extend(firsts)
        return live(firsts)
    rows, killed = study_winters._all(N, state, rest)
    assert seen == [2 * CHUNK, 3 * CHUNK, 4 * CHUNK]
    assert killed == 0
    assert [*rows] == [0, CHUNK, 2 * CHUNK, 3 * CHUNK, 4 * CHUNK]
    assert sum(each["n"] for each in rows.values()) == N
    assert len([json.loads(line) for line in state.read_text("utf-8").splitlines()]) == 5


def test_another_season_takes_nothing_up_from_before(tmp_path: Path) -> None:
    """One number of the season changed, or nothing: another file, or the same."""
    asked, state = made(7), tmp_path / "winters-1.json"
    assert kept_at(state, asked) == kept_at(state, made(7))
    assert kept_at(state, asked).parent == tmp_path
    others = [made(8), replace(asked, seed=asked.seed + 1), replace(asked, home=replace(asked.home, volts_v=231.0))]
    assert len({kept_at(state, each) for each in (asked, *others)}) == 4


def test_a_longer_run_lives_a_short_last_chunk_again(tmp_path: Path) -> None:
    """A chunk that was cut short by a smaller N does not stand for the whole one."""
    state = tmp_path / "winters.json"
    state.write_text(json.dumps({**row(4 * CHUNK), "n": 7}) + "\n", encoding="utf-8")
    rows, _ = study_winters._all(N, state, lambda firsts: live(firsts))
    assert rows[4 * CHUNK]["n"] == 100


def test_processes_that_died_are_counted(tmp_path: Path) -> None:
    def with_death(firsts: list[int]) -> Iterator[Row | None]:
        yield None
        yield from live(firsts)
    assert study_winters._all(N, tmp_path / "x.json", with_death)[1] == 1


def test_one_digest_knows_every_chunk_and_no_order() -> None:
    rows = {first: row(first) for first in range(0, N, CHUNK)}
    assert whole(rows) == whole(dict(reversed(rows.items())))
    assert whole(rows) != whole({**rows, CHUNK: {**rows[CHUNK], "digest": "0" * 64}})
    assert whole(rows) != whole({first: each for first, each in rows.items() if first})


def test_the_rare_is_counted_by_winters_that_did_not_set_the_level(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """All that is high in the pilot's 10,000 is alike, so the level lies there; two of the counted lie above it: 2 in 100,000 and
    its exact bounds."""
    lived: list[int] = []

    def made(of: object, first: int, count: int) -> Row:
        lived.append(first)
        if of == "pilot":
            return {"first": first, "n": count, "tops_w": [23_000] * 120 if first == 0 else [10]}
        return {"first": first, "n": count, "tops_w": [23_100 if first < 2 * CHUNK else 10]}
    counted = SimpleNamespace(home=SimpleNamespace(volts_v=230.0))
    monkeypatch.setattr(study_rare, "lived", made)
    monkeypatch.setattr(study_rare, "season", lambda seed: counted if seed == 5 else "pilot")
    said = study_rare.run(100_000, 5, tmp_path / "rare.json")
    assert "more than 100 A in 2 of them, 2.00e-05 a winter (95 %: 2.42e-06 to 7.22e-05; one standard error 71 %)" in said
    again = len(lived)
    assert study_rare.run(100_000, 5, tmp_path / "rare.json") == said
    assert len(lived) == again


def test_a_tail_is_drawn_out_to_one_in_ten_thousand() -> None:
    """The quantiles of an exponential of 400 W above 20 kW, 25,000 winters: 20 kW + 400 W x ln 10,000 = 23,684 W, by its own formula."""
    tops_w = [round(20_000 - 400 * math.log((rank + 0.5) / 25_000)) for rank in range(500)]
    assert study_rare.drawn_out_w(tops_w, 25_000) == pytest.approx(23_684, abs=15)


def test_curves_are_drawn_inside_their_panel() -> None:
    """Three curves, each with a stroke of its own; the highest point lies under the top of the frame."""
    curves = [Curve(name, [(0.0, 1.0), (1.0, 3.9 + k)]) for k, name in enumerate(("ours", "b", "c"))]
    root = ElementTree.fromstring(drawn("x", [Panel("t", "along", "kW", curves, [(0.0, "0")])]))
    paths = [each for each in root.iter("{http://www.w3.org/2000/svg}path") if each.get("fill") == "none"]
    assert len({each.get("stroke-dasharray") for each in paths}) == 3
    heights = [float(point.split()[1]) for each in paths for point in str(each.get("d"))[1:].split("L")]
    assert min(heights) >= 34
    assert max(heights) <= TOP + HIGH


def test_no_words_of_the_picture_lie_on_others_and_titles_stay_over_their_frame() -> None:
    """The study's own three panels: words taken as 0.65 of their height a letter, none upon another; each title at
    the most as wide as its frame."""
    rng = np.random.default_rng(1)
    sides = {name: rng.uniform(100, 9000, (3, study_generators.DAYS * 1440)) for name in ("ours", "richardsonpy", "rampdemand")}
    texts = [*ElementTree.fromstring(study_generators._picture(sides)).iter("{http://www.w3.org/2000/svg}text")]
    boxes = [box(each) for each in texts if each.get("text-anchor") is None]
    assert len(boxes) == 1 + 3 + 2 * 3
    for (x, y, wide), (x2, y2, wide2) in itertools.combinations(boxes, 2):
        assert abs(y - y2) >= 13 or x + wide <= x2 or x2 + wide2 <= x
    assert max(wide for x, y, wide in boxes if y > 40) <= WIDE


def box(text: ElementTree.Element) -> tuple[float, float, float]:
    """Where a line of words begins, its foot, and about how wide it is."""
    return float(text.get("x", 0)), float(text.get("y", 0)), len(str(text.text)) * 12 * 0.65
