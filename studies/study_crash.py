"""Saves of a job folder broken off at a random call, recoveries broken off as well: lost and mixed jobs, by seed."""
from __future__ import annotations

import json
from collections import Counter
from pathlib import Path

from tests.folder.crashes import Broken, one

STEP = 500


def run(n: int, seed: int, state_path: Path) -> str:
    """`n` crashes, case i of seed s being crash number s * 1,000,000,007 + i; goes on from `state_path`."""
    state = {"done": 0, "ends": {}, "bad": []}
    if state_path.exists():
        state = json.loads(state_path.read_text(encoding="utf-8"))
    ends, bad = Counter(state["ends"]), list(state["bad"])
    for case in range(state["done"], n):
        try:
            ends[one(seed * 1_000_000_007 + case)] += 1
        except Broken as problem:
            bad.append(str(problem))
        if (case + 1) % STEP == 0 or case + 1 == n:
            state_path.write_text(json.dumps({"done": case + 1, "ends": ends, "bad": bad}), encoding="utf-8")
    return "\n".join((*bad[:20], _result(ends, len(bad))))


def _result(ends: Counter[str], bad_n: int) -> str:
    breaks = Counter[str]()
    for end, count in ends.items():
        breaks[end.split()[0]] += count
    return (f"{ends.total() + bad_n} saves broken off or followed by a power loss: {breaks['old']} left the old job, "
            f"{breaks['new']} the new one, {bad_n} lost or mixed")
