"""Dead tests by thumb: the way number first, then the instruction, one entry, and the last one read back in words."""

from __future__ import annotations

from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from spareway.design.design import Design
from spareway.doc import InputError
from spareway.readings.held import held
from spareway.survey.readings import Test, dead_tests, in_words, reading_row, standing_row
from spareway.web.clock import now, today
from spareway.web.pages.entry import aloud, asks, fell_after, foreseen_words, may_ask, odd, read_before, told_of
from spareway.web.pages.places import placed
from spareway.web.phone import phone_of, row_prefix
from spareway.web.record import record, save
from spareway.web.screen import Key, form_of, go, link, shelf_of, show, told_why
from spareway.web.tester import taken_with

__all__ = ["PAGES"]

CANNOT = ("not accessible", "not isolated yet", "left for later")
HELD = "Leave it off: it is not energised until this is put right and read dead again"


def _ways(request: Request) -> list[tuple[str, str, str, int, int]]:
    """(circuit, what it is called, its way, readings kept, readings to take) in the order of the board."""
    job = request.path_params["job"]
    whole = record(shelf_of(request).files(job)).job
    out = []
    for name, circuit in whole.at(None).circuits.items():
        tests = dead_tests(whole, name)
        out.append((name, circuit.says or name.replace("-", " "), circuit.way, len([t for t in tests if t.kept]), len(tests)))
    return sorted(out, key=lambda each: (each[2].partition(".")[0], int(each[2].partition(".")[2] or 0)))


async def ways(request: Request) -> Response:
    """Every circuit by its way, with how much of it is measured."""
    job = request.path_params["job"]
    keys = [
        Key("Places", link(request, "jobs", job, ""), main=True),
        Key("Insulation", link(request, "jobs", job, "insulation")),
        Key("Findings", link(request, "jobs", job, "findings")),
    ]
    tester = taken_with(shelf_of(request), today().isoformat()).says
    where = placed(request, "dead test")
    return show(request, "ways.html", keys, **where, heading="Dead test", ways=_ways(request), tester=tester)


def _screen(request: Request, tests: list[Test], index: int, typed: str = "", fault: str = "", status: int = 200) -> Response:
    circuit = request.path_params["circuit"]
    every = _ways(request)
    own = next(each for each in every if each[0] == circuit)
    test = tests[index]
    last, last_said = read_before(tests, index)
    strip = [(each[0] == circuit, each[3] == each[4] and each[4] > 0) for each in every]
    return show(
        request,
        "test.html",
        _keys(request, tests, index),
        status,
        **placed(request, "dead test"),
        heading="Dead test",
        board=own[2].partition(".")[0],
        way=own[2].partition(".")[2],
        says=own[1],
        post=link(request, "jobs", request.path_params["job"], "test", circuit),
        draft=circuit,
        live="",
        test=test,
        strip=strip,
        typed=typed,
        fault=fault,
        cannot=CANNOT,
        n=index + 1,
        of=len(tests),
        last=last_said,
        told=fell_after(_entered(request, last)) if last and request.query_params.get("test") else "",
        kept=f"{aloud(test)}. {told_of(_entered(request, test))}".rstrip(". ") if test.kept else "",
        foreseen=foreseen_words(_design(request), test) if asks(request) else "",
        ask=_ask(request, test),
    )


def _ask(request: Request, test: Test) -> str:
    """Where a supervisor may ask what this reading should be."""
    here = ("jobs", request.path_params["job"], "test", request.path_params["circuit"])
    return link(request, *here, test=test.id, ask="yes") if may_ask(request) else ""


def _entered(request: Request, test: Test) -> dict[str, Any]:
    """The row that stands for a test, against what it should have been."""
    from spareway.api_readings import entered

    design = _design(request)
    row = standing_row(record(shelf_of(request).files(request.path_params["job"])).job, test)
    return entered(design.circuits[request.path_params["circuit"]], row)


def _design(request: Request) -> Design:
    return record(shelf_of(request).files(request.path_params["job"])).design()


def _keys(request: Request, tests: list[Test], index: int) -> list[Key]:
    here: tuple[str, ...] = ("jobs", request.path_params["job"], "test", request.path_params["circuit"])
    back = link(request, *here, test=tests[index - 1].id) if index else link(request, *here[:3])
    keys = [Key("Back", back), Key("Ways", link(request, *here[:3]))]
    if any(test.kept for test in tests):
        keys.append(Key("All read", link(request, *here[:2], "readings", of=here[3])))
    return [*keys, Key("Leave it", link(request, *here, test=tests[index + 1].id))] if index + 1 < len(tests) else keys


def _tests(request: Request) -> list[Test]:
    try:
        return dead_tests(record(shelf_of(request).files(request.path_params["job"])).job, request.path_params["circuit"])
    except KeyError:
        raise HTTPException(404) from None


async def test(request: Request) -> Response:
    """The test named, else the first that has no reading."""
    tests, wanted = _tests(request), request.query_params.get("test", "")
    index = next((i for i, t in enumerate(tests) if t.id == wanted), None)
    if index is None:
        index = next((i for i, t in enumerate(tests) if not t.kept), 0)
    return _screen(request, tests, index)


async def taken(request: Request) -> Response:
    """An entry, kept as it was typed; then the next test of this way, or the list of ways."""
    job, circuit = request.path_params["job"], request.path_params["circuit"]
    shelf, said, tests = shelf_of(request), await form_of(request), _tests(request)
    phone = phone_of(shelf)
    index = next((i for i, t in enumerate(tests) if t.id == said.get("test", "")), 0)
    typed = f"cannot: {said['cannot']}" if said.get("cannot") else said.get("value", "")
    try:
        how = taken_with(shelf, today().isoformat()).row
        changed = reading_row(shelf.files(job), circuit, tests[index].id, typed, phone.by, now(), row_prefix(phone), **how)
        save(shelf, job, changed)
    except InputError as problem:
        return _screen(request, tests, index, typed, told_why(problem), 422)
    if not typed.startswith("cannot: ") and odd(_entered(request, tests[index]), tests[index].quantity):
        return go(request, link(request, "jobs", job, "test", circuit, "again", test=tests[index].id))
    return go(request, _after(request, tests, index))


def _after(request: Request, tests: list[Test], index: int) -> str:
    """The next test of this way; after the last one what its readings say, where they are those of a ring."""
    job, circuit = request.path_params["job"], request.path_params["circuit"]
    if index + 1 < len(tests):
        return link(request, "jobs", job, "test", circuit, test=tests[index + 1].id)
    ring = any(test.quantity == "ring_r1_ohm" for test in tests)
    return link(request, "jobs", job, "readings", of=circuit) if ring else link(request, "jobs", job, "test")


async def again(request: Request) -> Response:
    """A reading that is not what it should be: kept as it was written, told by how much, asked about where it may be a slip."""
    from spareway.api_readings import fell_words, sentence

    tests, wanted = _tests(request), request.query_params.get("test", "")
    index = next((i for i, t in enumerate(tests) if t.id == wanted and t.kept), None)
    if index is None:
        raise HTTPException(404)
    here = ("jobs", request.path_params["job"], "test", request.path_params["circuit"])
    said = _entered(request, tests[index])
    row = standing_row(record(shelf_of(request).files(request.path_params["job"])).job, tests[index])
    fails = any(each.row.id == row.id for each in held(_design(request), request.path_params["circuit"]))
    keys = [
        Key("Take it again", link(request, *here, test=tests[index].id), main=bool(said["asks"])),
        Key("It is so: next", _after(request, tests, index), main=not said["asks"]),
    ]
    return show(
        request,
        "again.html",
        keys,
        **placed(request, "dead test"),
        heading="Look again",
        test=tests[index],
        said=said,
        words=in_words(tests[index].kept.partition(" ")[0], tests[index].unit),
        told=sentence(fell_words(said)),
        why=sentence(said["expected"]["why"]) if said["expected"] else "",
        at_once=HELD if fails else "",
    )


PAGES: Any = (
    ("/jobs/{job}/test", ways, ["GET"]),
    ("/jobs/{job}/test/{circuit}", test, ["GET"]),
    ("/jobs/{job}/test/{circuit}", taken, ["POST"]),
    ("/jobs/{job}/test/{circuit}/again", again, ["GET"]),
)
