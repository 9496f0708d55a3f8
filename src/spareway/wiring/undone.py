"""What would make a part live again: a neutral or an earth, opened or lifted as well, that held something on its way.

Taking more away makes nothing live by metal. It can only set loose a piece that neutral or earth held, so that a load
feeds on through it. All single further openings are tried at once: bit i of a mark speaks for the state in which the
i-th name is opened or lifted as well.
"""
from __future__ import annotations

from collections.abc import Sequence

from spareway.wiring.potentials import FEEDS, HOLDS
from spareway.wiring.sections import Record, Sections

Beside = list[list[tuple[int, int]]]                   # a terminal's neighbours, and when each is joined


def undoing(record: Record, sections: Sections, opened: int, parts: Sequence[str]) -> tuple[str, ...]:
    """Controls and conductors, in order of names, any one of which, opened or lifted too, makes a dead part live."""
    ends = [record.at[part] for part in parts]
    within = fed(sections, opened)
    if not any(sections.of[end] in within for end in ends):
        return ()
    names = sorted(record.lifts.union(name for name, mask in record.bits.items() if not mask & opened))
    shut = {name: ~(1 << i) for i, name in enumerate(names)} | {"": -1}
    spared = {mask: shut[name] for name, mask in record.bits.items() if not mask & opened} | {0: -1}
    every = (1 << len(names)) - 1
    beside: Beside = [[] for _ in record.terminals]
    for a, b, mask, lift in record.metal:
        if not mask & opened:
            joined = spared[mask] & shut[lift] & every
            beside[a].append((b, joined))
            beside[b].append((a, joined))
    held = spread([every if marks & HOLDS else 0 for marks in record.held], beside)
    for a, b, mask, lift in record.loads:
        if not mask & opened:
            joined = spared[mask] & shut[lift] & every
            beside[a].append((b, joined & ~held[b]))
            beside[b].append((a, joined & ~held[a]))
    live = spread([every if marks & FEEDS else 0 for marks in record.held], beside)
    return tuple(name for name in names if any(live[end] & ~shut[name] for end in ends))


def spread(marks: list[int], beside: Beside) -> list[int]:
    """The marks after each terminal has passed its own on to the next, in the states in which they are joined."""
    todo = [terminal for terminal, mark in enumerate(marks) if mark]
    for here in todo:                                  # grows while it is walked, until nothing is new anywhere
        mark = marks[here]
        for there, joined in beside[here]:
            new = mark & joined & ~marks[there]
            if new:
                marks[there] |= new
                todo.append(there)
    return marks


def fed(sections: Sections, opened: int) -> set[int]:
    """Sections that metal and loads, whatever holds between them, join to something that feeds."""
    beside: list[list[int]] = [[] for _ in sections.held]
    for a, b, mask in (*sections.switches, *sections.loads):
        if not mask & opened:
            beside[a].append(b)
            beside[b].append(a)
    todo = [s for s, held in enumerate(sections.held) if held & FEEDS]
    reached = set(todo)
    for here in todo:
        for there in beside[here]:
            if there not in reached:
                reached.add(there)
                todo.append(there)
    return reached
