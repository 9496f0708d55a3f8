"""The package's own data files, read as text: the one way the engine reaches anything outside its code."""
from __future__ import annotations

from functools import cache
from typing import Any

__all__ = ["names", "text"]


@cache
def text(name: str) -> str:
    """The text of a data file, named from the package's folder: `tables/books.toml`. FileNotFoundError if none.

    It asks the package's loader, as `importlib.resources` does: importing that costs 35 ms, twice a bare interpreter.
    """
    loader: Any = __spec__.loader
    try:
        data: bytes = loader.get_data(f"{__file__.rpartition('bundled.py')[0]}{name}")     # .py, or .pyc alone on a phone
    except OSError:
        raise FileNotFoundError(f"the package holds no {name}") from None
    return data.decode("utf-8")


def names(folder: str = "") -> list[str]:
    """The names of the files in a folder of the package, in order. FileNotFoundError when there is no such folder.

    For tests and generated pages, because of what it imports: nothing on the way to a finding calls it.
    """
    from importlib.resources import files

    return sorted(each.name for each in files("spareway").joinpath(folder).iterdir() if each.is_file())
