"""What a question is, whatever place asks it: an address or a name of its own, words, what may be answered, what is known."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["CANNOT", "Choice", "Place", "Question", "Unknown"]

CANNOT = ("not seen", "cannot get at it")
Choice = tuple[str, str]  # what is written, what is said


@dataclass(frozen=True, slots=True)
class Unknown:
    """An answer that says why there is none. It is kept, and reads as unknown, never as a pass."""

    why: str


@dataclass(frozen=True, slots=True)
class Question:
    """One thing to ask. `kind`: "choice" of `choices`; "number", in `unit`, of which `choices` are the usual; "text"; "area", a
    number that may be a sum of widths by heights. `other`: what the key to any other number says.

    `now` is what the record says in words, or nothing; `open`: nobody has answered, not even that it cannot be known.
    """

    id: str
    asks: str
    kind: str = "choice"
    choices: tuple[Choice, ...] = ()
    unit: str = ""
    help: str = ""
    now: str = ""
    open: bool = True
    unknown_reasons: tuple[str, ...] = CANNOT
    caution: str = ""
    other: str = "Another number"


@dataclass(frozen=True, slots=True)
class Place:
    """A stop on the way from the doorstep home: its name, what is done there, how many questions are open, how many answered."""

    name: str
    says: str
    open: int
    done: int
