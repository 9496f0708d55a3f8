"""A TOML text as nested tables with the file and line of every key, and overlays that remember who spoke last.

Laid over: tables merge; a fact replaces whole; an entry that states `kind` or `item` is another thing and replaces whole,
so no rating of the old device survives in the new one; `remove` takes away by address; an address that is not there is
an error. Bases are never changed.
"""
from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from spareway.fact import HOW
from spareway.plain_toml import read_plain

__all__ = ["BUDGET", "Doc", "Fault", "InputError", "Trail", "is_fact", "looked_at", "nearest", "over", "read", "spell", "trail"]

Trail = tuple[str, ...]
FACT_KEYS = frozenset((*HOW, "unknown", "least", "most", "note"))


@dataclass(frozen=True, slots=True)
class Budget:
    """What a text may cost before it is parsed."""
    size_bytes: int = 1 << 20
    key_parts: int = 8
    depth: int = 8
    line_bytes: int = 4096


BUDGET = Budget()


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with our inputs: where, what was read, what would be right, the nearest known name."""
    file: str
    line: int | None
    field: str
    read: str
    says: str
    allowed: str = ""
    nearest: str = ""

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}" if self.line else self.file
        words = [self.says]
        if self.allowed:
            words.append(self.allowed)
        if self.nearest:
            words.append(f"did you mean {self.nearest}?")
        return f"{place}: {f'{self.field}: ' if self.field else ''}{'; '.join(words)}"


class InputError(Exception):
    """Faults in what we were given, all of one run."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(map(str, self.faults)))


@dataclass(frozen=True, slots=True)
class Doc:
    """`data` as TOML gave it; `places` leads from the trail of a key to (file, line)."""
    data: dict[str, Any]
    places: Mapping[Trail, tuple[str, int]] = field(default_factory=dict)

    def place(self, at: Trail) -> tuple[str, int]:
        """File and line of a key, or of the nearest table around it."""
        found = self.places.get(at)
        while found is None and at:
            at = at[:-1]
            found = self.places.get(at)
        return found or ("", 0)

    def where(self, at: Trail) -> str:
        """`found.toml:12`."""
        file, line = self.place(at)
        return f"{file}:{line}"

    def fault(self, at: Trail, read: Any, says: str, allowed: str = "", near: str = "") -> Fault:
        file, line = self.place(at)
        return Fault(file, line or None, spell(at), shorten(read), says, allowed, near)


def shorten(read: Any) -> str:
    """What was read, as it may stand in a message."""
    text = str(read)
    return text if len(text) <= 60 else text[:57] + "..."


_BARE = re.compile(r"[A-Za-z0-9_-]+\Z")
_ALL_BARE = re.compile(r"[A-Za-z0-9_-]+(?:\.[A-Za-z0-9_-]+)*\Z")


def spell(at: Trail) -> str:
    """A trail as an address: circuits.cooker.cable.length_m."""
    plainly = ".".join(at)
    if _ALL_BARE.match(plainly) and plainly.count(".") == len(at) - 1:
        return plainly
    return ".".join([part if _BARE.match(part) else f'"{part}"' for part in at])


@lru_cache(4096)
def trail(address: str) -> Trail:
    """An address as a trail."""
    return tuple(_name(part) for part in re.findall(_NAME, address))


def _name(part: str) -> str:
    """A part of a key without its quotes and escapes. One that cannot be read stays as it is: the parser will say so."""
    if part[0] not in "\"'":
        return part
    if "\\" not in part or part[0] == "'":
        return part[1:-1]
    import tomllib
    try:
        return next(iter(tomllib.loads(f"{part} = 0")))
    except tomllib.TOMLDecodeError:
        return part[1:-1]


def nearest(word: str, known: Iterable[str]) -> str:
    """The known name most like this one, or nothing."""
    from difflib import get_close_matches
    close = get_close_matches(word, list(known), 1, 0.5)
    return close[0] if close else ""


def is_fact(value: Any) -> bool:
    """`{ measured = 9, drawing = 11 }`: a table of ways in which one quantity is known."""
    return isinstance(value, dict) and bool(value) and value.keys() <= FACT_KEYS \
        and not value.keys() <= {"note", "least", "most"} and not any(isinstance(each, dict) for each in value.values())


# ---- reading --------------------------------------------------------------------------------------------------------
_NAME = r"""(?:[A-Za-z0-9_-]+|"(?:[^"\\]|\\.)*"|'[^']*')"""
_KEYS = rf"{_NAME}(?:\s*\.\s*{_NAME})*"
_HEAD = rf"\s*\[\s*({_KEYS})\s*\]"                   # compiled where they are used: most texts are plain and need none
_PAIR = rf"\s*({_KEYS})\s*="
_SAID = r'(?s)"""(?:[^\\]|\\.)*?"""' + r"|'''.*?'''|" + r'"(?:[^"\\\n]|\\.)*"' + r"|'[^'\n]*'|#[^\n]*"
_MINUS_NOUGHT = r"(?<![\w.+-])-0(?:\.0*)?(?:[eE][+-]?[0-9]+)?(?![\w.+-])"


def read(file: str, text: str) -> Doc:
    """A TOML text as a Doc. Errors: InputError with every fault that can be told in one reading."""
    if (size := len(text.encode("utf-8", "surrogatepass"))) > BUDGET.size_bytes:
        raise InputError([Fault(file, None, "", f"{size} bytes", f"{size} bytes", f"at most {BUDGET.size_bytes} bytes")])
    return _plainly(file, text) or _carefully(file, text)


@lru_cache(16)
def looked_at(file: str, text: str) -> Doc:
    """The same, kept for the last few texts: for those who only look, and change nothing in it. Errors: InputError."""
    return read(file, text)


def _plainly(file: str, text: str) -> Doc | None:
    """A text in the plain form and within the budget; None of any other."""
    if max(map(len, text.split("\n"))) * 4 > BUDGET.line_bytes:
        return None
    found = read_plain(text)
    if found is None or any(len(at) > BUDGET.key_parts for _, at, _ in found[1]):
        return None
    places: dict[Trail, tuple[str, int]] = {(): (file, 1)}
    for number, at, value in found[1]:
        place = (file, number)
        for cut in range(1, len(at)):
            places.setdefault(at[:cut], place)
        places[at] = place
        if type(value) is dict:
            for here in _inside(value, at):
                places[here] = place
    return Doc(found[0], places)


def _carefully(file: str, text: str) -> Doc:
    import tomllib
    quiet = re.sub(_SAID, _quiet, text)
    statements = list(_statements(text, quiet))
    if faults := list(_over_budget(file, text, quiet, statements)):
        raise InputError(faults)
    try:
        data = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as problem:
        raise InputError(_all_broken(file, text, problem)) from None
    places: dict[Trail, tuple[str, int]] = {(): (file, 1)}
    if lists := [(number, at) for number, at, mark in statements if mark == "[["]:
        raise InputError(Fault(file, number, spell(at), "[[", "a list of tables",
                               f"everything here has a name: write [{spell(at)}.a-name]") for number, at in lists)
    for number, at, mark in statements:
        _mark(places, data, at, (file, number), whole=mark == "=")
    return Doc(data, places)


def _quiet(match: re.Match[str]) -> str:
    """A text or comment of the same length that says nothing, its line breaks marked: brackets and keys can be counted."""
    return re.sub(r"[^\n]", "\0", match[0]).replace("\n", "\1")


def _statements(text: str, quiet: str) -> Iterator[tuple[int, Trail, str]]:
    """(line, trail, mark) of each header and each key at the start of a statement; mark is "[", "[[" or "="."""
    table: Trail = ()
    number, start, depth = 1, 0, 0
    header, key = re.compile(_HEAD), re.compile(_PAIR)
    for line in quiet.split("\n"):
        raw = text[start:start + len(line)]
        if depth == 0 and raw.lstrip().startswith("[["):
            yield number, trail(raw.partition("]")[0]), "[["
        elif depth == 0 and (head := header.match(raw)):
            table = trail(head[1])
            yield number, table, "["
        else:
            if depth == 0 and (pair := key.match(raw)):
                yield number, table + trail(pair[1]), "="
            depth += line.count("[") + line.count("{") - line.count("]") - line.count("}")
        number += 1 + line.count("\1")
        start += len(line) + 1


def _mark(places: dict[Trail, tuple[str, int]], data: Any, at: Trail, place: tuple[str, int], *, whole: bool) -> None:
    """This place for a key and all inside its value, or for a header alone, whose keys have their own places; for the
    tables above unless they have theirs."""
    for cut in range(1, len(at)):
        places.setdefault(at[:cut], place)
    for here in _inside(_at(data, at), at) if whole else (at,):
        places[here] = place


def _over_budget(file: str, text: str, quiet: str, statements: Iterable[tuple[int, Trail, str]]) -> Iterator[Fault]:
    for number, line in enumerate(text.split("\n"), 1):
        if len(line) * 4 > BUDGET.line_bytes < len(line.encode("utf-8", "surrogatepass")):
            yield Fault(file, number, "", shorten(line), "a line too long to read", f"at most {BUDGET.line_bytes} bytes a line")
    for number, at, _ in statements:
        if len(at) > BUDGET.key_parts:
            yield Fault(file, number, spell(at), spell(at), f"a key of {len(at)} parts", f"at most {BUDGET.key_parts}")
    for match in re.finditer(_MINUS_NOUGHT, quiet):
        yield Fault(file, 1 + quiet.count("\n", 0, match.start()) + quiet.count("\1", 0, match.start()), "", match[0],
                    "minus nought is not a number", "write 0")
    if deep := _too_deep(quiet):
        yield Fault(file, deep, "", "", f"more than {BUDGET.depth} brackets inside one another", "name the tables instead")


def _too_deep(quiet: str) -> int:
    """The line on which brackets stand too deep inside one another, or 0."""
    depth, number = 0, 1
    for mark in re.findall(r"[][{}\n\1]", quiet):
        if mark in "\n\1":
            number += 1
        else:
            depth += 1 if mark in "[{" else -1
            if depth > BUDGET.depth:
                return number
    return 0


def _all_broken(file: str, text: str, problem: Exception) -> list[Fault]:
    """The parser stops at the first fault: take that line out and read on, unless it was a header, or something that is
    never closed, or 50 were found."""
    import tomllib
    faults: list[Fault] = []
    lines = text.split("\n")
    while len(faults) < 50:
        said = str(problem)
        at = re.search(r"line (\d+)", said)
        number = int(at[1]) if at else _left_open("\n".join(lines))
        line = lines[number - 1].strip()
        faults.append(_broken(file, number, line, said))
        if at is None or not line or line.startswith("["):
            break
        lines[number - 1] = ""
        try:
            tomllib.loads("\n".join(lines))
            break
        except (tomllib.TOMLDecodeError, RecursionError) as other:
            problem = other
    return faults


def _broken(file: str, number: int, line: str, said: str) -> Fault:
    """Where the parser stopped, what stands there and the usual remedy."""
    key = re.match(_PAIR, line)
    if day := _no_day(line):
        return Fault(file, number, key[1] if key else "", shorten(line), f"{day} is no day as a file writes one",
                     "year, month, day: 2026-11-20")
    return Fault(file, number, key[1] if key else "", shorten(line), f"cannot be read: {said.partition(' (at')[0]}",
                 'write name = value, a text in "quotes", a number with a point')


_DAYS = re.compile(r"(?<![\w.-])(?:[0-9]{4}([-/.])[0-9]{1,2}\1[0-9]{1,2}|"
                   r"[0-9]{1,2}([-/.])[0-9]{1,2}\2(?:[0-9]{4}|[0-9]{2}))(?![\w.-])")


def _no_day(line: str) -> str:
    """What stands for a day outside quotes and is none: 20-11-2026, or the 13th month; nothing where every day is one."""
    import datetime
    for said in _DAYS.finditer(re.sub(_SAID, _quiet, line)):
        try:
            datetime.date.fromisoformat(said[0])
        except ValueError:
            return said[0]
    return ""


def _left_open(text: str) -> int:
    """The line of the quote that is never closed, or of the last statement, whose bracket is not or which says nothing."""
    quiet = re.sub(_SAID, _quiet, text)
    if quote := re.search("[\"']", quiet):
        return 1 + quiet.count("\n", 0, quote.start()) + quiet.count("\1", 0, quote.start())
    return max((number for number, _, _ in _statements(text, quiet)), default=1)


# ---- laying over ----------------------------------------------------------------------------------------------------
ANOTHER = ("kind", "item")


def over(base: Doc, top: Doc, faults: list[Fault] | None = None) -> Doc:
    """`top` laid over `base`, neither changed. An overlay may add things; it may not remove what is not there.

    Errors: InputError, or the faults added to the given list."""
    found: list[Fault] = []
    places = dict(base.places)
    data = _less(base.data, top, places, found)
    data = _laid(data, {k: v for k, v in top.data.items() if k != "remove"}, (), top, places)
    if faults is None and found:
        raise InputError(found)
    if faults is not None:
        faults += found
    return Doc(data, places)


def _less(data: dict[str, Any], top: Doc, places: dict[Trail, tuple[str, int]], faults: list[Fault]) -> dict[str, Any]:
    """The data without what the overlay's `remove` names."""
    wanted = top.data.get("remove", [])
    if not isinstance(wanted, list):
        faults.append(top.fault(("remove",), wanted, "not a list", 'write remove = ["runs.tails-4"]'))
        return data
    for address in wanted:
        at = trail(address) if isinstance(address, str) else ()
        shorter = _without(data, at) if at else None
        if shorter is None:
            known = [spell(t) for t in places if len(t) == max(2, len(at))]
            faults.append(top.fault(("remove",), address, f"nothing here is called {address}",
                                    "" if known else "there is nothing to remove", nearest(str(address), known)))
        else:
            for gone in _inside(_at(data, at), at):
                places.pop(gone, None)
            data = shorter
    return data


def _without(data: Any, at: Trail) -> dict[str, Any] | None:
    """The data without what this trail leads to; None when it leads nowhere."""
    if not isinstance(data, dict) or at[0] not in data:
        return None
    if len(at) == 1:
        return {k: v for k, v in data.items() if k != at[0]}
    inner = _without(data[at[0]], at[1:])
    return None if inner is None else {**data, at[0]: inner}


def _laid(old: Any, new: Any, at: Trail, top: Doc, places: dict[Trail, tuple[str, int]]) -> Any:
    """`new` laid over `old`. Whatever `new` says takes its place from the overlay; what is replaced loses its places."""
    places[at] = top.places.get(at, places.get(at, ("", 0)))
    if isinstance(old, dict) and isinstance(new, dict) and not is_fact(new) and not is_fact(old) \
            and not any(word in new for word in ANOTHER):
        return {**old, **{key: _laid(old.get(key), each, (*at, key), top, places) for key, each in new.items()}}
    if isinstance(old, dict):
        for gone in _inside(old, at):
            places.pop(gone, None)
    for added in _inside(new, at):
        places[added] = top.place(added)
    return new


def _inside(value: Any, at: Trail) -> Iterator[Trail]:
    """The trail to a value and every trail inside it."""
    yield at
    if isinstance(value, dict):
        for key, each in value.items():
            yield from _inside(each, (*at, key))


def _at(data: Any, at: Trail) -> Any:
    for step in at:
        data = data[step]
    return data
