"""How slow a machine is just now, so that a limit in seconds means the same work on every machine.

The cores of a build machine are often lent: one and the same run of the tests took 701 s on one day and 1,526 s on another, with
nothing else at work. A limit that counted such seconds would judge the neighbours, not the tests.
"""
from __future__ import annotations

import time

TURNS = 2_000_000
QUICK_S = 0.15          # what the turns took, both cores at work, on the machine that the limits are for: docs/decisions/034


def slowness() -> float:
    """How many times as long a piece of plain Python takes now as on the machine that the limits were set on; 1 or more.

    Seconds of this thread alone: waiting for a core that the tests themselves keep busy is not the machine's slowness."""
    started_s, total = time.thread_time(), 0
    for turn in range(TURNS):
        total += turn
    return max(1.0, (time.thread_time() - started_s) / QUICK_S)


class Pace:
    """Seconds that have gone by, and how many they would have been on the machine that the limits were set on."""

    def __init__(self) -> None:
        self.started_s = self.looked_s = time.monotonic()
        self.worth_s = 0.0

    @property
    def gone_s(self) -> float:
        return self.looked_s - self.started_s

    def look(self, times_as_slow: float | None = None) -> float:
        """Counts what has gone by since the last look, at the slowness of now; all that counts so far, in seconds."""
        now_s = time.monotonic()
        self.worth_s += (now_s - self.looked_s) / (slowness() if times_as_slow is None else times_as_slow)
        self.looked_s = now_s
        return self.worth_s
