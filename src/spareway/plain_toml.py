"""The plain form of TOML in which jobs and tables are mostly written, read at a fifth of what a reader of all of it costs.

Plain are bare keys, `[tables]`, numbers without exponent, days, true and false, texts without a backslash, lists and inline
tables of these, and a text in three quotes. Whatever else stands in a text, right or wrong, makes it not plain: `tomllib` then
reads it and says what is wrong. Tests hold the two equal.
"""
from __future__ import annotations

import datetime
import re
from typing import Any

__all__ = ["Statement", "loads", "read_plain"]

Statement = tuple[int, tuple[str, ...], Any]            # line, trail, and the value of a key, None of a header
DEEPEST = 4                                             # lists and inline tables inside one another

_END = r"[ \t]*(?:#[^\x00-\x08\n-\x1f\x7f]*)?(?:\n|\Z)"
_PART = r"""(?:[A-Za-z0-9_-]+|"[^"\\\x00-\x1f\x7f]*")"""
_KEYS = rf"{_PART}(?:\.{_PART})*"
_START = re.compile(rf"[ \t]*(?:\[[ \t]*({_KEYS})[ \t]*\]{_END}|({_KEYS})[ \t]*=[ \t]*|{_END})")
_VALUE = re.compile(r'"([^"\\\x00-\x1f\x7f]*)"(?!")'
                    r"|((?!-0(?:\.0*)?(?![\d.]))-?(?:0|[1-9][0-9]*)(\.[0-9]+)?)(?![\w.:+-])"
                    r"|(true|false)(?!\w)|([\[{])[ \t]*|'([^'\x00-\x08\n-\x1f\x7f]*)'(?!')"
                    r"|([0-9]{4})-([0-9]{2})-([0-9]{2})(?![\w.:+-]| [0-9])")
_TEXT, _NUMBER, _BROKEN, _TRUTH, _BRACKET, _LITERAL = range(1, 7)               # the groups of _VALUE, then a day's
_LONG = re.compile(r'"""\n?((?:[^"\\\x00-\x08\x0b-\x1f\x7f]+|"(?!""))*)"""(?!")'
                   r"|'''\n?((?:[^'\x00-\x08\x0b-\x1f\x7f]+|'(?!''))*)'''(?!')")
_KEY = re.compile(rf"({_PART})[ \t]*=[ \t]*")
_NAMES = re.compile(_PART)
_GAP, _AFTER = re.compile(r"[ \t\n]*"), re.compile(r"[ \t]*([,}])[ \t]*")
_CLOSED = re.compile(_END)


class _NotPlain(Exception):
    """Something stands here that only a reader of all of TOML can judge."""


def loads(text: str) -> dict[str, Any]:
    """As `tomllib.loads`, which is imported only for what is not plain."""
    if found := read_plain(text):
        return found[0]
    import tomllib
    return tomllib.loads(text)


def read_plain(text: str) -> tuple[dict[str, Any], list[Statement]] | None:
    """What `tomllib` makes of a text, and each of its statements; None of a text that is not plain."""
    try:
        return _Reader(text).whole()
    except _NotPlain:
        return None


class _Reader:
    """One reading. `closed` are tables that no header may open: inline ones and those that dotted keys made; `growing` those
    that dotted keys under the header in force made, which further ones may add to."""
    __slots__ = ("at", "closed", "data", "growing", "headers", "text")

    def __init__(self, text: str) -> None:
        self.text, self.at = text, 0
        self.data: dict[str, Any] = {}
        self.headers: set[tuple[str, ...]] = set()
        self.closed: set[int] = set()
        self.growing: set[int] = set()

    def whole(self) -> tuple[dict[str, Any], list[Statement]]:
        text, table, number = self.text, self.data, 1
        head: tuple[str, ...] = ()
        statements: list[Statement] = []
        while self.at < len(text):
            start = self.at
            found = _START.match(text, start)
            if found is None:
                raise _NotPlain
            self.at = found.end()
            header, keys = found.groups()
            if header:
                head = _trail(header)
                table = self._opened(head)
                statements.append((number, head, None))
            elif keys:
                at = _trail(keys)
                value = self._statement()
                self._put(table, at, value)
                statements.append((number, head + at, value))
            number += text.count("\n", start, self.at)
        return self.data, statements

    def _opened(self, head: tuple[str, ...]) -> dict[str, Any]:
        """The table of a header, which stands once."""
        if head in self.headers:
            raise _NotPlain
        self.headers.add(head)
        self.growing.clear()
        here = self.data
        for part in head:
            inner = here.setdefault(part, {})
            if type(inner) is not dict or id(inner) in self.closed:
                raise _NotPlain
            here = inner
        return here

    def _put(self, table: dict[str, Any], at: tuple[str, ...], value: Any) -> None:
        for part in at[:-1]:
            if part not in table:
                table[part] = {}
                self.growing.add(id(table[part]))
            elif id(table[part]) not in self.growing:
                raise _NotPlain
            table = table[part]
            self.closed.add(id(table))
        if at[-1] in table:
            raise _NotPlain
        table[at[-1]] = value
        if type(value) is dict:
            self.closed.add(id(value))

    def _statement(self) -> Any:
        """The value of a key, to the end of its line."""
        if long := _LONG.match(self.text, self.at):
            self.at, value = long.end(), long[long.lastindex or 0]
        else:
            value = self._value(0)
        end = _CLOSED.match(self.text, self.at)
        if end is None:
            raise _NotPlain
        self.at = end.end()
        return value

    def _value(self, depth: int) -> Any:
        found = _VALUE.match(self.text, self.at)
        if found is None:
            raise _NotPlain
        self.at = found.end()
        what = found.lastindex
        if what in (_TEXT, _LITERAL):
            return found[what]
        if what == _NUMBER:
            return float(found[_NUMBER]) if found[_BROKEN] else int(found[_NUMBER])
        if what == _TRUTH:
            return found[_TRUTH] == "true"
        if what != _BRACKET:
            return _day(*map(int, found.groups()[_LITERAL:]))
        if depth == DEEPEST:
            raise _NotPlain
        return self._list(depth + 1) if found[_BRACKET] == "[" else self._inline(depth + 1)

    def _list(self, depth: int) -> list[Any]:
        """A list; it may go over several lines and end in a comma."""
        items: list[Any] = []
        while self._next() != "]":
            items.append(self._value(depth))
            if self._next() == ",":
                self.at += 1
            elif self.text[self.at:self.at + 1] != "]":
                raise _NotPlain
        self.at += 1
        return items

    def _next(self) -> str:
        """What stands after the gap here."""
        gap = _GAP.match(self.text, self.at)
        self.at = gap.end() if gap else self.at
        return self.text[self.at:self.at + 1]

    def _inline(self, depth: int) -> dict[str, Any]:
        """An inline table: one line, no comma at its end, each key once."""
        table: dict[str, Any] = {}
        if self.text[self.at:self.at + 1] == "}":
            self.at += 1
            return table
        while True:
            key = _KEY.match(self.text, self.at)
            if key is None:
                raise _NotPlain
            self.at = key.end()
            name = key[1].strip('"')
            if name in table:
                raise _NotPlain
            table[name] = self._value(depth)
            after = _AFTER.match(self.text, self.at)
            if after is None:
                raise _NotPlain
            self.at = after.end()
            if after[1] == "}":
                return table


def _trail(keys: str) -> tuple[str, ...]:
    if '"' in keys:
        return tuple([part.strip('"') for part in _NAMES.findall(keys)])
    return tuple(keys.split("."))


def _day(year: int, month: int, day: int) -> datetime.date:
    try:
        return datetime.date(year, month, day)
    except ValueError:
        raise _NotPlain from None
