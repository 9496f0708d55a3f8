"""Circuits that are yet to be: a new one out of a line of words, all new ones of a board. Texts in, plain data out."""
from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from spareway import __version__
from spareway.api import CAUTION, NEUTRAL, Files, Overlays, circuit_of, no_collector
from spareway.design.catalogue import Catalogue, generic, read_catalogue
from spareway.design.choose import Choice, choose
from spareway.design.circuit import CircuitDesign
from spareway.design.design import Design
from spareway.design.load import CHARGING, at_highest_a
from spareway.design.trial import Test, Trial, all_resistive
from spareway.design.turns import Turn, turns
from spareway.design.wanted import Wanted, wanted
from spareway.design.whole_board import whole_board
from spareway.doc import Fault, InputError, nearest
from spareway.fact import Fact, glossary
from spareway.fact_data import addressed, ground
from spareway.job.job import Installation, Job, read_job
from spareway.job.refs import is_board
from spareway.job.ways import free_ways, taken_ways, ways_in_words, ways_unsaid

__all__ = ["board", "new_circuit", "new_circuit_of"]

ASKED = ("feeds", "load_w", "load_a", "length_m", "method", "cable", "grouped_n", "ambient_c", "in_insulation_mm", "curve",
         "residual")
OPEN = {"breaking": "whether the board's maker lists this device for its rating", "near": "the maker's let-through energy",
        "far": "the maker's let-through energy", "highest": "the power at the nominal voltage"}


def new_circuit(files: Files, text: str, stage: str | None = None, overlays: Overlays = (), whole: bool = True,
                catalogue: str = "") -> dict[str, Any]:
    """The least cable and device for `7.2 kW cooker, 14 m, method 100`, what each smaller one breaks, and where it turns.

    verdict: `within`; `unknown` where something is open or missing; `none` where nothing on offer conforms
    whole: with every quantity and finding of the circuit as chosen, as `circuit` gives them
    catalogue: the text of a firm's own, of the form of `design/catalogue.toml`; ours where there is none. Errors: InputError."""
    job = read_job(files, overlays, stage)
    return new_circuit_of(job, job.at(stage), text, whole, catalogue)


def new_circuit_of(job: Job, inst: Installation, text: str, whole: bool = True, catalogue: str = "") -> dict[str, Any]:
    """The same on a stage of a job, as it stands or altered. Errors: InputError."""
    with no_collector():
        asked, offer = wanted(text), _on_offer(catalogue)
        on = _board(inst, asked.board)
        way, full = _free_way(inst, on)
        name = next(n for i in range(1, 1000) if (n := f"new-{i}" if i > 1 else "new") not in inst.circuits)
        room = full and f"[equipment.{on}]\nways_n = {{ unknown = \"one more than it has is tried\" }}\n"
        tried = []
        for method in dict.fromkeys((asked.method, *asked.or_methods)):
            lies = replace(asked, method=method)
            design = Design(inst.altered(f"{lies.lines(name, way)}{room}"))
            tried.append((lies, choose(design.circuits[name], offer, curve=asked.curve)))
        lies, choice = min(tried, key=lambda each: _place(each[1]))
        lines = _with_sizes(lies.lines(name, way), choice.trial)
        said = {"asked": {key: getattr(lies, key) for key in ASKED} | {"text": text}, "board": on, "way": way, "name": name,
                "notes": [*([full] if full else []), *_other_ways(tried, lies), *_to_say(choice.trial)],
                **chosen_of(choice), "toml": lines}
        if whole and choice.trial is not None:
            said["circuit"] = circuit_of(name, job, inst.altered(f"{lines}{room}"))
        return said | {"caution": [*CAUTION, NEUTRAL]}


def _place(choice: Choice) -> tuple[float, float, float]:
    """By which the least of several ways of lying is known; last where nothing was chosen."""
    trial = choice.trial
    return (math.inf, 0.0, 0.0) if trial is None else (trial.line_mm2, trial.cpc_mm2, trial.offered.rating_a)


def _other_ways(tried: Sequence[tuple[Wanted, Choice]], taken: Wanted) -> list[str]:
    """What each way of lying that was allowed comes to, where there were several."""
    if len(tried) < 2:
        return []
    return [f"by method {lies.method}{', as taken' if lies is taken else ''}: "
            f"{choice.fact.amount or f'nothing: {_why(choice)}'}" for lies, choice in tried]


def _on_offer(text: str) -> Catalogue:
    return read_catalogue(text) if text else generic()


def chosen_of(choice: Choice) -> dict[str, Any]:
    """A choice as plain data."""
    return {"verdict": choice.verdict, "says": choice.fact.amount or f"Nothing: {_why(choice)}", "chosen": _pair(choice.trial),
            "open": _open(choice.trial), "settled": _pair(choice.settled), "missing": [addressed(f) for f in _missing(choice)],
            "binds": {"test": choice.binds, "says": choice.binding},
            "tests": [_test(test) for test in choice.trial.tests] if choice.trial else [],
            "refused": [_refused(trial) for trial in choice.refused],
            "smaller_device": choice.smaller.says if choice.smaller else "",
            "rests_on": [ground(fact) for fact in _doubtful(choice)],
            "turns": [_turn(turn) for turn in turns(choice.fact)], "line": choice.fact.line()}


def _doubtful(choice: Choice) -> list[Fact[Any]]:
    """What it rests on that was assumed or not confirmed, the energy class of its device where a yes of it rests on that."""
    on_class = choice.trial.on_class if choice.trial else []
    return list(dict.fromkeys([*choice.fact.doubtful(), *on_class])) if choice.fact.known else []


def _to_say(trial: Trial | None) -> list[str]:
    return [*_allowance(trial), *_at_highest(trial), *_for_vehicle(trial)]


def _for_vehicle(trial: Trial | None) -> list[str]:
    """What a charge point needs beside cable and device, which is the charge point's own and is not judged here."""
    if trial is None or not trial.circuit.feeds & {*CHARGING}:
        return []
    return ["a charge point needs more than its cable and device, none of it judged here: that it opens by itself when the "
            "combined neutral and earth of the supply is lost, or an earth of its own (722.411.4.1); and its own detection of "
            "smooth direct current, 6 mA, or a device of type B (722.531.3.101). Record it as a thing, and SO8 and RC2 answer"]


def _allowance(trial: Trial | None) -> list[str]:
    """What is to be said where everything at once draws more than the device is rated for."""
    if trial is None or not trial.circuit.connected_a.known or trial.circuit.connected_a.value <= trial.offered.rating_a:
        return []
    return [f"everything on it at once draws {trial.circuit.connected_a}, more than {trial.offered.says}: the load counts with "
            "the handbook's allowance for cooking"]


def _at_highest(trial: Trial | None) -> list[str]:
    """What is to be said where heaters draw more than the device is rated for at the highest voltage."""
    if trial is None or not all_resistive(trial.circuit):
        return []
    drawn = at_highest_a(trial.circuit)
    if not drawn.known or drawn.value <= trial.offered.rating_a:
        return []
    return [f"at the highest voltage the network may supply it draws {drawn}, more than {trial.offered.says} is rated for, for "
            "hours: LO1 advises the next larger device"]


def _why(choice: Choice) -> str:
    return choice.fact.note or "; ".join(f"{glossary(f.name).says}: {f.note or 'not recorded'}" for f in _missing(choice))


def _missing(choice: Choice) -> list[Fact[Any]]:
    """The facts that are wanted and not known; none where how it is asked has no answer, which its note says."""
    return [] if choice.fact.known or choice.refused else [fact for fact in choice.fact.missing() if fact is not choice.fact]


def _pair(trial: Trial | None) -> dict[str, Any] | None:
    if trial is None:
        return None
    offered = trial.offered
    return {"says": trial.says, "cable": {"kind": trial.kind, "line_mm2": trial.line_mm2, "cpc_mm2": trial.cpc_mm2},
            "device": {"kind": offered.kind, "curve": offered.curve, "rating_a": offered.rating_a,
                       "residual_ma": offered.residual_ma or None, "fault_rating_ka": offered.fault_rating_ka or None},
            "assumed_let_through_a2s": trial.assumed_a2s}


def _open(trial: Trial | None) -> list[dict[str, Any]]:
    """What a person must still find out, and the value that would settle it."""
    return [{**_test(test), "settled_by": OPEN.get(test.name, "what is missing"),
             "at_most_a2s": test.value.amount if test.name in ("near", "far") else None} for test in trial.open] if trial else []


def _test(test: Test) -> dict[str, Any]:
    return {"test": test.name, "ok": test.ok, "says": test.says, "value": test.value.amount, "relation": test.relation,
            "limit": test.limit.amount, "unit": glossary(test.value.name).unit,
            "working": list(dict.fromkeys(step.line for fact in (test.value, test.limit) for step in fact.working()))}


def _refused(trial: Trial) -> dict[str, Any]:
    size = f"{trial.line_mm2:g}/{trial.cpc_mm2:g} mm²"
    return {"cable": size, "device": trial.offered.says, "breaks": [test.name for test in trial.broken],
            "says": f"{size}: {'; '.join(test.says for test in trial.broken)}"}


def _turn(turn: Turn) -> dict[str, Any]:
    root = turn.root
    return {"quantity": root.name, "says": glossary(root.name).says, "at": root.at, "is": root.amount, "how": root.how,
            "unit": glossary(root.name).unit, "holds_to": turn.holds_to, "then": turn.then, "holds_from": turn.holds_from,
            "before": turn.before}


# ---- where it goes --------------------------------------------------------------------------------------------------
def _board(inst: Installation, name: str) -> str:
    """The board named, or the first that the supply reaches. Errors: InputError where there is none."""
    boards = [n for n, thing in inst.equipment.items() if is_board(thing)]
    if name and name not in boards or not boards:
        says = f'no board is called "{name}"' if boards else "no board is recorded at this stage"
        raise InputError([Fault("command line", None, "board", name, says, ", ".join(boards), nearest(name, boards))])
    if name or len(boards) == 1:
        return name or boards[0]
    return next((n for n, each in Design(inst).boards.items() if each.is_reached), boards[0])


def _free_way(inst: Installation, board: str) -> tuple[str, str]:
    """The first way of which a person said that nothing stands in it, and what to say where there is none: then one more than
    there are is taken. Of a board whose ways nobody counted, the first that no circuit is recorded in."""
    free, left, ways = free_ways(inst, board), ways_unsaid(inst, board), inst.equipment[board].ways_n
    if free or left is None:
        taken = taken_ways(inst, board)
        return f"{board}.{min(free, default=next(i for i in range(1, 100) if i not in taken))}", ""
    why = f"is known to be free: nobody said what stands in {ways_in_words(left)}" if left else f"is free: it has {ways}"
    return f"{board}.{int(ways.value) + 1}", f"no way of {board} {why}"


def _with_sizes(lines: str, trial: Trial | None) -> str:
    """The lines with the sizes and the device that were chosen."""
    if trial is None:
        return lines
    sizes, device = trial.lines
    out = ["device = " + device if line.startswith("device =") else line for line in lines.splitlines()]
    return "\n".join([*out, *sizes.split(", "), ""])


# ---- a whole board --------------------------------------------------------------------------------------------------
def board(files: Files, name: str = "", stage: str | None = None, overlays: Overlays = (),
          circuits: Sequence[str] = (), catalogue: str = "") -> dict[str, Any]:
    """All new circuits of a board chosen together, with the grouping of their bundles. `circuits`: those and not the new ones.

    recorded: what the record says of each, beside what was chosen. Errors: InputError."""
    with no_collector():
        job = read_job(files, overlays, stage)
        inst = job.at(stage)
        design = Design(inst)
        there = _board(inst, name)
        names = [_known(each, design) for each in circuits] or [n for n in design.circuits if _is_new(n, job, design, there)]
        planned = whole_board(design, names, _on_offer(catalogue))
        return {"spareway": __version__, "job": job.about.says, "stage": inst.stage, "board": there,
                "circuits": [{"name": n, "says": design.circuits[n].circuit.says, "way": design.circuits[n].circuit.way,
                              "recorded": _recorded(design.circuits[n]), "notes": _to_say(choice.trial),
                              **chosen_of(choice)}
                             for n, choice in planned.choices.items()],
                "kept": [n for n, c in design.circuits.items() if c.board == there and n not in names and not c.is_surge],
                "bundles": [{"name": b.name, "runs": list(b.runs), "counted": b.counted_n, "left_out": list(b.left_out)}
                            for b in planned.bundles if {*b.runs} & {*names}],
                "rounds": planned.rounds, "caution": [*CAUTION, NEUTRAL]}


def _known(name: str, design: Design) -> str:
    if name not in design.circuits:
        raise InputError([Fault("command line", None, "circuits", name, f'there is no circuit "{name}"', "",
                                nearest(name, design.circuits))])
    return name


def _is_new(name: str, job: Job, design: Design, board_name: str) -> bool:
    """On this board, with a cable that was not there as found, or whose size nobody recorded."""
    circuit, at = design.circuits[name], ("circuits", name, "cable", "kind")
    other = name not in job.found.circuits or job.found.doc.places.get(at) != design.inst.doc.places.get(at)
    return circuit.board == board_name and not circuit.is_surge and bool(circuit.cable.kind) and \
        (not circuit.cable.line_mm2.known or other)


def _recorded(circuit: CircuitDesign) -> dict[str, Any]:
    cable, device = circuit.cable, circuit.device
    return {"cable": {"kind": cable.kind, "line_mm2": cable.line_mm2.amount, "cpc_mm2": cable.cpc_mm2.amount},
            "device": {"kind": device.kind, "curve": device.curve.amount, "rating_a": device.rating_a.amount}}
