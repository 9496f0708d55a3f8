"""A job of an older schema brought to this one, line by line, so that every comment and every line not concerned stays.

A schema is one more than the last whenever a file that was right would be read otherwise or not at all. Add the step
from the old number to `_STEPS`; a step takes all texts of a folder and gives them all back.
"""
from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Mapping

from spareway.doc import Doc, Fault, InputError, read

__all__ = ["SCHEMA", "migrate"]

SCHEMA = 1
Texts = Mapping[str, str]


def migrate(files: Texts, from_version: int) -> Texts:
    """The texts of a folder of schema `from_version` as texts of this schema, `schema` in job.toml set to it.

    Errors: InputError when the schema is newer than this program or none of ours, or when a text cannot be read."""
    if from_version == SCHEMA:
        return files
    if not 0 <= from_version < SCHEMA:
        newer = from_version > SCHEMA
        raise InputError([Fault("job.toml", None, "schema", str(from_version),
                                f"this job is of schema {from_version}, this program reads up to {SCHEMA}",
                                "use a newer program; nothing was changed" if newer else "schemas count from 0")])
    for version in range(from_version, SCHEMA):
        files = _STEPS[version](files)
    return {name: _stated(text) if name == "job.toml" else text for name, text in files.items()}


def _stated(job: str) -> str:
    """job.toml with the number of this schema, on the line where the old one stood or before the first statement."""
    doc = read("job.toml", job)
    lines = job.split("\n")
    if "schema" in doc.data:
        at = doc.place(("schema",))[1] - 1
        lines[at] = re.sub(r"(=\s*)[0-9]+", rf"\g<1>{SCHEMA}", lines[at], count=1)
    else:
        said = (at for at, line in enumerate(lines) if line.strip() and not line.lstrip().startswith("#"))
        first = next(said, len(lines))
        lines.insert(first, f"schema = {SCHEMA}")
    return "\n".join(lines)


# ---- 0 to 1: the drafts had one [supply]; now supplies have names, and this one is called main ----------------------
_ROWS = ("readings.csv", "observations.csv", "events.csv", "photos.csv")
_POINTS = ("a", "b", "where", "address")                            # the columns that hold an address
_OPENING = re.compile(r"""\A(\s*(?:\[\s*)?)(["']?)supply\2(?=\s*[.=\]])""")
_ADDRESS = re.compile(r"""(["']?(?:[A-Z]+[0-9]+ )?)supply(?=["']?\Z|\.[a-z])""")    # a rule's code may stand first
_SAID = re.compile(r'''"(?:[^"\\]|\\.)*"|'[^']*'|#.*''')


def _named_supply(files: Texts) -> Texts:
    out, faults = dict(files), list[Fault]()
    for name, text in files.items():
        try:
            if name.endswith(".toml"):
                out[name] = _supply_in_tables(text, read(name, text))
            elif name in _ROWS:
                out[name] = _supply_in_rows(text)
        except InputError as problem:
            faults += problem.faults
    if faults:
        raise InputError(faults)
    return out


def _supply_in_tables(text: str, doc: Doc) -> str:
    """Headers and statements that begin with supply, and the addresses that `remove` and `about` hold."""
    lines = text.split("\n")
    for at, (_, number) in doc.places.items():
        if at[:1] == ("supply",):
            lines[number - 1] = _OPENING.sub(r"\1supplies.main", lines[number - 1], count=1)
        elif at == ("remove",) or at[-1:] == ("about",):
            last = next(n for n in range(number - 1, len(lines)) if at != ("remove",) or "]" in lines[n])
            for each in range(number - 1, last + 1):
                lines[each] = _SAID.sub(_address_in_text, lines[each])
    return "\n".join(lines)


def _address_in_text(match: re.Match[str]) -> str:
    """A quoted address as it is now; a comment as it was."""
    found = _ADDRESS.match(match[0])
    return f"{found[1]}supplies.main{match[0][found.end():]}" if found else match[0]


def _supply_in_rows(text: str) -> str:
    """Rows that point at the supply, written again; every other line stays as it is."""
    lines = text.split("\n")
    names = next(csv.reader(lines[:1]), [])
    for number, line in enumerate(lines[1:], 1):
        cells = next(csv.reader([line.removesuffix("\r")]), [])
        moved = [_ADDRESS.sub(r"\1supplies.main", cell, count=1) if name in _POINTS and _ADDRESS.match(cell) else cell
                 for name, cell in zip(names, cells, strict=False)]
        if moved != cells[:len(moved)]:
            out = io.StringIO()
            csv.writer(out, lineterminator="").writerow([*moved, *cells[len(moved):]])
            lines[number] = out.getvalue() + line[len(line.removesuffix("\r")):]
    return "\n".join(lines)


_STEPS: Mapping[int, Callable[[Texts], Texts]] = {0: _named_supply}
