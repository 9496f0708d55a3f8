"""Every screen in every theme at three widths: rules of access, size and distance of what is touched, no sideways scroll."""
from __future__ import annotations

import base64
import re
from collections.abc import Callable, Iterable

import pytest

from spareway.folder.zipped import packed
from tests.web.hosting import Host
from tests.web.phone import ROOT, Phone

WIDTHS = (320, 360, 390)
THEMES = ("light", "dark", "bright")
JOB = "app/jobs/weir/"
SCREENS = {
    "jobs": "app/", "this phone": "app/this-phone", "new job": "app/new", "new job, nation": "app/new?called=x", "bring in": "app/bring-in",
    "call": "app/call", "call, end": "app/call?fire=yes", "job": JOB, "doorstep": f"{JOB}at/doorstep", "cabinet, all": f"{JOB}at/meter%20cabinet?id=all",
    "cabinet, a rating": f"{JOB}at/meter%20cabinet?id=equipment.cutout.fuse_a", "cupboard": f"{JOB}at/board%20cupboard",
    "by eye": f"{JOB}at/look,%20cabinet", "picture": f"{JOB}picture", "picture, found, asked": f"{JOB}picture?stage=found&open=house.switch&touched=house.switch",
    "findings": f"{JOB}findings", "findings, all": f"{JOB}findings?stage=found&every=yes", "working": f"{JOB}findings/0", "ways": f"{JOB}test",
    "a test": f"{JOB}test/ring-ground?test=3", "photos": f"{JOB}photos", "hazards": f"{JOB}hazards", "seen": f"{JOB}seen", "join": f"{JOB}join", "as run": f"{JOB}at/as%20run", "missing": "app/jobs/none/"}


def weir() -> bytes:
    folder = ROOT / "examples" / "weir-cottage"
    return packed({each.name: each.read_bytes() for each in folder.iterdir() if each.suffix in (".toml", ".csv")})


def brought_in(phone: Phone, name: str = "weir") -> None:
    """The cottage taken in as a zip, by the page's own address."""
    data = base64.b64encode(weir()).decode()
    status = phone.page.evaluate("""async ([to, data]) => (await fetch(to, {method: 'POST', headers: {'HX-Request': 'true'},
        body: Uint8Array.from(atob(data), (c) => c.charCodeAt(0))})).status""", [phone.path(f"app/bring-in?called={name}"), data])
    assert status == 204


def unexplained(found: Iterable[str]) -> list[str]:
    """Without what axe cannot tell over a drawing: its inks are measured below, and letters never stand over copper."""
    return [each for each in found if not (each.startswith("color-contrast: incomplete: <text"))]


def set_up(phone: Phone, host: Host) -> None:
    phone.on()
    host.stop()
    assert phone.fetch("app/this-phone", {"by": "Ann"})[0] == 204
    brought_in(phone)


@pytest.fixture
def ready(phone: Callable[..., Phone], host: Host) -> Phone:
    held = phone()
    set_up(held, host)
    return held


@pytest.mark.parametrize("theme", THEMES)
def test_every_screen_can_be_seen_and_touched(ready: Phone, theme: str) -> None:
    """axe finds nothing, violation or not sure; each thing to touch is 48 px and 8 px from the next; 320 px need one way to scroll."""
    assert ready.fetch("app/this-phone", {"theme": theme})[0] == 204
    wrong: dict[str, list[str]] = {}
    for name, path in SCREENS.items():
        ready.go(path)
        assert ready.page.get_attribute("html", "data-theme") == theme
        for width in WIDTHS:
            ready.page.set_viewport_size({"width": width, "height": 740})
            found = [*ready.targets(), *(unexplained(ready.axe()) if width == 360 else [])]
            if found:
                wrong[f"{name} at {width}"] = found
        if found := ready.reflow():
            wrong[f"{name} at 320, sideways"] = found
    assert "\n".join(f"{where}: {fault}" for where, faults in wrong.items() for fault in faults) == ""
    assert [c for c in ready.strange() if "404" not in c] == []


def test_gloves_make_keys_larger(ready: Phone) -> None:
    """With gloves on every key is 56 px and more."""
    assert ready.fetch("app/this-phone", {"gloves": "yes"})[0] == 204
    ready.go(SCREENS["a test"])
    keys = ready.page.evaluate("[...document.querySelectorAll('#screen .key')].map((k) => k.getBoundingClientRect().height)")
    assert min(keys) >= 56


# ---- contrast, by the definition of WCAG 2.2 -------------------------------------------------------------------------------
def luminance(colour: str) -> float:
    parts = [int(colour[i:i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def tokens(theme: str) -> dict[str, str]:
    css = (ROOT / "src" / "spareway" / "web" / "static" / "spareway.css").read_text("utf-8")
    block = css.partition(f'[data-theme="{theme}"] {{')[2].partition("}")[0]
    return dict(re.findall(r"--([a-z]+): (#[0-9a-f]{6})", block))


@pytest.mark.parametrize("theme", THEMES)
def test_ink_stands_off_its_paper(theme: str) -> None:
    """Text 7 : 1 and more, in bright sun 15 : 1; marks and frames 3 : 1. The formula gives the standard's own extremes."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    held = tokens(theme)
    for ground in ("paper", "sheet"):
        for ink in ("ink", "soft"):
            assert contrast(held[ink], held[ground]) >= (15 if theme == "bright" else 7), (ink, ground)
        for mark in ("stop", "fails", "unknown", "advice", "within", "na", "rule"):
            assert contrast(held[mark], held[ground]) >= 3, (mark, ground)
