"""What equipment is: what joins its terminals, who may operate it, what is replaced in it, where its sides are.

A kind is four to six lines in one of the topic files beside this. Only the kinds that are asked for are read.
"""
from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from spareway.bundled import text
from spareway.kinds.joints import spread
from spareway.plain_toml import loads

__all__ = ["FAMILIES", "PLACES", "TOPICS", "WHO", "Kind", "UnknownKind", "kind", "kind_names", "topic"]

TOPICS = ("intake", "boards", "devices", "sources", "appliances")
FAMILIES = ("cut-out", "meter", "block", "earth", "switch", "board", "device", "surge", "source", "appliance", "lead")
WHO = ("ordinary", "skilled", "operator", "other", "itself")
PLACES = ("top", "top left", "top right", "bottom", "bottom left", "bottom right", "inside")
_HEAD = re.compile(r"^\[([a-z0-9-]+)\]", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of equipment. Terminals are "side.conductor", without the name that a thing of this kind will have."""
    name: str
    says: str                                                     # what it is, in plain words
    family: str
    wiring: tuple[str, ...]                                       # lines for `joints.inside`
    face: Mapping[str, str]                                       # side -> where a drawing puts it
    controls: Mapping[str, str] = field(default_factory=dict)     # control -> who may operate it
    residual: tuple[str, ...] = ()                                # controls that also open on residual current
    one_of: tuple[str, ...] = ()                                  # controls of one handle: at most one is closed
    parts: Mapping[str, tuple[str, ...]] = field(default_factory=dict)    # replaced in service -> terminals met there
    sources: Mapping[str, str] = field(default_factory=dict)      # terminal -> L, N or E that it gives
    bars: Mapping[str, tuple[str, str]] = field(default_factory=dict)    # busbar -> line, neutral; first: default
    marked: Mapping[str, str] = field(default_factory=dict)       # "line", "load" -> side: not to be reversed
    facts: tuple[str, ...] = ()                                   # fields of a job that make sense for it


class UnknownKind(ValueError):
    """There is no kind of this name; `nearest` is the known one most like it, or nothing."""

    def __init__(self, name: str) -> None:
        from spareway.doc import nearest
        self.name, self.nearest = name, nearest(name, kind_names())
        hint = f"; did you mean {self.nearest}?" if self.nearest else ""
        super().__init__(f'there is no kind "{name}"{hint}')


@cache
def kind(name: str) -> Kind:
    """The kind of this name. Errors: UnknownKind with the nearest name."""
    file, start, end = _places().get(name, ("", 0, 0))
    if not file:
        raise UnknownKind(name)
    return _kind(name, loads(text(file)[start:end])[name])


@cache
def kind_names() -> tuple[str, ...]:
    """Every kind, in the order of the files."""
    return tuple(_places())


def topic(name: str) -> str:
    """The topic file that a kind stands in: intake, boards, ... Errors: UnknownKind."""
    if name not in _places():
        raise UnknownKind(name)
    return _places()[name][0].removeprefix("kinds/").removesuffix(".toml")


@cache
def _places() -> dict[str, tuple[str, int, int]]:
    """Where the lines of each kind stand: (file, start, end). Parsing them all would cost more than a whole check."""
    return {name: place for topic in TOPICS for name, place in _heads(f"kinds/{topic}.toml")}


def _heads(file: str) -> Iterator[tuple[str, tuple[str, int, int]]]:
    whole = text(file)
    heads = list(_HEAD.finditer(whole))
    ends = [head.start() for head in heads[1:]] + [len(whole)]
    for head, end in zip(heads, ends, strict=True):
        yield head[1], (file, head.start(), end)


def _kind(name: str, said: Mapping[str, Any]) -> Kind:
    """The lines of a kind as a Kind; an unknown key is a TypeError of the constructor."""
    said = dict(said)
    for key in ("wiring", "residual", "one_of", "facts"):
        said[key] = tuple(said.get(key, ()))
    parts = said.get("parts", {})
    said["parts"] = {part: tuple(t for end in ends.split() for t in spread(end)) for part, ends in parts.items()}
    said["bars"] = {bar: tuple(ends) for bar, ends in said.get("bars", {}).items()}
    return Kind(name=name, **said)
