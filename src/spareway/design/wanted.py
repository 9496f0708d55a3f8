"""A circuit that does not exist yet, in a line of plain words: `7.2 kW cooker, 14 m, method 100`. The order is free."""
from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from spareway.doc import Fault, InputError, nearest, shorten
from spareway.job.types import CURVES, METHODS
from spareway.kinds import kind, kind_names

__all__ = ["CABLE_WORDS", "Wanted", "wanted"]

LONGEST = 200
CABLE_WORDS = {"t&e": "t&e", "singles": "singles", "armoured": "armoured", "multicore": "other"}
FORM = 'write it as "7.2 kW cooker, 14 m, method 100"'
_UNITS = {"kw": ("load_w", 1000.0), "w": ("load_w", 1.0), "a": ("load_a", 1.0), "m": ("length_m", 1.0)}
_LIMITS = {"load_w": (1, 100_000), "load_a": (0.1, 100), "length_m": (0.1, 2_000), "grouped_n": (1, 30), "ambient_c": (-20, 90),
           "in_insulation_mm": (0, 50_000)}
_AMOUNT = re.compile(r"([0-9]{1,6}(?:\.[0-9]{1,4})?)(kw|w|a|m|mm|c)?", re.ASCII)
_KEYS = {"grouped": "grouped_n", "ambient": "ambient_c", "insulation": "in_insulation_mm"}


@dataclass(slots=True)
class Wanted:
    """What is asked of a circuit to be. Amounts are None where nothing was said. or_methods: other ways in which it may lie."""
    feeds: str = ""
    load_w: float | None = None
    load_a: float | None = None
    length_m: float | None = None
    method: str = ""
    or_methods: tuple[str, ...] = ()
    cable: str = "t&e"
    grouped_n: float | None = None
    ambient_c: float | None = None
    in_insulation_mm: float | None = None
    curve: str = ""
    residual: bool = True
    board: str = ""
    said: set[str] = field(default_factory=set)

    def lines(self, name: str, way: str) -> str:
        """The lines of a job that state it, its sizes and the rating of its device yet to be chosen."""
        kind_of, more = ("rcbo-2p", ', residual_ma = 30, residual_type = "A"') if self.residual else ("mcb", "")
        lies = [f'method = "{self.method}"'] + [f"{key} = {value:.12g}" for key in ("length_m", "grouped_n", "ambient_c")
                                                if (value := getattr(self, key)) is not None]
        if self.in_insulation_mm is not None:
            lies = [f"stretches.all = {{ {', '.join(lies)}, in_insulation_mm = {self.in_insulation_mm:.12g} }}"]
        load = [f"{key} = {value:.12g}" for key in ("load_w", "load_a") if (value := getattr(self, key)) is not None]
        return "\n".join([
            f"[circuits.{name}]", f'way = "{way}"', f'feeds = "{self.feeds}"', *load,
            f'device = {{ kind = "{kind_of}", curve = "{self.curve or "B"}"{more} }}', f"[circuits.{name}.cable]",
            f'kind = "{self.cable}"', *lies, ""])


def wanted(text: str) -> Wanted:
    """The circuit that a line of words asks for. Errors: InputError with every word that is not understood, and what is missing.

    A load in kW, W or A; a length in m; `method 100`, or `method 100 or C`; what it feeds, a name from the list of appliances;
    and where it holds `grouped 3`, `ambient 40`, `insulation 200 mm`, `t&e`, `singles`, `armoured`, `multicore`, `curve C`,
    `mcb`, `board NAME`."""
    out, faults = Wanted(), list[Fault]()
    if len(text) > LONGEST:
        raise InputError([_fault(shorten(text), f"more than {LONGEST} characters", FORM)])
    text = text.lower()
    for found in _commas(text):
        faults.append(_fault(found, f"a number has a point in it and no comma: {found}", f"write {found.replace(',', '.')}"))
        text = text.replace(found, found.replace(",", "."))
    words = re.sub(r"([0-9])\s+(kw|w|a|m|mm|c|°c)(?=[\s,;]|$)", r"\1\2", text).replace("°c", "c")
    todo = [word for word in re.split(r"[\s,;]+", words) if word]
    while todo:
        faults += _take(out, todo)
    faults += _missing(out) if not faults else []
    if faults:
        raise InputError(faults)
    return out


_COMMA = re.compile(r"(?:([a-z]+) +)?([0-9]+),([0-9]+)(?= *(?:kw|w|a|m|mm)\b)", re.ASCII)


def _commas(text: str) -> Iterator[str]:
    """Each number with a comma in it, which would be taken for two; not what only ends there, as in `method 100,14 m`."""
    yield from (f"{found[2]},{found[3]}" for found in _COMMA.finditer(text) if found[1] not in ("method", "or", *_KEYS))


def _take(out: Wanted, todo: list[str]) -> Iterator[Fault]:
    """The next word, with those that belong to it."""
    word = todo.pop(0)
    if word in ("method", "curve", "type", "board", *_KEYS):
        if not todo:
            yield _fault(word, f"nothing stands after {word}", FORM)
        else:
            yield from _keyed(out, word, todo.pop(0))
            yield from _or_methods(out, todo) if word == "method" else ()
    elif (amount := _AMOUNT.fullmatch(word)) and amount[2] in _UNITS:
        name, factor = _UNITS[amount[2]]
        yield from _set(out, name, float(amount[1]) * factor, word)
    elif word in CABLE_WORDS:
        out.cable = CABLE_WORDS[word]
    elif word in ("mcb", "rcbo"):
        out.residual = word == "rcbo"
    else:
        yield from _fed(out, word, todo)


def _keyed(out: Wanted, word: str, said: str) -> Iterator[Fault]:
    if word == "method":
        yield from _one_of(out, "method", said.upper(), METHODS)
    elif word in ("curve", "type"):
        yield from _one_of(out, "curve", said.upper(), CURVES)
    elif word == "board":
        out.board = said
    elif (amount := _AMOUNT.fullmatch(said)) is None or amount[2] not in (None, "mm" if word == "insulation" else "c"):
        yield _fault(said, f"{word} {shorten(said)} is no amount", {"grouped": "grouped 3", "ambient": "ambient 40",
                                                                    "insulation": "insulation 200 mm"}[word])
    else:
        yield from _set(out, _KEYS[word], float(amount[1]), said)


def _or_methods(out: Wanted, todo: list[str]) -> Iterator[Fault]:
    """`or C or 102` after a method."""
    while todo[:1] == ["or"]:
        said = todo[1].upper() if len(todo) > 1 else ""
        del todo[:2]
        if said in METHODS:
            out.or_methods += (said,)
        else:
            yield _fault(said, f"there is no method {shorten(said)}", f"one of {', '.join(METHODS)}", nearest(said, METHODS))


def _one_of(out: Wanted, name: str, said: str, allowed: tuple[str, ...]) -> Iterator[Fault]:
    if said in allowed:
        setattr(out, name, said)
    else:
        yield _fault(said, f"there is no {name} {shorten(said)}", f"one of {', '.join(allowed)}", nearest(said, allowed))


def _set(out: Wanted, name: str, amount: float, word: str) -> Iterator[Fault]:
    low, high = _LIMITS[name]
    if name in out.said:
        yield _fault(word, "a second amount of the same sort", FORM)
    elif not low <= amount <= high or name == "grouped_n" and amount != int(amount):
        yield _fault(word, "out of range", f"from {low:g} to {high:g}{' in whole numbers' if name == 'grouped_n' else ''}")
    else:
        out.said.add(name)
        setattr(out, name, amount)


def _fed(out: Wanted, word: str, todo: list[str]) -> Iterator[Fault]:
    """What it feeds, in one word or in two."""
    if todo and f"{word}-{todo[0]}" in kind_names():
        word = f"{word}-{todo.pop(0)}"
    fed = [name for name in kind_names() if name != "nothing" and kind(name).family == "appliance"] if not out.feeds else []
    if word in fed:
        out.feeds = word
    elif out.feeds:
        yield _fault(word, f"it feeds {out.feeds}, and {shorten(word)} says nothing more", FORM)
    else:
        yield _fault(word, f"nothing is called {shorten(word)}", f"an amount with kW, W, A or m, or one of {', '.join(fed)}",
                     nearest(word, (*fed, *CABLE_WORDS, "method", *_KEYS)))


def _missing(out: Wanted) -> Iterator[Fault]:
    if not out.feeds:
        yield _fault("", "it does not say what it feeds", FORM)
    if not {"load_w", "load_a"} & out.said:
        yield _fault("", "it states no load", "7.2 kW, 1500 W or 32 A")
    if len({"load_w", "load_a"} & out.said) == 2:
        yield _fault("", "it states the load twice", "a power or a current")
    if "length_m" not in out.said:
        yield _fault("", "it states no length", "14 m")
    if not out.method:
        yield _fault("", "it does not say how the cable lies", f"method and one of {', '.join(METHODS)}")


def _fault(read: str, says: str, allowed: str = "", near: str = "") -> Fault:
    return Fault("command line", None, "new", read, says, allowed, near)
