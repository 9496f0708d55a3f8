"""`spareway readings`: rows against what they should have been, slips asked about, the faults ranked, what to read next."""
from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from spareway.api_readings import gathered
from tests.cli.cases import GRANARY, RIDGE, WEIR, document, page, too_long, typed
from tests.cli.test_schemas import wrong

CAUTION = "Prove dead at the point of work, every time."


def flat(text: str) -> str:
    return " ".join(text.split())


def without(job: Path, into: Path, gone: str, *changed: tuple[str, str]) -> Path:
    """A copy of a job whose readings lack the lines that hold `gone`, with some words of them changed."""
    shutil.copytree(job, into, ignore=shutil.ignore_patterns("overlays", "issued"))
    rows = "".join(line for line in (into / "readings.csv").read_text("utf-8").splitlines(keepends=True) if not gone or gone not in line)
    for was, now in changed:
        assert was in rows
        rows = rows.replace(was, now)
    (into / "readings.csv").write_text(rows, "utf-8")
    return into


def test_a_ring_is_placed_and_every_row_told() -> None:
    """SCENARIOS: Granary's broken protective conductor between 5 and 6; the passing Zs is as expected and tells nothing of it."""
    text = flat(page("readings", GRANARY, "ring", "--stage", "found"))
    assert "99 in 100: the protective conductor is open between p5 and p6" in text
    assert "earth fault loop impedance, p5 (readings.csv:25): 0.60 Ω; expected" in text
    assert text.count("readings.csv:") >= 18
    assert CAUTION in text
    assert "Read next" not in text
    assert too_long(page("readings", GRANARY, "ring", "--stage", "found")) == []


def test_what_is_not_told_apart_says_so_and_what_to_read(tmp_path: Path) -> None:
    """Weir by the three steps: many faults alike, then one instruction after another until it is placed between 6 and 7."""
    job = without(WEIR, tmp_path / "job", ",leg_ohm,")
    text = flat(page("readings", job, "ring-ground", "--stage", "found"))
    assert re.search(r"do not tell (\d+) faults apart", text)
    assert "Read next, locked off and proved dead: ends open at the board, long lead: neutral, from leg A" in text


def test_insulation_is_summed_and_hunted() -> None:
    """SCENARIOS: 0.46 MΩ together, cooker off 1.7, then the immersion; of one circuit alone nothing is said of the others."""
    text = flat(page("readings", WEIR, "--stage", "found"))
    assert "together at least 0.457 MΩ, to earth; line to neutral is not in it." in text
    assert "Locked off and proved dead before anything is opened or lifted; nobody at it while it is tested" in text
    assert "Take out first what cooker feeds, 0.62 MΩ: the rest comes to 1.72 MΩ, still low." in text
    assert "Then immersion, 1.9 MΩ: the rest comes to 18.4 MΩ." in text
    assert document("readings", GRANARY, "ring", "--stage", "found")[1]["insulation"] is None


def test_next_over_the_whole_job() -> None:
    """Five acts, each with its minutes and how many findings it decides; a thing asked of many places is said once."""
    text = flat(page("readings", WEIR, "--next", "--stage", "found"))
    said = document("readings", WEIR, "--next", "--stage", "found")[1]["todo"]
    assert "Read next" in text
    assert not re.search(r"in 100:|expected", text)
    assert wrong("readings", document("readings", WEIR, "--next", "--stage", "found")[1]) == []
    assert f"{said['unknown']} findings unknown" in text
    assert [f"{n}. {each['says']} (about {each['minutes']:g} min, decides" in text for n, each in enumerate(said["next"], 1)] == [True] * 5
    assert text.count("cable at less than 50 mm in a wall") == 1
    assert gathered(["a (circuits.x.cable.concealed)", "a (circuits.y.cable.concealed)", "b", "c (d)"]) == ("a (x, y)", "b", "c (d)")
    assert gathered(["a (equipment.house.water)", "b (equipment.house.x)", "b (circuits.y.x)"], "house") == ("a", "b (house, y)")


def test_a_supervisor_sees_what_was_not_read_and_nothing_carries_it_away(tmp_path: Path) -> None:
    """Asked for one circuit alone, in words alone: least and most of what was not read, and of the rest nothing twice."""
    job = without(GRANARY, tmp_path / "job", ",circuits.ring")
    text = flat(page("readings", job, "ring", "--stage", "found", "--supervisor"))
    assert re.search(r"Line, leg A to leg B, at the board: [\d.]+ to [\d.]+ Ω", text)
    assert "insulation, line to neutral, loads out, 500 V: at least 1 MΩ" in text.replace("Insulation", "insulation")
    assert typed("readings", job, "--supervisor").exit_code == 2
    assert typed("readings", job, "ring", "--supervisor", "--json").exit_code == 2


def test_readings_of_years_ago_are_held_against_those_of_now(tmp_path: Path) -> None:
    """By hand: r1 0.28 then and 0.40 now at 15 °C is 43 % more and risen; 0.28 and 0.29 is as before; the worse stands first."""
    now = without(GRANARY, tmp_path / "now", "", (",end to end,0.28,Ω,,tester-2,yes,out,15,surveyor,2026-11-16T10:30", ",end to end,0.40,Ω,,tester-2,yes,out,15,surveyor,2031-11-16T10:30"),
                  (",end to end,0.28,Ω,,tester-2,yes,out,15,surveyor,2026-11-16T10:31", ",end to end,0.29,Ω,,tester-2,yes,out,15,surveyor,2031-11-16T10:31"))
    then = without(GRANARY, tmp_path / "then", "g26,")
    said = document("readings", now, "ring", "--stage", "found", "--then", then)[1]
    assert wrong("readings", said) == []
    first = said["since"][0]
    assert (first["fell"], first["worse"], first["where"]) == ("risen", True, "readings.csv:7")
    assert first["share"] == pytest.approx(0.40 / 0.28 - 1, abs=1e-6)
    assert {each["fell"] for each in said["since"][1:]} == {"as before"}
    assert typed("readings", now, "--stage", "found", "--then", then, "--picture", tmp_path / "x.svg").exit_code == 0
    drawn = (tmp_path / "x.svg").read_text("utf-8")
    assert "Line conductor of a ring, end to end" in drawn
    assert "2031-11-16: 0.408 Ω at 20 °C" in drawn
    assert "43 % more (readings.csv:7), for the worse." in flat(page("readings", now, "ring", "--stage", "found", "--then", then))


def test_a_picture_is_written_beside_what_is_said(tmp_path: Path) -> None:
    """The ring, or the insulation of all; the same bytes as the engine draws; of a circuit that is no ring none."""
    for words, title in ((("ring",), "Readings of ring"), ((), "Insulation of all circuits")):
        assert typed("readings", GRANARY, *words, "--stage", "found", "--picture", tmp_path / "x.svg").exit_code == 0
        drawn = (tmp_path / "x.svg").read_text("utf-8")
        assert drawn.startswith("<svg")
        assert title in drawn
    assert "there is no ring" in typed("readings", GRANARY, "cooker", "--stage", "found", "--picture", tmp_path / "y.svg").stderr
    assert not (tmp_path / "y.svg").exists()


def test_what_a_pass_does_not_prove_is_told_of_each_test_that_was_done() -> None:
    """Granary's ring, read end to end, crosswise and in service: of each what it leaves open, why, and what settles it."""
    ring = document("readings", GRANARY, "ring", "--stage", "found")[1]["circuits"][0]
    assert [test["test"] for test in ring["leaves_open"]][:2] == ["ring-ends", "ring-crosswise"]
    text = flat(page("readings", GRANARY, "ring", "--stage", "found"))
    for test in ring["leaves_open"]:
        assert all(f"{each['says']}: {each['why']}." in text for each in test["open"])


def test_a_repair_is_followed_by_what_was_not_read_again(tmp_path: Path) -> None:
    """A repair at point 5, by events.csv: r2 was read again since, the rest of its tests is named."""
    job = without(GRANARY, tmp_path / "job", "")
    (job / "events.csv").write_text("id,kind,address,value,unit,kit,by,second,at,strikes\ne1,repair,circuits.ring.points.p5,,,,fitter,,2027-02-02T13:00,\n", "utf-8")
    (again,) = document("readings", job, "ring")[1]["again"]
    assert (again["at"], again["where"]) == ("circuits.ring.points.p5", "events.csv:2")
    assert again["missing"]
    assert again["unread"]
    missing, unread = (", ".join(again[key]).replace("-", " ") for key in ("missing", "unread"))
    assert f"not read again since: {missing}; no reading tells of these, a person answers for them: {unread}." in flat(page("readings", job, "ring"))


def test_a_reading_of_the_day_of_a_repair_without_its_hour_is_told_as_such(tmp_path: Path) -> None:
    """r2 of the ring was read on the day of the repair; before it or after it nobody wrote down."""
    job = without(GRANARY, tmp_path / "job", "")
    (job / "events.csv").write_text("id,kind,address,value,unit,kit,by,second,at,strikes\ne1,repair,circuits.ring.points.p5,,,,fitter,,2027-02-02,\n", "utf-8")
    (again,) = document("readings", job, "ring")[1]["again"]
    assert again["unsure"]
    assert f"read that day, but the hour is not recorded: {', '.join(again['unsure']).replace('-', ' ')}" in flat(page("readings", job, "ring"))


def test_a_slip_is_a_question_and_changes_nothing(tmp_path: Path) -> None:
    """2.8 for 0.28: asked whether it might be 0.28; the file stays as it is, and the row stands as it was written."""
    job = without(GRANARY, tmp_path / "job", "", (",end to end,0.28,Ω,,tester-2,yes,out,15,surveyor,2026-11-16T10:31", ",end to end,2.8,Ω,,tester-2,yes,out,15,surveyor,2026-11-16T10:31"))
    before = (job / "readings.csv").read_bytes()
    text = flat(page("readings", job, "ring", "--stage", "found"))
    assert "A question (readings.csv:8)" in text
    assert "2.8 Ω was written. Might it be 0.28 Ω?" in text
    assert (job / "readings.csv").read_bytes() == before


def test_the_document_holds_what_the_page_says() -> None:
    """Every row of the file that stands is there once, with what was typed; each expectation holds its least and its most."""
    code, said = document("readings", GRANARY, "ring", "--stage", "found")
    (ring,) = said["circuits"]
    assert code == 0
    assert [row["where"] for row in ring["read"]] == [f"readings.csv:{n}" for n in (*range(7, 24), 25)]
    for row in ring["read"]:
        assert row["expected"]["least"] <= row["expected"]["is"] <= row["expected"]["most"]
        value = row["read"].partition(" ")[0]
        if row["fell"] == "as expected":
            assert row["expected"]["least"] <= float(value) <= row["expected"]["most"]
    assert {row["fell"] for row in ring["read"]} == {"as expected", "high", "far high"}


def test_nothing_is_foretold_of_what_was_not_read(tmp_path: Path) -> None:
    """Without any row of the ring no number of ohms is said of it; with a row gone, nothing stands for it."""
    job = without(GRANARY, tmp_path / "job", ",circuits.ring")
    said = document("readings", job, "ring", "--stage", "found")[1]["circuits"][0]
    assert (said["read"], said["faults"], said["next"]) == ([], [], [])
    assert "Ω" not in page("readings", job, "ring", "--stage", "found")
    fewer = without(GRANARY, tmp_path / "fewer", "g20,")
    rows = document("readings", fewer, "ring", "--stage", "found")[1]["circuits"][0]["read"]
    assert len(rows) == 17


@pytest.mark.parametrize(("job", "name", "hint"), [(GRANARY, "rng", "did you mean ring?"), (RIDGE, "nothing-like-it", "there is no circuit")])
def test_a_circuit_that_is_not_there(job: Path, name: str, hint: str) -> None:
    done = typed("readings", job, name)
    assert done.exit_code == 2
    assert hint in done.stderr


def test_intake_and_board_by_their_signs() -> None:
    """Weir's two neutrals that are joined: the likeliest is that one returns by the other, told with its row and its caution first."""
    said = document("readings", WEIR, "--stage", "found")[1]
    text = " ".join(page("readings", WEIR, "--stage", "found").split())
    first = said["intake"][0]
    (rest,) = [fault for fault in said["intake"] if not fault["is_a_fault"]]
    text = flat(page("readings", WEIR, "--stage", "found"))
    assert rest["says"] not in text.partition("Intake and board")[2], "a bad sign points to a fault, and never to none"
    assert f"none of these faults: {round(100 * rest['share'])} in 100; that is no pass" in text
    assert first["says"] == "a circuit returns by the neutral of another"
    assert [sign["where"] for sign in first["signs"] if sign["there"]] == [["readings.csv:5"]]
    assert f"in 100: {first['says']} the neutrals of two circuits are joined (readings.csv:5) {first['caution']}" in text
    assert document("readings", WEIR, "ring-ground", "--stage", "found")[1]["intake"] == []


MAPPING = """
[same]
stage = "found"
by    = "fitter"
temp_c = "15"
nulled = "yes"

[columns]
at = "Taken"

[place]
column = "Circuit"
names  = { "Hot water" = "circuits.hot-water" }

[readings.loop]
column   = "Zs"
quantity = "zs_ohm"
unit     = "Ω"
"""


def test_readings_of_a_plain_csv_are_taken_in(tmp_path: Path) -> None:
    """The sound lines come after those that stood; a line with a fault adds nothing and is told, with code 2; nothing else changes."""
    job, csv, mapping = tmp_path / "job", tmp_path / "week.csv", tmp_path / "mapping.toml"
    shutil.copytree(GRANARY, job)
    stood = (job / "readings.csv").read_text(encoding="utf-8")
    mapping.write_text(MAPPING, encoding="utf-8")
    csv.write_text("Taken,Circuit,Zs\n2026-11-20T10:00,Hot water,0.36\n2026-11-20T10:05,Sauna,0.40\n", encoding="utf-8")
    done = typed("readings", job, "--take", csv, "--mapping", mapping)
    assert (done.exit_code, done.stdout.split(".")[0]) == (2, "one reading taken into readings")
    assert "week.csv:3" in done.stderr
    assert "Sauna" in done.stderr
    now = (job / "readings.csv").read_text(encoding="utf-8")
    assert now.startswith(stood)
    assert now[len(stood):].count("\n") == 1
    assert "circuits.hot-water" in now[len(stood):]
    assert document("readings", job, "hot-water", "--stage", "found")[0] == 0
    for words, says in ((("--take", csv), "--take wants --mapping"), (("--mapping", mapping), "name that with --take"),
                        (("--take", tmp_path / "none.csv", "--mapping", mapping), "none.csv: there is no such file")):
        refused = typed("readings", job, *words)
        assert refused.exit_code == 2
        assert says in " ".join(refused.stderr.split())
    assert (job / "readings.csv").read_text(encoding="utf-8") == now
