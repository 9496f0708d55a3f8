"""Two phones, one job: the other's zip joined with what is here; what both changed, side by side, until somebody chooses."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from spareway.folder.zipped import MOST_ZIP_BYTES, unpacked
from spareway.job.disputed import Dispute, disputes_in
from spareway.job.job import read_job
from spareway.job.merge import Side, choose, merge, sides, who_said
from spareway.rules.disputes import differences
from spareway.survey.clashes import Clash, read_twice, ways_twice
from spareway.survey.doorstep import answers, asked_at
from spareway.survey.rows import added
from spareway.web.clock import now
from spareway.web.pages.places import placed
from spareway.web.phone import phone_of, row_prefix
from spareway.web.record import record, save
from spareway.web.screen import Key, body_of, form_of, go, link, shelf_of, show
from spareway.web.shelf import Shelf

__all__ = ["PAGES", "begun_from", "keep_begun"]

Files = Mapping[str, str]


def begun_from(shelf: Shelf, job: str) -> dict[str, str]:
    """The state that this phone and any other one both began from: as it was brought in, or first carried away."""
    kept: dict[str, str] = json.loads(shelf.note(f"begun/{job}") or "{}")
    return kept


def keep_begun(shelf: Shelf, job: str, files: Mapping[str, str]) -> None:
    """Kept once and never again: a later state is no common ground with a third phone."""
    if not shelf.note(f"begun/{job}"):
        shelf.keep_note(f"begun/{job}", json.dumps(dict(files), ensure_ascii=False))


async def join(request: Request) -> Response:
    """What is disputed here, and the way to bring in the other phone's zip."""
    job = request.path_params["job"]
    shelf = shelf_of(request)
    who = _who(shelf, job)
    disputes = [
        (d.key, *_in_words(d), [(n, v, who.get(d.key, {}).get(v, "")) for n, v in enumerate(d.versions)])
        for d in disputes_in(shelf.files(job)).values()
    ]
    keys = [Key("Places", link(request, "jobs", job, ""), main=True), Key("Findings", link(request, "jobs", job, "findings"))]
    return show(request, "join.html", keys, **placed(request, ""), heading="Two phones", disputes=disputes,
                **_clashes(request))  # fmt: skip


def _clashes(request: Request) -> dict[str, Any]:
    """What no line of a file shows as disputed: two circuits on one way, two values of one reading."""
    job = record(shelf_of(request).files(request.path_params["job"])).job
    there = job.at(None).circuits
    called = {name: each.says or name.replace("-", " ") for name, each in there.items()}
    return {
        "ways": [(way.replace(".", ", way "), [called[name] for name in names]) for way, names in ways_twice(job).items()],
        "twice": [_told(clash, called) for clash in read_twice(job)],
    }


def _told(clash: Clash, called: Mapping[str, str]) -> tuple[str, list[tuple[str, str]]]:
    from spareway.api_readings import row_words

    first = clash.rows[0]
    of = first.a.split(".")[1] if first.a.startswith("circuits.") else ""
    head = ", ".join(filter(None, (called.get(of, of) or "the intake", row_words(first), first.stage)))
    return f"{head[:1].upper()}{head[1:]}", [(row.id, f"{row.shown}, {row.by}, {row.at.replace('T', ' ')}") for row in clash.rows]


def _in_words(of: Dispute) -> tuple[str, list[str]]:
    """What two people changed, as a head and each thing they differ in: an answer of the door by its question."""
    if asks := asked_at(of.address):
        return f"{asks} Two people differ", [" / ".join(answers(of))]
    return f"{of.address.partition('.')[2]}: two people changed it", differences(of)


async def joined(request: Request) -> Response:
    """The other's zip, joined. Nothing is saved unless the whole of it can be read."""
    job = request.path_params["job"]
    shelf = shelf_of(request)
    theirs = unpacked(await body_of(request, MOST_ZIP_BYTES, "job.zip"))
    mine = shelf.files(job)
    merged = merge(begun_from(shelf, job), mine, theirs.texts)
    read_job(merged.files)
    _keep_who(shelf, job, merged.disputes, (begun_from(shelf, job), mine, theirs.texts))
    _save(shelf, job, mine, merged.files)
    for name, picture in theirs.photos.items():
        if name.removeprefix("photos/") not in shelf.photos(job):
            shelf.keep_photo(job, name.removeprefix("photos/"), picture)
    return go(request, link(request, "jobs", job, "join"))


def _who(shelf: Shelf, job: str) -> dict[str, dict[str, str]]:
    """Dispute -> version -> whose it is and when, as the rows of the two copies told when they were joined here."""
    kept: dict[str, dict[str, str]] = json.loads(shelf.note(f"who/{job}") or "{}")
    return kept


def _keep_who(shelf: Shelf, job: str, disputes: Sequence[Dispute], copies: tuple[Files, Files, Files]) -> None:
    """Kept by this phone alone, beside the job: a line of TOML carries no name, so no other phone could say it again."""
    ours, others = sides(*copies)
    words = (f"on this phone: {(ours if ours.by else Side((phone_of(shelf).by,), '')).told()}", f"in the zip: {others.told()}")
    before, now = _who(shelf, job), dict[str, dict[str, str]]()
    for each in disputes:
        said = {version: "; ".join(told for told, is_so in zip(words, who, strict=True) if is_so)
                for version, who in zip(each.versions, who_said(each, *copies[1:]), strict=True)}
        now[each.key] = {version: before.get(each.key, {}).get(version) or told for version, told in said.items()}
    if now != before:
        shelf.keep_note(f"who/{job}", json.dumps(now, ensure_ascii=False))


async def chosen(request: Request) -> Response:
    """One version, whole, in the place of the dispute."""
    job, said = request.path_params["job"], await form_of(request)
    shelf = shelf_of(request)
    mine = shelf.files(job)
    if said.get("row"):
        return _struck_but(request, shelf, said["row"])
    version = said.get("version", "")
    files = choose(mine, said.get("key", ""), int(version) if version.isdigit() else -1)
    _save(shelf, job, mine, files)
    return go(request, link(request, "jobs", job, "join"))


def _struck_but(request: Request, shelf: Shelf, keep: str) -> Response:
    """One of the values that stand side by side is kept; the others are struck, and stay in their file."""
    job, phone = request.path_params["job"], phone_of(shelf)
    files = shelf.files(job)
    clash = next((each for each in read_twice(record(files).job) if keep in {row.id for row in each.rows}), None)
    for row in clash.rows if clash else ():
        if row.id != keep:
            taken_back = {"strikes": row.id, "by": phone.by, "at": now()}
            files = {**files, **added(files, "readings.csv", row_prefix(phone), taken_back)}
    _save(shelf, job, shelf.files(job), files)
    return go(request, link(request, "jobs", job, "join"))


def _save(shelf: Shelf, job: str, before: Mapping[str, str], after: Mapping[str, str]) -> None:
    changed: dict[str, str | None] = {name: text for name, text in after.items() if before.get(name) != text}
    gone = {name: None for name in before if name not in after}
    if changed or gone:
        save(shelf, job, {**changed, **gone})


PAGES: Any = (
    ("/jobs/{job}/join", join, ["GET"]),
    ("/jobs/{job}/join", joined, ["POST"]),
    ("/jobs/{job}/choose", chosen, ["POST"]),
)
