"""A job that cannot be read: its name and what is wrong, its zip to carry home, and this phone's own rows to strike."""

from __future__ import annotations

from collections.abc import Sequence

from starlette.requests import Request
from starlette.responses import Response

from spareway.doc import Fault, InputError, looked_at
from spareway.job.rows import ROW_FILES
from spareway.survey.rows import added, rows_of
from spareway.survey.words import value_at
from spareway.web.clock import now
from spareway.web.phone import phone_of, row_prefix
from spareway.web.record import record
from spareway.web.screen import Key, form_of, go, link, shelf_of, show
from spareway.web.shelf import Shelf

__all__ = ["PAGES", "called", "faults_of", "unreadable"]


def faults_of(shelf: Shelf, job: str) -> tuple[Fault, ...]:
    """Why this job cannot be read or worked out; nothing where it can."""
    try:
        record(shelf.files(job)).design()
    except InputError as problem:
        return problem.faults
    return ()


def called(shelf: Shelf, job: str) -> str:
    """What a person calls it, or nothing where the line that says so cannot be read."""
    try:
        files = shelf.files(job)
        return str(value_at(looked_at("job.toml", files["job.toml"]), "says") or "") if "job.toml" in files else ""
    except InputError:
        return ""


def _own_rows(shelf: Shelf, job: str, faults: Sequence[Fault]) -> list[tuple[str, str, str]]:
    """(file, id, in words) of each row that a fault lies in and that this phone wrote."""
    prefix, found = row_prefix(phone_of(shelf)), dict[tuple[str, str], str]()
    for fault in faults:
        if fault.file not in ROW_FILES or not fault.line:
            continue
        try:
            rows = rows_of(shelf.files(job), fault.file)
        except InputError:
            continue  # a file that cannot be read row by row takes no more rows either
        for row in rows:
            if row.line == fault.line and row.id.rpartition("-")[0] == prefix:
                said = getattr(row, "said", "") or getattr(row, "says", "")
                found[fault.file, row.id] = f"{fault.field.removesuffix('.measured') or row.id}: {said}, {row.by}, {row.at}"
    return [(file, row_id, words) for (file, row_id), words in found.items()]


def unreadable(request: Request, faults: Sequence[Fault]) -> Response:
    """The screen in the place of every one of this job that needs it read."""
    shelf, job = shelf_of(request), request.path_params["job"]
    return show(
        request,
        "unreadable.html",
        [Key("Jobs", link(request, ""), main=True)],
        422,
        job=job,
        heading="Cannot be read",
        says=called(shelf, job) or job,
        faults=[str(fault) for fault in faults],
        own=_own_rows(shelf, job, faults),
    )


async def strike(request: Request) -> Response:
    """One row of this phone's taken back. It stays in its file, struck; nothing else of the job is changed."""
    shelf, job = shelf_of(request), request.path_params["job"]
    said, phone = await form_of(request), phone_of(shelf)
    file, row_id = said.get("file", ""), said.get("row", "")
    if (file, row_id) not in {each[:2] for each in _own_rows(shelf, job, faults_of(shelf, job))}:
        raise InputError([Fault("answer", None, "row", row_id, "no row of this phone's that cannot be read is called so")])
    row = {"strikes": row_id, "by": phone.by, "at": now()}
    shelf.save(job, added(shelf.files(job), file, row_prefix(phone), row))  # past the gate: another row may be wrong still
    return go(request, link(request, "jobs", job, ""))


PAGES = (("/jobs/{job}/strike", strike, ["POST"]),)
