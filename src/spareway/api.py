"""What every face calls: texts in, plain data out. Everything here can be written as JSON with the same bytes anywhere."""
from __future__ import annotations

import gc
import json
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from functools import lru_cache
from typing import Any

from spareway import __version__
from spareway.design.design import Design
from spareway.doc import Fault, InputError, nearest
from spareway.fact import Fact, flips_at, glossary
from spareway.fact_data import addressed, ground
from spareway.job.job import Installation, Job, read_job
from spareway.rules import all_rules, rule_of
from spareway.rules.base import VERDICTS, Answer, Finding, judge
from spareway.rules.disputes import disputes, held_back
from spareway.rules.eyes import NAME, Item, asked, item_of, items, seen
from spareway.rules.today import fails_as_found, stops_as_found, told
from spareway.show import show
from spareway.wiring.expand import terminals_of
from spareway.wiring.lockoff import LockOff
from spareway.wiring.network import UnknownName
from spareway.wiring.parts import find

Files = Mapping[str, str]
Overlays = Sequence[tuple[str, str]]
CAUTION = ("This is a check of what was recorded. Prove dead at the point of work, every time.",
           "The regulations in force, the network operator and a competent, licensed person decide.")
NEUTRAL = "Neutral may be joined to the network when line is off."
TURNING = ("length_m", "ze_ohm", "load_w", "lead_line_m", "lead_neutral_m", "lead_earth_m")
LIVE = ("line", "line through a load", "not known", "neutral")
EXIT_WORSE = {"stop": 1, "fails": 1, "unknown": 3}


@contextmanager
def no_collector() -> Iterator[None]:
    """Findings hold no cycles: the cyclic collector only costs time while judging."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()


def to_json(document: Any) -> str:
    """One JSON text with fixed digits, sorted as built, ending in a newline; each heading and each thing of a list on a line."""
    value = _plain(document)
    if not isinstance(value, dict):
        return _line_by_line(value) + "\n"
    return "{\n" + ",\n".join(f"{_written(k)}: {_line_by_line(v)}" for k, v in value.items()) + "\n}\n"


_written = json.JSONEncoder(ensure_ascii=False).encode


def _line_by_line(value: Any) -> str:
    """No text holds what is replaced here, its quotes being escaped. The library's own indenting takes several times as long."""
    return _written(value).replace('}, {"', '},\n{"')


def _plain(value: Any) -> Any:
    if isinstance(value, str):
        return value
    if isinstance(value, float):
        return int(value) if value == int(value) else float(show(value, 6))
    if isinstance(value, Mapping):
        return {str(k): _plain(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(v) for v in value]
    return value


# ---- check ----------------------------------------------------------------------------------------------------------
def check(files: Files, stage: str | None = None, overlays: Overlays = (), full: bool = False) -> dict[str, Any]:
    """A job judged at a stage, the furthest unless one is named: findings worst first, what stays live, what to lock off.

    `full` adds to each finding its working and where it turns, also where it is within. Errors: InputError."""
    with no_collector():
        return _document(*_judged(files, stage, overlays), full)


def _judged(files: Files, stage: str | None, overlays: Overlays,
            operators: tuple[str, str] | None = None) -> tuple[Job, Design, list[Finding]]:
    job = read_job(files, overlays, stage)
    if operators is not None:
        from spareway.job.operators import read_operators, with_operators
        job = with_operators(job, read_operators(*operators))
    design = Design(job.at(stage))
    return job, design, _found(design)


def _found(design: Design, only: str = "") -> list[Finding]:
    """What the rules find, what was seen by eye, and what two people say two things of; of one subject where one is named."""
    return held_back(judge(design, all_rules(), [*seen(design), *disputes(design)], only), design)


def stops_today(files: Files, stage: str | None = None, overlays: Overlays = ()) -> list[Mapping[str, Any]]:
    """What must be made safe as found, where only a proposal is judged: findings as in a check, without their working.

    Errors: InputError."""
    job = read_job(files, overlays, stage)
    with no_collector():
        return told(stops_as_found(job, job.at(stage).stage))


def fails_today(files: Files, said: Mapping[str, Any], overlays: Overlays = ()) -> list[Mapping[str, Any]]:
    """What fails as found and is not known to be cured at the stage of a check that was said: findings without their working.

    Errors: InputError."""
    if said["stage"] == "found":
        return []
    with no_collector():
        return told(fails_as_found(read_job(files, overlays, said["stage"]), said["stage"], said["findings"]))


def _document(job: Job, design: Design, findings: Sequence[Finding], full: bool) -> dict[str, Any]:
    return {"spareway": __version__, "job": job.about.says, "stage": design.inst.stage,
            "books": dict(job.about.books), "nation": job.about.nation,
            "verdict": findings[0].verdict if findings else "unknown",
            "counts": {v: len([f for f in findings if f.verdict == v]) for v in VERDICTS},
            "findings": [_finding(f, full or f.verdict in VERDICTS[:4]) for f in findings],
            "rules": _rules_run(design, findings), "by_eye": {"items": len(items()), **asked(design)},
            "live": _stays_live(design), "lock_off": _lock_offs(design),
            "caution": _cautions(design)}


def _cautions(design: Design) -> list[str]:
    """The usual ones; before them, where nobody has looked yet, that what is live and what a lock-off opens is nobody's word."""
    waits = design.waits_to_be_looked_at
    said = [f"Nobody has looked yet at {', '.join(waits)}: a starting pattern wrote it. Rely on nothing here that rests on what "
            "joins what; look first."] if waits else []
    source = f"{design.source_told_of[:1].upper()}{design.source_told_of[1:]}: what it feeds may be live with everything here " \
             "locked off. Find it, and isolate it too." if design.source_told_of else ""
    return [*said, *([source] if source else []), *CAUTION, NEUTRAL]


def paper(name: str, files: Files, stage: str | None = None, overlays: Overlays = (),
          operators: tuple[str, str] | None = None) -> dict[str, Any]:
    """What a paper is made of: `facts` for its `template`, `check` as the document of a check, `drawing` as SVG.

    operators: name and text of the firm's own file of what operators want; the job's own copies come first. The drawing shows
    everything closed. Errors: InputError, also where the job states no day for this stage."""
    from importlib import import_module

    from spareway.drawings.intake import intake
    from spareway.papers import PAPERS
    if name not in PAPERS:
        raise InputError([Fault("command line", None, "only", name, f'there is no paper "{name}"', ", ".join(PAPERS),
                                nearest(name, PAPERS))])
    facts_for = import_module(f"spareway.papers.{PAPERS[name]}").facts_for
    with no_collector():
        job, design, findings = _judged(files, stage, overlays, operators)
        said = _document(job, design, findings, full=True)
        facts = facts_for(job, design, findings, said, {rule["rule"]: rule for rule in explain()["rules"]})
        return {"facts": facts, "check": said, "drawing": intake(design.inst, design.network), "template": f"{PAPERS[name]}.typ"}


def survey_report(files: Files, stage: str | None = None, overlays: Overlays = ()) -> dict[str, Any]:
    """What the survey report is made of. Errors: as `paper`."""
    return paper("survey-report", files, stage, overlays)


def pocket_page(files: Files, stage: str | None = None, overlays: Overlays = (),
                operators: tuple[str, str] | None = None) -> str:
    """The pocket page of a job: one HTML file without script or signal. operators: as of `paper`. Errors: InputError."""
    from spareway.drawings.intake import intake
    from spareway.papers.pocket import pocket
    with no_collector():
        job, design, findings = _judged(files, stage, overlays, operators)
        said = _document(job, design, findings, full=False)
        return pocket(job, design, findings, said, _to_work_on(design), intake(design.inst, design.network))


def exit_code(document: Mapping[str, Any]) -> int:
    """0: nothing worse than advice; 1: a stop or a fails; 3: only unknowns are left."""
    return EXIT_WORSE.get(document["verdict"], 0)


def _finding(finding: Finding, whole: bool) -> dict[str, Any]:
    out: dict[str, Any] = {"rule": finding.rule, "name": finding.name, "verdict": finding.verdict, "subject": finding.subject,
                           "where": finding.where, "says": finding.says, "clause": finding.clause,
                           "authority": finding.authority}
    if finding.relation:
        value, limit = finding.facts[:2]
        out |= {"value": value.amount, "relation": finding.relation, "limit": limit.amount, "unit": glossary(value.name).unit}
    doubts = finding.rests_on()
    if finding.verdict == "within" and doubts:
        out["within"] = "limit or value not confirmed"
    if whole:
        out |= {"remedial": finding.remedial, "missing": [addressed(f) for f in finding.missing()],
                "rests_on": [_ground(f, finding) for f in doubts], "flips_at": _flips(finding),
                "working": [s.line for s in _steps(finding)], "sources": _sources(finding)}
    if finding.decision:
        out["decision"] = finding.decision
    return out


def _ground(fact: Fact[Any], finding: Finding) -> dict[str, Any]:
    """What a finding rests on that nobody confirmed, and how far it may be out before the verdict turns."""
    turns = _turn(fact, finding.answer) if finding.answer and finding.answer.ok is not None else None
    return ground(fact) | {"turns_at": turns}


def _turn(root: Fact[Any], answer: Answer) -> float | None:
    """The amount of a fact at which an answer turns; None where it does not rest on it or never does."""
    holds = answer.along(root)
    return flips_at(root, holds) if holds else None


def _flips(finding: Finding) -> list[dict[str, Any]]:
    """For each length, load and Ze it rests on: what it is, and the value at which the verdict turns."""
    answer = finding.answer
    if answer is None or answer.ok is None:
        return []
    roots = dict.fromkeys(r for leaf in answer.leaves() for f in leaf.facts[:2] for r in f.roots() if not r.inputs and r.at)
    out = []
    for root in roots:
        if root.name in TURNING and root.known:
            turn = _turn(root, answer)
            if turn is not None:
                out.append({"quantity": root.name, "at": root.at, "is": root.amount, "turns_at": turn,
                            "unit": glossary(root.name).unit})
    return out


def _steps(finding: Finding) -> list[Any]:
    steps: dict[str, Any] = {}
    for fact in finding.facts:
        for step in fact.working():
            steps.setdefault(step.line, step)
    return list(steps.values())


def _sources(finding: Finding) -> list[str]:
    return list(dict.fromkeys(line for fact in finding.facts for line in _stands(fact)))


@lru_cache(2048)                        # of a fact that many findings rest on: said once
def _stands(fact: Fact[Any]) -> tuple[str, ...]:
    """How what was given or looked up stands, of all that a fact rests on."""
    return tuple([f"{f}: {glossary(f.name).says}, {f.how}, {f.where}{f' ({f.trust})' if f.trust else ''}"
                  for f in fact.roots() if f.how not in ("worked", "total") and f.known and f.where])


def _rules_run(design: Design, findings: Sequence[Finding]) -> dict[str, list[str]]:
    """The rules that ran, so that an empty list never reads as clean."""
    ran = [r.code for r in all_rules() if design.books.within(r.since, r.until)]
    asked_of = {f.rule for f in findings}
    return {"run": ran, "not in this edition": [r.code for r in all_rules() if r.code not in ran],
            "without subject": [c for c in ran if c not in asked_of]}


def _stays_live(design: Design) -> dict[str, Any]:
    """What stays live with everything open that a skilled person may open; the rest of it after the service fuse."""
    opened = list(design.network.may_open("skilled"))
    now = design.network.potential(opened)
    return {"opened": opened, "by_permission": _by_permission(design, opened),
            "still": {t: p for t, p in now.items() if p in LIVE}}


def _by_permission(design: Design, controls: Sequence[str]) -> list[str]:
    """Those of the controls that are the operator's, and that a permission in the record lets others open."""
    return [control for control in controls if control in design.network.permitted]


def _lock_offs(design: Design) -> list[dict[str, Any]]:
    out = []
    for part in design.parts:
        found = design.lock_off(part.terminals, "skilled")
        out.append({"part": part.name, "as": "skilled", "lock_off": None if found.controls is None else list(found.controls),
                    "still": [list(pair) for pair in found.still], "undone_by": list(found.undone_by)})
    return out


# ---- circuits -------------------------------------------------------------------------------------------------------
def circuit(files: Files, name: str = "", stage: str | None = None, overlays: Overlays = ()) -> dict[str, Any]:
    """Every circuit of a stage with its worst finding; with a name that one, every quantity and finding of it with its working.

    What is moved on a circuit is an overlay. Errors: InputError, also for a circuit that is not there."""
    with no_collector():
        job = read_job(files, overlays, stage)
        design = Design(job.at(stage))
        known = [n for n, c in design.circuits.items() if not c.is_surge]
        if name and name not in known:
            raise InputError([Fault("command line", None, "circuit", name, f'there is no circuit "{name}"', "",
                                    nearest(name, known))])
        found = _found(design, design.circuits[name].at if name else "")
        out = {"spareway": __version__, "job": job.about.says, "stage": design.inst.stage, "books": dict(job.about.books),
               "circuits": [_one_circuit(n, job, design, found, whole=bool(name)) for n in ([name] if name else known)]}
        return out | {"caution": [*CAUTION, NEUTRAL]}


def circuit_of(name: str, job: Job, inst: Installation) -> dict[str, Any]:
    """One circuit of a stage of a job, as it stands or altered, as `circuit` tells it, whole. Errors: KeyError."""
    with no_collector():
        design = Design(inst)
        return _one_circuit(name, job, design, _found(design, f"circuits.{name}"), whole=True)


def _one_circuit(name: str, job: Job, design: Design, found: Sequence[Finding], whole: bool) -> dict[str, Any]:
    """`is` says what it was as found; `findings` are those of this circuit alone, worst first, each whole."""
    from spareway.design.sheet import kept_or_new, sheet
    of = design.circuits[name]
    findings = [_finding(f, True) for f in found if f.subject == of.at]
    said = {"name": name, "says": of.circuit.says, "way": of.circuit.way, "is": kept_or_new(of, job.found),
            "ring": of.is_ring,
            "cable": {"kind": of.cable.kind, "line_mm2": of.cable.line_mm2.amount, "cpc_mm2": of.cable.cpc_mm2.amount},
            "device": {"kind": of.device.kind, "curve": of.device.curve.amount, "rating_a": of.rating_a.amount,
                       "residual_ma": of.residual_ma.amount},
            "length_m": of.length_m.amount,
            "verdict": next((f["verdict"] for f in findings if f["verdict"] != "not applicable"), "unknown")}
    return said | {"findings": findings} | ({"quantities": [_line(each) for each in sheet(of)]} if whole else {})


def _line(line: Any) -> dict[str, Any]:
    fact = line.fact
    return {"heading": line.heading, "quantity": line.name, "says": line.says, "amount": fact.amount, "is": str(fact),
            "unit": glossary(fact.name).unit, "how": fact.how, "trust": fact.trust, "at": fact.at, "where": fact.where,
            "line": fact.line(),
            "working": [step.line for step in fact.working()],
            "sources": list(dict.fromkeys(_stands(fact))),
            "missing": [addressed(gap) for gap in fact.missing()],
            "rests_on": [ground(f) for f in fact.doubtful()]}


# ---- live, isolate --------------------------------------------------------------------------------------------------
def _design(files: Files, stage: str | None, overlays: Overlays) -> Design:
    return Design(read_job(files, overlays, stage).at(stage))


def live(files: Files, opened: Sequence[str] = (), lifted: Sequence[str] = (), stage: str | None = None,
         overlays: Overlays = ()) -> dict[str, Any]:
    """The potential of every terminal with these controls open and these conductors lifted. Errors: InputError."""
    design = _design(files, stage, overlays)
    network = design.network
    controls = [_control(name, network.controls, "open", design) for name in opened]
    conductors = {link.lift for link in network.links if link.lift}
    off = [_control(name, conductors, "lift", design) for name in lifted]
    ignored = [c for c in controls if network.controls[c] in ("itself", "other")]
    return {"opened": controls, "lifted": off, "never counts as off": ignored,
            "terminals": network.potential([*controls, *off]), "caution": _cautions(design)}


def _control(name: str, known: Any, option: str, design: Design) -> str:
    """A control or conductor by its name; a thing's only control by the thing's name. Errors: InputError, which for a circuit
    names what opens it."""
    if name in known:
        return name
    plain = name.removeprefix("equipment.").removeprefix("circuits.").removeprefix("runs.").replace(".points.", ".")
    fits = [k for k in known if k == plain or k.startswith(f"{plain}.")]
    if plain in known or len(fits) == 1:
        return plain if plain in known else fits[0]
    circuit = design.inst.circuits.get(plain) if option == "open" and not fits else None
    at_way = sorted(k for k in known if circuit and k.startswith(f"{circuit.way}."))
    by_circuit = f"circuit {plain} is opened by {', '.join(at_way)}" if at_way else ""
    allowed = f"one of {', '.join(sorted(fits))}" if fits else by_circuit
    raise InputError([Fault("command line", None, option, name, f'nothing to {option} is called "{name}"', allowed,
                            "" if allowed else nearest(plain, known))])


def isolate(files: Files, part: str, by: str = "skilled", stage: str | None = None, overlays: Overlays = ()) -> dict[str, Any]:
    """The fewest things this person may lock off that leave the part dead by the record, or null. Errors: InputError."""
    design = _design(files, stage, overlays)
    terminals = find(design.inst, design.network, part)
    try:
        found = design.lock_off(terminals, by)
    except UnknownName as problem:
        raise InputError([Fault("command line", None, "as", by, f'there is no role "{by}"', "ordinary, skilled, operator",
                                nearest(by, ("ordinary", "skilled", "operator")))]) from problem
    return _locked(design, part, terminals, by, found)


def _locked(design: Design, part: str, terminals: Sequence[str], by: str, found: LockOff) -> dict[str, Any]:
    locks = None if found.controls is None else list(found.controls)
    still = [list(pair) for pair in found.still] if locks is None else _elsewhere(design, terminals, locks)
    return {"part": part, "terminals": list(terminals), "as": by, "lock_off": locks,
            "by_permission": _by_permission(design, locks or ()), "still": still, "undone_by": list(found.undone_by),
            "caution": _cautions(design)}


def _to_work_on(design: Design) -> list[dict[str, Any]]:
    """As `isolate` for every part replaced in service and every circuit; a circuit that feeds a board ends at that board."""
    asked = [(part.name, part.terminals) for part in design.parts]
    for name, circuit in design.inst.circuits.items():
        ends = (*terminals_of(design.network, name), *(terminals_of(design.network, circuit.feeds) if circuit.feeds else ()))
        if not design.circuits[name].is_surge:               # its modules are a part already
            asked.append((f"circuits.{name}", tuple(dict.fromkeys(ends))))
    return [_locked(design, name, ends, "skilled", design.lock_off(ends)) if ends else
            {"part": name, "terminals": [], "lock_off": None, "by_permission": [], "still": [], "undone_by": []}
            for name, ends in asked]


def _elsewhere(design: Design, terminals: Sequence[str], controls: Sequence[str]) -> list[list[str]]:
    """What stays live on the things whose parts these are, and on the things locked off."""
    things = {t.partition(".")[0] for t in (*terminals, *controls)}
    now = design.network.potential(controls)
    return [[t, p] for t, p in now.items() if t.partition(".")[0] in things and p in LIVE]


# ---- changes --------------------------------------------------------------------------------------------------------
def changes(files: Files, start: str = "found", end: str | None = None, overlays: Overlays = ()) -> dict[str, Any]:
    """What differs between two stages, thing by thing; `end` is the furthest unless one is named, overlays lie on it alone.

    Errors: InputError."""
    from spareway.job.changes import changes as between
    before, after = read_job(files).at(start), read_job(files, overlays, end).at(end)
    return {"from": before.stage, "to": after.stage,
            "changes": [{name: getattr(each, name) for name in each.__slots__} for each in between(before, after)]}


# ---- explain, rules -------------------------------------------------------------------------------------------------
def explain(code: str = "") -> dict[str, Any]:
    """One rule with its headings, or one thing asked of a person's eyes; all rules where none is named.

    Errors: InputError with the nearest code or name."""
    if not code:
        return {"rules": [_rule(r) for r in all_rules()]}
    if found := rule_of(code):
        return _rule(found)
    if item := item_of(code):
        return _item(item)
    known = [n for r in all_rules() for n in (r.code, r.name)] + [i.code for i in items()]
    raise InputError([Fault("command line", None, "rule", code, f'there is no rule "{code}"', "", nearest(code, known))])


def _rule(rule: Any) -> dict[str, Any]:
    return {"rule": rule.code, "name": rule.name, "says": rule.says, "about": rule.about, "breach": rule.breach,
            "clause": rule.clause, "authority": rule.authority, "since": rule.since, "until": rule.until,
            **{word.lower().replace(" ", "_"): said for word, said in rule.headings.items()}}


def _item(item: Item) -> dict[str, Any]:
    """As a rule is told; its examples are the answers that a person writes."""
    row = f"observations.csv, eye {item.code}, answer"
    return {"rule": item.code, "name": NAME, "says": f"By eye. Not so: {item.says}.", "about": "place a person has looked at",
            "breach": item.breach, "clause": item.clause, "authority": item.authority, "since": "", "until": "",
            "why": f"Only a person can see it. Look: {item.look}. Usual code, a proposal for a person to decide: "
                   f"{item.proposal}.",
            "remedial": "make it as it should be, and look again", "fires_on": f"{row} no", "passes_on": f"{row} yes"}


__all__ = ["Installation", "Job", "changes", "check", "circuit",
           "exit_code", "explain", "isolate", "live", "paper", "pocket_page",
           "survey_report", "to_json"]
