"""What a ring final circuit should read between its conductors, sound and with the usual faults.

r1, rn and r2 are the resistances of its line, neutral and protective conductor end to end. For the second and third
step of the test the legs are joined crosswise, so from any point two paths lead to the other conductor. A position is
the share of the way round, 0 to 1.
"""
from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence

from spareway.fact import formula
from spareway.physics.equations import solved


@formula("two paths in parallel; Guidance Note 3, ring test step 3")
def ring_le_at_ohm(ring_r1_ohm: float, ring_r2_ohm: float, ring_position: float) -> float:
    """Line to earth at a point of a sound ring, legs joined crosswise.

    Range: no spur; leads nulled. Greatest in the middle, where it is a quarter of r1 + r2.
    Case: published/ring.toml#line-earth-round-a-ring
    """
    return (ring_position * ring_r1_ohm + (1 - ring_position) * ring_r2_ohm) \
        * ((1 - ring_position) * ring_r1_ohm + ring_position * ring_r2_ohm) / (ring_r1_ohm + ring_r2_ohm)


@formula("two paths in parallel; Guidance Note 3, ring test step 2")
def ring_ln_at_ohm(ring_r1_ohm: float, ring_rn_ohm: float, ring_position: float) -> float:
    """Line to neutral at a point of a sound ring, legs joined crosswise.

    Range: as ring_le_at_ohm. The same everywhere where both conductors are alike.
    Case: published/ring.toml#line-neutral-round-a-ring
    """
    return (ring_position * ring_r1_ohm + (1 - ring_position) * ring_rn_ohm) \
        * ((1 - ring_position) * ring_r1_ohm + ring_position * ring_rn_ohm) / (ring_r1_ohm + ring_rn_ohm)


@formula("two paths in parallel; Guidance Note 3, ring test step 3")
def ring_ne_at_ohm(ring_rn_ohm: float, ring_r2_ohm: float, ring_position: float) -> float:
    """Neutral to earth at a point of a sound ring, legs joined crosswise.

    Range: as ring_le_at_ohm.
    Case: published/ring.toml#neutral-earth-round-a-ring
    """
    return (ring_position * ring_rn_ohm + (1 - ring_position) * ring_r2_ohm) \
        * ((1 - ring_position) * ring_rn_ohm + ring_position * ring_r2_ohm) / (ring_rn_ohm + ring_r2_ohm)


@formula("Guidance Note 3; On-Site Guide 10.3")
def ring_ln_ohm(ring_r1_ohm: float, ring_rn_ohm: float) -> float:
    """Line to neutral at the middle of a ring, legs joined crosswise.

    Range: no spur.
    Case: published/ring.toml#quarter-line-neutral
    """
    return (ring_r1_ohm + ring_rn_ohm) / 4


@formula("two paths in parallel")
def ring_same_legs_ohm(ring_r1_ohm: float, ring_rn_ohm: float, ring_position: float) -> float:
    """What is read when the conductors of the same leg were joined instead: nought at the board, most mid-way.

    Range: an error of the test, not a fault of the ring.
    Case: published/ring.toml#same-legs
    """
    return ring_position * (1 - ring_position) * (ring_r1_ohm + ring_rn_ohm)


@formula("one path left")
def ring_open_before_ohm(ring_r1_ohm: float, ring_rn_ohm: float, ring_position: float) -> float:
    """Line to neutral at a point that lies before the break in the line conductor.

    Range: legs joined crosswise; r1 is that of the cable as if whole.
    Case: published/ring.toml#before-a-break
    """
    return ring_position * ring_r1_ohm + (1 - ring_position) * ring_rn_ohm


@formula("one path left")
def ring_open_after_ohm(ring_r1_ohm: float, ring_rn_ohm: float, ring_position: float) -> float:
    """Line to neutral at a point that lies after the break in the line conductor.

    Range: as ring_open_before_ohm.
    Case: published/ring.toml#after-a-break
    """
    return (1 - ring_position) * ring_r1_ohm + ring_position * ring_rn_ohm


@formula("resistances in series")
def spur_end_ohm(ring_point_ohm: float, spur_mohm_per_m: float, spur_m: float) -> float:
    """What is read at the end of an unfused spur: what the ring has where it leaves, and the spur's two conductors.

    Range: a spur of one cable.
    Case: published/ring.toml#end-of-a-spur
    """
    return ring_point_ohm + spur_mohm_per_m * spur_m / 1000


@formula("resistances in series, solved for the length")
def spur_length_m(reading_ohm: float, ring_point_ohm: float, spur_mohm_per_m: float) -> float:
    """How long a spur is that reads so much more than the ring.

    Range: a spur of one cable.
    Case: published/ring.toml#length-of-a-spur
    """
    return (reading_ohm - ring_point_ohm) / spur_mohm_per_m * 1000


@formula("ratio")
def r2_to_r1(ring_r1_ohm: float, ring_r2_ohm: float) -> float:
    """Protective over line conductor, which says whether both were read end to end.

    Range: both read with the same leads.
    Case: published/ring.toml#ratio-of-a-ring
    """
    return ring_r2_ohm / ring_r1_ohm


@formula("share")
def reading_low_percent(reading_ohm: float, ring_r1r2_ohm: float) -> float:
    """How far a reading lies below the quarter of r1 + r2.

    Case: published/ring.toml#below-the-quarter
    """
    return (1 - reading_ohm / ring_r1r2_ohm) * 100


@formula("On-Site Guide Appendix I")
def length_of_sum_m(ring_r1_ohm: float, ring_r2_ohm: float, r1r2_mohm_per_m: float) -> float:
    """How long a ring is, from both conductors end to end.

    Range: near 20 °C.
    Case: published/ring.toml#length-from-both
    """
    return (ring_r1_ohm + ring_r2_ohm) / r1r2_mohm_per_m * 1000


@formula("resistances in series and in parallel")
def bridged_end_ohm(ring_r1_ohm: float, bridged_share: float, bridge_ohm: float) -> float:
    """A conductor end to end when part of its way is bridged.

    Range: the bridge itself has bridge_ohm; bridged_share of the way lies between its ends.
    Case: published/ring.toml#bridged-end-to-end
    """
    return (1 - bridged_share) * ring_r1_ohm \
        + bridged_share * ring_r1_ohm * bridge_ohm / (bridged_share * ring_r1_ohm + bridge_ohm)


# ---- rings that no single formula says ------------------------------------------------------------------------------
Link = tuple[str, str, float]                   # two nodes and the resistance between them (Ω)


def between_ohm(links: Sequence[Link], one: str, other: str) -> float:
    """Resistance (Ω) between two nodes of a network of resistors; infinite where no path leads from one to the other.

    Nodal analysis by elimination: `other` at 0 V, 1 A in at `one`. Errors: ValueError for a resistance not above 0."""
    if wrong := [link for link in links if not link[2] > 0]:
        raise ValueError(f"not a resistance: {wrong[0]}")
    reached = _reached(links, one)
    if other not in reached:
        return math.inf
    if one == other:
        return 0.0
    nodes = sorted(reached - {other})
    rows = [[math.fsum(_between(links, a, b)) for b in nodes] + [1.0 if a == one else 0.0] for a in nodes]
    return solved(rows)[nodes.index(one)]


def _between(links: Sequence[Link], a: str, b: str) -> list[float]:
    """The conductances that make up one cell of the node matrix."""
    if a == b:
        return [1 / ohm for left, right, ohm in links if left != right and a in (left, right)]
    return [-1 / ohm for left, right, ohm in links if {left, right} == {a, b}]


def _reached(links: Sequence[Link], start: str) -> set[str]:
    reached, new = {start}, [start]
    while new:
        here = new.pop()
        for left, right, _ in links:
            for near, far in ((left, right), (right, left)):
                if near == here and far not in reached:
                    reached.add(far)
                    new.append(far)
    return reached


def conductor(name: str, ohm: float, stops: Sequence[float]) -> list[Link]:
    """A conductor of a ring (Ω end to end) cut at the given shares of its way: nodes `L0`, `L0.2`, ... `L1`."""
    at = sorted({0.0, 1.0, *stops})
    return [(node(name, a), node(name, b), ohm * (b - a)) for a, b in itertools.pairwise(at)]


def node(name: str, position: float) -> str:
    """The node of a conductor at a share of its way."""
    return f"{name}{position:.9g}"


def bridged_ln_ohm(ring_r1_ohm: float, ring_rn_ohm: float, bridge_ohm: float, bridge: tuple[float, float],
                   positions: Sequence[float]) -> list[float]:
    """Line to neutral (Ω) at each position when line and neutral are each bridged between two points of the ring,
    legs joined crosswise. Solved as a network of resistors."""
    stops = (*bridge, *positions)
    links = [*conductor("L", ring_r1_ohm, stops), *conductor("N", ring_rn_ohm, stops),
             *[(node(core, bridge[0]), node(core, bridge[1]), bridge_ohm) for core in "LN"]]
    crosswise = {"N1": "L0", "L1": "N0"}
    joined = [(crosswise.get(one, one), crosswise.get(other, other), ohm) for one, other, ohm in links]
    ends = [(node("L", at), node("N", at)) for at in positions]
    return [between_ohm(joined, crosswise.get(line, line), crosswise.get(neutral, neutral)) for line, neutral in ends]


def end_to_end(rings_ohm: Mapping[str, float], pair: tuple[str, str]) -> float:
    """Resistance (Ω) between two legs of several rings, "1A" and "2B": infinite between different rings."""
    links = [(f"{ring}A", f"{ring}B", ohm) for ring, ohm in rings_ohm.items()]
    return between_ohm(links, *pair)


def spread_percent(readings_ohm: Sequence[float]) -> float:
    """How far the greatest reading lies above the least, in per cent of the least."""
    return (max(readings_ohm) / min(readings_ohm) - 1) * 100
