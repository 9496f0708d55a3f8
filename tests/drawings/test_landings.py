"""Two landings changed over change the picture of every kind: which end the supply lands on is the very fact to record."""
from __future__ import annotations

from itertools import combinations
from xml.etree import ElementTree

import pytest

from spareway.drawings.intake import picture
from spareway.drawings.layout import Plan, plan
from spareway.job.job import Installation, read_job
from spareway.kinds import kind, kind_names
from spareway.kinds.joints import inside
from spareway.wiring.expand import wire
from tests.drawings.seen import discs

ABOUT = 'schema = 1\nbooks = { bs7671 = "2018+A4" }\nnation = "England"\n'
JOB = """
[supplies.main]
joins    = "cutout.in"
earthing = "TN-S"
[equipment]
cutout = {{ kind = "cut-out" }}
other  = {{ kind = "blocks" }}
bar    = {{ kind = "main-earthing-terminal" }}
thing  = {{ kind = "{kind}" }}
[runs]
one = {{ joins = ["{one}", "{first}"], kind = "{cable}" }}
two = {{ joins = ["{two}", "{second}"], kind = "{cable}" }}
"""
FROM = {"L": ("cutout.out.L", "other.1.L"), "N": ("cutout.out.N", "other.1.N"), "E": ("cutout.earth.E", "bar.a.E")}


def landings(name: str) -> list[str]:
    """The terminals of a kind that a conductor may be landed on, one for each side and letter."""
    terminals = dict.fromkeys(t.removeprefix("thing.") for link in inside("thing", kind(name).wiring) for t in (link.a, link.b))
    return [t for t in terminals if kind(name).face.get(t.partition(".")[0], "inside") != "inside"]


def pairs() -> list[tuple[str, str, str]]:
    """Two sides that take the same conductor: (kind, terminal, terminal)."""
    return [(name, a, b) for name in kind_names() for a, b in combinations(landings(name), 2)
            if a.partition(".")[2] == b.partition(".")[2] in FROM]


def drawn(name: str, first: str, second: str) -> tuple[Installation, Plan, str]:
    one, two = FROM[first.partition(".")[2]]
    text = JOB.format(kind=name, one=one, two=two, cable="earthing" if one.endswith(".E") else "tails", first=f"thing.{first}", second=f"thing.{second}")
    inst = read_job({"job.toml": ABOUT, "found.toml": text}).at("found")
    network = wire(inst)
    planned = plan(inst, network)
    return inst, planned, picture(inst, network, planned)


def test_every_kind_with_two_sides_is_asked() -> None:
    """A kind that is not asked has one side only, so nothing of it can be landed the wrong way round."""
    asked = {name for name, _, _ in pairs()}
    for name in set(kind_names()) - asked:
        assert len([side for side, place in kind(name).face.items() if place != "inside"]) == 1, name
    assert len(asked) >= 40
    assert len(pairs()) >= 150


@pytest.mark.parametrize("name", sorted({name for name, _, _ in pairs()}))
def test_two_landings_changed_over_change_the_picture(name: str) -> None:
    """Each pair of its terminals: another picture, and each core ends where it is landed, on a terminal that is to be seen."""
    for _, a, b in (pair for pair in pairs() if pair[0] == name):
        (_, one, right), (_, other, wrong) = drawn(name, a, b), drawn(name, b, a)
        assert right != wrong, (a, b)
        for planned, svg, (first, second) in ((one, right, (a, b)), (other, wrong, (b, a))):
            seen = discs(ElementTree.fromstring(svg))
            ends = {core.run: core for core in planned.cores}
            for run, terminal in (("one", first), ("two", second)):
                spot = planned.routes.points[ends[run].name][-1 if ends[run].b.startswith("thing.") else 0]
                assert spot == planned.boxes["thing"].at(f"thing.{terminal}"), (run, terminal)
                assert any(abs(x - spot[0]) < 0.11 and abs(y - spot[1]) < 0.11 for x, y in seen), (run, terminal)
