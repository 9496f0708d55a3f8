"""What joins two terminals, and the lines in which a kind says what joins its own.

    bottom.LN -[switch]- top.LN --- surge.LN     joined while the switch is closed; always joined
    surge.LN ~~~ surge.E                         only in a surge, each to the one earth
    in.L =load= in.N                             an appliance
    clamp.E                                      a terminal that nothing joins inside
"""
from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache

__all__ = ["CONDUCTORS", "Link", "inside", "spread"]

CONDUCTORS = ("L", "N", "E", "L1", "L2", "L3")
METAL, SURGE, LOAD = "-", "~", "="
_END = re.compile(r"([a-z0-9]+(?:-[a-z0-9]+)*)\.((?:L[123]?|N|E)+)", re.ASCII)
_CONDUCTOR = re.compile(r"L[123]?|N|E")
_SWITCHED = re.compile(r"-\[([a-z0-9]+(?:-[a-z0-9]+)*)\]-", re.ASCII)
_PLAIN = {"---": METAL, "~~~": SURGE, "=load=": LOAD}


@dataclass(frozen=True, slots=True)
class Link:
    """One joint between two terminals. From a terminal to itself it only says that the terminal is there."""
    a: str                    # terminals are "isolator.top.L"
    b: str
    joint: str = "-"          # "-" metal, closed while `control` is, if any; "~" only in a surge; "=" a load
    control: str = ""         # "isolator.switch"; several links may share it (ganged poles)
    lift: str = ""            # the conductor whose disconnection breaks it: "tails-2.L", "lamps-up.N"


def spread(end: str) -> list[str]:
    """"top.LN" as ["top.L", "top.N"]. Errors: ValueError where it is not a side and its conductors."""
    match = _END.fullmatch(end)
    if not match:
        raise ValueError(f'"{end}" is not a side and its conductors, such as top.LN')
    conductors = _CONDUCTOR.findall(match[2])
    if len(set(conductors)) < len(conductors):
        raise ValueError(f'"{end}" names a conductor twice')
    return [f"{match[1]}.{conductor}" for conductor in conductors]


def inside(name: str, wiring: Iterable[str]) -> Iterator[Link]:
    """The links inside the thing of this name. Errors: ValueError naming it and the line that cannot be read."""
    for line in wiring:
        try:
            joints = _joints(line)
        except ValueError as problem:
            raise ValueError(f'{name}: "{line}": {problem}') from None
        for a, b, joint, control in joints:
            yield Link(f"{name}.{a}", f"{name}.{b}", joint, f"{name}.{control}" if control else "")


@cache
def _joints(line: str) -> tuple[tuple[str, str, str, str], ...]:
    """A line as (terminal, terminal, joint, control), in the order written."""
    words = line.split()
    if len(words) % 2 == 0:
        raise ValueError("a line is an end, a joint, an end, and so on")
    ends = [spread(word) for word in words[::2]]
    if len(ends) == 1:
        return tuple((terminal, terminal, METAL, "") for terminal in ends[0])
    found: list[tuple[str, str, str, str]] = []
    for word, here, there in zip(words[1::2], ends, ends[1:], strict=False):
        joint, control = _joint(word)
        found += [(a, b, joint, control) for a, b in _pairs(joint, here, there)]
    return tuple(found)


def _joint(word: str) -> tuple[str, str]:
    if word in _PLAIN:
        return _PLAIN[word], ""
    match = _SWITCHED.fullmatch(word)
    if not match:
        raise ValueError(f'"{word}" is no joint: ---, -[name]-, ~~~ or =load=')
    return METAL, match[1]


def _pairs(joint: str, here: list[str], there: list[str]) -> list[tuple[str, str]]:
    """Metal keeps its conductor; a load has one end on each side; in a surge several may go to one earth."""
    if set(here) & set(there):
        raise ValueError("it joins a terminal to itself")
    if joint == METAL and [_letter(t) for t in here] != [_letter(t) for t in there]:
        raise ValueError("metal must join the same conductors in the same order")
    if joint == LOAD and not len(here) == len(there) == 1:
        raise ValueError("a load has one conductor on each side")
    if joint == SURGE and len(there) == 1:
        there = there * len(here)
    if len(here) != len(there):
        raise ValueError("the two ends have not the same number of conductors")
    return list(zip(here, there, strict=True))


def _letter(terminal: str) -> str:
    return terminal.rpartition(".")[2]
