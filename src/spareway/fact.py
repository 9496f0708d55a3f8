"""A fact is a value and how it is known. A formula is one Python function, run on numbers and shown on facts.

A worked fact keeps the facts it came from, so its working, its gaps and its assumptions are read off it and never
written beside it. Units, symbols and words of a quantity come from `glossary.toml` by its name.
"""
from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import chain
from typing import Any, Generic, Protocol, TypeVar

from spareway.show import apart, plain, show
from spareway.term import Term, least, most, sqrt

__all__ = ["HOW", "Fact", "Formula", "NotKnown", "Step", "apart", "chosen", "flips_at", "formula", "glossary",
           "highest", "least", "lowest", "most", "moved", "show", "simulated", "solved", "sqrt", "total", "unknown"]

T = TypeVar("T")
HOW = ("measured", "marked", "enquiry", "declared", "drawing", "stated", "told", "assumed")    # the best known first
DOUBTFUL = ("from memory", "uncertain")                                                        # trust of a table's row


class NotKnown(Exception):
    """Someone asked for a value that nobody knows. The rule runner turns it into the verdict `unknown`."""

    def __init__(self, fact: Fact[Any]) -> None:
        super().__init__(f"{fact.name} is not known: {fact.note or 'not recorded'}")
        self.fact = fact


@dataclass(frozen=True, slots=True)
class Quantity:
    """A glossary entry: how a quantity is called, written and measured."""
    name: str
    says: str
    symbol: str
    unit: str
    digits: int = 3


@cache
def _entries() -> dict[str, Quantity]:
    """The glossary, read by its own one-line form: a general reader costs a third of a whole check.

    A test holds the two equal."""
    import re

    from spareway.bundled import text
    entry = re.compile(r'^(\w+) *= *\{ says = "([^"]*)", symbol = "([^"]*)", unit = "([^"]*)"(?:, digits = (\d+))? \}',
                       re.MULTILINE)
    return {name: Quantity(name, says, symbol, unit, int(digits or 3))
            for name, says, symbol, unit, digits in entry.findall(text("glossary.toml"))}


def glossary(name: str) -> Quantity:
    """The entry for a quantity. Errors: KeyError, since what is not in the glossary is not printed."""
    return _entries()[name]


def quantities() -> Iterator[Quantity]:
    """Every entry of the glossary, in its order."""
    yield from _entries().values()


class Recipe(Protocol):
    """How a fact came from its inputs: a formula, a look-up, a total, a search."""

    def __call__(self, *amounts: Any) -> Any: ...
    def line(self, fact: Fact[Any]) -> str: ...


@dataclass(frozen=True, slots=True)
class Step:
    """One line of a working: `line` is what a person would write, `source` where the formula stands."""
    fact: Fact[Any]
    line: str
    source: str


@dataclass(frozen=True, slots=True, eq=False)
class Fact(Generic[T]):
    """A value and how it is known. Ask `.value`: absence raises and cannot be mistaken for a pass.

    name    a glossary entry                        where   found.toml:12, a table's place, a formula's source
    amount  None when nobody knows it               note    why it is unknown, or what to bear in mind
    how     one of HOW, or table, worked, total,    trust   of a table's row: confirmed, one source, derived,
            chosen, solved, simulated, unknown              from memory, uncertain
    at      its address in the job                  span    the least and the most it may be, where someone said so
    others  the same quantity known in other ways   inputs, formula   what it was worked out from, and how
    """
    name: str
    amount: T | None
    how: str
    where: str = ""
    note: str = ""
    trust: str = ""
    at: str = ""
    span: tuple[T, T] | None = None
    others: tuple[Fact[T], ...] = ()
    inputs: tuple[Fact[Any], ...] = ()
    formula: Recipe | None = None

    @property
    def value(self) -> T:
        """The amount. Errors: NotKnown when there is none."""
        if self.amount is None:
            raise NotKnown(self)
        return self.amount

    @property
    def known(self) -> bool:
        return self.amount is not None

    def __bool__(self) -> bool:
        raise TypeError(f"ask {self.name}.value: a fact is neither true nor false")

    def by(self, how: str) -> Fact[T]:
        """The same quantity as known in that one way: `ze.by("declared")`. Unknown when nobody gave it so."""
        for each in (self, *self.others):
            if each.how == how:
                return each
        return Fact(self.name, None, "unknown", self.where, f"not {how}", at=self.at)

    def roots(self) -> list[Fact[Any]]:
        """This fact and all it was worked out from, deepest first, each once."""
        return [*_roots(self)] if self.inputs else [self]

    def missing(self) -> list[Fact[Any]]:
        """The gaps: facts that are unknown although everything they rest on is known."""
        return [f for f in _roots(self) if f.amount is None and all(i.amount is not None for i in f.inputs)]

    def doubtful(self) -> list[Fact[Any]]:
        """The assumptions and the table rows nobody confirmed, on which this fact rests."""
        return [*_doubtful(self)]

    def working(self) -> list[Step]:
        """Every formula and look-up used, in the order a person would write them."""
        return [Step(f, _worked_line(f), f.where) for f in _roots(self) if f.formula is not None]

    def line(self) -> str:
        """The last step of the working, or the fact itself where it was not worked out."""
        return self.formula.line(self) if self.formula else f"{glossary(self.name).symbol} = {self}"

    def again(self, changed: Mapping[Fact[Any], Any]) -> Any:
        """The amount if some of what it rests on were otherwise: {fact: other amount}. None if it cannot be worked."""
        done: dict[Fact[Any], Any] = dict(changed)
        for fact in _resting_on(self, tuple(changed)):
            amounts = [done.get(i, i.amount) for i in fact.inputs]
            fresh = any(a is not i.amount for a, i in zip(amounts, fact.inputs, strict=True))
            done[fact] = _finite(fact.formula, amounts)[0] if fresh and fact.formula else fact.amount
        return done.get(self, self.amount)

    def __str__(self) -> str:
        entry = glossary(self.name)
        said = "unknown" if self.amount is None else _amount(self, entry.digits)
        return f"{said} {entry.unit}" if entry.unit and self.amount is not None else said


# a fact never changes, and one check asks the same of each nine times: what a document says of it is made once
@lru_cache(4096)
def _roots(fact: Fact[Any]) -> tuple[Fact[Any], ...]:
    below = dict.fromkeys(chain.from_iterable(_roots(each) if each.inputs else (each,) for each in fact.inputs))
    return (*below, fact)


@lru_cache(4096)
def _doubtful(fact: Fact[Any]) -> tuple[Fact[Any], ...]:
    return tuple([f for f in _roots(fact) if f.how == "assumed" or f.trust in DOUBTFUL])


@lru_cache(2048)
def _worked_line(fact: Fact[Any]) -> str:
    return fact.formula.line(fact) if fact.formula else ""


@lru_cache(64)
def _resting_on(fact: Fact[Any], changed: tuple[Fact[Any], ...]) -> list[Fact[Any]]:
    """Of a fact and what it was worked out from, deepest first, what rests on these. A search asks this forty times in a row."""
    moved = set(changed)
    found = []
    for each in _roots(fact):
        if each not in moved and not moved.isdisjoint(each.inputs):
            moved.add(each)
            found.append(each)
    return found


def unknown(name: str, note: str = "not recorded", where: str = "", at: str = "") -> Fact[Any]:
    """A quantity nobody knows, and why."""
    return Fact(name, None, "unknown", where, note, at=at)


def _amount(fact: Fact[Any], digits: int) -> str:
    """Given numbers as they were given, worked numbers to so many significant digits."""
    return _as_given(fact) or show(fact.amount, digits)


def _as_given(fact: Fact[Any]) -> str:
    """A number that was given or stands in a table, with every digit it has; nothing for one that was worked out."""
    if fact.formula is None:
        return plain(fact.amount)
    said = plain(fact.amount) if fact.how == "table" else ""
    return said if len(said) <= 9 else ""           # a table's row is brief; one between two rows is not


def _finite(recipe: Recipe | None, amounts: Sequence[Any]) -> tuple[Any, str]:
    """What the recipe gives, or None and why not: a gap, a division by nought, a number out of range."""
    if recipe is None or None in amounts:
        return None, ""
    try:
        amount = recipe(*amounts)
    except ZeroDivisionError:                       # in our own words: Python's differ from one version to the next
        return None, "cannot be worked out from these numbers: a division by nought"
    except OverflowError:
        return None, "cannot be worked out from these numbers: a number too large"
    except ValueError as problem:
        return None, f"cannot be worked out from these numbers: {problem}"
    if isinstance(amount, complex) or isinstance(amount, float) and not math.isfinite(amount):
        return None, "the result is not a finite number"
    return amount, ""


_CROOKED = ("JUMP", "IS_OP", "CONTAINS_OP", "COMPARE_OP", "FOR_ITER", "MAKE_FUNCTION", "SUBSCR", "RAISE", "IMPORT")


def _straight(function: Any) -> bool:
    """No jump, identity or membership test, look-up or hidden number in the compiled body, which stand-ins miss."""
    from opcode import opname
    code = function.__code__
    done = [opname[op] for op in code.co_code[::2]]
    used = [function.__globals__.get(name) for name in code.co_names]
    hidden = [each for each in used if not (isinstance(each, Formula) or each in (sqrt, least, most))]
    return not hidden and not code.co_freevars and not any(word in name for name in done for word in _CROOKED)


class Formula:
    """Call it with numbers and get a number. `worked` takes facts and gives a fact that carries this formula."""

    def __init__(self, function: Callable[..., Any], source: str) -> None:
        code = function.__code__
        self.plain, self.source, self.name, self.__doc__ = function, source, function.__name__, function.__doc__
        self.parameters = code.co_varnames[:code.co_argcount]
        self._fitted, self._shape = set[tuple[str, ...]](), ""
        self.tree = function(*(Term("name", i) for i in range(len(self.parameters))))
        if not isinstance(self.tree, Term):
            raise TypeError(f"{self.name}: gives {self.tree!r} whatever it is given: a constant belongs in a table")
        if not _straight(function):
            raise TypeError(f"{self.name}: a formula may not branch, loop, test identity, look up or use a number from outside")

    def __call__(self, *numbers: Any) -> Any:
        return self.plain(*numbers)

    def worked(self, *facts: Fact[Any]) -> Fact[Any]:
        """The fact this formula gives for these, in the order of its parameters. Unknown if any of them is.

        Errors: TypeError for a wrong number of facts, or one whose unit is not the parameter's."""
        names = tuple([f.name for f in facts])
        if names not in self._fitted:
            self._fit(names)
        amount, note = _finite(self, [f.amount for f in facts])
        how = "unknown" if amount is None else "worked"
        return Fact(self.name, amount, how, self.source, note, "", "", None, (), facts, self)

    def _fit(self, names: tuple[str, ...]) -> None:
        if len(names) != len(self.parameters):
            raise TypeError(f"{self.name} takes {len(self.parameters)} facts, not {len(names)}")
        for name, parameter in zip(names, self.parameters, strict=True):
            if glossary(name).unit != glossary(parameter).unit:
                units = f"{name} is in {glossary(name).unit!r}, {parameter} wants {glossary(parameter).unit!r}"
                raise TypeError(f"{self.name}: {units}")
        self._fitted.add(names)

    def line(self, fact: Fact[Any]) -> str:
        """`Zs = Ze + R1 + R2 = 0.21 + 0.1156 + 0.1888 = 0.514 Ω`: just enough digits that it recomputes to itself."""
        entry = glossary(fact.name)
        letters = self._with([glossary(p).symbol for p in self.parameters])
        return f"{entry.symbol} = {letters} = {self._with(_keyable(self, fact, entry.digits))} = {fact}"

    def _with(self, words: Sequence[str]) -> str:
        """The expression with these words, and around those with a minus sign what brackets the tree wants."""
        self._shape = self._shape or self.tree.text([f"{{{i}}}" for i in range(len(words))])
        return self.tree.text(words) if any(word[:1] == "-" for word in words) else self._shape.format(*words)


def _keyable(recipe: Recipe, fact: Fact[Any], digits: int) -> list[str]:
    """The inputs as strings with just enough digits that, keyed in, they give the printed result."""
    if fact.amount is None:
        return ["?" if f.amount is None else _amount(f, glossary(f.name).digits) for f in fact.inputs]
    target, tried = show(fact.amount, digits), 3
    as_given = [_as_given(f) for f in fact.inputs]

    def shown() -> list[str]:
        return [given or show(f.amount, tried) for given, f in zip(as_given, fact.inputs, strict=True)]
    while tried < 17 and _keyed(recipe, shown(), digits) != target:
        tried += 1
    return shown()


def _keyed(recipe: Recipe, shown: Sequence[str], digits: int) -> str:
    amount = _finite(recipe, [float(text) for text in shown])[0]
    return "" if amount is None else show(amount, digits)


def formula(source: str) -> Callable[[Callable[..., Any]], Formula]:
    """`@formula("BS 7671 411.4.4")` over a function of plain numbers. Read once, here; refused unless straight."""
    return lambda function: Formula(function, source)


class _Total:
    """As many terms as there are: the heat lost by every wall of a room, the metres of every stretch."""
    __slots__ = ()

    def __call__(self, *amounts: float) -> float:
        return math.fsum(amounts)

    def line(self, fact: Fact[Any]) -> str:
        entry = glossary(fact.name)
        return f"{entry.symbol} = {' + '.join(_keyable(self, fact, entry.digits)) or '0'} = {fact}"


_TOTAL = _Total()


def total(name: str, facts: Sequence[Fact[Any]], source: str = "sum") -> Fact[float]:
    """The sum of facts in one unit, exactly rounded. Errors: TypeError where a unit differs."""
    for each in facts:
        if glossary(each.name).unit != glossary(name).unit:
            raise TypeError(f"{name} is in {glossary(name).unit!r}, {each.name} in {glossary(each.name).unit!r}")
    amount, note = _finite(_TOTAL, [f.amount for f in facts])
    how = "unknown" if amount is None else "total"
    return Fact(name, amount, how, source, note, inputs=tuple(facts), formula=_TOTAL)


class _Extreme:
    """The least or the most of as many facts as there are: the weakest stretch of a route."""
    __slots__ = ("pick", "word")

    def __init__(self, word: str, pick: Callable[..., float]) -> None:
        self.word, self.pick = word, pick

    def __call__(self, *amounts: float) -> float:
        return self.pick(amounts)

    def line(self, fact: Fact[Any]) -> str:
        said = ", ".join(_keyable(self, fact, glossary(fact.name).digits))
        return f"{glossary(fact.name).symbol} = {self.word}({said}) = {fact}"


_LOWEST, _HIGHEST = _Extreme("least", min), _Extreme("most", max)


def _extreme(recipe: _Extreme, name: str, facts: Sequence[Fact[Any]], source: str) -> Fact[float]:
    if not facts:
        return unknown(name, "there is nothing to choose from")
    if len(facts) == 1 and facts[0].name == name:
        return facts[0]
    amount, note = _finite(recipe, [f.amount for f in facts])
    how = "unknown" if amount is None else "worked"
    return Fact(name, amount, how, source, note, inputs=tuple(facts), formula=recipe)


def lowest(name: str, facts: Sequence[Fact[Any]], source: str = "the least of these governs") -> Fact[float]:
    """The least of several facts; unknown while any of them is."""
    return _extreme(_LOWEST, name, facts, source)


def highest(name: str, facts: Sequence[Fact[Any]], source: str = "the most of these governs") -> Fact[float]:
    """The most of several facts; unknown while any of them is."""
    return _extreme(_HIGHEST, name, facts, source)


@dataclass(frozen=True, slots=True)
class _Said:
    """A fact that no formula can say: `text` tells how it came, `run` works it out again from other inputs."""
    text: str
    run: Callable[..., Any]

    def __call__(self, *amounts: Any) -> Any:
        return self.run(*amounts)

    def line(self, fact: Fact[Any]) -> str:
        return f"{glossary(fact.name).symbol} = {fact}: {self.text}"


def _said(name: str, how: str, text: str, run: Callable[..., Any], inputs: Sequence[Fact[Any]], source: str,
          span: tuple[Any, Any] | None = None) -> Fact[Any]:
    said = _Said(text, run)
    amount, note = _finite(said, [f.amount for f in inputs])
    return Fact(name, amount, "unknown" if amount is None else how, source, note, span=span, inputs=tuple(inputs),
                formula=said)


def chosen(name: str, run: Callable[..., Any], inputs: Sequence[Fact[Any]], tried: str, why: str,
           source: str = "search") -> Fact[Any]:
    """A value picked by a search over `inputs`: what was tried and why this one. `run` must be a pure function."""
    return _said(name, "chosen", f"tried {tried}; {why}", run, inputs, source)


def solved(name: str, run: Callable[..., float], inputs: Sequence[Fact[Any]], equation: str,
           sides: Callable[..., tuple[float, float]], source: str) -> Fact[float]:
    """The root of an equation: `sides(root, *inputs)` gives both sides, which the working shows."""
    fact = _said(name, "solved", equation, run, inputs, source)
    if fact.amount is None:
        return fact
    left, right = sides(fact.amount, *(f.amount for f in inputs))
    text = f"{equation}; left side {show(left, 6)}, right side {show(right, 6)}"
    return _said(name, "solved", text, run, inputs, source)


def simulated(name: str, run: Callable[..., float], inputs: Sequence[Fact[Any]], seed: int, runs: int,
              span: tuple[float, float], source: str = "simulation") -> Fact[float]:
    """A value found by `runs` draws from `seed`; `span` is its interval, an end of it infinite where so few draws set none."""
    low, high = (show(end) if math.isfinite(end) else "no bound" for end in span)
    text = f"{runs} runs from seed {seed}, between {low} and {high}"
    return _said(name, "simulated", text, run, inputs, source, span)


def moved(fact: Fact[Any], root: Fact[Any]) -> Callable[[Any], Any] | None:
    """The amount of `fact` as a function of that of `root`, laid out once and asked often; None where it does not rest on it.

    As `fact.again({root: amount})`, at a third of the work; the function gives None where nothing can be worked out."""
    if fact is root:
        return lambda amount: amount
    resting = _resting_on(fact, (root,))
    if fact not in resting:
        return None
    at = {root: 0} | {each: i for i, each in enumerate(resting, 1)}
    steps = [(each.formula.plain if isinstance(each.formula, Formula) else each.formula, [i.amount for i in each.inputs],
              [(n, at[i]) for n, i in enumerate(each.inputs) if i in at]) for each in resting]
    last, finite = at[fact], math.isfinite

    def run(amount: Any) -> Any:
        made = [amount]
        for recipe, amounts, places in steps:           # `_finite` without its words: a search comes by here thousands of times
            for n, of in places:
                amounts[n] = made[of]
            try:
                got = recipe(*amounts) if recipe and None not in amounts else None
            except (ZeroDivisionError, OverflowError, ValueError):
                got = None
            made.append(None if type(got) is complex or type(got) is float and not finite(got) else got)
        return made[last]
    return run


Holds = Callable[[float], tuple[bool | None, float]]


def flips_at(root: Fact[float], holds: Holds) -> float | None:
    """The amount of `root` at which `holds(amount)` turns, sought above, then below; None if it never does.

    holds: yes, no or cannot tell, and a margin that is nought about where it turns: it quickens the search and decides nothing.
    Range: searched by doubling to a thousand times and to a thousandth; then closed in on to one part in a million."""
    if root.amount is None or not isinstance(root.amount, int | float) or root.amount <= 0:
        return None
    start = float(root.amount)
    now, margin = holds(start)
    for factor in (2.0, 0.5):
        near, near_by = start, margin
        for _ in range(10):
            far = near * factor
            there, far_by = holds(far)
            if there is None:
                break
            if there != now:
                return _closed_in(holds, now, (near, near_by), (far, far_by))
            near, near_by = far, far_by
    return None


def _closed_in(holds: Holds, now: bool | None, near: tuple[float, float], far: tuple[float, float]) -> float:
    """The last amount at which `holds` is still `now`: never more steps than one more than by halving.

    Source: Oliveira and Takahashi, "An enhancement of the bisection method average performance preserving minmax optimality",
    ACM TOMS 47(1), 2020, with their k1 0.2, k2 2, n0 1."""
    (near_x, near_by), (far_x, far_by) = near, far
    wide = start = abs(far_x - near_x)
    eps, reach = 0.5e-6 * min(near_x, far_x), 0.5e-6 * min(near_x, far_x)
    while reach < start:                                    # twice what halving alone would still have to search
        reach *= 2
    while wide > 2 * eps:
        middle = (near_x + far_x) / 2
        crossing = (near_x * far_by - far_x * near_by) / (far_by - near_by) if far_by != near_by else middle
        if not min(near_x, far_x) <= crossing <= max(near_x, far_x):        # a margin that says nothing here, or none
            crossing = middle
        side, off = (1.0 if middle >= crossing else -1.0), abs(middle - crossing)
        bent = crossing + side * 0.2 * wide * wide / start if 0.2 * wide * wide / start <= off else middle
        slack = reach - wide / 2
        tried = bent if abs(bent - middle) <= slack else middle - side * slack
        said, by = holds(tried)
        if said == now:
            near_x, near_by = tried, by
        else:
            far_x, far_by = tried, by
        wide, reach = abs(far_x - near_x), reach / 2
    return near_x
