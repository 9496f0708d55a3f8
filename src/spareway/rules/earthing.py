"""Rules of earthing and bonding: what is seen against what was measured, and the sizes of conductors."""
from __future__ import annotations

from spareway.design.design import Design
from spareway.design.run import RunDesign
from spareway.design.supply import SupplyDesign
from spareway.job.types import LIES, Equipment
from spareway.rules.base import Answer, all_of, at_least, at_most, best_of, cannot_tell, does_not_apply, not_looked_at, rule
from spareway.tables import look_up

FROM_NETWORK = ("TN-S", "TN-C-S", "TN-C")


@rule("EA1", about="supply", breach="stop", clause="411.4; ESQCR 2002 reg 24", authority="common practice")
def earth_may_be_lost(supply: SupplyDesign, design: Design) -> Answer:
    """The measured Ze is so high that the service fuse may never open on a fault to earth: the network's earth may be lost.

    Why: every piece of earthed metal in the home may rise to line voltage and stay there; on a combined supply the neutral may be gone too.
    Remedial: leave it off if it is off, keep people away from metalwork, call the network operator on 105 and stay until told otherwise.
    Fires on: supplies.main.ze_ohm = { measured = 2.8 }
      supplies.main.earthing = "TN-C-S"
    Passes on: supplies.main.ze_ohm = { measured = 0.34 }
    """
    if supply.earthing.known and supply.earthing.amount not in FROM_NETWORK:
        return does_not_apply(f"the network offers no earth on {supply.earthing}")
    measured = supply.ze_ohm.by("measured")
    if not supply.ze_ohm.known and "over range" in supply.ze_ohm.note and supply.earthing.known:
        return Answer(False, f"Ze {supply.ze_ohm.note}", (supply.ze_ohm,))
    if not measured.known:
        return cannot_tell(supply.ze_ohm if not supply.ze_ohm.known else measured)
    if not supply.fuse_a.known:
        return cannot_tell(supply.fuse_a)
    return at_least(supply.fault_le_a, supply.fusing_a)


@rule("EA2", about="supply", breach="fails", clause="411.3; network operator's declared value", authority="network operator")
def ze_above_declared(supply: SupplyDesign, design: Design) -> Answer:
    """The measured Ze is more than networks declare for the earthing that is seen.

    Why: either the earthing is not what it looks like, or it is failing.
    Remedial: not while a stop stands at this supply: with everything isolated and proved dead, read it again with the earthing conductor off; then ask the operator.
    Fires on: supplies.main.ze_ohm = { measured = 0.5 }
      supplies.main.earthing = "TN-C-S"
    Passes on: supplies.main.ze_ohm = { measured = 0.34 }
      supplies.main.earthing = "TN-C-S"
    """
    if supply.earthing.known and supply.earthing.amount not in FROM_NETWORK:
        return does_not_apply(f"the network declares no earth on {supply.earthing}")
    measured = supply.ze_ohm.by("measured")
    if not measured.known:
        return cannot_tell(supply.ze_ohm if not supply.ze_ohm.known else measured)
    if not supply.earthing.known:
        return cannot_tell(supply.earthing)
    usual = at_most(measured, supply.ze_declared_ohm)
    said = [own for how in ("enquiry", "declared") if (own := supply.ze_ohm.by(how)).known]
    return all_of([usual, *(at_most(measured, own) for own in said)])


@rule("EA3", about="supply", breach="advice", clause="411.5; 542.1", authority="common practice")
def tt_reads_like_network_earth(supply: SupplyDesign, design: Design) -> Answer:
    """The supply is called TT but the loop reads as low as a network's earth.

    Why: some other earth is joined in, often a neighbour's or the network's own through a pipe; that is not an electrode to rely on.
    Remedial: with the supply isolated and proved dead, read the electrode by itself, every bond off it, and find what else it is joined to.
    Fires on: supplies.main.earthing = "TT"
      supplies.main.ze_ohm = { measured = 0.3 }
    Passes on: supplies.main.earthing = "TT"
      supplies.main.ze_ohm = { measured = 80 }
    """
    if supply.earthing.known and supply.earthing.amount != "TT":
        return does_not_apply(f"the supply is {supply.earthing}")
    measured = supply.ze_ohm.by("measured")
    if not measured.known or not supply.earthing.known:
        return cannot_tell(*(f for f in (supply.earthing, measured) if not f.known))
    return at_least(measured, look_up("thresholds", design.books, design.case("tt_least_plausible_ohm")))


@rule("EA4", about="run", breach="fails", clause="543.1.1; 543.1.4 Table 54.7; 542.3.1 Table 54.1")
def earthing_conductor_small(run: RunDesign, design: Design) -> Answer:
    """The earthing conductor is smaller than the table and the heat of a fault ask, or to an electrode than how it lies asks.

    Why: it carries the whole fault until the service fuse opens; in the ground corrosion and a spade may part it.
    Remedial: a larger earthing conductor, the table's size unless a calculation is filed; to an electrode one with a sheath, out of reach of knocks.
    Fires on: runs.earth-1.size_mm2 = 4
    Passes on: runs.earth-1.size_mm2 = 16
    """
    if not design.is_earthing_conductor(run) and not _lands(run, design, "earth"):
        return does_not_apply("not the earthing conductor")
    if not design.supply.earthing.known:
        return cannot_tell(design.supply.earthing)
    if design.supply.earthing.amount not in FROM_NETWORK:
        return _to_an_electrode(run, design)
    either = best_of([at_least(run.run.size_mm2, run.earthing_needed_mm2), at_least(run.run.size_mm2, run.by_table_mm2)])
    if design.supply.earthing.amount == "TN-C-S":
        return all_of([either, at_least(run.run.size_mm2, run.bond_needed_mm2)])
    return either


def _lands(run: RunDesign, design: Design, what: str) -> bool:
    """Whether an end lies at the earth of a cut-out or an electrode, or at a pipe that comes in, whatever the run is called."""
    ends = [(end, design.kind_of(end.partition(".")[0])) for end in run.run.joins if end.partition(".")[0] in design.inst.equipment]
    if what == "pipe":
        return any(of.name == "service-pipe" for _, of in ends)
    return any(of.family == "earth" and of.sources or of.family == "cut-out" and end.partition(".")[2] == "earth" for end, of in ends)


def _to_an_electrode(run: RunDesign, design: Design) -> Answer:
    """To an electrode little current flows; corrosion and knocks decide: the table's row for copper, by where and how it lies."""
    rows = {lies: look_up("earthing_conductor", design.books, design.case(f"{lies}, copper")) for lies in LIES}
    own = run.run.lies
    if own.amount is not None:
        answer = at_least(run.run.size_mm2, rows[own.amount])
        return Answer(answer.ok, f"{answer.says}: {own}", (*answer.facts, own), answer.relation)
    each = {lies: at_least(run.run.size_mm2, row) for lies, row in rows.items()}
    if all(answer.ok is True for answer in each.values()) or all(answer.ok is False for answer in each.values()):
        worst = max if each[LIES[0]].ok else min
        return at_least(run.run.size_mm2, worst(rows.values(), key=lambda row: row.value))
    if not run.run.size_mm2.known:
        return cannot_tell(run.run.size_mm2, own)
    asked = "; ".join(f"{lies} {row}" for lies, row in rows.items())
    return Answer(None, f"Not known: where it lies and what keeps corrosion and knocks off it ({own.note or 'not recorded'}). It is of "
                  f"{run.run.size_mm2}; the table asks, by that: {asked}", (run.run.size_mm2, own))


@rule("EA5", about="run", breach="fails", clause="544.1.1 Table 54.8")
def bond_small(run: RunDesign, design: Design) -> Answer:
    """A main bond is smaller than is asked.

    Why: under a broken neutral it carries current that is nobody's fault current.
    Remedial: a bond of the next standard size; an old one found cool and sound may be kept where the designer says so and signs.
    Fires on: runs.bond-1.size_mm2 = 6
    Passes on: runs.bond-1.size_mm2 = 10
    """
    if run.run.kind != "bond" and not _lands(run, design, "pipe"):
        return does_not_apply("not a bond")
    return at_least(run.run.size_mm2, run.bond_needed_mm2)


@rule("EA6", about="supply", breach="advice", clause="411.3.2.3 Table 41.4", authority="common practice")
def service_fuse_slow_on_tails(supply: SupplyDesign, design: Design) -> Answer:
    """A fault to earth where the supply comes in, or on short tails from there, may not open the service fuse within 5 s.

    Why: a Ze within what is declared may still be above what that fuse wants; it is no failure of the supply, but tails rest on it. Of longer ones SV2 asks.
    Remedial: keep the tails short and well kept from harm, or protect them by a device of their own at the intake.
    Fires on: supplies.main.ze_ohm = { measured = 0.79 }
    Passes on: supplies.main.ze_ohm = { measured = 0.3 }
    """
    if supply.earthing.amount == "IT":
        return Answer(None, "Not known: an IT system is recorded and not judged", (supply.earthing,))
    if supply.earthing.known and supply.earthing.amount not in FROM_NETWORK:
        return does_not_apply(f"on {supply.earthing} a residual-current device clears faults to earth")
    return at_most(supply.ze_ohm, supply.ze_fuse_limit_ohm)


@rule("EA7", about="run", breach="fails", clause="543.1.3; 434.5.2")
def riser_cpc_too_hot(run: RunDesign, design: Design) -> Answer:
    """The protective conductor within a run that only the service fuse protects may get too hot before the fuse opens.

    Why: the fuse lets more energy through the slower it is.
    Remedial: a device at the foot of the run, a larger protective conductor, or the curve of that very fuse.
    Fires on: runs.feed-3 = { joins = ["arrester.bottom", "unit.in"], kind = "t&e", size_mm2 = 16, cpc_mm2 = 1.5, length_m = 40, method = "C" }
    Passes on: runs.feed-3 = { joins = ["arrester.bottom", "unit.in"], kind = "t&e", size_mm2 = 25, cpc_mm2 = 10, length_m = 4, method = "C" }
    """
    if not run.carries_load or not run.before or not run.protected_by_service_fuse or run.never_holds_earth:
        return does_not_apply("no protective conductor within it that only the service fuse protects")
    if not run.run.cpc_mm2.known:
        return cannot_tell(run.run.cpc_mm2)
    bound = at_least(run.cpc_withstand_a2s, run.energy_five_s_a2s)
    if bound.ok is not False:
        return bound
    sooner = at_least(run.longest_clear_s, run.fuse_opens_s)
    if sooner.ok:
        return sooner
    if at_least(run.fault_end_a, design.supply.five_s_a).ok is False:
        return at_least(run.cpc_withstand_a2s, run.energy_end_a2s)
    return Answer(None, f"{bound.says} at the fuse's 5 s point. At {run.fault_end_a} it holds for {run.longest_clear_s}: not known "
                  "until the curve of that fuse says it opens sooner", (*bound.facts, run.fault_end_a, run.longest_clear_s))


@rule("EA8", about="supply", breach="fails", clause="411.3.1.1; 542.4", by_layout=True)
def no_earth_at_board(supply: SupplyDesign, design: Design) -> Answer:
    """No metal leads from the earth bar of a board to the earth of the supply or an electrode.

    Why: a fault to metalwork then clears by nothing.
    Remedial: leave it off until an earthing conductor joins it to the main earthing terminal and its continuity is measured.
    Fires on: remove = ["runs.earth-2"]
    Passes on: runs.earth-2.length_m = 3
    """
    if not design.boards:
        return does_not_apply("no board is recorded")
    return all_of([_reaches_earth(name, design) for name in design.boards])


def _reaches_earth(board: str, design: Design) -> Answer:
    """Yes only by conductors that somebody saw."""
    ok, says = design.earth_answer(board)
    if ok and design.runs_not_looked_at and not design.as_looked_at.earth_answer(board)[0]:
        return not_looked_at(design.runs_not_looked_at)
    return Answer(ok, says)


@rule("EA9", about="supply", breach="advice", clause="411.5.3 Table 41.5, note", since="17")
def electrode_may_not_be_stable(supply: SupplyDesign, design: Design) -> Answer:
    """The loop through the electrode is so high that the electrode may not be stable.

    Why: soil dries and freezes; what clears a fault in a wet autumn may not in a dry summer.
    Remedial: a second or deeper electrode, and a reading in another season.
    Fires on: supplies.main.earthing = "TT"
      supplies.main.ze_ohm = { measured = 240 }
    Passes on: supplies.main.earthing = "TT"
      supplies.main.ze_ohm = { measured = 120 }
    """
    if supply.earthing.known and supply.earthing.amount != "TT":
        return does_not_apply(f"the supply is {supply.earthing}")
    answer = at_most(supply.ze_ohm, look_up("thresholds", design.books, design.case("electrode_stable_ohm")))
    return answer if supply.earthing.known or answer.ok else cannot_tell(supply.earthing)


@rule("EA10", about="equipment", breach="fails", clause="411.3.1.2; 544.1", since="17", by_layout=True)
def incoming_metal_not_bonded(thing: Equipment, design: Design) -> Answer:
    """A metal pipe or other metalwork that comes in from outside is not joined to the main earthing terminal.

    Why: in a fault it stands at one potential and the earthed metal beside it at another.
    Remedial: a main bond to it, within 600 mm of where it comes in and before any branch.
    Fires on: remove = ["runs.bond-1"]
    Passes on: runs.bond-1.length_m = 4
    """
    if thing.kind != "service-pipe":
        return does_not_apply("nothing that comes in from outside")
    if thing.material.amount in ("plastic", "wood"):
        return does_not_apply(f"it is of {thing.material}: nothing to bond where no metal comes in")
    clamp = [f"{thing.name}.clamp.E"]
    joined = design.network.joined(clamp, "E")
    if joined is None:
        return Answer(None, "Not known: an end that was not traced, or an earthing that is not known, lies on the way")
    if joined and design.runs_not_looked_at and not design.as_looked_at.network.joined(clamp, "E"):
        return not_looked_at(design.runs_not_looked_at)
    return Answer(joined, "metal leads from its clamp to the earth of the supply" if joined else "no metal leads from its clamp to it")


@rule("EA11", about="installation", breach="unknown", clause="411.4; 411.5; 542.1", authority="common practice", by_layout=True)
def earthing_of_outbuilding(design: Design, _: Design) -> Answer:
    """An outbuilding has an earthing arrangement of its own, which is recorded here and not judged.

    Why: what is said of loops and devices rests on the earthing of the first supply, and theirs is another.
    Remedial: have its electrode, its residual-current devices and what it shares with the house judged by other means.
    Fires on: earthing.shed = { kind = "TT", electrode_ohm = 90 }
    Passes on: supplies.main.earthing = "TN-S"
    """
    own = [f"earthing.{e.name} ({e.kind}{f', {e.electrode_ohm}' if e.electrode_ohm.known else ''})" for e in design.inst.earthing.values()]
    return Answer(not own, f"{', '.join(own)}" if own else "no other earthing arrangement is recorded")


RULES = (earth_may_be_lost, ze_above_declared, tt_reads_like_network_earth, earthing_conductor_small, bond_small,
         service_fuse_slow_on_tails, riser_cpc_too_hot, no_earth_at_board,
         electrode_may_not_be_stable, incoming_metal_not_bonded, earthing_of_outbuilding)
