"""What differs between two states. Worked cases by hand, and every leaf of both documents by a second method."""
from __future__ import annotations

import copy
import random
from collections.abc import Iterator
from typing import Any

import pytest

from spareway.doc import Doc, is_fact, over, read, trail
from spareway.job.changes import Change, changes
from tests.scenarios.folders import job

FOUND = """
fabric.wall.u_w_per_m2k = 1.7
[supplies.main]
joins = "cutout.in"
[equipment]
board = { kind = "board", rating_a = 100, water = true, bars = { a = "1-6" } }
meter = { kind = "meter" }
[runs]
tails = { joins = ["meter.out", "board.in"], kind = "tails", size_mm2 = 16 }
[circuits.x]
way = "board.1"
device = { kind = "mcb", rating_a = { marked = 32 } }
cable = { kind = "t&e", line_mm2 = 2.5, length_m = { drawing = 9, note = "old plan" } }
points.p1 = { from = "way", length_m = 4 }
points.p2 = { from = "p1", length_m = { unknown = "in the wall" } }
"""


def differ(overlay: str, base: str = FOUND) -> tuple[Change, ...]:
    """The changes that an overlay makes."""
    found = read("found.toml", base)
    return changes(found, over(found, read("work.toml", overlay)))


def said(overlay: str) -> list[tuple[str, str, str]]:
    return [(each.how, each.address, each.field) for each in differ(overlay)]


def one(overlay: str) -> Change:
    found = differ(overlay)
    assert len(found) == 1, found
    return found[0]


def test_a_run_that_only_moved_is_altered() -> None:
    """The same tails, landed elsewhere: one altered field, with the places of both."""
    change = one('[equipment]\n[runs]\ntails = { joins = ["meter.out", "isolator.top"] }')
    assert change == Change("altered", "runs.tails", "joins", ["meter.out", "board.in"], ["meter.out", "isolator.top"],
                            "found.toml:9", "work.toml:3",
                            "runs.tails: joins was meter.out and board.in, is meter.out and isolator.top")


def test_another_kind_or_item_replaces() -> None:
    """The whole thing is told, and none of its fields; what did not take part is left out."""
    change = one('circuits.x.device = { kind = "rcbo-2p", rating_a = 32 }')
    assert (change.how, change.address, change.field) == ("replaced", "circuits.x.device", "")
    assert (change.before, change.after) == ({"kind": "mcb", "rating_a": {"marked": 32}}, {"kind": "rcbo-2p", "rating_a": 32})
    assert (change.was, change.now) == ("found.toml:12", "work.toml:1")
    assert change.says == "circuits.x.device: another one: rcbo-2p; was: mcb"
    change = one('equipment.meter = { kind = "meter", item = "meter-c" }')
    assert (change.how, change.says) == ("replaced", "equipment.meter: another one: meter, meter-c; was: meter")


def test_a_kind_said_again_is_another_of_its_kind() -> None:
    """The law of overlays: stated again is another thing, told with what is unlike, or as like the old."""
    change = one('circuits.x.device = { kind = "mcb", rating_a = 40, curve = "C" }')
    assert (change.how, change.says) == (
        "replaced", "circuits.x.device: another one: mcb; rating was 32 A (marked), is 40 A; curve was not recorded, is C")
    assert one('equipment.meter = { kind = "meter" }').says == "equipment.meter: another one: meter; like the old"


def test_between_two_documents_of_their_own_only_the_data_counts() -> None:
    """A survey done again in another file repeats every kind, and nothing was replaced."""
    assert changes(read("old.toml", FOUND), read("new.toml", FOUND)) == ()
    assert changes(read("found.toml", FOUND), read("found.toml", "# moved down\n" + FOUND)) == ()


def test_things_added_and_removed() -> None:
    """Whole things and single points, in the order of the grammar, each with its one place."""
    found = differ('remove = ["circuits.x.points.p2", "equipment.meter"]\n[runs]\nt2 = { kind = "tails", joins = ["meter.out"] }'
                   '\n[circuits.y]\nway = "board.2"\nsays = "shed"')
    assert [(c.how, c.address, c.was, c.now) for c in found] == [
        ("removed", "equipment.meter", "found.toml:7", ""), ("added", "runs.t2", "", "work.toml:3"),
        ("removed", "circuits.x.points.p2", "found.toml:15", ""), ("added", "circuits.y", "", "work.toml:4")]
    assert [c.says for c in found] == ["equipment.meter: removed: meter", "runs.t2: added: tails",
                                       "circuits.x.points.p2: removed", "circuits.y: added: shed"]


def test_a_table_inside_a_thing_comes_and_goes_as_a_thing() -> None:
    """A cable first recorded, and a core that lands elsewhere, are added under their own addresses."""
    assert said('circuits.x.lands.N = "board.4.N"\n[circuits.x.cable.stretches]\ns = { length_m = 3 }') == [
        ("added", "circuits.x.cable.stretches.s", ""), ("added", "circuits.x.lands", "")]
    assert said('remove = ["circuits.x.cable"]') == [("removed", "circuits.x.cable", "")]


@pytest.mark.parametrize(("overlay", "says"), [
    ("circuits.x.cable.length_m = { measured = 8.5 }", "length was 9 m (drawing), old plan, is 8.5 m (measured)"),
    ("circuits.x.cable.length_m = { measured = 9, drawing = 9 }", "is 9 m (measured), 9 m (drawing)"),
    ("circuits.x.points.p2.length_m = 5", "length was not known (in the wall), is 5 m"),
    ("circuits.x.points.p2.length_m = { assumed = 5, least = 3, most = 7.5 }", "is 5 m (assumed), least 3 m, most 7.5 m"),
    ('remove = ["circuits.x.points.p1.length_m"]', "length was 4 m, is not recorded"),
    ("equipment.board.water = false", "water was yes, is no"), ("equipment.board.ways_n = 12", "ways was not recorded, is 12"),
    ("equipment.board.bare_ways = []", "bare_ways was not recorded, is none"),
    ('equipment.board.bars.b = "7"', "bars was a 1-6, is a 1-6, b 7"),
    ("fabric.wall.u_w_per_m2k = 2", "u_w_per_m2k was 1.7 W/(m²K), is 2 W/(m²K)"),
    ("runs.tails.size_mm2 = 25", "size was 16 mm², is 25 mm²")])
def test_an_altered_field_in_words(overlay: str, says: str) -> None:
    """Values with units and how they are known, as a person would say them."""
    change = one(overlay)
    assert change.how == "altered"
    assert says in change.says


def test_how_it_is_known_counts_and_the_way_of_writing_does_not() -> None:
    """9 and 9.0 are one number; stated and measured are not the same; true is no number."""
    assert said("runs.tails.size_mm2 = 16.0") == []
    assert said("runs.tails.size_mm2 = { measured = 16 }") == [("altered", "runs.tails", "size_mm2")]
    assert said("circuits.x.points.p1.length_m = 1") == [("altered", "circuits.x.points.p1", "length_m")]
    left, right = ({"runs": {"r": {"size_mm2": value}}} for value in (1, True))
    assert len(changes(Doc(left), Doc(right))) == 1
    left, right = ({"runs": {"r": {"size_mm2": {"measured": value}}}} for value in (1, True))
    assert len(changes(Doc(left), Doc(right))) == 1


def test_data_of_the_wrong_shape_is_compared_and_never_breaks() -> None:
    """Unread documents may hold anything: a text for a table, a field nobody declared, a quantity no glossary has."""
    odd = Doc({"runs": {"r": "text"}, "circuits": 3, "equipment": {"e": {"colour": "red", "points": {"a": 1}}}})
    plain = Doc({"runs": {"r": {"kind": "tails"}}, "equipment": {"e": {"colour": "blue", "points": {"a": 1}}}})
    assert [(c.how, c.address, c.field) for c in changes(odd, plain)] == [
        ("altered", "equipment.e", "colour"), ("replaced", "runs.r", "")]


# ---- every leaf, by a second method ---------------------------------------------------------------------------------
def leaves(data: Any, at: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], Any]]:
    """Every fact and plain value with its trail."""
    if isinstance(data, dict) and not is_fact(data):
        for key, value in data.items():
            yield from leaves(value, (*at, key))
    else:
        yield at, data


PAIRS = [("weir-cottage", "found", "proposed"), ("granary-yard", "found", "proposed"), ("granary-yard", "proposed", "fitted"),
         ("ridge-annexe", "found", "proposed")]


@pytest.mark.parametrize(("name", "a", "b"), PAIRS)
def test_the_changes_of_the_examples_are_all_there_is(name: str, a: str, b: str) -> None:
    """Each leaf that differs lies under one change and no more; a field told as altered does differ; the other way
    round, added and removed change places."""
    old, new = job(name).at(a), job(name).at(b)
    told = changes(old, new)
    before, after = dict(leaves(old.doc.data)), dict(leaves(new.doc.data))
    homes = [(*trail(c.address), *([c.field] if c.field else [])) for c in told]
    for at in before.keys() | after.keys():
        if before.get(at) != after.get(at):
            assert len([home for home in homes if at[:len(home)] == home]) == 1, at
    for change, home in zip(told, homes, strict=True):
        if change.how == "altered":
            assert before.get(home) != after.get(home), home
        assert bool(change.was) == (change.how != "added" and change.before is not None)
        assert bool(change.now) == (change.how != "removed" and change.after is not None)
        assert change.says.startswith(f"{change.address}: ")
    assert changes(old, old) == changes(new, new) == ()
    turned = {"added": "removed", "removed": "added"}
    back = {(c.how, c.address, c.field) for c in changes(new, old)}
    assert back >= {(turned.get(c.how, c.how), c.address, c.field) for c in told if c.how in turned}


@pytest.mark.parametrize("seed", range(40))
def test_what_was_done_to_a_document_is_what_is_told(seed: int) -> None:
    """Delete and double leaves at random: exactly those fields are told, at the depth where their thing stands."""
    rng = random.Random(seed)
    base = job("weir-cottage").found.doc
    data = copy.deepcopy(base.data)
    wanted = set()
    numbers = [at for at, value in leaves(data) if isinstance(value, int | float) and not isinstance(value, bool)]
    for at in rng.sample(numbers, 5):
        thing = data
        for step in at[:-1]:
            thing = thing[step]
        if rng.random() < 0.5:
            del thing[at[-1]]
        else:
            thing[at[-1]] *= 2
        wanted.add((".".join(at[:-1]), at[-1]))
    zero = {(".".join(at[:-1]), at[-1]) for at, value in leaves(base.data) if value == 0 and (".".join(at[:-1]), at[-1]) in wanted
            and dict(leaves(data)).get(at) == 0}
    assert {(c.address, c.field) for c in changes(base, Doc(data, base.places))} == wanted - zero
