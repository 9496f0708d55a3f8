"""Loops, drops and rings a second way: random circuits as networks of resistors, solved by their nodes, many at a time with numpy.

Each family draws circuits, solves them, asks the package the same and gives for each circuit how far the two are apart, relative to the
greater (or to 1e-6 of the unit, where both are all but nought). No formula of the package is used on the side of the nodes."""
from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from spareway.physics import cable, fault, ring
from spareway.physics.sharing import Tap, drop_at_v, legs_a, ring_r1r2_at_ohm, worst_drop

Numbers = NDArray[np.float64]
SECTIONS = 6                                    # a conductor is cut into so many: more nodes than a loop needs
FLOOR = 1e-6


def apart(ours: Numbers, nodes: Numbers) -> Numbers:
    """The greatest relative difference in each circuit."""
    scale = np.maximum(np.maximum(np.abs(ours), np.abs(nodes)), FLOOR)
    return np.max((np.abs(ours - nodes) / scale).reshape(len(ours), -1), axis=1)


def solved(g: Numbers, one: NDArray[np.int64], other: NDArray[np.int64], into: Numbers) -> Numbers:
    """Potentials of the nodes (circuit, node) for conductances (circuit, link) between nodes and currents (circuit, node); node 0 is 0 V."""
    count, nodes = into.shape
    matrix = np.zeros((count, nodes, nodes))
    for link, (a, b) in enumerate(zip(one, other, strict=True)):
        matrix[:, a, a] += g[:, link]
        matrix[:, b, b] += g[:, link]
        matrix[:, a, b] -= g[:, link]
        matrix[:, b, a] -= g[:, link]
    potentials = np.zeros_like(into)
    potentials[:, 1:] = np.linalg.solve(matrix[:, 1:, 1:], into[:, 1:, None])[:, :, 0]
    return potentials


def cut(draw: np.random.Generator, count: int, parts: int) -> Numbers:
    """Random shares of a whole (circuit, part), none of them tiny."""
    shares = draw.uniform(0.2, 1, (count, parts))
    return shares / shares.sum(axis=1, keepdims=True)


def chain(start: int, parts: int, first: int, last: int) -> tuple[list[int], list[int]]:
    """The ends of the links of a conductor from node `first` to node `last`, its inner nodes numbered from `start`."""
    stops = [first, *range(start, start + parts - 1), last]
    return stops[:-1], stops[1:]


def loops(draw: np.random.Generator, count: int) -> Numbers:
    """Zs: 1 A round the supply, the line in sections and the protective conductor in sections, hot and cold."""
    ze, hot = draw.uniform(0.02, 1, count), draw.uniform(1, 1.4, count)
    rho1, rho2 = draw.uniform(0.5, 19, count), draw.uniform(0.5, 19, count)
    length = draw.uniform(1, 120, count)
    line, cpc = (np.stack([rho * length / 1000] * SECTIONS, 1) * cut(draw, count, SECTIONS) for rho in (rho1, rho2))
    l_one, l_other = chain(3, SECTIONS, 1, 2)
    e_one, e_other = chain(3 + SECTIONS - 1, SECTIONS, 2, 0)
    one, other = np.array([0, *l_one, *e_one]), np.array([1, *l_other, *e_other])
    found = []
    for factor in (np.ones(count), hot):
        ohm = np.concatenate([ze[:, None], line * factor[:, None], cpc * factor[:, None]], 1)
        # the loop is opened at its start and 1 A driven through it: node 0 to the supply's far side
        into = np.zeros((count, 3 + 2 * (SECTIONS - 1) + 1))
        opened = other.copy()
        opened[-1] = into.shape[1] - 1
        into[:, -1] = 1
        found.append(solved(1 / ohm, one, opened, into)[:, -1])
    ours = np.array([(fault.zs_ohm(z, cable.r1_ohm(a, m), cable.r2_ohm(b, m)),
                      fault.zs_hot_ohm(z, cable.r1r2_ohm(cable.r1_ohm(a, m), cable.r2_ohm(b, m)), f))
                     for z, a, b, m, f in zip(ze, rho1, rho2, length, hot, strict=True)])
    return apart(ours, np.stack(found, 1))


def drops(draw: np.random.Generator, count: int) -> Numbers:
    """The drop at the end of a radial with loads along it: line and neutral each in sections, every load drawn from one to the other."""
    mv, length = draw.uniform(1, 46, count), draw.uniform(2, 120, count)
    shares, loads = cut(draw, count, SECTIONS), draw.uniform(0, 10, (count, SECTIONS))
    ohm = mv[:, None] / 2000 * length[:, None] * shares
    one, other = chain(2, SECTIONS, 0, 1)
    into = np.zeros((count, SECTIONS + 1))
    stops = [*other[:-1], 1]
    into[:, stops] = loads                      # the neutral as seen from the board; the line is its mirror
    ends = 2 * solved(1 / ohm, np.array(one), np.array(other), into)[:, 1]
    at = np.cumsum(shares, 1) * length[:, None]
    ours = np.array([np.sum([cable.drop_v(m, float(a), float(x)) for a, x in zip(load, places, strict=True)])
                     for m, load, places in zip(mv, loads, at, strict=True)])
    return apart(ours, ends)


def rings(draw: np.random.Generator, count: int) -> Numbers:
    """A ring with five loads: the drop at each, the worst, and the currents of both legs."""
    mv, length = draw.uniform(4, 30, count), draw.uniform(10, 120, count)
    shares, loads = cut(draw, count, SECTIONS), draw.uniform(0, 13, (count, SECTIONS - 1))
    g = 1 / (mv[:, None] / 1000 * length[:, None] * shares)
    one, other = chain(1, SECTIONS, 0, 0)
    into = np.zeros((count, SECTIONS))
    into[:, 1:] = loads
    levels = solved(g, np.array(one), np.array(other), into)
    legs = np.stack([g[:, 0] * levels[:, 1], g[:, -1] * levels[:, -1]], 1)
    nodes = np.concatenate([levels[:, 1:], levels.max(axis=1, keepdims=True), legs], 1)
    at = np.cumsum(shares, 1)[:, :-1]
    ours = []
    for m, metres, places, amps in zip(mv, length, at, loads, strict=True):
        taps = [Tap(float(x), float(a)) for x, a in zip(places, amps, strict=True)]
        ours.append([*(drop_at_v(taps, t.at, m, metres) for t in taps), worst_drop(taps, m, metres)[1], *legs_a(taps)])
    return apart(np.array(ours), nodes)


def ring_points(draw: np.random.Generator, count: int) -> Numbers:
    """Line to earth at a point of a ring: in service, both legs at the board; and joined crosswise, as it is tested."""
    r1, r2, at = draw.uniform(0.1, 2, count), draw.uniform(0.1, 3, count), draw.uniform(0.02, 0.98, count)
    ohm = np.stack([at * r1, (1 - at) * r1, at * r2, (1 - at) * r2], 1)
    into = np.zeros((count, 4))
    into[:, 1], into[:, 2] = 1, -1
    # nodes: 0 and 3 the two joints, 1 the line contact, 2 the earth contact; in service the joints of each conductor are one node
    crosswise = solved(1 / ohm, np.array([1, 1, 2, 2]), np.array([0, 3, 3, 0]), into)
    in_service = solved(1 / ohm, np.array([1, 1, 2, 2]), np.array([0, 0, 0, 0]), into[:, :3])
    nodes = np.stack([each[:, 1] - each[:, 2] for each in (crosswise, in_service)], 1)
    ours = np.array([(ring.ring_le_at_ohm(a, b, x), ring_r1r2_at_ohm(a, b, x)) for a, b, x in zip(r1, r2, at, strict=True)])
    return apart(ours, nodes)


FAMILIES: dict[str, Callable[[np.random.Generator, int], Numbers]] = {
    "loops": loops, "drops": drops, "rings with loads": rings, "points of a ring": ring_points}
