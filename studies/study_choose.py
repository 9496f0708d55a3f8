"""Ten thousand pairs of circuits, one of each pair worse in one thing, and ten thousand more against the whole space.

    PYTHONPATH=src:. python studies/study_choose.py [SEED]

Prints how many pairs were compared, how often each test decided, and ends with 1 at the first that is wrong."""
from __future__ import annotations

import random
import sys
from collections import Counter

from spareway.design.search import decided_by, least
from tests.design import brute, drawn
from tests.design.test_choose_search import harder

PAIRS, CIRCUITS = 10_000, 10_000


def monotone(r: random.Random) -> list[str]:
    """Longer, hotter, more bunched, or a higher Ze with the fault level held: never a smaller cable."""
    both, larger = 0, 0
    while both < PAIRS:
        want = drawn.wanted(r)
        columns, ladders, asked = drawn.as_columns(want), drawn.as_ladders(want, drawn.devices(r, want)), drawn.as_asked(want)
        before, after = (least(columns, ladders, each, want.settled) for each in (asked, harder(r, asked)))
        if before is None and after is not None or before and after and after.key[:2] < before.key[:2]:
            raise SystemExit(f"smaller when worse: {want}")
        if before and after:
            both, larger = both + 1, larger + (after.key[:2] > before.key[:2])
    return [f"{both} pairs, {larger} of them with a larger cable, none with a smaller one"]


def equal(r: random.Random) -> list[str]:
    """The search against every pair tried by code that shares nothing with it."""
    decided = Counter[str]()
    for number in range(CIRCUITS):
        want = drawn.wanted(r)
        shelf = drawn.devices(r, want)
        asked = drawn.as_asked(want)
        found, truth = least(drawn.as_columns(want), drawn.as_ladders(want, shelf), asked, want.settled), brute.least(want, shelf)
        if (found and found.key[:2]) != (truth and truth[:2]) or found and truth and found.rung.rating_a != shelf[truth[2]].rating_a:
            raise SystemExit(f"circuit {number} differs: {want}, {shelf}")
        decided[decided_by(found, asked, want.settled) if found else "nothing conforms"] += 1
    return [f"{CIRCUITS} circuits equal to the whole space", *(f"  {name}: {n}" for name, n in decided.most_common())]


def main() -> None:
    r = random.Random(int(sys.argv[1]) if len(sys.argv) > 1 else 1)
    for line in (*monotone(r), *equal(r)):
        print(line, flush=True)


if __name__ == "__main__":
    main()
