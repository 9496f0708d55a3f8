"""What joins two terminals."""
from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Link:
    """One joint between two terminals."""
    a: str                    # terminals are "isolator.top.L"
    b: str
    joint: str = "-"          # "-" metal, closed while `control` is, if any; "~" only in a surge; "=" a load
    control: str = ""         # "isolator.switch"; several links may share it (ganged poles)
    lift: str = ""            # the conductor whose disconnection breaks it: "tails-2.L", "lights-first.N"
