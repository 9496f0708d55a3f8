"""What the phone says and keeps of answers: by its screens, asked as the page asks them. No browser is needed for words."""
from __future__ import annotations

import html
import re
from pathlib import Path
from urllib.parse import urlencode

import pytest

from spareway.folder import read_folder
from tests.web.test_serving import HOST, asked

SAME = {**HOST, "sec-fetch-site": "same-origin"}


def plain(body: bytes) -> str:
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", body.decode())))


def get(home: Path, path: str) -> tuple[int, str]:
    status, _, body = asked(home, "GET", f"/app/{path}", HOST)
    return status, plain(body)


def post(home: Path, path: str, form: dict[str, str]) -> tuple[int, str]:
    """(status, text); of an answer that leads on, where to."""
    status, headers, body = asked(home, "POST", f"/app/{path}", SAME, urlencode(form).encode())
    return status, dict(headers).get("location", "") if status == 303 else plain(body)


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A job begun on this phone, nothing answered yet."""
    assert post(tmp_path, "this-phone", {"by": "Ann"})[0] == 303
    new = {"called": "Mill House", "nation": "England", "earthing": "TN-S", "edition": "2018+A4"}
    assert post(tmp_path, "new", new) == (303, "/app/jobs/mill-house/")
    return tmp_path


def texts_of(home: Path, job: str = "mill-house") -> dict[str, str]:
    return read_folder(home / job)


# ---- answers that take others away ---------------------------------------------------------------------------------------
def test_another_layout_asks_before_it_takes_answers_away(home: Path) -> None:
    """Nothing is changed until it is said twice; the way back leaves all as it is."""
    at = "jobs/mill-house/at/meter cabinet"
    for name, said in (("intake", "isolator-one-board"), ("runs.tails-3.size_mm2", "25"), ("runs.tails-3.length_m", "1.2")):
        assert post(home, at, {"id": name, "value": said})[0] == 303
    before = texts_of(home)
    status, told = post(home, at, {"id": "intake", "value": "one-board"})
    assert status == 200
    assert "This takes away 2 answers" in told
    assert "Tails 3, isolator to board: length" in told
    assert texts_of(home) == before
    assert post(home, at, {"id": "intake", "value": "one-board", "sure": "yes"})[0] == 303
    assert "tails-3" not in texts_of(home)["found.toml"]


def test_a_room_begun_wrongly_can_be_removed(home: Path) -> None:
    rooms = "jobs/mill-house/rooms"
    assert post(home, f"{rooms}/new", {"use": "bathroom"})[0] == 303
    assert "Remove" in get(home, f"{rooms}/ask?of=bathroom&id=all")[1]
    assert "Remove Bathroom" in get(home, f"{rooms}/ask?of=bathroom&id=remove")[1]
    assert "bathroom" in texts_of(home)["premises.toml"]
    assert post(home, f"{rooms}/ask?of=bathroom", {"id": "remove"})[0] == 303
    assert "[rooms" not in texts_of(home)["premises.toml"]
    assert get(home, f"{rooms}/ask?of=bathroom&id=remove")[0] == 404
