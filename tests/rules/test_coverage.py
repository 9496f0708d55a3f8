"""Every gathered rule and defect is answered: by a rule, by a person's eyes, by a later issue, or as not ours with the reason."""
from __future__ import annotations

import csv
import re
from pathlib import Path

from spareway.rules import all_rules
from spareway.rules.eyes import items
from tools.docs_coverage import answered

REFERENCE = Path(__file__).parents[1] / "published" / "reference"


def gathered(name: str) -> dict[str, dict[str, str]]:
    with (REFERENCE / f"{name}_index.csv").open(encoding="utf-8", newline="") as file:
        return {row["id"]: row for row in csv.DictReader(file)}


def test_every_gathered_row_is_answered_once_with_its_clause() -> None:
    """248 rules and 95 defects, none left out, none added, each under the clause it was gathered with."""
    rules, defects = gathered("rules"), gathered("defects")
    assert (len(rules), len(defects)) == (248, 95)
    rows = answered()
    assert [each.id for each in rows] == [*rules, *defects]
    assert [each.id for each in rows if each.clause != (rules | defects)[each.id]["clause"]] == []


def test_each_rule_and_thing_to_look_at_that_is_named_is_there() -> None:
    """In the answers and in the words beside them."""
    there = {rule.code for rule in all_rules()} | {item.code for item in items()}
    named = {code for each in answered() for code in each.codes if code not in ("IR", "TN")}
    assert len(named) > 100
    assert sorted(named - there) == []
    assert all(each.codes for each in answered() if each.way in ("rule", "by eye"))


def test_at_least_eighty_rules_and_sixty_things_to_look_at() -> None:
    assert len(all_rules()) >= 80
    assert len(items()) >= 60


def test_what_eyes_are_asked_proposes_codes_of_the_gathered_range() -> None:
    """A proposal holds the usual code of every defect that the item answers; where it holds none it says so."""
    defects = gathered("defects")
    by_eye = {item.code: item for item in items()}
    for row in answered():
        if row.id in defects and row.way == "by eye":
            proposal = by_eye[row.answer.split()[-1]].proposal
            common = defects[row.id]["common_code"]
            assert common in proposal or common == "none", (row.id, proposal)
            letters = set(re.findall(r"\b(?:C1|C2|C3|FI)\b", proposal))
            assert letters or "none" in proposal, row.id


def test_no_row_of_defects_is_left_to_nobody() -> None:
    """Defects are found by a rule, by eye or by readings: none is not ours."""
    assert {each.way for each in answered() if each.id.startswith("DF")} == {"rule", "by eye", "later issue"}
