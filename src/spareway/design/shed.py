"""A cap on the current of a home, and what it costs in comfort: which heaters are held off, in which order, how much colder.

An option and never a credit: no figure of demand is lowered by it. Two questions are searched to the end: the heaters that bring
a figure under the cap with the fewest degree-hours, and of these the order in which all steps together cost the fewest. A room
cools on the design day by what it loses and what it stores; heat that its other heaters still give is counted, that of other
rooms is not. What a home does not say of a heater or its room leaves that heater out of the search, by name.
"""
from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, reduce
from itertools import combinations
from operator import add

from spareway.design.demand import STORAGE, Demand
from spareway.design.heaters import Heater, heaters, voltage
from spareway.design.load import STORED
from spareway.design.room import RoomDesign
from spareway.design.route import assumed, renamed
from spareway.fact import Fact, solved, total, unknown
from spareway.physics import cooling, supply
from spareway.tables import look_up

MOST_N = 14                                     # heaters that are searched to the end: well within a second
UA_PER_A, NKH_PER_KH = 1_000_000, 1_000_000_000     # whole numbers, so that equals are equal
BUILT = "nobody recorded how heavily it is built; a light room cools sooner than most"
HELD = "asked: how long they are held off"
DEVICE = (
    "Common practice, no source, all of this.",
    "Where somebody ill, old or very young lives, or pipes may freeze: say in writing who is called when a heater stays off, and "
    "which heater is never held off.",
    "It measures the current of the whole home at the intake, and acts within seconds: before the service fuse warms.",
    "It fails to off: with its own supply, its sensor or its link lost, what it holds off stays off.",
    "It opens each heater of the order by a contactor rated for its full current for hours; those on one contactor go together.",
    "It is no isolation: whatever it holds off may come on at any moment. Lock off by hand, prove dead.",
    "Whoever lives there can see what is held off and why; nobody can lift the cap without a tool.",
    "The network operator's word is needed before the cap counts for anything: it may want the device listed, sealed or tested.")


# ---- one room -------------------------------------------------------------------------------------------------------
@dataclass(frozen=True, slots=True, eq=False)
class Held:
    """A heater that may be held off, its room, and what it draws at the nominal voltage."""
    heater: Heater
    room: str
    current_a: Fact[float]
    given_w: Fact[float]

    @property
    def name(self) -> str:
        return self.heater.name

    @property
    def ua(self) -> int:
        return round(self.current_a.value * UA_PER_A)


@dataclass(frozen=True, slots=True)
class Cooled:
    """A room that has heaters held off: how much colder for how long, the least and the most of it (K·h), how much at the end."""
    room: str
    cooled_kh: Fact[float]
    least_kh: float
    most_kh: float
    fall_k: Fact[float]


class Cooling:
    """How one room cools while some of its heaters are held off."""

    def __init__(self, room: RoomDesign, own: Sequence[Held], held_h: Fact[float]) -> None:
        self.room, self.own, self.held_h = room, own, held_h

    @cached_property
    def weight(self) -> Fact[str]:
        return assumed("weight", "light", BUILT, self.room.at)

    @cached_property
    def store_wh_per_k(self) -> Fact[float]:
        return cooling.store_wh_per_k.worked(look_up("room_store", self.room.design.books, self.weight), self.room.floor_m2)

    def missing_w(self, off: Iterable[Held]) -> Fact[float]:
        """Heat missing with these held off."""
        gone = {*off}
        given = total("given_w", [h.given_w for h in self.own], "all its heaters")
        left = total("left_w", [h.given_w for h in self.own if h not in gone], "those that stay on")
        return cooling.missing_w.worked(self.room.loss_w, given, left)

    def cooled_kh(self, off: Iterable[Held]) -> Fact[float]:
        """How much colder for how long, with its balance: what is missed is lost by the store or not lost to outside."""
        given = [self.missing_w(off), self.held_h, self.room.loss_w_per_k, self.store_wh_per_k]
        return solved("cooled_kh", cooling.cooled_kh, given, "H D + C θ = ΔΦ t, with θ = ΔΦ / H (1 - e^(-t H / C))",
                      cooling.balance_wh, "one store that cools")

    def cooled(self, off: Sequence[Held]) -> Cooled:
        """What it comes to with these held off, also were the room built as heavily, or as lightly, as any."""
        area = self.cooled_kh(off)
        fall = cooling.fall_k.worked(self.missing_w(off), self.held_h, self.room.loss_w_per_k, area, self.store_wh_per_k)
        least, most = (area.again({self.weight: weight}) for weight in ("very heavy", "very light"))
        return Cooled(self.room.room.name, area, least, most, fall)

    @cached_property
    def costs(self) -> dict[frozenset[str], int]:
        """What each choice of its heaters costs, in whole billionths of a degree-hour."""
        choices = [c for n in range(len(self.own) + 1) for c in combinations(self.own, n)]
        return {frozenset(h.name for h in c): round(self.cooled_kh(c).value * NKH_PER_KH) for c in choices}


# ---- the two searches -----------------------------------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class Choice:
    """Heaters held off: what they draw (µA) and what that costs; the fewer the better where it costs the same."""
    ua: int
    cost: int
    names: tuple[str, ...]


def cheapest(rooms: Sequence[Cooling], needed_ua: int) -> tuple[str, ...] | None:
    """The heaters that draw so much together and cost least; the fewest of those. None where not even all of them do.

    Exact: room by room, what another choice matches with more current for less is dropped."""
    front = [Choice(0, 0, ())]
    for room in rooms:
        by_name = {h.name: h.ua for h in room.own}
        own = [Choice(together(by_name[n] for n in names), cost, tuple(n for n in by_name if n in names))
               for names, cost in room.costs.items()]
        front = _undominated([Choice(min(a.ua + b.ua, needed_ua), a.cost + b.cost, a.names + b.names)
                              for a in front for b in own])
    enough = [c for c in front if c.ua >= needed_ua]
    return min(enough, key=_key).names if enough else None


def together(each: Iterable[int]) -> int:
    """Whole numbers together, exactly."""
    return reduce(add, each, 0)


def _key(choice: Choice) -> tuple[int, int]:
    return choice.cost, len(choice.names)


def _undominated(choices: Sequence[Choice]) -> list[Choice]:
    """Those that no other matches with as much current at no more cost."""
    kept: list[Choice] = []
    for choice in sorted(choices, key=lambda c: (*_key(c), -c.ua)):
        if not kept or choice.ua > kept[-1].ua:
            kept.append(choice)
    return kept


def in_order(rooms: Sequence[Cooling], names: Sequence[str]) -> tuple[str, ...]:
    """These heaters in the order in which the steps together cost least, each step lasting as long as another.

    Exact, over subsets: the best order of a set ends with the heater before which the best order of the rest came."""
    best: dict[frozenset[str], tuple[int, tuple[str, ...]]] = {frozenset(): (0, ())}
    for n in range(1, len(names) + 1):
        for chosen_names in combinations(names, n):
            off = frozenset(chosen_names)
            before = min((best[off - {last}][0], i) for i, last in enumerate(chosen_names))[1]
            last = chosen_names[before]
            cost, order = best[off - {last}]
            best[off] = (cost + cost_of(rooms, off), (*order, last))
    return best[frozenset(names)][1]


def cost_of(rooms: Sequence[Cooling], off: frozenset[str]) -> int:
    """What it costs to hold these off, in whole billionths of a degree-hour."""
    return together(room.costs[off & {h.name for h in room.own}] for room in rooms)


# ---- a plan ---------------------------------------------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class Step:
    """One more heater held off: what is left of the figure then, and what all so far costs."""
    held: Held
    left_a: Fact[float]
    cooled_kh: Fact[float]


@dataclass(frozen=True, slots=True)
class Plan:
    """One figure under a cap. why_not: why there is no plan; waits: stored water put off before any heater."""
    says: str
    figure_a: Fact[float]
    waits: tuple[str, ...] = ()
    steps: tuple[Step, ...] = ()
    left_a: Fact[float] | None = None
    at_highest_a: Fact[float] | None = None
    cooled: tuple[Cooled, ...] = ()
    why_not: str = ""


@dataclass(frozen=True, slots=True)
class Capped:
    """The option as a whole. left_out: heaters that no plan holds off, and why."""
    cap_a: Fact[float]
    held_h: Fact[float]
    plans: tuple[Plan, ...]
    left_out: tuple[tuple[str, str], ...]


class Shed:
    """Heaters held off under a cap of so many amperes for so many hours of the design day."""

    def __init__(self, demand: Demand, cap_a: float, hours: float) -> None:
        self.demand, self.design = demand, demand.design
        self.cap_a = Fact("cap_a", cap_a, "assumed", "", "asked: what if")
        self.held_h = Fact("held_h", hours, "assumed", "", HELD)

    @cached_property
    def _sorted(self) -> tuple[dict[str, list[Held]], list[tuple[str, str]]]:
        """The heaters that may be held off, by room; and the others, each with the reason."""
        by_room: dict[str, list[Held]] = {}
        left_out = []
        counted = {at: amps for at, _, amps in self.demand.entries}
        at_nominal = voltage(self.design, "declared voltage")
        for heater in heaters(self.design):
            amps = counted.get(heater.at, unknown("load_a", "it is in no figure of demand", at=heater.at))
            held = Held(heater, heater.room, amps, heater.given_w(at_nominal))
            if why := self._why_not(held):
                left_out.append((heater.at, why))
            else:
                by_room.setdefault(heater.room, []).append(held)
        return by_room, left_out

    def _why_not(self, held: Held) -> str:
        """Why this heater is in no plan; nothing where it may be."""
        if held.heater.kind == STORAGE:
            return "it takes its charge at night: not held off in an evening"
        if held.room not in self.design.rooms:
            return "the room that it heats is not recorded"
        cools = Cooling(self.design.rooms[held.room], [held], self.held_h).cooled_kh([held])
        wanting = [f for f in (held.current_a, cools) if not f.known]
        gaps = dict.fromkeys(f"{gap.at}: {gap.note}" if gap.at else gap.note for f in wanting for gap in f.missing())
        return f"how its room cools is not known: {'; '.join(gaps)}" if wanting else ""

    @cached_property
    def rooms(self) -> tuple[Cooling, ...]:
        return tuple(Cooling(self.design.rooms[name], own, self.held_h) for name, own in self._sorted[0].items())

    @cached_property
    def by_name(self) -> Mapping[str, Held]:
        return {held.name: held for room in self.rooms for held in room.own}

    @cached_property
    def capped(self) -> Capped:
        """Each figure in which everything is on at once under the cap, as it is and with stored water put off."""
        figures = (("connected", self.demand.connected_a), ("lasting, as after an outage", self.demand.lasting_a))
        water = tuple((at, amps) for at, what, amps in self.demand.entries if what in STORED)
        plans = []
        for says, figure in figures:
            plans.append(self.plan(says, figure))
            if water and figure.known and figure.value > self.cap_a.value:
                plans.append(self.plan(says, figure, water))
        return Capped(self.cap_a, self.held_h, tuple(plans), tuple(self._sorted[1]))

    def plan(self, says: str, figure_a: Fact[float], water: Sequence[tuple[str, Fact[float]]] = ()) -> Plan:
        """The heaters held off so that this figure comes under the cap. water: what is put off before them."""
        waits = tuple(at for at, _ in water)
        if not figure_a.known:
            return Plan(says, figure_a, waits, why_not="the figure itself is not known")
        off = [amps for _, amps in water]
        needed = math.ceil(round((self._left_a(figure_a, off).value - self.cap_a.value) * UA_PER_A, 3))
        if len(self.by_name) > MOST_N:
            return Plan(says, figure_a, waits, why_not=f"{len(self.by_name)} heaters: more than the {MOST_N} that are searched")
        names = cheapest(self.rooms, max(needed, 0))
        if names is None:
            least = self._left_a(figure_a, [*off, *(h.current_a for h in self.by_name.values())])
            return Plan(says, figure_a, waits, why_not=f"with every heater of the search held off {least} is left, above the cap")
        return self._planned(says, figure_a, waits, off, in_order(self.rooms, names))

    def _planned(self, says: str, figure_a: Fact[float], waits: tuple[str, ...], off: list[Fact[float]],
                 order: Sequence[str]) -> Plan:
        steps = []
        for n in range(1, len(order) + 1):
            so_far = [self.by_name[name] for name in order[:n]]
            left = self._left_a(figure_a, [*off, *(h.current_a for h in so_far)])
            steps.append(Step(so_far[-1], left, self._cooled_kh(so_far)))
        left = steps[-1].left_a if steps else self._left_a(figure_a, off)
        at_highest = supply.capped_at_a.worked(left, voltage(self.design, "upper limit"), self.design.supply.u0_v)
        gone = {room: [h for h in room.own if h.name in order] for room in self.rooms}
        cooled = tuple(room.cooled(held) for room, held in gone.items() if held)
        return Plan(says, figure_a, waits, tuple(steps), left, at_highest, cooled)

    def _left_a(self, figure_a: Fact[float], off: Sequence[Fact[float]]) -> Fact[float]:
        """What is left of a figure; the figure itself where nothing is held off."""
        if not off:
            return renamed(figure_a, "capped_a")
        return supply.capped_a.worked(figure_a, total("held_off_a", off, "all that is held off"))

    def _cooled_kh(self, off: Sequence[Held]) -> Fact[float]:
        return total("cooled_kh", [room.cooled_kh([h for h in off if h in room.own]) for room in self.rooms
                                   if any(h in room.own for h in off)], "every room that has one held off")
