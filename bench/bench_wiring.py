"""The wired record against what a good engineer would use: rustworkx for states, an integer program for lock-offs.

The same networks, the same answers (compared before anything is timed), best of several, in one run. rustworkx builds
its graph of closed metal again for each state; the integer program knows metal alone, so it may ask for too little.
"""
from __future__ import annotations

import gc
from collections.abc import Callable, Sequence
from functools import partial
from time import perf_counter

import numpy
import rustworkx
from scipy.optimize import Bounds, LinearConstraint, milp

from spareway.kinds.joints import Link
from spareway.wiring.lockoff import reaching
from spareway.wiring.network import Network
from spareway.wiring.paths import counts, path_sets, smallest
from spareway.wiring.potentials import L

TARGETS_US = {"toggle": 2.0, "through loads": 1000.0, "every state": 300.0, "path sets": 50.0, "lock-off": 5000.0}


def house(ways: int) -> Network:
    """An intake with an isolator, two boards with a tie, an inverter, and circuits; two borrow a neutral."""
    links = [Link("head.in.L", "head.out.L", control="head.fuse"), Link("head.in.N", "head.out.N")]
    controls = {"head.fuse": "operator"}
    for name, a, b in (("isolator", "head.out", "blocks"), ("one.main", "blocks", "one"), ("two.main", "blocks", "two"),
                       ("tie", "one", "two"), ("roof.switch", "roof", "two")):
        controls[name] = "ordinary"
        links += [Link(f"{a}.{c}", f"{b}.{c}", control=name, lift="" if a == "roof" else f"{name}.{c}") for c in "LN"]
    for i in range(ways):
        bar, control = ("one", "two")[i % 2], f"way{i:02d}"
        controls[control] = "ordinary"
        links += [Link(f"{bar}.L", f"{control}.0.L", control=control),
                  Link(f"{bar}.N", f"{control}.0.N", lift=f"{control}.N")]
        links += [Link(f"{control}.{p}.{c}", f"{control}.{p + 1}.{c}", lift=f"{control}.{p}.{c}")
                  for p in (0, 1) for c in "LN"]
        lender = f"way{i - 2:02d}" if i in (4, 7) else control
        links.append(Link(f"{control}.2.L", f"{lender}.2.N", "="))
    sources = {"head.in.L": "L", "head.in.N": "N", "roof.L": "L", "roof.N": "N"}
    return Network(links, sources, controls)


def best_us(call: Callable[[], object], times: int = 5, least_s: float = 0.01) -> float:
    """The quickest of several runs of a call, in microseconds, with the cyclic collector off."""
    call()
    gc.disable()
    best, spent = float("inf"), 0.0
    while times > 0 or spent < least_s:
        start = perf_counter()
        call()
        took = perf_counter() - start
        best, spent, times = min(best, took), spent + took, times - 1
    gc.enable()
    return best * 1e6


class ByRustworkx:
    """A graph of terminals and closed metal, its edges taken out and put back as controls change."""

    def __init__(self, net: Network) -> None:
        self.at = {name: i for i, name in enumerate(net.record.terminals)}
        self.metal = [(self.at[k.a], self.at[k.b], k.control) for k in net.links if k.joint == "-"]
        self.line = [self.at[name] for name, letter in net.sources.items() if letter == "L"]

    def live(self, opened: set[str]) -> set[int]:
        graph = rustworkx.PyGraph(multigraph=True)
        graph.add_nodes_from(range(len(self.at)))
        graph.add_edges_from_no_data([(a, b) for a, b, control in self.metal if control not in opened])
        return {node for source in self.line for node in rustworkx.node_connected_component(graph, source)}


def by_program(paths: Sequence[int], controls: Sequence[int]) -> int | None:
    """The size of the fewest controls that hit every path, as an integer program; None when no set does."""
    if not paths:
        return 0
    rows = numpy.array([[bool(path & bit) for bit in controls] for path in paths], dtype=float)
    ones = numpy.ones(len(controls))
    found = milp(ones, constraints=LinearConstraint(rows, lb=1), integrality=ones, bounds=Bounds(0, 1))
    return round(found.fun) if found.success else None


def states(net: Network) -> list[str]:
    """One control toggled, and every state of all of them."""
    library, controls, trace = ByRustworkx(net), list(net.record.bits), net.trace()
    opened: set[str] = set()

    def each(*acts: Callable[[], object]) -> float:
        """Microseconds a control, every one of them toggled in turn."""
        def all_of_them() -> None:
            for control in controls:
                trace.toggle(control)
                for act in acts:
                    act()
        return best_us(all_of_them) / len(controls)

    def by_library() -> None:
        for control in controls:
            opened.symmetric_difference_update({control})
            library.live(opened)

    for control in [*controls, *controls[::2]]:
        opened.symmetric_difference_update({control})
        trace.toggle(control)
        if {library.at[name] for name in trace.live_terminals()} != library.live(opened):
            raise SystemExit(f"rustworkx and the wiring differ with {sorted(opened)} open")
    sections, of = net.sections(), net.sections().of

    def every_state() -> list[int]:
        found = counts(path_sets(sections, L) or [], len(controls))
        return [found[section] for section in of]

    peer = best_us(by_library) / len(controls)
    return [line("one control toggled", each(), "toggle", peer, "rustworkx"),
            line("the same, every terminal listed", each(trace.live_terminals), "", peer, "rustworkx"),
            line("the same, through loads too", each(trace.potential), "through loads"),
            line(f"every state of {len(controls)} controls counted", best_us(every_state),
                 "every state" if len(controls) == 20 else "", peer * 2 ** len(controls), "rustworkx, from one state,")]


def lock_offs(net: Network) -> list[str]:
    """Every terminal in turn as the part to be worked on."""
    sections, allowed = net.sections(), [net.record.bits[name] for name in net.may_open("skilled")]
    mask = sum(allowed)
    wanted = list(net.record.terminals)

    def built() -> list[list[int]]:
        return path_sets(sections, reaching(leave_neutral=False)) or []

    def metal(sets: list[list[int]], part: str) -> list[int]:
        return smallest(path & mask for path in sets[sections.of[net.record.at[part]]])

    sets, by_loads = built(), 0
    for part in wanted:
        ours, theirs = net.lock_off([part]).controls, by_program(metal(sets, part), allowed)
        if ours is not None and (theirs is None or len(ours) < theirs):
            raise SystemExit(f"the integer program and the wiring differ for {part}")
        by_loads += theirs is not None and (ours is None or len(ours) > theirs)

    def worst(call: Callable[[str], object]) -> float:
        return max(best_us(partial(call, part), 3, 0.0) for part in wanted)

    one_build = line("path sets for all lock-offs, one build", best_us(built), "")
    program = worst(lambda part: by_program(metal(sets, part), allowed))
    return [one_build,
            line("path sets of a part, worst", worst(lambda part: metal(sets, part)), "path sets"),
            line("lock-off of a part checked by potential, worst", worst(lambda part: net.lock_off([part])), "lock-off",
                 program, "integer program, metal alone"),
            f"{len(wanted)} parts; for {by_loads} of them loads ask for more than metal does"]


def line(what: str, took_us: float, target: str, peer_us: float = 0.0, peer: str = "") -> str:
    """What was measured, its target, and how many times as long the peer took."""
    aim = f" (target {TARGETS_US[target]:,.0f})" if target else ""
    return f"{what:48}{took_us:10,.2f} us{aim}" + (f"; {peer} {peer_us / took_us:,.3g} times as long" if peer else "")


def run() -> list[str]:
    lines = []
    for ways in (14, 60):
        net = house(ways)
        lines.append(f"{len(net.record.terminals)} terminals, {len(net.record.bits)} controls")
        lines += ["  " + row for row in (*states(net), *lock_offs(net))]
    return lines
