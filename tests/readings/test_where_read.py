"""What was read as found is told of the boards that were there: at a proposal nobody reads a board that is not there yet."""
from __future__ import annotations

from pathlib import Path

import pytest

from spareway import api, bundled
from spareway.api_readings import readings
from tests.cli.cases import typed

HEAD = "id,stage,quantity,a,b,setup,value,unit,over,instrument,nulled,loads,temp_c,by,at,strikes\n"
DEVICE = 'device = { kind = "rcbo-2p", curve = "B", rating_a = 16, residual_ma = 30, residual_type = "A", fault_rating_ka = 6 }'
NEW = """remove = ["equipment.unit", "runs.feed-3", "runs.earth-2"]
[equipment.new-unit]
kind = "board"
ways_n = 8
[runs]
feed-9 = { joins = ["arrester.bottom", "new-unit.in"], kind = "tails", size_mm2 = 25, length_m = 1, method = "C" }
earth-9 = { joins = ["terminal.b", "new-unit.in"], kind = "earthing", size_mm2 = 16 }
""" + "".join(f'[circuits.{name}]\nway = "new-unit.{way}"\n{DEVICE}\n' for way, name in enumerate(("plugs", "lamps", "oven", "warmth"), 1))


def row(name: str, stage: str, mohm: float) -> str:
    return f"{name},{stage},insulation_mohm,circuits.oven,,line and neutral together; to earth,{mohm},MΩ,,t1,,in,15,a,2026-11-26T10:05,\n"


def files(*rows: str, more: str = "") -> dict[str, str]:
    job = 'schema = 1\nsays = "x"\nbooks.bs7671 = "2018+A4"\ndates = { survey = "2026-11-26", proposal = "2026-11-27" }\n'
    return {"job.toml": job, "found.toml": bundled.text("rules/specimen.toml"), "work.toml": NEW, "readings.csv": HEAD + "".join(rows),
            **({"fitted.toml": more} if more else {})}


@pytest.mark.parametrize("stage", ["found", "proposed"])
def test_a_leak_read_as_found_is_sought_on_the_board_of_then(stage: str) -> None:
    said = readings(files(row("f1", "found", 0.4)), "", stage)
    assert (said["insulation"]["stage"], [each["board"] for each in said["hunt"]]) == ("found", ["unit"])
    assert said["hunt"][0]["found"] == ["oven"]
    assert "unit" in said["hunt"][0]["next"]["says"]
    assert "new-unit" not in said["hunt"][0]["next"]["says"]


def test_what_was_read_of_the_new_board_is_told_of_it() -> None:
    said = readings(files(row("f1", "found", 200), row("p1", "proposed", 0.4)), "", "proposed")
    assert (said["insulation"]["stage"], [each["board"] for each in said["hunt"]]) == ("proposed", ["new-unit"])


def test_a_board_that_has_gone_is_read_no_more() -> None:
    """At the fitted stage its readings stand as found, and nothing is asked of it."""
    said = readings(files(row("f1", "found", 0.4), more='circuits.oven.says = "the oven"\n'), "", "fitted")
    assert (said["stage"], said["insulation"]["stage"], said["hunt"]) == ("fitted", "found", [])
    assert [part["circuit"] for part in said["insulation"]["take_out"]] == ["oven"]


def test_the_page_says_which_readings_are_of_then(tmp_path: Path) -> None:
    folder = tmp_path / "x"
    folder.mkdir()
    for name, text in files(row("f1", "found", 0.4)).items():
        (folder / name).write_text(text, encoding="utf-8")
    told = typed("readings", folder).stdout
    assert "Insulation, circuit by circuit, as found:" in told
    assert "(readings.csv:2, found)" in told
    assert "as found:" not in typed("readings", folder, "--stage", "found").stdout


def test_the_report_names_the_way_of_the_day_it_was_read() -> None:
    facts = api.paper("survey-report", files(row("f1", "found", 0.4)))["facts"]
    assert [r["where"] for group in facts["readings"] for r in group["rows"]] == ["unit 3"]
    assert facts["readings"][0]["how"].startswith("found, ")
