"""A ring final circuit as its readings see it: two ends at the board, points in order, and what may be wrong with it.

A node for each core at each end and each point, and one for each contact of each point's accessory.
"""
from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence

from spareway.readings.network import OPEN_OHM, Across, Edit, Link, Network
from spareway.readings.wired import CORES, MINUTES, PRIORS_RING, Fault, Probe, Wired, spread

__all__ = ["LAID_OHM", "Ring", "ring"]

CONTACT_OHM = 2e-3                              # an accessory's contact
END_OHM = 4e-3                                  # the terminations of one section, together
LAID_OHM = 1e-4                                 # a link laid across the ends for the test
JOINT = spread(0.35, 0.7)                       # a loose joint (Ω); common practice, no source
CHANGED = {"LN": 2.1, "NE": 0.45, "LE": 0.45}   # of three equal shares; common practice, no source
HOW = {"N": "line to neutral", "E": "line to earth"}
METRES = tuple(2 + 9 * (i + 0.5) / 4 for i in range(4))          # lengths (m) of a spur or a bridge that nobody recorded


class Ring:
    """Builds the network of one ring. sections_m: leg A to the first point, point to point, last point to leg B."""

    def __init__(self, points: Sequence[str], sections_m: Sequence[float], mohm_per_m: Mapping[str, float],
                 smaller_by: Mapping[str, float], length_sd: float) -> None:
        self.points, self.sections_m, self.length_sd = tuple(points), tuple(sections_m), length_sd
        self.ohm_per_m = {core: mohm / 1000 for core, mohm in mohm_per_m.items()}
        self.smaller_by, self.n = smaller_by, len(points)
        if len(sections_m) != self.n + 1 or not all(m > 0 for m in sections_m):
            raise ValueError("a ring has one section more than points, and each has a length")

    # ---- nodes and links --------------------------------------------------------------------------------------------
    def end(self, core: str, stop: int) -> int:
        """The conductor at a stop: 0 is leg A at the board, then the points, the last is leg B."""
        return "LNE".index(core) * (self.n + 2) + stop

    def face(self, core: str, point: int) -> int:
        """A contact of an accessory, points counted from 0."""
        return 3 * (self.n + 2) + "LNE".index(core) * self.n + point

    def section_ohm(self, core: str, section: int) -> float:
        return self.sections_m[section] * self.ohm_per_m[core] + END_OHM

    def network(self) -> Network:
        """The sound ring, the length of each section an unknown that its three cores share."""
        links = [Link(self.end(c, j), self.end(c, j + 1), self.section_ohm(c, j), j,
                      self.sections_m[j] * self.ohm_per_m[c] * self.length_sd) for c in CORES for j in range(self.n + 1)]
        links += [Link(self.end(c, j + 1), self.face(c, j), CONTACT_OHM) for c in CORES for j in range(self.n)]
        return Network(3 * (self.n + 2) + 3 * self.n, links)

    def joined(self, one: str, other: str, crosswise: bool = True) -> Across:
        """The ends of two cores linked at the board: leg A of one to leg B of the other, or leg to same leg."""
        last = self.n + 1
        return tuple((self.end(one, leg), self.end(other, last - leg if crosswise else leg), LAID_OHM) for leg in (0, last))

    # ---- what can be read ---------------------------------------------------------------------------------------------
    def probes(self) -> dict[str, Probe]:
        out = {f"{c} end to end": Probe("open", self.end(c, 0), self.end(c, self.n + 1), MINUTES["end to end"],
                                        f"ends open at the board: {CORES[c]}, leg A to leg B") for c in CORES}
        for c, says in HOW.items():
            out |= {f"L-{c} {p}": Probe(f"L-{c}", self.face("L", j), self.face(c, j), MINUTES["crosswise"],
                                        f"line and {CORES[c]} cross-connected at the board: {says} at {p}")
                    for j, p in enumerate(self.points)}
        out |= {f"N-E {p}": Probe("N-E", self.face("N", j), self.face("E", j), MINUTES["joined anew"],
                                  f"neutral and {CORES['E']} cross-connected at the board: neutral to earth at {p}")
                for j, p in enumerate(self.points)}
        for c in CORES:
            out |= {f"leg A {c} {p}": Probe("open", self.end(c, 0), self.face(c, j), MINUTES["leg"],
                                            f"ends open at the board, long lead: {CORES[c]}, from leg A at the board to {p}")
                    for j, p in enumerate(self.points)}
        return out

    # ---- what may be wrong --------------------------------------------------------------------------------------------
    def between(self, section: int) -> tuple[str, str]:
        stops = ("leg A at the board", *self.points, "leg B at the board")
        return stops[section], stops[section + 1]

    def faults(self) -> Iterator[Fault]:
        """Every fault of the ring, each kind's weight shared among its places."""
        ways = {"sound": self._sound, "open": self._open, "loose joint": self._loose_joint, "spur": self._spur,
                "joined straight": self._joined_straight, "bridge": self._bridge, "changed over": self._changed_over,
                "earth off": self._earth_off, "smaller": self._smaller, "lead not nulled": self._lead_not_nulled}
        for kind, weight in PRIORS_RING.items():
            found = list(ways[kind]())
            places = len({each.name for each in found}) or 1
            for each in found:
                yield Fault(each.kind, each.core, each.place, each.says, weight / places * each.weight, each.edits, each.laid,
                            each.offset_ohm, each.offset_sd_ohm)

    def _sound(self) -> Iterator[Fault]:
        yield Fault("sound", "", (), "nothing is wrong in what these readings can show", 1.0)

    def _open(self) -> Iterator[Fault]:
        for c, j in itertools.product(CORES, range(self.n + 1)):
            a, b = self.between(j)
            yield Fault("open", c, (a, b), f"the {CORES[c]} is open between {a} and {b}", 1.0,
                        (Edit(self.end(c, j), self.end(c, j + 1), OPEN_OHM, self.section_ohm(c, j)),))

    def _loose_joint(self) -> Iterator[Fault]:
        for c, j in itertools.product(CORES, range(self.n + 1)):
            a, b = self.between(j)
            old = self.section_ohm(c, j)
            for ohm, sd_ohm, share in JOINT:
                yield Fault("loose joint", c, (a, b), f"a loose joint in the {CORES[c]} between {a} and {b}", share,
                            (Edit(self.end(c, j), self.end(c, j + 1), old + ohm, old, sd_ohm),))

    def _spur(self) -> Iterator[Fault]:
        for j, p in enumerate(self.points):
            for metres in METRES:
                edits = tuple(Edit(self.end(c, j + 1), self.face(c, j), CONTACT_OHM + metres * self.ohm_per_m[c], CONTACT_OHM,
                                   0.65 * self.ohm_per_m[c]) for c in CORES)
                yield Fault("spur", "", (p,), f"{p} hangs on a spur of the ring", 1 / len(METRES), edits)

    def _joined_straight(self) -> Iterator[Fault]:
        for c, says in HOW.items():
            yield Fault("joined straight", c, (), f"for {says} the ends were joined leg to same leg and not crosswise", 1.0,
                        laid={f"L-{c}": self.joined("L", c, crosswise=False)})

    def _bridge(self) -> Iterator[Fault]:
        for i in range(self.n):
            for j in range(i + 2, self.n):
                for metres in METRES:
                    edits = tuple(Edit(self.end(c, i + 1), self.end(c, j + 1), metres * self.ohm_per_m[c], None,
                                       0.65 * self.ohm_per_m[c]) for c in CORES)
                    yield Fault("bridge", "", (self.points[i], self.points[j]),
                                f"a cable bridges the ring from {self.points[i]} to {self.points[j]}", 1 / len(METRES), edits)

    def _changed_over(self) -> Iterator[Fault]:
        for (one, other), (j, p) in itertools.product((("L", "N"), ("N", "E"), ("L", "E")), enumerate(self.points)):
            off = [Edit(self.end(c, j + 1), self.face(c, j), OPEN_OHM, CONTACT_OHM) for c in (one, other)]
            on = [Edit(self.end(a, j + 1), self.face(b, j), CONTACT_OHM) for a, b in ((one, other), (other, one))]
            yield Fault("changed over", one + other, (p,), f"{CORES[one]} and {CORES[other]} are changed over at {p}",
                        CHANGED[one + other], (*off, *on))

    def _earth_off(self) -> Iterator[Fault]:
        for j, p in enumerate(self.points):
            yield Fault("earth off", "E", (p,), f"the protective conductor is off the accessory at {p}", 1.0,
                        (Edit(self.end("E", j + 1), self.face("E", j), OPEN_OHM, CONTACT_OHM),))

    def _smaller(self) -> Iterator[Fault]:
        for j in range(self.n + 1 if self.smaller_by else 0):
            a, b = self.between(j)
            edits = tuple(Edit(self.end(c, j), self.end(c, j + 1), (self.section_ohm(c, j) - END_OHM) * by + END_OHM,
                               self.section_ohm(c, j)) for c, by in self.smaller_by.items())
            yield Fault("smaller", "", (a, b), f"a smaller cable between {a} and {b}", 1.0, edits)

    def _lead_not_nulled(self) -> Iterator[Fault]:
        yield Fault("lead not nulled", "", (), "the leads were not nulled, or the null has moved", 1.0, offset_ohm=0.10,
                    offset_sd_ohm=0.03)


def ring(points: Sequence[str], sections_m: Sequence[float], mohm_per_m: Mapping[str, float],
         smaller_by: Mapping[str, float], length_sd: float = 0.2) -> Wired:
    """A ring ready to be judged.

    points: names in order from leg A; sections_m: one more than points (m); mohm_per_m: of L, N and E at 20 °C; smaller_by: how
    much more the next smaller size has, by core, none where there is none; length_sd: how well the lengths
    are known, as a share. Errors: ValueError."""
    of = Ring(points, sections_m, mohm_per_m, smaller_by, length_sd)
    probes = of.probes()
    standard = (*(f"{c} end to end" for c in CORES), *(f"L-{c} {p}" for c in HOW for p in points))
    laid = {"open": (), "L-N": of.joined("L", "N"), "L-E": of.joined("L", "E"), "N-E": of.joined("N", "E")}
    return Wired(of.network(), laid, probes, tuple(of.faults()), standard)
