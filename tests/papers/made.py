"""The survey reports of the examples, each typeset and read back once a run."""
from __future__ import annotations

import re
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any

from pypdf import PdfReader

from spareway.api import survey_report
from spareway.folder import read_folder
from spareway.press.typst import set_in_type

EXAMPLES = Path(__file__).parents[2] / "examples"
STAGES = {"weir-cottage": ("found", "proposed"), "granary-yard": ("found", "proposed", "fitted"), "ridge-annexe": ("found", "proposed")}
ALL = [(name, stage) for name, stages in STAGES.items() for stage in stages]


@cache
def texts(name: str) -> dict[str, str]:
    """The files of an example."""
    return dict(read_folder(EXAMPLES / name))


@cache
def made(name: str, stage: str) -> bytes:
    return set_in_type(_filled(name, stage), texts(name))


@cache
def _filled(name: str, stage: str) -> dict[str, Any]:
    return survey_report(texts(name), stage)


def facts(name: str, stage: str) -> dict[str, Any]:
    """What fills the template, before the typesetter."""
    filled: dict[str, Any] = _filled(name, stage)["facts"]
    return filled


def drawn(name: str, stage: str) -> str:
    """The drawing of its intake, as SVG."""
    return str(_filled(name, stage)["drawing"])


def checked(name: str, stage: str) -> dict[str, Any]:
    """The document of the check that it prints."""
    document: dict[str, Any] = _filled(name, stage)["check"]
    return document


def reader(data: bytes) -> PdfReader:
    return PdfReader(BytesIO(data))


def words(data: bytes) -> str:
    """The text of a PDF without its line breaks and the marks where a long word may be parted."""
    pages = " ".join(page.extract_text() for page in reader(data).pages)
    return re.sub(r"\s+", " ", pages.replace("\u200b", "").replace("\u00a0", " "))


@cache
def said(name: str, stage: str) -> str:
    return words(made(name, stage))
