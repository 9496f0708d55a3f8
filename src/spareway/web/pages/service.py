"""The service: each part of its chain behind the fuse that is there or a larger one; what the network operator wants first."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from spareway.doc import InputError
from spareway.drawings.marks import CLASSES, mark
from spareway.survey.ask import Question
from spareway.survey.service import answered, questions
from spareway.web.asking import answer_of, asked_again, next_open, one_of
from spareway.web.demand_told import log_of
from spareway.web.pages.places import placed
from spareway.web.record import Record, record, save
from spareway.web.screen import Key, form_of, go, link, shelf_of, show, spoken, stages

__all__ = ["PAGES"]

Said = Mapping[str, Any]
RAISES = {"": "The fuse that is there", "80": "80\u00a0A", "100": "100\u00a0A"}  # an amount and its unit on one line
VERDICT = {"yes": "within", "no": "fails", "unknown": "unknown"}
WORDS = {"yes": "Yes", "no": "No", "unknown": "Unknown"}
HEADS = {"yes": "Each part asked holds, by the record", "no": "Not every part holds", "unknown": "Not known of every part"}
WANTED = {"apply": "Apply first", "ask": "Ask first", "notify": "Install, then tell it", "cannot tell": "Cannot tell yet",
          "neither": "Neither, by the record"}
TAILS = (("operator", "What the operator says"), ("overload", "What the fuse lets through"), ("clearing", "Clearing of a fault"))


def _asked_of(request: Request) -> tuple[str, str, Record, str]:
    """Job, stage, its record and the log that is told with it."""
    job = request.path_params["job"]
    found = record(shelf_of(request).files(job))
    stage = request.query_params.get("stage", "")
    return job, stage, found, log_of(found, stage, request.query_params.get("log", ""))


def _log(found: Record, log: str) -> tuple[str, str] | None:
    return (log, found.files[f"logs/{log}"]) if log else None


# ---- the chain -----------------------------------------------------------------------------------------------------------
async def chain(request: Request) -> Response:
    """From the street up: what each part says behind this fuse, then what each figure of demand leaves of it."""
    job, stage, found, log = _asked_of(request)
    to = request.query_params.get("to", "")
    if to not in RAISES:
        raise HTTPException(404)
    said = _chained(found, stage, to, log)
    behind = said["raised"][0] if to and said["raised"] else said["now"]
    keys = [
        Key("Operator", link(request, "jobs", job, "operator", stage=stage), main=True),
        Key("Demand", link(request, "jobs", job, "demand", stage=stage)),
        Key("Places", link(request, "jobs", job, "")),
    ]
    return show(
        request,
        "chain.html",
        keys,
        **placed(request, ""),
        heading="Service chain",
        stages=stages(request, found.stages, "chain", found.design(stage).inst.stage, to=to),
        raises=[(words, link(request, "jobs", job, "chain", stage=stage, to=each), each == to) for each, words in RAISES.items()],
        fuse=behind["fuse_a"]["is"],
        raised=bool(to and said["raised"]),
        **_open(request, found),
        answer={**_marked(behind["answer"]), "says": HEADS[behind["answer"]]},
        parts=[_part(part) for part in behind["parts"]],
        in_hand=[_in_hand(of) for of in behind["in_hand"]],
        tails=[_tails(each) for each in said["long_tails"]] if not to else [],
        leftovers=said["two_rates"]["leftovers"],
        cautions=said["caution"],
    )


def _chained(found: Record, stage: str, to: str, log: str) -> dict[str, Any]:
    """The document of the chain now and, where asked, behind one other fuse; once for each state of the job."""
    from spareway.api_service import service

    raises_a, read = (float(to),) if to else (), _log(found, log)
    return found.once(("chain", stage, to, log), lambda: service(found.files, stage or None, raises_a=raises_a, log=read))


def _in_hand(of: Said) -> tuple[str, str, str, str]:
    """Which figure, how much, what it leaves or by how much it is over, and why that is not known."""
    left = f"{of['over_a']['is']} over" if of["over_a"]["amount"] else of["left_a"]["is"]
    return of["says"], of["demand_a"]["is"], left, of["left_a"]["why"]


def _marked(answer: str) -> dict[str, str]:
    verdict = VERDICT[answer]
    return {"cls": CLASSES[verdict], "mark": mark(verdict), "word": WORDS[answer]}


def _part(part: Said) -> dict[str, Any]:
    """A part under its worst answer; what says no or is not known stands outside, the rest opens."""
    answers = [_answer(each) for each in part["answers"]]
    worst = min((each["answer"] for each in part["answers"]), key=["no", "unknown", "yes"].index)
    return {
        **_marked(worst),
        "id": f"part-{part['at'].replace('.', '-')}",
        "says": part["says"],
        "at": spoken(part["at"]),
        "bad": [each for each in answers if each["answer"] != "yes"],
        "answers": answers,
    }


def _answer(said: Said) -> dict[str, Any]:
    rule = ", ".join(filter(None, (said["rule"], said["clause"])))
    rests = [f"{each['says']} {each['is']}, {each['how']}" for each in said["rests_on"]]
    own = {key: said[key] for key in ("answer", "asks", "says")}
    return {**_marked(said["answer"]), **own, "rule": rule, "rests": rests}


def _tails(said: Said) -> dict[str, Any]:
    """Long tails: three questions that are kept apart, and what a fuse of its own at the intake could be."""
    own = said["own_fuse"]
    return {
        "at": spoken(said["at"]),
        "length": said["length_m"]["is"],
        "asked": [(says, [_answer(each) for each in said[key]]) for key, says in TAILS],
        "own": own["at_most_a"]["is"],
        "own_known": own["at_most_a"]["amount"] is not None,
        "figures": [(each["says"], each["demand_a"]["is"], WORDS[each["answer"]].lower()) for each in own["figures"]],
    }


# ---- the operator ------------------------------------------------------------------------------------------------------------
async def operator(request: Request) -> Response:
    """Apply, ask, tell or neither: every reason with the row it rests on, and the reply that settles it."""
    job, stage, found, log = _asked_of(request)
    said = _wanted(found, stage, log)
    keys = [
        Key("Service chain", link(request, "jobs", job, "chain", stage=stage), main=True),
        Key("Demand", link(request, "jobs", job, "demand", stage=stage)),
        Key("Places", link(request, "jobs", job, "")),
    ]
    off = said["supply_off"]
    return show(
        request,
        "operator.html",
        keys,
        **placed(request, ""),
        heading="Network operator",
        stages=stages(request, found.stages, "operator", said["stage"]),
        arm=WANTED[said["left"]],
        now=said["now"],
        means=said["means"],
        settled=said["wants"] != said["left"],
        operator=_operator(said["operator"]),
        **_open(request, found),
        reasons=[_reason(each) for each in said["reasons"]],
        off=[spoken(f"equipment.{name}") for name in off["things"]],
        who=off["who"]["is"] if off["who"] and off["who"]["amount"] is not None else "",
        leave=[f"{each['part']}: {each['by']}, {each['ref']}, until {each['until']}" for each in off["leave"]],
        defects=said["defects"],
        cautions=said["caution"],
    )


def _wanted(found: Record, stage: str, log: str) -> dict[str, Any]:
    """The document of what the operator wants, once for each state of the job."""
    from spareway.api_operator import told as wanted

    return found.once(("operator", stage, log), lambda: wanted(found.files, stage or None, log=_log(found, log)))


def _operator(said: Said) -> list[str]:
    """Whose network it is, and how old what we know of it is."""
    name = said["name"]
    if name["amount"] is None:
        return ["Which operator's network this is, is not recorded: the national rows alone stand here."]
    lines = [f"{name['is']}: {said['says']}".rstrip(": ")]
    if not said["on_record"]:
        return [*lines, "Nothing of what it wants is on record: the national rows alone stand here."]
    old = {True: ", older than a year: ask it again", False: "", None: ", of no known age"}[said["is_old"]]
    return [*lines, f"What it wants was asked on {said['asked'] or 'no recorded day'}{old}."]


def _reason(said: Said) -> dict[str, Any]:
    reply, asked, row = said["reply"], said["asked"], said["row"]
    return {
        "wants": said["wants"].capitalize(),
        "open": said["open"],
        "says": f"{said['in_words'][:1].upper()}{said['in_words'][1:]}",
        "row": f"{_printed_at(row)} ({row['trust'] or row['how']})" if row else "",
        "reply": f"Answered by {reply['by']}, {reply['ref']}, {reply['on']}: {reply['says']}" if reply else "",
        "doubts": [f"Settles nothing: {each}" for each in said["doubts"]],
        "asked": f"Asked of {asked['to']} by {asked['by']} on {asked['on']}, {asked['ref']}" if asked and not reply else "",
    }


def _printed_at(row: Said) -> str:
    """The book by its title, its edition or that none is recorded, and the place in it."""
    return f"{row['book']}, {row['edition'] or 'of no recorded edition'}: {row['place']}"


# ---- what both wait for ------------------------------------------------------------------------------------------------------
def _open(request: Request, found: Record) -> dict[str, Any]:
    """How many questions about the service nobody has answered, and where they are asked."""
    open_n = len([q for q in questions(found.files) if q.open])
    return {"open_n": open_n, "ask": link(request, "jobs", request.path_params["job"], "service", "ask")}


async def ask(request: Request) -> Response:
    """The question named, else the first without an answer, else all of them to look over."""
    job, wanted = request.path_params["job"], request.query_params.get("id", "")
    asked = questions(shelf_of(request).files(job))
    first = next((i for i, q in enumerate(asked) if q.open), None)
    if wanted == "all" or not wanted and first is None:
        rows = [(q, link(request, "jobs", job, "service", "ask", id=q.id)) for q in asked]
        to_chain = Key("Service chain", link(request, "jobs", job, "chain"), main=True)
        keys = [to_chain, Key("Operator", link(request, "jobs", job, "operator"))]
        return show(request, "overview.html", keys, **placed(request, ""), heading="The service", asked=rows)
    return _question(request, asked, next((i for i, q in enumerate(asked) if q.id == wanted), first or 0))


def _question(
    request: Request, asked: list[Question], index: int, typed: str = "", fault: str = "", status: int = 200
) -> Response:
    here = ("jobs", request.path_params["job"])
    keys = [Key("Operator", link(request, *here, "operator")), Key("All of it", link(request, *here, "service", "ask", id="all"))]
    if index + 1 < len(asked):
        keys.append(Key("Leave it", link(request, *here, "service", "ask", id=asked[index + 1].id)))
    return show(
        request,
        "ask.html",
        keys,
        status,
        **placed(request, ""),
        heading="The service",
        **one_of(asked, index, link(request, *here, "service", "ask"), typed, fault),
    )


async def told(request: Request) -> Response:
    """An answer, kept in its line; then the next that is open, or what the operator wants now."""
    job, said = request.path_params["job"], await form_of(request)
    shelf = shelf_of(request)
    files, asked_id = shelf.files(job), said.get("id", "")
    try:
        save(shelf, job, answered(files, asked_id, answer_of(said)))
    except InputError as problem:
        asked = questions(files)
        return _question(request, asked, *asked_again(asked, said, problem), 422)
    following = next_open(questions(shelf.files(job)), asked_id)
    return go(request, link(request, "jobs", job, *(("service", "ask") if following else ("operator",)), id=following))


PAGES: Any = (
    ("/jobs/{job}/service/ask", ask, ["GET"]),
    ("/jobs/{job}/service/ask", told, ["POST"]),
    ("/jobs/{job}/chain", chain, ["GET"]),
    ("/jobs/{job}/operator", operator, ["GET"]),
)
