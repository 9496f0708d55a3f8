"""Slips are asked about and honest readings are not; a copied set is asked about and honest sets are not. Seeded sets of `sets.py`."""
from __future__ import annotations

import ast
import random
from dataclasses import replace
from pathlib import Path

import pytest

from spareway.design.design import Design
from spareway.job.job import read_job
from spareway.readings.neat import neat
from spareway.readings.slips import COLUMNS, POINT, UNIT, Slip, slips
from tests.readings import sets
from tests.readings.sets import Entry, Home, copied, drawn_home, files_of, honest
from tests.readings.test_expected import design_of, with_rows

TEMP_C = 14.0


def design_of_set(home: Home, entries: list[Entry], temp_c: float = TEMP_C) -> Design:
    return Design(read_job(files_of(home, entries, temp_c)).found)


def questions(design: Design) -> list[Slip]:
    return [slip for circuit in design.circuits.values() for slip in slips(circuit)]


def test_the_sets_share_nothing_with_the_engine() -> None:
    tree = ast.walk(ast.parse(Path(sets.__file__).read_text(encoding="utf-8")))
    names = [n.module or "" for n in tree if isinstance(n, ast.ImportFrom)] + [a.name for n in tree if isinstance(n, ast.Import) for a in n.names]
    assert not [name for name in names if name.startswith("spareway")]


# ---- slips ----------------------------------------------------------------------------------------------------------
def moved(entry: Entry, by: float) -> Entry:
    return replace(entry, shown=f"{float(entry.shown) * by:.4f}".rstrip("0").rstrip("."))


def planted(draw: random.Random, n: int, entries: list[Entry]) -> tuple[list[Entry], str, set[str]]:
    """A set with one slip in it: a point moved, a wrong unit, or two columns changed over; and the rows it may be told of."""
    own = {(e.quantity, e.a): i for i, e in enumerate(entries)}
    out = list(entries)
    if n % 4 == 3:
        pairs = [("ring_r1_ohm", "ring_r2_ohm", "circuits.plugs"), ("ring_rn_ohm", "ring_r2_ohm", "circuits.plugs"),
                 ("r1r2_ohm", "zs_ohm", "circuits.warmth")]
        one, other, a = pairs[n // 4 % 3]
        i, j = own[one, a], own[other, a]
        out[i], out[j] = replace(out[i], shown=entries[j].shown), replace(out[j], shown=entries[i].shown)
        return out, COLUMNS, {f"s{i}", f"s{j}"}
    wanted = [i for i, e in enumerate(entries) if float(e.shown) >= 0.2]
    i = draw.choice(wanted)
    if n % 4 == 2:
        out[i] = replace(entries[i], unit="kΩ")
        return out, UNIT, {f"s{i}"}
    out[i] = moved(entries[i], 10 if n % 4 == 0 else 0.1 if float(entries[i].shown) > 0.7 else 10)
    return out, POINT, {f"s{i}"}


def test_twenty_of_twenty_planted_slips_are_asked_about() -> None:
    """Issue 6: 0.59 typed 5.9, Ω typed kΩ, columns changed over. Asked of the very row, and with the value that was on the display."""
    draw = random.Random(61)
    for n in range(20):
        home = drawn_home(draw)
        entries = honest(draw, home, TEMP_C)
        out, kind, rows = planted(draw, n, entries)
        asked = [slip for slip in questions(design_of_set(home, out)) if slip.row.id in rows]
        assert [slip.kind for slip in asked] == [kind], (n, kind, [(e.quantity, e.shown) for e in out])
        shown = {entries[int(slip.row.id[1:])].shown for slip in asked}
        assert {f"{slip.might_be:.2f}" for slip in asked} == shown
        assert all(slip.says.count("?") == 1 for slip in asked)


def test_at_most_one_of_two_hundred_honest_sets_is_asked_about() -> None:
    """Lengths a fifth out, gain, null and digits of the instrument: 50 homes of four circuits."""
    draw = random.Random(62)
    asked = []
    for _ in range(50):
        home = drawn_home(draw)
        asked += questions(design_of_set(home, honest(draw, home, TEMP_C)))[:1]
    assert len(asked) <= 1, [slip.says for slip in asked]


def test_the_columns_of_a_ring_changed_over() -> None:
    """Line to neutral written under line to earth at every point: told once, of the first pair."""
    draw = random.Random(63)
    home = replace(drawn_home(draw), sizes=(2.5, 1.0))
    entries = honest(draw, home, TEMP_C)
    ln, le = ([i for i, e in enumerate(entries) if e.quantity == q] for q in ("ring_ln_ohm", "ring_le_ohm"))
    out = list(entries)
    for i, j in zip(ln, le, strict=True):
        out[i], out[j] = replace(out[i], shown=entries[j].shown), replace(out[j], shown=entries[i].shown)
    assert [slip.kind for slip in questions(design_of_set(home, out))] == [COLUMNS]
    assert questions(design_of_set(home, entries)) == []


def test_conductors_of_one_size_are_never_called_changed_over() -> None:
    """A ring with a full-size protective conductor, 15 % longer than drawn: r1 0.69 and r2 0.66 Ω are what they are."""
    home = Home((16.2,) * 5, (2.5, 2.5), {})
    read = {"ring_r1_ohm": "0.69", "ring_rn_ohm": "0.68", "ring_r2_ohm": "0.66"}
    entries = [replace(e, shown=read[e.quantity]) for e in copied(home, TEMP_C) if e.quantity in read]
    assert questions(design_of_set(home, entries)) == []


def test_a_loose_joint_is_no_column_changed_over() -> None:
    """r1 0.30, rn 0.75, r2 0.50 Ω of 2.5/1.5: in each other's place the last two would have the right ratio, and neutral would not
    have what line has."""
    home = Home((8.1,) * 5, (2.5, 1.5), {})
    for read, asked in (({"ring_r1_ohm": "0.30", "ring_rn_ohm": "0.75", "ring_r2_ohm": "0.50"}, 0),
                        ({"ring_r1_ohm": "0.30", "ring_rn_ohm": "0.49", "ring_r2_ohm": "0.31"}, 1)):
        entries = [replace(e, shown=read[e.quantity]) for e in copied(home, TEMP_C) if e.quantity in read]
        assert len(questions(design_of_set(home, entries))) == asked


def test_nothing_in_the_homes_is_called_a_slip() -> None:
    """SCENARIOS: their bad readings are faults, and none is a slip. Nor is any row ever changed."""
    for home in ("weir-cottage", "granary-yard", "ridge-annexe"):
        assert questions(design_of(home)) == []


@pytest.mark.parametrize(("said", "asked"), [("value=45; unit=kΩ", 45.0), ("value=0.62; unit=MΩ", None), ("value=0.4; unit=kΩ", None)])
def test_low_insulation_is_a_slip_only_by_its_unit(said: str, asked: float | None) -> None:
    """0.62 MΩ is the cooker's, and true: no point is moved in a reading that is held to a limit. 45 kΩ may be 45 MΩ."""
    found = questions(with_rows("weir-cottage", f"quantity=insulation_mohm; a=circuits.cooker; loads=out; {said}"))
    assert [slip.might_be for slip in found] == ([asked] if asked else [])


def test_a_late_device_is_never_asked_whether_it_was_quick() -> None:
    assert questions(with_rows("weir-cottage", "quantity=trip_ms; a=circuits.cooker; value=480; unit=ms", stage="proposed")) == []


def test_an_open_conductor_is_no_slip() -> None:
    assert questions(with_rows("weir-cottage", "quantity=r1r2_ohm; a=circuits.cooker; over=>99.9; temp_c=12")) == []


# ---- too neat -------------------------------------------------------------------------------------------------------
def test_ten_honest_sets_are_never_asked_about() -> None:
    draw = random.Random(64)
    for _ in range(10):
        home = drawn_home(draw)
        assert neat(design_of_set(home, honest(draw, home, TEMP_C))) == ()


@pytest.mark.parametrize("temp_c", [14.0, 20.0])
def test_a_copied_set_is_always_asked_about(temp_c: float) -> None:
    """Copied from the column at its temperature, or at 20 °C; it says that it asks, and how seldom it would come by chance."""
    draw = random.Random(65)
    for _ in range(10):
        home = drawn_home(draw)
        found = neat(design_of_set(home, copied(home, temp_c)))
        assert len(found) == 1
        assert found[0].chance is not None
        assert found[0].chance < 0.001
        assert found[0].says.endswith("Was each of them read?")


def test_a_copied_set_with_one_figure_changed_is_asked_about_too() -> None:
    draw = random.Random(66)
    home = drawn_home(draw)
    whole = [replace(e, shown=f"{float(e.shown) + 0.01:.2f}") if n == 0 else e for n, e in enumerate(copied(home, TEMP_C))]
    assert len(neat(design_of_set(home, whole))) == 1


def test_a_few_readings_are_never_too_neat() -> None:
    """Two that agree may well have been read."""
    draw = random.Random(67)
    home = drawn_home(draw)
    assert neat(design_of_set(home, [e for e in copied(home, TEMP_C) if "lamps" in e.a])) == ()


def test_the_homes_are_not_too_neat() -> None:
    for home in ("weir-cottage", "granary-yard", "ridge-annexe"):
        assert neat(design_of(home)) == ()
    assert neat(design_of("granary-yard", "fitted")) == ()


def test_four_different_circuits_that_read_alike() -> None:
    """Four loops of 0.45 Ω where 0.41 to 1.37 is expected; insulation of 199 MΩ everywhere. Three may be alike by chance."""
    names = ("cooker", "lights-ground", "lights-first", "ring-first")
    for row in ("quantity=zs_ohm; value=0.45; temp_c=12", "quantity=insulation_mohm; unit=MΩ; value=199"):
        rows = [f"{row}; a=circuits.{name}" for name in names]
        found = neat(with_rows("weir-cottage", *rows, over="supplies.main.ze_ohm = { measured = 0.34 }"))
        assert [len(each.rows) for each in found] == [4]
        assert "Was each of them read?" in found[0].says
        assert neat(with_rows("weir-cottage", *rows[:3], over="supplies.main.ze_ohm = { measured = 0.34 }")) == ()
