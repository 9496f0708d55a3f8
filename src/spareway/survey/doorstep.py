"""The doorstep: ten questions before anything is touched, and the hazard note that they make."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from spareway.bundled import text
from spareway.doc import Fault, InputError, looked_at, read
from spareway.job.disputed import FILE as DISPUTED
from spareway.job.disputed import Dispute, disputes_in, value, written
from spareway.job.rows import Observation, standing
from spareway.survey.ask import Question, Unknown
from spareway.survey.call import ON_THE_CALL
from spareway.survey.edit import set_value
from spareway.survey.rows import rows_of
from spareway.survey.words import value_at

__all__ = ["answered", "answers", "asked_at", "hazard_note", "questions"]

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
    doc, differ = looked_at(FILE, files[FILE]), _disputed(files)
    out = []
    for name, item in _items().items():
        now = None if f"doorstep.{name}" in differ else value_at(doc, f"doorstep.{name}")
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


def asked_at(address: str) -> str:
    """The question whose answer stands at an address of job.toml; nothing where that is no answer of the door."""
    table, _, name = address.partition(".")
    return _items()[name]["asks"] if table == "doorstep" and name in _items() else ""


def _disputed(files: Mapping[str, str]) -> dict[str, Dispute]:
    """What two people answered two ways, by its address."""
    return {each.address: each for each in disputes_in(files).values() if each.file == FILE}


def answers(dispute: Dispute) -> list[str]:
    """What each of them answered, "nothing" for whoever took it away."""
    return [str(value(version)) if version else "nothing" for version in dispute.versions]


def answered(files: Mapping[str, str], id: str, value: str | Unknown) -> dict[str, str]:  # noqa: A002   as a Question calls it
    """What changed: the answer, and a dispute about it that it settles. Errors: InputError."""
    said = f"unknown: {value.why}" if isinstance(value, Unknown) else value
    if not isinstance(value, Unknown) and value not in dict(CHOICES):
        raise InputError([Fault("answer", None, id, value, f'read "{value}"', "yes or no")])
    changed = {FILE: set_value(files[FILE], id, said, FILE)}
    if id not in _disputed(files):
        return changed
    return changed | {DISPUTED: written(each for key, each in disputes_in(files).items() if key != f"{FILE} {id}")}


def hazard_note(files: Mapping[str, str]) -> list[str]:
    """What whoever comes must know: each yes, each question that nobody could answer, and each that two people answered two
    ways. Never "none" for one not asked."""
    doc, differ = read(FILE, files[FILE]), _disputed(files)
    lines = []
    for name, item in _items().items():
        now = value_at(doc, f"doorstep.{name}")
        if dispute := differ.get(f"doorstep.{name}"):
            both = " and ".join(answers(dispute))
            lines.append(f"Not known: two people differ ({both}): {item['asks']}{f' {ASBESTOS}' if name == 'built' else ''}")
        elif now == "yes":
            lines.append(item["if_yes"])
        elif now != "no":
            lines.append(f"Not known: {item['asks']}{f' ({now})' if now else ''}{f' {ASBESTOS}' if name == 'built' else ''}")
    lines = lines or ["Every question was answered no. Look again on the day."]
    return [*lines, *_on_the_call(files)]


def _on_the_call(files: Mapping[str, str]) -> list[str]:
    """What was said on the telephone before anybody came, as it was said then."""
    rows = [row for row in standing(rows_of(files, "observations.csv")) if isinstance(row, Observation)]
    return [f"On the telephone: {row.says}" for row in rows if row.place == ON_THE_CALL and not row.says.endswith(" no")]
