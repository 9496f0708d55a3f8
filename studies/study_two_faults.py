"""Invented rings with two faults at once, of which the engine weighs only one: how often it is sure, and of what.

Every fault that it weighs is one thing wrong. The second here is a conductor open or a loose joint in some section; leads and
loads as in `study_rings.py`. Counted: whether the likeliest fault is one of the two or neither, and whether it was promised nine
tenths.

    make study WHICH=two_faults N=400
"""
from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from spareway.fast import faults
from studies.ranked import Row, rows, table
from tests.readings.judged import PROPOSED, SURE, ring_case
from tests.readings.made import KINDS, made_worse

NO_SECOND = ("sound", "lead not nulled")


def run(n: int, seed: int, state_path: Path) -> str:
    """N rings; goes on where `state_path` says it stopped."""
    found = rows(n, state_path, lambda number: twice(seed, number))
    lines = []
    for kind in [k for k in KINDS if k not in NO_SECOND]:
        here = [r for r in found if r["kind"] == kind]
        if here:
            lines.append([kind, str(len(here)), *(share(here, step, sure) for step in (0, PROPOSED) for sure in (True, False))])
    neither = [100 * len([r for r in found if r["steps"][s][1] and not r["steps"][s][0]]) / n for s in (0, PROPOSED)]
    one = 100 * len([r for r in found if r["steps"][PROPOSED][0]]) / n
    return table("with an open conductor or a loose joint", "rings", "sure of one of the two", "sure of neither",
                 f"after {PROPOSED}: of one", "of neither", lines=lines) + "\n\n" + (
        f"{n} rings with two faults; sure of what is neither: at once {neither[0]:.1f} %, after {PROPOSED} proposed "
        f"{neither[1]:.1f} %; the likeliest is one of the two after {PROPOSED} proposed: {one:.1f} %")


def share(some: list[Row], step: int, right: bool) -> str:
    return f"{100 * len([r for r in some if r['steps'][step] == [right, True]]) / len(some):.0f} %"


def twice(seed: int, number: int) -> Row:
    rng = np.random.default_rng([seed, number, 2])
    case = ring_case(seed, number, str(rng.choice([k for k in KINDS if k not in NO_SECOND])))
    second = made_worse(rng, case.made)
    case = replace(case, seed=(seed, number, 2))
    ranked = faults.rank(case.wired, {probe: case.shows(probe) for probe in case.wired.standard})
    steps = []
    for step in range(PROPOSED + 1):
        fault, promised = ranked.faults[0]
        steps.append([fault.name in (case.made.truth, second), promised >= SURE])
        probe = faults.following(ranked)[0].probe
        if step < PROPOSED:
            ranked = faults.further(ranked, {probe: case.shows(probe)})
    return {"kind": case.made.kind, "steps": steps}
