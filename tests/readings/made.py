"""Invented circuits with a fault of a known kind and place, and what an instrument shows of them. Shares no code with the engine.

Every conductor is a string of pieces; a whole set of wires is one conductance matrix, solved by numpy for each pair asked.
How often and how big things are is invented, and is not what the engine holds likely: every kind has the same chance.
"""
from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

PER_M = {"2.5": 0.00741, "1.5": 0.0121, "1.0": 0.0181, "4": 0.00461}            # Ω/m at 20 °C, IEC 60228
LEAD_SD_OHM = 0.02                                                              # how far the null of a careful person's leads is out
UNNULLED_OHM = (0.05, 0.15)                                                     # leads that nobody nulled
LOAD_OHM = (15.0, 5000.0)                                                       # what is left plugged in: a heater to a charger
LOADED, UNNULLED_TOO = 0.25, 0.1                                                # how often a load is left in; leads beside another fault
KINDS = ("open", "loose joint", "spur", "joined straight", "bridge", "changed over", "earth off", "smaller", "lead not nulled")
# How often each is met where something is wrong, the rarest one time in twenty: common practice, no source. Only to weigh results by.
MET = {"open": 0.22, "loose joint": 0.22, "spur": 0.15, "changed over": 0.09, "joined straight": 0.07, "bridge": 0.07, "earth off": 0.07,
       "smaller": 0.06, "lead not nulled": 0.05}
NOUGHT = math.inf


@dataclass
class Made:
    """A ring: names of its points, lengths as they are (m) and as the record has them, its fault, and the wires as they are."""
    points: list[str]
    real_m: list[float]
    told_m: list[float]
    sizes: dict[str, str]
    kind: str
    core: str = ""
    place: tuple[str, ...] = ()
    null_ohm: float = 0.0
    wires: list[tuple[str, str, float]] = field(default_factory=list)
    straight: str = ""
    loads: list[tuple[str, float]] = field(default_factory=list)
    unnulled: bool = False

    @property
    def truth(self) -> tuple[str, str, tuple[str, ...]]:
        return self.kind, self.core, self.place


def drawn_ring(rng: np.random.Generator, most: int = 14, kind: str = "") -> Made:
    """A sound ring one time in ten, and each kind of fault as often; or of the kind asked for."""
    drawn = str(rng.choice(["sound", *KINDS]))
    return made_ring(rng, kind or drawn, most)


def made_ring(rng: np.random.Generator, kind: str = "", most: int = 14) -> Made:
    """One ring of 4 to `most` points, often of unequal cores; `sound`, or one of KINDS with the same chance each."""
    n = int(rng.integers(4, most + 1))
    points = [f"p{i + 1}" for i in range(n)]
    real = [float(x) for x in rng.uniform(2, 12, n + 1)]
    told = [m * float(np.exp(0.2 * rng.standard_normal())) for m in real]
    sizes = {"L": "2.5", "N": "2.5", "E": str(rng.choice(["1.5", "1.5", "1.0", "2.5"]))}
    made = Made(points, real, told, sizes, kind or str(rng.choice(KINDS)), null_ohm=float(LEAD_SD_OHM * rng.standard_normal()))
    _wire(rng, made)
    left_as_found(rng, made)
    return made


def left_as_found(rng: np.random.Generator, m: Made) -> None:
    """What nobody did before testing: one or two loads left plugged in, and leads not nulled beside whatever else is wrong."""
    if rng.random() < LOADED:
        for p in rng.choice(m.points, int(rng.integers(1, 3)), replace=False):
            ohm = float(np.exp(rng.uniform(*np.log(LOAD_OHM))))
            m.loads.append((str(p), ohm))
            m.wires.append((f"L.{p} contact", f"N.{p} contact", ohm))
    if m.kind == "lead not nulled" or m.kind != "sound" and rng.random() < UNNULLED_TOO:
        m.null_ohm, m.unnulled = float(rng.uniform(*UNNULLED_OHM)), True


def _wire(rng: np.random.Generator, m: Made) -> None:
    n = len(m.points)
    stops = ["A", *m.points, "B"]
    stop_names = ["leg A at the board", *m.points, "leg B at the board"]
    ohm = {c: [x * PER_M[m.sizes[c]] + float(rng.gamma(2.0, 0.002)) for x in m.real_m] for c in "LNE"}
    touch = {c: [1e-3] * n for c in "LNE"}
    land = {(c, j): c for c in "LNE" for j in range(n)}
    at, j, i = int(rng.integers(0, n + 1)), int(rng.integers(0, n)), int(rng.integers(0, n - 2))
    between = (stop_names[at], stop_names[at + 1])
    if m.kind == "open":
        m.core, m.place = str(rng.choice(list("LNE"))), between
        ohm[m.core][at] = NOUGHT
    elif m.kind == "loose joint":
        m.core, m.place = str(rng.choice(list("LNE"))), between
        ohm[m.core][at] += float(np.exp(np.log(0.35) + 0.7 * rng.standard_normal()))
    elif m.kind == "spur":
        m.place = (m.points[j],)
        length = float(rng.uniform(3, 12))
        for c in "LNE":
            touch[c][j] += length * PER_M[m.sizes[c]]
    elif m.kind == "joined straight":
        m.core = m.straight = str(rng.choice(["N", "E"]))
    elif m.kind == "bridge":
        k = int(rng.integers(i + 2, n))
        m.place = (m.points[i], m.points[k])
        length = float(rng.uniform(2, 12))
        m.wires += [(f"{c}.{m.points[i]}", f"{c}.{m.points[k]}", length * PER_M[m.sizes[c]]) for c in "LNE"]
    elif m.kind == "changed over":
        m.core = str(rng.choice(["LN", "LN", "LN", "NE", "LE"]))
        m.place = (m.points[j],)
        land[m.core[0], j], land[m.core[1], j] = m.core[1], m.core[0]
    elif m.kind == "earth off":
        m.core, m.place = "E", (m.points[j],)
        touch["E"][j] = NOUGHT
    elif m.kind == "smaller":
        m.place = between
        for c in "LN":
            ohm[c][at] = m.real_m[at] * PER_M["1.5"] + 0.004
    m.wires += [(f"{c}.{stops[k]}", f"{c}.{stops[k + 1]}", ohm[c][k]) for c in "LNE" for k in range(n + 1)]
    m.wires += [(f"{c}.{p}", f"{land[c, k]}.{p} contact", touch[c][k]) for c in "LNE" for k, p in enumerate(m.points)]


def made_worse(rng: np.random.Generator, m: Made) -> tuple[str, str, tuple[str, ...]]:
    """A second fault in a ring that has one: a conductor open, or a loose joint, in some section. Its name."""
    stops, says = ["A", *m.points, "B"], ["leg A at the board", *m.points, "leg B at the board"]
    core, at, kind = str(rng.choice(list("LNE"))), int(rng.integers(0, len(m.points) + 1)), str(rng.choice(["open", "loose joint"]))
    ends = f"{core}.{stops[at]}", f"{core}.{stops[at + 1]}"
    more = NOUGHT if kind == "open" else float(np.exp(np.log(0.35) + 0.7 * rng.standard_normal()))
    m.wires = [(a, b, ohm + more if (a, b) == ends else ohm) for a, b, ohm in m.wires]
    return kind, core, (says[at], says[at + 1])


def plain(points: list[str], metres: list[float], sizes: dict[str, str]) -> Made:
    """A sound ring of these lengths, its wires without terminations: for homes worked by hand."""
    made = Made(points, metres, metres, sizes, "sound")
    stops = ["A", *points, "B"]
    made.wires += [(f"{c}.{a}", f"{c}.{b}", m * PER_M[sizes[c]]) for c in "LNE" for a, b, m in zip(stops, stops[1:], metres, strict=False)]
    made.wires += [(f"{c}.{p}", f"{c}.{p} contact", 1e-4) for c in "LNE" for p in points]
    return made


def true_ohm(m: Made, probe: str) -> float:
    """What is between the two places of a reading, by the engine's own name of it: inf where nothing joins them."""
    words = probe.split()
    across: list[tuple[str, str]] = []
    if probe.endswith("end to end"):
        ends = f"{words[0]}.A", f"{words[0]}.B"
    elif probe.startswith("leg A"):
        ends = f"{words[2]}.A", f"{words[2]}.{words[3]} contact"
    else:
        one, other = words[0].split("-")
        crossed = not (one == "L" and m.straight == other)
        across = [(f"{one}.A", f"{other}.{'B' if crossed else 'A'}"), (f"{one}.B", f"{other}.{'A' if crossed else 'B'}")]
        ends = f"{one}.{words[1]} contact", f"{other}.{words[1]} contact"
    return between_ohm([*m.wires, *((a, b, 1e-4) for a, b in across)], *ends)


def between_ohm(wires: list[tuple[str, str, float]], a: str, b: str) -> float:
    """Between two places (Ω): inf where nothing joins them."""
    near: dict[str, list[tuple[str, float]]] = {}
    for x, y, ohm in wires:
        if ohm < NOUGHT:
            near.setdefault(x, []).append((y, ohm))
            near.setdefault(y, []).append((x, ohm))
    seen, todo = {a}, [a]
    while todo:
        for there, _ in near.get(todo.pop(), []):
            if there not in seen:
                seen.add(there)
                todo.append(there)
    if b not in seen:
        return math.inf
    nodes = {name: k for k, name in enumerate(sorted(seen - {b}))}
    g = np.zeros((len(nodes), len(nodes)))
    for here in nodes:
        for there, ohm in near[here]:
            g[nodes[here], nodes[here]] += 1 / ohm
            if there in nodes:
                g[nodes[here], nodes[there]] -= 1 / ohm
    amps = np.zeros(len(nodes))
    amps[nodes[a]] = 1.0
    return float(np.linalg.solve(g, amps)[nodes[a]])


def shown(rng: np.random.Generator, ohm: float, null_ohm: float) -> float:
    """What a tester's display shows: ±3 % and ±2 digits, the null of its leads, two decimals, over range from 99.99."""
    if ohm > 99.99:
        return math.inf
    read = max(ohm * (1 + rng.uniform(-0.03, 0.03)) + null_ohm + 0.02 * rng.uniform(-1, 1), 0.0)
    return math.inf if read > 99.99 else round(read, 2)
