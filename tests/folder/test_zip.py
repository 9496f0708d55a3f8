"""A job as a zip: the same bytes every time, back to the same folder, and nothing a stranger put in it gets out."""
from __future__ import annotations

import stat
import struct
import tracemalloc
import zipfile
from io import BytesIO
from pathlib import Path
from random import Random

import pytest
from PIL import Image

from spareway.doc import InputError
from spareway.folder import Changed, Folder, pack, read_folder, unpack, unpacked
from spareway.folder.reading import LIMITS
from spareway.folder.zipped import MOST_PHOTO_BYTES, packed
from tests.folder.test_reading import said

JOB = {"job.toml": "a = 1\r\n", "found.toml": "é", "logs/a.csv": "", "option-b.toml": "b = 2"}


def zipped(*files: tuple[str | zipfile.ZipInfo, bytes | str], packing: int = zipfile.ZIP_DEFLATED) -> bytes:
    out = BytesIO()
    with zipfile.ZipFile(out, "w", packing) as file:
        for name, data in files:
            file.writestr(name, data)
    return out.getvalue()


def test_packed_and_unpacked_is_the_same_job(tmp_path: Path) -> None:
    """Text for text; nothing that is no part of a job goes along; another day, another place: the same bytes."""
    for name in ("one", "two"):
        Folder(tmp_path / name).save(JOB)
    (tmp_path / "two" / "photos").mkdir()
    (tmp_path / "two" / "photos" / "p.jpg").write_bytes(b"p")
    (tmp_path / "two" / "notes.txt").write_text("n")
    data = pack(tmp_path / "one")
    assert data == pack(tmp_path / "two")
    found = unpack(data, tmp_path / "three")
    assert read_folder(tmp_path / "three") == found.texts == JOB
    assert found.left_out == ()
    with zipfile.ZipFile(BytesIO(data)) as file:
        assert file.testzip() is None
        assert file.namelist() == sorted(JOB)


def test_what_cannot_be_read_is_not_packed(tmp_path: Path) -> None:
    tmp_path.joinpath("job.toml").write_bytes(b"\xff")
    assert said(lambda: pack(tmp_path)) == ["job.toml:1: not UTF-8; save it as UTF-8"]


def test_a_zipped_folder_unpacks_as_the_job(tmp_path: Path) -> None:
    """With the folder's own name in front, and what machines add: taken off, left out and told."""
    data = zipped(("a-cottage/", ""), ("a-cottage/job.toml", "a = 1"), ("a-cottage/logs/b.csv", "b"),
                  ("a-cottage/photos/p.jpg", "p"), ("a-cottage/photos/list.csv", "p"),
                  ("__MACOSX/a-cottage/._job.toml", "x"), ("a-cottage/.DS_Store", "x"), ("a-cottage/planted.toml", "c"))
    found = unpack(data, tmp_path / "job", ["planted.toml"])
    assert found.texts == {"job.toml": "a = 1", "logs/b.csv": "b", "planted.toml": "c"}
    assert found.left_out == ("photos/p.jpg", "photos/list.csv", "__MACOSX/a-cottage/._job.toml", ".DS_Store")
    assert unpacked(zipped(("logs/b.csv", "b"))).texts == {"logs/b.csv": "b"}
    assert sorted(path.name for path in tmp_path.rglob("*.*")) == [
        ".spareway-lock", "b.csv", "job.toml", "planted.toml"]


def test_a_zip_never_writes_over_a_job(tmp_path: Path) -> None:
    """A file of the same name is in the way; one with the same bytes is not."""
    Folder(tmp_path / "job").save({"job.toml": "mine"})
    with pytest.raises(Changed, match=r"job\.toml: is there"):
        unpack(zipped(("job.toml", "theirs"), ("kit.toml", "theirs")), tmp_path / "job")
    assert read_folder(tmp_path / "job") == {"job.toml": "mine"}
    unpack(zipped(("job.toml", "mine"), ("kit.toml", "theirs")), tmp_path / "job")
    assert read_folder(tmp_path / "job") == {"job.toml": "mine", "kit.toml": "theirs"}


@pytest.mark.parametrize("name", ["../job.toml", "a/../../job.toml", "/job.toml", "//x/job.toml", "./job.toml",
                                  "logs/..", "..\\job.toml", "C:/job.toml", "c:job.toml", "logs/../job.toml"])
def test_a_name_that_leads_out_is_refused_whole(name: str, tmp_path: Path) -> None:
    """Nothing at all is unpacked, not even the files that are in order."""
    data = zipped(("job.toml", "fine"), (name, "planted"))
    faults = said(lambda: unpack(data, tmp_path / "in" / "job"))
    assert faults == ["the zip: a name that leads out of the folder; nothing was unpacked"]
    assert list(tmp_path.rglob("*")) == []


def test_a_name_with_a_hidden_end_is_refused() -> None:
    """`job.toml` and then a zero byte: readers differ about where it ends."""
    data = zipped(("job.tomlX.exe", "a")).replace(b"job.tomlX.exe", b"job.toml\0.exe")
    assert said(lambda: unpacked(data)) == ["the zip: a name that leads out of the folder; nothing was unpacked"]


def entry(name: str, mode: int) -> zipfile.ZipInfo:
    made = zipfile.ZipInfo(name)
    made.create_system, made.external_attr = 3, mode << 16
    return made


@pytest.mark.parametrize("kind", [stat.S_IFLNK, stat.S_IFIFO, stat.S_IFCHR])
def test_links_and_devices_are_refused_whole(kind: int, tmp_path: Path) -> None:
    data = zipped((entry("job.toml", kind | 0o777), "../../elsewhere"), ("kit.toml", ""))
    assert said(lambda: unpack(data, tmp_path / "job")) == [
        "the zip: neither a file nor a folder, perhaps a link; nothing was unpacked"]
    assert list(tmp_path.iterdir()) == []


def test_a_bomb_is_put_down_early() -> None:
    """A file that swells, one that lies about its size, many that add up, an endless list: refused in little memory."""
    bomb = liar = zipped(("job.toml", bytes(60 << 20)))
    for mark, at in ((b"PK\x03\x04", 22), (b"PK\x01\x02", 24)):
        start = liar.index(mark) + at
        liar = liar[:start] + struct.pack("<I", 10) + liar[start + 4:]
    many = zipped(*((f"logs/{n}.csv", bytes(LIMITS.file_bytes)) for n in range(20)))
    crowd = zipped(*((f"logs/{n}.csv", "") for n in range(LIMITS.files_n + 1)))
    tracemalloc.start()
    try:
        assert said(lambda: unpacked(bomb)) == ["job.toml: too large to read; at most 1048576 bytes"]
        assert said(lambda: unpacked(liar)) == ["the zip: cannot be read: Bad CRC-32 for file 'job.toml'"]
        assert said(lambda: unpacked(many)) == ["the zip: too large in all; at most 16777216 bytes"]
        assert said(lambda: unpacked(crowd)) == ["the zip: too many files; at most 256"]
        peak_bytes = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert peak_bytes < 3 * LIMITS.folder_bytes


def test_an_endless_list_of_contents_is_not_parsed() -> None:
    """How long the list says it is decides, in the plain form; the form for very large files is refused."""
    data = zipped(*((f"photos/{n:080}.jpg", "") for n in range(10_000)))
    assert "has a list of contents of" in said(lambda: unpacked(data))[0]
    small = zipped(("job.toml", "a"))
    end = small.rindex(b"PK\x05\x06")
    long_end = b"PK\x06\x06" + bytes(52) + b"PK\x06\x07" + bytes(16)
    assert said(lambda: unpacked(small[:end] + long_end + small[end:])) == [
        "the zip: is of the kind for very large files"]
    assert said(lambda: unpacked(small[:end] + b"PK\x05\x06")) == ["the zip: is not a zip, or not all of it"]
    with pytest.raises(InputError, match="is too large"):
        unpacked(bytes((64 << 20) + 1))


def test_two_entries_for_one_file_are_refused() -> None:
    """The same name, or one that only differs in case: which is the job would depend on the machine."""
    with pytest.warns(UserWarning, match="Duplicate"):
        data = zipped(("job.toml", "a"), ("job.toml", "b"))
    assert said(lambda: unpacked(data)) == ["job.toml: is in the zip twice"]
    assert said(lambda: unpacked(zipped(("logs/a.csv", ""), ("logs/A.csv", "")))) == ["logs/A.csv: is in the zip twice"]


def test_odd_packing_is_refused() -> None:
    """A password, another compressor, an unknown name, no job at all, text that is none."""
    locked = bytearray(zipped(("job.toml", "a")))
    for mark, at in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        locked[locked.index(mark) + at] |= 1
    assert said(lambda: unpacked(bytes(locked))) == ["the zip: is locked with a password; send it unlocked"]
    for packing in (zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA):
        assert said(lambda p=packing: unpacked(zipped(("job.toml", "a"), packing=p))) == [     # type: ignore[misc]
            "the zip: is packed in an unusual way; stored or deflated"]
    assert said(lambda: unpacked(zipped(("a/jobb.toml", "a"), ("a/job.toml", b"\xff"))))[0].endswith("mean job.toml?")
    assert said(lambda: unpacked(zipped(("a/job.toml", b"\n\xff")))) == ["job.toml:2: not UTF-8; save it as UTF-8"]
    assert said(lambda: unpacked(zipped(("photo.jpg", "a")))) == ["the zip: holds no file of a job"]
    assert said(lambda: unpacked(b"")) == ["the zip: is not a zip, or not all of it"]


def test_harmed_zips_are_refused_or_read_right() -> None:
    """By seed: 3,000 with bytes changed or cut off end in an InputError or in the very job, never in anything else."""
    rng = Random(5)
    refused = 0
    plain = zipped(*JOB.items())
    for _ in range(3000):
        data = bytearray(plain)
        for _ in range(rng.randint(1, 4)):
            data[rng.randrange(len(data))] = rng.randrange(256)
        if rng.random() < 0.1:
            del data[rng.randrange(len(data)):]
        try:
            found = unpacked(bytes(data)).texts
        except InputError:
            refused += 1
        else:
            assert all(JOB.get(name, text) == text for name, text in found.items())
    assert refused > 1500


def picture(colour: str, **said: object) -> bytes:
    """A small JPEG as a library writes it, with what is said of it besides."""
    out = BytesIO()
    Image.new("RGB", (32, 24), colour).save(out, "JPEG", **said)
    return out.getvalue()


def test_photos_come_along() -> None:
    """A job with its photos, packed and unpacked: each the same; a picture too large is refused by name."""
    photos = {"photos/p1.jpg": picture("red"), "photos/p2.jpg": picture("blue")}
    files = {name: text.encode() for name, text in JOB.items()}
    data = packed({**files, **photos})
    found = unpacked(data)
    assert (found.texts, found.photos, found.left_out) == (JOB, photos, ())
    assert packed(dict(reversed(list({**photos, **files}.items())))) == data
    half = packed({**files, "photos/p1.jpg": picture("red")[:-2]})
    assert said(lambda: unpacked(half)) == ["photos/p1.jpg: is no whole photo: it ends too early; take it out of the zip"]
    more = packed({**files, "photos/p1.jpg": picture("red", comment=b"where it was taken")})
    assert unpacked(more).photos == {"photos/p1.jpg": picture("red")}
    large = packed({**files, "photos/p1.jpg": b"\xff\xd8\xff" + bytes(MOST_PHOTO_BYTES)})
    assert said(lambda: unpacked(large)) == [f"photos/p1.jpg: too large for a photo of a job; at most {MOST_PHOTO_BYTES} bytes"]
