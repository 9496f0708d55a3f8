"""Linear equations: a few of them, solved as by hand."""
from __future__ import annotations

import math
from collections.abc import Sequence

__all__ = ["solved"]


def solved(equations: Sequence[Sequence[float]]) -> list[float]:
    """The unknowns of as many equations, the right side last in each row; by elimination, the greatest pivot first.

    Errors: ZeroDivisionError where they have no single answer."""
    rows, size = [list(row) for row in equations], len(equations)
    for step in range(size):
        best = max(range(step, size), key=lambda i: abs(rows[i][step]))
        rows[step], rows[best] = rows[best], rows[step]
        for other in range(step + 1, size):
            share = rows[other][step] / rows[step][step]
            rows[other] = [x - share * y for x, y in zip(rows[other], rows[step], strict=True)]
    out = [0.0] * size
    for step in reversed(range(size)):
        known = math.fsum(rows[step][i] * out[i] for i in range(step + 1, size))
        out[step] = (rows[step][size] - known) / rows[step][step]
    return out
