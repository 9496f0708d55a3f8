"""What the readings of a circuit say together: the fault that explains them and where, what to read next, each reading told."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from starlette.requests import Request
from starlette.responses import Response

from spareway import api
from spareway.doc import Fault, InputError
from spareway.survey.readings import Test, proposed, row_taken
from spareway.web.clock import now, today
from spareway.web.pages.circuits import asked_of, called, circuit_at
from spareway.web.pages.places import placed
from spareway.web.phone import phone_of, row_prefix
from spareway.web.record import Record, record, save
from spareway.web.screen import Key, form_of, go, link, shelf_of, show, stages, told_why
from spareway.web.tester import asked, keep, taken_with

if TYPE_CHECKING:
    from spareway.job.types import Instrument
    from spareway.readings.of_job import Explained

__all__ = ["PAGES"]

# by stage and circuit what was said last, of whatever job: what does not fit the next is not gone on from
_LAST: dict[str, Explained] = {}
SHOWN, ACTS_N, LAST_N = 8, 10, 6


def _explained(found: Record, stage: str, name: str) -> Explained:
    """What the readings of a circuit say, worked out once for each state of the job; one reading more costs only that reading."""
    from spareway.readings.of_job import explained

    key = f"{stage} {name}"

    def anew() -> Explained:
        said = _LAST[key] = explained(found.design(stage).circuits[name], _LAST.pop(key, None))
        while len(_LAST) > LAST_N:
            del _LAST[next(iter(_LAST))]
        return said

    return found.once(("explained", key), anew)


# ---- what they say ------------------------------------------------------------------------------------------------------
async def told(request: Request) -> Response:
    """Of one circuit: the answer first, then what to read next, then the picture and every fault that is left."""
    # what is asked for late in a job is not loaded while the phone starts
    from spareway.api_readings import SURE, fell_words, in_a_hundred, picture_of, told_of
    from spareway.drawings.ring import ring_drawn

    job, stage, name = asked_of(request)
    record_ = record(shelf_of(request).files(job))
    circuit = circuit_at(record_, stage, name)
    found = _explained(record_, stage, name)
    said = told_of(circuit, found)
    rows = [{**row, "told": fell_words(row)} for row in said["read"]]
    sure = bool(said["faults"]) and said["faults"][0]["share"] >= SURE
    offered = _offered(record_, stage, name)
    at_tests = link(request, "jobs", job, "test", name)
    at_next = link(request, "jobs", job, "readings", "next", of=name, stage=stage)
    keys = [
        Key("Read next", at_next, main=True) if offered and not sure else Key("Dead test", at_tests, main=True),
        Key("Ways", link(request, "jobs", job, "test")),
        Key("The circuit", link(request, "jobs", job, "circuit", of=name, stage=stage)),
    ]
    return show(
        request,
        "told.html",
        keys,
        **placed(request, "dead test"),
        heading=f"Readings: {called({'says': circuit.circuit.says, 'name': name})}",
        stages=stages(request, record_.stages, "readings", circuit.design.inst.stage, of=name),
        said=said,
        sure=sure,
        rows=rows,
        leaves_open=said["leaves_open"],
        odd=[row for row in rows if row["fell"] not in ("", "as expected", "cannot tell")][:SHOWN],
        share=in_a_hundred(said["faults"][0]["share"]) if said["faults"] else "",
        faults=[(in_a_hundred(f["share"]), f["says"]) for f in said["faults"][:SHOWN]],
        following=offered,
        next_href=at_next,
        drawing=ring_drawn(picture_of(circuit, found), brief=True) if circuit.is_ring else "",
        cautions=api.CAUTION,
    )


def _offered(found: Record, stage: str, name: str) -> list[tuple[Test, float]]:
    """The readings to take next that a row can hold, the most telling a minute first, and how many minutes each takes."""
    ring = found.design(stage).circuits[name].is_ring
    told = ((proposed(name, p.probe, p.says, ring), p.minutes) for p in _explained(found, stage, name).proposals)
    return [(test, minutes) for test, minutes in told if test is not None]


# ---- the reading to take next -----------------------------------------------------------------------------------------------
async def following(request: Request) -> Response:
    """Its instruction first, then one entry. What it should show stands nowhere on it."""
    job, stage, name = asked_of(request)
    found = record(shelf_of(request).files(job))
    circuit_at(found, stage, name)
    return _following(request, found, stage, name, request.query_params.get("probe", ""))


def _following(
    request: Request, found: Record, stage: str, name: str, probe: str, typed: str = "", fault: str = "", status: int = 200
) -> Response:
    job, offered = request.path_params["job"], _offered(found, stage, name)
    test, minutes = next(((t, m) for t, m in offered if t.id == probe), offered[0] if offered else (None, 0.0))
    here, of = ("jobs", job, "readings"), {"of": name, "stage": stage}
    others = [(t.says, link(request, *here, "next", **of, probe=t.id)) for t, _ in offered if t is not test]
    keys = [Key("Readings", link(request, *here, **of)), Key("Measured with", link(request, "jobs", job, "tester", **of))]
    return show(
        request,
        "told_next.html",
        keys,
        status,
        **placed(request, "dead test"),
        heading="Read next",
        test=test,
        minutes=minutes,
        others=others,
        of=name,
        stage=stage,
        typed=typed,
        fault=fault,
        tester=taken_with(shelf_of(request), today().isoformat()),
    )


async def taken(request: Request) -> Response:
    """The entry, kept as it was typed; then what all readings say now."""
    job, stage, name = asked_of(request)
    shelf, said = shelf_of(request), await form_of(request)
    files = shelf.files(job)
    found = record(files)
    circuit = circuit_at(found, stage, name)
    test = _asked_for(found, stage, name, said.get("test", ""))
    phone, tester = phone_of(shelf), taken_with(shelf, today().isoformat())
    try:
        changed = row_taken(
            files, test, circuit.design.inst.stage, said.get("value", ""), phone.by, now(), row_prefix(phone), tester.row
        )
        save(shelf, job, changed)
    except InputError as problem:
        return _following(request, found, stage, name, test.id, said.get("value", ""), told_why(problem), 422)
    return go(request, link(request, "jobs", job, "readings", of=name, stage=stage))


def _asked_for(found: Record, stage: str, name: str, probe: str) -> Test:
    """Any reading of the circuit by its name. Errors: InputError."""
    ranked = _explained(found, stage, name).ranked
    known = ranked.wired.probes if ranked else {}
    ring = found.design(stage).circuits[name].is_ring
    test = proposed(name, probe, known[probe].says, ring) if probe in known else None
    if test is None:
        raise InputError([Fault("answer", None, probe, probe, "no such reading of this circuit")])
    return test


# ---- what to find out next over the whole job -------------------------------------------------------------------------------
async def to_do(request: Request) -> Response:
    """The acts that decide the most unknown findings a minute, in their order."""
    from spareway.api_readings import todo_of

    job, stage = request.path_params["job"], request.query_params.get("stage", "")
    found = record(shelf_of(request).files(job))
    design = found.design(stage)
    keys = [Key("Ways", link(request, "jobs", job, "test"), main=True), Key("Findings", link(request, "jobs", job, "findings"))]
    return show(
        request,
        "todo.html",
        keys,
        **placed(request, "dead test"),
        heading="What next",
        stages=stages(request, found.stages, "next", design.inst.stage),
        said=todo_of(design, ACTS_N),
        cautions=api.CAUTION,
    )


# ---- what it is measured with -------------------------------------------------------------------------------------------------
async def tester(request: Request) -> Response:
    """Tester, temperature and leads, said once a day."""
    shelf, job = shelf_of(request), request.path_params["job"]
    if request.method == "POST":
        said = await form_of(request)
        try:
            keep(shelf, asked(said, today().isoformat()))
        except InputError as problem:
            return _tester(request, said, told_why(problem), 422)
        _, stage, name = asked_of(request)
        steps = ("readings", "next") if name else ("test",)
        return go(request, link(request, "jobs", job, *steps, of=name, stage=stage))
    kept = taken_with(shelf, today().isoformat())
    return _tester(request, {"temp_c": kept.temp_c, "instrument": kept.instrument, "nulled": kept.nulled})


def _of_kit(name: str, of: Instrument, day: str) -> str:
    """A tester in words, with whether it is in calibration on this day by the record of it."""
    until = "calibration not recorded" if of.until is None else f"in calibration until {of.until.isoformat()}"
    if of.until is not None and day > of.until.isoformat():
        until = f"out of calibration since {of.until.isoformat()}: what it reads supports no limit"
    return f"{name}: {', '.join(filter(None, (of.what, until)))}"


def _tester(request: Request, typed: Mapping[str, str], fault: str = "", status: int = 200) -> Response:
    job = request.path_params["job"]
    _, stage, name = asked_of(request)
    kit = record(shelf_of(request).files(job)).job.kit.kit
    return show(
        request,
        "tester.html",
        [Key("Ways", link(request, "jobs", job, "test"))],
        status,
        **placed(request, "dead test"),
        heading="Measured with",
        now={"temp_c": "", "instrument": "", "nulled": "", **typed},
        kit=[(n, _of_kit(n, each, today().isoformat())) for n, each in kit.items()],
        fault=fault,
        of=name,
        stage=stage,
    )


PAGES: Any = (
    ("/jobs/{job}/readings", told, ["GET"]),
    ("/jobs/{job}/readings/next", following, ["GET"]),
    ("/jobs/{job}/readings/next", taken, ["POST"]),
    ("/jobs/{job}/next", to_do, ["GET"]),
    ("/jobs/{job}/tester", tester, ["GET", "POST"]),
)
