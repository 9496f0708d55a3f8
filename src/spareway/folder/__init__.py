"""A job folder on disk: read, saved whole or not at all, recovered after a crash, packed into one file and unpacked."""
from spareway.folder.disk import Busy, Disk
from spareway.folder.reading import read_file, read_folder
from spareway.folder.saving import Changed, Folder, Recovery
from spareway.folder.zipped import pack, unpack, unpacked

__all__ = ["Busy", "Changed", "Disk", "Folder", "Recovery", "pack", "read_file", "read_folder", "unpack", "unpacked"]
