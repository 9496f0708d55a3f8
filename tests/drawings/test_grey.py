"""In grey, one pixel a minute of arc at arm's length: no potential can be taken for another, whatever the insulation."""
from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from io import BytesIO
from itertools import combinations, product

import pytest
import typst
from PIL import Image, ImageChops, ImageStat

from spareway.drawings.intake import picture
from spareway.drawings.layout import plan
from spareway.drawings.symbols import HUES, LOOKS, svg, wire
from spareway.press.typst import MM_A_UNIT, wide_mm
from spareway.wiring.expand import wire as wired
from tests.drawings.invented_intakes import intake_of
from tests.drawings.test_intake import EXAMPLE_STATES, example

ARM_MM, MINUTE = 650, 0.000290888                  # LOOK.md: arm's length; a minute of arc in radians
LONG, HIGH = 96.0, 24.0
PAPER_MM = 210 - 16 - 16
LEAST_GREY_LEVELS = 8.0                            # of 255, averaged over the piece of wire


@cache
def grey(potential: str, insulation: str) -> Image.Image:
    """A piece of insulated wire as printed, one pixel a minute of arc at arm's length, without its colours."""
    drawn = svg(LONG, HIGH, "wire", "a piece of wire", wire([[(0.0, 12.0), (LONG, 12.0)]], potential, insulation))
    page_mm, high_mm = LONG * MM_A_UNIT, HIGH * MM_A_UNIT
    source = (f'#set page(width: {page_mm}mm, height: {high_mm}mm, margin: 0mm)\n'
              f'#image(bytes({_quoted(drawn)}), format: "svg", width: {page_mm}mm)')
    png = typst.compile(source.encode(), format="png", ppi=25.4 / (ARM_MM * MINUTE))
    return Image.open(BytesIO(png)).convert("L")


def _quoted(drawn: str) -> str:
    return '"' + drawn.replace("\\", "\\\\").replace('"', '\\"') + '"'


def apart(one: Image.Image, other: Image.Image) -> float:
    """Mean difference in grey levels; the least of a few shifts along the wire, since nobody lines dashes up."""
    wide, high = one.size
    return min(ImageStat.Stat(ImageChops.difference(one.crop((0, 0, wide - by, high)), other.crop((by, 0, wide, high)))).mean[0]
               for by in range(wide // 4))


@pytest.mark.parametrize(("one", "other"), list(combinations(LOOKS, 2)))
def test_two_potentials_are_never_alike(one: str, other: str) -> None:
    """Each in each insulation against each other one: what the sleeve says in letters is not even counted."""
    least, pair = min((apart(grey(one, a), grey(other, b)), (a, b)) for a, b in product(HUES, HUES))
    assert least >= LEAST_GREY_LEVELS, f"{one} in {pair[0]} and {other} in {pair[1]} differ by {least:.1f} levels"


def test_no_line_is_printed_thinner_than_it_may_be() -> None:
    """As the survey report prints it, the thinnest stroke of 20 random and all example drawings: 0.35 mm or more."""
    for drawn in drawings():
        view = re.search(r'viewBox="[-\d.]+ [-\d.]+ ([\d.]+) ', drawn)
        assert view
        across_mm = wide_mm(drawn)
        assert across_mm <= PAPER_MM, "it fits between the edges of the sheet"
        thinnest = min(float(width) for width in re.findall(r'stroke-width="([\d.]+)"', drawn))
        assert thinnest * across_mm / float(view[1]) >= 0.35


def drawings() -> Iterator[str]:
    made = [example(name, stage) for name, stage, _ in EXAMPLE_STATES]
    made += [(inst, wired(inst)) for inst in map(intake_of, range(0, 200, 10))]
    for inst, network in made:
        yield picture(inst, network, plan(inst, network))
