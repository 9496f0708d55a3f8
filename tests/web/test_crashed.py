"""A rule that breaks: the phone says so in words and what to do, and goes on recording; it is no answer about the installation."""
from __future__ import annotations

from pathlib import Path

import pytest

from spareway import api
from spareway.rules.crash import RuleCrash
from tests.web.stage import texts, zipped
from tests.web.test_bringing_in import SAME, sent
from tests.web.test_serving import HOST, asked


@pytest.fixture
def broken(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with the cottage, and a judge that breaks."""
    def judge(*_: object, **__: object) -> None:
        raise RuleCrash("CI1", "circuits.cooker", ZeroDivisionError("division by zero"))
    monkeypatch.setattr(api, "judge", judge)
    assert sent(tmp_path, zipped({**texts("weir-cottage"), "events.csv": "id,kind,address,value,unit,kit,by,second,at,strikes\n"}))[0] == 303
    assert asked(tmp_path, "POST", "/app/this-phone", SAME, b"by=JB")[0] == 303
    return tmp_path


@pytest.mark.parametrize("path", ["findings?stage=found", "findings/0?stage=found", "findings?stage=proposed", "check.json"])
def test_it_says_what_broke_and_what_to_do(broken: Path, path: str) -> None:
    """The rule, the subject and the cause are named, the job can be carried away, and no verdict is on the screen."""
    status, _, body = asked(broken, "GET", f"/app/jobs/mill/{path}", HOST)
    says = body.decode()
    assert status == 500
    for words in ("Nothing was judged", "rule CI1 broke on circuits.cooker", "ZeroDivisionError", "jobs/mill/job.zip", "Prove dead at the point of work"):
        assert words in says
    assert "Traceback" not in says
    assert "Within" not in says
    assert 'class="tally"' not in says


def test_recording_goes_on(broken: Path) -> None:
    """Places, a thing seen and the zip still work while no finding can be had."""
    assert asked(broken, "GET", "/app/jobs/mill/", HOST)[0] == 200
    assert asked(broken, "GET", "/app/jobs/mill/picture", HOST)[0] == 200
    assert asked(broken, "POST", "/app/jobs/mill/seen", SAME, b"says=Dust")[0] == 303
    status, _, data = asked(broken, "GET", "/app/jobs/mill/job.zip", HOST)
    assert (status, b"Dust" in data) == (200, True)
