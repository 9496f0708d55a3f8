"""The service chain of a job, part by part: behind the fuse that is there, behind a larger one; a cap. Texts in, plain data out.

Every answer about a part is that of the rule that judges it, asked again behind the other fuse; a figure is set against a limit
as the rules set it.
"""
from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from spareway.api import CAUTION, Files, Overlays, no_collector
from spareway.design.blown import how_long
from spareway.design.demand import Demand
from spareway.design.design import Design
from spareway.design.leftovers import layouts, leftovers
from spareway.design.logged import read_log
from spareway.design.recorded import Recorded, recorded
from spareway.design.run import RunDesign
from spareway.design.service import (
    Raised,
    agreed,
    boards_of_service,
    chain,
    figures,
    graded_a,
    is_before_origin,
    stands_for_kw,
)
from spareway.design.shed import DEVICE, Cooled, Plan, Shed
from spareway.doc import Fault, InputError
from spareway.fact_data import brief, gap, in_hand, rest, whole
from spareway.job.job import read_job
from spareway.kinds import kind
from spareway.rules import all_rules
from spareway.rules.base import Finding, at_most, judge

__all__ = ["service"]

RAISES_A, HELD_H = (80.0, 100.0), 2.0                   # what is asked about unless other ratings are; an evening's peak
RATED, LOOP = "is rated for the fuse", "a fault opens the fuse within 5 s"
ASKS = {"IN10": "its rating was read on the fuse", "IN12": "its carrier is made for the fuse",
        "IN2": "carries what the fuse lets through", "IN16": "has the size that operators usually accept",
        "IN9": "is no longer than operators usually accept", "OP8": "has tails that this operator said it accepts",
        "DV8": RATED, "SV1": RATED, "BO6": RATED, "BO7": "is rated for the fuse and every source together",
        "BO9": "is made to stand behind such a fuse", "EA4": "is large enough", "EA5": "is large enough",
        "EA6": f"{LOOP} where the supply comes in", "SV2": LOOP,
        "EA7": "its protective conductor bears a fault until the fuse opens",
        "FA5": "is short enough to wait for the fuse in a fault", "SP5": "is backed up by the fuse"}
ANSWER = {"within": "yes", "unknown": "unknown"}        # any other verdict says no
WORDS = {True: "yes", False: "no", None: "unknown"}
WORST = ("no", "unknown", "yes")
ANYWHERE = ("EA4", "EA5", "SP5")                         # asked also of what is called otherwise than the chain expects
CLEARING = ("EA7", "FA5")                                # asked of a run itself
HERE = ("The service fuse and the cut-out are the network operator's: it alone may raise the one or open the other.",
        "What another fuse would be is assumed. What was not recorded is unknown, behind any fuse.")
CAP = "A cap is an option. No figure of demand is lowered by it, and it counts for nothing until the network operator says so."


def service(files: Files, stage: str | None = None, overlays: Overlays = (), raises_a: Sequence[float] = RAISES_A,
            cap_a: float | None = None, held_h: float = HELD_H, log: tuple[str, str] | None = None) -> dict[str, Any]:
    """The chain now and behind a fuse of each of these ratings (A); long tails; what two rates left; heaters under a cap (A) that
    are held off for so many hours of the design day. log: the name and text of a logger's CSV.

    Errors: InputError, with every fault of the folder or of the log, or for a rating, a cap or a time that is none."""
    _sane(raises_a, cap_a, held_h)
    given = read_log(*log) if log else None
    with no_collector():
        job = read_job(files, overlays, stage)
        design = Design(job.at(stage))
        seen = recorded(design, given)
        found = _found(design)
        return {"now": _behind(design, design.demand, seen, found),
                "raised": [_behind(Raised(design.inst, to_a), design.demand, seen) for to_a in dict.fromkeys(raises_a)
                           if to_a != design.supply.fuse_a.amount],
                "long_tails": _long_tails(design, design.demand, seen, found),
                "two_rates": {"layouts": layouts(design), "leftovers": [
                    {"what": each.what, "at": each.at, "says": each.says, "sure": each.sure} for each in leftovers(design)]},
                "cap": _capped(Shed(design.demand, cap_a, held_h)) if cap_a is not None else None,
                "caution": [*HERE, *CAUTION]}


def _sane(raises_a: Sequence[float], cap_a: float | None, held_h: float) -> None:
    """Each number that was asked for, within what can be meant."""
    asked = [*(("raise", amps, 1, 630) for amps in raises_a), *([("cap", cap_a, 1, 1_000)] if cap_a is not None else []),
             ("held", held_h, 0.1, 24)]
    faults = [Fault("command line", None, name, f"{amount:g}", "no number that can be meant", f"{least:g} to {most:g}")
              for name, amount, least, most in asked if not (math.isfinite(amount) and least <= amount <= most)]
    if faults:
        raise InputError(faults)


# ---- the chain ------------------------------------------------------------------------------------------------------
def _found(design: Design) -> dict[str, list[Finding]]:
    """What the rules of the chain say, by what they say it of."""
    asked = [rule for rule in all_rules() if rule.code in ASKS and not (rule.code == "IN10" and isinstance(design, Raised))]
    out: dict[str, list[Finding]] = {}
    for finding in judge(design, sorted(asked, key=lambda rule: [*ASKS].index(rule.code))):
        if finding.verdict != "not applicable" and finding.rule in ASKS:
            out.setdefault(finding.subject, []).append(finding)
    return out


def _behind(design: Design, demand: Demand, seen: Recorded, found: dict[str, list[Finding]] | None = None
            ) -> dict[str, Any]:
    """The chain behind the fuse of this design, and what each figure of demand leaves of that fuse."""
    found = _found(design) if found is None else found
    besides = [at for at, findings in found.items() if any(each.rule in ANYWHERE for each in findings)]
    parts = [_part(at, found.get(at, []), design) for at in dict.fromkeys([*chain(design), *besides])]
    parts = [part for part in parts if part["answers"]]
    if not any(board.at == part["at"] for board in boards_of_service(design) for part in parts):
        parts.append({"at": "equipment", "says": "a board", "answers": [_nothing("Not known: no board is recorded")]})
    if isinstance(design, Raised):
        own = next((part for part in parts if part["at"] == design.supply.at), None)
        if own is None:
            parts.insert(0, own := {"at": design.supply.at.rstrip("."), "says": "the supply", "answers": []})
        own["answers"].insert(0, _agreed(design))
    answers = [each["answer"] for part in parts for each in part["answers"]]
    fuse = design.supply
    return {"fuse_a": whole(fuse.fuse_a), "stands_for_kw": whole(stands_for_kw(design)),
            "holds_a": whole(fuse.holds_a), "opens_a": whole(fuse.fusing_a),
            "within": how_long(fuse.conventional_h), "answer": min(answers, key=WORST.index), "parts": parts,
            "in_hand": in_hand(design, figures(demand, seen.against(fuse.fuse_a)))}


def _part(at: str, findings: Sequence[Finding], design: Design) -> dict[str, Any]:
    """One part with all that is asked of it; a thing of which nothing can be asked is unknown, and no pass."""
    answers = [_answer(each, design) for each in sorted(findings, key=lambda f: [*ASKS].index(f.rule))]
    if not answers and at.startswith("equipment."):
        answers = [_nothing("Not known: nothing recorded of it says what it is rated for")]
    return {"at": at, "says": _called(at, design), "answers": answers}


def _called(at: str, design: Design) -> str:
    table, _, name = at.partition(".")
    if table == "equipment":
        return kind(design.inst.equipment[name].kind).says
    return design.inst.runs[name].kind if table == "runs" else "surge device in a way" if table == "circuits" else "the supply"


def _answer(of: Finding, design: Design) -> dict[str, Any]:
    """What a rule says of a part. worst: the stretch that governs, where a run is asked what it carries."""
    run = design.runs.get(of.subject.partition(".")[2]) if of.rule == "IN2" else None
    worst = run.route.weakest if run is not None else None
    return {"asks": ASKS[of.rule], "answer": ANSWER.get(of.verdict, "no"), "says": of.says, "rule": of.rule, "clause": of.clause,
            "worst": worst.in_words if worst is not None else "",
            "rests_on": [rest(each) for each in of.rests_on()],
            "working": list(dict.fromkeys(step.line for fact in of.facts for step in fact.working())),
            "missing": [gap(each) for each in of.missing()] if of.verdict == "unknown" else []}


def _nothing(says: str, asks: str = RATED, answer: str = "unknown") -> dict[str, Any]:
    return {"asks": asks, "answer": answer, "says": says, "rule": "", "clause": "", "worst": "", "rests_on": [], "working": [],
            "missing": []}


def _agreed(design: Raised) -> dict[str, Any]:
    ok, says = agreed(design, design.to_a)
    return _nothing(says, "its network operator agrees to such a fuse", WORDS[ok])


# ---- long tails -----------------------------------------------------------------------------------------------------
def _long_tails(design: Design, demand: Demand, seen: Recorded, found: Mapping[str, Sequence[Finding]]
                ) -> list[dict[str, Any]]:
    """Each run behind the service fuse alone that is longer than usual, or of unknown length: three questions kept apart, and
    what a fuse of its own at the intake could be rated at."""
    out = []
    for at, findings in found.items():
        long = [f for f in findings if f.rule == "IN9" and at_most(*f.facts[:2]).ok is not True]
        if not long:
            continue
        run = design.runs[at.partition(".")[2]]
        beyond = [f for board in design.boards.values() if run in board.runs_before for f in found.get(board.at, ())]
        limit = graded_a(design)
        out.append({"at": at, "length_m": whole(run.length_m),
                    "operator": [_answer(f, design) for f in [*long, *(f for f in beyond if f.rule == "OP8")]],
                    "overload": [_answer(f, design) for f in findings if f.rule == "IN2"],
                    "clearing": [*_opens(run, design, beyond, found),
                                 *(_answer(f, design) for f in findings if f.rule in CLEARING)],
                    "own_fuse": {"at_most_a": whole(limit), "figures": [
                        {"says": says, "demand_a": brief(fact), "answer": WORDS[at_most(fact, limit).ok]}
                        for says, fact in figures(demand, seen.against(limit))]}})
    return out


def _opens(run: RunDesign, design: Design, beyond: Sequence[Finding], found: Mapping[str, Sequence[Finding]]
           ) -> list[dict[str, Any]]:
    """Whether a fault at the end of this run opens the service fuse: as asked of the boards beyond it. What is asked where the
    supply comes in answers only for what lies before the origin, and for nothing where a run leads on from there."""
    at_boards = [f for f in beyond if f.rule == "SV2"]
    at_origin = [f for f in found.get(design.supply.at, ()) if f.rule == "EA6"]
    if at_boards or not at_origin:
        return [_answer(f, design) for f in at_boards]
    if is_before_origin(run, design):
        return [_answer(f, design) for f in at_origin]
    return [_nothing("Not known: no board is recorded beyond it behind the service fuse alone, so that the loop where it ends is "
                     "not asked", LOOP)]


# ---- a cap ----------------------------------------------------------------------------------------------------------
def _capped(of: Shed) -> dict[str, Any]:
    capped = of.capped
    return {"cap_a": whole(capped.cap_a), "held_h": whole(capped.held_h), "plans": [_plan(plan, of) for plan in capped.plans],
            "left_out": [{"at": at, "why": why} for at, why in capped.left_out], "device": list(DEVICE), "says": CAP}


def _plan(plan: Plan, of: Shed) -> dict[str, Any]:
    """left_a: null where there is no plan."""
    holds = None if plan.at_highest_a is None else at_most(plan.at_highest_a, of.cap_a).ok
    return {"says": plan.says, "figure_a": whole(plan.figure_a), "waits": list(plan.waits), "why_not": plan.why_not,
            "steps": [{"at": step.held.heater.at, "room": step.held.room, "current_a": whole(step.held.current_a),
                       "left_a": whole(step.left_a), "cooled_kh": whole(step.cooled_kh)} for step in plan.steps],
            "left_a": None if plan.left_a is None else whole(plan.left_a),
            "at_highest_a": None if plan.at_highest_a is None else whole(plan.at_highest_a),
            "above_at_highest": None if holds is None else not holds,
            "rooms": [_room(each) for each in plan.cooled]}


def _room(of: Cooled) -> dict[str, Any]:
    return {"room": of.room, "cooled_kh": whole(of.cooled_kh), "least_kh": of.least_kh, "most_kh": of.most_kh,
            "fall_k": whole(of.fall_k)}
