"""What no paper may ever print, however it got there; each with a sentence that breaks it (those we build for: section 4)."""
from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

NEVER = {
    "safe": (r"(?<!make )(?<!made )\bsafe(ly)?\b", "The board is safe."),
    "dead": (r"(?i)(?<!prove )(?<!proved )(?<!have it made )\bdead\b(?! and is live)(?! by the record)", "The circuit is dead."),
    "compliant": (r"(?i)\bcomplian\w*|\bcomplies\b", "The installation is compliant."),
    "certified": (r"(?i)\bcertifi\w*", "Certified for the whole job."),
    "pass": (r"(?i)(?<!1 mm may )\bpass(es|ed)?\b", "Insulation: pass."),
    "energise": (r"(?i)\bok to\b|may be energised", "OK to energise."),
    "seal": (r"(?i)may break the seal", "You may break the seal."),
    "no fault": (r"(?i)\bno faults?\b", "There is no fault."),
    "blame": (r"(?i)\bblame|\bnegligen|\bcareless", "The last fitter was careless."),
    "price": (r"[£$€]", "It costs £40 a year."),
    "approval": (r"(?i)\bapprov", "Approved by the operator."),
}


def found_in(text: str) -> list[tuple[str, str]]:
    """Each word that may not stand there, with what it stands between."""
    return [(name, text[max(0, m.start() - 40):m.end() + 20]) for name, (pattern, _) in NEVER.items() for m in re.finditer(pattern, text)]


def printed(value: Any) -> Iterator[str]:
    """Every text of plain data that fills a paper; the pieces of one text joined as they are printed."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for key, each in value.items():
            if key not in ("g", "where", "code", "run", "idle"):
                yield from printed(each)
    elif isinstance(value, list) and value and isinstance(value[0], dict) and "t" in value[0]:
        yield "".join(piece["t"] for piece in value)
    elif isinstance(value, list | tuple):
        for each in value:
            yield from printed(each)
