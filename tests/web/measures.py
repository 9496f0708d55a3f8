"""What is measured on a screen of the phone, in tests at its cheapest and in the study in full."""
from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from tests.web.phone import Phone
from tests.web.screens import Screen

WIDTHS = (320, 360, 390)
GLOVED_PX = 56
THEMES = ("light", "dark", "bright")


def unexplained(found: Iterable[str]) -> list[str]:
    """Without what axe cannot tell over a drawing: its inks are measured, and letters never stand over copper."""
    return [each for each in found if not each.startswith("color-contrast: incomplete: <text")]


def shown(phone: Phone, screen: Screen) -> None:
    """The screen as a person has it before them, from its top."""
    phone.go(screen.path)
    phone.page.evaluate("scrollTo(0, 0)")
    for selector in screen.taps:
        phone.tap(selector)


def measured(phone: Phone, screen: Screen, theme: str, axe_widths: Sequence[int] = WIDTHS) -> list[str]:
    """All that is wrong with a screen: the theme it stands in (not asked of ""), access, size and distance of targets,
    larger ones with gloves on, sideways scroll."""
    return list(_measured(phone, screen, theme, axe_widths))


def _measured(phone: Phone, screen: Screen, theme: str, axe_widths: Sequence[int]) -> Iterator[str]:
    shown(phone, screen)
    if theme and phone.page.get_attribute("html", "data-theme") != theme:
        yield f"not shown in {theme}"
    if phone.page.query_selector("#screen main > *") is None:
        yield "empty"
    for width in WIDTHS:
        phone.page.set_viewport_size({"width": width, "height": phone.size[1]})
        gloved = phone.page.get_attribute("html", "data-gloves") is not None
        yield from (f"{width} px: {fault}" for fault in phone.targets(GLOVED_PX if gloved else 48))
        yield from (f"{width} px: {fault}" for fault in phone.broken())
        if width in axe_widths:
            yield from (f"{width} px: {fault}" for fault in unexplained(phone.axe()))
        if width == WIDTHS[0]:
            yield from (f"{width} px, sideways: {fault}" for fault in phone.sideways())
    phone.page.set_viewport_size({"width": phone.size[0], "height": phone.size[1]})
