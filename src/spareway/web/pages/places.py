"""Places, not forms: the stops of a job, and at each one question at a time. Going back never loses an answer."""

from __future__ import annotations

from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from spareway.doc import InputError
from spareway.survey.places import PLACES, Question, answer, place_names, places, questions, taken_away
from spareway.web.asking import answer_of, asked_again, next_open, one_of
from spareway.web.clock import now
from spareway.web.phone import phone_of, row_prefix
from spareway.web.record import record, save
from spareway.web.screen import Key, form_of, go, link, shelf_of, show

__all__ = ["PAGES", "placed"]


def placed(request: Request, here: str) -> dict[str, Any]:
    """The line of places above a screen of a job: where it stands among them."""
    job = request.path_params["job"]
    names = place_names(shelf_of(request).files(job))
    after = names.index("look, rooms") + 1
    return {"job": job, "rail": [*names[:after], "rooms", *names[after:], "dead test"], "here": here}


async def job_home(request: Request) -> Response:
    """All places of a job, what is open at each, and what can be asked of the record meanwhile."""
    job = request.path_params["job"]
    files = shelf_of(request).files(job)
    stops = places(files)
    keys = [
        Key("Findings", link(request, "jobs", job, "findings"), main=True),
        Key("Picture", link(request, "jobs", job, "picture")),
        Key("Jobs", link(request, "")),
    ]
    return show(request, "job.html", keys, **placed(request, ""), heading=record(files).job.about.says or job, stops=stops)


async def ask(request: Request) -> Response:
    """One question: the one named, else the first without an answer, else all of them to look over."""
    job, place, wanted = request.path_params["job"], request.path_params["place"], request.query_params.get("id", "")
    shelf = shelf_of(request)
    if place not in PLACES:
        raise HTTPException(404)
    asked = questions(shelf.files(job), place)
    if wanted == "all" or not any(q.open for q in asked) and not wanted:
        return _overview(request, job, place, asked)
    index = next((i for i, q in enumerate(asked) if q.id == wanted), None)
    if index is None:
        index = next((i for i, q in enumerate(asked) if q.open), 0)
    return _question(request, job, place, asked, index)


def _question(
    request: Request, job: str, place: str, asked: list[Question], index: int, typed: str = "", fault: str = "", status: int = 200
) -> Response:
    here = ("jobs", job, "at", place)
    keys = [
        Key("Back", link(request, *here, id=asked[index - 1].id) if index else link(request, "jobs", job, "")),
        Key("All of it", link(request, *here, id="all")),
    ]
    if index + 1 < len(asked):
        keys.append(Key("Leave it", link(request, *here, id=asked[index + 1].id)))
    if place == "meter cabinet":
        keys.append(Key("Picture", link(request, "jobs", job, "picture")))
    return show(
        request,
        "ask.html",
        keys,
        status,
        **placed(request, place),
        heading=place.capitalize(),
        **one_of(asked, index, link(request, *here), typed, fault),
    )


def _overview(request: Request, job: str, place: str, asked: list[Question]) -> Response:
    keys = [Key("Places", link(request, "jobs", job, ""), main=True)]
    if place == "meter cabinet":
        keys.append(Key("Picture", link(request, "jobs", job, "picture")))
    rows = [(q, link(request, "jobs", job, "at", place, id=q.id)) for q in asked]
    return show(request, "overview.html", keys, **placed(request, place), heading=place.capitalize(), asked=rows)


def _sure(request: Request, said: dict[str, str], lost: list[str]) -> Response:
    """Before an answer takes others away: which, and both ways on."""
    job, place = request.path_params["job"], request.path_params["place"]
    here = link(request, "jobs", job, "at", place)
    n = len(lost)
    return show(
        request,
        "sure.html",
        [Key("Leave it as it is", link(request, "jobs", job, "at", place, id=said["id"]), main=True)],
        **placed(request, place),
        heading=place.capitalize(),
        asks=f"This takes away {n} answer{'s' if n != 1 else ''}",
        lost=lost,
        action=here,
        says="Take them away" if n != 1 else "Take it away",
        form={**said, "sure": "yes"},
    )


async def answered(request: Request) -> Response:
    """An answer, kept: the job's own line is changed, and the next question asked."""
    job, place = request.path_params["job"], request.path_params["place"]
    shelf, said = shelf_of(request), await form_of(request)
    files, asked_id = shelf.files(job), said.get("id", "")
    try:
        phone = phone_of(shelf)
        said_now = answer(files, place, asked_id, answer_of(said), by=phone.by, at=now(), prefix=row_prefix(phone))
        if not said.get("sure") and (lost := taken_away(files, said_now, asked_id)):
            return _sure(request, said, lost)
        save(shelf, job, said_now)
    except InputError as problem:
        asked = questions(files, place)
        return _question(request, job, place, asked, *asked_again(asked, said, problem), 422)
    following = next_open(questions(shelf.files(job), place), asked_id) or "all"
    return go(request, link(request, "jobs", job, "at", place, id=following))


PAGES = (
    ("/jobs/{job}/", job_home, ["GET"]),
    ("/jobs/{job}/at/{place}", ask, ["GET"]),
    ("/jobs/{job}/at/{place}", answered, ["POST"]),
)
