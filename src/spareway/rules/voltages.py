"""Rules of voltages as they were read: crossed, a neutral lost, an earth open, by what one point shows as a whole."""
from __future__ import annotations

from spareway.design.circuit import CircuitDesign
from spareway.design.design import Design
from spareway.design.supply import SupplyDesign
from spareway.readings.voltages import Point, points
from spareway.rules.base import Answer, does_not_apply, rule


@rule("TE12", about="supply", breach="stop", clause="643.6; EAWR reg 4", authority="law")
def supply_voltages_wrong(supply: SupplyDesign, design: Design) -> Answer:
    """The voltages read at the origin show line and neutral crossed, the neutral lost, the earth open, or too much.

    Why: metal that everybody touches may stand at line voltage, and what is plugged in can burn; it can kill.
    Remedial: everybody off the metal, leave the main switch off, and ring the network operator now (105); nobody but its people works there; read all three again before anything is energised.
    Fires on: readings = [{ quantity = "supply_v", a = "supplies.main.L", b = "supplies.main.E", value = 2 }, { quantity = "supply_v", a = "supplies.main.N", b = "supplies.main.E", value = 231 }]
    Passes on: readings = [{ quantity = "supply_v", a = "supplies.main.L", b = "supplies.main.E", value = 231 }, { quantity = "supply_v", a = "supplies.main.N", b = "supplies.main.E", value = 2 }]
    """
    return _of(supply.at, points(design, supply.at))


@rule("TE13", about="circuit", breach="stop", clause="643.6; EAWR reg 4", authority="law")
def point_voltages_wrong(circuit: CircuitDesign, design: Design) -> Answer:
    """The voltages read at a point show line and neutral crossed, the neutral lost, the earth open, or too much.

    Why: a switch that is off leaves line behind it, or metal that everybody touches stands at line voltage; it can kill.
    Remedial: touch no metal of it; switch off, lock off and prove dead at the point of work before it is opened; read at the origin too: where it shows there as well, ring the network operator now (105); then what is read with the supply off, and the voltages, again.
    Fires on: readings = [{ quantity = "supply_v", a = "circuits.oven.L", b = "circuits.oven.E", value = 2 }, { quantity = "supply_v", a = "circuits.oven.N", b = "circuits.oven.E", value = 231 }]
    Passes on: readings = [{ quantity = "supply_v", a = "circuits.oven.L", b = "circuits.oven.E", value = 231 }, { quantity = "supply_v", a = "circuits.oven.N", b = "circuits.oven.E", value = 2 }]
    """
    return _of(circuit.at, points(design, circuit.at))


def _of(subject: str, read: tuple[Point, ...]) -> Answer:
    """A yes wants line and neutral to earth at each point, at this stage; a sign stands until it is read again."""
    if not read:
        return does_not_apply("no voltage of it was read")
    bad, short = ([each for each in read if each.there is is_so] for is_so in (False, None))
    if bad:
        return Answer(False, "; ".join(f"{_at(subject, each)}{each.sign} ({each.read})" for each in bad))
    if short:
        return Answer(None, f"Not known: {'; '.join(f'{_at(subject, each)}{_short(each)}' for each in short)}")
    return Answer(True, "; ".join(f"{_at(subject, each)}{each.read}" for each in read))


def _at(subject: str, of: Point) -> str:
    """Which point of it; nothing where it is the whole."""
    return "" if of.at == subject else f"at {of.at.removeprefix(f'{subject}.points.').removeprefix(f'{subject}.')}: "


def _short(of: Point) -> str:
    lacking = [words for pair, words in (("LE", "line to earth"), ("NE", "neutral to earth")) if pair not in dict(of.fell)]
    if not of.now:
        return f"{of.read}, as found only, not at this stage"
    said = f"; not read: {', '.join(lacking)}" if lacking else ", not as it should be: read all three again"
    return f"{of.read}{said}"


RULES = (supply_voltages_wrong, point_voltages_wrong)
