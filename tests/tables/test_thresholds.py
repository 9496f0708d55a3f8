"""Every single number that a rule compares with stands on a named line of the gathered references, or is from memory."""
from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from spareway.tables.table import TRUST as ORDER
from spareway.tables.table import Row, table
from tests.tables.reference import FOLDER, TRUST, lines

HELD = tomllib.loads((FOLDER.parent / "thresholds.toml").read_text(encoding="utf-8"))
ROWS = {row.keys[0]: row for row in table("thresholds").rows if not row.until}
EARLIER = {row.keys[0]: row for row in table("thresholds").rows if row.until}
# 20 A sockets stand only in a remark; the surge's own form is its name, 8/20; the ambient of all our tables is 30 °C
REMARKS = {"socket_residual_a"}
BY_NAME = {"surge_ka", "surge_front_us", "reference_c"}


def line_of(file: str, words: str) -> str:
    found = [line for line in Path(FOLDER / f"{file}.csv").read_text(encoding="utf-8").splitlines()[1:] if words in line]
    assert len(found) == 1, (file, words, len(found))
    return found[0]


def figure(text: str) -> float:
    above, _, below = text.partition("/")
    return float(above) / float(below or 1)


def check(row: Row, held: list[str | float]) -> None:
    file, words, printed, *times = held
    line = line_of(str(file), str(words))
    assert re.search(rf"(?<![\d.]){re.escape(str(printed))}(?![\d]|\.\d)", line), (row.keys, printed, line)
    scale = float(times[0]) if times else 1.0
    if printed:
        assert figure(str(printed)) * scale == pytest.approx(row.value, rel=1e-12), row.keys
    confidence = next(grade for grade in TRUST if grade in line)
    assert ORDER.index(row.trust) >= ORDER.index(TRUST[confidence]) or row.trust == "derived", (row.keys, confidence)


def test_each_number_stands_on_its_line() -> None:
    """The figure is on the line, gives our value, and is not trusted more than the line is."""
    for case, held in HELD["lines"].items():
        check(ROWS[case], held)
    for case, held in HELD["earlier"].items():
        check(EARLIER[case], held)


def test_a_number_without_a_line_is_from_memory() -> None:
    """Nothing seen nowhere is called sourced."""
    left = {case: row.trust for case, row in ROWS.items() if case not in HELD["lines"] and case not in BY_NAME}
    assert set(left.values()) == {"from memory"}, left
    assert set(EARLIER) - set(HELD["earlier"]) == REMARKS


@pytest.mark.parametrize("name", HELD["rows"])
def test_each_row_stands_on_its_line(name: str) -> None:
    """Small tables whose rows the references hold inside a text: every row has its line."""
    of = table(name)
    width = len(of.keys)
    held = {tuple(entry[:width]): entry[width:] for entry in HELD["rows"][name]}
    assert {row.keys for row in of.rows} == set(held)
    for row in of.rows:
        check(row, held[row.keys])


LOADS = {"lighting": "lighting", "heating and power (on general circuits)": "heating and power",
         "heating and power": "heating and power", "cooking appliance": "cooking",
         "instantaneous water heaters incl. showers": "instantaneous water heaters",
         "thermostatic (storage) water heaters": "storage water heaters", "floor warming": "floor warming",
         "thermal storage space heating": "storage heating",
         "standard final circuits (rings, radials to the standard arrangements)": "standard circuits",
         "sockets and stationary equipment not on standard circuits": "sockets and stationary",
         "electric vehicle charge point (one)": "vehicle charge point", "heat pump": "heat pump",
         "direct-acting panel heaters on dedicated circuits": "panel heaters on their own circuits"}
PREMISES = {"household": "household", "small shop/office": "shop", "hotel/guest house": "guest house"}
PARTS = {"first": "first_share_percent", "second": "second_largest_percent", "rest": "remainder_percent"}


FROM_MEMORY = {("shop", "standard circuits", "first"): (1.0, "from memory"), ("shop", "standard circuits", "rest"): (0.5, "from memory")}


def test_diversity_is_as_gathered() -> None:
    """Each share of each load and use, printed as percent, with its trust; what was not gathered says that it is from memory."""
    gathered = {(PREMISES[line["premises"]], LOADS[line["load_type"]], part):
                (float(line[column]) / 100, TRUST[line["confidence"]])
                for line in lines("diversity_allowances") if line["load_type"] in LOADS
                for part, column in PARTS.items() if line[column]}
    assert {row.keys: (float(row.value), row.trust) for row in table("diversity").rows} == gathered | FROM_MEMORY


def test_the_table_of_protective_conductors_follows_its_rule() -> None:
    """The line conductor up to 16 mm², then 16 mm² to 35 mm², then half."""
    for row in table("protective_conductor").rows:
        line = row.keys[0]
        assert row.value == (line if line <= 16 else 16 if line <= 35 else line / 2)
