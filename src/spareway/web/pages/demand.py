"""Demand: four figures that answer four questions, beside what the service fuse holds; a logger's CSV brought in."""

from __future__ import annotations

import re
from collections.abc import Mapping
from html import escape
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from spareway.api import CAUTION, to_json
from spareway.doc import Fault, InputError
from spareway.folder.names import known
from spareway.folder.reading import LIMITS
from spareway.web import demand_told as told
from spareway.web.circuit_told import gaps
from spareway.web.pages.places import placed
from spareway.web.record import Record, record, save
from spareway.web.screen import Key, body_of, go, link, shelf_of, show, stages

__all__ = ["PAGES"]

MOST_LETTERS = 60
DRAWN = (("figures", "Four figures"), ("day", "Worst day"), ("length", "How long"))


def _asked_of(request: Request) -> tuple[str, str, Record, str]:
    """Job, stage, its record, and the log: the one asked for, else the highest of all that hold, else "" for none."""
    job, stage = request.path_params["job"], request.query_params.get("stage", "")
    found = record(shelf_of(request).files(job))
    return job, stage, found, told.log_of(found, stage, request.query_params.get("log", ""))


async def demand(request: Request) -> Response:
    """The four figures, the fuse, then each figure's lines."""
    job, stage, found, log = _asked_of(request)
    said = told.documented(found, stage, log)
    keys = [
        Key("Bring in a log", link(request, "jobs", job, "demand", "log"), main=True),
        Key("Service chain", link(request, "jobs", job, "chain", stage=stage)),
        Key("Places", link(request, "jobs", job, "")),
    ]
    connected = said["connected"]
    return show(
        request,
        "demand.html",
        keys,
        **placed(request, ""),
        heading=f"Demand, {said['stage']}",
        stages=stages(request, found.stages, "demand", said["stage"], log=log),
        figures=told.figures(said),
        drawn=link(request, "jobs", job, "demand", "drawn", stage=stage, log=log),
        operator=link(request, "jobs", job, "operator", stage=stage, log=log),
        fuse=told.fuse(said),
        never_blew=said["fuse"]["never_blew"] if said["recorded"]["demand_a"]["amount"] is None else "",
        not_here=told.NOT_HERE,
        connected=[(each["at"].partition(".")[2].replace("-", " "), told.amps(each) or "unknown") for each in connected["of"]],
        lasting=(told.amps(connected["lasting_a"]), gaps(connected["lasting_a"])),
        connected_rests=list(told.rests(connected["total_a"])),
        source=said["book"]["source"],
        totals=told.book_rows(said),
        lines=[(each["row"], len(each["of"]), told.amps(each) or "unknown") for each in said["book"]["lines"]],
        left_out=[(each["at"].partition(".")[2].replace("-", " "), each["why"]) for each in said["book"]["left_out"]],
        log_lines=told.log_lines(said),
        logs=[(n, link(request, "jobs", job, "demand", stage=stage, log=n), n == log) for n in told.logs_of(found.files)],
        moved=told.moved(said),
        spare=told.spare(said),
        cautions=said["caution"],
    )


# ---- drawn ---------------------------------------------------------------------------------------------------------------
async def drawn(request: Request) -> Response:
    """The figures against the fuse; of a log its worst day, and how long it is at least how much."""
    job, stage, found, log = _asked_of(request)
    what = request.query_params.get("what", "figures")
    offered = DRAWN if log else DRAWN[:1]
    if what not in dict(offered):
        raise HTTPException(404)
    here = ("jobs", job, "demand")
    return show(
        request,
        "drawn.html",
        [Key("Demand", link(request, *here, stage=stage, log=log), main=True), Key("Places", link(request, "jobs", job, ""))],
        **placed(request, ""),
        heading="Demand drawn",
        tabs=[(words, link(request, *here, "drawn", what=each, stage=stage, log=log), each == what) for each, words in offered],
        moved=False,
        drawing=found.once(("demand drawn", what, stage, log), lambda: _drawing(found, stage, log, what)),
        cautions=CAUTION,
    )


def _drawing(found: Record, stage: str, log: str, what: str) -> str:
    """One of the three; a sentence where a log gives no minute to draw. Loaded only once it is asked for."""
    from spareway.drawings.of_demand import day_drawn, figures_drawn, length_drawn

    design, read = found.design(stage), told.log_read(found, log)
    if read is None or what == "figures":
        return figures_drawn(design, read, brief=True)
    drawing = day_drawn(design, read, brief=True) if what == "day" else length_drawn(design, read, brief=True)
    return drawing or f"<p>{escape(read.highest.note or 'no minute of this log is known')}</p>"


# ---- a log -----------------------------------------------------------------------------------------------------------------
async def log(request: Request) -> Response:
    """A logger's CSV: its size is known before a row of it is read, and each row is read before it is kept."""
    job = request.path_params["job"]
    if request.method == "GET":
        keys = [Key("Demand", link(request, "jobs", job, "demand"))]
        return show(request, "log.html", keys, **placed(request, ""), heading="Bring in a log", most_bytes=LIMITS.file_bytes)
    from spareway.design.logged import read_log

    name = _name(request.query_params.get("called", ""))
    text = _text(await body_of(request, LIMITS.file_bytes, name), name)
    read_log(name, text)
    shelf = shelf_of(request)
    changed = {f"{told.LOGS}{name}": text}
    _fits({**shelf.files(job), **changed})
    save(shelf, job, changed)
    return go(request, link(request, "jobs", job, "demand", log=name))


def _name(called: str) -> str:
    """A file's name out of what the phone calls it: letters, digits, hyphens, and .csv at its end."""
    plain = re.sub(r"[^A-Za-z0-9_.-]+", "-", called.removesuffix(".csv").removesuffix(".CSV")).strip("-._")[:MOST_LETTERS]
    name = f"{plain or 'log'}.csv"
    assert known(f"{told.LOGS}{name}"), "made of nothing but what a log's name may hold"
    return name


def _fits(files: Mapping[str, str]) -> None:
    """Errors: InputError where the job would be larger than any that can be read back."""
    size = len("".join(files.values()).encode())
    if size > LIMITS.folder_bytes or len(files) > LIMITS.files_n:
        allowed = f"at most {LIMITS.files_n} files and {LIMITS.folder_bytes} bytes"
        now = f"{len(files)} files, {size} bytes"
        raise InputError([Fault("the job", None, "", now, "is as large as a job may be", allowed)])


def _text(data: bytes, name: str) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError([Fault(name, None, "", "", "is no text in UTF-8", "export it as CSV, not as a workbook")]) from None


async def document(request: Request) -> Response:
    """The document of `spareway demand --json`, with --log where one is named: the same bytes as from the command line."""
    from spareway.api_demand import joined
    from spareway.api_operator import told as wanted

    _, stage, found, log = _asked_of(request)
    log = log if "log" in request.query_params else ""
    wants = wanted(found.files, stage or None, log=(log, found.files[f"{told.LOGS}{log}"]) if log else None)
    return Response(to_json(joined(told.documented(found, stage, log), wants)), media_type="application/json")


PAGES: Any = (
    ("/jobs/{job}/demand", demand, ["GET"]),
    ("/jobs/{job}/demand/drawn", drawn, ["GET"]),
    ("/jobs/{job}/demand/log", log, ["GET", "POST"]),
    ("/jobs/{job}/demand.json", document, ["GET"]),
)
