"""What differs between two states of the premises, thing by thing, with the places of both.

From it come materials, labour and the plan of the day, so it follows the law of overlays: what states its kind or item
again is another thing, even where it is one like the old.
"""
from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from spareway.doc import ANOTHER, Doc, Trail, is_fact, spell
from spareway.fact import HOW, glossary
from spareway.job.fields import Spec, by_key
from spareway.job.types import Parts
from spareway.show import plain

if TYPE_CHECKING:
    from spareway.job.job import Installation

__all__ = ["Change", "changes"]


@dataclass(frozen=True, slots=True)
class Change:
    """One difference.

    how      added, removed or replaced: the whole thing at `address`; altered: one field of it
    field    the altered field, otherwise nothing
    before   what stood in the files, None when nothing did; `after` what stands there now
    was      place of what was, `found.toml:12`, or nothing; `now` the place of what is
    """
    how: str
    address: str
    field: str
    before: Any
    after: Any
    was: str
    now: str
    says: str


def changes(a: Doc | Installation, b: Doc | Installation) -> tuple[Change, ...]:
    """From `a` to `b`: tables in the order of the grammar, things and fields in that of `a`, then what `b` adds."""
    before, after = (each if isinstance(each, Doc) else each.doc for each in (a, b))
    old, new = ({file for file, _ in doc.places.values()} for doc in (before, after))
    return tuple(_Pair(before, after, frozenset(new - old if new & old else ())).tables())


@dataclass(frozen=True, slots=True)
class _Pair:
    """Two documents side by side; `laid` names the files that were laid over the first to make the second."""
    before: Doc
    after: Doc
    laid: frozenset[str]

    def tables(self) -> Iterator[Change]:
        for key, spec in by_key(Parts).items():
            yield from self.entry(spec, self.before.data.get(key), self.after.data.get(key), (key,))

    def entry(self, spec: Spec | None, was: Any, now: Any, at: Trail) -> Iterator[Change]:
        """The changes of what stands under one key: named things, one thing, or a field."""
        if spec and spec.of and spec.holds == "tables":
            old, new = _table(was), _table(now)
            for name in {**old, **new}:
                yield from self.thing(spec.of, old.get(name), new.get(name), (*at, name))
        elif spec and spec.of:
            yield from self.thing(spec.of, was, now, at)
        elif not _same(was, now):
            yield self.change("altered", at, was, now, at[-1], _altered(spec, at[-1], was, now))

    def thing(self, cls: type, was: Any, now: Any, at: Trail) -> Iterator[Change]:
        """The changes of one thing: the whole of it, or field by field."""
        if was is None and now is not None:
            yield self.change("added", at, was, now, "", f"added{_called(now)}")
        elif now is None and was is not None:
            yield self.change("removed", at, was, now, "", f"removed{_called(was)}")
        elif was is not None and self.another(_table(was), _table(now), at):
            yield self.change("replaced", at, was, now, "", _replaced(cls, was, now))
        else:
            old, new = _table(was), _table(now)
            for key in {**old, **new}:
                yield from self.entry(by_key(cls).get(key), old.get(key), new.get(key), (*at, key))

    def another(self, was: Mapping[str, Any], now: Mapping[str, Any], at: Trail) -> bool:
        """Whether it is another thing: of another kind or item, or one that a file laid over the first states again."""
        return any(was.get(key) != now.get(key) or key in now and self.after.place((*at, key))[0] in self.laid
                   for key in ANOTHER)

    def change(self, how: str, at: Trail, was: Any, now: Any, field: str, says: str) -> Change:
        thing = spell(at[:-1] if field else at)
        return Change(how, thing, field, was, now, "" if was is None else self.before.where(at),
                      "" if now is None else self.after.where(at), f"{thing}: {says}")


def _table(data: Any) -> Mapping[str, Any]:
    return data if isinstance(data, dict) else {}


def _same(was: Any, now: Any) -> bool:
    """Equal, where 1 and 1.0 are one number and true is none."""
    if isinstance(was, dict) and isinstance(now, dict):
        return was.keys() == now.keys() and all(_same(was[key], now[key]) for key in was)
    return bool(was == now) and isinstance(was, bool) == isinstance(now, bool)


# ---- in words -------------------------------------------------------------------------------------------------------
def _called(thing: Any) -> str:
    """What a thing calls itself: its kind, its item, what a person calls it."""
    said = [str(_table(thing)[key]) for key in ("kind", "item", "says") if key in _table(thing)]
    return f": {', '.join(said)}" if said else ""


def _replaced(cls: type, was: Mapping[str, Any], now: Mapping[str, Any]) -> str:
    """What took its place; where that is called the same, in what it differs."""
    if _called(was) != _called(now):
        return f"another one{_called(now)}; was{_called(was)}"
    unlike = [_altered(by_key(cls).get(key), key, was.get(key), now.get(key)) for key in {**was, **now}
              if not _same(was.get(key), now.get(key))]
    return f"another one{_called(now)}; {'; '.join(unlike) or 'like the old'}"


def _altered(spec: Spec | None, key: str, was: Any, now: Any) -> str:
    unit = glossary(spec.quantity).unit if spec and spec.holds == "number" else ""
    short = (unit or key.endswith("_n")) and "_per_" not in key                 # the unit stands behind the number already
    words = key.rpartition("_")[0].replace("_", " ") if short else key
    return f"{words} was {_in_words(was, unit)}, is {_in_words(now, unit)}"


def _in_words(value: Any, unit: str) -> str:
    """What stands in a field: `9 m (measured), 11 m (drawing)`, `not known (under the floor)`, `a.out and b.in`."""
    if value is None:
        return "not recorded"
    if isinstance(value, list):
        return " and ".join(map(str, value)) or "none"
    if not isinstance(value, dict):
        number = isinstance(value, int | float) and not isinstance(value, bool)
        return f"{plain(value)} {unit}".rstrip() if number else plain(value)
    if not is_fact(value):
        return ", ".join(f"{key} {_in_words(each, '')}" for key, each in value.items())
    said = [f"{_in_words(value[how], unit)} ({how})" for how in HOW if how in value]
    said += [f"not known ({value['unknown']})"] if "unknown" in value else []
    said += [f"{end} {_in_words(value[end], unit)}" for end in ("least", "most") if end in value]
    return ", ".join([*said, *([str(value["note"])] if "note" in value else [])])
