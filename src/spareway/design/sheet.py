"""Every quantity of one circuit in the order in which a designer works: the design sheet, its screen and its table read this."""
from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from spareway.fact import Fact, NotKnown, glossary, unknown
from spareway.tables import NoRow

if TYPE_CHECKING:
    from spareway.design.circuit import CircuitDesign
    from spareway.job.job import Installation

NEW = "new cable"


@dataclass(frozen=True, slots=True)
class Line:
    """One quantity: the heading it stands under, a name of its own on the sheet, what it says, and the fact."""
    heading: str
    name: str
    says: str
    fact: Fact[Any]


# Heading, name, words, how it is asked of a circuit. The words tell apart what the glossary calls by one name.
_Ask = Callable[["CircuitDesign"], Fact[Any]]
_LINES: tuple[tuple[str, str, str, _Ask], ...] = (
    ("Load", "load_w", "everything on it", lambda c: c.load_w),
    ("Load", "connected_a", "everything on it at once", lambda c: c.connected_a),
    ("Load", "load_a", "design current", lambda c: c.load_a),
    ("Load", "rating_a", "what opens on overload", lambda c: c.rating_a),
    ("Rating", "iz_a", "what the cable carries where it runs worst", lambda c: c.iz_a),
    ("Rating", "leg_least_a", "what each leg of the ring must carry", lambda c: c.leg_least_a),
    ("Resistance", "length_m", "length", lambda c: c.length_m),
    ("Resistance", "r1_ohm", "line conductor at 20 °C", lambda c: c.r1_ohm),
    ("Resistance", "r2_ohm", "protective conductor at 20 °C", lambda c: c.r2_ohm),
    ("Resistance", "r1r2_ohm", "line and protective conductor at 20 °C", lambda c: c.r1r2_ohm),
    ("Fault to earth", "ze_ohm", "loop at its board", lambda c: c.ze_ohm),
    ("Fault to earth", "zs_cold_ohm", "loop at the far end near 20 °C, by the design", lambda c: c.zs_cold_ohm),
    ("Fault to earth", "zs_ohm", "loop at the far end, conductors at their working temperature", lambda c: c.zs_ohm),
    ("Fault to earth", "clear_limit_s", "time in which it must open", lambda c: c.clear_limit_s),
    ("Fault to earth", "ia_a", "current that opens it in that time", lambda c: c.ia_a),
    ("Fault to earth", "zs_limit_ohm", "greatest loop that still opens it", lambda c: c.zs_limit_ohm),
    ("Fault to earth", "zs_site_limit_ohm", "greatest that may be read cold", lambda c: c.zs_site_limit_ohm),
    ("Fault to earth", "residual_ma", "residual-current protection", lambda c: c.residual_ma),
    ("Fault to earth", "electrode_limit_ohm", "greatest loop at which the residual device keeps touch voltage to 50 V (411.5.3)",
     lambda c: c.electrode_limit_ohm),
    ("Heat of a fault", "fault_near_a", "greatest fault at the board", lambda c: c.fault_near_a),
    ("Heat of a fault", "fault_far_a", "greatest fault at the far end", lambda c: c.fault_far_a),
    ("Heat of a fault", "withstand_a2s", "what the protective conductor withstands", lambda c: c.withstand_a2s),
    ("Heat of a fault", "energy_near_a2s", "what the device lets through at the board", lambda c: c.energy_near_a2s),
    ("Heat of a fault", "energy_far_a2s", "what the device lets through at the far end", lambda c: c.energy_far_a2s),
    ("Voltage drop", "drop_v", "along the circuit itself", lambda c: c.drop_v),
    ("Voltage drop", "drop_from_origin_v", "from the origin", lambda c: c.drop_from_origin_v),
    ("Voltage drop", "drop_limit_v", "greatest allowed for its use", lambda c: c.drop_limit_v),
)
_STRETCH = (("it_a", "what the table gives"), ("ca", "ambient temperature"), ("cg", "grouping"),
            ("ci", "thermal insulation"), ("iz_a", "what the cable carries"))
OF_DEVICE, OF_RESIDUAL = ("zs_limit_ohm", "zs_site_limit_ohm"), ("electrode_limit_ohm",)       # to one or other the loop is held
HEADINGS = tuple(dict.fromkeys(heading for heading, *_ in _LINES))


def sheet(circuit: CircuitDesign) -> list[Line]:
    """Every quantity, heading by heading; each stretch of its route where there is more than one. Nothing raises: what cannot be
    looked up or is outside its table is a fact that is not known, and says why."""
    without = {*(() if circuit.is_ring else ("leg_least_a",)), *(OF_DEVICE if circuit.opens_by_residual else OF_RESIDUAL)}
    lines = [Line(heading, name, says, _asked(circuit, name, ask)) for heading, name, says, ask in _LINES if name not in without]
    first = next(i for i, line in enumerate(lines) if line.heading == "Rating")
    return [*lines[:first], *_stretches(circuit), *lines[first:]]


def kept_or_new(circuit: CircuitDesign, found: Installation) -> str:
    """What a circuit was as found, by where its lines stand: whoever says the kind of a cable or device anew says another one."""
    inst, name = circuit.design.inst, circuit.circuit.name
    was = found.circuits.get(name)
    if inst.stage == "found":
        return "as found"
    cable, device = (found.doc.places.get(at) == inst.doc.places.get(at)
                     for at in (("circuits", name, part, "kind") for part in ("cable", "device")))
    if was is None or not cable:
        return NEW
    return "kept" if device and was.way == circuit.circuit.way else "cable kept, its device or way is another"


def _stretches(circuit: CircuitDesign) -> Iterator[Line]:
    stretches = circuit.route.stretches
    for stretch in stretches:
        for name, says in _STRETCH[:len(_STRETCH) if len(stretches) > 1 else -1]:
            where = f"{stretch.name}: {says}" if stretch.name else says
            key = f"{name}-{stretch.name}" if stretch.name else name
            yield Line("Rating", key, where, _asked(circuit, name, lambda _, s=stretch, n=name: getattr(s, n)))  # type: ignore[misc]


def _asked(circuit: CircuitDesign, name: str, ask: _Ask) -> Fact[Any]:
    try:
        return ask(circuit)
    except NoRow as outside:
        return unknown(_quantity(name), str(outside), at=circuit.at)
    except NotKnown as gap:
        return gap.fact


_CALLED = {"connected_a": "load_a", "leg_least_a": "iz_a", "zs_cold_ohm": "zs_ohm", "clear_limit_s": "clear_s",
           "fault_near_a": "prospective_a", "fault_far_a": "prospective_a", "withstand_a2s": "k2s2_a2s",
           "energy_near_a2s": "i2t_a2s", "energy_far_a2s": "i2t_a2s", "drop_from_origin_v": "drop_v"}


def _quantity(name: str) -> str:
    """The glossary's name of what a line of the sheet holds, where nothing could be worked out to say it."""
    return glossary(_CALLED.get(name, name)).name
