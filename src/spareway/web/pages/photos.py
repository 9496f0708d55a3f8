"""Photos: taken where you stand, turned and cleaned before they are kept, tied to a thing in the job."""

from __future__ import annotations

import hashlib

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from spareway.doc import Fault, InputError
from spareway.folder.zipped import MOST_PHOTO_BYTES
from spareway.job.rows import standing
from spareway.survey.rows import photo_row
from spareway.web.clock import now
from spareway.web.pages.places import placed
from spareway.web.phone import phone_of, row_prefix
from spareway.web.record import record, save
from spareway.web.screen import Key, body_of, form_of, go, link, shelf_of, show

__all__ = ["PAGES"]

PURPOSES = ("report", "arrival", "before filling", "nobody but us")
OURS = PURPOSES[-1]
AGREED = ("owner", "occupant")
CONSENTS = (*AGREED, "not asked")
JPEG = b"\xff\xd8\xff"


async def photos(request: Request) -> Response:
    """What was taken, newest first, and the key that takes the next: about a thing, or the whole job."""
    job, about = request.path_params["job"], request.query_params.get("about", "")
    found = record(shelf_of(request).files(job))
    rows = list(reversed(standing(found.job.photos)))
    return show(
        request,
        "photos.html",
        [Key("Places", link(request, "jobs", job, ""))],
        **placed(request, ""),
        heading="Photos",
        about=about,
        rows=rows,
        purposes=PURPOSES,
        consents=CONSENTS,
        agreed=AGREED,
        uses=PURPOSES[:-1],
        kept=set(shelf_of(request).photos(job)),
        things=sorted(found.design().inst.equipment),
    )


async def taken(request: Request) -> Response:
    """A picture as the page made it: no larger than it should be, a JPEG, with nothing in it but the picture."""
    job, asked = request.path_params["job"], request.query_params
    shelf = shelf_of(request)
    data = await _picture(request)
    name = f"{hashlib.sha256(data).hexdigest()[:16]}.jpg"
    phone = phone_of(shelf)
    purpose, consent = _allowed(asked.get("purpose", ""), asked.get("consent", ""))
    changed = photo_row(
        shelf.files(job),
        sha256=hashlib.sha256(data).hexdigest(),
        address=asked.get("about", "") or "job",
        purpose=purpose,
        consent=consent,
        boxes=asked.get("boxes", ""),
        by=phone.by,
        at=now(),
        prefix=row_prefix(phone),
    )
    shelf.keep_photo(job, name, data)
    save(shelf, job, changed)
    return go(request, link(request, "jobs", job, "photos", about=asked.get("about", "")))


def _allowed(purpose: str, consent: str) -> tuple[str, str]:
    """What a photo may be used for, and who agreed: until somebody did it is for nobody but us, whatever was wished."""
    if consent not in AGREED:
        return OURS, CONSENTS[-1]
    return purpose if purpose in PURPOSES else OURS, consent


async def agreed(request: Request) -> Response:
    """Somebody agreed later: a row that takes the place of the one that stood, of the same picture. Errors: HTTPException 404."""
    job, said, shelf = request.path_params["job"], await form_of(request), shelf_of(request)
    files = shelf.files(job)
    row = next((each for each in standing(record(files).job.photos) if each.id == said.get("of")), None)
    if row is None or said.get("consent") not in AGREED:
        raise HTTPException(404)
    purpose, consent = _allowed(said.get("purpose", ""), said["consent"])
    phone = phone_of(shelf)
    changed = photo_row(files, row.sha256, row.address, purpose, consent, row.boxes, phone.by, now(), row_prefix(phone), row.id)
    save(shelf, job, changed)
    return go(request, link(request, "jobs", job, "photos"))


async def _picture(request: Request) -> bytes:
    data = await body_of(request, MOST_PHOTO_BYTES, "photo")
    if not data.startswith(JPEG):
        raise InputError([Fault("photo", None, "", data[:8].hex(), "is no picture that can be kept", "a JPEG")])
    return data


async def seen(request: Request) -> Response:
    """One picture, as it is kept."""
    try:
        data = shelf_of(request).photo(request.path_params["job"], request.path_params["name"])
    except KeyError:
        raise HTTPException(404) from None
    return Response(data, media_type="image/jpeg")


PAGES = (
    ("/jobs/{job}/photos", photos, ["GET"]),
    ("/jobs/{job}/photos", taken, ["POST"]),
    ("/jobs/{job}/photos/agreed", agreed, ["POST"]),
    ("/jobs/{job}/photos/{name}", seen, ["GET"]),
)
