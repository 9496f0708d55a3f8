"""What a device parts from every source: against every simple path written out, over random networks."""
from __future__ import annotations

from itertools import pairwise

import networkx as nx
from hypothesis import given
from hypothesis import strategies as st

from spareway.kinds.joints import Link
from spareway.wiring.past import Past

TERMINALS = [f"t{i}.L" for i in range(8)]
CONTROLS = ["", "", "a.x", "b.x", "c.x"]
LIFTS = ["", "", "one.L", "two.L", "two.p1.L"]


@st.composite
def networks(draw: st.DrawFn) -> list[Link]:
    ends = st.sampled_from(TERMINALS)
    return [Link(draw(ends), draw(ends), draw(st.sampled_from("---=~")), draw(st.sampled_from(CONTROLS)), draw(st.sampled_from(LIFTS)))
            for _ in range(draw(st.integers(0, 14)))]


def every_path_meets(links: list[Link], start: str, end: str, control: str, lifted: str) -> bool:
    """By every simple path, each step by every link that makes it: does some one lead by none of the control's links?"""
    graph = nx.MultiGraph()
    graph.add_nodes_from(TERMINALS)
    for i, link in enumerate(links):
        if link.joint == "-" and link.a != link.b and not (lifted and link.lift.split(".")[0] == lifted):
            graph.add_edge(link.a, link.b, key=i)
    if start == end:
        return False
    for path in nx.all_simple_paths(nx.Graph(graph), start, end):
        if all(any(not control or links[key].control != control for key in graph[a][b]) for a, b in pairwise(path)):
            return False
    return True


@given(networks(), st.sampled_from(["", "a.x", "b.x"]), st.sampled_from(["", "one", "two"]),
       st.sets(st.sampled_from(TERMINALS), min_size=1, max_size=2))
def test_a_terminal_is_parted_when_and_only_when_every_path_meets_the_device(links: list[Link], control: str, lifted: str,
                                                                               starts: set[str]) -> None:
    reached = Past(links).reached(starts, control, lifted)
    for end in TERMINALS:
        assert (end not in reached) == all(every_path_meets(links, start, end, control, lifted) for start in starts), end


def test_ganged_poles_are_one_device_and_a_second_feed_goes_round_it() -> None:
    """A two-pole device parts what lies behind it; one tie from before it to behind it, and it parts nothing."""
    behind = [Link("in.L", "bar.L", control="rcd.switch"), Link("in.N", "bar.N", control="rcd.switch"), Link("bar.L", "way.L")]
    assert Past(behind).reached(["in.L"], "rcd.switch") == {"in.L"}
    tied = [*behind, Link("in.L", "way.L", lift="tie.L")]
    assert Past(tied).reached(["in.L"], "rcd.switch") == {"in.L", "way.L", "bar.L"}
    assert Past(tied).reached(["in.L"], "rcd.switch", "tie") == {"in.L"}
