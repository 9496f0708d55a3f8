"""What it is worth that a service fuse never blew: nothing, with the time its currents refer to and how well each is known."""
from __future__ import annotations

import pytest

from spareway.design.blown import how_long, never_blew
from tests.scenarios.folders import design


def said(overlay: str = "") -> str:
    of = design("weir-cottage", "proposed", overlay)
    return never_blew(of.supply.fuse_a, of.supply.holds_a, of.supply.fusing_a, of.supply.conventional_h)


def fuse(device: str, rating_a: int) -> str:
    return f'[equipment.cutout]\nfuse = "{device}"\nfuse_a = {{ marked = {rating_a} }}\n'


@pytest.mark.parametrize(("device", "rating_a", "holds", "opens", "time"), [
    ("bs88-3", 63, "78.8 A", "101 A", "1 h"), ("bs88-3", 80, "100 A", "128 A", "2 h")])
def test_the_time_is_the_standards_own_and_what_is_from_memory_says_so(device: str, rating_a: int, holds: str, opens: str, time: str) -> None:
    """BS EN 60269-1: 1.25 and 1.6 times the rating, to the digits printed, one hour to 63 A and two to 160 A. The holding factor and the time are from memory."""
    text = said(fuse(device, rating_a))
    assert f"it holds {holds} for {time} (from memory" in text
    assert f"it opens within {time} at {opens} (" in text
    assert text.startswith("That it never blew is no evidence: ")
    assert text.endswith(f"Its rating of {rating_a} A may have been exceeded all the same.")


def test_what_it_holds_may_be_unknown_and_then_it_says_why() -> None:
    """BS 1361: 1.5 times in four hours, from memory; of what it holds no source here says anything."""
    text = said()
    assert "what it holds is not known, no source here says it of a fuse to BS1361-2 of 80 A; it opens within 4 h at 120 A (from memory)" in text


def test_without_a_row_the_time_is_told_in_words() -> None:
    """BS 3036 has a fusing factor and no conventional time in our tables; a rating nobody read leaves what opens it unknown."""
    assert "it opens within its conventional time at 160 A (from memory)" in said(fuse("bs3036", 80))
    unread = '[equipment.cutout]\nfuse_a = { unknown = "sealed" }\n'
    assert said(unread) == "That it never blew is no evidence: what opens this fuse is not known."
    assert how_long(design("weir-cottage", "proposed", unread).supply.conventional_h) == "its conventional time"
