"""What the last screens said, kept by the phone: its next start shows one before the engine is awake, and never one that was overtaken."""
from __future__ import annotations

import pytest

from tests.web.phone import Phone
from tests.web.stage import take, texts, zipped

JOB = "app/jobs/shown/"
FINDINGS, RING = f"{JOB}findings?stage=found", f"{JOB}test/ring-ground?test=3"
# every answer that is kept, by its address
SHOWN = """async () => { const found = {};
    for (const name of await caches.keys()) {
        const kept = await caches.open(name);
        for (const request of await kept.keys()) if (request.url.includes('/shown/'))
            found[decodeURIComponent(request.url.split('/').at(-1))] = await (await kept.match(request)).text();
    }
    return found; }"""
AWAITED = f"""async (address) => {{ for (let n = 0; n < 400; n++) {{ if (address in await ({SHOWN})()) return; await new Promise((go) => setTimeout(go, 50)); }}
    throw new Error(`${{address}} was never kept`); }}"""
OF_ANOTHER_DAY = """async () => { for (const name of await caches.keys()) {
    const kept = await caches.open(name);
    for (const request of await kept.keys()) if (request.url.includes('/shown/')) {
        await kept.put(request.url.replace(/shown\\/[-0-9]+/, 'shown/2020-1-1'), await kept.match(request));
        await kept.delete(request); } } }"""
ASLEEP = """const post = Worker.prototype.postMessage;
    Worker.prototype.postMessage = function (told, ...more) { setTimeout(() => post.call(this, told, ...more), 'start' in told ? 3000 : 0); };"""


@pytest.fixture
def held(mortal: Phone) -> Phone:
    """A phone with the cottage on it, its engine awake."""
    if mortal.fetch(JOB)[0] != 200:
        assert mortal.fetch("app/this-phone", {"by": "AB"})[0] == 204
        take(mortal, zipped(texts("weir-cottage")), "shown")
    return mortal


def rested(phone: Phone, path: str) -> None:
    """A screen that a person looks at for a while."""
    phone.open(path)
    phone.page.evaluate(AWAITED, phone.path(path))


def test_a_start_shows_at_once_what_the_engine_would(held: Phone) -> None:
    """The battery falls out: the next start stands on what was shown last, which to the byte is what the engine says once it is awake."""
    before = len(held.strange())
    rested(held, FINDINGS)
    said = held.page.inner_text("main")
    held.kill()
    held.on(FINDINGS)
    marks = held.page.evaluate("window.marks")
    assert marks["early"] is True
    assert marks["shown_ms"] < marks["ready_ms"]
    assert held.page.inner_text("main") == said
    assert held.page.evaluate(SHOWN)[held.path(FINDINGS)] == held.fetch(FINDINGS)[1]
    assert held.page.is_hidden("#waking")
    assert held.strange()[before:] == []


def test_whoever_writes_forgets_them_first(held: Phone) -> None:
    """After one thing is written none is there, and the next start waits for the engine, which knows of it."""
    rested(held, f"{JOB}seen")
    assert held.fetch(f"{JOB}seen", {"says": "Dust behind the meter."})[0] == 204
    assert held.page.evaluate(SHOWN) == {}
    held.open(f"{JOB}at/meter%20cabinet?id=all")
    assert held.page.evaluate("window.marks.early") is False


def test_the_first_screen_of_all_is_kept_while_nobody_asks(held: Phone) -> None:
    """An icon leads to the list of jobs: it stands at once although nobody looked at it since something was written."""
    assert held.fetch(f"{JOB}seen", {"says": "Rust on the tray."})[0] == 204
    held.go(f"{JOB}seen")
    held.page.evaluate(AWAITED, held.path("app/"))
    held.open()
    assert held.page.evaluate("window.marks.early") is True
    assert held.page.evaluate(SHOWN)[held.path("app/")] == held.fetch("app/")[1]


def test_of_another_day_or_with_the_minute_in_it_none_is_shown(held: Phone) -> None:
    """What a screen says may rest on the day; the end of a call tells the minute."""
    rested(held, FINDINGS)
    held.page.evaluate(OF_ANOTHER_DAY)
    held.open(FINDINGS)
    assert held.page.evaluate("window.marks.early") is False
    held.open("app/call?fire=yes")
    rested(held, FINDINGS)
    assert [address for address in held.page.evaluate(SHOWN) if "/app/call" in address] == []


def test_what_is_entered_before_the_engine_is_awake_is_kept(held: Phone) -> None:
    """The engine held back for three seconds: the keypad stands, a line says that it wakes, and the reading is kept once it has."""
    rested(held, RING)
    assert held.context is not None
    page = held.hold(held.context.new_page())
    for old in held.context.pages[:-1]:
        old.close()
    page.add_init_script(ASLEEP)
    page.goto(held.url + RING)
    page.wait_for_selector(".pad")
    for key in ("0", ".", "6", "1"):
        page.tap(f"button[data-key='{key}']")
    page.wait_for_selector("#waking:not([hidden])")
    assert page.get_attribute("html", "data-ready") is None
    page.tap("button:text-is('Keep, and next')")
    page.wait_for_selector("html[data-ready=yes]")
    page.wait_for_selector("main:has-text('Kept as it was written: nought point six one ohms')")
    assert page.is_hidden("#waking")
