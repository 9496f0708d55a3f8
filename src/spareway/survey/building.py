"""What a wall, a window, a roof or a floor may be made of: what a person says of it, and the line of the job it becomes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

from spareway.bundled import text
from spareway.doc import Doc
from spareway.survey.ask import Choice
from spareway.tables.table import table

__all__ = ["PARTS", "acts_on", "element_of", "fabric_line", "kinds_of", "question_of"]

PARTS = ("wall", "window", "door", "above", "below")


@cache
def _said() -> Mapping[str, Any]:
    import tomllib

    return tomllib.loads(text("survey/rooms.toml"))


def element_of(part: str) -> str:
    """What the record calls this part of a room's skin."""
    return str(_said()["asks"][part]["element"])


def question_of(part: str) -> str:
    """What is asked of it."""
    return str(_said()["asks"][part]["asks"])


def acts_on(part: str, name: str) -> Any:
    """The share of the difference that acts on this kind as the record has it: nought as it is, any other assumed, with where it
    is from; None where all of it does, or where the kind is the person's own."""
    kind = _said()[part].get(name, {})
    share = kind.get("of_dt")
    return {"assumed": share, "note": kind["note"]} if share else share


def kinds_of(doc: Doc, part: str) -> tuple[Choice, ...]:
    """(name, words): what this home already has of it, then what else it may be."""
    own = dict(_own(doc, part))
    return (*own.items(), *((name, str(kind["says"])) for name, kind in _said()[part].items() if name not in own))


def _own(doc: Doc, part: str) -> Iterator[Choice]:
    """The constructions of the record that some room already has there, and those that were said of such a part."""
    fabric, element = doc.data.get("fabric", {}), element_of(part)
    used = {
        each["elements"][element].get("of")
        for each in doc.data.get("rooms", {}).values()
        if isinstance(each.get("elements", {}).get(element), dict)
    }
    for name, each in fabric.items():
        if name in used or name in _said()[part]:
            words = str(_said()[part].get(name, each).get("says") or name.replace("-", " "))
            yield name, f"{words[:1].upper()}{words[1:]}"


def fabric_line(part: str, name: str) -> dict[str, Any]:
    """The construction as a line of the record: a row of the table by its name, or several as a range about the first."""
    kind = _said()[part][name]
    words = {"says": kind["says"]}
    if len(kind["rows"]) == 1:
        return {**words, "built": kind["rows"][0]}
    values = {row.keys[0]: float(row.value) for row in table("u_values").rows}
    of = [values[row] for row in kind["rows"]]
    note = f"table: {'; '.join(kind['rows'])}"
    return {**words, "u_w_per_m2k": {"assumed": of[0], "least": min(of), "most": max(of), "note": note}}
