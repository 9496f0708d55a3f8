"""One save of a whole job folder: all of it or none of it, whatever breaks off and wherever.

A redo record with every new text is made durable first; then the files are replaced one by one; then the record goes. A
record that is still there tells the next to come what is left to do.
"""
from __future__ import annotations

import errno
from collections.abc import Collection, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from spareway.doc import Fault, InputError
from spareway.folder.disk import Busy, Disk
from spareway.folder.names import LOCK, LOGS, NEW, RECORD, name_fault
from spareway.folder.reading import LIMITS, read_bytes, snapshot, texts_of
from spareway.folder.record import Change, Torn, decode, digest, encode, settle

__all__ = ["Changed", "Folder", "Recovery"]

_READ_ONLY = (errno.EACCES, errno.EPERM, errno.EROFS)


class Changed(InputError):
    """A file is not as it was when it was read: saving would undo somebody's edit."""


@dataclass(frozen=True, slots=True)
class Recovery:
    """What was found of an interrupted save: files completed; (file edited since, where its new text is kept, "" for
    none); the name under which a torn record was set aside."""
    completed: tuple[str, ...] = ()
    edited: tuple[tuple[str, str], ...] = ()
    torn: str = ""

    def __str__(self) -> str:
        lines = [f"an interrupted save of {', '.join(self.completed)} was completed"] if self.completed else []
        for name, kept in self.edited:
            rest = f"the text of the save is kept in {kept}" if kept else "the save was to remove it"
            lines.append(f"{name} was edited after an interrupted save and is left as it is; {rest}")
        if self.torn:
            lines.append(f"an interrupted save had not begun to change the files; what is left of it is in {self.torn}")
        return "\n".join(lines)


class Folder:
    """A job folder that is read and saved. Not for several threads at once: each takes its own.

    `recovered` says what the last recovery found; `overlays` names further `*.toml` files that belong to the job."""

    def __init__(self, path: Path | str, *, overlays: Collection[str] = (), disk: Disk | None = None) -> None:
        self.path = Path(path)
        self.overlays = tuple(overlays)
        self.recovered = Recovery()
        self._disk = disk or Disk()
        self._seen: dict[str, bytes] = {}
        self._writing = False

    def read(self) -> dict[str, str]:
        """Relative name -> text, after completing a save that was interrupted. Errors: InputError with every fault."""
        if self._disk.look(self.path / RECORD):
            try:
                self.recover()
            except Busy:
                pass                            # that save is still running; reading carries it out in memory
            except OSError as problem:
                if problem.errno not in _READ_ONLY:
                    raise                       # on a folder we may only read, reading carries it out in memory
        self._seen = snapshot(self._disk, self.path, self.overlays)
        return texts_of(self._seen)

    @contextmanager
    def writing(self) -> Iterator[None]:
        """Nobody else saves this folder during the block. Errors: Busy, at once, with who and since when."""
        if self._writing:
            yield
            return
        self._make_folder(self.path)
        with self._disk.locked(self.path / LOCK):
            self._writing = True
            try:
                yield
            finally:
                self._writing = False

    def save(self, texts: Mapping[str, str | None]) -> None:
        """All these texts (None: no such file), durable together when this returns; files not named stay as they are.

        Errors: InputError for a name or text that no job may hold; Changed when a file is not as it was read or was
        never read; Busy; OSError from the disk, after which the folder is wholly old or, once recovered, wholly new."""
        wanted = _as_bytes(texts, self.overlays)
        with self.writing():
            self._recover()
            faults: list[Fault] = []
            now = self._now(wanted, faults)
            if faults:
                raise InputError(faults)
            self._refuse_if_changed(now, wanted)
            changes = [Change(name, digest(now.get(name)), data) for name, data in sorted(wanted.items())
                       if data != now.get(name)]
            if changes:
                if any(each.name.startswith(LOGS + "/") and each.new is not None for each in changes):
                    self._make_folder(self.path / LOGS)
                self._put(RECORD, encode(changes), self._mode(now))
                self._disk.sync_folder(self.path)
                self._complete({each.name: each.new for each in changes}, wanted)
        for name, data in wanted.items():
            self._seen.pop(name, None)
            if data is not None:
                self._seen[name] = data

    def recover(self) -> Recovery:
        """Completes or drops a save that was interrupted; nothing to do is no fault. Errors: as `save`."""
        if self._disk.look(self.path):
            with self.writing():
                self._recover()
        return self.recovered

    # ---- the steps, in the order in which they happen -------------------------------------------------------------
    def _recover(self) -> None:
        self._sweep()
        self._disk.sync_folder(self.path)       # a record outlasts what is done because of it; one gone stays gone
        raw = self._own(RECORD)
        if raw is None:
            return
        try:
            changes = decode(raw)
        except Torn:
            self.recovered = Recovery(torn=self._set_aside(raw))
            return
        faults: list[Fault] = []
        now = self._now((each.name for each in changes), faults)
        settled = settle(changes, now, {fault.file for fault in faults})
        edited = tuple((each.name, self._keep(each)) for each in settled.edited)
        self._complete(settled.write, [each.name for each in changes])
        self.recovered = Recovery(tuple(settled.write), edited)

    def _sweep(self) -> None:
        """Files whose writing was broken off: never part of the job, and their texts stand in the record. Gone for good
        before their names are used again, so that no half written one can be taken for its successor."""
        for folder in (self.path, self.path / LOGS):
            look = self._disk.look(folder)
            names = self._disk.names(folder) if look and look.kind == "folder" else []
            if broken := [name for name in names if name.startswith(NEW)]:
                for name in broken:
                    self._disk.remove(folder / name)
                self._disk.sync_folder(folder)

    def _complete(self, write: Mapping[str, bytes | None], names: Iterable[str]) -> None:
        """Replaces the files, makes all `names` durable, and only then lets go of the record."""
        for name, data in write.items():
            if data is None:
                self._disk.remove(self.path / name)
            else:
                self._put(name, data, self._mode([name]))
        for folder in sorted({(self.path / name).parent for name in names}):
            if self._disk.look(folder):
                self._disk.sync_folder(folder)
        self._disk.remove(self.path / RECORD)
        self._disk.sync_folder(self.path)

    def _put(self, name: str, data: bytes, mode: int | None) -> None:
        """A durable file under another name, then under its own: whoever looks sees the old or the new one whole."""
        target = self.path / name
        fresh = target.with_name(NEW + target.name)
        self._make_folder(target.parent)
        self._disk.write(fresh, data, mode)
        self._disk.sync(fresh)
        self._disk.rename(fresh, target)

    def _keep(self, change: Change) -> str:
        """The new text of a file that was edited since, beside that file and durable; returns its name."""
        if change.new is None:
            return ""
        name = self._free_name(change.name, change.new)
        self._put(name, change.new, self._mode([change.name]))
        self._disk.sync_folder((self.path / name).parent)
        return name

    def _set_aside(self, raw: bytes) -> str:
        """A torn record is no longer one, but a person may still read what is left of it."""
        name = self._free_name("redo", raw)
        self._disk.rename(self.path / RECORD, self.path / name)
        self._disk.sync_folder(self.path)
        return name

    def _free_name(self, name: str, data: bytes) -> str:
        """`<name>.kept-<start of the digest>`: as much of the digest as sets it apart from other bytes kept before."""
        full = digest(data) or ""
        short = f"{name}.kept-{full[:8]}"
        return short if self._own(short) in (None, data) else f"{name}.kept-{full}"

    def _make_folder(self, path: Path) -> None:
        if self._disk.look(path) is None:
            self._disk.make_folder(path)
            self._disk.sync_folder(path.parent)

    # ---- what is there --------------------------------------------------------------------------------------------
    def _bytes(self, name: str, faults: list[Fault], at_most_bytes: int = LIMITS.file_bytes) -> bytes | None:
        """The bytes of a file that we may write over; a fault for a link, a folder, a file too large."""
        known_faults = len(faults)
        data = read_bytes(self._disk, self.path / name, name, faults, at_most_bytes)
        for path in {self.path / name, (self.path / name).parent} - {self.path}:
            if len(faults) == known_faults and (look := self._disk.look(path)) and look.is_link:
                faults.append(Fault(name, None, "", path.name, "saving would write through a link or over it",
                                    "put the file itself here"))
        return data if len(faults) == known_faults else None

    def _own(self, name: str) -> bytes | None:
        """The bytes of a file of ours that is no part of the job. Errors: InputError."""
        faults: list[Fault] = []
        data = self._bytes(name, faults, LIMITS.record_bytes)
        if faults:
            raise InputError(faults)
        return data

    def _now(self, names: Iterable[str], faults: list[Fault]) -> dict[str, bytes]:
        return {name: data for name in names if (data := self._bytes(name, faults)) is not None}

    def _mode(self, names: Iterable[str]) -> int | None:
        """The permissions that all these files have in common, so that no copy can be read by more people."""
        mode = None
        for name in names:
            if look := self._disk.look(self.path / name):
                mode = look.mode if mode is None else mode & look.mode
        return mode

    def _refuse_if_changed(self, now: Mapping[str, bytes], wanted: Mapping[str, bytes | None]) -> None:
        faults = []
        for name, data in sorted(wanted.items()):
            held, seen = now.get(name), self._seen.get(name)
            if held not in (seen, data):
                says = "is there, but was not read before saving" if seen is None else "was changed since it was read"
                faults.append(Fault(name, None, "", "", says, "read the folder again and save after that"))
        if faults:
            raise Changed(faults)


def _as_bytes(texts: Mapping[str, str | None], overlays: Collection[str]) -> dict[str, bytes | None]:
    """The texts as bytes within every limit of a reader: what is saved can be read again. Errors: InputError."""
    faults: list[Fault] = []
    wanted: dict[str, bytes | None] = {}
    for name, text in texts.items():
        if fault := name_fault(name, overlays):
            faults.append(fault)
            continue
        try:
            data = wanted[name] = None if text is None else text.encode("utf-8")
        except UnicodeEncodeError as problem:
            line = problem.object.count("\n", 0, problem.start) + 1
            faults.append(Fault(name, line, "", ascii(problem.object[problem.start]), "not a character"))
            continue
        if data is not None and len(data) > LIMITS.file_bytes:
            faults.append(Fault(name, None, "", f"{len(data)} bytes", "too large",
                                f"at most {LIMITS.file_bytes} bytes"))
    sizes = [len(data) for data in wanted.values() if data]
    if len(sizes) > LIMITS.files_n or _total(sizes) > LIMITS.folder_bytes:
        faults.append(Fault("", None, "", f"{len(sizes)} files, {_total(sizes)} bytes", "too much for one job",
                            f"at most {LIMITS.files_n} files and {LIMITS.folder_bytes} bytes"))
    if faults:
        raise InputError(faults)
    return wanted


def _total(sizes_bytes: Iterable[int]) -> int:
    total = 0
    for each in sizes_bytes:
        total += each
    return total
