"""Where jobs are kept: in this page, whose browser writes them down, or in a folder of job folders on a laptop."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Protocol

from spareway.folder import Folder, read_folder

__all__ = ["Change", "FolderShelf", "MemoryShelf", "NoJob", "Shelf"]


class NoJob(KeyError):
    """There is no job of this name here."""

    def __str__(self) -> str:
        return str(self.args[0]) if self.args else ""


class Shelf(Protocol):
    """Jobs by the names of their folders. A save is whole or nothing."""

    def names(self) -> list[str]:
        """Every job here, in order."""

    def files(self, job: str) -> dict[str, str]:
        """Relative name -> text. Errors: NoJob."""

    def save(self, job: str, changed: Mapping[str, str | None]) -> None:
        """These files as they shall be; None takes one away. A job that is not there yet begins."""

    def photos(self, job: str) -> list[str]:
        """Names of its photos."""

    def photo(self, job: str, name: str) -> bytes:
        """One photo. Errors: KeyError."""

    def keep_photo(self, job: str, name: str, data: bytes) -> None:
        """A photo that is not there yet."""

    def waiting(self, job: str) -> int:
        """Entries that are nowhere but here: saves since it was last carried away."""

    def sent(self, job: str) -> None:
        """It has been carried away as it stands."""

    def note(self, name: str) -> str:
        """What this phone keeps about itself, or nothing."""

    def keep_note(self, name: str, text: str) -> None:
        """The same, kept."""


@dataclass(frozen=True, slots=True)
class Change:
    """One entry of the browser's database as it shall be: `kind` is file, photo or note; None takes it away."""

    kind: str
    job: str
    name: str
    data: str | bytes | None


@dataclass
class MemoryShelf:
    """Jobs in this page. What changed is handed on by `taken`, and the browser writes it down before the answer is shown."""

    jobs: dict[str, dict[str, str]] = field(default_factory=dict)
    pictures: dict[str, dict[str, bytes]] = field(default_factory=dict)
    notes: dict[str, str] = field(default_factory=dict)
    changed: list[Change] = field(default_factory=list)

    def names(self) -> list[str]:
        return sorted(self.jobs)

    def files(self, job: str) -> dict[str, str]:
        if job not in self.jobs:
            raise NoJob(job)
        return dict(self.jobs[job])

    def save(self, job: str, changed: Mapping[str, str | None]) -> None:
        kept = self.jobs.setdefault(job, {})
        for name, text in changed.items():
            if text is None:
                kept.pop(name, None)
            else:
                kept[name] = text
            self.changed.append(Change("file", job, name, text))
        self.keep_note(f"waiting/{job}", str(self.waiting(job) + 1))

    def photos(self, job: str) -> list[str]:
        return sorted(self.pictures.get(job, {}))

    def photo(self, job: str, name: str) -> bytes:
        return self.pictures[job][name]

    def keep_photo(self, job: str, name: str, data: bytes) -> None:
        self.pictures.setdefault(job, {})[name] = data
        self.changed.append(Change("photo", job, name, data))

    def waiting(self, job: str) -> int:
        return int(self.notes.get(f"waiting/{job}", "0"))

    def sent(self, job: str) -> None:
        if self.waiting(job):
            self.keep_note(f"waiting/{job}", "0")

    def note(self, name: str) -> str:
        return self.notes.get(name, "")

    def keep_note(self, name: str, text: str) -> None:
        self.notes[name] = text
        self.changed.append(Change("note", "", name, text))

    def taken(self) -> list[Change]:
        """What changed since this was last asked."""
        out, self.changed = self.changed, []
        return out

    def emptied(self) -> None:
        """As new, to be filled again by `put`: what the browser could not write down was never kept."""
        for each in (self.jobs, self.pictures, self.notes, self.changed):
            each.clear()

    def put(self, kind: str, job: str, name: str, data: str | bytes) -> None:
        """An entry as the browser kept it; nothing counts as changed."""
        if kind == "file":
            self.jobs.setdefault(job, {})[name] = str(data)
        elif kind == "photo":
            self.pictures.setdefault(job, {})[name] = bytes(data) if not isinstance(data, str) else data.encode()
        else:
            self.notes[name] = str(data)


class FolderShelf:
    """A folder of job folders. Each save is the whole job's: `spareway.folder` keeps it so through a power cut."""

    def __init__(self, root: Path) -> None:
        self.root = root

    def names(self) -> list[str]:
        return sorted(
            each.name
            for each in self.root.iterdir()
            if each.is_dir() and not each.name.startswith(".") and (each / "job.toml").is_file()
        )

    def _folder(self, job: str) -> Path:
        if job not in self.names():
            raise NoJob(job)
        return self.root / job

    def files(self, job: str) -> dict[str, str]:
        return read_folder(self._folder(job))

    def save(self, job: str, changed: Mapping[str, str | None]) -> None:
        plain = job and not job.startswith(".") and "/" not in job and "\\" not in job
        if not plain:
            raise NoJob(job)
        folder = Folder(self.root / job)
        if (self.root / job).exists():
            folder.read()
        folder.save(changed)

    def photos(self, job: str) -> list[str]:
        folder = self._folder(job) / "photos"
        return sorted(each.name for each in folder.glob("*.jpg")) if folder.is_dir() else []

    def photo(self, job: str, name: str) -> bytes:
        if name not in self.photos(job):
            raise KeyError(name)
        return (self._folder(job) / "photos" / name).read_bytes()

    def keep_photo(self, job: str, name: str, data: bytes) -> None:
        folder = self._folder(job) / "photos"
        folder.mkdir(exist_ok=True)
        new = folder / f".{name}"
        new.write_bytes(data)
        new.replace(folder / name)

    def waiting(self, job: str) -> int:  # noqa: ARG002   a folder is where it is kept: nothing waits
        return 0

    def sent(self, job: str) -> None:  # noqa: ARG002
        return None

    def _notes(self) -> dict[str, str]:
        try:
            held = json.loads((self.root / ".spareway-notes.json").read_text("utf-8"))
        except (OSError, ValueError):
            return {}
        return {str(k): str(v) for k, v in held.items()} if isinstance(held, dict) else {}

    def note(self, name: str) -> str:
        return self._notes().get(name, "")

    def keep_note(self, name: str, text: str) -> None:
        new = self.root / ".spareway-notes.new"
        new.write_text(json.dumps({**self._notes(), name: text}, ensure_ascii=False), "utf-8")
        new.replace(self.root / ".spareway-notes.json")
