"""From nested tables to typed things. Every fault is collected with its file and line; nothing is taken for something else."""
from __future__ import annotations

import datetime
import math
import re
from collections.abc import Callable, Iterator
from functools import lru_cache
from typing import Any, TypeVar

from spareway.doc import Doc, Fault, Trail, is_fact, nearest, shorten, spell
from spareway.fact import HOW, Fact
from spareway.job.fields import Spec, by_key, specs

Thing = TypeVar("Thing")
Faults = list[Fault]
_LARGEST = 1e12
# what no page shows and what turns the words around it: control characters but tab and new line, marks of direction
_HIDDEN = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028\u2029\u202a-\u202e\u2066-\u2069]")


def hidden_characters(doc: Doc, text: str) -> Faults:
    """A fault for each name and text of a document that holds a control character or a mark of direction.

    `text` is what the document was read from: where it neither holds one nor writes one with a backslash, none can be there."""
    if "\\" not in text and not _HIDDEN.search(text):
        return []
    faults = []
    for at, said in _texts(doc.data, ()):
        if found := _HIDDEN.search(said):
            file, line = doc.place(at)
            faults.append(Fault(file, line or None, _HIDDEN.sub("?", spell(at)), shorten(ascii(said)),
                                f"a character that cannot be printed, U+{ord(found[0]):04X}", "take it out"))
    return faults


def _texts(value: Any, at: Trail) -> Iterator[tuple[Trail, str]]:
    """Every text of nested tables with its place; a name counts as a text of the table it stands in."""
    if isinstance(value, str):
        yield at, value
    elif isinstance(value, list):
        for each in value:
            yield from _texts(each, at)
    elif isinstance(value, dict):
        for key, each in value.items():
            yield (*at, key), key
            yield from _texts(each, (*at, key))


def build(cls: type[Thing], data: Any, at: Trail, doc: Doc, faults: Faults) -> Thing:
    """A thing of this type out of a table, faults added to the list. Missing facts are unknown, missing needs are faults."""
    values: dict[str, Any] = {}
    of: Any = cls                  # the cache of specs asks for something hashable, which mypy does not see in a type
    known = by_key(of)
    if not isinstance(data, dict):
        faults.append(doc.fault(at, data, f"read {data!r} where a table is wanted", f"write {{ {_sample(cls)} }}"))
        data = {}
    for key, value in data.items():
        if spec := known.get(key):
            values[spec.name] = _READ[spec.holds](spec, value, (*at, key), doc, faults)
        else:
            faults.append(doc.fault((*at, key), value, f"there is no field {key} here", _choices(known),
                                    nearest(key, known)))
    facts, needs = _wanted(of)
    before = f"{spell(at)}." if at else ""
    for name, quantity, key in facts:
        if name not in values:
            values[name] = Fact(quantity, None, "unknown", "", "not recorded", "", before + key)
    for spec in needs:
        if spec.name not in values:
            faults.append(doc.fault(at, "", f"{spec.key} is missing", f"{spec.says}, like {_example(spec)}", _sibling(doc, at)))
            values[spec.name] = ""
    if at and "name" in cls.__dataclass_fields__:              # type: ignore[attr-defined]
        values["name"] = at[-1]
    return cls(**values)


@lru_cache(256)
def _wanted(cls: Any) -> tuple[tuple[tuple[str, str, str], ...], tuple[Spec, ...]]:
    """What a thing of this type has although nobody says it, (name, quantity, key) of a fact, and what has to be said."""
    return (tuple((s.name, s.quantity, s.key) for s in specs(cls) if s.is_fact),
            tuple(s for s in specs(cls) if s.needed and not s.is_fact))


def _sample(cls: type) -> str:
    first = next(s for s in specs(cls))
    return f"{first.key} = {_example(first)}"


def _example(spec: Spec) -> str:
    if isinstance(spec.example, str):
        return f'"{spec.example}"' if spec.holds != "date" else spec.example
    return str(spec.example).lower() if isinstance(spec.example, bool) else str(spec.example)


def _choices(known: dict[str, Spec]) -> str:
    return "" if len(known) > 12 else f"one of {', '.join(known)}"


def _sibling(doc: Doc, at: Trail) -> str:
    """Another thing of the same table whose name is like this one: a slip in an overlay names a new thing."""
    table: Any = doc.data
    for step in at[:-1]:
        table = table.get(step, {}) if isinstance(table, dict) else {}
    others = [k for k in table if k != at[-1]] if isinstance(table, dict) and at else []
    return nearest(at[-1], others) if at else ""


def _number(value: Any) -> float | None:
    """A finite number of sensible size as a float, or None."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    if isinstance(value, int):
        return float(value) if abs(value) <= _LARGEST else None
    good = math.isfinite(value) and abs(value) <= _LARGEST and not (value == 0 and math.copysign(1, value) < 0)
    return value if good else None


def _amount(spec: Spec, value: Any, at: Trail, doc: Doc, faults: Faults) -> Any:
    """One bare amount of a fact, checked against what may stand there; None with a fault otherwise."""
    wanted = ""
    if spec.holds == "number":
        amount = _number(value)
        if amount is not None and (spec.least is None or amount >= spec.least) and (spec.most is None or amount <= spec.most):
            return amount
        wanted = f"a number from {spec.least:g} to {spec.most:g}" if spec.least is not None and spec.most is not None \
            else "a number"
    elif spec.holds == "flag":
        if isinstance(value, bool):
            return value
        wanted = "true or false"
    elif spec.holds == "numbers":
        if isinstance(value, list) and all(isinstance(v, int) and not isinstance(v, bool) and v > 0 for v in value):
            return tuple(value)
        wanted = "a list of whole numbers, like [3, 4]"
    elif isinstance(value, str) and value and (not spec.one_of or value in spec.one_of):
        return value
    else:
        wanted = f"one of {', '.join(spec.one_of)}" if spec.one_of else "a text in quotes"
    near = nearest(value, spec.one_of) if isinstance(value, str) and spec.one_of else ""
    faults.append(doc.fault(at, value, f"read {_said(value)}", f"write {wanted}; {spec.key} is {spec.says}", near))
    return None


def _said(value: Any) -> str:
    return f'"{value}"' if isinstance(value, str) else str(value).lower() if isinstance(value, bool) else str(value)


def _fact(spec: Spec, value: Any, at: Trail, doc: Doc, faults: Faults) -> Fact[Any]:
    address = spell(at)
    if not isinstance(value, dict):
        return Fact(spec.quantity, _amount(spec, value, at, doc, faults), "stated", doc.where(at), "", "", address)
    if not is_fact(value):
        known = (*HOW, "unknown", "least", "most", "note")
        strange = [k for k in value if k not in known]
        faults.append(doc.fault((*at, *strange[:1]), value, f"read {', '.join(strange) or 'nothing'} in place of how it is known",
                                f"write one of {', '.join(HOW)} = a value, or unknown = \"why\"",
                                nearest(strange[0], known) if strange else ""))
        return Fact(spec.quantity, None, "unknown", doc.where(at), "not readable", at=address)
    note = value.get("note", "")
    if "unknown" in value:
        if len(value.keys() - {"note"}) > 1 or not isinstance(value["unknown"], str):
            faults.append(doc.fault(at, value, "unknown says why, alone", 'write { unknown = "under the hall floor" }'))
        return Fact(spec.quantity, None, "unknown", doc.where(at), str(value["unknown"]), at=address)
    span = _span(spec, value, at, doc, faults)
    ways = [Fact(spec.quantity, _amount(spec, value[how], (*at, how), doc, faults), how, doc.where((*at, how)), str(note),
                 at=address, span=span) for how in HOW if how in value]
    best = ways[0]
    return best if len(ways) == 1 else Fact(best.name, best.amount, best.how, best.where, best.note, at=address, span=span,
                                            others=tuple(ways[1:]))


def _span(spec: Spec, value: dict[str, Any], at: Trail, doc: Doc, faults: Faults) -> tuple[Any, Any] | None:
    if "least" not in value and "most" not in value:
        return None
    if spec.holds != "number" or "least" not in value or "most" not in value:
        faults.append(doc.fault(at, value, "a range has both ends and is of a number", "write least = 1.35, most = 2.1"))
        return None
    ends = tuple(_amount(spec, value[end], (*at, end), doc, faults) for end in ("least", "most"))
    if None not in ends and ends[0] > ends[1]:
        faults.append(doc.fault((*at, "least"), value, f"least {ends[0]:g} is more than most {ends[1]:g}", "change them over"))
    return (ends[0], ends[1])


def _word(spec: Spec, value: Any, at: Trail, doc: Doc, faults: Faults) -> str:
    if isinstance(value, str) and (not spec.one_of or value in spec.one_of):
        return value
    wanted = f"one of {', '.join(spec.one_of)}" if spec.one_of else f"a text in quotes, like {_example(spec)}"
    near = nearest(value, spec.one_of) if isinstance(value, str) else ""
    faults.append(doc.fault(at, value, f"read {_said(value)}", f"write {wanted}; {spec.key} is {spec.says}", near))
    return ""


def _whole(spec: Spec, value: Any, at: Trail, doc: Doc, faults: Faults) -> int:
    if isinstance(value, int) and not isinstance(value, bool) and (spec.least or 0) <= value <= (spec.most or _LARGEST):
        return value
    faults.append(doc.fault(at, value, f"read {_said(value)}",
                            f"write a whole number from {spec.least:g} to {spec.most:g}; {spec.key} is {spec.says}"))
    return 0


def _date(spec: Spec, value: Any, at: Trail, doc: Doc, faults: Faults) -> datetime.date | None:
    if isinstance(value, datetime.date) and not isinstance(value, datetime.datetime):
        return value
    faults.append(doc.fault(at, value, f"read {_said(value)}", f"write a date like {spec.example}, without quotes"))
    return None


def _list(spec: Spec, value: Any, at: Trail, doc: Doc, faults: Faults) -> tuple[str, ...]:
    if isinstance(value, list) and all(isinstance(v, str) for v in value):
        return tuple(value)
    faults.append(doc.fault(at, value, f"read {_said(value)}", f"write a list of texts; {spec.key} is {spec.says}"))
    return ()


def _words(spec: Spec, value: Any, at: Trail, doc: Doc, faults: Faults) -> dict[str, str]:
    said: dict[str, str] = {}
    if not isinstance(value, dict):
        faults.append(doc.fault(at, value, f"read {_said(value)}", f"write a table of texts; {spec.key} is {spec.says}"))
        return said
    for key, each in value.items():
        if isinstance(each, str) or isinstance(each, datetime.date) and not isinstance(each, datetime.datetime):
            said[key] = str(each)
        else:
            faults.append(doc.fault((*at, key), each, f"read {_said(each)}", "write a text in quotes"))
    return said


def _table(spec: Spec, value: Any, at: Trail, doc: Doc, faults: Faults) -> Any:
    assert spec.of is not None
    return build(spec.of, value, at, doc, faults)


def _tables(spec: Spec, value: Any, at: Trail, doc: Doc, faults: Faults) -> dict[str, Any]:
    assert spec.of is not None
    if not isinstance(value, dict):
        faults.append(doc.fault(at, value, f"read {_said(value)} where named things are wanted", f"write [{spell(at)}.a-name]"))
        return {}
    return {name: build(spec.of, each, (*at, name), doc, faults) for name, each in value.items()}


_READ: dict[str, Callable[[Spec, Any, Trail, Doc, Faults], Any]] = {
    "number": _fact, "text": _fact, "flag": _fact, "numbers": _fact, "word": _word, "address": _word, "whole": _whole,
    "date": _date, "addresses": _list, "names": _list, "wholes": _words, "table": _table, "tables": _tables,
}
