"""The phone with no server: kept whole on the first visit, answered by the page from then on, and it forgets nothing."""
from __future__ import annotations

import hashlib
import json
import random
from collections.abc import Callable
from math import fsum
from pathlib import Path

import pytest

from spareway.tables.books import editions_on
from spareway.web.clock import today
from spareway.web.site import Built
from tests.web.conftest import Visit
from tests.web.hosting import Host
from tests.web.phone import ROOT, Phone
from tests.web.test_shown import AWAITED, SHOWN

MOST_FIRST_VISIT_BYTES, KILLS = 8_000_000, 10
JOB = {"called": "Mill House", "nation": "England", "earthing": "TN-S", "edition": editions_on(today())[0]}


def test_first_visit_then_no_server_then_a_new_browser(visit: Visit, mortal: Phone, built: tuple[Path, Built]) -> None:
    """One visit fetches at most 8 MB; a new browser process starts on what it kept, with the server stopped; a form is posted by
    touch, and the page loaded again finds it. The engine in the page has the digest of the sources under test."""
    held, before = mortal, len(mortal.strange())
    assert int(fsum(size for _, size in visit.sent)) <= MOST_FIRST_VISIT_BYTES, visit.sent
    assert [name for name, _ in visit.sent].count("py/pyodide.asm.wasm") == 1
    assert visit.strange == []
    taps = held.taps
    held.go("app/this-phone", "#by")
    held.page.fill("#by", "Jo Bell")
    held.tap("button:text-is('Keep')")
    held.page.wait_for_selector(".sill")
    assert held.taps == taps + 1
    held.open("app/this-phone")
    assert held.page.input_value("#by") == "Jo Bell"
    held.page.wait_for_selector(f"[data-about]:has-text('{built[1].engine_sha256[:16]}')")
    assert held.strange()[before:] == []


def test_the_digest_is_that_of_the_sources(built: tuple[Path, Built]) -> None:
    """Worked out here once more from the files of the tree: a changed source gives another digest."""
    root, own = ROOT / "src" / "spareway", hashlib.sha256()
    home = {"cli", "press", "fast", "season", "api_season.py"}
    kept = [f.relative_to(root) for f in root.rglob("*") if f.is_file() and "__pycache__" not in f.parts]
    kept = [f for f in kept if f.parts[0] not in home and not (f.parts[0] == "web" and (f.parts[1] == "static" or f.name in (
        "serve.py", "site.py", "authority.py", "pack.mjs", "server_photos.py")))]
    pocket = {"__init__.py", "pocket.py", "words.py", "templates/pocket.html"}
    kept = [f for f in kept if f.parts[0] != "papers" or "/".join(f.parts[1:]) in pocket]
    for name in sorted(f"spareway/{f.as_posix()}" for f in kept):
        own.update(name.encode() + b"\0" + (root.parent / name).read_bytes())
    assert own.hexdigest() == built[1].engine_sha256
    assert json.loads((built[0] / "engine.json").read_text())["sha256"] == built[1].engine_sha256


def begun(held: Phone, called: str = "Mill House") -> str:
    """A phone with a name and one job of its own, of a name that no other job there has; the job's address."""
    assert held.fetch("app/this-phone", {"by": "JB"})[0] == 204
    assert held.fetch("app/new", {**JOB, "called": called})[0] == 204
    return f"app/jobs/{called.lower().replace(' ', '-')}/"


STREAM = """async (to) => { for (let n = 0; ; n++) {
    const r = await fetch(to, {method: 'POST', body: new URLSearchParams({says: `seen number ${n}.`}), headers: {'HX-Request': 'true'}});
    if (r.status !== 204) throw new Error(await r.text());
    console.info(`kept ${n}`); } }"""


def test_killed_at_random_moments_nothing_acknowledged_is_lost(mortal: Phone) -> None:
    """SIGKILL to the whole browser while entries are posted one after another: each that was answered is there after a start
    with no server, in order, with no gap, and at most the one under way came besides. The last time somebody types fast and
    without a pause as well: some of it is on the disk before they pause, and stands in its field again.
    What an offline start and a screen took is printed only: `make bench WHICH=phone` holds it on a quiet machine."""
    held, before = mortal, len(mortal.strange())
    job = begun(held, "Mill Kills")
    kept, wrong = kills(held, job, random.Random(20261125), KILLS - 1)
    assert wrong == []
    assert kept > KILLS
    held.go(f"{job}seen", "#says")
    streaming(held, job)
    written = str(held.page.evaluate(TYPED, TYPING))
    held.kill()
    held.on(f"{job}seen")
    held.page.wait_for_function("document.querySelector('#says')?.value")
    there = held.page.input_value("#says")
    assert written != ""
    assert TYPING.startswith(there)
    assert there.startswith(written), written
    assert held.strange()[before:] == []
    screen_ms = held.page.evaluate(TIMED, held.path(job))
    print(f"offline start and screen: {held.page.evaluate('JSON.stringify(window.marks)')}; {screen_ms:.1f} ms a screen")


TIMED = """async (to) => { const t = []; for (let i = 0; i < 15; i++) { const a = performance.now();
    await (await fetch(to, {headers: {'HX-Request': 'true'}})).text(); t.push(performance.now() - a); } return t.sort((a, b) => a - b)[7]; }"""


TYPING = "cracked cover, seal gone, " * 40
# a letter every 60 ms with no pause until some of them are on the disk, and on from there; what was on the disk then
TYPED = """async (text) => { const { open, one } = await import(new URL('store.js', document.baseURI)), db = await open(), entry = document.querySelector('#says');
    for (let n = 1; n <= text.length; n++) {
        entry.value = text.slice(0, n);
        entry.dispatchEvent(new Event('input', { bubbles: true }));
        await new Promise((go) => setTimeout(go, 60));
        const kept = await one(db, 'drafts', entry.dataset.draft);
        if (kept) { setInterval(() => { entry.value = text.slice(0, ++n); entry.dispatchEvent(new Event('input', { bubbles: true })); }, 60); return kept; }
    }
    return ''; }"""


def streaming(held: Phone, job: str) -> list[str]:
    """Entries posted one after another from now on; the list grows by each that was answered."""
    acknowledged: list[str] = []
    held.page.on("console", lambda line: acknowledged.append(line.text) if line.text.startswith("kept ") else None)
    held.page.evaluate("(to) => { (" + STREAM + ")(to); }", held.path(f"{job}seen"))
    return acknowledged


def kills(held: Phone, job: str, dice: random.Random, times: int) -> tuple[int, list[str]]:
    """(entries there in the end, what was lost or made up at which kill)."""
    before, wrong = 0, list[str]()
    for number in range(times):
        acknowledged = streaming(held, job)
        held.page.wait_for_timeout(dice.uniform(30, 400))
        held.kill()
        held.on()
        after = observations(held, job)
        if after - before not in (len(acknowledged), len(acknowledged) + 1):
            wrong.append(f"kill {number}: {before} and {len(acknowledged)} acknowledged, {after} there")
        before = after
    return before, wrong


def observations(held: Phone, job: str) -> int:
    """Rows of the job that the phone would carry away; their words in full."""
    said = held.page.evaluate("async (to) => new TextDecoder('latin1').decode(await (await fetch(to)).arrayBuffer())", held.path(f"{job}job.zip"))
    return str(said).count("seen number ")


# the browser's own ways to refuse: the whole transaction at its end, or one thing of several when it is asked for
BREAKS = {
    "full": "() => { self.sound = IDBObjectStore.prototype.put; IDBObjectStore.prototype.put = function (...a) "
            "{ const asked = self.sound.apply(this, a); this.transaction.abort(); return asked; }; }",
    "half way": "() => { self.sound = IDBObjectStore.prototype.put; self.n = 0; IDBObjectStore.prototype.put = function (...a) "
                "{ if (self.n++ === 1) throw new DOMException('no room', 'QuotaExceededError'); return self.sound.apply(this, a); }; }"}


def test_what_cannot_be_written_down_is_not_shown_as_kept(standing: Phone) -> None:
    """Where the browser refuses to write, the entry is refused in words, no screen shows it, and the next is kept alone."""
    held = standing
    job = begun(held, "Mill Full")
    for number, how in enumerate(BREAKS):
        assert observations(held, job) == number
        (worker,) = held.page.workers
        worker.evaluate(BREAKS[how])
        status, says = held.fetch(f"{job}seen", {"says": "seen number 1."})
        assert (status, says.startswith("Not kept.")) == (500, True), how
        assert observations(held, job) == number, how
        worker.evaluate("() => { IDBObjectStore.prototype.put = self.sound; }")
        assert held.fetch(f"{job}seen", {"says": "seen number 2."})[0] == 204
        held.open(job)
        assert observations(held, job) == number + 1, how


def test_two_tabs_are_never_two_phones(standing: Phone) -> None:
    """A second tab waits and says so; it goes on when the first is closed."""
    first = standing.page
    second = standing.hold(first.context.new_page())
    second.goto(standing.url)
    second.wait_for_selector("text=open in another tab")
    assert second.get_attribute("html", "data-ready") is None
    first.close()
    second.wait_for_selector("html[data-ready=yes]")


def test_a_newer_version_asks_before_it_takes_over(phone: Callable[..., Phone], host: Host) -> None:
    """A changed site is fetched whole and waits; the page goes on with its own until a person says so, and keeps what it kept."""
    held = phone()
    held.on()
    assert held.fetch("app/this-phone", {"by": "JB"})[0] == 204
    held.page.evaluate(AWAITED, held.path("app/"))
    worker = host.folder / "sw.js"
    old = {file: file.read_bytes() for file in (worker, worker.with_name("sw.js.gz")) if file.exists()}
    try:
        worker.with_name("sw.js.gz").unlink(missing_ok=True)
        version = next(line for line in worker.read_text().splitlines() if line.startswith("const VERSION"))
        worker.write_text(worker.read_text().replace(version, 'const VERSION = "the-next";'))
        held.page.evaluate("navigator.serviceWorker.getRegistration().then((r) => r.update())")
        held.page.wait_for_selector("#newer:not([hidden])")
        assert len(held.page.evaluate("caches.keys()")) == 2
        host.stop()
        with held.page.expect_navigation():
            held.page.click("#newer button")
        held.page.wait_for_selector("html[data-ready=yes]")
        assert held.page.evaluate("caches.keys()") == ["the-next"]
        assert held.page.evaluate(SHOWN) == {}
        assert "JB" in held.fetch("app/this-phone")[1]
    finally:
        for file, data in old.items():
            file.write_bytes(data)


@pytest.mark.parametrize("name", ["../escape", "a/b", ".hidden", ""])
def test_a_job_cannot_lie_outside_the_folder(tmp_path: Path, name: str) -> None:
    """On a laptop no job's name leads out of the folder of jobs."""
    from spareway.web.shelf import FolderShelf, NoJob
    shelf = FolderShelf(tmp_path / "jobs")
    (tmp_path / "jobs").mkdir()
    with pytest.raises(NoJob):
        shelf.save(name, {"job.toml": ""})
    assert sorted(each.name for each in tmp_path.rglob("*")) == ["jobs"]
