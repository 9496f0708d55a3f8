"""What stands in for a parameter while a formula is read off its own function, and the few functions a formula may use."""
from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any, overload

from spareway.show import exact

__all__ = ["Term", "least", "most", "sqrt"]

LEVEL = {"+": 1, "-": 1, "×": 2, "/": 2, "^": 3}
_SUPERSCRIPT = {2: "²", 3: "³"}


def _sides(op: str) -> tuple[Callable[[Term, Any], Term], Callable[[Term, Any], Term]]:
    """An operator with the term on its left, and on its right."""
    return lambda self, other: Term(op, self, other), lambda self, other: Term(op, other, self)


class Term:
    """Stands in for a parameter while a formula is read off its own function, once, at import."""
    __slots__ = ("op", "parts")

    def __init__(self, op: str, *parts: Any) -> None:
        self.op, self.parts = op, parts

    def _refuse(self, *_: Any) -> Any:
        raise TypeError("a formula may not branch, compare, round or look up: split it, or use least() and most()")

    __bool__ = __eq__ = __ne__ = __lt__ = __le__ = __gt__ = __ge__ = __hash__ = _refuse
    __round__ = __int__ = __float__ = __index__ = __floor__ = __ceil__ = __trunc__ = __abs__ = _refuse
    __getitem__ = __iter__ = __len__ = __contains__ = __floordiv__ = __rfloordiv__ = _refuse
    __mod__ = __rmod__ = __divmod__ = __rdivmod__ = __format__ = _refuse

    __add__, __radd__ = _sides("+")
    __sub__, __rsub__ = _sides("-")
    __mul__, __rmul__ = _sides("×")
    __truediv__, __rtruediv__ = _sides("/")
    __pow__, __rpow__ = _sides("^")

    def text(self, words: Sequence[str]) -> str:
        """The expression with `words[i]` in the place of the i-th parameter."""
        if self.op == "name":
            return words[int(self.parts[0])]
        said: list[str] = [p.text(words) if isinstance(p, Term) else exact(p) for p in self.parts]
        if self.op not in LEVEL:
            return f"{self.op}({', '.join(said)})"
        for i, part in enumerate(self.parts):
            level = LEVEL.get(part.op, 9) if isinstance(part, Term) else 9
            if level < LEVEL[self.op] or level == LEVEL[self.op] and (i or self.op == "^") or said[i].startswith("-"):
                said[i] = f"({said[i]})"
        if self.op == "^" and not isinstance(self.parts[1], Term) and self.parts[1] in _SUPERSCRIPT:
            return said[0] + _SUPERSCRIPT[self.parts[1]]
        return f" {self.op} ".join(said)


def _either(op: str, plainly: Callable[..., float]) -> Callable[..., float]:
    def call(*xs: Any) -> Any:
        return Term(op, *xs) if Term in map(type, xs) else plainly(*xs)
    return call


@overload
def sqrt(x: Term) -> Term: ...
@overload
def sqrt(x: float) -> float: ...
def sqrt(x: Any) -> Any:
    """The square root, of a number or in a formula. Errors: ValueError for a number below nought."""
    if isinstance(x, Term):
        return Term("√", x)
    if x < 0:
        raise ValueError("the root of a negative number")
    return math.sqrt(x)


least = _either("least", min)
most = _either("most", max)
