"""docs/phone.md: its pictures, its words and the app's own addresses name the same screens."""
from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import unquote

from PIL import Image
from starlette.routing import Mount, Route, compile_path

from spareway.web.app import make_app
from spareway.web.shelf import MemoryShelf
from tests.web.phone import ROOT
from tests.web.screens import FILES, PARTS, SCREENS
from tools.screenshots import MOST_BYTES, PICTURES, SCALE, SIZE, THEMES, page, picture_name

MOST_BYTES_IN_ALL = 2_600_000


def shown() -> Iterator[str]:
    """Every address of the app that answers with a screen."""
    for mount in make_app(MemoryShelf(), "phone").routes:
        assert isinstance(mount, Mount)
        for route in mount.routes:
            assert isinstance(route, Route)
            if "GET" in (route.methods or ()) and route.path not in (*FILES, *PARTS):
                yield route.path


def test_every_screen_has_its_picture_and_every_address_its_screen() -> None:
    """Each address that shows a screen is walked through, and each screen walked through is an address of the app."""
    patterns = {path: compile_path(f"/app{path}")[0] for path in shown()}
    reached = {screen.name: next((path for path, pattern in patterns.items() if pattern.match("/" + unquote(screen.path.partition("?")[0]))), "")
               for screen in SCREENS}
    assert [name for name, path in reached.items() if not path] == []
    assert set(patterns) - set(reached.values()) == set()


def test_the_page_and_its_pictures_are_those_of_the_list() -> None:
    """The text is what the script would write today; each picture it names is there, of its size, and none besides."""
    assert (ROOT / "docs" / "phone.md").read_text("utf-8") == page()
    named = set(re.findall(r'src="phone/([^"]+)"', page()))
    assert named == {file.name for file in PICTURES.iterdir()}
    assert {picture_name(screen, "light") for screen in SCREENS} <= named
    assert len([name for name in named if name.endswith(("-dark.png", "-bright.png"))]) >= 2 * 6
    assert len(THEMES) == 3
    sizes = [Path(PICTURES / name).stat().st_size for name in sorted(named)]
    assert max(sizes) <= MOST_BYTES
    total = 0
    for size in sizes:
        total += size
    assert total <= MOST_BYTES_IN_ALL
    for name in named:
        with Image.open(PICTURES / name) as picture:
            assert picture.size == (round(SIZE[0] * SCALE), round(SIZE[1] * SCALE)), name
