"""Invented radial circuits, a chain or a tree of 3 to 12 points, with a fault of a known kind and place. Shares no code with the engine."""
from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from tests.readings.made import LEAD_SD_OHM, NOUGHT, PER_M, Made, between_ohm, left_as_found

KINDS_RADIAL = ("open", "loose joint", "changed over", "earth off", "smaller", "lead not nulled", "parallel path")
MET_RADIAL = {"open": 0.28, "loose joint": 0.27, "changed over": 0.16, "earth off": 0.12, "smaller": 0.07, "lead not nulled": 0.05,
              "parallel path": 0.05}
PIPE_OHM = (0.05, 2.0)                                                         # by pipes and frames back to the board's earth
CABLES = (("2.5", "1.5"), ("1.5", "1.0"), ("2.5", "2.5"), ("4", "1.5"))        # line and protective conductor (mm²)
THINNER = {"4": "2.5", "2.5": "1.5", "1.5": "1.0"}
LAID_OHM = 1e-4
HOME = "the board"


@dataclass
class MadeRadial(Made):
    """As a ring, but `parents` names for each point the point, or the board, that its cable comes from."""
    parents: list[str] = field(default_factory=list)


def drawn_radial(rng: np.random.Generator, most: int = 12) -> MadeRadial:
    """A sound circuit one time in eight, and each kind of fault as often."""
    return made_radial(rng, str(rng.choice(["sound", *KINDS_RADIAL])), most)


def made_radial(rng: np.random.Generator, kind: str = "", most: int = 12) -> MadeRadial:
    """One radial of 3 to `most` points: half are a chain, in the others a cable now and then leaves an earlier point."""
    n = int(rng.integers(3, most + 1))
    points, tree = [f"p{i + 1}" for i in range(n)], rng.random() < 0.5
    parents = [HOME, *(points[int(rng.integers(0, j))] if tree and rng.random() < 0.4 else points[j - 1] for j in range(1, n))]
    real = [float(x) for x in rng.uniform(2, 12, n)]
    told = [m * float(np.exp(0.2 * rng.standard_normal())) for m in real]
    line, earth = CABLES[int(rng.integers(0, len(CABLES)))]
    made = MadeRadial(points, real, told, {"L": line, "N": line, "E": earth}, kind or str(rng.choice(KINDS_RADIAL)),
                      null_ohm=float(LEAD_SD_OHM * rng.standard_normal()), parents=parents)
    lay(rng, made)
    left_as_found(rng, made)
    return made


def lay(rng: np.random.Generator, m: MadeRadial) -> None:
    n = len(m.points)
    ohm = {c: [x * PER_M[m.sizes[c]] + float(rng.gamma(2.0, 0.002)) for x in m.real_m] for c in "LNE"}
    touch = {c: [1e-3] * n for c in "LNE"}
    land = {(c, j): c for c in "LNE" for j in range(n)}
    j = int(rng.integers(0, n))
    section = (m.parents[j], m.points[j])
    if m.kind == "open":
        m.core, m.place = str(rng.choice(list("LNE"))), section
        ohm[m.core][j] = NOUGHT
    elif m.kind == "loose joint":
        m.core, m.place = str(rng.choice(list("LNE"))), section
        ohm[m.core][j] += float(np.exp(np.log(0.35) + 0.7 * rng.standard_normal()))
    elif m.kind == "changed over":
        m.core, m.place = str(rng.choice(["LN", "LN", "NE", "LE"])), (m.points[j],)
        land[m.core[0], j], land[m.core[1], j] = m.core[1], m.core[0]
    elif m.kind == "earth off":
        m.core, m.place = "E", (m.points[j],)
        touch["E"][j] = NOUGHT
    elif m.kind == "smaller":
        m.place = section
        for c in "LN":
            ohm[c][j] = m.real_m[j] * PER_M[THINNER[m.sizes[c]]] + 0.004
    elif m.kind == "parallel path":
        m.core, m.place = "E", (m.points[j],)
        m.wires.append((f"E.{HOME}", f"E.{m.points[j]}", float(np.exp(rng.uniform(*np.log(PIPE_OHM))))))
    m.wires += [(f"{c}.{a}", f"{c}.{b}", ohm[c][k]) for c in "LNE" for k, (a, b) in enumerate(zip(m.parents, m.points, strict=True))]
    m.wires += [(f"{c}.{p}", f"{land[c, k]}.{p} contact", touch[c][k]) for c in "LNE" for k, p in enumerate(m.points)]


def linked_ohm(m: MadeRadial, cores: str, point: str) -> float:
    """Between the contacts of two cores at a point, the two linked at the board: R1+R2 with "LE" (Ω)."""
    one, other = cores
    return between_ohm([*m.wires, (f"{one}.{HOME}", f"{other}.{HOME}", LAID_OHM)], f"{one}.{point} contact", f"{other}.{point} contact")


def lead_ohm(m: MadeRadial, core: str, point: str) -> float:
    """One core from the board to its contact at a point by a long lead, nothing linked (Ω)."""
    return between_ohm(m.wires, f"{core}.{HOME}", f"{core}.{point} contact")


def true_radial_ohm(m: Made, probe: str) -> float:
    """By the name of a reading: "L-E p3" with these two linked at the board, or "lead N p3"."""
    assert isinstance(m, MadeRadial)
    words = probe.split()
    return lead_ohm(m, words[1], words[2]) if words[0] == "lead" else linked_ohm(m, words[0].replace("-", ""), words[1])
