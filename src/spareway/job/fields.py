"""How a field of the job is declared: what it holds, what it says, what may stand in it. Reader and schema read this."""
from __future__ import annotations

from dataclasses import MISSING, FrozenInstanceError, dataclass, field, fields
from functools import lru_cache
from typing import Any, TypeVar, dataclass_transform

Record = TypeVar("Record", bound=type)


@dataclass_transform(frozen_default=True, kw_only_default=True, eq_default=False, field_specifiers=(field,))
def record(cls: Record) -> Record:
    """A frozen dataclass of a job, filled by keywords. Two things of a job are compared by their documents, so it has no
    equality of its own.

    Its methods are those below, shared by all: the library compiles them anew for each class, a tenth of a cold start."""
    named = cls.__annotations__
    cls.__annotations__ = dict.fromkeys(named, object)         # the library would search each written type for ClassVar
    made: Any = dataclass(init=False, repr=False, eq=False, slots=True, kw_only=True)(cls)
    made.__annotations__ = named
    made.__init__, made.__repr__, made.__setattr__, made.__delattr__ = _filled, _told, _refused, _refused
    made.__getstate__, made.__setstate__ = _state, _restored
    made.__dataclass_params__.frozen = True                    # so that a frozen dataclass may be derived from it
    made.__blanks__ = tuple([(each.name, each.default, each.default_factory) for each in fields(made)])
    return made        # type: ignore[no-any-return]


@dataclass_transform(frozen_default=True, kw_only_default=True, field_specifiers=(field,))
def equal_record(cls: Record) -> Record:
    """A record that is equal to another of its class with the same fields."""
    made: Any = record(cls)
    made.__eq__, made.__hash__ = _equal, _hash
    return made        # type: ignore[no-any-return]


def _filled(self: Any, /, **given: Any) -> None:
    """Errors: TypeError for a field that is missing, or one that is none."""
    put, taken = object.__setattr__, 0
    for name, default, fresh in self.__blanks__:
        if name in given:
            put(self, name, given[name])
            taken += 1
        elif default is not MISSING:
            put(self, name, default)
        elif fresh is not MISSING:
            put(self, name, fresh())
        else:
            raise TypeError(f"{type(self).__name__}: {name} is missing")
    if taken < len(given):
        raise TypeError(f"{type(self).__name__} has no {', '.join(given.keys() - {each[0] for each in self.__blanks__})}")


def _refused(self: Any, name: str, *_: Any) -> None:
    raise FrozenInstanceError(f"{type(self).__name__}.{name} is not changed")


def _state(self: Any) -> tuple[Any, ...]:
    return tuple([getattr(self, each[0]) for each in self.__blanks__])


def _restored(self: Any, state: tuple[Any, ...]) -> None:
    for (name, _, _), value in zip(self.__blanks__, state, strict=True):
        object.__setattr__(self, name, value)


def _told(self: Any) -> str:
    return f"{type(self).__qualname__}({', '.join([f'{each.name}={getattr(self, each.name)!r}' for each in fields(self)])})"


def _equal(self: Any, other: Any) -> Any:
    return _state(self) == _state(other) if type(self) is type(other) else NotImplemented


def _hash(self: Any) -> int:
    return hash(_state(self))


@dataclass(frozen=True, slots=True)
class Spec:
    """One field. `holds` is one of

    number, text, flag, numbers    a fact: a bare value was stated, a table says how it is known, absence is unknown
    word, whole, date, amount      a plain value that structures the job: kind, schema, a date, money
    address, addresses, names      what points elsewhere
    table, tables                  another type, once or under names; `wholes` names to whole numbers
    """
    name: str
    holds: str
    says: str
    example: Any
    one_of: tuple[str, ...] = ()
    least: float | None = None
    most: float | None = None
    of: type | None = None
    key: str = ""
    needed: bool = False
    quantity: str = ""

    @property
    def is_fact(self) -> bool:
        return self.holds in ("number", "text", "flag", "numbers")


def _declare(holds: str, says: str, example: Any, default: Any = None, **more: Any) -> Any:
    spec = {"holds": holds, "says": says, "example": example, **more}
    if holds in ("tables", "wholes"):
        return field(default_factory=dict, metadata=spec)
    if holds in ("addresses", "names"):
        return field(default=(), metadata=spec)
    return field(default=default, metadata=spec)


def number(says: str, example: float, least: float | None = None, most: float | None = None, **more: Any) -> Any:
    """A measured or stated quantity; its name, and so its unit, is the field's unless `quantity` names another."""
    return _declare("number", says, example, least=least, most=most, **more)


def text(says: str, example: str, one_of: tuple[str, ...] = (), **more: Any) -> Any:
    """A fact in words."""
    return _declare("text", says, example, one_of=one_of, **more)


def flag(says: str, **more: Any) -> Any:
    """A fact that is yes or no."""
    return _declare("flag", says, True, **more)


def numbers(says: str, example: list[int], **more: Any) -> Any:
    """A fact that is a list of whole numbers, possibly empty."""
    return _declare("numbers", says, example, **more)


def word(says: str, example: str, one_of: tuple[str, ...] = (), **more: Any) -> Any:
    return _declare("word", says, example, one_of=one_of, **more)


def whole(says: str, example: int, least: int = 0, most: int = 10_000, **more: Any) -> Any:
    return _declare("whole", says, example, least=least, most=most, **more)


def date(says: str, example: str, **more: Any) -> Any:
    return _declare("date", says, example, **more)


def address(says: str, example: str, **more: Any) -> Any:
    return _declare("address", says, example, **more)


def addresses(says: str, example: list[str], **more: Any) -> Any:
    return _declare("addresses", says, example, **more)


def names(says: str, example: list[str], **more: Any) -> Any:
    return _declare("names", says, example, **more)


def table(of: type, says: str, **more: Any) -> Any:
    return _declare("table", says, None, of=of, **more)


def tables(of: type, says: str, **more: Any) -> Any:
    return _declare("tables", says, None, of=of, **more)


def words(says: str, example: dict[str, str], **more: Any) -> Any:
    """Names to words."""
    return _declare("wholes", says, example, **more)


@lru_cache(256)
def specs(cls: Any) -> tuple[Spec, ...]:
    """The declared fields of a type, in order. `key` is what stands in the file, `quantity` the glossary entry."""
    out = []
    for each in fields(cls):
        if "holds" in each.metadata:
            more = dict(each.metadata)
            key = more.pop("key", "") or each.name.rstrip("_").replace("_x_", "-")
            out.append(Spec(name=each.name, key=key, **{**more, "quantity": more.get("quantity") or each.name}))
    return tuple(out)


@lru_cache(256)
def by_key(cls: Any) -> dict[str, Spec]:
    """The declared fields of a type by what stands in the file."""
    return {spec.key: spec for spec in specs(cls)}
