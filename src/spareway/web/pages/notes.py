"""What else a place gives: the hazard note, a thing seen and written down, an as-run length."""

from __future__ import annotations

from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from spareway.api import pocket_page
from spareway.survey.doorstep import hazard_note
from spareway.survey.rows import observe
from spareway.web.clock import now
from spareway.web.pages.places import placed
from spareway.web.phone import phone_of, row_prefix
from spareway.web.record import record, save
from spareway.web.screen import Key, form_of, go, link, shelf_of, show

__all__ = ["PAGES"]

CODES = ("", "C1", "C2", "C3", "FI")


async def hazards(request: Request) -> Response:
    """What whoever comes must know."""
    job = request.path_params["job"]
    lines = hazard_note(shelf_of(request).files(job))
    keys = [
        Key("Places", link(request, "jobs", job, ""), main=True),
        Key("Doorstep", link(request, "jobs", job, "at", "doorstep", id="all")),
    ]
    return show(request, "lines.html", keys, **placed(request, "doorstep"), heading="Hazard note", lines=lines)


async def seen(request: Request) -> Response:
    """A thing seen, in words, with the code that a person gives it or none."""
    job = request.path_params["job"]
    shelf = shelf_of(request)
    if request.method == "POST":
        said, phone = await form_of(request), phone_of(shelf)
        changed = observe(
            shelf.files(job),
            said.get("where", "") or "supplies.main",
            said.get("says", ""),
            phone.by,
            now(),
            row_prefix(phone),
            said.get("code", ""),
        )
        save(shelf, job, changed)
        return go(request, link(request, "jobs", job, ""))
    things = [f"equipment.{name}" for name in record(shelf.files(job)).job.at(None).equipment]
    return show(
        request,
        "seen.html",
        [Key("Places", link(request, "jobs", job, ""))],
        **placed(request, ""),
        heading="Something seen",
        things=things,
        codes=CODES,
    )


async def pocket(request: Request) -> Response:
    """The pocket page: a file to keep on any phone, without this app."""
    job = request.path_params["job"]
    page = pocket_page(shelf_of(request).files(job))
    return Response(page, media_type="text/html", headers={"content-disposition": f'attachment; filename="{job}-pocket.html"'})


PAGES: Any = (("/jobs/{job}/hazards", hazards, ["GET"]), ("/jobs/{job}/seen", seen, ["GET", "POST"]),
         ("/jobs/{job}/pocket.html", pocket, ["GET"]))
