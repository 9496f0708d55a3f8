"""The least cable and device of a circuit as a fact: what was tried, what each smaller one breaks, and where the answer turns.

The search itself runs on numbers (`search`); what is told of its answer and of every refused one is worked out as for any
circuit of the record, so that the two must agree. Decision 016 says what is left open and why.
"""
from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from spareway.design.catalogue import Catalogue, Offered, generic
from spareway.design.circuit import CircuitDesign
from spareway.design.columns import Columns, Ladder, columns, ladders
from spareway.design.route import settled
from spareway.design.search import Asked, Found, decided_by, least
from spareway.design.trial import Test, Trial, called, compared, least_mm2, put_in, trial_of
from spareway.fact import Fact, NotKnown, chosen, unknown
from spareway.tables import NoRow, look_up

__all__ = ["Choice", "choose"]

NOTHING = "no cable and device on offer conform"


@dataclass(frozen=True)
class Choice:
    """What was chosen for a circuit.

    fact: cable and device in words, `chosen`; unknown where something it wants is not known or nothing conforms
    trial: that pair, each test on facts; None where there is none      settled: the least that leaves nothing open
    refused: the pairs before it, smallest first; all there are where none conforms"""
    fact: Fact[str]
    trial: Trial | None
    settled: Trial | None
    refused: tuple[Trial, ...]
    smaller: Test | None
    binds: str

    @property
    def verdict(self) -> str:
        """`within`, `unknown` where something is left open or cannot be worked out, `none` where nothing conforms."""
        if self.trial is None:
            return "unknown" if self.fact.missing() and not self.refused else "none"
        return "unknown" if self.trial.open else "within"

    @cached_property
    def binding(self) -> str:
        """What the next smaller cable breaks, in words."""
        broken = {test.name: test.says for trial in self.refused[-1:] for test in trial.broken}
        said = broken.get("rating" if self.binds == "device" else self.binds)
        return said or next(iter(broken.values()), "the smallest that is made and that its use allows")


@dataclass(frozen=True)
class Space:
    """What is searched for one circuit: the facts it rests on, and the columns and ladders."""
    names: tuple[str, ...]
    facts: tuple[Fact[Any], ...]
    columns: Columns
    ladders: tuple[Ladder, ...]
    share: float

    def asked(self, *amounts: Any) -> Asked:
        """What is asked, in numbers, for these amounts of the facts."""
        said = dict(zip(self.names, amounts, strict=True))
        laid = tuple(zip(*[iter(amounts[len(said) - 4 * len(self.columns.it_a):])] * 4, strict=True))
        return Asked(said["load"], said["length"], laid, said["before"], said["limit"], said["ze"], said.get("read", math.inf),
                     said.get("fault", 0.0), said["u0"], said["cmin"], said["hot"], said["bound"], said["least"],
                     said.get("board", 0.0), self.share, said.get("leg", 0.0))

    def found(self, settled_too: bool, *amounts: Any) -> Found | None:
        return least(self.columns, self.ladders, self.asked(*amounts), settled_too)

    def words(self, *amounts: Any) -> str:
        """The answer in words. Errors: ValueError where nothing conforms."""
        found = self.found(False, *amounts)
        if found is None:
            raise ValueError(NOTHING)
        return called(self.columns.kind, found.line_mm2, found.cpc_mm2, found.rung.offered)


def choose(circuit: CircuitDesign, catalogue: Catalogue | None = None, kind: str = "", curve: str = "") -> Choice:
    """The least line conductor, then protective conductor, then rating, then price that conform on this circuit's route.

    kind: that of the circuit's own cable unless named; curve: any unless named."""
    of = catalogue or generic()
    kind = kind or circuit.cable.kind
    pairs = of.cables.get(kind, ())
    devices = _on_offer(circuit, of, curve)
    if not pairs or not devices:
        return _none(unknown("choice", f"nothing of that sort is on offer: {kind}, {curve or 'any curve'}", at=circuit.at))
    if circuit.design.supply.earthing.amount == "IT":
        return _none(unknown("choice", "an IT system is recorded, and nothing is chosen on one", at=circuit.at))
    try:
        space = _space(put_in(circuit, kind, *pairs[-1], devices[0]), Catalogue(devices, of.cables), pairs)
    except NotKnown as gap:
        return _none(unknown("choice", str(gap), gap.fact.where, gap.fact.at))
    except NoRow as outside:
        return _none(unknown("choice", str(outside), at=circuit.at))
    missing = [fact for fact in space.facts if not fact.known]
    tried = f"{len(pairs)} pairs of conductors with {len(devices)} devices"
    fact = chosen("choice", space.words, space.facts, tried, "the least line, then cpc, then rating, then price", "search")
    fact = replace(fact, at=circuit.at, note=NOTHING if fact.amount is None and not missing else fact.note)
    if missing:
        return _none(fact)
    amounts = [each.value for each in space.facts]
    found, sure = space.found(False, *amounts), space.found(True, *amounts)
    return _told(circuit, space, fact, found, sure, amounts, devices)


def _none(fact: Fact[str]) -> Choice:
    return Choice(fact, None, None, (), None, "")


def _told(circuit: CircuitDesign, space: Space, fact: Fact[str], found: Found | None, sure: Found | None, amounts: Sequence[Any],
          devices: Sequence[Offered]) -> Choice:
    kind = space.columns.kind
    pairs = [(line, cpc) for line, sizes in zip(space.columns.line_mm2, space.columns.cpc_mm2, strict=True) for cpc in sizes]
    load = circuit.load_a.value
    fit = [each for each in devices if each.rating_a >= load]
    offered = found.rung.offered if found else min(fit or devices, key=lambda d: d.rating_a if fit else -d.rating_a)
    before = [pair for pair in pairs if found is None or pair < (found.line_mm2, found.cpc_mm2)]
    refused = tuple(trial_of(circuit, kind, line, cpc, offered) for line, cpc in before)
    if found is None:
        return Choice(fact, None, None, refused, _too_small(circuit, offered, devices), "")
    trial = trial_of(circuit, kind, found.line_mm2, found.cpc_mm2, offered)
    same = sure is not None and sure.key == found.key
    settled_too = trial if same else sure and trial_of(circuit, kind, sure.line_mm2, sure.cpc_mm2, sure.rung.offered)
    binds = decided_by(found, space.asked(*amounts))
    return Choice(fact, trial, settled_too, refused, _too_small(circuit, offered, devices), binds)


def _too_small(circuit: CircuitDesign, offered: Offered, devices: Sequence[Offered]) -> Test | None:
    """The next smaller device of the same sort, against the load."""
    less = [d for d in devices if (d.kind, d.curve, d.fuse) == (offered.kind, offered.curve, offered.fuse)
            and d.rating_a < offered.rating_a]
    if not less:
        return None
    largest = max(less, key=lambda d: d.rating_a)
    return compared("load", f"{largest.says}: load", "at most", circuit.load_a, settled("rating_a", largest.rating_a, "on offer"))


def _on_offer(circuit: CircuitDesign, of: Catalogue, curve: str) -> tuple[Offered, ...]:
    """With a residual part where its own device has one or none is recorded; for a ring no more than it may have."""
    own = circuit.device_kind
    residual = own is None or bool(own.residual)
    ring = look_up("thresholds", circuit.books, settled("case", "ring_device_a", "433.1.204"))
    most = ring.value if circuit.is_ring else math.inf
    return tuple(d for d in of.devices if d.has_residual == residual and (not curve or d.curve == curve) and d.rating_a <= most)


def _space(base: CircuitDesign, of: Catalogue, pairs: tuple[tuple[float, float], ...]) -> Space:
    design, board, supply = base.design, base.design.boards[base.board], base.design.supply
    apart_by = base.apart("N")
    held: dict[str, Fact[Any]] = {
        "load": base.load_a, "length": base.length_m, "before": board.drop_before_v if apart_by is None else apart_by,
        "limit": base.drop_limit_of_lighting_v if base.use_unsaid else base.drop_limit_v, "ze": base.ze_ohm, "u0": supply.u0_v,
        "cmin": supply.cmin, "least": least_mm2(base), "bound": base.bound_s, "earthing": supply.earthing,
        "hot": look_up("hot_factor", base.books, settled("case", "70C thermoplastic, cpc in cable or bunched", "kind of cable"))}
    held |= {"leg": base.leg_least_a} if base.is_ring else {}
    held |= {name: fact for name, fact in (("read", base.ze_read_ohm), ("fault", board.fault_ka),
                                           ("board", board.thing.fault_rating_ka)) if fact.known}
    stretches = base.route.stretches
    laid = [fact for s in stretches for fact in (s.ca, s.cg, s.ci, s.route.cc)]
    names = (*held, *(f"{s.name}.{n}" for s in stretches for n in ("ca", "cg", "ci", "cc")))
    insulation = base.cable.insulation_c.amount
    rows = columns(base.cable.kind, tuple(s.method.value for s in stretches), insulation, pairs, base.k.value, base.books.bs7671,
                   base.books.nation)
    rungs = ladders(of, supply.u0_v.value, supply.cmin.value, base.clear_limit_s, design.supply.earthing.amount or "", base.books)
    return Space(names, (*held.values(), *laid), rows, rungs, 0.25 if base.is_ring else 1.0)
