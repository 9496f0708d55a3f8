"""What is wrong with the network or meter operator's own equipment, by the record: seals, harm, covers, what a person saw.

It is theirs to put right. Nobody else opens, seals or changes any of it."""
from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import isclose
from typing import TYPE_CHECKING, Any

from spareway.design.guards import neutral_alone
from spareway.design.route import laid_m
from spareway.fact import Fact, glossary
from spareway.job.fields import specs
from spareway.job.rows import Observation, standing
from spareway.job.types import Equipment, Run
from spareway.kinds import kind

if TYPE_CHECKING:
    from spareway.design.design import Design

__all__ = ["KEEP_AWAY", "REPORT", "THEIR_EYES", "Change", "Defect", "changes", "defects", "endangering", "harmed", "is_operators",
           "is_theirs"]

DECLARED = ("TN-S", "TN-C-S")                  # what networks declare a greatest loop for
SEALED = ("cut-out", "meter")                    # families behind whose seals everything is the operators'
BAD_CODES = ("C1", "C2", "C3", "FI")
GRAVE_CODES = ("C1", "C2")
THEIR_EYES = ("EY1",)                            # what is looked at of theirs alone, wherever its answer says that it is
KEEP_AWAY = ("touch nothing of it, keep everybody away, and ring the network operator now (105); flames, smoke or a burning "
             "that goes on: everybody out, and ring the fire brigade, 999. It is the operator's: nobody else opens or mends it")
REPORT = "report it to the operator whose it is; nobody else opens or mends it"
STAGE_SAYS = {"proposed": "as proposed", "fitted": "as fitted"}
LANDS = ("size_mm2", "cpc_mm2")                  # of a run that ends on one of theirs: another one there opens its cover
NEAR = 1e-9                                      # a total of stretches and the same length written as one number


@dataclass(frozen=True, slots=True)
class Defect:
    """What is wrong, where, and the facts of the record that say so; `seen`: the row of a person who saw it."""
    at: str
    says: str
    facts: tuple[Fact[Any], ...] = ()
    seen: Observation | None = None


@dataclass(frozen=True, slots=True)
class Change:
    """What differs from what was found, of one of theirs or of a run that ends on it; now: the fact of today, where it is one."""
    at: str
    says: str
    now: Fact[Any] | None = None


def is_operators(thing: Equipment) -> bool:
    """Whether a thing is the network or meter operator's, by its kind or as it was seen."""
    return kind(thing.kind).family in SEALED or thing.owner.amount in ("network operator", "meter operator")


def defects(design: Design) -> list[Defect]:
    """Everything that the record holds against the operators' equipment, in its order."""
    theirs = {name: thing for name, thing in design.inst.equipment.items() if is_operators(thing)}
    return [*(each for name, thing in theirs.items() for each in _of(name, thing)), *_loops(design), *_seen(design)]


def harmed(design: Design) -> list[Defect]:
    """Those of the operators' things that are burnt, browned, cracked, wet or open, as they were recorded."""
    theirs = {name: thing for name, thing in design.inst.equipment.items() if is_operators(thing)}
    return [each for name, thing in theirs.items() for each in _harm(name, thing)]


def endangering(design: Design) -> list[Defect]:
    """What is wrong with the operators' things that may hurt somebody now: harm, and what a person saw and called dangerous."""
    rows = [row for row in standing(design.inst.observations) if is_theirs(row, design)]
    grave = [row for row in rows if row.code in GRAVE_CODES or row.eye in THEIR_EYES and row.answer == "no"]
    return [*harmed(design), *(_by_a_person(row) for row in grave)]


def is_theirs(row: Observation, design: Design) -> bool:
    """Whether a row is of the operators' equipment: by the thing it names, the supply itself, or what was looked at."""
    table, _, rest = row.where.partition(".")
    thing = design.inst.equipment.get(rest.partition(".")[0]) if table == "equipment" else None
    of_supply = table == "supplies" and row.code in GRAVE_CODES and not row.eye
    return row.eye in THEIR_EYES or of_supply or thing is not None and is_operators(thing)


def _of(name: str, thing: Equipment) -> Iterator[Defect]:
    at = f"equipment.{name}"
    if thing.seal.amount in ("missing", "broken"):
        yield Defect(at, f"the seal of {_the(name)} is {thing.seal}", (thing.seal,))
    elif thing.seal.amount == "none fitted" and kind(thing.kind).family in SEALED:
        yield Defect(at, f"no seal is fitted to {_the(name)}", (thing.seal,))
    yield from _harm(name, thing)
    fuse, carrier = thing.fuse_a.by("marked"), thing.carrier_a
    if fuse.known and carrier.known and fuse.value > carrier.value:
        yield Defect(at, f"a fuse marked {fuse} stands in a carrier of {carrier}", (fuse, carrier))
    if kind(thing.kind).family == "cut-out" and neutral_alone(kind(thing.kind)):
        yield Defect(at, f"{_the(name)} has a fuse in the neutral", ())


def _harm(name: str, thing: Equipment) -> Iterator[Defect]:
    at = f"equipment.{name}"
    if thing.damage.known and thing.damage.value != "none":
        yield Defect(at, f"{_the(name)} is {thing.damage}", (thing.damage,))
    if thing.water.amount is True:
        yield Defect(at, f"signs of water in {_the(name)}", (thing.water,))
    if thing.open_entries.amount is True:
        yield Defect(at, f"openings in {_the(name)} that a finger or water can enter", (thing.open_entries,))


# ---- otherwise than was found ---------------------------------------------------------------------------------------
def changes(design: Design) -> list[Change]:
    """Everything of theirs that the record says otherwise than it was found, by whomever; nothing where nothing was laid over."""
    inst, found = design.inst, design.inst.before
    if found is None:
        return []
    names = [name for name in {**found.equipment, **inst.equipment}
             if any(is_operators(of[name]) for of in (found.equipment, inst.equipment) if name in of)]
    now = STAGE_SAYS.get(inst.stage, "by what is laid over it")
    things = [(f"equipment.{name}", found.equipment.get(name), inst.equipment.get(name)) for name in names]
    out = [change for at, was, is_ in things for change in _between(at, was, is_, now)]
    for name in {**found.runs, **inst.runs}:
        runs = found.runs.get(name), inst.runs.get(name)
        if any(end.partition(".")[0] in names for run in runs if run is not None for end in run.joins):
            out += _between(f"runs.{name}", *runs, now)
    return out


def _between(at: str, was: Equipment | Run | None, is_: Equipment | Run | None, now: str) -> Iterator[Change]:
    """What is another, what came, what went."""
    if was is None or is_ is None:
        yield Change(at, f"was there as found, and is not {now}" if is_ is None else f"was not there as found, and is {now}")
        return
    if was.kind != is_.kind:
        yield Change(at, f"{_what(was)} as found, {_what(is_)} {now}")         # another thing, of which all else is said anew
        return
    if isinstance(was, Run) and isinstance(is_, Run) and was.joins != is_.joins:
        yield Change(at, f"joins {_ends(was)} as found, {_ends(is_)} {now}")
    for name in LANDS if isinstance(is_, Run) else [spec.name for spec in specs(Equipment) if spec.is_fact]:
        yield from _of_fact(at, getattr(was, name), getattr(is_, name), now)
    if isinstance(was, Run) and isinstance(is_, Run):
        yield from _of_length(at, was, is_, now)


def _of_fact(at: str, before: Fact[Any], after: Fact[Any], now: str, of: str = "") -> Iterator[Change]:
    if before.amount != after.amount:
        yield Change(at, f"{of}{glossary(after.name).says}: {_said(before)} as found, {_said(after)} {now}", after)


def _of_length(at: str, was: Run, is_: Run, now: str) -> Iterator[Change]:
    """Another length, however it is written; where both are written in stretches, which of them it is that differs."""
    if was.stretches and is_.stretches:
        for name in {**was.stretches, **is_.stretches}:
            old, new = was.stretches.get(name), is_.stretches.get(name)
            if old and new:
                yield from _of_fact(at, old.length_m, new.length_m, now, f"stretch {name}: ")
            else:
                said = [_said(each.length_m) if each else "none" for each in (old, new)]
                yield Change(at, f"stretch {name}: {said[0]} as found, {said[1]} {now}", new.length_m if new else None)
        return
    before, after = laid_m(was), laid_m(is_)
    if not (before.known and after.known and isclose(before.value, after.value, rel_tol=NEAR)):
        yield from _of_fact(at, before, after, now)


def _what(of: Equipment | Run) -> str:
    """What it is in words; of a run its sort of conductor."""
    return of.kind if isinstance(of, Run) else kind(of.kind).says


def _ends(run: Run) -> str:
    return " to ".join("not traced" if end == "?" else end.replace("-", " ").replace(".", " ") for end in run.joins)


def _said(fact: Fact[Any]) -> str:
    return str(fact) if fact.known else "not known"


# ---- what is wrong with what is joined to it ------------------------------------------------------------------------
def _loops(design: Design) -> Iterator[Defect]:
    """A loop outside that was read above the most that networks declare for such an earthing: the operator's to look into."""
    for supply in design.supplies.values():
        if supply.earthing.amount not in DECLARED:
            continue
        read, most = supply.ze_read_ohm, supply.ze_declared_ohm
        if read.known and read.value > most.value:
            says = f"the loop outside reads {read}; networks declare {most} at most for {supply.earthing}"
            yield Defect(supply.at, says, (read, most))


def _seen(design: Design) -> Iterator[Defect]:
    """What a person saw on one of them and gave a code, or answered no about."""
    for row in standing(design.inst.observations):
        if is_theirs(row, design) and (row.code in BAD_CODES or row.answer == "no"):
            yield _by_a_person(row)


def _by_a_person(row: Observation) -> Defect:
    thing = ".".join(row.where.split(".")[:2])
    about = "cut-out and service cable: " if row.eye in THEIR_EYES else ""
    return Defect(thing, f"{about}{row.says}{f' ({row.code})' if row.code else ''}", (), row)


def _the(name: str) -> str:
    return f"the {name.replace('-', ' ')}"
