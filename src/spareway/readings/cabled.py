"""What a ring and a radial share: stops joined by sections of cable, a contact at each point, and the faults any of it may have.

A node for each core at each stop, and one for each contact of each point's accessory. The board's first end is stop 0, then come
the points in order.
"""
from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from spareway.readings.network import OPEN_OHM, Across, Edit, Link, Network
from spareway.readings.wired import CORES, UNNULLED, UNNULLED_OHM, UNNULLED_SD_OHM, Fault, spread

__all__ = ["CONTACT_OHM", "END_OHM", "HOME", "LAID_OHM", "Cabled", "Reached", "Section"]

HOME = "the board"
CONTACT_OHM = 2e-3                              # an accessory's contact
END_OHM = 4e-3                                  # the terminations of one section, together
LAID_OHM = 1e-4                                 # a link laid across the ends for the test
JOINT = spread(0.35, 0.7)                       # a loose joint (Ω); common practice, no source
CHANGED = {"LN": 2.1, "NE": 0.45, "LE": 0.45}   # of three equal shares; common practice, no source


@dataclass(frozen=True, slots=True)
class Section:
    """A length of cable between two stops; `smaller_by`: how much more the next smaller size has, by core, if any."""
    a: int
    b: int
    metres: float
    ohm_per_m: Mapping[str, float]
    smaller_by: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Reached:
    """A point and the cable that leads to it. from_: the point before, or HOME; mohm_per_m: of L, N and E at 20 °C; smaller_by:
    how much more the next smaller size has, by core, none where there is none."""
    name: str
    from_: str
    metres: float
    mohm_per_m: Mapping[str, float]
    smaller_by: Mapping[str, float]


class Cabled:
    """Builds the network of one circuit. stops: the first end at the board, the points, and any end after them."""

    def __init__(self, points: Sequence[str], stops: Sequence[str], sections: Sequence[Section], length_sd: float) -> None:
        self.points, self.stops, self.sections, self.length_sd = tuple(points), tuple(stops), tuple(sections), length_sd
        if not all(section.metres > 0 for section in sections):
            raise ValueError("every section of a circuit has a length")
        self._first_stop = {core: i * len(self.stops) for i, core in enumerate(CORES)}
        self._first_face = {core: 3 * len(self.stops) + i * len(self.points) for i, core in enumerate(CORES)}

    # ---- nodes and links --------------------------------------------------------------------------------------------
    def stop(self, core: str, stop: int) -> int:
        """The conductor at a stop."""
        return self._first_stop[core] + stop

    def face(self, core: str, point: int) -> int:
        """A contact of an accessory, points counted from 0."""
        return self._first_face[core] + point

    def section_ohm(self, core: str, section: Section) -> float:
        return section.metres * section.ohm_per_m[core] + END_OHM

    def network(self) -> Network:
        """The sound circuit, the length of each section an unknown that its three cores share."""
        links = [Link(self.stop(c, s.a), self.stop(c, s.b), self.section_ohm(c, s), j, s.metres * s.ohm_per_m[c] * self.length_sd)
                 for c in CORES for j, s in enumerate(self.sections)]
        links += [Link(self.stop(c, j + 1), self.face(c, j), CONTACT_OHM) for c in CORES for j in range(len(self.points))]
        return Network(3 * len(self.stops) + 3 * len(self.points), links)

    def edit(self, core: str, section: Section, new_ohm: float, own_ohm: float = 0.0, grows: float = 1.0) -> Edit:
        """One core of a section made otherwise."""
        a, b = self.stop(core, section.a), self.stop(core, section.b)
        return Edit(a, b, new_ohm, self.section_ohm(core, section), own_ohm, grows)

    def laid(self, *pairs: tuple[str, int, str, int]) -> Across:
        """Links across stops: (core, stop, other core, its stop)."""
        return tuple((self.stop(one, i), self.stop(other, j), LAID_OHM) for one, i, other, j in pairs)

    # ---- what may be wrong --------------------------------------------------------------------------------------------
    def ways(self) -> dict[str, Callable[[], Iterator[Fault]]]:
        """How the faults of each kind are made."""
        return {"sound": self._sound, "open": self._open, "loose joint": self._loose_joint, "changed over": self._changed_over,
                "earth off": self._earth_off, "smaller": self._smaller, "lead not nulled": self._lead_not_nulled}

    def faults(self, priors: Mapping[str, float], unnulled: float) -> Iterator[Fault]:
        """Every fault of the circuit, each kind's weight shared among its places, with leads nulled and with leads that were not.

        unnulled: how often they were not, as a share."""
        ways, shapes = self.ways(), itertools.count()
        fewer, more = (1 - unnulled) / (1 - UNNULLED), unnulled / UNNULLED
        for kind, weight in priors.items():
            found = list(ways[kind]())
            each = weight / (len({f.name for f in found}) or 1)
            for f in found:
                if kind in ("sound", "lead not nulled"):         # each is the other with leads not nulled
                    yield _weighed(f, each * (more if f.offset_ohm else fewer), f.offset_ohm, f.offset_sd_ohm, next(shapes))
                    continue
                shape = next(shapes)
                yield _weighed(f, each * f.weight * (1 - unnulled), 0.0, 0.0, shape)
                yield _weighed(f, each * f.weight * unnulled, UNNULLED_OHM, UNNULLED_SD_OHM, shape)

    def between(self, section: Section) -> tuple[str, str]:
        return self.stops[section.a], self.stops[section.b]

    def _sound(self) -> Iterator[Fault]:
        yield Fault("sound", "", (), "nothing is wrong in what these readings can show", 1.0)

    def _open(self) -> Iterator[Fault]:
        for c, s in itertools.product(CORES, self.sections):
            a, b = self.between(s)
            yield Fault("open", c, (a, b), f"the {CORES[c]} is open between {a} and {b}", 1.0, (self.edit(c, s, OPEN_OHM),))

    def _loose_joint(self) -> Iterator[Fault]:
        for c, s in itertools.product(CORES, self.sections):
            a, b = self.between(s)
            for ohm, sd_ohm, share in JOINT:
                yield Fault("loose joint", c, (a, b), f"a loose joint in the {CORES[c]} between {a} and {b}", share,
                            (self.edit(c, s, self.section_ohm(c, s) + ohm, sd_ohm),))

    def _changed_over(self) -> Iterator[Fault]:
        for (one, other), (j, p) in itertools.product((("L", "N"), ("N", "E"), ("L", "E")), enumerate(self.points)):
            there, here = self.face(one, j), self.face(other, j)
            yield Fault("changed over", one + other, (p,), f"{CORES[one]} and {CORES[other]} are changed over at {p}",
                        CHANGED[one + other], lands={there: here, here: there})

    def _earth_off(self) -> Iterator[Fault]:
        for j, p in enumerate(self.points):
            yield Fault("earth off", "E", (p,), f"the protective conductor is off the accessory at {p}", 1.0,
                        lands={self.face("E", j): None})

    def _smaller(self) -> Iterator[Fault]:
        for s in self.sections:
            a, b = self.between(s)
            edits = tuple(self.edit(c, s, s.metres * s.ohm_per_m[c] * by + END_OHM, grows=by) for c, by in s.smaller_by.items())
            if edits:
                yield Fault("smaller", "", (a, b), f"a smaller cable between {a} and {b}", 1.0, edits)

    def _lead_not_nulled(self) -> Iterator[Fault]:
        yield Fault("lead not nulled", "", (), "the leads were not nulled, or the null has moved", 1.0, offset_ohm=UNNULLED_OHM,
                    offset_sd_ohm=UNNULLED_SD_OHM)


def _weighed(f: Fault, weight: float, offset_ohm: float, offset_sd_ohm: float, shape: int) -> Fault:
    return Fault(f.kind, f.core, f.place, f.says, weight, f.edits, f.laid, f.lands, offset_ohm, offset_sd_ohm, shape)
