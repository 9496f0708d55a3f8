"""One tap changes one line of a person's file: every comment, every space and every other line stays as it was."""
from __future__ import annotations

import re
from typing import Any

from spareway.doc import Doc, Fault, InputError, Trail, read, spell, trail
from spareway.job.write import inline

__all__ = ["set_value", "without"]

_HEADER = re.compile(r"""\s*\[((?:[^]"']|"[^"]*"|'[^']*')*)\]""")


def set_value(text: str, address: str, value: Any, file: str = "") -> str:
    """The text with `value` at `address`: its line changed, or a new one at the end of its table.

    A value is what TOML can say; a dict stands on the line: `{"measured": 9.2}`. Errors: InputError where the text cannot
    be read, where something at the address stands in the way, or where one line cannot say it."""
    doc, at = read(file, text), trail(address)
    if not at:
        raise InputError([Fault(file, None, address, address, "no address", "write circuits.cooker.cable.length_m")])
    wanted = _with(doc, doc.data, at, 1, value)
    above = _nearest_table(doc, at)
    if at in doc.places:
        out = _changed(doc, text, at, inline(value))
    elif above and _inline(doc, text, above):
        out = _changed(doc, text, above, inline(_at(wanted, above)))
    else:
        out = _added(doc, text, at, above, inline(value))
    if _compared(_read_back(file, out)) != _compared(wanted):
        raise InputError([doc.fault(at, address, "one line cannot say this here", "change it in an editor")])
    return out


def without(text: str, address: str, file: str = "") -> str:
    """The text without what stands at an address: the sections of a table, or the line of a value. Every other line stays.

    Errors: InputError where the text cannot be read, or where its lines hold something else as well."""
    doc, at = read(file, text), trail(address)
    if at not in doc.places:
        return text
    lines, kept, gone = text.split("\n"), list[str](), False
    line = doc.places[at][1] - 1
    after = min((n - 1 for _, n in doc.places.values() if n - 1 > line), default=len(lines))
    for number, each in enumerate(lines):
        head = _header(each)
        if head is not None:
            gone = head[:len(at)] == at
        if not gone and (head is not None or not line <= number < after or _header(lines[line]) is not None):
            kept.append(each)
    out = "\n".join(kept)
    if _compared(_full(_read_back(file, out))) != _compared(_full(_less(doc.data, at))):
        raise InputError([doc.fault(at, address, "its lines hold something else as well", "take it out in an editor")])
    return out


def _less(data: dict[str, Any], at: Trail) -> dict[str, Any]:
    """The data as it shall be."""
    rest = {at[0]: _less(data[at[0]], at[1:])} if len(at) > 1 else {}
    return {key: rest.get(key, value) for key, value in data.items() if key != at[0] or rest}


def _full(data: dict[str, Any]) -> dict[str, Any]:
    """Without tables that hold nothing: one that only its sections made goes with the last of them."""
    inner = {key: _full(value) if isinstance(value, dict) else value for key, value in data.items()}
    return {key: value for key, value in inner.items() if value != {}}


def _read_back(file: str, text: str) -> dict[str, Any]:
    try:
        return read(file, text).data
    except InputError:
        return {}


def _compared(data: Any) -> Any:
    """Data to compare: the type of a number counts, and so does the order of things, which stand as they were written."""
    if not isinstance(data, dict):
        return [_compared(each) for each in data] if isinstance(data, list | tuple) else (type(data).__name__, data)
    pairs = [(key, _compared(each)) for key, each in data.items()]
    return pairs if all(isinstance(each, dict) for each in data.values()) else sorted(pairs, key=lambda pair: pair[0])


def _with(doc: Doc, data: dict[str, Any], at: Trail, depth: int, value: Any) -> dict[str, Any]:
    """The data as it shall be."""
    key = at[depth - 1]
    if depth == len(at):
        return {**data, key: value}
    inner = data.get(key, {})
    if not isinstance(inner, dict):
        raise InputError([doc.fault(at[:depth], inner, f"{spell(at[:depth])} is no table", f"no place for {spell(at)}")])
    return {**data, key: _with(doc, inner, at, depth + 1, value)}


def _at(data: Any, at: Trail) -> Any:
    for step in at:
        data = data[step]
    return data


def _nearest_table(doc: Doc, at: Trail) -> Trail:
    """The longest part of the address, itself left out, that leads to something."""
    return next(at[:cut] for cut in range(len(at) - 1, -1, -1) if cut == 0 or at[:cut] in doc.places)


def _header(line: str) -> Trail | None:
    """The table that a line opens, or None."""
    match = _HEADER.match(line)
    return trail(match[1]) if match else None


def _inline(doc: Doc, text: str, table: Trail) -> bool:
    """Whether a table was written as { ... }, and neither under a header nor by dotted names."""
    line = text.split("\n")[doc.places[table][1] - 1]
    key = trail(line.partition("=")[0])
    return _header(line) is None and table[-len(key):] == key or len(key) < len(table) and table[:len(key)] == key


def _section(doc: Doc, lines: list[str], line: int) -> tuple[int, int, Trail]:
    """The header line of the section that holds a line (-1 before any header), where the next begins, and its table."""
    heads = sorted({n - 1 for _, n in doc.places.values() if _header(lines[n - 1]) is not None})
    start = max((n for n in heads if n <= line), default=-1)
    return start, min((n for n in heads if n > start), default=len(lines)), _header(lines[start]) or () if start >= 0 else ()


def _changed(doc: Doc, text: str, at: Trail, value: str) -> str:
    """The text with a value in the place of another. Only its own statement is given to tomlkit, which loses a space
    after a date elsewhere."""
    import tomlkit
    lines = text.split("\n")
    start = doc.places[at][1] - 1
    if _header(lines[start]) is not None:
        raise InputError([doc.fault(at, spell(at), f"{spell(at)} is a table of its own", "change its fields one by one")])
    _, end, head = _section(doc, lines, start)
    end = min((n - 1 for _, n in doc.places.values() if n - 1 > start), default=end)
    statement = tomlkit.parse("\n".join(lines[start:end]) + "\n")
    rest = at[len(head):]
    _at(statement, rest[:-1])[rest[-1]] = tomlkit.value(value)
    return "\n".join([*lines[:start], statement.as_string()[:-1], *lines[end:]])


def _added(doc: Doc, text: str, at: Trail, above: Trail, value: str) -> str:
    """The text with one more line: at the end of the section that holds the table, or in a new one at the end."""
    lines = text.split("\n")
    start, end, head = _section(doc, lines, doc.places[above][1] - 1 if above else -1)
    inside = above == head or any(start < line - 1 < end for trail_, (_, line) in doc.places.items()
                                  if len(trail_) > len(above) and trail_[:len(above)] == above)
    end_of_line = "\r" if "\r\n" in text else ""
    if above[:len(head)] != head or not inside or not above and len(at) > 1:
        new = ["", f"[{spell(at[:-1])}]", f"{spell(at[-1:])} = {value}"]
        return "\n".join([text.rstrip() + end_of_line, *(line + end_of_line for line in new), ""]).lstrip()
    said = [n for n in range(start + 1, end) if lines[n].strip() and not lines[n].lstrip().startswith("#")]
    free = (n for n in range(start + 1, end) if not lines[n].lstrip().startswith("#"))      # its first comment stays first
    lines.insert(said[-1] + 1 if said else next(free, end), f"{spell(at[len(head):])} = {value}{end_of_line}")
    return "\n".join(lines)
