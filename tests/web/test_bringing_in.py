"""A stranger's zip at the laptop's door: a job comes in whole or not at all, and nothing is written outside its folder."""
from __future__ import annotations

import re
import tracemalloc
from io import BytesIO
from pathlib import Path
from urllib.parse import urlencode
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

import pytest
from PIL import Image

from spareway.folder import read_folder
from spareway.folder.zipped import packed, unpacked
from spareway.job.disputed import disputes_in
from spareway.web.pages import jobs, joining
from tests.web.stage import drawn_photo, texts, told_by_two, zipped
from tests.web.test_serving import HOST, asked, shot

SAME = {**HOST, "sec-fetch-site": "same-origin", "content-type": "application/octet-stream"}
WEIR = texts("weir-cottage")


def sent(folder: Path, data: bytes, path: str = "/app/bring-in?called=mill") -> tuple[int, str]:
    status, _, body = asked(folder, "POST", path, SAME, data)
    return status, body.decode()


def made(*entries: tuple[str | ZipInfo, bytes], method: int = ZIP_DEFLATED) -> bytes:
    out = BytesIO()
    with ZipFile(out, "w", method) as file:
        for name, data in entries:
            file.writestr(name, data)
    return out.getvalue()


def untouched(folder: Path) -> bool:
    return {each.name for each in folder.iterdir()} <= {".spareway-notes.json"} and not list(folder.parent.glob("escape*"))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "jobs").mkdir()
    return tmp_path / "jobs"


def test_a_job_comes_in_whole_and_goes_out_the_same(folder: Path) -> None:
    """Texts and a photo lie in the folder as they were sent; carried away again it is the same job; a second one lies beside it."""
    photo = drawn_photo()
    data = packed({**{name: text.encode() for name, text in WEIR.items()}, "photos/0123456789abcdef.jpg": photo})
    assert sent(folder, data)[0] == 303
    assert read_folder(folder / "mill") == WEIR
    assert (folder / "mill" / "photos" / "0123456789abcdef.jpg").read_bytes() == photo
    status, headers, back = asked(folder, "GET", "/app/jobs/mill/job.zip", HOST)
    assert (status, dict(headers)["content-disposition"]) == (200, 'attachment; filename="mill.zip"')
    assert unpacked(back) == unpacked(data)
    assert sent(folder, data)[0] == 303
    assert sorted(each.name for each in folder.iterdir() if each.is_dir()) == ["mill", "mill-2"]


def test_a_photo_in_a_zip_brings_no_place_along(folder: Path) -> None:
    """Brought in, and joined: of a photo that a camera wrote neither place nor maker lies in the folder; it is shown upright."""
    for name, path in (("0123456789abcdef", "/app/bring-in?called=mill"), ("fedcba9876543210", "/app/jobs/mill/join")):
        assert b"a maker of cameras" in shot()
        assert sent(folder, packed({**{n: text.encode() for n, text in WEIR.items()}, f"photos/{name}.jpg": shot()}), path)[0] == 303
        kept = (folder / "mill" / "photos" / f"{name}.jpg").read_bytes()
        assert b"maker" not in kept
        with Image.open(BytesIO(kept)) as seen:
            assert dict(seen.getexif()) == {0x0112: 6}
            assert seen.size == (2400, 1200)


def test_what_it_is_called_leads_nowhere_else(folder: Path) -> None:
    """A name with slashes and dots becomes letters and hyphens."""
    assert sent(folder, zipped(WEIR), "/app/bring-in?called=../../escape%2F..")[0] == 303
    assert [each.name for each in folder.iterdir() if each.is_dir()] == ["escape"]
    assert list(folder.parent.glob("escape*")) == []


LINK = ZipInfo("found.toml")
LINK.create_system, LINK.external_attr = 3, 0o120777 << 16
JOB = WEIR["job.toml"].encode()
BAD = {
    "leads out": (made(("job.toml", JOB), ("../escape.toml", b"x")), "leads out of the folder"),
    "from the root": (made(("job.toml", JOB), ("/escape.toml", b"x")), "leads out of the folder"),
    "other machines' way": (made(("job.toml", JOB), ("..\\escape.toml", b"x")), "leads out of the folder"),
    "a link": (made(("job.toml", JOB), (LINK, b"/escape")), "neither a file nor a folder"),
    "one name in two cases": (made(("job.toml", JOB), ("JOB.TOML", JOB)), "no file of a job folder is called this"),
    "a bomb": (made(("job.toml", JOB), ("found.toml", b" " * 50_000_000)), "too large to read"),
    "a photo too large": (made(("job.toml", JOB), ("found.toml", WEIR["found.toml"].encode()), ("photos/a.jpg", b"\xff\xd8\xff" + b"\0" * 5_000_000)), "too large for a photo"),
    "no zip": (b"not a zip", "is not a zip"),
    "cut short": (zipped(WEIR)[:-30], "is not a zip"),
    "nothing of ours": (made(("letter.txt", b"x")), "holds no file of a job"),
    "nothing at all": (b"", "is not a zip"),
    "a line that cannot be read": (zipped({**WEIR, "found.toml": "[runs"}), "found.toml:1"),
    "half a job": (zipped({"found.toml": WEIR["found.toml"]}), "job.toml"),
}


@pytest.mark.parametrize("what", BAD)
def test_what_is_no_job_is_refused_in_words_and_leaves_nothing(folder: Path, what: str) -> None:
    """Each is refused with its fault named, no job begins, nothing lies in the folder or beside it, and little memory is used."""
    data, words = BAD[what]
    tracemalloc.start()
    try:
        status, says = sent(folder, data)
        peak_bytes = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert status == 422
    assert words in says
    assert "Nothing was changed" in says
    assert untouched(folder)
    assert peak_bytes < 40_000_000


@pytest.mark.parametrize("declared", [True, False])
def test_a_body_too_large_is_put_down_before_it_is_all_read(folder: Path, monkeypatch: pytest.MonkeyPatch, declared: bool) -> None:
    """By what it says of its length, and where it says nothing by what comes; for a new job and for a second phone's."""
    for page in (jobs, joining):
        monkeypatch.setattr(page, "MOST_ZIP_BYTES", 100_000)
    assert sent(folder, zipped(WEIR))[0] == 303
    for path in ("/app/bring-in?called=mill", "/app/jobs/mill/join"):
        headers = {**SAME, **({"content-length": "100001"} if declared else {})}
        status, _, body = asked(folder, "POST", path, headers, b"PK" if declared else b"PK" * 50_001)
        assert (status, b"too large to take in" in body) == (422, True), path
    assert read_folder(folder / "mill") == WEIR


def test_a_second_phones_bad_zip_leaves_the_job_as_it_was(folder: Path) -> None:
    """Joined with what is no job, or with one that cannot be read, the job here is the same, to the byte."""
    assert sent(folder, zipped(WEIR))[0] == 303
    for what in ("leads out", "a bomb", "no zip", "a line that cannot be read"):
        assert sent(folder, BAD[what][0], "/app/jobs/mill/join")[0] == 422, what
        assert read_folder(folder / "mill") == WEIR, what
    assert not list(folder.parent.glob("escape*"))


def test_what_two_people_said_is_shown_with_who_and_when(folder: Path) -> None:
    """Joined with a zip whose rows are Bo's: which version was here and which came, by whom and up to when. Joined once more with
    a third that Cy changed: what was known stays, and hers is told. Chosen, nothing of it is kept."""
    assert asked(folder, "POST", "/app/this-phone", SAME, b"by=Ann")[0] == 303
    assert sent(folder, zipped(WEIR))[0] == 303
    length = "length_m = { drawing = 7 }"
    for metres, who, at in (("9", "", ""), ("11", "Bo", "2026-11-20T10:00"), ("12", "Cy", "2026-11-20T11:00")):
        files = {**WEIR, "found.toml": WEIR["found.toml"].replace(length, f"length_m = {{ measured = {metres} }}", 1)}
        if not who:
            (folder / "mill" / "found.toml").write_text(files["found.toml"], "utf-8")
            continue
        row = {"id": f"{who}-1", "where": "equipment.house", "says": "dust", "by": who, "at": at}
        columns = WEIR["observations.csv"].partition("\n")[0].split(",")
        files["observations.csv"] += ",".join(row.get(column, "") for column in columns) + "\n"
        assert sent(folder, zipped(files), "/app/jobs/mill/join")[0] == 303
        page = asked(folder, "GET", "/app/jobs/mill/join", HOST)[2].decode()
        assert f"in the zip: {who}, last row {at}" in page
        assert "on this phone: Ann, no row since both began" in page
    assert page.count("in the zip:") == 2
    versions = disputes_in(read_folder(folder / "mill"))["found.toml circuits.cooker"].versions
    told = re.findall(r"<b>The (first|second|third)</b>, (.*?)\.</p>", page)
    assert [(" 9 " in v, " 11 " in v, " 12 " in v) for v in versions] == [("Ann" in w, "Bo" in w, "Cy" in w) for _, w in told]
    chosen = {"key": "found.toml circuits.cooker", "version": "0"}
    assert asked(folder, "POST", "/app/jobs/mill/choose", SAME, urlencode(chosen).encode())[0] == 303
    assert "Nothing is disputed" in asked(folder, "GET", "/app/jobs/mill/join", HOST)[2].decode()


def test_what_two_people_said_reads_as_unknown_and_never_by_how_much(folder: Path) -> None:
    """On a disputed circuit no number is told as over, short or to spare: nobody has said yet which one holds."""
    assert sent(folder, zipped(told_by_two(WEIR)))[0] == 303
    _, _, page = asked(folder, "GET", "/app/jobs/mill/findings?stage=found&every=yes", HOST)
    held = [part for part in page.decode().split('<a class="member"') if "Two people say two things of it" in part]
    assert len(held) > 5
    for part in held:
        assert not any(word in part.partition("</a>")[0] for word in ("over by", "short by", "to spare", "turns at")), part
