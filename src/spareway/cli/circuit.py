"""`spareway circuit`: all circuits in a table, one with every quantity and its working, or a new one that is yet to be chosen."""
from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from pathlib import Path
from typing import Any

import click

from spareway.cli.arguments import Verb, job_argument, json_option, open_job, overlay_option, stage_option
from spareway.cli.layout import GLUE, TITLES, counted, mark, out, out_json, paragraph
from spareway.rules.base import VERDICTS
from spareway.rules.circuit_words import Waiting, cable_words, device_words, holds, title_of, turns_of, waiting, worst
from spareway.show import exact, show

__all__ = ["command"]

Said = Mapping[str, Any]
BODY, UNDER = 2, 6
SHORT = {**TITLES, "within": "Within"}


# ---- all of them ------------------------------------------------------------------------------------------------------
def table(said: Said) -> list[str]:
    """A line or two a circuit: what it is made of, its worst finding, the length at which it turns."""
    circuits = sorted(said["circuits"], key=lambda c: VERDICTS.index(c["verdict"]))
    lines = [*_head(said), "", *paragraph(f"{counted(len(circuits), 'circuit').capitalize()}, the worst first.")]
    for each in circuits:
        first = worst(each["findings"])
        lines += ["", f"{mark(each['verdict'])} {SHORT[each['verdict']]}  {_called(each)}"]
        lines += paragraph(f"{cable_words(each)}; {device_words(each)}", UNDER)
        lines += paragraph(f"{first['rule']}: {first['says'].partition('. ')[0]}", UNDER, UNDER + 2) if first else []
        lines += paragraph(turning, UNDER) if (turning := holds(each)) else []
    return lines


def _head(said: Said) -> list[str]:
    books = ", ".join(f"{book.upper().replace('BS7671', 'BS 7671:')}{edition}" for book, edition in said["books"].items())
    return [*paragraph(said["job"] or "A job without a name"), *paragraph(f"{said['stage'].capitalize()}, judged by {books}.")]


def _called(circuit: Said) -> str:
    says = f", {circuit['says']}" if circuit["says"] and circuit["says"] != circuit["name"] else ""
    return f"{circuit['name']} [{circuit['way']}]{says}"


# ---- one of them --------------------------------------------------------------------------------------------------------
def sheet(said: Said) -> list[str]:
    """Every quantity with its working and page, then what its checks come to, each with where it turns."""
    circuit = said["circuits"][0]
    lines = [*_head(said), "", *paragraph(f"{_called(circuit)}: {circuit['is']}"),
             *paragraph(f"{cable_words(circuit)}; {device_words(circuit)}"),
             f"{mark(circuit['verdict'])} {TITLES[circuit['verdict']]}", *paragraph(holds(circuit))]
    seen: set[str] = set()
    for heading, quantities in groupby(circuit["quantities"], key=lambda q: str(q["heading"])):
        lines += ["", f"{heading}:"]
        for each in quantities:
            lines += _quantity(each, circuit["findings"], seen)
    return [*lines, "", *_findings(circuit)]


def _quantity(said: Said, findings: Sequence[Said], seen: set[str]) -> list[str]:
    """What it is, then the lines of its working and its sources that no quantity above it has shown."""
    lines = paragraph(f"{said['says']}: {said['is'].replace(' ', GLUE)}", BODY, BODY + 2)
    for text in _beneath(said, findings):
        if text not in seen:
            seen.add(text)
            lines += paragraph(text, UNDER, UNDER + 2)
    return lines


def _beneath(said: Said, findings: Sequence[Said]) -> Iterator[str]:
    yield from (f"= {line}" for line in said["working"])
    if said["how"] in ("worked", "total"):
        yield f"by {said['where']}"
    yield from (f"from {source}" for source in said["sources"])
    for gap in said["missing"]:
        yield f"missing: {', '.join(filter(None, (gap['says'], gap['at'], gap['why'])))}"
    for ground in said["rests_on"]:
        note = f" ({ground['note']})" if ground["note"] else ""
        yield f"rests on {ground['says']} {ground['is']}, {ground['how']}{note}"
    yield from turns_of(said, findings)


def _findings(circuit: Said) -> list[str]:
    findings = circuit["findings"]
    lines, waits = ["What its checks come to:"], waiting(circuit)
    for each in (f for f in findings if f["verdict"] != "not applicable"):
        verdict = each["verdict"]
        if verdict == "unknown":                     # the first of them stands for all: in the order of the document, worst first
            lines += [line for want in waits for line in _waiting(want)]
            waits = []
            continue
        assumed = ", ".join(dict.fromkeys(f"{g['says']} {g['is']}" for g in each["rests_on"] if g["how"] == "assumed"))
        loose = f" ({each['within']}{f'; assumed: {assumed}' if assumed else ''})" if each.get("within") else ""
        text = f"{SHORT[verdict]}{loose}  {each['rule']}, {each['clause'] or 'no clause'}: {each['says']}"
        head, *rest = paragraph(f"{mark(verdict)} {text}", 0, UNDER)
        lines += [head, *rest]
        if verdict in VERDICTS[:4] and each["remedial"]:
            lines += paragraph(f"To do: {each['remedial']}", UNDER, UNDER + 2)
        for turn in each["flips_at"]:
            at, now = (f"{said} {turn['unit']}" for said in (show(turn["turns_at"]), exact(turn["is"])))
            lines += paragraph(f"turns at {at}: {turn['at']} is {now}", UNDER, UNDER + 2)
    silent = len([f for f in findings if f["verdict"] == "not applicable"])
    return [*lines, *paragraph(f"{counted(silent, 'more rule')} {'does' if silent == 1 else 'do'} not apply.")]


def _waiting(want: Waiting) -> list[str]:
    """One thing that lacks, with every check that waits for it."""
    first = f"{mark('unknown')} {SHORT['unknown']}  {want.says}"
    lines = paragraph(first, 0, UNDER)
    for each in want.findings:
        lines += paragraph(f"- {each['rule']}, {each['clause'] or 'no clause'}: {title_of(each)}", UNDER, UNDER + 2)
    lines += paragraph(f"missing: {'; '.join(_lacking(want))}", UNDER, UNDER + 2) if _lacking(want) else []
    return lines


def _lacking(want: Waiting) -> list[str]:
    told = (", ".join(filter(None, (gap["says"], gap["at"], gap["why"]))) for each in want.findings for gap in each["missing"])
    return list(dict.fromkeys(told))


def _caution(said: Said) -> list[str]:
    return ["", *(line for text in said["caution"] for line in paragraph(text))]


def _new(files: dict[str, str], asked: str, stage: str | None, laid: list[tuple[str, str]], as_json: bool) -> int:
    from spareway.api import exit_code
    from spareway.api_circuit import new_circuit
    from spareway.cli.chosen import chosen
    from spareway.rules.circuit_words import verdict_of
    said = new_circuit(files, asked, stage, laid)
    if as_json:
        out_json(said)
    else:
        out([*chosen(said), *_caution(said)])
    return exit_code({"verdict": verdict_of(said)})


def _together(files: dict[str, str], name: str, stage: str | None, laid: list[tuple[str, str]], as_json: bool) -> int:
    from spareway.api import exit_code
    from spareway.api_circuit import board
    from spareway.cli.chosen import together
    from spareway.rules.circuit_words import OF_CHOICE
    said = board(files, name, stage, laid)
    if as_json:
        out_json(said)
    else:
        out([*together(said), *_caution(said)])
    verdicts = [OF_CHOICE[each["verdict"]] for each in said["circuits"]]
    return exit_code({"verdict": min(verdicts, key=VERDICTS.index, default="within")})


@click.command("circuit", cls=Verb)
@job_argument
@click.argument("name", default="")
@click.option("--new", "asked", metavar="WORDS", help='A circuit that is yet to be: "7.2 kW cooker, 14 m, method 100". Chooses '
              "the least cable and device that conform.")
@click.option("--board", is_flag=True, help="All new circuits of a board, NAME where there are several, chosen together: "
              "those that run in one bundle share its grouping.")
@stage_option
@overlay_option
@json_option
def command(job: Path, name: str, asked: str | None, board: bool, stage: str | None, overlays: Sequence[str],
            as_json: bool) -> int:
    """The circuits of JOB in a table, the worst first; with NAME every quantity of that one, its working and its page.

    Ends with 0 when nothing is worse than advice, 1 at a stop, a fail or when nothing conforms, 3 with unknowns alone."""
    from spareway.api import circuit, exit_code
    if asked is not None and (name or board):
        raise click.UsageError("name a circuit that is there, or ask one with --new, or a board with --board: not two of them")
    files, laid = open_job(job, overlays)
    if board:
        return _together(files, name, stage, laid, as_json)
    if asked is not None:
        return _new(files, asked, stage, laid, as_json)
    said = circuit(files, name, stage, laid)
    if as_json:
        out_json(said)
    else:
        out([*(sheet(said) if name else table(said)), *_caution(said)])
    verdicts = [each["verdict"] for each in said["circuits"]]
    return exit_code({"verdict": min(verdicts, key=VERDICTS.index, default="unknown")})
