"""What the record amounts to: findings worst first, those of one rule together, and the working behind every number."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from spareway.api import to_json
from spareway.drawings.marks import CLASSES, mark
from spareway.drawings.strip import strip
from spareway.rules.base import VERDICTS
from spareway.rules.grouped import WORDS, Group, Member, by_how_much, by_rule, counted, needs, standing_words, tally
from spareway.show import show as shown
from spareway.web.pages.places import placed
from spareway.web.record import record
from spareway.web.screen import STAGES, Key, link, shelf_of, show, spoken, stages

__all__ = ["PAGES"]

Finding = Mapping[str, Any]
BAD = ("stop", "fails", "advice")
FEW, FEW_PLACES = 5, 3


async def findings(request: Request) -> Response:
    """Counted in words, worst first; what would settle the unknown ones stands before them, what settles most first."""
    job, stage = request.path_params["job"], request.query_params.get("stage", "")
    found = record(shelf_of(request).files(job))
    said = found.checked(stage)
    every, unknown_n = request.query_params.get("every") == "yes", said["counts"]["unknown"]
    today = found.stops_as_found if said["stage"] == "proposed" else []
    failed = found.fails_as_found(stage)
    as_found = link(request, "jobs", job, "findings", stage="found")
    keys = [
        Key("Picture", link(request, "jobs", job, "picture", stage=stage), main=True),
        Key("Places", link(request, "jobs", job, "")),
    ]
    return show(
        request,
        "findings.html",
        keys,
        **placed(request, ""),
        heading=f"Findings, {STAGES[said['stage']].lower()}",
        today=[_group(g, lambda _: as_found) for g in by_rule(today, ("stop",))],
        as_found=as_found,
        failed=[_group(g, lambda _: as_found) for g in by_rule(failed, ("fails",))],
        failed_says=standing_words(len(failed)),
        tally=[(CLASSES[t.verdict], mark(t.verdict), t.says) for t in tally(said["counts"]) if t.verdict in VERDICTS[:5]],
        groups=_groups(request, said, BAD),
        unknown=_groups(request, said, ("unknown",)) if every else [],
        needs=_needs(said["findings"], None if every else FEW),
        more=link(request, "jobs", job, "findings", stage=stage, every="yes") if not every and unknown_n else "",
        unknown_n=unknown_n,
        rest=_rest(said),
        cautions=said["caution"],
        stages=stages(request, found.stages, "findings", said["stage"]),
    )


def _groups(request: Request, said: Mapping[str, Any], verdicts: Sequence[str]) -> list[dict[str, Any]]:
    job, stage = request.path_params["job"], request.query_params.get("stage", "")
    return [
        _group(group, lambda m: link(request, "jobs", job, "findings", str(m.index), stage=stage))
        for group in by_rule(said["findings"], verdicts)
    ]


def _group(group: Group, href: Any) -> dict[str, Any]:
    """The findings of one rule: its sentence once, then each place with what it says beyond it. href: a member's address."""
    return {
        "cls": CLASSES[group.verdict],
        "mark": mark(group.verdict),
        "word": group.word,
        "title": group.title,
        "common": ". ".join(group.common),
        "do": _capital(group.todo) if group.verdict == "stop" else "",
        "members": [_member(m, href(m)) for m in group.members],
    }


def _member(member: Member, href: str) -> dict[str, Any]:
    return {**_measured(member.finding), "href": href, "where": spoken(member.finding["subject"]), "says": _capital(member.says)}


def _measured(finding: Finding) -> dict[str, Any]:
    """A finding's strip, by how much and where it turns. Of one that is unknown nothing: whatever was compared is not firm."""
    if finding["verdict"] == "unknown":
        return {"strip": "", "facts": []}
    facts = [(word, much)] if (word := by_how_much(finding)[0]) and (much := by_how_much(finding)[1]) else []
    facts += [("turns at", f"{shown(t['turns_at'])} {t['unit']}") for t in finding.get("flips_at", ())[:1]]
    drawn = ""
    if finding.get("limit") is not None and finding.get("value") is not None:
        drawn = strip(finding["value"], finding["limit"], finding["relation"], finding["unit"], finding["verdict"])
    return {"strip": drawn, "facts": facts}


def _needs(findings: Sequence[Finding], most: int | None) -> list[tuple[str, str, str, str]]:
    """What would settle the unknown ones: (what, where, why it is not known, how many wait), what settles most first."""
    out = []
    for need in needs(findings)[:most]:
        places = [spoken(place) for place in need.places]
        at = ", ".join(places[:FEW_PLACES]) + (f" and {len(places) - FEW_PLACES} more" if len(places) > FEW_PLACES else "")
        out.append((_capital(need.says), at, need.why, counted(len(need.waiting), "finding waits", "findings wait")))
    return out


def _rest(said: Mapping[str, Any]) -> str:
    rules, counts = said["rules"], said["counts"]
    return (
        f"{len(rules['run'])} rules ran; {counts['within']} findings are within the limit checked, "
        f"{counts['not applicable']} do not apply. "
        f"{len(said['by_eye']['unknown'])} things only a person can see have no answer yet."
    )


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


async def document(request: Request) -> Response:
    """The document of `spareway check --json`: the same bytes as from the command line."""
    found = record(shelf_of(request).files(request.path_params["job"]))
    return Response(to_json(found.checked(request.query_params.get("stage", ""))), media_type="application/json")


# ---- one finding ------------------------------------------------------------------------------------------------------
async def working(request: Request) -> Response:
    """One finding with every line of its working, what each number stands on, and where it would turn."""
    job, stage, index = request.path_params["job"], request.query_params.get("stage", ""), request.path_params["index"]
    found = record(shelf_of(request).files(job))
    said = found.checked(stage)
    if not index.isdigit() or int(index) >= len(said["findings"]):
        raise HTTPException(404)
    finding = said["findings"][int(index)]
    if "working" not in finding:
        finding = found.checked(stage, full=True)["findings"][int(index)]
    verdict = finding["verdict"]
    return show(
        request,
        "working.html",
        [
            Key("Back", link(request, "jobs", job, "findings", stage=stage), main=True),
            Key("Photo", link(request, "jobs", job, "photos", about=finding["subject"])),
        ],
        **placed(request, ""),
        heading=spoken(finding["subject"]),
        f=finding,
        word=WORDS[verdict],
        cls=CLASSES[verdict],
        mark=mark(verdict),
        where=spoken(finding["subject"]),
        measured=_measured(finding),
        turns=[
            (spoken(t["at"]), f"{shown(t['is'])} {t['unit']}", f"{shown(t['turns_at'])} {t['unit']}")
            for t in finding.get("flips_at", ())
        ],
        grounds=[(g["says"], g["is"], g["how"], g["note"]) for g in finding.get("rests_on", ())],
        missing=[(g["says"], spoken(g["at"] or finding["subject"]), g["why"]) for g in finding.get("missing", ())],
        caution=said["caution"][0],
    )


PAGES = (("/jobs/{job}/findings", findings, ["GET"]), ("/jobs/{job}/findings/{index}", working, ["GET"]),
         ("/jobs/{job}/check.json", document, ["GET"]))
