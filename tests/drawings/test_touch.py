"""Where a finger goes: large enough, apart, over what it names; and the drawing under it is the same."""
from __future__ import annotations

import re
from itertools import combinations
from xml.etree import ElementTree

import pytest

from spareway.drawings.boxes import hit
from spareway.drawings.intake import intake, kept_plan
from spareway.drawings.touch import APART, LEAST, targets
from spareway.job.job import Installation
from spareway.wiring.expand import wire
from spareway.wiring.network import Network
from tests.drawings.invented_intakes import intake_of
from tests.drawings.seen import SVG
from tests.drawings.test_intake import example

JOBS = [("weir-cottage", "found"), ("weir-cottage", "proposed"), ("granary-yard", "found"), ("granary-yard", "proposed"),
        ("ridge-annexe", "found"), ("ridge-annexe", "proposed")]


def invented(seed: int) -> tuple[Installation, Network]:
    inst = intake_of(seed)
    return inst, wire(inst)


@pytest.mark.parametrize(("inst", "network"), [*(example(*job) for job in JOBS), *(invented(seed) for seed in range(0, 200, 8))])
def test_targets_are_large_and_apart(inst: Installation, network: Network) -> None:
    """Every one at least 52 by 52 units, at least 8 from the next, no two over one another; every switch has one, or its thing."""
    boxes = kept_plan(inst, network).boxes
    found = targets(boxes)
    for x0, y0, x1, y1 in found.values():
        assert x1 - x0 >= LEAST
        assert y1 - y0 >= LEAST
    for (one, a), (other, b) in combinations(found.items(), 2):
        near = (a[0] - APART + 0.01, a[1] - APART + 0.01, a[2] + APART - 0.01, a[3] + APART - 0.01)
        things = {one, other} <= set(boxes)
        assert not hit(a if things else near, b), (one, other)
    things = {name for name, box in boxes.items() if box.shown is not None}
    assert things <= {address.partition(".")[0] for address in found}, "no thing is out of reach"


@pytest.mark.parametrize("job", JOBS)
def test_a_link_says_where_it_leads(job: tuple[str, str]) -> None:
    """Each target a link to the address the caller gives, named in words; taken away, the drawing is the plain one."""
    inst, network = example(*job)
    drawn = intake(inst, network, (), lambda address: f"?a&b={address}", "cutout.fuse")
    root = ElementTree.fromstring(drawn)
    links = list(root.iter(f"{SVG}a"))
    assert [link.get("href") for link in links] == [f"?a&b={address}" for address in targets(kept_plan(inst, network).boxes)]
    assert all(link.findtext(f"{SVG}title") for link in links)
    assert root.get("role") == "group"
    assert "style" not in drawn
    plain = re.sub(r'<a class="touch".*?</a>|<path class="asked"[^>]*/>', "", drawn).replace('role="group"', 'role="img"')
    assert plain == intake(inst, network)


def test_a_switch_says_how_it_is_shown() -> None:
    inst, network = example("weir-cottage", "proposed")
    for opened, says in (((), "board, switch, shown closed"), (("board.switch",), "board, switch, shown open")):
        drawn = intake(inst, network, opened, lambda address: address)
        assert f"<title>{says}</title>" in drawn


def test_whatever_is_filled_or_stroked_can_be_recoloured() -> None:
    """On dark paper nothing stays white: each element of paper or ink has a class that a theme gives its colour by."""
    fills, strokes = {"tag", "box", "dot", "on", "t"}, {"ink", "halo", "frame", "box", "dot", "tag", "asked"}
    hues = {"bn", "bu", "rd", "bk", "gy", "gnye", "ye"}
    for name, stage in JOBS:
        inst, network = example(name, stage)
        drawn = intake(inst, network, sorted(network.controls)[:3], lambda address: address, "cutout")
        for e in ElementTree.fromstring(drawn).iter():
            classes = set(e.get("class", "").split())
            if e.get("fill", "none") != "none":
                assert classes & fills, (e.tag, e.attrib)
            if e.get("stroke", "none") != "none":
                assert classes & (strokes | hues), (e.tag, e.attrib)
