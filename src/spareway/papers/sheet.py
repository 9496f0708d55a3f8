"""The design sheet: of each circuit every quantity with working and page, how far it is from turning, drawings, findings.

At its end a person signs for the design; the program never does.
"""
from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any

from spareway.design.along import along
from spareway.design.choose import choose
from spareway.design.circuit import CircuitDesign
from spareway.design.design import Design
from spareway.design.sheet import NEW, Line, kept_or_new, sheet
from spareway.design.timing import timing
from spareway.drawings.curves import CURRENTS, DECIDES, LEVEL, curves
from spareway.drawings.drop import drop
from spareway.drawings.graph import CAUTION
from spareway.drawings.letters import width
from spareway.fact import Fact, NotKnown, glossary
from spareway.job.job import Job
from spareway.papers.found import cable_of, device_of
from spareway.papers.record import TRUST
from spareway.papers.report import STAGES, dated, edition
from spareway.papers.words import Pieces, asked, ground, in_order, moment, together
from spareway.rules.base import VERDICTS, Finding
from spareway.show import show
from spareway.tables import NoRow

__all__ = ["facts_for"]

Doc = Mapping[str, Any]
WORST = ("stop", "fails", "unknown", "advice")
ASKED_PT, ANSWER_PT, GAP_PT, ROW_PT = 7.5, 8.5, 10.0, 286.0        # as the template sets a row of 102 mm
FAR = 3.0                                        # times
HOLDS = ("Both drawings are made from the record and are no measurement; dashed is what rests on a value nobody confirmed.",
         "Time and current, both axes logarithmic: a fuse by its printed points and straight between them, a breaker as the "
         "area in which its standard lets it open; beyond what is printed nothing is drawn. The level line is "
         f"{LEVEL}. L and E: the energy that a conductor bears. {DECIDES} {CURRENTS}",
         "Voltage: the whole load of a circuit counts as at its far end, that of a ring as at its middle; what leads to the "
         "board carries what its fuse is rated at.",
         "How far from turning: everything else as it is. What lies outside the circuit stands there where it would turn within "
         f"{FAR:g} times.")
SIGN = ("Whoever signs answers for this design. Sign what you have checked against the regulations in force, not what a program "
        "says. What is not known here, or rests on a value from memory, is yours to settle first.")


def facts_for(job: Job, design: Design, _findings: Sequence[Finding], said: Mapping[str, Any],
              _rules: Mapping[str, Mapping[str, Any]]) -> dict[str, Any]:
    """Everything the design sheet prints, as texts; arguments as of the survey report.

    Errors: InputError where the job states no day for this stage."""
    stage = design.inst.stage
    own = sorted((c for c in design.circuits.values() if not c.is_surge), key=_order)
    lines = {c.at: sheet(c) for c in own}
    docs = {c.at: [doc for doc in said["findings"] if _of(doc["subject"]) == c.at] for c in own}
    return {"title": "Design sheet", "about": job.about.says or "A job without a name", "stage": stage, "state": STAGES[stage],
            "day": dated(job, stage), "date": moment(dated(job, stage)), "edition": edition(said),
            "circuits": [_circuit(job, c, lines[c.at], docs[c.at]) for c in own],
            "read": _read(design, lines), "holds": list(HOLDS), "drawing_caution": CAUTION, "sign": SIGN,
            "cautions": list(said["caution"])}


def _order(circuit: CircuitDesign) -> tuple[str, tuple[int, str]]:
    return circuit.board, in_order(circuit.circuit.way.partition(".")[2])


def _of(subject: str) -> str:
    return ".".join(subject.split(".")[:2])


# ---- one circuit ----------------------------------------------------------------------------------------------------
def _circuit(job: Job, of: CircuitDesign, lines: Sequence[Line], docs: Sequence[Doc]) -> dict[str, Any]:
    worst = min((doc["verdict"] for doc in docs if doc["verdict"] != "not applicable"), key=VERDICTS.index, default="unknown")
    turning = _turning(of.at, docs)
    name = of.circuit.says or of.circuit.name.replace("-", " ")
    if of.is_ring and "ring" not in name.split():
        name += ", ring"
    return {"name": name, "is": kept_or_new(of, job.found), "worst": worst, "device": device_of(of), "cable": cable_of(of),
            "length": _result(asked("length_m", lambda: of.length_m))[0], "way": of.circuit.way.replace(".", " "),
            "quantities": [{"heading": heading, "rows": [_row(line) for line in rows]}
                           for heading, rows in groupby(lines, key=lambda line: line.heading)],
            "search": list(_search(of)) if kept_or_new(of, job.found) == NEW else [],
            "turning": turning, "nearest": turning[0]["brief"] if turning else "",
            "findings": [_finding(doc) for doc in docs if doc["verdict"] in WORST],
            "within": _within(docs), "drawings": list(_drawings(of))}


def _row(line: Line) -> dict[str, Any]:
    """A quantity: what it is and the page, its last step with the result on its ground; `one`: there is room for it on a line."""
    answer, page = _answer(line.fact), _page(line.fact)
    question = f"{line.says[:1].upper()}{line.says[1:]}{f' ({page})' if page else ''}"
    wide = width(question, ASKED_PT) + width("".join(piece["t"] for piece in answer), ANSWER_PT)
    return {"q": question, "a": answer, "one": wide + GAP_PT <= ROW_PT}


def _answer(fact: Fact[Any]) -> Pieces:
    """The last line of its working; of what nobody knows, what lacks."""
    symbol = glossary(fact.name).symbol
    if not fact.known:
        return [{"t": f"{symbol} = "}, *_result(fact), {"t": f": {'; '.join(_missing(fact))}"}]
    before, _, after = fact.line().rpartition(f" = {fact}")
    return [{"t": f"{before or symbol} = "}, *_result(fact), *([{"t": after}] if before and after else [])]


def _result(fact: Fact[Any]) -> Pieces:
    return [{"t": str(fact) if fact.known else "not known", "g": ground(fact)}]


def _missing(fact: Fact[Any]) -> Iterator[str]:
    """What lacks, and why; the same lack in several places once."""
    same: dict[tuple[str, str], list[str]] = {}
    for gap in fact.missing():
        same.setdefault((glossary(gap.name).says, gap.note or "not recorded"), []).append(gap.at)
    for (says, note), places in same.items():
        more = f" and {len(places) - 1} more like it" if len(places) > 1 else ""
        yield f"{says}{f', {places[0]}' if places[0] else ''}{more}: {note}"


def _page(fact: Fact[Any]) -> str:
    said = fact.trust if fact.trust in ("from memory", "uncertain") else fact.how if fact.how not in (
        "worked", "total", "table", "unknown", "chosen", "solved") else ""
    return ", ".join(dict.fromkeys(word for word in (said, fact.where) if word))


def _turning(own: str, docs: Sequence[Doc]) -> list[dict[str, str]]:
    """For each length, load and loop of it the values at which a verdict turns, the nearest first."""
    found: dict[tuple[str, str], list[tuple[float, Doc, str]]] = {}
    for doc in docs:
        for turn in doc.get("flips_at", ()):
            times = max(turn["turns_at"] / turn["is"], turn["is"] / turn["turns_at"])
            if times <= FAR or turn["at"].startswith(own):
                found.setdefault((turn["quantity"], turn["at"]), []).append((times, turn, doc["rule"]))
    rows = []
    for (quantity, at), turns in sorted(found.items(), key=lambda item: min(each[0] for each in item[1])):
        turns.sort(key=lambda each: each[0])
        _, first, code = turns[0]
        says, now = glossary(quantity).says, f"{show(first['is'])} {first['unit']}"
        told = dict.fromkeys(f"{show(turn['turns_at'])} {turn['unit']} ({rule})" for _, turn, rule in turns)
        rows.append({"q": f"{says}, {at}, now {now}", "a": "; ".join(told),
                     "brief": f"{says} {now}, turns at {show(first['turns_at'])} {first['unit']} ({code})"})
    return rows


def _finding(doc: Doc) -> dict[str, str]:
    """A finding as the check words it."""
    return {"verdict": doc["verdict"], "code": doc["rule"], "says": doc["says"], "clause": doc["clause"] or "no clause",
            "todo": doc.get("remedial", "").removesuffix(".") if doc["verdict"] in ("stop", "fails") else "",
            "decided": doc.get("decision", "")}


def _within(docs: Sequence[Doc]) -> dict[str, str]:
    kept = [doc for doc in docs if doc["verdict"] == "within"]
    return {"codes": ", ".join(dict.fromkeys(doc["rule"] for doc in kept)),
            "loose": ", ".join(dict.fromkeys(doc["rule"] for doc in kept if doc.get("within")))}


def _search(of: CircuitDesign) -> Iterator[str]:
    """Of a new cable: the least that conforms among the catalogue's, what is open with it, and why each smaller one is not it."""
    choice = choose(of)
    if choice.trial is None:
        why = choice.fact.note or "; ".join(_missing(choice.fact))
        yield f"None on offer conforms{f': {why}' if why else ''}." if not choice.fact.missing() else f"Not known: {why}."
    else:
        yield f"Least on offer that breaks nothing: {choice.trial.says}."
        yield from (f"Open with it: {test.says}." for test in choice.trial.open)
    if choice.settled is not None and choice.settled is not choice.trial:
        yield f"Least that leaves nothing open: {choice.settled.says}."
    for trial in choice.refused:
        broken = "; ".join(test.says for test in trial.broken)
        yield f"Refused, {trial.line_mm2:g}/{trial.cpc_mm2:g} mm²: {broken}."
    if choice.smaller is not None:
        yield f"Refused, {choice.smaller.says}."


def _drawings(of: CircuitDesign) -> Iterator[dict[str, str]]:
    """Each where it says something: the times where its device or the service fuse is known, the voltage where all of it is."""
    name = of.circuit.name
    times = timing(of)
    if times.device.points or times.device.opens:
        yield _drawn(curves(times, name, brief=True))
    try:
        way = along(of)
    except (NotKnown, NoRow):                            # its rows on the left say which value is outside its table
        return
    if way.total_v.known and way.limit_v.known:
        yield _drawn(drop(way, name, brief=True))


def _drawn(svg: str) -> dict[str, str]:
    return {"svg": svg, "alt": svg.partition("<desc>")[2].partition("</desc>")[0]}


# ---- of all ---------------------------------------------------------------------------------------------------------
def _read(design: Design, lines: Mapping[str, Sequence[Line]]) -> list[dict[str, Any]]:
    """Every number read off a table, once, with its page, the least trusted first, and the circuits that stand on it."""
    found: dict[str, dict[tuple[str, str], dict[str, None]]] = {trust: {} for trust in TRUST}
    for at, own in lines.items():
        for root in (root for line in own for root in line.fact.roots()):
            if root.how == "table" and root.known and root.formula is not None:
                by_trust = found.setdefault(root.trust or "confirmed", {})
                by_trust.setdefault((root.formula.line(root), root.where), {})[at] = None
    return [{"trust": TRUST.get(trust, trust),
             "rows": [{"line": line, "where": where, "of": together(design.inst, list(of), brief=True)}
                      for (line, where), of in rows.items()]} for trust, rows in found.items() if rows]
