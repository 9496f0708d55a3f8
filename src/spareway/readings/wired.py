"""What a circuit is to its readings: a network, the faults it may have, the readings that can be taken, and what each costs."""
from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from spareway.readings.network import Across, Edit, Network, Shift

__all__ = ["CORES", "MINUTES", "PRIORS_RADIAL", "PRIORS_RING", "UNNULLED", "UNNULLED_OHM", "UNNULLED_SD_OHM", "Fault", "Probe",
           "Wired", "alike", "spread"]

CORES = {"L": "line", "N": "neutral", "E": "protective conductor"}

# How often each kind is the cause where a circuit is looked at, shared equally among its places. Common practice, no source.
PRIORS_RING = {"sound": 0.40, "open": 0.14, "loose joint": 0.14, "spur": 0.09, "joined straight": 0.04, "bridge": 0.04,
               "changed over": 0.05, "earth off": 0.04, "smaller": 0.03, "lead not nulled": 0.03}
PRIORS_RADIAL = {"sound": 0.39, "open": 0.18, "loose joint": 0.17, "changed over": 0.09, "earth off": 0.08, "smaller": 0.05,
                 "lead not nulled": 0.03, "parallel path": 0.01}
# Leads not nulled beside another fault: how often, by what they add, and how well that is known (Ω). Common practice, no source
UNNULLED, UNNULLED_OHM, UNNULLED_SD_OHM = 0.06, 0.10, 0.03
# Minutes on site for one reading of each kind, the walk to it included. Common practice, no source.
MINUTES = {"end to end": 1.0, "crosswise": 1.0, "linked": 1.0, "joined anew": 1.5, "leg": 2.0}


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that may be wrong. `part` tells the sizes of one fault apart, of which `weight` is a share each.

    laid: the links of an arrangement that this fault lays otherwise; lands: the node at which an instrument in truth is where it
    is put to one, None for none; offset_ohm: what the leads add, known to offset_sd_ohm;
    shape: the same number for all of a circuit that are one network, however the leads are; -1 where nobody numbered them."""
    kind: str
    core: str
    place: tuple[str, ...]
    says: str
    weight: float
    edits: tuple[Edit, ...] = ()
    laid: Mapping[str, Across] = field(default_factory=dict)
    lands: Mapping[int, int | None] = field(default_factory=dict)
    offset_ohm: float = 0.0
    offset_sd_ohm: float = 0.0
    shape: int = -1

    @property
    def name(self) -> tuple[str, str, tuple[str, ...]]:
        """What is the same for all its sizes."""
        return self.kind, self.core, self.place


@dataclass(frozen=True, slots=True)
class Probe:
    """One reading that can be taken: how the ends are joined, between which nodes, what it costs, how it is asked for."""
    arrangement: str
    a: int
    b: int
    minutes: float
    says: str


@dataclass(frozen=True, slots=True)
class Wired:
    """A sound circuit and everything that may be wrong with it. `standard` names the readings of the usual test, in order."""
    network: Network
    arrangements: Mapping[str, Across]
    probes: Mapping[str, Probe]
    faults: tuple[Fault, ...]
    standard: tuple[str, ...]
    _shifts: dict[tuple[int, str, int, int], Shift | None] = field(default_factory=dict, repr=False)

    def across(self, fault: Fault, probe: Probe) -> Across:
        """The links laid for a reading, as this fault has them."""
        return fault.laid.get(probe.arrangement, self.arrangements[probe.arrangement])

    def shift(self, fault: Fault, probe: Probe) -> Shift | None:
        """What is between the two places of a reading with this fault there; None where an instrument is put to nothing."""
        key = fault.shape, probe.arrangement, probe.a, probe.b
        if key not in self._shifts or fault.shape < 0:
            a, b = fault.lands.get(probe.a, probe.a), fault.lands.get(probe.b, probe.b)
            joined = None if a is None or b is None else self.network.between(a, b, self.across(fault, probe), fault.edits)
            self._shifts[key] = joined
        return self._shifts[key]


def alike(one: Wired, other: Wired) -> bool:
    """Whether two are the same circuit with the same faults, however often it was made ready."""
    return one is other or _told(one) == _told(other)


def _told(wired: Wired) -> tuple[object, ...]:
    edits = [(e.a, e.b, e.new_ohm, e.own_ohm) for fault in wired.faults for e in fault.edits]
    faults = [(fault.name, fault.weight, fault.offset_ohm) for fault in wired.faults]
    return wired.network.links, wired.probes, wired.arrangements, wired.standard, faults, edits


def spread(middle_ohm: float, sigma: float) -> tuple[tuple[float, float, float], ...]:
    """A size known only by its order, log-normal about the middle: four narrower ones as (Ω, doubt in Ω, share)."""
    parts = ((-1.35, 0.17), (-0.45, 0.33), (0.45, 0.33), (1.35, 0.17))
    sizes = [(middle_ohm * math.exp(sigma * z), share) for z, share in parts]
    return tuple((ohm, ohm * sigma * 0.5, share) for ohm, share in sizes)
