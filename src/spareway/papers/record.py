"""What bounds the report: what nobody could see, what people decided, what its numbers stand on, and the cautions."""
from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from typing import Any

from spareway.design.design import Design
from spareway.doc import is_fact
from spareway.fact import glossary
from spareway.job.fields import specs
from spareway.job.job import Installation, Job
from spareway.job.types import Cable, Circuit, Device, Earthing, Equipment, Point, Run, Stretch, Supply
from spareway.papers.judged import sources
from spareway.papers.words import label, moment, together
from spareway.rules.base import Finding

__all__ = ["cautions", "decisions", "limits", "stands_on", "stays_live"]

TABLES = ("supplies", "equipment", "runs", "circuits", "earthing")
LOOSE = {"assumed": "Assumed, not measured", "told": "As told by others, not seen", "drawing": "Off a drawing, not measured"}
TRUST = {"uncertain": "Uncertain: nobody agrees, so it reads as not known",
         "from memory": "Limit from memory / not confirmed in this edition: check in your own copy",
         "derived": "Derived by a formula from published numbers", "one source": "One published source",
         "confirmed": "Confirmed in two published sources"}
MUST = ("Ask the network operator; do not withdraw the fuse without their leave.",
        "Asbestos: stop, do not disturb.",
        "Codes and signatures are the inspector's.",
        "Book demand, not load: demand by the book is less than all that is connected, and is no measurement.",
        "Spare way, not spare capacity.")


# ---- live parts -----------------------------------------------------------------------------------------------------
def stays_live(said: Mapping[str, Any], inst: Installation) -> dict[str, Any]:
    """What stays live with everything open that a skilled person may open, and the fewest lock-offs for each part."""
    live = said["live"]
    words = ("line", "line through a load", "not known", "neutral")
    rows = [{"potential": word, "where": _sides([t for t, p in live["still"].items() if p == word])} for word in words]
    offs = [{"part": label(inst, each["part"]), **_lock_off(each, live["by_permission"])} for each in said["lock_off"]]
    return {"opened": _alike(live["opened"]), "by_permission": live["by_permission"], "rows": [r for r in rows if r["where"]],
            "lock_offs": _merged(sorted(offs, key=lambda off: bool(off["can"])))}


def _merged(offs: Sequence[dict[str, str]]) -> list[dict[str, str]]:
    """Parts with one and the same answer on one line."""
    same: dict[tuple[str, ...], list[str]] = {}
    for off in offs:
        same.setdefault((off["can"], off["answer"], off["still"]), []).append(off["part"])
    return [{"part": "; ".join(_alike(parts, " ")), "can": can, "answer": answer, "still": still}
            for (can, answer, still), parts in same.items()]


def _alike(names: Sequence[str], apart: str = ".") -> list[str]:
    """`fuse wire of board way 1`, `... way 2` as `fuse wire of board way 1, 2`; `board.1.carrier` as `board.1, 2.carrier`."""
    same: dict[tuple[str, str], list[str]] = {}
    for name in names:
        steps = name.split(apart)
        number = next((i for i, step in enumerate(steps) if step.isdecimal()), len(steps))
        head, tail = apart.join(steps[:number]), apart.join(steps[number + 1:])
        same.setdefault((head, tail), []).extend(steps[number:number + 1])
    return [apart.join(filter(None, (head, ", ".join(numbers), tail))) for (head, tail), numbers in same.items()]


def _sides(terminals: Sequence[str]) -> str:
    sides: dict[str, list[str]] = {}
    for name in terminals:
        side, _, conductor = name.rpartition(".")
        sides.setdefault(side, []).append(conductor)
    return ", ".join(f"{side} {' '.join(conductors)}" for side, conductors in sides.items())


def _lock_off(off: Mapping[str, Any], by_permission: Sequence[str]) -> dict[str, str]:
    undone = f"; undone by opening or lifting {', '.join(off['undone_by'])}" if off["undone_by"] else ""
    if off["lock_off"] is None:
        return {"can": "", "answer": "none", "still": "; ".join(f"{t}: {p}" for t, p in off["still"]) + undone}
    locks = [f"{each} (by permission)" if each in by_permission else each for each in off["lock_off"]]
    return {"can": "yes", "answer": " and ".join(locks) or "nothing leads there with everything closed",
            "still": undone.removeprefix("; ")}


# ---- limits, decisions ----------------------------------------------------------------------------------------------
def limits(job: Job, inst: Installation) -> list[dict[str, str]]:
    """What the survey did not reach: agreed limits, what could not be seen and why, what was not measured."""
    out = [{"q": "Limit agreed", "a": f"{d.about}: {d.why}", "how": f"{d.who}, {moment(str(d.on))}"}
           for d in job.about.decisions.values() if d.choice == "limit agreed"]
    unseen: dict[tuple[str, str], list[str]] = {}
    loose: dict[tuple[str, str], list[str]] = {}
    for at, value in _said({t: inst.doc.data.get(t, {}) for t in TABLES}, ()):
        thing = ".".join(at[:2])
        if "unknown" in value:
            unseen.setdefault((at[-1], str(value["unknown"])), []).append(thing)
        for way in LOOSE:
            if way in value and not value.keys() & {"measured", "marked"}:
                loose.setdefault((at[-1], way), []).append(thing)
    out += [{"q": f"Not known: {_asked(name)}", "a": together(inst, things), "how": why}
            for (name, why), things in unseen.items()]
    out += [{"q": f"{LOOSE[way]}: {_asked(name)}", "a": together(inst, things), "how": ""}
            for (name, way), things in loose.items()]
    loose_ends = [label(inst, f"runs.{name}") for name, run in inst.runs.items() if "?" in run.joins or len(run.joins) < 2]
    return out + ([{"q": "Not traced to both ends", "a": "; ".join(loose_ends), "how": ""}] if loose_ends else [])


@cache
def _quantities() -> Mapping[str, str]:
    """The quantity of each field whose name is another in the files."""
    types = (Supply, Equipment, Run, Stretch, Circuit, Device, Cable, Point, Earthing)
    return {spec.key: spec.quantity for of in types for spec in specs(of) if spec.is_fact}


def _asked(field: str) -> str:
    """What a field is of, in words."""
    return glossary(_quantities().get(field, field)).says


def _said(value: Any, at: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], Mapping[str, Any]]]:
    """Every fact that says how it is known, with its place."""
    if isinstance(value, dict):
        if at and is_fact(value):
            yield at, value
            return
        for key, each in value.items():
            yield from _said(each, (*at, key))


def decisions(job: Job) -> list[dict[str, str]]:
    """What people decided, allowed and answered."""
    about = job.about
    out = [{"q": d.choice, "a": f"{d.about}: {d.why}", "how": f"{d.who}, {moment(str(d.on))}"} for d in about.decisions.values()]
    out += [{"q": "leave given", "a": f"to open {p.part}", "how": f"{p.by}, reference {p.ref}"
             f"{f', until {moment(str(p.until))}' if p.until else ''}"} for p in about.permissions.values()]
    out += [{"q": "asked", "a": f"{e.to}: {', '.join(e.asks) or 'what was asked is not recorded'}",
             "how": _filed(e.by, e.ref, e.on)} for e in about.enquiries.values()]
    for r in about.replies.values():
        answer = "answer" if not r.allows.known else "allowed" if r.allows.value else "refused"
        told = [f"{glossary(fact.name).says} {fact}" for fact in (r.tail_m, r.raised_fuse_a, r.agreed_a, r.agreed_sources_a)
                if fact.known]
        out.append({"q": answer, "a": f"{r.about}: {'; '.join(filter(None, (r.says, *told)))}",
                    "how": _filed(r.by, r.ref, r.on) + (f", until {moment(str(r.until))}" if r.until else "")})
    return out


def _filed(who: str, ref: str, on: datetime.date | None) -> str:
    """Who asked or answered, its reference, and when."""
    return ", ".join(filter(None, (who, f"reference {ref}" if ref else "", moment(str(on)) if on else "day not recorded")))


# ---- sources, cautions ----------------------------------------------------------------------------------------------
def stands_on(findings: Sequence[Finding]) -> list[dict[str, str]]:
    """The published numbers that the findings stand on, by how far each can be trusted, the least trusted first."""
    found: dict[str, dict[str, dict[str, None]]] = {trust: {} for trust in TRUST}
    for trust, row, code in sources(findings):
        found.setdefault(trust, {}).setdefault(row.where, {})[code] = None
    return [{"q": TRUST.get(trust, trust),
             "a": "; ".join(f"{place} ({', '.join(sorted(codes))})" for place, codes in sorted(places.items()))}
            for trust, places in found.items() if places]


def cautions(said: Mapping[str, Any], design: Design) -> list[str]:
    """The cautions of every check, and those that a survey owes its reader."""
    declared = any(s.ze_ohm.known and s.ze_ohm.how == "declared" for s in design.supplies.values())
    return [*said["caution"], *MUST, *(["Stated maximum, not measured: the loop outside."] if declared else [])]
