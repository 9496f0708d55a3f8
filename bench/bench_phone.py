"""The phone's pages in real Chromium with the server stopped: first visit, offline start, a screen, a check, a tap."""
from __future__ import annotations

import statistics
import time
from pathlib import Path
from tempfile import TemporaryDirectory

from playwright.sync_api import sync_playwright

from bench.held import cpu_s, held_to
from spareway import api
from spareway.folder import read_folder
from spareway.web.site import build
from tests.web.hosting import Host
from tests.web.phone import KEPT, ROOT, Phone
from tests.web.test_picture import SLOWED, redraws, shown, slowed
from tests.web.test_screens import brought_in
from tests.web.test_shown import AWAITED

STARTS, SCREENS, TAPS, QUARTER = 5, 30, 15, 0.25
# as the page itself asks: of its engine, not by way of the service worker
TIMED = """async ([to, n]) => { const { asked } = await import(new URL('asked.js', document.baseURI)), t = [];
  for (let i = 0; i < n; i++) {
    const a = performance.now();
    await (await asked(to, {headers: {'HX-Request': 'true'}})).text(); t.push(performance.now() - a); }
    return t; }"""

def run() -> list[str]:
    """Lines for `make bench`: medians, with the best of them, in milliseconds."""
    with TemporaryDirectory() as folder, sync_playwright() as driver:
        started = time.perf_counter()
        built = build(Path(folder) / "site", ROOT / "node_modules")
        build_s = time.perf_counter() - started
        host = Host(Path(folder) / "site")
        host.start()
        phone = Phone(driver, Path(folder) / "profile", host.url)
        started = time.perf_counter()
        phone.on()
        first_s = time.perf_counter() - started
        try:
            host.stop()
            phone.page.evaluate(KEPT)
            phone.fetch("app/this-phone", {"by": "AB"})
            brought_in(phone)
            visit = f"site built in {build_s:.1f} s; first visit {first_s:.1f} s, {built.first_visit_bytes} bytes gzipped"
            return [visit, *_timed(phone), *_tapped(phone), *_held(phone), _check_here()]
        finally:
            phone.off()
            host.stop()


def _timed(phone: Phone) -> list[str]:
    lines = [*_started(phone, "offline start to first screen", written=True),
             *_started(phone, "the same, nothing written since it was shown")]
    lines.append(f"of the last start: {phone.page.evaluate('JSON.stringify(window.marks, (k, v) => v.toFixed?.(0) ?? v)')}")
    checks = []
    for n in range(STARTS):
        phone.fetch("app/jobs/weir/seen", {"says": f"Dust, {n}."})
        checks += phone.page.evaluate(TIMED, [phone.path("app/jobs/weir/check.json"), 1])
    lines.append(_line("whole check of the cottage after a change, with its working, in the page", checks))
    for path in ("", "at/meter%20cabinet", "picture", "findings", "rooms", "rooms/room?of=living", "demand", "chain", "operator"):
        times_ms = phone.page.evaluate(TIMED, [phone.path(f"app/jobs/weir/{path}"), SCREENS])
        lines.append(_line(f"screen {path or 'places'}", times_ms))
    return lines


def _tapped(phone: Phone) -> list[str]:
    phone.open("app/jobs/weir/")
    shown(phone)
    lines = [_line("tap to redrawn picture", redraws(phone, TAPS))]
    slowed(phone, SLOWED)
    lines.append(_line(f"the same with the page slowed {SLOWED} times (the engine's thread is not)", redraws(phone, TAPS)))
    slowed(phone, 1)
    return lines


def _started(phone: Phone, says: str, written: bool = False) -> list[str]:
    """Starts, with what all processes of the browser used of the cores from the address asked for until the engine was awake.

    written: something was, so that the first screen waits for the engine; else it stands as it was last shown."""
    shown_ms, awake_ms, used_ms, share = list[float](), list[float](), list[float](), list[float]()
    for n in range(STARTS):
        if written:
            phone.fetch("app/jobs/weir/seen", {"says": f"Soot, {n}."})
        else:
            phone.open("app/jobs/weir/")
            phone.page.evaluate(AWAITED, phone.path("app/jobs/weir/"))
        used_s, at_s = cpu_s(phone.profile), time.perf_counter()
        phone.open("app/jobs/weir/")
        marks = phone.page.evaluate("window.marks")
        if marks["early"] is written:
            raise AssertionError(f"a start that {'waits for' if written else 'does not wait for'} the engine was asked for")
        shown_ms.append(float(marks["shown_ms"]))
        awake_ms.append(float(marks["ready_ms"]))
        used_ms.append(1000 * (cpu_s(phone.profile) - used_s))
        share.append(used_ms[-1] / 1000 / (time.perf_counter() - at_s))
    return [_line(says, shown_ms), _line("  until its engine was awake", awake_ms),
            _line("  used on the cores by all its processes", used_ms), f"  so it had {statistics.median(share):.2f} of one core"]


def _held(phone: Phone) -> list[str]:
    """All of the browser on a quarter of one core: its engine too."""
    with held_to(phone.profile, QUARTER):
        lines = [_line("tap to redrawn picture, all of the browser held to a quarter core", redraws(phone, TAPS))]
        return [*lines, *_started(phone, "offline start to first screen, held to a quarter core", written=True),
                *_started(phone, "the same, nothing written since it was shown")]


def _check_here() -> str:
    """The same check under CPython, for the ratio."""
    files, times = read_folder(ROOT / "examples" / "weir-cottage"), []
    for _ in range(9):
        start = time.perf_counter()
        api.check(files, None, full=True)
        times.append(1000 * (time.perf_counter() - start))
    return _line("whole check of the cottage under CPython", times)


def _line(says: str, times_ms: list[float]) -> str:
    return f"{says}: median {statistics.median(times_ms):.1f} ms, best {min(times_ms):.1f} ms"
