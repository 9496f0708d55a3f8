"""Known misprints and wrong uses: the right value, and a warning that names the wrong use; none where the use is right."""
from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from tools import published
from tools.published_base import ANSWERS, answer
from tools.published_warnings import WARNS, warning

FILE = Path(__file__).parent / "published" / "worked-examples.json"
EXAMPLES: dict[str, dict[str, Any]] = {each["id"]: each for each in json.loads(FILE.read_text(encoding="utf-8"))}
# what each names, the wrong number first; those that the gatherer marked as negative tests, and other wrong uses on their pages
SAYS = {
    "C-006": r"0\.33[78].* is not the reading at the middle",
    "C-007": "23.04 V is the drop of a radial",
    "C-014": "120 A is the current of the fault.*no design",
    "C-015": "328 A is the current of the fault.*no design",
    "C-016": "82,856 .*slipped digit.*82,656.25",
    "C-029": "seven, 0.54 and not 0.57; 13.68 A leaves it out",
    "C-048": r"0\.9999 is in print.*Ct is 0.917",
    "C-059": r"counts the insulation twice, and asks for 1.5 mm².*\(8 A\).*\(11 A\)",
    "S-001": "ratings of devices",
    "S-008": "143 A behind a switch of 100 A are no overload",
    "S-058": "42 A is by the row .*must not be used for rings",
}


def told(example: dict[str, Any], **other: Any) -> str:
    inputs = {**example["inputs"], **other}
    return warning(example["topic"], inputs, answer(example["topic"], inputs))


@pytest.mark.parametrize("name", SAYS)
def test_a_wrong_use_is_named(name: str) -> None:
    assert published.judged(EXAMPLES[name])[0] == "within"
    assert re.search(SAYS[name], told(EXAMPLES[name]))


def test_every_negative_example_is_warned_of_and_no_other() -> None:
    """All that the gatherer calls negative, and only those named here."""
    negative = {name for name, each in EXAMPLES.items() if "NEGATIVE TEST" in each.get("notes", "")}
    assert negative <= SAYS.keys()
    assert {name for name, each in EXAMPLES.items() if told(each)} == SAYS.keys()


def test_the_right_use_is_not_warned_of() -> None:
    """The factor of seven as used, no difference by counting twice, another k, a switch above the sum, a conductor at its limit."""
    assert told(EXAMPLES["C-029"], cg_as_used=0.54) == ""
    assert told(EXAMPLES["C-059"], in_a=3) == ""
    assert told(EXAMPLES["C-016"], k=143) == told(EXAMPLES["C-016"], csa_mm2=[1.5]) == ""
    assert told(EXAMPLES["S-008"], main_switch_a=150) == ""
    assert told(EXAMPLES["C-048"], it_a=26) == ""


def test_a_limit_for_five_seconds_is_named() -> None:
    """The page of C-005 also prints 498 m, from the 5 s limit of a 5 A rewirable fuse, 17.7 Ω."""
    assert told(EXAMPLES["C-005"]) == ""
    assert "17.7 Ω is a limit for 5 s" in told(EXAMPLES["C-005"], zs_tabulated_ohm=17.7)


def test_the_command_prints_it_under_its_example(capsys: pytest.CaptureFixture[str]) -> None:
    assert published.main([str(FILE)]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert len([line for line in lines if line.startswith("    warning: ")]) == len(SAYS)
    at = next(i for i, line in enumerate(lines) if line.startswith("C-029"))
    assert lines[at + 1].startswith("    warning: the circuit itself counts")


def test_each_warning_stands_on_a_shape_that_is_answered() -> None:
    assert WARNS.keys() <= ANSWERS.keys()
