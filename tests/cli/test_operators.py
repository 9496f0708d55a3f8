"""The firm's file of operators at the prompt: it decides where the job names its operator, and a faulty one is refused."""
from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from spareway.cli.verbs import spareway

ROOT = Path(__file__).parents[2]
HOME = (ROOT / "tests" / "design" / "asked_home.toml").read_text("utf-8")
WORK = """circuits.warm-2 = { way = "unit.5" }
equipment.heater-2 = { kind = "panel-heater", on = "warm-2", stamped_w = 750, stamped_v = 230 }
runs.feed-3.length_m = 4
supplies.main.operator = "operator-%s"
"""


def folder(at: Path, operator: str) -> Path:
    at.mkdir()
    (at / "job.toml").write_text('schema = 1\nbooks.bs7671 = "2018+A4"\nnation = "England"\ndates.survey = "2026-09-01"\n', "utf-8")
    (at / "found.toml").write_text(HOME, "utf-8")
    (at / "work.toml").write_text(WORK % operator, "utf-8")
    return at


@pytest.mark.parametrize(("operator", "left"), [("east", "ask"), ("west", "apply"), ("north", "notify"), ("south", "neither")])
def test_one_job_four_operators_at_the_prompt(operator: str, left: str, tmp_path: Path) -> None:
    """4.5 m of tails and 58.5 A by the book, told by the example's own file."""
    job = folder(tmp_path / operator, operator)
    typed = CliRunner().invoke(spareway, ["demand", str(job), "--operators", str(ROOT / "examples" / "operators.toml"), "--json"])
    said = json.loads(typed.stdout)["operator"]
    assert (typed.exit_code, said["left"], said["operator"]["on_record"]) == (0, left, True)


def test_a_faulty_file_of_operators_ends_with_2(tmp_path: Path) -> None:
    wrong = tmp_path / "ours.toml"
    wrong.write_text("[operators.operator-east]\ntail_m = 3\n", "utf-8")
    typed = CliRunner().invoke(spareway, ["demand", str(folder(tmp_path / "job", "east")), "--operators", str(wrong)])
    assert typed.exit_code == 2
    assert "ours.toml:1" in typed.output
    assert "asked is missing" in typed.output
