"""Invented rings of 4 to 14 points, nine of ten faulty: how often kind and place are named, at once and after further readings.

Each ring is drawn by its own seed (`tests/readings/made.py`, which shares no code with the engine). Minutes on site count the
further readings until one place holds nine tenths, at most six, against a long lead taken from the middle point outwards.

    make study WHICH=rings N=2000
"""
from __future__ import annotations

from pathlib import Path

from spareway.readings.wired import PRIORS_RING
from studies.ranked import report, rows
from tests.readings.judged import judged, ring_case
from tests.readings.made import MET


def run(n: int, seed: int, state_path: Path) -> str:
    """N rings; goes on where `state_path` says it stopped."""
    found = rows(n, state_path, lambda number: judged(ring_case(seed, number)))
    return report(found, PRIORS_RING, MET, "rings")
