"""The engine's memory, kept by the phone after its first start: used by the next, dropped when it does not fit, with no job in it."""
from __future__ import annotations

import pytest

from spareway.web import record
from spareway.web.bridge import at_once
from spareway.web.waking import WALK, walked
from tests.web.conftest import Visit
from tests.web.phone import KEPT, Phone

# cut short in its head, in its list of pages, in a page: what the worker's own module says of it
CUT = """async (lengths) => { const { kept, filled } = await import(new URL('woken.js', document.baseURI)), at = new URL('py/woken', document.baseURI),
    [name] = await caches.keys(), whole = await (await caches.match(at)).blob(), put = async (what) => (await caches.open(name)).put(at, new Response(what)), said = [];
    for (const length of lengths) {
        await put(whole.slice(0, length));
        try { filled({HEAP8: new Int8Array(1 << 16), growMemory() { this.HEAP8 = new Int8Array(1 << 27); return true; }}, await kept()); said.push('taken'); }
        catch (fault) { said.push(fault.name); }
    }
    await put(whole);
    return said; }"""
OF_ANOTHER_RUNTIME = """async () => { const at = new URL('py/woken', document.baseURI), [name] = await caches.keys(), kept = await (await caches.match(at)).arrayBuffer(),
    words = new Uint32Array(kept); words[3 + words[2] + 4] ^= 1; await (await caches.open(name)).put(at, new Response(kept)); }"""
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


def test_the_next_start_is_from_memory_and_a_spoilt_one_from_nothing(visit: Visit, mortal: Phone) -> None:
    """What the phone keeps is found by the next start with no server; a job begun since is in the answers and never in the memory.
    One of another runtime is dropped, the start goes on from nothing, the job is there, and a new memory is kept."""
    held, before = mortal, len(mortal.strange())
    assert visit.memory_bytes > 10_000_000
    assert held.fetch("app/this-phone", {"by": "Quillfeather"})[0] == 204
    held.open("app/")
    assert held.page.evaluate("window.marks.woken") is True
    assert "Quillfeather" in held.fetch("app/this-phone")[1]
    assert held.page.evaluate(FOUND, "nothing waits here") is True
    assert held.page.evaluate(FOUND, "Quillfeather") is False
    held.page.evaluate(OF_ANOTHER_RUNTIME)
    held.open("app/")
    assert held.page.evaluate("window.marks.woken") is False
    assert "Quillfeather" in held.fetch("app/this-phone")[1]
    assert held.page.evaluate(KEPT) > 10_000_000
    assert held.strange()[before:] == []


def test_a_memory_cut_short_is_never_taken(standing: Phone) -> None:
    """Wherever it ends too early it is refused before Python wakes in it, which sends the start to nothing, as above."""
    said = standing.page.evaluate(CUT, [0, 8, 16, 4000, 100_000, 10_000_000])
    assert said == ["RangeError", "RangeError", "RangeError", "Error", "Error", "Error"]
