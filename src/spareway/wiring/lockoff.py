"""The fewest controls to open so that parts are dead by the record: exact, without trying all combinations.

What joins a part by metal to line, neutral or an unknown end must be cut, so the controls opened must hit every path of
it. That is necessary and not enough: opening a neutral can make a part live *through a load*, so every candidate is
judged by the full potentials. Where those still find the part live there is a witness, a way by metal and through loads
from a source to the part. Opening more never makes an unheld piece held, so the witness stands in every larger set that
opens none of its controls: one of them must be opened too. The search branches on that control alone, and what it has
tried in one branch it leaves closed in the next. So it meets every smallest answer once, and when it ends with nothing
there is none.
"""
from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from spareway.wiring.paths import smallest
from spareway.wiring.potentials import EARTH, FEEDS, NEUTRAL, NO_PATH, N
from spareway.wiring.sections import Record, Sections
from spareway.wiring.undone import undoing
from spareway.wiring.witness import witness


@dataclass(frozen=True, slots=True)
class LockOff:
    """What to open, by the record. It never takes the place of proving dead at the point of work.

    controls:  the fewest that this person may open, the first such set in order of names; None when none will do
    still:     (terminal, potential) of the parts that stay live with all of this person's controls open; () if found
    undone_by: controls or conductors any one of which, opened or lifted as well, would make a part live again
    """
    controls: tuple[str, ...] | None
    still: tuple[tuple[str, str], ...]
    undone_by: tuple[str, ...]


@dataclass(slots=True)
class Search:
    """One question: these sections, these controls (as masks), and what has been found so far."""
    sections: Sections
    parts: frozenset[int]
    allowed: int
    dead: frozenset[str]
    marks: int                            # what must not reach a part by metal
    paths: list[int] | None               # what of the allowed must be hit to stop it; None above the cap of paths
    best: int | None = None
    cut_short: bool = False

    def run(self) -> int | None:
        """The answer as a mask. Sizes are tried in order; a size at which nothing was cut short is the last."""
        for size in range(packed(self.paths or ()), self.allowed.bit_count() + 1):
            self.cut_short = False
            self.branch(0, self.allowed, size)
            if self.best is not None or not self.cut_short:
                break
        return self.best

    def branch(self, opened: int, free: int, left: int) -> None:
        """Find the answers among the sets that hold `opened` and up to `left` more out of `free`."""
        if self.best is not None and not comes_first(opened, free, left, self.best):
            return
        uncut = [path & free for path in self.paths or () if not path & opened]
        needed = min(uncut, key=int.bit_count) if uncut else self.one_of(opened, free)
        if needed is None:
            self.best = opened
        elif needed and left < max(1, packed(uncut)):
            self.cut_short = True
        else:
            while needed:
                control = needed & -needed
                needed ^= control
                free ^= control
                self.branch(opened | control, free, left - 1)

    def one_of(self, opened: int, free: int) -> int | None:
        """Controls of `free` of which any answer that holds `opened` must open one; None when `opened` is an answer."""
        words = self.sections.potentials(opened)
        if all(words[part] in self.dead for part in self.parts):
            return None
        return witness(self.sections, self.parts, opened, free, self.marks)


def packed(sets: Iterable[int]) -> int:
    """How many sets can be picked in turn with nothing in common: each needs an opening of its own."""
    taken = count = 0
    for one in sets:
        if not one & taken:
            taken |= one
            count += 1
    return count


def comes_first(opened: int, free: int, left: int, best: int) -> bool:
    """May a set of this size that holds `opened` stand before `best`? Lower bits are earlier names."""
    earliest = opened
    for _ in range(left):
        earliest |= free & -free
        free &= free - 1
    differ = earliest ^ best
    return bool(differ & -differ & earliest)


def fewest(record: Record, sections: Sections, sets: list[list[int]] | None, parts: Sequence[str],
           allowed: Sequence[str], leave_neutral: bool) -> LockOff:
    """The fewest of the allowed controls that leave these terminals dead by the record.

    sets: `path_sets` of `sections` for what must not reach a part by metal, `reaching(leave_neutral)`.
    """
    if not parts:
        raise ValueError("no part was named, so nothing can be left dead")
    dead = frozenset((NO_PATH, EARTH, NEUTRAL) if leave_neutral else (NO_PATH, EARTH))
    at = frozenset(sections.of[record.at[part]] for part in parts)
    mask = 0
    for control in allowed:
        mask |= record.bits[control]
    paths = None if sets is None else smallest(path & mask for part in at for path in sets[part])
    found = Search(sections, at, mask, dead, reaching(leave_neutral), paths).run()
    words = sections.potentials(mask if found is None else found)
    still = tuple((part, word) for part in parts if (word := words[sections.of[record.at[part]]]) not in dead)
    if found is None:
        return LockOff(None, still, ())
    controls = tuple(control for control in allowed if record.bits[control] & found)
    return LockOff(controls, still, undoing(record, sections, found, parts))


def reaching(leave_neutral: bool) -> int:
    """The marks of sources that must not reach a part by metal."""
    return FEEDS if leave_neutral else FEEDS | N
