"""The places of a job in the order a person comes to them, what each asks, and what an answer changes."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from spareway.doc import Fault, InputError, nearest
from spareway.survey import as_run, cabinet, cupboard, doorstep, looking
from spareway.survey.ask import Place, Question, Unknown

__all__ = ["PLACES", "Place", "Question", "Unknown", "answer", "place_names", "places", "questions", "taken_away"]

PLACES = {
    "doorstep": "Before anything is touched",
    "meter cabinet": "What is there, and what joins it",
    "look, cabinet": "By eye, at the intake",
    "board cupboard": "Each board, way after way",
    "look, cupboard": "By eye, at the boards",
    "look, rooms": "By eye, in the rooms",
    "as run": "Each new cable measured as it lies",
}
ASKED: dict[str, Callable[[Mapping[str, str]], list[Question]]] = {
    "doorstep": doorstep.questions,
    "meter cabinet": cabinet.questions,
    "board cupboard": cupboard.questions,
    "as run": as_run.questions,
}
ANSWERED: dict[str, Callable[[Mapping[str, str], str, str | Unknown], dict[str, str]]] = {
    "doorstep": doorstep.answered,
    "meter cabinet": cabinet.answered,
    "board cupboard": cupboard.answered,
    "as run": as_run.answered,
}


def place_names(files: Mapping[str, str]) -> list[str]:
    """The places of a job: where its cables lie as run is asked once there is work."""
    return [name for name in PLACES if name != "as run" or as_run.WORK in files]


def places(files: Mapping[str, str]) -> list[Place]:
    """Every place with how much of it is open. Errors: InputError for a job that cannot be read."""
    out = []
    for name in place_names(files):
        asked = questions(files, name)
        opened = len([q for q in asked if q.open])
        out.append(Place(name, PLACES[name], opened, len(asked) - opened))
    return out


def questions(files: Mapping[str, str], place: str) -> list[Question]:
    """What a place asks, in order. Errors: InputError; KeyError for no such place."""
    if place in looking.TOPICS:
        return looking.questions(files, place)
    return ASKED[place](files)


def taken_away(before: Mapping[str, str], after: Mapping[str, str], answered_id: str) -> list[str]:
    """What was answered at the cabinet and the boards and would be answered no more: each question, in its words.

    Another layout, another sort of device, a way said to be empty: whatever hangs on the answer before it goes with it."""
    if not answered_id.startswith(("intake", "way.")) and not answered_id.endswith((".kind", ".ways_n", ".points")):
        return []
    changed = {**before, **after}
    asked = [q for place in ("meter cabinet", "board cupboard") for q in questions(before, place) if not q.open]
    still = {q.id for place in ("meter cabinet", "board cupboard") for q in questions(changed, place) if not q.open}
    return [q.asks for q in asked if q.id not in still and q.id != answered_id]


def answer(
    files: Mapping[str, str],
    place: str,
    id: str,  # noqa: A002   as a Question calls it
    value: str | Unknown,
    by: str,
    at: str,
    prefix: str = "phone",
) -> dict[str, str]:
    """The files that an answer changes: relative name -> new text. by, at, prefix: for an answer that is a row.

    Errors: InputError with what is wrong, and nothing is changed; KeyError for no such place."""
    known = {question.id for question in questions(files, place)}
    if id not in known:
        raise InputError([Fault("answer", None, id, id, "nothing of this name is asked here", "", nearest(id, known))])
    if place in looking.TOPICS:
        return looking.answered(files, id, value, by, at, prefix)
    return ANSWERED[place](files, id, value)
