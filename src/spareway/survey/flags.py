"""What a flag, a window or a button shows, as a row: what is seen, what its maker says that means, and where that is written."""

from __future__ import annotations

from collections.abc import Mapping

from spareway.doc import Fault, InputError
from spareway.job.job import Installation
from spareway.survey.rows import observe

__all__ = ["flag_row", "places"]

NOT_YET = "what that means is not known yet"


def places(inst: Installation) -> dict[str, str]:
    """Address -> words of everything that may bear a flag or a button: what is on the wall, and the device of each circuit."""
    found = {f"equipment.{name}": name.replace("-", " ") for name in inst.equipment}
    devices = {name: c.says or name.replace("-", " ") for name, c in inst.circuits.items()}
    return found | {f"circuits.{name}.device": f"device of {words}" for name, words in devices.items()}


def flag_row(
    files: Mapping[str, str], where: str, shows: str, means: str, written: str, by: str, at: str, prefix: str
) -> dict[str, str]:
    """The changed file. A meaning goes with the place it is written at, or it is none: colours mean what each maker chose.

    Errors: InputError, and nothing is changed."""
    faults = []
    if not shows.strip():
        faults.append(Fault("answer", None, "shows", "", "nothing was said", "say what it shows, as it is seen"))
    if means.strip() and not written.strip():
        hint = "its maker's sheet and page, or the words on the thing"
        faults.append(Fault("answer", None, "written", "", "a meaning without where it is written", hint))
    if faults:
        raise InputError(faults)
    told = f"its maker: {means.strip()} ({written.strip()})" if means.strip() else NOT_YET
    return observe(files, where, f"shows {shows.strip()}; {told}", by, at, prefix)
