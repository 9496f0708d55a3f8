"""What the ranking of an invented circuit was worth: right or not after the usual readings and after each that it proposed, what it
promised, and how long it took on site to be sure, beside a person who goes by a fixed order. The quick engine is judged, which says
what the one on the phone says (tests of its own hold it to that)."""
from __future__ import annotations

import zlib
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from spareway.fast import faults
from spareway.readings.radial import Reached, radial
from spareway.readings.ring import ring
from spareway.readings.wired import Wired
from tests.readings.made import PER_M, Made, drawn_ring, shown, true_ohm
from tests.readings.made_radial import THINNER, drawn_radial, true_radial_ohm

SMALLER = dict.fromkeys("LN", PER_M["1.5"] / PER_M["2.5"])
PROPOSED = 3                                    # readings it may propose before it is judged for the last time
SURE, MOST = 0.9, 6                             # when a place counts as found, and how many more readings anyone takes
NO_FAULT = ("sound", "lead not nulled")         # what says nothing against the circuit


@dataclass(frozen=True)
class Case:
    """A circuit as the record has it, what is wrong with it in truth, and what its tester shows for each reading asked."""
    made: Made
    wired: Wired
    ohm: Callable[[Made, str], float]
    seed: tuple[int, ...]
    lead: str = "leg A"

    def shows(self, probe: str) -> float:
        """The same reading whenever it is asked for."""
        rng = np.random.default_rng([*self.seed, zlib.crc32(probe.encode())])
        return shown(rng, self.ohm(self.made, probe), self.made.null_ohm)


def ring_case(seed: int, number: int, kind: str = "", most: int = 14) -> Case:
    """The so-and-so-manieth ring of a seed; its fault drawn, or the one asked for."""
    made = drawn_ring(np.random.default_rng([seed, number]), most, kind)
    wired = ring(made.points, made.told_m, {c: PER_M[s] * 1000 for c, s in made.sizes.items()}, SMALLER)
    return Case(made, wired, true_ohm, (seed, number))


def radial_case(seed: int, number: int, most: int = 12) -> Case:
    """The same of the radials."""
    made = drawn_radial(np.random.default_rng([seed, number]), most)
    per_m = {c: PER_M[s] * 1000 for c, s in made.sizes.items()}
    line = made.sizes["L"]
    smaller = dict.fromkeys("LN", PER_M[THINNER[line]] / PER_M[line])
    wired = radial([Reached(p, f, m, per_m, smaller) for p, f, m in zip(made.points, made.parents, made.told_m, strict=True)])
    return Case(made, wired, true_radial_ohm, (seed, number), "lead")


def judged(case: Case) -> dict[str, Any]:
    """One row of a study: the truth, each step's result, and the minutes on site until sure, its own way and by the fixed order."""
    ranked = faults.rank(case.wired, {probe: case.shows(probe) for probe in case.wired.standard})
    suspect = ranked.faults[0][0].core or "LNE"
    steps, minutes, sure = [step(ranked, case.made)], 0.0, ranked.faults[0][1] >= SURE
    at_once = sure
    for number in range(1, MOST + 1):
        if sure and number > PROPOSED:
            break
        probe = faults.following(ranked)[0].probe
        ranked = faults.further(ranked, {probe: case.shows(probe)})
        minutes += 0.0 if sure else case.wired.probes[probe].minutes
        sure = sure or ranked.faults[0][1] >= SURE
        if number <= PROPOSED:
            steps.append(step(ranked, case.made))
    m = case.made
    row = {"kind": m.kind, "core": m.core, "points": len(m.points), "loads": len(m.loads), "unnulled": m.unnulled, "steps": steps,
           "at_once": at_once, "own": [minutes, sure, ranked.faults[0][0].name == m.truth]}
    return row if at_once else row | {"fixed": fixed(case, suspect)}


def step(ranked: Any, m: Made) -> dict[str, Any]:
    """Kind, place and first three, right or not, and what was promised for each."""
    kind, first = next(iter(ranked.kinds.items())), ranked.faults[:3]
    return {"said": kind[0], "kind": kind[0] == m.kind, "exact": first[0][0].name == m.truth, "three": m.truth in [f.name for f, _ in first],
            "p_kind": round(kind[1], 4), "p_exact": round(first[0][1], 4), "p_three": round(float(sum(p for _, p in first)), 4)}


def fixed(case: Case, suspect: str) -> list[Any]:
    """Middle-out: with a long lead from the board to the middle point, then to those beside it, of the conductor that is suspected."""
    ranked = faults.rank(case.wired, {probe: case.shows(probe) for probe in case.wired.standard})
    points = case.made.points
    outwards = sorted(range(len(points)), key=lambda j: abs(j - (len(points) - 1) / 2))
    minutes = 0.0
    for probe in [f"{case.lead} {c} {points[j]}" for j in outwards for c in "LNE" if c in suspect][:MOST]:
        ranked = faults.further(ranked, {probe: case.shows(probe)})
        minutes += case.wired.probes[probe].minutes
        if ranked.faults[0][1] >= SURE:
            return [minutes, True, ranked.faults[0][0].name == case.made.truth]
    return [minutes, False, ranked.faults[0][0].name == case.made.truth]
