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


# ---- a call ----------------------------------------------------------------------------------------------------------------
CALL = {"fire": "no", "shock": "no", "street": "no", "burning": "no", "water": "no", "bare": "no", "trips": "no", "medical": "yes"}


def test_a_call_can_be_gone_back_in_and_kept_with_the_job_it_begins(home: Path) -> None:
    """Back leaves the last answer out; the note, and what the door would ask about, stand in the job that is begun."""
    status, headers, body = asked(home, "GET", f"/app/call?{urlencode(CALL)}", HOST)
    assert status == 200
    keys = dict(reversed(pair) for pair in re.findall(r'class="key[^"]*" href="([^"]+)"[^>]*>([^<]+)<', html.unescape(body.decode())))
    assert keys["Back"] == f"/app/call?{urlencode({k: v for k, v in CALL.items() if k != 'medical'})}"
    assert "Back" in get(home, "call?fire=no")[1]
    assert "Back" not in get(home, "call")[1]
    assert keys["Keep, and begin the job"] == f"/app/new?{urlencode({'call': urlencode(CALL)})}"
    assert 'name="call"' in asked(home, "GET", keys["Keep, and begin the job"], HOST)[2].decode()
    new = {"called": "The machine is off", "nation": "Wales", "earthing": "not seen", "edition": "2018+A4", "call": urlencode(CALL)}
    assert post(home, "new", new) == (303, "/app/jobs/the-machine-is-off/")
    files = texts_of(home, "the-machine-is-off")
    assert 'medical = "yes"' in files["job.toml"]
    assert "Ended: Come now" in files["observations.csv"]
    note = get(home, "jobs/the-machine-is-off/hazards")[1]
    assert "Medical equipment: agree the hours off" in note
    assert "On the telephone: Is anybody there who depends on power for medical equipment, and it is off? yes" in note
    assert "On the telephone: Flames" not in note
    assert post(home, "new", {**new, "call": "fire=perhaps"})[0] == 422
