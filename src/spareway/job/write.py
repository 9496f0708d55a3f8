"""An installation written flat in the grammar we read: a finished job's `fitted` becomes the next job's `found`.

Short things stand on one line, long ones under a header; a table is written in one of the two ways throughout, so the
order of its things is kept. Comments are not here to keep: faces that change a line of a person's file use `survey.edit`.
"""
from __future__ import annotations

import datetime
import math
from collections.abc import Iterator, Mapping
from typing import Any

from spareway.doc import BUDGET, Trail, is_fact, spell
from spareway.show import exact

__all__ = ["flat", "inline"]

_WIDTH = 110
_LONGEST_TEXT = 1000
_PIECE = 90


def flat(data: Mapping[str, Any]) -> str:
    """Nested data as TOML that reads back as the same data. Errors: ValueError for a number that is none,
    TypeError for what TOML cannot say."""
    return "\n".join(_lines((), data)).lstrip("\n") + "\n"


def inline(value: Any) -> str:
    """One value as it stands after an equals sign, on one line if it can."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return _number(value)
    if isinstance(value, int):
        return str(value)
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, datetime.date | datetime.time):           # a datetime is a date
        return value.isoformat()
    if isinstance(value, list | tuple):
        return _list([inline(each) for each in value])
    if isinstance(value, Mapping):
        pairs = ", ".join(f"{_key(key)} = {inline(each)}" for key, each in value.items())
        return f"{{ {pairs} }}" if pairs else "{}"
    raise TypeError(f"TOML has no {type(value).__name__}")


def _number(value: float) -> str:
    if not math.isfinite(value):
        raise ValueError("not a number that can be written down")
    text = exact(value)
    return text if "." in text else f"{text}.0"


def _list(items: list[str]) -> str:
    short = f"[{', '.join(items)}]"
    return short if len(short) <= _WIDTH else "[\n" + "".join(f"  {each},\n" for each in items) + "]"


_ESCAPES = {'"': '\\"', "\\": "\\\\", "\b": "\\b", "\t": "\\t", "\n": "\\n", "\f": "\\f", "\r": "\\r"}


def _text(text: str) -> str:
    """A text in quotes; a very long one in pieces, each ending in a backslash, since a line has its budget."""
    if len(text) <= _LONGEST_TEXT:
        return f'"{_escaped(text)}"'
    pieces = [_escaped(text[at:at + _PIECE]) for at in range(0, len(text), _PIECE)]
    kept = [f"\\u0020{piece[1:]}" if piece.startswith(" ") else piece for piece in pieces]
    return '"""' + "\\\n".join(kept) + '"""'


def _key(key: str) -> str:
    """A key, in quotes where it needs them."""
    return key if spell((key,)) == key else f'"{_escaped(key)}"'


def _escaped(text: str) -> str:
    return "".join(_ESCAPES.get(c) or (f"\\u{ord(c):04x}" if c < " " or c == "\x7f" else c) for c in text)


# ---- tables ---------------------------------------------------------------------------------------------------------
def _is_table(value: Any) -> bool:
    """A table of its own, and neither a fact nor an empty one."""
    return isinstance(value, Mapping) and bool(value) and not is_fact(value)


def _are_things(value: Any) -> bool:
    """Named things: a table of tables, of which some may be empty."""
    return _is_table(value) and all(isinstance(each, Mapping) and not is_fact(each) for each in value.values())


def _fits(line: str, value: Any) -> bool:
    """Whether a table may stand on this line: it is short and holds nothing deeper than facts."""
    return len(line) <= _WIDTH and "\n" not in line and not any(_is_table(each) for each in value.values())


def _lines(at: Trail, table: Mapping[str, Any]) -> Iterator[str]:
    """A table under its header, then the tables within it that need headers of their own."""
    own: list[str] = []
    later: list[str] = []
    for key, value in table.items():
        lines = _entry(key, value, len(at))
        if lines is None:
            later.append(key)
        else:
            own += lines
    if later and at and _are_things(table):
        own, later = [], [*table]                                 # all alike, so that their order is kept
    if at and (own or not later):
        yield from ("", f"[{'.'.join(map(_key, at))}]")
    yield from own
    for key in later:
        yield from _lines((*at, key), table[key])


def _entry(key: str, value: Any, depth: int) -> list[str] | None:
    """The lines of one key within its table, or None where it needs a header."""
    name = _key(key)
    headed = depth + 1 < BUDGET.key_parts
    if not isinstance(value, Mapping) or not value:
        return [f"{name} = {inline(value)}"]
    if depth and _are_things(value):
        lines = [(f"{name}.{_key(each)} = {inline(thing)}", thing) for each, thing in value.items()]
        return None if headed and not all(_fits(line, thing) for line, thing in lines) else [line for line, _ in lines]
    line = f"{name} = {inline(value)}"
    short = is_fact(value) and len(line.encode()) <= BUDGET.line_bytes // 4 or depth > 0 and _fits(line, value)
    return [line] if short or not headed else None
