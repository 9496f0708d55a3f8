"""Which files belong to a job folder. A misspelt one is a fault and is never passed over."""
from __future__ import annotations

import re
from collections.abc import Collection

from spareway.doc import Fault, nearest

__all__ = ["FIXED", "HIDDEN", "LOCK", "LOGS", "NEW", "RECORD", "known", "lies_ready", "name_fault", "plain", "reads_as_ours"]

FIXED = ("job.toml", "people.toml", "found.toml", "work.toml", "fitted.toml", "premises.toml", "readings.csv",
         "observations.csv", "kit.toml", "events.csv", "photos.csv", "quote.toml", "disputed.toml")
LOGS = "logs"
HIDDEN = "."                                    # what starts like this is never part of a job
RECORD = ".spareway-redo"                       # the redo record of a save under way
LOCK = ".spareway-lock"
NEW = ".spareway-new-"                          # the start of the name of a file that is still being written

_OPTION = re.compile(r"option-[a-z0-9][a-z0-9-]*\.toml", re.ASCII)
_LOG = re.compile(rf"{LOGS}/[A-Za-z0-9][A-Za-z0-9_.-]*\.csv", re.ASCII)
_PLAIN = re.compile(rf"(?:{LOGS}/)?[A-Za-z0-9][A-Za-z0-9_.-]*\.(?:toml|csv)", re.ASCII)
READY = (b"# overlay:", b"# season:")
_LONGEST = 120
_OVERLAY = "begin an overlay with the line `# overlay: what it is`, or put it in a folder of its own"
_WANTED = "a job folder holds " + ", ".join(FIXED) + f", option-NAME.toml and {LOGS}/NAME.csv"


def known(name: str) -> bool:
    """Whether this relative name is a file of every job folder."""
    return name in FIXED or len(name) <= _LONGEST and bool(_OPTION.fullmatch(name) or _LOG.fullmatch(name))


def plain(name: str) -> bool:
    """Whether this relative name stays inside the folder and could be a file of a job: known, or an overlay."""
    return len(name) <= _LONGEST and bool(_PLAIN.fullmatch(name))


def reads_as_ours(name: str) -> bool:
    """Whether a person would take this for a file of the job: not hidden, and ending in .toml or .csv in any case."""
    last = name.rpartition("/")[2]
    return not last.startswith(HIDDEN) and last.lower().endswith((".toml", ".csv"))


def lies_ready(name: str, data: bytes) -> bool:
    """Whether this is an overlay or a season kept in the folder for later: its first line says what it is, after `# overlay:` or
    `# season:`.

    It is neither read nor refused until somebody names it."""
    begins = data.removeprefix(b"\xef\xbb\xbf").lower().startswith(READY)
    return begins and plain(name) and name.endswith(".toml") and not known(name)


def name_fault(name: str, overlays: Collection[str] = ()) -> Fault | None:
    """What is wrong with a file of this name in a job folder; nothing for a known name or a named overlay."""
    if known(name) or name in overlays and plain(name):
        return None
    low = name.lower()
    close = ("option-NAME.toml" if low.startswith("option") else f"{LOGS}/NAME.csv" if low.startswith(f"{LOGS}/")
             else nearest(low, (*FIXED, *overlays)))
    return Fault(name, None, "", name, "no file of a job folder is called this",
                 _OVERLAY if close else _WANTED, close)
