"""One value set in a person's file. Every key of every example is changed in turn, and other lines are compared."""
from __future__ import annotations

import datetime
import difflib
import random
import tomllib
from collections.abc import Mapping
from typing import Any

import pytest

from spareway.doc import Doc, InputError, is_fact, read, spell
from spareway.survey.edit import set_value, without
from tests.scenarios.folders import EXAMPLES

TEXT = """\
# What this file is.

[equipment]   # on the wall
cutout = { kind = "cut-out", carrier_a = { marked = 100 } }   # only the link counts
pass   = { kind = "x", until = 2026-12-04 }                   # a space after a date

[circuits.x]
way    = "board.1"   # the first
stretches.clipped  = { length_m = 1.4, method = "C" } # s

# of the cable
[circuits.x.cable]
list = [
  1, # one
]

[circuits.x.points.p1]
from = "way"
# last word
"""


def lines_changed(before: str, after: str) -> list[str]:
    """Lines taken out and put in, as `- x` and `+ y`."""
    return [line for line in difflib.ndiff(before.split("\n"), after.split("\n")) if line[0] in "-+"]


@pytest.mark.parametrize(("address", "value", "changed"), [
    ("circuits.x.way", "board.2", ['- way    = "board.1"   # the first', '+ way    = "board.2"   # the first']),
    ("equipment.cutout.carrier_a.marked", 80,
     ['- cutout = { kind = "cut-out", carrier_a = { marked = 100 } }   # only the link counts',
      '+ cutout = { kind = "cut-out", carrier_a = { marked = 80 } }   # only the link counts']),
    ("equipment.cutout.carrier_a", {"unknown": "painted over"},
     ['- cutout = { kind = "cut-out", carrier_a = { marked = 100 } }   # only the link counts',
      '+ cutout = { kind = "cut-out", carrier_a = { unknown = "painted over" } }   # only the link counts']),
    ("equipment.cutout.seal", "broken",
     ['- cutout = { kind = "cut-out", carrier_a = { marked = 100 } }   # only the link counts',
      '+ cutout = { kind = "cut-out", carrier_a = { marked = 100 }, seal = "broken" }   # only the link counts']),
    ("circuits.x.stretches.clipped.length_m", {"measured": 1.5},
     ['- stretches.clipped  = { length_m = 1.4, method = "C" } # s',
      '+ stretches.clipped  = { length_m = { measured = 1.5 }, method = "C" } # s']),
    ("circuits.x.stretches.trunking.length_m", 0.5, ["+ stretches.trunking.length_m = 0.5"]),
    ("circuits.x.load_w", 9, ["+ load_w = 9"]), ("circuits.x.cable.length_m", 9.0, ["+ length_m = 9.0"]),
    ("circuits.x.points.p1.feeds", "lamp", ['+ feeds = "lamp"']),
    ("circuits.x.points.p2", {"from": "p1"}, ["+ [circuits.x.points]", '+ p2 = { from = "p1" }', "+ "]),
    ("circuits.y.way", "board.2", ["+ [circuits.y]", '+ way = "board.2"', "+ "]),
    ("supplies.main.earthing", "TT", ["+ [supplies.main]", '+ earthing = "TT"', "+ "]),
    ("schema", 1, ["+ schema = 1"]), ("equipment.meter", {"kind": "meter"}, ['+ meter = { kind = "meter" }']),
    ("equipment.pass.until", datetime.date(2027, 1, 2),
     ['- pass   = { kind = "x", until = 2026-12-04 }                   # a space after a date',
      '+ pass   = { kind = "x", until = 2027-01-02}                   # a space after a date'])])
def test_one_line_is_touched(address: str, value: Any, changed: list[str]) -> None:
    """By hand: the line that changes, or the line that comes, and every other one as it was."""
    out = set_value(TEXT, address, value)
    assert sorted(lines_changed(TEXT, out)) == sorted(changed)
    assert out.startswith("# What this file is.\n")
    assert out.count("#") == TEXT.count("#")


def test_new_things_stand_last_of_their_table() -> None:
    """Points and stretches stand in the order written, wherever the file put the others."""
    out = set_value(TEXT, "circuits.x.stretches.trunking", {"length_m": 0.5})
    assert list(tomllib.loads(out)["circuits"]["x"]["stretches"]) == ["clipped", "trunking"]
    out = set_value(TEXT, "circuits.x.points.p0", {"from": "p1"})
    assert list(tomllib.loads(out)["circuits"]["x"]["points"]) == ["p1", "p0"]


def test_dotted_names_before_any_header() -> None:
    """A file without headers stays without them."""
    text = "# head\nsupplies.main.earthing = \"TT\"\n"
    assert set_value(text, "supplies.main.ze_ohm", 0.3) == f"{text}supplies.main.ze_ohm = 0.3\n"
    assert set_value(text, "supplies.main.earthing", "IT") == text.replace("TT", "IT")
    assert set_value("", "says", "x") == 'says = "x"\n'
    assert set_value("", "runs.a.kind", "tails") == '[runs.a]\nkind = "tails"\n'
    assert set_value("# head\n", "says", "x") == '# head\nsays = "x"\n'


def test_line_ends_of_other_machines_stay() -> None:
    """Carriage returns stay where they are, and a new line has one too."""
    text = TEXT.replace("\n", "\r\n")
    for address in ("circuits.x.way", "circuits.x.load_w", "circuits.y.way", "equipment.cutout.seal"):
        assert set_value(text, address, "a").replace("\r\n", "\n") == set_value(TEXT, address, "a")
        assert set_value(text, address, "a").count("\r\n") == set_value(text, address, "a").count("\n")


@pytest.mark.parametrize(("address", "says"), [
    ("", "no address"), ("circuits.x", "a table of its own"), ("circuits.x.way.a", "circuits.x.way is no table"),
    ("circuits.y.stretches", "one line cannot say this here"), ("equipment", "a table of its own")])
def test_what_needs_more_than_a_line_is_refused(address: str, says: str) -> None:
    """With a fault at its line, and the text untouched."""
    with pytest.raises(InputError, match=says):
        set_value(f"{TEXT}[circuits.y]\nstretches.a.length_m = 1\nstretches.b.length_m = 2\n", address, {"a": 1}, "found.toml")


def test_a_text_that_cannot_be_read_is_told() -> None:
    """As reading does."""
    with pytest.raises(InputError, match=r"found\.toml:1"):
        set_value("a = = 1", "b", 1, "found.toml")


def test_a_text_that_would_be_too_large_is_refused() -> None:
    """What we could not read again is never written; a long text goes over several lines."""
    said = "x\n" * 3000
    assert tomllib.loads(set_value(TEXT, "equipment.cutout.says", said))["equipment"]["cutout"]["says"] == said
    full = TEXT + "# words\n" * (((1 << 20) - len(TEXT.encode())) // 8)
    with pytest.raises(InputError, match="one line cannot say this here"):
        set_value(full, "circuits.x.load_w", 9)


# ---- every key of the examples --------------------------------------------------------------------------------------
FILES = sorted(EXAMPLES.glob("*/*.toml"))


def value_at(data: Any, at: tuple[str, ...]) -> Any:
    for step in at:
        data = data[step]
    return data


def put(data: Any, at: tuple[str, ...], value: Any) -> Any:
    inner = value if len(at) == 1 else put(data.get(at[0], {}), at[1:], value)
    return {**data, at[0]: inner}


def ends(doc: Doc) -> list[tuple[str, ...]]:
    """The trail of every value that is no table of its own, list values apart."""
    return [at for at in doc.places if at and not isinstance(value := value_at(doc.data, at), list)
            and (not isinstance(value, Mapping) or is_fact(value))]


@pytest.mark.parametrize("path", FILES, ids=lambda p: f"{p.parent.name}/{p.name}")
def test_every_value_of_the_examples_can_be_set(path: Any) -> None:
    """A tenth of all keys by seed: exactly its own line changes, and the data is as if that value alone had changed."""
    text = path.read_text("utf-8")
    doc, rng = read(path.name, text), random.Random(5)
    before = text.split("\n")
    for at in ends(doc):
        if rng.random() < 0.1:
            value = rng.choice(["a \"b\"", 7.25, True, {"measured": 3}, ["a", "b"], 12])
            out = set_value(text, spell(at), value)
            assert tomllib.loads(out) == put(doc.data, at, value), at
            after = out.split("\n")
            assert [n + 1 for n in range(len(before)) if before[n] != after[n]] in ([doc.places[at][1]], []), at
            assert len(before) == len(after)


@pytest.mark.parametrize("path", FILES, ids=lambda p: f"{p.parent.name}/{p.name}")
def test_every_thing_of_the_examples_takes_a_new_field(path: Any) -> None:
    """At most its header, its line and one empty line come; no line goes but that of a table on one line."""
    text = path.read_text("utf-8")
    doc, rng = read(path.name, text), random.Random(6)
    for at in (at for at in doc.places if at and isinstance(value_at(doc.data, at), Mapping)):
        if not is_fact(value_at(doc.data, at)) and rng.random() < 0.15:
            out = set_value(text, spell((*at, "new")), 1)
            assert tomllib.loads(out) == put(doc.data, (*at, "new"), 1), at
            changed = lines_changed(text, out)
            assert len([line for line in changed if line[0] == "-"]) <= 1
            assert len([line for line in changed if line[0] == "+"]) <= 3


@pytest.mark.parametrize(("address", "gone"), [
    ("equipment.cutout", ['- cutout = { kind = "cut-out", carrier_a = { marked = 100 } }   # only the link counts']),
    ("circuits.x.points.p1", ["- [circuits.x.points.p1]", '- from = "way"', "- # last word"]),
    ("circuits.x.cable.list", ["- list = [", "-   1, # one", "- ]", "- "]), ("circuits.y", [])])
def test_what_is_taken_out_is_all_that_goes(address: str, gone: list[str]) -> None:
    assert [line for line in lines_changed(TEXT, without(TEXT, address)) if line != "- " or "- " in gone] == gone


def test_what_shares_its_line_is_not_taken_out() -> None:
    """A field within a table of one line, and a table that dotted names make: an editor's work, and nothing is changed."""
    for address in ("equipment.cutout.carrier_a", "circuits.x.stretches"):
        with pytest.raises(InputError, match="in an editor"):
            without(TEXT.replace("\nstretches.clipped", "\nstretches.trunked = { length_m = 1 }\nstretches.clipped"), address)
    whole = without(TEXT, "circuits.x")
    assert "circuits" not in read("", whole).data
    assert without(whole, "circuits.x") == whole
