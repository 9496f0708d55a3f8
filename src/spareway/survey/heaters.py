"""The heaters of a room: what is stamped on each and which circuit it is on; those that would meet it, as lines of the work."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from spareway.design.around import HEATERS
from spareway.doc import Doc, Fault, InputError, looked_at, spell
from spareway.kinds import kind
from spareway.survey.ask import Choice, Question, Unknown
from spareway.survey.edit import set_value
from spareway.survey.words import about_field, kept

__all__ = ["WORK", "heater_answered", "heater_questions", "heaters_proposed"]

FOUND, WORK = "found.toml", "work.toml"
HEAD = "# What is to be done.\n"
LETTERS = "abcdefgh"


def heaters_proposed(files: Mapping[str, str], room: str, sizes_w: Sequence[float], stamped_v: float) -> dict[str, str]:
    """The changed file: a panel heater of each size in this room, on no circuit yet. Errors: InputError."""
    if not 0 < len(sizes_w) <= len(LETTERS):
        raise InputError([Fault("answer", None, room, room, "no heater to put there", "what the room loses comes first")])
    text = files.get(WORK) or HEAD
    taken = {name for file in (FOUND, WORK) for name in looked_at(file, files.get(file, "")).data.get("equipment", {})}
    plain = [f"heater-{room}"] if len(sizes_w) == 1 else [f"heater-{room}-{letter}" for letter in LETTERS[: len(sizes_w)]]
    clash = taken & {*plain}
    if clash:
        there = f"{', '.join(sorted(clash))} is there already"
        raise InputError([Fault(WORK, None, "equipment", room, there, "change its line")])
    for name, size_w in zip(plain, sizes_w, strict=True):
        line = {"kind": "panel-heater", "room": room, "stamped_w": {"drawing": _whole(size_w)},
                "stamped_v": {"drawing": _whole(stamped_v)}}  # fmt: skip
        text = set_value(text, spell(("equipment", name)), line, WORK)
    return {WORK: text}


def _whole(amount: float) -> int | float:
    return int(amount) if amount == int(amount) else amount


# ---- what is asked of each ---------------------------------------------------------------------------------------------
def heater_questions(files: Mapping[str, str], room: str) -> list[Question]:
    """Of every heater that stands in this room by the record: stamp, what a store gives, its circuit where one can be named."""
    circuits = tuple(_circuits(files))
    told = {name: (doc, thing) for _, doc, name, thing in _heaters(files) if thing.get("room") == room}
    return [question for name, (doc, thing) in told.items() for question in _asked(doc, name, thing, circuits)]


def _heaters(files: Mapping[str, str]) -> Iterator[tuple[str, Doc, str, Mapping[str, Any]]]:
    """(file, document, name, what stands there) of each heater; one that the work states anew comes again and counts."""
    for file, doc in _docs(files).items():
        for name, thing in doc.data.get("equipment", {}).items():
            if isinstance(thing, dict) and thing.get("kind") in HEATERS:
                yield file, doc, name, thing


def _docs(files: Mapping[str, str]) -> dict[str, Doc]:
    return {file: looked_at(file, files[file]) for file in (FOUND, WORK) if file in files}


def _circuits(files: Mapping[str, str]) -> Iterator[Choice]:
    """(name, words) of every circuit that feeds heaters, or that some heater says it is on."""
    docs = _docs(files).values()
    on = {thing.get("on") for doc in docs for thing in doc.data.get("equipment", {}).values() if isinstance(thing, dict)}
    found = {name: each for doc in docs for name, each in doc.data.get("circuits", {}).items() if isinstance(each, dict)}
    for name, each in found.items():
        if each.get("feeds") in HEATERS or name in on:
            yield name, f"{name.replace('-', ' ').capitalize()}, {str(each.get('way', 'no way')).replace('.', ', way ')}"


def _asked(doc: Doc, name: str, thing: Mapping[str, Any], circuits: tuple[Choice, ...]) -> Iterator[Question]:
    at, called = spell(("equipment", name)), name.replace("-", " ").capitalize()
    for field in ("stamped_w", "stamped_v", "given_w"):
        if field in kind(thing["kind"]).facts:
            yield about_field(doc, "heater", f"{at}.{field}", called)
    if circuits:
        on = thing.get("on", "")
        yield Question(f"{at}.on", f"{called}: which circuit is it on?", "choice", circuits, now=dict(circuits).get(on, on),
                       open=not on, unknown_reasons=())  # fmt: skip


def heater_answered(files: Mapping[str, str], asked: Question, value: str | Unknown) -> dict[str, str]:
    """The changed file: the last that the heater stands in. Errors: InputError, and nothing is changed."""
    name = asked.id.split(".")[1].strip('"')
    file = [file for file, _, each, _ in _heaters(files) if each == name][-1]
    if asked.id.endswith(".on"):
        return {file: set_value(files[file], asked.id, str(value), file)}
    return kept(files, file, "heater", asked.id, value)
