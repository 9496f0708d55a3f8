"""What a fault reads, the second way: its links written out anew and solved by numpy."""
from __future__ import annotations

import math

from spareway.readings.wired import Fault, Probe, Wired
from tests.readings.made import between_ohm


def plain_ohm(wired: Wired, fault: Fault, probe: Probe) -> float:
    """Between the two places of a reading with this fault there (Ω): inf where nothing joins them."""
    a, b = (fault.lands.get(end, end) for end in (probe.a, probe.b))
    edited = {frozenset((e.a, e.b)): e.new_ohm for e in fault.edits if e.old_ohm is not None}
    links = [(str(k.a), str(k.b), edited.pop(frozenset((k.a, k.b)), k.ohm)) for k in wired.network.links]
    assert not edited, "an edit of a link that is not there"
    links += [(str(e.a), str(e.b), e.new_ohm) for e in fault.edits if e.old_ohm is None]
    links += [(str(one), str(other), ohm) for one, other, ohm in wired.across(fault, probe)]
    return math.inf if a is None or b is None else between_ohm(links, str(a), str(b))


def engine_ohm(wired: Wired, fault: Fault, probe: Probe) -> float:
    shift = wired.shift(fault, probe)
    return shift.ohm if shift else math.inf
