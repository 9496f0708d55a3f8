"""A job folder on disk: read, saved whole or not at all, recovered after a crash, packed into one file and unpacked.

What saves and packs is loaded when it is first asked for: most commands only read, and start the sooner.
"""
from typing import TYPE_CHECKING, Any

from spareway.folder.disk import Busy, Disk
from spareway.folder.reading import read_file, read_folder

if TYPE_CHECKING:
    from spareway.folder.saving import Changed, Folder, Recovery
    from spareway.folder.zipped import Unpacked, pack, unpack, unpacked

__all__ = ["Busy", "Changed", "Disk", "Folder", "Recovery", "Unpacked", "pack", "read_file", "read_folder", "unpack",
           "unpacked"]

_LATER = {"Changed": "saving", "Folder": "saving", "Recovery": "saving",
          "Unpacked": "zipped", "pack": "zipped", "unpack": "zipped", "unpacked": "zipped"}


def __getattr__(name: str) -> Any:
    if name not in _LATER:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(f"{__name__}.{_LATER[name]}"), name)
