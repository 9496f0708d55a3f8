"""One tap changes one line of a person's file: every comment, every space and every other line stays as it was."""
from __future__ import annotations

import re
import tomllib
from typing import Any

from spareway.doc import Doc, Fault, InputError, Trail, read, spell, trail
from spareway.job.write import inline

__all__ = ["set_value"]

_HEADER = re.compile(r"\s*\[(.*)\]")


def set_value(text: str, address: str, value: Any, file: str = "") -> str:
    """The text with `value` at `address`: its line changed, or a new one at the end of its table.

    A value is what TOML can say; a dict is written on the line: `{"measured": 9.2}`. Errors: InputError where the text
    cannot be read, or something at the address stands in the way."""
    doc, at = read(file, text), trail(address)
    if not at:
        raise InputError([Fault(file, None, address, address, "no address", "write circuits.cooker.cable.length_m")])
    wanted = _with(doc, doc.data, at, 1, value)
    above = _nearest_table(doc, at)
    out = _changed(text, at, above, inline(value)) if _on_a_line(doc, text, at, above) else \
        _added(doc, text, at, above, inline(value))
    if _in_order(tomllib.loads(out)) != _in_order(wanted):
        raise InputError([doc.fault(at, address, "this cannot be changed without other lines", "change it in an editor")])
    return out


def _with(doc: Doc, data: dict[str, Any], at: Trail, depth: int, value: Any) -> dict[str, Any]:
    """The data as it shall be."""
    key = at[depth - 1]
    if depth == len(at):
        return {**data, key: value}
    inner = data.get(key, {})
    if not isinstance(inner, dict):
        raise InputError([doc.fault(at[:depth], inner, f"{spell(at[:depth])} is no table",
                                    f"nothing can stand at {spell(at)}")])
    return {**data, key: _with(doc, inner, at, depth + 1, value)}


def _in_order(data: Any) -> Any:
    """Data to compare, the order of keys and the type of numbers included: points stand in the order written."""
    if isinstance(data, dict):
        return [(key, _in_order(each)) for key, each in data.items()]
    return [_in_order(each) for each in data] if isinstance(data, list | tuple) else (type(data), data)


def _nearest_table(doc: Doc, at: Trail) -> Trail:
    """The longest part of the address, itself left out, that leads to something."""
    data, depth = doc.data, 0
    while depth < len(at) - 1 and at[depth] in data:
        data, depth = data[at[depth]], depth + 1
    return at[:depth]


def _line(doc: Doc, text: str, at: Trail) -> str:
    return text.split("\n")[doc.place(at)[1] - 1]


def _header(line: str) -> Trail | None:
    """The table a line opens, or None."""
    match = _HEADER.match(line)
    return trail(match[1]) if match else None


def _on_a_line(doc: Doc, text: str, at: Trail, above: Trail) -> bool:
    """Whether the address stands there already, or goes into a table that stands on one line."""
    if at in doc.places:
        return True
    return bool(above) and _header(_line(doc, text, above)) is None and _one_line(doc, above)


def _one_line(doc: Doc, above: Trail) -> bool:
    """Whether a table was written as { ... } and not as a dotted name before any header."""
    first = doc.places[above]
    return all(place == first for at, place in doc.places.items() if at[:len(above)] == above)


def _changed(text: str, at: Trail, above: Trail, value: str) -> str:
    """The text with a value put in the place of another, or into a table on one line."""
    import tomlkit
    document = tomlkit.parse(text)
    table: Any = document
    for step in above:
        table = table[step]
    rest = at[len(above):]
    for step in reversed(rest[1:]):
        value = f"{{ {spell((step,))} = {value} }}"
    table[rest[0]] = tomlkit.value(value)
    return document.as_string()
