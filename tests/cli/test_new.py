"""`spareway new`: five questions or their options, and a job that checks."""
from __future__ import annotations

import datetime
import tomllib
from pathlib import Path

import pytest

from spareway.job.job import read_job
from spareway.job.types import NATIONS
from spareway.survey.patterns import EARTHING_SEEN
from spareway.tables.books import editions_on
from tests.cli.cases import document, typed

AUTUMN = "2026-11-25"
STRADDLE = "2026-05-04"


@pytest.mark.parametrize("fuse", ["60", "80 A", "not read"])
@pytest.mark.parametrize("earthing", EARTHING_SEEN)
def test_whatever_is_answered_the_job_checks(tmp_path: Path, earthing: str, fuse: str) -> None:
    """Every earthing, read or unread fuse: a job that is read without fault and ends with unknowns, never with a pass."""
    job = tmp_path / "job"
    done = typed("new", job, "--called", "A house", "--nation", "Wales", "--earthing", earthing, "--fuse", fuse, "--on", AUTUMN)
    assert done.exit_code == 0
    code, said = document("check", job)
    assert code in (1, 3)
    assert said["counts"]["unknown"] > 10
    files = {file.name: file.read_text() for file in job.iterdir() if file.suffix in (".toml", ".csv")}
    found = read_job(files).found
    assert found.supplies["main"].earthing.amount == (earthing if earthing != "not seen" else None)
    assert found.equipment["cutout"].fuse_a.amount == (float(fuse.split()[0]) if fuse != "not read" else None)
    assert found.equipment["cutout"].fuse_a.how == ("marked" if fuse != "not read" else "unknown")


def test_five_questions_are_asked_and_answered(tmp_path: Path) -> None:
    """Nothing given but the day: called, nation, earthing, fuse, where; the edition is proposed and shown."""
    job = tmp_path / "job"
    done = typed("new", "--on", AUTUMN, answers=f"The mill\nEngland\nTN-S\n80\n{job}\n")
    assert done.exit_code == 0
    assert done.stderr.count(":") >= 5
    assert "It will be judged by BS 7671:2018+A4, the newest in use on 2026-11-25." in done.stderr
    said = tomllib.loads((job / "job.toml").read_text())
    assert (said["says"], said["nation"], said["books"], said["dates"]) == \
        ("The mill", "England", {"bs7671": "2018+A4"}, {"survey": AUTUMN})


def test_a_day_between_two_editions_is_never_decided_for_you(tmp_path: Path) -> None:
    """Where two editions may be used it asks; with no answer nothing is written; with --edition it does not ask."""
    given = ("--called", "x", "--nation", "England", "--earthing", "TT", "--fuse", "not read", "--on", STRADDLE)
    job = tmp_path / "job"
    assert typed("new", job, *given).exit_code == 2
    assert not job.exists()
    done = typed("new", job, *given, answers="2018+A2+A3\n")
    assert done.exit_code == 0
    assert tomllib.loads((job / "job.toml").read_text())["books"] == {"bs7671": "2018+A2+A3"}
    other = tmp_path / "other"
    assert typed("new", other, *given, "--edition", "2018+A4").exit_code == 0
    done = typed("new", tmp_path / "third", *given, "--edition", "2019")
    assert (done.exit_code, done.stdout) == (2, "")


def test_the_editions_of_a_day() -> None:
    """DESIGN: A4 from 15 April 2026; its predecessor withdrawn on 15 October 2026."""
    assert editions_on(datetime.date(2026, 4, 14)) == ["2018+A2+A3"]
    assert editions_on(datetime.date(2026, 4, 15)) == ["2018+A4", "2018+A2+A3"]
    assert editions_on(datetime.date(2026, 10, 14)) == ["2018+A4", "2018+A2+A3"]
    assert editions_on(datetime.date(2026, 10, 15)) == ["2018+A4"]
    assert editions_on(datetime.date(1950, 1, 1)) == []


def test_nothing_that_is_there_is_overwritten(tmp_path: Path) -> None:
    """A folder with something in it, a file, a folder in no folder: refused, nothing changed."""
    given = ("--called", "x", "--nation", "England", "--earthing", "TT", "--fuse", "60", "--on", AUTUMN)
    kept = tmp_path / "kept.txt"
    kept.write_text("mine")
    for place in (tmp_path, kept, tmp_path / "no" / "job"):
        done = typed("new", place, *given)
        assert (done.exit_code, done.stdout) == (2, "")
    assert [each.name for each in tmp_path.iterdir()] == ["kept.txt"]
    assert kept.read_text() == "mine"


def test_a_name_with_quotes_and_line_breaks_stays_a_name(tmp_path: Path) -> None:
    """What is typed is a text in the file and never a line of it."""
    for i, name in enumerate(('the "old" mill \\ lock', "a\nfuse_a = 5", "Ω – 中", "\x7f\x1b[2J")):
        job = tmp_path / str(i)
        assert typed("new", job, "--called", name, "--nation", "England", "--earthing", "TT", "--fuse", "60",
                     "--on", AUTUMN).exit_code == 0
        assert "fuse_a" not in tomllib.loads((job / "job.toml").read_text())
        assert document("check", job)[0] in (1, 3)


def test_without_a_day_it_is_today(tmp_path: Path) -> None:
    job = tmp_path / "job"
    before = datetime.date.today()  # noqa: DTZ011
    assert typed("new", job, "--called", "x", "--nation", NATIONS[0], "--earthing", "TT", "--fuse", "60",
                 "--edition", "2018+A4").exit_code == 0
    written = datetime.date.fromisoformat(tomllib.loads((job / "job.toml").read_text())["dates"]["survey"])
    assert before <= written <= datetime.date.today()  # noqa: DTZ011
