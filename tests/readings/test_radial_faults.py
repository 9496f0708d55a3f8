"""The faults of a radial: every one against a plain solve of its network, trees and chains, and invented circuits."""
from __future__ import annotations

import math
import random

import pytest

from spareway.readings.radial import HOME, Reached, radial
from spareway.readings.rank import rank
from spareway.readings.wired import Wired
from tests.readings.plainly import engine_ohm, plain_ohm

COPPER = {"L": 7.41, "N": 7.41, "E": 12.1}                                      # mΩ/m at 20 °C, IEC 60228
SMALLER = dict.fromkeys("LN", 12.1 / 7.41)
TREE = (("p1", HOME, 6), ("p2", "p1", 4), ("p3", "p1", 5), ("p4", "p3", 7))


def tree() -> Wired:
    return radial([Reached(name, from_, metres, COPPER, SMALLER) for name, from_, metres in TREE])


def test_every_fault_reads_as_its_network_solved_plainly() -> None:
    """The second way: each fault's links written out anew and solved by numpy; over range where nothing joins the two places."""
    wired, draw = tree(), random.Random(2)
    for fault in wired.faults:
        for name in draw.sample(list(wired.probes), 6):
            probe = wired.probes[name]
            assert engine_ohm(wired, fault, probe) == pytest.approx(plain_ohm(wired, fault, probe), abs=1e-8), (fault.says, name)


def test_a_protective_conductor_open_on_a_branch_is_told_from_one_off_an_accessory() -> None:
    """p3 and p4 hang on one cable; both without earth is the cable to p3, p4 alone leaves three alike: its cable, its
    terminal, and line and neutral changed over there, for L-E is then read between two conductors that nothing links. By hand:
    R1+R2 of 6 m is 0.117 Ω, of 10 m 0.195, of 11 m 0.215, of 18 m 0.351; R1+Rn 0.089, 0.148, 0.163, 0.267."""
    whole = {"L-E p1": 0.12, "L-E p2": 0.20, "L-E p3": 0.22, "L-E p4": 0.36, "L-N p1": 0.10, "L-N p2": 0.16, "L-N p3": 0.17, "L-N p4": 0.28}
    assert rank(tree(), whole).faults[0][0].kind == "sound"
    both = rank(tree(), whole | {"L-E p3": math.inf, "L-E p4": math.inf})
    assert both.faults[0][0].name == ("open", "E", ("p1", "p3"))
    assert both.faults[0][1] > 0.9
    one = rank(tree(), whole | {"L-E p4": math.inf})
    assert {fault.name for fault in one.alike} == {("open", "E", ("p3", "p4")), ("earth off", "E", ("p4",)), ("changed over", "LN", ("p4",))}


def test_another_path_to_earth() -> None:
    """Line to neutral as it should be and line to earth too low from p3 on: its frame is earthed by other ways too."""
    read = {"L-E p1": 0.10, "L-E p2": 0.18, "L-E p3": 0.12, "L-E p4": 0.26, "L-N p1": 0.10, "L-N p2": 0.16, "L-N p3": 0.17, "L-N p4": 0.28}
    assert rank(tree(), read).faults[0][0].name == ("parallel path", "E", ("p3",))


def test_a_point_reached_from_nowhere_is_refused() -> None:
    """A point whose cable comes from a point that does not stand before it; and a cable without a length."""
    with pytest.raises(ValueError, match="p2 is reached from p3"):
        radial([Reached("p1", HOME, 3, COPPER, {}), Reached("p2", "p3", 3, COPPER, {})])
    with pytest.raises(ValueError, match="has a length"):
        radial([Reached("p1", HOME, 0, COPPER, {})])
