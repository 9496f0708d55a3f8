"""Random histories of two phones joined: rows lost, groups nobody entered, orders that give other bytes. All must be none."""
from __future__ import annotations

import json
from pathlib import Path

EVERY = 1_000


def run(n: int, seed: int, state: Path) -> str:
    """n histories from the one numbered `seed` on; goes on from where it was stopped."""
    from tests.job.test_merge import faults
    kept = json.loads(state.read_text()) if state.exists() else {"done": 0, "wrong": []}
    for number in range(kept["done"], n):
        found = faults(seed * 1_000_003 + number)
        if found:
            kept["wrong"].append([number, found[0]])
        kept["done"] = number + 1
        if kept["done"] % EVERY == 0 or kept["done"] == n:
            state.write_text(json.dumps(kept))
            print(f"\r{kept['done']} of {n}, {len(kept['wrong'])} wrong", end="", flush=True)
    print()
    wrong = "; ".join(f"{number}: {says}" for number, says in kept["wrong"][:5])
    return f"{kept['done']} histories, {len(kept['wrong'])} wrong{': ' if wrong else ''}{wrong}"
