"""A cable and device tried in the place of a circuit's own: every test of it as a fact, worked out as for any circuit."""
from __future__ import annotations

import operator
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from spareway.design.catalogue import Offered
from spareway.design.circuit import LIGHTING, CircuitDesign
from spareway.design.load import RESISTIVE, at_highest_a, is_all
from spareway.design.route import settled
from spareway.fact import Fact, apart, glossary, unknown
from spareway.job.types import Device
from spareway.tables import NoRow, look_up

__all__ = ["Test", "Trial", "all_resistive", "called", "compared", "device_line", "least_mm2", "put_in", "trial_of"]

_RELATIONS: dict[str, Callable[[Any, Any], bool]] = {"at most": operator.le, "at least": operator.ge}
ON_OFFER = ("curve", "rating_a", "residual_ma", "residual_type", "fault_rating_ka", "let_through_a2s", "fuse")


@dataclass(frozen=True, slots=True)
class Test:
    """One comparison of a trial. ok: None where it cannot be told."""
    name: str
    word: str
    relation: str
    value: Fact[Any]
    limit: Fact[Any]
    ok: bool | None

    @property
    def says(self) -> str:
        """`drop 12.1 V, limit 11.5 V`."""
        value, limit = self.value, self.limit
        if value.amount is None or limit.amount is None:
            gap = (limit if limit.amount is None else value).missing()
            return f"{self.word} not known: {'; '.join(dict.fromkeys(f.note or glossary(f.name).says for f in gap))}"
        left, right = apart(value.amount, limit.amount)
        unit = glossary(value.name).unit
        shown = [str(fact) if fact.formula is None or fact.how == "table" else f"{digits} {unit}".strip()
                 for fact, digits in ((value, left), (limit, right))]
        return f"{self.word} {shown[0]}, {'limit' if self.relation == 'at most' else 'asked'} {shown[1]}"


@dataclass(frozen=True, slots=True)
class Trial:
    """A pair of cable and device, and how it stood each test."""
    circuit: CircuitDesign
    kind: str
    line_mm2: float
    cpc_mm2: float
    offered: Offered
    tests: tuple[Test, ...]

    @property
    def says(self) -> str:
        return called(self.kind, self.line_mm2, self.cpc_mm2, self.offered)

    @property
    def broken(self) -> list[Test]:
        return [test for test in self.tests if test.ok is False]

    @property
    def open(self) -> list[Test]:
        return [test for test in self.tests if test.ok is None]

    @property
    def assumed_a2s(self) -> float | None:
        """The bound of its energy class, where a yes at the near or the far end rests on that; None where it does not."""
        on_class = [t.limit.value for t in self.tests if t.name in ("near", "far") and t.ok and t.limit.how == "table"]
        return max(on_class, default=None)

    @property
    def on_class(self) -> list[Fact[Any]]:
        """What such a yes rests on and nobody confirmed: the class that the catalogue gives it, and the row of its table."""
        said = [t.limit for t in self.tests if t.name in ("near", "far") and t.ok and t.limit.how == "table"]
        return list(dict.fromkeys(each for limit in said for each in limit.doubtful()))

    @property
    def lines(self) -> tuple[str, str]:
        """The sizes of its cable and its device as lines of a job state them."""
        return (f"line_mm2 = {self.line_mm2:.12g}, cpc_mm2 = {self.cpc_mm2:.12g}", device_line(self.offered, self.assumed_a2s))


def called(kind: str, line_mm2: float, cpc_mm2: float, offered: Offered) -> str:
    return f"{line_mm2:g}/{cpc_mm2:g} mm² {'multicore' if kind == 'other' else kind}, {offered.says}"


def put_in(circuit: CircuitDesign, kind: str, line_mm2: float, cpc_mm2: float, offered: Offered) -> CircuitDesign:
    """The circuit with another cable and device; its load stays what it is."""
    there = replace(circuit.cable, kind=kind, line_mm2=_offered("line_mm2", line_mm2), cpc_mm2=_offered("cpc_mm2", cpc_mm2))
    device = _device(offered)
    tried = CircuitDesign(replace(circuit.circuit, cable=there, device=device), circuit.design)
    tried.device, tried.cable = device, there
    vars(tried).update(rating_a=device.rating_a, load_a=circuit.load_a)      # as tried, whatever stands in the record
    return tried


def trial_of(circuit: CircuitDesign, kind: str, line_mm2: float, cpc_mm2: float, offered: Offered) -> Trial:
    """A cable and device on offer tried in the place of the circuit's own. Errors: NoRow outside the tables."""
    tried = put_in(circuit, kind, line_mm2, cpc_mm2, offered)
    return Trial(tried, kind, line_mm2, cpc_mm2, offered, tuple(_tests(tried, offered)))


def _offered(name: str, amount: Any) -> Fact[Any]:
    return Fact(name, amount, "stated", "on offer")


def _device(offered: Offered) -> Device:
    from spareway.job.fields import specs
    facts: dict[str, Any] = {spec.name: unknown(spec.quantity) for spec in specs(Device) if spec.is_fact}
    for name in ON_OFFER:
        amount = getattr(offered, name)
        if amount:
            facts[name] = _offered(name, amount)
    return Device(kind=offered.kind, **facts)


def _tests(c: CircuitDesign, offered: Offered) -> list[Test]:
    board = c.design.boards[c.board]
    drop_limit = c.drop_limit_of_lighting_v if c.use_unsaid else c.drop_limit_v
    breaking = compared("breaking", "breaks", "at least", c.device.fault_rating_ka, board.fault_ka)
    if breaking.ok is False and compared("", "", "at least", board.thing.fault_rating_ka, board.fault_ka).ok:
        breaking = replace(breaking, ok=None)
    carried = compared("rating", "a leg carries", "at least", c.iz_a, c.leg_least_a) if c.is_ring else \
        compared("rating", "device", "at most", c.rating_a, c.iz_a)
    loop = c.electrode_limit_ohm if c.design.supply.earthing.amount == "TT" else c.zs_limit_ohm
    return [compared("size", "line", "at least", c.cable.line_mm2, least_mm2(c)),
            compared("load", "load", "at most", c.load_a, c.rating_a), breaking, carried,
            *([compared("highest", "load at the highest voltage", "at most", at_highest_a(c), c.route.carries_a)]
              if all_resistive(c) else []),
            compared("drop", "drop", "at most", c.drop_from_origin_v, drop_limit),
            compared("loop", "loop", "at most", c.zs_ohm, loop),
            _heat("near", "near end", c, c.energy_near_a2s, c.fault_near_a, offered),
            _heat("far", "far end", c, c.energy_far_a2s, c.fault_far_a, offered)]


def all_resistive(c: CircuitDesign) -> bool:
    """Whether only resistive appliances are on it, which draw more the higher the voltage; of a ring it is not asked."""
    return is_all(c, RESISTIVE) and not c.is_ring


def compared(name: str, word: str, relation: str, value: Fact[Any], limit: Fact[Any]) -> Test:
    known = value.amount is not None and limit.amount is not None
    return Test(name, word, relation, value, limit, bool(_RELATIONS[relation](value.amount, limit.amount)) if known else None)


def _heat(name: str, word: str, c: CircuitDesign, energy: Fact[float], fault_a: Fact[float], offered: Offered) -> Test:
    """By the maker's figure; else by whichever upper bound is good for a yes, and never for a no."""
    bounds = [energy]
    if not offered.let_through_a2s and energy.known and c.ia_a.value <= fault_a.value <= offered.fault_rating_ka * 1000:
        bounds += _class_a2s(offered, c)
    tested = [compared(name, f"{word}{', by its energy class,' if bound.how == 'table' else ''} withstands", "at least",
                       c.withstand_a2s, bound) for bound in bounds]
    best = next((test for test in tested if test.ok), tested[0])
    bounded = best.ok is False and not offered.let_through_a2s
    return replace(best, ok=None, word=f"{word} not settled: withstands") if bounded else best


def _class_a2s(offered: Offered, c: CircuitDesign) -> list[Fact[float]]:
    """What the energy class of a breaker allows at most, where the standard's table has a row for it."""
    read_off = Fact("energy_class", offered.energy_class, "assumed", "on offer", "by the catalogue: read it off the device")
    keys = (_offered("curve", offered.curve), _offered("icn_a", offered.fault_rating_ka * 1000), read_off,
            _offered("rating_a", offered.rating_a))
    try:
        return [look_up("let_through_class", c.books, *keys)] if offered.energy_class else []
    except NoRow:
        return []


def least_mm2(c: CircuitDesign) -> Fact[float]:
    """The least line conductor for its use."""
    if c.is_ring:
        return look_up("thresholds", c.books, settled("case", "ring_line_mm2", "433.1.204"))
    of = "least_lighting_mm2" if c.feeds and all(fed in LIGHTING for fed in c.feeds) else "least_power_mm2"
    return look_up("thresholds", c.books, settled("case", of, "Table 52.3"))


def device_line(offered: Offered, assumed_a2s: float | None = None) -> str:
    """The device as a line of a job states it. assumed_a2s: what a yes rests on, where it rests on the class of the device."""
    said: Mapping[str, Any] = {key: getattr(offered, key) for key in ON_OFFER}
    parts = [f'kind = "{offered.kind}"']
    parts += [f'{key} = "{v}"' if isinstance(v, str) else f"{key} = {v:.12g}" for key, v in said.items() if v]
    if assumed_a2s is not None:
        parts.append(f'let_through_a2s = {{ assumed = {assumed_a2s:.12g}, note = "the most that energy class '
                     f'{offered.energy_class:g} allows: read the class off the device" }}')
    return f"{{ {', '.join(parts)} }}"
