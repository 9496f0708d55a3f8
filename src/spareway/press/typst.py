"""The typesetter: a template of the wheel and what fills it, made into a PDF. The same job gives the same bytes."""
from __future__ import annotations

import datetime
import json
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from importlib.resources import as_file, files
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from spareway.api import paper, to_json
from spareway.bundled import text
from spareway.press.letters import fit, strange

__all__ = ["NoTypesetter", "parts_mm", "report", "set_in_type", "tall_mm", "typeset", "wide_mm"]

_SAME_DAY = (1980, 1, 1, 0, 0, 0)
_APART = "people.toml"                  # names of people stay with the job
MM_A_UNIT = 0.3                         # of a drawing: its thinnest line, 1.2 units, is then 0.36 mm
PAGE_MM, TWICE_MM = 246.0, 8.0          # of a drawing on one page; what is printed twice where it cannot be cut between things
CLEAR = 6.0                             # units free between two things where it is cut
_MOVED = re.compile(r"translate\([-\d.]+[ ,]([-\d.]+)\)")


class NoTypesetter(RuntimeError):
    """The typesetter is not installed."""


def typeset(name: str, texts: Mapping[str, str], stage: str | None = None, overlays: Sequence[tuple[str, str]] = (),
            operators: tuple[str, str] | None = None) -> bytes:
    """A paper of a job as PDF/A-3a and UA-1, with the check, the job's files and the firm's file of operators in it.

    name: as in `papers.PAPERS`; texts: relative name -> text of the job's files. Errors: InputError; NoTypesetter."""
    beside = [operators] if operators else []
    return set_in_type(paper(name, texts, stage, overlays, operators), texts, [*overlays, *beside])


def set_in_type(made: Mapping[str, Any], texts: Mapping[str, str], overlays: Sequence[tuple[str, str]] = ()) -> bytes:
    """What `api.paper` made of these files, as a PDF. Errors: NoTypesetter."""
    seen: Counter[str] = Counter()
    facts = fit(made["facts"], seen)
    drawing = fit(made["drawing"], seen)
    facts |= {"drawing": "intake.svg", "drawing_mm": wide_mm(made["drawing"]), "drawing_tall_mm": tall_mm(made["drawing"]),
              "drawing_parts": parts_mm(made["drawing"]),
              "drawing_alt": fit(_alt(made), seen), "strange": strange(seen)}
    beside = {"facts.json": json.dumps(facts, ensure_ascii=False).encode(), "check.json": to_json(made["check"]).encode(),
              "intake.svg": drawing.encode(), "job.zip": _zipped(texts, overlays)}
    return _compiled(made["template"], beside, made["facts"]["day"])


def report(texts: Mapping[str, str], stage: str | None = None, overlays: Sequence[tuple[str, str]] = ()) -> bytes:
    """The survey report. Errors: as `typeset`."""
    return typeset("survey-report", texts, stage, overlays)


def wide_mm(drawing: str) -> float:
    """How wide a drawing is printed, so that a line of it is as thick on every paper."""
    return _printed_mm(drawing, 2)


def tall_mm(drawing: str) -> float:
    """How tall it is then."""
    return _printed_mm(drawing, 3)


def parts_mm(drawing: str, page_mm: float = PAGE_MM) -> list[dict[str, float]]:
    """Where a drawing taller than a page is cut, [{"from_mm": 0, "tall_mm": 181.5}, ...]: between things and words, through wires
    alone; where nothing parts within the lower half of a page, at its end, with a little of it printed twice."""
    tall, gaps = tall_mm(drawing), _gaps_mm(drawing)
    parts, from_mm = [], 0.0
    while tall - from_mm > page_mm:
        fits = [gap for gap in gaps if from_mm + page_mm / 2 <= gap <= from_mm + page_mm]
        cut = max(fits, default=from_mm + page_mm)
        parts.append({"from_mm": round(from_mm, 2), "tall_mm": round(cut - from_mm, 2)})
        from_mm = cut if fits else cut - TWICE_MM
    return [*parts, {"from_mm": round(from_mm, 2), "tall_mm": round(tall - from_mm, 2)}]


def _gaps_mm(drawing: str) -> list[float]:
    """The heights of a drawing, from its top, that cross no frame, terminal or word, each just above what comes next."""
    from xml.etree import ElementTree
    root = ElementTree.fromstring(drawing)
    top = float(root.attrib["viewBox"].split()[1])
    taken = sorted((least - top, most - top) for least, most in _spans(root, 0.0))
    gaps, under = [], 0.0
    for least, most in taken:
        if least - under >= CLEAR:
            gaps.append((least - CLEAR / 2) * MM_A_UNIT)
        under = max(under, most)
    return gaps


def _spans(of: Any, down: float) -> Iterator[tuple[float, float]]:
    """From where to where down the drawing each frame, terminal and line of words stands."""
    turned = of.get("transform", "")
    if moved := _MOVED.search(turned):
        down += float(moved[1])
    kind = of.tag.rpartition("}")[2]
    if kind == "rect":
        yield down + float(of.get("y", 0)), down + float(of.get("y", 0)) + float(of.get("height", 0))
    elif kind == "circle":
        yield down + float(of.get("cy", 0)) - float(of.get("r", 0)), down + float(of.get("cy", 0)) + float(of.get("r", 0))
    elif kind == "text":
        size, y = float(of.get("font-size", 0)), down + float(of.get("y", 0))
        tall = size * len("".join(of.itertext())) if "rotate" in turned else size
        yield y - tall, y + (tall if "rotate" in turned else size * 0.3)
    for each in of:
        yield from _spans(each, down)


def _printed_mm(drawing: str, of_box: int) -> float:
    return round(float(drawing.partition('viewBox="')[2].partition('"')[0].split()[of_box]) * MM_A_UNIT, 2)


def _alt(made: Mapping[str, Any]) -> str:
    shown = "The intake as drawn from the record, everything closed."
    if "live" not in made["facts"]:
        return shown
    live = "; ".join(f"{row['potential']}: {row['where']}" for row in made["facts"]["live"]["rows"])
    return (f"{shown} What joins what is listed above. With every switch open that a skilled person may open, "
            f"{live or 'nothing is at line by the record'}.")


def _zipped(texts: Mapping[str, str], overlays: Sequence[tuple[str, str]]) -> bytes:
    """The files that the paper was made from; stored, since compressors differ from machine to machine."""
    from zipfile import ZipFile, ZipInfo
    out = BytesIO()
    kept = {name: text for name, text in texts.items() if name != _APART}
    laid = {f"laid-over/{number}-{Path(name).name}": text for number, (name, text) in enumerate(overlays, 1)}
    with ZipFile(out, "w") as zipped:
        for name, content in sorted({**kept, **laid}.items()):
            entry = ZipInfo(name, _SAME_DAY)
            entry.create_system = 3
            entry.external_attr = 0o100644 << 16
            zipped.writestr(entry, content.encode())
    return out.getvalue()


def _compiled(template: str, beside: Mapping[str, bytes], day: str) -> bytes:
    try:
        import typst
    except ModuleNotFoundError:
        raise NoTypesetter("papers need typst: pip install 'spareway[papers]'") from None
    stamp = int(datetime.datetime.fromisoformat(f"{day}T12:00:00+00:00").timestamp())
    with TemporaryDirectory() as folder, as_file(files("spareway.press") / "fonts") as fonts:
        root = Path(folder)
        for name in (template, "house.typ"):
            (root / name).write_text(text(f"papers/templates/{name}"), encoding="utf-8")
        for name, data in beside.items():
            (root / name).write_bytes(data)
        return typst.compile(root / template, root=root, format="pdf", pdf_standards=["a-3a", "ua-1"], font_paths=[fonts],
                             ignore_system_fonts=True, timestamp=stamp)
