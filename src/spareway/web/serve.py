"""The screens answered by this machine: for one person, on this machine alone or over the building's own network.

Accounts come with the firm's server. Until then whoever opens it over the network shows a key that this start made up.
"""

from __future__ import annotations

import asyncio
import datetime
import hmac
import secrets
from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass, field
from importlib.resources import files
from pathlib import Path

from starlette.applications import Starlette
from starlette.datastructures import Headers, MutableHeaders
from starlette.middleware import Middleware
from starlette.middleware.trustedhost import TrustedHostMiddleware
from starlette.requests import Request
from starlette.responses import FileResponse, HTMLResponse, PlainTextResponse, RedirectResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from spareway.doc import InputError
from spareway.web.app import make_app
from spareway.web.policy import HEADERS
from spareway.web.shelf import FolderShelf

__all__ = ["Door", "first_step", "on_this_machine", "run", "served"]

COOKIE = "spareway-door"
OPEN_FILES = ("hand.js", "asked.js", "redraw.js", "trust.js", "store.js", "spareway.css")
MOST_RAW_PHOTO_BYTES = 24_000_000  # as a camera writes it, before it is made small
LOOPBACK = ("127.0.0.1", "localhost")
SAYS = "This serves one person. It has no accounts: whoever has the key of this start sees and changes every job here."


@dataclass(frozen=True, slots=True)
class Door:
    """Who may come in: on loopback anybody on this machine; over a network those who were shown the key."""

    hosts: Sequence[str] = LOOPBACK
    key: str = ""

    @staticmethod
    def with_key(hosts: Sequence[str]) -> Door:
        """A door with a new key."""
        return Door((*hosts, *LOOPBACK), secrets.token_urlsafe(24))

    def knows(self, said: str) -> bool:
        """Whether this is the key, in a time that tells nothing of it."""
        return not self.key or hmac.compare_digest(said.encode(), self.key.encode())


def served(jobs: Path, htmx: Path, door: Door, site: Path | None = None) -> ASGIApp:
    """The app over a folder of job folders, its files, and the phone's site at /phone/ when one was built."""
    static = Path(str(files("spareway.web") / "static"))
    routes: list[Route | Mount] = [Route("/", _home), Route("/enter", _enter), Route("/htmx.min.js", _file(htmx))]
    routes += [Route(f"/{name}", _file(static / name)) for name in OPEN_FILES]
    if site is not None:
        routes.append(Mount("/phone", StaticFiles(directory=site, html=True)))
    routes.append(Mount("/", Photos(make_app(FolderShelf(jobs), "server"))))
    around = [
        Middleware(TrustedHostMiddleware, allowed_hosts=list(door.hosts), www_redirect=False),
        Middleware(Guard, door=door),
    ]
    outer = Starlette(routes=routes, middleware=around)
    outer.state.door = door
    return outer


def _file(file: Path) -> Callable[[Request], Awaitable[Response]]:
    async def answer(request: Request) -> Response:  # noqa: ARG001
        return FileResponse(file)

    return answer


async def _home(request: Request) -> Response:  # noqa: ARG001
    return RedirectResponse("/app/", 303)


async def _enter(request: Request) -> Response:
    """The address in the square code: the key becomes a cookie, so that it stands in no further address."""
    door: Door = request.app.state.door
    key = request.query_params.get("key", "")
    if not door.knows(key):
        return PlainTextResponse("That is not the key of this start.", 403)
    reply = RedirectResponse("/phone/" if request.query_params.get("to") == "phone" else "/app/", 303)
    reply.set_cookie(COOKIE, key, httponly=True, samesite="strict", secure=request.url.scheme == "https")
    return reply


# ---- round every answer ---------------------------------------------------------------------------------------------------
@dataclass
class Guard:
    """Sends the policy with every answer; lets no other site's page change a job, and nobody without the key see one."""

    app: ASGIApp
    door: Door = field(default_factory=Door)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def with_policy(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers[name] = value
                headers["cache-control"] = "no-store" if scope["path"].startswith("/app") else "no-cache"
            await send(message)

        refusal = self.refusal(scope)
        answer: ASGIApp = PlainTextResponse(refusal, 403) if refusal else self.app
        await answer(scope, receive, with_policy)

    def refusal(self, scope: Scope) -> str:
        """Why this is not answered, or nothing."""
        request = Request(scope)
        if request.method not in ("GET", "HEAD") and not from_here(request.headers):
            return "A page of another site asked for a change. Nothing was changed."
        if scope["path"].startswith("/app") and not self.door.knows(request.cookies.get(COOKIE, "")):
            return f"Open this with the square code that the machine shows. {SAYS}"
        return ""


def from_here(headers: Headers) -> bool:
    """Whether a page of this same origin asks: what the browser says of the site, or the origin it names."""
    site = headers.get("sec-fetch-site", "")
    if site:
        return site in ("same-origin", "none")
    return headers.get("origin", "").partition("://")[2] == headers.get("host", "?")


@dataclass(frozen=True, slots=True)
class Photos:
    """A picture on its way in is cleaned first: what the screens keep has nothing in it but the picture."""

    app: ASGIApp

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http" or scope["method"] != "POST" or not scope["path"].endswith("/photos"):
            await self.app(scope, receive, send)
            return
        body = await _all(Request(scope, receive))
        if body is None:
            says = f"Too large: at most {MOST_RAW_PHOTO_BYTES} bytes. Nothing was kept."
            await PlainTextResponse(says, 413)(scope, receive, send)
            return
        from spareway.web.server_photos import cleaned

        try:
            clean = cleaned(body)
        except InputError as problem:
            await PlainTextResponse(f"{problem} Nothing was kept.", 422)(scope, receive, send)
            return
        headers = [(name, value) for name, value in scope["headers"] if name != b"content-length"]
        inbox: list[Message] = [{"type": "http.request", "body": clean, "more_body": False}]

        async def again() -> Message:
            return inbox.pop() if inbox else await receive()

        await self.app({**scope, "headers": [*headers, (b"content-length", str(len(clean)).encode())]}, again, send)


async def _all(request: Request) -> bytes | None:
    """The body, or None as soon as it is too large."""
    parts, size = list[bytes](), 0
    async for part in request.stream():
        size += len(part)
        if size > MOST_RAW_PHOTO_BYTES:
            return None
        parts.append(part)
    return b"".join(parts)


# ---- the one-time step on the phone -----------------------------------------------------------------------------------------
def first_step(certificate: Path, fingerprint: str, enter: str, hosts: Sequence[str]) -> ASGIApp:
    """A page over plain http, since the phone does not trust us yet: the authority's certificate, and what to do with it."""
    from html import escape

    text = (
        "<!doctype html><html lang='en-GB'><meta charset='utf-8'>"
        "<meta name='viewport' content='width=device-width, initial-scale=1'>"
        "<title>Once on each phone</title><h1>Once on each phone</h1><ol>"
        "<li><a href='authority.crt'>Fetch the certificate of this machine's own authority</a>.</li>"
        "<li>In the phone's settings, under security, install it as a certificate authority; some phones ask you to switch "
        "trust on in a second place. Compare the fingerprint with the one on the machine's screen before you agree:<br>"
        f"<code>{escape(fingerprint)}</code></li>"
        f"<li>Open <code>{escape(enter)}</code> with the square code on the machine's screen.</li></ol>"
        f"<p>The authority can vouch for private addresses only. {escape(SAYS)} "
        "Take the certificate off the phone when you are done.</p></html>"
    )

    async def page(request: Request) -> Response:  # noqa: ARG001
        return HTMLResponse(text, headers=HEADERS)

    async def fetched(request: Request) -> Response:  # noqa: ARG001
        return Response(certificate.read_bytes(), media_type="application/x-x509-ca-cert", headers=HEADERS)

    return Starlette(
        routes=[Route("/", page), Route("/authority.crt", fetched)],
        middleware=[Middleware(TrustedHostMiddleware, allowed_hosts=list(hosts), www_redirect=False)],
    )


def on_this_machine() -> str:
    """The private address by which others in the building reach this machine; nothing is sent to find it. Errors: OSError."""
    import socket

    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        asked.connect(("192.0.2.1", 9))  # an address for documents, RFC 5737: a datagram's connect only chooses the way out
        return str(asked.getsockname()[0])


def now() -> datetime.datetime:
    """The moment, for certificates."""
    return datetime.datetime.now(datetime.UTC)


def run(listening: Sequence[tuple[ASGIApp, str, int, tuple[Path, Path] | None]]) -> None:
    """Serves (app, address, port, certificate and key) until it is interrupted."""
    import uvicorn

    def server(app: ASGIApp, host: str, port: int, secure: tuple[Path, Path] | None) -> uvicorn.Server:
        certificate, key = secure or (None, None)
        return uvicorn.Server(
            uvicorn.Config(
                app,
                host=host,
                port=port,
                ssl_certfile=certificate,
                ssl_keyfile=key,
                log_level="warning",
                access_log=False,
                server_header=False,
            )
        )

    async def together() -> None:
        await asyncio.gather(*(server(*each).serve() for each in listening))

    asyncio.run(together())
