"""The firm's file of operators at the prompt: it decides where the job names its operator, and a faulty one is refused."""
from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from spareway.cli.verbs import spareway
from tests.papers.made import words

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


def typed(*args: str | Path) -> str:
    return " ".join(CliRunner().invoke(spareway, ["demand", *map(str, args)]).stdout.split())


def test_its_terms_their_day_and_its_fuse_stand_on_the_page(tmp_path: Path) -> None:
    """What it said and when, that this is long ago, the row of each reason with its trust, and who draws the fuse."""
    firm = ("--operators", ROOT / "examples" / "operators.toml")
    job = folder(tmp_path / "job", "south")
    page = typed(job, *firm)
    assert "operator-south said on 2025-10-30, S-3: demand above which the operator must be asked first: 60 A; " in page
    assert "(charge points and heat pumps)" in page
    assert "ask again" not in page
    assert "Only the operator's fuse" not in page
    (job / "job.toml").write_text((job / "job.toml").read_text("utf-8").replace("2026-09-01", "2026-10-31"), "utf-8")
    (job / "work.toml").write_text(WORK.replace("runs.feed-3.length_m = 4", "runs.feed-2.size_mm2 = 25\nsupplies.main.phases_n = 3") % "south", "utf-8")
    page = typed(job, *firm)
    assert "That is more than a year ago by this job's own days: ask again." in page
    assert "takes the supply off arrester, which the work touches. Who may draw it: whoever it names in writing. Do not draw it without leave." in page
    assert "(ESQCR 2002, regulation 28, from memory)" in page
    assert "Of operator-south nothing is on record but the national rows. Write what it says in job.toml, under [operators.operator-south]" in typed(job)
    assert "Who may draw it: not on record." in typed(job)
    (job / "job.toml").write_text('schema = 1\nbooks.bs7671 = "2018+A4"\n', "utf-8")
    assert "cannot be told: the job names no day" in typed(job, *firm)
    (job / "work.toml").write_text("supplies.main.operator = { unknown = \"x\" }\n", "utf-8")
    assert "Whose network it is, and what that operator wants beside the national rows, is not on record." in typed(job)


def test_a_faulty_file_of_operators_ends_with_2(tmp_path: Path) -> None:
    wrong = tmp_path / "ours.toml"
    wrong.write_text("[operators.operator-east]\ntail_m = 3\n", "utf-8")
    typed = CliRunner().invoke(spareway, ["demand", str(folder(tmp_path / "job", "east")), "--operators", str(wrong)])
    assert typed.exit_code == 2
    assert "ours.toml:1" in typed.output
    assert "asked is missing" in typed.output


def test_the_papers_are_told_by_the_firms_file_too(tmp_path: Path) -> None:
    """The letter says the terms that `demand` goes by; a faulty file is refused before anything is written."""
    job, out = folder(tmp_path / "job", "south"), tmp_path / "out"
    asked = ["papers", str(job), "--out", str(out), "--only", "operator-letter", "--operators"]
    assert CliRunner().invoke(spareway, [*asked, str(ROOT / "examples" / "operators.toml")]).exit_code == 0
    assert "Your terms, as said on 30 October 2025 (S-3)" in words((out / "operator-letter-proposed.pdf").read_bytes())
    faulty = tmp_path / "firm.toml"
    faulty.write_text("[operators.operator-south]\ntail = 3\n", "utf-8")
    refused = CliRunner().invoke(spareway, [*asked[:3], str(tmp_path / "none"), *asked[4:], str(faulty)])
    assert (refused.exit_code, (tmp_path / "none").exists()) == (2, False)
    assert "firm.toml:2: operators.operator-south.tail: there is no field tail here; one of says" in refused.stderr
