"""Live tests by thumb: what is energised and the caution first, then one entry at a time; what it should be only after it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from spareway import api
from spareway.design.design import Design
from spareway.doc import InputError
from spareway.readings.held import Held
from spareway.survey.live import Subject, holds, live_tests, not_tested_dead, subjects
from spareway.survey.readings import Test, in_words, row_taken, standing_row
from spareway.web.clock import now, today
from spareway.web.pages.entry import aloud, asks, fell_after, foreseen_words, may_ask, odd, read_before, told_of
from spareway.web.pages.places import placed
from spareway.web.phone import phone_of, row_prefix
from spareway.web.record import Record, record, save
from spareway.web.screen import Key, form_of, go, link, shelf_of, show, told_why
from spareway.web.tester import taken_with

__all__ = ["PAGES"]

CANNOT = ("not accessible", "not energised", "left for later")
WARM = ("zs_ohm",)  # what the temperature of the conductors has a part in
PARTS_LIVE = "A competent person only, nobody else near"
GOES_OFF = "What it feeds goes off: tell everyone; medical equipment, alarms, freezers"
PATHS_APART = (
    "First the main switch locked off, all behind it proved dead, any other source too; only then other paths to earth parted, "
    "and joined again before anything is switched on"
)
ORIGIN = "Fault level is highest here"


def _record(request: Request) -> Record:
    return record(shelf_of(request).files(request.path_params["job"]))


async def things(request: Request) -> Response:
    """The origin, each residual-current device, each circuit: how much of it is read live, and what of it was not read dead."""
    job, design = request.path_params["job"], _record(request).design()
    told = []
    for each in subjects(design):
        tests = live_tests(design, each.at)
        kept_n = len([t for t in tests if t.kept])
        told.append((each, kept_n, len(tests), not_tested_dead(design, each.at), holds(design, each.at)))
    keys = [
        Key("Dead test", link(request, "jobs", job, "test"), main=True),
        Key("Places", link(request, "jobs", job, "")),
        Key("Findings", link(request, "jobs", job, "findings")),
    ]
    tester = taken_with(shelf_of(request), today().isoformat()).says
    where = placed(request, "dead test")
    source = design.source_told_of
    cautions = [*([f"{source[:1].upper()}{source[1:]}"] if source else []), *api.CAUTION]
    return show(request, "live.html", keys, **where, heading="Live test", things=told, tester=tester, cautions=cautions)


# ---- one entry --------------------------------------------------------------------------------------------------------------
def _asked(request: Request, design: Design) -> tuple[Subject, list[Test]]:
    at = request.path_params["at"]
    subject = next((each for each in subjects(design) if each.at == at), None)
    if subject is None:
        raise HTTPException(404)
    return subject, live_tests(design, at)


async def test(request: Request) -> Response:
    """The test named, else the first that has no reading; of a circuit that failed dead first that it is held."""
    design = _record(request).design()
    subject, tests = _asked(request, design)
    wanted = request.query_params.get("test", "")
    if not wanted and (failed := holds(design, subject.at)):
        return _held(request, subject, tests, failed)
    index = next((i for i, t in enumerate(tests) if t.id == wanted), None)
    if index is None:
        index = next((i for i, t in enumerate(tests) if not t.kept), 0)
    return _screen(request, subject, tests, index)


def _held(request: Request, subject: Subject, tests: list[Test], failed: Sequence[Held]) -> Response:
    """What failed dead, and that it is put right and read again first; what was read live already may still be written down."""
    job, circuit = request.path_params["job"], subject.at.partition(".")[2]
    keys = [
        Key("Dead test", link(request, "jobs", job, "test", circuit), main=True),
        Key("All live", link(request, *_here(request)[:3])),
    ]
    return show(
        request,
        "held.html",
        keys,
        **placed(request, "dead test"),
        heading="Live test: held",
        says=subject.says,
        failed=[each.says for each in failed],
        all_the_same=link(request, *_here(request), test=next((t.id for t in tests if not t.kept), tests[0].id)),
        cautions=api.CAUTION,
    )


def _screen(
    request: Request, subject: Subject, tests: list[Test], index: int, typed: str = "", fault: str = "", status: int = 200
) -> Response:
    design = _record(request).design()
    test, here = tests[index], _here(request)
    last, last_said = read_before(tests, index)
    tell = last is not None and bool(request.query_params.get("test"))
    return show(
        request,
        "test.html",
        _keys(request, tests, index),
        status,
        **placed(request, "dead test"),
        heading="Live test",
        board=subject.board,
        way=subject.way,
        says=subject.says,
        post=link(request, *here),
        draft=subject.at,
        live=_caution(design, subject, test),
        test=test,
        strip=[(i == index, bool(t.kept)) for i, t in enumerate(tests)],
        typed=typed,
        fault=fault,
        cannot=CANNOT,
        n=index + 1,
        of=len(tests),
        last=last_said,
        told=fell_after(_entered(request, last)) if last and tell else "",
        kept=f"{aloud(test)}. {told_of(_entered(request, test))}".rstrip(". ") if test.kept else "",
        foreseen=foreseen_words(design, test) if asks(request) else "",
        ask=link(request, *here, test=test.id, ask="yes") if may_ask(request) else "",
    )


def _caution(design: Design, subject: Subject, test: Test) -> str:
    undone, failed = not_tested_dead(design, subject.at), holds(design, subject.at)
    more = f", and {len(failed) - 1} more" if len(failed) > 1 else ""
    said = [f"Held, it failed dead: {failed[0].brief}{more}"] if failed else []
    said.append(PARTS_LIVE)
    if subject.at.startswith("supplies."):
        said.append(ORIGIN)
    if test.quantity == "ze_ohm":
        said.append(PATHS_APART)
    if test.quantity in ("trip_ms", "ramp_ma"):
        said.append(GOES_OFF)
    if undone and not failed:
        said.append(f"First, dead: {', '.join(undone)} not read, by the record")
    return f"{'. '.join(said)}."


def _here(request: Request) -> tuple[str, ...]:
    return "jobs", request.path_params["job"], "live", request.path_params["at"]


def _keys(request: Request, tests: list[Test], index: int) -> list[Key]:
    here = _here(request)
    back = link(request, *here, test=tests[index - 1].id) if index else link(request, *here[:3])
    keys = [Key("Back", back), Key("All live", link(request, *here[:3]))]
    return [*keys, Key("Leave it", link(request, *here, test=tests[index + 1].id))] if index + 1 < len(tests) else keys


def _entered(request: Request, test: Test) -> dict[str, Any]:
    """The row that stands for a test, against what it should have been."""
    from spareway.api_readings import entered_at

    found = _record(request)
    return entered_at(found.design(), standing_row(found.job, test))


async def taken(request: Request) -> Response:
    """An entry, kept as it was typed; then the next test of this thing, or the list of things."""
    shelf, said, found = shelf_of(request), await form_of(request), _record(request)
    subject, tests = _asked(request, found.design())
    phone = phone_of(shelf)
    index = next((i for i, t in enumerate(tests) if t.id == said.get("test", "")), 0)
    typed = f"cannot: {said['cannot']}" if said.get("cannot") else said.get("value", "")
    tester, test = taken_with(shelf, today().isoformat()), tests[index]
    how = {"instrument": tester.instrument, "temp_c": tester.temp_c if test.quantity in WARM else ""}
    try:
        changed = row_taken(found.files, test, found.job.furthest, typed, phone.by, now(), row_prefix(phone), how)
        save(shelf, request.path_params["job"], changed)
    except InputError as problem:
        return _screen(request, subject, tests, index, typed, told_why(problem), 422)
    if not typed.startswith("cannot: ") and odd(_entered(request, test), test.quantity):
        return go(request, link(request, *_here(request), "again", test=test.id))
    return go(request, _after(request, tests, index))


def _after(request: Request, tests: list[Test], index: int) -> str:
    here = _here(request)
    return link(request, *here, test=tests[index + 1].id) if index + 1 < len(tests) else link(request, *here[:3])


async def again(request: Request) -> Response:
    """A reading that is not what it should be: what it calls for at once, by how much it is off, the question where it may be a
    slip."""
    from spareway.api_readings import sentence

    design = _record(request).design()
    _, tests = _asked(request, design)
    wanted = request.query_params.get("test", "")
    index = next((i for i, t in enumerate(tests) if t.id == wanted and t.kept), None)
    if index is None:
        raise HTTPException(404)
    test, here = tests[index], _here(request)
    said = _entered(request, test)
    again_first = bool(said["asks"] or said["at_once"])
    keys = [
        Key("Take it again", link(request, *here, test=test.id), main=again_first),
        Key("It is so: next", _after(request, tests, index), main=not again_first),
    ]
    return show(
        request,
        "again.html",
        keys,
        **placed(request, "dead test"),
        heading="Look again",
        test=test,
        said=said,
        words=in_words(test.kept.partition(" ")[0], test.unit),
        told=told_of(said),
        why=sentence(said["expected"]["why"]) if said["expected"] else "",
        at_once=said["at_once"],
    )


PAGES: Any = (
    ("/jobs/{job}/live", things, ["GET"]),
    ("/jobs/{job}/live/{at}", test, ["GET"]),
    ("/jobs/{job}/live/{at}", taken, ["POST"]),
    ("/jobs/{job}/live/{at}/again", again, ["GET"]),
)
