"""The survey report: what was found, what to make safe, what stays live, what fails, what is not known, what it rests on."""
from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from spareway.design.design import Design
from spareway.doc import Fault, InputError
from spareway.job.job import Installation, Job
from spareway.papers import found, judged, record
from spareway.papers.looked import looked
from spareway.papers.words import joined, label, moment
from spareway.rules.base import Finding
from spareway.rules.grouped import BAD, tally
from spareway.rules.today import stops_as_found, told

__all__ = ["STAGES", "dated", "edition", "facts_for"]

STAGES = {"found": "As found", "proposed": "As proposed, not built yet", "fitted": "As fitted, by the record"}
HEADS = {"found": "What was found", "proposed": "What is proposed", "fitted": "What was fitted"}
DATES = {"found": ("survey",), "proposed": ("design", "survey"), "fitted": ("test", "work", "survey")}


def dated(job: Job, stage: str) -> str:
    """The day a paper of this stage carries: one that the job states, never today's. Errors: InputError where it states none."""
    for name in DATES[stage]:
        if said := job.about.dates.get(name, ""):
            return _day(name, said)
    raise InputError([Fault("job.toml", None, "dates", "", f"a paper carries a day, and the job states none for {stage}",
                            f'write dates = {{ {DATES[stage][0]} = "2026-11-09" }}')])


def _day(name: str, said: str) -> str:
    import datetime
    try:
        return datetime.date.fromisoformat(said).isoformat()
    except ValueError:
        wrong = Fault("job.toml", None, f"dates.{name}", said, f'read "{said}"', "write a date like 2026-11-09")
        raise InputError([wrong]) from None


def facts_for(job: Job, design: Design, findings: Sequence[Finding], said: Mapping[str, Any],
              rules: Mapping[str, Mapping[str, Any]]) -> dict[str, Any]:
    """Everything the survey report prints, as texts.

    findings: as judged, in the order of `said`, the document of the check; rules: all there are, by code.
    Errors: InputError where the job states no day for this stage."""
    inst = design.inst
    docs = said["findings"]
    groups = {verdict: judged.groups(findings, docs, verdict, inst) for verdict in BAD}
    return {"title": "Survey report", "about": job.about.says or "A job without a name", "stage": inst.stage,
            "state": STAGES[inst.stage], "head": HEADS[inst.stage], "day": dated(job, inst.stage),
            "date": moment(dated(job, inst.stage)), "edition": edition(said), "summary": _summary(said),
            "supply": found.supply(job, design), "things": found.things(design), "runs": found.runs(design),
            "boards": found.boards(design), "circuits": found.circuits(design, findings),
            "readings": found.readings(job, design),
            "seen": found.seen(job, {row.where: _called(job, inst, row.where) for row in job.observations}),
            "looked": looked(said["by_eye"], lambda address: _called(job, inst, address)),
            "groups": groups, "today": _today(job, inst), "live": record.stays_live(said, inst),
            "within": judged.within(findings, docs, inst), "settling": judged.settling(docs, inst),
            "limits": record.limits(job, inst), "decisions": record.decisions(job), "sources": record.stands_on(findings),
            "cautions": record.cautions(said, design), "ran": _ran(said, len(rules))}


def _called(job: Job, inst: Installation, address: str) -> str:
    """What a thing is called at this stage; what is no longer there, as it was called when it was found."""
    return name if (name := label(inst, address)) != address else label(job.found, address)


def _today(job: Job, inst: Installation) -> list[dict[str, Any]]:
    """What must be made safe as it stands."""
    stops = stops_as_found(job, inst.stage)
    return judged.groups(stops, told(stops), "stop", job.found)


def edition(said: Mapping[str, Any]) -> list[str]:
    books = [f"{book.upper().replace('BS7671', 'BS 7671')}:{edition}" for book, edition in said["books"].items()]
    return [*books, *([said["nation"]] if said["nation"] else [])]


def _summary(said: Mapping[str, Any]) -> str:
    told = joined(each.says for each in tally(said["counts"]) if each.verdict in BAD)
    return f"{told[:1].upper()}{told[1:]}." if told else "Nothing is worse than within the limits checked."


def _ran(said: Mapping[str, Any], of_n: int) -> dict[str, str]:
    """The rules that ran, so that a short list never reads as clean."""
    rules, counts = said["rules"], said["counts"]
    loose = len([f for f in said["findings"] if f.get("within")])
    return {"run": ", ".join(rules["run"]), "n": f"{len(rules['run'])} of {of_n}", "within": str(counts["within"]),
            "loose": str(loose),
            "idle": ", ".join(rules["without subject"]) or "none", "not_applicable": str(counts["not applicable"]),
            "not_in_edition": ", ".join(rules["not in this edition"]) or "none"}
