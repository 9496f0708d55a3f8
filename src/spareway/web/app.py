"""The screens as one ASGI app: answered by a server on a laptop, and by Python inside the page where there is none."""

from __future__ import annotations

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Mount, Route

from spareway.doc import InputError
from spareway.rules.crash import RuleCrash
from spareway.web.pages import (
    calls,
    circuit_drawn,
    circuits,
    demand,
    findings,
    flags,
    jobs,
    joining,
    live,
    new_circuit,
    notes,
    photos,
    picture,
    places,
    readings,
    rooms,
    service,
    together,
    told,
    unreadable,
)
from spareway.web.screen import Key, link, refused, shelf_of, show
from spareway.web.shelf import NoJob, Shelf

__all__ = ["make_app"]

CIRCUITS, TESTS = (circuits, circuit_drawn, new_circuit), (readings, live, told, together, flags)
ROOMS = (jobs, calls, places, picture, findings, rooms, demand, service, *CIRCUITS, *TESTS, photos, notes, joining, unreadable)


def make_app(shelf: Shelf, where: str) -> Starlette:
    """The app over a shelf of jobs. where: "phone" or "server", for the page that says what answers."""
    app = Starlette(
        routes=[
            Mount("/app", routes=[Route(path, page, methods=methods) for room in ROOMS for path, page, methods in room.PAGES])
        ],
        exception_handlers={InputError: _input, NoJob: _no_job, HTTPException: _http, RuleCrash: _crash},
    )
    app.state.shelf, app.state.where = shelf, where
    return app


async def _input(request: Request, problem: Exception) -> Response:
    """A record that cannot be read, or an answer that says nothing: each fault in one sentence, and nothing was changed."""
    assert isinstance(problem, InputError)
    job = request.path_params.get("job", "")
    if job in shelf_of(request).names() and (faults := unreadable.faults_of(shelf_of(request), job)):
        return unreadable.unreadable(request, faults)
    return refused(request, problem, link(request, "jobs", job, "") if job else link(request, ""))


async def _crash(request: Request, problem: Exception) -> Response:
    """The program broke while it judged: said in words, with what to do meanwhile. It is no answer about the installation."""
    job = request.path_params.get("job", "")
    keys = [Key("Places", link(request, "jobs", job, ""), main=True), Key("Jobs", link(request, ""))] if job else []
    return show(request, "crashed.html", keys, 500, heading="Not judged", job=job, problem=str(problem))


async def _no_job(request: Request, problem: Exception) -> Response:
    return _missing(request, f"There is no job “{problem}” here.", 404)


async def _http(request: Request, problem: Exception) -> Response:
    assert isinstance(problem, HTTPException)
    says = "There is no such screen." if problem.status_code == 404 else str(problem.detail)
    return _missing(request, says, problem.status_code)


def _missing(request: Request, says: str, status: int) -> Response:
    return show(request, "missing.html", [Key("Jobs", link(request, ""), main=True)], status, heading="Not here", says=says)
