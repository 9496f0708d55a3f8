"""What readings are taken with today: tester, temperature of the conductors, leads nulled. Said once, written into every row.

Of another day it is forgotten: nothing is taken for granted from the day before."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields

from spareway.doc import Fault, InputError
from spareway.web.shelf import Shelf

__all__ = ["TakenWith", "asked", "keep", "taken_with"]

NOTE = "tester.json"
DEGREES = re.compile(r"-?\d{1,2}(?:\.\d)?", re.ASCII)
NULLED = ("yes", "no")


@dataclass(frozen=True, slots=True)
class TakenWith:
    """As a row keeps it; `on` is the day it was said."""

    instrument: str = ""
    temp_c: str = ""
    nulled: str = ""
    on: str = ""

    @property
    def row(self) -> dict[str, str]:
        """The cells of a row."""
        return {"instrument": self.instrument, "temp_c": self.temp_c, "nulled": self.nulled}

    @property
    def says(self) -> str:
        """In words, with what was not said."""
        warm = self.temp_c and f"{self.temp_c}\N{NO-BREAK SPACE}°C"
        leads = self.nulled and f"leads {'nulled' if self.nulled == 'yes' else 'not nulled'}"
        said = {"tester": self.instrument, "temperature": warm, "leads": leads}
        missing = [what for what, words in said.items() if not words]
        return ", ".join([*filter(None, said.values()), *([f"not said: {', '.join(missing)}"] if missing else [])])


def taken_with(shelf: Shelf, today: str) -> TakenWith:
    """What was said today, or nothing."""
    try:
        said = json.loads(shelf.note(NOTE) or "{}")
    except ValueError:
        said = {}
    if not isinstance(said, dict) or said.get("on") != today:
        return TakenWith()
    return TakenWith(**{f.name: said[f.name] for f in fields(TakenWith) if isinstance(said.get(f.name), str)})


def keep(shelf: Shelf, tester: TakenWith) -> None:
    """For today, on this phone."""
    shelf.keep_note(NOTE, json.dumps(asdict(tester), ensure_ascii=False))


def asked(said: Mapping[str, str], today: str) -> TakenWith:
    """What a form says. Errors: InputError for what is no temperature."""
    warm, nulled = said.get("temp_c", "").replace("\N{MINUS SIGN}", "-"), said.get("nulled", "")
    if warm and not DEGREES.fullmatch(warm):
        hint = f"write {warm.replace(',', '.')}, with a point" if "," in warm else "degrees Celsius, as 12 or 7.5"
        raise InputError([Fault("answer", None, "temp_c", warm, f'read "{warm[:20]}"', hint)])
    return TakenWith(said.get("instrument", "")[:40], warm, nulled if nulled in NULLED else "", today)
