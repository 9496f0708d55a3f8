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
from spareway.design.heat import residual_clears_s
from spareway.design.load import at_highest_a
from spareway.design.route import settled
from spareway.design.search import Asked, Found, decided_by, least
from spareway.design.trial import Test, Trial, all_resistive, called, compared, least_mm2, put_in, trial_of
from spareway.fact import Fact, NotKnown, chosen, unknown
from spareway.tables import look_up

__all__ = ["Choice", "Space", "choose", "space_for"]

FIRST = "0.0"                                               # the first factor of the first stretch, and all after it
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
    pairs: tuple[tuple[float, float], ...]
    devices: tuple[Offered, ...]
    factors_n: tuple[int, ...]

    @property
    def missing(self) -> list[Fact[Any]]:
        return [fact for fact in self.facts if not fact.known]

    @cached_property
    def amounts(self) -> tuple[Any, ...]:
        """Of its facts. Errors: NotKnown."""
        return tuple(fact.value for fact in self.facts)

    def asked(self, *amounts: Any) -> Asked:
        """What is asked, in numbers, for these amounts of the facts."""
        said = dict(zip(self.names, amounts, strict=True))
        rest = iter(amounts[self.names.index(FIRST):])
        laid = tuple(tuple(next(rest) for _ in range(n)) for n in self.factors_n)
        return Asked(said["load"], said["length"], laid, said["before"], said["limit"], said["ze"], said.get("read", math.inf),
                     said.get("fault", 0.0), said["u0"], said["cmin"], said["hot"], said["bound"], said["least"],
                     said.get("board", 0.0), said["residual"], said.get("highest", 0.0), self.share, said.get("leg", 0.0))

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
    try:
        space = space_for(circuit, catalogue, kind, curve)
    except NotKnown as gap:
        return _none(unknown("choice", str(gap), gap.fact.where, gap.fact.at))
    except LookupError as outside:
        return _none(unknown("choice", str(outside), at=circuit.at))
    tried = f"{len(space.pairs)} pairs of conductors with {len(space.devices)} devices"
    fact = chosen("choice", space.words, space.facts, tried, "the least line, then cpc, then rating, then price", "search")
    missing = space.missing
    fact = replace(fact, at=circuit.at, note=NOTHING if fact.amount is None and not missing else fact.note)
    return _none(fact) if missing else _told(circuit, space, fact)


def _none(fact: Fact[str]) -> Choice:
    return Choice(fact, None, None, (), None, "")


def _told(circuit: CircuitDesign, space: Space, fact: Fact[str]) -> Choice:
    """The pair that was found and every one before it, on facts; all pairs behind the nearest device where none was found."""
    found, sure = space.found(False, *space.amounts), space.found(True, *space.amounts)
    kind, load = space.columns.kind, circuit.load_a.value
    fit = [each for each in space.devices if each.rating_a >= load]
    offered = found.rung.offered if found else min(fit or space.devices, key=lambda d: d.rating_a if fit else -d.rating_a)
    before = [pair for pair in space.pairs if found is None or pair < (found.line_mm2, found.cpc_mm2)]
    refused = tuple(trial_of(circuit, kind, *pair, offered) for pair in before)
    smaller = _too_small(circuit, offered, space.devices)
    if found is None:
        return Choice(fact, None, None, refused, smaller, "")
    trial = trial_of(circuit, kind, found.line_mm2, found.cpc_mm2, offered)
    sure_trial = None if sure is None else trial if sure.key == found.key else \
        trial_of(circuit, kind, sure.line_mm2, sure.cpc_mm2, sure.rung.offered)
    if sure_trial is not None and sure_trial.open:          # the record of its own device, or of one before it, says less
        sure_trial = None
    return Choice(fact, trial, sure_trial, refused, smaller, decided_by(found, space.asked(*space.amounts)))


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


def space_for(circuit: CircuitDesign, catalogue: Catalogue | None = None, kind: str = "", curve: str = "") -> Space:
    """What is searched for a circuit. Errors: NotKnown where how it lies is not known; LookupError where nothing of that sort is
    on offer, no table holds for how it lies, or an IT system is recorded."""
    of, kind = catalogue or generic(), kind or circuit.cable.kind
    pairs, devices = of.cables.get(kind, ()), _on_offer(circuit, of, curve)
    if not pairs or not devices:
        raise LookupError(f"nothing of that sort is on offer: {kind or 'a cable of no kind'}, {curve or 'any curve'}")
    if circuit.design.supply.earthing.amount == "IT":
        raise LookupError("an IT system is recorded, and nothing is chosen on one")
    stretches = circuit.route.stretches
    rows = columns(kind, tuple(s.method.value for s in stretches), circuit.cable.insulation_c.amount, pairs, circuit.k.value,
                   circuit.books.bs7671, circuit.books.nation)
    if not rows.line_mm2:
        raise LookupError(f"no table has ratings for {kind} by {', '.join(dict.fromkeys(str(s.method) for s in stretches))}")
    made = tuple((line, cpc) for line, sizes in zip(rows.line_mm2, rows.cpc_mm2, strict=True) for cpc in sizes)
    base = put_in(circuit, kind, *made[0], devices[0])
    held, supply = _held(base), base.design.supply
    factors = [s.iz_a.inputs[1:] for s in base.route.stretches]      # all that its formula multiplies the table's figure by
    names = (*held, *(f"{i}.{j}" for i, each in enumerate(factors) for j in range(len(each))))
    rungs = ladders(Catalogue(devices, of.cables), supply.u0_v.value, supply.cmin.value, base.clear_limit_s,
                    supply.earthing.amount or "", base.books)
    facts = (*held.values(), *(fact for each in factors for fact in each))
    return Space(names, facts, rows, rungs, 0.25 if base.is_ring else 1.0, made, devices, tuple(map(len, factors)))


def _held(base: CircuitDesign) -> dict[str, Fact[Any]]:
    """The facts it rests on besides how it lies; of what may be left open only those that are known."""
    board, supply, elsewhere = base.design.boards[base.board], base.design.supply, base.apart("N")
    held: dict[str, Fact[Any]] = {
        "load": base.load_a, "length": base.length_m, "before": board.drop_before_v if elsewhere is None else elsewhere,
        "limit": base.drop_limit_of_lighting_v if base.use_unsaid else base.drop_limit_v, "ze": base.ze_ohm, "u0": supply.u0_v,
        "cmin": supply.cmin, "least": least_mm2(base), "bound": base.bound_s, "earthing": supply.earthing,
        "residual": residual_clears_s(base.books),
        "hot": base.hot_factor}
    held |= {"leg": base.leg_least_a} if base.is_ring else {}
    optional = (("read", base.ze_read_ohm), ("fault", board.fault_ka), ("board", board.thing.fault_rating_ka))
    highest = at_highest_a(base) if all_resistive(base) else unknown("load_a")
    return held | {name: fact for name, fact in (*optional, ("highest", highest)) if fact.known}
