"""Rules of surge devices: the path to earth, the leads, what backs them up, what they cannot reach."""
from __future__ import annotations

from spareway.design.design import Design
from spareway.design.guards import met_before
from spareway.design.surge import SurgeDesign
from spareway.rules.base import Answer, all_of, at_least, at_most, cannot_tell, does_not_apply, is_one_of, rule
from spareway.tables import look_up


@rule("SP1", about="surge device", breach="fails", clause="534.4.8; 534.4.10; 542")
def no_path_to_earth(surge: SurgeDesign, design: Design) -> Answer:
    """From the earth terminal of the surge device no metal leads to the earth of the supply.

    Why: a surge then has nowhere to go, everything else works, and no circuit test shows it.
    Remedial: an earthing conductor from the device's earth terminal to the main earthing terminal, as short as it can be.
    Fires on: remove = ["runs.earth-3"]
    Passes on: runs.earth-3.length_m = 0.3
    """
    if surge.earthed is None:
        return Answer(None, "Not known: an end that was not traced, or an earthing that is not known, lies on the way")
    return Answer(surge.earthed, f"its earth path reaches the supply's earth from {surge.earth}" if surge.earthed
                  else f"{surge.earth_stops_at}")


@rule("SP2", about="surge device", breach="fails", clause="534.4.4.2; 443.6.2")
def level_above_withstand(surge: SurgeDesign, design: Design) -> Answer:
    """What a surge leaves behind the device and its leads is more than the equipment withstands.

    Why: each metre of lead adds about a kilovolt to what the equipment sees.
    Remedial: shorter leads, run through the device's own terminals, or a device with a lower protection level.
    Fires on: equipment.arrester.lead_line_m = 1.2
    Passes on: equipment.arrester.lead_line_m = 0.2
    """
    return at_most(surge.effective_kv, surge.withstand_kv)


@rule("SP3", about="surge device", breach="advice", clause="534.4.8")
def leads_longer_than_preferred(surge: SurgeDesign, design: Design) -> Answer:
    """The leads of the surge device are longer than is preferred.

    Why: length is voltage.
    Remedial: move the device or take the conductors through its own terminals.
    Fires on: equipment.arrester.lead_earth_m = 0.45
    Passes on: equipment.arrester.lead_earth_m = 0.3
    """
    return at_most(surge.leads_m, look_up("thresholds", design.books, design.case("surge_lead_preferred_m")))


@rule("SP4", about="surge device", breach="fails", clause="534.4.8")
def leads_too_long(surge: SurgeDesign, design: Design) -> Answer:
    """The leads of the surge device are longer than is ever allowed.

    Why: at that length the device protects little.
    Remedial: move the device or take the conductors through its own terminals.
    Fires on: equipment.arrester.lead_earth_m = 0.9
    Passes on: equipment.arrester.lead_earth_m = 0.8
    """
    return at_most(surge.leads_m, look_up("thresholds", design.books, design.case("surge_lead_limit_m")))


@rule("SP5", about="surge device", breach="fails", clause="534.4.5", authority="maker")
def fuse_above_makers_limit(surge: SurgeDesign, design: Design) -> Answer:
    """The fuse ahead of the surge device is larger than its maker allows, and nothing else backs it up.

    Why: a device that fails short must be cut off before it burns.
    Remedial: a fuse or breaker of its own as the maker states.
    Fires on: equipment.arrester.max_fuse_a = 40
    Passes on: equipment.arrester.max_fuse_a = 63
    """
    return at_most(design.supply.fuse_a, surge.thing.max_fuse_a)


@rule("SP6", about="surge device", breach="fails", clause="534.4.5", authority="maker")
def fault_above_short_circuit_rating(surge: SurgeDesign, design: Design) -> Answer:
    """The fault current here is more than the short-circuit rating of the surge device.

    Why: it may burst before its fuse opens.
    Remedial: a device of higher rating, or a fuse of its own that limits the current, as the maker states.
    Fires on: equipment.arrester.isccr_ka = 0.5
    Passes on: equipment.arrester.isccr_ka = 10
    """
    return at_least(surge.thing.isccr_ka, design.supply.fault_ka)


@rule("SP7", about="surge device", breach="advice", clause="534.4.9")
def far_from_what_it_protects(surge: SurgeDesign, design: Design) -> Answer:
    """What the surge device protects is so far off that a second device is worth considering there.

    Why: a surge can double on a long cable behind the device.
    Remedial: a second surge device in the far board.
    Fires on: equipment.arrester.distance_m = 14
    Passes on: equipment.arrester.distance_m = 9
    """
    return at_most(surge.thing.distance_m, look_up("thresholds", design.books, design.case("surge_distance_m")))


@rule("SP8", about="surge device", breach="fails", clause="534.4.3; 534.4.6", since="18")
def connection_wrong_for_tt(surge: SurgeDesign, design: Design) -> Answer:
    """On a TT supply the surge device ahead of the residual-current device is not of connection CT2.

    Why: an element that fails short would hold the earthing near line voltage, and nothing would open.
    Remedial: a device with its neutral to earth element apart (CT2).
    Fires on: supplies.main.earthing = "TT"
      equipment.arrester.connection = "CT1"
    Passes on: supplies.main.earthing = "TT"
      equipment.arrester.connection = "CT2"
    """
    earthing = design.supply.earthing
    if earthing.known and earthing.amount != "TT":
        return does_not_apply(f"the supply is {earthing}")
    answer = is_one_of(surge.thing.connection, "CT2")
    return answer if earthing.known else all_of([answer, Answer(None, "Not known: the earthing of the supply", (earthing,))])


@rule("SP9", about="installation", breach="advice", clause="443.4", since="18A2")
def no_surge_device(design: Design, _: Design) -> Answer:
    """No surge device is recorded in this installation, and the owner declined one.

    Why: without one a surge from outside reaches everything plugged in; an owner may decline it, in writing, and silence is no refusal.
    Remedial: a Type 2 device at the origin, or the owner's refusal recorded with name, date and reason.
    Fires on: equipment.arrester = { kind = "isolator-2p", rating_a = 100, marks = "none" }
      runs.feed-2.joins = ["meter.out", "arrester.top"]
      runs.feed-3.joins = ["arrester.bottom", "unit.in"]
      remove = ["runs.earth-3"]
      decisions.none = { about = "SP9 installation", choice = "declined", who = "owner", on = 2026-11-27, why = "cost" }
    Passes on: equipment.arrester.max_fuse_a = 80
    """
    if design.surges:
        return Answer(True, f"recorded: {', '.join(design.surges)}")
    if not design.boards:
        return does_not_apply("no board is recorded")
    refused = [d for d in design.inst.about.decisions.values() if d.about == "SP9 installation" and d.choice == "declined"]
    if refused:
        return Answer(False, f"declined by {refused[0].who}")
    return Answer(None, "No surge device is recorded. Not known: whether the owner declined one in writing; no refusal is on record")


@rule("SP10", about="surge device", breach="fails", clause="534.4.4.3", since="17A1")
def continuous_voltage_low(surge: SurgeDesign, design: Design) -> Answer:
    """The greatest continuous voltage of the surge device is below what a supply may stand at.

    Why: a supply at its upper limit then wears it out in quiet service.
    Remedial: a device made for 1.1 times the nominal voltage and more.
    Fires on: equipment.arrester.uc_v = 230
    Passes on: equipment.arrester.uc_v = 255
    """
    return at_least(surge.thing.uc_v, look_up("thresholds", design.books, design.case("surge_uc_v")))


@rule("SP11", about="surge device", breach="fails", clause="534.4.10", since="2018")
def earth_lead_small(surge: SurgeDesign, design: Design) -> Answer:
    """The earth lead of the surge device is smaller than its type asks.

    Why: it carries the whole surge.
    Remedial: a larger earth lead, no longer than it has to be.
    Fires on: equipment.arrester.lead_mm2 = 4
    Passes on: equipment.arrester.lead_mm2 = 6
    """
    type_1, type_2 = (look_up("thresholds", design.books, design.case(f"surge_earth_type_{n}_mm2")) for n in (1, 2))
    size, of = surge.thing.lead_mm2, surge.thing.surge_type
    if at_least(size, type_1).ok:
        return at_least(size, type_1)
    if of.known:
        return at_least(size, type_1 if of.value.startswith("1") else type_2)
    answer = at_least(size, type_2)
    return answer if answer.ok is False else cannot_tell(*(f for f in (size, of) if not f.known))


@rule("SP12", about="surge device", breach="fails", clause="534.4.7", since="17A1")
def residual_device_before_surge_device(surge: SurgeDesign, design: Design) -> Answer:
    """A residual-current device without time delay stands before the surge device.

    Why: the surge that the device leads off to earth trips it, and the home goes dark in the storm.
    Remedial: the surge device before it, or a device of type S, which stands such surges.
    Fires on: equipment.front = { kind = "rcd-before-all", rating_a = 100, residual_ma = 100, residual_type = "A", delayed = false, one_way = false, damage = "none" }
      runs.feed-2.joins = ["meter.out", "front.in"]
      runs.feed-4 = { joins = ["front.out", "arrester.top"], kind = "tails", size_mm2 = 25, length_m = 0.3, method = "C" }
    Passes on: equipment.arrester.uc_v = 255
    """
    guards = met_before(surge.live[0], design)
    if guards is None:
        return Answer(None, "Not known: no line leads to it in the record")
    prompt = [g.name for g in guards if g.delayed.amount is False]
    if prompt:
        return Answer(False, f"{', '.join(prompt)}", tuple(g.delayed for g in guards))
    gaps = [g.delayed for g in guards if not g.delayed.known]
    return cannot_tell(*gaps) if gaps else Answer(True, "none without delay stands before it", tuple(g.delayed for g in guards))



RULES = (no_path_to_earth, level_above_withstand, leads_longer_than_preferred, leads_too_long, fuse_above_makers_limit,
         fault_above_short_circuit_rating, far_from_what_it_protects, connection_wrong_for_tt, no_surge_device,
         continuous_voltage_low, earth_lead_small, residual_device_before_surge_device)
