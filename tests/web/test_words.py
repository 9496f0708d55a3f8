"""What the phone says and keeps of answers: by its screens, asked as the page asks them. No browser is needed for words."""
from __future__ import annotations

import html
import re
from pathlib import Path
from urllib.parse import urlencode

import pytest

from spareway.folder import read_folder
from spareway.job.job import read_job
from spareway.job.rows import standing
from tests.web.stage import zipped
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
    status, _, body = asked(home, "GET", f"/app/call?{urlencode(CALL)}", HOST)
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


# ---- two phones, and a thumb that falls twice ----------------------------------------------------------------------------
def test_a_thumb_that_falls_twice_writes_one_reading(home: Path) -> None:
    for id, said in (("equipment.board.ways_n", "2"), ("way.board.1", "cooker")):  # noqa: A001
        assert post(home, "jobs/mill-house/at/board cupboard", {"id": id, "value": said})[0] == 303
    for value in ("0.59", "0.59", "0.95"):
        assert post(home, "jobs/mill-house/test/cooker", {"test": "0", "value": value})[0] == 303
    for _ in range(2):
        assert post(home, "jobs/mill-house/live/circuits.cooker", {"test": "2", "value": "0.70"})[0] == 303
        assert post(home, "jobs/mill-house/at/look, cabinet", {"id": "EY1", "value": "yes"})[0] == 303
    readings = texts_of(home)["readings.csv"].splitlines()[1:]
    assert [row.split(",")[6] for row in readings] == ["0.59", "0.95", "0.70"]
    assert len(texts_of(home)["observations.csv"].splitlines()) == 2


def two_of_one_job(home: Path, other: str) -> tuple[dict[str, str], dict[str, str]]:
    """The job here with cooker on way 2 and its loop 1.9 by Ann; the same of another phone with lights there, and 0.7."""
    at, live = "jobs/mill-house/at/board cupboard", "jobs/mill-house/live/circuits.cooker"
    for id, said in (("equipment.board.ways_n", "4"), ("way.board.1", "cooker")):  # noqa: A001
        post(home, at, {"id": id, "value": said})
    assert asked(home, "GET", "/app/jobs/mill-house/job.zip", HOST)[0] == 200
    base = texts_of(home)
    post(home, at, {"id": "way.board.2", "value": "shower"})
    post(home, live, {"test": "2", "value": "1.9"})
    mine = texts_of(home)
    folder = home / "mill-house"
    for name, text in base.items():
        (folder / name).write_text(text, "utf-8")
    post(home, "this-phone", {"by": other})
    post(home, at, {"id": "way.board.2", "value": "lights"})
    post(home, live, {"test": "2", "value": "0.7"})
    theirs = texts_of(home)
    for name, text in mine.items():
        (folder / name).write_text(text, "utf-8")
    post(home, "this-phone", {"by": "Ann"})
    return mine, theirs


@pytest.mark.parametrize("other", ["Bo", "Ann"])
def test_the_same_zip_joined_twice_is_joined_once(home: Path, other: str) -> None:
    """Two people, and one name on two phones, whose rows bear the same ids: every row once, the second joining changes nothing."""
    _, theirs = two_of_one_job(home, other)
    assert asked(home, "POST", "/app/jobs/mill-house/join", SAME, zipped(theirs))[0] == 303
    once = texts_of(home)
    assert sorted(row.split(",")[6] for row in once["readings.csv"].splitlines()[1:]) == ["0.7", "1.9"]
    assert asked(home, "POST", "/app/jobs/mill-house/join", SAME, zipped(theirs))[0] == 303
    assert texts_of(home) == once


def test_what_clashes_stands_side_by_side(home: Path) -> None:
    """Two circuits on one way, and two values of one loop: told with who and when; one kept strikes the other, and both stay."""
    _, theirs = two_of_one_job(home, "Bo")
    assert "Nothing is disputed" in get(home, "jobs/mill-house/join")[1]
    assert asked(home, "POST", "/app/jobs/mill-house/join", SAME, zipped(theirs))[0] == 303
    told = get(home, "jobs/mill-house/join")[1]
    assert "Board, way 2: 2 circuits" in told
    assert "lights and shower" in told or "shower and lights" in told
    assert re.search(r"Cooker, earth fault loop impedance[^:]*: two values", told)
    assert "1.9 Ω, Ann, " in told
    assert "0.7 Ω, Bo, " in told
    assert "Nothing is disputed" not in told
    assert post(home, "jobs/mill-house/choose", {"row": "bo-1"}) == (303, "/app/jobs/mill-house/join")
    assert "two values" not in get(home, "jobs/mill-house/join")[1]
    rows = read_job(texts_of(home)).readings
    assert [row.shown for row in standing(rows)] == ["0.7 Ω"]
    assert len(rows) == 3


# ---- what the phone says ---------------------------------------------------------------------------------------------------
def test_a_refusal_is_in_the_words_of_its_question(home: Path) -> None:
    """No file, line, address or field of the program; what was typed stays, marked as refused."""
    at = "/app/jobs/mill-house/at/meter cabinet"
    form = {"id": "equipment.cutout.fuse_a", "value": "0"}
    status, _, body = asked(home, "POST", at, SAME, urlencode(form).encode())
    assert status == 422
    assert 'value="0" data-refused' in body.decode()
    for word in ("found.toml", "equipment.cutout", ".marked", "answer:"):
        assert word not in plain(body), word
    post(home, "jobs/mill-house/at/board cupboard", {"id": "equipment.board.ways_n", "value": "2"})
    post(home, "jobs/mill-house/at/board cupboard", {"id": "way.board.1", "value": "shower"})
    status, told = post(home, "jobs/mill-house/test/shower", {"test": "0", "value": "1,2"})
    assert status == 422
    assert 'Read "1,2"; write 1.2, with a point' in told
    assert "answer:" not in told
    status, told = post(home, "jobs/mill-house/seen", {"says": " "})
    assert (status, "observations.csv" in told) == (422, True), "a fault of a file still names it"


def test_things_have_their_own_names(home: Path) -> None:
    told = get(home, "jobs/mill-house/at/meter cabinet?id=all")[1]
    assert "Bond water, main earthing terminal to water: size" in told
    assert " met " not in told
    told = get(home, "jobs/mill-house/findings?every=yes")[1]
    assert not re.search(r"\bmet\b|: main\b", told)
    told = get(home, "jobs/mill-house/rooms/ask?id=heating.main.place")[1]
    assert "Anywhere, single-storey, heating with 20 % surplus, -3 °C" in told
