"""A look-up answers from its own rows and edition or not at all, and what it answers says where it came from."""
from __future__ import annotations

import math
import subprocess
import sys
import time
import tomllib
from pathlib import Path
from typing import Any

import pytest

from spareway.doc import InputError
from spareway.fact import Fact, unknown
from spareway.physics import fault
from spareway.tables import Books, NoRow, look_up, next_size, print_of, rows
from spareway.tables.books import all_books, editions, nations
from spareway.tables.table import SOURCED, Table, TableError, read_table, table

NOW = Books("2018+A4", "England")
TABLES = Path(__file__).parents[2] / "src" / "spareway" / "tables"


def fact(name: str, amount: Any) -> Fact[Any]:
    return Fact(name, amount, "stated", at=f"circuits.cooker.{name}")


def it(size: float, method: str, books: Books = NOW) -> Fact[float]:
    return look_up("it_flat_twin_and_earth", books, fact("line_mm2", size), fact("method", method))


# ---- books ----------------------------------------------------------------------------------------------------------
def test_editions_stand_in_order() -> None:
    """Oldest first, by the day from which each may be used; the last is the one of April 2026."""
    days = [edition.from_ for edition in editions()]
    assert days == sorted(days)
    assert (editions()[-1].name, str(editions()[-1].from_)) == ("2018+A4", "2026-04-15")
    assert str(editions()[-2].until) == "2026-10-15"
    assert all(book.title and book.publisher and (book.called or book.editions) for book in all_books().values())


def test_within_counts_the_first_and_not_the_last() -> None:
    """`since` is the first edition of a row and `until` the first without it."""
    books = Books("2018")
    spans = [("", ""), ("2018", ""), ("17", "2018+A2"), ("2018+A2", ""), ("17", "2018")]
    assert [books.within(*span) for span in spans] == [True, True, True, False, False]
    with pytest.raises(KeyError):
        books.within("2019")


def test_an_edition_by_its_short_name() -> None:
    """18A4 is 2018+A4."""
    assert Books("18A4") == NOW


def test_unknown_edition_and_nation_are_refused_together() -> None:
    """Both faults in one error, each with the nearest that there is."""
    with pytest.raises(InputError) as caught:
        Books("2018+A5", "Englant")
    assert [(f.field, f.nearest) for f in caught.value.faults] == [("books.bs7671", "2018+A4"), ("nation", "England")]
    with pytest.raises(InputError, match="no edition is stated"):
        Books("")
    assert Books("2018", "").nation == ""
    assert "Wales" in nations()


# ---- a fact off a table ---------------------------------------------------------------------------------------------
def test_a_look_up_keeps_its_keys_and_its_page() -> None:
    """Amount, page with edition, trust, keys as inputs, and a note that no print of that edition was seen."""
    found = it(2.5, "C")
    assert (found.name, found.amount, found.how, found.trust) == ("it_a", 27, "table", "confirmed")
    assert found.where == "BS 7671:2018+A4 Table 4D5"
    assert found.note == "not confirmed against a print of this edition"
    assert [f.name for f in found.inputs] == ["line_mm2", "method"]
    assert found.line() == "It = table 4D5 (2.5 mm², method C) = 27 A"
    assert [(step.line, step.source) for step in found.working()] == [(found.line(), found.where)]
    assert it(2.5, "C", Books("2018")).note == ""


def test_a_row_that_left_the_book_is_cited_from_the_print_that_held_it() -> None:
    """A fuse to BS 1361 is judged under today's books by the print of 2008; either type is read as the standard."""
    found = look_up("ia_fuse", NOW, fact("fuse", "bs1361-2"), fact("fuse_a", 80), fact("clear_s", 5.0))
    assert (found.amount, found.where, found.note) == (460, "BS 7671:2008 Appendix 3", "")


def test_a_threshold_prints_as_one_number() -> None:
    """Its name says which; the quantity it gives is its own."""
    found = look_up("thresholds", NOW, fact("case", "cmin"))
    assert (found.name, found.line()) == ("cmin", "Cmin = 0.95 (411.4.4)")
    assert look_up("thresholds", Books("17A1"), fact("case", "cmin")).amount == 1


def test_an_unknown_key_travels() -> None:
    """The answer is unknown, names the key and its address, and the gap is the key and not the table."""
    gap = unknown("method", "behind plaster", at="circuits.cooker.cable.method")
    found = look_up("it_flat_twin_and_earth", NOW, fact("line_mm2", 6), gap)
    assert (found.amount, found.how) == (None, "unknown")
    assert "reference method of installation (circuits.cooker.cable.method)" in found.note
    assert found.missing() == [gap]
    assert "method unknown" in found.line()


def test_a_disputed_row_is_unknown() -> None:
    """Its value appears nowhere, neither in a look-up nor in a search, nor when asked again."""
    keys = fact("fuse", "bs88-2"), fact("fuse_a", 100), fact("clear_s", 5)
    found = look_up("ia_fuse", NOW, *keys)
    assert (found.amount, found.how, found.trust) == (None, "unknown", "uncertain")
    assert "disputed" in found.note
    assert "500" not in found.note
    assert found.line() == "Ia = Appendix 3 (fuse bs88-2, 100 A, 5 s) = unknown"
    assert found.missing() == [found]
    held = [r for r in rows("ia_fuse", NOW) if (r["device"], r["rating_a"], r["clear_s"]) == ("bs88-2", 100, 5)]
    assert [r["value"] for r in held] == [None]
    known = look_up("ia_fuse", NOW, keys[0], fact("fuse_a", 80), keys[2])
    assert known.again({known.inputs[1]: 100}) is None


def test_doubt_travels_into_what_is_worked_out() -> None:
    """A row from memory shows among what a result rests on."""
    ia = look_up("ia_fuse", NOW, fact("fuse", "bs3036"), fact("rating_a", 30), fact("clear_s", 5.0))
    limit = fault.zs_limit_ohm.worked(look_up("thresholds", NOW, fact("case", "cmin")), fact("u0_v", 230), ia)
    assert limit.doubtful() == [ia]


def test_asked_again_with_another_key_it_reads_again() -> None:
    """A what-if goes through the table; a size that no row has gives None and not the last value."""
    found = it(2.5, "C")
    assert found.again({found.inputs[0]: 4}) == 37
    assert found.again({found.inputs[1]: "A"}) == 20
    assert found.again({found.inputs[0]: 3}) is None


# ---- refusals -------------------------------------------------------------------------------------------------------
def test_no_row_names_table_keys_edition_and_the_nearest() -> None:
    """3 mm² is no size; the nearest rows of that method are named."""
    with pytest.raises(NoRow) as caught:
        it(3, "C")
    assert caught.value.table == "it_flat_twin_and_earth"
    assert caught.value.keys == {"line_mm2": 3, "method": "C"}
    assert caught.value.nearest[0] == "2.5, C"
    assert "line_mm2 3, method C in BS 7671:2018+A4" in str(caught.value)


@pytest.mark.parametrize(("name", "keys"), [
    ("it_flat_twin_and_earth", (2.5, "B")),                     # the table has no such column
    ("it_flat_twin_and_earth", (2.5, "c")),                     # words exactly
    ("it_flat_twin_and_earth", (2.5, 100)),                     # a method is a word
    ("it_flat_twin_and_earth", ("2.5", "C")),                   # a size is a number
    ("it_flat_twin_and_earth", (25, "C")),                      # beyond the last row
    ("cg", (21,)), ("ca", ("70C thermoplastic", 61)),           # beyond the last, although the next larger is taken
    ("reading_factor", (4,)), ("reading_factor", (31,)),        # outside what is drawn between
    ("ze_declared", ("TT",)), ("thresholds", ("cmim",)),
    ("ia_fuse", ("bs3036", 30, 1)), ("ia_fuse", ("bs1361-3", 80, 5)),
])
def test_outside_the_rows_it_refuses(name: str, keys: tuple[Any, ...]) -> None:
    """Nothing is carried on, guessed or rounded to a row."""
    with pytest.raises(NoRow):
        look_up(name, NOW, *(fact(key, amount) for key, amount in zip(table(name).keys, keys, strict=True)))


def test_outside_the_edition_it_refuses() -> None:
    """A row of 2008 is not read under the book before it, nor one that ended under the book after."""
    assert it(2.5, "C", Books("17")).amount == 27
    with pytest.raises(NoRow, match="BS 7671:1992 to 2001"):
        it(2.5, "C", Books("16"))
    hot = fact("insulation", "70C thermoplastic"), fact("ambient_c", 65)
    assert look_up("ca", Books("17A3"), *hot).amount == 0.35
    with pytest.raises(NoRow):
        look_up("ca", NOW, *hot)
    assert look_up("ci", Books("16"), fact("in_insulation_mm", 100)).amount == 0.81
    assert look_up("ci", NOW, fact("in_insulation_mm", 100)).amount == 0.78


def test_wrong_keys_are_a_programming_error() -> None:
    """Too few keys, or one in another unit, is refused before any row is read."""
    with pytest.raises(TypeError, match="2 keys, not 1"):
        look_up("it_tails", NOW, fact("size_mm2", 16))
    with pytest.raises(TypeError, match="wants 'mm²'"):
        look_up("it_tails", NOW, fact("length_m", 16), fact("method", "C"))
    with pytest.raises(FileNotFoundError):
        look_up("it_tale", NOW, fact("size_mm2", 16))


# ---- between rows ---------------------------------------------------------------------------------------------------
def test_the_next_larger_row_is_the_worse_one() -> None:
    """Ten cables bunched count as twelve, 150 mm of insulation as 200 mm, 32 °C as 35 °C; and the fact says so."""
    found = look_up("cg", NOW, fact("circuits_n", 10))
    assert (found.amount, found.note.partition(";")[0]) == (0.45, "the row of 12")
    assert look_up("ci", NOW, fact("in_insulation_mm", 150)).amount == 0.63
    assert look_up("ci", NOW, fact("in_insulation_mm", 2000)).amount == 0.5
    assert look_up("ca", NOW, fact("insulation", "70C thermoplastic"), fact("ambient_c", 32)).amount == 0.94


def test_a_straight_line_between_two_rows() -> None:
    """12 °C lies at 0.968 between 10 °C and 15 °C, no better known than the worse of the two."""
    found = look_up("reading_factor", NOW, fact("conductor_c", 12))
    assert found.amount == pytest.approx(0.968, abs=1e-12)
    assert (found.note, found.trust) == ("between 10 and 15", "one source")
    assert found.line() == "f = table I2 (12 °C) = 0.968"


def test_numbers_meet_within_a_billionth() -> None:
    """0.1 + 0.2 is 0.3 to a table; a thousandth more is not."""
    of = read_table("t", PLANTED)
    assert of.find(NOW, ("a", 0.1 + 0.2)).value == 5
    with pytest.raises(NoRow):
        of.find(NOW, ("a", 0.3003))


# ---- next size ------------------------------------------------------------------------------------------------------
def test_the_next_standard_size() -> None:
    """7.19 mm² wants 10 mm²; a standard size stays; beyond the largest it is unknown."""
    found = next_size(NOW, fact("least_size_mm2", 7.19))
    assert (found.name, found.amount) == ("size_mm2", 10)
    assert found.line().startswith("S = 10 mm²: tried 1, 1.5, 2.5")
    assert found.again({found.inputs[0]: 10.01}) == 16
    assert next_size(NOW, fact("least_size_mm2", 16)).amount == 16
    assert next_size(NOW, fact("load_a", 19.6), "standard_ratings").amount == 20
    assert next_size(NOW, fact("least_size_mm2", 241)).amount is None
    assert next_size(NOW, unknown("least_size_mm2")).amount is None


# ---- a table that does not hold together ----------------------------------------------------------------------------
PLANTED = """says = "planted"
gives = "it_a"
keys = ["method", "size_mm2"]
words = ["method"]
book = "bs7671"
place = "Table 9Z"
trust = "confirmed"
sum_of_values = 12
rows = '''
method | size_mm2 | value | until
# a heading
a      | 0.3      | 5     |
b      | 0.3      | 7     | 17
'''
"""


@pytest.mark.parametrize(("old", "new", "says"), [
    ("| 7 ", "| 1 ", "come to 6"),
    ("b      | 0.3", "a      | 0.3", "two rows for a, 0.3"),
    ("| 17\n", "| 16\n", "two rows for b, 0.3 in one edition, or none"),
    ("0.3      | 5     |\n", "0.3      | 5\n", "3 cells under 4 columns"),
    ("| 5 ", "| five ", "not a number"),
    ("| 0.3      | 5", "|          | 5", "not a number"),
    ("| until", "| untill", "columns there or missing: untill"),
    ('"confirmed"', '"sure"', "without trust"),
    ('book = "bs7671"\n', "", "without trust, book"), ('"bs7671"', '"bs7672"', "without trust, book"),
    ("| 17\n", "| 1777\n", "1777 is no edition"),
    ('gives = "it_a"\n', 'gives = "it_a"\nbetween_rows = "nearest"\n', "between_rows is 'nearest'"),
])
def test_a_slip_in_a_table_is_caught_when_it_is_read(old: str, new: str, says: str) -> None:
    """Sum, double row, empty span, lost cell, word for a number, lost key, odd column, no trust, no book."""
    assert len(read_table("planted", PLANTED).rows) == 2
    assert PLANTED.count(old) == 1
    with pytest.raises(TableError, match=says):
        read_table("planted", PLANTED.replace(old, new))


# ---- cost -----------------------------------------------------------------------------------------------------------
def best_s(run: Any, times: int, rounds: int = 7) -> float:
    def once() -> float:
        start = time.process_time()
        for _ in range(times):
            run()
        return (time.process_time() - start) / times
    return min(once() for _ in range(rounds))


def test_a_look_up_is_cheap() -> None:
    """Reading the largest table takes a few times what its TOML takes, a look-up in one that was read a few times what a fact takes."""
    from spareway import bundled
    written = max((bundled.text(f"tables/{n}") for n in bundled.names("tables") if n.endswith(".toml")), key=len)
    assert best_s(lambda: read_table("largest", written), 1) < 15 * best_s(lambda: tomllib.loads(written), 1)
    keys = fact("line_mm2", 2.5), fact("method", "C")
    assert best_s(lambda: look_up("it_flat_twin_and_earth", NOW, *keys), 2000) < 6 * best_s(lambda: fact("line_mm2", 2.5), 2000)


def test_importing_the_tables_reads_none() -> None:
    """A table costs nothing until it is asked."""
    code = ("import spareway.bundled as b; read = []; real = b.text; b.text = lambda n: (read.append(n), real(n))[1]; "
            "import spareway.tables; print(read)")
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True,
                          env={"PYTHONPATH": "src"})
    assert done.stdout.strip() == "[]"


def test_a_size_a_billionth_off_is_that_size_whatever_the_last_key_is() -> None:
    """A number that came out of a sum, before a key that is a word."""
    assert it(2.5 * (1 + 1e-12), "C").amount == it(2.5, "C").amount


def test_where_a_row_is_printed() -> None:
    """The book by its title, its edition where the book has any, the place; nothing of a fact that was read off no table."""
    asked = print_of(look_up("operator_thresholds", NOW, Fact("operator_case", "sources above the limit of a phase", "table")))
    assert asked is not None
    assert (asked.book.name, asked.edition, asked.place) == ("network", "", "EREC G99")
    cmin = look_up("thresholds", NOW, Fact("case", "cmin", "table"))
    row = print_of(cmin)
    assert row is not None
    assert (row.book.name, row.edition) == ("bs7671", NOW.edition.called)
    assert cmin.where == f"{row.edition} {row.place}"
    assert print_of(Fact("u0_v", 230.0, "stated")) is None
    assert print_of(look_up("fuse_opens", NOW, Fact("fuse", "bs3036", "marked"), unknown("fuse_a", "not read"))) is None


def plainly(of: Table, books: Books, keys: tuple[Any, ...], last: float) -> tuple[Any, str] | None:
    """(value, note) by going through every row, as a person would with a finger; None where no row stands."""
    there = [row for row in of.of(books) if row.keys[:-1] == keys]
    for row in there:
        if row.keys[-1] == last:
            return row.value, row.note
    beyond = [row for row in there if row.keys[-1] > last]
    if of.between_rows == "next-larger" and beyond:
        row = min(beyond, key=lambda each: float(each.keys[-1]))
        return row.value, f"the row of {row.keys[-1]:.12g}" if math.isfinite(row.keys[-1]) else "the last row"
    sourced = [row for row in there if row.trust in SOURCED]
    below, above = ([row for row in sourced if (row.keys[-1] < last) == low and row.keys[-1] != last] for low in (True, False))
    if of.between_rows == "interpolate" and below and above:
        low, high = max(below, key=lambda each: float(each.keys[-1])), min(above, key=lambda each: float(each.keys[-1]))
        share = (last - low.keys[-1]) / (high.keys[-1] - low.keys[-1])
        return low.value + (high.value - low.value) * share, "between"
    return None


def test_a_row_found_by_size_is_the_one_a_finger_finds() -> None:
    """Every row of every table with a number last, asked at it, a little to either side, half way up, and far beyond both ends."""
    asked = 0
    for name in sorted(path.stem for path in TABLES.glob("*.toml") if "between_rows" in path.read_text("utf-8")):
        of = table(name)
        for books in (NOW, Books("17", "England")):
            for row in of.of(books):
                if isinstance(row.keys[-1], bool | str) or of.same:
                    continue
                for last in {row.keys[-1], row.keys[-1] * 1.001, row.keys[-1] * 0.999, row.keys[-1] / 2, row.keys[-1] * 1e6, -1.0}:
                    want = plainly(of, books, row.keys[:-1], last)
                    try:
                        found = of.find(books, (*row.keys[:-1], last))
                    except NoRow:
                        assert want is None, (name, row.keys, last)
                        continue
                    assert want is not None, (name, row.keys, last)
                    assert found.value == want[0], (name, row.keys, last)
                    assert want[1] in found.note, (name, row.keys, last)
                    assert of.value(books, (*row.keys[:-1], last)) == (found.value, found.trust)
                    asked += 1
    assert asked > 2_000
