"""Invented radials of 3 to 12 points, chains and trees, seven of eight faulty: as `study_rings.py`, by R1+R2 and R1+Rn at each.

    make study WHICH=radials N=500
"""
from __future__ import annotations

from pathlib import Path

from spareway.readings.wired import PRIORS_RADIAL
from studies.ranked import report, rows
from tests.readings.judged import judged, radial_case
from tests.readings.made_radial import MET_RADIAL


def run(n: int, seed: int, state_path: Path) -> str:
    """N radials; goes on where `state_path` says it stopped."""
    found = rows(n, state_path, lambda number: judged(radial_case(seed, number)))
    return report(found, PRIORS_RADIAL, MET_RADIAL, "radials")
