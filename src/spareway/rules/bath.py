"""Rules of rooms with a bath or shower. Which thing stands in which zone is asked of a person's eyes."""
from __future__ import annotations

from spareway.design.bath import bath_in, everything_placed, rooms_served, sockets_in, sockets_unplaced
from spareway.design.circuit import CircuitDesign
from spareway.design.design import Design
from spareway.rules.base import Answer, all_of, at_least, at_most, does_not_apply, rule
from spareway.tables import look_up


@rule("BA1", about="circuit", breach="fails", clause="701.411.3.3", since="17")
def bath_circuit_without_residual(circuit: CircuitDesign, design: Design) -> Answer:
    """A circuit that serves a room with a bath or shower has no residual-current protection of 30 mA.

    Why: wet skin and bare feet let through what a dry hand would not.
    Remedial: a residual-current device of 30 mA for every circuit that serves that room.
    Fires on: rooms.wash = { bath = true }
      equipment.radiator.room = "wash"
      circuits.warmth.device = { kind = "mcb", curve = "B", rating_a = 16 }
    Passes on: rooms.wash = { bath = true }
      equipment.radiator.room = "wash"
    """
    answer = at_most(circuit.residual_ma, look_up("thresholds", design.books, design.case("bath_residual_ma")))
    if answer.ok:
        return answer
    if circuit.is_submain:
        return does_not_apply("a submain; the circuits of its board are asked")
    if not circuit.residual_ma.known and design.has_residual(circuit) is False:
        answer = Answer(False, "no residual-current device is recorded before it", (circuit.residual_ma,))
    served = rooms_served(circuit, design)
    baths = {room: bath_in(room, design) for room in served}
    wet = [room for room, bath in baths.items() if bath is not None and bath.amount is True]
    if wet:
        return Answer(answer.ok, f"{answer.says}; it serves {', '.join(wet)}", answer.facts, answer.relation)
    if "shower" in circuit.feeds:
        return Answer(answer.ok, f"{answer.says}; it feeds a shower", answer.facts, answer.relation)
    unsure = [room for room, bath in baths.items() if bath is None or not bath.known]
    if unsure:
        return Answer(None, f"Not known: whether a bath or shower is in {', '.join(unsure)}")
    if not everything_placed(circuit, design):
        return Answer(None, "Not known: which rooms it serves, so nor whether one of them has a bath or shower")
    return does_not_apply(f"no bath or shower is in {', '.join(served)}")


@rule("BA2", about="installation", breach="fails", clause="701.512.3", since="17")
def socket_near_bath(design: Design, _: Design) -> Answer:
    """A socket outlet stands too near to a bath or shower.

    Why: whatever is plugged in reaches the water.
    Remedial: take it out or move it; a shaver supply unit of the right kind is another matter.
    Fires on: rooms.wash = { bath = true }
      circuits.plugs.points.p1 = { from = "way.a", length_m = 10, feeds = "sockets", room = "wash", from_zone_1_m = 1.5 }
    Passes on: rooms.wash = { bath = true }
      circuits.plugs.points.p1 = { from = "way.a", length_m = 10, feeds = "sockets", room = "wash", from_zone_1_m = 3.2 }
    """
    least = look_up("bath_zones", design.books, design.case("socket outlet, beyond zone 1"))
    answers, unsure = [], []
    for name, room in design.inst.rooms.items():
        for at, distance in sockets_in(name, design):
            asked = at_least(distance, least)
            if room.bath.amount is True:
                answers.append(Answer(asked.ok, f"{asked.says} ({at})", asked.facts, asked.relation))
            elif not room.bath.known and not asked.ok:
                unsure.append(name)
    if unsure:
        answers.append(Answer(None, f"Not known: whether a bath or shower is in {', '.join(dict.fromkeys(unsure))}, where sockets are"))
    wet, loose = [name for name, room in design.inst.rooms.items() if room.bath.amount is not False], sockets_unplaced(design)
    if wet and loose:
        answers.append(Answer(None, f"Not known: in which rooms socket outlets of {', '.join(loose)} stand; a bath or shower is, or may "
                              f"be, in {', '.join(wet)}"))
    return all_of(answers) if answers else does_not_apply("no socket outlet is recorded in a room that has, or may have, a bath or shower")


RULES = (bath_circuit_without_residual, socket_near_bath)
