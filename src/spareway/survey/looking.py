"""By eye: what only a person can see, asked where it is looked at. An answer is a row that is only ever added."""

from __future__ import annotations

from collections.abc import Mapping

from spareway.doc import Fault, InputError, looked_at, spell
from spareway.job.rows import Observation, standing
from spareway.rules.eyes import Item, item_of, items
from spareway.survey.ask import CANNOT, Question, Unknown
from spareway.survey.rows import added, rows_of
from spareway.survey.words import about_field, kept

__all__ = ["TOPICS", "answered", "questions"]

FILE, RECORD = "observations.csv", "found.toml"
CHOICES = (("yes", "Good: it is so"), ("no", "Wrong: it is not so"), ("does not apply", "Nothing like it here"))
TOPICS = {
    "look, cabinet": ("intake", "earth"),
    "look, cupboard": ("boards", "labels"),
    "look, rooms": ("cables", "points", "bath", "sources"),
}
WHERE = {"intake": "supplies.main", "earth": "supplies.main"}


def questions(files: Mapping[str, str], place: str) -> list[Question]:
    """The items that are looked at in this place."""
    given = {row.eye: row for row in standing(rows_of(files, FILE)) if isinstance(row, Observation) and row.eye}
    asked = [item for item in items() if item.topic in TOPICS[place]]
    each = (_of_record(files, item) if item.field else [_asked(item, given.get(item.code))] for item in asked)
    return [question for own in each for question in own]


def _of_record(files: Mapping[str, str], item: Item) -> list[Question]:
    """The field of each supply that is the answer: asked here as it is of the service, and once for both."""
    doc = looked_at(RECORD, files[RECORD])
    at = [f"{spell(('supplies', name))}.{item.field}" for name in doc.data.get("supplies", {})]
    return [about_field(doc, "service", each, "The service") for each in at]


def _asked(item: Item, row: Observation | None) -> Question:
    words = dict(CHOICES)
    return Question(
        item.code,
        f"{item.says[:1].upper()}{item.says[1:]}.",
        "choice",
        CHOICES,
        help=f"Look: {item.look}",
        now=words.get(row.answer, row.says) if row else "",
        open=row is None,
        unknown_reasons=CANNOT,
        caution=item.caution or ("Prove dead first, every time." if "dead" in item.look or "supply off" in item.look else ""),
    )


def answered(files: Mapping[str, str], id: str, value: str | Unknown, by: str, at: str, prefix: str) -> dict[str, str]:  # noqa: A002
    """One more row; it strikes the row that answered before. Errors: InputError."""
    if id.startswith("supplies."):
        return kept(files, RECORD, "service", id, value)
    item = item_of(id)
    said = "not seen" if isinstance(value, Unknown) else value
    if item is None or not isinstance(value, Unknown) and value not in dict(CHOICES):
        raise InputError([Fault("answer", None, id, str(said), f'read "{said}"', "yes, no, does not apply or not seen")])
    before = next((row for row in standing(rows_of(files, FILE)) if isinstance(row, Observation) and row.eye == item.code), None)
    if before and (before.answer, before.by, before.at) == (said, by, at):
        return {}
    why = value.why if isinstance(value, Unknown) else ""
    says = {"yes": "looked at: so", "no": "looked at: not so", "does not apply": "nothing like it here"}.get(
        said, f"not seen: {why}" if why not in ("", "not seen") else "not seen"
    )
    return added(
        files,
        FILE,
        prefix,
        {
            "where": before.where if before else WHERE.get(item.topic, _board(files)),
            "says": says,
            "by": by,
            "at": at,
            "eye": item.code,
            "answer": said,
            "strikes": before.id if before else "",
        },
    )


def _board(files: Mapping[str, str]) -> str:
    """The first board, where the record has one; else the supply."""
    from spareway.kinds import kind

    things = looked_at("found.toml", files["found.toml"]).data.get("equipment", {})
    board = next((name for name, thing in things.items() if kind(thing["kind"]).family == "board"), "")
    return f"equipment.{spell((board,))}" if board else "supplies.main"
