"""A job folder as texts. Reading changes nothing: an interrupted save is carried out in memory, never shown by half."""
from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from spareway.doc import Fault, InputError
from spareway.folder.disk import Disk
from spareway.folder.names import LOGS, RECORD, known, lies_ready, name_fault, plain, reads_as_ours

__all__ = ["LIMITS", "Limits", "as_text", "read_bytes", "read_file", "read_folder", "snapshot", "texts_of"]

_BOM = b"\xef\xbb\xbf"


@dataclass(frozen=True, slots=True)
class Limits:
    """What a job folder may hold."""
    file_bytes: int = 1 << 20
    folder_bytes: int = 16 << 20
    files_n: int = 256

    @property
    def record_bytes(self) -> int:
        return 8 * self.folder_bytes            # JSON spells one byte with six at worst


LIMITS = Limits()
_TRIES = 5


def read_folder(path: Path | str, overlays: Collection[str] = (), disk: Disk | None = None) -> dict[str, str]:
    """Relative name -> text of every file of the job; `overlays` names further `*.toml` files of this folder to read.

    Other files, hidden files and folders other than logs/ are passed over. Errors: InputError with every fault."""
    return texts_of(snapshot(disk or Disk(), Path(path), overlays))


def read_file(path: Path | str, disk: Disk | None = None) -> str:
    """The text of one file anywhere: an overlay laid over a job. Errors: InputError."""
    path, faults = Path(path), list[Fault]()
    data = _tried(disk or Disk(), path, path.name, faults)
    text = as_text(path.name, data or b"", faults)
    if data is None and not faults:
        faults.append(Fault(path.name, None, "", str(path), "there is no such file"))
    if faults:
        raise InputError(faults)
    return text


def texts_of(files: Mapping[str, bytes]) -> dict[str, str]:
    """The bytes of each file as text. Errors: InputError with a fault for each file that is not UTF-8."""
    faults: list[Fault] = []
    texts = {name: as_text(name, data, faults) for name, data in sorted(files.items())}
    if faults:
        raise InputError(faults)
    return texts


def as_text(name: str, data: bytes, faults: list[Fault]) -> str:
    """Strict UTF-8. The mark that spreadsheets put in front is left out: it is no part of the text."""
    try:
        return data.removeprefix(_BOM).decode("utf-8")
    except UnicodeDecodeError as problem:
        at = problem.start + (len(_BOM) if data.startswith(_BOM) else 0)
        line = data.count(b"\n", 0, at) + 1
        faults.append(Fault(name, line, "", f"byte 0x{data[at]:02x}", "not UTF-8", "save it as UTF-8"))
        return ""


def snapshot(disk: Disk, folder: Path, overlays: Collection[str]) -> dict[str, bytes]:
    """The bytes of the whole job at one moment, though another process may be saving it. Errors: InputError with every
    fault, of texts too."""
    try:
        for _ in range(_TRIES):
            faults: list[Fault] = []
            before = _stamps(disk, folder, overlays)
            files = _all_bytes(disk, folder, overlays, faults)
            _replay_in_memory(disk, folder, overlays, files, faults)
            if _stamps(disk, folder, overlays) == before:
                return _sound(files, faults)
    except OSError as problem:
        raise InputError([Fault(folder.name, None, "", str(folder), f"cannot be read: {_reason(problem)}",
                                "the folder of a job")]) from None
    raise InputError([Fault(folder.name, None, "", "", "changes while it is being read", "try again in a moment")])


def _sound(files: dict[str, bytes], faults: list[Fault]) -> dict[str, bytes]:
    """The files, when there is no fault in them either."""
    for name, data in files.items():
        as_text(name, data, faults)
    if faults:
        raise InputError(faults)
    return files


def _stamps(disk: Disk, folder: Path, overlays: Collection[str]) -> dict[str, tuple[int, ...]]:
    """What changes whenever a file of the job or its redo record does."""
    found = {}
    for name in (RECORD, *_listed(disk, folder, overlays, [])):
        look = disk.look(folder / name)
        found[name] = look.stamp if look else ()
    return found


def _listed(disk: Disk, folder: Path, overlays: Collection[str], faults: list[Fault]) -> list[str]:
    """The relative names of the job's files, in order; a fault for each unknown name and each overlay not there."""
    names = []
    for name in _names(disk, folder):
        fault = name_fault(name, overlays)
        if fault and lies_ready(name, _tried(disk, folder / name, name, []) or b""):
            continue
        if fault:
            faults.append(fault)
        else:
            names.append(name)
    faults += [Fault(name, None, "", name, "this overlay is not in the folder" if plain(name) else
                     "not the name of an overlay in this folder") for name in overlays if name not in names]
    if len(names) > LIMITS.files_n:
        faults.append(Fault(folder.name, None, "", f"{len(names)} files", "too many files",
                            f"at most {LIMITS.files_n}"))
        return []
    return names


def _names(disk: Disk, folder: Path) -> Iterator[str]:
    yield from filter(reads_as_ours, disk.names(folder))
    if (logs := disk.look(folder / LOGS)) and logs.kind == "folder":
        yield from filter(reads_as_ours, (f"{LOGS}/{name}" for name in disk.names(folder / LOGS)))


def _all_bytes(disk: Disk, folder: Path, overlays: Collection[str], faults: list[Fault]) -> dict[str, bytes]:
    files: dict[str, bytes] = {}
    left_bytes = LIMITS.folder_bytes
    for name in _listed(disk, folder, overlays, faults):
        if _leads_out(disk, folder, name):
            faults.append(Fault(name, None, "", name, "a link that leads out of the folder", "put the file here"))
            continue
        data = _tried(disk, folder / name, name, faults)
        if data is not None:
            files[name] = data
            left_bytes -= len(data)
        if left_bytes < 0:
            faults.append(Fault(folder.name, None, "", name, "too large in all",
                                f"at most {LIMITS.folder_bytes} bytes"))
            break
    return files


def _leads_out(disk: Disk, folder: Path, name: str) -> bool:
    """Whether the file, or the folder of logs it lies in, is a link to a place outside; one to nowhere is not."""
    paths = [folder / name, (folder / name).parent] if "/" in name else [folder / name]
    looks = [disk.look(path) for path in paths]
    if not any(look and look.is_link and look.kind != "link" for look in looks):
        return False
    return not disk.real(paths[0]).is_relative_to(disk.real(folder))


def read_bytes(disk: Disk, path: Path, name: str, faults: list[Fault],
               at_most_bytes: int = LIMITS.file_bytes) -> bytes | None:
    """The bytes of a regular file within the limit; None when there is none, or with a fault. Errors: OSError."""
    look = disk.look(path)
    if look is None:
        return None
    if look.kind != "file":
        says = "a link that leads nowhere" if look.kind == "link" else "not a regular file"
        faults.append(Fault(name, None, "", look.kind, says))
        return None
    try:
        data = disk.read(path, at_most_bytes) if look.size_bytes <= at_most_bytes else None
    except FileNotFoundError:                   # removed since we looked
        return None
    if data is None or len(data) > at_most_bytes:
        faults.append(Fault(name, None, "", f"{look.size_bytes} bytes", "too large to read",
                            f"at most {at_most_bytes} bytes"))
        return None
    return data


def _tried(disk: Disk, path: Path, name: str, faults: list[Fault],
           at_most_bytes: int = LIMITS.file_bytes) -> bytes | None:
    """As `read_bytes`; what the disk refuses is a fault among the others."""
    try:
        return read_bytes(disk, path, name, faults, at_most_bytes)
    except OSError as problem:
        faults.append(Fault(name, None, "", name, f"cannot be read: {_reason(problem)}"))
        return None


def _replay_in_memory(disk: Disk, folder: Path, overlays: Collection[str], files: dict[str, bytes],
                      faults: list[Fault]) -> None:
    """What recovery would make of the folder. A torn record stands for a save that had not begun to change it."""
    raw = _tried(disk, folder / RECORD, RECORD, faults, LIMITS.record_bytes)
    if raw is None:
        return
    from spareway.folder.record import Torn, decode, settle

    try:
        changes = decode(raw)
    except Torn:
        return
    except InputError as problem:
        faults += problem.faults
        return
    for name, data in settle(changes, files).write.items():
        if data is None:
            files.pop(name, None)
        elif known(name) or name in overlays:
            files[name] = data


def _reason(problem: OSError) -> str:
    return (problem.strerror or str(problem)).lower()
