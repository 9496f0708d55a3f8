"""Reading a job folder: what is read, what is passed over, and every fault of it in one run."""
from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from random import Random

import pytest

from spareway.doc import InputError
from spareway.folder import Folder, read_file, read_folder
from spareway.folder.disk import Disk, Look
from spareway.folder.names import FIXED, RECORD, known, name_fault, plain
from spareway.folder.reading import LIMITS
from spareway.folder.record import Change, digest, encode
from tests.folder.frail import FrailDisk
from tools.pace import slowness

SRC = Path(__file__).parents[2] / "src"


def lay(job: Path, **files: bytes | str) -> Path:
    (job / "logs").mkdir(parents=True)
    for name, data in files.items():
        path = job / name.replace("__", "/").replace("_", ".")
        path.write_bytes(data.encode() if isinstance(data, str) else data)
    return job


def said(call: Callable[[], object]) -> list[str]:
    with pytest.raises(InputError) as caught:
        call()
    return [str(fault) for fault in caught.value.faults]


def test_the_files_of_a_job_are_read(tmp_path: Path) -> None:
    """Each known name, line ends and all; notes, photos, editor files, kept texts and hidden files are passed over."""
    job = lay(tmp_path / "job", job_toml="a = 1\r\n", readings_csv="é✓\n", logs__board_csv="x", found_toml="")
    (job / "option-solar-2.toml").write_text("b = 2")
    for name in ("README", ".hidden.toml", "found.toml~", "job.toml.kept-0a1b2c3d", "notes.txt",
                 ".spareway-new-job.toml"):
        (job / name).write_bytes(b"\xff")
    for name in ("photos", "issued"):
        (job / name).mkdir()
        (job / name / "strange.toml").write_bytes(b"\xff")
    assert read_folder(job) == read_folder(str(job)) == {
        "job.toml": "a = 1\r\n", "found.toml": "", "logs/board.csv": "x", "option-solar-2.toml": "b = 2",
        "readings.csv": "é✓\n"}
    assert Folder(job).read() == read_folder(job)
    assert not (job / ".spareway-lock").exists()                # reading writes nothing


def test_the_mark_of_a_spreadsheet_is_no_text(tmp_path: Path) -> None:
    """A byte order mark in front is left out; one further on is text; after one, a fault still names its own line."""
    job = lay(tmp_path / "job", readings_csv=b"\xef\xbb\xbfid,\xef\xbb\xbf", events_csv=b"\xef\xbb\xbfid\n\n\xe9")
    assert said(lambda: read_folder(job)) == ["events.csv:3: not UTF-8; save it as UTF-8"]
    (job / "events.csv").unlink()
    assert read_folder(job) == {"readings.csv": "id,\ufeff"}


def test_every_fault_is_told_in_one_run(tmp_path: Path) -> None:
    """Bytes, sizes, pipes, links out, links to nowhere, unknown names: each with its file, and its line if any."""
    job = lay(tmp_path / "job", work_toml=b"a = 1\nb = '\xff'\n", found_toml=b"#" * (LIMITS.file_bytes + 1),
              fited_toml="", logs__b_toml="")
    outside = tmp_path / "secret.toml"
    outside.write_text("secret")
    os.mkfifo(job / "kit.toml")
    (job / "people.toml").symlink_to(outside)
    (job / "quote.toml").symlink_to("nowhere")
    (job / "photos.csv").symlink_to("photos.csv")
    (job / "events.csv").mkdir()
    (job / "Option-x.toml").write_text("")
    faults = said(lambda: read_folder(job))
    remedy = "begin an overlay with the line `# overlay: what it is`, or put it in a folder of its own; did you mean"
    assert faults == [
        f"Option-x.toml: no file of a job folder is called this; {remedy} option-NAME.toml?",
        f"fited.toml: no file of a job folder is called this; {remedy} fitted.toml?",
        f"logs/b.toml: no file of a job folder is called this; {remedy} logs/NAME.csv?",
        "events.csv: not a regular file",
        "found.toml: too large to read; at most 1048576 bytes",
        "kit.toml: not a regular file",
        "people.toml: a link that leads out of the folder; put the file here",
        "photos.csv: a link that leads nowhere",
        "quote.toml: a link that leads nowhere",
        "work.toml:2: not UTF-8; save it as UTF-8"]


def test_links_within_the_folder_are_followed_and_never_written(tmp_path: Path) -> None:
    """A link inside is read; a folder of logs elsewhere is not; saving over either is refused and changes nothing."""
    job = lay(tmp_path / "job", found_toml="a = 1")
    (job / "work.toml").symlink_to("found.toml")
    folder = Folder(job)
    assert folder.read() == {"found.toml": "a = 1", "work.toml": "a = 1"}
    assert said(lambda: folder.save({"work.toml": "b", "found.toml": "b"})) == [
        "work.toml: saving would write through a link or over it; put the file itself here"]
    (job / "logs").rmdir()
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "elsewhere" / "a.csv").write_text("a")
    (job / "logs").symlink_to(tmp_path / "elsewhere")
    assert said(folder.read) == ["logs/a.csv: a link that leads out of the folder; put the file here"]
    assert said(lambda: folder.save({"logs/b.csv": "b"})) == [
        "logs/b.csv: saving would write through a link or over it; put the file itself here"]
    assert [each.name for each in (tmp_path / "elsewhere").iterdir()] == ["a.csv"]
    assert (job / "found.toml").read_text() == "a = 1"


def test_a_job_behind_a_link_is_a_job(tmp_path: Path) -> None:
    lay(tmp_path / "job", job_toml="a", logs__a_csv="b")
    (tmp_path / "link").symlink_to("job")
    assert read_folder(tmp_path / "link") == {"job.toml": "a", "logs/a.csv": "b"}


def test_overlays_are_read_when_named(tmp_path: Path) -> None:
    """Another overlay in the folder is a fault until it is named; a named one has to be there and to stay inside."""
    job = lay(tmp_path / "job", job_toml="a", planted_toml="b")
    assert len(said(lambda: read_folder(job))) == 1
    assert read_folder(job, ["planted.toml"]) == {"job.toml": "a", "planted.toml": "b"}
    assert said(lambda: read_folder(job, ["planted.toml", "gone.toml", "../x.toml"])) == [
        "gone.toml: this overlay is not in the folder", "../x.toml: not the name of an overlay in this folder"]


def test_a_file_elsewhere_is_read_by_the_same_rules(tmp_path: Path) -> None:
    """An overlay from anywhere: its text, or the fault."""
    (tmp_path / "x.toml").write_text("a = 1")
    (tmp_path / "bad.toml").write_bytes(b"\n\xff")
    assert read_file(tmp_path / "x.toml") == "a = 1"
    assert said(lambda: read_file(tmp_path / "bad.toml")) == ["bad.toml:2: not UTF-8; save it as UTF-8"]
    assert said(lambda: read_file(tmp_path / "gone.toml")) == ["gone.toml: there is no such file"]
    assert said(lambda: read_file(tmp_path)) == [f"{tmp_path.name}: not a regular file"]


def test_no_folder_is_a_fault(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    assert said(lambda: read_folder(tmp_path / "gone")) == [
        "gone: cannot be read: no such file or directory; the folder of a job"]
    assert said(lambda: read_folder(tmp_path / "file")) == [
        "file: cannot be read: not a directory; the folder of a job"]


def test_a_folder_has_a_budget(tmp_path: Path) -> None:
    """Too many files and too many bytes in all are refused."""
    job = lay(tmp_path / "many")
    for number in range(LIMITS.files_n + 1):
        (job / "logs" / f"{number}.csv").touch()
    assert said(lambda: read_folder(job)) == [f"many: too many files; at most {LIMITS.files_n}"]
    job = lay(tmp_path / "large")
    for number in range(17):
        with (job / "logs" / f"{number}.csv").open("wb") as file:
            file.truncate(LIMITS.file_bytes)
    assert said(lambda: read_folder(job)) == [f"large: too large in all; at most {LIMITS.folder_bytes} bytes"]


def test_names() -> None:
    """Known names, names that may be an overlay, and names that leave the folder or say different things elsewhere."""
    assert all(known(name) and plain(name) for name in (*FIXED, "option-a.toml", "option-a-2.toml", "logs/A_1.b.csv"))
    for name in ("Job.toml", "option-.toml", "option-A.toml", "logs/.a.csv", "logs/a/b.csv", "logs/a.toml",
                 "job.toml\n", "option-é.toml", "logs/" + "a" * 120 + ".csv", "wrong-end.toml"):
        assert not known(name)
        assert name_fault(name)
    for name in ("../job.toml", "/job.toml", "a/b.toml", "logs/../job.toml", ".a.toml", "a\\b.toml", "c:x.toml",
                 "a\0.toml"):
        assert not plain(name)
        assert name_fault(name, [name])
    assert name_fault("wrong-end.toml", ["wrong-end.toml"]) is None


class Meddled(Disk):
    """Somebody saves each time after the first file was read, `times` times."""

    def __init__(self, job: Path, times: int) -> None:
        self.job, self.times = job, times

    def read(self, path: Path, at_most_bytes: int) -> bytes:
        data = super().read(path, at_most_bytes)
        if self.times and path.name == "found.toml":
            self.times -= 1
            folder = Folder(self.job)
            texts = folder.read()
            folder.save({name: text + "+" for name, text in texts.items()})
        return data


def test_a_reader_never_sees_half_of_a_save(tmp_path: Path) -> None:
    """What changes under the reader is read again; when it does not come to rest, that is a fault and no job."""
    job = lay(tmp_path / "job", found_toml="", work_toml="")
    assert read_folder(job, disk=Meddled(job, 3)) == {"found.toml": "+++", "work.toml": "+++"}
    assert said(lambda: read_folder(job, disk=Meddled(job, -1))) == [
        "job: changes while it is being read; try again in a moment"]


def test_a_file_removed_under_the_reader_is_read_again(tmp_path: Path) -> None:
    """Seen and then gone: no fault and no half, the folder is read again."""
    job = lay(tmp_path / "job", found_toml="a", work_toml="b")

    class Removing(Disk):
        def look(self, path: Path) -> Look | None:
            found = super().look(path)
            if path.name == "work.toml":
                self.seen += 1
                if self.seen == 3:
                    path.unlink()
            return found
        seen = 0
    assert read_folder(job, disk=Removing()) == {"found.toml": "a"}


def test_an_interrupted_save_is_read_whole_without_writing(tmp_path: Path) -> None:
    """Whatever part of it was done, and on a disk that may not be written; a torn record stands for nothing done."""
    job = lay(tmp_path / "job", found_toml="old", work_toml="new")
    raw = encode([Change("found.toml", digest(b"old"), b"new"), Change("work.toml", digest(b"old"), b"new"),
                  Change("kit.toml", None, b"new"), Change("quote.toml", digest(b"gone already"), None),
                  Change("planted.toml", None, b"not asked for")])
    (job / RECORD).write_bytes(raw)
    before = sorted(path.name for path in job.iterdir())
    whole = {"found.toml": "new", "work.toml": "new", "kit.toml": "new"}
    assert read_folder(job) == whole
    assert read_folder(job / ".") == whole
    assert sorted(path.name for path in job.iterdir()) == before
    (job / "quote.toml").write_bytes(b"gone already")
    assert read_folder(job) == whole
    (job / RECORD).write_bytes(raw[:-1])
    assert read_folder(job)["found.toml"] == "old"
    (job / RECORD).write_bytes(encode([Change("../x.toml", None, b"")]))
    assert said(lambda: read_folder(job)) == [
        ".spareway-redo: an interrupted save names a file that no job holds; remove the record if it is not yours"]


def test_what_the_disk_refuses_is_a_fault() -> None:
    """A failing call anywhere while reading ends in an InputError that gives the reason."""
    home = Path("/disk")
    disk = FrailDisk(Random(1), home)
    Folder(home / "job", disk=disk).save({"job.toml": "a", "logs/a.csv": "b"})
    disk.arm(0)
    read_folder(home / "job", disk=disk)
    for at in range(1, disk.calls + 1):
        disk.arm(at, fails=True)
        [fault] = said(lambda: read_folder(home / "job", disk=disk))
        assert fault.split(": ", 1)[1].startswith("cannot be read: no space left on device")


def test_reading_loads_neither_saving_nor_zips(tmp_path: Path) -> None:
    """Most commands only read: what they do not need costs their start nothing. All public names are there all the same."""
    lay(tmp_path / "job", job_toml="a")
    code = ("import sys, spareway.folder as f; f.read_folder(sys.argv[1])\n"
            "late = {'spareway.folder.' + m for m in ('saving', 'zipped', 'record')} | {'zipfile', 'hashlib', 'json'}\n"
            "assert not late & sys.modules.keys(), late & sys.modules.keys()\n"
            "assert all(hasattr(f, name) for name in f.__all__) and not hasattr(f, 'nonesuch')")
    subprocess.run([sys.executable, "-c", code, tmp_path / "job"], check=True, env={**os.environ, "PYTHONPATH": str(SRC)})


def test_reading_is_quick(tmp_path: Path) -> None:
    """A whole folder, in far less time than a person notices."""
    job = lay(tmp_path / "job", **{name.replace(".", "_"): "a = 1\n" * 1000 for name in FIXED})
    read_folder(job)
    start = time.process_time()
    assert len(read_folder(job)) == len(FIXED)
    assert time.process_time() - start < 0.1 * slowness()


def test_an_overlay_that_says_what_it_is_may_lie_in_the_folder(tmp_path: Path) -> None:
    """It is neither read nor refused until it is named; without its first line, or under a known name, nothing changes."""
    (tmp_path / "job.toml").write_text("schema = 1\n")
    (tmp_path / "what-if.toml").write_text("# Overlay: the same with longer tails\n[runs]\n")
    assert read_folder(tmp_path) == {"job.toml": "schema = 1\n"}
    assert set(read_folder(tmp_path, ["what-if.toml"])) == {"job.toml", "what-if.toml"}
    (tmp_path / "fuond.toml").write_text("# found\n")
    with pytest.raises(InputError, match=r"fuond\.toml: .*did you mean found\.toml"):
        read_folder(tmp_path)
