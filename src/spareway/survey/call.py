"""A call: nine questions, asked until one decides; it ends in what the caller is told to do, and a note of what was said."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from spareway.bundled import text
from spareway.doc import Fault, InputError, nearest
from spareway.survey.edit import set_value
from spareway.survey.rows import observe

__all__ = ["ANSWERS", "ON_THE_CALL", "End", "Ring", "carried", "enquiry_note", "heard"]

ANSWERS = ("yes", "no", "unknown")
ON_THE_CALL = "said on the telephone"  # the place of a row that nobody saw
AT_THE_DOOR = {"medical": "medical", "water": "damp"}  # a yes of the call that is a yes of the door: asked again there
CAUTION = "Beyond what is read out here, nobody is told over the telephone that anything may be touched or opened."


@dataclass(frozen=True, slots=True)
class Ring:
    """The next question of a call."""

    name: str
    asks: str
    help: str


@dataclass(frozen=True, slots=True)
class End:
    """How a call ends: what it is, what the caller does until somebody comes."""

    name: str
    says: str
    do: str


@cache
def _held() -> Mapping[str, Any]:
    import tomllib

    return tomllib.loads(text("survey/call.toml"))


def heard(answers: Mapping[str, str]) -> Ring | End:
    """What to ask next, or how the call ends. answers: question -> yes, no or unknown, in any order.

    The gravest answer decides, whatever else was said. Errors: InputError for an answer or a question that is none."""
    held = _held()
    faults = [
        Fault(
            "call",
            None,
            name,
            said,
            "no such question" if name not in held["questions"] else f'read "{said}"',
            "yes, no or unknown",
            nearest(name, held["questions"]) if name not in held["questions"] else "",
        )
        for name, said in answers.items()
        if name not in held["questions"] or said not in ANSWERS
    ]
    if faults:
        raise InputError(faults)
    for name, question in held["questions"].items():
        if name not in answers:
            return Ring(name, question["asks"], question.get("help", ""))
        if end := question.get(answers[name]):
            return End(end, held["ends"][end]["says"], held["ends"][end]["do"])
    return End("survey", held["ends"]["survey"]["says"], held["ends"]["survey"]["do"])


def enquiry_note(answers: Mapping[str, str], by: str, at: str) -> list[str]:
    """What was asked and answered, how it ended: as kept. Errors: InputError."""
    end = heard(answers)
    asked: Sequence[tuple[str, Any]] = [(name, q) for name, q in _held()["questions"].items() if name in answers]
    lines = [f"Call taken by {by}, {at}.", *(f"{question['asks']} {answers[name]}" for name, question in asked)]
    return [*lines, f"Ended: {end.says}. {end.do}" if isinstance(end, End) else "Broken off before its end: ring back.", CAUTION]


def carried(files: Mapping[str, str], answers: Mapping[str, str], by: str, at: str, prefix: str) -> dict[str, str]:
    """A job with the call that it began with: the note as rows of what was said, and each yes that the door would ask for.

    A no on the telephone is none at the door: nobody looked. Errors: InputError."""
    out = dict(files)
    for line in enquiry_note(answers, by, at):
        out |= observe(out, "supplies.main", line, by, at, prefix, place=ON_THE_CALL)
    for asked, door in AT_THE_DOOR.items():
        if answers.get(asked) == "yes":
            out["job.toml"] = set_value(out["job.toml"], f"doorstep.{door}", "yes", "job.toml")
    return out
