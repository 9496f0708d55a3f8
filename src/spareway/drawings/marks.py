"""The six verdict marks: a limit is a line, and the mark stands to one side of it. Always beside its word.

`currentColor` carries the hue of the verdict; shape and word carry the meaning.
"""
from __future__ import annotations

__all__ = ["CLASSES", "mark"]

CLASSES = {"stop": "stop", "fails": "fails", "unknown": "unknown", "advice": "advice", "within": "within", "not applicable": "na"}
_LINE = '<path fill="none" stroke="currentColor" stroke-width="3" d="{}"/>'
_SHAPES = {
    "stop": '<path fill="currentColor" d="M2 0h20l2 2v20l-2 2H2l-2-2V2z"/>'
            '<path class="hole" fill="#fff" d="M3 5.5 9.5 12 3 18.5zM21 5.5 14.5 12 21 18.5zM10.8 2.5h2.4v19h-2.4z"/>',
    "fails": '<path fill="currentColor" d="M2 5 23 12 2 19zM8.5 0h3.5v5.2l-3.5-1.2zM8.5 24h3.5v-5.2l-3.5 1.2z"/>',
    "unknown": _LINE.format("M12 0v24") + '<circle fill="none" stroke="currentColor" stroke-width="2.8" '
               'stroke-dasharray="4.2 3.2" cx="12" cy="12" r="9.4"/>',
    "advice": _LINE.format("M21.5 1v22") + '<path fill="none" stroke="currentColor" stroke-width="2.2" '
              'stroke-dasharray="3 3.3" d="M2 1v22"/><circle fill="none" stroke="currentColor" stroke-width="2.8" '
              'cx="11.5" cy="12" r="5.2"/>',
    "within": _LINE.format("M21.5 1v22") + '<circle fill="currentColor" cx="8" cy="12" r="6.4"/>',
    "not applicable": _LINE.format("M4 12h16"),
}


def mark(verdict: str) -> str:
    """The mark of a verdict as SVG, 24 by 24. Errors: KeyError for what is none."""
    return f'<svg class="mark" viewBox="0 0 24 24" aria-hidden="true">{_SHAPES[verdict]}</svg>'
