"""What readings of a whole board show: insulation, the hunt for what leaks, shared neutrals, signs of the intake."""

from __future__ import annotations

from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from spareway import api
from spareway.design.design import Design
from spareway.doc import InputError
from spareway.survey.readings import Test, row_taken
from spareway.web.clock import now, today
from spareway.web.pages.places import placed
from spareway.web.phone import phone_of, row_prefix
from spareway.web.record import Record, record, save
from spareway.web.screen import Key, form_of, go, link, shelf_of, show, stages, told_why
from spareway.web.tester import taken_with

__all__ = ["PAGES"]

SHOWN = 6


def _asked(request: Request) -> tuple[Record, Design, str]:
    """The record, the design at the stage asked for or else that of its insulation rows, and the board, which must be there."""
    from spareway.api_readings import stage_read

    stage, board = request.query_params.get("stage", ""), request.query_params.get("board", "")
    found = record(shelf_of(request).files(request.path_params["job"]))
    design = found.design(stage or stage_read(found.design("")))
    if board and board not in design.boards:
        raise HTTPException(404)
    return found, design, board


# ---- insulation of all circuits -----------------------------------------------------------------------------------------------
async def insulation(request: Request) -> Response:
    """The tree of what leaks: what to take out first, the question that tells what lies behind it, neutrals that are shared."""
    from spareway.api_readings import insulation_of, neutrals_of
    from spareway.drawings.insulation import insulation_drawn
    from spareway.readings.borrowed import PROOF
    from spareway.readings.tree import tree

    job = request.path_params["job"]
    found, design, board = _asked(request)
    stage = design.inst.stage
    keys = [Key("Ways", link(request, "jobs", job, "test"), main=True), Key("Places", link(request, "jobs", job, ""))]
    names = [name for name in design.boards if board in ("", name)]
    boards = [("", "All"), *((name, name.replace("-", " ")) for name in design.boards)]
    return show(
        request,
        "insulation.html",
        keys,
        **placed(request, "dead test"),
        heading="Insulation",
        stages=stages(request, found.stages, "insulation", stage, board=board),
        boards=[(says, link(request, "jobs", job, "insulation", stage=stage, board=name), name == board) for name, says in boards]
        if len(boards) > 2
        else [],
        drawing=insulation_drawn(tree(design, board)),
        low=insulation_of(design, board)["low"],
        hunts=[(name, link(request, "jobs", job, "insulation", "next", stage=stage, board=name)) for name in names],
        neutrals=neutrals_of(design) if not board else [],
        how=PROOF,
        cautions=api.CAUTION,
    )


# ---- the hunt for what leaks --------------------------------------------------------------------------------------------------
async def hunting(request: Request) -> Response:
    """What leaks on a board by the rows that stand, and the one insulation reading to take next, to be entered there."""
    return _hunting(request)


def _hunting(request: Request, typed: str = "", fault: str = "", status: int = 200) -> Response:
    from spareway.api_readings import hunt_of

    job = request.path_params["job"]
    _, design, board = _asked(request)
    if not board:
        raise HTTPException(404)
    said, stage = hunt_of(design, board), design.inst.stage
    here = ("jobs", job, "insulation")
    keys = [Key("Insulation", link(request, *here, stage=stage)), Key("Ways", link(request, "jobs", job, "test"))]
    return show(
        request,
        "hunt.html",
        keys,
        status,
        **placed(request, "dead test"),
        heading=f"What leaks: {board.replace('-', ' ')}",
        said=said,
        post=link(request, *here, "next", stage=stage, board=board),
        draft=f"hunt.{board}",
        typed=typed,
        fault=fault,
        tester=taken_with(shelf_of(request), today().isoformat()),
        cautions=api.CAUTION,
    )


async def hunted(request: Request) -> Response:
    """The entry, kept as it was typed; then what it tells, and the next."""
    from spareway.api_readings import hunt_of

    shelf, said = shelf_of(request), await form_of(request)
    found, design, board = _asked(request)
    step = hunt_of(design, board)["next"] if board else None
    if step is None or said.get("setup") != step["setup"] or said.get("place") != step["place"]:
        return _hunting(request, said.get("value", ""), "other readings have come since: look what is asked for now", 422)
    if said.get("value") == "OL":
        return _hunting(request, "OL", "write > and the end of its range, as >200: OL alone does not say how good it is", 422)
    test = Test("hunt", step["says"], "insulation_mohm", step["place"], "", "MΩ", step["setup"], "out")
    phone, tester = phone_of(shelf), taken_with(shelf, today().isoformat())
    how = {"instrument": tester.instrument, "temp_c": tester.temp_c}
    try:
        changed = row_taken(found.files, test, design.inst.stage, said.get("value", ""), phone.by, now(), row_prefix(phone), how)
        save(shelf, request.path_params["job"], changed)
    except InputError as problem:
        return _hunting(request, said.get("value", ""), told_why(problem), 422)
    job = request.path_params["job"]
    return go(request, link(request, "jobs", job, "insulation", "next", stage=design.inst.stage, board=board))


# ---- intake and board by signs ------------------------------------------------------------------------------------------------
async def signs(request: Request) -> Response:
    """What may be wrong at the intake or across the board, by the signs that were read; sets that ask a question."""
    from spareway.api_readings import in_a_hundred, intake_of, neat_of

    job = request.path_params["job"]
    found, design, _ = _asked(request)
    faults = intake_of(design)
    keys = [Key("Live test", link(request, "jobs", job, "live"), main=True), Key("Ways", link(request, "jobs", job, "test"))]
    return show(
        request,
        "signs.html",
        keys,
        **placed(request, "dead test"),
        heading="Intake and board",
        stages=stages(request, found.stages, "signs", design.inst.stage),
        read=bool(faults),
        faults=[(in_a_hundred(f["share"]), f) for f in faults if f["is_a_fault"] and any(s["there"] for s in f["signs"])][:SHOWN],
        none_of=next((in_a_hundred(f["share"]) for f in faults if not f["is_a_fault"]), ""),
        asks=[*dict.fromkeys(each for f in faults for each in f["ask"])],
        neat=neat_of(design),
        cautions=api.CAUTION,
    )


PAGES: Any = (
    ("/jobs/{job}/insulation", insulation, ["GET"]),
    ("/jobs/{job}/insulation/next", hunting, ["GET"]),
    ("/jobs/{job}/insulation/next", hunted, ["POST"]),
    ("/jobs/{job}/signs", signs, ["GET"]),
)
