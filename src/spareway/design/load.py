"""What loads a circuit: by appliance, at the highest voltage, for hours on end, behind its fused units, behind its board."""
from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from spareway.design.around import HEATERS
from spareway.design.route import settled
from spareway.design.spurs import counted
from spareway.design.told_twice import alone, stands
from spareway.fact import Fact, total, unknown
from spareway.job.types import Point
from spareway.kinds import kind
from spareway.physics import board as boards
from spareway.physics import cable, fault, load, supply
from spareway.tables import look_up

if TYPE_CHECKING:
    from spareway.design.board import BoardDesign
    from spareway.design.circuit import CircuitDesign
    from spareway.design.design import Design

LAMPS = ("lamp", "lights")
STORED = ("immersion", "water-heater")                                # water that is kept hot: it can wait
WATER = (*STORED, "shower")
CHARGING = ("charge-point", "charge-point-two-way")
RESISTIVE = (*HEATERS, *WATER)
LASTING = (*HEATERS, *STORED, *CHARGING)                              # on for an hour and more; a shower or a cooker is not
OPEN_ENDED = ("sockets", "nothing", "")
Part = tuple[str, str, Fact[float]]                                   # address, kind, power at the nominal voltage


def parts_of(circuit: CircuitDesign) -> list[Part]:
    """Everything that is recorded on a circuit by itself: equipment, points with an appliance; else what it feeds as a whole.

    What stands at its last point and is named there too counts once."""
    of = circuit.circuit
    found = [(f"equipment.{e.name}", e.kind, power) for e, power in stands(circuit)]
    found += [(f"{circuit.at}.points.{p.name}", what, p.load_w) for p in alone(circuit)
              if (what := p.feeds or of.feeds) not in OPEN_ENDED]
    if not found and of.feeds not in OPEN_ENDED and not circuit.is_submain:
        found = [(circuit.at, of.feeds, of.load_w)]
    return found


def gives(part: Part) -> bool:
    """Whether it is a source and no load; a vehicle's charge point is a load, whichever way else its current may go."""
    _, what, _ = part
    return what not in CHARGING and kind(what).family == "source"


def draws(point: Point, circuit: CircuitDesign) -> bool:
    """Whether a point takes something of its own: a fixed appliance, or a power that somebody recorded."""
    feeds = point.feeds or circuit.circuit.feeds
    return feeds not in OPEN_ENDED or point.load_w.known and feeds != "nothing"


def kinds_on(circuit: CircuitDesign, kinds: Collection[str]) -> list[str]:
    """The addresses of what is of these kinds on it."""
    return [at for at, what, _ in parts_of(circuit) if what in kinds]


def on_no_circuit(design: Design) -> list[str]:
    """The appliances among the equipment of which no circuit is said that feeds them."""
    return [e.name for e in design.inst.equipment.values() if not e.on and kind(e.kind).family == "appliance"]


def is_all(circuit: CircuitDesign, kinds: Collection[str]) -> bool:
    """Whether nothing but these kinds is recorded on it, and something is, or nobody said what it feeds."""
    return circuit.feeds <= {*kinds} and (bool(circuit.feeds) or circuit.use_unsaid)


# ---- at the highest voltage -----------------------------------------------------------------------------------------
def highest_v(circuit: CircuitDesign) -> Fact[float]:
    """The highest voltage at which the network may supply."""
    return look_up("supply_voltage", circuit.books, settled("case", "upper limit", "ESQCR 2002, regulation 27"))


def at_highest_a(circuit: CircuitDesign) -> Fact[float]:
    """What resistive appliances draw together at the highest voltage: more volts, more amperes."""
    highest = highest_v(circuit)
    power = load.element_w.worked(circuit.load_w, circuit.design.supply.u0_v, highest)
    return cable.load_a.worked(power, highest)


# ---- for hours, beside others ---------------------------------------------------------------------------------------
def lasting(board: BoardDesign) -> list[CircuitDesign]:
    """The circuits of a board that carry their load for hours, in the order of their ways."""
    on = [c for c in board.design.circuits.values() if c.board == board.thing.name and not c.is_surge and c.feeds & {*LASTING}]
    return sorted(on, key=_way_n)


def _way_n(circuit: CircuitDesign) -> int:
    """The number of the way that its line lands on."""
    digits = [part for part in circuit.begins_at.split(".") if part.isdecimal()]
    return int(digits[0]) if digits else 0


def side_by_side(board: BoardDesign) -> list[tuple[str, str]]:
    """Lasting loads in neighbouring ways, by the numbers of the ways."""
    hot = lasting(board)
    return [(a.circuit.name, b.circuit.name) for a, b in pairwise(hot)
            if _way_n(a) and _way_n(b) - _way_n(a) == 1]


def lasting_limit_a(circuit: CircuitDesign) -> Fact[float]:
    """What its device carries for long among the loaded devices of its board, by the factor assumed where no maker states one."""
    design = circuit.design
    n = len([c for c in design.circuits.values() if c.board == circuit.board and not c.is_surge])
    factor = look_up("side_by_side", circuit.books, counted("circuits_n", n, f"equipment.{circuit.board}"))
    return boards.continuous_a.worked(circuit.rating_a, factor)


def largest_storage_a(circuit: CircuitDesign) -> Fact[float]:
    """What the largest common storage heater takes."""
    most = look_up("thresholds", circuit.books, settled("case", "storage_heater_w", "common practice"))
    return cable.load_a.worked(most, circuit.design.supply.u0_v)


# ---- cooking --------------------------------------------------------------------------------------------------------
def cooking_with_socket_a(circuit: CircuitDesign, cooking: list[Fact[float]]) -> Fact[float]:
    """Demand of cooking appliances with a socket outlet on their switch: the handbook's allowance."""
    from spareway.design.circuit import COOKING_REST
    keys: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = (
        ("diversity_first", (("load", "cooking"),)), ("diversity", COOKING_REST), ("diversity_socket", (("load", "cooking"),)))
    first, rest, socket = (look_up(name, circuit.books, *(settled(k, v, "household cooking appliance") for k, v in of))
                           for name, of in keys)
    connected = cable.load_a.worked(total("load_w", cooking, "the cooking appliances on it"), circuit.design.supply.u0_v)
    return supply.cooker_demand_a.worked(connected, first, rest, socket)


# ---- behind a fused unit, behind a board ----------------------------------------------------------------------------
def behind_fused_units(circuit: CircuitDesign) -> Iterator[tuple[Point, list[Point]]]:
    """(fused unit, the points of fixed appliances behind it, its own among them) of each unit with more than one."""
    points = circuit.circuit.points
    for head in points.values():
        if head.before.startswith("fused-spur"):
            behind = [head]
            for here in behind:
                behind += [p for p in points.values() if p.from_ == here.name and p not in behind]
            fixed = [p for p in behind if draws(p, circuit)]
            if len(fixed) > 1:
                yield head, fixed


def together_a(circuit: CircuitDesign, points: list[Point]) -> Fact[float]:
    """What these points draw at once."""
    power = total("load_w", [p.load_w for p in points], "what stands behind it")
    return cable.load_a.worked(power, circuit.design.supply.u0_v)


def fed_board(circuit: CircuitDesign) -> str:
    """The board that a submain feeds; nothing where it feeds none."""
    name = circuit.circuit.feeds.partition(".")[0] if circuit.is_submain else ""
    return name if name in circuit.design.boards else ""


def behind_board_a(circuit: CircuitDesign) -> Fact[float]:
    """The design currents of all circuits of the board it feeds, added up without any allowance."""
    name = fed_board(circuit)
    on = [c.load_a for c in circuit.design.circuits.values() if c.board == name and not c.is_surge]
    return total("load_a", on, f"every circuit of {name} at once")


def before_v(circuit: CircuitDesign) -> Fact[float]:
    """Voltage lost from the origin to where it begins; unknown where its line and its neutral begin apart."""
    apart = circuit.apart("N")
    return circuit.design.boards[circuit.board].drop_before_v if apart is None else apart


def rise_at_source_v(circuit: CircuitDesign, sources: Sequence[str]) -> Fact[float]:
    """How far a source lifts its own voltage above that at the origin while it feeds back all it is rated for: what the circuit
    and everything before its board loses at that current.

    sources: names of what feeds back through it; unknown where the rating of one, or a way, is not recorded."""
    things = circuit.design.inst.equipment
    ratings = [things[s].rating_a if s in things else
               unknown("rating_a", "the rating of the source is not recorded", at=s) for s in sources]
    amps = total("load_a", ratings, "every source on it")
    board = circuit.design.boards[circuit.board]
    if not board.is_reached:
        return unknown("drop_v", "the record shows no way from the supply to its board", at=board.at)
    legs = [*board.fed_by, circuit]
    lost = [cable.drop_v.worked(leg.route.mv_per_a_m, amps, leg.length_m) for leg in legs]
    return total("drop_v", lost, "from the origin to its far end")


def rise_limit_v(circuit: CircuitDesign) -> Fact[float]:
    """What is usual at most between a source and the origin."""
    share = look_up("thresholds", circuit.books, settled("case", "source_rise_share", "common practice"))
    return cable.drop_limit_v.worked(circuit.design.supply.u0_v, share)


# ---- what else is on its conductors ---------------------------------------------------------------------------------
def returning_on(circuit: CircuitDesign, design: Design) -> list[tuple[str, Fact[float]]]:
    """(circuit or point, current) of all that returns on the neutral of this circuit and is not its own.

    A point counts by what it takes where that is known; everything else by the device that feeds it, the most it can be."""
    name, way, u0 = circuit.circuit.name, circuit.circuit.way, design.supply.u0_v
    found = []
    for other in design.circuits.values():
        of = other.circuit
        if other is circuit:
            continue
        if of.neutral == name or of.lands is not None and of.lands.N.rpartition(".")[0] == way:
            found.append((of.name, other.rating_a))
            continue
        found += [(f"{of.name}.{p.name}", cable.load_a.worked(p.load_w, u0) if p.load_w.known else other.rating_a)
                  for p in of.points.values() if p.neutral.partition(".")[0] == name]
    return found


def reduced_m(circuit: CircuitDesign, point: Point, thin: Collection[str]) -> Fact[float]:
    """The cable to a point from where its conductor became smaller; `thin`: the points reached by a smaller one."""
    points, here, legs = circuit.circuit.points, point.name, dict[str, Fact[float]]()
    while here in thin and here not in legs:
        legs[here] = points[here].length_m
        here = points[here].from_
    return total("length_m", [*legs.values()][::-1], "from where it became smaller")


def line_withstand_a2s(circuit: CircuitDesign, point: Point) -> Fact[float]:
    """What the line conductor to this point withstands."""
    k = look_up("k", circuit.books, settled("case", "live conductor", "Table 43.1"))
    return fault.k2s2_a2s.worked(k, point.line_mm2)
