"""What would make a part live again: a neutral or an earth, opened or lifted as well, that held something on its way.

Taking more away makes nothing live by metal. It can only set loose a piece that neutral or earth held, so that a load
feeds on through it. So only pieces that loads join to a source matter, and in them only what holds.
"""
from __future__ import annotations

from collections.abc import Collection, Sequence

from spareway.wiring.potentials import FEEDS, HOLDS
from spareway.wiring.sections import Record, Sections


def undoing(record: Record, sections: Sections, opened: int, parts: Sequence[str],
            dead: Collection[str]) -> tuple[str, ...]:
    """Controls and conductors, in order of names, any one of which, opened or lifted as well, makes a part live."""
    of = sections.of
    within = fed(sections, opened)
    ends = [record.at[part] for part in parts]
    if not any(of[end] in within for end in ends):
        return ()
    ends += [end for a, b, _, _ in record.loads for end in (a, b)]
    controls, lifts = holding(record, opened, [end for end in ends if of[end] in within])

    def lives(state: Sections, mask: int) -> bool:
        words = state.potentials(mask)
        return any(words[state.of[record.at[part]]] not in dead for part in parts)

    undo = [name for name, bit in record.bits.items() if bit & controls and lives(sections, opened | bit)]
    undo += [name for name in lifts if lives(record.sections((name,)), opened)]
    return tuple(sorted(set(undo)))


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


def holding(record: Record, opened: int, ends: Sequence[int]) -> tuple[int, set[str]]:
    """Controls and conductors on one way by metal from each of these terminals to the neutral or earth that holds it.

    Another way may hold it as well, so each is a candidate only; what is on none of them sets nothing loose.
    """
    beside: dict[int, list[tuple[int, int, str]]] = {}
    for a, b, mask, lift in record.metal:
        if not mask & opened:
            beside.setdefault(a, []).append((b, mask, lift))
            beside.setdefault(b, []).append((a, mask, lift))
    todo = [terminal for terminal, held in enumerate(record.held) if held & HOLDS]
    came: dict[int, tuple[int, int, str] | None] = dict.fromkeys(todo)
    for here in todo:
        for there, mask, lift in beside.get(here, ()):
            if there not in came:
                came[there] = (here, mask, lift)
                todo.append(there)
    controls, lifts, walked = 0, set(), set()
    for end in ends:
        while end not in walked and (step := came.get(end)):
            walked.add(end)
            end, mask, lift = step
            controls |= mask
            lifts.add(lift)
    return controls, lifts - {""}
