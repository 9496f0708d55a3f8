"""A ring final circuit as its readings see it: two ends at the board, points in order, and what may be wrong with it."""
from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Mapping, Sequence

from spareway.readings.cabled import CONTACT_OHM, Cabled, Reached, Section
from spareway.readings.network import Across, Edit
from spareway.readings.wired import CORES, MINUTES, PRIORS_RING, UNNULLED, Fault, Probe, Wired

__all__ = ["Ring", "ring"]

HOW = {"N": "line to neutral", "E": "line to earth"}
METRES = tuple(2 + 9 * (i + 0.5) / 4 for i in range(4))          # lengths (m) of a spur or a bridge that nobody recorded


class Ring(Cabled):
    """Builds the network of one ring. sections_m: leg A to the first point, point to point, last point to leg B.

    spurs: the points that hang on it, each after the one it hangs on."""

    def __init__(self, points: Sequence[str], sections_m: Sequence[float], mohm_per_m: Mapping[str, float],
                 smaller_by: Mapping[str, float], length_sd: float, spurs: Sequence[Reached] = ()) -> None:
        if len(sections_m) != len(points) + 1:
            raise ValueError("a ring has one section more than points")
        self.ohm_per_m = {core: mohm / 1000 for core, mohm in mohm_per_m.items()}
        stops = ("leg A at the board", *points, *(spur.name for spur in spurs), "leg B at the board")
        self.on_ring, self.last = tuple(points), len(stops) - 1
        ends = [*range(len(points) + 1), self.last]
        sections = [Section(a, b, m, self.ohm_per_m, smaller_by)
                    for (a, b), m in zip(itertools.pairwise(ends), sections_m, strict=True)]
        for stop, spur in enumerate(spurs, len(points) + 1):
            if spur.from_ not in stops[1:stop]:
                raise ValueError(f"{spur.name} hangs on {spur.from_}, which does not stand before it")
            per_m = {core: mohm / 1000 for core, mohm in spur.mohm_per_m.items()}
            sections.append(Section(stops.index(spur.from_), stop, spur.metres, per_m, spur.smaller_by))
        super().__init__(stops[1:-1], stops, sections, length_sd)

    def joined(self, one: str, other: str, crosswise: bool = True) -> Across:
        """The ends of two cores linked at the board: leg A of one to leg B of the other, or leg to same leg."""
        return self.laid(*((one, leg, other, self.last - leg if crosswise else leg) for leg in (0, self.last)))

    def probes(self) -> dict[str, Probe]:
        """What can be read of it; what takes for ever is never asked for."""
        out = {f"{c} end to end": Probe("open", self.stop(c, 0), self.stop(c, self.last), MINUTES["end to end"],
                                        f"ends open at the board: {CORES[c]}, leg A to leg B") for c in CORES}
        for c, says in HOW.items():
            out |= {f"L-{c} {p}": Probe(f"L-{c}", self.face("L", j), self.face(c, j), MINUTES["crosswise"],
                                        f"line and {CORES[c]} cross-connected at the board: {says} at {p}")
                    for j, p in enumerate(self.points)}
        out |= {f"N-E {p}": Probe("N-E", self.face("N", j), self.face("E", j), MINUTES["joined anew"],
                                  f"neutral and {CORES['E']} cross-connected at the board: neutral to earth at {p}")
                for j, p in enumerate(self.points)}
        for leg, stop, minutes in (("leg A", 0, MINUTES["leg"]), ("leg B", self.last, math.inf)):      # B tells what A tells
            for c in CORES:
                says = f"ends open at the board, long lead: {CORES[c]}, from {leg} at the board to"
                out |= {f"{leg} {c} {p}": Probe("open", self.stop(c, stop), self.face(c, j), minutes, f"{says} {p}")
                        for j, p in enumerate(self.points)}
        return out

    def ways(self) -> dict[str, Callable[[], Iterator[Fault]]]:
        return super().ways() | {"spur": self._spur, "joined straight": self._joined_straight, "bridge": self._bridge}

    def _spur(self) -> Iterator[Fault]:
        for j, p in enumerate(self.on_ring):
            for metres in METRES:
                edits = tuple(Edit(self.stop(c, j + 1), self.face(c, j), CONTACT_OHM + metres * self.ohm_per_m[c], CONTACT_OHM,
                                   0.65 * self.ohm_per_m[c]) for c in CORES)
                yield Fault("spur", "", (p,), f"{p} hangs on a spur of the ring", 1 / len(METRES), edits)

    def _joined_straight(self) -> Iterator[Fault]:
        for c, says in HOW.items():
            yield Fault("joined straight", c, (), f"for {says} the ends were joined leg to same leg and not crosswise", 1.0,
                        laid={f"L-{c}": self.joined("L", c, crosswise=False)})

    def _bridge(self) -> Iterator[Fault]:
        for i in range(len(self.on_ring)):
            for j in range(i + 2, len(self.on_ring)):
                ends = [(self.stop(c, i + 1), self.stop(c, j + 1), self.ohm_per_m[c]) for c in CORES]
                for metres in METRES:
                    edits = tuple(Edit(a, b, metres * per_m, None, 0.65 * per_m) for a, b, per_m in ends)
                    yield Fault("bridge", "", (self.on_ring[i], self.on_ring[j]),
                                f"a cable bridges the ring from {self.on_ring[i]} to {self.on_ring[j]}", 1 / len(METRES), edits)


def ring(points: Sequence[str], sections_m: Sequence[float], mohm_per_m: Mapping[str, float],
         smaller_by: Mapping[str, float], length_sd: float = 0.2, unnulled: float = UNNULLED,
         spurs: Sequence[Reached] = ()) -> Wired:
    """A ring ready to be judged.

    points: names in order from leg A; sections_m: one more than points (m); mohm_per_m: of L, N and E at 20 °C; smaller_by: how
    much more the next smaller size has, by core, none where there is none; length_sd: how well the lengths
    are known, as a share; unnulled: how often the leads were not nulled; spurs: points that hang on it, each after the one it
    hangs on. Errors: ValueError."""
    of = Ring(points, sections_m, mohm_per_m, smaller_by, length_sd, spurs)
    standard = (*(f"{c} end to end" for c in CORES), *(f"L-{c} {p}" for c in HOW for p in of.points))
    laid = {"open": (), "L-N": of.joined("L", "N"), "L-E": of.joined("L", "E"), "N-E": of.joined("N", "E")}
    return Wired(of.network(), laid, of.probes(), tuple(of.faults(PRIORS_RING, unnulled)), standard)
