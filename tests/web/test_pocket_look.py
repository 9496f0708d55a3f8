"""The pocket page opened as a file in a real browser with nothing to ask: every rule of access, no sideways scroll, no request."""
from __future__ import annotations

from pathlib import Path

import pytest

from spareway.api import pocket_page
from tests.papers.made import texts
from tests.web.phone import Phone
from tests.web.test_screens import THEMES, WIDTHS, unexplained


@pytest.mark.parametrize(("name", "stage"), [("weir-cottage", "found"), ("ridge-annexe", "proposed")])
def test_it_can_be_read_with_nothing_but_the_file(standing: Phone, tmp_path: Path, name: str, stage: str) -> None:
    """Light and dark: axe finds nothing, at three widths nothing sticks out sideways, and the file asks for nothing else."""
    file = tmp_path / "pocket.html"
    file.write_text(pocket_page(texts(name), stage), "utf-8")
    held, phones_own, before = standing, standing.page, len(standing.complaints)
    page = held.hold(phones_own.context.new_page())
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(file.as_uri())
    for theme in THEMES[:2]:
        page.emulate_media(color_scheme="dark" if theme == "dark" else "light")
        page.set_viewport_size({"width": 360, "height": 740})
        assert unexplained(held.axe()) == [], theme
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 740})
            assert page.evaluate("document.documentElement.scrollWidth") <= width, (theme, width)
    page.close()
    held.hold(phones_own)
    assert asked == [file.as_uri()]
    assert held.complaints[before:] == []
