"""TOML with places and overlays: every key leads to its line, laying over obeys its laws, every fault is told in one run."""
from __future__ import annotations

import copy
import tomllib
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spareway.doc import BUDGET, Doc, Fault, InputError, is_fact, nearest, over, read, shorten, spell, trail

Trail = tuple[str, ...]
FOUND = """
[runs]
tails-2 = { joins = ["meter.out", "isolator.bottom"], length_m = { assumed = 3 } }
[circuits.cooker]
device = { kind = "rcbo", rating_a = 32, residual_ma = 30 }
cable  = { kind = "t&e", length_m = { measured = 9, drawing = 11 }, line_mm2 = 6 }
"""


def faults_of(text: str, file: str = "f.toml") -> list[Fault]:
    with pytest.raises(InputError) as caught:
        read(file, text)
    return list(caught.value.faults)


# ---- random documents, written by a writer of our own ---------------------------------------------------------------
NAMES = st.sampled_from(["a", "b", "c-1", "d_2", "5", "-0x", "with blank", "dot.ted", "it's", 'quo"te', "back\\slash", "ö", "#",
                         "[", ""])
VALUES = st.one_of(st.integers(-9, 9), st.booleans(), st.floats(-9, 9).filter(lambda x: x != 0),
                   st.sampled_from(["", "plain", "with # and [", "two\nlines = 1", 'quo"te', "[not.a.header]", "a = 3"]),
                   st.lists(st.integers(0, 9), max_size=3), st.lists(st.sampled_from(["x]", "y = [", "#"]), max_size=3))
TREES = st.recursive(st.dictionaries(NAMES, VALUES, max_size=4), lambda inner: st.dictionaries(NAMES, VALUES | inner, max_size=4),
                     max_leaves=20)


def key_text(name: str, draw: Any) -> str:
    if name and all(c.isascii() and (c.isalnum() or c in "-_") for c in name) and draw(st.booleans()):
        return name
    if "'" not in name and draw(st.booleans()):
        return f"'{name}'"
    return '"' + "".join(f"\\u{ord(c):04x}" if c in '"\\' else c for c in name) + '"'


def value_text(value: Any, draw: Any) -> str:
    """Numbers, texts in four kinds of quotes, lists over one line or several."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, list):
        parts = [value_text(each, draw) for each in value]
        return f"[{', '.join(parts)}]" if draw(st.booleans()) else "[  # why ]\n" + "".join(f"  {p},\n" for p in parts) + "]"
    if isinstance(value, str):
        if draw(st.booleans()) and "'" not in value:
            return f"'''{value}'''" if "\n" in value or draw(st.booleans()) else f"'{value}'"
        escaped = value.replace("\\", "\\\\").replace('"', '\\"')
        return f'"""{escaped}"""' if "\n" in value else f'"{escaped}"'
    return str(value)


class Writer:
    """Writes a tree as TOML in one of its many ways, and notes on which line each key came to stand."""

    def __init__(self, draw: Any) -> None:
        self.draw, self.text, self.lines = draw, "", dict[Trail, int]()

    @property
    def line(self) -> int:
        return 1 + self.text.count("\n")

    def say(self, statement: str) -> None:
        tail = self.draw(st.sampled_from(["", "  # b = 2", "   ", ' # "', " # ["]))
        self.text += f"{statement}{tail}\n" + self.draw(st.sampled_from(["", "\n", "# [x]\n", "  \n"]))

    def note(self, at: Trail, value: Any, line: int) -> None:
        self.lines[at] = line
        if isinstance(value, dict):
            for key, each in value.items():
                self.note((*at, key), each, line)

    def table(self, tree: dict[str, Any], at: Trail) -> None:
        """First what is written inside the table, then the tables with headers of their own."""
        own = {k: v for k, v in tree.items() if isinstance(v, dict) and self.draw(st.booleans())}
        for key, value in tree.items():
            if key not in own:
                self.pair(value, at, (key,))
        for key, value in own.items():
            here = (*at, key)
            self.note(here, value, self.line)
            self.say(f"[{' . '.join(key_text(k, self.draw) for k in here)}]")
            self.table(value, here)

    def pair(self, value: Any, at: Trail, keys: Trail) -> None:
        """A value, an inline table, or dotted keys that go down into the table."""
        if isinstance(value, dict) and value and self.draw(st.booleans()):
            first = self.line
            for key, each in value.items():
                self.pair(each, at, (*keys, key))
            self.lines[(*at, *keys)] = first
            return
        start = self.line
        self.note((*at, *keys), value, start)
        self.say(f"{'.'.join(key_text(k, self.draw) for k in keys)} = {self.inline(value)}")

    def inline(self, value: Any) -> str:
        if isinstance(value, dict):
            inside = ", ".join(f"{key_text(k, self.draw)} = {self.inline(v)}" for k, v in value.items())
            return f"{{ {inside} }}"
        return value_text(value, self.draw)


@settings(max_examples=150, deadline=None)
@given(TREES, st.data())
def test_every_key_leads_to_its_line(tree: dict[str, Any], data: Any) -> None:
    """Any document, however it is written: what was meant is read, and each key and table has the line it stands on."""
    writer = Writer(data.draw)
    writer.table(tree, ())
    assert tomllib.loads(writer.text) == tree
    doc = read("f.toml", writer.text)
    assert doc.data == tree
    assert {at: line for at, (_, line) in doc.places.items() if at} == writer.lines


def test_headers_out_of_order_and_line_ends() -> None:
    """A table whose header comes after that of a table inside it takes nothing from it; carriage returns do not count."""
    assert read("f", "[a.b]\r\nx = 1\r\n[a]\r\ny = 2\r\n").places == {
        (): ("f", 1), ("a",): ("f", 3), ("a", "b"): ("f", 1), ("a", "b", "x"): ("f", 2), ("a", "y"): ("f", 4)}


def test_where_and_fault() -> None:
    """A key that has no place of its own lies where the table around it does."""
    doc = read("found.toml", FOUND)
    assert doc.where(("circuits", "cooker", "cable", "length_m")) == "found.toml:6"
    assert doc.where(("circuits", "cooker", "points")) == "found.toml:4"
    assert doc.where(("spaces",)) == "found.toml:1"
    assert Doc({}).place(("x",)) == ("", 0)
    fault = doc.fault(("circuits", "cooker", "way"), "board", "no such way", "one of its ways", "board.5")
    assert str(fault) == "found.toml:4: circuits.cooker.way: no such way; one of its ways; did you mean board.5?"
    assert str(Fault("f", None, "", "", "empty")) == "f: empty"
    assert Doc({}).fault((), 1, "x").line is None


# ---- names ----------------------------------------------------------------------------------------------------------
@settings(max_examples=100)
@given(st.lists(st.text("abz-_09 .ö#[]", min_size=1, max_size=6), min_size=1, max_size=5))
def test_an_address_reads_back_as_its_trail(parts: list[str]) -> None:
    assert trail(spell(tuple(parts))) == tuple(parts)


def test_trails_spelled_in_every_way() -> None:
    assert trail("circuits.cooker.cable") == ("circuits", "cooker", "cable")
    assert trail(' a . "b c" . \'d"e\' . "f\\u0041\\"" ') == ("a", "b c", 'd"e', 'fA"')
    assert trail('"\\q"') == ("\\q",)


def test_nearest_and_shorten() -> None:
    assert nearest("cookr", ["shower", "cooker"]) == "cooker"
    assert nearest("xyz", ["shower", "cooker"]) == ""
    assert shorten("x" * 60) == "x" * 60
    assert shorten("x" * 61) == "x" * 57 + "..."
    assert shorten(12) == "12"


@pytest.mark.parametrize(("value", "answer"), [
    ({"measured": 9}, True), ({"measured": 9, "drawing": 11, "note": "n"}, True), ({"unknown": "why"}, True),
    ({"assumed": 1, "least": 0, "most": 2}, True), ({"note": "n"}, False), ({"least": 1, "most": 2}, False), ({}, False),
    (9, False),
    ({"measured": 9, "kind": "x"}, False),
])
def test_what_a_fact_is(value: Any, answer: bool) -> None:
    """A table of ways of knowing; a bare range or note says nothing."""
    assert is_fact(value) is answer


# ---- faults and budgets ---------------------------------------------------------------------------------------------
def test_all_faults_in_one_run() -> None:
    """Three broken lines among good ones are told at once, each with its line, what was read and its name."""
    faults = faults_of("a = 1\nb = 1,5\n[t]\nc = yes\nd = 2\ne = \"open\n", "found.toml")
    assert [(f.file, f.line, f.field, f.read) for f in faults] == [
        ("found.toml", 2, "b", "b = 1,5"), ("found.toml", 4, "c", "c = yes"), ("found.toml", 6, "e", 'e = "open')]
    assert all('texts' not in f.says and f.allowed for f in faults)
    assert "found.toml:2: b: cannot be read" in str(InputError(faults))


@pytest.mark.parametrize(("text", "lines"), [
    ("a = 1\n[b\nc = x\n", [2]),                    # after a broken header the rest would be read in the wrong table
    ("a = 1\na = 2\nb = x\n", [2, 3]),
    ("a = 1\nb = [1,\n2\n", [2]),
    ("= 1\nb = x", [1, 2]),
    ("a = 'x'  # it's\nb = \"\"\"open\nc = 1\n", [2]),
    ("a = 1\nb =", [2]),
    ("a", [1]),
    ("a = ５\n", [1]),
    ("a = \x00\n", [1]),
])
def test_broken_texts(text: str, lines: list[int]) -> None:
    assert [fault.line for fault in faults_of(text)] == lines


def test_no_more_than_fifty_faults() -> None:
    assert len(faults_of("".join(f"a{i} = x\n" for i in range(80)))) == 50


def test_lists_of_tables_are_all_named() -> None:
    """Each of them, also one that holds a table; a comment behind a header is no part of it."""
    faults = faults_of("[[a . b]] # c.d\nx = 1\n[a.b.c]\ny = 1\n[[e]]\n")
    assert [(f.line, f.field, f.allowed) for f in faults] == [
        (1, "a.b", "everything here has a name: write [a.b.a-name]"), (5, "e", "everything here has a name: write [e.a-name]")]


@pytest.mark.parametrize(("text", "says", "line"), [
    ("x" * (BUDGET.size_bytes + 1), "1048577 bytes", None),
    ("é" * (BUDGET.size_bytes // 2 + 1), "1048578 bytes", None),
    ("a = 1\nb = '" + "x" * BUDGET.line_bytes + "'\n", "a line too long to read", 2),
    ("a = 1\nb = '" + "é" * (BUDGET.line_bytes // 2) + "'\n", "a line too long to read", 2),
    ("a = 1\n" + ".".join("abcdefghi") + " = 1\n", "a key of 9 parts", 2),
    ("[" + ".".join("abcdefghi") + "]\n", "a key of 9 parts", 1),
    ("a = '''\n\n'''\nb = " + "[" * 9 + "]" * 9, "more than 8 brackets inside one another", 4),
    ("a = " + "[" * 2000, "more than 8 brackets inside one another", 1),
    ("a = '''\n'''\nb = -0\n", "minus nought is not a number", 3),
    ("a = -0.0e-3\n", "minus nought is not a number", 1),
])
def test_budgets(text: str, says: str, line: int | None) -> None:
    """What a text may cost is checked before it is parsed, and the fault says where."""
    faults = faults_of(text)
    assert [(f.says, f.line) for f in faults][:1] == [(says, line)]


def test_within_the_budget() -> None:
    """Just inside each bound; minus nought in a text, a date or another number is none of ours."""
    assert read("f", "a = '" + "x" * (BUDGET.line_bytes - 6) + "'\n").data
    assert read("f", ".".join("abcdefgh") + " = " + "[" * 8 + "]" * 8).data
    assert read("f", "a = '-0'\nb = 2026-01-02\nc = -0.5\nd = 1e-07\n# -0\n").data["c"] == -0.5
    assert read("f", "").data == {}


# ---- laying over ----------------------------------------------------------------------------------------------------
SMALL = st.recursive(st.dictionaries(st.sampled_from("abc"), st.integers(0, 3), max_size=3),
                     lambda inner: st.dictionaries(st.sampled_from("abc"), inner | st.integers(0, 3), max_size=3), max_leaves=8)
FACTS = st.dictionaries(st.sampled_from(["measured", "drawing"]), st.integers(0, 3), min_size=1)
THINGS = st.dictionaries(st.sampled_from(["kind", "item", "rating_a"]), st.integers(0, 3) | FACTS, max_size=3)
ENTRIES = st.dictionaries(st.sampled_from("abc"), THINGS | FACTS | SMALL, max_size=3)
JOBS = st.dictionaries(st.sampled_from("pqr"), ENTRIES, max_size=3)


def doc(file: str, tree: dict[str, Any]) -> Doc:
    """With every key on a line of its own, counted from 1."""
    places: dict[Trail, tuple[str, int]] = {(): (file, 1)}

    def mark(value: Any, at: Trail) -> None:
        places[at] = (file, len(places))
        if isinstance(value, dict):
            for key, each in value.items():
                mark(each, (*at, key))
    for key, each in tree.items():
        mark(each, (key,))
    return Doc(tree, places)


def trails(value: Any, at: Trail = ()) -> set[Trail]:
    inside = value.items() if isinstance(value, dict) else ()
    return {at}.union(*(trails(each, (*at, key)) for key, each in inside))


def at(value: Any, where: Trail) -> Any:
    for step in where:
        value = value[step]
    return value


@settings(max_examples=120)
@given(JOBS, JOBS)
def test_laws_of_laying_over(below: dict[str, Any], above: dict[str, Any]) -> None:
    """Nothing over a base is the base; twice is once; bases never change; every key has one place, from whoever spoke last."""
    base, top = doc("found.toml", below), doc("work.toml", above)
    before = copy.deepcopy((base, top))
    laid = over(base, top)
    assert over(base, Doc({})).data == below
    assert over(laid, top).data == laid.data
    assert (base, top) == before
    assert set(laid.places) == trails(laid.data)
    for where in trails(laid.data) - {()}:
        file, _ = laid.places[where]
        assert (file == "work.toml") is (where in trails(above))
        source = top if file == "work.toml" else base
        assert laid.places[where] == source.places[where]
    for where in trails(above):
        if not isinstance(at(above, where), dict):
            assert at(laid.data, where) == at(above, where)


@settings(max_examples=120)
@given(JOBS, JOBS)
def test_no_stale_rating_survives_another_thing(below: dict[str, Any], above: dict[str, Any]) -> None:
    """Where the overlay states a kind, an item or a fact, what lies there is word for word the overlay's."""
    laid = over(doc("found.toml", below), doc("work.toml", above)).data
    for where in trails(above):
        value = at(above, where)
        if is_fact(value) or isinstance(value, dict) and {"kind", "item"} & value.keys():
            assert at(laid, where) == value


@settings(max_examples=100)
@given(SMALL, SMALL)
def test_overlays_on_different_things_may_come_in_any_order(left: dict[str, Any], right: dict[str, Any]) -> None:
    base = doc("found.toml", {"p": {"a": 1}, "q": {"b": 2}})
    one, other = doc("one.toml", {"p": left}), doc("other.toml", {"q": right})
    first, second = over(over(base, one), other), over(over(base, other), one)
    assert first.data == second.data
    assert {k: v for k, v in first.places.items() if k} == {k: v for k, v in second.places.items() if k}


def test_an_overlay_says_who_spoke_and_inherits_nothing_stale() -> None:
    """The new device has no residual current of the old; a fact replaces whole; untouched keys keep their file and line."""
    work = read("work.toml", 'circuits.cooker.device = { kind = "mcb" }\nruns.tails-2.joins = ["meter.out", "isolator.top"]\n'
                             "circuits.cooker.cable.length_m = { measured = 10 }\n")
    left = over(read("found.toml", FOUND), work)
    assert left.data["circuits"]["cooker"]["device"] == {"kind": "mcb"}
    assert left.data["circuits"]["cooker"]["cable"] == {"kind": "t&e", "length_m": {"measured": 10}, "line_mm2": 6}
    assert left.where(("runs", "tails-2", "length_m")) == "found.toml:3"
    assert left.where(("runs", "tails-2", "joins")) == "work.toml:2"
    assert left.where(("circuits", "cooker", "cable", "length_m", "measured")) == "work.toml:3"
    assert ("circuits", "cooker", "device", "residual_ma") not in left.places


def test_removing() -> None:
    """What is named is gone with all inside it and its places, also by a quoted name, and may be laid again at once."""
    base = read("found.toml", FOUND + '[circuits."old one"]\nway = "b.1"\n')
    top = read("work.toml", 'remove = ["runs.tails-2", "circuits.\\"old one\\"", "circuits.cooker.device"]\n'
                            "[circuits.cooker]\ndevice = { rating_a = 16 }\n")
    laid = over(base, top)
    assert laid.data["runs"] == {}
    assert set(laid.data["circuits"]) == {"cooker"}
    assert laid.data["circuits"]["cooker"]["device"] == {"rating_a": 16}
    assert set(laid.places) == trails(laid.data)
    assert "remove" not in laid.data
    assert set(base.data["circuits"]) == {"cooker", "old one"}


def test_removing_what_is_not_there() -> None:
    """Each wrong address is a fault with its nearest name; given a list, the faults are added to it and nothing is raised."""
    base = read("found.toml", FOUND)
    wrong = read("work.toml", 'remove = ["runs.tails-3", 5, "circuits.cooker.device.kind.deeper", ""]\n')
    with pytest.raises(InputError) as caught:
        over(base, wrong)
    assert [(f.line, f.read, f.nearest) for f in caught.value.faults] == [
        (1, "runs.tails-3", "runs.tails-2"), (1, "5", ""),
        (1, "circuits.cooker.device.kind.deeper", "circuits.cooker.cable.length_m.drawing"), (1, "", "")]
    kept: list[Fault] = []
    assert over(base, wrong, kept).data == base.data
    assert len(kept) == 4
    with pytest.raises(InputError, match="not a list"):
        over(base, read("work.toml", 'remove = "runs.tails-2"\n'))
    with pytest.raises(InputError, match="there is nothing to remove"):
        over(Doc({}), read("work.toml", 'remove = ["runs.tails-2"]\n'))


@pytest.mark.parametrize("said", ["20-11-2026", "20/11/2026", "20.11.26", "2026-13-01", "2026-1-2", "2026/11/20"])
def test_a_day_written_otherwise_is_told_how_a_file_writes_one(said: str) -> None:
    """Not the parser's own sentence; of what stands in quotes, and of a day that is one, nothing."""
    with pytest.raises(InputError) as refused:
        read("premises.toml", f"a = 1\nprice_on = {said}\n")
    assert str(refused.value) == f"premises.toml:2: price_on: {said} is no day as a file writes one; year, month, day: 2026-11-20"
    for line in (f'a = "{said}" x', "a = 2026-11-20 x", f"a = x # {said}"):
        with pytest.raises(InputError, match="cannot be read"):
            read("premises.toml", line)
