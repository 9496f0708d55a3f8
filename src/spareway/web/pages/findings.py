"""What the record amounts to: findings worst first, each with its strip, and the working behind every number."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from spareway.api import to_json
from spareway.drawings.marks import CLASSES, mark
from spareway.drawings.strip import strip
from spareway.show import apart
from spareway.show import show as shown
from spareway.web.pages.places import placed
from spareway.web.record import record
from spareway.web.screen import Key, link, shelf_of, show

__all__ = ["PAGES"]

Finding = Mapping[str, Any]
WORDS = {
    "stop": "Stop",
    "fails": "Fails",
    "unknown": "Unknown",
    "advice": "Advice",
    "within": "Within the limit checked",
    "not applicable": "Not applicable",
}
COUNTED = {
    "stop": ("stop", "stops"),
    "fails": ("fails", "fail"),
    "unknown": ("unknown", "unknown"),
    "advice": ("advice", "advice"),
    "within": ("within", "within"),
}
BAD = ("stop", "fails", "advice")
FEW = 5


async def findings(request: Request) -> Response:
    """Counted in words, worst first; those that are unknown stand together by the measurement that would settle them."""
    job, stage = request.path_params["job"], request.query_params.get("stage", "")
    found = record(shelf_of(request).files(job))
    said = found.checked(stage)
    numbered = list(enumerate(said["findings"]))
    blocks = [_block(request, job, stage, i, f) for i, f in numbered if f["verdict"] in BAD]
    unknown = [_block(request, job, stage, i, f) for i, f in numbered if f["verdict"] == "unknown"]
    wanted = needs(said["findings"])
    every = request.query_params.get("every") == "yes"
    keys = [
        Key("Picture", link(request, "jobs", job, "picture", stage=stage), main=True),
        Key("Places", link(request, "jobs", job, "")),
    ]
    tally = [(CLASSES[v], mark(v), f"{n} {COUNTED[v][n != 1]}") for v in COUNTED if (n := said["counts"][v])]
    return show(
        request,
        "findings.html",
        keys,
        **placed(request, ""),
        heading=f"Findings, {said['stage']}",
        tally=tally,
        blocks=blocks,
        unknown=unknown if every else [],
        needs=wanted if every else wanted[:FEW],
        more=link(request, "jobs", job, "findings", stage=stage, every="yes") if not every and unknown else "",
        unknown_n=len(unknown),
        rest=_rest(said),
        cautions=said["caution"],
        stages=[
            (words, link(request, "jobs", job, "findings", stage=name), name == said["stage"])
            for name, words in (("found", "As found"), ("proposed", "Proposed"), ("fitted", "Fitted"))
            if name in found.stages
        ],
    )


def needs(findings: Sequence[Finding]) -> list[tuple[str, str, str, int]]:
    """What would settle the unknowns: (what, where, why not known yet, findings that wait), what settles most first."""
    waiting: dict[tuple[str, str, str], set[tuple[str, str]]] = {}
    for finding in (f for f in findings if f["verdict"] == "unknown"):
        for gap in finding.get("missing", ()):
            at = spoken(gap["at"] or finding["subject"])
            waiting.setdefault((gap["says"], at, gap["why"]), set()).add((finding["rule"], finding["subject"]))
    ordered = sorted(waiting.items(), key=lambda each: -len(each[1]))
    return [(*key, len(rules)) for key, rules in ordered]


def _rest(said: Mapping[str, Any]) -> str:
    rules, counts = said["rules"], said["counts"]
    return (
        f"{len(rules['run'])} rules ran; {counts['within']} findings are within the limit checked, "
        f"{counts['not applicable']} do not apply. "
        f"{len(said['by_eye']['unknown'])} things only a person can see have no answer yet."
    )


def _block(request: Request, job: str, stage: str, index: int, finding: Finding) -> dict[str, Any]:
    verdict = finding["verdict"]
    block: dict[str, Any] = {
        "href": link(request, "jobs", job, "findings", str(index), stage=stage),
        "cls": CLASSES[verdict],
        "mark": mark(verdict),
        "word": WORDS[verdict],
        "where": spoken(finding["subject"]),
        "says": finding["says"],
        "strip": "",
        "facts": [],
        "do": finding.get("remedial", ""),
        "source": f"{finding['rule']}, {finding['clause'] or 'no clause'}",
    }
    if "limit" in finding and finding["value"] is not None and finding["limit"] is not None:
        block["strip"] = strip(finding["value"], finding["limit"], finding["relation"], finding["unit"], verdict)
        block["facts"] = [_by_how_much(finding)]
    block["facts"] += [("turns at", f"{shown(t['turns_at'])} {t['unit']}") for t in finding.get("flips_at", ())[:1]]
    return block


def _by_how_much(finding: Finding) -> tuple[str, str]:
    value, limit = finding["value"], finding["limit"]
    left, right = (float(each) for each in apart(value, limit))
    good = finding["verdict"] in ("within", "not applicable")
    word = "to spare" if good else "short by" if finding["relation"] == "at least" else "over by"
    return word, f"{shown(abs(left - right))} {finding['unit']}"


def spoken(address: str) -> str:
    """An address as a person says it: without its table."""
    return "the whole installation" if address == "installation" else address.partition(".")[2] or address


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
        block=_block(request, job, stage, int(index), finding),
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
