"""A reading that failed as found is not hidden by work that is proposed beside it, at the command line and on the phone."""
from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from spareway import api
from spareway.bundled import text
from spareway.cli.findings import page
from spareway.job.rows import Reading, header
from tests.web.test_live import main_text
from tests.web.test_serving import HOST, asked

ROWS = ((("insulation_mohm", "circuits.oven"), "0"), (("insulation_mohm", "circuits.lamps"), "0.4"), (("trip_ms", "circuits.plugs"), "400"))
UNITS = {"insulation_mohm": "MΩ", "trip_ms": "ms"}
CHARGE = ('[circuits.drive]\nway = "unit.9"\nfeeds = "charge-point"\nload_w = 7200\ndevice = { kind = "rcbo-2p", curve = "B", rating_a = 40, residual_ma = 30, '
          'residual_type = "B" }\ncable = { kind = "t&e", line_mm2 = 6, cpc_mm2 = 2.5, length_m = 12, method = "C" }\n')


def rows(stages: tuple[str, ...], values: dict[str, str]) -> str:
    said = [{"id": f"{stage}-{n}", "stage": stage, "quantity": quantity, "a": at, "value": values.get(stage, value), "loads": "out", "unit": UNITS[quantity], "by": "a",
             "at": "2026-11-09T09:00"} for stage in stages for n, ((quantity, at), value) in enumerate(ROWS)]
    return "\n".join([",".join(header(Reading)), *(",".join(row.get(name, "") for name in header(Reading)) for row in said), ""])


def job(work: str = CHARGE, again: str = "") -> dict[str, str]:
    """The specimen with three bad readings as found. again: what each read at the stage that is proposed, where it was read again."""
    stages = ("found", "proposed") if again else ("found",)
    return {"job.toml": 'schema = 1\nsays = "specimen"\nbooks.bs7671 = "2018+A4"\ndates.survey = "2026-11-09"\n', "found.toml": text("rules/specimen.toml"),
            "readings.csv": rows(stages, {"proposed": again}), **({"work.toml": work} if work else {})}


def standing(files: dict[str, str]) -> set[tuple[str, str]]:
    return {(f["rule"], f["subject"]) for f in api.fails_today(files, api.check(files))}


THREE = {("ME1", "circuits.oven"), ("ME1", "circuits.lamps"), ("ME3", "circuits.plugs")}


def test_three_bad_readings_stand_beside_a_proposed_charge_point() -> None:
    """As found three fail; at the proposal not one does, and the page says the three before it counts anything else as listed."""
    as_found = api.check(job(work=""))
    assert {(f["rule"], f["subject"]) for f in as_found["findings"] if f["verdict"] == "fails"} == THREE
    proposed = api.check(job())
    assert not THREE & {(f["rule"], f["subject"]) for f in proposed["findings"] if f["verdict"] == "fails"}
    assert standing(job()) == THREE
    told = " ".join(" ".join(page(proposed, False, (), api.fails_today(job(), proposed))).split())
    assert "As found three fail, and nothing since shows them cured: they stand until read or looked at again." in told
    assert all(each in told for each in ("circuits.oven", "circuits.lamps", "circuits.plugs", "Over by 100 ms", "Short by 0.6 MΩ"))


@pytest.mark.parametrize(("work", "again", "left"), [
    ("", "", set()),                                                                  # as found says its own
    (CHARGE, "30", set()),                                                            # read again, and good: 30 MΩ, 30 ms
    (CHARGE + 'remove = ["circuits.oven"]\n', "", {*THREE} - {("ME1", "circuits.oven")})])
def test_what_was_read_again_or_taken_away_stands_no_longer(work: str, again: str, left: set[tuple[str, str]]) -> None:
    files = job(work, again)
    if 'remove' in work:
        files["work.toml"] = 'remove = ["circuits.oven"]\n' + CHARGE
    assert standing(files) == left


def test_the_phone_says_it_on_the_proposal_and_leads_there(tmp_path: Path) -> None:
    (tmp_path / "home").mkdir()
    for name, said in job().items():
        (tmp_path / "home" / name).write_text(said)
    status, _, body = asked(tmp_path, "GET", "/app/jobs/home/findings", HOST)
    assert status == 200
    assert "As found three fail, and nothing since shows them cured" in main_text(body)
    assert "findings?stage=found" in body.decode()
    found = asked(tmp_path, "GET", "/app/jobs/home/findings?stage=found", HOST)[2]
    assert "As found three fail" not in main_text(found)
    shutil.rmtree(tmp_path / "home")
