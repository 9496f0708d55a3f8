"""What this phone keeps about itself: who holds it, how its screen looks, what its rows are called. Never part of a job."""

from __future__ import annotations

import json
import re
from dataclasses import asdict, dataclass, fields

from spareway.web.shelf import Shelf

__all__ = ["THEMES", "Phone", "keep", "phone_of", "row_prefix"]

THEMES = ("light", "dark", "bright")
NOTE = "phone.json"


@dataclass(frozen=True, slots=True)
class Phone:
    """`by` is written into every row that its holder adds; `supervisor` may see what a reading should be before it is taken."""

    by: str = ""
    theme: str = "light"
    gloves: bool = False
    supervisor: bool = False


def phone_of(shelf: Shelf) -> Phone:
    """The phone as it was set, or a new one. What cannot be read is as new: it holds nothing of a job."""
    try:
        said = json.loads(shelf.note(NOTE) or "{}")
    except ValueError:
        said = {}
    known = {
        f.name: said[f.name] for f in fields(Phone) if isinstance(said, dict) and isinstance(said.get(f.name), type(f.default))
    }
    phone = Phone(**known)
    return phone if phone.theme in THEMES else Phone(**{**known, "theme": "light"})


def keep(shelf: Shelf, phone: Phone) -> None:
    """Set for good on this phone."""
    shelf.keep_note(NOTE, json.dumps(asdict(phone), ensure_ascii=False))


def row_prefix(phone: Phone) -> str:
    """What the ids of its rows begin with, so that two phones never give one id twice."""
    return re.sub(r"[^a-z0-9]+", "-", phone.by.lower()).strip("-") or "phone"
