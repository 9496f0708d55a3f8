"""The engine's memory, kept by the phone after its first start: used by the next, dropped when it does not fit, with no job in it."""
from __future__ import annotations

from collections.abc import Callable

import pytest

from spareway.web import record
from spareway.web.bridge import at_once
from spareway.web.waking import WALK, walked
from tests.web.hosting import Host
from tests.web.phone import KEPT, Phone

SPOILT = {
    "cut short": "async () => { const at = new URL('py/woken', document.baseURI), [name] = await caches.keys(), kept = await (await caches.match(at)).blob(); "
                 "await (await caches.open(name)).put(at, new Response(kept.slice(0, 100000))); }",
    "of another runtime": "async () => { const at = new URL('py/woken', document.baseURI), [name] = await caches.keys(), kept = await (await caches.match(at)).arrayBuffer(); "
                          "const words = new Uint32Array(kept); words[3 + words[2] + 4] ^= 1; await (await caches.open(name)).put(at, new Response(kept)); }"}
FOUND = """async (text) => { const kept = new Uint8Array(await (await caches.match(new URL('py/woken', document.baseURI))).arrayBuffer()), sought = new TextEncoder().encode(text);
    let at = -1; do { at = kept.indexOf(sought[0], at + 1); if (at >= 0 && sought.every((each, i) => kept[at + i] === each)) return true; } while (at >= 0);
    return false; }"""


def test_the_walk_meets_every_screen_and_leaves_nothing() -> None:
    """Each address is answered, and the record of the throwaway job is forgotten."""
    told = walked()
    assert [address for address, _ in told[3:]] == list(WALK)
    assert {status for _, status in told[:3]} == {204}
    assert {status for _, status in told[3:]} == {200}
    assert not record._KEPT


def test_what_waits_in_the_page_is_refused() -> None:
    """An app that waits for a turn of the loop would never be answered there: it is said at once."""
    class Turn:
        def __await__(self):                                 # type: ignore[no-untyped-def]
            yield

    async def waits(scope: object, receive: object, send: object) -> None:
        await Turn()

    with pytest.raises(RuntimeError, match="GET /app/ waits"):
        at_once(waits, "GET", "/app/", "", [], b"", "")


def test_the_next_start_is_from_memory_and_a_spoilt_one_from_nothing(phone: Callable[..., Phone], host: Host) -> None:
    """What the phone keeps is found by the next start with no server; a job begun since is in the answers and never in the memory.
    Cut short, or of another runtime, it is dropped, the start goes on from nothing, and the job is there."""
    held = phone()
    held.on()
    host.stop()
    assert held.page.evaluate(KEPT) > 10_000_000
    assert held.fetch("app/this-phone", {"by": "Quillfeather"})[0] == 204
    held.open("app/")
    assert held.page.evaluate("window.marks.woken") is True
    assert "Quillfeather" in held.fetch("app/this-phone")[1]
    assert held.page.evaluate(FOUND, "nothing waits here") is True
    assert held.page.evaluate(FOUND, "Quillfeather") is False
    for spoils in SPOILT.values():
        held.page.evaluate(spoils)
        held.open("app/")
        assert held.page.evaluate("window.marks.woken") is False
        assert "Quillfeather" in held.fetch("app/this-phone")[1]
        held.page.evaluate(KEPT)
    assert held.strange() == []
