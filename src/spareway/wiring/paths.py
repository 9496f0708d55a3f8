"""Which controls, closed together, join a section to a source: the smallest sets, and the states they decide.

To be joined by metal is monotone: closing more never parts anything. So the smallest sets of closed controls, here
called paths and kept as one integer each, answer for every state at once, and nothing is tried state by state.
"""
from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from functools import reduce
from operator import and_

from spareway.wiring.names import UnknownName
from spareway.wiring.sections import Record, Sections

CAP = 4096                # paths in all; ties between boards multiply them, and above this a plain search is quicker


def path_sets(sections: Sections, marks: int, cap: int = CAP) -> list[list[int]] | None:
    """For each section its smallest sets of closed controls that join it to a source with one of these marks.

    Sets grow from the sources in order of size, so what is kept is never beaten later. None above `cap` sets in all.
    """
    beside: list[list[tuple[int, int]]] = [[] for _ in sections.held]
    for a, b, mask in sections.switches:
        beside[a].append((b, mask))
        beside[b].append((a, mask))
    kept: list[list[int]] = [[] for _ in sections.held]
    layer = [(s, 0) for s, held in enumerate(sections.held) if held & marks]
    left = cap
    while layer:
        larger: list[tuple[int, int]] = []
        for s, path in layer:                # grows while it is walked: the other pole of a control costs nothing
            mine = kept[s]
            for better in mine:
                if better & path == better:
                    break
            else:
                mine.append(path)
                left -= 1
                if left < 0:
                    return None
                for t, mask in beside[s]:
                    if mask & path:
                        layer.append((t, path))
                    else:
                        larger.append((t, path | mask))
        layer = larger
    return kept


def smallest(sets: Iterable[int]) -> list[int]:
    """Those sets that contain none of the others, smallest first."""
    kept: list[int] = []
    for one in sorted(set(sets), key=lambda s: (s.bit_count(), s)):
        if all(other & one != other for other in kept):
            kept.append(one)
    return kept


def states(paths: Sequence[int], controls: int) -> int:
    """In how many states of that many controls at least one of these smallest sets is closed throughout."""
    if len(paths) < 2:
        return 1 << controls - paths[0].bit_count() if paths else 0
    if len(paths) < 7:
        *rest, last = paths
        without = smallest(path & ~last for path in rest)
        left = controls - last.bit_count()
        return states(rest, controls) + (1 << left) - states(without, left)
    pivot = most_shared(paths)                         # many paths: closed or open, the control that most of them need
    closed = smallest(path & ~pivot for path in paths)
    return states(closed, controls - 1) + states([path for path in paths if not path & pivot], controls - 1)


def most_shared(paths: Sequence[int]) -> int:
    """The bit that most of these sets have; the lowest of equals."""
    tally = Counter(1 << i for path in paths for i in range(path.bit_length()) if path >> i & 1)
    return min(tally, key=lambda bit: (-tally[bit], bit))


def counts(sets: Iterable[Sequence[int]], controls: int) -> list[int]:
    """For each section's smallest sets, in how many states of that many controls it is joined.

    What all sets of a section need halves the count a control; the rest is often the same for every way of a board.
    """
    known: dict[tuple[int, ...], int] = {}
    found = []
    for paths in sets:
        common = reduce(and_, paths) if paths else 0
        apart = tuple([path & ~common for path in paths])
        if apart not in known:
            known[apart] = states(apart, controls)
        found.append(known[apart] >> common.bit_count())
    return found


class Trace:
    """What metal joins to a letter, kept up to date while controls are toggled one at a time; all are closed at first.

    Every path has a number. `_cut` is the set of paths with an open control: opening adds to it, closing makes it again
    from the controls that are still open. A section is joined while it has a path that is not cut. Without path sets,
    when there are too many, each question is a plain search.
    """

    def __init__(self, record: Record, sections: Sections, marks: int, sets: Sequence[Sequence[int]] | None) -> None:
        self._record, self._sections, self._marks, self._sets = record, sections, marks, sets
        self._of = {name: sections.of[i] for name, i in record.at.items()}
        self._own = [0] * len(sections.held)           # section -> its paths
        self._has = dict.fromkeys(record.bits, 0)      # control -> the paths that need it
        self._open: dict[str, int] = {}
        self._cut = 0
        self._number(sets or ())

    def _number(self, sets: Iterable[Sequence[int]]) -> None:
        numbers: dict[int, int] = {}
        for section, paths in enumerate(sets):
            for path in paths:
                self._own[section] |= numbers.setdefault(path, 1 << len(numbers))
        controls = {mask: name for name, mask in self._record.bits.items()}
        for path, number in numbers.items():
            while path:
                lowest = path & -path
                self._has[controls[lowest]] |= number
                path ^= lowest

    def toggle(self, control: str) -> None:
        """Open a closed control, close an open one. One that nobody may open stays closed whatever is done."""
        if control in self._open:
            del self._open[control]
            cut = 0
            for paths in self._open.values():
                cut |= paths
            self._cut = cut
        elif control in self._has:
            self._cut |= self._has[control]
            self._open[control] = self._has[control]
        else:
            raise UnknownName("control that may be opened", control, self._has)

    @property
    def opened(self) -> tuple[str, ...]:
        """The controls that are open, in the order in which they were opened."""
        return tuple(self._open)

    def live(self, terminal: str) -> bool:
        """Is it joined to the letter by metal now?"""
        section = self._of[terminal]
        return bool(self._own[section] & ~self._cut) if self._sets is not None else self._searched()[section]

    def live_terminals(self) -> list[str]:
        """All terminals that metal joins to the letter now."""
        if self._sets is None:
            joined = self._searched()
        else:
            whole = ~self._cut
            joined = [bool(own & whole) for own in self._own]
        return [name for name, section in self._of.items() if joined[section]]

    def _searched(self) -> list[bool]:
        """The same by plain search, for a network with more paths than are kept."""
        piece = self._sections.pieces(self._mask())
        marks = self._sections.marks(piece)
        return [bool(marks[p] & self._marks) for p in piece]

    def _mask(self) -> int:
        mask = 0
        for control in self._open:
            mask |= self._record.bits[control]
        return mask

    def potential(self) -> dict[str, str]:
        """Every terminal's word in the present state, loads included."""
        words = self._sections.potentials(self._mask())
        return {name: words[section] for name, section in self._of.items()}
