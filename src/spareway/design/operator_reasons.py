"""Why a network operator is applied to, asked or told: demand, its own equipment, sources, tails behind its fuse."""
from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from spareway.design.around import HEATERS
from spareway.design.load import CHARGING
from spareway.design.operator import APPLY, ASK, NEITHER, NOTHING_KNOWN, NOTIFY, Reason
from spareway.design.operators_things import defects
from spareway.design.recorded import SINCE
from spareway.doc import Trail, trail
from spareway.fact import Fact, apart, glossary, total, unknown
from spareway.kinds import kind
from spareway.tables import look_up

if TYPE_CHECKING:
    from spareway.design.design import Design
    from spareway.design.operator import OperatorDesign

__all__ = ["every"]

ABOVE, WITHIN = "demand of a home above the threshold", "demand of a home within the threshold"
FUSE = "demand above the service fuse"
HEATING = "fixed electric heating, the rest known"
LOOP, CONCERN, UNMETERED = "service loops on to a neighbour", "concern about the service equipment", "unmetered supply"
NO_FUSE, NO_EARTH = "service fuse not known", "earthing or phases not known"
UP_TO, OVER, ISLAND = ("sources within the limit of a phase", "sources above the limit of a phase",
                       "source that keeps a part live by itself")
LOOPS_ON = "the service loops on to a neighbour"
TAILS = "tails longer than the operator accepts"
KEEPS_LIVE = ("battery-inverter-backup",)


def every(of: OperatorDesign) -> Iterator[Reason]:
    """All of them. What is only asked before work is left out where the record says no work."""
    yield from _concerns(of)
    if not of.touched:
        yield from [*_overloaded(of)] or [_nothing_proposed(of)]
        return
    yield from _service(of)
    yield from _demand(of)
    yield from _sources(of)
    yield from _tails(of)


def _nothing_proposed(of: OperatorDesign) -> Reason:
    """No work on record: nothing to ask about where the home is known, and nothing that can be told where it is not."""
    fuse, says, left = of.design.supply.fuse_a, "nothing is added or changed by the record", of.design.demand.ways_unsaid
    if fuse.known and of.design.circuits and not left:
        return Reason("", NEITHER, "demand", says, of.name)
    gap = _why(fuse) if not fuse.known else "; ".join(map(_why, left)) if of.design.circuits else "no circuit is recorded"
    return Reason("", NOTHING_KNOWN, "demand", f"{says}, and too little of the home is known: {gap}", of.name, (fuse, *left))


At = tuple[str, ...]


def _reason(of: OperatorDesign, case: str, topic: str, says: str, *facts: Fact[Any], at: At = (), wants: str = "") -> Reason:
    """A reason by its row; `wants` where not the row but what is not known, or what disagrees, decides."""
    row = of.row(case)
    return Reason(case, wants or row.value, topic, says, row, facts, at or tuple(f.at for f in facts if f.at),
                  is_of_one=case == ISLAND, wants_figure=case == FUSE)


def _beside(value: Fact[Any], limit: Fact[Any], words: str) -> str:
    """`demand 82.0 A, above 60 A`: the two with as many digits as part them."""
    left, right = apart(value.value, limit.value)
    unit = glossary(value.name).unit
    return f"{left} {unit}, {words} {right} {unit}"


def _why(fact: Fact[Any]) -> str:
    """What lacks of a figure, and why."""
    gaps = fact.missing() or [fact]
    said = [f"{glossary(g.name).says}{f' ({g.at})' if g.at else ''}: {g.note or 'not recorded'}" for g in gaps]
    return "; ".join(dict.fromkeys(said))


# ---- demand ---------------------------------------------------------------------------------------------------------
def _demand(of: OperatorDesign) -> Iterator[Reason]:
    """Against the threshold and against the fuse; where it is within both, what is added says whether it is told."""
    if not of.added:
        yield from [*_overloaded(of)] or [Reason("", NEITHER, "demand", "the work adds nothing that takes current", of.name)]
        return
    at = tuple(part[0] for part in of.added)
    found = [*_against(of, of.threshold_a, ABOVE, "demand", at)]
    fuse = of.design.supply.fuse_a
    if fuse.known and fuse.value != of.threshold_a.value:                  # one figure is judged once
        found += [*_against(of, fuse, FUSE, "service fuse", at)]
    yield from found
    if not found:
        yield _within(of, at)


def _against(of: OperatorDesign, limit: Fact[float], case: str, topic: str, at: At) -> Iterator[Reason]:
    """Above by the book, by the record, by both; or not known. Two figures that disagree are asked about."""
    book, seen = of.by_book_a, of.recorded.against(limit)
    low = book if book.known else of.design.demand.book_least_a
    above = low.value > limit.value
    if seen.known and seen.value > limit.value:
        yield _reason(of, case, topic, f"recorded, {_since(of, seen)}: {_beside(seen, limit, 'above')}", seen, limit, at=at)
    elif above and seen.known:
        says = f"by the book {_beside(low, limit, 'above')}; recorded {_beside(seen, limit, 'within')}: the two figures disagree"
        yield _reason(of, case, topic, says, low, limit, seen, at=at, wants=ASK)
    elif above:
        rest = "" if book.known else f", and more: {_why(book)}"
        says = f"by the book {_beside(low, limit, 'above')}{rest}; recorded: {seen.note or _why(seen)}"
        yield _reason(of, case, topic, says, low, limit, at=at)
    elif not book.known:
        yield _reason(of, case, topic, f"demand is not known. {_why(book)}", book, limit, at=at, wants=ASK)


def _since(of: OperatorDesign, seen: Fact[float]) -> str:
    since = of.recorded.since(seen)
    return "with what is connected since" if since == SINCE else since


def _overloaded(of: OperatorDesign) -> Iterator[Reason]:
    """The home as it stands, where a logger saw more than the service fuse is rated for: the fuse is the operator's."""
    fuse = of.design.supply.fuse_a
    seen = of.recorded.against(fuse)
    if fuse.known and seen.known and seen.value > fuse.value:
        says = f"recorded, {_since(of, seen)}: {_beside(seen, fuse, 'above')}"
        says = f"nothing is added, and its fuse is overloaded as it is: {says}"
        yield _reason(of, FUSE, "service fuse", says, seen, fuse, at=(of.design.supply.at,), wants=ASK)


def _within(of: OperatorDesign, at: tuple[str, ...]) -> Reason:
    """Demand within threshold and fuse: vehicle charging is told afterwards, heating where the operator wants to know of it."""
    says = f"by the book {_beside(of.by_book_a, of.threshold_a, 'within')}"
    figures = of.by_book_a, of.threshold_a
    kinds = {what for _, what, _ in of.added}
    if charging := kinds & {*CHARGING}:
        return _reason(of, WITHIN, "demand", f"{says}, with {', '.join(sorted(charging))} added", *figures, at=at)
    if not kinds & {*HEATERS}:
        return _reason(of, HEATING, "demand", f"{says}; neither charging nor heating is added", *figures, at=at)
    told = of.term("told_of_heating")
    if of.own is not None and told.amount is not False:
        says += "; this operator wants to be told of heating" if told.known else \
            "; whether this operator wants to be told of heating is not known"
        return Reason(HEATING, NOTIFY if told.known else ASK, "demand", says, of.row(HEATING), (*figures, told), at)
    return _reason(of, HEATING, "demand", f"{says}; heating is added, which has no form of its own", *figures, at=at)


# ---- its own equipment ----------------------------------------------------------------------------------------------
def _service(of: OperatorDesign) -> Iterator[Reason]:
    """What must be known of the service before anything is added."""
    design, supply = of.design, of.design.supply
    if not supply.fuse_a.known:
        yield _reason(of, NO_FUSE, "service fuse", _why(supply.fuse_a), supply.fuse_a, at=(supply.at,))
    looped = supply.supply.looped
    if looped.amount is not False:
        yield _loop(of, looped)
    if not any(kind(thing.kind).family == "meter" and thing.kind != "time-switch" for thing in design.inst.equipment.values()):
        gap = unknown("metered", "no meter is in the record", at=supply.at)
        yield _reason(of, UNMETERED, "earthing", "no meter is in the record: is the supply metered?", gap)
    for fact in (supply.earthing, supply.supply.phases_n):
        if fact.name == "earthing" and not fact.known:
            yield _reason(of, NO_EARTH, "earthing", _why(fact), fact)
        elif fact.name == "phases_n" and fact.amount != 1:
            says = f"phases: {fact}; demand and sources on each are not worked out here" if fact.known else _why(fact)
            yield _reason(of, NO_EARTH, "earthing", says, fact)


def _loop(of: OperatorDesign, looped: Fact[bool]) -> Reason:
    """A loop that is there, as this operator wants it; one that nobody looked for is asked about."""
    if not looped.known:
        return _reason(of, LOOP, "looped service", _why(looped), looped)
    way = of.term("looped")
    if way.amount == "part the loop first":
        says = f"{LOOPS_ON}; this operator parts the loop before anything is added"
        return Reason(LOOP, APPLY, "looped service", says, of.row(LOOP), (looped, way), (looped.at,))
    return _reason(of, LOOP, "looped service", LOOPS_ON, looped)


def _concerns(of: OperatorDesign) -> Iterator[Reason]:
    """What is wrong with the operators' equipment, by the record, and what nobody looked at before work."""
    for defect in defects(of.design):
        yield _reason(of, CONCERN, "repair", defect.says, *defect.facts, at=(defect.at,))
    if not of.touched:
        return
    for thing in of.design.inst.equipment.values():
        if kind(thing.kind).family == "cut-out" and not thing.damage.known:
            says = "whether the cut-out shows heat or harm is not recorded"
            yield _reason(of, CONCERN, "repair", says, thing.damage)


# ---- sources --------------------------------------------------------------------------------------------------------
def _sources(of: OperatorDesign) -> Iterator[Reason]:
    """All sources together, where the work adds one; one that keeps a part of the home live is applied for whatever its size."""
    design, there = of.design, _generating(of.design)
    if not any(of.in_work(at, ("kind", "item", "feeds", "rating_a")) for at, _ in there.values()):
        return
    ratings, limit = [rating for _, rating in there.values()], look_up("thresholds", of.books, design.case("sources_notify_a"))
    together = total("sources_a", ratings, "every source together")
    sure = total("sources_a", [r for r in ratings if r.known], "the sources whose rating is known")
    at, names = tuple(".".join(where) for where, _ in there.values()), ", ".join(there)
    if sure.value > limit.value:
        yield _reason(of, OVER, "sources", f"{names}: {_beside(sure, limit, 'above')} a phase", sure, limit, at=at)
    elif not together.known:
        yield _reason(of, UP_TO, "sources", _why(together), together, limit, at=at, wants=ASK)
    else:
        yield _reason(of, UP_TO, "sources", f"{names}: {_beside(together, limit, 'within')} a phase", together, limit, at=at)
    for name in there:
        if name in design.inst.equipment and design.inst.equipment[name].kind in KEEPS_LIVE:
            says = f"{name} keeps a part of the home live when the network fails"
            yield _reason(of, ISLAND, "sources", says, together, limit, at=(f"equipment.{name}",))


def _generating(design: Design) -> dict[str, tuple[Trail, Fact[float]]]:
    """Every source that may run beside the network: where it is said, its rating. A generator behind a changeover does not."""
    found: dict[str, tuple[Trail, Fact[float]]] = {}
    for name in design.second_sources:
        thing = design.inst.equipment.get(name)
        if thing is not None:
            between = design.between_source_and_supply(name) or ()
            changed_over = any(n in design.inst.equipment and design.kind_of(n).one_of for n in between)
            if not (thing.kind == "generator-inlet" and changed_over):
                found[name] = ("equipment", name), thing.rating_a
        elif name not in design.inst.supplies:
            where = trail(f"circuits.{name.replace('.', '.points.', 1)}")
            found[name] = where, unknown("rating_a", "the rating of the source is not recorded", at=".".join(where))
    return found


# ---- tails ----------------------------------------------------------------------------------------------------------
def _tails(of: OperatorDesign) -> Iterator[Reason]:
    """The tails of each board from where the installation begins, as far as the service fuse alone protects them."""
    usual = look_up("thresholds", of.books, of.design.case("operator_tail_m"))
    own: Fact[float] = of.term("tail_m")
    limit = own if own.known else usual
    for board in of.design.boards.values():
        runs = [run for run in board.runs_before if run.carries_load and run.protected_by_service_fuse]
        if not runs:
            continue
        length, at = total("length_m", [run.length_m for run in runs], "one after another"), tuple(run.at for run in runs)
        if not length.known:
            yield _reason(of, TAILS, "tails", _why(length), length, limit, at=at)
        elif length.value > limit.value:
            says = f"to {board.thing.name}: {_beside(length, limit, 'beyond')}{_beyond(of)}"
            yield _reason(of, TAILS, "tails", says, length, limit, at=at)


def _beyond(of: OperatorDesign) -> str:
    """What this operator wants of longer ones, where that is on record."""
    wanted: Fact[str] = of.term("beyond_tails")
    if not wanted.known:
        return "; what the operator wants then is not on record"
    return f"; it wants a {wanted} then" if wanted.value.startswith("switch") else "; it wants to be asked then"
