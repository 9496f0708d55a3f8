"""`spareway demand`: the figures of the document stand on the page, a log is read, and what is no log is told."""
from __future__ import annotations

from pathlib import Path

from tests.cli.cases import GRANARY, WEIR, document, page, too_long, typed


def flat(text: str) -> str:
    return " ".join(text.split())


def test_each_figure_stands_on_the_page_by_itself() -> None:
    """What moved is told twice: by the book 18.5 A more, connected 12.0 A less. No figure says that a fuse carries it."""
    code, said = document("demand", GRANARY)
    text = flat(page("demand", GRANARY))
    assert too_long(page("demand", GRANARY)) == []
    assert code == 0
    for total in said["book"]["totals"]:
        assert f"{total['is']}: {total['says']}" in text
    for line in said["book"]["lines"]:
        assert f"{line['row']}," in text
    assert "by the book: 63.3 A, now 81.8 A (+18.5 A) connected: 70.1 A, now 58.1 A (−12.0 A)" in text
    assert "panel heaters on their own circuits: nothing, now 18.5 A" in text
    assert "Recorded: unknown: no log was given" in text
    assert "Foreseen: unknown: not simulated" in text
    assert "That it never blew is no evidence" in text
    assert all(flat(line) in text for line in said["caution"])


def test_what_a_total_rests_on_is_said_once() -> None:
    """Weir: the handbook's 100 W a lamp stands under connected and by the book, and is told under the first alone."""
    _, said = document("demand", WEIR)
    text = flat(page("demand", WEIR))
    lamp = "rests on power of a load 100 W, from memory: a lampholder; over-states LED homes"
    assert {"says": "power of a load", "is": "100 W", "how": "from memory",
            "note": "a lampholder; over-states LED homes"} in said["connected"]["total_a"]["rests_on"]
    assert said["connected"]["lasting_a"]["rests_on"] == []
    assert text.count(lamp) == 1
    assert text.index(lamp) < text.index("By the book")
    for each in (*said["book"]["totals"][0]["rests_on"], *said["fuse"]["opens_a"]["rests_on"]):
        assert f"rests on {each['says']} {each['is']}, {each['how']}: {each['note']}" in text
    assert "circuits.cooker: a socket on its control unit would add 5 A: none is recorded" in text
    assert "Of that, heaters, stored water and charging together, as after an outage: 68.5 A" in text


def test_a_log_is_read(tmp_path: Path) -> None:
    log = tmp_path / "week.csv"
    log.write_text("at,current_a\n" + "".join(f"2026-01-12T18:{n:02},{90 if n in (3, 4) else 20}\n" for n in range(30)))
    text = flat(page("demand", WEIR, "--log", log))
    assert "Recorded: 90 A week.csv: 30 rows, 0 missing; the highest minute, 2026-01-12 18:03" in text
    assert "Above the 80 A of the fuse: 2 min, the longest run 2 min from 2026-01-12T18:03" in text
    assert "never blew" not in text


def test_what_is_no_log_is_told(tmp_path: Path) -> None:
    (tmp_path / "bad.csv").write_bytes(b"\xff\xfe")
    (tmp_path / "other.csv").write_text("when,amps\n1,2\n")
    for name, says in (("none.csv", "none.csv: there is no such file"), ("bad.csv", "bad.csv"),
                       ("other.csv", "there is no column at")):
        done = typed("demand", WEIR, "--log", tmp_path / name)
        assert (done.exit_code, done.stdout) == (2, "")
        assert says in done.stderr
