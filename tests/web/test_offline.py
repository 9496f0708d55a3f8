"""The phone with no server: kept whole on the first visit, answered by the page from then on, and it forgets nothing."""
from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from spareway.web.site import Built
from tests.web.hosting import Host
from tests.web.phone import Phone

NEW = {"called": "Mill House", "nation": "England", "earthing": "", "edition": ""}


def test_first_visit_then_no_server_then_a_new_browser(phone: Callable[..., Phone], host: Host, built: tuple[Path, Built]) -> None:
    """With the server stopped the page loads, a form is posted by touch, and a new browser process finds what was kept."""
    held = phone()
    held.on()
    names = [name for name, _ in host.sent]
    assert "py/pyodide.asm.wasm" in names
    host.stop()
    before = len(host.sent)
    held.open("app/")
    held.page.fill("#by", "JB")
    held.tap("button:text-is('Keep')")
    held.page.wait_for_selector("text=No job here yet")
    assert held.taps == 1
    held.off()
    held.on("app/this-phone")
    assert held.page.input_value("#by") == "JB"
    assert len(host.sent) == before
    assert held.strange() == []
