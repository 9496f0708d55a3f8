"""Every way in which a job folder touches the disk, one small call each: a test can break off at any of them."""
from __future__ import annotations

import errno
import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from spareway.doc import Fault, InputError

__all__ = ["Busy", "Disk", "Look"]


class Busy(InputError):
    """Somebody else is saving this folder now: who and since when."""


@dataclass(frozen=True, slots=True)
class Look:
    """What lies at a path: `kind` is "file", "folder", "other" or "link" (to nowhere; other links are followed);
    `stamp` changes with each change."""
    kind: str
    size_bytes: int
    mode: int
    stamp: tuple[int, ...]
    is_link: bool = False


class Disk:
    """The real disk. Each call either does its work or raises OSError. Written data is durable only after `sync`, a
    name made, renamed or removed only after `sync_folder` of its folder."""

    def names(self, folder: Path) -> list[str]:
        return sorted(each.name for each in folder.iterdir())

    def look(self, path: Path) -> Look | None:
        """What is there, or None."""
        try:
            at = path.lstat()
        except (FileNotFoundError, NotADirectoryError):
            return None
        if is_link := stat.S_ISLNK(at.st_mode):
            try:
                at = path.stat()
            except OSError as problem:
                if problem.errno not in (errno.ENOENT, errno.ENOTDIR, errno.ELOOP):
                    raise
                return Look("link", 0, 0, (at.st_ino, at.st_ctime_ns), True)
        kind = "file" if stat.S_ISREG(at.st_mode) else "folder" if stat.S_ISDIR(at.st_mode) else "other"
        stamp = (at.st_dev, at.st_ino, at.st_size, at.st_mtime_ns, at.st_ctime_ns)
        return Look(kind, at.st_size, stat.S_IMODE(at.st_mode), stamp, is_link)

    def real(self, path: Path) -> Path:
        """The path with every link followed."""
        return path.resolve()

    def read(self, path: Path, at_most_bytes: int) -> bytes:
        """The bytes of a regular file, cut off one byte past the limit."""
        handle = os.open(path, os.O_RDONLY | os.O_NONBLOCK | os.O_CLOEXEC)      # a pipe put there must not make us wait
        with os.fdopen(handle, "rb") as file:
            if not stat.S_ISREG(os.fstat(handle).st_mode):
                raise OSError(errno.EINVAL, "not a regular file", str(path))
            return file.read(at_most_bytes + 1)

    def write(self, path: Path, data: bytes, mode: int | None = None) -> None:
        """A whole file, not yet durable; with these permissions, or those of any new file."""
        flags = os.O_WRONLY | os.O_CREAT | os.O_TRUNC | os.O_NOFOLLOW | os.O_CLOEXEC
        with os.fdopen(os.open(path, flags, 0o666), "wb") as file:
            if mode is not None:
                os.fchmod(file.fileno(), mode)
            file.write(data)

    def sync(self, path: Path) -> None:
        """The bytes of this file are durable."""
        _fsync(path, os.O_RDONLY | os.O_CLOEXEC)

    def sync_folder(self, folder: Path) -> None:
        """The names in this folder are durable."""
        try:
            _fsync(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC)
        except OSError as problem:
            if problem.errno != errno.EINVAL:       # EINVAL: this file system has no such call, so no promise to keep
                raise

    def rename(self, old: Path, new: Path) -> None:
        old.replace(new)

    def remove(self, path: Path) -> None:
        path.unlink()

    def make_folder(self, path: Path) -> None:
        path.mkdir()

    @contextmanager
    def locked(self, path: Path) -> Iterator[None]:
        """The one who writes, until the block ends or the process dies. Errors: Busy, at once."""
        import fcntl

        handle = os.open(path, os.O_RDWR | os.O_CREAT | os.O_NOFOLLOW | os.O_CLOEXEC, 0o666)
        with os.fdopen(handle, "r+", encoding="utf-8", errors="replace") as file:
            try:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BlockingIOError:
                holder = file.read(200).strip() or "someone else, just now"
                raise Busy([Fault(path.parent.name, None, "", holder, f"is being saved by {holder}",
                                  "wait until that is done, then try again")]) from None
            file.truncate(0)
            file.write(_who())
            file.flush()
            try:
                yield
            finally:
                file.seek(0)
                file.truncate(0)                    # the file stays: removing it would let two hold two locks


def _fsync(path: Path, flags: int) -> None:
    handle = os.open(path, flags)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _who() -> str:
    """Who writes and since when: for the one who finds the folder busy."""
    import pwd

    try:
        name = pwd.getpwuid(os.getuid()).pw_name
    except KeyError:                                # a user of a container that has no name
        name = f"user {os.getuid()}"
    return f"{name} (process {os.getpid()}) since {datetime.now(UTC):%Y-%m-%d %H:%M:%S} UTC"
