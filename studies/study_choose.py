"""Pairs of circuits, one of each pair worse in one thing, and as many circuits more against the whole space.

Longer, hotter, more bunched, or a higher Ze with the fault level held may never give a smaller cable; and the search must give
what a search of every pair gives that shares no code with it. Then two circuits and a board in the browser's Python as well, to
the byte. Ends at the first that is wrong, with the circuit.

    make study WHICH=choose N=10000
"""
from __future__ import annotations

import json
import random
from collections import Counter
from pathlib import Path

from spareway.design.search import decided_by, least
from spareway.folder import read_folder
from tests.design import brute, drawn
from tests.design.test_choose_search import harder
from tests.pyodide.run import run_here, run_in_pyodide

BLOCK = 500
EXAMPLE = Path(__file__).parents[1] / "examples" / "weir-cottage"
BOTH = """
from hashlib import sha256
from spareway.api import to_json
from spareway.api_circuit import board, new_circuit
texts = ("7.2 kW shower, 14 m, method 100 or 101", "3 kW immersion 30 m method B ambient 37")
said = [new_circuit(files, text) for text in texts]
print(*(sha256(to_json(each).encode()).hexdigest() for each in (*said, board(files))))
"""


def run(n: int, seed: int, state_path: Path) -> str:
    """N pairs and N circuits in blocks, each drawn by its own seed; blocks that `state_path` holds are not done again."""
    kept: dict[str, dict[str, int]] = json.loads(state_path.read_text(encoding="utf-8")) if state_path.exists() else {}
    blocks = [(str(start), min(BLOCK, n - start)) for start in range(0, n, BLOCK)]
    for name, size in blocks:
        if kept.get(name, {}).get("pairs") != size:
            kept[name] = {**monotone(random.Random(f"{seed}-{name}-pairs"), size), **equal(random.Random(f"{seed}-{name}"), size)}
            state_path.write_text(json.dumps(kept), encoding="utf-8")
    added = Counter[str]()
    for name, _ in blocks:
        added.update(kept[name])
    files = dict(read_folder(EXAMPLE))
    if run_here(BOTH, files) != run_in_pyodide(BOTH, files):
        raise SystemExit("a choice has other bytes in the browser")
    tests = ", ".join(f"{word} {added[word]}" for word in ("size", "rating", "device", "drop", "loop", "near", "far"))
    return (f"decided by: {tests}; nothing conforms: {added['nothing']}\n"
            f"{added['pairs']} pairs, {added['larger']} with a larger cable when worse and none with a smaller; "
            f"{added['circuits']} circuits equal to the whole space; the same bytes in the browser")


def monotone(r: random.Random, size: int) -> dict[str, int]:
    """So many pairs that both have an answer. Errors: SystemExit at one that is smaller when worse."""
    both, larger = 0, 0
    while both < size:
        want = drawn.wanted(r)
        columns, ladders, asked = drawn.as_columns(want), drawn.as_ladders(want, drawn.devices(r, want)), drawn.as_asked(want)
        before, after = (least(columns, ladders, each, want.settled) for each in (asked, harder(r, asked)))
        if before is None and after is not None or before and after and after.key[:2] < before.key[:2]:
            raise SystemExit(f"smaller when worse: {want}")
        if before and after:
            both, larger = both + 1, larger + (after.key[:2] > before.key[:2])
    return {"pairs": both, "larger": larger}


def equal(r: random.Random, size: int) -> dict[str, int]:
    """So many circuits, by the test that decided each. Errors: SystemExit at one that differs from the whole space."""
    decided = Counter[str](circuits=size)
    for _ in range(size):
        want = drawn.wanted(r)
        shelf = drawn.devices(r, want)
        asked = drawn.as_asked(want)
        found, truth = least(drawn.as_columns(want), drawn.as_ladders(want, shelf), asked, want.settled), brute.least(want, shelf)
        same = (found and (*found.key[:2], found.rung.rating_a)) == (truth and (*truth[:2], shelf[truth[2]].rating_a))
        if not same:
            raise SystemExit(f"the search and the whole space differ: {want}, {shelf}")
        decided[decided_by(found, asked, want.settled) if found else "nothing"] += 1
    return dict(decided)
