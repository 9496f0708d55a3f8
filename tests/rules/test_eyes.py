"""What only a person can see: asked apart, answered by rows, a "no" is a finding and a code is never chosen."""
from __future__ import annotations

import re
from typing import Any

import pytest

from spareway import bundled
from spareway.api import check, explain
from spareway.doc import InputError
from spareway.job.rows import CODES
from spareway.rules import all_rules
from spareway.rules.eyes import items
from spareway.rules.specimen import _JOB as JOB

HEAD = "id,where,place,code,photo,says,by,at,strikes,eye,answer\n"
FILES = {"job.toml": JOB, "found.toml": bundled.text("rules/specimen.toml")}


def said(*rows: str, more: str = "") -> dict[str, Any]:
    """A check of the specimen with these observations."""
    held = HEAD + "".join(f"{row}\n" for row in rows)
    return check({**FILES, "observations.csv": held} | ({"work.toml": more} if more else {}))


def test_at_least_sixty_items_hold_together() -> None:
    """Codes are used once and by no rule; each says how it should be, where to look, a clause and a proposal."""
    assert len(items()) >= 60
    codes = [i.code for i in items()]
    assert len(set(codes)) == len(codes)
    assert not set(codes) & {r.code for r in all_rules()}
    assert all(i.says and i.look and i.clause and i.proposal for i in items())
    assert len({i.says for i in items()}) == len(items())
    assert "buried cables" in " ".join(i.says for i in items())


def test_nobody_looked_is_unknown_and_no_finding() -> None:
    """Every item is unknown in its own section; the findings, their counts and the verdict hold none of them."""
    bare = check(FILES)
    assert [u["eye"] for u in bare["by_eye"]["unknown"]] == [i.code for i in items() if i.field != "looped"]      # which its record says
    assert {u["verdict"] for u in bare["by_eye"]["unknown"]} == {"unknown"}
    assert bare["by_eye"]["answered"] == []
    assert not [f for f in bare["findings"] if f["rule"].startswith("EY")]


def test_a_no_is_a_finding_at_its_place() -> None:
    """It carries the item's breach and clause, the row's file and line, the place, and no code when none was given."""
    found = said("o1,equipment.unit,cupboard,,,cover hangs open,a,2026-11-09,,EY14,no")
    finding = next(f for f in found["findings"] if f["rule"] == "EY14")
    assert (finding["verdict"], finding["subject"], finding["where"]) == ("stop", "equipment.unit", "observations.csv:2")
    assert "cover hangs open (cupboard)" in finding["says"]
    assert "a proposal, for a person to decide: C1" in finding["says"]
    assert finding["clause"] == "416.2; 416.2.3"
    assert found["verdict"] == "stop"
    assert "EY14" not in {u["eye"] for u in found["by_eye"]["unknown"]}


def test_a_code_is_the_persons_own() -> None:
    """A code stands beside the finding as given, by whom, and no proposal is shown with it."""
    found = said("o1,equipment.unit,,C3,,cover cracked,a,2026-11-09,,EY19,no")
    finding = next(f for f in found["findings"] if f["rule"] == "EY19")
    assert finding["says"].endswith("Coded C3 by a")
    assert "proposal" not in finding["says"]
    assert finding["verdict"] == "fails"                           # the code does not move the verdict, nor the other way round


@pytest.mark.parametrize(("answer", "left"), [("yes", False), ("does not apply", False), ("not seen", True)])
def test_other_answers_are_no_finding(answer: str, left: bool) -> None:
    """Yes and does not apply settle an item; what could not be seen stays unknown."""
    found = said(f"o1,equipment.unit,,,,looked,a,2026-11-09,,EY16,{answer}")
    assert not [f for f in found["findings"] if f["rule"] == "EY16"]
    assert ("EY16" in {u["eye"] for u in found["by_eye"]["unknown"]}) is left
    assert [a["answer"] for a in found["by_eye"]["answered"]] == [answer]


def test_a_struck_answer_is_none() -> None:
    """The later row stands in the place of the one it strikes."""
    found = said("o1,equipment.unit,,,,open,a,2026-11-09,,EY16,no", "o2,equipment.unit,,,,shut after all,a,2026-11-10,o1,EY16,yes")
    assert not [f for f in found["findings"] if f["rule"] == "EY16"]


def test_what_is_gone_at_this_stage_is_not_applicable() -> None:
    """The thing was taken out in the work: what was seen of it stays on record and counts no more."""
    found = said("o1,equipment.radiator,,,,browned,a,2026-11-09,,EY55,no", more='remove = ["equipment.radiator"]\n')
    finding = next(f for f in found["findings"] if f["rule"] == "EY55")
    assert finding["verdict"] == "not applicable"
    assert "as found: browned" in finding["says"]


def test_an_item_that_is_not_there_is_refused_with_the_nearest() -> None:
    with pytest.raises(InputError, match=r"observations.csv:2.*EY999.*EY99|EY9"):
        said("o1,equipment.unit,,,,x,a,2026-11-09,,EY999,no")


def test_item_and_answer_stand_together() -> None:
    for row in ("o1,equipment.unit,,,,x,a,2026-11-09,,EY14,", "o1,equipment.unit,,,,x,a,2026-11-09,,,no"):
        with pytest.raises(InputError, match="stand together"):
            said(row)


def test_files_written_before_the_columns_are_read() -> None:
    """Without eye and answer an observation is what it always was."""
    old = "id,where,place,code,photo,says,by,at,strikes\no1,equipment.unit,,C2,,x,a,2026-11-09,\n"
    found = check({**FILES, "observations.csv": old})
    assert found["by_eye"]["answered"] == []


def test_the_program_chooses_no_code() -> None:
    """In what the engine holds C1, C2, C3 and FI stand only where a person's code is read and in proposals called so."""
    for name in bundled.names("rules"):
        if name.endswith(".py"):
            assert not re.search(rf"[\"']({'|'.join(CODES)})[\"']", bundled.text(f"rules/{name}")), name


def test_explain_tells_an_item_as_it_tells_a_rule() -> None:
    """The same members, so that one page and one schema serve both; a slip gets the nearest code."""
    told = explain("ey14")
    assert set(told) == set(explain("BO1"))
    assert (told["rule"], told["breach"]) == ("EY14", "stop")
    assert "a proposal for a person to decide: C1" in told["why"]
    with pytest.raises(InputError, match="EY7"):
        explain("EY744")


# BS 7671 651.2, 653.5 and the model forms: what each code means, in our words; which verdict it amounts to is our choice
@pytest.mark.parametrize(("code", "verdict"), [("C1", "stop"), ("C2", "fails"), ("C3", "advice"), ("FI", "unknown")])
def test_a_code_without_an_item_is_a_finding(code: str, verdict: str) -> None:
    """What a person saw and coded is listed, whatever no rule says of it."""
    found = said(f"o7,equipment.terminal,cupboard,{code},,clamp green,a,2026-11-09,,,")
    finding = next(f for f in found["findings"] if f["rule"] == "OB-o7")
    assert (finding["verdict"], finding["subject"], finding["where"]) == (verdict, "equipment.terminal", "observations.csv:2")
    assert finding["says"] == f"Seen: clamp green (cupboard). Coded {code} by a"


def test_a_worse_code_is_not_made_lighter_by_the_item() -> None:
    """EY24 is advice; whoever sees it and calls it C1 is listed with a stop."""
    found = said("o1,equipment.unit,,C1,,petrol stored,a,2026-11-09,,EY24,no")
    assert [f["verdict"] for f in found["findings"] if f["rule"] == "EY24"] == ["stop"]
    assert not [f for f in found["findings"] if f["rule"].startswith("OB-")]


def test_what_was_seen_and_changed_since_is_not_known_and_never_gone() -> None:
    """The work touched it: whether that cures it somebody has to look at; untouched it stands as it was; taken out it is on record."""
    row = "o1,equipment.radiator,,C2,,browned,a,2026-11-09,,,"
    for more, verdict in (("equipment.radiator.stamped_w = 2000\n", "unknown"), ("equipment.unit.rating_a = 80\n", "fails"),
                          ('remove = ["equipment.radiator"]\n', "not applicable")):
        found = said(row, more=more)
        assert [f["verdict"] for f in found["findings"] if f["rule"] == "OB-o1"] == [verdict], more


def test_a_struck_code_and_a_plain_remark_are_no_findings() -> None:
    found = said("o1,equipment.unit,,C2,,open,a,2026-11-09,,,", "o2,equipment.unit,,,,made good,a,2026-11-10,o1,,")
    assert not [f for f in found["findings"] if f["rule"].startswith("OB-")]
