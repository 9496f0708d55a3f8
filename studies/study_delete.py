"""Every fact of every example deleted in turn: nothing reads better, nothing crashes. `N=` facts, all when left out."""
from __future__ import annotations

from pathlib import Path

from tests.properties.deleting import deletions, faults, some


def run(n: int, seed: int, state_path: Path) -> str:
    """Goes on where `state_path` says it stopped. The last line: how many were deleted and how many read better."""
    wanted = some(n, seed)
    done, bad = (map(int, state_path.read_text().split()[:2]) if state_path.exists() else (0, 0))
    for number, each in enumerate(wanted[done:], done + 1):
        found = faults(each)
        bad += len(found)
        for said in found:
            print(said)
        if number % 100 == 0:
            print(f"{number} of {len(wanted)}")
            state_path.write_text(f"{number} {bad}")
    state_path.unlink(missing_ok=True)
    return f"seed {seed}: {len(wanted)} of {len(deletions())} deletions, {bad} findings that read better or could not be worked"
