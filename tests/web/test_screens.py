"""Every screen: rules of access, size and distance of what is touched, no sideways scroll. Themes take turns from screen to screen;
`make study WHICH=screens` asks every one in every theme at every size."""
from __future__ import annotations

import re

import pytest

from tests.web.measures import THEMES, WIDTHS, measured, unexplained
from tests.web.phone import ROOT, Phone
from tests.web.screens import SCREENS, Screen
from tests.web.screens import WEIR as JOB
from tests.web.stage import take, texts, zipped

__all__ = ["JOB", "THEMES", "WIDTHS", "brought_in", "unexplained"]
READING = next(screen for screen in SCREENS if screen.name == "reading")


def brought_in(phone: Phone, name: str = "weir") -> None:
    """The cottage taken in as a zip, by the page's own address."""
    take(phone, zipped(texts("weir-cottage")), name)


@pytest.mark.parametrize("turn", range(len(THEMES)), ids=THEMES)
def test_every_screen_can_be_seen_and_touched(standing: Phone, turn: int) -> None:
    """A third of the screens in each theme: axe finds nothing, violation or not sure; each thing to touch is 48 px and 8 px from
    the next at three widths; 320 px need one way to scroll."""
    before = len(standing.strange())
    assert standing.fetch("app/this-phone", {"theme": THEMES[turn]})[0] == 204
    wrong = []
    for screen in SCREENS[turn::len(THEMES)]:
        if screen.gloves:
            assert standing.fetch("app/this-phone", {"gloves": "yes"})[0] == 204
        wrong += [f"{screen.name}: {fault}" for fault in measured(standing, screen, THEMES[turn], axe_widths=(360,))]
        if screen.gloves:
            assert standing.fetch("app/this-phone", {"gloves": "no"})[0] == 204
    assert "\n".join(wrong) == ""
    assert [each for each in standing.strange()[before:] if "404" not in each] == []


def test_a_new_screen_is_shown_from_its_top(standing: Phone) -> None:
    """From far down a long list one tap leads to the beginning of what was tapped, and an answer to the beginning of the next."""
    standing.go(f"{JOB}findings?stage=found")
    standing.page.locator("a.member").last.tap()
    standing.page.wait_for_selector("main >> text=Written at")
    assert standing.page.evaluate("scrollY") == 0
    standing.go(f"{JOB}at/meter%20cabinet?id=all")
    standing.page.locator("a.row").last.tap()
    standing.page.wait_for_selector("form.ask")
    assert standing.page.evaluate("scrollY") == 0


def test_gloves_make_keys_larger_and_the_keypad_two_halves(standing: Phone) -> None:
    """With gloves on every key is 56 px and more; all of a half and "keep" stand above the sill at 740 px; the other half is one
    tap away, and what was typed stays."""
    assert standing.fetch("app/this-phone", {"gloves": "yes"})[0] == 204
    standing.go(READING.path)
    standing.page.evaluate("scrollTo(0, 0)")
    visible = """[...document.querySelectorAll('#screen .pad .key')].filter((k) => k.checkVisibility())
        .map((k) => [k.textContent.trim(), k.getBoundingClientRect().height, k.getBoundingClientRect().width, k.getBoundingClientRect().bottom])"""
    first = standing.page.evaluate(visible)
    sill_px = standing.page.evaluate("document.querySelector('.sill').getBoundingClientRect().top")
    assert len(first) == 13
    assert min(min(height, width) for _, height, width, _ in first) >= 56
    assert max(bottom for _, _, _, bottom in first) <= sill_px
    standing.page.fill("#said", "")
    for selector in ("label[for=half]", "button[data-key='>']", "label[for=half]", "button[data-key='9']"):
        standing.tap(selector)
    assert standing.page.input_value("#said") == ">9"
    assert standing.fetch("app/this-phone", {"gloves": "no"})[0] == 204


@pytest.mark.parametrize("name", ["reading", "live-reading", "insulation-next"])
def test_what_is_read_is_kept_with_no_scrolling(standing: Phone, name: str) -> None:
    """On a phone of 360 by 740 the instruction, the entry and "keep" all stand above the sill as the screen comes up."""
    standing.go(next(screen.path for screen in SCREENS if screen.name == name))
    standing.page.evaluate("scrollTo(0, 0)")
    bottom_px = standing.page.evaluate("document.querySelector('.pad .main').getBoundingClientRect().bottom")
    assert bottom_px <= standing.page.evaluate("document.querySelector('.sill').getBoundingClientRect().top")


def test_a_measure_that_should_fail_does(standing: Phone) -> None:
    """A key made too small and a picture without words are found: the walk above can fail."""
    screen = Screen("places", JOB, "")
    standing.go(JOB)
    standing.page.evaluate("""() => { const a = document.querySelector('.sill a'); a.className = ''; a.textContent = 'x'; a.style.alignSelf = 'center';
        document.querySelector('main').append(new Image()); }""")
    found = [*standing.targets(), *unexplained(standing.axe())]
    assert any("px" in fault for fault in found), found
    assert any(fault.startswith("image-alt") for fault in found), found
    assert measured(standing, screen, "", axe_widths=()) == []


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


SILL = [("", "test/cooker?test=1", "test/cooker", {"test": "0", "value": "0.31"}), ("", "test/ring-ground?test=1", "test/ring-ground", {"test": "0", "value": "0.31"}),
        ("", "test/ring-ground?test=4", "test/ring-ground", {"test": "3", "value": "0.31"}), ("", "test/ring-ground?test=3", "", {}),
        ("", "live/supplies.main?test=3", "", {}), ("yes", "test/ring-ground?test=4", "", {}), ("yes", "test/cooker?test=1", "", {}),
        ("yes", "live/supplies.main?test=3", "", {}), ("yes", "live/circuits.cooker?test=2", "", {}),
        ("yes", "at/meter%20cabinet?id=equipment.cutout.fuse_a", "", {})]


def test_keep_stands_above_the_sill_after_an_entry_and_in_gloves(standing: Phone) -> None:
    """360 by 740: from the second reading on, where one is read again, at the origin, in gloves, and of a number in the cabinet."""
    take(standing, zipped(texts("weir-cottage")), "sill")
    wrong = []
    for gloves, path, entry, form in SILL:
        assert not entry or standing.fetch(f"app/jobs/sill/{entry}", form)[0] == 204
        assert standing.fetch("app/this-phone", {"gloves": gloves or "no"})[0] == 204
        standing.go(f"app/jobs/sill/{path}")
        if standing.page.query_selector("details.other:not([open]) > summary"):
            standing.tap("details.other > summary")
        standing.page.evaluate("scrollTo(0, 0)")
        bottom_px = standing.page.evaluate("document.querySelector('.pad .main').getBoundingClientRect().bottom")
        over_px = bottom_px - standing.page.evaluate("document.querySelector('.sill').getBoundingClientRect().top")
        wrong += [f"{path}{', gloves' if gloves else ''}: {over_px:.0f} px below"] if over_px > 0 else []
    assert standing.fetch("app/this-phone", {"gloves": "no"})[0] == 204
    assert wrong == []
