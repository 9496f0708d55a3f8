"""Protection follows the wire: a circuit is judged by the device that its line lands on, and by what every path to it meets."""
from __future__ import annotations

from itertools import pairwise

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spareway import bundled
from spareway.design.design import Design
from spareway.job.job import read_job
from spareway.rules import all_rules
from spareway.rules.base import judge

JOB = 'schema = 1\nbooks.bs7671 = "2018+A4"\nnation = "England"\n'
FRONT = """equipment.front = { kind = "rcd-before-all", rating_a = 100, residual_ma = 30, residual_type = "A" }
runs.feed-3.joins = ["arrester.bottom", "front.in"]
runs.feed-4 = { joins = ["front.out", "unit.in"], kind = "tails", size_mm2 = 25, length_m = 0.3, method = "C" }
"""
ROUND = 'runs.past = { joins = ["arrester.bottom", "unit.in"], kind = "tails", size_mm2 = 25, length_m = 0.3, method = "C" }\n'
PLAIN = 'circuits.plugs.device = { kind = "mcb", curve = "B", rating_a = 32 }\n'


def design(*overlays: str) -> Design:
    inst = read_job({"job.toml": JOB, "found.toml": bundled.text("rules/specimen.toml")}).found
    return Design(inst.altered("".join(overlays)) if overlays else inst)


def verdict(of: Design, rule: str, circuit: str) -> str:
    asked = [r for r in all_rules() if r.code == rule]
    return next(f.verdict for f in judge(of, asked) if f.subject == f"circuits.{circuit}")


def says(of: Design, rule: str, circuit: str) -> str:
    return next(f.says for f in judge(of, [r for r in all_rules() if r.code == rule]) if f.subject == f"circuits.{circuit}")


def test_a_board_fed_twice_has_no_credit_from_the_device_on_one_feed() -> None:
    """Sockets behind a plain breaker: the front device protects them, and not once a second pair of tails goes round it."""
    assert verdict(design(FRONT, PLAIN), "CI7", "plugs") == "within"
    assert verdict(design(FRONT, PLAIN, ROUND), "CI7", "plugs") == "fails"
    assert design(FRONT, PLAIN, ROUND).has_residual(design(FRONT, PLAIN, ROUND).circuits["plugs"]) is False


def test_two_devices_side_by_side_protect_nothing_together_by_this_rule() -> None:
    """Every path meets one of the two and none meets both: with either open the board is still fed."""
    second = ROUND.replace('"unit.in"]', '"other.in"]') + FRONT.splitlines()[0].replace("front", "other") + "\n" \
        + 'runs.past-2 = { joins = ["other.out", "unit.in"], kind = "tails", size_mm2 = 25, length_m = 0.3, method = "C" }\n'
    of = design(FRONT, PLAIN, second)
    assert of.circuits["plugs"].guards == ()
    assert verdict(of, "CI7", "plugs") == "fails"
    assert "Another path leads past" in says(of, "CI7", "plugs")


def test_the_device_is_the_one_that_the_line_lands_on() -> None:
    """Lamps landed on the way of a plain 16 A breaker have its rating and no residual-current device; the other way round they gain one."""
    plain = 'circuits.warmth.device = { kind = "mcb", curve = "B", rating_a = 16 }\n'
    of = design(plain, 'circuits.lamps.lands.L = "unit.4.L"')
    lamps = of.circuits["lamps"]
    assert (lamps.rating_a.value, lamps.serves, lamps.sharing) == (16, "warmth", ("warmth",))
    assert verdict(design(plain), "CI8", "lamps") == "within"
    assert verdict(of, "CI8", "lamps") == "fails"
    other = design(plain, 'circuits.warmth.lands.L = "unit.2.L"').circuits["warmth"]
    assert [g.name for g in other.guards or ()] == ["lamps"]
    assert other.rating_a.value == 6


@pytest.mark.parametrize(("lamps_w", "warmth_w", "wanted"), [(1500, 2100, "within"), (1500, 2300, "fails")])
def test_two_circuits_on_one_device_load_it_together(lamps_w: int, warmth_w: int, wanted: str) -> None:
    """3600 W at 230 V is 15.7 A on 16 A; 3800 W is 16.5 A (hand-worked). With sockets among them nobody can tell."""
    load = f'circuits.lamps.load_w = {lamps_w}\ncircuits.warmth.load_w = {warmth_w}\ncircuits.lamps.lands.L = "unit.4.L"\n'
    assert [verdict(design(load), "CI2", name) for name in ("lamps", "warmth")] == [wanted] * 2
    assert verdict(design('circuits.plugs.lands.L = "unit.4.L"'), "CI2", "warmth") == "unknown"


def test_a_line_landed_on_no_way_has_a_device_that_nobody_recorded() -> None:
    """Straight onto the isolator: nothing of its own way serves it, so nothing that rests on a device is within."""
    of = design('circuits.lamps.lands.L = "arrester.bottom.L"')
    assert of.circuits["lamps"].device_kind is None
    for rule in ("CI1", "CI2", "CI3", "CI8", "CI9"):
        assert verdict(of, rule, "lamps") in ("unknown", "fails"), rule


def test_an_earth_landed_on_another_board_leaves_the_loop_not_known() -> None:
    shed = 'equipment.shed = { kind = "board", ways_n = 4 }\nruns.q = { joins = ["unit.11", "shed.in"], kind = "t&e" }\n'
    assert verdict(design(shed), "CI1", "oven") == "within"
    of = design(shed, 'circuits.oven.lands.E = "shed.2.E"')
    assert verdict(of, "CI1", "oven") == "unknown"
    assert "line lands on unit and its E on shed" in of.circuits["oven"].ze_ohm.note


def test_a_neutral_landed_elsewhere_is_not_opened_by_the_device() -> None:
    """On TT a two-pole device opens the neutral that lands behind it and no other; the main switch is left, or nothing."""
    tt = 'supplies.main.earthing = "TT"\n'
    car = 'circuits.car = { way = "unit.6", feeds = "charge-point", device = { kind = "rcbo-2p", curve = "B", rating_a = 32, residual_ma = 30, residual_type = "A" } }\n'
    assert verdict(design(tt, car), "RC3", "car") == "within"
    assert verdict(design(tt, car.replace('way = "unit.6"', 'way = "unit.6", lands = { N = "unit.4.N" }')), "RC3", "car") == "fails"


def test_a_device_before_a_submain_protects_what_lies_beyond() -> None:
    """A breaker with residual current in the first board, plain breakers in the second: CI7 to CI9 all see it."""
    shed = """equipment.shed = { kind = "board", ways_n = 4 }
circuits.out = { way = "unit.6", feeds = "shed.in", device = { kind = "rcbo-2p", curve = "B", rating_a = 32, residual_ma = 30, residual_type = "A" } }
circuits.bench = { way = "shed.1", feeds = "sockets", device = { kind = "mcb", curve = "B", rating_a = 16 } }
circuits.bulb = { way = "shed.2", feeds = "lights", device = { kind = "mcb", curve = "B", rating_a = 6 } }
"""
    of = design(shed)
    assert [verdict(of, *asked) for asked in (("CI7", "bench"), ("CI8", "bulb"), ("CI9", "bench"))] == ["within"] * 3
    assert [g.name for g in of.circuits["bench"].guards or ()] == ["out"]


@pytest.mark.parametrize(("kind", "wanted"), [("solar-inverter", "within"), ("battery-inverter", "within"),
                                              ("battery-inverter-backup", "unknown"), ("generator-inlet", "unknown")])
def test_a_source_behind_the_front_device(kind: str, wanted: str) -> None:
    """One that follows the mains takes no credit away (decision 013); one that goes on by itself leaves it not known."""
    source = f'circuits.mine = {{ way = "unit.6", device = {{ kind = "mcb", curve = "B", rating_a = 16 }} }}\nequipment.own = {{ kind = "{kind}", on = "mine" }}\n'
    of = design(FRONT, PLAIN, source)
    assert verdict(of, "CI7", "plugs") == wanted
    assert [g.name for g in design(source).circuits["plugs"].guards or ()] == ["plugs"]


def test_an_end_nobody_traced_behind_the_front_device_leaves_it_not_known() -> None:
    of = design(FRONT, PLAIN, 'runs.stray = { joins = ["unit.in", "?"], kind = "tails" }\n')
    assert verdict(of, "CI7", "plugs") == "unknown"
    assert verdict(of, "CI8", "lamps") == "within"


ENDS = ["arrester.bottom", "front.in", "front.out", "unit.in", "arrester.top", "other.in", "other.out"]


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(ENDS), st.sampled_from(ENDS)).filter(lambda ends: ends[0] != ends[1]), max_size=3))
def test_credit_is_what_every_path_meets(runs: list[tuple[str, str]]) -> None:
    """Tails landed anyhow among two devices and the board: the guards are those that all simple paths lead through."""
    more = "".join(f'runs.more-{i} = {{ joins = ["{a}", "{b}"], kind = "tails" }}\n' for i, (a, b) in enumerate(runs))
    of = design(FRONT, PLAIN, FRONT.splitlines()[0].replace("front", "other") + "\n", more)
    graph = nx.MultiGraph()
    for link in of.network.links:
        if link.joint == "-" and link.a.endswith(".L") and link.b.endswith(".L"):
            graph.add_edge(link.a, link.b, control=link.control)
    simple = nx.Graph(graph)
    def gone_by(path: list[str], control: str) -> bool:
        return any(all(e["control"] == control for e in graph[a][b].values()) for a, b in pairwise(path))
    paths = list(nx.all_simple_paths(simple, "cutout.in.L", "unit.1.L"))
    assert paths
    wanted = {name for name in ("front", "other") if all(gone_by(path, f"{name}.switch") for path in paths)}
    assert {g.name for g in of.circuits["plugs"].guards or ()} == wanted
