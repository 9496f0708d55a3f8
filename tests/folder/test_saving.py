"""Saving: what is refused, who has the folder, and what becomes of a save that was interrupted."""
from __future__ import annotations

import errno
import os
import stat
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from random import Random

import pytest

from spareway.doc import InputError
from spareway.folder import Busy, Changed, Disk, Folder, Recovery, read_folder
from spareway.folder.names import LOCK, NEW, RECORD
from spareway.folder.reading import LIMITS
from spareway.folder.record import Change, Torn, decode, digest, encode
from tests.folder.frail import FrailDisk
from tests.folder.test_reading import said

SRC = Path(__file__).parents[2] / "src"


@pytest.fixture
def job(tmp_path: Path) -> Path:
    folder = Folder(tmp_path / "job")
    folder.save({"job.toml": "old job", "found.toml": "old", "people.toml": "old people"})
    return folder.path


def plant(job: Path, *changes: Change) -> bytes:
    raw = encode(changes)
    (job / RECORD).write_bytes(raw)
    return raw


def test_a_save_takes_puts_and_leaves(job: Path) -> None:
    """Files named are written or removed, the others stay; nothing of ours is left but the lock."""
    (job / "logs").mkdir()
    (job / "logs" / f"{NEW}a.csv").write_text("broken off long ago")
    folder = Folder(job)
    folder.read()
    folder.save({"job.toml": "new\r\n", "found.toml": None, "logs/a.csv": "é", "work.toml": None})
    assert read_folder(job) == {"job.toml": "new\r\n", "people.toml": "old people", "logs/a.csv": "é"}
    folder.save({"logs/a.csv": None, "found.toml": "back"})
    assert folder.read() == {"job.toml": "new\r\n", "people.toml": "old people", "found.toml": "back"}
    assert [path.name for path in job.rglob(".*")] == [LOCK]
    assert (job / LOCK).read_text() == ""


def test_a_save_of_the_same_writes_nothing(job: Path) -> None:
    folder = Folder(job)
    texts = folder.read()
    before = (job / "job.toml").stat().st_mtime_ns, (job / "job.toml").stat().st_ino
    folder.save(texts)
    assert ((job / "job.toml").stat().st_mtime_ns, (job / "job.toml").stat().st_ino) == before


def test_permissions_stay_and_no_copy_has_more(job: Path) -> None:
    """A file only its owner may read stays so, and so do the record of a save and a text kept beside."""
    (job / "people.toml").chmod(0o600)
    modes = {}

    class Noting(Disk):
        def rename(self, old: Path, new: Path) -> None:
            modes[new.name] = stat.S_IMODE(old.stat().st_mode)
            super().rename(old, new)

    folder = Folder(job, disk=Noting())
    folder.read()
    folder.save({"people.toml": "new people", "job.toml": "new job"})
    assert modes["people.toml"] == modes[RECORD] == 0o600
    assert modes["job.toml"] == stat.S_IMODE((job / "found.toml").stat().st_mode)
    plant(job, Change("people.toml", digest(b"neither"), b"newer"))
    name, beside = folder.recover().edited[0]
    assert (name, modes[beside]) == ("people.toml", 0o600)


def test_what_changed_since_it_was_read_is_not_undone(job: Path) -> None:
    """Edited, removed, never read: refused, file by file, and nothing is written; saving what is there is no harm."""
    folder = Folder(job)
    folder.read()
    (job / "found.toml").write_text("by hand")
    (job / "people.toml").unlink()
    (job / "kit.toml").write_text("by hand")
    with pytest.raises(Changed) as caught:
        folder.save({"job.toml": "new", "found.toml": "new", "people.toml": "new", "kit.toml": None})
    assert [(fault.file, fault.says) for fault in caught.value.faults] == [
        ("found.toml", "was changed since it was read"), ("kit.toml", "is there, but was not read before saving"),
        ("people.toml", "was changed since it was read")]
    assert read_folder(job) == {"job.toml": "old job", "found.toml": "by hand", "kit.toml": "by hand"}
    folder.save({"found.toml": "by hand", "people.toml": None})
    folder.read()
    folder.save({"found.toml": "new"})
    assert read_folder(job)["found.toml"] == "new"


def test_what_no_job_may_hold_is_not_saved(job: Path) -> None:
    """Names, characters and sizes that a reader would refuse are refused before anything is touched, all in one run."""
    faults = said(lambda: Folder(job).save({
        "../x.toml": "", "jobb.toml": "", "found.toml": "a\n\ud800", "work.toml": "é" * LIMITS.file_bytes,
        "job.toml": "new"}))
    assert faults[0].startswith("../x.toml: no file of a job folder is called this")
    assert faults[1].endswith("did you mean job.toml?")
    assert faults[2:] == ["found.toml:2: not a character", "work.toml: too large; at most 1048576 bytes"]
    [fault] = said(lambda: Folder(job).save({f"logs/{n}.csv": "x" * LIMITS.file_bytes for n in range(17)}))
    assert "17 files" not in fault
    assert "too much for one job" in fault
    (job / "work.toml").mkdir()
    assert said(lambda: Folder(job).save({"work.toml": "x"})) == ["work.toml: not a regular file"]
    assert not list(job.glob(f"{NEW}*"))
    (job / "work.toml").rmdir()
    assert read_folder(job)["job.toml"] == "old job"


def test_one_writer_at_a_time(job: Path) -> None:
    """Another process that holds the folder is named with the time; it may still be read; when it dies it is free."""
    holder = subprocess.Popen(
        [sys.executable, "-c", "import sys; from spareway.folder import Folder\n"
         f"with Folder({str(job)!r}).writing(): print('held', flush=True); sys.stdin.read()"],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env={**os.environ, "PYTHONPATH": str(SRC)})
    assert holder.stdin is not None
    assert holder.stdout is not None
    assert holder.stdout.readline() == "held\n"
    folder = Folder(job)
    texts = folder.read()
    with pytest.raises(Busy) as caught:
        folder.save({"job.toml": "mine"})
    [fault] = caught.value.faults
    assert f"(process {holder.pid}) since 20" in str(fault)
    assert str(fault).startswith("job: is being saved by ")
    plant(job, Change("job.toml", digest(b"old job"), b"theirs"))
    assert folder.read() == {**texts, "job.toml": "theirs"}         # as their save will leave it
    assert (job / "job.toml").read_text() == "old job"
    holder.kill()
    holder.communicate()
    assert folder.read()["job.toml"] == "theirs"
    assert not (job / RECORD).exists()
    folder.save({"job.toml": "mine"})


def test_the_holder_may_save_and_recover(job: Path) -> None:
    """Within `writing` the same Folder saves; another one of the same process is kept out until the block ends."""
    folder = Folder(job)
    with folder.writing():
        folder.read()
        folder.save({"job.toml": "new"})
        folder.recover()
        with pytest.raises(Busy, match="is being saved by"):
            Folder(job).save({"job.toml": "other"})
    (job / LOCK).write_text("")
    with folder.writing(), pytest.raises(Busy):
        Folder(job).recover()
    with Disk().locked(job / LOCK):
        (job / LOCK).write_text("")                                 # taken, its name not written yet
        with pytest.raises(Busy, match="someone else, just now"):
            folder.save({"job.toml": "newer"})
    folder.save({"job.toml": "newer"})


def test_a_user_without_a_name_can_save(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "getuid", lambda: 4_000_000_123)
    with Folder(job).writing():
        assert (job / LOCK).read_text().startswith("user 4000000123 (process ")


def test_recovery_completes_a_whole_record(job: Path) -> None:
    """Written, removed, made, done already: whatever is left to do is done and told, and again finds nothing."""
    plant(job, Change("job.toml", digest(b"old job"), b"new"), Change("found.toml", digest(b"old"), None),
          Change("logs/a.csv", None, b"log"), Change("people.toml", digest(b"x"), b"old people"),
          Change("work.toml", digest(b"x"), None))
    (job / f"{NEW}job.toml").write_text("hal")
    folder = Folder(job)
    report = folder.recover()
    assert report == folder.recovered == Recovery(("job.toml", "found.toml", "logs/a.csv"))
    assert str(report) == "an interrupted save of job.toml, found.toml, logs/a.csv was completed"
    assert read_folder(job) == {"job.toml": "new", "people.toml": "old people", "logs/a.csv": "log"}
    assert [path.name for path in job.rglob(".*")] == [LOCK]
    assert Folder(job).recover() == Recovery()
    assert str(Recovery()) == ""
    assert Folder(job.parent / "gone").recover() == Recovery()
    assert not (job.parent / "gone").exists()


def test_a_folder_of_logs_that_went_with_its_logs_stays_gone(job: Path) -> None:
    """The save was to remove the last log; the whole folder has been removed since: nothing is left to do."""
    plant(job, Change("logs/a.csv", digest(b"old"), None))
    assert Folder(job).recover() == Recovery()
    assert not (job / "logs").exists()
    assert not (job / RECORD).exists()


def test_what_became_strange_after_a_crash_is_left(job: Path) -> None:
    """A link, a folder and a huge file in place of those the save would write: left, the new texts kept beside."""
    raw = [Change(name, digest(b"old"), b"new " + name.encode()) for name in ("job.toml", "found.toml", "people.toml")]
    plant(job, *raw, Change("kit.toml", None, b"new kit"))
    (job / "job.toml").unlink()
    (job / "job.toml").symlink_to("found.toml")
    (job / "found.toml").write_bytes(b"#" * (LIMITS.file_bytes + 1))
    (job / "people.toml").unlink()
    (job / "people.toml").mkdir()
    report = Folder(job).recover()
    assert report.completed == ("kit.toml",)
    assert [name for name, _ in report.edited] == ["job.toml", "found.toml", "people.toml"]
    for name, beside in report.edited:
        assert (job / beside).read_text() == f"new {name}"
    assert (job / "job.toml").is_symlink()
    assert (job / "found.toml").stat().st_size == LIMITS.file_bytes + 1


def test_a_kept_text_never_takes_the_place_of_another(job: Path) -> None:
    """Other bytes under the short name: the whole digest is used. The same bytes: they are simply there."""
    change = Change("job.toml", digest(b"neither"), b"new")
    full = digest(b"new")
    assert full is not None
    short = job / f"job.toml.kept-{full[:8]}"
    plant(job, change)
    assert Folder(job).recover().edited == (("job.toml", short.name),)
    plant(job, change)
    assert Folder(job).recover().edited == (("job.toml", short.name),)
    short.write_text("other")
    plant(job, change)
    assert Folder(job).recover().edited == (("job.toml", f"job.toml.kept-{full}"),)
    assert short.read_text() == "other"
    short.unlink()
    short.symlink_to("job.toml")
    plant(job, change)
    with pytest.raises(InputError, match="over it"):
        Folder(job).recover()
    assert (job / RECORD).exists()                                  # not settled, so not let go


def test_a_torn_record_is_dropped_and_set_aside(job: Path) -> None:
    """Cut anywhere or any bit changed: nothing is replayed, what is left can still be read, the job is the old one."""
    raw = plant(job, Change("job.toml", digest(b"old job"), b"new"))
    rng = Random(3)
    torn = [raw[:cut] for cut in (0, 1, 20, len(raw) // 2, len(raw) - 1)] + [raw + b"x"]
    for _ in range(40):
        at = rng.randrange(len(raw))
        torn.append(raw[:at] + bytes([raw[at] ^ (1 << rng.randrange(8))]) + raw[at + 1:])
    for bad in torn:
        with pytest.raises(Torn):
            decode(bad)
        (job / RECORD).write_bytes(bad)
        folder = Folder(job)
        assert folder.read()["job.toml"] == "old job"
        assert (job / folder.recovered.torn).read_bytes() == bad
        assert folder.recovered.torn in str(folder.recovered)
        assert not (job / RECORD).exists()
    folder.save({"job.toml": "newer"})
    assert read_folder(job)["job.toml"] == "newer"


def test_a_record_of_a_newer_version_is_left_alone(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It is whole, so it may not be dropped; it is not ours to carry out either: refused until the other one did."""
    with monkeypatch.context() as newer:
        newer.setattr("spareway.folder.record._VERSION", b"2")
        plant(job, Change("job.toml", digest(b"old job"), b"new"))
    folder = Folder(job)
    for act in (folder.read, folder.recover, lambda: folder.save({"kit.toml": ""}), lambda: read_folder(job)):
        assert said(act)[0].startswith(".spareway-redo: an interrupted save of a newer version")
    assert (job / RECORD).exists()


def test_a_record_cannot_lead_out_of_the_folder(job: Path) -> None:
    """A planted record that names files elsewhere is refused whole."""
    for name in ("../x.toml", "/x.toml", "logs/../../x.toml", "photos/x.toml", ".bashrc", "x.sh"):
        plant(job, Change("job.toml", digest(b"old job"), b"new"), Change(name, None, b"planted"))
        assert said(Folder(job).recover)[0].startswith(".spareway-redo: an interrupted save names a file")
        assert (job / "job.toml").read_text() == "old job"
    assert sorted(path.name for path in job.parent.iterdir()) == ["job"]
    (job / "elsewhere").mkdir()
    (job / "logs").symlink_to("elsewhere")
    plant(job, Change("logs/a.csv", None, b"planted"))
    with pytest.raises(InputError, match="link"):
        Folder(job).recover()
    assert list((job / "elsewhere").iterdir()) == []


def test_a_disk_that_refuses_ends_in_one_job() -> None:
    """No space at any call of a save: an error; after recovery the old or the new; saving again then goes through."""
    for at in range(1, 80):
        disk = FrailDisk(Random(at), Path("/disk"))
        folder = Folder(Path("/disk/job"), disk=disk)
        folder.save({"job.toml": "old", "logs/a.csv": "old"})
        disk.arm(at, fails=True)
        with suppress(OSError):
            folder.save({"job.toml": "new", "logs/a.csv": "new", "found.toml": "new"})
        if disk.calls < at:                                         # it went through before the call that fails
            break
        disk.arm(0)
        assert set(read_folder(folder.path, disk=disk).values()) in ({"old"}, {"new"})
        folder.save({"job.toml": "new", "logs/a.csv": "new", "found.toml": "new"})
        assert set(read_folder(folder.path, disk=disk).values()) == {"new"}
    assert at > 40


class ReadOnly(Disk):
    def __init__(self, number: int) -> None:
        self.number = number

    @contextmanager
    def locked(self, path: Path) -> Iterator[None]:
        if self.number:
            raise OSError(self.number, os.strerror(self.number), str(path))
        yield


@pytest.mark.parametrize("number", [errno.EROFS, errno.EACCES, errno.EPERM])
def test_where_we_may_only_read_we_read(job: Path, number: int) -> None:
    """An interrupted save on a disk that cannot be written is read as it will be; any other refusal is an error."""
    plant(job, Change("job.toml", digest(b"old job"), b"new"))
    assert Folder(job, disk=ReadOnly(number)).read()["job.toml"] == "new"
    assert (job / "job.toml").read_text() == "old job"
    with pytest.raises(OSError, match="Input/output"):
        Folder(job, disk=ReadOnly(errno.EIO)).read()


def test_a_file_system_without_synced_names_is_used(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Some cannot sync a folder and say EINVAL; every other refusal to sync is an error."""
    refuse, real = errno.EINVAL, os.fsync

    def fsync(handle: int) -> None:
        if stat.S_ISDIR(os.fstat(handle).st_mode):
            raise OSError(refuse, "refused")
        real(handle)

    monkeypatch.setattr(os, "fsync", fsync)
    folder = Folder(job)
    folder.read()
    folder.save({"job.toml": "new"})
    refuse = errno.EIO
    with pytest.raises(OSError, match="refused"):
        folder.save({"job.toml": "newer"})


def test_the_disk_reads_files_only(tmp_path: Path) -> None:
    """A pipe or a folder put there after we looked does not make us wait; a link to nowhere is seen as one."""
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(OSError, match="not a regular file"):
        Disk().read(tmp_path / "pipe", 10)
    (tmp_path / "file").write_bytes(b"x" * 100)
    assert Disk().read(tmp_path / "file", 10) == b"x" * 11
    (tmp_path / "link").symlink_to("nowhere")
    look = Disk().look(tmp_path / "link")
    assert look is not None
    assert (look.kind, look.is_link) == ("link", True)
    with pytest.raises(OSError, match="link"):
        Disk().write(tmp_path / "link", b"through")
    assert not (tmp_path / "nowhere").exists()
    (tmp_path / "long").symlink_to("x" * 250 + "/" + "y" * 250)
    assert Disk().look(tmp_path / "long").kind == "link"            # type: ignore[union-attr]
    (tmp_path / "longer").symlink_to("x" * 300)
    with pytest.raises(OSError, match="too long"):
        Disk().look(tmp_path / "longer")
