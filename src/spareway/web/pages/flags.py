"""What a flag, a window or a button shows, and what its maker says that means: never a meaning by colour alone."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from spareway.doc import Fault, InputError
from spareway.survey.flags import flag_row, places
from spareway.web.clock import now
from spareway.web.pages.places import placed
from spareway.web.phone import phone_of, row_prefix
from spareway.web.record import record, save
from spareway.web.screen import Key, form_of, go, link, shelf_of, show, told_why

__all__ = ["PAGES"]


async def flag(request: Request) -> Response:
    """One thing that shows something, in the words of who sees it and in those of its maker."""
    shelf, job = shelf_of(request), request.path_params["job"]
    if request.method == "GET":
        return _asked(request, {})
    said, phone = await form_of(request), phone_of(shelf)
    files = shelf.files(job)
    try:
        if said.get("where", "") not in places(record(files).job.at(None)):
            raise InputError([Fault("answer", None, "where", said.get("where", ""), "there is no such thing in the record")])
        shows, means, written = (said.get(field, "") for field in ("shows", "means", "written"))
        changed = flag_row(files, said["where"], shows, means, written, phone.by, now(), row_prefix(phone))
        save(shelf, job, changed)
    except InputError as problem:
        return _asked(request, said, told_why(problem), 422)
    return go(request, link(request, "jobs", job, "test"))


def _asked(request: Request, said: Mapping[str, str], fault: str = "", status: int = 200) -> Response:
    job = request.path_params["job"]
    things = places(record(shelf_of(request).files(job)).job.at(None))
    return show(
        request,
        "flag.html",
        [Key("Ways", link(request, "jobs", job, "test")), Key("Photo", link(request, "jobs", job, "photos"))],
        status,
        **placed(request, "dead test"),
        heading="Flag or button",
        things=things.items(),
        said={"where": "", "shows": "", "means": "", "written": "", **said},
        fault=fault,
    )


PAGES: Any = (("/jobs/{job}/flag", flag, ["GET", "POST"]),)
