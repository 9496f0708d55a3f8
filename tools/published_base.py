"""Worked examples: which function answers which shape, and whether an answer is within its tolerance.

An example is answered from its topic, its input names and their kinds alone; what it expects is read afterwards.
"""
from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from types import SimpleNamespace
from typing import Any

Answer = Mapping[str, Any]
Shape = tuple[str, frozenset[str]]
ANSWERS: dict[Shape, Callable[[SimpleNamespace], Answer]] = {}


class NotCovered(Exception):
    """No function answers this shape, or this word in it."""


def covers(topic: str, names: str) -> Callable[[Callable[[SimpleNamespace], Answer]], Callable[..., Answer]]:
    """Over a function of the inputs: `names` parted by blanks, `name[]` for a list, `name{}` for a table."""
    def keep(function: Callable[[SimpleNamespace], Answer]) -> Callable[..., Answer]:
        shape = (topic, frozenset(names.split()))
        if shape in ANSWERS:
            raise ValueError(f"two functions for {topic}: {names}")
        ANSWERS[shape] = function
        return function
    return keep


def shape_of(topic: str, inputs: Mapping[str, Any]) -> Shape:
    """The topic with its input names, marked by kind."""
    marks = {list: "[]", dict: "{}"}
    return topic, frozenset(f"{name}{marks.get(type(value), '')}" for name, value in inputs.items())


def answer(topic: str, inputs: Mapping[str, Any]) -> Answer:
    """What the package says to these inputs. Errors: NotCovered."""
    shape = shape_of(topic, inputs)
    if shape not in ANSWERS:
        raise NotCovered(f"no function for {topic}: {' '.join(sorted(shape[1]))}")
    return ANSWERS[shape](SimpleNamespace(**inputs))


def each(function: Callable[..., Any], *given: Any) -> list[Any]:
    """The function for each element of the lists among its arguments, which are of one length; the rest stay."""
    count = max(len(g) for g in given if isinstance(g, list))
    columns = [g if isinstance(g, list) else [g] * count for g in given]
    return [function(*row) for row in zip(*columns, strict=True)]


def by_number(table: Mapping[str, float]) -> dict[float, float]:
    """A table whose keys are sizes, as JSON wrote them."""
    return {float(key): value for key, value in table.items()}


def differences(want: Any, got: Any, tolerance: float, at: str) -> Iterator[str]:
    """What is wrong with an answer: `zs_ohm got 0.96 want 1.02`. Numbers by tolerance, all else exactly."""
    if isinstance(want, Mapping):
        if not isinstance(got, Mapping) or got.keys() != want.keys():
            yield f"{at} got {got} want {want}"
        else:
            for key, value in want.items():
                yield from differences(value, got[key], tolerance, f"{at}.{key}")
    elif isinstance(want, list):
        if not isinstance(got, list | tuple) or len(got) != len(want):
            yield f"{at} got {got} want {want}"
        else:
            for number, (one, other) in enumerate(zip(want, got, strict=True), 1):
                yield from differences(one, other, tolerance, f"{at}[{number}]")
    elif not alike(want, got, tolerance):
        yield f"{at} got {shown(got)} want {shown(want)} (within {tolerance})"


def alike(want: Any, got: Any, tolerance: float) -> bool:
    """A number within the tolerance (and the noise of floats); true, false and words as they are."""
    numbers = [isinstance(x, int | float) and not isinstance(x, bool) for x in (want, got)]
    if all(numbers):
        return bool(abs(want - got) <= tolerance + 1e-9 * max(abs(want), tolerance))
    return not any(numbers) and type(want) is type(got) and bool(want == got)


def shown(value: Any) -> str:
    return f"{value:.6g}" if isinstance(value, float) else str(value)


def wrong_in(example: Mapping[str, Any], got: Answer) -> list[str]:
    """Each expected key that the answer lacks or misses."""
    tolerance = example.get("tolerance", {})
    found: list[str] = []
    for key, want in example["expected"].items():
        if key in got:
            found += differences(want, got[key], tolerance.get(key, tolerance.get("*", 0)), key)
        else:
            found.append(f"{key} got nothing want {shown(want)}")
    return found
