"""How the report says several things at once, and what a person looked at, place by place."""
from __future__ import annotations

import csv
import io
import re
from pathlib import Path

import pytest

import spareway.papers
from spareway import bundled
from spareway.api import survey_report
from spareway.fact import Fact, NotKnown
from spareway.job.job import read_job
from spareway.job.rows import Observation, header
from spareway.papers import PAPERS
from spareway.papers.record import _alike
from spareway.papers.words import asked, short, together
from spareway.rules.eyes import items
from spareway.tables import Books, look_up
from tests.papers.made import texts

TEMPLATES = Path(spareway.papers.__file__).parent / "templates"
WEIR = read_job(texts("weir-cottage")).found
EVERY = [f"circuits.{name}" for name in WEIR.circuits]


@pytest.mark.parametrize(("addresses", "told"), [
    (EVERY, "every circuit"), ([*EVERY, "equipment.house"], "every circuit; house, pantry"),
    ([a for a in EVERY if "ring" in a], "sockets, first floor, house way 1; sockets, ground floor, house way 8"),
    (["circuits.old-heater-3", "circuits.old-heater-1", "circuits.old-heater-2", "circuits.cooker"], "office ways 2, 3, 4; house way 6"),
    (["circuits.cooker", "circuits.cooker.cable", "circuits.cooker.device"], "cooker, house way 6"), ([], "")])
def test_several_things_in_a_line(addresses: list[str], told: str) -> None:
    """Few by their names, many by board and way in order; a cable or device is told as its circuit; none is lost."""
    assert together(WEIR, addresses) == told


def test_in_brief_a_circuit_is_its_board_and_way_and_nothing_else_is_shortened() -> None:
    assert [short(WEIR, a) for a in ("circuits.cooker", "equipment.house", "installation")] == ["house 6", "house, pantry", "the whole installation"]


def test_parts_that_differ_by_their_way_stand_once() -> None:
    """No part is lost, and none is told by a way of another board."""
    assert _alike(["fuse wire of house way 1", "fuse wire of house way 12", "fuse of cutout", "fuse wire of office way 2"], " ") == [
        "fuse wire of house way 1, 12", "fuse of cutout", "fuse wire of office way 2"]
    assert _alike(["house.1.carrier", "house.2.carrier", "house.switch"]) == ["house.1, 2.carrier", "house.switch"]


def test_outside_of_every_table_is_not_known_and_says_why() -> None:
    """A size that no table has stops no paper; what is missing stays missing."""
    outside = asked("r1_mohm_per_m", lambda: look_up("conductor_resistance", Books(bs7671="2018+A4"), Fact("line_mm2", 5.0, "stated")))
    assert not outside.known
    assert "has no row for" in outside.note
    gap = Fact("length_m", None, "unknown", note="not traced")

    def missing() -> Fact[float]:
        raise NotKnown(gap)
    assert asked("length_m", missing) is gap


def test_what_was_looked_at_place_by_place() -> None:
    """As it should be, not so, not seen, does not apply, never asked: each apart, the worst of a place first, no place left out."""
    first, second, third, fourth, *others = (item.code for item in items() if not item.field)        # what is a fact of the record is told there
    rows = [("unit", "pantry", first, "yes"), ("unit", "pantry", second, "no"), ("meter", "cabinet", third, "not seen"),
            ("unit", "pantry", fourth, "does not apply")]
    out = io.StringIO()
    writer = csv.DictWriter(out, header(Observation), lineterminator="\n")
    writer.writeheader()
    for n, (thing, place, eye, answer) in enumerate(rows):
        writer.writerow({"id": f"o{n}", "where": f"equipment.{thing}", "place": place, "says": f"seen {n}", "by": "a", "at": "2026-11-09T09:00",
                         "eye": eye, "answer": answer})
    looked = survey_report({"job.toml": 'schema = 1\nbooks.bs7671 = "2018+A4"\ndates.survey = "2026-11-09"\n',
                            "found.toml": bundled.text("rules/specimen.toml"), "observations.csv": out.getvalue()})["facts"]["looked"]
    told = {place["q"].rpartition(", ")[2]: [row["answer"] for row in place["items"]] for place in looked["rows"]}
    assert told == {"pantry": ["not so", "as it should be", "does not apply"], "cabinet": ["could not be seen"]}
    never = "; ".join(topic["items"] for topic in looked["open"])
    assert f"{third} " in never
    assert never.count("(looked for, could not be seen)") == 1
    assert [code for code in others if f"{code} " not in never] == []
    assert not [code for code in (first, second, fourth) if f"{code} " in never]
    assert looked["asked"] == "four have"


def test_every_paper_that_underlines_a_number_says_once_what_the_line_means() -> None:
    """By one text for all of them, whose four parts stay apart: a semicolon straight after code is eaten by the typesetter."""
    templates = {each.stem: each.read_text("utf-8") for each in TEMPLATES.glob("*.typ")}
    house = templates.pop("house")
    assert {*templates} == {*PAPERS.values()}
    for name, text in templates.items():
        assert text.count("under-a-number()") == 1, name
        assert "Under a number" not in text, name
        assert re.findall(r"#[a-z(][^\s\[\]\x22]*(?<!\\);", text) == [], name
    assert house.count("Under a number") == 1
    assert house.count("\\; #(grounds.") == 3
