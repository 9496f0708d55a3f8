"""One answer to one tap: a whole page for a plain browser, or the part of it that changes for the page already there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from math import fsum
from typing import Any
from urllib.parse import parse_qsl, quote, quote_plus

from jinja2 import Environment, FunctionLoader, StrictUndefined
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from spareway import bundled
from spareway.doc import Fault, InputError
from spareway.web.phone import phone_of
from spareway.web.shelf import Shelf

__all__ = ["STAGES", "Key", "base_of", "body_of", "form_of", "go", "link", "refused", "shelf_of", "show", "spoken", "stages",
           "told_why"]  # fmt: skip

MOST_FORM_BYTES = 200_000
NO_FILE = ("answer", "call", "command line", "form")  # where what was wrong was said, and no file holds it
STAGES = {"found": "As found", "proposed": "Proposed", "fitted": "Fitted"}


@dataclass(frozen=True, slots=True)
class Key:
    """A key of the sill: what it says, where it leads. `main` is the next likely act; `post` changes something."""

    says: str
    href: str
    main: bool = False
    post: bool = False
    plain: bool = False  # a file to keep, not a screen to show


@cache
def _pages() -> Environment:
    """Every text is escaped; a name that a template misspells is an error and never an empty line."""
    pages = Environment(
        loader=FunctionLoader(lambda name: bundled.text(f"web/templates/{name}")),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    pages.filters["spoken"] = spoken
    pages.filters["url"] = lambda text: quote(str(text), safe="")
    return pages


def shelf_of(request: Request) -> Shelf:
    """Where the jobs are kept."""
    shelf: Shelf = request.app.state.shelf
    return shelf


def base_of(request: Request) -> str:
    """What stands before every address of ours: nothing, or the folder that the site lies in."""
    return str(request.scope.get("app_root_path", request.scope.get("root_path", ""))).rstrip("/")


@lru_cache(2048)  # a picture has a hundred addresses, made of the same few words
def _step(text: str) -> str:
    return quote(text, safe="")


@lru_cache(2048)
def _said(text: str) -> str:
    return quote_plus(text)


def link(request: Request, *steps: str, **asked: str | Sequence[str]) -> str:
    """An address within the app: link(request, "jobs", name, "picture", stage="found")."""
    path = "/".join(map(_step, steps))
    query = "&".join(f"{k}={_said(v)}" for k, vs in asked.items() if vs for v in ([vs] if isinstance(vs, str) else vs))
    return f"{base_of(request)}/app/{path}{'?' if query else ''}{query}"


def stages(request: Request, there: Sequence[str], page: str, now: str, **asked: str) -> list[tuple[str, str, bool]]:
    """For `stages.html`: the same page of a job at each stage that it holds: words, address, whether this is it."""
    job = request.path_params["job"]
    return [(says, link(request, "jobs", job, page, stage=s, **asked), s == now) for s, says in STAGES.items() if s in there]


def spoken(address: str) -> str:
    """An address as a person says it: without its table."""
    whole = {
        "installation": "the whole installation",
        "job": "the whole job",
        "supplies.main": "the supply",
        "equipment.met": "main earthing terminal",
    }
    return whole.get(address) or address.partition(".")[2] or address


def _in_place(request: Request) -> bool:
    return "hx-request" in request.headers and "hx-history-restore-request" not in request.headers


def show(request: Request, template: str, keys: Sequence[Key] = (), status: int = 200, **facts: Any) -> HTMLResponse:
    """A screen. `facts` are what the template names; the frame round it needs none of them."""
    phone = phone_of(shelf_of(request))
    given: dict[str, Any] = {"rail": (), "here": "", "job": "", "kept_words": kept_words(request, facts.get("job", "")), **facts}
    text = (
        _pages()
        .get_template(template)
        .render(
            frame="part.html" if _in_place(request) else "whole.html",
            base=base_of(request),
            phone=phone,
            keys=keys,
            to=lambda *steps, **asked: link(request, *steps, **asked),
            svg=Markup,
            **given,
        )
    )
    return HTMLResponse(text, status)


def go(request: Request, address: str) -> Response:
    """On to another screen: the page that is there fetches it, a plain browser is sent there."""
    if _in_place(request):
        return Response(status_code=204, headers={"hx-location": _location(address)})
    return RedirectResponse(address, 303)


def kept_words(request: Request, job: str = "") -> str:
    """How much is kept nowhere but here: always in sight, since a phone can fall into the water."""
    if request.app.state.where == "server":
        return "kept in this folder"
    shelf = shelf_of(request)
    waiting_n = shelf.waiting(job) if job else int(fsum(map(shelf.waiting, shelf.names())))
    if not waiting_n:
        return "nothing waits here"
    return f"{waiting_n} only on this phone"


def _location(address: str) -> str:
    import json

    return json.dumps({"path": address, "target": "#screen", "swap": "innerHTML show:top"})


def told_why(problem: InputError) -> str:
    """What is wrong with an answer, on the screen of its question: no name of a file or a field, which are the program's."""
    words = ("; ".join(filter(None, (each.says, each.allowed, each.nearest and f"did you mean {each.nearest}?")))
             for each in problem.faults)  # fmt: skip
    return ". ".join(f"{each[:1].upper()}{each[1:]}" for each in words)


def refused(request: Request, problem: InputError, back: str, says: str = "That was not kept") -> HTMLResponse:
    """What is wrong, one sentence a fault, and the way back. Nothing was changed."""
    faults = [told_why(InputError([fault])) if fault.file in NO_FILE else str(fault) for fault in problem.faults]
    return show(request, "refused.html", [Key("Back", back, main=True)], 422, heading="Not kept", says=says, faults=faults)


async def body_of(request: Request, most_bytes: int, file: str) -> bytes:
    """The body as it comes, and no more of it than may be. Errors: InputError."""
    said = request.headers.get("content-length", "")
    parts, size = list[bytes](), int(said) if said.isdigit() and int(said) > most_bytes else 0
    if not size:
        async for part in request.stream():
            size += len(part)
            if size > most_bytes:
                break
            parts.append(part)
    if size > most_bytes:
        raise InputError([Fault(file, None, "", "", "too large to take in", f"at most {most_bytes} bytes")])
    return b"".join(parts)


async def form_of(request: Request) -> dict[str, str]:
    """A small form as plain texts; of two fields of one name the last stands."""
    body = await body_of(request, MOST_FORM_BYTES, "form")
    return {name: value.strip() for name, value in parse_qsl(body.decode("utf-8", "replace"), keep_blank_values=True)}
