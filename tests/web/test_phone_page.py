"""docs/phone.md: its pictures, its words and the app's own addresses name the same screens."""
from __future__ import annotations

import re
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from random import Random
from urllib.parse import unquote

import pytest
from PIL import Image
from starlette.routing import Mount, Route, compile_path

from spareway.web.app import make_app
from spareway.web.shelf import MemoryShelf
from tests.web.phone import ROOT
from tests.web.screens import FILES, PARTS, SCREENS
from tools import screenshots
from tools.screenshots import INKS_N, MOST_BYTES, PICTURES, SCALE, SIZE, THEMES, page, picture_name, small

MOST_BYTES_IN_ALL = 2_800_000                              # of 100 pictures: nine screens more than when it was 2.6 MB


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
            assert len(picture.getcolors() or []) >= INKS_N[-1], f"{name}: too few inks to show a verdict"


def test_a_picture_loses_inks_before_it_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """A plain one keeps every ink; one that is too large has fewer, and never two; one that no inks make small enough is refused."""
    monkeypatch.setattr(screenshots, "MOST_BYTES", 2_000)
    plain, flecked = Image.new("RGB", (120, 120), "#f4f1e6"), Image.new("RGB", (120, 120), "#f4f1e6")
    for n in range(20):
        plain.paste((12 * n, 80, 120), (n * 6, 0, n * 6 + 6, 60))
    assert inks(small(png(plain))) == 21
    dice = Random(7)
    for dots, refused in ((1_500, False), (15_000, True)):
        for _ in range(dots):
            flecked.putpixel((dice.randrange(120), dice.randrange(120)), (6 * dice.randrange(40), 90, 30))
        if refused:
            with pytest.raises(ValueError, match="more than 2000 bytes even in 4 inks"):
                small(png(flecked))
        else:
            assert INKS_N[-1] <= inks(small(png(flecked))) < INKS_N[0]


def png(picture: Image.Image) -> bytes:
    out = BytesIO()
    picture.save(out, "PNG")
    return out.getvalue()


def inks(data: bytes) -> int:
    with Image.open(BytesIO(data)) as picture:
        return len(picture.convert("RGB").getcolors() or [])
