"""Rows that a phone adds: each with an id that no other phone gives, none ever changed."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import Any

from spareway.doc import Fault, InputError
from spareway.job.rows import ROW_FILES, header, read_rows

__all__ = ["added", "observe", "photo_row", "rows_of"]

_read = lru_cache(maxsize=4)(read_rows)  # what one entry has written the next one reads again, whole


def rows_of(files: Mapping[str, str], file: str) -> tuple[Any, ...]:
    """The rows of a file, or none where there is no such file. Errors: InputError."""
    if file not in files:
        return ()
    rows, faults = _read(file, files[file], ROW_FILES[file])
    if faults:
        raise InputError(faults)
    return rows


def added(files: Mapping[str, str], file: str, prefix: str, row: Mapping[str, str]) -> dict[str, str]:
    """The file with one row more, after those that stand in it. Errors: InputError where the row says what it may not."""
    text = files.get(file, "") or f"{','.join(header(ROW_FILES[file]))}\n"
    columns = next(csv.reader([text.partition("\n")[0].removeprefix("\ufeff").rstrip("\r")]))
    missing = [name for name in header(ROW_FILES[file]) if name not in columns and row.get(name)]
    if missing:
        text, columns = _widened(text, missing), [*columns, *missing]
    own = _free(prefix, (each.id for each in rows_of(files, file)))
    line = _line([{"id": own, **row}.get(name, "") for name in columns])
    out = f"{text.rstrip(chr(10))}\n{line}\n"
    _, faults = _read(file, out, ROW_FILES[file])
    if faults:
        raise InputError(faults)
    return {file: out}


def _line(cells: Iterable[str]) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="").writerow([" ".join(str(cell).split()) for cell in cells])
    return out.getvalue()


def _widened(text: str, more: Iterable[str]) -> str:
    """A file written before some columns were: every row gets them, empty."""
    more = list(more)
    head, *lines = text.rstrip("\n").split("\n")
    return "\n".join([",".join([head, *more]), *(line + "," * len(more) for line in lines)]) + "\n"


def _free(prefix: str, taken: Iterable[str]) -> str:
    numbers = [
        int(rest) for each in taken if each.startswith(f"{prefix}-") and (rest := each.removeprefix(f"{prefix}-")).isdigit()
    ]
    return f"{prefix}-{max(numbers, default=0) + 1}"


def observe(
    files: Mapping[str, str],
    where: str,
    says: str,
    by: str,
    at: str,
    prefix: str,
    code: str = "",
    photo: str = "",
    place: str = "",
) -> dict[str, str]:
    """What a person saw, as a row. The code is that person's; place: where that is, in words. Errors: InputError."""
    if not says.strip():
        raise InputError([Fault("observations.csv", None, "says", "", "nothing was said", "say what is seen")])
    return added(
        files, "observations.csv", prefix,
        {"where": where, "place": place, "code": code, "photo": photo, "says": says, "by": by, "at": at},
    )  # fmt: skip


def photo_row(
    files: Mapping[str, str], sha256: str, address: str, purpose: str, consent: str, boxes: str, by: str, at: str,
    prefix: str, strikes: str = "",
) -> dict[str, str]:  # fmt: skip
    """A photo's row. strikes: the row of the same picture that it takes the place of. Errors: InputError."""
    return added(
        files,
        "photos.csv",
        prefix,
        {"sha256": sha256, "address": address, "purpose": purpose, "consent": consent, "boxes": boxes, "by": by, "at": at,
         "strikes": strikes},
    )  # fmt: skip
