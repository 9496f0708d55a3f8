"""Random circuits against the nodes of their network: loops, drops, rings with loads, points of a ring. `N=` of each family."""
from __future__ import annotations

from pathlib import Path

import numpy as np

from tests.physics.nodes import FAMILIES

CHUNK, SAME = 1000, 1e-9


def run(n: int, seed: int, state_path: Path) -> str:
    """Goes on where `state_path` says it stopped. The last line: how many were solved both ways and how many differ."""
    done, bad, worst = state_path.read_text().split() if state_path.exists() else ("0", "0", "0")
    begun, differ, most = int(done), int(bad), float(worst)
    for start in range(begun, n, CHUNK):
        count = min(CHUNK, n - start)
        for place, solve in enumerate(FAMILIES.values()):
            found = solve(np.random.default_rng([seed, start, place]), count)
            differ += int((~(found <= SAME)).sum())
            most = max(most, float(found.max()))
        if (start // CHUNK + 1) % 10 == 0:
            print(f"{start + count} of {n}", flush=True)
            state_path.write_text(f"{start + count} {differ} {most}")
    state_path.unlink(missing_ok=True)
    said = ", ".join(FAMILIES)
    return f"make study WHICH=circuits N={n} SEED={seed}: {n} circuits of each of {said}: {differ} differ by more than one in " \
        f"a thousand million, the most by {most:.1g}"
