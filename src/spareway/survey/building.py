"""What a wall, a window, a roof or a floor may be made of: what a person says of it, and the line of the job it becomes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

from spareway.bundled import text
from spareway.doc import Doc
from spareway.fact import HOW
from spareway.job.skin import part_of
from spareway.job.types import SKIN
from spareway.survey.ask import Choice
from spareway.tables.table import table

__all__ = ["PARTS", "acts_on", "element_of", "fabric_line", "is_nothing", "kinds_of", "named", "question_of"]

PARTS = ("wall", "window", "door", "above", "below")
CALLED = dict(zip(PARTS, SKIN, strict=True))                # as the record calls that part of a skin


@cache
def _said() -> Mapping[str, Any]:
    import tomllib

    return tomllib.loads(text("survey/rooms.toml"))


def element_of(part: str) -> str:
    """What the record calls this part of a room's skin."""
    return str(_said()["asks"][part]["element"])


def named(doc: Doc, room: str, part: str) -> tuple[str, bool]:
    """(name, whether it is in the record) of the element that is this part of a room, whatever it is called; where there is none
    yet, the name that it gets."""
    elements = doc.data.get("rooms", {}).get(room, {}).get("elements", {})
    plain = element_of(part)
    for name in sorted(elements, key=lambda each: each != plain):
        if isinstance(elements[name], dict) and _is_part(doc, name, elements[name], part):
            return name, True
    return next(name for name in (plain, *(f"{plain}-{n}" for n in range(2, len(elements) + 3))) if name not in elements), False


def _is_part(doc: Doc, name: str, element: Mapping[str, Any], part: str) -> bool:
    """An outside wall is one that faces outside."""
    of = doc.data.get("fabric", {}).get(element.get("of"), {})
    is_ = part_of(name, element.get("part", ""), of.get("part", ""), bool(element.get("cut_from")), "length_m" in element)
    return is_ == CALLED[part] and not (part == "wall" and "of_dt" in element)


def is_nothing(element: Any) -> bool:
    """Whether it is said that there is none of it, or that no difference of temperature acts on it."""
    return isinstance(element, dict) and any(_amount(element.get(field)) == 0 for field in ("area_m2", "of_dt"))


def _amount(said: Any) -> Any:
    return next((said[how] for how in HOW if how in said), None) if isinstance(said, dict) else said


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
    used = {
        element.get("of")
        for room in doc.data.get("rooms", {}).values()
        for name, element in room.get("elements", {}).items()
        if isinstance(element, dict) and _is_part(doc, name, element, part)
    }
    for name, each in doc.data.get("fabric", {}).items():
        if name in used or name in _said()[part] or each.get("part") == CALLED[part]:
            words = str(_said()[part].get(name, each).get("says") or name.replace("-", " "))
            yield name, f"{words[:1].upper()}{words[1:]}"


def fabric_line(part: str, name: str) -> dict[str, Any]:
    """The construction as a line of the record: a row of the table by its name, or several as a range about the first."""
    kind = _said()[part][name]
    words = {"says": kind["says"], "part": CALLED[part]}
    if len(kind["rows"]) == 1:
        row = kind["rows"][0]
        return {**words, "built": {"stated": row, "note": kind["row_note"]} if "row_note" in kind else row}
    values = {row.keys[0]: float(row.value) for row in table("u_values").rows}
    of = [values[row] for row in kind["rows"]]
    note = f"table: {'; '.join(kind['rows'])}"
    return {**words, "u_w_per_m2k": {"assumed": of[0], "least": min(of), "most": max(of), "note": note}}
