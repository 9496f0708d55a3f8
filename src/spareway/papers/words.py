"""How a paper says things: what a thing is called, how firmly a number stands, where it comes from.

A text on a paper is a list of pieces, {"t": words} or {"t": number and unit, "g": its ground}; a ground is drawn under it.
"""
from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from spareway.doc import trail
from spareway.fact import Fact, NotKnown, unknown
from spareway.job.job import Installation
from spareway.job.rows import Reading
from spareway.job.types import Instrument, Kit
from spareway.tables import NoRow

__all__ = ["FUSES", "Piece", "Pieces", "asked", "ground", "how", "in_order", "joined", "label", "listed", "moment", "piece",
           "plain", "short", "taken", "together"]

Piece = dict[str, str]
Pieces = list[Piece]
FUSES = {"bs88-2": "BS 88-2", "bs88-3": "BS 88-3", "bs1361": "BS 1361", "bs1361-1": "BS 1361 type I",
         "bs1361-2": "BS 1361 type II", "bs3036": "BS 3036", "bs1362": "BS 1362"}
BY_HOW = {"measured": "firm", "marked": "one", "enquiry": "one", "declared": "one", "stated": "one", "drawing": "derived",
          "told": "derived", "assumed": "loose"}
BY_TRUST = {"confirmed": "firm", "one source": "one", "derived": "derived", "from memory": "loose", "uncertain": "loose"}
MANY = 3                                    # circuits from so many on stand by their ways
SAID = {"stated": "seen or stated", "drawing": "off a drawing", "told": "as told", "marked": "read on it"}


def ground(fact: Fact[Any]) -> str:
    """How firmly a number stands: firm, one, derived, loose, or none where nobody knows it."""
    if not fact.known:
        return "none"
    if fact.how in BY_HOW:
        return BY_HOW[fact.how]
    if fact.doubtful():
        return "loose"
    return BY_TRUST.get(fact.trust, "derived") if fact.how == "table" else "derived"


def piece(fact: Fact[Any], without: str = "") -> Piece:
    """A fact as one piece: its amount with its unit on its ground, or "not known". `without` leaves the unit away."""
    said = FUSES.get(str(fact.amount), str(fact)) if fact.known else "not known"
    return {"t": said.removesuffix(f" {without}"), "g": ground(fact)}


def asked(name: str, ask: Callable[[], Fact[Any]]) -> Fact[Any]:
    """A quantity of the design; not known, and why, where a value of the record stands outside of every table."""
    try:
        return ask()
    except NotKnown as gap:
        return gap.fact
    except NoRow as outside:
        return unknown(name, str(outside))


def plain(text: str) -> Pieces:
    return [{"t": text}]


def listed(parts: Iterable[Sequence[Piece]], between: str = "; ") -> Pieces:
    """Several texts one after another."""
    out: Pieces = []
    for part in parts:
        out += [*([{"t": between}] if out and part else []), *part]
    return out


def how(fact: Fact[Any], why_only: bool = False) -> str:
    """How a fact is known and where it stands; of an unknown one, why."""
    if not fact.known:
        return fact.note or "not recorded"
    said = SAID.get(fact.how, fact.how)
    known = [said, *(f"{SAID.get(o.how, o.how)} {o}" for o in fact.others)]
    return ", ".join([*known, *([] if why_only or not fact.where else [fact.where]), *([fact.note] if fact.note else [])])


def moment(at: str) -> str:
    """A day, or a day and time, as people write them."""
    day, _, clock = at.partition("T")
    return f"{_day(day)}{f', {clock[:5]}' if clock else ''}"


def _day(day: str) -> str:
    months = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
              "December")
    parts = day.split("-")
    whole = len(parts) == 3 and all(part.isascii() and part.isdigit() for part in parts) and 1 <= int(parts[1]) <= 12
    return f"{int(parts[2])} {months[int(parts[1]) - 1]} {parts[0]}" if whole else day


def taken(row: Reading, kit: Kit, by_the_day: bool = False) -> str:
    """Who took a reading, when (or on which day), with what, at what temperature; what was not written down is said to be so."""
    instrument: Instrument | None = kit.kit.get(row.instrument)
    serial = f" serial {instrument.serial}" if instrument and instrument.serial else ", serial not recorded"
    with_what = f"{row.instrument}{serial}" if row.instrument else "instrument not recorded"
    warm = f"{row.temp_c:g} °C" if row.temp_c is not None else "temperature not recorded"
    when = moment(row.at.partition("T")[0] if by_the_day else row.at)
    return f"by {row.by}, {when}; {with_what}; {warm}"


# ---- names ----------------------------------------------------------------------------------------------------------
def label(inst: Installation, address: str) -> str:
    """What a person calls the thing at an address, as far as the record says it."""
    if address == "installation":
        return "the whole installation"
    table, _, rest = address.partition(".")
    at = trail(address)
    name = at[1] if len(at) > 1 else rest
    if table == "circuits" and name in inst.circuits:
        return _circuit(inst, name) + _within(at[2:])
    if table == "equipment" and name in inst.equipment:
        return _thing(inst, name) + _within(at[2:])
    if table == "runs" and name in inst.runs:
        return f"{_spaced(name)} ({_ends(inst.runs[name].joins)})"
    if table == "supplies":
        return "the supply" if len(inst.supplies) == 1 else f"the supply {_spaced(name)}"
    if table in inst.equipment and rest:
        way, _, part = rest.partition(".")
        return f"{part} of {_spaced(table)} way {way}" if part else f"{rest} of {_spaced(table)}"
    return f"decision {_spaced(name)}" if table == "decisions" else address


def short(inst: Installation, address: str) -> str:
    """What a thing is called where many stand in a line: a circuit by its board and way."""
    name = address.removeprefix("circuits.")
    if name == address or name not in inst.circuits:
        return label(inst, address)
    board, _, way = inst.circuits[name].way.partition(".")
    return f"{_spaced(board)} {way}"


def together(inst: Installation, addresses: Sequence[str], brief: bool = False) -> str:
    """Several things in a line: few by their names, many circuits by board and ways, all of them as `every circuit`.

    brief: few circuits by board and way too."""
    named = list(dict.fromkeys(_whole(inst, address) for address in addresses))
    own = [name for a in named if a.startswith("circuits.") and (name := a.removeprefix("circuits.")) in inst.circuits]
    if len(own) < MANY:
        return "; ".join((short if brief else label)(inst, a) for a in named)
    others = [label(inst, a) for a in named if a.removeprefix("circuits.") not in own]
    if len(own) == len(inst.circuits):
        return "; ".join(["every circuit", *others])
    ways: dict[str, list[str]] = {}
    for name in own:
        board, _, way = inst.circuits[name].way.partition(".")
        ways.setdefault(_spaced(board), []).append(way)
    told = [f"{board} {'ways' if len(of) > 1 else 'way'} {', '.join(sorted(of, key=in_order))}" for board, of in ways.items()]
    return "; ".join([*told, *others])


def _whole(inst: Installation, address: str) -> str:
    """The circuit that a cable or device of it belongs to; everything else as it is."""
    at = trail(address)
    whole = len(at) == 3 and at[0] == "circuits" and at[1] in inst.circuits and at[2] in ("cable", "device")
    return f"circuits.{at[1]}" if whole else address


def in_order(way: str) -> tuple[int, str]:
    """Ways by their number, then whatever else they are called."""
    return (int(way) if way.isascii() and way.isdigit() else 10_000, way)


def _spaced(name: str) -> str:
    return name.replace("-", " ")


def _circuit(inst: Installation, name: str) -> str:
    circuit = inst.circuits[name]
    board, _, way = circuit.way.partition(".")
    return f"{circuit.says or _spaced(name)}, {_spaced(board)} way {way}"


def _thing(inst: Installation, name: str) -> str:
    room = inst.equipment[name].room
    return f"{_spaced(name)}, {_spaced(room)}" if room and room != name else _spaced(name)


def _within(rest: Sequence[str]) -> str:
    points = [part for part in rest if part not in ("points", "cable", "device")]
    return f", at {_spaced(' '.join(points))}" if rest and rest[0] == "points" and points else ""


def _ends(joins: Sequence[str]) -> str:
    ends = ["not traced" if end == "?" else _spaced(end.partition(".")[0]) for end in joins]
    if len(ends) == 1:
        return f"from {ends[0]}; its other end is joined to nothing"
    return " to ".join(ends) or "ends not recorded"


def joined(words: Mapping[str, str] | Iterable[str]) -> str:
    """`a, b and c`."""
    *first, last = list(words) or [""]
    return f"{', '.join(first)} and {last}" if first else last
