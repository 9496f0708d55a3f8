"""What fills the papers: plain data out of a judged job, every figure a text already. Formats, never computes.

A paper is a module here with `facts_for`, and a template of the same name in `templates/`; its line below makes it one.
"""
from __future__ import annotations

__all__ = ["PAPERS"]

# the name of the file -> its module, and its template
PAPERS = {
    "survey-report": "report",
    "design-sheet": "sheet",
    "operator-letter": "letter",
    "operator-report": "enquiry",
    "room-sheet": "rooms",
}
