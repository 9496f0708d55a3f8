"""The doorstep: ten questions before anything is touched, and the hazard note that they make."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from spareway.bundled import text
from spareway.doc import Fault, InputError, looked_at, read
from spareway.survey.ask import Question, Unknown
from spareway.survey.edit import set_value
from spareway.survey.words import value_at

__all__ = ["answered", "hazard_note", "questions"]

FILE = "job.toml"
CHOICES = (("no", "No"), ("yes", "Yes"))
REASONS = ("nobody could say", "not asked")
ASBESTOS = "Asbestos: stop, do not disturb."


@cache
def _items() -> Mapping[str, Mapping[str, str]]:
    import tomllib

    return tomllib.loads(text("survey/doorstep.toml"))


def questions(files: Mapping[str, str]) -> list[Question]:
    """The ten, in order."""
    doc = looked_at(FILE, files[FILE])
    out = []
    for name, item in _items().items():
        now = value_at(doc, f"doorstep.{name}")
        out.append(
            Question(
                f"doorstep.{name}",
                item["asks"],
                "choice",
                CHOICES,
                now="" if now is None else str(now),
                open=now is None,
                unknown_reasons=REASONS,
                caution=ASBESTOS if name == "built" else "",
            )
        )
    return out


def answered(files: Mapping[str, str], id: str, value: str | Unknown) -> dict[str, str]:  # noqa: A002   as a Question calls it
    """The changed file. Errors: InputError."""
    said = f"unknown: {value.why}" if isinstance(value, Unknown) else value
    if not isinstance(value, Unknown) and value not in dict(CHOICES):
        raise InputError([Fault("answer", None, id, value, f'read "{value}"', "yes or no")])
    return {FILE: set_value(files[FILE], id, said, FILE)}


def hazard_note(files: Mapping[str, str]) -> list[str]:
    """What whoever comes must know: each yes, and each question that nobody could answer. Never "none" for one not asked."""
    doc = read(FILE, files[FILE])
    lines = []
    for name, item in _items().items():
        now = value_at(doc, f"doorstep.{name}")
        if now == "yes":
            lines.append(item["if_yes"])
        elif now != "no":
            lines.append(f"Not known: {item['asks']}{f' ({now})' if now else ''}{f' {ASBESTOS}' if name == 'built' else ''}")
    return lines or ["Every question was answered no. Look again on the day."]
