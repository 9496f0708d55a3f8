"""A job folder as one file to send, and back. What comes in is a stranger's: every name and every size is checked."""
from __future__ import annotations

import re
import stat
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from spareway.doc import Fault, InputError
from spareway.folder.bare import NoPicture, bare
from spareway.folder.disk import Disk
from spareway.folder.names import lies_ready, name_fault, reads_as_ours
from spareway.folder.reading import LIMITS, snapshot, texts_of
from spareway.folder.saving import Folder

if TYPE_CHECKING:
    from zipfile import ZipFile, ZipInfo

__all__ = ["Unpacked", "pack", "packed", "unpack", "unpacked"]

MOST_ZIP_BYTES = 64 << 20               # photos may be in it, though they are left there
MOST_DIRECTORY_BYTES = 1 << 20
_ZIP = "the zip"
_SAME_DAY = (1980, 1, 1, 0, 0, 0)       # the same job gives the same bytes on any day
_END, _END_BYTES, _LONGEST_COMMENT_BYTES = b"PK\x05\x06", 22, 0xFFFF
_LONG_END = b"PK\x06\x07"
_STORED, _DEFLATED = 0, 8
_ENCRYPTED = 0x1
_AT_ONCE_BYTES = 1 << 16
_PHOTO = re.compile(r"photos/[A-Za-z0-9][A-Za-z0-9_.-]{0,80}\.jpg", re.ASCII)
_JPEG = b"\xff\xd8\xff"
MOST_PHOTO_BYTES, MOST_PHOTOS = 4 << 20, 400


@dataclass(frozen=True, slots=True)
class Unpacked:
    """Relative name -> text of the job's files, the names in the zip that are no part of a job, and its photos as bytes."""
    texts: dict[str, str]
    left_out: tuple[str, ...]
    photos: dict[str, bytes] = field(default_factory=dict)


def pack(path: Path | str, overlays: Collection[str] = (), disk: Disk | None = None) -> bytes:
    """The job's texts, and nothing else, as a zip: the same files give the same bytes. Errors: InputError."""
    return packed(snapshot(disk or Disk(), Path(path), overlays))


def packed(files: Mapping[str, bytes]) -> bytes:
    """Relative name -> bytes as a zip: the same files give the same bytes on any day and any machine."""
    from zipfile import ZipFile, ZipInfo

    out = BytesIO()
    with ZipFile(out, "w") as zipped:   # stored, not deflated: compressors differ from machine to machine
        for name, data in sorted(files.items()):
            entry = ZipInfo(name, _SAME_DAY)
            entry.create_system = 3
            entry.external_attr = (stat.S_IFREG | 0o644) << 16
            zipped.writestr(entry, data)
    return out.getvalue()


def unpack(data: bytes, into: Path | str, overlays: Collection[str] = (), disk: Disk | None = None) -> Unpacked:
    """The job in this zip saved whole as the folder `into`, which is new or holds none of its files.

    Errors: InputError for the zip; Changed when a file of the same name is there; Busy; OSError as `Folder.save`."""
    found = unpacked(data, overlays)
    Folder(into, overlays=overlays, disk=disk).save(found.texts)
    return found


def unpacked(data: bytes, overlays: Collection[str] = ()) -> Unpacked:
    """The job in this zip; a folder that everything lies in is taken off. Nothing touches the disk.

    Errors: InputError with every fault; a zip with any name that leads out of its folder is refused whole."""
    import zlib
    from zipfile import BadZipFile, ZipFile

    _refuse_large_directory(data)
    try:
        with ZipFile(BytesIO(data)) as zipped:
            return _read(zipped, overlays)
    except (BadZipFile, zlib.error, EOFError, OverflowError, RuntimeError, ValueError) as problem:
        # RuntimeError: packed in a way unknown here; ValueError: a place before the beginning, a name in no encoding
        raise _refused(f"cannot be read: {str(problem) or 'it ends too early'}") from None


def _read(zipped: ZipFile, overlays: Collection[str]) -> Unpacked:
    entries = [entry for entry in zipped.infolist() if not entry.filename.endswith("/")]
    faults = [fault for entry in entries if (fault := _stray(entry))]
    if faults:
        raise InputError(faults)
    top = _top(entries)
    wanted: dict[str, ZipInfo] = {}
    left_out: list[str] = []
    pictures: dict[str, ZipInfo] = {}
    for entry in entries:
        name = entry.filename.removeprefix(top)
        if _is_photo(name, pictures, zipped, entry):
            pictures[name] = entry
            continue
        strange = not reads_as_ours(name) or name.count("/") > ("/" in name and name.startswith("logs/"))
        if strange or name_fault(name, overlays) and lies_ready(name, _beginning(zipped, entry)):
            left_out.append(name)
        elif fault := name_fault(name, overlays) or _twice(name, wanted) or _unfit(entry):
            faults.append(fault)
        else:
            wanted[name] = entry
    files = dict(_streamed(zipped, wanted, faults))
    if not wanted and not faults:
        faults.append(Fault(_ZIP, None, "", f"{len(entries)} files", "holds no file of a job"))
    if faults:
        raise InputError(faults)
    photos = dict(_photos(zipped, pictures, faults))
    if faults:
        raise InputError(faults)
    return Unpacked(texts_of(files), tuple(left_out), photos)


def _beginning(zipped: ZipFile, entry: ZipInfo) -> bytes:
    """The first bytes of a file, enough for the line that says it is an overlay."""
    with zipped.open(entry) as file:
        return file.read(64)


def _streamed(zipped: ZipFile, wanted: dict[str, ZipInfo], faults: list[Fault]) -> Iterator[tuple[str, bytes]]:
    """Each file, read a piece at a time and no further than allowed: what the zip says of its sizes is not believed."""
    left_bytes = LIMITS.folder_bytes
    if len(wanted) > LIMITS.files_n:
        faults.append(Fault(_ZIP, None, "", f"{len(wanted)} files", "too many files", f"at most {LIMITS.files_n}"))
        return
    for name, entry in wanted.items():
        pieces, size_bytes = [], 0
        with zipped.open(entry) as file:
            while size_bytes <= LIMITS.file_bytes and (piece := file.read(_AT_ONCE_BYTES)):
                pieces.append(piece)
                size_bytes += len(piece)
        left_bytes -= size_bytes
        if size_bytes > LIMITS.file_bytes:
            faults.append(Fault(name, None, "", f"more than {LIMITS.file_bytes} bytes", "too large to read",
                                f"at most {LIMITS.file_bytes} bytes"))
        elif left_bytes < 0:
            faults.append(Fault(_ZIP, None, "", name, "too large in all", f"at most {LIMITS.folder_bytes} bytes"))
            return
        else:
            yield name, b"".join(pieces)


def _is_photo(name: str, others: Collection[str], zipped: ZipFile, entry: ZipInfo) -> bool:
    """A JPEG where photos lie, by its name and by its beginning; what only looks like one is left where it is."""
    fits = _PHOTO.fullmatch(name) and not _twice(name, others) and not _unfit(entry)
    return bool(fits) and _beginning(zipped, entry).startswith(_JPEG)


def _photos(zipped: ZipFile, wanted: dict[str, ZipInfo], faults: list[Fault]) -> Iterator[tuple[str, bytes]]:
    """Each photo, no larger than one of ours is made, with nothing in it but the picture. What a row says of its digest is then
    of the file as it was sent, where that held more."""
    if len(wanted) > MOST_PHOTOS:
        faults.append(Fault(_ZIP, None, "", f"{len(wanted)} photos", "too many photos", f"at most {MOST_PHOTOS}"))
        return
    for name, entry in wanted.items():
        with zipped.open(entry) as file:
            data = file.read(MOST_PHOTO_BYTES + 1)
        if len(data) > MOST_PHOTO_BYTES:
            faults.append(Fault(name, None, "", f"more than {MOST_PHOTO_BYTES} bytes", "too large for a photo of a job",
                                f"at most {MOST_PHOTO_BYTES} bytes"))
            continue
        try:
            yield name, bare(data)
        except NoPicture as problem:
            faults.append(Fault(name, None, "", f"{len(data)} bytes", f"is no whole photo: {problem}", "take it out of the zip"))


def _refuse_large_directory(data: bytes) -> None:
    """Before the list of contents is parsed: how long it says it is, found as the zip's reader will find it."""
    if len(data) > MOST_ZIP_BYTES:
        raise _refused(f"{len(data)} bytes is too large", f"at most {MOST_ZIP_BYTES} bytes")
    at = data.rfind(_END, max(0, len(data) - _END_BYTES - _LONGEST_COMMENT_BYTES))
    if at < 0 or at + _END_BYTES > len(data):
        raise _refused("is not a zip, or not all of it")
    if _LONG_END in data[max(0, at - 20):at]:
        raise _refused("is of the kind for very large files")
    listed_bytes = int.from_bytes(data[at + 12:at + 16], "little")
    if listed_bytes > MOST_DIRECTORY_BYTES:
        raise _refused(f"has a list of contents of {listed_bytes} bytes", f"at most {MOST_DIRECTORY_BYTES} bytes")


def _stray(entry: ZipInfo) -> Fault | None:
    """A name that leads out of the folder or means different things on different machines; a link."""
    name, kind = entry.orig_filename, stat.S_IFMT(entry.external_attr >> 16)
    parts = name.split("/")
    if not parts[0] or {"..", "."} & set(parts) or "\\" in name or "\0" in name or ":" in parts[0]:
        return Fault(_ZIP, None, "", ascii(name)[1:-1], "a name that leads out of the folder", "nothing was unpacked")
    if kind not in (0, stat.S_IFREG):
        return Fault(_ZIP, None, "", name, "neither a file nor a folder, perhaps a link", "nothing was unpacked")
    return None


def _top(entries: list[ZipInfo]) -> str:
    """`a-cottage/` when all that reads as ours lies in one folder that is not one of a job's own, or nothing."""
    tops = {entry.filename.partition("/")[0] if "/" in entry.filename else ""
            for entry in entries if reads_as_ours(entry.filename) and not entry.filename.startswith("__MACOSX/")}
    top = tops.pop() if len(tops) == 1 else ""
    return f"{top}/" if top and top != "logs" else ""


def _twice(name: str, wanted: Collection[str]) -> Fault | None:
    """Two entries that would be one file, on some machine at least."""
    if name.casefold() in {each.casefold() for each in wanted}:
        return Fault(name, None, "", name, "is in the zip twice")
    return None


def _unfit(entry: ZipInfo) -> Fault | None:
    if entry.flag_bits & _ENCRYPTED:
        return Fault(_ZIP, None, "", entry.filename, "is locked with a password", "send it unlocked")
    if entry.compress_type not in (_STORED, _DEFLATED):
        return Fault(_ZIP, None, "", entry.filename, "is packed in an unusual way", "stored or deflated")
    return None


def _refused(says: str, allowed: str = "") -> InputError:
    return InputError([Fault(_ZIP, None, "", "", says, allowed)])
