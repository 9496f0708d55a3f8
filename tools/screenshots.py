"""Walks every screen of the phone in a real browser with no server, and writes docs/phone.md with its pictures.

`--whole DIR` writes every screen in its whole length and in each theme, for looking; nothing in docs/ changes then.
"""
from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory

from PIL import Image

ROOT = Path(__file__).parents[1]
sys.path[:0] = [str(ROOT), str(ROOT / "src")]

from tests.web.phone import Phone  # noqa: E402   the tree's own, installed or not
from tests.web.screens import SCREENS, Screen  # noqa: E402
from tests.web.stage import set_out, site  # noqa: E402

THEMES = ("light", "dark", "bright")
SIZE, SCALE = (360, 740), 1.5
WIDE, NARROW = 270, 230                                   # as docs/phone.md shows them
INKS_N, MOST_BYTES = (24, 18, 12, 9, 6, 4), 40_000         # fewer where many make too large a picture; two are no picture
PAGE, PICTURES = ROOT / "docs" / "phone.md", ROOT / "docs" / "phone"
COMMAND = ".venv/bin/python tools/screenshots.py"


def page() -> str:
    """docs/phone.md: every screen in the order of a job, what a person does there, its picture."""
    lines = ["# The phone, screen by screen", "",
             f"Every picture was taken by `{COMMAND}` in a real Chromium of",
             f"{SIZE[0]} by {SIZE[1]} pixels with the server stopped after the first visit; homes, people and photo are made up.",
             "The most telling are shown in all three themes: light, dark for a cupboard, bright for sun.",
             "What is shown is the record. Prove dead at the point of work, every time.", ""]
    for screen in SCREENS:
        names = [picture_name(screen, theme) for theme in THEMES if theme == "light" or screen.telling]
        lines += [f"## {screen.name}", screen.does, "",
                  " ".join(f'<img src="phone/{name}" width="{WIDE if len(names) == 1 else NARROW}" alt="{screen.does}">'
                           for name in names), ""]
    return "\n".join(lines)


def picture_name(screen: Screen, theme: str) -> str:
    """Light is the rule and is not named."""
    return f"{screen.name}{'' if theme == 'light' else f'-{theme}'}.png"


def small(png: bytes) -> bytes:
    """The same picture in the inks it has most of, each as it is, as small as PNG makes it. A hue counts for more than a grey:
    the few pixels of a verdict's mark are told from the many at the edges of letters. Errors: ValueError where none is small."""
    with Image.open(BytesIO(png)) as picture:
        true = picture.convert("RGB")
    counted = sorted(true.getcolors(true.width * true.height) or [], key=_weight)
    made = (_drawn(true, [part for _, colour in counted[:most] for part in colour]) for most in INKS_N)
    small_enough = next((png for png in made if len(png) <= MOST_BYTES), None)
    if small_enough is None:
        raise ValueError(f"more than {MOST_BYTES} bytes even in {INKS_N[-1]} inks: show less on it, or allow more")
    return small_enough


def _drawn(true: Image.Image, palette: list[int]) -> bytes:
    inks = Image.new("P", (1, 1))
    inks.putpalette(palette)
    out = BytesIO()
    true.quantize(palette=inks, dither=Image.Dither.NONE).save(out, "PNG", optimize=True)
    return out.getvalue()


def _weight(counted: tuple[int, tuple[int, int, int]]) -> tuple[int, str]:
    number, colour = counted
    return -number * (1 + max(colour) - min(colour)), str(colour)


def shown(phone: Phone, screen: Screen) -> None:
    """The screen as a person has it before them."""
    assert phone.fetch("app/this-phone", {"gloves": "yes" if screen.gloves else "no"})[0] == 204
    phone.go(screen.path)
    phone.page.evaluate("scrollTo(0, 0)")
    for selector in screen.taps:
        phone.tap(selector)
    if screen.top:
        phone.page.locator(screen.top).first.evaluate("(e) => scrollTo(0, e.getBoundingClientRect().top + scrollY - 60)")
    phone.page.wait_for_timeout(150)                       # a draft, a picture that is fetched


def cleared(phone: Phone) -> None:
    """What was typed for the picture stands in no later one."""
    if phone.page.query_selector("#said"):
        phone.page.evaluate("document.querySelector('#said').value = ''")
        phone.page.dispatch_event("#said", "input")
        phone.page.wait_for_timeout(300)                   # a draft is written down a little later


def walk(phone: Phone, whole: bool) -> Iterator[tuple[Screen, str, bytes]]:
    """(screen, theme, PNG) of each that is wanted."""
    for theme in THEMES:
        assert phone.fetch("app/this-phone", {"theme": theme})[0] == 204
        for screen in SCREENS:
            if whole or screen.telling or theme == "light":
                shown(phone, screen)
                yield screen, theme, phone.page.screenshot(full_page=whole, caret="initial")
                cleared(phone)


def main() -> int:
    """Exit 1 where a picture is too large or the phone complained."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--whole", type=Path, metavar="DIR")
    asked = parser.parse_args()
    from playwright.sync_api import sync_playwright
    into = asked.whole or PICTURES
    into.mkdir(parents=True, exist_ok=True)
    wrong: list[str] = []
    with TemporaryDirectory() as folder, sync_playwright() as driver:
        host = site(Path(folder) / "site")
        phone = Phone(driver, Path(folder) / "profile", host.url, SIZE, scale=1.0 if asked.whole else SCALE)
        set_out(phone, host)
        for screen, theme, png in walk(phone, bool(asked.whole)):
            try:
                (into / picture_name(screen, theme)).write_bytes(png if asked.whole else small(png))
            except ValueError as large:
                wrong.append(f"{picture_name(screen, theme)}: {large}")
        wrong += [each for each in phone.strange() if "404" not in each]
        phone.off()
    if not asked.whole:
        PAGE.write_text(page(), "utf-8")
        wanted = {picture_name(s, t) for s in SCREENS for t in THEMES if s.telling or t == "light"}
        for old in PICTURES.glob("*.png"):
            if old.name not in wanted:
                old.unlink()
    print("\n".join(wrong) or f"{len(list(into.glob('*.png')))} pictures in {into}")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
