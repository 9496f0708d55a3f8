"""What operator and chain wait for: whose network, a looped service, its phases, what is printed on carrier and blocks, harm."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from spareway.doc import Doc, Fault, InputError, looked_at, nearest, spell
from spareway.kinds import kind
from spareway.show import cleaned
from spareway.survey.ask import Question, Unknown
from spareway.survey.edit import set_value
from spareway.survey.words import about_field, kept, stands, value_at

__all__ = ["answered", "questions"]

FILE, MOST_LETTERS = "found.toml", 60
OF_FAMILY = {"cut-out": ("carrier_a", "damage"), "block": ("rating_a",)}


def questions(files: Mapping[str, str]) -> list[Question]:
    """Of each supply whose it is, whether it loops on and its phases; of the cut-out and the blocks what can be read on them."""
    doc = looked_at(FILE, files[FILE])
    return [question for name in doc.data.get("supplies", {}) for question in _supply(doc, name)] + list(_things(doc))


def _supply(doc: Doc, name: str) -> Iterator[Question]:
    at = spell(("supplies", name))
    now = value_at(doc, f"{at}.operator")
    yield Question(f"{at}.operator", "Whose network is it?", "text", help="The network operator's name, as the job calls it.",
                   now=stands(now), open=now is None, unknown_reasons=("not known",))  # fmt: skip
    yield about_field(doc, "service", f"{at}.looped", "The service")
    yield about_field(doc, "service", f"{at}.phases_n", "The service")


def _things(doc: Doc) -> Iterator[Question]:
    for name, thing in doc.data.get("equipment", {}).items():
        of = kind(thing["kind"])
        for field in OF_FAMILY.get(of.family, ()):
            if field in of.facts:
                yield about_field(doc, "service", f"equipment.{spell((name,))}.{field}", name.replace("-", " ").capitalize())


def answered(files: Mapping[str, str], id: str, value: str | Unknown) -> dict[str, str]:  # noqa: A002   as a Question calls it
    """The changed file. Errors: InputError, and nothing is changed."""
    asked = {q.id for q in questions(files)}
    if id not in asked:
        raise InputError([Fault("answer", None, id, id, "nothing of this name is asked here", "", nearest(id, asked))])
    if not id.endswith(".operator"):
        return kept(files, FILE, "service", id, value)
    if isinstance(value, Unknown):
        return {FILE: set_value(files[FILE], id, {"unknown": value.why}, FILE)}
    name = cleaned(value).strip()[:MOST_LETTERS]
    if not name:
        raise InputError([Fault("answer", None, id, value, "nothing was said", "a name, or that it is not known")])
    return {FILE: set_value(files[FILE], id, name, FILE)}
