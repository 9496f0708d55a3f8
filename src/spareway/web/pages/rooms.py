"""The rooms: each by a tape and a thumb, what it loses as a range, the heater that meets it, the circuits that heaters go on."""

from __future__ import annotations

from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from spareway.api import to_json
from spareway.doc import InputError
from spareway.job.types import ROOM_USES
from spareway.survey.ask import Question
from spareway.survey.rooms import HOME, begun, home_questions, removed, room_answered, room_names, room_questions
from spareway.web import heat_told as told
from spareway.web.asking import answer_of, asked_again, next_open, one_of
from spareway.web.circuit_told import gaps, ground_of
from spareway.web.pages.places import placed
from spareway.web.record import Record, record, save
from spareway.web.screen import Key, form_of, go, link, shelf_of, show, stages

__all__ = ["PAGES"]

WHOLE, REMOVE = "The whole home", "remove"


def _asked_of(request: Request) -> tuple[str, str, str]:
    """Job, stage and the room's name, "" for the whole home."""
    return request.path_params["job"], request.query_params.get("stage", ""), request.query_params.get("of", HOME)


def _called(room: str) -> str:
    return told.called(room) if room else WHOLE


# ---- all of them -------------------------------------------------------------------------------------------------------
async def rooms(request: Request) -> Response:
    """What the home loses, room by room, and on how few circuits its heaters go."""
    job, stage, _ = _asked_of(request)
    found = record(shelf_of(request).files(job))
    said = told.documented(found, stage)
    keys = [
        Key("New room", link(request, "jobs", job, "rooms", "new"), main=True),
        Key("Demand", link(request, "jobs", job, "demand", stage=stage)),
        Key("Places", link(request, "jobs", job, "")),
    ]
    return show(
        request,
        "rooms.html",
        keys,
        **placed(request, "rooms"),
        heading=f"Rooms, {said['stage']}",
        stages=stages(request, found.stages, "rooms", said["stage"]),
        answer=told.answer(said),
        **_home(request, found),
        drawing=told.bars_drawn(found, stage),
        rows=[_row(request, found, stage, room) for room in said["rooms"]],
        begun=[(_called(name), link(request, "jobs", job, "rooms", "ask", of=name)) for name in said["not_heated"]],
        in_no_room=said["in_no_room"],
        flips=list(told.flips(said)) if any(room["heaters"] for room in said["rooms"]) else [],
        circuits=told.circuits(said),
        controls=said["controls"],
        year=told.year(said),
        cautions=said["caution"],
    )


def _home(request: Request, found: Record) -> dict[str, Any]:
    """How much of what all rooms are reckoned with is not answered, and where it is asked."""
    href = link(request, "jobs", request.path_params["job"], "rooms", "ask")
    return {"home_open": _open_n(home_questions(found.files)), "home_href": href}


def _open_n(asked: list[Question]) -> int:
    return len([q for q in asked if q.open])


def _row(request: Request, found: Record, stage: str, room: dict[str, Any]) -> dict[str, Any]:
    name = room["name"]
    open_n = found.once("open in rooms", lambda: {n: _open_n(room_questions(found.files, n)) for n in room_names(found.files)})
    return {
        **told.row(room),
        "href": link(request, "jobs", request.path_params["job"], "rooms", "room", of=name, stage=stage),
        "open": open_n.get(name, 0),
    }


# ---- one of them ---------------------------------------------------------------------------------------------------------
async def room(request: Request) -> Response:
    """Its loss and range first; the heater that meets it; then each part that it loses through, opening to what it rests on."""
    job, stage, name = _asked_of(request)
    found = record(shelf_of(request).files(job))
    said = told.documented(found, stage)
    of = next((each for each in said["rooms"] if each["name"] == name), None)
    if of is None:
        raise HTTPException(404)
    keys = [Key("New room", link(request, "jobs", job, "rooms", "new"), main=True)]
    if name in room_names(found.files):
        keys.append(Key("Its answers", link(request, "jobs", job, "rooms", "ask", of=name, id="all")))
    keys.append(Key("Rooms", link(request, "jobs", job, "rooms", stage=stage)))
    return show(
        request,
        "room.html",
        keys,
        **placed(request, "rooms"),
        heading=_called(name),
        stages=stages(request, found.stages, "rooms/room", said["stage"], of=name),
        **_worked(of),
        put=link(request, "jobs", job, "rooms", "heaters") if _may_put(found, said["stage"], of) else "",
        of=name,
        ask=_open_href(request, found, name),
        **_home(request, found),
        cautions=said["caution"],
    )


def _open_href(request: Request, found: Record, name: str) -> str:
    """Where the first question of the room that is open is asked; nothing where none is."""
    asked = room_questions(found.files, name) if name in room_names(found.files) else []
    first = next((q.id for q in asked if q.open), "")
    return link(request, "jobs", request.path_params["job"], "rooms", "ask", of=name, id=first) if first else ""


def _worked(of: dict[str, Any]) -> dict[str, Any]:
    """One room as its screen says it."""
    loss, wanted = of["loss_w"], of["required_w"]
    known = loss["amount"] is not None
    return {
        "loss": told.lost(of) if known else "",
        "unsaid": ", ".join(of["unsaid"]),
        "spread": told.spread(loss),
        "range_of": [told.may_be(each) for each in loss["range_of"]],
        "ground": ground_of(loss),
        "gaps": gaps(loss) or gaps(wanted),
        "inside": of["inside_c"]["is"].replace(" ", "\N{NO-BREAK SPACE}") if of["inside_c"]["amount"] is not None else "",
        "wanted": told.watts(wanted["amount"]) if wanted["amount"] is not None else "",
        "sizes": " + ".join(f"{size:g}" for size in of["sizes_w"]),
        "why_sizes": of["why_sizes"],
        "no_sizes": "" if of["sizes_w"] else f"{of['why_sizes'][:1].upper()}{of['why_sizes'][1:]}",
        "heaters": [(h["name"].replace("-", " "), h["stamped_w"], h["stamped_v"]) for h in of["heaters"]],
        "meets": told.meets(of) if of["heaters"] else [],
        "parts": [*map(told.element, of["elements"]), *told.air(of)],
        "working": of["working"],
        "rests_on": [(f"{each['says']} {each['is']}", each["how"], each["at"]) for each in of["rests_on"]],
        "sources": of["sources"],
    }


def _may_put(found: Record, stage: str, of: dict[str, Any]) -> bool:
    """Heaters are put in the work where sizes are known of every part, none is there, and nothing was fitted yet."""
    return bool(of["sizes_w"]) and not of["heaters"] and stage == found.stages[-1] != "fitted"


async def put(request: Request) -> Response:
    """The sizes that meet a room, as lines of the work. Errors: InputError, and nothing is changed."""
    from spareway.design.heaters import voltage
    from spareway.survey.heaters import heaters_proposed

    job, said = request.path_params["job"], await form_of(request)
    shelf = shelf_of(request)
    files, name = shelf.files(job), said.get("of", "")
    found = record(files)
    document = told.documented(found, "")
    of = next((each for each in document["rooms"] if each["name"] == name), None)
    if of is None or not _may_put(found, document["stage"], of):
        raise HTTPException(404)
    declared_v = voltage(found.design(""), "declared voltage").value
    changed = heaters_proposed(files, name, of["sizes_w"], declared_v)
    told.documented(record({**files, **changed}), "")
    save(shelf, job, changed)
    return go(request, link(request, "jobs", job, "rooms", "room", of=name))


# ---- a new one -----------------------------------------------------------------------------------------------------------
async def new(request: Request) -> Response:
    """What it is used for: one tap, and its first question."""
    job = request.path_params["job"]
    if request.method == "POST":
        shelf = shelf_of(request)
        name, changed = begun(shelf.files(job), (await form_of(request)).get("use", ""))
        save(shelf, job, changed)
        return go(request, link(request, "jobs", job, "rooms", "ask", of=name))
    keys = [Key("Rooms", link(request, "jobs", job, "rooms"))]
    uses = [(use, use[:1].upper() + use[1:]) for use in ROOM_USES]
    return show(request, "new_room.html", keys, **placed(request, "rooms"), heading="New room", uses=uses)


# ---- one question at a time ----------------------------------------------------------------------------------------------
def _questions(files: dict[str, str], name: str) -> list[Question]:
    if name and name not in room_names(files):
        raise HTTPException(404)
    return room_questions(files, name) if name else home_questions(files)


async def ask(request: Request) -> Response:
    """The question named, else the first without an answer, else all of them to look over."""
    job, _, name = _asked_of(request)
    wanted = request.query_params.get("id", "")
    asked = _questions(shelf_of(request).files(job), name)
    if wanted == REMOVE and name:
        return _sure(request, job, name, asked)
    if wanted == "all" or not wanted and not _open_n(asked):
        return _overview(request, job, name, asked)
    first = next((i for i, q in enumerate(asked) if q.open), 0)
    return _question(request, name, asked, next((i for i, q in enumerate(asked) if q.id == wanted), first))


def _overview(request: Request, job: str, name: str, asked: list[Question]) -> Response:
    rows = [(q, link(request, "jobs", job, "rooms", "ask", of=name, id=q.id)) for q in asked]
    keys = [Key("Rooms", link(request, "jobs", job, "rooms"), main=True)]
    if name:
        keys.append(Key("Its loss", link(request, "jobs", job, "rooms", "room", of=name)))
        keys.append(Key("Remove", link(request, "jobs", job, "rooms", "ask", of=name, id=REMOVE)))
    return show(request, "overview.html", keys, **placed(request, "rooms"), heading=_called(name), asked=rows)


def _sure(request: Request, job: str, name: str, asked: list[Question]) -> Response:
    """Of a room begun wrongly, what goes with it before it is gone."""
    here = (request, "jobs", job, "rooms", "ask")
    return show(
        request,
        "sure.html",
        [Key("Leave it as it is", link(*here, of=name, id="all"), main=True)],
        **placed(request, "rooms"),
        heading=_called(name),
        asks=f"Remove {_called(name)}, with all that was said of it?",
        lost=[q.asks for q in asked if q.now],
        action=link(*here, of=name),
        says="Remove it",
        form={"id": REMOVE},
    )


def _question(
    request: Request, name: str, asked: list[Question], index: int, typed: str = "", fault: str = "", status: int = 200
) -> Response:
    here = ("jobs", request.path_params["job"], "rooms")
    back = link(request, *here, "ask", of=name, id=asked[index - 1].id) if index else link(request, *here)
    keys = [Key("Back", back), Key("All of it", link(request, *here, "ask", of=name, id="all"))]
    if index + 1 < len(asked):
        keys.append(Key("Leave it", link(request, *here, "ask", of=name, id=asked[index + 1].id)))
    elif name:
        keys.append(Key("Its loss", link(request, *here, "room", of=name)))
    return show(
        request,
        "ask.html",
        keys,
        status,
        **placed(request, "rooms"),
        heading=_called(name),
        **one_of(asked, index, link(request, *here, "ask", of=name), typed, fault),
    )


async def answered(request: Request) -> Response:
    """An answer, kept in its line; then the next question that is open, or what the room loses."""
    job, _, name = _asked_of(request)
    shelf, said = shelf_of(request), await form_of(request)
    files, asked_id = shelf.files(job), said.get("id", "")
    asked = _questions(files, name)
    if asked_id == REMOVE and name:
        save(shelf, job, removed(files, name))
        return go(request, link(request, "jobs", job, "rooms"))
    try:
        save(shelf, job, room_answered(files, name, asked_id, answer_of(said)))
    except InputError as problem:
        return _question(request, name, asked, *asked_again(asked, said, problem), 422)
    if following := next_open(_questions(shelf.files(job), name), asked_id):
        return go(request, link(request, "jobs", job, "rooms", "ask", of=name, id=following))
    return go(request, link(request, "jobs", job, "rooms", *(["room"] if name else []), of=name))


async def document(request: Request) -> Response:
    """The document of `spareway heat --json`: the same bytes as from the command line."""
    job, stage, _ = _asked_of(request)
    said = told.documented(record(shelf_of(request).files(job)), stage)
    return Response(to_json(said), media_type="application/json")


PAGES: Any = (
    ("/jobs/{job}/rooms", rooms, ["GET"]),
    ("/jobs/{job}/rooms/room", room, ["GET"]),
    ("/jobs/{job}/rooms/new", new, ["GET", "POST"]),
    ("/jobs/{job}/rooms/ask", ask, ["GET"]),
    ("/jobs/{job}/rooms/ask", answered, ["POST"]),
    ("/jobs/{job}/rooms/heaters", put, ["POST"]),
    ("/jobs/{job}/heat.json", document, ["GET"]),
)
