"""What a starting pattern wrote is no observation: nothing that rests on it is within until somebody has looked (decision 032)."""
from __future__ import annotations

import pytest

from spareway.api import check, isolate, live
from spareway.job.job import read_job
from spareway.rules import all_rules
from spareway.survey.edit import set_value
from spareway.survey.patterns import Answers, job_texts
from spareway.survey.places import Unknown, answer

# what the judging of a home that nobody has entered may find in order: nothing of it is about the home
OF_THE_RECORD = {"IN19", "LO14", "SO11"}
UNSEEN = "a starting pattern wrote it"


def begun(earthing: str = "TN-C-S") -> dict[str, str]:
    return job_texts(Answers("Bare", "England", "2018+A4", earthing, None, "2026-11-26"))


def said(files: dict[str, str], place: str, id: str, value: str | Unknown) -> None:
    files |= answer(files, place, id, value, "surveyor", "2026-11-26T09:00", "s")


def verdict(files: dict[str, str], code: str, subject: str) -> str:
    return next(f["verdict"] for f in check(files)["findings"] if (f["rule"], f["subject"]) == (code, subject))


@pytest.mark.parametrize("earthing", ["TN-C-S", "TT", "not seen"])
def test_nothing_is_within_in_a_home_that_nobody_has_entered(earthing: str) -> None:
    found = check(begun(earthing))
    assert {f["rule"] for f in found["findings"] if f["verdict"] == "within"} <= OF_THE_RECORD
    assert {f["rule"] for f in found["findings"] if f["verdict"] == "unknown"} >= {"EA8", "EA10", "IN3", "IN4", "IN5", "IN11", "IN20", "IN21"}


def test_lines_without_the_mark_are_the_word_of_who_wrote_them() -> None:
    files = begun()
    files["found.toml"] = "\n".join(line.replace(", looked = false", "") for line in files["found.toml"].splitlines()
                                    if not line.startswith("looked"))
    assert "looked = false" not in files["found.toml"].split("[supplies.main]")[1]
    within = {f["rule"] for f in check(files)["findings"] if f["verdict"] == "within"}
    assert within >= {"EA8", "EA10", "IN3", "IN4", "IN5", "IN11", "IN20", "IN21"}
    assert not any(UNSEEN in each for each in check(files)["caution"])


def test_each_answer_takes_off_what_it_is_about_and_no_more() -> None:
    """The layout, the sort of board, each earth conductor: asked where it is; that one could not be seen leaves it open."""
    files = begun()
    said(files, "meter cabinet", "intake", "one-board")
    assert [verdict(files, code, "installation") for code in ("IN11", "IN20")] == ["within", "within"]
    assert (verdict(files, "IN5", "equipment.board"), verdict(files, "EA8", "supplies.main")) == ("unknown", "unknown")
    said(files, "board cupboard", "equipment.board.kind", "board")
    assert verdict(files, "IN5", "equipment.board") == "within"
    said(files, "meter cabinet", "runs.earthing-conductor.size_mm2", "16")
    said(files, "meter cabinet", "runs.earth-board.size_mm2", "16")
    said(files, "meter cabinet", "runs.bond-water.size_mm2", Unknown("not seen"))
    assert (verdict(files, "EA8", "supplies.main"), verdict(files, "EA10", "equipment.water")) == ("within", "unknown")
    said(files, "meter cabinet", "runs.bond-water.size_mm2", "10")
    assert verdict(files, "EA10", "equipment.water") == "within"
    assert "looked = false" not in files["found.toml"].split("[supplies.main]")[1]


def test_what_was_looked_at_stays_so_when_the_layout_or_the_earthing_is_said_again() -> None:
    files = begun()
    said(files, "meter cabinet", "runs.bond-water.size_mm2", "10")
    said(files, "board cupboard", "equipment.board.damage", "none")
    said(files, "meter cabinet", "supplies.main.earthing", "TN-S")
    inst = read_job(files).found
    assert (inst.supplies["main"].looked.amount, inst.equipment["board"].looked.amount) == (False, True)
    said(files, "meter cabinet", "intake", "isolator-one-board")
    inst = read_job(files).found
    assert (inst.supplies["main"].looked.amount, inst.equipment["board"].looked.amount) == (None, True)
    assert (inst.runs["bond-water"].looked.amount, inst.runs["earth-board"].looked.amount) == (True, False)
    files["found.toml"] = files["found.toml"].replace(', kind = "earthing", looked = false', ', kind = "earthing"')
    said(files, "meter cabinet", "supplies.main.earthing", "TN-C-S")
    assert read_job(files).found.runs["earth-board"].looked.amount is True, "a person's own line stays one"


def test_the_mark_on_the_supply_is_not_put_back_by_another_earthing() -> None:
    files = begun()
    files["found.toml"] = set_value(files["found.toml"], "supplies.main.looked", True)
    said(files, "meter cabinet", "supplies.main.earthing", "TN-S")
    assert read_job(files).found.supplies["main"].looked.amount is not False


def test_a_circuit_answers_by_its_board() -> None:
    """RC8 on TT goes by the main switch of the board, whose sort nobody has looked at."""
    files = begun("TT")
    said(files, "meter cabinet", "intake", "one-board")
    files["found.toml"] += '[circuits.lamps]\nway = "board.1"\nfeeds = "lights"\ndevice = { kind = "mcb", curve = "B", rating_a = 6 }\n'
    assert verdict(files, "RC8", "circuits.lamps") == "unknown"
    said(files, "board cupboard", "equipment.board.kind", "board")
    assert verdict(files, "RC8", "circuits.lamps") == "within"


def test_a_no_stands_though_nobody_has_looked() -> None:
    files = begun()
    files["found.toml"] = files["found.toml"].replace('kind = "board"', 'kind = "board-rewirable-1p"')
    assert verdict(files, "IN5", "equipment.board") == "fails"


def test_lock_offs_and_live_parts_say_that_nobody_has_looked() -> None:
    files = begun()
    for doc in (check(files), isolate(files, "board.bar"), live(files, ["board.switch"])):
        assert UNSEEN in doc["caution"][0]
        assert "supplies.main, equipment.board, runs.earthing-conductor" in doc["caution"][0]


def test_the_rules_that_rest_on_what_joins_what() -> None:
    wanted = {"IN3", "IN4", "IN5", "IN6", "IN7", "IN8", "IN11", "IN13", "IN20", "IN21", "SO1", "SO2", "SO3", "EA8", "EA10", "RC8", "TR1", "TR3"}
    assert wanted <= {rule.code for rule in all_rules() if rule.by_layout}
