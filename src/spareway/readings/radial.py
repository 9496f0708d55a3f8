"""A radial circuit, a chain or a tree, as its readings see it: one end at the board, two of its cores linked there for a test."""
from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from spareway.readings.cabled import HOME, Cabled, Reached, Section
from spareway.readings.network import Edit
from spareway.readings.wired import CORES, MINUTES, PRIORS_RADIAL, UNNULLED, Fault, Probe, Wired, spread

__all__ = ["HOME", "Radial", "Reached", "radial"]

BESIDE = spread(0.3, 1.0)                       # a way to earth by pipes or frames (Ω); common practice, no source
LINKED = {("L", "E"): ("line", "earth"), ("L", "N"): ("line", "neutral"), ("N", "E"): ("neutral", "earth")}


class Radial(Cabled):
    """A radial, whose protective conductor stays in the board's earth bar while it is tested."""

    def ways(self) -> dict[str, Callable[[], Iterator[Fault]]]:
        return super().ways() | {"parallel path": self._parallel_path}

    def _parallel_path(self) -> Iterator[Fault]:
        for j, p in enumerate(self.points):
            for ohm, sd_ohm, share in BESIDE:
                yield Fault("parallel path", "E", (p,), f"another path to earth at {p}, beside the protective conductor", share,
                            (Edit(self.stop("E", 0), self.stop("E", j + 1), ohm, None, sd_ohm),))


def radial(reached: Sequence[Reached], length_sd: float = 0.2, unnulled: float = UNNULLED) -> Wired:
    """A radial ready to be judged.

    reached: its points, each after the one it hangs on; length_sd: how well the lengths are known, as a share;
    unnulled: how often the leads were not nulled. Errors: ValueError."""
    stops = (HOME, *(each.name for each in reached))
    sections = []
    for j, each in enumerate(reached, 1):
        if each.from_ not in stops[:j]:
            raise ValueError(f"{each.name} is reached from {each.from_}, which does not stand before it")
        per_m = {core: mohm / 1000 for core, mohm in each.mohm_per_m.items()}
        sections.append(Section(stops.index(each.from_), j, each.metres, per_m, each.smaller_by))
    of = Radial(stops[1:], stops, sections, length_sd)
    laid = {"open": (), **{f"{a}-{b}": of.laid((a, 0, b, 0)) for a, b in LINKED}}
    standard = tuple(f"{cores} {p}" for cores in ("L-E", "L-N") for p in of.points)
    return Wired(of.network(), laid, _probes(of), tuple(of.faults(PRIORS_RADIAL, unnulled)), standard)


def _probes(of: Cabled) -> dict[str, Probe]:
    out: dict[str, Probe] = {}
    for (a, b), (one, other) in LINKED.items():
        minutes = MINUTES["linked" if a == "L" else "joined anew"]
        says = f"{CORES[a]} and {CORES[b]} linked at the board, switches on the way closed: {one} to {other} at"
        out |= {f"{a}-{b} {p}": Probe(f"{a}-{b}", of.face(a, j), of.face(b, j), minutes, f"{says} {p}")
                for j, p in enumerate(of.points)}
    for c, says in CORES.items():
        out |= {f"lead {c} {p}": Probe("open", of.stop(c, 0), of.face(c, j), MINUTES["leg"],
                                       f"nothing linked at the board, long lead: {says}, from {HOME} to {p}")
                for j, p in enumerate(of.points)}
    return out
