"""A phone for the tests: a real Chromium of a phone's size with a profile of its own, that can be killed and started again.

Everything it asks for is counted: `strays` are requests to any host but loopback. Taps are pointer events that the browser saw."""
from __future__ import annotations

import os
import shutil
import signal
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from playwright.sync_api import BrowserContext, Page, Playwright
from playwright.sync_api import Error as BrowserGone

ROOT = Path(__file__).parents[2]
CHROMIUM = shutil.which("chromium") or "chromium"
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
         "--disable-component-update", "--disable-sync", "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1"]
READY_MS = 60_000
COUNT_TAPS = "addEventListener('pointerdown', (e) => { if (e.isTrusted) sessionStorage.taps = 1 + Number(sessionStorage.taps ?? 0); }, true);"
AXE = ROOT / "node_modules" / "axe-core" / "axe.min.js"

# once the engine's memory is kept for the next start: its size
KEPT = """async () => { for (;;) { const kept = await caches.match(new URL('py/woken', document.baseURI));
    if (kept) return (await kept.blob()).size; await new Promise((go) => setTimeout(go, 50)); } }"""

# every thing that a finger is meant for, with the box that it may be hit in; a link in a sentence is text
TARGETS_JS = """() => {
  const seen = [...document.querySelectorAll('a[href], button, input:not([type=hidden]), select, textarea, summary, [role=button]')]
    .filter((e) => e.checkVisibility({ visibilityProperty: true }) && !e.closest('.unseen') && !e.disabled);
  return seen.map((e) => {
    const b = (e.labels?.[0] && ['file', 'radio', 'checkbox'].includes(e.type) ? e.labels[0] : e).getBoundingClientRect();
    return { says: (e.getAttribute('aria-label') || e.textContent || e.name || e.id || e.tagName).trim().slice(0, 40),
             x: b.left, y: b.top, w: b.width, h: b.height, inside: seen.some((o) => o !== e && o.contains(e)),
             stuck: Boolean(e.closest('.sill, .top')), drawn: Boolean(e.closest('svg')) };
  }).filter((t) => t.w && t.h && !t.inside); }"""

# every word of a key whose letters stand on two lines
BROKEN_JS = r"""() => [...document.querySelectorAll('.key, .chip')].filter((k) => k.checkVisibility()).flatMap((k) => {
  const walk = document.createTreeWalker(k, NodeFilter.SHOW_TEXT), found = [];
  for (let text; (text = walk.nextNode());)
    for (const word of text.data.matchAll(/[^\s]+/g)) {
      const range = document.createRange();
      range.setStart(text, word.index); range.setEnd(text, word.index + word[0].length);
      const lines = new Set([...range.getClientRects()].map((r) => Math.round(r.top)));
      if (lines.size > 1 && !text.parentElement.closest('.unseen')) found.push(`${k.textContent.trim()}: ${word[0]} is broken`);
    }
  return found; })"""


class Phone:
    """One phone. `size`: CSS pixels across and down; `scale`: pixels of a picture of it to one of these."""

    def __init__(self, driver: Playwright, profile: Path, url: str, size: tuple[int, int] = (360, 740), scale: float = 1) -> None:
        self.driver, self.profile, self.url, self.size, self.scale = driver, profile, url, size, scale
        self.strays: list[str] = []
        self.complaints: list[str] = []
        self.context: BrowserContext | None = None
        self._page: Page | None = None

    @property
    def page(self) -> Page:
        assert self._page is not None, "the phone is switched off"
        return self._page

    # ---- on and off -----------------------------------------------------------------------------------------------
    def on(self, path: str = "") -> Page:
        """Starts the browser and opens the site, or the address below it; returns once the first screen is shown."""
        self.start()
        return self.open(path)

    def start(self) -> Page:
        """The browser with an empty page."""
        self.context = self.driver.chromium.launch_persistent_context(
            self.profile, executable_path=CHROMIUM, args=FLAGS, viewport={"width": self.size[0], "height": self.size[1]},
            device_scale_factor=self.scale, has_touch=True, is_mobile=True, reduced_motion="reduce")
        self.context.add_init_script(COUNT_TAPS)
        self.context.on("request", lambda request: self._asked(request.url))
        return self.hold(self.context.pages[0] if self.context.pages else self.context.new_page())

    def hold(self, page: Page) -> Page:
        """This page of its browser is the one before us from now on."""
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.on("console", lambda line: self.complaints.append(line.text) if line.type == "error" else None)
        self._page = page
        return page

    def open(self, path: str = "") -> Page:
        """An address of the site, or the same page again."""
        self.page.goto(self.url + path)
        self.page.wait_for_selector("html[data-ready=yes]", timeout=READY_MS)
        return self.page

    def off(self) -> None:
        if self.context is not None:
            self.context.close()
        self.context = self._page = None

    def kill(self) -> None:
        """The battery falls out: SIGKILL to every process of this browser and of no other."""
        marker = f"--user-data-dir={self.profile}".encode()
        for folder in Path("/proc").iterdir():
            try:
                ours = folder.name.isdigit() and marker in (folder / "cmdline").read_bytes()
            except (FileNotFoundError, ProcessLookupError):
                continue                                    # ended since we looked
            if ours:
                os.kill(int(folder.name), signal.SIGKILL)
        assert self.context is not None
        try:
            self.context.close()
        except BrowserGone:
            self.context = None
        self.context = self._page = None
        for left in ("SingletonLock", "SingletonCookie", "SingletonSocket"):
            (self.profile / left).unlink(missing_ok=True)

    def _asked(self, url: str) -> None:
        if not url.startswith((self.url, "blob:", "data:", "about:", "chrome:")):
            self.strays.append(url)

    # ---- a hand -----------------------------------------------------------------------------------------------------
    def tap(self, selector: str) -> None:
        """One touch in the middle of the first such thing, and whatever it leads to is shown."""
        self.page.locator(selector).first.tap()
        self.settled()

    def settled(self) -> None:
        """No request of the page is under way."""
        self.page.wait_for_selector(".htmx-request", state="detached")
        self.page.wait_for_selector("#screen main")

    @property
    def taps(self) -> int:
        """Pointer events that the browser saw in this tab so far."""
        return int(self.page.evaluate("Number(sessionStorage.taps ?? 0)"))

    def go(self, path: str, until: str = "#screen main") -> None:
        """A screen by its address, without a reload."""
        self.page.evaluate("(to) => htmx.ajax('GET', to, {target: '#screen', swap: 'innerHTML'})", self.path(path))
        self.page.wait_for_selector(until)

    def path(self, path: str) -> str:
        return "/" + self.url.split("/", 3)[3] + path

    def fetch(self, path: str, form: dict[str, str] | None = None) -> tuple[int, str]:
        """(status, text) of an answer of the app, as the page's own script would ask for it."""
        asked = """async ([to, form]) => { const r = await fetch(to, form ? {method: 'POST', body: new URLSearchParams(form),
            headers: {'HX-Request': 'true'}} : {headers: {'HX-Request': 'true'}}); return [r.status, await r.text()]; }"""
        status, text = self.page.evaluate(asked, [self.path(path), form])
        return status, text

    # ---- measures -----------------------------------------------------------------------------------------------------
    def axe(self) -> list[str]:
        """Every violation and every incomplete of the accessibility rules, as `rule: what: element`."""
        if not self.page.evaluate("'axe' in window"):
            self.page.evaluate(AXE.read_text("utf-8"))
        now = self.page.viewport_size or {"width": self.size[0], "height": self.size[1]}
        tall_px = max(now["height"], self.page.evaluate("document.documentElement.scrollHeight"))
        self.page.set_viewport_size({"width": now["width"], "height": tall_px})      # so that nothing stuck stands over what is asked
        found = self.page.evaluate("axe.run({resultTypes: ['violations', 'incomplete']})")
        self.page.set_viewport_size(now)
        return [f"{each['id']}: {kind}: {node['html'][:120]}: {node.get('failureSummary', '')[:200]}"
                for kind in ("violations", "incomplete") for each in found[kind] for node in each["nodes"]]

    def targets(self, least_px: float = 48, apart_px: float = 8) -> list[str]:
        """Things to touch that are too small, and pairs that stand too near; a stop at 0.5 px for rounding.

        In a drawing 48 px are enough, gloves or not: a wider finger touches what is named below it as well."""
        boxes = self.page.evaluate(TARGETS_JS)
        found = [f"{b['says']}: {b['w']:.0f} x {b['h']:.0f} px" for b in boxes if min(b["w"], b["h"]) < (min(least_px, 48) if b["drawn"] else least_px) - 0.5]
        for i, a in enumerate(boxes):
            found += [f"{a['says']} | {b['says']}: {gap_px(a, b):.1f} px apart" for b in boxes[i + 1:]
                      if a["stuck"] == b["stuck"] and gap_px(a, b) < apart_px - 0.5]    # what is stuck stands over what scrolls
        return found

    def sideways(self) -> list[str]:
        """What sticks out to the right at the width that the page now has, where a person would have to scroll both ways."""
        return list(self.page.evaluate("""() => document.documentElement.scrollWidth <= innerWidth ? [] :
            [...document.querySelectorAll('#screen *')].filter((e) => e.getBoundingClientRect().right > innerWidth + 0.5)
            .slice(0, 5).map((e) => e.outerHTML.slice(0, 100))"""))

    def broken(self) -> list[str]:
        """Words of keys that do not stand on one line at the width that the page now has."""
        return list(self.page.evaluate(BROKEN_JS))

    def strange(self) -> Sequence[str]:
        """Requests that left loopback, and faults that the page complained of."""
        return [*self.strays, *self.complaints]


def gap_px(a: dict[str, Any], b: dict[str, Any]) -> float:
    """The shortest way between two boxes, along an axis; 0 where they overlap."""
    across = max(a["x"] - b["x"] - b["w"], b["x"] - a["x"] - a["w"], 0.0)
    down = max(a["y"] - b["y"] - b["h"], b["y"] - a["y"] - a["h"], 0.0)
    return float(max(across, down))
