"""A fact as plain data is written once: a gap, a doubt and a figure read the same in every document."""
from __future__ import annotations

import re
from pathlib import Path

from spareway.fact import Fact, unknown
from spareway.fact_data import addressed, brief, figure, gap, ground, rest, rests, sourced, whole
from spareway.physics.heat import fabric_w_per_k

SRC = Path(__file__).parents[1] / "src" / "spareway"
WALL = Fact("u_w_per_m2k", 1.5, "assumed", at="fabric.wall.u_w_per_m2k")
TABLED = Fact("u_w_per_m2k", 1.5, "table", "a table, row 3", trust="from memory")
AREA = unknown("area_m2", at="rooms.attic.area_m2")


def test_an_unknown_figure_says_what_is_missing() -> None:
    """The gap stands in it in words, with its address and why; brief says the same in one line; neither holds an amount."""
    of = fabric_w_per_k.worked(WALL, AREA)
    assert whole(of)["missing"] == [gap(AREA)] == [{"says": "area", "at": "rooms.attic.area_m2", "why": "not recorded"}]
    assert (whole(of)["amount"], brief(of)["amount"]) == (None, None)
    assert brief(of)["why"] == "rooms.attic.area_m2: not recorded"
    assert addressed(AREA) == {"quantity": "area_m2", "where": "", **gap(AREA)}


def test_a_figure_says_where_it_stands() -> None:
    """The same figure in each shape, and of a sourced one the quantity, its row and how far that is trusted."""
    assert figure(TABLED) == {"amount": 1.5, "is": "1.5 W/(m²K)", "how": "table", "note": "", "missing": []}
    assert sourced(TABLED) == {**figure(TABLED), "says": rest(WALL)["says"], "trust": "from memory", "where": "a table, row 3", "at": ""}
    assert {key: whole(AREA)[key] for key in figure(AREA)} == figure(AREA)
    assert figure(AREA)["missing"] == [gap(AREA)]


def test_what_a_figure_rests_on_is_said_once_each() -> None:
    """An assumption by its word, a row of a table by how far it is trusted with where it stands, neither of them twice."""
    assert rest(WALL) == {"says": rest(TABLED)["says"], "is": "1.5 W/(m²K)", "how": "assumed", "note": ""}
    assert (rest(TABLED)["how"], rest(TABLED)["note"]) == ("from memory", "a table, row 3")
    assert rests([WALL, TABLED, WALL]) == [rest(WALL), rest(TABLED)]
    assert (ground(WALL)["at"], ground(TABLED)["at"]) == ("fabric.wall.u_w_per_m2k", "a table, row 3")
    known = whole(fabric_w_per_k.worked(WALL, Fact("area_m2", 10.0, "measured")))
    assert (known["amount"], known["rests_on"], known["missing"], len(known["working"])) == (15.0, [rest(WALL)], [], 1)


def test_no_document_writes_them_a_second_time() -> None:
    """The shapes stand in fact_data.py alone: no other door to the engine spells out a figure, a gap or a doubt."""
    shape = re.compile(r'"why": \w+\.note\}|"how": \w+\.trust or \w+\.how[,}]\s+"(?:at|note)"|"is": str\(\w+\), "how": \w+\.how, "(?:note|trust)"'
                       r'|def _(?:gap|brief|fact)\(')
    doors = {file.name: shape.findall(file.read_text(encoding="utf-8")) for file in SRC.glob("api*.py")}
    assert len(doors) > 5
    assert {name: found for name, found in doors.items() if found} == {}
    assert len(shape.findall((SRC / "fact_data.py").read_text(encoding="utf-8"))) == 5
