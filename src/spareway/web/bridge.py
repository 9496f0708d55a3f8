"""One request in, one answer out: the app asked from within the page, where there is no server and there are no threads."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from starlette.types import ASGIApp, Message

__all__ = ["Answer", "ask", "at_once"]

Answer = tuple[int, list[list[str]], bytes]


async def ask(
    app: ASGIApp, method: str, path: str, query: str, headers: Iterable[Iterable[str]], body: bytes, root: str
) -> Answer:
    """(status, [[name, value]], body). path: below `root`, the folder that the site lies in; query without its "?"."""
    scope: dict[str, Any] = {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "method": method,
        "scheme": "https",
        "path": f"{root}{path}",
        "raw_path": f"{root}{path}".encode(),
        "query_string": query.encode(),
        "root_path": root,
        "headers": [(name.lower().encode("latin-1"), value.encode("latin-1")) for name, value in headers],
        "client": None,
        "server": None,
        "state": {},
    }
    inbox: list[Message] = [{"type": "http.request", "body": body, "more_body": False}]
    status, out, chunks = 500, list[list[str]](), list[bytes]()

    async def receive() -> Message:
        return inbox.pop(0) if inbox else {"type": "http.disconnect"}

    async def send(message: Message) -> None:
        nonlocal status, out
        if message["type"] == "http.response.start":
            status = message["status"]
            out = [[name.decode("latin-1"), value.decode("latin-1")] for name, value in message.get("headers", ())]
        elif message["type"] == "http.response.body":
            chunks.append(message.get("body", b""))

    await app(scope, receive, send)
    return status, out, b"".join(chunks)


def at_once(
    app: ASGIApp, method: str, path: str, query: str, headers: Iterable[Iterable[str]], body: bytes, root: str
) -> Answer:
    """The same without a turn of the page's loop: every answer of ours is worked out, none is waited for. Errors: RuntimeError
    where one would wait."""
    asked = ask(app, method, path, query, headers, body, root)
    try:
        asked.send(None)
    except StopIteration as done:
        answer: Answer = done.value
        return answer
    asked.close()
    raise RuntimeError(f"{method} {path} waits for something, and nothing in the page would bring it")
