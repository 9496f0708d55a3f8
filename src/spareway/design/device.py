"""What stands before a circuit, judged as a device: in series with others, by its curve, by what leaks behind it."""
from __future__ import annotations

from collections.abc import Collection
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING

from spareway.design.around import HEATERS
from spareway.design.heat import ln_read_at_board_ohm
from spareway.design.load import CHARGING, WATER, Part, parts_of
from spareway.design.route import RouteDesign, renamed, settled
from spareway.design.told_twice import named_only, unseen
from spareway.fact import Fact, highest, solved, total
from spareway.job.types import Equipment, Point
from spareway.kinds import kind
from spareway.physics import board as boards
from spareway.physics import curves, fault, selectivity, testing
from spareway.tables import Books, look_up, rows

if TYPE_CHECKING:
    from spareway.design.board import BoardDesign
    from spareway.design.circuit import CircuitDesign
    from spareway.design.design import Design
    from spareway.design.guards import Guard

ELEMENTS = (*HEATERS, *WATER, "cooker")                               # heat by an element, dry at work
INVERTERS = ("solar-inverter", "battery-inverter", "battery-inverter-backup")
FILTERED = (*INVERTERS, *CHARGING)                                    # electronics with a filter to earth


# ---- by its curve ---------------------------------------------------------------------------------------------------
def limit_by_curve_ohm(circuit: CircuitDesign, curve: str) -> Fact[float]:
    """The greatest loop that opens a breaker of that curve and of this circuit's rating at once."""
    supply = circuit.design.supply
    at_once = look_up("ia_breaker", circuit.books, settled("curve", curve, "the curve that is asked about"), circuit.rating_a)
    return fault.zs_limit_ohm.worked(supply.cmin, supply.u0_v, at_once)


def holds_a(circuit: CircuitDesign) -> Fact[float]:
    """The greatest current at which the breaker of a circuit does not open at once."""
    return curves.instant_holds_a.worked(look_up("instant_holds", circuit.books, circuit.device.curve), circuit.rating_a)


def ratings_made(circuit: CircuitDesign) -> tuple[float, ...]:
    """The ratings (A) that the tables know of such a device; none where they know nothing of its kind."""
    of, fuse = circuit.device_kind, circuit.device.fuse
    if of is not None and "curve" in of.facts:
        return _made(circuit.books, "")
    standard = fuse.amount or ("bs3036" if circuit.device.kind == "rewirable" else "none")
    return _made(circuit.books, "bs1361" if standard.startswith("bs1361") else standard)


@lru_cache(64)
def _made(books: Books, fuse: str) -> tuple[float, ...]:
    """Of fuses of that standard, of breakers where none is named."""
    of = [row for row in rows("ia_fuse", books) if row["device"] == fuse] if fuse else rows("standard_ratings", books)
    return tuple(sorted({row["rating_a"] for row in of}))


def gives_or_takes_whole(circuit: CircuitDesign, kinds: Collection[str]) -> list[Equipment]:
    """The things of these kinds on a circuit, or that feed back through its device: they run at their full rating for hours.

    One that a circuit feeds by name alone is among them, its rating unknown."""
    things, circuits, sources = circuit.design.inst.equipment, circuit.design.circuits, circuit.design.sources_on(circuit)
    names = dict.fromkeys([*(e.name for e in circuit.stands_at_end), *sources])
    named = dict.fromkeys([circuit, *(circuits[n] for n in sources if n in circuits)])
    return [*(things[n] for n in names if n in things and things[n].kind in kinds),
            *(unseen(c, *told) for c in named for told in named_only(c) if told[2] in kinds)]


# ---- in series ------------------------------------------------------------------------------------------------------
def fault_at_board_a(board: BoardDesign) -> Fact[float]:
    """The greatest fault current at a board: to earth or to neutral, on loops as they were read."""
    u0 = board.design.supply.u0_v
    both = [fault.prospective_a.worked(u0, loop) for loop in (board.ze_read_ohm, ln_read_at_board_ohm(board))]
    return highest("prospective_a", both, "the greater of line to neutral and line to earth")


def circuit_before(board: BoardDesign) -> CircuitDesign | None:
    """The circuit whose device is the nearest before a board; None where a fuse is, or nothing."""
    design = board.design
    name = design.rating_before_a(design.before(f"{board.thing.name}.in.L"))[0]
    return design.circuits.get(name)


def before_thing(name: str, design: Design) -> tuple[str, ...]:
    """What current from the supply goes through before it reaches this thing; the thing itself is not among it."""
    side = design.fed_side(name)
    return tuple(n for n in design.before(f"{name}.{side}.L") if n != name) if side else ()


def fuse_ratio(before_a: Fact[float], behind_a: Fact[float]) -> Fact[float]:
    """The rating of a fuse over that of the one behind it."""
    return boards.fuse_ratio.worked(before_a, behind_a)


def let_through_a2s(circuit: CircuitDesign) -> Fact[float]:
    """What its breaker lets through, by its maker."""
    return renamed(circuit.device.let_through_a2s, "i2t_a2s")


def pre_arcing_a2s(fuse: Fact[str], rating_a: Fact[float], design: Design) -> Fact[float]:
    """The least energy that melts a fuse for general use of that rating, by its standard."""
    return look_up("fuse_energy", design.books, fuse, settled("fuse_energy", "least pre-arcing", "of the one before"), rating_a)


def residual_ratio(before: Guard, behind: Guard) -> Fact[float]:
    """The rated residual current of one device over that of the next behind it."""
    return selectivity.residual_ratio.worked(before.residual_ma, behind.residual_ma)


# ---- what leaks behind it -------------------------------------------------------------------------------------------
def leaks(circuit: CircuitDesign) -> tuple[list[Fact[float]], list[str]]:
    """(Standing leakage of each thing on a circuit of which the tables have a figure; what they have none of, in words)."""
    known, without = list[Fact[float]](), list[str]()
    for part in parts_of(circuit):
        leak = _leak_ma(part, circuit)
        known, without = ([*known, leak], without) if leak is not None else (known, [*without, f"{part[1]} of {part[0]}"])
    if circuit.feeds_sockets:
        without.append(f"what is plugged in on {circuit.circuit.name}")
    if circuit.use_unsaid:
        without.append(f"what {circuit.circuit.name} feeds")
    return known, without


def _leak_ma(part: Part, circuit: CircuitDesign) -> Fact[float] | None:
    """By its kind: an element by its power, a filter whole; nothing leaks nothing; None where no figure is known."""
    at, of, power_w = part
    if of in FILTERED:
        return look_up("thresholds", circuit.books, settled("case", "leakage_filter_most_ma", at))
    if of not in ELEMENTS:
        return None
    a_kw, most = (look_up("thresholds", circuit.books, settled("case", case, at))
                  for case in ("leakage_heating_ma_per_kw", "leakage_heating_most_ma"))
    kilowatts = solved("load_kw", lambda watts: watts / 1000, [power_w], "1000 × P = power in W",
                       lambda kw, watts: (kw * 1000, watts), "1 kW is 1000 W")
    return renamed(testing.heating_leakage_ma.worked(a_kw, kilowatts, most), "leakage_ma")


def leakage_ma(leaking: list[Fact[float]]) -> Fact[float]:
    """All of it together, added as plain numbers: the most it can come to."""
    return total("leakage_ma", leaking, "everything of which a figure is known")


def leakage_limit_ma(residual_ma: Fact[float], design: Design) -> Fact[float]:
    """The share of its rating that may leak in ordinary service."""
    return testing.leakage_limit_ma.worked(residual_ma, look_up("thresholds", design.books, design.case("leakage_share")))


def behind(thing: str, design: Design) -> list[CircuitDesign]:
    """The circuits before which this residual-current device stands, by the nearest way to each."""
    return [c for c in design.circuits.values() if not c.is_surge and any(g.name == thing for g in c.met or ())]


def next_behind(thing: str, design: Design) -> list[tuple[Guard, Guard]]:
    """This residual-current device with the next one behind it, once for each that is so on the nearest way to some circuit."""
    pairs = {after.name: (before, after) for c in design.circuits.values() if not c.is_surge
             for before, after in pairwise(c.met or ()) if before.name == thing}
    return list(pairs.values())


# ---- the fuse of a connection unit ----------------------------------------------------------------------------------
def behind_unit_iz_a(circuit: CircuitDesign, point: Point) -> Fact[float]:
    """What the cable at a fused connection unit carries: of its own size, laid as the circuit's is, behind a fuse of the unit."""
    cc = settled("cc", 1.0, "the fuse of a connection unit is no rewirable one")
    return RouteDesign(circuit.cable, point.line_mm2, circuit.books, f"{circuit.at}.points.{point.name}", cc).iz_a


def carries_tails(name: str, design: Design) -> bool:
    """Whether a thing is a switch or residual-current device by itself that stands before the boards."""
    of = kind(design.inst.equipment[name].kind)
    if of.family != "switch" or of.bars or "rating_a" not in of.facts:
        return False
    before = before_thing(name, design)
    return bool(before) and not any(n in design.inst.circuits for n in before)
