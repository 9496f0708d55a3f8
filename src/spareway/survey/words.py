"""How a field is asked for and how its values are called, read from fields.toml."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING, Any

from spareway.bundled import text
from spareway.doc import Doc, Fault, InputError, looked_at, spell, trail
from spareway.show import exact
from spareway.survey.ask import CANNOT, Choice, Question, Unknown
from spareway.survey.edit import set_value

if TYPE_CHECKING:
    from spareway.tables.table import Row

__all__ = ["about_field", "kept", "seen", "spoken", "stands", "value_at"]


@cache
def _fields() -> Mapping[str, Any]:
    import tomllib

    return tomllib.loads(text("survey/fields.toml"))


def spoken(value: Any, field: str = "") -> str:
    """What a written value is called, where it stands in this field."""
    if isinstance(value, bool | str):
        said = _written(value)
        held = _fields()
        return str(held["words_of"].get(field, {}).get(said) or held["words"].get(said, said))
    return ", ".join(map(str, value)) or "none" if isinstance(value, list) else exact(value)


def value_at(doc: Doc, address: str) -> Any:
    """What stands at an address, or None."""
    here: Any = doc.data
    for step in trail(address):
        if not isinstance(here, dict) or step not in here:
            return None
        here = here[step]
    return here


def stands(value: Any, unit: str = "", field: str = "") -> str:
    """A written fact in words: its value, or why there is none."""
    if value is None:
        return ""
    if not isinstance(value, dict):
        return f"{spoken(value, field)} {unit}".strip()
    if "unknown" in value:
        return f"unknown: {value['unknown']}"
    how, amount = next(((k, v) for k, v in value.items() if k not in ("least", "most", "note")), ("", None))
    return f"{spoken(amount, field)} {unit}".strip() + (f", {how}" if how else "")


@cache  # the list of places asks every question of a job
def _choices(topic: str, field: str) -> tuple[Choice, ...]:
    said = _fields()[topic][field]
    unit = said.get("unit", "")
    picks = ((_written(pick), f"{spoken(pick, field)} {unit}".strip()) for pick in said["picks"])
    return (*picks, *((row.keys[0], f"{exact(row.value)} {unit}: {_from(row)}") for row in _rows(said)))


def _rows(said: Mapping[str, Any]) -> list[Row]:
    """The figures of the table that a field is offered, in the order of its line."""
    if "rows" not in said:
        return []
    from spareway.tables.table import table

    rows = {row.keys[0]: row for row in table("heat_allowances").rows}
    return [rows[name] for name in said["rows"]]


def _from(row: Row) -> str:
    return f"{row.keys[0]} ({row.place}; {row.trust})"


def about_field(doc: Doc, topic: str, address: str, of: str) -> Question:
    """The question for one field: `topic` is its table in fields.toml, `of` what it belongs to, in words."""
    field = address.rpartition(".")[2]
    said = _fields()[topic][field]
    now = value_at(doc, address)
    return Question(
        address,
        f"{of}: {said['asks'][:1].lower()}{said['asks'][1:]}",
        "number" if "unit" in said else "choice",
        _choices(topic, field),
        said.get("unit", ""),
        said.get("help", ""),
        stands(now, said.get("unit", ""), field),
        now is None or _asked_for(now),
        tuple(said.get("unknown", CANNOT)),
        said.get("caution", ""),
    )


def _asked_for(value: Any) -> bool:
    """The starting pattern's own "not read yet": nobody has answered."""
    return isinstance(value, dict) and str(value.get("unknown", "")).endswith(" yet")


def _written(value: Any) -> str:
    return "true" if value is True else "false" if value is False else str(value)


def kept(files: Mapping[str, str], file: str, topic: str, address: str, value: str | Unknown) -> dict[str, str]:
    """The file with an answer at its address, as one changed line. Errors: InputError, and nothing is changed."""
    said = _fields()[topic][address.rpartition(".")[2]]
    if isinstance(value, Unknown):
        written: Any = {"unknown": value.why}
    else:
        row = next((row for row in _rows(said) if row.keys[0] == value), None)
        amount = _amount(value, said, address) if row is None else row.value
        written = amount if said["how"] == "seen" else {said["how"]: amount, **({"note": _from(row)} if row else {})}
    text = set_value(files[file], address, written, file)
    return {file: text if isinstance(value, Unknown) else seen(text, address, file)}


def seen(text: str, address: str, file: str) -> str:
    """The text, where what an answer is about still waited to be looked at: whoever answered has."""
    at = f"{spell(trail(address)[:2])}.looked"
    return set_value(text, at, True, file) if value_at(looked_at(file, text), at) is False else text


def _amount(value: str, said: Mapping[str, Any], address: str) -> Any:
    for pick in said["picks"]:
        if _written(pick) == value:
            return pick
    if "unit" not in said:
        raise InputError(
            [Fault("answer", None, address, value, f'read "{value}"', f"one of {', '.join(map(_written, said['picks']))}")]
        )
    plain = value.isascii() and value.replace(".", "", 1).isdigit() and not value.startswith(".")
    if not plain:
        hint = (
            f"write {value.replace(',', '.')}, with a point"
            if value.replace(",", ".", 1).replace(".", "", 1).isdigit()
            else f"a number, in {said['unit']}"
        )
        raise InputError([Fault("answer", None, address, value, f'read "{value}"', hint)])
    return float(value) if "." in value else int(value)
