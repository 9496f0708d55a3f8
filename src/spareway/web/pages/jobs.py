"""The jobs on this phone: the list, a new one, one brought in, one carried away; and what this phone is told of itself."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from dataclasses import replace
from urllib.parse import parse_qsl

from starlette.requests import Request
from starlette.responses import Response

from spareway import __version__
from spareway.folder.zipped import packed, unpacked
from spareway.job.types import NATIONS
from spareway.survey.call import carried, heard
from spareway.survey.patterns import EARTHING_SEEN, Answers, job_texts
from spareway.tables.books import editions_on
from spareway.web.clock import now, today
from spareway.web.pages.joining import keep_begun
from spareway.web.pages.unreadable import called, faults_of
from spareway.web.phone import THEMES, keep, phone_of, row_prefix
from spareway.web.record import record
from spareway.web.screen import Key, body_of, form_of, go, link, shelf_of, show

__all__ = ["PAGES"]

MOST_ZIP_BYTES = 64_000_000
MOST_LETTERS = 120


async def jobs(request: Request) -> Response:
    """Every job here, the way to a new one, and to a call."""
    shelf = shelf_of(request)
    if not phone_of(shelf).by:
        return await this_phone(request)
    listed = [(name, called(shelf, name), shelf.waiting(name), faults_of(shelf, name)) for name in shelf.names()]
    keys = [
        Key("New job", link(request, "new"), main=True),
        Key("A call", link(request, "call")),
        Key("Bring in", link(request, "bring-in")),
        Key("This phone", link(request, "this-phone")),
    ]
    return show(request, "jobs.html", keys, heading="Jobs", jobs=listed)


# ---- a new job: five things, and it checks ------------------------------------------------------------------------------
ASKED = ("called", "nation", "earthing", "edition")


async def new(request: Request) -> Response:
    """One question at a time; what was answered travels in the address: going back loses nothing, and asking begins nothing."""
    asked = _asked(request.query_params)
    key = next((key for key in ASKED if not asked[key]), ASKED[-1])
    said = [(k, v) for k, v in asked.items() if v and k != key]
    return show(request, "new.html", [Key("Jobs", link(request, ""))], heading="New job", key=key, asks=_questions()[key][0],
                choices=_questions()[key][1], said=said)  # fmt: skip


async def answered(request: Request) -> Response:
    """The next question, or the job, once every one has its answer."""
    asked = _asked(await form_of(request))
    if all(asked.values()):
        return _begun(request, asked)
    return go(request, link(request, "new", **asked))


def _questions() -> dict[str, tuple[str, tuple[str, ...]]]:
    editions = tuple(editions_on(today()))
    return {
        "called": ("What is the job called?", ()),
        "nation": ("Which nation's regulations apply there?", NATIONS),
        "earthing": ("Earthing seen", EARTHING_SEEN),
        "edition": ("Which edition of BS 7671 governs? The contract decides.", editions),
    }


def _asked(said: Mapping[str, str]) -> dict[str, str]:
    """What was answered, and nothing that is no answer; the edition by itself where only one may be used."""
    out = {}
    for key, (_, choices) in _questions().items():
        value = said.get(key, "")
        out[key] = value[:MOST_LETTERS] if not choices or value in choices else ""
    editions = _questions()["edition"][1]
    out |= {"edition": editions[0]} if len(editions) == 1 else {}
    return {**out, "call": said["call"]} if _call(said) else out


def _call(said: Mapping[str, str]) -> dict[str, str]:
    """The call that the job begins with, question -> answer; none where it began otherwise. Errors: InputError."""
    answers = dict(parse_qsl(said.get("call", "")))
    if answers:
        heard(answers)
    return answers


def _begun(request: Request, asked: dict[str, str]) -> Response:
    shelf = shelf_of(request)
    name = free_name(asked["called"], shelf.names())
    texts = job_texts(Answers(asked["called"], asked["nation"], asked["edition"], asked["earthing"], None, today().isoformat()))
    if call := _call(asked):
        phone = phone_of(shelf)
        texts = carried(texts, call, phone.by, now(), row_prefix(phone))
    record(texts).design()
    shelf.save(name, dict(texts))
    return go(request, link(request, "jobs", name, ""))


def free_name(called: str, taken: list[str]) -> str:
    """A folder's name out of what a person calls the job: letters, digits and hyphens, and no other job's."""
    plain = re.sub(r"[^a-z0-9]+", "-", called.lower()).strip("-")[:40] or "job"
    return next(name for name in (plain, *(f"{plain}-{n}" for n in range(2, len(taken) + 3))) if name not in taken)


# ---- in and out ---------------------------------------------------------------------------------------------------------
async def bring_in(request: Request) -> Response:
    """A whole job as zip: shown, then taken in. Its size is known before a byte of it is unpacked."""
    if request.method == "GET":
        return show(request, "bring_in.html", [Key("Jobs", link(request, ""))], heading="Bring in a job")
    data = await body_of(request, MOST_ZIP_BYTES, "job.zip")
    found = unpacked(data)
    record(found.texts).design()
    shelf = shelf_of(request)
    name = free_name(request.query_params.get("called", "") or "job", shelf.names())
    shelf.save(name, dict(found.texts))
    keep_begun(shelf, name, found.texts)
    for photo, picture in found.photos.items():
        shelf.keep_photo(name, photo.removeprefix("photos/"), picture)
    return go(request, link(request, "jobs", name, ""))


async def carry(request: Request) -> Response:
    """The whole job as zip: what a laptop opens, and what a second phone joins with its own."""
    shelf, job = shelf_of(request), request.path_params["job"]
    photos = {f"photos/{name}": shelf.photo(job, name) for name in shelf.photos(job)}
    data = packed({**{name: text.encode() for name, text in shelf.files(job).items()}, **photos})
    keep_begun(shelf, job, shelf.files(job))
    shelf.sent(job)
    return Response(
        data,
        media_type="application/zip",
        headers={"content-disposition": f'attachment; filename="{job}.zip"', "x-sha256": hashlib.sha256(data).hexdigest()},
    )


# ---- this phone -----------------------------------------------------------------------------------------------------------
async def this_phone(request: Request) -> Response:
    """Whose it is, how it looks, what answers. Nothing of it goes into a job but the name in the rows."""
    shelf = shelf_of(request)
    phone = phone_of(shelf)
    if request.method == "POST":
        said = await form_of(request)
        keep(
            shelf,
            replace(
                phone,
                by=said.get("by", phone.by)[:40] or phone.by,
                theme=said["theme"] if said.get("theme") in THEMES else phone.theme,
                gloves=said.get("gloves", "yes" if phone.gloves else "") == "yes",
                supervisor=said.get("supervisor", "yes" if phone.supervisor else "") == "yes",
            ),
        )
        return go(request, link(request, "" if not phone.by else "this-phone"))
    keys = [Key("Jobs", link(request, ""), main=True)] if phone.by else []
    return show(
        request, "this_phone.html", keys, heading="This phone", themes=THEMES, version=__version__, where=request.app.state.where
    )


PAGES = (
    ("/", jobs, ["GET"]),
    ("/new", new, ["GET"]),
    ("/new", answered, ["POST"]),
    ("/bring-in", bring_in, ["GET", "POST"]),
    ("/jobs/{job}/job.zip", carry, ["GET"]),
    ("/this-phone", this_phone, ["GET", "POST"]),
)
