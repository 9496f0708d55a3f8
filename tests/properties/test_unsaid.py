"""A room of which less is said is never warmer for it: the lines that say that there is none of a part, taken away one by one."""
from __future__ import annotations

import tomllib

from spareway.design.design import Design
from spareway.job.job import read_job
from spareway.rules import rule_of
from spareway.rules.base import Finding, judge
from tests.properties.deleting import Deletion, faults
from tests.properties.homes import texts

HOME, FILE = "weir-cottage", "premises.toml"
HEAT = [rule for code in ("HE1", "HE2", "HE3", "HE5") if (rule := rule_of(code))]


def nones() -> list[Deletion]:
    """Of each room each line that says that there is none of a part, or that nothing acts on it."""
    rooms = tomllib.loads(texts(HOME)[FILE])["rooms"]
    return [Deletion(HOME, FILE, ("rooms", name, "elements", part)) for name, room in rooms.items()
            for part, element in room.get("elements", {}).items() if element.get("area_m2") == 0 or element.get("of_dt") == 0]


def of_heat(deletion: Deletion) -> dict[tuple[str, str], Finding]:
    return {(f.rule, f.subject): f for f in judge(Design(read_job(deletion.files()).at("proposed")), HEAT)}


def test_without_a_line_that_says_none_its_room_is_not_known() -> None:
    """Each of its three verdicts that was within is unknown then, and all name the part; no room but its own is touched."""
    assert len(nones()) == 17
    whole = {(f.rule, f.subject): f for f in judge(Design(read_job(texts(HOME)).at("proposed")), HEAT)}
    for gone in nones():
        own = ".".join(gone.at[:2])
        for (code, at), found in of_heat(gone).items():
            was = whole[code, at].verdict
            if at == own and code != "HE5":
                assert found.verdict == ("unknown" if was == "within" else was), (gone, code)
                assert "not answered: " in found.says or "no glass is listed" in found.says, (gone, code)
            else:
                assert found.verdict == was, (gone, code, at)


def test_no_rule_at_all_reads_better_without_such_a_line() -> None:
    """Every rule, with every fifth of them taken away, one at a time."""
    assert [said for gone in nones()[::5] for said in faults(gone)] == []
