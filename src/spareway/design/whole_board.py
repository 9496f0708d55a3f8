"""All new circuits of a board designed together: those that run in one bundle share its grouping.

A cable that carries at most 30 % of its grouped rating need not be counted for the others (Appendix 4, Table 4C1), so the count
depends on the sizes and the sizes on the count. It is repeated to a fixed point, from the side of caution: at first everything
counts. In each round all are sized on the counts of the round before, and who may be left out is asked again of those sizes.
Whoever was left out and may no longer be is counted from then on for good. So each membership of a bundle changes at most twice,
the rounds end after at most twice the memberships and one, and the last one changed nothing: all sizes stand on the counts told,
and whoever is left out is within its 30 % at its own size and with everything counted. The order of the circuits plays no part.
"""
from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from spareway.design.catalogue import Catalogue
from spareway.design.choose import Choice, Space, choose, space_for
from spareway.design.circuit import CircuitDesign
from spareway.design.columns import Columns, Ladder
from spareway.design.route import StretchDesign, settled
from spareway.design.search import Asked, Found, least
from spareway.fact import Fact, NotKnown
from spareway.physics.cable import grouped_threshold_a
from spareway.tables import NoRow, look_up

if TYPE_CHECKING:
    from spareway.design.design import Design

__all__ = ["Bundle", "Member", "Planned", "Settled", "settle", "whole_board"]

In = tuple[str, str]                                    # a circuit, and a bundle that it runs in


@dataclass(frozen=True, slots=True)
class Member:
    """A circuit to be sized; of each of its stretches the bundle, nothing where it runs alone or its count is recorded, and
    whether it lies in the ground."""
    name: str
    columns: Columns
    ladders: tuple[Ladder, ...]
    asked: Asked
    bundles: tuple[str, ...]
    buried: tuple[bool, ...]


@dataclass(frozen=True, slots=True)
class Settled:
    """sizes: None where nothing conforms; counts: how many count in each bundle; left_out: who is not counted there."""
    sizes: Mapping[str, Found | None]
    counts: Mapping[str, int]
    left_out: frozenset[In]
    rounds: int


def settle(members: Sequence[Member], others: Mapping[str, int], cg: Callable[[int, bool], float], fraction: float) -> Settled:
    """The fixed point on numbers. others: what else runs in each bundle and always counts; cg: the factor for so many.

    fraction: of its grouped rating, up to which a cable need not be counted."""
    at = [(member, bundle) for member in members for bundle in dict.fromkeys(member.bundles) if bundle]
    everyone = {bundle: others.get(bundle, 0) + len([b for _, b in at if b == bundle]) for _, bundle in at}
    left, returned, rounds = frozenset[In](), frozenset[In](), 0
    while True:
        rounds += 1
        counts = {bundle: n - len([who for who in left if who[1] == bundle]) for bundle, n in everyone.items()}
        sizes = {member.name: _sized(member, left, counts, everyone, cg) for member in members}
        may = frozenset((m.name, bundle) for m, bundle in at if _light(m, bundle, sizes[m.name], everyone[bundle], cg, fraction))
        returned |= left - may
        if may - returned == left:
            return Settled(sizes, counts, left, rounds)
        left = may - returned


def _sized(member: Member, left: frozenset[In], counts: Mapping[str, int], everyone: Mapping[str, int],
           cg: Callable[[int, bool], float]) -> Found | None:
    """One that is left out is still bunched with all the others itself."""
    laid = []
    for factors, bundle, buried in zip(member.asked.laid, member.bundles, member.buried, strict=True):
        n = 0 if not bundle else (everyone if (member.name, bundle) in left else counts)[bundle]
        laid.append((factors[0], cg(n, buried), *factors[2:]) if n else factors)
    return least(member.columns, member.ladders, replace(member.asked, laid=tuple(laid)))


def _light(member: Member, bundle: str, found: Found | None, n: int, cg: Callable[[int, bool], float], fraction: float) -> bool:
    """Whether it carries so little that it need not be counted in a bundle, wherever it runs there. The note is of the table for
    cables in air: in the ground everything counts."""
    there = [i for i, each in enumerate(member.bundles) if each == bundle]
    if found is None or any(member.buried[i] for i in there):
        return False
    threshold_a: float = grouped_threshold_a(min(found.columns.it_a[i][found.i] for i in there), cg(n, False), fraction)
    return member.asked.load_a <= threshold_a


# ---- on facts -------------------------------------------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class Bundle:
    """What runs together: everything in it, and who of these need not be counted."""
    name: str
    runs: tuple[str, ...]
    counted_n: int
    left_out: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Planned:
    """The choice for each circuit, as it runs, and what was settled on the way."""
    choices: Mapping[str, Choice]
    circuits: Mapping[str, CircuitDesign]
    bundles: tuple[Bundle, ...]
    rounds: int


def whole_board(design: Design, names: Sequence[str], catalogue: Catalogue | None = None) -> Planned:
    """These circuits sized together; everything else that runs in their bundles counts, however little it carries.

    Errors: KeyError for a circuit that is none."""
    runs = _bundled(design)
    circuits = {name: design.circuits[name] for name in names}
    members = list[Member]()
    for name, circuit in circuits.items():
        member = _member(name, with_counts(circuit, dict.fromkeys(runs, (1, ""))), catalogue)
        members += [member] if member else []
    shared = {(member.name, bundle) for member in members for bundle in member.bundles}
    others = {bundle: len([name for name in names_in if (name, bundle) not in shared]) for bundle, names_in in runs.items()}
    fraction = look_up("thresholds", design.books, settled("case", "group_fraction", "Table 4C1, note")).value
    try:
        found = settle(members, others, _factors(design), fraction)
    except NoRow:                                       # more in one bundle than the table goes: every choice then says so itself
        found = Settled({}, {bundle: len(names_in) for bundle, names_in in runs.items()}, frozenset(), 0)
    told = tuple(_told(bundle, names_in, found) for bundle, names_in in runs.items())
    as_run = {name: with_counts(circuit, _counts(name, told)) for name, circuit in circuits.items()}
    return Planned({name: choose(circuit, catalogue) for name, circuit in as_run.items()}, as_run, told, found.rounds)


def _bundled(design: Design) -> dict[str, list[str]]:
    """Every bundle, and each circuit and run in it once."""
    found: dict[str, list[str]] = {}
    things = [(name, circuit.cable.stretches) for name, circuit in design.circuits.items()]
    things += [(name, run.run.stretches) for name, run in design.runs.items()]
    for name, stretches in things:
        for bundle in dict.fromkeys(stretch.bundle for stretch in stretches.values() if stretch.bundle):
            found.setdefault(bundle, []).append(name)
    return found


def _member(name: str, circuit: CircuitDesign, catalogue: Catalogue | None) -> Member | None:
    """None for a circuit that cannot be searched for: something it wants is not known, or no table holds."""
    try:
        space: Space = space_for(circuit, catalogue)
    except (NotKnown, LookupError):
        return None                                     # it counts as it stands, and its choice says why
    if space.missing:
        return None
    stretches = circuit.route.stretches
    bundles = tuple(s.bundle if _shares(s) else "" for s in stretches)
    return Member(name, space.columns, space.ladders, space.asked(*space.amounts), bundles, tuple(s.is_buried for s in stretches))


def _shares(stretch: StretchDesign) -> bool:
    """A count that a person recorded stands; one of ours says that it is of the bundle."""
    return bool(stretch.bundle) and (not stretch.grouped_n.known or stretch.grouped_n.how == "total")


def _factors(design: Design) -> Callable[[int, bool], float]:
    kept: dict[tuple[int, bool], float] = {}

    def cg(n: int, buried: bool) -> float:
        if (n, buried) not in kept:
            counted = settled("grouped_n", float(n), "counted")
            apart = settled("spaced", "touching", "how far apart is not in the record")
            found = look_up("cg_buried", design.books, apart, counted) if buried else look_up("cg", design.books, counted)
            kept[n, buried] = found.value
        return kept[n, buried]
    return cg


def _told(bundle: str, runs: Sequence[str], found: Settled) -> Bundle:
    left = tuple(name for name in runs if (name, bundle) in found.left_out)
    return Bundle(bundle, tuple(runs), found.counts.get(bundle, len(runs)), left)


def _counts(name: str, bundles: Sequence[Bundle]) -> dict[str, tuple[int, str]]:
    """How many this one counts in each bundle it runs in, and who they are."""
    out = {}
    for bundle in bundles:
        if name in bundle.runs:
            all_in = name in bundle.left_out
            others = [each for each in bundle.runs if each != name and (all_in or each not in bundle.left_out)]
            less = f"; so lightly loaded as not to count: {', '.join(bundle.left_out)}" if bundle.left_out and not all_in else ""
            out[bundle.name] = (len(others) + 1, f"with {', '.join(others) or 'nothing else'} in {bundle.name}{less}")
    return out


def with_counts(circuit: CircuitDesign, counts: Mapping[str, tuple[int, str]]) -> CircuitDesign:
    """The circuit with so many bunched in each of these bundles, wherever nobody recorded a number."""
    stretches = {key: replace(s, grouped_n=Fact("grouped_n", float(counts[s.bundle][0]), "total", note=counts[s.bundle][1],
                                                at=f"{circuit.at}.cable.stretches.{key}.grouped_n"))
                 if s.bundle in counts and not s.grouped_n.known else s for key, s in circuit.cable.stretches.items()}
    there = replace(circuit.cable, stretches=stretches)
    out = CircuitDesign(replace(circuit.circuit, cable=there), circuit.design)
    out.cable, out.device = there, circuit.device
    return out
