"""Rules of demand: each figure against the service fuse, what "it never blew" is worth, and what a log is worth."""
from __future__ import annotations

from dataclasses import replace

from spareway.design import service
from spareway.design.around import HEATERS
from spareway.design.blown import how_long
from spareway.design.circuit import CircuitDesign
from spareway.design.demand import BOOK, GENERAL, OWN
from spareway.design.design import Design
from spareway.design.load import kinds_on
from spareway.design.recorded import LogDesign, is_heated
from spareway.design.supply import SupplyDesign
from spareway.fact import Fact
from spareway.rules.base import Answer, at_least, at_most, at_most_with, cannot_tell, does_not_apply, rule

NOT_FIRST = does_not_apply("all is worked out from the first supply")


def _of_first(supply: SupplyDesign, design: Design) -> bool:
    return supply.supply.name == design.supply.supply.name


@rule("DM1", about="supply", breach="advice", clause="311.1; On-Site Guide Table A2", authority="common practice")
def book_above_fuse(supply: SupplyDesign, design: Design) -> Answer:
    """By the book the home asks for more than its service fuse is rated for.

    Why: the book is an allowance, made for homes not heated by electricity alone; it settles nothing, but an operator asks for it.
    Remedial: record a cold week at the intake, cap the load, or ask the operator for more before anything is ordered.
    Fires on: circuits.oven.load_w = 60000
    Passes on: circuits.oven.load_w = 6000
    """
    if not _of_first(supply, design):
        return NOT_FIRST
    book = design.demand
    whole = at_most_with(book.book_least_a, book.book_a(), supply.fuse_a)
    if not book.book_a().known or not any(line.row == OWN for line in book.book()):
        return whole
    others = f"with heaters as heating and power {book.book_a(GENERAL)}; without any {book.book_a('')}"
    return replace(whole, says=f"{whole.says}; {others}")


@rule("DM2", about="supply", breach="fails", clause="132.2; 311.1; 433.1.1", authority="common practice")
def lasting_above_fuse(supply: SupplyDesign, design: Design) -> Answer:
    """Heaters, stored water and charging together are more than the service fuse is rated for.

    Why: after an outage, at a common start or on the coldest evening they are on at once and for hours, before anything is cooked.
    Remedial: a cap that sheds heaters, times that do not meet, or a raise of the fuse, which is the operator's.
    Fires on: equipment.radiator.stamped_w = 16000
    Passes on: equipment.radiator.stamped_w = 2500
    """
    demand = design.demand
    return at_most_with(demand.lasting_least_a, demand.lasting_a, supply.fuse_a) if _of_first(supply, design) else NOT_FIRST


@rule("DM3", about="supply", breach="advice", clause="311.1", authority="common practice")
def connected_above_fuse(supply: SupplyDesign, design: Design) -> Answer:
    """Every fixed appliance and lamp on at once is more than the service fuse is rated for.

    Why: that moment is rare, and what is plugged in comes on top of it; it is the most the fixed part can ask for.
    Remedial: know how often it comes near: record a cold week, or have the home simulated.
    Fires on: circuits.oven.load_w = 15000
    Passes on: circuits.oven.load_w = 6000
    """
    demand = design.demand
    return at_most_with(demand.connected_least_a, demand.connected_a, supply.fuse_a) if _of_first(supply, design) else NOT_FIRST


@rule("DM4", about="supply", breach="fails", clause="132.2; 311.1", authority="common practice")
def recorded_above_fuse(supply: SupplyDesign, design: Design) -> Answer:
    """The highest recorded minute, with what was added since, is more than the service fuse is rated for.

    Why: what was drawn once is drawn again; a fuse above its rating ages, and opens on the evening it is wanted.
    Remedial: cap the load or ask the operator for more; without a log that may be relied on the figure is not known.
    Fires on: logs.week.highest_a = 61
    Passes on: logs.week.highest_a = 41
    """
    return at_most(design.recorded.against(supply.fuse_a), supply.fuse_a) if _of_first(supply, design) else NOT_FIRST


@rule("DM5", about="supply", breach="advice", clause="BS EN 60269-1; BS 1361", authority="common practice")
def never_blew_proves_nothing(supply: SupplyDesign, design: Design) -> Answer:
    """A figure of demand stands between the rating of the service fuse and what opens it: that it never blew is no evidence.

    Why: between what it holds and what opens it within hours a fuse may do either, and it ages by it.
    Remedial: go by a log of a cold week and not by the fuse; ask the operator, whose fuse it is.
    Fires on: logs.week.highest_a = 75
    Passes on: logs.week.highest_a = 41
    """
    if not _of_first(supply, design):
        return NOT_FIRST
    rating, opens, demand = supply.fuse_a, supply.fusing_a, design.demand
    if not rating.known or not opens.known:
        return cannot_tell(*(f for f in (rating, opens) if not f.known))
    figures: dict[str, Fact[float]] = {"by the book": demand.book_a(), "by the book, heaters as heating and power": demand.book_a(GENERAL),
                                       "lasting": demand.lasting_a, "recorded": design.recorded.against(rating)}
    between = {says: fact for says, fact in figures.items() if fact.known and rating.value < fact.value <= opens.value}
    held, time = supply.holds_a, how_long(supply.conventional_h)
    fuse = f"a fuse of {rating} holds {held if held.known else 'what no source here says'} and opens at {opens} within {time}"
    if between:
        return Answer(False, f"{', '.join(f'{says} {fact}' for says, fact in between.items())}; {fuse}", (*between.values(), rating, opens))
    known = [fact for fact in figures.values() if fact.known]
    if any(fact.value > opens.value for fact in known):
        return does_not_apply(f"a figure is above what opens it; {fuse}, and the rules of the figures say so")
    if unsaid := [fact for fact in figures.values() if not fact.known]:
        return cannot_tell(*unsaid)
    another = service.changed(design, supply.cutout) if supply.cutout is not None else None
    if another is not None and another[0] is not True:
        return Answer(None, f"Not known: no figure stands there by a fuse that is not known to be the operator's. {another[1]}", (rating, opens))
    return Answer(True, f"no figure stands there; {fuse}", (*known, rating, opens))


@rule("DM6", about="circuit", breach="advice", clause=BOOK, authority="common practice")
def heaters_counted_with_sockets(circuit: CircuitDesign, design: Design) -> Answer:
    """Fixed heaters hang on this circuit of sockets, where the book counts them with the sockets and not by themselves.

    Why: moved to circuits of their own they raise the demand by the book although not one ampere more is connected.
    Remedial: compare connected with connected and recorded with recorded; tell the operator what moved from which row to which.
    Fires on: circuits.plugs.points.p1 = { from = "way.a", feeds = "panel-heater", before = "fused-spur", spur_fuse_a = 13, load_w = 1500, length_m = 4 }
    Passes on: circuits.plugs.points.p1 = { from = "way.a", feeds = "sockets", length_m = 4 }
    """
    if not circuit.feeds_sockets:
        return does_not_apply("no circuit of sockets")
    found = kinds_on(circuit, HEATERS)
    return Answer(not found, ", ".join(found) or "no fixed heater is recorded on it")


@rule("DM7", about="log", breach="unknown", clause="311.1", authority="common practice")
def log_too_short(log: LogDesign, design: Design) -> Answer:
    """This log is shorter than a week, so what the home asks for on its other days is not known.

    Why: the washing, the bath and the roast each have their day, and the highest minute is made by those that meet.
    Remedial: log seven days and more, a row a minute.
    Fires on: logs.week.until = 2026-01-14
    Passes on: logs.week.until = 2026-01-19
    """
    return at_least(log.days_n, log.worth("days"))


@rule("DM8", about="log", breach="unknown", clause="311.1", authority="common practice")
def log_too_old(log: LogDesign, design: Design) -> Answer:
    """This log is old, so what the home asks for now is not known.

    Why: who lives there, what they cook on and what they charge has changed since.
    Remedial: log a week anew.
    Fires on: dates = { survey = "2029-01-14" }
    Passes on: dates = { survey = "2026-11-14" }
    """
    return at_most(log.years_n, log.worth("years"))


@rule("DM9", about="log", breach="unknown", clause="311.1", authority="common practice")
def log_of_mild_days(log: LogDesign, design: Design) -> Answer:
    """This log was made on mild days, so what the home asks for when it is cold is not known.

    Why: heaters that follow a thermostat are off most of a mild day, and on together on a cold one.
    Remedial: log a week in the cold months; write down the mean temperature outside with it.
    Fires on: logs.week.outside_c = 11
    Passes on: logs.week.outside_c = 3
    """
    if not is_heated(design):
        return does_not_apply("no fixed heater is recorded, so the weather moves little of it")
    return at_most(log.outside_c, log.worth("mean of a cold one"))


RULES = (book_above_fuse, lasting_above_fuse, connected_above_fuse, recorded_above_fuse, never_blew_proves_nothing,
         heaters_counted_with_sockets, log_too_short, log_too_old, log_of_mild_days)
