"""How text is laid out for people: 100 columns at most, the verdict marks, colour on a terminal and never alone.

A limit is a line, and the mark of a verdict stands to one side of it: past it, astride it, short of it.
"""
from __future__ import annotations

import os
import re
import shutil
import sys
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import click

from spareway.show import cleaned

__all__ = ["GLUE", "MARKS", "TITLES", "columns", "counted", "mark", "out", "out_json", "paragraph", "rests", "width_n"]

MOST_COLUMNS, LEAST_COLUMNS = 100, 60
MARKS = {"stop": ">|<", "fails": "-|>", "unknown": "(|)", "advice": "o:|", "within": "* |", "not applicable": " - "}
TITLES = {"stop": "Stop", "fails": "Fails", "unknown": "Unknown", "advice": "Advice",
          "within": "Within the limit checked", "not applicable": "Not applicable"}
COLOURS: dict[str, dict[str, Any]] = {"stop": {"fg": "red", "bold": True, "reverse": True}, "fails": {"fg": "red"},
                                      "unknown": {"fg": "magenta"}, "advice": {"fg": "yellow"}}
NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_UNIT = re.compile(r"(?<=\d) (?=(?:kΩ|MΩ|mΩ|Ω|mm²|mm|m|mA|kA|A²s|A|kV|mV|V|kW|W|Hz|s|ms|%|°C)(?![\w/]))")
GLUE = "\N{NO-BREAK SPACE}"


def width_n() -> int:
    """Columns to write in: the terminal's, but never more than a person likes to read."""
    if not sys.stdout.isatty():
        return MOST_COLUMNS
    return min(MOST_COLUMNS, max(LEAST_COLUMNS, shutil.get_terminal_size((MOST_COLUMNS, 24)).columns))


def paragraph(text: str, indent: int = 0, hang: int | None = None) -> list[str]:
    """The text in lines; `hang` indents those after the first. A number is never parted from its unit."""
    from textwrap import wrap
    glued = _UNIT.sub(GLUE, cleaned(text))
    lines = wrap(glued, width_n(), initial_indent=" " * indent, subsequent_indent=" " * (indent if hang is None else hang),
                 break_on_hyphens=False)
    return [line.replace(GLUE, " ") for line in lines]


def rests(on: Iterable[Mapping[str, Any]], told: set[str], indent: int) -> list[str]:
    """What something rests on that is assumed or that nobody confirmed, where `told` does not hold it yet: once on a page."""
    lines = []
    for each in on:
        text = ": ".join(filter(None, (f"rests on {each['says']} {each['is']}, {each['how']}", each.get("at"), each["note"])))
        if text not in told:
            told.add(text)
            lines += paragraph(text, indent, indent + 2)
    return lines


def columns(rows: Sequence[Sequence[str]], indent: int = 2, gap: int = 2) -> list[str]:
    """Rows as columns as wide as their longest cell; the last one takes what is left and wraps in its place."""
    rows = [[cleaned(cell) for cell in row] for row in rows]
    wide = [max(len(row[i]) for row in rows) + gap for i in range(len(rows[0]) - 1)] if rows else []
    lines = []
    for row in rows:
        head = " " * indent + "".join(cell.ljust(w) for cell, w in zip(row, wide, strict=False))
        lines += paragraph(f"{head}{row[-1]}", 0, len(head)) or [""]
    return lines


def counted(number: int, one: str, many: str = "") -> str:
    """`three unknowns`: in words up to twelve."""
    said = NUMBERS[number] if number < len(NUMBERS) else str(number)
    return f"{said} {one if number == 1 else many or f'{one}s'}"


def mark(verdict: str) -> str:
    """The mark of a verdict, in its hue where colour is on. The word always stands beside it."""
    plain = MARKS[verdict]
    return click.style(plain, **COLOURS[verdict]) if verdict in COLOURS and _coloured() else plain


def _coloured() -> bool:
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def out(lines: Iterable[str]) -> None:
    """Lines to the person. What their terminal cannot show is spelled out and never stops the run."""
    text = "\n".join(line.rstrip() for line in lines)
    encoding = getattr(sys.stdout, "encoding", None) or "utf-8"
    click.echo(text.encode(encoding, "backslashreplace").decode(encoding), color=_coloured())


def out_json(document: Any) -> None:
    """One document, in UTF-8 whatever the terminal's letters are."""
    from spareway.api import to_json
    sys.stdout.flush()
    sys.stdout.buffer.write(to_json(document).encode("utf-8"))
    sys.stdout.buffer.flush()
