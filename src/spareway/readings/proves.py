"""What a pass does not prove: for each test what it leaves open, why, and what settles it. Data, with the source of each."""
from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from spareway.bundled import text
from spareway.plain_toml import loads

__all__ = ["PRACTICE", "Blind", "Proved", "proved_by", "tests"]

PRACTICE = "common practice, no source"
PLAIN = ("shows", "quantities", "source")


@dataclass(frozen=True, slots=True)
class Blind:
    """One thing that a pass leaves open: `says` reads after "a pass does not prove"."""
    name: str
    says: str
    why: str
    settled_by: str
    source: str


@dataclass(frozen=True, slots=True)
class Proved:
    """One test: what a pass shows, the readings it is made of, what it leaves open."""
    test: str
    shows: str
    quantities: tuple[str, ...]
    source: str
    open: tuple[Blind, ...]


@cache
def tests() -> dict[str, Proved]:
    """Every test by name, in the order in which they are done."""
    return {name: _proved(name, said) for name, said in loads(text("readings/proves.toml")).items()}


def _proved(name: str, said: dict[str, Any]) -> Proved:
    open_ = tuple(Blind(each, of["not"], of["why"], of["settled_by"], of.get("source", PRACTICE))
                  for each, of in said.items() if each not in PLAIN)
    return Proved(name, said["shows"], tuple(said["quantities"].split()), said.get("source", PRACTICE), open_)


def proved_by(quantity: str) -> Proved | None:
    """What a reading of this quantity shows and leaves open; None where it belongs to no test here."""
    return next((each for each in tests().values() if quantity in each.quantities), None)
